//! How well a counted share is known.

/// Standard normal quantile of 97.5 %, from memory; the test holds the interval against a general library.
const Z: f64 = 1.959_963_984_540_054;

/// A share of samples with its 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// Counted share.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// Wilson's score interval (Wilson 1927, published method, recalled): keeps its sense where none or all were counted.
///
/// Nothing without a sample.
pub fn wilson(count: u64, of: u64) -> Option<Share> {
    if of == 0 || count > of {
        return None;
    }
    let (n, value) = (of as f64, count as f64 / of as f64);
    let z2 = Z * Z;
    let middle = (value + z2 / (2.0 * n)) / (1.0 + z2 / n);
    let half = Z / (1.0 + z2 / n) * (value * (1.0 - value) / n + z2 / (4.0 * n * n)).sqrt();
    // At none and all an end is exact, which the difference of two roundings would miss.
    Some(Share {
        value,
        low: if count == 0 { 0.0 } else { middle - half },
        high: if count == of { 1.0 } else { middle + half },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_interval_holds_the_share() {
        // 1 of 10: 0.017876 … 0.404150, computed with SciPy 1.17.1, `binomtest(1, 10).proportion_ci(method="wilson")`.
        let one = wilson(1, 10).expect("a share");
        assert!((one.low - 0.017_876).abs() < 1e-6 && (one.high - 0.404_150).abs() < 1e-6);
        let none = wilson(0, 1000).expect("a share");
        assert_eq!((none.value, none.low), (0.0, 0.0));
        assert!(none.high > 0.003 && none.high < 0.004);
        assert_eq!(wilson(1000, 1000).map(|s| s.high), Some(1.0));
        assert_eq!(wilson(0, 0), None);
    }
}
