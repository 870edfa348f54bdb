//! Finding roots and summits of smooth functions of one variable.

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

/// The greatest magnitude of a field that was sampled at stations, refined around the highest of them.
///
/// The field is smooth within each of the `parts`, ranges of stations; between them it may have kinks.
pub fn highest(
    stations: &[f64],
    sampled: &[f64],
    parts: impl Iterator<Item = std::ops::Range<usize>>,
    exact: impl Fn(f64) -> f64,
) -> f64 {
    let mut top = 0.0f64;
    for part in parts {
        let Some(best) = part
            .clone()
            .max_by(|&i, &j| sampled[i].abs().total_cmp(&sampled[j].abs()))
        else {
            continue;
        };
        let here = sampled[best].abs();
        top = top.max(here);
        // A summit at the part's end that falls away from it is the summit; a part that stays far below
        // the highest cannot hide one.
        let inward = if best == part.start {
            stations[best] + 1e-3 * (stations[best + 1] - stations[best])
        } else {
            stations[best]
        };
        let inward = if best + 1 == part.end {
            stations[best] - 1e-3 * (stations[best] - stations[best - 1])
        } else {
            inward
        };
        if here < 0.8 * top || (inward != stations[best] && exact(inward) <= here) {
            continue;
        }
        let (mut a, mut b) = (
            stations[best.saturating_sub(1).max(part.start)],
            stations[(best + 1).min(part.end - 1)],
        );
        let ratio = 0.618_033_988_749_895;
        for _ in 0..24 {
            let (left, right) = (b - ratio * (b - a), a + ratio * (b - a));
            let (f_left, f_right) = (exact(left), exact(right));
            top = top.max(f_left).max(f_right);
            if f_left > f_right {
                b = right
            } else {
                a = left
            }
        }
    }
    top
}
