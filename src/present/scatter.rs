//! The report of `scatter`: what becomes of the checks when everything that is not known exactly is drawn.

use super::csv;
use super::report::{Number, Ordered, Paper, PreconditionReport, Report, SideReport};
use super::text::{BOND, Layout, margin, opening_of, precondition_list, ratio, tail};
use super::words;
use crate::assess::check::{CheckId, Sort, Verdict};
use crate::assess::scatter::{
    Band, Bar, CheckFinding, Findings, Input, Scatter, SideFinding, Source,
};
use crate::assess::values as known;
use crate::job::vary::Origin;
use crate::study::draw::Distribution;
use crate::study::interval::Share;
use crate::study::run::{Counts, Plan};
use crate::study::sobol::Index;
use crate::study::tally::BIN_ERROR;
use crate::units::Unit;
use crate::units::display::{System, significant};
use serde::Serialize;
use std::collections::BTreeMap;

/// A number with its band.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct BandReport {
    pub median: Number,
    pub low: Number,
    pub high: Number,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mean: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deviation: Option<f64>,
    pub unit: &'static str,
    /// Samples without it.
    #[serde(skip_serializing_if = "none")]
    pub absent: u64,
    /// Samples in which it is infinite.
    #[serde(skip_serializing_if = "none")]
    pub infinite: u64,
}

fn none(n: &u64) -> bool {
    *n == 0
}

impl BandReport {
    fn new(band: &Band, unit: Unit, system: System) -> BandReport {
        let of = |si: f64| unit.in_system(si, system).0;
        BandReport {
            median: Number(of(band.median)),
            low: Number(of(band.low)),
            high: Number(of(band.high)),
            mean: band.moments.map(|m| of(m.mean)),
            // A difference, which a scale with another zero must not shift.
            deviation: band.moments.map(|m| of(m.mean + m.deviation) - of(m.mean)),
            unit: unit.in_system(0.0, system).1,
            absent: band.absent,
            infinite: band.infinite,
        }
    }
}

/// A chance with its 95 % interval.
#[derive(Debug, Clone, Copy, Serialize)]
#[allow(missing_docs)]
pub struct ShareReport {
    pub probability: f64,
    pub low: f64,
    pub high: f64,
}

impl From<Share> for ShareReport {
    fn from(s: Share) -> ShareReport {
        ShareReport {
            probability: s.value,
            low: s.low,
            high: s.high,
        }
    }
}

/// One bar of a histogram.
#[derive(Debug, Clone, Copy, Serialize)]
#[allow(missing_docs)]
pub struct BarReport {
    pub from: f64,
    pub to: f64,
    pub samples: u64,
}

/// How the samples spread over one figure: counts in bars of equal width, the middle 99 % of them; what lies outside is
/// counted in the bars at the ends.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct SpreadReport {
    pub from: f64,
    pub to: f64,
    pub unit: &'static str,
    pub samples: Vec<u64>,
}

impl SpreadReport {
    fn new(bars: &[Bar], unit: Unit, system: System) -> Option<SpreadReport> {
        let of = |si: f64| unit.in_system(si, system).0;
        Some(SpreadReport {
            from: of(bars.first()?.0),
            to: of(bars.last()?.1),
            unit: unit.in_system(0.0, system).1,
            samples: bars.iter().map(|b| b.2).collect(),
        })
    }
    /// Every bar: from, to, samples.
    pub fn bars(&self) -> Vec<Bar> {
        let width = (self.to - self.from) / self.samples.len().max(1) as f64;
        let at = |i: usize| self.from + width * i as f64;
        let samples = self.samples.iter().enumerate();
        samples.map(|(i, n)| (at(i), at(i + 1), *n)).collect()
    }
}

/// One side.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct ScatterSide {
    pub side: &'static str,
    pub preconditions: Vec<PreconditionReport>,
    /// The lowest margin over the strength checks.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lowest_margin: Option<BandReport>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub histogram: Vec<BarReport>,
    /// Chance that any strength check falls short.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub any_falls_short: Option<ShareReport>,
    pub values: Ordered<BandReport>,
    pub ratios: Ordered<BandReport>,
    pub falls_short: Ordered<ShareReport>,
    /// How preload and ratios spread, where they do.
    pub spreads: Ordered<SpreadReport>,
    /// Ratios required.
    pub need: Ordered<f64>,
    /// Checks that have no number in any sample.
    pub not_judged: Vec<&'static str>,
    /// Checks that inform and decide nothing.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub informs_only: Vec<&'static str>,
    /// What `check` says to do first, where a strength check falls short there too.
    #[serde(skip)]
    pub do_first: Option<String>,
}

