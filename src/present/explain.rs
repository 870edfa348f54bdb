//! One result explained: the relation, the numbers put in, the source, the limits.

use super::bench::Finding;
use super::report::{
    Amount, BoundReport, CheckReport, Number, Paper, PreconditionReport, WindowReport,
    check_report, preconditions,
};
use super::text::{self, Layout};
use super::{seat, spindle, words};
use crate::assess::basis;
use crate::assess::cause::Causes;
use crate::assess::check::{Check, CheckId};
use crate::assess::values::{Origin, Step, Value};
use crate::assess::window::Window;
use crate::assess::{Assessment, bond, refusal, seat_report, spindle as assess_spindle, values};
use crate::job::assembly::{Condition, State};
use crate::job::{Job, Side};
use crate::mechanics::formula::{Formula, greek};
use crate::mechanics::pedal;
use crate::units::display::{System, significant};
use serde::Serialize;

/// A symbol with the number put in.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct Put {
    pub symbol: String,
    pub value: Amount,
}

/// A closed form to which a solver tends.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct Tends {
    pub title: &'static str,
    pub relation: String,
    pub limits: &'static str,
}

/// An explanation, ready for text or JSON.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct Explanation {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub id: Option<String>,
    /// Of a check: `demand`, `capacity` or `comparison`; of a value's own input: `behind`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub role: Option<&'static str>,
    pub title: String,
    pub relation: String,
    pub put_in: Vec<Put>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub result: Option<Amount>,
    pub source: String,
    pub limits: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub tends_to: Vec<Tends>,
}

/// What a check comes to under another reading of what the job leaves open.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct OtherReport {
    pub reading: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ratio: Option<Number>,
    pub verdict: &'static str,
}

/// A check with everything that it says.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct CheckExplained {
    #[serde(flatten)]
    pub check: CheckReport,
    pub judges: &'static str,
    pub limits: &'static str,
    pub governs: bool,
    pub why: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub demand_kept: Option<Amount>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacity_kept: Option<Amount>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub other_readings: Vec<OtherReport>,
    pub bounds: Vec<BoundReport>,
    pub advice: String,
}

/// An id explained for one side.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct Explained {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub check: Option<CheckExplained>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub findings: Vec<Finding>,
    pub explained: Vec<Explanation>,
    /// Why there is nothing to show.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nothing: Option<&'static str>,
}

impl Explained {
    fn nothing(why: &'static str) -> Explained {
        Explained {
            check: None,
            findings: Vec::new(),
            explained: Vec::new(),
            nothing: Some(why),
        }
    }
}

/// What an id stands for.
#[derive(Clone, Copy)]
pub enum Known {
    /// A check.
    Check(CheckId),
    /// A value of an assessment, or of the work before gluing.
    Value(&'static Value),
    /// An end or a bound of the torque window.
    Window,
    /// A number or a finding of `seat`.
    Seat,
    /// A number or a finding of `spindle`.
    Spindle,
}

/// What a repair route takes as met after the work, over what the job states.
#[derive(Debug, Clone)]
pub struct Taken {
    stated: Condition,
    keys: Vec<&'static str>,
}

impl Taken {
    /// Nothing: the job as it stands.
    pub fn stated(stated: &Condition) -> Taken {
        Taken::of(stated, &[])
    }
    /// These keys, where the job does not confirm them itself.
    pub fn of(stated: &Condition, keys: &[&'static str]) -> Taken {
        Taken {
            stated: *stated,
            keys: words::preconditions(stated)
                .into_iter()
                .filter(|(id, state, _)| *state != State::Confirmed && keys.contains(id))
                .map(|(id, ..)| id)
                .collect(),
        }
    }
}

/// The preconditions of one side, and what is said of an id there.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct SideExplained {
    pub side: &'static str,
    #[serde(skip)]
    pub title: &'static str,
    pub preconditions: Vec<PreconditionReport>,
    /// Of those, what a repair route takes as met after the work.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub taken_as_met: Vec<&'static str>,
    /// The preconditions for which no figure is given.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub refused: Vec<&'static str>,
    #[serde(flatten)]
    pub explained: Explained,
}

impl SideExplained {
    /// Of a side under its preconditions; where they forbid any judgement, `explain` is not asked.
    pub fn new(
        side: pedal::Side,
        condition: &Condition,
        taken: &Taken,
        explain: impl FnOnce() -> Explained,
    ) -> SideExplained {
        let preconditions = preconditions(&taken.stated);
        let refused = refusal(condition);
        SideExplained {
            side: words::side_word(side),
            title: words::side(side),
            refused: preconditions
                .iter()
                .filter(|p| refused && p.state == "failed" && !taken.keys.contains(&p.id))
                .map(|p| p.id)
                .collect(),
            preconditions,
            taken_as_met: taken.keys.clone(),
            explained: if refused {
                Explained::nothing("Refused: a precondition is not met, so no figure is given.")
            } else {
                explain()
            },
        }
    }
}

/// What stands on top of the sides.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct ExplainBody {
    pub id: String,
    pub preconditions: Vec<PreconditionReport>,
}

