//! Assessment: from an assembly to checks, margins, a verdict and cautions. No text is made here.
//!
//! [`closed`] holds what needs no solver, [`check`] the checks, [`values`] every result with its id,
//! unit and explanation, [`caution`] the cautions and when they apply; [`seat_report`] and [`spindle`] judge
//! what was measured at the bench.

pub mod basis;
pub mod bond;
pub mod cause;
pub mod caution;
pub mod check;
pub mod closed;
pub mod compare;
pub mod coupled;
pub mod identify;
pub mod parent;
pub mod repair;
pub mod root;
pub mod scatter;
pub mod seat_report;
pub mod spindle;
pub mod undo;
pub mod values;
pub mod window;
pub mod wrench;

use crate::job::assembly::*;
use crate::mechanics::seat::{Bears, Ring};
use crate::mechanics::torque;
use crate::units::*;
use caution::Cautions;
use check::{Check, CheckId, Note, Notes, Reason, Sort, Verdict};
use closed::{Band, FittingStress, Geometry, GlueStatics, Loads};
use coupled::{Coupled, Ends, Model};

/// The preload band with its losses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Preloads {
    /// Torque and preload at nominal, high and low, before any loss.
    pub band: Band,
    /// Share lost by relaxation.
    pub relaxation_share: Ratio,
    /// Lost by relaxation at low.
    pub loss_relaxation: Force,
    /// Lost by embedding at low, where the joint's stiffness is known.
    pub loss_embedding: Option<Force>,
    /// Preload low, after the larger loss.
    pub low: Force,
}

/// Everything about one assembly for one way of bearing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Evaluation {
    /// How the flange bears.
    pub bears: Bears,
    /// Geometry and capacities.
    pub geometry: Geometry,
    /// The ring that bears.
    pub ring: Ring,
    /// Preloads.
    pub preloads: Preloads,
    /// Stresses in the fitting at preload high.
    pub fitting: FittingStress,
    /// Loads of the job's own case, the pedal with the larger reaction.
    pub loads: Loads,
    /// Pull and line load if the clamp is lost.
    pub lever_out: (Force, LineLoad),
    /// Stresses and capacities of the glue that depend on neither torque nor loads.
    pub glue: GlueStatics,
    /// Results of the coupled model; nothing without an engaged turn.
    pub coupled: Option<Coupled>,
    /// The results of the checks before preconditions and unknowns are looked at.
    pub raw: [Option<Raw>; CheckId::COUNT],
}

/// A check's demand and capacity, SI base units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Raw {
    /// Demand; not a number where there is none.
    pub demand: f64,
    /// Capacity.
    pub capacity: f64,
    /// Capacity over demand.
    pub ratio: f64,
    /// The ratio that the verdict is taken from; below `ratio` where a model is known to flatter.
    pub for_verdict: f64,
    /// Why nothing can be said.
    pub reason: Option<Reason>,
    /// Why nothing better than "not judged" can be said, although there is a ratio.
    pub at_best: Option<Reason>,
    /// Which case.
    pub case: u16,
    /// Remarks.
    pub notes: Notes,
}

