//! The report of `spindle`.

use super::bench::{Finding, fine, section, size};
use super::report::{
    Amount, JobReport, Ordered, Paper, PreconditionReport, SCHEMA, caution_reports, ledger_entries,
    preconditions,
};
use super::text::{self, Layout};
use super::words;
use crate::assess::caution::{Caution, Cautions};
use crate::assess::check::Verdict;
use crate::assess::seat_report::USUAL_CUT_MM;
use crate::assess::spindle::{
    self, DOUBTFUL_STEP_MM, InClass, Measured, Room, SpindleReport, StackReport, WORN_STEP_MM,
    likely_short,
};
use crate::job::assembly::{Condition, State};
use crate::job::readings::{Readings, StackJob};
use crate::mechanics::fit::{CREEPS_ABOVE_MM, LOOSE_ABOVE_MM, Sits};
use crate::mechanics::pedal::Side;
use crate::units::display::{System, significant};
use crate::units::{Length, Unit, mm, si};
use serde::Serialize;

/// One station.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct StationReport {
    pub at: Amount,
    pub mean: Amount,
    pub uncertainty: Amount,
    pub readings: usize,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub out_of_round: Option<Amount>,
}

/// A side's preconditions.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct SpindleSide {
    pub side: &'static str,
    pub preconditions: Vec<PreconditionReport>,
}

/// What the report says beside its frame.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct SpindleBody {
    pub verdict: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fit: Option<&'static str>,
    pub preconditions: Vec<PreconditionReport>,
    pub findings: Vec<Finding>,
    pub values: Ordered<Amount>,
    pub stations: Vec<StationReport>,
}

/// The whole report.
pub type SpindlePaper = Paper<SpindleBody, SpindleSide>;

/// What `spindle` does not look at.
const NOT_EXAMINED: &[&str] = &[
    "whether the two bearing bores stand in one line",
    "the fit of the bearing in its cup, and the play inside the bearing",
    "wear that the stations missed: measure the fretted band and beside it",
    "strength of the spindle",
];

/// What a job is called and where it comes from.
#[derive(Debug, Clone)]
pub struct Named {
    /// Title.
    pub title: Option<String>,
    /// Source.
    pub source: String,
    /// Overrides as typed.
    pub overrides: Vec<String>,
}

fn length(l: Length) -> Amount {
    Amount {
        si: si(l),
        unit: Unit::Millimetre,
    }
}

impl Paper<SpindleBody, SpindleSide> {
    /// The report of what the bench holds.
    pub fn new(
        named: Named,
        bench: &Readings,
        sides: &[(Side, Condition)],
        report: &SpindleReport,
    ) -> SpindlePaper {
        let refused = report.verdict == Verdict::Refused;
        let all: Vec<SpindleSide> = sides
            .iter()
            .map(|(side, condition)| SpindleSide {
                side: words::side_word(*side),
                preconditions: preconditions(condition),
            })
            .collect();
        let worst = sides
            .iter()
            .position(|(_, c)| crate::assess::refusal(c))
            .or_else(|| {
                sides
                    .iter()
                    .position(|(_, c)| c.no_crack != State::Confirmed)
            })
            .unwrap_or(0);
        let stations = report
            .measured
            .as_ref()
            .filter(|_| !refused)
            .map_or_else(Vec::new, |m| {
                m.stations
                    .iter()
                    .map(|s| StationReport {
                        at: length(s.at),
                        mean: length(s.mean),
                        uncertainty: length(s.uncertainty),
                        readings: s.readings,
                        out_of_round: s.out_of_round.map(length),
                    })
                    .collect()
            });
        SpindlePaper {
            schema: SCHEMA,
            command: "spindle",
            job: JobReport {
                title: named.title,
                source: named.source,
            },
            worst: SpindleBody {
                verdict: report.verdict.word(),
                fit: report.sits.filter(|_| !refused).map(fit_word),
                preconditions: all
                    .get(worst)
                    .map_or_else(Vec::new, |s| s.preconditions.clone()),
                findings: if refused {
                    Vec::new()
                } else {
                    findings(bench, report, System::Metric)
                },
                values: Ordered(if refused {
                    Vec::new()
                } else {
                    values(bench, report)
                }),
                stations,
            },
            sides: if all.len() > 1 { all } else { Vec::new() },
            assumed: ledger_entries(&bench.spindle_ledger),
            overrides: named.overrides,
            warnings: Vec::new(),
            not_examined: NOT_EXAMINED.iter().map(|s| (*s).to_string()).collect(),
            cautions: caution_reports(cautions(sides)),
            overall: report.verdict,
            sources: sources(bench),
            row_notes: Vec::new(),
        }
    }
}

