//! The report of an assessed job: one structure behind text, JSON and Markdown.

use super::record::{Against, RecordReport};
use super::words;
pub use crate::assess::Assessed;
use crate::assess::cause::Causes;
use crate::assess::caution::Cautions;
use crate::assess::check::{Check, CheckId, Decider, Note, Reason, Sort, Verdict};
use crate::assess::undo::Undoing;
use crate::assess::window::{At, End, Window};
use crate::assess::{Assessment, basis, closed, compare, informs, unknown, values, wrench};
use crate::job::assembly::Condition;
use crate::job::ledger::{Fact, Ledger, Why};
use crate::job::resolve::{RELAXATION_ON_FRAME, RELAXATION_ON_INSERT, percent, source_of_default};
use crate::job::{Job, Side};
use crate::units::{System, Torque, Unit, si};
use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};

/// A value with its unit, held in SI base units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    /// The value in SI base units.
    pub si: f64,
    /// The unit it is given in.
    pub unit: Unit,
}

impl Amount {
    /// A value in SI base units with the unit it is given in.
    pub fn of(si: f64, unit: Unit) -> Amount {
        Amount { si, unit }
    }
}

impl Serialize for Amount {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(2))?;
        map.serialize_entry("value", &Number(self.unit.of(self.si)))?;
        map.serialize_entry("unit", self.unit.symbol())?;
        map.end()
    }
}

/// A number of which an infinite one is written as null.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number(pub f64);

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0.is_finite() {
            serializer.serialize_f64(self.0)
        } else {
            serializer.serialize_none()
        }
    }
}

/// A value that may be absent: not a number means that there is none.
pub(super) fn given(value: f64) -> Option<Number> {
    (!value.is_nan()).then_some(Number(value))
}

/// One precondition.
#[derive(Debug, Clone, Serialize, PartialEq)]
#[allow(missing_docs)]
pub struct PreconditionReport {
    pub id: &'static str,
    pub state: &'static str,
    pub text: &'static str,
}

/// One check.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct CheckReport {
    pub id: &'static str,
    pub title: &'static str,
    pub load_case: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub demand: Option<Amount>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacity: Option<Amount>,
    pub kind: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ratio: Option<Number>,
    pub need: f64,
    /// What the reserve is divided by before it is judged.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub divided_by: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin: Option<Number>,
    pub verdict: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<&'static str>,
    pub sources: Vec<String>,
    pub notes: Vec<&'static str>,
    /// The remark that the verdict is taken from where it is not the ratio.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub decided_by: Option<&'static str>,
    /// It decides nothing.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub informs_only: bool,
    /// A torque in its range, which has no capacity: the torque, and the ends of the range.
    #[serde(skip)]
    pub within: Option<[Amount; 3]>,
}

/// A map that keeps its order.
#[derive(Debug, Clone)]
pub struct Ordered<T>(pub Vec<(&'static str, T)>);

impl<T> Default for Ordered<T> {
    fn default() -> Self {
        Ordered(Vec::new())
    }
}

impl<T> Ordered<T> {
    /// What stands under a key.
    pub fn get(&self, key: &str) -> Option<&T> {
        self.0.iter().find(|(k, _)| *k == key).map(|(_, v)| v)
    }
}

impl<T: Serialize> Serialize for Ordered<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(k, v)| (*k, v)))
    }
}

/// One end of the window.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct EndReport {
    #[serde(flatten)]
    pub torque: Amount,
    pub governed_by: &'static str,
}

/// One bound of the window.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct BoundReport {
    pub id: &'static str,
    pub side: &'static str,
    pub torque: Amount,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub advice_only: bool,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub rests_on_unknown: bool,
}

/// A limit that could not be turned into a bound.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct LeftOut {
    pub id: &'static str,
    pub reason: &'static str,
}

/// The window.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct WindowReport {
    pub low: Option<EndReport>,
    pub high: Option<EndReport>,
    pub empty: bool,
    pub complete: bool,
    pub bounds: Vec<BoundReport>,
    pub never_binds: Vec<&'static str>,
    pub never_met: Vec<&'static str>,
    pub left_out: Vec<LeftOut>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub aim: Option<AimReport>,
    /// Why no torque is named.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_aim: Option<&'static str>,
    /// The wrench at the torque to aim for, or at the job's own.
    #[serde(skip)]
    pub wrench: wrench::Use,
}

