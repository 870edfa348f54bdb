//! Repairs: the routes side by side, what each leaves and costs, and the one sentence that decides.

use super::record::{self, RecordReport};
use super::report::{
    Amount, AssumedReport, CautionReport, CheckReport, JobReport, PreconditionReport, Report,
    SideReport, WindowReport, check_report,
};
use super::text::{self, Layout};
use super::{window, words};
use crate::assess::caution::{Caution, Cautions};
use crate::assess::check::{Check, CheckId, Verdict};
use crate::assess::repair::{Finding, Judged, Kind, Remark, Repairs, Route, WhyNot};
use crate::job::assembly::{Hand, State};
use crate::tables;
use crate::units::display::{System, significant};
use crate::units::{Length, Torque, Unit, si};
use serde::Serialize;

/// What a larger thread is, as its row says.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct ThreadReport {
    pub designation: String,
    pub hand: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub used_for: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hand_note: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<&'static str>,
}

/// Hours and price.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct CostReport {
    pub hours: Option<f64>,
    pub hours_source: Option<&'static str>,
    pub price: Option<f64>,
}

/// What must come out, and what undoing takes.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct RemovalReport {
    pub parts: Vec<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub torque: Option<Amount>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<Amount>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub within_limit: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub old_glue_lets_go: Option<Amount>,
}

/// One entry that a route changes.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct ChangeReport {
    pub key: String,
    pub value: Option<String>,
}

/// One route.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct RouteReport {
    pub name: String,
    pub feasible: bool,
    pub why_not: Option<String>,
    pub verdict: Option<&'static str>,
    pub governing: Option<&'static str>,
    pub wall_left: Option<Amount>,
    pub wall_needed: Option<Amount>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall_for_hoop: Option<Amount>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thread: Option<ThreadReport>,
    pub hand_before: &'static str,
    pub hand_after: &'static str,
    pub fits: String,
    pub removes: RemovalReport,
    pub changes: Vec<ChangeReport>,
    pub confirm_after: Vec<&'static str>,
    pub checks: Vec<CheckReport>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub window: Option<WindowReport>,
    pub cost: CostReport,
    pub cautions: Vec<CautionReport>,
}

/// The damaged side as it was found.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct AsFound {
    pub damaged_turns: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub verdict: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub governing: Option<&'static str>,
}

/// One side.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct RepairSide {
    pub side: &'static str,
    pub verdict: &'static str,
    pub suggested: String,
    pub suggestion: String,
    pub as_found: AsFound,
    pub routes: Vec<RouteReport>,
    pub preconditions: Vec<PreconditionReport>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub record: Option<RecordReport>,
}

/// The whole report.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct RepairReport {
    pub schema: &'static str,
    pub command: &'static str,
    pub job: JobReport,
    #[serde(flatten)]
    pub worst: RepairSide,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sides: Vec<RepairSide>,
    pub assumed: Vec<AssumedReport>,
    pub overrides: Vec<String>,
    pub not_examined: Vec<String>,
    pub cautions: Vec<CautionReport>,
    /// The verdict behind the exit code.
    #[serde(skip)]
    pub overall: Verdict,
    /// The report of the job as stated, for the end of the text.
    #[serde(skip)]
    pub base: Report,
}