/// The answer of `explain`.
pub type ExplainReport = Paper<ExplainBody, SideExplained>;

impl Paper<ExplainBody, SideExplained> {
    /// The answer for an id from its sides, in the frame of the report of the command that prints the result.
    pub fn new<S, T>(id: &str, frame: Paper<S, T>, sides: Vec<SideExplained>) -> ExplainReport {
        let body = ExplainBody {
            id: id.into(),
            // A refused side stands for the job, as in every report.
            preconditions: sides
                .iter()
                .find(|s| !s.refused.is_empty())
                .or(sides.first())
                .map_or_else(Vec::new, |s| s.preconditions.clone()),
        };
        let overall = frame.overall;
        ExplainReport {
            command: "explain",
            sides,
            ..frame.around(body, Vec::new(), overall)
        }
    }
    /// Is any side refused?
    pub fn refused(&self) -> bool {
        self.sides.iter().any(|s| !s.refused.is_empty())
    }
    /// As text or Markdown.
    pub fn text(&self, system: System, layout: Layout) -> String {
        let mut out = text::opening(
            self.command,
            &self.job.source,
            self.job.title.as_deref(),
            layout,
        );
        for side in &self.sides {
            if self.sides.len() > 1 {
                out.push_str(&layout.heading(side.title));
            }
            out.push_str(&layout.heading("Before any margin"));
            for state in ["failed", "unknown", "confirmed"] {
                let ids: Vec<&str> = side
                    .preconditions
                    .iter()
                    .filter(|p| p.state == state && !side.taken_as_met.contains(&p.id))
                    .map(|p| p.id)
                    .collect();
                if !ids.is_empty() {
                    out.push_str(&layout.item("", &format!("{state}: {}", ids.join(", "))));
                }
            }
            if !side.taken_as_met.is_empty() {
                let ids = side.taken_as_met.join(", ");
                out.push_str(&layout.item("", &format!("taken as met after the work: {ids}")));
            }
            out.push_str(&text(&self.worst.id, side, system, layout));
        }
        out.push_str(&text::tail(self, system, layout));
        out
    }
}

impl Known {
    /// The command that prints it.
    pub fn command(self) -> &'static str {
        match self {
            Known::Check(_) => "check",
            Known::Value(value) if bond::VALUES.iter().any(|v| v.id == value.id) => "bond",
            Known::Value(_) => "check",
            Known::Window => "torque",
            Known::Seat => "seat",
            Known::Spindle => "spindle",
        }
    }
}

/// The findings without a number of their own of `seat` and of `spindle`.
fn findings_of(known: Known) -> &'static [(&'static str, &'static str, &'static [&'static str])] {
    match known {
        Known::Seat => seat::FINDINGS,
        Known::Spindle => spindle::FINDINGS,
        _ => &[],
    }
}

