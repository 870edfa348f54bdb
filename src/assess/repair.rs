//! Re-tap or replace: every route for a damaged insert, judged by the whole model at the same loads.
//!
//! A route is a set of entries put over the job. The changed job is resolved and assessed by the same code as
//! any other, so nothing here computes a margin. What a person reads about a route stands in the presentation.
//!
//! Damage becomes entries in this way: turns gone all the way round plus the mean of what is gone in sectors
//! stand for `thread.damaged_turns`. Wear of the crest widens the minor diameter of the insert's thread by
//! twice its depth, from the limit of its class; a measured `thread.internal_minor` holds the wear already and
//! stands. A wall found thinner than the sizes say makes the insert's outer diameter smaller all round.
//!
//! A solid bushing has two bonds. That of the old insert is judged with bushing and insert as one piece; the
//! joint between them is judged as a job of its own, in which the bushing is the insert and the old insert its
//! frame, by the same model.

use super::check::{Check, CheckId, Sort, Verdict};
use super::undo::{Undoing, Withheld};
use super::window::{self, Window};
use super::{Assessment, assess, values};
use crate::job::assembly::*;
use crate::job::designation::{self, Named};
use crate::job::document::Raw;
use crate::job::record::OwnRoute;
use crate::job::resolve::{default, resolve_changed, wall_row};
use crate::job::schema::SIDE_TABLES;
use crate::job::{Document, Job, Side};
use crate::mechanics::pedal::Side as SideName;
use crate::mechanics::{thread, wall};
use crate::tables;
use crate::units::display::significant;
use crate::units::*;

/// The preconditions that gluing anew and a new face bring with them.
const GLUED_ANEW: [&str; 5] = [
    "face_clean",
    "thread_starts_by_hand",
    "not_moved",
    "prepared",
    "cured",
];

/// A built-in route, in rising order of intrusion, or one of the job's own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Clean and chase the thread that is there.
    CleanAndChase,
    /// Cut the next larger thread.
    Retap,
    /// A solid bushing in the old insert.
    Bushing,
    /// Glue the same insert again.
    Rebond,
    /// A new insert.
    NewInsert,
    /// A threadless unit or another housing standard.
    OtherStandard,
    /// A route of the job's own.
    Own,
    /// Hand it to somebody who can examine it.
    Refer,
}

impl Kind {
    /// The built-in routes that can be judged or described, in rising order of intrusion.
    pub const BUILT_IN: [Kind; 6] = [
        Kind::CleanAndChase,
        Kind::Retap,
        Kind::Bushing,
        Kind::Rebond,
        Kind::NewInsert,
        Kind::OtherStandard,
    ];
    /// Its agreed name.
    pub fn name(self) -> &'static str {
        match self {
            Kind::CleanAndChase => "clean and chase",
            Kind::Retap => "re-tap",
            Kind::Bushing => "solid bushing",
            Kind::Rebond => "re-bond",
            Kind::NewInsert => "new insert",
            Kind::OtherStandard => "threadless or other standard",
            Kind::Own => "own",
            Kind::Refer => "refer",
        }
    }
    /// The row of its hours.
    fn hours_row(self) -> Option<&'static str> {
        Some(match self {
            Kind::CleanAndChase => "repair.hours.clean-and-chase",
            Kind::Retap => "repair.hours.re-tap",
            Kind::Bushing => "repair.hours.solid-bushing",
            Kind::Rebond => "repair.hours.re-bond",
            Kind::NewInsert => "repair.hours.new-insert",
            Kind::OtherStandard => "repair.hours.other-standard",
            Kind::Own | Kind::Refer => return None,
        })
    }
    /// Does the insert stay in its glue?
    fn keeps_bond(self) -> bool {
        matches!(
            self,
            Kind::CleanAndChase | Kind::Retap | Kind::Bushing | Kind::OtherStandard
        )
    }
}

/// A finding after which nobody should work on, whatever the figures say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Finding {
    /// A crack.
    Crack,
    /// The insert has moved and nobody knows why.
    MovedCauseUnknown,
    /// No metal is left between thread and laminate.
    LaminateExposed,
}

/// Why a route cannot be taken.
#[derive(Debug, Clone, PartialEq)]
pub enum WhyNot {
    /// A finding forbids it.
    Finding(Finding),
    /// The insert has moved: no work on its thread before it is held again.
    Moved,
    /// Damage leaves no engaged turn.
    NothingEngaged,
    /// The worn crests no longer overlap the fitting's thread.
    NoOverlap,
    /// The table holds no larger thread that clears the old one.
    NoLargerThread,
    /// Too little wall would be left: left, needed.
    Wall(Length, Length),
    /// The new thread would cut into the laminate: what is left, below or at zero.
    CutsThrough(Length),
    /// Bored for a bushing, the old insert would keep too little wall: left, needed.
    BushingWall(Length, Length),
    /// Bored for a bushing, nothing of the old insert would be left: its outer diameter, the bore.
    BushingRoom(Length, Length),
    /// The glue holds, and gluing mends nothing of the thread.
    BondHolds,
    /// A boss has no other standard to change to.
    NoOtherStandard,
    /// The changed parts cannot exist: what the job's own checks say.
    Impossible(Vec<String>),
    /// Nothing of the face would lie under the flange.
    NoSeat,
}

