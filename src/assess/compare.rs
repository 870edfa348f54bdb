//! Several assessments side by side: which is the better, and what differs.

use super::check::{Check, CheckId, Verdict};
use super::{Assessed, Checks, informs};
use crate::job::assembly::Assembly;
use std::cmp::Ordering;

/// What the order goes by: the verdict, then the lowest strength margin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standing {
    /// The verdict.
    pub verdict: Verdict,
    /// The lowest margin of a strength check; infinite where none is judged.
    pub lowest: f64,
}

impl Standing {
    /// Of one side.
    pub fn of(assessed: &Assessed) -> Standing {
        let a = &assessed.assessment;
        Standing {
            verdict: a.verdict,
            lowest: a
                .governing
                .and_then(|id| a.checks[id.index()])
                .map_or(f64::INFINITY, |c| c.margin()),
        }
    }
    /// The better first.
    pub fn order(&self, other: &Standing) -> Ordering {
        self.verdict
            .rank()
            .cmp(&other.verdict.rank())
            .then(other.lowest.total_cmp(&self.lowest))
    }
    /// Does it meet what is required?
    pub fn serves(&self) -> bool {
        matches!(self.verdict, Verdict::Meets | Verdict::Marginal)
    }
}

/// The side that stands worst, which is the standing of the whole job.
pub fn worst(sides: &[Assessed]) -> Option<(usize, Standing)> {
    sides
        .iter()
        .map(Standing::of)
        .enumerate()
        // The first of equals, as printed.
        .reduce(|a, b| if b.1.order(&a.1).is_gt() { b } else { a })
}

/// A check that differs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// Which check.
    pub id: CheckId,
    /// As it was.
    pub old: Option<Check>,
    /// As it is now.
    pub new: Option<Check>,
    weight: f64,
}

/// A ratio that moves by less than this share is the same.
const SAME: f64 = 0.01;

/// What differs from another assessment, the most telling first: what governs, then verdicts that turn.
pub fn differences(
    a: &Assembly,
    new: &Checks,
    old: &Checks,
    governs: Option<CheckId>,
) -> Vec<Difference> {
    let mut out: Vec<Difference> = CheckId::ALL
        .into_iter()
        .filter_map(|id| {
            let (new, old) = (new[id.index()], old[id.index()]);
            let moved = match (&new, &old) {
                (Some(n), Some(o)) => moved(n, o),
                (None, None) => 0.0,
                _ => f64::INFINITY,
            };
            let turned = new.map(|c| c.verdict) != old.map(|c| c.verdict);
            (turned || moved > SAME).then(|| {
                let decides = !informs(a, id);
                // No ratio moves by a power of ten that counts against a verdict.
                let weight = moved.min(10.0)
                    + if turned && decides { 20.0 } else { 0.0 }
                    + if governs == Some(id) { 40.0 } else { 0.0 };
                Difference {
                    id,
                    old,
                    new,
                    weight,
                }
            })
        })
        .collect();
    out.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    out
}

/// How far a ratio has moved, as the logarithm of its factor.
fn moved(new: &Check, old: &Check) -> f64 {
    // A reserve of nothing against one of something is the largest change there is.
    let least = 1e-6;
    let change = (new.ratio.max(least) / old.ratio.max(least)).ln().abs();
    if new.ratio.is_finite() && old.ratio.is_finite() {
        change
    } else {
        0.0
    }
}