/// What is drawn.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct InputReport {
    pub input: String,
    pub distribution: &'static str,
    /// Two standard deviations below the middle of a normal one, the lower end of any other.
    pub low: f64,
    pub high: f64,
    pub unit: &'static str,
    pub source: &'static str,
}

/// How much of the lowest margin an input decides.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct ContributorReport {
    pub input: String,
    pub first: f64,
    pub total: f64,
    /// Standard errors.
    pub first_error: f64,
    pub total_error: f64,
}

/// How the figures were found.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct MethodReport {
    pub generator: &'static str,
    pub quantiles: &'static str,
    /// Most that a quantile can be off because of bins, as a share of itself.
    pub quantile_error: f64,
    pub interval: &'static str,
    pub contributors: &'static str,
    /// Points of the design behind the contributors.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub contributor_points: Option<u32>,
    /// Points of it that were left out, by reason.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub contributor_points_left_out: BTreeMap<String, u64>,
}

/// The study with the worse side.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct StudyReport {
    pub samples: u64,
    pub seed: u64,
    /// Samples asked for, where the study was ended before its time.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ended_before: Option<u64>,
    pub bad: BTreeMap<String, u64>,
    pub inputs: Vec<InputReport>,
    pub contributors: Vec<ContributorReport>,
    pub method: MethodReport,
    /// The job is refused: nothing was drawn.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub refused: bool,
    #[serde(flatten)]
    pub worst: ScatterSide,
}

/// The whole report.
pub type ScatterReport = Paper<StudyReport, ScatterSide>;

/// Makes the report of a study out of that of the job's own checks; without counts the job is refused.
pub fn report(
    of_checks: Report,
    scatter: &Scatter,
    plan: &Plan,
    counts: &Counts,
    findings: &Findings,
    system: System,
) -> ScatterReport {
    let overall = of_checks.overall;
    let refused = of_checks.worst.verdict == Verdict::Refused.word();
    let checked = of_checks.printed_sides().to_vec();
    let mut sides: Vec<ScatterSide> = checked
        .iter()
        .zip(&findings.sides)
        .map(|(side, finding)| side_report(side, finding, refused, system))
        .collect();
    let worse = findings.worse().min(sides.len().saturating_sub(1));
    let worst = match sides.get(worse) {
        Some(side) => side.clone(),
        None => ScatterSide {
            side: "",
            preconditions: Vec::new(),
            lowest_margin: None,
            histogram: Vec::new(),
            any_falls_short: None,
            values: Ordered(Vec::new()),
            ratios: Ordered(Vec::new()),
            falls_short: Ordered(Vec::new()),
            spreads: Ordered(Vec::new()),
            need: Ordered(Vec::new()),
            not_judged: Vec::new(),
            informs_only: Vec::new(),
            do_first: None,
        },
    };
    if sides.len() < 2 {
        sides.clear();
    }
    let study = StudyReport {
        samples: counts.drawn,
        seed: plan.seed,
        ended_before: (!refused && !counts.complete(plan, &plan.part(1, 1)))
            .then_some(plan.samples),
        bad: counts.bad.clone(),
        inputs: scatter.inputs().iter().map(|i| input(i, system)).collect(),
        contributors: findings
            .contributors
            .iter()
            .filter_map(|(i, index)| Some(contributor(scatter.inputs().get(*i)?, index)))
            .collect(),
        method: method(plan, counts),
        refused,
        worst,
    };
    of_checks.around(study, sides, overall)
}

