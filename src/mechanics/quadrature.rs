//! Sums of a solved field over a length: a check of a solution against its loads, not a step of it.

/// Nodes and weights of the Gauss-Legendre rule with eight points on −1..1, one of each pair.
/// Source: closed mathematics, zeros of the eighth Legendre polynomial; a test integrates what it must integrate exactly.
const GAUSS: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_5),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_3),
];

/// Integrals of `N` fields over the stretch from the first of `breaks` to the last; between two of them the fields are
/// smooth and fade over `layer` at the soonest (all three of one unit).
///
/// Each stretch is cut into panels of a layer's length, at most 400: beyond, what fades has long faded.
pub fn integrals<const N: usize>(
    breaks: &[f64],
    layer: f64,
    field: impl Fn(f64) -> [f64; N],
) -> [f64; N] {
    let mut sums = [0.0; N];
    for pair in breaks.windows(2) {
        let panels = ((pair[1] - pair[0]) / layer).ceil().clamp(4.0, 400.0);
        let h = (pair[1] - pair[0]) / panels;
        for k in 0..panels as usize {
            let mid = pair[0] + (k as f64 + 0.5) * h;
            for (node, weight) in GAUSS {
                for x in [mid - 0.5 * h * node, mid + 0.5 * h * node] {
                    for (sum, value) in sums.iter_mut().zip(field(x)) {
                        *sum += 0.5 * h * weight * value;
                    }
                }
            }
        }
    }
    sums
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn powers_up_to_the_fifteenth_are_exact() {
        let [even, odd] = integrals(&[-1.0, 0.5, 2.0], 10.0, |x| [x.powi(14), x.powi(15)]);
        let exact = |n: i32| (2f64.powi(n) - (-1f64).powi(n)) / f64::from(n);
        assert!((even / exact(15) - 1.0).abs() < 1e-13, "{even}");
        assert!((odd / exact(16) - 1.0).abs() < 1e-13, "{odd}");
    }

    #[test]
    fn a_layer_at_an_end_is_resolved() {
        let [sum] = integrals(&[0.0, 1.0], 1e-2, |x| [(-x / 1e-2).exp()]);
        assert!((sum / 1e-2 - 1.0).abs() < 1e-13, "{sum}");
    }
}
