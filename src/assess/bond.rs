//! Before gluing: gap, size to turn, mix, cure, proof loads and a coupon, from an assembly and its assessment.
//!
//! Decisions of this model, none of which has a source of its own:
//! - Without beads or a stated `bond.eccentricity` the insert may touch on one side; the gap is then judged
//!   twice, on centre and at its worst.
//! - A stated `bond.thickness` is glue alone; a bore, given or read, is measured before `bond.ply` goes in.
//! - Service demand of the proof torque: the removal torque as judged, or the torque in service where that is
//!   more. Of the proof pull: the net axial force through the glue in service, preload and outward load in it.
//! - An adhesive that nobody knows gives no band, ratio, time or coupon: its row holds placeholders for checks.
//! - A proof load goes in through a solid plug of the insert's thread, in the fitting's material, tightened against
//!   the insert's own end; thread, insert and plug keep under it what the job requires of them, else there is none.
//! - Good glue: this job's row and preparation, fresh, at 20 °C. Weak glue: both rows `unknown`, fresh.

use super::check::{CheckId, Verdict};
use super::coupled::Model;
use super::values::{Method, Origin, Put, Value, glue_inputs, put};
use super::{Assessment, closed, need};
use crate::job::assembly::*;
use crate::job::bench::{BoreReading, Mix, mean};
use crate::mechanics::seat::Bears;
use crate::mechanics::{bench, bond, fitting, torque};
use crate::units::*;

/// How a gap stands to the adhesive's band.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fit {
    /// Too thin somewhere.
    Starved,
    /// Inside everywhere.
    InBand,
    /// Too thick somewhere, and nowhere too thin.
    Thick,
    /// The adhesive's row gives no band.
    NoBand,
}

impl Fit {
    /// The agreed word.
    pub fn word(self) -> &'static str {
        match self {
            Fit::Starved => "starved",
            Fit::InBand => "in band",
            Fit::Thick => "thick",
            Fit::NoBand => "not judged",
        }
    }
    fn of(a: Option<&Adhesive>, thinnest: Length, thickest: Length) -> Fit {
        // Half a nanometre: a gap worked out from a bore must not miss the band by its last digit.
        let hair = mm(5e-7);
        match (a.and_then(|a| a.gap_min), a.and_then(|a| a.gap_max)) {
            (Some(low), _) if thinnest < low - hair => Fit::Starved,
            (_, Some(high)) if thickest > high + hair => Fit::Thick,
            (Some(_), Some(_)) => Fit::InBand,
            _ => Fit::NoBand,
        }
    }
}

/// What keeps the insert from the wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Centring {
    /// The job says how far off centre it may sit.
    Stated,
    /// Spacer beads.
    Beads,
    /// Nothing: it may touch on one side.
    Nothing,
}

/// The gap, per side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Mean bore, where it is known, else what follows from the layer.
    pub bore: Length,
    /// Smallest and largest bore.
    pub bores: (Length, Length),
    /// Room between insert and bore, mean.
    pub room: Length,
    /// Glue layer, mean.
    pub mean: Length,
    /// Glue at the narrowest and the widest place, on centre.
    pub centred: (Length, Length),
    /// The same with the insert off centre.
    pub worst: (Length, Length),
    /// Clock of the smallest bore.
    pub thinnest_at: Option<Angle>,
    /// Largest difference at one depth, where two directions were read.
    pub ovality: Option<Length>,
    /// How far off centre the insert may sit.
    pub eccentricity: Length,
    /// What limits that.
    pub centring: Centring,
    /// Gap over the error of the instrument.
    pub over_error: Ratio,
    /// That is too little to decide anything.
    pub measure_again: bool,
    /// The readings give another layer than the job computes with.
    pub disagrees: bool,
    /// On centre.
    pub fit_centred: Fit,
    /// Off centre as far as it may sit.
    pub fit_worst: Fit,
}

/// The adhesive, where it is known: the row `unknown` stands in for the checks, nobody mixes or gauges by it.
pub fn known(a: &Assembly) -> Option<&Adhesive> {
    Some(&a.bond.adhesive).filter(|row| !row.unknown)
}

/// The layer that the job computes with lies outside the adhesive's band.
pub fn layer_out_of_band(a: &Assembly) -> bool {
    let layer = a.bond.thickness;
    matches!(Fit::of(known(a), layer, layer), Fit::Starved | Fit::Thick)
}

/// The adhesive cures between metals alone, and a wall is no metal.
pub fn no_cure_on_wall(a: &Assembly) -> bool {
    a.bond.adhesive.metal_only && (a.frame.material.laminate || a.insert.material.laminate)
}

/// Readings taken at one depth lie this close.
const SAME_DEPTH_MM: f64 = 0.5;