fn cautions(sides: &[(Side, Condition)]) -> Cautions {
    let mut set = Cautions::always();
    for (_, c) in sides {
        for (state, caution) in [
            (c.no_crack, Caution::StopCrack),
            (c.not_moved, Caution::StopMoved),
            (c.unregulated_use, Caution::OutsideScope),
        ] {
            if state != State::Confirmed {
                set.add(caution);
            }
        }
        if c.no_crash == State::Failed {
            set.add(Caution::OutsideScope);
        }
    }
    set.add(Caution::Recheck);
    set
}

fn sources(bench: &Readings) -> Vec<(String, String)> {
    let mut out = Vec::new();
    if let Some(b) = bench.bearing.as_ref().filter(|b| b.bore.is_some()) {
        out.push(("bearing.bore".to_string(), b.source.clone()));
    }
    if let Some((name, limits)) = bench.spindle.as_ref().and_then(|s| s.class.as_ref()) {
        out.push((
            "spindle.class".to_string(),
            format!("{name}: {}", limits.source),
        ));
    }
    out.push((
        "uncertainty".to_string(),
        "GUM: spread of repeated readings and the instrument's limit of error, k = 2".to_string(),
    ));
    out
}

fn values(bench: &Readings, r: &SpindleReport) -> Vec<(&'static str, Amount)> {
    super::bench::amounts(&spindle::results(bench, r))
}

/// The findings that have no number of their own: id, what it says, the numbers behind it.
pub(super) const FINDINGS: &[(&str, &str, &[&str])] = &[
    (
        "spindle.fit",
        "The spindle in its bearing, judged",
        &[
            "spindle.clearance.low",
            "spindle.clearance.high",
            "spindle.mean",
            "spindle.uncertainty",
        ],
    ),
    (
        "spindle.fit.bands",
        "What the words for a fit mean",
        &["spindle.clearance.low", "spindle.clearance.high"],
    ),
    (
        "spindle.fit.creep",
        "Room enough to creep",
        &["spindle.clearance.low", "spindle.clearance.high"],
    ),
    (
        "spindle.fit.along",
        "Not the same fit all along",
        &[
            "spindle.step",
            "spindle.clearance.low",
            "spindle.clearance.high",
        ],
    ),
    (
        "spindle.nominal",
        "Spindle and bearing of different nominal size",
        &["spindle.mean"],
    ),
    (
        "bearing.note",
        "Note of the bearing's row",
        &["spindle.clearance.low"],
    ),
    (
        "spindle.class",
        "The spindle against its class",
        &["spindle.mean", "spindle.uncertainty"],
    ),
    (
        "stack",
        "The stack of widths, judged",
        &[
            "stack.nominal",
            "stack.worst.low",
            "stack.worst.high",
            "stack.rss",
            "stack.to_close",
        ],
    ),
    (
        "stack.sum",
        "The stack added up",
        &[
            "stack.nominal",
            "stack.worst.low",
            "stack.worst.high",
            "stack.rss",
        ],
    ),
];

/// The word for a fit.
fn fit_word(sits: Sits) -> &'static str {
    match sits {
        Sits::Loose => "loose",
        Sits::Sliding => "sliding",
        Sits::Transition => "transition",
        Sits::Tight => "tight",
    }
}

/// What a fit does.
fn effect(sits: Sits) -> &'static str {
    match sits {
        Sits::Loose => {
            "the spindle creeps round in the bore: it creaks, frets black or red, and wears its seat and the ring. A new bearing does not cure a worn spindle"
        }
        Sits::Sliding => {
            "it goes on by hand and the adjuster can move it; grease it, and it should stay quiet while the adjuster holds the rings"
        }
        Sits::Transition => {
            "it may slide or may want a light blow, from one bearing to the next: try it, and do not file or sand it. A ring that does not slide leaves the adjuster pushing on nothing or on the balls"
        }
        Sits::Tight => {
            "the spindle stretches the inner ring and takes the play out of the bearing: it drags and wears early, and the adjuster cannot set it. Look for a burr, paint or the wrong bearing before anything else"
        }
    }
}

