//! Quantiles of a stream of numbers in constant memory.
//!
//! A short study keeps its numbers. A long one counts them in fixed bins: a number's bin is given by its sign, its
//! exponent and the first bits of its mantissa, so that all bins are equally wide beside the numbers in them, none has
//! to be chosen beforehand, and two counts are added bin by bin as whole numbers.

use serde::{Deserialize, Serialize};

/// Bits of the mantissa that count for a number's bin.
const BITS: u32 = 10;
/// Bits that do not.
const SHIFT: u32 = f64::MANTISSA_DIGITS - 1 - BITS;
/// Half a bin's width beside the least number in it: a quantile found from bins is off by no more.
pub const BIN_ERROR: f64 = 1.0 / (1u64 << (BITS + 1)) as f64;
/// Below this a magnitude counts as 0, from its inverse on as infinite: 2⁻¹⁰⁰ of any SI unit is no measurable quantity.
const LEAST: f64 = 1.0 / (1u128 << 100) as f64;
/// Bins that a window grows beyond the number that made it grow.
const SLACK: usize = 32;

/// Does a number count as one, and not as infinite or as none?
#[inline]
pub fn is_finite(value: f64) -> bool {
    value.abs() < 1.0 / LEAST
}

/// Counts over a run of neighbouring bins, which grows to where numbers fall.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
struct Window {
    first: u32,
    counts: Vec<u64>,
}

impl Window {
    #[inline]
    fn add(&mut self, key: u32, n: u64) {
        let at = key.wrapping_sub(self.first) as usize;
        match self.counts.get_mut(at) {
            Some(count) => *count += n,
            None => self.grow(key, n),
        }
    }
    #[cold]
    fn grow(&mut self, key: u32, n: u64) {
        if self.counts.is_empty() {
            self.first = key;
            self.counts.push(0);
        } else if key < self.first {
            let more = ((self.first - key) as usize + SLACK).min(self.first as usize);
            self.counts.splice(0..0, std::iter::repeat_n(0, more));
            self.first -= more as u32;
        } else {
            let length = (key - self.first) as usize + 1 + SLACK;
            self.counts.resize(length, 0);
        }
        if let Some(count) = self.counts.get_mut((key - self.first) as usize) {
            *count += n;
        }
    }
    /// Every bin that holds something, in order.
    fn bins(&self) -> impl DoubleEndedIterator<Item = (u32, u64)> + '_ {
        let keys = self.counts.iter().enumerate();
        keys.filter(|(_, n)| **n > 0)
            .map(|(i, n)| (self.first + i as u32, *n))
    }
    /// Without empty bins at its ends, so that equal counts look equal.
    fn trim(&mut self) {
        let held = |n: &u64| *n > 0;
        let end = self.counts.iter().rposition(held).map_or(0, |i| i + 1);
        self.counts.truncate(end);
        let start = self.counts.iter().position(held).unwrap_or(0);
        self.counts.drain(..start);
        self.first = if self.counts.is_empty() {
            0
        } else {
            self.first + start as u32
        };
    }
    fn absorb(&mut self, other: &Window) {
        // The further end first, so that one growth serves.
        if let Some((key, n)) = other.bins().next() {
            self.add(key, n);
        }
        for (key, n) in other.bins().skip(1) {
            self.add(key, n);
        }
    }
}

/// The bin of a magnitude.
#[inline]
fn key(magnitude: f64) -> u32 {
    (magnitude.to_bits() >> SHIFT) as u32
}

/// The middle of a bin.
fn middle(key: u32) -> f64 {
    f64::from_bits((u64::from(key) << SHIFT) | (1 << (SHIFT - 1)))
}

/// The numbers themselves, or how many fell into each bin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Store {
    Exact(Vec<f64>),
    Bins {
        negative: Window,
        positive: Window,
        /// The least and the greatest number that fell into a bin: no quantile lies beyond, and one number that
        /// came every time is itself and not the middle of its bin.
        ends: Option<(f64, f64)>,
    },
}

/// Takes further ends into the ends of a range.
#[inline]
fn widen(ends: &mut Option<(f64, f64)>, (least, greatest): (f64, f64)) {
    let (a, b) = ends.unwrap_or((least, greatest));
    *ends = Some((
        if least < a { least } else { a },
        if greatest > b { greatest } else { b },
    ));
}

/// What is known of a stream of numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tally {
    /// Samples without a number.
    absent: u64,
    below: u64,
    zero: u64,
    above: u64,
    store: Store,
}