impl Raw {
    /// A check with demand and capacity; a demand that is not a number says nothing, and never "no demand".
    pub fn of(demand: f64, capacity: f64) -> Raw {
        if demand.is_nan() {
            return Raw::missing(Reason::NotConverged);
        }
        let ratio = if demand > 0.0 {
            capacity / demand
        } else {
            f64::INFINITY
        };
        Raw {
            demand,
            capacity,
            ratio,
            for_verdict: ratio,
            reason: None,
            at_best: None,
            case: 0,
            notes: Notes::default(),
        }
    }
    /// A check without any demand, which meets.
    pub fn nothing(capacity: f64) -> Raw {
        Raw {
            demand: f64::NAN,
            ..Raw::of(0.0, capacity)
        }
    }
    /// A check about which nothing can be said.
    pub fn missing(reason: Reason) -> Raw {
        let nan = f64::NAN;
        Raw {
            demand: nan,
            capacity: nan,
            ratio: nan,
            for_verdict: nan,
            reason: Some(reason),
            ..Raw::of(0.0, 0.0)
        }
    }
    /// The same with a capacity that is known all the same.
    pub fn with_capacity(mut self, capacity: f64) -> Raw {
        self.capacity = capacity;
        self
    }
    /// The same with a remark.
    pub fn note(mut self, note: Note) -> Raw {
        self.notes.add(note);
        self
    }
    /// The same with a verdict taken from a lower ratio.
    pub fn divided(mut self, factor: f64) -> Raw {
        self.for_verdict = self.ratio / factor;
        self
    }
    /// The same with "not judged" as the best that can be said.
    pub fn at_best(mut self, reason: Reason) -> Raw {
        self.at_best = Some(reason);
        self
    }
    /// How much a result weighs against others of the same check: short of `need`, then not known.
    fn weight(&self, need: f64) -> (u8, f64) {
        if self.reason.is_some() {
            (1, 0.0)
        } else if self.for_verdict < need {
            (2, -self.for_verdict)
        } else {
            (0, -self.for_verdict)
        }
    }
    /// Does this result weigh more than another?
    pub fn outweighs(&self, other: &Raw, need: f64) -> bool {
        let (a, b) = (self.weight(need), other.weight(need));
        a.0 > b.0 || (a.0 == b.0 && (a.1 > b.1 || (other.demand.is_nan() && !self.demand.is_nan())))
    }
}

/// The result for one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Assessment {
    /// The stated way of bearing.
    pub evaluation: Evaluation,
    /// The checks that apply.
    pub checks: [Option<Check>; CheckId::COUNT],
    /// Overall verdict.
    pub verdict: Verdict,
    /// The strength check with the lowest margin.
    pub governing: Option<CheckId>,
    /// Cautions that apply.
    pub cautions: Cautions,
    /// The job's own wrench at the job's own torque.
    pub wrench: wrench::Use,
}

impl Assessment {
    /// The check that the verdict is taken from; nothing where a precondition decides.
    pub fn deciding(&self, assembly: &Assembly) -> Option<&Check> {
        let decides = |c: &&Check| {
            !informs(assembly, c.id)
                && match self.verdict {
                    Verdict::Refused => false,
                    // A serviceability check lowers to marginal at most, the maker's torque excepted.
                    Verdict::Marginal => lowers(c),
                    verdict => {
                        c.verdict == verdict
                            && (c.id.sort() == Sort::Strength || c.id == CheckId::TorqueMaker)
                    }
                }
        };
        let first = |a: &&Check, b: &&Check| a.margin().total_cmp(&b.margin());
        // What the verdict's own ratio says comes before what another reading says.
        let candidates = || self.checks.iter().flatten().filter(decides);
        candidates()
            .filter(|c| c.decided_by().is_none())
            .min_by(first)
            .or_else(|| candidates().min_by(first))
    }
}

/// A side's assessment with its window, where that was asked for.
#[derive(Debug, Clone, Copy)]
pub struct Assessed {
    /// Checks and values.
    pub assessment: Assessment,
    /// The window of torques.
    pub window: Option<window::Window>,
}

impl Assessed {
    /// Assesses one side, its window included.
    ///
    /// # Errors
    /// [`NoSeat`] where the stated way of bearing leaves no ring.
    pub fn of(assembly: &Assembly) -> Result<Assessed, NoSeat> {
        let assessment = assess(assembly)?;
        let window = window::window(assembly, &assessment.checks)?;
        Ok(Assessed {
            assessment,
            window: Some(window),
        })
    }
}

/// Nothing of the face lies under the flange.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("nothing of the face lies under the flange: the seat has no width")]
pub struct NoSeat;