/// What an id stands for, where it stands for anything.
pub fn known(id: &str) -> Option<Known> {
    list().into_iter().find(|e| e.0 == id).map(|e| e.2)
}

/// Every id there is, with what it is and where it is found.
pub fn list() -> Vec<(String, String, Known)> {
    let mut out: Vec<(String, String, Known)> = CheckId::ALL
        .iter()
        .map(|c| {
            (
                c.id().into(),
                format!("check: {}", c.title()),
                Known::Check(*c),
            )
        })
        .collect();
    out.extend(values::every().map(|v| (v.id.into(), v.title.into(), Known::Value(v))));
    out.push((
        "window.low".into(),
        "Lower end of the torque window".into(),
        Known::Window,
    ));
    out.push((
        "window.high".into(),
        "Upper end of the torque window".into(),
        Known::Window,
    ));
    out.extend(CheckId::ALL.iter().map(|c| {
        (
            format!("window.bounds.{}", c.id()),
            format!("Bound of the torque by \"{}\"", c.title()),
            Known::Window,
        )
    }));
    for (known, results) in [
        (Known::Seat, seat_report::RESULTS),
        (Known::Spindle, assess_spindle::RESULTS),
    ] {
        let findings = findings_of(known).iter().map(|f| (f.0, f.1));
        for (id, title) in results.iter().copied().chain(findings) {
            // What a check has as well is explained by the check's own value.
            if values::find(id).is_none() {
                out.push((id.into(), title.into(), known));
            }
        }
    }
    out
}

fn tends(formulas: &[&'static Formula]) -> Vec<Tends> {
    formulas
        .iter()
        .map(|f| Tends {
            title: f.title,
            relation: f.readable(),
            limits: f.limits,
        })
        .collect()
}

/// Explains a step; `source_of` gives the source of what a key says.
pub fn of_step(step: &Step, source_of: &dyn Fn(&str) -> Option<String>) -> Explanation {
    let mut out = Explanation {
        id: step.id.map(str::to_string),
        role: None,
        title: step.title.into(),
        relation: String::new(),
        put_in: Vec::new(),
        result: Some(Amount {
            si: step.si,
            unit: step.unit,
        }),
        source: String::new(),
        limits: String::new(),
        tends_to: Vec::new(),
    };
    let put = |symbol: &str, si, unit| Put {
        symbol: greek(symbol).into(),
        value: Amount { si, unit },
    };
    match &step.origin {
        Origin::Formula(formula, arguments) => {
            out.relation = formula.readable();
            out.put_in = formula
                .symbols
                .iter()
                .zip(arguments)
                .map(|(s, v)| put(s.name, *v, s.unit))
                .collect();
            out.source = formula.source.into();
            out.limits = formula.limits.into();
        }
        Origin::Solved(method, inputs, _) => {
            out.relation = method.equations.into();
            out.put_in = inputs.iter().map(|p| put(p.symbol, p.si, p.unit)).collect();
            out.source = method.source.into();
            out.limits = method.limits.into();
            out.tends_to = tends(method.tends_to);
        }
        Origin::Stated(key) => {
            out.relation = format!("follows at once from `{key}`");
            out.source = source_of(key).unwrap_or_else(|| "the job file".into());
            out.limits = "as good as the reading".into();
        }
    }
    out
}

/// The source of what a key of a side says.
fn source_in(side: &Side) -> impl Fn(&str) -> Option<String> + '_ {
    |key| side.ledger.sources.get(key).cloned()
}

/// Explains a value.
pub fn of_value(value: &Value, side: &Side, assessment: &Assessment) -> Explanation {
    match values::step(value, &side.assembly, assessment) {
        Some(step) => of_step(&step, &source_in(side)),
        None => Explanation {
            id: Some(value.id.into()),
            role: None,
            title: value.title.into(),
            relation: "no value in this job: nothing that it needs is entered".into(),
            put_in: Vec::new(),
            result: None,
            source: "–".into(),
            limits: "–".into(),
            tends_to: Vec::new(),
        },
    }
}