impl RepairReport {
    /// The report of all sides; `base` is that of the job as stated.
    pub fn new(mut base: Report, repairs: &[Repairs]) -> Option<RepairReport> {
        let sides: Vec<RepairSide> = repairs
            .iter()
            .zip(base.printed_sides())
            .map(|(r, stated)| side_report(r, stated))
            .collect();
        // The worse side stands on top: what cannot be mended, then what goes deepest.
        let worst = repairs
            .iter()
            .enumerate()
            .max_by_key(|(i, r)| (r.verdict().rank(), r.depth(), usize::MAX - i))?;
        let overall = worst.1.verdict();
        let top = sides.get(worst.0)?.clone();
        base.command = "repair";
        base.not_examined
            .retain(|t| !t.contains("read by `repair`"));
        base.not_examined.push(NOT_JUDGED_HERE.to_string());
        if repairs.iter().any(|r| !r.wall_stated)
            && let Some(row) = tables::DEFAULTS.row("default", "need.wall")
        {
            base.assumed.push(AssumedReport {
                key: "need.wall".into(),
                value: row.text("value").unwrap_or_default().into(),
                source: format!("default: {}", row.provenance()),
            });
        }
        // The cautions of every way that is shown; what the job is owed stands even where nothing was judged.
        let shown = repairs.iter().flat_map(|r| {
            r.routes
                .iter()
                .filter_map(|route| route.judged.as_ref())
                .chain(&r.as_found)
                .map(|j| j.assessment.cautions)
        });
        let stated: Cautions = base
            .cautions
            .iter()
            .filter_map(|c| Caution::ALL.iter().find(|k| k.id() == c.id))
            .fold(Cautions::default(), |mut set, c| {
                set.add(*c);
                set
            });
        base.cautions = shown
            .fold(stated, Cautions::and)
            .iter()
            .map(|c| CautionReport {
                id: c.id(),
                text: words::caution(c),
            })
            .collect();
        Some(RepairReport {
            schema: base.schema,
            command: "repair",
            job: base.job.clone(),
            worst: top,
            sides: if sides.len() > 1 { sides } else { Vec::new() },
            assumed: base.assumed.clone(),
            overrides: base.overrides.clone(),
            not_examined: base.not_examined.clone(),
            cautions: base.cautions.clone(),
            overall,
            base,
        })
    }

    fn printed_sides(&self) -> &[RepairSide] {
        if self.sides.is_empty() {
            std::slice::from_ref(&self.worst)
        } else {
            &self.sides
        }
    }
}

const NOT_JUDGED_HERE: &str =
    "how a tap, a bushing or a new bond turns out: the routes are judged as if the work succeeds";

fn hand(hand: Hand) -> &'static str {
    match hand {
        Hand::Right => "right",
        Hand::Left => "left",
    }
}

fn length(value: Length) -> Amount {
    Amount {
        si: si(value),
        unit: Unit::Millimetre,
    }
}
fn torque(value: Torque) -> Amount {
    Amount {
        si: si(value),
        unit: Unit::NewtonMetre,
    }
}
fn shown(value: Length) -> String {
    Unit::Millimetre.show(si(value), System::Metric)
}

/// Why a route cannot be taken.
pub fn why_not(why: &WhyNot) -> String {
    match why {
        WhyNot::Finding(finding) => finding_text(*finding).into(),
        WhyNot::Moved => {
            "the insert has moved: no work on its thread before it is held again".into()
        }
        WhyNot::NothingEngaged => {
            "no full turn is left: a chaser cannot bring back metal that is gone".into()
        }
        WhyNot::NoOverlap => {
            "the crests are worn below the fitting's thread: nothing overlaps any more".into()
        }
        WhyNot::NoLargerThread => {
            "the table holds no larger thread that clears the old one; a row [threads] of your own adds one".into()
        }
        WhyNot::Wall(left, needed) => format!(
            "{} of wall would be left under the new root; {} is needed (need.wall)",
            shown(*left),
            shown(*needed)
        ),
        WhyNot::CutsThrough(left) => format!(
            "the new thread would cut through the insert into the laminate (wall {})",
            shown(*left)
        ),
        WhyNot::BushingWall(left, needed) => format!(
            "bored for a bushing, the old insert keeps {} of wall; {} is needed (need.wall)",
            shown(*left),
            shown(*needed)
        ),
        WhyNot::BondHolds => {
            "the insert has not moved and its glue keeps every ratio: gluing it again mends nothing of the thread".into()
        }
        WhyNot::NoOtherStandard => {
            "a boss has no other standard to change to; use a new insert, or fasten the part in another way".into()
        }
        WhyNot::Impossible(messages) => {
            format!("the parts cannot be as entered: {}", messages.join("; "))
        }
        WhyNot::NoSeat => "nothing of the face would lie under the flange".into(),
    }
}