/// The torque to aim for.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct AimReport {
    #[serde(flatten)]
    pub torque: Amount,
    pub why: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub set_on_tool: Option<Amount>,
}

/// A torque as reports carry it.
fn torque_amount(torque: Torque) -> Amount {
    Amount {
        si: si(torque),
        unit: Unit::NewtonMetre,
    }
}

impl WindowReport {
    /// The report of a window.
    pub fn new(window: &Window) -> WindowReport {
        let end = |end: Option<(Torque, CheckId)>| {
            end.map(|(torque, id)| EndReport {
                torque: torque_amount(torque),
                governed_by: id.id(),
            })
        };
        let named = |at: At| {
            window
                .bounds()
                .filter(|b| b.at == at)
                .map(|b| b.id.id())
                .collect()
        };
        WindowReport {
            low: end(window.low),
            high: end(window.high),
            empty: window.empty,
            complete: window.complete(),
            bounds: window
                .bounds()
                .filter_map(|b| {
                    let At::Torque(torque) = b.at else {
                        return None;
                    };
                    Some(BoundReport {
                        id: b.id.id(),
                        side: if b.end == End::Low { "low" } else { "high" },
                        torque: torque_amount(torque),
                        advice_only: b.advice_only,
                        rests_on_unknown: b.rests_on_unknown,
                    })
                })
                .collect(),
            never_binds: named(At::NeverBinds),
            never_met: named(At::NeverMet),
            left_out: window
                .left_out()
                .map(|(id, reason)| LeftOut {
                    id: id.id(),
                    reason: words::reason(reason),
                })
                .collect(),
            aim: window.aim.torque().map(|torque| AimReport {
                torque: torque_amount(torque),
                why: words::aim(window.aim),
                set_on_tool: window.wrench.set.map(torque_amount),
            }),
            no_aim: window
                .aim
                .torque()
                .is_none()
                .then(|| words::aim(window.aim)),
            wrench: window.wrench,
        }
    }
}

/// What holds without glue.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct GlueLost {
    pub holds: &'static str,
    pub text: &'static str,
    pub lever_out_pull: Amount,
}

/// One factor on the glue's strengths.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct KnockDown {
    pub factor: &'static str,
    pub applies: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
}

/// One side.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct SideReport {
    pub side: &'static str,
    pub verdict: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub governing: Option<&'static str>,
    pub preconditions: Vec<PreconditionReport>,
    pub checks: Vec<CheckReport>,
    pub values: Ordered<Amount>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub window: Option<WindowReport>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub glue_lost: Option<GlueLost>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub knock_downs: Vec<KnockDown>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub record: Option<RecordReport>,
    /// Where to stop undoing; withheld where no figure may be given.
    #[serde(skip)]
    pub undoing: Option<Undoing>,
    /// The wall is softer than the factor on its peel reaches.
    #[serde(skip)]
    pub wall_too_soft: bool,
    /// The check that the verdict is taken from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deciding: Option<&'static str>,
    pub do_first: String,
    /// The wrench at the job's own torque.
    #[serde(skip)]
    pub wrench: wrench::Use,
    /// What would open the window, where it is empty.
    #[serde(skip)]
    pub opens: Vec<(&'static str, String)>,
}

/// One assumed value.
#[derive(Debug, Clone, Serialize, PartialEq)]
#[allow(missing_docs)]
pub struct AssumedReport {
    pub key: String,
    #[serde(serialize_with = "metric")]
    pub value: Fact,
    pub source: String,
}

impl AssumedReport {
    /// A row of the table of defaults that stands in for a key.
    pub fn of_default(key: &str, value: Fact, row: &str) -> AssumedReport {
        AssumedReport {
            key: key.into(),
            value,
            source: format!("default: {}", source_of_default(row)),
        }
    }
}

/// A value as JSON carries it: in the metric units, whatever the text is in.
fn metric<S: Serializer>(value: &Fact, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(&value.show(System::Metric))
}

/// One caution.
#[derive(Debug, Clone, Serialize, PartialEq)]
#[allow(missing_docs)]
pub struct CautionReport {
    pub id: &'static str,
    pub text: std::borrow::Cow<'static, str>,
}

