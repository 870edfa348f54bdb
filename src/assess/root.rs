//! Finding roots of functions of one variable.

/// A root between two ends of unlike sign, by false position with the stubborn end halved (Illinois), to
/// a relative width.
pub fn between(mut low: f64, mut high: f64, width: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (mut f_low, mut f_high) = (f(low), f(high));
    if f_low == 0.0 {
        return low;
    }
    let mut side = 0i8;
    for _ in 0..100 {
        if f_high == 0.0 || (high - low).abs() <= width * high.abs().max(low.abs()) {
            break;
        }
        let mut x = (low * f_high - high * f_low) / (f_high - f_low);
        if !(x > low.min(high) && x < low.max(high)) {
            x = 0.5 * (low + high);
        }
        let f_x = f(x);
        if f_x == 0.0 {
            return x;
        }
        if (f_x > 0.0) == (f_high > 0.0) {
            (high, f_high) = (x, f_x);
            if side == 1 {
                f_low *= 0.5;
            }
            side = 1;
        } else {
            (low, f_low) = (x, f_x);
            if side == -1 {
                f_high *= 0.5;
            }
            side = -1;
        }
    }
    if f_high.abs() < f_low.abs() {
        high
    } else {
        low
    }
}
