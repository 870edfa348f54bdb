//! The spindle in its bearing, and the stack of widths.

use super::check::Verdict;
use super::refusal;
use crate::job::assembly::{Condition, State};
use crate::job::readings::{Readings, StackJob};
use crate::mechanics::fit::{self, Sits};
use crate::mechanics::measurement::{self, Slope};
use crate::mechanics::stack::{self, Stack};
use crate::units::*;

/// Step between stations from which a worn spindle is usually replaced (mm): common practice, no source.
pub const WORN_STEP_MM: f64 = 0.01;
/// Two stations are the same below this distance (m).
const SAME_STATION: f64 = 1e-6;

/// One station along the seat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Where.
    pub at: Length,
    /// Mean of the readings.
    pub mean: Length,
    /// Number of readings.
    pub readings: usize,
    /// Expanded uncertainty of the mean (k = 2).
    pub uncertainty: Length,
    /// Greatest less least mean over the directions; nothing below two directions.
    pub out_of_round: Option<Length>,
    /// Clearance band there.
    pub clearance: Option<(Length, Length)>,
}

/// The readings taken together.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// Stations in their order along the seat.
    pub stations: Vec<Station>,
    /// Mean of the stations' means.
    pub mean: Length,
    /// Its expanded uncertainty (k = 2).
    pub uncertainty: Length,
    /// Standard deviation of one reading, with its degrees of freedom; nothing without repeats.
    pub repeatability: Option<(Length, usize)>,
    /// Taper along the seat; nothing below two stations.
    pub taper: Option<Slope>,
    /// Greatest less least station mean.
    pub step: Length,
    /// Greatest out-of-round.
    pub out_of_round: Option<Length>,
}

/// Does the size lie within its class?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InClass {
    /// With its whole uncertainty.
    Inside,
    /// With its whole uncertainty it lies outside.
    Outside,
    /// The uncertainty reaches over a limit.
    Open,
}

/// How much room the adjuster has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Room {
    /// In every case the adjuster reaches.
    Fits,
    /// Within root-sum-square it reaches, in the worst case not.
    MayBeOver,
    /// The same at the other end.
    MayBeUnder,
    /// At nominal there is no room: too wide.
    Over,
    /// At nominal the adjuster bottoms: too narrow.
    Under,
    /// Wide enough, but without the travel nothing is said about the other end.
    TravelMissing,
}

/// The stack judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StackReport {
    /// Added up.
    pub sum: Stack,
    /// What the adjuster has to close, nominal.
    pub to_close: Length,
    /// Travel left after closing, nominal.
    pub travel_left: Option<Length>,
    /// Turns to close, and turns left.
    pub turns: Option<(Ratio, Option<Ratio>)>,
    /// In words.
    pub room: Room,
}

/// Everything about spindle, bearing and stack.
#[derive(Debug, Clone, PartialEq)]
pub struct SpindleReport {
    /// The readings.
    pub measured: Option<Measured>,
    /// Clearance band.
    pub clearance: Option<(Length, Length)>,
    /// The band rests on the class, not on readings.
    pub by_class: bool,
    /// How it sits.
    pub sits: Option<Sits>,
    /// At the loosest and at the tightest station, where they differ from the whole.
    pub ends: Option<(Sits, Sits)>,
    /// Against its class.
    pub in_class: Option<InClass>,
    /// The stack.
    pub stack: Option<StackReport>,
    /// Overall.
    pub verdict: Verdict,
}

/// Places of a station: direction (rad) and readings.
type Places = Vec<(Option<f64>, Vec<Length>)>;

fn measured(bench: &Readings) -> Option<Measured> {
    let spindle = bench.spindle.as_ref()?;
    let mut stations: Vec<(f64, Places)> = Vec::new();
    for r in &spindle.readings {
        let at = si(r.at);
        let i = match stations
            .iter()
            .position(|s| (s.0 - at).abs() < SAME_STATION)
        {
            Some(i) => i,
            None => {
                stations.push((at, Vec::new()));
                stations.len() - 1
            }
        };
        let angle = r.angle.map(si);
        let same = |a: Option<f64>| match (a, angle) {
            (Some(a), Some(b)) => (a - b).abs() < SAME_STATION,
            (None, None) => true,
            _ => false,
        };
        let places = &mut stations[i].1;
        match places.iter_mut().find(|p| same(p.0)) {
            Some(place) => place.1.push(r.size),
            None => places.push((angle, vec![r.size])),
        }
    }
    if stations.is_empty() {
        return None;
    }
    stations.sort_by(|a, b| a.0.total_cmp(&b.0));
    let values = |places: &Places| places.iter().map(|p| p.1.clone()).collect::<Vec<_>>();
    let all: Vec<Vec<Length>> = stations.iter().flat_map(|s| values(&s.1)).collect();
    let repeatability = measurement::pooled(&all);
    let s = repeatability.map(|r| r.0);
    let limit = measurement::of_limit(spindle.error);
    let bore = bench.bearing.as_ref().and_then(|b| b.bore);
    let mut out = Vec::with_capacity(stations.len());
    let mut points = Vec::with_capacity(stations.len());
    let mut variance = 0.0;
    for (at, places) in &stations {
        let mean = measurement::mean_of_places(&values(places), s)?;
        let uncertainty = measurement::expanded(mean.spread, limit);
        let directions = places.iter().filter(|p| p.0.is_some()).count();
        variance += si(mean.spread).powi(2);
        points.push((from_si(*at), mean.value, uncertainty / 2.0));
        out.push(Station {
            at: from_si(*at),
            mean: mean.value,
            readings: mean.readings,
            uncertainty,
            out_of_round: (directions > 1).then_some(mean.range),
            clearance: bore.map(|b| {
                (
                    b.0 - mean.value - uncertainty,
                    b.1 - mean.value + uncertainty,
                )
            }),
        });
    }
    let n = out.len() as f64;
    let mean: f64 = out.iter().map(|s| si(s.mean)).sum::<f64>() / n;
    let (least, most) = out
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, m), s| {
            (l.min(si(s.mean)), m.max(si(s.mean)))
        });
    Some(Measured {
        mean: from_si(mean),
        // The instrument's error is common to all readings and does not average out.
        uncertainty: measurement::expanded(from_si(variance.sqrt() / n), limit),
        repeatability,
        taper: measurement::slope(&points),
        step: from_si(most - least),
        out_of_round: out.iter().filter_map(|s| s.out_of_round).fold(
            None,
            |most: Option<Length>, r| {
                Some(most.map_or(r, |m| crate::mechanics::formula::max(m, r)))
            },
        ),
        stations: out,
    })
}