fn finding_text(finding: Finding) -> &'static str {
    match finding {
        Finding::Crack => {
            "there is a crack: somebody able to must examine the part before any work"
        }
        Finding::MovedCauseUnknown => {
            "the insert has moved and the cause is not known (damage.cause_known): what is glued now would move again"
        }
        Finding::LaminateExposed => {
            "no metal is left between thread and laminate (damage.wall_measured): the parent itself is damaged"
        }
    }
}

/// A caution of a route.
fn remark(remark: Remark) -> &'static str {
    match remark {
        Remark::RestoresNothing => {
            "A chaser cleans and straightens; it brings nothing back that is gone."
        }
        Remark::FewFullTurns => {
            "Fewer than three quarters of the turns are full: shops would not chase this thread (common practice, no source)."
        }
        Remark::SectorBare => {
            "One sector is bare over more than two turns: the mean over the circumference flatters it, and shops would not chase it (common practice, no source)."
        }
        Remark::WallUnderLimit => {
            "The wall under the thread is thinner than need.wall already as it stands."
        }
        Remark::WallFound => {
            "Judged with the thinnest wall that was found, all the way round; the glue's radius shrinks with it."
        }
        Remark::HandLost => {
            "The hand of the thread changes: what the old hand did against unwinding is lost, and the other side may have to follow. Have the owner agree, and record it."
        }
        Remark::OtherFitting => {
            "The old fitting does not fit any more: check that one can be had before the tap goes in. It is judged with the old one's bore, flange and bearing."
        }
        Remark::OldGroove => {
            "The old groove is not quite cleared: the new crests are taken to begin at its root."
        }
        Remark::BushingJoint => {
            "Bushing and old insert are judged as one piece of the insert's metal; the joint between them is not judged, and may let go first."
        }
        Remark::BondPlanned => {
            "The new bond is judged as planned: adhesive, preparation and cure stand under what the route changes. The adhesive's maker comes first."
        }
        Remark::InsertOut => {
            "The old insert must come out without harm to the parent: heat within the parent's limit, no pry bar; measure the bore afterwards and enter it."
        }
        Remark::RemovalOverLimit => {
            "Undoing the fitting is judged at more torque than the old glue keeps its ratio for: draw a line across insert and frame, stop at the limit, and rather cut the fitting out."
        }
        Remark::CauseUnknown => {
            "The cause is not known: what ruined this thread will ruin the next."
        }
        Remark::Corroded => {
            "There is corrosion: what lies under it shows only when it is cleaned. Measure wall and thread again then."
        }
        Remark::ConfirmAfter => {
            "Some preconditions are taken as met once the work is done; look, and enter them in the job."
        }
        Remark::NotModelled => {
            "What holds such a unit is not in this model: its maker's bore, wall and torque decide."
        }
    }
}

/// What fits a route's thread, as far as the table knows.
fn fits(route: &Route, thread: Option<&ThreadReport>) -> String {
    match route.kind {
        Kind::Retap => thread.map_or_else(String::new, |t| {
            let used = t.used_for.map_or(String::new(), |u| format!(", {u}"));
            let note = t.hand_note.map_or(String::new(), |h| format!("; {h}"));
            format!("a fitting with {}{used}{note}", t.designation)
        }),
        Kind::OtherStandard => "what the other standard's maker names".into(),
        Kind::Refer => "–".into(),
        _ => "the fitting that fitted before".into(),
    }
}

fn removes(route: &Route, repairs: &Repairs) -> RemovalReport {
    let parts = match route.kind {
        Kind::Refer => Vec::new(),
        _ if route.takes_insert_out() => vec!["fitting", "insert", "old glue"],
        Kind::Bushing => vec!["fitting", "old thread, bored out"],
        Kind::OtherStandard => vec![
            "fitting",
            "old thread, where the unit asks for a plain bore",
        ],
        _ => vec!["fitting"],
    };
    let removal = repairs.removal.filter(|_| !parts.is_empty());
    RemovalReport {
        parts,
        torque: removal.map(|r| torque(r.torque)),
        limit: removal.map(|r| torque(r.limit)),
        within_limit: removal.map(|r| r.torque <= r.limit),
        old_glue_lets_go: removal
            .filter(|_| route.takes_insert_out())
            .map(|r| torque(r.lets_go)),
    }
}

