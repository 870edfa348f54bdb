//! Between which values of one entry every margin is kept, by search on the full model.

use crate::assess::check::{Check, CheckId, Verdict};
use crate::assess::{Assessment, assess, informs};
use crate::job::vary::{Impossible, Scratch, Varying};
use crate::mechanics::pedal::Side;

/// What one value comes to.
#[derive(Debug, Clone, PartialEq)]
enum At {
    Kept,
    Short(Side, CheckId),
    Impossible(Impossible),
    NoSeat,
}

/// What ends a stretch of values.
#[derive(Debug, Clone, PartialEq)]
pub enum End {
    /// Nothing within the range that was looked through.
    Nothing,
    /// This check falls short beyond it.
    Check(Side, CheckId),
    /// There can be no such parts beyond it.
    Impossible(Impossible),
    /// Nothing of the face lies under the flange beyond it.
    NoSeat,
}

/// Values that keep every margin.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// The lowest, SI base units.
    pub low: f64,
    /// What ends it there.
    pub below: End,
    /// The highest.
    pub high: f64,
    /// What ends it there.
    pub above: End,
    /// The verdict in its middle.
    pub verdict: Verdict,
}

/// The best that there is where no value keeps every margin.
#[derive(Debug, Clone, PartialEq)]
pub struct Best {
    /// The value, SI base units.
    pub value: f64,
    /// What falls short there most.
    pub short: (Side, CheckId),
    /// By how much: the ratio over what is required, less one.
    pub margin: f64,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// The range that was looked through, SI base units.
    pub range: (f64, f64),
    /// Every stretch of values that keep every margin, the lowest first.
    pub stretches: Vec<Stretch>,
    /// Where there is none.
    pub best: Option<Best>,
}

/// Values looked at before anything is refined: a stretch between two of them is not seen. Common practice, no source.
const SCAN: usize = 401;
/// An end is found to this share of its value.
const TOLERANCE: f64 = 1e-12;

/// Looks through a range of the one entry that is free; `by_ratio` steps by equal ratios.
pub fn solve(varying: &Varying, (from, to): (f64, f64), by_ratio: bool) -> Solved {
    let mut scratch = varying.scratch();
    let value = |i: usize| {
        let share = i as f64 / (SCAN - 1) as f64;
        match i {
            0 => from,
            i if i + 1 == SCAN => to,
            _ if by_ratio => from * (to / from).powf(share),
            _ => from + (to - from) * share,
        }
    };
    let mut values: Vec<f64> = (0..SCAN).map(value).collect();
    // A job that keeps its margins must be seen to do so.
    let own = varying.kinds().first().and_then(|v| v.nominal);
    values.extend(own.filter(|own| (from..=to).contains(own)));
    values.sort_by(f64::total_cmp);
    values.dedup();
    let found: Vec<At> = values
        .iter()
        .map(|v| at(varying, *v, &mut scratch))
        .collect();
    let mut stretches = Vec::new();
    let mut i = 0;
    while i < found.len() {
        if found[i] != At::Kept {
            i += 1;
            continue;
        }
        let first = i;
        while i + 1 < found.len() && found[i + 1] == At::Kept {
            i += 1;
        }
        let (low, below) = match first.checked_sub(1) {
            Some(before) => edge(varying, values[first], values[before], &mut scratch),
            None => (values[first], End::Nothing),
        };
        let (high, above) = match values.get(i + 1) {
            Some(after) => edge(varying, values[i], *after, &mut scratch),
            None => (values[i], End::Nothing),
        };
        stretches.push(Stretch {
            low,
            below,
            high,
            above,
            verdict: verdict(varying, 0.5 * (low + high), &mut scratch),
        });
        i += 1;
    }
    let best = if stretches.is_empty() {
        best(varying, &values, &mut scratch)
    } else {
        None
    };
    Solved {
        range: (from, to),
        stretches,
        best,
    }
}