fn ovality(readings: &[BoreReading]) -> Option<(Length, Length)> {
    let depth = |r: &BoreReading| r.depth.unwrap_or(mm(0.0));
    let mut worst: Option<(Length, Length)> = None;
    for one in readings {
        let level = || {
            readings
                .iter()
                .filter(|r| (depth(r) - depth(one)).abs() <= mm(SAME_DEPTH_MM))
        };
        if level().count() < 2 {
            continue;
        }
        let (small, large) = level().fold((one.bore, one.bore), |(s, l), r| {
            (s.min(r.bore), l.max(r.bore))
        });
        if worst.is_none_or(|(s, l)| large - small > l - s) {
            worst = Some((small, large));
        }
    }
    worst
}

/// The gap of an assembly.
pub fn gap(a: &Assembly) -> Gap {
    let (b, outer) = (&a.bench, a.insert.outer_diameter);
    let from_layer = if b.bore_known {
        outer + 2.0 * a.bond.thickness
    } else {
        outer + 2.0 * (a.bond.thickness + b.ply)
    };
    let bore = mean(&b.readings).unwrap_or(from_layer);
    let smallest = b
        .readings
        .iter()
        .min_by(|x, y| si(x.bore).total_cmp(&si(y.bore)));
    let largest = b.readings.iter().map(|r| r.bore).reduce(Length::max);
    let bores = (smallest.map_or(bore, |r| r.bore), largest.unwrap_or(bore));
    let net = |bore: Length| bench::net_gap(bench::clearance(bore, outer), b.ply);
    let centred = (net(bores.0), net(bores.1));
    let (eccentricity, centring) = match (b.eccentricity, b.beads) {
        (Some(e), _) => (e.min(centred.0), Centring::Stated),
        (None, Some(bead)) => (bench::bead_offset(centred.0, bead), Centring::Beads),
        (None, None) => (centred.0, Centring::Nothing),
    };
    let worst = (
        bench::thinnest(centred.0, eccentricity),
        bench::thickest(centred.1, eccentricity),
    );
    let mean_gap = net(bore);
    let over_error = bench::gap_over_error(mean_gap, b.instrument_error);
    let room = bench::clearance(bore, outer);
    Gap {
        bore,
        bores,
        room,
        mean: mean_gap,
        centred,
        worst,
        thinnest_at: smallest.and_then(|r| r.at),
        ovality: ovality(&b.readings).map(|(s, l)| bench::ovality(l, s)),
        eccentricity,
        centring,
        over_error,
        measure_again: over_error < b.rules.gap_over_error,
        disagrees: (mean_gap - a.bond.thickness).abs() > 0.05 * a.bond.thickness + mm(0.002),
        fit_centred: Fit::of(known(a), centred.0, centred.1),
        fit_worst: Fit::of(known(a), worst.0, worst.1),
    }
}

/// Is a ply asked for: carbon meets a metal that it corrodes?
pub fn ply_asked(a: &Assembly, r: &Assessment) -> bool {
    !a.bond.isolated
        && a.frame.material.laminate != a.insert.material.laminate
        && r.checks[CheckId::Galvanic.index()].is_some_and(|c| c.ratio < c.need)
}

/// The size to turn the insert to, for the middle of the adhesive's band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turn {
    /// Ply that it leaves room for.
    pub ply: Length,
    /// The job gives none, yet one is asked for: the table's thickness stands in.
    pub ply_assumed: bool,
    /// Gap aimed at.
    pub gap: Length,
    /// The diameter.
    pub diameter: Length,
    /// Smallest and largest that keep the whole bore in the band, where there are such.
    pub limits: Option<(Length, Length)>,
}

/// The size to turn to; nothing where the adhesive's row gives no band.
pub fn turn(a: &Assembly, r: &Assessment) -> Option<Turn> {
    // A size to turn for a glue that never cures there would be followed.
    if no_cure_on_wall(a) {
        return None;
    }
    let (low, high) = known(a).and_then(|row| row.gap_min.zip(row.gap_max))?;
    let g = gap(a);
    let ply_assumed = ply_asked(a, r) && a.bench.ply <= mm(0.0);
    let ply = if ply_assumed {
        a.bench.rules.ply
    } else {
        a.bench.ply
    };
    let middle = bench::middle(low, high);
    let smallest = bench::turned(g.bores.1, high, ply);
    let largest = bench::turned(g.bores.0, low, ply);
    Some(Turn {
        ply,
        ply_assumed,
        gap: middle,
        diameter: bench::turned(g.bore, middle, ply),
        limits: (smallest <= largest).then_some((smallest, largest)),
    })
}

/// Volume to fill, from the gap as measured and the ply.
pub fn fill(a: &Assembly) -> Volume {
    let layer = gap(a).mean;
    bond::volume(
        bond::mid_radius(a.insert.outer_diameter, layer),
        layer,
        a.bond.length,
    )
}