/// A check, a value or the window explained for one side.
pub fn of_side(
    known: Known,
    id: &str,
    job: &Job,
    side: &Side,
    assessment: &Assessment,
    window: Option<&Window>,
) -> Explained {
    let mut out = Explained {
        check: None,
        findings: Vec::new(),
        explained: Vec::new(),
        nothing: None,
    };
    match known {
        Known::Check(check_id) => match &assessment.checks[check_id.index()] {
            Some(check) => of_check(&mut out, check, job, side, assessment, window),
            None => out.nothing = Some("This check does not apply to this job."),
        },
        Known::Value(value) => {
            out.explained.push(of_value(value, side, assessment));
            if out.explained.iter().any(|e| e.result.is_some()) {
                let behind = basis::behind_value(value.id, &side.assembly, assessment);
                out.explained.extend(behind.iter().map(|s| Explanation {
                    role: Some("behind"),
                    ..of_step(s, &source_in(side))
                }));
            }
        }
        Known::Window => {
            let steps = window.map_or_else(Vec::new, |w| {
                basis::of_window(&side.assembly, assessment, w, id)
            });
            out.explained = steps
                .iter()
                .map(|(check, s)| Explanation {
                    id: Some(id.into()),
                    title: format!("{}, \"{}\"", s.title, check.title()),
                    ..of_step(s, &source_in(side))
                })
                .collect();
            if out.explained.is_empty() {
                out.nothing = Some("No torque is bounded by it in this job.");
            }
        }
        Known::Seat | Known::Spindle => {}
    }
    out
}

fn of_check(
    out: &mut Explained,
    check: &Check,
    job: &Job,
    side: &Side,
    assessment: &Assessment,
    window: Option<&Window>,
) {
    let basis = basis::of_check(&side.assembly, assessment, window, check);
    let unit = check.id.unit();
    let amount = |si: f64| si.is_finite().then_some(Amount { si, unit });
    let (judges, limits) = words::judged(check.id);
    let bounds = window.map_or_else(Vec::new, |w| WindowReport::new(w).bounds);
    out.check = Some(CheckExplained {
        check: check_report(job, side, check),
        judges,
        limits,
        governs: assessment.governing == Some(check.id),
        why: words::why(check),
        demand_kept: amount(check.demand_kept()),
        capacity_kept: amount(check.capacity_kept()),
        other_readings: basis
            .others
            .iter()
            .map(|o| OtherReport {
                reading: words::reading(o.reading),
                ratio: (!o.ratio.is_nan()).then_some(Number(o.ratio)),
                verdict: o.verdict.word(),
            })
            .collect(),
        bounds: bounds
            .into_iter()
            .filter(|b| b.id == check.id.id())
            .collect(),
        advice: words::advice(check.id, &Causes::of(&side.assembly, assessment)),
    });
    for (role, steps) in [
        ("demand", &basis.demand),
        ("capacity", &basis.capacity),
        ("comparison", &basis.compare),
    ] {
        out.explained.extend(steps.iter().map(|s| Explanation {
            role: Some(role),
            ..of_step(s, &source_in(side))
        }));
    }
}

/// A number or a finding of the bench, from all its results and findings.
pub fn of_bench(
    known: Known,
    id: &str,
    steps: &[Step],
    findings: Vec<Finding>,
    source_of: &dyn Fn(&str) -> Option<String>,
) -> Explained {
    let behind: &[&str] = findings_of(known)
        .iter()
        .find(|f| f.0 == id)
        .map_or(&[], |f| f.2);
    let explained: Vec<Explanation> = steps
        .iter()
        .filter(|s| s.id.is_some_and(|i| i == id || behind.contains(&i)))
        .map(|s| of_step(s, source_of))
        .collect();
    let findings: Vec<Finding> = findings.into_iter().filter(|f| f.id == id).collect();
    let nothing = (explained.is_empty() && findings.is_empty())
        .then_some("No value in this job: nothing that it needs is entered.");
    Explained {
        check: None,
        findings,
        explained,
        nothing,
    }
}