fn checks(judged: &Judged) -> Vec<CheckReport> {
    let Some(side) = judged.side() else {
        return Vec::new();
    };
    judged
        .assessment
        .checks
        .iter()
        .flatten()
        .map(|c| check_report(&judged.job, side, c))
        .collect()
}

fn route_report(route: &Route, repairs: &Repairs) -> RouteReport {
    let thread = route.larger.as_ref().map(|l| {
        let row = l.group.and_then(|g| tables::THREADS.row(g, &l.name));
        ThreadReport {
            designation: l.name.clone(),
            hand: hand(l.hand),
            used_for: row.and_then(|r| r.text("use")),
            hand_note: row.and_then(|r| r.text("hand_note")),
            note: row.and_then(|r| r.text("note")),
        }
    });
    let feasible = route.feasible();
    let judged = route.judged.as_ref().filter(|_| feasible);
    // Cautions that the route brings with it, over those of the side as found.
    let before = repairs
        .as_found
        .as_ref()
        .map_or(Cautions::always(), |j| j.assessment.cautions);
    let brought = judged.into_iter().flat_map(|j| {
        j.assessment
            .cautions
            .iter()
            .filter(|c| !before.has(*c))
            .collect::<Vec<_>>()
    });
    let precession = judged.is_some_and(|j| {
        j.assessment.cautions.has(Caution::Precession) && route.remarks.contains(&Remark::HandLost)
    });
    let cautions = Remark::ALL
        .iter()
        .filter(|r| feasible && route.remarks.contains(r))
        .map(|r| CautionReport {
            id: r.id(),
            text: remark(*r),
        })
        .chain(
            brought
                .chain(
                    precession
                        .then_some(Caution::Precession)
                        .filter(|c| before.has(*c)),
                )
                .map(|c| CautionReport {
                    id: c.id(),
                    text: words::caution(c),
                }),
        )
        .collect();
    RouteReport {
        name: route.name.clone(),
        feasible,
        why_not: route.why_not.as_ref().map(why_not),
        verdict: feasible.then(|| route.verdict().word()),
        governing: judged.and_then(|j| j.assessment.governing).map(CheckId::id),
        wall_left: route.wall.map(|w| length(w.left)),
        wall_needed: route.wall.map(|w| length(w.needed())),
        wall_for_hoop: route
            .wall
            .and_then(|w| w.for_hoop)
            .filter(|w| !si(*w).is_nan())
            .map(length),
        hand_before: hand(route.hands.0),
        hand_after: hand(route.hands.1),
        fits: fits(route, thread.as_ref()),
        thread,
        removes: removes(route, repairs),
        changes: route
            .changes
            .iter()
            .map(|c| ChangeReport {
                key: c.key.clone(),
                value: c.value.clone(),
            })
            .collect(),
        confirm_after: route.confirm.clone(),
        checks: judged.map(checks).unwrap_or_default(),
        window: judged.map(|j| WindowReport::new(&j.window)),
        cost: CostReport {
            hours: route.cost.hours,
            hours_source: route.cost.hours.map(|_| {
                if route.cost.hours_built_in {
                    "common practice, no source"
                } else {
                    "the job"
                }
            }),
            price: route.cost.price,
        },
        cautions,
    }
}

fn side_report(r: &Repairs, stated: &SideReport) -> RepairSide {
    let as_found = r.as_found.as_ref();
    RepairSide {
        side: words::side_word(r.side.name),
        verdict: r.verdict().word(),
        suggested: r
            .suggestion()
            .map_or_else(|| "refer".to_string(), |route| route.name.clone()),
        suggestion: suggestion(r),
        as_found: AsFound {
            damaged_turns: r.turns_lost.value,
            verdict: as_found.map(|j| j.assessment.verdict.word()),
            governing: as_found
                .filter(|j| j.assessment.verdict != Verdict::Refused)
                .and_then(|j| j.assessment.governing)
                .map(CheckId::id),
        },
        routes: r.routes.iter().map(|x| route_report(x, r)).collect(),
        preconditions: stated.preconditions.clone(),
        record: stated.record.clone(),
    }
}