/// Glue to mix, usual work.
pub fn mix_volume(a: &Assembly) -> Volume {
    bench::mix_volume(fill(a), a.bench.rules.waste_high)
}

/// How the adhesive is mixed, where that is known.
pub fn mix(a: &Assembly) -> Option<Mix> {
    known(a)?.mix
}

/// Mass that the joint needs.
fn needed_mass(a: &Assembly) -> Option<Mass> {
    Some(bench::mix_mass(mix_volume(a), known(a)?.density?))
}

/// Mass to mix: what the joint needs, or the least that the scale can weigh, whichever is more.
pub fn mix_mass(a: &Assembly) -> Option<Mass> {
    let needed = needed_mass(a)?;
    Some(least_mix(a).map_or(needed, |least| needed.max(least)))
}

fn least_arguments(a: &Assembly) -> Option<(Ratio, Ratio)> {
    match mix(a)? {
        Mix::ByMass(x, y) => Some(if x < y { (x, y) } else { (y, x) }),
        _ => None,
    }
}

/// The least mix that the scale can weigh, for a ratio by mass.
pub fn least_mix(a: &Assembly) -> Option<Mass> {
    let (smaller, larger) = least_arguments(a)?;
    let rules = &a.bench.rules;
    Some(bench::least_mix(
        rules.scale,
        rules.mix_tolerance,
        smaller,
        larger,
    ))
}

/// Why no cure is planned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoCure {
    /// The cure is hotter than parent and finish stand.
    AboveFrame,
    /// The adhesive needs more heat than parent and finish stand.
    NeedsMoreThanFrame,
    /// The adhesive needs more heat than the job plans.
    NeedsMoreThanPlanned,
    /// Colder than a paste that cures in a room is trusted to cure at all.
    TooCold,
}

/// The cure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cure {
    /// Temperature planned.
    pub temperature: ThermodynamicTemperature,
    /// What parent and finish stand.
    pub limit: Option<ThermodynamicTemperature>,
    /// What the adhesive needs.
    pub least: Option<ThermodynamicTemperature>,
    /// Why nothing is planned.
    pub refused: Option<NoCure>,
    /// Until it may be moved, by the rule for pastes.
    pub handling: Option<Time>,
    /// Until full strength.
    pub full: Option<Time>,
    /// Warming from 20 °C, quick and slow.
    pub ramp: (Time, Time),
    /// Hotter than the adhesive's row has data for.
    pub above_row: bool,
}

fn warmer(a: &Assembly) -> Ratio {
    number(si(a.bond.cure_temperature) - si(celsius(20.0)))
}

/// The cure plan.
pub fn cure(a: &Assembly) -> Cure {
    let (t, limit, least) = (
        a.bond.cure_temperature,
        a.frame.temperature_limit,
        a.bond.adhesive.cure_least,
    );
    let refused = if least.zip(limit).is_some_and(|(least, limit)| least > limit) {
        Some(NoCure::NeedsMoreThanFrame)
    } else if limit.is_some_and(|limit| t > limit) {
        Some(NoCure::AboveFrame)
    } else if least.is_some_and(|least| t < least) {
        Some(NoCure::NeedsMoreThanPlanned)
    } else if least.is_none() && t < a.bench.rules.cure_coldest {
        Some(NoCure::TooCold)
    } else {
        None
    };
    let rules = &a.bench.rules;
    // The rule is one for two-part pastes; anything else, and what nobody knows, cures by its own sheet.
    let paste = least.is_none() && matches!(mix(a), Some(Mix::ByMass(..) | Mix::ByVolume(..)));
    let time = |at_20: Time| {
        (refused.is_none() && paste)
            .then(|| bench::cure_time(at_20, warmer(a), rules.cure_halving_kelvin))
    };
    let minute = Time::new::<uom::si::time::minute>(1.0);
    let ramp = |rate: Ratio| bench::ramp_time(warmer(a), rate, minute);
    Cure {
        temperature: t,
        limit,
        least,
        refused,
        handling: time(rules.cure_handling),
        full: time(rules.cure_full),
        ramp: (
            ramp(rules.ramp_high_kelvin_per_minute),
            ramp(rules.ramp_low_kelvin_per_minute),
        ),
        above_row: t > a.bond.adhesive.hot_temperature,
    }
}

/// Why there is no proof load.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoProof {
    /// The model gave no capacity or no demand.
    NotComputed,
    /// It would have to use more than half of a good bond to exceed the service demand.
    DemandTooHigh,
    /// The weakest bond stands too much of what a good one does.
    WeakTooNear,
    /// The adhesive is not known, so neither is what a good bond stands.
    AdhesiveUnknown,
    /// Thread, insert, plug or wall would not keep what is required of it.
    NotCarried,
    /// A strength is missing, so what thread, insert or plug carries is not known.
    CarriesUnknown,
}