macro_rules! remarks {
    ($($variant:ident $id:literal),* $(,)?) => {
        /// A caution of one route.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        #[allow(missing_docs)]
        pub enum Remark { $($variant),* }
        impl Remark {
            /// Its id.
            pub fn id(self) -> &'static str {
                match self { $(Remark::$variant => $id),* }
            }
            /// All of them.
            pub const ALL: &'static [Remark] = &[$(Remark::$variant),*];
        }
    };
}
remarks! {
    RestoresNothing "chase-restores-nothing",
    FewFullTurns "few-full-turns",
    SectorBare "sector-bare",
    WallUnderLimit "wall-under-limit",
    WallFound "wall-found",
    HandLost "hand-lost",
    OtherFitting "other-fitting",
    OldGroove "old-groove",
    CutsOnGlue "cutting-turns-the-glue",
    BushingJoint "bushing-joint",
    JointOpen "bushing-joint-not-judged",
    BondPlanned "bond-planned",
    InsertOut "insert-out",
    FaceTrue "face-true",
    BothSides "both-sides",
    RemovalOverLimit "removal-over-limit",
    RemovalAsBefore "removal-as-before",
    CauseUnknown "cause-unknown",
    Corroded "corroded",
    ConfirmAfter "confirm-after",
    NotModelled "not-modelled",
}

/// One entry that a route changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// The key.
    pub key: String,
    /// The value as text; nothing where the entry is left out.
    pub value: Option<String>,
}

/// The changed job of one side and what it comes to.
#[derive(Debug, Clone)]
pub struct Judged {
    /// The changed job.
    pub job: Job,
    /// Which of its sides.
    pub index: usize,
    /// Checks and values.
    pub assessment: Assessment,
    /// The window of torques.
    pub window: Window,
}

impl Judged {
    /// The side in question.
    pub fn side(&self) -> Option<&Side> {
        self.job.sides.get(self.index)
    }
}

/// The wall under the thread that a route leaves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wall {
    /// What is left.
    pub left: Length,
    /// The least that shops leave.
    pub limit: Length,
    /// What keeps the hoop check's ratio; not a number where no wall does, nothing without a yield strength.
    pub for_hoop: Option<Length>,
    /// The plain bore around which it stands, where that is no thread.
    pub bore: Option<Length>,
}

impl Wall {
    /// What is needed: the shops' limit, or what the hoop check needs, whichever is more.
    pub fn needed(&self) -> Length {
        match self.for_hoop {
            Some(hoop) if hoop > self.limit => hoop,
            _ => self.limit,
        }
    }
}

/// The larger thread that a route cuts.
#[derive(Debug, Clone, PartialEq)]
pub struct Larger {
    /// Name of its row.
    pub name: String,
    /// Group of the row in the table of threads; nothing for a row of the job's own.
    pub group: Option<&'static str>,
    /// Its sizes.
    pub named: Named,
    /// Its hand on this side.
    pub hand: Hand,
    /// Share of the new tooth that the old groove takes.
    pub old_groove: Ratio,
}

/// The joint of a bushing and the old insert, judged as a bond of its own.
#[derive(Debug, Clone)]
pub struct Joint {
    /// The job in which the bushing is the insert and the old insert its frame.
    pub judged: Judged,
    /// What that job changes.
    pub changes: Vec<Change>,
    /// Preconditions taken as met once the work is done.
    pub confirm: Vec<&'static str>,
}

impl Joint {
    /// The glue's checks: they alone speak of the joint.
    pub fn checks(&self) -> impl Iterator<Item = &Check> {
        let checks = &self.judged.assessment.checks;
        checks.iter().flatten().filter(|c| c.id.is_bond())
    }
    /// Its check with the lowest margin.
    pub fn governing(&self) -> Option<CheckId> {
        self.checks()
            .filter(|c| c.margin().is_finite())
            .min_by(|a, b| a.margin().total_cmp(&b.margin()))
            .map(|c| c.id)
    }
    /// What the joint comes to.
    pub fn verdict(&self) -> Verdict {
        self.checks()
            .fold(Verdict::Meets, |worst, c| worst.worse(c.verdict))
    }
}

/// A check with the question which of a bushing's two bonds it speaks of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Decisive {
    /// The check.
    pub check: Check,
    /// It is the joint's, not the insert's.
    pub of_joint: bool,
}

/// Hours and price.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Cost {
    /// Hours.
    pub hours: Option<f64>,
    /// The hours are the program's own.
    pub hours_built_in: bool,
    /// Price, where the job gives one or a rate.
    pub price: Option<f64>,
}

/// What undoing takes, before anything else is done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Removal {
    /// The torque that it is judged at, and where to stop.
    pub undoing: Undoing,
    /// Torque at which the old glue lets go as a whole, by energy; for routes that take the insert out.
    pub lets_go: Torque,
}

/// One route.
#[derive(Debug, Clone)]
pub struct Route {
    /// Which.
    pub kind: Kind,
    /// Its name.
    pub name: String,
    /// Why it cannot be taken.
    pub why_not: Option<WhyNot>,
    /// What it comes to, where the model can say so.
    pub judged: Option<Judged>,
    /// What it changes in the job.
    pub changes: Vec<Change>,
    /// Preconditions taken as met once the work is done.
    pub confirm: Vec<&'static str>,
    /// The larger thread, where it cuts one.
    pub larger: Option<Larger>,
    /// Wall left under the thread; of a bushing, what it leaves of the old insert.
    pub wall: Option<Wall>,
    /// The joint of a bushing, where it can be judged.
    pub joint: Option<Joint>,
    /// The hand of the thread before and after.
    pub hands: (Hand, Hand),
    /// Hours and price.
    pub cost: Cost,
    /// Cautions of its own.
    pub remarks: Vec<Remark>,
}