/// What is said of the fit, of the readings and of the stack.
pub fn findings(bench: &Readings, r: &SpindleReport, system: System) -> Vec<Finding> {
    let mut out = fit_findings(bench, r, system);
    if let Some(m) = &r.measured {
        out.extend(measured_findings(m, system));
    }
    if let (Some(job), Some(s)) = (&bench.stack, &r.stack) {
        out.extend(stack_findings(job, s, system));
    }
    out
}

fn fit_findings(bench: &Readings, r: &SpindleReport, system: System) -> Vec<Finding> {
    let f = |l: Length| fine(l, system);
    let mut out = Vec::new();
    let (Some(sits), Some((low, high))) = (r.sits, r.clearance) else {
        let missing = if bench.spindle.is_none() && bench.bearing.is_none() {
            if bench.stack.is_some() {
                return out;
            }
            "nothing to judge: write [spindle] with [[spindle.reading]] at and size, and [bearing] with bore and class"
        } else if bench.bearing.is_none() {
            "the bearing is missing: write [bearing] with bore and class"
        } else if r.doubtful {
            "the stations differ by more than wear explains: read again before anything is judged"
        } else if r.measured.is_none() {
            "the spindle is missing: write [[spindle.reading]] with at and size, or spindle.class"
        } else {
            "no row of ISO 492 at hand holds a bore of that size: measure it, and write bearing.bore with its spread"
        };
        out.push(Finding::judged("spindle.fit", Verdict::NotJudged, missing));
        return out;
    };
    let verdict = spindle::of_fit(sits);
    let of = if r.by_class {
        " by its class alone, nothing was read"
    } else if r.ends.is_some_and(|(a, b)| a != b) {
        " at its worst station"
    } else {
        ""
    };
    let over = if r.measured.as_ref().is_some_and(|m| m.stations.len() > 1) {
        " over all stations"
    } else {
        ""
    };
    out.push(Finding::judged(
        "spindle.fit",
        verdict,
        format!(
            "{}{of}: clearance {} to {} (− is interference){over}; {}.",
            fit_word(sits),
            f(low),
            f(high),
            effect(sits)
        ),
    ));
    out.push(Finding::plain(
        "spindle.fit.bands",
        format!(
            "The words: tight when two thirds of the band or more are interference, transition when the band reaches below zero, loose when its middle lies above {}, else sliding (common practice, no source).",
            f(mm(LOOSE_ABOVE_MM))
        ),
    ));
    if sits == Sits::Sliding && (low + high) / 2.0 > mm(CREEPS_ABOVE_MM) {
        out.push(Finding::plain(
            "spindle.fit.creep",
            format!(
                "Above {} it may creep under load (common practice, no source): listen for it.",
                f(mm(CREEPS_ABOVE_MM))
            ),
        ));
    }
    if let Some((loose, tight)) = r.ends.filter(|(a, b)| a != b) {
        out.push(Finding::plain(
            "spindle.fit.along",
            format!(
                "Not the same all along: {} at its thinnest station, {} at its thickest.",
                fit_word(loose),
                fit_word(tight)
            ),
        ));
    }
    if let Some((spindle, bearing)) = r.nominals_differ {
        out.push(Finding::plain(
            "spindle.nominal",
            format!(
                "The spindle's nominal size, {}, is not the bearing's, {}: one of them is wrong, or they do not belong together.",
                size(spindle, system),
                size(bearing, system)
            ),
        ));
    }
    if let Some(note) = bench.bearing.as_ref().and_then(|b| b.note.as_ref()) {
        out.push(Finding::plain("bearing.note", note.clone()));
    }
    if let (Some(state), Some((name, limits))) = (
        r.in_class,
        bench.spindle.as_ref().and_then(|s| s.class.as_ref()),
    ) {
        let what = match state {
            InClass::Inside => "it lies within",
            InClass::Outside => "it lies outside",
            InClass::Open => "its uncertainty reaches over a limit",
        };
        out.push(Finding::plain(
            "spindle.class",
            format!(
                "Against its class {name} ({} to {} from nominal): {what}.",
                f(limits.value.lower),
                f(limits.value.upper)
            ),
        ));
    }
    out
}