/// One warning about the tools at hand.
#[derive(Debug, Clone, Serialize, PartialEq)]
#[allow(missing_docs)]
pub struct WarningReport {
    pub id: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side: Option<&'static str>,
    pub text: String,
}

/// What identifies the job.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct JobReport {
    pub title: Option<String>,
    pub source: String,
}

impl JobReport {
    /// Of a job.
    pub fn of(job: &Job) -> JobReport {
        JobReport {
            title: job.title.clone(),
            source: job.source.clone(),
        }
    }
}

/// The frame of every report: what it is about, the worse side on top, both sides where there are two, and the end
/// that no report is without.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct Paper<S, T = S> {
    pub schema: &'static str,
    pub command: &'static str,
    pub job: JobReport,
    #[serde(flatten)]
    pub worst: S,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sides: Vec<T>,
    pub assumed: Vec<AssumedReport>,
    pub overrides: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub warnings: Vec<WarningReport>,
    pub not_examined: Vec<String>,
    pub cautions: Vec<CautionReport>,
    /// The verdict behind the exit code.
    #[serde(skip)]
    pub overall: Verdict,
    /// Sources of the rows in use, side by side with what they are used for.
    #[serde(skip)]
    pub sources: Vec<(String, String)>,
    /// What those rows warn of.
    #[serde(skip)]
    pub row_notes: Vec<(String, String)>,
}

/// The report of the checks.
pub type Report = Paper<SideReport>;

impl<S> Paper<S> {
    /// The sides to print: both, or the only one.
    pub fn printed_sides(&self) -> &[S] {
        if self.sides.is_empty() {
            std::slice::from_ref(&self.worst)
        } else {
            &self.sides
        }
    }
}

impl<S, T> Paper<S, T> {
    /// The same frame around other sides: the worse one, all of them where there are several, and the verdict.
    pub fn around<U, V>(self, worst: U, sides: Vec<V>, overall: Verdict) -> Paper<U, V> {
        Paper {
            worst,
            sides: if sides.len() > 1 { sides } else { Vec::new() },
            overall,
            schema: self.schema,
            command: self.command,
            job: self.job,
            assumed: self.assumed,
            overrides: self.overrides,
            warnings: self.warnings,
            not_examined: self.not_examined,
            cautions: self.cautions,
            sources: self.sources,
            row_notes: self.row_notes,
        }
    }
}

/// The schema of every JSON output.
pub const SCHEMA: &str = "insertwright/1";

impl Report {
    /// The report of a job and the assessments of its sides, in the same order.
    pub fn new(command: &'static str, job: &Job, assessments: &[Assessed]) -> Report {
        let mut sides: Vec<SideReport> = job
            .sides
            .iter()
            .zip(assessments)
            .map(|(side, assessed)| side_report(job, side, assessed))
            .collect();
        // The worse side stands on top.
        let (worst, overall) = match compare::worst(assessments) {
            Some((i, standing)) if i < sides.len() => {
                let worst = if sides.len() > 1 {
                    sides[i].clone()
                } else {
                    sides.remove(i)
                };
                (worst, standing.verdict)
            }
            _ => (empty_side(), Verdict::NotJudged),
        };
        let over = assessments.iter().filter_map(|a| {
            let found = a.assessment.evaluation.coupled?.elements_over_simple?;
            Some(si(found))
        });
        let over = over.reduce(f64::max);
        let cautions = assessments.iter().fold(
            Default::default(),
            |set: crate::assess::caution::Cautions, a| set.and(a.assessment.cautions),
        );
        Report {
            schema: SCHEMA,
            command,
            job: JobReport::of(job),
            worst,
            sides,
            assumed: assumed(job, Some(assessments)),
            overrides: job.overrides.clone(),
            warnings: warnings(job, assessments),
            not_examined: not_examined(job),
            cautions: caution_reports(cautions)
                .into_iter()
                .map(|caution| match over {
                    // What elements found takes the place of what is known of such walls in general.
                    Some(over) if caution.id == "soft-wall" => CautionReport {
                        text: words::soft_wall_by_elements(over).into(),
                        ..caution
                    },
                    _ => caution,
                })
                .collect(),
            overall,
            sources: sources(job),
            row_notes: row_notes(job),
        }
    }
}