impl Route {
    /// Its name with the thread that it cuts.
    pub fn full_name(&self) -> String {
        match &self.larger {
            Some(l) => format!("{} to {}", self.name, l.name),
            None => self.name.clone(),
        }
    }
    /// Can it be taken?
    pub fn feasible(&self) -> bool {
        self.why_not.is_none()
    }
    /// Does the insert have to come out?
    pub fn takes_insert_out(&self) -> bool {
        matches!(self.kind, Kind::Rebond | Kind::NewInsert)
    }
    /// Every check of the route, those of a bushing's joint behind the others.
    pub fn decisive(&self) -> impl Iterator<Item = Decisive> {
        let with = |of_joint| {
            move |check: &Check| Decisive {
                check: *check,
                of_joint,
            }
        };
        let main = self.judged.iter().flat_map(|j| &j.assessment.checks);
        let joint = self.joint.iter().flat_map(Joint::checks);
        main.flatten().map(with(false)).chain(joint.map(with(true)))
    }
    /// The strength check with its lowest margin.
    pub fn governing(&self) -> Option<Decisive> {
        self.decisive()
            .filter(|d| d.check.id.sort() == Sort::Strength && d.check.margin().is_finite())
            .min_by(|a, b| a.check.margin().total_cmp(&b.check.margin()))
    }
    /// The check that decides: of those that fall short the one with the lowest margin, else what governs.
    pub fn deciding(&self) -> Option<Decisive> {
        self.decisive()
            .filter(|d| {
                let c = &d.check;
                c.verdict == Verdict::FallsShort
                    && (c.id.sort() == Sort::Strength || c.id == CheckId::TorqueMaker)
            })
            .min_by(|a, b| a.check.margin().total_cmp(&b.check.margin()))
            .or_else(|| self.governing())
    }
    /// The first strength check that is not judged.
    pub fn open(&self) -> Option<Decisive> {
        self.decisive()
            .find(|d| d.check.verdict == Verdict::NotJudged && d.check.id.sort() == Sort::Strength)
    }
    /// What it comes to.
    pub fn verdict(&self) -> Verdict {
        let Some(judged) = &self.judged else {
            return Verdict::NotJudged;
        };
        let joint = match (&self.joint, self.kind) {
            (Some(joint), _) => joint.verdict(),
            (None, Kind::Bushing) => Verdict::NotJudged,
            (None, _) => Verdict::Meets,
        };
        judged.assessment.verdict.worse(joint)
    }
}

/// All routes of one side.
#[derive(Debug, Clone)]
pub struct Repairs {
    /// The side as the job states it.
    pub side: Side,
    /// Finding that leaves nothing but to refer it.
    pub finding: Option<Finding>,
    /// The side as it was found, damage counted, where that can be judged.
    pub as_found: Option<Judged>,
    /// Turns that carry nothing.
    pub turns_lost: Ratio,
    /// The row that says how much wall must be left, where the job does not.
    pub wall_row: Option<&'static str>,
    /// Keys of what is not known and counts at its weakest.
    pub unknown: Vec<&'static str>,
    /// What undoing takes.
    pub removal: Option<Removal>,
    /// The routes in rising order of intrusion; to refer it stands last.
    pub routes: Vec<Route>,
    /// The first that can be taken and meets or is marginal.
    pub suggested: Option<usize>,
}

impl Repairs {
    /// What the side comes to with the route that is suggested, or why there is none.
    pub fn verdict(&self) -> Verdict {
        if let Some(route) = self.suggestion() {
            return route.verdict();
        }
        if self.finding.is_some() || super::refusal(&self.side.assembly.condition) {
            return Verdict::Refused;
        }
        match self.open_route() {
            Some(_) => Verdict::NotJudged,
            None => Verdict::FallsShort,
        }
    }
    /// The first route of which the model could say more if more were known.
    pub fn open_route(&self) -> Option<&Route> {
        self.routes
            .iter()
            .find(|r| r.feasible() && r.judged.is_some() && r.verdict() == Verdict::NotJudged)
    }
    /// The feasible route that comes nearest to what is required; of equal ones the least intrusive.
    pub fn nearest(&self) -> Option<&Route> {
        let lowest = |r: &&Route| {
            r.governing()
                .map_or(f64::NEG_INFINITY, |d| d.check.margin())
        };
        self.routes
            .iter()
            .rev()
            .filter(|r| r.feasible() && r.judged.is_some())
            .max_by(|a, b| lowest(a).total_cmp(&lowest(b)))
    }
    /// How far down the ladder the suggestion lies; what cannot be suggested lies lowest.
    pub fn depth(&self) -> usize {
        self.suggested.unwrap_or(usize::MAX)
    }
    /// The route that is suggested.
    pub fn suggestion(&self) -> Option<&Route> {
        self.suggested.and_then(|i| self.routes.get(i))
    }
}

/// What a route puts over the job.
#[derive(Debug, Clone, Default)]
struct Plan {
    changes: Vec<Change>,
    confirm: Vec<&'static str>,
    /// The entries stand on the other side too: what both share has changed, and its parts must still go in.
    both_sides: bool,
}

impl Plan {
    fn set(&mut self, key: &str, value: impl Into<String>) {
        self.put(key, Some(value.into()));
    }
    fn length(&mut self, key: &str, value: Length) {
        let millimetres = significant(Unit::Millimetre.of(si(value)), 9);
        self.set(key, format!("{millimetres} mm"));
    }
    fn drop(&mut self, key: &str) {
        self.put(key, None);
    }
    fn put(&mut self, key: &str, value: Option<String>) {
        self.changes.retain(|c| c.key != key);
        self.changes.push(Change {
            key: key.to_string(),
            value,
        });
    }
    fn confirm(&mut self, keys: &[&'static str]) {
        self.confirm.extend_from_slice(keys);
    }
}

/// A text from the table of defaults.
fn row_text(name: &str) -> String {
    tables::DEFAULTS
        .row("default", name)
        .and_then(|row| row.text("value"))
        .unwrap_or_default()
        .to_string()
}
fn row_number(name: &str) -> f64 {
    default(name, crate::units::Kind::Number).0
}
fn row_length(name: &str) -> Length {
    from_si(default(name, crate::units::Kind::Length).0)
}

/// The name under which a job changes the joint of a bushing, and under which it is explained.
pub const BUSHING_JOINT: &str = "bushing joint";

/// One side of a job in work.
struct Bench<'a> {
    document: &'a Document,
    job: &'a Job,
    index: usize,
    side: &'a Side,
}