/// A proof load; values in SI base units, N or N·m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proof {
    /// Service demand.
    pub demand: f64,
    /// What good glue stands.
    pub good: f64,
    /// What the weakest glue stands.
    pub weak: f64,
    /// The least that tells something.
    pub floor: f64,
    /// The most that harms nothing.
    pub ceiling: f64,
    /// The load, or why there is none.
    pub load: Result<f64, NoProof>,
}

/// The job with a solid plug in the insert's thread, its shoulder on the insert's own end.
fn plugged(a: &Assembly) -> Assembly {
    let mut plug = a.clone();
    plug.fitting.bore = mm(0.0);
    plug.fitting.neck_diameter = a.thread.basic.root;
    plug.fitting.flange_diameter = a.insert.outer_diameter;
    plug.seat.inner_diameter = a.thread.basic.major;
    plug.seat.outer_diameter = a.insert.outer_diameter;
    plug.insert.lip_diameter = None;
    plug.clamped = None;
    plug
}

/// What tightening the plug to a torque makes of it, at low friction.
fn plug_tightened(plug: &Assembly, t: Torque) -> Option<closed::Tightened> {
    let ring = closed::ring(plug, Bears::Insert)?;
    Some(closed::band(plug, &ring, Spread::exact(t)).high)
}

/// Do the two threads, the insert round them and the plug's root keep what is required of them under a pull with a
/// torque in the thread?
fn carries(plug: &Assembly, pull: Force, twist: Torque) -> Result<(), NoProof> {
    let geometry = closed::geometry(plug);
    let (Some(strip), Some(hoop), Some(yields)) = (
        geometry.strip,
        geometry.hoop,
        plug.fitting.material.yield_strength,
    ) else {
        return Err(NoProof::CarriesUnknown);
    };
    let f = &plug.fitting;
    let stress = fitting::neck_equivalent(
        fitting::neck_axial(pull, f.neck_diameter, f.bore),
        fitting::neck_shear(twist, f.neck_diameter, f.bore),
    );
    let keeps = |id: CheckId, capacity: Force| capacity >= pull * need(plug, id);
    let all = keeps(CheckId::StripExternal, strip.external.capacity)
        && keeps(CheckId::StripInternal, strip.internal.capacity)
        && keeps(CheckId::Hoop, hoop)
        && yields >= stress * need(plug, CheckId::Neck);
    if all {
        Ok(())
    } else {
        Err(NoProof::NotCarried)
    }
}

/// Does everything on the way of a proof torque to the glue carry it?
fn carries_torque(a: &Assembly, t: f64) -> Result<(), NoProof> {
    let plug = plugged(a);
    let tightened = plug_tightened(&plug, from_si(t)).ok_or(NoProof::CarriesUnknown)?;
    carries(
        &plug,
        tightened.preload,
        tightened.helix.thread(tightened.preload),
    )
}

/// The same of a proof pull; the wall of a parent is on its way as well.
fn carries_pull(a: &Assembly, n: f64) -> Result<(), NoProof> {
    let pull: Force = from_si(n);
    let wall = super::parent::through_strength(&a.frame.material).is_ok_and(|tau| {
        let out =
            crate::mechanics::parent::plug_capacity(super::parent::bore(a), a.bond.length, tau);
        super::parent::applies(a) && out < pull * a.need.strip
    });
    if wall {
        return Err(NoProof::NotCarried);
    }
    carries(&plugged(a), pull, from_si(0.0))
}

/// The plug at the proof torque, where there is such a torque.
fn proof_plug(a: &Assembly, r: &Assessment) -> Option<closed::Tightened> {
    plug_tightened(&plugged(a), from_si(proof(a, r).ok()?.0.load.ok()?))
}

/// Proof torque and proof pull.
///
/// # Errors
/// Where neither can be said: the adhesive is not known, or the model gives no capacity.
pub fn proof(a: &Assembly, r: &Assessment) -> Result<(Proof, Proof), NoProof> {
    known(a).ok_or(NoProof::AdhesiveUnknown)?;
    proof_of_known(a, r).ok_or(NoProof::NotComputed)
}