fn side_report(
    checked: &SideReport,
    finding: &SideFinding,
    refused: bool,
    system: System,
) -> ScatterSide {
    let of = |unit: Unit| move |band: &Band| BandReport::new(band, unit, system);
    let checks = || finding.checks.iter().filter(|_| !refused);
    let applies = |id: CheckId| checked.checks.iter().any(|c| c.id == id.id());
    ScatterSide {
        side: checked.side,
        preconditions: checked.preconditions.clone(),
        lowest_margin: finding.lowest.as_ref().map(of(Unit::None)),
        histogram: finding
            .bars
            .iter()
            .map(|&(from, to, samples)| BarReport { from, to, samples })
            .collect(),
        any_falls_short: finding.any_short.map(ShareReport::from),
        values: Ordered(
            finding
                .values
                .iter()
                .map(|(v, band)| (v.id, of(v.unit)(band)))
                .collect(),
        ),
        ratios: Ordered(
            checks()
                .filter_map(|c| Some((c.id.id(), c.ratio.as_ref().map(of(Unit::None))?)))
                .collect(),
        ),
        falls_short: Ordered(
            checks()
                .filter_map(|c| Some((c.id.id(), c.short?.into())))
                .collect(),
        ),
        spreads: Ordered(
            finding
                .spreads
                .iter()
                .filter(|_| !refused)
                .filter_map(|(id, bars)| {
                    let unit = known::find(id).map_or(Unit::None, |v| v.unit);
                    Some((*id, SpreadReport::new(bars, unit, system)?))
                })
                .collect(),
        ),
        do_first: checked
            .checks
            .iter()
            .any(|c| c.verdict == Verdict::FallsShort.word() && !c.informs_only)
            .then(|| checked.do_first.clone()),
        need: Ordered(checked.checks.iter().map(|c| (c.id, c.need)).collect()),
        informs_only: checked
            .checks
            .iter()
            .filter(|c| c.informs_only)
            .map(|c| c.id)
            .collect(),
        not_judged: checks()
            .filter(|c: &&CheckFinding| c.short.is_none() && applies(c.id))
            .map(|c| c.id.id())
            .collect(),
    }
}

fn input(i: &Input, system: System) -> InputReport {
    let of = |si: f64| i.unit.in_system(si, system).0;
    let (distribution, low, high) = match i.distribution {
        Distribution::Normal { mean, deviation } => {
            ("normal", mean - 2.0 * deviation, mean + 2.0 * deviation)
        }
        Distribution::Rectangular { low, high } => ("rectangular", low, high),
        Distribution::LogRectangular { low, high } => ("rectangular in its logarithm", low, high),
    };
    InputReport {
        input: i.path.clone(),
        distribution,
        low: of(low),
        high: of(high),
        unit: i.unit.in_system(0.0, system).1,
        source: match i.source {
            Source::Of(Origin::Stated) => "as the job states it",
            Source::Of(Origin::FrictionRow) => "the row of friction",
            Source::Of(Origin::Tool) => "the tool's own error",
            Source::SeatStiffness => "no source: half and twice count as well",
        },
    }
}

fn contributor(input: &Input, index: &Index) -> ContributorReport {
    ContributorReport {
        input: input.path.clone(),
        first: index.first,
        total: index.total,
        first_error: index.error[0],
        total_error: index.error[1],
    }
}

fn method(plan: &Plan, counts: &Counts) -> MethodReport {
    MethodReport {
        generator: "ChaCha with 8 rounds, position by sample",
        quantiles: if plan.exact() {
            "nearest rank among all samples"
        } else {
            "nearest rank among counts in fixed bins"
        },
        quantile_error: if plan.exact() { 0.0 } else { BIN_ERROR },
        interval: "95 %, score interval after Wilson (published method, recalled)",
        contributors: "shares of the variance of the lowest margin: first order after Saltelli et al. 2010, total after Jansen 1999 (published methods, recalled), points of a scrambled Sobol sequence; standard errors by the jackknife, on the high side",
        contributor_points: plan.design.map(|d| d.points),
        contributor_points_left_out: counts.left_out.clone(),
    }
}

/// A chance for a person: two figures of what is rare, be it falling short or not.
fn percent(p: f64) -> String {
    let rare = (100.0 * p.min(1.0 - p)).max(0.0);
    if rare == 0.0 || (0.1..=0.9).contains(&p) {
        return format!("{:.0}", 100.0 * p);
    }
    let decimals = (1.0 - rare.log10().floor()).clamp(0.0, 9.0) as usize;
    format!("{:.decimals$}", 100.0 * p)
}

/// A chance with its interval.
fn chance(s: &ShareReport) -> String {
    if s.probability == 0.0 {
        format!("0{BOND}% (up{BOND}to {}{BOND}%)", percent(s.high))
    } else if s.probability == 1.0 {
        format!("100{BOND}% (from {}{BOND}%)", percent(s.low))
    } else {
        let [low, high] = [s.low, s.high].map(percent);
        format!("{}{BOND}% ({low} to {high}{BOND}%)", percent(s.probability))
    }
}

/// An input may be named where it decides at least this share; common practice, no source.
const NAMED_FROM: f64 = 0.1;
/// How many are named.
const NAMED: usize = 3;