/// Evaluates an assembly for one way of bearing; `stiffness_factor` multiplies the seat's stiffness.
///
/// # Errors
/// [`NoSeat`] where that way of bearing leaves no ring.
pub fn evaluate(
    assembly: &Assembly,
    bears: Bears,
    stiffness_factor: f64,
) -> Result<Evaluation, NoSeat> {
    let ring = closed::ring(assembly, bears).ok_or(NoSeat)?;
    let geometry = closed::geometry(assembly);
    let preloads = before_settling(assembly, &ring, assembly.tightening.torque);
    let first = assembly.cases.first().ok_or(NoSeat)?;
    let (loads, _) = closed::loads(assembly, first);
    let mut evaluation = Evaluation {
        bears,
        geometry,
        ring,
        preloads,
        fitting: closed::fitting_stress(assembly, &ring, &preloads.band.high),
        loads,
        lever_out: closed::lever_out(assembly, &ring, loads.moment),
        glue: closed::glue_statics(assembly, geometry.bond_radius),
        coupled: None,
        raw: [None; CheckId::COUNT],
    };
    match &Model::new(assembly, &geometry, &ring, stiffness_factor) {
        Ok(model) => {
            evaluation.preloads = coupled::with_embedding(
                assembly,
                &preloads,
                model.thread_stiffness,
                model.seat_stiffness,
            );
            let states = model.states(&evaluation.preloads, Ends::Both);
            evaluation.coupled = Some(states.values);
            evaluation.raw = states.raw;
            not_known(assembly, &mut evaluation);
        }
        Err(reason) => without_model(assembly, &mut evaluation, *reason),
    }
    if let Some(raw) = maker(assembly) {
        evaluation.raw[CheckId::TorqueMaker.index()] = Some(raw);
    }
    if let Some(raw) = galvanic(assembly, &evaluation.geometry) {
        evaluation.raw[CheckId::Galvanic.index()] = Some(raw);
    }
    // Neither needs the coupled model, so what that said about them does not count.
    for (id, raw) in parent::checks(assembly, &ring, preloads.band.high.preload) {
        evaluation.raw[id.index()] = raw;
    }
    Ok(evaluation)
}

/// The preload band of a torque with the relaxation loss alone.
fn before_settling(assembly: &Assembly, ring: &Ring, torque: Spread<Torque>) -> Preloads {
    let band = closed::band(assembly, ring, torque);
    let relaxation_share = closed::relaxation_share(assembly, ring);
    let loss_relaxation = torque::relaxation_loss(band.low.preload, relaxation_share);
    let low = torque::preload_low(band.low.preload, loss_relaxation, from_si(0.0));
    Preloads {
        band,
        relaxation_share,
        loss_relaxation,
        loss_embedding: None,
        low,
    }
}

/// Checks whose strength no row gives.
fn not_known(assembly: &Assembly, e: &mut Evaluation) {
    let (insert, fit) = (&assembly.insert.material, &assembly.fitting.material);
    let mut missing = |id: CheckId, reason: Reason| {
        if e.raw[id.index()].is_none() {
            e.raw[id.index()] = Some(Raw::missing(reason));
        }
    };
    let shear = if insert.shear_strength.is_none() {
        Reason::InsertShearMissing
    } else {
        Reason::FittingShearMissing
    };
    for id in [
        CheckId::StripExternal,
        CheckId::StripInternal,
        CheckId::Engagement,
    ] {
        missing(id, shear);
    }
    missing(CheckId::Hoop, Reason::InsertYieldMissing);
    if fit.yield_strength.is_none() {
        missing(CheckId::Neck, Reason::FittingYieldMissing);
        missing(CheckId::Flange, Reason::FittingYieldMissing);
    }
}

/// Without an engaged turn the threads hold nothing, and what needs the ladder is not judged.
fn without_model(assembly: &Assembly, e: &mut Evaluation, reason: Reason) {
    let preload = si(e.preloads.band.high.preload);
    for id in CheckId::ALL {
        let raw = match id {
            CheckId::TorqueMaker | CheckId::Galvanic => continue,
            CheckId::BondSustained if e.ring.share.value >= 1.0 => continue,
            CheckId::StripExternal | CheckId::StripInternal | CheckId::Hoop
                if reason == Reason::NoEngagement =>
            {
                Raw::of(preload, 0.0)
            }
            CheckId::Engagement if reason == Reason::NoEngagement => Raw {
                ratio: 0.0,
                for_verdict: 0.0,
                ..Raw::nothing(0.0)
            },
            _ => Raw::missing(reason),
        };
        e.raw[id.index()] = Some(raw);
    }
    not_known(assembly, e);
}

