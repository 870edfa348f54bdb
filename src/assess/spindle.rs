//! The spindle in its bearing, and the stack of widths.

use super::check::Verdict;
use super::refusal;
use super::values::{Method, Put, Step, put, titled};
use crate::job::assembly::{Condition, State};
use crate::job::readings::{Readings, StackJob};
use crate::mechanics::fit::{self, Sits};
use crate::mechanics::measurement::{self, Slope};
use crate::mechanics::stack::{self, Stack};
use crate::units::*;

/// Step between stations from which a worn spindle is usually replaced (mm): common practice, no source.
pub const WORN_STEP_MM: f64 = 0.01;
/// Step above which the readings are in doubt before the spindle is (mm): common practice, no source.
pub const DOUBTFUL_STEP_MM: f64 = 0.3;
/// Two nominal sizes are the same below this distance (mm).
const SAME_NOMINAL_MM: f64 = 0.1;
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
    /// With every part at its worst: beyond what the adjuster backed off leaves, and beyond its travel.
    pub worst_over: Length,
    /// See [`StackReport::worst_over`]; nothing without the travel.
    pub worst_under: Option<Length>,
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
    /// Least and greatest size of the spindle behind that band: over all stations, each with its uncertainty.
    pub size: Option<(Length, Length)>,
    /// The band rests on the class, not on readings.
    pub by_class: bool,
    /// How it sits: at the station where it sits worst.
    pub sits: Option<Sits>,
    /// The stations differ by more than wear explains: nothing is judged on them.
    pub doubtful: bool,
    /// The spindle's nominal size and the bearing's, where they differ.
    pub nominals_differ: Option<(Length, Length)>,
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
        worst_over: none - close(sum.low),
        worst_under: job
            .travel
            .map(|t| none - stack::travel_left(t, close(sum.high))),
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

