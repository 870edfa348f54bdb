//! Random numbers that depend on the seed and the number of the sample alone, and the distributions made of them.
//!
//! The generator is ChaCha with eight rounds (Bernstein's cipher as a generator, published method): its output at any
//! position is computed from that position, so that a sample draws the same numbers on any thread of any machine.

use chacha20::ChaCha8Rng;
use chacha20::rand_core::{Rng, SeedableRng};
use statrs::function::erf::{erfc, erfc_inv};

/// Normal distributions are cut at so many standard deviations (engineering basis, section 14).
pub const CUT: f64 = 4.0;

/// How an input is spread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Distribution {
    /// Normal, cut at [`CUT`] standard deviations.
    Normal {
        /// Its middle.
        mean: f64,
        /// Its standard deviation, before the cut.
        deviation: f64,
    },
    /// Every value between two is as likely as another.
    Rectangular {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// The same of its logarithm: for a factor, half is as likely as twice.
    LogRectangular {
        /// Lower end, above 0.
        low: f64,
        /// Upper end.
        high: f64,
    },
}

impl Distribution {
    /// The value below which a share `u` of all lies.
    pub fn quantile(&self, u: f64) -> f64 {
        match *self {
            Distribution::Normal { mean, deviation } => mean + deviation * cut_normal(u),
            Distribution::Rectangular { low, high } => low + u * (high - low),
            Distribution::LogRectangular { low, high } => low * (high / low).powf(u),
        }
    }
}

/// The standard normal's quantile, cut at both ends.
fn cut_normal(u: f64) -> f64 {
    let root = std::f64::consts::SQRT_2;
    // Of the whole distribution this share lies below the cut.
    let tail = BELOW_CUT.get_or_init(|| 0.5 * erfc(CUT / root));
    let p = tail + u * (1.0 - 2.0 * tail);
    (-root * erfc_inv(2.0 * p)).clamp(-CUT, CUT)
}

static BELOW_CUT: std::sync::OnceLock<f64> = std::sync::OnceLock::new();

/// The stream of numbers of a study.
pub struct Draws {
    generator: ChaCha8Rng,
    inputs: usize,
}

impl Draws {
    /// Of a study with this seed, in which each sample draws `inputs` numbers.
    pub fn new(seed: u64, inputs: usize) -> Draws {
        let mut key = [0; 32];
        key[..8].copy_from_slice(&seed.to_le_bytes());
        Draws {
            generator: ChaCha8Rng::from_seed(key),
            inputs,
        }
    }
    /// Goes to the numbers of a sample; those of the next follow them.
    pub fn seek(&mut self, sample: u64) {
        // Each number takes two words of 32 bits.
        let word = u128::from(sample) * self.inputs as u128 * 2;
        self.generator.set_word_pos(word);
    }
    /// The next number, above 0 and at most 1.
    pub fn uniform(&mut self) -> f64 {
        ((self.generator.next_u64() >> 11) as f64 + 0.5) * (1.0 / (1u64 << 53) as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Another version of the generator must not change a study in silence.
    #[test]
    fn the_first_numbers_stay() {
        let mut draws = Draws::new(1, 3);
        draws.seek(0);
        let first: Vec<f64> = (0..9).map(|_| draws.uniform()).collect();
        assert_eq!(first[0], 0.3814894132382611);
        draws.seek(2);
        let third: Vec<f64> = (0..3).map(|_| draws.uniform()).collect();
        assert_eq!(third, first[6..]);
        assert_ne!(Draws::new(2, 3).uniform(), first[0]);
    }

    /// Against printed quantiles of the normal distribution, and the moments of a cut one.
    #[test]
    fn quantiles_are_those_of_the_distribution() {
        let normal = Distribution::Normal {
            mean: 10.0,
            deviation: 2.0,
        };
        assert_eq!(normal.quantile(0.5), 10.0);
        // 1.959964 is printed in every table; the cut moves it by 2 · 3.167e-5 of the tail's slope.
        assert!((normal.quantile(0.975) - (10.0 + 2.0 * 1.959964)).abs() < 2e-3);
        assert!((normal.quantile(1e-16) - 2.0).abs() < 1e-6);
        assert!(normal.quantile(1.0 - 1e-16) <= 18.0);
        // Variance of a normal cut at ±c: 1 − 2·c·φ(c)/(1 − 2·Φ(−c)).
        let n = 200_000;
        let square: f64 = (0..n)
            .map(|i| (normal.quantile((f64::from(i) + 0.5) / f64::from(n)) - 10.0).powi(2))
            .sum();
        let phi = (-8.0f64).exp() / std::f64::consts::TAU.sqrt();
        let cut = 1.0 - 8.0 * phi / (1.0 - 2.0 * 3.167124e-5);
        assert!((square / f64::from(n) / 4.0 - cut).abs() < 1e-6);
        let log = Distribution::LogRectangular {
            low: 0.5,
            high: 2.0,
        };
        assert!((log.quantile(0.5) - 1.0).abs() < 1e-15);
        let flat = Distribution::Rectangular {
            low: 1.0,
            high: 2.0,
        };
        assert_eq!(flat.quantile(0.25), 1.25);
    }
}