/// The maker's range: (nominal, maximum) or (minimum, nominal), whichever gives the lesser ratio.
fn maker(assembly: &Assembly) -> Option<Raw> {
    let (low, high) = assembly.tightening.maker_torque?;
    let torque = si(assembly.tightening.torque.nominal);
    let (above, below) = (Raw::of(torque, si(high)), Raw::of(si(low), torque));
    Some(if below.ratio < above.ratio {
        below
    } else {
        above
    })
}

/// Difference of anodic index against the limit of the environment; nothing where a part does not conduct,
/// which makes no pair.
fn galvanic(assembly: &Assembly, g: &Geometry) -> Option<Raw> {
    let limit = si(assembly.bond.galvanic_limit);
    if assembly.bond.isolated {
        return Some(Raw::nothing(limit).note(Note::Isolated));
    }
    if !assembly.frame.material.conducts || !assembly.insert.material.conducts {
        return None;
    }
    Some(match g.galvanic {
        Some(difference) => Raw::of(si(difference), limit),
        None => Raw::missing(Reason::AnodicIndexMissing).with_capacity(limit),
    })
}

/// The ratio required of a check.
pub fn need(assembly: &Assembly, id: CheckId) -> f64 {
    let n = &assembly.need;
    match id {
        CheckId::StripExternal
        | CheckId::StripInternal
        | CheckId::FramePullThrough
        | CheckId::FrameEdge => n.strip.value,
        CheckId::Hoop => n.hoop.value,
        CheckId::Neck => n.neck.value,
        CheckId::Flange => n.flange.value,
        CheckId::BondTightening | CheckId::BondServiceCold | CheckId::BondServiceHot => {
            n.bond.value
        }
        CheckId::BondRemoval => n.removal.value,
        CheckId::BondEndurance | CheckId::BondSustained => n.bond_endurance.value,
        CheckId::SeatCrush => n.crush.value,
        CheckId::SeatOpen => n.seat_open.value,
        CheckId::SeatSlip => n.slip.value,
        CheckId::TorqueMaker | CheckId::Galvanic | CheckId::Engagement => 1.0,
    }
}

/// What a check rests on that nobody knows, the most telling first.
pub fn unknown(assembly: &Assembly, ring: &Ring, id: CheckId) -> Option<Reason> {
    let a = assembly;
    let insert = a
        .insert
        .material
        .unknown
        .then_some(Reason::InsertMaterialUnknown);
    let frame = a
        .frame
        .material
        .unknown
        .then_some(Reason::FrameMaterialUnknown);
    let fit = a
        .fitting
        .material
        .unknown
        .then_some(Reason::FittingMaterialUnknown);
    match id {
        CheckId::StripExternal | CheckId::StripInternal | CheckId::Engagement => insert.or(fit),
        CheckId::Hoop => insert,
        CheckId::Neck | CheckId::Flange => fit,
        CheckId::SeatCrush => {
            if a.seat.face_strength.is_some() {
                return None;
            }
            let part = a
                .clamped
                .is_some_and(|c| c.material.unknown)
                .then_some(Reason::ClampedMaterialUnknown);
            ring.insert.and(insert).or(ring.frame.and(frame)).or(part)
        }
        // A softer part loses less preload as the faces settle, so the weakest row is not the weakest here.
        CheckId::SeatOpen | CheckId::SeatSlip => {
            insert
                .or(fit)
                .or(ring.frame.is_some().then_some(frame).flatten())
        }
        CheckId::Galvanic => (!a.bond.isolated).then_some(insert.or(frame)).flatten(),
        CheckId::FramePullThrough | CheckId::FrameEdge => frame,
        CheckId::TorqueMaker => None,
        _ => a
            .bond
            .adhesive
            .unknown
            .then_some(Reason::AdhesiveUnknown)
            .or(a
                .bond
                .preparation_unknown
                .then_some(Reason::PreparationUnknown))
            .or(a.bond.voids_unknown.then_some(Reason::VoidsUnknown))
            .or(a.bond.cure_unknown.then_some(Reason::CureUnknown))
            .or(insert)
            .or(frame),
    }
}