fn reserve(check: &Check) -> String {
    format!(
        "{} [{}] has {} of {} required{}",
        check.id.title(),
        check.id.id(),
        significant(check.ratio, 2),
        significant(check.need, 3),
        worst(check)
    )
}

/// A check may fall short although its ratio does not: then the worst of several readings counts.
fn worst(check: &Check) -> &'static str {
    if check.verdict == Verdict::FallsShort && check.ratio >= check.need {
        ", and the worst reading counts"
    } else {
        ""
    }
}

/// The one sentence: what to do, why, and the number that decides.
fn suggestion(r: &Repairs) -> String {
    let Some(route) = r.suggestion() else {
        return refer(r);
    };
    let what = match &route.larger {
        Some(l) => format!("{} to {}", route.name, l.name),
        None => route.name.clone(),
    };
    let first = r.suggested == Some(0);
    let word = match (route.verdict(), first) {
        (Verdict::Marginal, true) => "the least intrusive route, and it is marginal",
        (Verdict::Marginal, false) => {
            "the first in rising order of intrusion that is marginal or better"
        }
        (_, true) => "the least intrusive route, and it meets",
        (_, false) => "the first in rising order of intrusion that meets",
    };
    let mut text = format!("Suggested: {what}, {word}");
    if let Some(check) = route.governing() {
        text.push_str(&format!("; {}", reserve(&check)));
    }
    if let Some(wall) = route.wall.filter(|_| route.kind == Kind::Retap) {
        text.push_str(&format!(
            "; {} of wall stays under the root, {} is needed",
            shown(wall.left),
            shown(wall.needed())
        ));
    }
    let before: Vec<String> = r
        .routes
        .iter()
        .take(r.suggested.unwrap_or(0))
        .filter_map(|x| match &x.why_not {
            Some(_) => Some(format!("{} cannot be done", x.name)),
            None => x
                .deciding()
                .filter(|_| x.judged.is_some())
                .map(|c| match x.verdict() {
                    Verdict::FallsShort => format!(
                        "{} falls short ([{}], {} of {}{})",
                        x.name,
                        c.id.id(),
                        significant(c.ratio, 2),
                        significant(c.need, 3),
                        worst(&c)
                    ),
                    verdict => format!("{} is {}", x.name, verdict.word()),
                }),
        })
        .collect();
    if !before.is_empty() {
        text.push_str(&format!("; before it, {}", before.join(", ")));
    }
    text + "."
}

/// Why there is nothing to do but refer it.
fn refer(r: &Repairs) -> String {
    const START: &str = "Refer it to the maker or to somebody who can examine it";
    if let Some(finding) = r.finding {
        return format!("{START}: {}.", finding_text(finding));
    }
    let gates: Vec<(&str, State)> = words::preconditions(&r.side.assembly.condition)
        .into_iter()
        .map(|(id, state, _)| (id, state))
        .take(4)
        .collect();
    let with = |state: State, except: &[&str]| -> Vec<&str> {
        gates
            .iter()
            .filter(|(id, s)| *s == state && !except.contains(id))
            .map(|(id, _)| *id)
            .collect()
    };
    // Routes that hold the insert anew answer for its having moved.
    let failed = with(State::Failed, &["not_moved"]);
    if !failed.is_empty() {
        return format!(
            "{START}: {} is not met, and no margin answers for that.",
            failed.join(", ")
        );
    }
    if let Some(route) = r.open_route() {
        let open = with(State::Unknown, &[]);
        if !open.is_empty() {
            return format!(
                "{START} until you know more: no route is judged while {} is unknown; look, and enter it.",
                open.join(", ")
            );
        }
        let reason = route
            .judged
            .as_ref()
            .and_then(|j| {
                j.assessment.checks.iter().flatten().find(|c| {
                    c.verdict == Verdict::NotJudged
                        && c.id.sort() == crate::assess::check::Sort::Strength
                })
            })
            .and_then(|c| c.reason.map(|reason| (c.id, words::reason(reason))));
        if let Some((id, reason)) = reason {
            return format!(
                "{START} until you know more: {} is not judged, because of [{}]: {reason}.",
                route.name,
                id.id()
            );
        }
    }
    match r.nearest().and_then(|x| Some((x, x.deciding()?))) {
        Some((route, check)) => format!(
            "{START}: no route meets what is required; the nearest is {}, where {}.",
            route.name,
            reserve(&check)
        ),
        None => format!("{START}: no route can be taken."),
    }
}