/// An explanation of one side as text.
fn text(id: &str, side: &SideExplained, system: System, layout: Layout) -> String {
    let explained = &side.explained;
    let mut out = String::new();
    let title = || {
        list()
            .into_iter()
            .find(|e| e.0 == id)
            .map_or_else(String::new, |e| e.1.trim_start_matches("check: ").into())
    };
    if let Some(check) = &explained.check {
        out.push_str(&layout.heading(&format!("{} [{id}]", check.check.title)));
        out.push_str(&check_text(check, system, layout));
    } else if !explained
        .explained
        .iter()
        .any(|e| e.id.as_deref() == Some(id))
    {
        out.push_str(&layout.heading(&format!("{} [{id}]", title())));
    }
    if let Some(nothing) = explained.nothing {
        out.push_str(&layout.item("", nothing));
        match known(id) {
            Some(Known::Check(check)) if side.refused.is_empty() => {
                let what = words::judged(check).0;
                out.push_str(&layout.item("", &format!("It would judge {what}.")));
            }
            Some(of) if side.refused.is_empty() => {
                let command = of.command();
                let text = format!("`{command}` prints it where its readings are entered.");
                out.push_str(&layout.item("", &text));
            }
            _ => {}
        }
    }
    if !explained.findings.is_empty()
        && explained
            .explained
            .iter()
            .any(|e| e.id.as_deref() == Some(id))
    {
        out.push_str(&layout.heading("What it says"));
    }
    for finding in &explained.findings {
        out.push_str(&layout.item("", &finding.line()));
    }
    let mut role = None;
    let mut before = None;
    for e in &explained.explained {
        if e.role != role {
            role = e.role;
            let title = match role {
                Some("demand") => "The demand, step by step",
                Some("capacity") => "The capacity, step by step",
                Some("behind") => "What went in",
                _ => "To compare with",
            };
            out.push_str(&layout.heading(title));
        }
        out.push_str(&one(e, before, system, layout));
        before = Some(e);
    }
    if explained.check.as_ref().is_some_and(|c| {
        c.check.capacity.is_some()
            && !explained
                .explained
                .iter()
                .any(|e| e.role == Some("capacity"))
    }) {
        out.push_str(&layout.heading("The capacity"));
        out.push_str(&layout.item(
            "",
            "1 by definition: the demand is the share of its strength that is used.",
        ));
    }
    out
}

fn shown(value: Option<Amount>, system: System) -> String {
    value.map_or_else(|| "–".into(), |a| a.unit.show(a.si, system))
}