/// Everything that the text needs beside the report.
pub struct Context<'a> {
    /// The job with what is drawn.
    pub scatter: &'a Scatter,
    /// What was found.
    pub findings: &'a Findings,
    /// Units.
    pub system: System,
    /// Layout.
    pub layout: Layout,
}

/// The report as text or Markdown.
pub fn text(report: &ScatterReport, context: &Context<'_>) -> String {
    let (layout, system, study) = (context.layout, context.system, &report.worst);
    let mut out = opening_of(report.command, &report.job, layout);
    out.push('\n');
    if let Some(asked) = study.ended_before {
        out.push_str(&layout.paragraph(&ended(study.samples, asked)));
    }
    let sides: Vec<&ScatterSide> = if report.sides.is_empty() {
        vec![&study.worst]
    } else {
        report.sides.iter().collect()
    };
    let several = sides.len() > 1;
    if study.refused {
        out.push_str(&layout.paragraph(
            "Refused: what is not met below forbids any margin, and so any chance. Nothing was drawn. Take it to the maker or to somebody able to examine it, or see what `repair` says.",
        ));
    } else {
        for side in &sides {
            out.push_str(&layout.paragraph(&headline(side, study, several)));
        }
        if let Some(bad) = bad(study) {
            out.push_str(&layout.paragraph(&bad));
        }
        out.push_str(&layout.paragraph(&decides(report, context)));
    }
    for side in &sides {
        if several {
            out.push_str(&layout.heading(&format!("The {} side", side.side)));
        }
        out.push_str(&precondition_list(&side.preconditions, layout));
        if !study.refused {
            out.push_str(&checks(side, layout));
            out.push_str(&histogram(side, layout));
        }
    }
    if !study.refused {
        out.push_str(&contributors(study, context));
        out.push_str(&drawn(study, context));
        for side in &sides {
            let name = if several {
                format!(", {} side", side.side)
            } else {
                String::new()
            };
            out.push_str(&values(side, &name, context));
        }
        out.push_str(&layout.heading("How it was found"));
        for line in how(study) {
            out.push_str(&layout.item("- ", &line));
        }
    }
    out.push_str(&tail(report, system, layout));
    out
}

/// What a study that was ended before its time comes to.
pub fn ended(samples: u64, asked: u64) -> String {
    if samples < asked {
        format!(
            "ENDED BEFORE ITS TIME: {samples} of {asked} samples were drawn, and the figures are theirs; another run gives others."
        )
    } else {
        "ENDED BEFORE ITS TIME: all samples were drawn, what decides is left out.".into()
    }
}

pub(super) fn headline(side: &ScatterSide, study: &StudyReport, several: bool) -> String {
    let place = if several {
        format!("On the {} side, in ", side.side)
    } else {
        "In ".into()
    };
    let good = study.samples - study.bad.values().sum::<u64>();
    let Some(any) = &side.any_falls_short else {
        return format!(
            "{place}none of {} samples is there any result.",
            study.samples
        );
    };
    let mut line = if any.probability == 0.0 {
        format!(
            "{place}none of {good} samples a strength check falls short of what is required (with this many samples: up to {}{BOND}%)",
            percent(any.high)
        )
    } else {
        format!(
            "{place}{} of {good} samples a strength check falls short of what is required",
            chance(any)
        )
    };
    if let Some(lowest) = &side.lowest_margin {
        line.push_str(&format!(
            ". The lowest margin (reserve above what is required) is {} in the middle, {} to {} in 95{BOND}% of them",
            margin(lowest.median.0, 2),
            margin(lowest.low.0, 2),
            margin(lowest.high.0, 2)
        ));
    }
    if hopeless(side) {
        line.push_str(&format!(
            ". No better reading changes that. {}",
            first_step(side)
        ));
    } else if any.probability > 0.5 {
        line.push_str(&format!(
            ". That is more than half of them. {}",
            first_step(side)
        ));
    }
    line.push_str(&only_what_is_drawn(study));
    let open: Vec<&str> = side
        .preconditions
        .iter()
        .filter(|p| p.state != "confirmed")
        .map(|p| p.id)
        .collect();
    if !open.is_empty() {
        line.push_str(&format!(
            ". That is of the numbers alone: what is not known or not met of the part ({}) is no matter of chance",
            open.join(", ")
        ));
    }
    if !side.not_judged.is_empty() {
        line.push_str(&format!(
            ". Without a number, and so not counted: {}",
            side.not_judged.join(", ")
        ));
    }
    let at_times: Vec<String> = side
        .ratios
        .0
        .iter()
        .filter(|(_, band)| band.absent > 0)
        .map(|(id, band)| format!("{id} in {} of {good}", band.absent))
        .collect();
    if !at_times.is_empty() {
        line.push_str(&format!(
            ". Without a number in some samples, which no chance counts as falling short: {}",
            at_times.join(", ")
        ));
    }
    line + "."
}