fn measured_findings(m: &Measured, system: System) -> Vec<Finding> {
    let f = |l: Length| fine(l, system);
    let mut out = Vec::new();
    out.push(Finding::plain(
        "spindle.mean",
        format!(
            "Size {} ± {} (k = 2), mean of {} station{}.",
            size(m.mean, system),
            f(m.uncertainty),
            m.stations.len(),
            if m.stations.len() == 1 { "" } else { "s" }
        ),
    ));
    out.push(Finding::plain(
        "spindle.repeatability",
        match m.repeatability {
            Some((s, freedom)) => format!(
                "A single reading repeats to {} (one standard deviation, {freedom} degree{} of freedom{}).",
                f(s),
                if freedom == 1 { "" } else { "s" },
                if freedom < 5 { "; few, so read more often" } else { "" }
            ),
            None => "No place was read twice: the uncertainty holds the instrument's error alone.".into(),
        },
    ));
    match m.taper {
        Some(t) => {
            let seen = if t.rise.abs() <= t.uncertainty {
                "within its uncertainty: none that the readings show"
            } else if si(t.rise) > 0.0 {
                "it grows along the stations"
            } else {
                "it shrinks along the stations"
            };
            out.push(Finding::plain(
                "spindle.taper",
                format!(
                    "Taper {} ± {} over {}: {seen}.",
                    f(t.rise),
                    f(t.uncertainty),
                    size(t.length, system)
                ),
            ));
        }
        None => out.push(Finding::plain(
            "spindle.taper",
            "Taper cannot be said: readings at one station only.",
        )),
    }
    if m.step > mm(DOUBTFUL_STEP_MM) {
        out.push(Finding::plain(
            "spindle.step",
            format!(
                "The stations differ by {}, more than the {} that wear explains (common practice, no source): a slip in a reading, or a shoulder. Read again.",
                f(m.step),
                f(mm(DOUBTFUL_STEP_MM))
            ),
        ));
    } else if m.step > mm(WORN_STEP_MM) {
        out.push(Finding::plain(
            "spindle.step",
            format!(
                "The stations differ by {}: a step above {} is usually wear, and the spindle is replaced (common practice, no source).",
                f(m.step),
                f(mm(WORN_STEP_MM))
            ),
        ));
    }
    out.push(Finding::plain(
        "spindle.out_of_round",
        match m.out_of_round {
            Some(r) => format!("Out of round by {} at most (on the diameter).", f(r)),
            None => {
                "Out-of-round cannot be said: give two readings of a station an angle each.".into()
            }
        },
    ));
    out
}

fn stack_findings(job: &StackJob, s: &StackReport, system: System) -> Vec<Finding> {
    let f = |l: Length| fine(l, system);
    let mut out = Vec::new();
    let likely = likely_short(job, s);
    let (verdict, text) = match s.room {
        Room::Fits => (
            Verdict::Meets,
            "the adjuster reaches in every case".to_string(),
        ),
        Room::Over => (
            Verdict::FallsShort,
            format!(
                "over width by {}, by {} with every part at its worst: the adjuster hardly engages or the bearings are pressed sideways and drag. {}",
                f(-s.to_close),
                f(s.worst_over),
                if -s.to_close > mm(2.0 * USUAL_CUT_MM) {
                    "That is more than facing both sides usually takes (common practice, no source): take out a spacer, or look for a wrong part or width"
                } else {
                    "Take out a spacer, or face the housing within its limit"
                }
            ),
        ),
        Room::Under => (
            Verdict::FallsShort,
            format!(
                "under width: the adjuster bottoms with {} of play left, {} with every part at its worst. Put spacers of at least the second in, and add up again",
                f(-s.travel_left.unwrap_or(mm(0.0))),
                f(s.worst_under.unwrap_or(mm(0.0)))
            ),
        ),
        Room::MayBeOver | Room::MayBeUnder => {
            let over = s.room == Room::MayBeOver;
            (
                Verdict::Marginal,
                format!(
                    "with every part at its worst it is {} width; by root-sum-square {}. Measure the parts that you have",
                    if over { "over" } else { "under" },
                    if likely {
                        "it can be as well"
                    } else {
                        "the adjuster reaches"
                    }
                ),
            )
        }
        Room::TravelMissing => (
            Verdict::NotJudged,
            "wide enough; whether the adjuster bottoms is open: stack.adjuster_travel is missing"
                .to_string(),
        ),
    };
    out.push(Finding::judged("stack", verdict, format!("{text}.")));
    out.push(Finding::plain(
        "stack.sum",
        format!(
            "Room left with the adjuster backed off: {}; worst case {} to {}, root-sum-square ± {}.",
            f(s.sum.nominal),
            f(s.sum.low),
            f(s.sum.high),
            f(s.sum.rss)
        ),
    ));
    let turns = match s.turns {
        Some((turns, Some(left))) if left.value < 0.0 => format!(
            ", {} turns; its thread ends {} turns before, so it does not reach",
            significant(turns.value, 3),
            significant(-left.value, 3)
        ),
        Some((turns, Some(left))) => format!(
            ", {} turns; {} turns of it are left then",
            significant(turns.value, 3),
            significant(left.value, 3)
        ),
        Some((turns, None)) => format!(", {} turns", significant(turns.value, 3)),
        None => String::new(),
    };
    if s.room == Room::Over {
        return out;
    }
    out.push(Finding::plain(
        "stack.turns",
        format!(
            "The adjuster {} {} to an end float of {}{turns}. It places the parts and is no fastener: set it by feel, then tighten the bolts that hold.",
            if s.room == Room::Under {
                "would have to close"
            } else {
                "closes"
            },
            f(s.to_close),
            f(job.end_float)
        ),
    ));
    out
}