/// The precondition that a check stands on.
fn precondition(condition: &Condition, id: CheckId) -> (State, Reason) {
    if id.is_bond() {
        if condition.cured == State::Failed || condition.prepared == State::Confirmed {
            (condition.cured, Reason::CuredUnknown)
        } else {
            (condition.prepared, Reason::PreparedUnknown)
        }
    } else if id.is_seat() {
        (condition.face_clean, Reason::FaceCleanUnknown)
    } else if id.is_strip() {
        (condition.thread_starts_by_hand, Reason::StartsByHandUnknown)
    } else {
        (State::Confirmed, Reason::NoLoad)
    }
}

/// What the adhesive's row and a thread locker leave open of a check of the glue; the figures stay as computed.
fn of_the_glue(a: &Assembly, id: CheckId) -> impl Iterator<Item = Note> {
    let locker =
        id == CheckId::BondRemoval && a.tightening.locker && a.tightening.removal_torque.is_none();
    let band = id.is_bond() && bond::layer_out_of_band(a);
    let wall = id.is_bond() && bond::no_cure_on_wall(a);
    [
        (locker, Note::LockerCured),
        (band, Note::OutsideBand),
        (wall, Note::NoCureOnWall),
    ]
    .into_iter()
    .filter_map(|(applies, note)| applies.then_some(note))
}

/// From a raw result to a judged check.
fn judge(assembly: &Assembly, ring: &Ring, id: CheckId, raw: &Raw) -> Check {
    let need = need(assembly, id);
    let mut check = Check {
        id,
        demand: raw.demand,
        capacity: raw.capacity,
        ratio: raw.ratio,
        need,
        divided_by: (raw.for_verdict < raw.ratio).then(|| raw.ratio / raw.for_verdict),
        verdict: Verdict::NotJudged,
        reason: raw.reason,
        case: raw.case,
        notes: raw.notes,
    };
    if raw.reason.is_none() && !raw.ratio.is_nan() {
        check.verdict = Verdict::of_margin(raw.for_verdict / need - 1.0);
        if let (Some(reason), true) = (raw.at_best, check.verdict != Verdict::FallsShort) {
            check.verdict = Verdict::NotJudged;
            check.reason = Some(reason);
        }
        if id == CheckId::TorqueMaker && check.verdict == Verdict::Marginal {
            check.verdict = Verdict::Meets;
        }
        let demanded = raw.demand > 0.0;
        if let (Some(reason), true) = (unknown(assembly, ring, id), demanded) {
            check.notes.add(Note::RestsOnUnknown);
            if check.verdict != Verdict::FallsShort {
                check.verdict = Verdict::NotJudged;
                check.reason = Some(reason);
            }
        }
    }
    for note in of_the_glue(assembly, id) {
        check.notes.add(note);
    }
    match precondition(&assembly.condition, id) {
        (State::Failed, _) => {
            check.verdict = Verdict::FallsShort;
            check.notes.add(Note::PreconditionFailed);
        }
        (State::Unknown, reason) if check.verdict.rank() < Verdict::NotJudged.rank() => {
            check.verdict = Verdict::NotJudged;
            check.reason = Some(reason);
        }
        _ => {}
    }
    check
}

/// Assesses one side.
///
/// Where a micron or a stiffness without a source decides, the other readings are run as well; the ratios
/// stay those of the stated one, the verdicts are the worst.
///
/// # Errors
/// [`NoSeat`] where the stated way of bearing leaves no ring.
pub fn assess(assembly: &Assembly) -> Result<Assessment, NoSeat> {
    assess_with(assembly, None)
}

/// The same with the seat's stiffness multiplied by a factor that was drawn, in place of the other readings of it.
///
/// # Errors
/// As [`assess`].
pub fn assess_drawn(assembly: &Assembly, stiffness_factor: f64) -> Result<Assessment, NoSeat> {
    assess_with(assembly, Some(stiffness_factor))
}

fn assess_with(assembly: &Assembly, drawn: Option<f64>) -> Result<Assessment, NoSeat> {
    let stated = closed::stated_bearing(assembly);
    let factor = drawn.unwrap_or(1.0);
    let evaluation = evaluate(assembly, stated, factor)?;
    let mut checks = judged(assembly, &evaluation);
    for reading in readings(assembly, stated) {
        if drawn.is_some() && matches!(reading, Reading::Stiffness(_)) {
            continue;
        }
        // What falls short already cannot get worse.
        let open = |id: CheckId| {
            checks[id.index()].is_none_or(|c| c.verdict.rank() < Verdict::FallsShort.rank())
        };
        if let Some(other) = under(assembly, &evaluation, reading, factor, open) {
            worsen(&mut checks, &other, reading);
        }
    }
    let governing = governing(&checks);
    let verdict = overall(assembly, &checks);
    let cautions = caution::applying(assembly, &evaluation, &checks);
    Ok(Assessment {
        evaluation,
        checks,
        verdict,
        governing,
        cautions,
        wrench: wrench::Use::of(assembly, assembly.tightening.torque.nominal),
    })
}