fn proof_of_known(a: &Assembly, r: &Assessment) -> Option<(Proof, Proof)> {
    let ring = closed::ring(a, r.evaluation.bears)?;
    let good = Model::new(a, &closed::geometry(a), &ring, 1.0).ok()?;
    let mut poor = a.clone();
    poor.bond.adhesive = a.bench.weakest;
    poor.bond.preparation = a.bench.weakest_preparation;
    let weak = Model::new(&poor, &closed::geometry(&poor), &ring, 1.0).ok()?;
    let rules = &a.bench.rules;
    type Carries = fn(&Assembly, f64) -> Result<(), NoProof>;
    let judge = |demand: f64, good: f64, weak: f64, floor: f64, ceiling: f64, to: Carries| Proof {
        demand,
        good,
        weak,
        floor,
        ceiling,
        load: if floor <= ceiling {
            to(a, floor).map(|()| floor)
        } else if rules.proof_over_weak.value * weak > ceiling {
            Err(NoProof::WeakTooNear)
        } else {
            Err(NoProof::DemandTooHigh)
        },
    };
    let (t_good, t_weak) = (good.torque_capacity()?, weak.torque_capacity()?);
    let (n_good, n_weak) = (good.pull_capacity()?, weak.pull_capacity()?);
    let (t, n) = (torque_demand(a, r)?, pull_demand(a, r)?);
    let (over, above) = (rules.proof_over_demand, rules.proof_over_weak);
    let torque = judge(
        si(t),
        si(t_good),
        si(t_weak),
        si(bench::proof_torque(t, over, t_weak, above)),
        si(bench::torque_ceiling(t_good, rules.proof_share_of_good)),
        carries_torque,
    );
    let pull = judge(
        si(n),
        si(n_good),
        si(n_weak),
        si(bench::proof_pull(n, over, n_weak, above)),
        si(bench::pull_ceiling(n_good, rules.proof_share_of_good)),
        carries_pull,
    );
    Some((torque, pull))
}

/// Torque that service asks of the glue.
pub fn torque_demand(a: &Assembly, r: &Assessment) -> Option<Torque> {
    let removal = r.evaluation.coupled?.removal_torque;
    let service = a
        .cases
        .iter()
        .map(|c| c.loads.torque.abs())
        .fold(from_si(0.0), Torque::max);
    Some(removal.max(service))
}

/// The glue's axial force of the job's own case, and what another case pulls more.
fn pull_parts(a: &Assembly, r: &Assessment) -> Option<(Force, Force)> {
    let own = r.evaluation.coupled?.axial_force?;
    let most = a
        .cases
        .iter()
        .flat_map(|case| {
            let (main, other) = closed::loads(a, case);
            std::iter::once(main).chain(other)
        })
        .map(|l| l.axial)
        .fold(r.evaluation.loads.axial, Force::max);
    Some((own, most - r.evaluation.loads.axial))
}

/// Pull that service asks of the glue.
pub fn pull_demand(a: &Assembly, r: &Assessment) -> Option<Force> {
    let (own, more) = pull_parts(a, r)?;
    Some(bench::pull_demand(own, more))
}

/// Load at which a lap coupon is expected to fail; nothing where adhesive or preparation is not known.
pub fn coupon(a: &Assembly) -> Option<Force> {
    let rules = &a.bench.rules;
    let row = known(a).filter(|_| !a.bond.preparation_unknown)?;
    Some(bench::coupon_load(
        row.shear_strength,
        a.bond.preparation,
        rules.coupon_overlap,
        rules.coupon_width,
    ))
}

/// What keeps the plan from `meets`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// The gap is out of the adhesive's band on centre.
    Gap(Fit),
    /// It is so off centre, as far as the insert may sit.
    GapOffCentre(Fit),
    /// Nothing keeps the insert on centre, and off it the gap leaves the band.
    Centring,
    /// The adhesive is not known, or its row gives no band.
    NoBand,
    /// The gap is too little for the instrument.
    Measure,
    /// The adhesive does not cure on this wall.
    Wall,
    /// Insert and frame corrode each other.
    Galvanic,
    /// Whether they do is not judged.
    GalvanicOpen,
    /// No cure is planned.
    Cure,
    /// The cure temperature is not known.
    CureUnknown,
    /// The preparation is not known.
    PreparationUnknown,
    /// A precondition that counts before gluing is open.
    Precondition,
}

/// The preconditions that count before anything is glued; the others are looked at afterwards.
pub fn preconditions(c: &Condition) -> [State; 4] {
    [c.no_crack, c.not_moved, c.no_crash, c.unregulated_use]
}

/// Everything that keeps the plan from `meets`, with the verdict that it makes.
pub fn causes(a: &Assembly, r: &Assessment) -> Vec<(Verdict, Cause)> {
    let g = gap(a);
    let out = |fit: Fit| matches!(fit, Fit::Starved | Fit::Thick);
    let pair = r.checks[CheckId::Galvanic.index()].map(|c| c.verdict);
    let (short, open) = (Verdict::FallsShort, Verdict::NotJudged);
    let off = out(g.fit_worst) && !out(g.fit_centred);
    let loose = g.centring == Centring::Nothing;
    [
        (out(g.fit_centred), short, Cause::Gap(g.fit_centred)),
        (off && !loose, short, Cause::GapOffCentre(g.fit_worst)),
        (no_cure_on_wall(a), short, Cause::Wall),
        (pair == Some(short), short, Cause::Galvanic),
        (cure(a).refused.is_some(), short, Cause::Cure),
        (
            preconditions(&a.condition).contains(&State::Unknown),
            open,
            Cause::Precondition,
        ),
        (off && loose, open, Cause::Centring),
        (g.fit_worst == Fit::NoBand, open, Cause::NoBand),
        (g.measure_again, open, Cause::Measure),
        (a.bond.preparation_unknown, open, Cause::PreparationUnknown),
        (a.bond.cure_unknown, open, Cause::CureUnknown),
        (pair == Some(open), open, Cause::GalvanicOpen),
    ]
    .into_iter()
    .filter(|(applies, ..)| *applies)
    .map(|(_, verdict, cause)| (verdict, cause))
    .collect()
}