impl Bench<'_> {
    /// The document with a plan over it.
    fn changed(&self, plan: &Plan) -> Document {
        let mut entries: Vec<(String, Option<String>)> = Vec::new();
        let sides = self.job.sides.iter().enumerate();
        let prefixes: Vec<&str> = sides
            .filter(|(i, _)| plan.both_sides || *i == self.index)
            .map(|(_, side)| side.prefix.as_str())
            .collect();
        let mut put = |key: &str, value: Option<String>| {
            let table = key.split(['.', '[']).next().unwrap_or(key);
            let of_side = !self.side.prefix.is_empty() && SIDE_TABLES.contains(&table);
            if of_side {
                for prefix in &prefixes {
                    entries.push((format!("{prefix}{key}"), value.clone()));
                }
            }
            // What both sides share is taken out for this one; an entry put in stands on the side alone.
            if !of_side || value.is_none() {
                entries.push((key.to_string(), value));
            }
        };
        for change in &plan.changes {
            put(&change.key, change.value.clone());
        }
        for key in &plan.confirm {
            put(&format!("condition.{key}"), Some("true".into()));
        }
        self.document.with(&entries)
    }

    /// Resolves and assesses the changed job.
    fn judge(&self, plan: &Plan) -> Result<Judged, WhyNot> {
        let document = self.changed(plan);
        let job = resolve_changed(&document)
            .map_err(|found| WhyNot::Impossible(found.into_iter().map(|d| d.message).collect()))?;
        let assembly = &job.sides.get(self.index).ok_or(WhyNot::NoSeat)?.assembly;
        let assessment = assess(assembly).map_err(|_| WhyNot::NoSeat)?;
        let window = window::window(assembly, &assessment.checks).map_err(|_| WhyNot::NoSeat)?;
        Ok(Judged {
            job,
            index: self.index,
            assessment,
            window,
        })
    }

    /// Does the job say anything under this key, for this side?
    fn says(&self, key: &str) -> bool {
        [self.side.prefix.as_str(), ""].iter().any(|prefix| {
            let path = format!("{prefix}{key}");
            self.document.get(&path).is_some() || self.document.len_of(&path) > 0
        })
    }

    /// What the job says under this key, for this side.
    fn text(&self, key: &str) -> Option<String> {
        [self.side.prefix.as_str(), ""].iter().find_map(|prefix| {
            match &self.document.get(&format!("{prefix}{key}"))?.value {
                Raw::Text(text) => Some(text.clone()),
                _ => None,
            }
        })
    }

    fn own(&self, kind: Kind) -> Option<&OwnRoute> {
        self.own_named(kind.name())
    }

    fn own_named(&self, name: &str) -> Option<&OwnRoute> {
        let wanted = tables::fold(name);
        self.job
            .routes
            .iter()
            .find(|r| tables::fold(&r.name) == wanted)
    }

    /// Wall under the thread that is there: as found where that is thinner than the sizes say.
    fn old_wall(&self) -> Length {
        let a = &self.side.assembly;
        thinner(a).unwrap_or(wall::under_root(
            a.insert.outer_diameter,
            a.thread.basic.major,
        ))
    }

    /// Outer diameter that goes with that wall.
    fn old_outer(&self) -> Length {
        wall::outer_of_wall(self.side.assembly.thread.basic.major, self.old_wall())
    }

    /// The damage as entries: turns, wear, wall.
    fn damaged(&self) -> Plan {
        let mut plan = Plan::default();
        let a = &self.side.assembly;
        plan.set("thread.damaged_turns", significant(turns_lost(a).value, 9));
        let wear = a.damage.as_ref().and_then(|d| d.wear);
        if let (Some(wear), false) = (wear, a.thread.measured.internal_minor) {
            plan.length(
                "thread.internal_minor",
                wall::worn_minor(a.thread.sizes.internal_minor, wear),
            );
        }
        self.wall_found(&mut plan);
        plan
    }

    /// The wall found, where it is thinner than the sizes say.
    fn wall_found(&self, plan: &mut Plan) {
        let a = &self.side.assembly;
        if let Some(found) = thinner(a) {
            plan.length(
                "insert.outer_diameter",
                wall::outer_of_wall(a.thread.basic.major, found),
            );
            plan.length("bond.thickness", a.bond.thickness);
            plan.drop("bond.bore");
        }
    }

    /// A thread cut anew: nothing of the old sizes and damage stands.
    fn fresh_thread(&self, plan: &mut Plan) {
        plan.set("thread.damaged_turns", "0");
        plan.drop("thread.internal_minor");
        plan.drop("thread.internal_pitch_diameter");
    }

    /// Another thread cut into the insert that is there.
    fn other_thread(&self, plan: &mut Plan, new: &Larger) {
        let a = &self.side.assembly;
        self.wall_found(plan);
        self.fresh_thread(plan);
        plan.drop("thread.external_major");
        plan.drop("thread.external_pitch_diameter");
        plan.set("thread.designation", new.name.clone());
        // Where the old groove is not cleared, the new crests begin at its root.
        if a.thread.basic.major > new.named.least.internal_minor {
            plan.length("thread.internal_minor", a.thread.basic.major);
        }
        if self.says("seat.inner_diameter") && a.seat.inner_diameter < new.named.basic.major {
            plan.length("seat.inner_diameter", new.named.basic.major);
        }
    }

    /// The joint of a bushing that goes into a bore of the old insert; nothing where such a job cannot be.
    fn joint(&self, bushing: Length) -> Option<Joint> {
        let mut plan = Plan {
            both_sides: true,
            ..Plan::default()
        };
        self.fresh_thread(&mut plan);
        plan.length("insert.outer_diameter", bushing);
        plan.length("frame.outer_diameter", self.old_outer());
        // No row of a metal that is not known stands for a frame; the usual one is as stiff.
        let metal = self
            .text("insert.material")
            .filter(|_| !self.side.assembly.insert.material.unknown);
        plan.set(
            "frame.material",
            metal.unwrap_or_else(|| row_text("repair.insert.material")),
        );
        // The old insert is held by its own glue all along.
        plan.set("frame.held_at", "full-length");
        // A lip over the old face takes the flange, so that the clamp closes in the bushing.
        plan.length("insert.lip_diameter", self.old_outer());
        plan.length("insert.face_offset", row_length("repair.bushing.wall"));
        plan.set("bond.adhesive", row_text("repair.bond.adhesive"));
        plan.set("bond.preparation", row_text("repair.bond.preparation"));
        plan.length("bond.thickness", row_length("repair.bushing.gap"));
        plan.set("bond.voids", "0");
        plan.set(
            "bond.cure_temperature",
            row_text("repair.bond.cure_temperature"),
        );
        for key in [
            "frame.edge_distance",
            "seat.outer_diameter",
            "bond.bore",
            "bond.length",
            "bond.ply",
            "bond.isolated",
            "bond.reading",
        ] {
            plan.drop(key);
        }
        plan.confirm(&GLUED_ANEW);
        self.finish(
            &mut plan,
            self.own_named(BUSHING_JOINT).map_or(&[], |o| &o.set),
        );
        let judged = self.judge(&plan).ok()?;
        Some(Joint {
            judged,
            changes: plan.changes,
            confirm: plan.confirm,
        })
    }

    /// Puts a route's own entries over a plan, and takes out of it what the job never said.
    fn finish(&self, plan: &mut Plan, own: &[(String, String)]) {
        for (key, value) in own {
            plan.set(key, value.clone());
        }
        plan.changes
            .retain(|c| c.value.is_some() || self.says(&c.key));
    }

    /// A new bond: what the job does not know is chosen now.
    fn fresh_bond(&self, plan: &mut Plan, galvanic_short: bool) {
        let a = &self.side.assembly;
        let b = &a.bond;
        if b.adhesive.unknown {
            plan.set("bond.adhesive", row_text("repair.bond.adhesive"));
        }
        if b.preparation_unknown {
            plan.set("bond.preparation", row_text("repair.bond.preparation"));
        }
        if b.voids_unknown {
            plan.set("bond.voids", "0");
        }
        if b.cure_unknown {
            plan.set(
                "bond.cure_temperature",
                row_text("repair.bond.cure_temperature"),
            );
        }
        if galvanic_short {
            plan.set("bond.isolated", "true");
        }
    }
}