/// The report as text.
pub fn text(report: &RepairReport, system: System, layout: Layout) -> String {
    let mut out = text::opening(
        "repair",
        &report.job.source,
        report.job.title.as_deref(),
        layout,
    );
    let base = report.base.printed_sides();
    for (i, side) in report.printed_sides().iter().enumerate() {
        if report.sides.len() > 1 {
            out.push_str(&layout.heading(&format!("{} side", side.side)));
        }
        if let Some(stated) = base.get(i) {
            out.push_str(&text::preconditions(stated, layout));
        }
        out.push_str(&layout.heading("What to do"));
        out.push_str(&layout.paragraph(&side.suggestion));
        out.push_str(&as_found(side, system, layout));
        out.push_str(&table(side, system, layout));
        let shared = shared(side);
        if !shared.is_empty() {
            out.push_str(&layout.heading("For every route that can be taken"));
            for c in &shared {
                out.push_str(&layout.item("! ", c.text));
            }
        }
        for route in &side.routes {
            out.push_str(&details(route, &shared, system, layout));
        }
        out.push_str(&record::text(side.record.as_ref(), system, layout));
    }
    out.push_str(&text::tail(&report.base, layout));
    out
}

fn as_found(side: &RepairSide, system: System, layout: Layout) -> String {
    let mut out = layout.heading("As found");
    let mut line = format!(
        "Turns that carry nothing: {} (sectors averaged over the circumference)",
        significant(side.as_found.damaged_turns, 3)
    );
    if let Some(verdict) = side.as_found.verdict {
        line.push_str(&format!(". As it stands: {verdict}"));
    }
    if let Some(governing) = side.as_found.governing {
        line.push_str(&format!(", [{governing}] governs"));
    }
    out.push_str(&layout.item("", &format!("{line}.")));
    let removal = side.routes.iter().find_map(|r| {
        let (torque, limit) = (r.removes.torque?, r.removes.limit?);
        Some((torque, limit, r.removes.within_limit?))
    });
    if let Some((torque, limit, within)) = removal {
        let show = |a: Amount| a.unit.show(a.si, system);
        let word = if within { "within" } else { "ABOVE" };
        out.push_str(&layout.item(
            "",
            &format!(
                "Undoing the fitting is judged at {}, {word} the {} at which to stop (bond.removal.limit).",
                show(torque),
                show(limit)
            ),
        ));
    }
    out
}

fn table(side: &RepairSide, system: System, layout: Layout) -> String {
    let mut out = layout.heading("Routes, in rising order of intrusion");
    let rows: Vec<Vec<String>> = side
        .routes
        .iter()
        .map(|r| {
            let governing = r.checks.iter().find(|c| Some(c.id) == r.governing);
            let mark = if r.name == side.suggested { "> " } else { "" };
            vec![
                format!("{mark}{}", r.name),
                r.verdict.unwrap_or("cannot be done").to_string(),
                governing.map_or("–".into(), |c| {
                    format!(
                        "{} {} of {}",
                        c.id,
                        text::ratio(c.ratio),
                        significant(c.need, 3)
                    )
                }),
                r.wall_left
                    .map_or("–".into(), |w| w.unit.show(w.si, system)),
                r.cost.hours.map_or("–".into(), |h| significant(h, 3)),
                r.cost.price.map_or("–".into(), |p| significant(p, 5)),
            ]
        })
        .collect();
    out.push_str(&layout.table(
        &[
            "Route",
            "Verdict",
            "Governs: reserve of required",
            "Wall",
            "Hours",
            "Price",
        ],
        &rows,
        &[3, 4, 5],
    ));
    out
}