/// How many drawn entries the headline names.
const DRAWN_NAMED: usize = 8;

/// What the chance is of, and what it leaves out.
fn only_what_is_drawn(study: &StudyReport) -> String {
    let names: Vec<&str> = study.inputs.iter().map(|i| i.input.as_str()).collect();
    let drawn = match names.len() {
        0 => "nothing".to_string(),
        n if n > DRAWN_NAMED => format!(
            "{} and {} more, listed below",
            names[..DRAWN_NAMED].join(", "),
            n - DRAWN_NAMED
        ),
        _ => names.join(", "),
    };
    format!(
        ". Drawn: {drawn}. All else, the glue's strength and the loads if not listed, stood at the one value entered; how well the glue took is no part of it"
    )
}

/// What to do first: as `check` says where it sees something fall short too, else about what falls short most often.
fn first_step(side: &ScatterSide) -> String {
    if let Some(step) = &side.do_first {
        return format!("Do first: {step}");
    }
    let strength = side.falls_short.0.iter().filter_map(|(id, share)| {
        let check = CheckId::from_id(id).filter(|c| c.sort() == Sort::Strength)?;
        Some((check, share))
    });
    let worst = strength.max_by(|a, b| a.1.probability.total_cmp(&b.1.probability));
    worst.map_or(String::new(), |(check, share)| {
        format!(
            "Most often it is \"{}\" [{id}], in {}{BOND}% of them: `explain {id}` says what it would take",
            check.title(),
            percent(share.probability),
            id = check.id()
        )
    })
}

/// Does even the upper end of the band fall short?
fn hopeless(side: &ScatterSide) -> bool {
    side.lowest_margin.as_ref().is_some_and(|b| b.high.0 < 0.0)
}

pub(super) fn bad(study: &StudyReport) -> Option<String> {
    let total: u64 = study.bad.values().sum();
    (total > 0).then(|| {
        let each: Vec<String> = study.bad.iter().map(|(why, n)| format!("{n} × {why}")).collect();
        format!(
            "{total} of {} draws gave no result and are in none of the figures: {}. If they are many, the spreads do not fit the parts.",
            study.samples,
            each.join("; ")
        )
    })
}

/// What to do, in words that a mechanic can act on.
pub(super) fn decides(report: &ScatterReport, context: &Context<'_>) -> String {
    let study = &report.worst;
    let inputs = context.scatter.inputs();
    if inputs.is_empty() {
        return "Nothing of this job is spread: every sample is the same.".into();
    }
    if context.findings.contributors.is_empty() {
        return if study.method.contributor_points.is_none() {
            "What decides was left out, as asked.".into()
        } else if study.ended_before.is_some() {
            "What decides was left out: the study ended before its time.".into()
        } else {
            "Nothing that is drawn moves the lowest margin.".into()
        };
    }
    if report_sides(report).all(hopeless) {
        return "Which entries decide how far it falls short stands below.".into();
    }
    let named: Vec<String> = context
        .findings
        .contributors
        .iter()
        .filter(|(_, index)| index.total >= NAMED_FROM && index.total > 2.0 * index.error[1])
        .take(NAMED)
        .filter_map(|(i, index)| {
            let (name, advice) = words::contributor(inputs.get(*i)?);
            let share = significant(100.0 * index.total.min(1.0), 2);
            Some(format!(
                "{name} decides {share}{BOND}% of its spread: {advice}"
            ))
        })
        .collect();
    if named.is_empty() {
        return "No single entry decides the lowest margin; see the list below.".into();
    }
    let sure =
        report_sides(report).all(|s| s.any_falls_short.is_some_and(|a| a.probability == 0.0));
    let lead = if sure {
        "What would make the lowest margin better known"
    } else {
        "What makes the lowest margin uncertain"
    };
    format!("{lead}: {}.", named.join("; "))
}

pub(super) fn report_sides(report: &ScatterReport) -> impl Iterator<Item = &ScatterSide> {
    let own = report.sides.is_empty().then_some(&report.worst.worst);
    own.into_iter().chain(&report.sides)
}

