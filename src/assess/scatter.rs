//! How sure: the whole assessment, run over everything of a job that is not known exactly.
//!
//! Each spread is one independent input; with feeler gaps the seat's stiffness, which has no source, is one more. A
//! sample's preload serves as high, without loss, and as low, with it. Preconditions and what is unknown decide nothing
//! here: a check falls short by its numbers alone, the worst of the ways of bearing that a draw leaves open.

use super::check::{CheckId, Reason, Sort, Verdict};
use super::values::{self, Value};
use super::{Assessment, SEAT_STIFFNESS_FACTORS, assess_drawn};
use crate::job::assembly::{Assembly, Condition, State};
use crate::job::document::Raw;
use crate::job::vary::{self, Impossible, Uncertain, Varying};
use crate::job::{Diagnostic, Document, Job};
use crate::study::draw::Distribution;
use crate::study::interval::{Share, wilson};
use crate::study::run::{Counts, Model, Moments, Plan, Row};
use crate::study::sobol::{self, Index};
use crate::study::tally::{Tally, is_finite};
use crate::units::{Kind, Shape, Unit};

/// Where the spread of an input comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// The job, the row of friction, or the tool's error.
    Of(vary::Origin),
    /// The seat's stiffness has no source: half and twice are as likely.
    SeatStiffness,
}

/// What is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// The path of the entry.
    pub path: String,
    /// Its unit.
    pub unit: Unit,
    /// How it is spread, SI base units.
    pub distribution: Distribution,
    /// Where the spread comes from.
    pub source: Source,
    /// For a reading around the seat: where it was taken, as the job says it.
    pub at: Option<String>,
    /// The state of the surfaces, for friction from a row.
    pub lubrication: Option<String>,
}

/// The name under which the seat's stiffness is drawn.
pub const SEAT_STIFFNESS: &str = "seat stiffness factor";

/// One column of a sample.
#[derive(Clone, Copy)]
enum Column {
    Value(&'static Value),
    /// Ratio of a check.
    Ratio(CheckId),
    /// The lowest margin over the strength checks.
    Lowest,
}

/// The event that any strength check falls short, behind those of the single checks.
const ANY: usize = CheckId::COUNT;
/// Events of one side.
const EVENTS: usize = CheckId::COUNT + 1;

/// A job whose uncertain entries are drawn.
pub struct Scatter {
    varying: Varying,
    inputs: Vec<Input>,
    distributions: Vec<Distribution>,
    /// The seat's stiffness is drawn, behind the entries of the job.
    stiffness: bool,
    columns: Vec<Column>,
    origins: Vec<f64>,
}

impl Scatter {
    /// Everything of a job that is to be drawn.
    ///
    /// # Errors
    /// What is wrong with the job.
    pub fn new(document: &Document) -> Result<Scatter, Vec<Diagnostic>> {
        let uncertain = vary::spreads(document)?;
        let paths: Vec<String> = uncertain.iter().map(|u| u.path.clone()).collect();
        let mut varying = Varying::new(document, &paths)?.drawn();
        let mut inputs: Vec<Input> = uncertain.iter().map(|u| input(document, u)).collect();
        let ranges: Vec<(f64, f64)> = uncertain
            .iter()
            .map(|u| (u.spread.low, u.spread.high))
            .collect();
        varying.check(&ranges);
        let sides = &varying.job().sides;
        let stiffness = sides.iter().any(|s| !s.assembly.seat.gaps.is_empty());
        if stiffness {
            let [low, high] = SEAT_STIFFNESS_FACTORS;
            inputs.push(Input {
                path: SEAT_STIFFNESS.into(),
                unit: Unit::None,
                distribution: Distribution::LogRectangular { low, high },
                source: Source::SeatStiffness,
                at: None,
                lubrication: None,
            });
        }
        let of_side = || {
            let values = values::ALL.iter().map(Column::Value);
            let ratios = CheckId::ALL.into_iter().map(Column::Ratio);
            values.chain(ratios).chain([Column::Lowest])
        };
        let columns: Vec<Column> = sides.iter().flat_map(|_| of_side()).collect();
        let mut scatter = Scatter {
            varying,
            distributions: inputs.iter().map(|i| i.distribution).collect(),
            inputs,
            stiffness,
            origins: vec![0.0; columns.len()],
            columns,
        };
        scatter.origins = scatter.middle();
        Ok(scatter)
    }

