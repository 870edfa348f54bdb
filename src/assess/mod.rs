//! Assessment: from an assembly to checks, margins, a verdict and cautions. No text is made here.
//!
//! [`closed`] holds what needs no solver, [`check`] the checks, [`values`] every result with its id,
//! unit and explanation, [`caution`] the cautions and when they apply.

pub mod caution;
pub mod check;
pub mod closed;
pub mod values;

use crate::job::assembly::*;
use crate::mechanics::seat::{Bears, Ring};
use crate::mechanics::torque;
use crate::units::*;
use caution::Cautions;
use check::{Check, CheckId, Note, Notes, Reason, Sort, Verdict};
use closed::{Band, FittingStress, Geometry, Loads};

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
    /// Why nothing can be said.
    pub reason: Option<Reason>,
    /// Which case.
    pub case: u8,
    /// Remarks.
    pub notes: Notes,
}

impl Raw {
    /// A check with demand and capacity.
    pub fn of(demand: f64, capacity: f64) -> Raw {
        let ratio = if demand > 0.0 {
            capacity / demand
        } else {
            f64::INFINITY
        };
        Raw {
            demand,
            capacity,
            ratio,
            reason: None,
            case: 0,
            notes: Notes::default(),
        }
    }
    /// A check about which nothing can be said.
    pub fn missing(reason: Reason) -> Raw {
        Raw {
            demand: f64::NAN,
            capacity: f64::NAN,
            ratio: f64::NAN,
            reason: Some(reason),
            case: 0,
            notes: Notes::default(),
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
}

/// Nothing of the face lies under the flange.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("nothing of the face lies under the flange: the seat has no width")]
pub struct NoSeat;

/// Evaluates an assembly for one way of bearing.
///
/// # Errors
/// [`NoSeat`] where that way of bearing leaves no ring.
pub fn evaluate(assembly: &Assembly, bears: Bears) -> Result<Evaluation, NoSeat> {
    let ring = closed::ring(assembly, bears).ok_or(NoSeat)?;
    let geometry = closed::geometry(assembly);
    let band = closed::band(assembly, &ring, assembly.tightening.torque);
    let relaxation_share = closed::relaxation_share(assembly, &ring);
    let loss_relaxation = torque::relaxation_loss(band.low.preload, relaxation_share);
    let low = torque::preload_low(band.low.preload, loss_relaxation, from_si(0.0));
    let preloads = Preloads {
        band,
        relaxation_share,
        loss_relaxation,
        loss_embedding: None,
        low,
    };
    let fitting = closed::fitting_stress(assembly, &ring, &band.high);
    let (loads, _) = match assembly.cases.first() {
        Some(case) => closed::loads(assembly, case),
        None => return Err(NoSeat),
    };
    let lever_out = closed::lever_out(assembly, &ring, loads.moment);
    let mut evaluation = Evaluation {
        bears,
        geometry,
        ring,
        preloads,
        fitting,
        loads,
        lever_out,
        raw: [None; CheckId::COUNT],
    };
    closed_checks(assembly, &mut evaluation);
    Ok(evaluation)
}

/// The checks, as far as they need no solver.
fn closed_checks(assembly: &Assembly, e: &mut Evaluation) {
    let mut set = |id: CheckId, raw: Raw| e.raw[id.index()] = Some(raw);
    let coupled = || Raw::missing(Reason::CoupledModelMissing);
    let insert = &assembly.insert.material;
    let fit = &assembly.fitting.material;
    let g = &e.geometry;
    let shear_missing = if insert.shear_strength.is_none() {
        Reason::InsertShearMissing
    } else {
        Reason::FittingShearMissing
    };
    match &g.strip {
        Some(strip) => {
            set(
                CheckId::StripExternal,
                coupled().with_capacity(si(strip.external.capacity)),
            );
            set(
                CheckId::StripInternal,
                coupled().with_capacity(si(strip.internal.capacity)),
            );
            set(CheckId::Engagement, coupled());
        }
        None => {
            for id in [
                CheckId::StripExternal,
                CheckId::StripInternal,
                CheckId::Engagement,
            ] {
                set(id, Raw::missing(shear_missing));
            }
        }
    }
    set(
        CheckId::Hoop,
        g.hoop
            .map_or(Raw::missing(Reason::InsertYieldMissing), |f| {
                coupled().with_capacity(si(f))
            }),
    );
    let yield_strength = fit.yield_strength.map(si);
    for id in [CheckId::Neck, CheckId::Flange] {
        set(
            id,
            yield_strength.map_or(Raw::missing(Reason::FittingYieldMissing), |y| {
                coupled().with_capacity(y)
            }),
        );
    }
    for id in CheckId::ALL
        .into_iter()
        .filter(|id| id.is_bond() || id.is_seat())
    {
        if id != CheckId::BondSustained || e.ring.share.value < 1.0 {
            set(id, coupled());
        }
    }
    if let Some(raw) = maker(assembly) {
        set(CheckId::TorqueMaker, raw);
    }
    if let Some(raw) = galvanic(assembly, g) {
        set(CheckId::Galvanic, raw);
    }
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

/// Difference of anodic index against the limit of the environment.
fn galvanic(assembly: &Assembly, g: &Geometry) -> Option<Raw> {
    let limit = si(assembly.bond.galvanic_limit);
    if assembly.bond.isolated {
        let mut raw = Raw::of(f64::NAN, limit).note(Note::Isolated);
        raw.ratio = f64::INFINITY;
        return Some(raw);
    }
    match g.galvanic {
        Some(difference) => Some(Raw::of(si(difference), limit)),
        // A wall without an index, such as a glass laminate, does not conduct: there is no pair.
        None if assembly.frame.material.laminate
            && assembly.frame.material.anodic_index.is_none() =>
        {
            None
        }
        None => Some(Raw::missing(Reason::AnodicIndexMissing).with_capacity(limit)),
    }
}

/// The ratio required of a check.
pub fn need(assembly: &Assembly, id: CheckId) -> f64 {
    let n = &assembly.need;
    match id {
        CheckId::StripExternal | CheckId::StripInternal => n.strip.value,
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
fn unknown(assembly: &Assembly, ring: &Ring, id: CheckId) -> Option<Reason> {
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
            ring.insert.and(insert).or(ring.frame.and(frame))
        }
        CheckId::SeatOpen | CheckId::SeatSlip => (ring.insert.is_some() && ring.frame.is_some())
            .then_some(insert.or(frame))
            .flatten(),
        CheckId::Galvanic => (!a.bond.isolated).then_some(insert.or(frame)).flatten(),
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

/// From a raw result to a judged check.
fn judge(assembly: &Assembly, ring: &Ring, id: CheckId, raw: &Raw) -> Check {
    let need = need(assembly, id);
    let mut check = Check {
        id,
        demand: raw.demand,
        capacity: raw.capacity,
        ratio: raw.ratio,
        need,
        verdict: Verdict::NotJudged,
        reason: raw.reason,
        case: raw.case,
        notes: raw.notes,
    };
    if raw.reason.is_none() && !raw.ratio.is_nan() {
        check.verdict = Verdict::of_margin(check.margin());
        if id == CheckId::TorqueMaker && check.verdict == Verdict::Marginal {
            check.verdict = Verdict::Meets;
        }
        let demanded = raw.demand > 0.0;
        if let (Some(reason), true) = (unknown(assembly, ring, id), demanded)
            && check.verdict != Verdict::FallsShort
        {
            check.verdict = Verdict::NotJudged;
            check.reason = Some(reason);
            check.notes.add(Note::RestsOnUnknown);
        }
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
/// # Errors
/// [`NoSeat`] where the stated way of bearing leaves no ring.
pub fn assess(assembly: &Assembly) -> Result<Assessment, NoSeat> {
    let evaluation = evaluate(assembly, closed::stated_bearing(assembly))?;
    let checks: [Option<Check>; CheckId::COUNT] = std::array::from_fn(|i| {
        evaluation.raw[i]
            .as_ref()
            .map(|raw| judge(assembly, &evaluation.ring, CheckId::ALL[i], raw))
    });
    let governing = governing(&checks);
    let verdict = overall(assembly, &checks);
    let cautions = caution::applying(assembly, &evaluation, &checks);
    Ok(Assessment {
        evaluation,
        checks,
        verdict,
        governing,
        cautions,
    })
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
    let lowers = |c: &Check| match c.verdict {
        Verdict::Marginal => true,
        Verdict::FallsShort => c.id.sort() == Sort::Serviceability,
        _ => false,
    };
    let informs = |c: &Check| c.id == CheckId::SeatSlip && assembly.purpose == Use::CrankHousing;
    if checks.iter().flatten().any(|c| lowers(c) && !informs(c)) {
        Verdict::Marginal
    } else {
        Verdict::Meets
    }
}