/// The side with the worse verdict, the first of equals.
pub(super) fn worse<S: Clone>(sides: &[(Verdict, S)]) -> Option<(Verdict, S)> {
    sides
        .iter()
        .reduce(|a, b| if b.0.rank() > a.0.rank() { b } else { a })
        .cloned()
}

fn empty_side() -> SideReport {
    SideReport {
        side: "",
        verdict: Verdict::NotJudged.word(),
        governing: None,
        preconditions: Vec::new(),
        checks: Vec::new(),
        values: Ordered(Vec::new()),
        window: None,
        glue_lost: None,
        knock_downs: Vec::new(),
        record: None,
        undoing: None,
        wall_too_soft: false,
        deciding: None,
        do_first: String::new(),
        wrench: wrench::Use::default(),
        opens: Vec::new(),
    }
}

fn glue_lost(side: &Side, assessment: &Assessment) -> GlueLost {
    let holds = closed::without_glue(&side.assembly);
    GlueLost {
        holds: words::holds_word(holds),
        text: words::without_glue(holds),
        lever_out_pull: Amount {
            si: si(assessment.evaluation.lever_out.0),
            unit: Unit::Newton,
        },
    }
}

fn knock_downs(side: &Side) -> Vec<KnockDown> {
    let k = closed::knock_downs(&side.assembly);
    let one = |factor, applies, value: Option<f64>| KnockDown {
        factor,
        applies,
        value,
    };
    vec![
        one("preparation", "always", Some(k.preparation.value)),
        one("ageing", "all states but tightening", Some(k.ageing.value)),
        one("heat", "at the hottest", k.heat.map(|h| h.value)),
        one("endurance share", "repeated load", Some(k.endurance.value)),
        one("creep share", "lasting load, shear", Some(k.creep.value)),
    ]
}

/// The preconditions with their states.
pub(super) fn preconditions(condition: &Condition) -> Vec<PreconditionReport> {
    words::preconditions(condition)
        .into_iter()
        .map(|(id, state, text)| PreconditionReport {
            id,
            state: words::state(state),
            text,
        })
        .collect()
}

/// The cautions with their texts.
pub fn caution_reports(cautions: Cautions) -> Vec<CautionReport> {
    cautions
        .iter()
        .map(|c| CautionReport {
            id: c.id(),
            text: words::caution(c).into(),
        })
        .collect()
}

fn side_report(job: &Job, side: &Side, assessed: &Assessed) -> SideReport {
    let (assessment, window) = (&assessed.assessment, assessed.window.as_ref());
    let refused = assessment.verdict == Verdict::Refused;
    let preconditions = preconditions(&side.assembly.condition);
    // A refused job shows no margin and no figure that could be taken for one.
    let checks = if refused {
        Vec::new()
    } else {
        assessment
            .checks
            .iter()
            .flatten()
            .map(|check| check_report(job, side, check))
            .collect()
    };
    let values = if refused {
        Vec::new()
    } else {
        values::ALL
            .iter()
            .filter_map(|v| {
                let si = (v.get)(&side.assembly, assessment)?;
                (!si.is_nan()).then_some((v.id, Amount { si, unit: v.unit }))
            })
            .collect()
    };
    let mut report = SideReport {
        side: words::side_word(side.name),
        verdict: assessment.verdict.word(),
        governing: if refused {
            None
        } else {
            assessment.governing.map(CheckId::id)
        },
        preconditions,
        checks,
        values: Ordered(values),
        window: window.filter(|_| !refused).map(WindowReport::new),
        glue_lost: (!refused).then(|| glue_lost(side, assessment)),
        knock_downs: if refused {
            Vec::new()
        } else {
            knock_downs(side)
        },
        record: None,
        undoing: (!refused)
            .then(|| Undoing::of(&side.assembly, assessment))
            .flatten(),
        wall_too_soft: assessment
            .evaluation
            .coupled
            .is_some_and(|c| c.soft_wall.is_none()),
        deciding: assessment.deciding(&side.assembly).map(|c| c.id.id()),
        do_first: String::new(),
        wrench: assessment.wrench,
        opens: Vec::new(),
    };
    let causes = Causes {
        no_window: window.is_some_and(|w| w.empty),
        ..Causes::of(&side.assembly, assessment)
    };
    let deciding = assessment.deciding(&side.assembly);
    let ring = &assessment.evaluation.ring;
    let unknown = deciding.and_then(|c| unknown(&side.assembly, ring, c.id));
    report.do_first = first_step(&report, deciding, unknown, &causes);
    if let Some(window) = window.filter(|w| w.empty) {
        report.opens = window
            .crossing()
            .map(|id| (id.id(), words::advice(id, &causes)))
            .collect();
    }
    let against = Against {
        window: report.window.as_ref(),
        of_route: false,
        undoing: report.undoing,
    };
    report.record = RecordReport::new(&side.record, Some(against));
    report
}