fn judge_stack(job: &StackJob) -> StackReport {
    let parts: Vec<stack::Part> = job.parts.iter().map(|p| p.part).collect();
    let sum = stack::add(&parts);
    let close = |s: Length| stack::to_close(s, job.end_float);
    let (x, none) = (close(sum.nominal), mm(0.0));
    let travel_left = job.travel.map(|t| stack::travel_left(t, x));
    let room = if x < none {
        Room::Over
    } else if travel_left.is_some_and(|l| l < none) {
        Room::Under
    } else if close(sum.low) < none {
        Room::MayBeOver
    } else {
        match job.travel {
            None => Room::TravelMissing,
            Some(t) if close(sum.high) > t => Room::MayBeUnder,
            Some(_) => Room::Fits,
        }
    };
    StackReport {
        sum,
        to_close: x,
        travel_left,
        turns: job.pitch.map(|p| {
            (
                stack::turns(x, p),
                travel_left.map(|left| stack::turns(left, p)),
            )
        }),
        room,
    }
}

/// Is it within the root-sum-square that the adjuster does not reach?
pub fn likely_short(job: &StackJob, report: &StackReport) -> bool {
    let (low, high) = (
        report.to_close - report.sum.rss,
        report.to_close + report.sum.rss,
    );
    low < mm(0.0) || job.travel.is_some_and(|t| high > t)
}

/// Judges what the bench holds, under the preconditions of the job's sides.
pub fn judge(bench: &Readings, conditions: &[Condition]) -> SpindleReport {
    let measured = measured(bench);
    let bore = bench.bearing.as_ref().and_then(|b| b.bore);
    let spindle = bench.spindle.as_ref();
    let class = spindle.and_then(|s| s.class.as_ref());
    let nominal = spindle
        .and_then(|s| s.nominal)
        .or(bench.bearing.as_ref().map(|b| b.nominal));
    let band = class
        .zip(nominal)
        .map(|((_, l), n)| (n + l.value.lower, n + l.value.upper));
    let size = measured
        .as_ref()
        .map(|m| (m.mean - m.uncertainty, m.mean + m.uncertainty));
    let clearance = bore.zip(size.or(band)).map(|(b, s)| (b.0 - s.1, b.1 - s.0));
    let sits = clearance.map(|(low, high)| fit::sits(low, high));
    let ends = measured.as_ref().and_then(|m| {
        let at = |s: &Station| s.clearance.map(|(l, h)| fit::sits(l, h));
        let least = m
            .stations
            .iter()
            .min_by(|a, b| a.mean.value.total_cmp(&b.mean.value))?;
        let most = m
            .stations
            .iter()
            .max_by(|a, b| a.mean.value.total_cmp(&b.mean.value))?;
        at(least).zip(at(most))
    });
    let in_class = size.zip(band).map(|(s, b)| {
        if s.0 >= b.0 && s.1 <= b.1 {
            InClass::Inside
        } else if s.1 < b.0 || s.0 > b.1 {
            InClass::Outside
        } else {
            InClass::Open
        }
    });
    let stack = bench.stack.as_ref().map(judge_stack);
    let mut verdict = match sits {
        Some(Sits::Sliding) => Verdict::Meets,
        Some(Sits::Transition) => Verdict::Marginal,
        Some(Sits::Loose | Sits::Tight) => Verdict::FallsShort,
        // A stack can be judged without a spindle; a spindle without its bearing cannot.
        None if spindle.is_none() && bench.bearing.is_none() && stack.is_some() => Verdict::Meets,
        None => Verdict::NotJudged,
    };
    if let Some(report) = &stack {
        verdict = verdict.worse(match report.room {
            Room::Fits => Verdict::Meets,
            Room::MayBeOver | Room::MayBeUnder => Verdict::Marginal,
            Room::Over | Room::Under => Verdict::FallsShort,
            Room::TravelMissing => Verdict::NotJudged,
        });
    }
    let gate = |c: &Condition| [c.no_crack, c.not_moved, c.no_crash, c.unregulated_use];
    if conditions.iter().any(refusal) {
        verdict = Verdict::Refused;
    } else if conditions.iter().any(|c| gate(c).contains(&State::Unknown)) {
        verdict = verdict.worse(Verdict::NotJudged);
    }
    SpindleReport {
        by_class: measured.is_none(),
        measured,
        clearance,
        sits,
        ends,
        in_class,
        stack,
        verdict,
    }
}