/// What it comes to: falls short where the gap, the pair of materials or the cure does; not judged where a
/// reading, a band or the centring is missing; else meets.
pub fn verdict(a: &Assembly, r: &Assessment) -> Verdict {
    if r.verdict == Verdict::Refused {
        return Verdict::Refused;
    }
    causes(a, r)
        .into_iter()
        .fold(Verdict::Meets, |worst, (verdict, _)| worst.worse(verdict))
}

/// What the glue stands once.
static CAPACITY: Method = Method {
    equations: "the load alone, put in through the thread with the seat free, raised until\nmax(U, Um) = 1 with τ_eff, preparation counted, no ageing, thermal stress of 20 °C",
    source: "engineering basis, sections 10 and 13; ladder and torsion as in the checks",
    limits: "good glue: this job's row and preparation; weak glue: both rows `unknown`",
    tends_to: &[
        &crate::mechanics::glue::axial_capacity::FORMULA,
        &crate::mechanics::glue::torque_capacity::FORMULA,
    ],
};

fn solved(inputs: Vec<Put>, again: Option<f64>) -> Option<Origin> {
    Some(Origin::Solved(&CAPACITY, inputs, again?))
}

fn weak_inputs(a: &Assembly) -> Vec<Put> {
    let w = &a.bench.weakest;
    vec![
        put("tau_p", Unit::Megapascal, w.shear_strength),
        put("gamma_p", Unit::None, w.plastic_shear_strain),
        put("preparation", Unit::None, a.bench.weakest_preparation),
    ]
}

macro_rules! from {
    ($module:ident :: $name:ident, $($argument:expr),* $(,)?) => {
        Some(Origin::Formula(&$module::$name::FORMULA, vec![$(si($argument)),*]))
    };
}

macro_rules! bench_values {
    ($($id:literal, $title:literal, $unit:ident, |$a:pat_param, $r:pat_param| $get:expr, |$b:pat_param, $q:pat_param| $explain:expr;)*) => {
        /// The results of the bench, in the order in which they are printed.
        pub static VALUES: &[Value] = &[$(Value {
            id: $id,
            title: $title,
            unit: Unit::$unit,
            get: |$a: &Assembly, $r: &Assessment| $get,
            explain: |$b: &Assembly, $q: &Assessment| $explain,
        }),*];
    };
}