pub(super) fn check_report(job: &Job, side: &Side, check: &Check) -> CheckReport {
    let unit = check.id.unit();
    let amount = |si: f64| (!si.is_nan()).then_some(Amount { si, unit });
    let state = check.id.state();
    let load_case = match job.case_names.get(check.case as usize) {
        Some(name) if job.case_names.len() > 1 => format!("{state}; {name}"),
        _ => state.to_string(),
    };
    let keys: &[&str] = match check.id {
        CheckId::StripExternal | CheckId::StripInternal | CheckId::Engagement => &[
            "thread.designation",
            "insert.material",
            "fitting.material",
            "tightening.lubrication",
        ],
        CheckId::Hoop => &[
            "thread.designation",
            "insert.material",
            "tightening.lubrication",
        ],
        CheckId::Neck | CheckId::Flange => &[
            "thread.designation",
            "fitting.material",
            "tightening.lubrication",
        ],
        CheckId::SeatCrush | CheckId::SeatOpen | CheckId::SeatSlip => &[
            "thread.designation",
            "insert.material",
            "frame.material",
            "fitting.material",
            "clamped.material",
            "tightening.lubrication",
        ],
        CheckId::Galvanic => &["insert.material", "frame.material", "bond.environment"],
        CheckId::FramePullThrough => &["frame.material", "tightening.lubrication"],
        CheckId::FrameEdge => &["frame.material"],
        CheckId::TorqueMaker => &[],
        _ => &[
            "thread.designation",
            "bond.adhesive",
            "bond.preparation",
            "insert.material",
            "frame.material",
            "fitting.material",
            "tightening.lubrication",
        ],
    };
    let stated = (check.id == CheckId::TorqueMaker).then(|| words::MAKER_SOURCE.to_string());
    let mut sources: Vec<String> = Vec::new();
    // Two parts may be of one material.
    for source in keys
        .iter()
        .filter_map(|k| side.ledger.sources.get(k).cloned())
        .chain(stated)
        .chain(basis::methods(check.id).into_iter().map(str::to_string))
    {
        if !sources.contains(&source) {
            sources.push(source);
        }
    }
    CheckReport {
        id: check.id.id(),
        title: check.id.title(),
        load_case,
        demand: amount(check.demand),
        capacity: amount(check.capacity),
        kind: match check.id.sort() {
            Sort::Strength => "strength",
            Sort::Serviceability => "serviceability",
        },
        ratio: given(check.ratio),
        need: check.need,
        divided_by: check.divided_by,
        margin: given(check.margin()),
        verdict: check.verdict.word(),
        reason: if check.verdict == Verdict::NotJudged {
            check.reason.map(words::reason)
        } else {
            None
        },
        sources,
        notes: Note::ALL
            .iter()
            .filter(|n| check.notes.has(**n))
            .map(|n| words::note(*n))
            .chain(taken_as_solid(side, check.id).then_some(words::TAKEN_AS_SOLID))
            .collect(),
        decided_by: match check.decided_by() {
            Some(Decider::Note(note)) => Some(words::note(note)),
            _ => None,
        },
        informs_only: informs(&side.assembly, check.id),
        within: side
            .assembly
            .tightening
            .maker_torque
            .filter(|_| check.id == CheckId::TorqueMaker)
            .map(|(low, high)| {
                [side.assembly.tightening.torque.nominal, low, high].map(torque_amount)
            }),
    }
}