/// Heads every table of reserves.
const RESERVES: &str =
    "Checks: reserve (capacity ÷ demand) in the middle, and in 95 % of all samples";

/// The ends of a ratio's band.
fn ends(band: Option<&BandReport>) -> String {
    band.map_or("–".into(), |b| {
        format!("{} to {}", ratio(Some(b.low)), ratio(Some(b.high)))
    })
}

pub(super) fn checks(side: &ScatterSide, layout: Layout) -> String {
    let mut out = layout.heading(RESERVES);
    let rows: Vec<Vec<String>> = side
        .falls_short
        .0
        .iter()
        .filter_map(|(id, short)| {
            let check = CheckId::from_id(id)?;
            let band = side.ratios.get(id);
            let need = side.need.get(id).copied();
            let informs = if side.informs_only.contains(id) {
                ", for information"
            } else {
                ""
            };
            Some(vec![
                format!("{} [{id}]", check.title()),
                ratio(band.map(|b| b.median)),
                ends(band),
                need.map_or("–".into(), |n| significant(n, 3)),
                format!("{}{informs}", chance(short)),
            ])
        })
        .collect();
    out.push_str(&layout.table(
        &["Check", "Reserve", "95 %", "Required", "Falls short in"],
        &rows,
        &[1, 3],
    ));
    if let Some(remark) = elsewhere(side) {
        out.push('\n');
        out.push_str(&layout.item("- ", &remark));
    }
    out
}

/// What falls short in many samples although the reserve as stated does not.
fn elsewhere(side: &ScatterSide) -> Option<String> {
    let enough = |id: &str| {
        let least = side.ratios.get(id).map_or(f64::INFINITY, |b| b.low.0);
        side.need.get(id).is_some_and(|need| least >= *need)
    };
    let shares = side.falls_short.0.iter();
    let ids: Vec<&str> = shares
        .filter(|(id, short)| short.probability > 0.025 && enough(id))
        .map(|(id, _)| *id)
        .collect();
    (!ids.is_empty()).then(|| {
        format!(
            "{}: the reserve as stated is enough, yet another reading of what the job leaves open, or what the reserve is divided by, is not; `explain` says which.",
            ids.join(", ")
        )
    })
}

/// The checks of several sides in one table, for paper.
pub(super) fn checks_side_by_side(sides: &[&ScatterSide], layout: Layout) -> String {
    let mut ids: Vec<&str> = Vec::new();
    for (id, _) in sides.iter().flat_map(|s| &s.falls_short.0) {
        if !ids.contains(id) {
            ids.push(id);
        }
    }
    let rows: Vec<Vec<String>> = ids
        .iter()
        .filter_map(|id| {
            let informs = sides.iter().any(|s| s.informs_only.contains(id));
            let informs = if informs { ", for information" } else { "" };
            let need = sides.iter().find_map(|s| s.need.get(id));
            let mut row = vec![
                format!("{} [{id}]{informs}", CheckId::from_id(id)?.title()),
                need.map_or("–".into(), |n| significant(*n, 3)),
            ];
            for side in sides {
                let band = side.ratios.get(id);
                row.extend([
                    format!("{} ({})", ratio(band.map(|b| b.median)), ends(band)),
                    side.falls_short.get(id).map_or("–".into(), chance),
                ]);
            }
            Some(row)
        })
        .collect();
    let mut header = vec!["Check".to_string(), "Required".to_string()];
    for side in sides {
        header.extend([
            format!("{}: reserve", side.side),
            "falls short in".to_string(),
        ]);
    }
    let header: Vec<&str> = header.iter().map(String::as_str).collect();
    let mut out = layout.heading(RESERVES) + &layout.table(&header, &rows, &[1]);
    for side in sides {
        if let Some(remark) = elsewhere(side) {
            out.push_str(&layout.item("- ", &format!("{} side: {remark}", side.side)));
        }
    }
    out
}

/// Columns of the longest bar.
const LONGEST: u64 = 40;