impl Tally {
    /// One that keeps the numbers, or counts them in bins.
    pub fn new(exact: bool) -> Tally {
        let store = if exact {
            Store::Exact(Vec::new())
        } else {
            Store::Bins {
                negative: Window::default(),
                positive: Window::default(),
                ends: None,
            }
        };
        Tally {
            absent: 0,
            below: 0,
            zero: 0,
            above: 0,
            store,
        }
    }
    /// Takes a number in; not a number means that there is none.
    #[inline]
    pub fn add(&mut self, value: f64) {
        let magnitude = value.abs();
        if (LEAST..1.0 / LEAST).contains(&magnitude) {
            match &mut self.store {
                Store::Exact(values) => values.push(value),
                Store::Bins {
                    negative,
                    positive,
                    ends,
                } => {
                    widen(ends, (value, value));
                    let window = if value < 0.0 { negative } else { positive };
                    window.add(key(magnitude), 1);
                }
            }
        } else if magnitude < LEAST {
            self.zero += 1;
        } else if value.is_nan() {
            self.absent += 1;
        } else if value > 0.0 {
            self.above += 1;
        } else {
            self.below += 1;
        }
    }
    /// Takes over what another tally of the same kind counted.
    pub fn absorb(&mut self, other: &Tally) {
        self.absent += other.absent;
        self.below += other.below;
        self.zero += other.zero;
        self.above += other.above;
        match (&mut self.store, &other.store) {
            (Store::Exact(own), Store::Exact(others)) => own.extend_from_slice(others),
            (
                Store::Bins {
                    negative,
                    positive,
                    ends,
                },
                Store::Bins {
                    negative: n,
                    positive: p,
                    ends: others,
                },
            ) => {
                negative.absorb(n);
                positive.absorb(p);
                if let Some(others) = others {
                    widen(ends, *others);
                }
            }
            _ => {}
        }
    }
    /// Puts it into the one form that equal counts have; quantiles need it.
    pub fn settle(&mut self) {
        match &mut self.store {
            Store::Exact(values) => values.sort_unstable_by(f64::total_cmp),
            Store::Bins {
                negative, positive, ..
            } => {
                negative.trim();
                positive.trim();
            }
        }
    }
    /// Can two tallies be added?
    pub fn like(&self, other: &Tally) -> bool {
        std::mem::discriminant(&self.store) == std::mem::discriminant(&other.store)
    }
    /// Samples taken in, with a number or without; nothing where the tally cannot be, as it may be in a file.
    pub fn samples(&self) -> Option<u64> {
        let whole = |w: &Window| {
            let ends = w.first as usize + w.counts.len() <= 1 << (u64::BITS - 1 - SHIFT);
            let sum = w.counts.iter().try_fold(0u64, |sum, n| sum.checked_add(*n));
            sum.filter(|_| ends)
        };
        let finite = match &self.store {
            Store::Exact(values) => values
                .iter()
                .all(|v| v.is_finite())
                .then_some(values.len() as u64),
            Store::Bins {
                negative,
                positive,
                ends,
            } => {
                let sum = whole(negative)?.checked_add(whole(positive)?);
                let known = ends.is_some_and(|(a, b)| a <= b && is_finite(a) && is_finite(b));
                sum.filter(|n| known == (*n > 0))
            }
        };
        [self.below, self.zero, self.above, self.absent]
            .into_iter()
            .try_fold(finite?, |sum, n| sum.checked_add(n))
    }
    /// How many numbers there are, infinite ones counted.
    pub fn count(&self) -> u64 {
        let finite = match &self.store {
            Store::Exact(values) => values.len() as u64,
            Store::Bins {
                negative, positive, ..
            } => {
                let sum = |w: &Window| w.counts.iter().sum::<u64>();
                sum(negative) + sum(positive)
            }
        };
        self.below + finite + self.zero + self.above
    }
    /// Samples without a number.
    pub fn absent(&self) -> u64 {
        self.absent
    }
    /// Samples with an infinite number.
    pub fn infinite(&self) -> u64 {
        self.below + self.above
    }
    /// The least number that at least a share `p` of all do not exceed; nothing without a number.
    pub fn quantile(&self, p: f64) -> Option<f64> {
        let count = self.count();
        // A product that is a whole number but for its last digit must not count as one more.
        let rank = ((p * count as f64 - 1e-9).ceil().max(1.0) as u64).min(count);
        let mut passed = 0;
        self.runs()
            .find(|(_, n)| {
                passed += n;
                passed >= rank
            })
            .map(|(value, _)| self.within(value))
            .filter(|_| count > 0)
    }
    /// The middle of a bin, but no farther out than any number was.
    fn within(&self, value: f64) -> f64 {
        match &self.store {
            Store::Bins {
                ends: Some((least, greatest)),
                ..
            } if is_finite(value) && value != 0.0 => value.min(*greatest).max(*least),
            _ => value,
        }
    }
    /// Numbers, or the middles of bins, with how often they came, in order.
    pub fn runs(&self) -> Box<dyn Iterator<Item = (f64, u64)> + '_> {
        let once = |value: f64, n: u64| std::iter::once((value, n)).filter(|(_, n)| *n > 0);
        let below = once(f64::NEG_INFINITY, self.below);
        let above = once(f64::INFINITY, self.above);
        let zero = once(0.0, self.zero);
        match &self.store {
            Store::Exact(values) => {
                let from = values.partition_point(|v| *v < 0.0);
                let (negative, positive) = values.split_at(from);
                let each = |list: &'_ [f64]| list.iter().map(|v| (*v, 1)).collect::<Vec<_>>();
                Box::new(
                    below
                        .chain(each(negative))
                        .chain(zero)
                        .chain(each(positive))
                        .chain(above),
                )
            }
            Store::Bins {
                negative, positive, ..
            } => Box::new(
                below
                    .chain(negative.bins().rev().map(|(k, n)| (-middle(k), n)))
                    .chain(zero)
                    .chain(positive.bins().map(|(k, n)| (middle(k), n)))
                    .chain(above),
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tally(exact: bool, values: impl IntoIterator<Item = f64>) -> Tally {
        let mut t = Tally::new(exact);
        values.into_iter().for_each(|v| t.add(v));
        t.settle();
        t
    }

    /// Numbers of either sign, over many orders, with zeros, infinite and absent ones.
    fn wild() -> Vec<f64> {
        let mut values: Vec<f64> = (0..4000)
            .map(|i| {
                let x = f64::from(i) / 4000.0;
                (x - 0.4) * 10f64.powf(12.0 * (x * 7.0).sin())
            })
            .collect();
        values.extend([
            0.0,
            -0.0,
            1e-300,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NAN,
        ]);
        values
    }

    #[test]
    fn bins_are_as_true_as_they_say() {
        let (exact, bins) = (tally(true, wild()), tally(false, wild()));
        assert_eq!(exact.count(), 4005);
        assert_eq!((bins.count(), bins.absent(), bins.infinite()), (4005, 1, 2));
        for i in 1..100 {
            let p = f64::from(i) / 100.0;
            let (a, b) = (
                exact.quantile(p).expect("one"),
                bins.quantile(p).expect("one"),
            );
            assert!((a - b).abs() <= a.abs() * BIN_ERROR, "{p}: {a} {b}");
        }
        assert_eq!(bins.quantile(0.0), Some(f64::NEG_INFINITY));
        assert_eq!(bins.quantile(1.0), Some(f64::INFINITY));
        assert_eq!(Tally::new(false).quantile(0.5), None);
    }

    /// A constant is itself, and no quantile lies beyond what came.
    #[test]
    fn bins_end_where_the_numbers_do() {
        for value in [1.0, -0.697_017_8, 3e-9] {
            let t = tally(false, [value; 7]);
            assert_eq!([0.025, 0.5, 0.975].map(|p| t.quantile(p)), [Some(value); 3]);
        }
        let t = tally(false, [1.000_01, 1.000_02, 1.000_03]);
        assert_eq!(
            (t.quantile(0.0), t.quantile(1.0)),
            (Some(1.000_03), Some(1.000_03))
        );
    }

    /// In whatever order and company numbers come, the tally is the same.
    #[test]
    fn order_and_parts_do_not_matter() {
        for exact in [true, false] {
            let whole = tally(exact, wild());
            let mut backwards = wild();
            backwards.reverse();
            assert_eq!(tally(exact, backwards.clone()), whole);
            let mut parts = tally(exact, backwards.drain(..1234));
            parts.absorb(&tally(exact, backwards));
            parts.settle();
            assert_eq!(parts, whole);
        }
    }

    #[test]
    fn quantiles_are_the_nearest_rank() {
        let t = tally(true, (1..=40).map(f64::from));
        assert_eq!(t.quantile(0.5), Some(20.0));
        assert_eq!(t.quantile(0.025), Some(1.0));
        assert_eq!(t.quantile(0.975), Some(39.0));
    }
}