/// Another reading of what is not known, under which the checks were judged as well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// Another way of bearing.
    Bearing(Bears),
    /// The seat's stiffness multiplied.
    Stiffness(f64),
}

impl Reading {
    /// Does it count for a check?
    ///
    /// What bears sets the seat's effective radius and so the preload of a torque, the arm that bends the flange, and
    /// what hangs on the wall: another way of bearing counts for every check, not for seat and glue alone.
    fn applies(self, id: CheckId) -> bool {
        match self {
            Reading::Bearing(_) => true,
            Reading::Stiffness(_) => matches!(id, CheckId::SeatCrush | CheckId::SeatOpen),
        }
    }
    /// The remark where it decides.
    fn note(self) -> Note {
        match self {
            Reading::Bearing(_) => Note::WorstBearing,
            Reading::Stiffness(_) => Note::WorstStiffness,
        }
    }
}

/// The other readings that the job leaves open.
pub fn readings(assembly: &Assembly, stated: Bears) -> impl Iterator<Item = Reading> {
    let bearings =
        closed::bearing_unproven(assembly).then_some([Bears::Insert, Bears::Both, Bears::Frame]);
    let factors = (!assembly.seat.gaps.is_empty()).then_some(SEAT_STIFFNESS_FACTORS);
    let other_bearings = bearings
        .into_iter()
        .flatten()
        .filter(move |b| *b != stated)
        .map(Reading::Bearing);
    other_bearings.chain(factors.into_iter().flatten().map(Reading::Stiffness))
}

/// The checks as judged under another reading, those that are `wanted` at least; nothing where it has none of
/// them. Another way of bearing takes the seat's stiffness times `stiffness_factor`.
pub fn under(
    assembly: &Assembly,
    stated: &Evaluation,
    reading: Reading,
    stiffness_factor: f64,
    wanted: impl Fn(CheckId) -> bool,
) -> Option<Checks> {
    CheckId::ALL
        .into_iter()
        .find(|id| reading.applies(*id) && wanted(*id))?;
    match reading {
        // A way of bearing that leaves no ring cannot happen.
        Reading::Bearing(bears) => evaluate(assembly, bears, stiffness_factor)
            .ok()
            .map(|other| judged(assembly, &other)),
        Reading::Stiffness(factor) => {
            let ends = Ends::Seat {
                crush: wanted(CheckId::SeatCrush),
                opening: wanted(CheckId::SeatOpen),
            };
            let mut other = *stated;
            other.raw = [None; CheckId::COUNT];
            if let Ok(model) = Model::new(assembly, &stated.geometry, &stated.ring, factor) {
                let preloads = coupled::with_embedding(
                    assembly,
                    &stated.preloads,
                    model.thread_stiffness,
                    model.seat_stiffness,
                );
                other.raw = model.states(&preloads, ends).raw;
            }
            Some(judged(assembly, &other))
        }
    }
}

/// The seat's stiffness has no source: with gaps, half and twice of it count as well (engineering basis 6).
pub const SEAT_STIFFNESS_FACTORS: [f64; 2] = [0.5, 2.0];

/// The checks of one side, each in its place.
pub type Checks = [Option<Check>; CheckId::COUNT];

fn judged(assembly: &Assembly, evaluation: &Evaluation) -> Checks {
    std::array::from_fn(|i| {
        evaluation.raw[i]
            .as_ref()
            .map(|raw| judge(assembly, &evaluation.ring, CheckId::ALL[i], raw))
    })
}