fn histogram(side: &ScatterSide, layout: Layout) -> String {
    let Some(most) = side
        .histogram
        .iter()
        .map(|b| b.samples)
        .max()
        .filter(|n| *n > 0)
    else {
        return String::new();
    };
    let total: u64 = side.histogram.iter().map(|b| b.samples).sum();
    let mut out = layout.heading("Lowest margin over the strength checks, all samples");
    let last = side.histogram.len() - 1;
    let end = |margin: f64| format!("{:+.1}{BOND}%", 100.0 * margin);
    let rows: Vec<Vec<String>> = side
        .histogram
        .iter()
        .enumerate()
        .map(|(i, bar)| {
            let range = match i {
                0 => format!("below {}", end(bar.to)),
                i if i == last => format!("from {} on", end(bar.from)),
                _ => format!("{} to {}", end(bar.from), end(bar.to)),
            };
            vec![
                range,
                "#".repeat((bar.samples * LONGEST).div_ceil(most) as usize),
                format!(
                    "{}{BOND}%",
                    significant(100.0 * bar.samples as f64 / total as f64, 2)
                ),
            ]
        })
        .collect();
    out.push_str(&layout.table(&["Margin", "Samples", "Share"], &rows, &[0, 2]));
    out
}

/// An entry with the place of a reading behind it.
pub(super) fn named(path: &str, context: &Context<'_>) -> String {
    let input = context.scatter.inputs().iter().find(|i| i.path == path);
    match input.and_then(|i| i.at.as_deref()) {
        Some(at) => format!("{path} ({at})"),
        None => path.to_string(),
    }
}

fn contributors(study: &StudyReport, context: &Context<'_>) -> String {
    let layout = context.layout;
    if context.findings.contributors.is_empty() {
        return String::new();
    }
    let mut out = layout.heading("What decides the lowest margin");
    let share = |value: f64, error: f64| {
        format!(
            "{:.0}{BOND}% ±{BOND}{:.0}",
            100.0 * value,
            (100.0 * error).max(1.0)
        )
    };
    let rows: Vec<Vec<String>> = study
        .contributors
        .iter()
        .map(|c| {
            vec![
                named(&c.input, context),
                share(c.first, c.first_error),
                share(c.total, c.total_error),
            ]
        })
        .collect();
    out.push_str(&layout.table(
        &["Entry", "Alone", "With what it does together with others"],
        &rows,
        &[1, 2],
    ));
    out
}

fn drawn(study: &StudyReport, context: &Context<'_>) -> String {
    let layout = context.layout;
    let mut out = layout.heading("What was drawn, each by itself");
    let rows: Vec<Vec<String>> = study
        .inputs
        .iter()
        .map(|i| {
            let unit = if i.unit == "none" {
                String::new()
            } else {
                format!(" {}", i.unit)
            };
            let [low, high] = [i.low, i.high].map(|v| significant(v, 4));
            let range = match i.distribution {
                "normal" => format!("{low} to {high}{unit} (two standard deviations)"),
                _ => format!("{low} to {high}{unit}"),
            };
            vec![
                named(&i.input, context),
                i.distribution.to_string(),
                range,
                i.source.to_string(),
            ]
        })
        .collect();
    out.push_str(&layout.table(&["Entry", "How", "Between", "Because of"], &rows, &[]));
    out
}

fn values(side: &ScatterSide, name: &str, context: &Context<'_>) -> String {
    let layout = context.layout;
    let mut out = layout.heading(&format!(
        "Values{name}: in the middle, and in 95 % of all samples"
    ));
    let index = context
        .scatter
        .job()
        .sides
        .iter()
        .position(|s| words::side_word(s.name) == side.side)
        .unwrap_or(0);
    let found = context
        .findings
        .sides
        .get(index)
        .map_or(&[][..], |s| &s.values);
    let rows: Vec<Vec<String>> = found
        .iter()
        .filter(|(_, band)| band.varies())
        .map(|(value, band)| {
            let show = |si: f64| value.unit.show_to(si, context.system, 3);
            let ends = [band.low, band.high]
                .map(|si| significant(value.unit.in_system(si, context.system).0, 3));
            vec![
                format!("{} [{}]", value.title, value.id),
                show(band.median).replace(' ', BOND),
                format!("{} to {}", ends[0], ends[1]).replace(' ', BOND),
            ]
        })
        .collect();
    out.push_str(&layout.table(&["Value", "Middle", "95 %"], &rows, &[1, 2]));
    out.push('\n');
    out.push_str(&layout.paragraph(
        "What no drawn entry moves is as `check` prints it; JSON and CSV have every value.",
    ));
    out
}