fn check_text(e: &CheckExplained, system: System, layout: Layout) -> String {
    let c = &e.check;
    let mut out = String::new();
    let mut item = |text: String| out.push_str(&layout.item("", &text));
    item(format!("What is judged: {}.", e.judges));
    item(format!("State: {}; a {} check.", c.load_case, c.kind));
    let (demand, capacity) = (shown(c.demand, system), shown(c.capacity, system));
    let [ratio, need] = text::against(c.ratio, c.need);
    item(if c.demand.is_none() && c.ratio.is_none() {
        format!("as stated it has no demand and no reserve; required {need}")
    } else {
        format!("reserve = capacity ÷ demand = {capacity} ÷ {demand} = {ratio}; required {need}")
    });
    if let Some(factor) = c.divided_by {
        item(format!(
            "the verdict is taken from the reserve divided by {}: {} against {}",
            significant(factor, 3),
            text::ratio(c.ratio.map(|Number(r)| Number(r / factor))),
            significant(c.need, 3)
        ));
    }
    let margin = match c.margin {
        Some(Number(m)) if m.is_finite() => significant(m, 2),
        _ => "–".into(),
    };
    let informs = if c.informs_only {
        " (for information: it decides nothing)"
    } else {
        ""
    };
    item(format!(
        "margin = reserve ÷ required − 1 = {margin}; verdict: {}{informs}, because {}",
        c.verdict, e.why
    ));
    if e.governs {
        item("It governs: of the strength checks its margin is the lowest.".into());
    }
    for other in &e.other_readings {
        item(format!(
            "{}: reserve {}, {}",
            other.reading,
            text::ratio(other.ratio),
            other.verdict
        ));
    }
    for note in &c.notes {
        item(format!("note: {note}"));
    }
    if let (Some(most), Some(least)) = (e.demand_kept, e.capacity_kept) {
        // Of another reading the figures are not those that are printed.
        let stated = if c.decided_by.is_some() && !e.other_readings.is_empty() {
            "What it takes as stated"
        } else {
            "What it takes"
        };
        item(format!(
            "{stated}: a demand of at most {}, or a capacity of at least {}, with the other as it is.",
            most.unit.show(most.si, system),
            least.unit.show(least.si, system)
        ));
    }
    for bound in &e.bounds {
        if bound.side == "high" && bound.torque.si <= 0.0 {
            item("Torque: none keeps it; it is short at every torque.".into());
            continue;
        }
        item(format!(
            "Torque: kept {} {} at the fitting{}{}.",
            if bound.side == "low" { "from" } else { "up to" },
            bound.torque.unit.show(bound.torque.si, system),
            if bound.advice_only {
                " (for information)"
            } else {
                ""
            },
            // The window is that of the reserve itself.
            if c.divided_by.is_some() {
                ", by the reserve as computed, not divided"
            } else {
                ""
            }
        ));
    }
    // Nothing is in hand inside a range of the makers.
    if c.within.is_none() {
        item(format!("For more in hand: {}.", e.advice));
    }
    item(
        if c.sources.is_empty() {
            "source: engineering basis, sections 10 and 11; the job file"
        } else {
            "source: engineering basis, sections 10 and 11; each step's own; the rows listed at the end"
        }
        .into(),
    );
    item(format!("limits: {}", e.limits));
    out
}

/// A space at which no line is broken: a symbol stays with its number and the number with its unit.
const GLUED: &str = "\u{a0}";

/// One explanation; what the one before says as well is not said again.
fn one(e: &Explanation, before: Option<&Explanation>, system: System, layout: Layout) -> String {
    let id =
        e.id.as_ref()
            .map_or_else(String::new, |i| format!(" [{i}]"));
    let mut out = layout.heading(&format!("{}{id}", e.title));
    let put: Vec<String> = e
        .put_in
        .iter()
        .map(|p| format!("{} = {}", p.symbol, figure(p.value, system)))
        .collect();
    let again = before
        .is_some_and(|b| b.relation == e.relation && b.source == e.source && !b.put_in.is_empty());
    if again && before.is_some_and(|b| b.put_in == e.put_in) {
        out.push_str(&layout.item("", "as above, with the same numbers"));
    } else {
        if again {
            out.push_str(&layout.item("", "as above"));
        } else {
            for line in e.relation.lines() {
                out.push_str(&layout.item("", line));
            }
        }
        if !put.is_empty() {
            let glued: Vec<String> = put.iter().map(|p| p.replace(' ', GLUED)).collect();
            let line = layout.item("with ", &glued.join(", "));
            out.push_str(&line.replace(GLUED, " "));
        }
    }
    if let Some(result) = e.result {
        out.push_str(&layout.item("", &format!("= {}", figure(result, system))));
    }
    if again {
        return out;
    }
    out.push_str(&layout.item("", &format!("source: {}", e.source)));
    out.push_str(&layout.item("", &format!("limits: {}", e.limits)));
    for t in &e.tends_to {
        out.push_str(&layout.item(
            "",
            &format!(
                "tends to: {} ({}; {})",
                t.relation.replace('\n', ", "),
                lower(t.title),
                t.limits
            ),
        ));
    }
    out
}

/// A number with as many figures as it takes to reckon the formula again by hand.
fn figure(amount: Amount, system: System) -> String {
    amount.unit.show_to(amount.si, system, 6)
}

fn lower(text: &str) -> String {
    let mut chars = text.chars();
    chars
        .next()
        .map_or_else(String::new, |c| c.to_lowercase().chain(chars).collect())
}