/// Turns that carry nothing: as `[damage]` counts them, else as `thread.damaged_turns` says.
pub fn turns_lost(a: &Assembly) -> Ratio {
    match &a.damage {
        Some(d) if d.missing_turns.is_some() || !d.sectors.is_empty() => wall::damaged_turns(
            d.missing_turns.unwrap_or(number(0.0)),
            in_sectors(d),
            turns_there(a),
        ),
        _ => a.thread.damaged_turns,
    }
}

/// Turns of full form that the overlap of both threads holds.
pub fn turns_there(a: &Assembly) -> Ratio {
    let t = &a.thread;
    thread::turns(t.engaged.nominal - t.incomplete, t.basic.pitch)
}

/// What is gone in sectors, averaged over the circumference.
pub fn in_sectors(d: &Damage) -> Ratio {
    d.sectors.iter().fold(number(0.0), |sum, s| {
        sum + wall::sector_turns(s.span, s.turns)
    })
}

/// The most turns that are gone at one place, sectors that overlap there counted together.
fn deepest_sector(d: &Damage) -> f64 {
    let whole = std::f64::consts::TAU;
    let within =
        |at: &DamagedSector, s: &DamagedSector| si(at.from - s.from).rem_euclid(whole) < si(s.span);
    let gone_at = |at: &DamagedSector| -> f64 {
        let there = d.sectors.iter().filter(|s| within(at, s));
        there.map(|s| s.turns.value).sum()
    };
    // The count rises only where a sector begins.
    d.sectors.iter().map(gone_at).fold(0.0, f64::max)
}

/// The wall found, where it is thinner than the sizes say.
fn thinner(a: &Assembly) -> Option<Length> {
    let geometric = wall::under_root(a.insert.outer_diameter, a.thread.basic.major);
    a.damage
        .as_ref()
        .and_then(|d| d.wall_measured)
        .filter(|found| *found > mm(0.0) && *found < geometric)
}

/// The finding that leaves nothing but to refer it.
fn finding(a: &Assembly) -> Option<Finding> {
    let damage = a.damage.as_ref();
    if a.condition.no_crack == State::Failed {
        return Some(Finding::Crack);
    }
    if damage
        .and_then(|d| d.wall_measured)
        .is_some_and(|w| w <= mm(0.0))
    {
        return Some(Finding::LaminateExposed);
    }
    let cause_known = damage.and_then(|d| d.cause_known) == Some(true);
    (a.condition.not_moved == State::Failed && !cause_known).then_some(Finding::MovedCauseUnknown)
}

