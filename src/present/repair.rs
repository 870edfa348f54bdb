//! Repairs: the routes side by side, what each leaves and costs, and the one sentence that decides.

use super::record::{self, RecordReport};
use super::report::{
    Amount, AssumedReport, CautionReport, CheckReport, Number, Paper, PreconditionReport, Report,
    SideReport, WindowReport, check_report,
};
use super::text::{self, Layout};
use super::{window, words};
use crate::assess::caution::{Caution, Cautions};
use crate::assess::check::Note;
use crate::assess::check::{Check, CheckId, Decider, Verdict};
use crate::assess::repair::{
    BUSHING_JOINT, Change, Decisive, Finding, Judged, Kind, Remark, Repairs, Route, WhyNot,
};
use crate::assess::undo::Undoing;
use crate::job::assembly::{Hand, State};
use crate::job::ledger::Fact;
use crate::job::resolve::default;
use crate::tables;
use crate::units::display::{System, significant};
use crate::units::{Length, Torque, Unit, parse, si};
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
    pub torque_source: Option<&'static str>,
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

/// The joint of a bushing and the old insert: the job that judges it, and what it says of that joint.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct JointReport {
    pub verdict: &'static str,
    pub governing: Option<&'static str>,
    pub changes: Vec<ChangeReport>,
    pub checks: Vec<CheckReport>,
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
    #[serde(skip_serializing_if = "Option::is_none")]
    pub joint: Option<JointReport>,
    pub wall_left: Option<Amount>,
    pub wall_needed: Option<Amount>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall_for_hoop: Option<Amount>,
    /// The plain bore around which the wall stands, where that is no thread.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bore: Option<Amount>,
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
    /// What governs, for the table of routes.
    #[serde(skip)]
    governs: Option<String>,
    /// Checks that do not meet, of those that count for the verdict.
    #[serde(skip)]
    short: Vec<String>,
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
    /// The check that the verdict is taken from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deciding: Option<&'static str>,
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
    /// What undoing takes and where to stop, where there is a route that undoes anything.
    #[serde(skip)]
    undoing: Option<Undoing>,
}

/// The whole report.
pub type RepairReport = Paper<RepairSide>;

impl Paper<RepairSide> {
    /// The report of all sides; `base` is that of the job as stated. Sentences carry the units of `system`.
    pub fn new(mut base: Report, repairs: &[Repairs], system: System) -> Option<RepairReport> {
        let sides: Vec<RepairSide> = repairs
            .iter()
            .zip(base.printed_sides())
            .map(|(r, stated)| side_report(r, stated, system))
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
        for name in repairs.iter().filter_map(|r| r.wall_row) {
            let (wall, _) = default(name, parse::Kind::Length);
            let value = Fact::Quantity(wall, Unit::Millimetre);
            let assumed = AssumedReport::of_default("need.wall", value, name);
            if !base.assumed.iter().any(|a| a.source == assumed.source) {
                base.assumed.push(assumed);
            }
        }
        // Damage that was counted stands for the damaged turns that the job leaves out.
        if repairs.iter().all(|r| r.turns_lost.value > 0.0) {
            base.assumed.retain(|a| a.key != "thread.damaged_turns");
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
                text: words::caution(c).into(),
            })
            .collect();
        Some(base.around(top, sides, overall))
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
fn shown(value: Length, system: System) -> String {
    Unit::Millimetre.show(si(value), system)
}

/// Why a route cannot be taken.
pub fn why_not(why: &WhyNot, system: System) -> String {
    let shown = |value: &Length| shown(*value, system);
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
            shown(left),
            shown(needed)
        ),
        WhyNot::CutsThrough(left) => format!(
            "the new thread would cut through the insert into the laminate (wall {})",
            shown(left)
        ),
        WhyNot::BushingWall(left, needed) => format!(
            "bored for a bushing, the old insert keeps {} of wall; {} is needed (need.wall)",
            shown(left),
            shown(needed)
        ),
        WhyNot::BushingRoom(outer, bore) => format!(
            "bored to {} for a bushing, nothing is left of an insert of {}",
            shown(bore),
            shown(outer)
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
            "no metal is left between thread and laminate (damage.wall_measured): the frame itself is damaged"
        }
    }
}