/// The report as text.
pub fn text(
    paper: &SpindlePaper,
    bench: &Readings,
    report: &SpindleReport,
    system: System,
    layout: Layout,
) -> String {
    let mut out = text::opening_of(paper.command, &paper.job, layout);
    out.push('\n');
    let fit = paper.worst.fit.map_or(String::new(), |f| format!(" ({f})"));
    out.push_str(&layout.paragraph(&format!("Verdict: {}{fit}.", paper.worst.verdict)));
    if paper.sides.is_empty() {
        out.push_str(&text::precondition_list(&paper.worst.preconditions, layout));
    }
    for side in &paper.sides {
        out.push_str(&layout.heading(&format!("The {} side", side.side)));
        out.push_str(&text::precondition_list(&side.preconditions, layout));
    }
    if report.verdict == Verdict::Refused {
        out.push_str(&layout.paragraph(
            "\nRefused: a precondition is not met; nothing is said about the fit. Take it to the maker or to somebody able to examine it.",
        ));
    } else {
        out.push_str(&section(
            layout,
            "The spindle in its bearing",
            &fit_findings(bench, report, system),
        ));
        if let Some(m) = &report.measured {
            out.push_str(&section(
                layout,
                "The readings",
                &measured_findings(m, system),
            ));
            out.push_str(&stations(m, system, layout));
        }
        if let (Some(job), Some(s)) = (&bench.stack, &report.stack) {
            let findings = stack_findings(job, s, system);
            out.push_str(&section(layout, "The stack of widths", &findings));
            out.push_str(&parts(job, system, layout));
        }
    }
    out.push_str(&text::tail(paper, system, layout));
    out
}

fn stations(m: &Measured, system: System, layout: Layout) -> String {
    let rows: Vec<Vec<String>> = m
        .stations
        .iter()
        .map(|s| {
            vec![
                size(s.at, system),
                s.readings.to_string(),
                size(s.mean, system),
                fine(s.uncertainty, system),
                s.out_of_round
                    .map_or_else(|| "–".into(), |r| fine(r, system)),
                s.clearance.map_or_else(
                    || "–".into(),
                    |(l, h)| format!("{} .. {}", fine(l, system), fine(h, system)),
                ),
            ]
        })
        .collect();
    layout.table(
        &["Station", "Read", "Mean", "±", "Out of round", "Clearance"],
        &rows,
        &[0, 1, 2, 3, 4, 5],
    )
}

fn parts(job: &StackJob, system: System, layout: Layout) -> String {
    let rows: Vec<Vec<String>> = job
        .parts
        .iter()
        .map(|p| {
            let sign = if p.part.gives { "+" } else { "−" };
            vec![
                p.name.clone(),
                format!("{sign} {}", p.part.count),
                size(p.part.width.nominal, system),
                fine((p.part.width.high - p.part.width.low) / 2.0, system),
            ]
        })
        .collect();
    layout.table(&["Part", "Times", "Width", "±"], &rows, &[1, 2, 3])
}