/// A thread to cut instead, by its name: the job's own row, a row of the table, a standard's name.
fn candidate(
    document: &Document,
    side: &Side,
    group: Option<&'static str>,
    name: &str,
) -> Option<Larger> {
    let a = &side.assembly;
    let row = match group {
        Some(group) => tables::THREADS.row(group, name),
        None if !document.below(&format!("threads.{name}.")).is_empty() => None,
        None => tables::THREADS
            .row("threads", name)
            .or_else(|| tables::THREADS.row("metric", name)),
    };
    let named = designation::by_name_in(document, name).ok()?;
    let new = &named.basic;
    let old_groove = wall::old_groove(a.thread.basic.major, new.internal_minor, new.major);
    let word = row.and_then(|row| {
        row.text(match side.name {
            SideName::Drive => "drive_hand",
            SideName::NonDrive => "other_hand",
        })
    });
    Some(Larger {
        name: name.to_string(),
        group: row.map(|r| r.group),
        named,
        hand: if word == Some("left") && a.purpose == Use::CrankHousing {
            Hand::Left
        } else {
            Hand::Right
        },
        old_groove,
    })
}

/// Is this a coarse thread of the metric series?
fn coarse(thread: &crate::mechanics::thread::Basic) -> bool {
    tables::THREADS.rows().into_iter().any(|row| {
        row.group == "coarse"
            && designation::by_name(row.name).is_ok_and(|named| named.basic == *thread)
    })
}

/// The next larger thread of the table, or of the job's own rows, that clears the old one.
fn larger(document: &Document, side: &Side) -> Option<Larger> {
    let old = &side.assembly.thread.basic;
    let boss = side.assembly.purpose == Use::Boss;
    let allowed = row_number("repair.retap.old_groove");
    let own = document
        .names_below("threads")
        .into_iter()
        .map(|name| (None, name));
    let built_in = tables::THREADS.rows().into_iter().filter_map(|row| {
        // The rows by name are threads of cranks and pedals: no screw for a boss has them.
        let usual = row.text("choice") != Some("second") && !(boss && row.group == "threads");
        usual.then_some((Some(row.group), row.name))
    });
    let mut found: Vec<Larger> = own
        .chain(built_in)
        .filter_map(|(group, name)| candidate(document, side, group, name))
        .filter(|l| l.named.basic.major > old.major && l.old_groove.value <= allowed)
        .collect();
    // The smallest that does; of equal ones a coarse one for a coarse one, then the nearest pitch.
    let off = |l: &Larger| si((l.named.basic.pitch - old.pitch).abs());
    let was_coarse = coarse(old);
    let other_series = |l: &Larger| was_coarse && !coarse(&l.named.basic);
    found.sort_by(|x, y| {
        si(x.named.basic.major)
            .total_cmp(&si(y.named.basic.major))
            .then(other_series(x).cmp(&other_series(y)))
            .then(off(x).total_cmp(&off(y)))
    });
    found.into_iter().next()
}

/// All routes of every side.
pub fn repairs(document: &Document, job: &Job) -> Vec<Repairs> {
    job.sides
        .iter()
        .enumerate()
        .map(|(index, side)| {
            of_side(&Bench {
                document,
                job,
                index,
                side,
            })
        })
        .collect()
}

fn of_side(bench: &Bench<'_>) -> Repairs {
    let a = &bench.side.assembly;
    let finding = finding(a);
    let as_found = bench.judge(&bench.damaged()).ok();
    // Damage of the thread does not change what the old glue stands: where none engages, the job as stated says it.
    let removal_of = |judged: &Judged| {
        let mut undoing = Undoing::of(&judged.side()?.assembly, &judged.assessment)?;
        // A finding forbids figures, as a precondition does.
        if finding.is_some() {
            undoing.stop = Err(Withheld::Refused);
        }
        Some(Removal {
            undoing,
            lets_go: judged.assessment.evaluation.glue.ductile_torque,
        })
    };
    let removal = as_found.as_ref().and_then(removal_of).or_else(|| {
        let mut plan = Plan::default();
        bench.fresh_thread(&mut plan);
        removal_of(&bench.judge(&plan).ok()?)
    });
    let mut repairs = Repairs {
        side: bench.side.clone(),
        finding,
        as_found,
        turns_lost: turns_lost(a),
        unknown: [
            ("insert.material", a.insert.material.unknown),
            ("frame.material", a.frame.material.unknown),
            ("fitting.material", a.fitting.material.unknown),
            ("bond.adhesive", a.bond.adhesive.unknown),
            ("bond.preparation", a.bond.preparation_unknown),
            ("bond.voids", a.bond.voids_unknown),
        ]
        .into_iter()
        .filter_map(|(key, unknown)| unknown.then_some(key))
        .collect(),
        wall_row: (!bench.says("need.wall")).then(|| wall_row(a.insert.material.steel)),
        removal,
        routes: Vec::new(),
        suggested: None,
    };
    // A crack leaves one route; other findings show what they rule out.
    if finding != Some(Finding::Crack) {
        for kind in Kind::BUILT_IN {
            repairs.routes.push(built_in(bench, kind, &repairs));
        }
        for own in &bench.job.routes {
            let taken = Kind::BUILT_IN
                .iter()
                .chain(&[Kind::Refer])
                .map(|k| k.name())
                .chain(["any", BUSHING_JOINT])
                .any(|name| tables::fold(name) == tables::fold(&own.name));
            if !taken {
                repairs.routes.push(of_own(bench, own, &repairs));
            }
        }
    }
    let mut refer = blank(bench, Kind::Refer);
    refer.cost = cost(bench, Kind::Refer, bench.own(Kind::Refer));
    repairs.suggested = repairs
        .routes
        .iter()
        .position(|r| r.feasible() && matches!(r.verdict(), Verdict::Meets | Verdict::Marginal));
    repairs.routes.push(refer);
    repairs
}

fn blank(bench: &Bench<'_>, kind: Kind) -> Route {
    let hand = bench.side.assembly.thread.hand;
    Route {
        kind,
        name: kind.name().to_string(),
        why_not: None,
        judged: None,
        changes: Vec::new(),
        confirm: Vec::new(),
        larger: None,
        wall: None,
        joint: None,
        hands: (hand, hand),
        cost: Cost::default(),
        remarks: Vec::new(),
    }
}