/// A fitting in a crank housing whose bore the job leaves out: most cups are hollow.
fn taken_as_solid(side: &Side, id: CheckId) -> bool {
    let pedalled = side.assembly.cases.iter().any(|c| c.pedalling.is_some());
    id == CheckId::Neck && pedalled && side.left_out("fitting.bore")
}

/// Does a check hang on the preload, and so on the friction?
fn hangs_on_preload(id: CheckId) -> bool {
    !matches!(
        id,
        CheckId::TorqueMaker | CheckId::Galvanic | CheckId::FrameEdge
    )
}

/// Preconditions that no repair answers for.
const REFUSING: [&str; 3] = ["no_crack", "no_crash", "unregulated_use"];

/// The one thing to do first.
fn first_step(
    side: &SideReport,
    deciding: Option<&Check>,
    unknown: Option<Reason>,
    causes: &Causes,
) -> String {
    let with = |state: &str| {
        let ids: Vec<&str> = side
            .preconditions
            .iter()
            .filter(|p| p.state == state)
            .map(|p| p.id)
            .collect();
        ids.join(", ")
    };
    let (failed, open) = (with("failed"), with("unknown"));
    if side.verdict == Verdict::Refused.word() {
        let texts: Vec<&str> = side
            .preconditions
            .iter()
            .filter(|p| p.state == "failed")
            .map(|p| p.text)
            .collect();
        // Only an insert that has moved has a route of its own.
        let others = |p: &PreconditionReport| p.state == "failed" && REFUSING.contains(&p.id);
        let then = if side.preconditions.iter().any(others) {
            words::TAKE_IT
        } else {
            words::SEE_REPAIR
        };
        return format!(
            "stop: this is not so: {}. No figure is given. {then}",
            texts.join("; ")
        );
    }
    if !failed.is_empty() {
        return format!("put right what is not met: {failed}");
    }
    let remedy = |check: &Check| match check.decided_by() {
        Some(Decider::Note(Note::RestsOnUnknown)) => format!(
            "find out what is not known: {}. With the weakest plausible value \"{}\" falls short",
            unknown.map_or("see what is assumed", words::reason),
            check.id.title()
        ),
        Some(Decider::Note(note)) => {
            words::remedy(note).map_or_else(|| words::advice(check.id, causes), str::to_string)
        }
        _ if causes.friction_unknown && hangs_on_preload(check.id) => format!(
            "{}. Over the widest range of friction \"{}\" falls short",
            words::FIND_FRICTION,
            check.id.title()
        ),
        _ => words::advice(check.id, causes),
    };
    let maker = CheckId::TorqueMaker;
    let beyond = |c: &&CheckReport| c.id == maker.id() && c.verdict == Verdict::FallsShort.word();
    match deciding {
        // The maker comes first, and this is mended in a minute.
        _ if side.checks.iter().any(|c| beyond(&c)) => words::advice(maker, causes),
        Some(check) if check.verdict == Verdict::FallsShort => remedy(check),
        _ if !open.is_empty() => {
            format!("look, and enter in [condition] what you find: {open}")
        }
        Some(check) if check.verdict == Verdict::NotJudged => format!(
            "find out what is missing for \"{}\": {}",
            check.id.title(),
            check.reason.map_or("see the table", words::reason)
        ),
        Some(check) if side.verdict == Verdict::Marginal.word() => format!(
            "for more in hand at \"{}\": {}",
            check.id.title(),
            remedy(check)
        ),
        _ => "nothing of what is looked at falls short; tighten to the makers' torque, draw a line across insert and frame, and look again after the first use".into(),
    }
}

/// What a ledger notes.
pub(super) fn ledger_entries(ledger: &Ledger) -> Vec<AssumedReport> {
    ledger
        .assumed
        .iter()
        .map(|a| {
            let why = match a.why {
                Why::Default => "default",
                Why::Unknown => "unknown, weakest row",
                Why::OwnRow => "row of this job",
            };
            AssumedReport {
                key: a.key.clone(),
                value: a.value.clone(),
                source: format!("{why}: {}", a.source),
            }
        })
        .collect()
}