    /// The results with every input in its middle; 0 where there is none.
    fn middle(&self) -> Vec<f64> {
        let mut row = Row {
            values: self.origins.clone(),
            ..Row::default()
        };
        let middle: Vec<f64> = self.distributions.iter().map(|d| d.quantile(0.5)).collect();
        match self.run(&mut self.scratch(), &middle, &mut row) {
            Ok(()) => row
                .values
                .iter()
                .map(|v| if is_finite(*v) { *v } else { 0.0 })
                .collect(),
            Err(_) => self.origins.clone(),
        }
    }

    /// What is drawn.
    pub fn inputs(&self) -> &[Input] {
        &self.inputs
    }
    /// The job as it is stated.
    pub fn job(&self) -> &Job {
        self.varying.job()
    }
    /// Columns of one side.
    fn width(&self) -> usize {
        self.columns.len() / self.job().sides.len().max(1)
    }
}

/// What is drawn for an entry.
fn input(document: &Document, u: &Uncertain) -> Input {
    let text = |path: String| match document.get(&path).map(|e| &e.value) {
        Some(Raw::Text(text)) => Some(text.clone()),
        _ => None,
    };
    let beside = |key: &str| {
        u.path
            .rsplit_once('.')
            .and_then(|(table, _)| text(format!("{table}.{key}")))
    };
    Input {
        path: u.path.clone(),
        unit: u.kind.unit(),
        distribution: match u.spread.shape {
            Shape::Rectangular => Distribution::Rectangular {
                low: u.spread.low,
                high: u.spread.high,
            },
            // The figure of a spread is two standard deviations.
            _ => Distribution::Normal {
                mean: u.spread.nominal,
                deviation: 0.25 * (u.spread.high - u.spread.low),
            },
        },
        source: Source::Of(u.origin),
        at: beside("at").filter(|_| u.path.ends_with("].gap")),
        lubrication: beside("lubrication").filter(|_| u.kind == Kind::Number),
    }
}

/// Takes every precondition as met: what is not known of the part is no matter of chance, and stands beside the result.
fn confirmed() -> Condition {
    let met = State::Confirmed;
    Condition {
        no_crack: met,
        not_moved: met,
        no_crash: met,
        unregulated_use: met,
        face_clean: met,
        thread_starts_by_hand: met,
        prepared: met,
        cured: met,
    }
}

impl Model for Scatter {
    type Scratch = vary::Scratch;
    fn scratch(&self) -> vary::Scratch {
        self.varying.scratch()
    }
    fn distributions(&self) -> &[Distribution] {
        &self.distributions
    }
    fn origins(&self) -> &[f64] {
        &self.origins
    }
    fn events(&self) -> usize {
        // Two sides at most.
        EVENTS * self.job().sides.len()
    }
    fn run(
        &self,
        scratch: &mut vary::Scratch,
        inputs: &[f64],
        row: &mut Row,
    ) -> Result<(), String> {
        let of_the_job = inputs.len() - usize::from(self.stiffness);
        let factor = match inputs.last() {
            Some(factor) if self.stiffness => *factor,
            _ => 1.0,
        };
        self.varying
            .put(&inputs[..of_the_job], scratch)
            .map_err(|why| self.impossible(&why))?;
        row.events = 0;
        row.target = None;
        let width = self.width();
        for (index, side) in scratch.sides.iter_mut().enumerate() {
            side.condition = confirmed();
            let assessment = assess_drawn(side, factor).map_err(|e| e.to_string())?;
            let (mut lowest, mut events) = (f64::NAN, 0u64);
            for check in assessment.checks.iter().flatten() {
                if check.reason == Some(Reason::NotConverged) {
                    return Err(format!("the solution did not converge ({})", check.id.id()));
                }
                let strength = check.id.sort() == Sort::Strength;
                if check.verdict == Verdict::FallsShort {
                    events |= 1 << check.id.index();
                    if strength {
                        events |= 1 << ANY;
                    }
                }
                if strength && check.margin().is_finite() {
                    lowest = lowest.min(check.margin());
                }
            }
            row.events |= events << (index * EVENTS);
            if lowest.is_finite() {
                row.target = Some(row.target.map_or(lowest, |other| other.min(lowest)));
            }
            let from = index * width;
            for (out, column) in row.values[from..]
                .iter_mut()
                .zip(&self.columns[from..from + width])
            {
                *out = column.of(side, &assessment, lowest);
            }
        }
        Ok(())
    }
}

impl Column {
    fn of(&self, a: &Assembly, r: &Assessment, lowest: f64) -> f64 {
        match self {
            Column::Value(value) => (value.get)(a, r).unwrap_or(f64::NAN),
            Column::Ratio(id) => r.checks[id.index()].map_or(f64::NAN, |c| c.ratio),
            Column::Lowest => lowest,
        }
    }
}

impl Scatter {
    /// Why a draw cannot be, without the figures that were drawn: reasons are counted.
    fn impossible(&self, why: &Impossible) -> String {
        let path = match why {
            Impossible::Parts(path, _) => path,
            Impossible::Value(index, _) => self.inputs.get(*index).map_or("", |i| i.path.as_str()),
            Impossible::Refused(text) => {
                let plain: String = text.chars().filter(|c| !c.is_ascii_digit()).collect();
                return format!("refused: {plain}");
            }
        };
        format!("cannot be: {path}")
    }
}

/// Median and 95 % band of a number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Median.
    pub median: f64,
    /// 2.5th percentile.
    pub low: f64,
    /// 97.5th percentile.
    pub high: f64,
    /// Mean and standard deviation of the finite numbers.
    pub moments: Option<Moments>,
    /// Samples without a number.
    pub absent: u64,
    /// Samples in which it is infinite.
    pub infinite: u64,
}