fn cost(bench: &Bench<'_>, kind: Kind, own: Option<&OwnRoute>) -> Cost {
    let any = bench
        .job
        .routes
        .iter()
        .find(|r| tables::fold(&r.name) == "any");
    let built_in = kind.hours_row().map(row_number);
    let stated = own.and_then(|r| r.hours);
    let hours = stated.or(built_in);
    let rate = own.and_then(|r| r.rate).or(any.and_then(|r| r.rate));
    let parts = own.and_then(|r| r.parts);
    let price = own
        .and_then(|r| r.price)
        .or(hours.zip(rate).map(|(h, r)| h * r + parts.unwrap_or(0.0)));
    Cost {
        hours,
        hours_built_in: stated.is_none() && built_in.is_some(),
        price,
    }
}

fn of_own(bench: &Bench<'_>, own: &OwnRoute, repairs: &Repairs) -> Route {
    let mut route = blank(bench, Kind::Own);
    route.name.clone_from(&own.name);
    route.cost = cost(bench, Kind::Own, Some(own));
    if let Some(finding) = repairs.finding {
        route.why_not = Some(WhyNot::Finding(finding));
        return route;
    }
    let said = |key: &str| {
        own.set
            .iter()
            .find(|(k, _)| k == key)
            .map(|(_, v)| v.trim())
    };
    let mut plan = bench.damaged();
    // Another thread, or one with no turn damaged, is a new one: the old one's wear is gone with it.
    match said("thread.designation")
        .and_then(|name| candidate(bench.document, bench.side, None, name))
    {
        Some(new) => bench.other_thread(&mut plan, &new),
        None if said("thread.damaged_turns") == Some("0") => bench.fresh_thread(&mut plan),
        None => {}
    }
    take(bench, &mut route, plan, &own.set);
    found_on_the_way(bench, &mut route, repairs);
    route
}

/// The plan of a built-in route, or why there is none; `route` takes what is found on the way.
fn plan(
    bench: &Bench<'_>,
    kind: Kind,
    repairs: &Repairs,
    own: &[(String, String)],
    route: &mut Route,
) -> Result<Plan, WhyNot> {
    let a = &bench.side.assembly;
    let moved = a.condition.not_moved == State::Failed;
    if kind.keeps_bond() && moved {
        return Err(WhyNot::Moved);
    }
    let falls_short = |id: CheckId| {
        let found = repairs.as_found.as_ref();
        found.is_some_and(|j| {
            j.assessment.checks[id.index()].is_some_and(|c| c.verdict == Verdict::FallsShort)
        })
    };
    let mut plan = Plan::default();
    plan.confirm(&["face_clean"]);
    match kind {
        Kind::CleanAndChase => {
            plan = bench.damaged();
            plan.confirm(&["face_clean", "thread_starts_by_hand"]);
            route.remarks.push(Remark::RestoresNothing);
        }
        Kind::Retap => {
            let new = match own.iter().find(|(key, _)| key == "thread.designation") {
                Some((_, name)) => candidate(bench.document, bench.side, None, name),
                None => larger(bench.document, bench.side),
            }
            .ok_or(WhyNot::NoLargerThread)?;
            let left = wall::under_root(bench.old_outer(), new.named.basic.major);
            bench.other_thread(&mut plan, &new);
            let hand = match new.hand {
                Hand::Left => "left",
                Hand::Right => "right",
            };
            plan.set("thread.hand", hand);
            plan.confirm(&["thread_starts_by_hand"]);
            route.hands.1 = new.hand;
            route.remarks.push(Remark::OtherFitting);
            route.remarks.push(Remark::CutsOnGlue);
            if new.old_groove.value > 0.0 {
                route.remarks.push(Remark::OldGroove);
            }
            route.larger = Some(new);
            route.wall = Some(Wall {
                left,
                limit: a.need.wall,
                for_hoop: None,
                bore: None,
            });
            route.changes.clone_from(&plan.changes);
            if left <= mm(0.0) {
                return Err(WhyNot::CutsThrough(left));
            }
            if left < a.need.wall {
                return Err(WhyNot::Wall(left, a.need.wall));
            }
        }
        Kind::Bushing => {
            let bushing =
                wall::outer_of_wall(a.thread.basic.major, row_length("repair.bushing.wall"));
            let bore = wall::outer_of_wall(bushing, row_length("repair.bushing.gap"));
            let left = wall::under_root(bench.old_outer(), bore);
            route.wall = Some(Wall {
                left,
                limit: a.need.wall,
                for_hoop: None,
                bore: Some(bore),
            });
            if left <= mm(0.0) {
                return Err(WhyNot::BushingRoom(bench.old_outer(), bore));
            }
            if left < a.need.wall {
                return Err(WhyNot::BushingWall(left, a.need.wall));
            }
            bench.wall_found(&mut plan);
            bench.fresh_thread(&mut plan);
            plan.confirm(&["thread_starts_by_hand"]);
            route.joint = bench.joint(bushing);
            route.remarks.push(Remark::CutsOnGlue);
            route.remarks.push(match route.joint {
                Some(_) => Remark::BushingJoint,
                None => Remark::JointOpen,
            });
        }
        Kind::Rebond => {
            let doubtful = repairs.as_found.as_ref().is_some_and(|j| {
                j.assessment.checks.iter().flatten().any(|c| {
                    c.id.is_bond() && matches!(c.verdict, Verdict::FallsShort | Verdict::NotJudged)
                })
            });
            if a.condition.not_moved == State::Confirmed && !doubtful {
                return Err(WhyNot::BondHolds);
            }
            plan = bench.damaged();
            bench.fresh_bond(&mut plan, falls_short(CheckId::Galvanic));
            plan.confirm(&GLUED_ANEW);
            route.remarks.push(Remark::RestoresNothing);
            route.remarks.push(Remark::InsertOut);
            route.remarks.push(Remark::BondPlanned);
        }
        Kind::NewInsert => {
            bench.fresh_thread(&mut plan);
            bench.fresh_bond(&mut plan, falls_short(CheckId::Galvanic));
            if a.insert.material.unknown {
                plan.set("insert.material", row_text("repair.insert.material"));
            }
            // Its face is cut true before anything bears on it; the old readings are those of the old face.
            if !a.seat.gaps.is_empty() {
                plan.drop("seat.gap");
                route.remarks.push(Remark::FaceTrue);
            }
            plan.confirm(&["thread_starts_by_hand", "not_moved", "prepared", "cured"]);
            route.remarks.push(Remark::InsertOut);
            route.remarks.push(Remark::BondPlanned);
        }
        Kind::OtherStandard | Kind::Own | Kind::Refer => {}
    }
    Ok(plan)
}