/// Defaults of one side whose value depends on what bears and on the preload.
fn of_the_seat(side: &Side, assessment: Option<&Assessment>) -> Vec<AssumedReport> {
    let (a, tightening) = (&side.assembly, &side.assembly.tightening);
    let mut out = Vec::new();
    let ring = closed::ring(a, closed::stated_bearing(a));
    if let (false, Some(ring)) = (tightening.relaxation.stated, ring) {
        let row = if ring.frame.is_some() {
            RELAXATION_ON_FRAME
        } else {
            RELAXATION_ON_INSERT
        };
        let value = Fact::Text(percent(closed::relaxation_share(a, &ring)));
        out.push(AssumedReport::of_default(RELAXATION_ON_INSERT, value, row));
    }
    let undoing = assessment.and_then(|r| r.evaluation.coupled.as_ref());
    if let (None, Some(coupled)) = (tightening.removal_torque, undoing) {
        let key = "tightening.removal_torque";
        let value = Fact::Quantity(si(coupled.removal_torque), Unit::NewtonMetre);
        out.push(AssumedReport::of_default(key, value, key));
    }
    out
}

/// What a job rests on that it does not say; with what the assessments alone know, where there are any.
pub(super) fn assumed(job: &Job, assessments: Option<&[Assessed]>) -> Vec<AssumedReport> {
    let several = job.sides.len() > 1;
    let mut out: Vec<AssumedReport> = Vec::new();
    for (i, side) in job.sides.iter().enumerate() {
        let assessment = assessments.and_then(|all| Some(&all.get(i)?.assessment));
        let entries = ledger_entries(&side.ledger).into_iter();
        for entry in entries.chain(of_the_seat(side, assessment)) {
            if out.contains(&entry) {
                continue;
            }
            // The same key with another value belongs to one side only.
            let differs = several && out.iter().any(|o| o.key == entry.key);
            out.push(if differs {
                AssumedReport {
                    key: format!("{} ({})", entry.key, words::side_word(side.name)),
                    ..entry
                }
            } else {
                entry
            });
        }
    }
    out
}

/// What is wrong with the job's wrench at the job's own torque.
fn warnings(job: &Job, assessments: &[Assessed]) -> Vec<WarningReport> {
    let several = job.sides.len() > 1;
    let sides = job.sides.iter().zip(assessments);
    sides
        .flat_map(|(side, assessed)| {
            let warnings = assessed.assessment.wrench.warnings();
            warnings.map(move |w| WarningReport {
                id: w.id(),
                side: several.then(|| words::side_word(side.name)),
                text: words::wrench(&w, System::Metric),
            })
        })
        .collect()
}

fn not_examined(job: &Job) -> Vec<String> {
    let assemblies = || job.sides.iter().map(|s| &s.assembly);
    let parent = assemblies().any(|a| !crate::assess::parent::applies(a));
    let edge =
        assemblies().any(|a| crate::assess::parent::applies(a) && a.frame.edge_distance.is_none());
    let clamped = assemblies().any(|a| a.clamped.is_some());
    let gaps = assemblies().any(|a| crate::assess::seat_report::doubt(a).is_some());
    let pedalled = assemblies().any(|a| a.cases.iter().any(|case| case.pedalling.is_some()));
    let when = |applies: bool, text: &'static str| applies.then_some(text);
    words::NOT_EXAMINED
        .iter()
        .copied()
        .chain(when(pedalled, words::PEDALLING_NOT_EXAMINED))
        .chain(when(parent, words::PARENT_NOT_EXAMINED))
        .chain(when(edge, words::EDGE_NOT_EXAMINED))
        .chain(when(clamped, words::CLAMPED_NOT_EXAMINED))
        .chain(when(gaps, words::GAPS_NOT_EXAMINED))
        .map(str::to_string)
        .chain(job.not_read.iter().cloned())
        .collect()
}

pub(super) fn sources(job: &Job) -> Vec<(String, String)> {
    of_ledgers(job, |ledger| &ledger.sources)
}

/// What the rows in use warn of.
pub(super) fn row_notes(job: &Job) -> Vec<(String, String)> {
    of_ledgers(job, |ledger| &ledger.notes)
}

fn of_ledgers(
    job: &Job,
    which: impl Fn(&Ledger) -> &std::collections::BTreeMap<&'static str, String>,
) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = Vec::new();
    for side in &job.sides {
        for (key, source) in which(&side.ledger) {
            let entry = ((*key).to_string(), source.clone());
            if !out.contains(&entry) {
                out.push(entry);
            }
        }
    }
    out
}