impl Band {
    fn of(tally: &Tally, moments: Option<Moments>) -> Option<Band> {
        Some(Band {
            median: tally.quantile(0.5)?,
            low: tally.quantile(0.025)?,
            high: tally.quantile(0.975)?,
            moments,
            absent: tally.absent(),
            infinite: tally.infinite(),
        })
    }
    /// Does any input move it?
    pub fn varies(&self) -> bool {
        self.moments
            .is_none_or(|m| m.deviation > 1e-12 * m.mean.abs())
            && self.low != self.high
    }
}

/// What a study says of a check.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CheckFinding {
    /// Which.
    pub id: CheckId,
    /// Its ratio.
    pub ratio: Option<Band>,
    /// Chance that it falls short by its numbers; nothing where no sample has any.
    pub short: Option<Share>,
}

/// One bar of a histogram: from, to, samples.
pub type Bar = (f64, f64, u64);

/// What a study says of a side.
#[derive(Clone)]
pub struct SideFinding {
    /// Every value that there is in any sample.
    pub values: Vec<(&'static Value, Band)>,
    /// Every check.
    pub checks: Vec<CheckFinding>,
    /// The lowest margin over the strength checks.
    pub lowest: Option<Band>,
    /// Its histogram.
    pub bars: Vec<Bar>,
    /// Histograms of the preload, low and high, and of every ratio, by id; nothing for what does not vary.
    pub spreads: Vec<(&'static str, Vec<Bar>)>,
    /// Chance that any strength check falls short.
    pub any_short: Option<Share>,
}

impl SideFinding {
    /// Does something that decides fall short in more than half of all samples?
    pub fn short_as_a_rule(&self) -> bool {
        self.checks.iter().any(|c| {
            let decides = c.id.sort() == Sort::Strength || c.id == CheckId::TorqueMaker;
            decides && c.short.is_some_and(|s| s.value > 0.5)
        })
    }
}

/// What a study says.
#[derive(Clone)]
pub struct Findings {
    /// By side, in the order of the job.
    pub sides: Vec<SideFinding>,
    /// Number of the input, and how much of the lowest margin it decides; the most telling first.
    pub contributors: Vec<(usize, Index)>,
}

impl Findings {
    /// The side that is worse off: the likelier to fall short, then the lower in its lowest margin.
    pub fn worse(&self) -> usize {
        let key = |side: &SideFinding| {
            let chance = side.any_short.map_or(0.0, |s| s.value);
            let margin = side.lowest.map_or(f64::INFINITY, |b| b.median);
            (-chance, margin)
        };
        let order = |a: &SideFinding, b: &SideFinding| {
            let ((p, x), (q, y)) = (key(a), key(b));
            p.total_cmp(&q).then(x.total_cmp(&y))
        };
        let sides = self.sides.iter().enumerate();
        sides.min_by(|a, b| order(a.1, b.1)).map_or(0, |(i, _)| i)
    }
}

/// Bars of a histogram.
const BARS: usize = 12;
/// Values whose histogram is kept: what a sample's preload is after and before its losses.
pub const PRELOADS: [&str; 2] = ["preload.low", "preload.high"];

/// The middle 99 % in bars of equal width, what lies outside in those at the ends.
fn bars(tally: &Tally) -> Vec<Bar> {
    let ends = tally.quantile(0.005).zip(tally.quantile(0.995));
    let apart = |(low, high): &(f64, f64)| {
        low.is_finite() && high.is_finite() && high - low > 1e-9 * high.abs()
    };
    let Some((low, high)) = ends.filter(apart) else {
        return Vec::new();
    };
    let width = (high - low) / BARS as f64;
    let mut out: Vec<Bar> = (0..BARS)
        .map(|i| (low + width * i as f64, low + width * (i + 1) as f64, 0))
        .collect();
    for (value, n) in tally.runs() {
        // A cast takes what lies below to 0.
        let at = (((value - low) / width) as usize).min(BARS - 1);
        out[at].2 += n;
    }
    out
}

impl Scatter {
    /// What the counts of a study, settled, say.
    pub fn findings(&self, plan: &Plan, counts: &Counts) -> Findings {
        let (width, good) = (self.width(), counts.good());
        let sides = (0..self.job().sides.len())
            .map(|side| {
                let from = side * width;
                let band = |column: usize| {
                    let at = from + column;
                    let moments = counts.moments(at, *self.origins.get(at)?);
                    Band::of(counts.tallies.get(at)?, moments)
                };
                let share = |event: usize| wilson(*counts.events.get(side * EVENTS + event)?, good);
                let mut finding = SideFinding {
                    values: Vec::new(),
                    checks: Vec::new(),
                    lowest: None,
                    bars: Vec::new(),
                    spreads: Vec::new(),
                    any_short: share(ANY),
                };
                let drawn = |column: usize| {
                    let found = counts.tallies.get(from + column).map_or(Vec::new(), bars);
                    Some(found).filter(|bars| !bars.is_empty())
                };
                for (i, column) in self.columns[from..from + width].iter().enumerate() {
                    match column {
                        Column::Value(value) => {
                            finding.values.extend(band(i).map(|b| (*value, b)));
                            if PRELOADS.contains(&value.id) {
                                finding.spreads.extend(drawn(i).map(|b| (value.id, b)));
                            }
                        }
                        Column::Ratio(id) => {
                            let ratio = band(i);
                            finding.spreads.extend(drawn(i).map(|b| (id.id(), b)));
                            let short = share(id.index());
                            let counted = ratio.is_some() || short.is_some_and(|s| s.value > 0.0);
                            finding.checks.push(CheckFinding {
                                id: *id,
                                ratio,
                                short: short.filter(|_| counted),
                            });
                        }
                        Column::Lowest => {
                            finding.lowest = band(i);
                            finding.bars = drawn(i).unwrap_or_default();
                        }
                    }
                }
                finding
            })
            .collect();
        // What ended before its time has only some of the blocks, which would not be the same a second time.
        let whole = counts.complete(plan, &plan.part(1, 1));
        let found = whole.then(|| sobol::indices(&counts.blocks)).flatten();
        let mut contributors: Vec<(usize, Index)> =
            found.unwrap_or_default().into_iter().enumerate().collect();
        contributors.sort_by(|a, b| b.1.total.total_cmp(&a.1.total));
        Findings {
            sides,
            contributors,
        }
    }
}