fn built_in(bench: &Bench<'_>, kind: Kind, repairs: &Repairs) -> Route {
    let mut route = blank(bench, kind);
    let own = bench.own(kind);
    route.cost = cost(bench, kind, own);
    if let Some(finding) = repairs.finding {
        route.why_not = Some(WhyNot::Finding(finding));
        return route;
    }
    let own_set = own.map_or(&[][..], |o| &o.set);
    match plan(bench, kind, repairs, own_set, &mut route) {
        Ok(_) if kind == Kind::OtherStandard => {
            if bench.side.assembly.purpose == Use::Boss {
                route.why_not = Some(WhyNot::NoOtherStandard);
            } else {
                // Bored plain, the insert keeps what stands under the root of its thread.
                route.wall = Some(Wall {
                    left: bench.old_wall(),
                    limit: bench.side.assembly.need.wall,
                    for_hoop: None,
                    bore: Some(bench.side.assembly.thread.basic.major),
                });
                route.remarks.push(Remark::NotModelled);
            }
        }
        Ok(plan) => take(bench, &mut route, plan, own_set),
        Err(why_not) => route.why_not = Some(why_not),
    }
    found_on_the_way(bench, &mut route, repairs);
    route
}

/// Cautions that hang on what was found and not on the route.
fn found_on_the_way(bench: &Bench<'_>, route: &mut Route, repairs: &Repairs) {
    if !route.feasible() {
        return;
    }
    let damage = bench.side.assembly.damage.as_ref();
    let over = repairs.removal.is_some_and(|r| r.undoing.over());
    for (condition, remark) in [
        (over && !route.takes_insert_out(), Remark::RemovalOverLimit),
        (
            damage.is_some_and(|d| d.cause_known != Some(true)),
            Remark::CauseUnknown,
        ),
        (damage.is_some_and(|d| d.corroded), Remark::Corroded),
    ] {
        if condition {
            route.remarks.push(remark);
        }
    }
}

/// Judges a plan and looks at what it leaves.
fn take(bench: &Bench<'_>, route: &mut Route, mut plan: Plan, own: &[(String, String)]) {
    bench.finish(&mut plan, own);
    route.changes.clone_from(&plan.changes);
    route.confirm.clone_from(&plan.confirm);
    route.confirm.sort_unstable();
    route.confirm.dedup();
    let judged = match bench.judge(&plan) {
        Ok(judged) => judged,
        Err(why_not) => {
            route.why_not = Some(why_not);
            return;
        }
    };
    let Some(side) = judged.side() else { return };
    let a = &side.assembly;
    let get = |id: &str| {
        values::find(id)
            .and_then(|v| (v.get)(a, &judged.assessment))
            .map(from_si)
    };
    if let Some(left) = get("insert.wall").filter(|_| route.kind != Kind::Bushing) {
        route.wall = Some(Wall {
            left,
            limit: a.need.wall,
            for_hoop: get("insert.wall_for_hoop"),
            bore: None,
        });
    }
    route.hands.1 = a.thread.hand;
    let engaged = judged.assessment.evaluation.geometry.engaged;
    if a.thread.sizes.internal_minor >= a.thread.sizes.external_major {
        route.why_not = Some(WhyNot::NoOverlap);
    } else if engaged <= mm(0.0) {
        route.why_not = Some(WhyNot::NothingEngaged);
    } else {
        let full: Ratio = engaged / (a.thread.engaged.nominal - a.thread.incomplete);
        let keeps_thread = route.remarks.contains(&Remark::RestoresNothing);
        let deepest = a.damage.as_ref().map_or(0.0, deepest_sector);
        let wall_short = route.wall.is_some_and(|w| w.left < w.limit);
        for (condition, remark) in [
            (
                keeps_thread && full.value < row_number("repair.chase.turns"),
                Remark::FewFullTurns,
            ),
            (
                keeps_thread && deepest > row_number("repair.chase.sector"),
                Remark::SectorBare,
            ),
            (wall_short, Remark::WallUnderLimit),
            (route.hands.0 != route.hands.1, Remark::HandLost),
            (
                route.kind == Kind::Retap && judged.job.sides.len() > 1,
                Remark::BothSides,
            ),
            (
                thinner(&bench.side.assembly).is_some() && route.kind != Kind::NewInsert,
                Remark::WallFound,
            ),
            (
                a.tightening.removal_torque.is_some()
                    && judged.assessment.checks[CheckId::BondRemoval.index()]
                        .is_some_and(|c| c.verdict != Verdict::Meets),
                Remark::RemovalAsBefore,
            ),
            (!route.confirm.is_empty(), Remark::ConfirmAfter),
        ] {
            if condition {
                route.remarks.push(remark);
            }
        }
    }
    route.judged = Some(judged);
}