/// What a fit alone comes to.
pub fn of_fit(sits: Sits) -> Verdict {
    match sits {
        Sits::Sliding => Verdict::Meets,
        Sits::Transition => Verdict::Marginal,
        Sits::Loose | Sits::Tight => Verdict::FallsShort,
    }
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
    let doubtful = measured
        .as_ref()
        .is_some_and(|m| m.step > mm(DOUBTFUL_STEP_MM));
    let size = measured.as_ref().filter(|_| !doubtful).and_then(|m| {
        let ends = |s: &Station| (s.mean - s.uncertainty, s.mean + s.uncertainty);
        m.stations.iter().map(ends).reduce(|a, b| {
            (
                crate::mechanics::formula::min(a.0, b.0),
                crate::mechanics::formula::max(a.1, b.1),
            )
        })
    });
    // A class does not stand in for readings that are in doubt.
    let size = size.or(band.filter(|_| measured.is_none()));
    let clearance = bore.zip(size).map(|(b, s)| {
        (
            fit::least_clearance(b.0, s.1),
            fit::greatest_clearance(b.1, s.0),
        )
    });
    let of_all = clearance.map(|(low, high)| fit::sits(low, high));
    let sits = match &measured {
        Some(m) if !doubtful => m
            .stations
            .iter()
            .filter_map(|s| s.clearance.map(|(low, high)| fit::sits(low, high)))
            .reduce(|a, b| {
                if of_fit(a).worse(of_fit(b)) == of_fit(a) {
                    a
                } else {
                    b
                }
            }),
        _ => of_all,
    };
    let ends = measured.as_ref().filter(|_| !doubtful).and_then(|m| {
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
    let in_class = size.filter(|_| measured.is_some()).zip(band).map(|(s, b)| {
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
        Some(sits) => of_fit(sits),
        // A stack can be judged without a spindle; a spindle without its bearing cannot.
        None if spindle.is_none() && bench.bearing.is_none() && stack.is_some() => Verdict::Meets,
        None => Verdict::NotJudged,
    };
    if measured
        .as_ref()
        .is_some_and(|m| !doubtful && m.step > mm(WORN_STEP_MM))
    {
        verdict = verdict.worse(Verdict::Marginal);
    }
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
        size,
        sits,
        doubtful,
        nominals_differ: spindle
            .and_then(|s| s.nominal)
            .zip(bench.bearing.as_ref().map(|b| b.nominal))
            .filter(|(s, b)| (*s - *b).abs() > mm(SAME_NOMINAL_MM)),
        ends,
        in_class,
        stack,
        verdict,
    }
}

/// How repeated readings are taken together.
static READINGS: Method = Method {
    equations: "mean of the places at a station, then of the stations; s = pooled deviation of readings repeated at one place\nu of a mean = s/√n, of the instrument a/√3; U = 2·√(u_mean² + u_instrument²)",
    source: "GUM: 4.2.3 and 4.2.4 for the spread, 4.3.7 for the instrument's limit, 6.2.1 for k = 2 (clauses recalled)",
    limits: "readings independent; the instrument's error is common to all and does not average out",
    tends_to: &[&measurement::expanded::FORMULA],
};
/// How the taper is found.
static TAPER: Method = Method {
    equations: "straight line through the stations' means by least squares; taper = slope times the length between first and last\nuncertainty (k = 2) by propagation from that of the means",
    source: "least squares and the law of propagation of uncertainty, GUM (recalled)",
    limits: "two stations or more",
    tends_to: &[],
};
/// How the stack is added up.
static STACK: Method = Method {
    equations: "room = sum of lengths along the spindle − sum of widths between shoulder and adjuster\nworst case: every part at the end that hurts; root-sum-square: √(sum of (half spread)²)",
    source: "tolerance stack, worst case and root-sum-square",
    limits: "parts pressed together; each part varies on its own in the root-sum-square",
    tends_to: &[],
};

/// The ids of every number of the report and what they are, in the order in which they come.
pub static RESULTS: &[(&str, &str)] = &[
    ("spindle.clearance.low", "Least clearance in the bearing"),
    (
        "spindle.clearance.high",
        "Greatest clearance in the bearing",
    ),
    ("spindle.mean", "Size of the spindle, mean of its stations"),
    (
        "spindle.uncertainty",
        "Uncertainty of the spindle's size, k = 2",
    ),
    ("spindle.repeatability", "Standard deviation of one reading"),
    ("spindle.taper", "Taper along the seat"),
    (
        "spindle.taper.uncertainty",
        "Uncertainty of the taper, k = 2",
    ),
    ("spindle.step", "Greatest less least mean of the stations"),
    ("spindle.out_of_round", "Greatest out-of-round of a station"),
    ("stack.nominal", "Room left at nominal"),
    ("stack.worst.low", "Least room, every part at its worst"),
    ("stack.worst.high", "Greatest room, every part at its worst"),
    ("stack.rss", "Spread of the room, root-sum-square"),
    ("stack.to_close", "What the adjuster has to close"),
    ("stack.travel_left", "Travel left on the adjuster"),
    ("stack.turns", "Turns of the adjuster to close it"),
    ("stack.turns_left", "Turns left on the adjuster"),
];

/// Every number of the report, with where it comes from.
pub fn results(bench: &Readings, r: &SpindleReport) -> Vec<Step> {
    let mut out = Vec::new();
    let length = Unit::Millimetre;
    let nominal = bench
        .spindle
        .as_ref()
        .and_then(|s| s.nominal)
        .or(bench.bearing.as_ref().map(|b| b.nominal));
    if let (Some(bore), Some(size)) = (bench.bearing.as_ref().and_then(|b| b.bore), r.size) {
        for (id, formula, bore, size) in [
            (
                "spindle.clearance.low",
                &fit::least_clearance::FORMULA,
                bore.0,
                size.1,
            ),
            (
                "spindle.clearance.high",
                &fit::greatest_clearance::FORMULA,
                bore.1,
                size.0,
            ),
        ] {
            out.push(Step::formula("", formula, vec![si(bore), si(size)]).named(id));
        }
    }
    if let Some(m) = &r.measured {
        let mut inputs: Vec<Put> = nominal
            .map(|n| put("nominal", length, n))
            .into_iter()
            .collect();
        for s in &m.stations {
            inputs.push(put("station at", length, s.at));
            inputs.push(put("its mean", length, s.mean));
        }
        if let Some(spindle) = &bench.spindle {
            inputs.push(put("a of the instrument", length, spindle.error));
        }
        let found = |id, value: Length, method| {
            Step::solved("", length, si(value), method, inputs.clone()).named(id)
        };
        out.push(found("spindle.mean", m.mean, &READINGS));
        out.push(found("spindle.uncertainty", m.uncertainty, &READINGS));
        if let Some((s, _)) = m.repeatability {
            out.push(found("spindle.repeatability", s, &READINGS));
        }
        if let Some(t) = m.taper {
            out.push(found("spindle.taper", t.rise, &TAPER));
            out.push(found("spindle.taper.uncertainty", t.uncertainty, &TAPER));
        }
        out.push(found("spindle.step", m.step, &READINGS));
        if let Some(round) = m.out_of_round {
            out.push(found("spindle.out_of_round", round, &READINGS));
        }
    }
    if let (Some(job), Some(s)) = (&bench.stack, &r.stack) {
        let inputs: Vec<Put> = job
            .parts
            .iter()
            .flat_map(|p| {
                let width = p.part.width;
                let times = Put {
                    symbol: if p.part.gives {
                        "times, giving room"
                    } else {
                        "times, taking room"
                    },
                    unit: Unit::None,
                    si: f64::from(p.part.count),
                };
                [
                    put("width", length, width.nominal),
                    put("least", length, width.low),
                    put("greatest", length, width.high),
                    times,
                ]
            })
            .collect();
        for (id, value) in [
            ("stack.nominal", s.sum.nominal),
            ("stack.worst.low", s.sum.low),
            ("stack.worst.high", s.sum.high),
            ("stack.rss", s.sum.rss),
        ] {
            out.push(Step::solved("", length, si(value), &STACK, inputs.clone()).named(id));
        }
        let close = vec![si(s.sum.nominal), si(job.end_float)];
        out.push(Step::formula("", &stack::to_close::FORMULA, close).named("stack.to_close"));
        if let Some(travel) = job.travel {
            let left = vec![si(travel), si(s.to_close)];
            out.push(
                Step::formula("", &stack::travel_left::FORMULA, left).named("stack.travel_left"),
            );
        }
        if let (Some(pitch), Some((_, left))) = (job.pitch, s.turns) {
            let turns = vec![si(s.to_close), si(pitch)];
            out.push(Step::formula("", &stack::turns::FORMULA, turns).named("stack.turns"));
            if let (Some(_), Some(travel)) = (left, s.travel_left) {
                let turns = vec![si(travel), si(pitch)];
                out.push(
                    Step::formula("", &stack::turns::FORMULA, turns).named("stack.turns_left"),
                );
            }
        }
    }
    titled(out, RESULTS)
}