/// The cautions that every route carries: printed once, before the routes.
fn shared(side: &RepairSide) -> Vec<&CautionReport> {
    let mut routes = side
        .routes
        .iter()
        .filter(|r| r.feasible && r.name != Kind::Refer.name());
    let Some(first) = routes.next() else {
        return Vec::new();
    };
    let rest: Vec<&RouteReport> = routes.collect();
    if rest.is_empty() {
        return Vec::new();
    }
    first
        .cautions
        .iter()
        .filter(|c| {
            rest.iter()
                .all(|r| r.cautions.iter().any(|other| other.id == c.id))
        })
        .collect()
}

fn details(
    route: &RouteReport,
    shared: &[&CautionReport],
    system: System,
    layout: Layout,
) -> String {
    if route.name == Kind::Refer.name() {
        return String::new();
    }
    let mut out = layout.heading(&match &route.thread {
        Some(t) => format!("{} to {}", route.name, t.designation),
        None => route.name.clone(),
    });
    let mut item = |mark: &str, text: String| out.push_str(&layout.item(mark, &text));
    let show = |a: Amount| a.unit.show(a.si, system);
    if let Some(why) = &route.why_not {
        item("", format!("Cannot be done: {why}."));
        return out;
    }
    let short: Vec<String> = route
        .checks
        .iter()
        .filter(|c| c.verdict != "meets")
        .map(|c| format!("{} {} ({})", c.id, text::ratio(c.ratio), c.verdict))
        .collect();
    if !route.checks.is_empty() {
        item(
            "",
            if short.is_empty() {
                "Every check meets with a quarter in hand.".to_string()
            } else {
                format!("Not met with a quarter in hand: {}.", short.join(", "))
            },
        );
    }
    if let Some(w) = &route.window {
        item("", format!("Window: {}.", window::sentence(w, system)));
    }
    if let (Some(left), Some(needed)) = (route.wall_left, route.wall_needed) {
        let hoop = route.wall_for_hoop.map_or_else(
            || "; what the hoop check needs is not known".to_string(),
            |w| format!("; the hoop check alone needs {}", show(w)),
        );
        item(
            "",
            format!(
                "Wall under the thread {}, needed {}{hoop}.",
                show(left),
                show(needed)
            ),
        );
    }
    let kept = if route.hand_before == route.hand_after {
        format!("Thread stays {}-hand.", route.hand_after)
    } else {
        format!(
            "Thread becomes {}-hand; it was {}-hand.",
            route.hand_after, route.hand_before
        )
    };
    if route.name == Kind::OtherStandard.name() {
        item("", "Not judged: no thread of this job takes part.".into());
    } else {
        item("", format!("{kept} Fits: {}.", route.fits));
    }
    let mut out_parts = format!("Comes out: {}", route.removes.parts.join(", "));
    if let Some(lets_go) = route.removes.old_glue_lets_go {
        out_parts.push_str(&format!(
            "; the old glue lets go as a whole at about {} (bond.ductile.torque)",
            show(lets_go)
        ));
    }
    item("", format!("{out_parts}."));
    if let Some(note) = route.thread.as_ref().and_then(|t| t.note) {
        item("", note.to_string());
    }
    let changed: Vec<String> = route
        .changes
        .iter()
        .map(|c| match &c.value {
            Some(value) => format!("{} = {value}", c.key),
            None => format!("{} left out", c.key),
        })
        .collect();
    if !changed.is_empty() {
        item("", format!("Judged with: {}.", changed.join("; ")));
    }
    if !route.confirm_after.is_empty() {
        item(
            "",
            format!(
                "Taken as met after the work: {}.",
                route.confirm_after.join(", ")
            ),
        );
    }
    if let Some(hours) = route.cost.hours {
        let source = route.cost.hours_source.unwrap_or_default();
        let price = route.cost.price.map_or_else(
            || "; no price without a rate ([[route]] rate)".to_string(),
            |p| format!("; price {}", significant(p, 5)),
        );
        item(
            "",
            format!("Hours {} ({source}){price}.", significant(hours, 3)),
        );
    }
    for c in route
        .cautions
        .iter()
        .filter(|c| !shared.iter().any(|s| s.id == c.id))
    {
        item("! ", c.text.to_string());
    }
    out
}