/// Takes the worse verdict of another reading over. A check that only the other reading has comes with its verdict
/// alone, since ratios are those of the stated one.
fn worsen(checks: &mut Checks, other: &Checks, reading: Reading) {
    for (check, other) in checks.iter_mut().zip(other) {
        let Some(other) = other else {
            continue;
        };
        let Some(check) = check else {
            if reading.applies(other.id) && other.verdict != Verdict::Meets {
                let nan = f64::NAN;
                let mut added = Check {
                    demand: nan,
                    capacity: nan,
                    ratio: nan,
                    ..*other
                };
                added.notes.add(reading.note());
                *check = Some(added);
            }
            continue;
        };
        if reading.applies(check.id) && other.verdict.rank() > check.verdict.rank() {
            check.verdict = other.verdict;
            check.reason = other.reason;
            // The reading that made it worst decides alone.
            check.notes.drop(Note::WorstBearing);
            check.notes.drop(Note::WorstStiffness);
            check.notes.add(reading.note());
        }
    }
}

/// The strength check with the lowest margin.
pub fn governing(checks: &[Option<Check>; CheckId::COUNT]) -> Option<CheckId> {
    checks
        .iter()
        .flatten()
        .filter(|c| c.id.sort() == Sort::Strength && c.margin().is_finite())
        .min_by(|a, b| a.margin().total_cmp(&b.margin()))
        .map(|c| c.id)
}

/// The precondition that forbids any judgement, if one has failed.
pub fn refusal(condition: &Condition) -> bool {
    [
        condition.no_crack,
        condition.not_moved,
        condition.no_crash,
        condition.unregulated_use,
    ]
    .contains(&State::Failed)
}

/// The overall verdict, in the agreed order.
pub fn overall(assembly: &Assembly, checks: &[Option<Check>; CheckId::COUNT]) -> Verdict {
    let condition = &assembly.condition;
    if refusal(condition) {
        return Verdict::Refused;
    }
    let strength = |v: Verdict| {
        checks
            .iter()
            .flatten()
            .any(|c| c.id.sort() == Sort::Strength && c.verdict == v)
    };
    let maker_short =
        checks[CheckId::TorqueMaker.index()].is_some_and(|c| c.verdict == Verdict::FallsShort);
    if strength(Verdict::FallsShort) || maker_short {
        return Verdict::FallsShort;
    }
    let gate = [
        condition.no_crack,
        condition.not_moved,
        condition.no_crash,
        condition.unregulated_use,
    ];
    if strength(Verdict::NotJudged) || gate.contains(&State::Unknown) {
        return Verdict::NotJudged;
    }
    if checks
        .iter()
        .flatten()
        .any(|c| lowers(c) && !informs(assembly, c.id))
    {
        Verdict::Marginal
    } else {
        Verdict::Meets
    }
}

/// Does a check lower a verdict to marginal?
fn lowers(c: &Check) -> bool {
    match c.verdict {
        Verdict::Marginal => true,
        Verdict::FallsShort => c.id.sort() == Sort::Serviceability,
        _ => false,
    }
}

/// A check that informs and decides nothing: some slip is to be expected in a crank housing.
pub fn informs(assembly: &Assembly, id: CheckId) -> bool {
    id == CheckId::SeatSlip && assembly.purpose == Use::CrankHousing
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Of two readings that make a check worse, the one that made it worst decides alone.
    #[test]
    fn the_worst_reading_decides_alone() {
        let of = |verdict| {
            let mut checks: Checks = [None; CheckId::COUNT];
            checks[CheckId::SeatOpen.index()] = Some(Check {
                id: CheckId::SeatOpen,
                demand: 1.0,
                capacity: 2.0,
                ratio: 2.0,
                need: 1.2,
                divided_by: None,
                verdict,
                reason: None,
                case: 0,
                notes: Notes::default(),
            });
            checks
        };
        let mut checks = of(Verdict::Meets);
        let bearing = Reading::Bearing(Bears::Frame);
        worsen(&mut checks, &of(Verdict::Marginal), bearing);
        worsen(
            &mut checks,
            &of(Verdict::FallsShort),
            Reading::Stiffness(0.5),
        );
        let decides = checks[CheckId::SeatOpen.index()].and_then(|c| c.decided_by());
        assert_eq!(decides, Some(check::Decider::Note(Note::WorstStiffness)));
    }
}