bench_values! {
    "bond.bore.mean", "Bore, mean", Millimetre, |a, _| Some(si(gap(a).bore)), |_, _| Some(Origin::Stated("bond.bore"));
    "bond.ovality", "Ovality of the bore", Millimetre, |a, _| gap(a).ovality.map(si),
        |a, _| { let (s, l) = ovality(&a.bench.readings)?; from!(bench::ovality, l, s) };
    "bond.room.side", "Room per side between insert and bore", Millimetre, |a, _| Some(si(gap(a).room)),
        |a, _| from!(bench::clearance, gap(a).bore, a.insert.outer_diameter);
    "bond.gap.mean", "Glue layer per side, mean, ply off", Millimetre, |a, _| Some(si(gap(a).mean)),
        |a, _| from!(bench::net_gap, gap(a).room, a.bench.ply);
    "bond.gap.narrowest", "Glue layer per side at the smallest bore, on centre", Millimetre, |a, _| Some(si(gap(a).centred.0)),
        |a, _| from!(bench::net_gap, bench::clearance(gap(a).bores.0, a.insert.outer_diameter), a.bench.ply);
    "bond.gap.widest", "Glue layer per side at the largest bore, on centre", Millimetre, |a, _| Some(si(gap(a).centred.1)),
        |a, _| from!(bench::net_gap, bench::clearance(gap(a).bores.1, a.insert.outer_diameter), a.bench.ply);
    "bond.eccentricity", "How far off centre the insert may sit", Millimetre, |a, _| Some(si(gap(a).eccentricity)),
        |a, _| { let g = gap(a); match g.centring {
            Centring::Beads => from!(bench::bead_offset, g.centred.0, a.bench.beads?),
            Centring::Stated => Some(Origin::Stated("bond.eccentricity")),
            Centring::Nothing => Some(Origin::Stated("bond.gap.narrowest")),
        } };
    "bond.gap.thinnest", "Thinnest glue layer, off centre", Millimetre, |a, _| Some(si(gap(a).worst.0)),
        |a, _| { let g = gap(a); from!(bench::thinnest, g.centred.0, g.eccentricity) };
    "bond.gap.thickest", "Thickest glue layer, off centre", Millimetre, |a, _| Some(si(gap(a).worst.1)),
        |a, _| { let g = gap(a); from!(bench::thickest, g.centred.1, g.eccentricity) };
    "bond.gap.thinnest_at", "Clock position of the smallest bore", Degree, |a, _| gap(a).thinnest_at.map(si),
        |_, _| Some(Origin::Stated("bond.reading"));
    "bond.gap.over_error", "Gap per side over the error of the instrument", None, |a, _| Some(si(gap(a).over_error)),
        |a, _| from!(bench::gap_over_error, gap(a).mean, a.bench.instrument_error);
    "bond.turn.gap", "Middle of the adhesive's band, per side", Millimetre, |a, r| turn(a, r).map(|t| si(t.gap)),
        |a, _| from!(bench::middle, a.bond.adhesive.gap_min?, a.bond.adhesive.gap_max?);
    "bond.turn.diameter", "Outer diameter to turn the insert to", Millimetre, |a, r| turn(a, r).map(|t| si(t.diameter)),
        |a, r| { let t = turn(a, r)?; from!(bench::turned, gap(a).bore, t.gap, t.ply) };
    "bond.turn.smallest", "Smallest diameter that keeps the whole bore in the band", Millimetre, |a, r| turn(a, r)?.limits.map(|l| si(l.0)),
        |a, r| { let t = turn(a, r)?; from!(bench::turned, gap(a).bores.1, a.bond.adhesive.gap_max?, t.ply) };
    "bond.turn.largest", "Largest diameter that keeps the whole bore in the band", Millimetre, |a, r| turn(a, r)?.limits.map(|l| si(l.1)),
        |a, r| { let t = turn(a, r)?; from!(bench::turned, gap(a).bores.0, a.bond.adhesive.gap_min?, t.ply) };
    "bond.fill.volume", "Volume to fill, gap as measured", CubicMillimetre, |a, _| Some(si(fill(a))),
        |a, _| { let layer = gap(a).mean; from!(bond::volume, bond::mid_radius(a.insert.outer_diameter, layer), layer, a.bond.length) };
    "bond.mix.volume.low", "Glue to mix, careful work", CubicMillimetre, |a, _| Some(si(bench::mix_volume(fill(a), a.bench.rules.waste_low))),
        |a, _| from!(bench::mix_volume, fill(a), a.bench.rules.waste_low);
    "bond.mix.volume", "Glue to mix, usual work", CubicMillimetre, |a, _| Some(si(mix_volume(a))),
        |a, _| from!(bench::mix_volume, fill(a), a.bench.rules.waste_high);
    "bond.mix.needed", "Mass of glue that the joint needs", Gram, |a, _| needed_mass(a).map(si),
        |a, _| from!(bench::mix_mass, mix_volume(a), a.bond.adhesive.density?);
    "bond.mix.least", "Smallest mix that the scale can weigh", Gram, |a, _| least_mix(a).map(si),
        |a, _| { let (s, l) = least_arguments(a)?; from!(bench::least_mix, a.bench.rules.scale, a.bench.rules.mix_tolerance, s, l) };
    "bond.mix.mass", "Mass to mix: what is needed, or what can be weighed", Gram, |a, _| mix_mass(a).map(si),
        |a, _| { let needed = needed_mass(a)?;
            match least_mix(a) {
                Some(least) if least > needed => { let (s, l) = least_arguments(a)?; from!(bench::least_mix, a.bench.rules.scale, a.bench.rules.mix_tolerance, s, l) }
                _ => from!(bench::mix_mass, mix_volume(a), a.bond.adhesive.density?),
            } };
    "bond.mix.mass.first", "Mass of the first part", Gram,
        |a, _| match mix(a)? { Mix::ByMass(x, y) => Some(si(bench::part_mass(mix_mass(a)?, x, y))), _ => None },
        |a, _| match mix(a)? { Mix::ByMass(x, y) => from!(bench::part_mass, mix_mass(a)?, x, y), _ => None };
    "bond.mix.mass.second", "Mass of the second part", Gram,
        |a, _| match mix(a)? { Mix::ByMass(x, y) => Some(si(bench::part_mass(mix_mass(a)?, y, x))), _ => None },
        |a, _| match mix(a)? { Mix::ByMass(x, y) => from!(bench::part_mass, mix_mass(a)?, y, x), _ => None };
    "bond.mix.volume.first", "Volume of the first part", CubicMillimetre,
        |a, _| match mix(a)? { Mix::ByVolume(x, y) => Some(si(bench::part_volume(mix_volume(a), x, y))), _ => None },
        |a, _| match mix(a)? { Mix::ByVolume(x, y) => from!(bench::part_volume, mix_volume(a), x, y), _ => None };
    "bond.mix.volume.second", "Volume of the second part", CubicMillimetre,
        |a, _| match mix(a)? { Mix::ByVolume(x, y) => Some(si(bench::part_volume(mix_volume(a), y, x))), _ => None },
        |a, _| match mix(a)? { Mix::ByVolume(x, y) => from!(bench::part_volume, mix_volume(a), y, x), _ => None };
    "bond.cure.handling", "Time until it may be moved", Hour, |a, _| cure(a).handling.map(si),
        |a, _| from!(bench::cure_time, a.bench.rules.cure_handling, warmer(a), a.bench.rules.cure_halving_kelvin);
    "bond.cure.full", "Time until it has its strength", Hour, |a, _| cure(a).full.map(si),
        |a, _| from!(bench::cure_time, a.bench.rules.cure_full, warmer(a), a.bench.rules.cure_halving_kelvin);
    "bond.proof.torque.demand", "Torque that service asks of the glue", NewtonMetre, |a, r| torque_demand(a, r).map(si),
        |_, _| Some(Origin::Stated("bond.removal.torque"));
    "bond.proof.torque.good", "Torque that good glue stands", NewtonMetre, |a, r| proof(a, r).ok().map(|p| p.0.good),
        |a, r| solved(glue_inputs(a), proof(a, r).ok().map(|p| p.0.good));
    "bond.proof.torque.weak", "Torque that the weakest glue stands", NewtonMetre, |a, r| proof(a, r).ok().map(|p| p.0.weak),
        |a, r| solved(weak_inputs(a), proof(a, r).ok().map(|p| p.0.weak));
    "bond.proof.torque.ceiling", "Most torque that a proof may use", NewtonMetre, |a, r| proof(a, r).ok().map(|p| p.0.ceiling),
        |a, r| { let good: Torque = from_si(proof(a, r).ok()?.0.good); from!(bench::torque_ceiling, good, a.bench.rules.proof_share_of_good) };
    "bond.proof.torque", "Proof torque", NewtonMetre, |a, r| proof(a, r).ok()?.0.load.ok(),
        |a, r| { let weak: Torque = from_si(proof(a, r).ok()?.0.weak);
            from!(bench::proof_torque, torque_demand(a, r)?, a.bench.rules.proof_over_demand, weak, a.bench.rules.proof_over_weak) };
    "bond.proof.torque.preload", "Preload of the plug that takes the proof torque in, low friction", Newton,
        |a, r| proof_plug(a, r).map(|p| si(p.preload)),
        |a, r| { let p = proof_plug(a, r)?; let h = p.helix;
            from!(torque::preload_from_torque, p.torque, h.r2, h.lead, h.friction, h.seat_friction, h.seat_radius) };
    "bond.proof.pull.demand", "Pull that service asks of the glue", Newton, |a, r| pull_demand(a, r).map(si),
        |a, r| { let (own, more) = pull_parts(a, r)?; from!(bench::pull_demand, own, more) };
    "bond.proof.pull.good", "Pull that good glue stands", Newton, |a, r| proof(a, r).ok().map(|p| p.1.good),
        |a, r| solved(glue_inputs(a), proof(a, r).ok().map(|p| p.1.good));
    "bond.proof.pull.weak", "Pull that the weakest glue stands", Newton, |a, r| proof(a, r).ok().map(|p| p.1.weak),
        |a, r| solved(weak_inputs(a), proof(a, r).ok().map(|p| p.1.weak));
    "bond.proof.pull.ceiling", "Most pull that a proof may use", Newton, |a, r| proof(a, r).ok().map(|p| p.1.ceiling),
        |a, r| { let good: Force = from_si(proof(a, r).ok()?.1.good); from!(bench::pull_ceiling, good, a.bench.rules.proof_share_of_good) };
    "bond.proof.pull", "Proof pull", Newton, |a, r| proof(a, r).ok()?.1.load.ok(),
        |a, r| { let weak: Force = from_si(proof(a, r).ok()?.1.weak);
            from!(bench::proof_pull, pull_demand(a, r)?, a.bench.rules.proof_over_demand, weak, a.bench.rules.proof_over_weak) };
    "bond.coupon.expected", "Load at which a lap coupon is expected to fail", Newton, |a, _| coupon(a).map(si),
        |a, _| from!(bench::coupon_load, a.bond.adhesive.shear_strength, a.bond.preparation, a.bench.rules.coupon_overlap, a.bench.rules.coupon_width);
    "bond.coupon.reject", "Load below which the batch is rejected", Newton, |a, _| coupon(a).map(|f| si(bench::coupon_reject(f, a.bench.rules.coupon_reject))),
        |a, _| from!(bench::coupon_reject, coupon(a)?, a.bench.rules.coupon_reject);
}