/// A caution of a route.
fn remark(remark: Remark) -> &'static str {
    match remark {
        Remark::RestoresNothing => {
            "What is gone from the thread stays gone: cleaning, chasing and gluing bring nothing back."
        }
        Remark::FewFullTurns => {
            "Fewer than three quarters of the turns are full: shops would not keep this thread (common practice, no source)."
        }
        Remark::SectorBare => {
            "One sector is bare over more than two turns: the mean over the circumference flatters it, and shops would not keep this thread (common practice, no source)."
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
            "The old fitting does not fit any more: check that one can be had, for this width of housing or depth of boss, before the tap goes in. It is judged with the old one's bore, flange, bearing and length of thread; put in the new one's."
        }
        Remark::OldGroove => {
            "The old groove is not quite cleared: the new crests are taken to begin at its root."
        }
        Remark::CutsOnGlue => {
            "Cutting turns on the old glue too: little at a time, oil, back off, and stop where the line across insert and frame no longer meets. Keep oil and swarf off the rim."
        }
        Remark::BushingJoint => {
            "The old insert's bond is judged with bushing and insert as one piece of the insert's metal. Their joint is judged as a bushing with a lip over the old face, glued in, the old insert taken as rigid; an outer thread or a pin is not counted. Without a lip the clamp hangs on its glue; cut the old face back by the lip's thickness, or the width grows by it. A [[route]] named \"bushing joint\" changes its glue."
        }
        Remark::JointOpen => {
            "The joint of bushing and old insert is not judged: such parts cannot be as entered, on this side or the other. Ask the maker of its glue, and pull and turn a trial piece first."
        }
        Remark::BondPlanned => {
            "The new bond is judged as planned: adhesive, preparation and cure stand under what the route changes. The adhesive's maker comes first."
        }
        Remark::InsertOut => {
            "The old insert must come out without harm to the frame: heat within the frame's limit, no pry bar; measure the bore afterwards and enter it."
        }
        Remark::FaceTrue => {
            "Judged as if the new face were true (seat.gap left out): face it after the glue has cured, feel it with leaves, and enter what you read."
        }
        Remark::BothSides => {
            "Cut only the side that needs it. The two sides then take different fittings: check that a pair can be had."
        }
        Remark::RemovalOverLimit => {
            "Undoing the fitting takes more torque than the old glue, or the fitting's neck, keeps its required reserve for: draw a line across insert and frame, stop at the limit, and rather cut the fitting out."
        }
        Remark::RemovalAsBefore => {
            "Undoing is judged after the work, too, at what the old fitting took (tightening.removal_torque): right if it seizes again, too much if it does not. A [[route]] may set another."
        }
        Remark::CauseUnknown => {
            "The cause is not known: what ruined this thread will ruin the next."
        }
        Remark::Corroded => {
            "There is corrosion: what lies under it shows only when it is cleaned. Measure wall and thread again then."
        }
        Remark::ConfirmAfter => {
            "Some preconditions are taken as met once the work is done; look then, and enter them in the job."
        }
        Remark::NotModelled => {
            "Not judged: what holds such a unit is not in this model. Its maker's bore, wall and torque decide; ask for them before boring, for what is bored out does not come back."
        }
    }
}