fn how(study: &StudyReport) -> Vec<String> {
    let m = &study.method;
    let mut out = vec![
        format!(
            "{} samples of the whole model; numbers: {}, seed {}. The same seed gives the same figures",
            study.samples, m.generator, study.seed
        ),
        if m.quantile_error > 0.0 {
            format!(
                "middle and ends: {}; at most {}{BOND}% of the figure off by it",
                m.quantiles,
                significant(100.0 * m.quantile_error, 2)
            )
        } else {
            format!("middle and ends: {}", m.quantiles)
        },
        format!("interval of a chance: {}", m.interval),
    ];
    if let Some(points) = m.contributor_points {
        out.push(format!("what decides: {}, {points} points", m.contributors));
    }
    for (why, n) in &m.contributor_points_left_out {
        out.push(format!("{n} of these points were left out: {why}"));
    }
    out
}

/// A figure of a band, and of a chance.
type OfBand = fn(&BandReport) -> Option<f64>;
type OfShare = fn(&ShareReport) -> f64;

/// Columns as CSV: cautions and what else belongs to a judgement first, as lines beginning with `#`.
pub fn csv(report: &ScatterReport) -> String {
    let study = &report.worst;
    let sides: Vec<&ScatterSide> = report_sides(report).collect();
    let of_sides = sides.iter().map(|s| (s.side, &s.preconditions[..]));
    let mut out = csv::head(report, of_sides);
    let mut remark = |what: &str, text: &str| csv::remark(&mut out, what, text);
    if study.refused {
        remark("refused", "a precondition is not met; nothing was drawn");
    }
    if let Some(asked) = study.ended_before {
        remark("interrupted", &ended(study.samples, asked));
    }
    for (why, n) in &study.bad {
        let text = format!("{n} of {} draws: {why}", study.samples);
        remark("without a result", &text);
    }
    if study.method.quantile_error > 0.0 {
        let text = format!(
            "median, low and high are at most {} of themselves off because of bins",
            study.method.quantile_error
        );
        remark("quantiles", &text);
    }
    for c in &study.contributors {
        let text = format!(
            "first {} ± {}, total {} ± {}",
            c.first, c.first_error, c.total, c.total_error
        );
        remark(&format!("contributor {}", c.input), &text);
    }
    // Every column that any side has; the ratio of a check behind the values.
    let mut ids: Vec<(&'static str, &'static str, bool)> = Vec::new();
    let values = sides.iter().flat_map(|s| &s.values.0);
    let checks = sides.iter().flat_map(|s| &s.falls_short.0);
    let values = values.map(|(id, band)| (*id, band.unit, false));
    for column in values.chain(checks.map(|(id, _)| (*id, "none", true))) {
        if !ids.contains(&column) {
            ids.push(column);
        }
    }
    let mut rows = csv::Rows::default();
    for name in ["job", "side", "samples", "seed", "statistic"] {
        rows.text(name);
    }
    for (id, unit, _) in &ids {
        rows.text(&csv::name(id, unit));
    }
    rows.text("lowest margin");
    rows.text("any strength check");
    rows.end();
    for side in sides.iter().filter(|_| !study.refused) {
        let mut row = |statistic: &str, cells: Vec<Option<f64>>| {
            rows.text(&report.job.source);
            rows.text(side.side);
            rows.number(Some(study.samples));
            rows.number(Some(study.seed));
            rows.text(statistic);
            cells.into_iter().for_each(|cell| rows.number(cell));
            rows.end();
        };
        let of_band: [(&str, OfBand); 5] = [
            ("median", |b| Some(b.median.0)),
            ("low", |b| Some(b.low.0)),
            ("high", |b| Some(b.high.0)),
            ("mean", |b| b.mean),
            ("standard deviation", |b| b.deviation),
        ];
        for (statistic, get) in of_band {
            let cells = ids.iter().map(|(id, _, ratio)| {
                let of = if *ratio { &side.ratios } else { &side.values };
                of.get(id).and_then(get)
            });
            let lowest = side.lowest_margin.as_ref().and_then(get);
            row(statistic, cells.chain([lowest, None]).collect());
        }
        let of_share: [(&str, OfShare); 3] = [
            ("falls short", |s| s.probability),
            ("falls short, low", |s| s.low),
            ("falls short, high", |s| s.high),
        ];
        for (statistic, get) in of_share {
            let cells = ids.iter().map(|(id, _, ratio)| {
                let short = side.falls_short.get(id).filter(|_| *ratio);
                short.map(get)
            });
            let any = side.any_falls_short.as_ref().map(get);
            row(statistic, cells.chain([None, any]).collect());
        }
    }
    out.push_str(&rows.finish());
    out
}