/// The last value that keeps every margin between one that does and one that does not, and what ends it.
fn edge(varying: &Varying, kept: f64, lost: f64, scratch: &mut Scratch) -> (f64, End) {
    let (mut kept, mut lost) = (kept, lost);
    let mut why = at(varying, lost, scratch);
    while (kept - lost).abs() > TOLERANCE * kept.abs().max(lost.abs()) {
        let middle = 0.5 * (kept + lost);
        if middle == kept || middle == lost {
            break;
        }
        match at(varying, middle, scratch) {
            At::Kept => kept = middle,
            other => (lost, why) = (middle, other),
        }
    }
    let end = match why {
        At::Short(side, id) => End::Check(side, id),
        At::Impossible(why) => End::Impossible(why),
        At::NoSeat => End::NoSeat,
        At::Kept => End::Nothing,
    };
    (kept, end)
}

/// The checks that count, with the one that is shortest of all that fall short first.
fn shortest(a: &crate::job::Assembly, r: &Assessment) -> Option<Check> {
    let margin = |c: &Check| {
        let margin = c.margin();
        if margin.is_nan() {
            f64::INFINITY
        } else {
            margin
        }
    };
    r.checks
        .iter()
        .flatten()
        .filter(|c| c.verdict == Verdict::FallsShort && !informs(a, c.id))
        .min_by(|x, y| margin(x).total_cmp(&margin(y)))
        .copied()
}

fn at(varying: &Varying, value: f64, scratch: &mut Scratch) -> At {
    if let Err(why) = varying.put(&[value], scratch) {
        return At::Impossible(why);
    }
    for a in &scratch.sides {
        let Ok(r) = assess(a) else {
            return At::NoSeat;
        };
        if let Some(check) = shortest(a, &r) {
            return At::Short(a.side, check.id);
        }
    }
    At::Kept
}

fn verdict(varying: &Varying, value: f64, scratch: &mut Scratch) -> Verdict {
    if varying.put(&[value], scratch).is_err() {
        return Verdict::NotJudged;
    }
    let of = |a| assess(a).map_or(Verdict::NotJudged, |r| r.verdict);
    scratch
        .sides
        .iter()
        .map(of)
        .fold(Verdict::Meets, Verdict::worse)
}

/// The value at which what falls short most falls short least.
fn best(varying: &Varying, values: &[f64], scratch: &mut Scratch) -> Option<Best> {
    let mut at = |value: f64| -> Option<Best> {
        varying.put(&[value], scratch).ok()?;
        let mut worst: Option<Best> = None;
        for a in &scratch.sides {
            let r = assess(a).ok()?;
            if let Some(check) = shortest(a, &r) {
                let margin = check.margin();
                if worst.as_ref().is_none_or(|w| margin < w.margin) {
                    worst = Some(Best {
                        value,
                        short: (a.side, check.id),
                        margin,
                    });
                }
            }
        }
        worst
    };
    let scanned: Vec<Option<Best>> = values.iter().map(|v| at(*v)).collect();
    let (i, found) = scanned
        .into_iter()
        .enumerate()
        .filter_map(|(i, b)| Some((i, b?)))
        .max_by(|a, b| a.1.margin.total_cmp(&b.1.margin))?;
    // Between its neighbours the golden section finds it closer.
    let mut best = found;
    let (mut low, mut high) = (
        values[i.saturating_sub(1)],
        values[(i + 1).min(values.len() - 1)],
    );
    let golden = 0.5 * (5f64.sqrt() - 1.0);
    for _ in 0..40 {
        let (left, right) = (high - golden * (high - low), low + golden * (high - low));
        let of = |b: &Option<Best>| b.as_ref().map_or(f64::NEG_INFINITY, |b| b.margin);
        let (a, b) = (at(left), at(right));
        if of(&a) > of(&b) {
            high = right;
        } else {
            low = left;
        }
        for one in [a, b].into_iter().flatten() {
            if one.margin > best.margin {
                best = one;
            }
        }
    }
    Some(best)
}