/// What fits a route's thread, as far as the table knows.
fn fits(route: &Route, thread: Option<&ThreadReport>, repairs: &Repairs, system: System) -> String {
    match route.kind {
        Kind::Retap => thread.map_or_else(String::new, |t| {
            let used = t.used_for.map_or(String::new(), |u| format!(", {u}"));
            let note = t.hand_note.map_or(String::new(), |h| format!("; {h}"));
            format!("a fitting with {}{used}{note}", t.designation)
        }),
        Kind::OtherStandard => format!(
            "a unit for a plain bore of at least {}, if its maker names this housing",
            shown(repairs.side.assembly.thread.basic.major, system)
        ),
        Kind::Refer => "–".into(),
        Kind::Own => "what your entries say".into(),
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
        Kind::Own => vec!["fitting", "what else your route takes out"],
        _ => vec!["fitting"],
    };
    let removal = repairs.removal.filter(|_| !parts.is_empty());
    RemovalReport {
        parts,
        torque: removal.map(|r| torque(r.undoing.torque)),
        torque_source: removal.map(|r| words::removal_source(r.undoing.stated)),
        limit: removal.and_then(|r| Some(torque(r.undoing.stop.ok()?.torque))),
        within_limit: removal.and_then(|r| r.undoing.stop.is_ok().then(|| !r.undoing.over())),
        // Of glue that nobody can trust nothing is said.
        old_glue_lets_go: removal
            .filter(|r| route.takes_insert_out() && r.undoing.stop.is_ok())
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

/// Does a check lower the verdict?
fn counts(check: &Check) -> bool {
    check.verdict != Verdict::Meets && !check.notes.has(Note::InformsOnly)
}

fn short(d: &Decisive) -> String {
    format!("{} {} ({})", id(d), ratio(d), d.check.verdict.word())
}

fn ratio(d: &Decisive) -> String {
    let ratio = d.check.ratio;
    text::ratio((!ratio.is_nan()).then_some(Number(ratio)))
}

/// The id of a check, with the bond that it speaks of.
fn id(d: &Decisive) -> String {
    let joint = if d.of_joint { "joint: " } else { "" };
    format!("{joint}{}", d.check.id.id())
}

fn changes(changes: &[Change]) -> Vec<ChangeReport> {
    changes
        .iter()
        .map(|c| ChangeReport {
            key: c.key.clone(),
            value: c.value.clone(),
        })
        .collect()
}

fn route_report(route: &Route, repairs: &Repairs, system: System) -> RouteReport {
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
    // Where a precondition forbids any judgement, no figure may be taken for a margin.
    let refused = judged.is_some() && route.verdict() == Verdict::Refused;
    let shown = judged.filter(|_| !refused);
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
            text: remark(*r).into(),
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
                    text: words::caution(c).into(),
                }),
        )
        .collect();
    RouteReport {
        name: route.name.clone(),
        feasible,
        why_not: route.why_not.as_ref().map(|w| why_not(w, system)),
        verdict: feasible.then(|| route.verdict().word()),
        governing: shown.and_then(|j| j.assessment.governing).map(CheckId::id),
        joint: route
            .joint
            .as_ref()
            .filter(|_| shown.is_some())
            .map(|joint| JointReport {
                verdict: joint.verdict().word(),
                governing: joint.governing().map(CheckId::id),
                changes: changes(&joint.changes),
                checks: checks(&joint.judged)
                    .into_iter()
                    .filter(|c| joint.checks().any(|own| own.id.id() == c.id))
                    .collect(),
            }),
        governs: route
            .governing()
            .filter(|_| shown.is_some())
            .map(|d| format!("{} {}", id(&d), of_need(&d))),
        short: route
            .decisive()
            .filter(|d| shown.is_some() && counts(&d.check))
            .map(|d| short(&d))
            .collect(),
        wall_left: route.wall.map(|w| length(w.left)),
        wall_needed: route.wall.map(|w| length(w.needed())),
        wall_for_hoop: route
            .wall
            .and_then(|w| w.for_hoop)
            .filter(|w| !si(*w).is_nan())
            .map(length),
        bore: route.wall.and_then(|w| w.bore).map(length),
        hand_before: hand(route.hands.0),
        hand_after: hand(route.hands.1),
        fits: fits(route, thread.as_ref(), repairs, system),
        thread,
        removes: removes(route, repairs),
        changes: changes(&route.changes),
        confirm_after: route.confirm.clone(),
        checks: shown.map(checks).unwrap_or_default(),
        window: shown.map(|j| WindowReport::new(&j.window)),
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

fn side_report(r: &Repairs, stated: &SideReport, system: System) -> RepairSide {
    let as_found = r.as_found.as_ref();
    RepairSide {
        side: words::side_word(r.side.name),
        verdict: r.verdict().word(),
        suggested: r
            .suggestion()
            .map_or_else(|| "refer".to_string(), |route| route.name.clone()),
        suggestion: suggestion(r, system),
        as_found: AsFound {
            damaged_turns: r.turns_lost.value,
            verdict: as_found.map(|j| j.assessment.verdict.word()),
            governing: as_found
                .filter(|j| j.assessment.verdict != Verdict::Refused)
                .and_then(|j| j.assessment.governing)
                .map(CheckId::id),
            deciding: as_found.and_then(|j| {
                let assembly = &j.side()?.assembly;
                j.assessment.deciding(assembly).map(|c| c.id.id())
            }),
        },
        routes: r
            .routes
            .iter()
            .map(|x| route_report(x, r, system))
            .collect(),
        preconditions: stated.preconditions.clone(),
        record: recorded(r).or_else(|| stated.record.clone()),
        undoing: r
            .removal
            .filter(|_| r.routes.iter().any(|x| x.kind != Kind::Refer))
            .map(|removal| removal.undoing),
    }
}

/// The record held against the route that was done, where the record names one that is judged.
fn recorded(r: &Repairs) -> Option<RecordReport> {
    let name = tables::fold(record::route_done(&r.side.record)?);
    let done = r
        .routes
        .iter()
        .find(|x| x.feasible() && tables::fold(&x.name) == name)?;
    let window = WindowReport::new(&done.judged.as_ref()?.window);
    let judged = done.verdict() != Verdict::Refused;
    let against = record::Against {
        window: Some(&window).filter(|_| judged),
        of_route: true,
        undoing: r.removal.map(|removal| removal.undoing),
    };
    RecordReport::new(&r.side.record, Some(against))
}

fn reserve(route: &Route, d: &Decisive) -> String {
    format!(
        "{} [{}] has {} required{}",
        d.check.id.title(),
        id(d),
        of_need(d),
        worst(route, d)
    )
}

/// The reserve and what is required, with as many figures as tell them apart.
fn of_need(d: &Decisive) -> String {
    text::against(super::report::given(d.check.ratio), d.check.need).join(" of ")
}

/// What decides where it is not the ratio alone.
fn worst(route: &Route, d: &Decisive) -> String {
    let divided = d.check.divided_by.map_or(String::new(), |factor| {
        format!(", divided by {} for a soft wall", significant(factor, 3))
    });
    let by = match d.check.decided_by() {
        Some(Decider::Note(Note::PreconditionFailed)) => {
            let judged = if d.of_joint {
                route.joint.as_ref().map(|j| &j.judged)
            } else {
                route.judged.as_ref()
            };
            let failed: Vec<&str> = judged
                .and_then(Judged::side)
                .map(|side| words::preconditions(&side.assembly.condition))
                .into_iter()
                .flatten()
                .filter(|(_, state, _)| *state == State::Failed)
                .map(|(id, ..)| id)
                .collect();
            format!(", but not met is {}", failed.join(", "))
        }
        Some(Decider::Note(note)) if note != Note::SoftWall => {
            format!(", and {}", words::note(note))
        }
        _ => String::new(),
    };
    divided + &by
}

/// The one sentence: what to do, why, and the number that decides.
fn suggestion(r: &Repairs, system: System) -> String {
    let Some(route) = r.suggestion() else {
        return refer(r);
    };
    let what = route.full_name();
    let verdict = route.verdict();
    let mut text = format!(
        "Of the routes judged the least intrusive that does not fall short by the figures: {what} ({})",
        verdict.word()
    );
    if let Some(governing) = route.governing() {
        text.push_str(&format!("; lowest margin: {}", reserve(route, &governing)));
    }
    if let Some(wall) = route.wall.filter(|_| route.kind == Kind::Retap) {
        let measured = (r.side.assembly.damage.as_ref()).is_some_and(|d| d.wall_measured.is_some());
        let known = if measured {
            ""
        } else {
            " (computed here: measure the wall first)"
        };
        text.push_str(&format!(
            "; {} of wall{known} stays under the root, {} is needed",
            shown(wall.left, system),
            shown(wall.needed(), system)
        ));
    }
    if route.hands.0 != route.hands.1 {
        text.push_str(&format!(
            "; the thread becomes {}-hand",
            hand(route.hands.1)
        ));
    }
    let kept = [Remark::FewFullTurns, Remark::SectorBare];
    if route.remarks.iter().any(|r| kept.contains(r)) {
        text.push_str("; shops would not keep a thread with so much gone, see its cautions");
    }
    let taken = r.suggested.unwrap_or(0);
    let before: Vec<String> = r.routes.iter().take(taken).map(passed_over).collect();
    if !before.is_empty() {
        text.push_str(&format!("; before it, {}", before.join(", ")));
    }
    let meets = |x: &&Route| x.feasible() && x.verdict() == Verdict::Meets;
    if let (Verdict::Marginal, Some(better)) = (verdict, r.routes.iter().find(meets)) {
        text.push_str(&format!(
            "; the first that meets with a quarter in hand is {}",
            better.name
        ));
    }
    // A remedy for damage of unknown cause lasts as long as the first did.
    let damage = r.side.assembly.damage.as_ref();
    if damage.is_none_or(|d| d.cause_known != Some(true)) {
        text.push_str("; before it, find the cause");
    }
    text + &weakest(r) + "."
}

/// What is not known and counts at its weakest: to know it might change the answer.
fn weakest(r: &Repairs) -> String {
    if r.unknown.is_empty() {
        return String::new();
    }
    format!(
        "; not known, and counted at the weakest: {}; to know more might change the answer",
        r.unknown.join(", ")
    )
}

/// Why a route that stands before the suggested one is not it.
fn passed_over(route: &Route) -> String {
    if !route.feasible() {
        return format!("{} cannot be done", route.name);
    }
    match (route.verdict(), route.deciding()) {
        (Verdict::FallsShort, Some(d)) => format!(
            "{} falls short ([{}], {}{})",
            route.name,
            id(&d),
            of_need(&d),
            worst(route, &d)
        ),
        (verdict, _) => match open_reason(route) {
            Some(reason) => format!("{} is {} ({reason})", route.name, verdict.word()),
            None => format!("{} is {}", route.name, verdict.word()),
        },
    }
}

/// Which check leaves a route open, and what would settle it.
fn open_reason(route: &Route) -> Option<String> {
    let open = route
        .open()
        .filter(|_| route.verdict() == Verdict::NotJudged)?;
    Some(format!(
        "[{}]: {}",
        id(&open),
        words::reason(open.check.reason?)
    ))
}

/// Why there is nothing to do but refer it.
fn refer(r: &Repairs) -> String {
    const START: &str = "Refer: take it to the maker or to somebody able to examine it";
    if let Some(finding) = r.finding {
        return format!("{START}: {}.", finding_text(finding));
    }
    let gates: Vec<(&str, State, &str)> = words::preconditions(&r.side.assembly.condition)
        .into_iter()
        .take(4)
        .collect();
    let with = |state: State, except: &[&str]| -> Vec<String> {
        gates
            .iter()
            .filter(|(id, s, _)| *s == state && !except.contains(id))
            .map(|(id, _, text)| format!("\"{text}\" ({id})"))
            .collect()
    };
    // Routes that hold the insert anew answer for its having moved.
    let failed = with(State::Failed, &["not_moved"]);
    if !failed.is_empty() {
        return format!(
            "{START}: not met is {}, and no margin answers for that.",
            failed.join(", ")
        );
    }
    if let Some(route) = r.open_route() {
        let open = with(State::Unknown, &[]);
        if !open.is_empty() {
            return format!(
                "{START} until you know more: no route is judged while nobody has looked at {}; look, and enter it.",
                open.join(", ")
            );
        }
        if let Some(reason) = open_reason(route) {
            return format!(
                "{START} until you know more: {} is not judged, because of {reason}.",
                route.name
            );
        }
    }
    let other = if r
        .routes
        .iter()
        .any(|x| x.kind == Kind::OtherStandard && x.feasible())
    {
        "; a threadless unit or another standard is not judged here"
    } else {
        ""
    };
    let weakest = weakest(r);
    match r.nearest().and_then(|x| Some((x, x.deciding()?))) {
        Some((route, decisive)) => {
            let planned = if route.remarks.contains(&Remark::BondPlanned) {
                " (a better glue or preparation may change that)"
            } else {
                ""
            };
            format!(
                "{START}: no route that is judged has what is required; the nearest is {}, where {}{planned}{other}{weakest}.",
                route.name,
                reserve(route, &decisive)
            )
        }
        None => format!("{START}: no route that is judged can be taken{other}{weakest}."),
    }
}

/// The report as text.
pub fn text(report: &RepairReport, system: System, layout: Layout) -> String {
    let mut out = text::opening_of(report.command, &report.job, layout);
    for side in report.printed_sides() {
        if report.sides.len() > 1 {
            out.push_str(&layout.heading(&format!("{} side", side.side)));
        }
        out.push_str(&text::precondition_list(&side.preconditions, layout));
        out.push_str(&layout.heading("What to do"));
        out.push_str(&layout.paragraph(&side.suggestion));
        out.push_str(&as_found(side, system, layout));
        out.push_str(&table(side, system, layout));
        let shared = shared(side);
        if !shared.is_empty() {
            out.push_str(&layout.heading("For every route that can be taken"));
            for c in &shared {
                out.push_str(&layout.item("! ", &c.text));
            }
        }
        // One reason for all of them stands in the first sentence already.
        let alike = side
            .routes
            .windows(2)
            .all(|pair| pair[1].name == Kind::Refer.name() || pair[0].why_not == pair[1].why_not);
        let one_reason = alike && side.routes.first().is_some_and(|r| r.why_not.is_some());
        for route in side.routes.iter().filter(|_| !one_reason) {
            out.push_str(&details(route, &shared, system, layout));
        }
        out.push_str(&record::text(side.record.as_ref(), system, layout));
    }
    out.push_str(&text::tail(report, system, layout));
    out
}

fn as_found(side: &RepairSide, system: System, layout: Layout) -> String {
    let mut out = layout.heading("As found");
    let mut line = if side.as_found.damaged_turns > 0.0 {
        format!(
            "Turns that carry nothing: {} (sectors averaged over the circumference)",
            significant(side.as_found.damaged_turns, 3)
        )
    } else {
        "No turn is entered as damaged (damage.missing_turns, [[damage.sector]])".to_string()
    };
    if let Some(verdict) = side.as_found.verdict {
        line.push_str(&format!(". As it stands: {verdict}"));
    }
    // The same two as in the verdict of `check`.
    let (deciding, governing) = (side.as_found.deciding, side.as_found.governing);
    match (deciding, governing) {
        (Some(deciding), governing) if governing.is_none_or(|g| g == deciding) => {
            line.push_str(&format!(", [{deciding}] governs"));
        }
        _ => {
            if let Some(deciding) = deciding {
                line.push_str(&format!(", decided by [{deciding}]"));
            }
            if let Some(governing) = governing {
                line.push_str(&format!(", [{governing}] has the lowest reserve"));
            }
        }
    }
    out.push_str(&layout.item("", &format!("{line}.")));
    if let Some(undoing) = &side.undoing {
        // Where no torque is named there is none to be above of; the sentence says so itself.
        let named = undoing.stop.is_ok_and(|stop| si(stop.torque) > 0.0);
        let over = if named && undoing.over() {
            "; that is ABOVE where to stop"
        } else {
            ""
        };
        out.push_str(&layout.item(
            "",
            &format!(
                "Undoing the fitting is judged at {} ({}){over}: {}.",
                Unit::NewtonMetre.show(si(undoing.torque), system),
                words::removal_source(undoing.stated),
                words::stop(&undoing.stop, system)
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
            let mark = if r.name == side.suggested { "> " } else { "" };
            // What cannot be done costs nothing.
            let cost = |amount: Option<f64>, figures| {
                amount
                    .filter(|_| r.feasible)
                    .map_or("–".into(), |a| significant(a, figures))
            };
            vec![
                format!("{mark}{}", r.name),
                r.verdict.unwrap_or("cannot be done").to_string(),
                r.governs.clone().unwrap_or_else(|| "–".into()),
                r.wall_left
                    .map_or("–".into(), |w| w.unit.show(w.si, system)),
                cost(r.cost.hours, 3),
                cost(r.cost.price, 5),
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
    if !route.checks.is_empty() {
        item(
            "",
            if route.short.is_empty() {
                "Every check that counts meets with a quarter in hand.".to_string()
            } else {
                format!(
                    "Not met with a quarter in hand: {}.",
                    route.short.join(", ")
                )
            },
        );
    }
    if let Some(joint) = &route.joint {
        item(
            "",
            format!(
                "Joint of bushing and old insert: {} (explain its figures with --route \"{BUSHING_JOINT}\").",
                joint.verdict
            ),
        );
    }
    if let Some(w) = &route.window {
        let what = match route.joint {
            Some(_) => "Window, the joint left out",
            None => "Window",
        };
        item("", format!("{what}: {}.", window::sentence(w, system)));
    }
    if let (Some(left), Some(needed)) = (route.wall_left, route.wall_needed) {
        let of_what = match route.bore {
            Some(bore) => format!("Wall of the insert around a bore of {}", show(bore)),
            None => "Wall under the thread".to_string(),
        };
        let hoop = match route.wall_for_hoop {
            Some(w) => format!("; the hoop check alone needs {}", show(w)),
            None if route.bore.is_none() => "; what the hoop check needs is not known".to_string(),
            None => String::new(),
        };
        item(
            "",
            format!("{of_what}: {}, needed {}{hoop}.", show(left), show(needed)),
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
        item(
            "",
            format!("No thread of this job takes part. Fits: {}.", route.fits),
        );
    } else {
        item("", format!("{kept} Fits: {}.", route.fits));
    }
    let mut out_parts = format!("Comes out: {}", route.removes.parts.join(", "));
    if route.removes.old_glue_lets_go.is_some() {
        out_parts.push_str(
            "; do not turn the old insert out by force: by its row the old glue could stand more than any hand wrench (bond.ductile.torque), and the frame gives way first. Soften it with heat within the frame's limit, or bore it out",
        );
    }
    item("", format!("{out_parts}."));
    if let Some(note) = route.thread.as_ref().and_then(|t| t.note) {
        item("", note.to_string());
    }
    let judged_with = [
        ("Judged with", &route.changes[..]),
        (
            "Its joint judged with",
            route.joint.as_ref().map_or(&[], |j| &j.changes),
        ),
    ];
    for (what, changes) in judged_with.into_iter().filter(|(_, c)| !c.is_empty()) {
        let changed: Vec<String> = changes
            .iter()
            .map(|c| match &c.value {
                Some(value) => format!("{} = {value}", c.key),
                None => format!("{} left out", c.key),
            })
            .collect();
        item("", format!("{what}: {}.", changed.join("; ")));
    }
    if !route.confirm_after.is_empty() {
        item(
            "",
            format!(
                "Taken as met after the work: {}. Look then, and enter them in the job.",
                route.confirm_after.join(", ")
            ),
        );
    }
    if let Some(hours) = route.cost.hours {
        let source = route.cost.hours_source.unwrap_or_default();
        let price = route.cost.price.map_or_else(
            || "; no price without a rate ([[route]] rate)".to_string(),
            |p| format!("; price {}, in the money of your rate", significant(p, 5)),
        );
        item(
            "",
            format!("Hours {} ({source}){price}.", significant(hours, 3)),
        );
    }
    for c in route
        .cautions
        .iter()
        // What is to be looked at afterwards stands above with its keys.
        .filter(|c| c.id != Remark::ConfirmAfter.id() && !shared.iter().any(|s| s.id == c.id))
    {
        item("! ", c.text.to_string());
    }
    out
}
