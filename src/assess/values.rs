//! Every result: its id, title and unit, where it is found, and how it is explained.
//!
//! An explanation names the [`Formula`] that computed the value and the numbers that went in; a test runs
//! each formula on those numbers again and compares.

use super::Assessment;
use super::check::CheckId;
use super::closed;
use super::coupled::Coupled;
use super::parent as assess_parent;
use super::undo;
use crate::job::assembly::*;
use crate::mechanics::formula::Formula;
use crate::mechanics::section::{self, ring_area};
use crate::mechanics::thread::StressArea;
use crate::mechanics::{
    bond, clamped, fitting, glue, ladder, parent, pedal, rocking, seat, strip, thermal, thread,
    torque, torsion, wall,
};
use crate::units::*;

/// Where a value comes from.
#[derive(Debug, Clone)]
pub enum Origin {
    /// A closed form and its arguments in SI base units.
    Formula(&'static Formula, Vec<f64>),
    /// Read from the job or from a table row, under this key.
    Stated(&'static str),
    /// Found by a solver: how, from what, and the value that a fresh run gives.
    Solved(&'static Method, Vec<Put>, f64),
}

/// A number that goes into a solver: its symbol, its unit, its value in SI base units.
#[derive(Debug, Clone, Copy)]
pub struct Put {
    /// The symbol.
    pub symbol: &'static str,
    /// The unit in which it is shown.
    pub unit: Unit,
    /// The value in SI base units.
    pub si: f64,
}

/// How a solver finds a value.
#[derive(Debug)]
pub struct Method {
    /// Its equations in words.
    pub equations: &'static str,
    /// Where it comes from.
    pub source: &'static str,
    /// Where it holds.
    pub limits: &'static str,
    /// Closed forms to which it tends, or with which it agrees in a simple case.
    pub tends_to: &'static [&'static Formula],
}

/// One number on the way to a result, or a result itself, with where it comes from.
#[derive(Debug, Clone)]
pub struct Step {
    /// The id, where it can be asked for by itself.
    pub id: Option<&'static str>,
    /// What it is.
    pub title: &'static str,
    /// Its unit.
    pub unit: Unit,
    /// The value in SI base units.
    pub si: f64,
    /// Where it comes from.
    pub origin: Origin,
}

impl Step {
    /// A step from a formula and its arguments in SI base units.
    pub fn formula(title: &'static str, formula: &'static Formula, arguments: Vec<f64>) -> Step {
        Step {
            id: None,
            title,
            unit: formula.result,
            si: (formula.eval)(&arguments),
            origin: Origin::Formula(formula, arguments),
        }
    }
    /// A step that is read from the job or from a row.
    pub fn stated(title: &'static str, unit: Unit, si: f64, key: &'static str) -> Step {
        Step {
            id: None,
            title,
            unit,
            si,
            origin: Origin::Stated(key),
        }
    }
    /// A step that a solver finds.
    pub fn solved(
        title: &'static str,
        unit: Unit,
        si: f64,
        method: &'static Method,
        inputs: Vec<Put>,
    ) -> Step {
        Step {
            id: None,
            title,
            unit,
            si,
            origin: Origin::Solved(method, inputs, si),
        }
    }
    /// The same under an id.
    pub fn named(self, id: &'static str) -> Step {
        Step {
            id: Some(id),
            ..self
        }
    }
}

/// Steps with the titles that a list gives to their ids.
pub(super) fn titled(mut steps: Vec<Step>, titles: &[(&str, &'static str)]) -> Vec<Step> {
    for step in &mut steps {
        if let Some((_, title)) = titles.iter().find(|t| Some(t.0) == step.id) {
            step.title = title;
        }
    }
    steps
}

/// A value as a step; nothing without data.
pub fn step(value: &Value, a: &Assembly, r: &Assessment) -> Option<Step> {
    Some(Step {
        id: Some(value.id),
        title: value.title,
        unit: value.unit,
        si: (value.get)(a, r).filter(|v| !v.is_nan())?,
        origin: (value.explain)(a, r)?,
    })
}

/// The seat's contact.
pub(super) static CONTACT: Method = Method {
    equations: "p = k_c·max(0, z + ρ·(tx·cos φ + ty·sin φ) − gap) over the ring\nF_t = F0 + k_t·(z0 − z) = ∫p + N_ext\n∫p·arm + (k_t·r2²/2)·tilt = M, solved for z, tx, ty",
    source: "engineering basis, section 6: rigid flange on a one-sided elastic ring; the seat's stiffness is a strip on a half-space, a modelling choice without a source",
    limits: "flange stiff against the seat; thread ring elastic; with gaps the worst of 72 directions of the moment",
    tends_to: &[
        &seat::opening_moment::FORMULA,
        &seat::lever_out_line_load::FORMULA,
    ],
};
/// The axial ladder.
pub(super) static LADDER: Method = Method {
    equations: "fitting, insert and frame as bars, tied by flank springs over the thread and by glue in shear over the bond\nE·A·u'' = sum of the springs, solved exactly, piece by piece",
    source: "shear-lag after Volkersen; tooth flexibility after Yamamoto (published methods, recalled)",
    limits: "elastic; mean over the circumference; no friction on the flanks; walls that do not shear across their thickness. Against finite elements of thirteen sleeves: the peak of shear right in thick glue in a stiff wall, up to 2.5 times too high elsewhere; k_t 0.6 to 1.6 times this; the first turn up to 2.6 times this share in a stiff wall, less than half in a soft one with the seat on it",
    tends_to: &[&ladder::coth_peak::FORMULA],
};
/// The torsion ladder.
pub(super) static TORSION: Method = Method {
    equations: "insert and frame as bars in torsion, tied by glue\nthread torque enters as the thread's load is spread, seat torque at the face by share",
    source: "the torsional form of shear-lag after Volkersen (published method, recalled)",
    limits: "elastic; the torques of thread and seat add. Against finite elements of thirteen sleeves up to 1.3 times too much",
    tends_to: &[&torsion::mean_torsion_shear::FORMULA],
};
/// Rocking.
pub(super) static ROCKING: Method = Method {
    equations: "insert as a beam with shear on K_l = π·r_b·(k_n + k_s) and K_r = π·r_b³·k_s\nV_b and M_b enter evenly over the engaged thread; σ_n = k_n·w·cos φ, τ_x = k_s·r_b·ψ·cos φ, τ_φ = k_s·w·sin φ",
    source: "Timoshenko's beam on a two-parameter foundation; Hetényi's beam as its limit (published methods, recalled)",
    limits: "section stays round; frame rigid: see the caution on soft walls. Against finite elements of thirteen sleeves: use of the glue within 14 % in a stiff wall, peel alone 0.7 to 1.3 times; 1.5 times the use in a wall 1.5 times as stiff as the insert and held at the bond's end, 2.2 times where the thread reaches within 2 mm of the bond's inner end",
    tends_to: &[],
};
/// The glue's strength.
pub(super) static GLUE: Method = Method {
    equations: "U = √((σ_n/σ_a)² + (τ_x² + τ_φ²)/τ²), the greatest over the bond\nUm = √(N_b² + (T_b/r_b)²)/(A·τ_p·f); demand = the greater of both; reserve = 1 ÷ demand",
    source: "quadratic mixing; ductility by equal strain energy after Hart-Smith, NASA CR-112236 (recalled)",
    limits: "strengths times preparation, ageing and temperature; compression across the glue not counted",
    tends_to: &[&glue::mean_use::FORMULA],
};

static BY_ELEMENTS: Method = Method {
    equations: "demand of bond.service.cold, bond.service.hot and bond.endurance with the stresses of finite elements over that with those of the simple models",
    source: "axisymmetric quadratic elements, harmonics 0 and 1, of fitting, insert, glue and frame (published method, recalled)",
    limits: "elastic, perfectly bonded; where theory has no bound the mean over the end counts; only with `check --elements`",
    tends_to: &[],
};

static REMOVAL: Method = Method {
    equations: "T at which the greater of max U over the bond and Um is 1/required, in the parts of bond.removal.torque\nU = √((σ_th/σ_a)² + (|τ_T| + |τ_th|)²/τ²), σ_th and τ_th the thermal stresses at 20 °C, τ_T the torsional shear under T\nUm = (T_b/r_b)/(A·τ_p·f), T_b what of T goes through the glue",
    source: "quadratic mixing; ductility by equal strain energy after Hart-Smith, NASA CR-112236 (recalled); solved for the torque",
    limits: "the glue alone: the fitting may give way before (neck.removal.limit); at 20 °C, ageing counted",
    tends_to: &[&glue::mean_use::FORMULA],
};

type Get = fn(&Assembly, &Assessment) -> Option<f64>;
type Explain = fn(&Assembly, &Assessment) -> Option<Origin>;

/// One result.
#[derive(Clone, Copy)]
pub struct Value {
    /// Agreed id.
    pub id: &'static str,
    /// What it is.
    pub title: &'static str,
    /// Its unit.
    pub unit: Unit,
    /// Its value in SI base units; `None` without data.
    pub get: Get,
    /// Where it comes from.
    pub explain: Explain,
}

/// The value with this id, those of the bench included.
pub fn find(id: &str) -> Option<&'static Value> {
    every().find(|v| v.id == id)
}

/// Every value that can be explained: those of a check, and those of the bench before gluing.
pub fn every() -> impl Iterator<Item = &'static Value> {
    ALL.iter().chain(super::bond::VALUES)
}

fn some<D: uom::si::Dimension + ?Sized>(
    q: uom::si::Quantity<D, uom::si::SI<f64>, f64>,
) -> Option<f64> {
    Some(si(q))
}

macro_rules! arguments {
    ($($argument:expr),* $(,)?) => { vec![$(si($argument)),*] };
}
macro_rules! formula_of {
    ($path:ident :: $name:ident, $($argument:expr),* $(,)?) => {
        Some(Origin::Formula(&$path::$name::FORMULA, arguments![$($argument),*]))
    };
}
macro_rules! values {
    ($($id:literal, $title:literal, $unit:ident, |$a:pat_param, $r:pat_param| $get:expr, |$b:pat_param, $q:pat_param| $explain:expr;)*) => {
        /// All results, in the agreed order.
        pub static ALL: &[Value] = &[$(Value {
            id: $id,
            title: $title,
            unit: Unit::$unit,
            get: |$a: &Assembly, $r: &Assessment| $get,
            explain: |$b: &Assembly, $q: &Assessment| $explain,
        }),*];
    };
}

/// The way of bearing in which both parts are there.
fn both_parts(r: &Assessment) -> Option<(seat::Part, seat::Part)> {
    r.evaluation.ring.insert.zip(r.evaluation.ring.frame)
}

values! {
    "thread.pitch", "Pitch", Millimetre, |a, _| some(a.thread.basic.pitch), |_, _| Some(Origin::Stated("thread.designation"));
    "thread.lead_angle", "Lead angle", Degree, |_, r| some(r.evaluation.geometry.lead),
        |a, _| formula_of!(thread::lead_angle, a.thread.basic.pitch, a.thread.basic.pitch_diameter);
    "thread.major", "Major diameter, basic", Millimetre, |a, _| some(a.thread.basic.major), |_, _| Some(Origin::Stated("thread.designation"));
    "thread.pitch_diameter", "Pitch diameter, basic", Millimetre, |a, _| some(a.thread.basic.pitch_diameter),
        |a, _| form_of(a).map(|f| Origin::Formula(f.0, arguments![a.thread.basic.major, a.thread.basic.pitch]));
    "thread.internal_minor", "Minor diameter of the insert's thread, basic", Millimetre, |a, _| some(a.thread.basic.internal_minor),
        |a, _| form_of(a).map(|f| Origin::Formula(f.1, arguments![a.thread.basic.major, a.thread.basic.pitch]));
    "thread.root", "Root diameter of the fitting's thread, basic", Millimetre, |a, _| some(a.thread.basic.root),
        |a, _| form_of(a).map(|f| Origin::Formula(f.2, arguments![a.thread.basic.major, a.thread.basic.pitch]));
    "thread.stress_area", "Stress area of the thread, taken as solid", SquareMillimetre, |_, r| some(r.evaluation.geometry.stress_area),
        |a, _| match a.thread.stress_area {
            StressArea::Metric => formula_of!(thread::stress_area_metric, a.thread.basic.pitch_diameter, a.thread.basic.root),
            StressArea::Unified => formula_of!(thread::stress_area_unified, a.thread.basic.major, a.thread.basic.pitch),
        };
    "thread.engaged_effective", "Effective engagement", Millimetre, |_, r| some(r.evaluation.geometry.engaged),
        |a, _| formula_of!(thread::effective_engagement, a.thread.engaged.nominal, a.thread.incomplete, a.thread.damaged_turns, a.thread.basic.pitch);
    "thread.turns", "Turns in full engagement", None, |_, r| some(r.evaluation.geometry.turns),
        |a, r| formula_of!(thread::turns, r.evaluation.geometry.engaged, a.thread.basic.pitch);
    "thread.shear_area.external", "Sheared area of the fitting's thread", SquareMillimetre,
        |_, r| r.evaluation.geometry.strip.map(|s| si(s.external.area)),
        |a, r| formula_of!(strip::external_area, a.thread.sizes.internal_minor, a.thread.sizes.external_pitch, r.evaluation.geometry.turns, a.thread.basic.pitch, a.thread.basic.half_angle);
    "thread.shear_area.internal", "Sheared area of the insert's thread", SquareMillimetre,
        |_, r| r.evaluation.geometry.strip.map(|s| si(s.internal.area)),
        |a, r| formula_of!(strip::internal_area, a.thread.sizes.external_major, a.thread.sizes.internal_pitch, r.evaluation.geometry.turns, a.thread.basic.pitch, a.thread.basic.half_angle);
    "strip.external.capacity", "Load that strips the fitting's thread", Newton, |_, r| r.evaluation.geometry.strip.map(|s| si(s.external.capacity)),
        |_, r| { let s = r.evaluation.geometry.strip?; formula_of!(strip::capacity, s.external.shear_force, s.external.bending, s.external.dilation) };
    "strip.internal.capacity", "Load that strips the insert's thread", Newton, |_, r| r.evaluation.geometry.strip.map(|s| si(s.internal.capacity)),
        |_, r| { let s = r.evaluation.geometry.strip?; formula_of!(strip::capacity, s.internal.shear_force, s.internal.bending, s.internal.dilation) };
    "strip.dilation_factor", "Loss by widening of the insert", None, |_, r| r.evaluation.geometry.strip.map(|s| si(s.dilation)), |a, r| dilation(a, r);
    "strip.bending_factor.external", "Loss by bending of the fitting's thread", None, |_, r| r.evaluation.geometry.strip.map(|s| si(s.external.bending)),
        |_, r| { let s = r.evaluation.geometry.strip?; formula_of!(strip::bending_in_use, strip::bending_external_published(s.strength_ratio)) };
    "strip.bending_factor.internal", "Loss by bending of the insert's thread", None, |_, r| r.evaluation.geometry.strip.map(|s| si(s.internal.bending)),
        |_, r| { let s = r.evaluation.geometry.strip?; formula_of!(strip::bending_in_use, strip::bending_internal_published(s.strength_ratio)) };
    "hoop.capacity", "Load at which the insert's wall yields", Newton, |_, r| r.evaluation.geometry.hoop.map(si),
        |a, r| formula_of!(strip::hoop_capacity, a.insert.material.yield_strength?, a.thread.basic.pitch_diameter, r.evaluation.geometry.engaged, a.insert.outer_diameter / a.thread.basic.major, a.thread.basic.half_angle);
    "insert.wall", "Wall of the insert under the root of its thread", Millimetre, |a, _| some(wall::under_root(a.insert.outer_diameter, a.thread.basic.major)),
        |a, _| formula_of!(wall::under_root, a.insert.outer_diameter, a.thread.basic.major);
    "insert.wall_for_hoop", "Wall with which the insert keeps its required reserve in hoop tension", Millimetre, |a, r| wall_for_hoop(a, r).map(|args| (wall::for_hoop::FORMULA.eval)(&args)),
        |a, r| wall_for_hoop(a, r).map(|args| Origin::Formula(&wall::for_hoop::FORMULA, args.to_vec()));
    "damage.turns", "Turns that carry nothing", None, |a, _| a.damage.as_ref().map(|_| si(super::repair::turns_lost(a))),
        |a, _| { let d = a.damage.as_ref()?;
            if d.missing_turns.is_none() && d.sectors.is_empty() { return Some(Origin::Stated("thread.damaged_turns")); }
            formula_of!(wall::damaged_turns, d.missing_turns.unwrap_or(number(0.0)), super::repair::in_sectors(d), super::repair::turns_there(a)) };
    "preload.nominal", "Preload, nominal", Newton, |_, r| some(r.evaluation.preloads.band.nominal.preload), |_, r| preload(&r.evaluation.preloads.band.nominal);
    "preload.low", "Preload, low torque and high friction, after the loss", Newton, |_, r| some(r.evaluation.preloads.low),
        |_, r| { let p = &r.evaluation.preloads; formula_of!(torque::preload_low, p.band.low.preload, p.loss_relaxation, p.loss_embedding.unwrap_or(from_si(0.0))) };
    "preload.high", "Preload, high torque and low friction", Newton, |_, r| some(r.evaluation.preloads.band.high.preload), |_, r| preload(&r.evaluation.preloads.band.high);
    "preload.loss.relaxation", "Preload lost by relaxation", Newton, |_, r| some(r.evaluation.preloads.loss_relaxation),
        |_, r| formula_of!(torque::relaxation_loss, r.evaluation.preloads.band.low.preload, r.evaluation.preloads.relaxation_share);
    "torque.pitch", "Torque that makes preload", NewtonMetre, |a, r| some(torque::pitch_torque(r.evaluation.preloads.band.nominal.preload, a.thread.basic.pitch)),
        |a, r| formula_of!(torque::pitch_torque, r.evaluation.preloads.band.nominal.preload, a.thread.basic.pitch);
    "torque.thread_friction", "Torque lost in the thread", NewtonMetre,
        |a, r| { let n = &r.evaluation.preloads.band.nominal; some(torque::thread_friction_torque(n.preload, n.helix.r2, n.helix.lead, n.helix.friction, a.thread.basic.pitch)) },
        |a, r| { let n = &r.evaluation.preloads.band.nominal; formula_of!(torque::thread_friction_torque, n.preload, n.helix.r2, n.helix.lead, n.helix.friction, a.thread.basic.pitch) };
    "torque.seat", "Torque lost under the flange", NewtonMetre,
        |_, r| { let n = &r.evaluation.preloads.band.nominal; some(n.helix.seat(n.preload)) },
        |_, r| { let n = &r.evaluation.preloads.band.nominal; formula_of!(torque::seat_torque, n.preload, n.helix.seat_friction, n.helix.seat_radius) };
    "torque.loosening", "Torque to loosen", NewtonMetre,
        |_, r| { let n = &r.evaluation.preloads.band.nominal; some(n.helix.loosening(n.preload)) },
        |_, r| { let n = &r.evaluation.preloads.band.nominal; formula_of!(torque::loosening_torque, n.preload, n.helix.r2, n.helix.lead, n.helix.friction, n.helix.seat_friction, n.helix.seat_radius) };
    "torque.set_on_tool", "Torque to set on the tool", NewtonMetre,
        |a, _| Some(a.tightening.crowfoot.map_or(si(a.tightening.torque.nominal), |(w, e)| si(torque::set_on_tool(a.tightening.torque.nominal, w, e)))),
        |a, _| match a.tightening.crowfoot { Some((w, e)) => formula_of!(torque::set_on_tool, a.tightening.torque.nominal, w, e), None => Some(Origin::Stated("tightening.torque")) };
    "neck.stress.axial", "Axial stress in the neck", Megapascal, |_, r| some(r.evaluation.fitting.axial),
        |a, r| formula_of!(fitting::neck_axial, r.evaluation.preloads.band.high.preload, a.fitting.neck_diameter, a.fitting.bore);
    "neck.stress.shear", "Shear stress in the neck", Megapascal, |_, r| some(r.evaluation.fitting.shear),
        |a, r| { let h = &r.evaluation.preloads.band.high; formula_of!(fitting::neck_shear, h.helix.thread(h.preload), a.fitting.neck_diameter, a.fitting.bore) };
    "neck.stress.equivalent", "Equivalent stress in the neck", Megapascal, |_, r| some(fitting::neck_equivalent(r.evaluation.fitting.axial, r.evaluation.fitting.shear)),
        |_, r| formula_of!(fitting::neck_equivalent, r.evaluation.fitting.axial, r.evaluation.fitting.shear);
    "flange.stress", "Bending stress at the root of the flange", Megapascal, |_, r| some(r.evaluation.fitting.flange),
        |a, r| formula_of!(fitting::flange_stress, r.evaluation.preloads.band.high.preload, a.fitting.neck_diameter / 2.0, r.evaluation.ring.radius, a.fitting.flange_thickness);
    "pedal.radial", "Load across the axis from pedalling", Newton, |_, r| r.evaluation.loads.pedal.map(|p| si(p.radial)),
        |_, r| { let p = r.evaluation.loads.pedal?; formula_of!(pedal::resultant, p.down, p.rear) };
    "pedal.moment", "Moment about the face from pedalling", NewtonMetre, |_, r| r.evaluation.loads.pedal.map(|_| si(r.evaluation.loads.pedal_moment)),
        |a, r| { let p = r.evaluation.loads.pedal?; formula_of!(pedal::overhang_moment, p.radial, a.fitting.bearing_outboard) };
    "pedal.axial", "Pull outward from pedalling", Newton, |_, r| r.evaluation.loads.pedal.map(|p| si(p.axial)),
        |a, r| { let p = r.evaluation.loads.pedal?; let q = a.cases.first()?.pedalling?;
            if si(p.axial) == 0.0 { return Some(Origin::Stated("pedalling.force")); }
            formula_of!(pedal::axial_part, q.force, q.inclination) };
    "pedal.chain", "Chain pull", Newton, |_, r| r.evaluation.loads.pedal.map(|p| si(p.chain)),
        |a, _| { let q = a.cases.first()?.pedalling?; formula_of!(pedal::chain_pull, q.force, q.inclination, q.crank, q.crank_angle, q.chainring_radius) };
    "load.radial", "Load across the axis, in all", Newton, |_, r| some(r.evaluation.loads.radial),
        |a, r| formula_of!(pedal::total_force, r.evaluation.loads.pedal.map_or(from_si(0.0), |p| p.radial), a.cases.first()?.loads.radial);
    "load.moment", "Moment about the face, in all", NewtonMetre, |_, r| some(r.evaluation.loads.moment),
        |a, r| formula_of!(pedal::total_moment, r.evaluation.loads.pedal_moment, a.cases.first()?.loads.moment);
    "load.axial", "Pull outward, in all", Newton, |_, r| some(r.evaluation.loads.axial),
        |a, r| formula_of!(pedal::total_force, r.evaluation.loads.pedal.map_or(from_si(0.0), |p| p.axial), a.cases.first()?.loads.axial);
    "seat.share.insert", "Share of the seat's force on the insert", None, |_, r| some(r.evaluation.ring.share),
        |a, r| match both_parts(r) {
            Some((i, f)) => formula_of!(seat::insert_share, i.stiffness, i.area(), f.stiffness, f.area()),
            None if a.clamped.is_some_and(|c| c.bears_on.is_some()) => Some(Origin::Stated("clamped.bears_on")),
            None => Some(Origin::Stated("insert.face_offset")),
        };
    "seat.radius_effective", "Effective radius of the seat", Millimetre, |_, r| some(r.evaluation.ring.radius),
        |_, r| match both_parts(r) {
            Some((i, f)) => formula_of!(seat::effective_radius_of_parts, r.evaluation.ring.share, seat::effective_radius(i.inner, i.outer), seat::effective_radius(f.inner, f.outer)),
            None => formula_of!(seat::effective_radius, r.evaluation.ring.inner, r.evaluation.ring.outer),
        };
    "seat.area", "Area of the seat", SquareMillimetre, |_, r| some(r.evaluation.ring.area),
        |_, r| match both_parts(r) {
            Some((i, f)) => formula_of!(seat::seat_area, i.area(), f.area()),
            None => formula_of!(seat::ring_area, r.evaluation.ring.inner, r.evaluation.ring.outer),
        };
    "seat.unsupported", "Flange beyond its support, per side", Millimetre, |a, r| some(seat::unsupported(a.fitting.flange_diameter, r.evaluation.ring.outer)),
        |a, r| formula_of!(seat::unsupported, a.fitting.flange_diameter, r.evaluation.ring.outer);
    "lever_out.pull", "Pull on the thread if the clamp is lost", Newton, |_, r| some(r.evaluation.lever_out.0),
        |a, r| formula_of!(seat::lever_out_pull, r.evaluation.loads.moment, r.evaluation.ring.outer, a.thread.basic.pitch_diameter / 2.0);
    "lever_out.line_load", "Highest line load on the thread if the clamp is lost", NewtonPerMillimetre, |_, r| some(r.evaluation.lever_out.1),
        |a, r| formula_of!(seat::lever_out_line_load, r.evaluation.loads.moment, r.evaluation.ring.outer, a.thread.basic.pitch_diameter / 2.0);
    "bond.radius", "Middle radius of the glue", Millimetre, |_, r| some(r.evaluation.geometry.bond_radius),
        |a, _| formula_of!(bond::mid_radius, a.insert.outer_diameter, a.bond.thickness);
    "bond.gap.side", "Glue layer per side", Millimetre, |a, _| some(a.bond.thickness), |_, _| Some(Origin::Stated("bond.thickness"));
    "bond.gap.diameter", "Glue layer on diameter", Millimetre, |a, _| some(bond::gap_on_diameter(a.bond.thickness)),
        |a, _| formula_of!(bond::gap_on_diameter, a.bond.thickness);
    "bond.area", "Glued area", SquareMillimetre, |_, r| some(r.evaluation.geometry.bond_area),
        |a, r| formula_of!(bond::area, r.evaluation.geometry.bond_radius, a.bond.length, a.bond.voids);
    "bond.volume", "Volume of the gap", CubicMillimetre, |_, r| some(r.evaluation.geometry.bond_volume),
        |a, r| formula_of!(bond::volume, r.evaluation.geometry.bond_radius, a.bond.thickness, a.bond.length);
    "preload.loss.embedding", "Preload lost by settling of the surfaces", Newton, |_, r| r.evaluation.preloads.loss_embedding.map(si),
        |a, r| { let c = r.evaluation.coupled?; let settling = if a.tightening.retightened { mm(0.0) } else { a.tightening.embedding };
            formula_of!(torque::embedding_loss, settling, c.thread_stiffness, c.seat_stiffness) };
    "thread.stiffness", "Stiffness of the threaded joint, k_t", NewtonPerMillimetre, |_, r| coupled(r, |c| some(c.thread_stiffness)),
        |a, r| match a.clamped {
            Some(c) => { let f = &a.fitting; formula_of!(clamped::lengthened, r.evaluation.coupled?.face_stiffness, c.thickness, f.material.elastic_modulus,
                ring_area(f.neck_diameter, f.bore), c.material.elastic_modulus, closed::pressed_area(a)) }
            None => solved(a, r, &LADDER, ladder_inputs(a, r), |c| some(c.thread_stiffness)),
        };
    "thread.stiffness.at_face", "Stiffness of the threaded joint from the boss's face on", NewtonPerMillimetre,
        |a, r| a.clamped.and_then(|_| coupled(r, |c| some(c.face_stiffness))),
        |a, r| solved(a, r, &LADDER, ladder_inputs(a, r), |c| some(c.face_stiffness));
    "clamped.grip", "Free length of the fitting under its head", Millimetre, |a, _| a.clamped.map(|c| si(clamped::grip(c.thickness, a.thread.setback))),
        |a, _| formula_of!(clamped::grip, a.clamped?.thickness, a.thread.setback);
    "clamped.area", "Area of the part under the head that is pressed", SquareMillimetre, |a, _| a.clamped.map(|_| si(closed::pressed_area(a))),
        |a, _| { a.clamped?; formula_of!(section::ring_area, closed::pressed_diameter(a), a.seat.inner_diameter) };
    "thread.first_turn_share", "Share of the first turn", None, |_, r| coupled(r, |c| some(c.first_turn)),
        |a, r| solved(a, r, &LADDER, ladder_inputs(a, r), |c| some(c.first_turn));
    "thread.engagement_needed", "Engagement needed", Millimetre, |_, r| coupled(r, |c| c.engagement_needed.map(si)), |a, r| engagement(a, r);
    "seat.stiffness", "Stiffness of the seat, sum of k_c·A", NewtonPerMillimetre, |_, r| coupled(r, |c| some(c.seat_stiffness)),
        |a, r| solved(a, r, &CONTACT, seat_inputs(r), |c| some(c.seat_stiffness));
    "seat.contact.preload", "Share of the ring in contact at preload low", None, |_, r| coupled(r, |c| c.contact_preload.map(si)),
        |a, r| solved(a, r, &CONTACT, contact_inputs(a, r, false), |c| c.contact_preload.map(si));
    "seat.contact.load", "Share of the ring in contact under load, preload low", None, |_, r| coupled(r, |c| c.contact_load.map(si)),
        |a, r| solved(a, r, &CONTACT, contact_inputs(a, r, false), |c| c.contact_load.map(si));
    "seat.pressure.mean", "Mean pressure under load, preload high", Megapascal, |_, r| coupled(r, |c| c.pressure_mean.map(si)),
        |_, r| { let c = r.evaluation.coupled?; formula_of!(seat::mean_pressure, c.pressure_mean? * r.evaluation.ring.area, r.evaluation.ring.area) };
    "seat.pressure.peak", "Peak pressure under load, preload high", Megapascal, |_, r| coupled(r, |c| c.pressure_peak.map(si)),
        |a, r| solved(a, r, &CONTACT, contact_inputs(a, r, true), |c| c.pressure_peak.map(si));
    "seat.moment.open", "Moment that opens the seat, preload low", NewtonMetre, |_, r| coupled(r, |c| c.moment_open.map(si)),
        |a, r| solved(a, r, &CONTACT, contact_inputs(a, r, false), |c| c.moment_open.map(si));
    "seat.pull.extra", "Pull that the load adds to the thread, preload high", Newton, |_, r| coupled(r, |c| c.pull_extra.map(si)),
        |a, r| solved(a, r, &CONTACT, contact_inputs(a, r, true), |c| c.pull_extra.map(si));
    "seat.prying_factor", "Highest line load over that of the preload", None, |_, r| coupled(r, |c| c.prying.map(si)),
        |a, r| solved(a, r, &CONTACT, contact_inputs(a, r, true), |c| c.prying.map(si));
    "bond.axial.force", "Net axial force through the glue in service", Newton, |_, r| coupled(r, |c| c.axial_force.map(si)),
        |a, r| solved(a, r, &CONTACT, contact_inputs(a, r, true), |c| c.axial_force.map(si));
    "bond.axial.mean", "Mean axial shear in service", Megapascal, |_, r| coupled(r, |c| c.axial_mean.map(si)),
        |a, r| { let c = r.evaluation.coupled?; formula_of!(ladder::mean_shear, c.axial_force?, r.evaluation.geometry.bond_radius, a.bond.length, a.bond.voids) };
    "bond.axial.peak", "Peak axial shear in service", Megapascal, |_, r| coupled(r, |c| c.axial_peak.map(si)),
        |a, r| solved(a, r, &LADDER, ladder_inputs(a, r), |c| c.axial_peak.map(si));
    "bond.torsion.torque", "Torque through the glue while tightening", NewtonMetre, |_, r| coupled(r, |c| some(c.torsion_torque)),
        |_, r| { let h = &r.evaluation.preloads.band.high; formula_of!(bond::glue_torque, h.helix.thread(h.preload), r.evaluation.ring.share, h.helix.seat(h.preload)) };
    "bond.torsion.mean", "Mean torsional shear while tightening", Megapascal, |_, r| coupled(r, |c| some(c.torsion_mean)),
        |a, r| { let c = r.evaluation.coupled?; formula_of!(torsion::mean_torsion_shear, c.torsion_torque, r.evaluation.geometry.bond_radius, a.bond.length, a.bond.voids) };
    "bond.torsion.peak", "Peak torsional shear while tightening", Megapascal, |_, r| coupled(r, |c| some(c.torsion_peak)),
        |a, r| solved(a, r, &TORSION, ladder_inputs(a, r), |c| some(c.torsion_peak));
    "bond.rocking.moment", "Moment that rocks the insert in its glue", NewtonMetre, |_, r| coupled(r, |c| c.rocking_moment.map(si)),
        |a, r| solved(a, r, &CONTACT, contact_inputs(a, r, true), |c| c.rocking_moment.map(si));
    "bond.rocking.peel", "Peel of rocking", Megapascal, |_, r| coupled(r, |c| c.rocking_peel.map(si)),
        |a, r| solved(a, r, &ROCKING, rocking_inputs(a, r), |c| c.rocking_peel.map(si));
    "bond.rocking.shear", "Shear of rocking", Megapascal, |_, r| coupled(r, |c| c.rocking_shear.map(si)),
        |a, r| solved(a, r, &ROCKING, rocking_inputs(a, r), |c| c.rocking_shear.map(si));
    "bond.thermal.radial.cold", "Radial thermal stress at the coldest, tension positive", Megapascal, |_, r| some(r.evaluation.glue.radial_cold),
        |a, r| thermal_radial(a, r, a.cases.first()?.coldest);
    "bond.thermal.radial.hot", "Radial thermal stress at the hottest, tension positive", Megapascal, |_, r| some(r.evaluation.glue.radial_hot),
        |a, r| thermal_radial(a, r, a.cases.first()?.hottest);
    "bond.thermal.shear.cold", "Thermal shear at the ends, coldest", Megapascal, |_, r| some(r.evaluation.glue.shear_cold), |a, r| thermal_shear(a, r);
    "bond.service.elastic", "Lowest reserve in service with the glue kept elastic", None, |_, r| coupled(r, |c| c.service_elastic.map(si)),
        |a, r| solved(a, r, &GLUE, glue_inputs(a), |c| c.service_elastic.map(si));
    "bond.ductile.axial", "Axial capacity of the glue by energy, preparation counted", Newton, |_, r| some(r.evaluation.glue.ductile_axial), |a, r| ductile_axial(a, r);
    "bond.ductile.torque", "Torque capacity of the glue by energy, preparation counted", NewtonMetre, |_, r| some(r.evaluation.glue.ductile_torque), |a, r| ductile_torque(a, r);
    "bond.removal.torque", "Torque to undo, as judged", NewtonMetre, |_, r| coupled(r, |c| some(c.removal_torque)),
        |a, r| removal(a, r);
    "bond.removal.limit", "Torque of undoing up to which the glue keeps its required reserve", NewtonMetre, |_, r| coupled(r, |c| some(c.removal_limit)),
        |a, r| solved(a, r, &REMOVAL, removal_inputs(a), |c| some(c.removal_limit));
    "neck.removal.limit", "Torque of undoing up to which the fitting's neck keeps its required reserve", NewtonMetre, |a, r| undo::neck_limit(a, r).map(si),
        |a, r| formula_of!(fitting::neck_torque, a.fitting.material.yield_strength?, a.need.neck, r.evaluation.fitting.axial, a.fitting.neck_diameter, a.fitting.bore);
    "bond.soft_wall_factor", "Factor on the peel of a soft wall, the highest known where it is softer still", None, |a, r| { r.evaluation.coupled?; wall_factor(a) },
        |a, _| { if rigid_frame(a) { return Some(Origin::Stated("frame.held_at")); }
            formula_of!(glue::soft_wall_line, wall_ratio_counted(a)) };
    "elements.over_simple", "Use of the glue by elements over the simple model's, the worst of service and repeated load", None, |_, r| coupled(r, |c| c.elements_over_simple.map(si)),
        |a, r| solved(a, r, &BY_ELEMENTS, glue_inputs(a), |c| c.elements_over_simple.map(si));
    "galvanic.index_difference", "Difference of anodic index, insert and frame", Volt, |_, r| r.evaluation.geometry.galvanic.map(si),
        |a, _| formula_of!(bond::index_difference, a.insert.material.anodic_index?, a.frame.material.anodic_index?);
    "frame.pull_through.demand", "Force on the wall around the insert", Newton, |a, r| plug(a, r).map(|p| si(p.demand)),
        |a, r| { let p = plug(a, r)?;
            if p.inward { return Some(Origin::Stated("loads.axial")); }
            formula_of!(parent::plug_pull, p.outward, r.evaluation.ring.share, r.evaluation.preloads.band.high.preload) };
    "frame.pull_through.capacity", "Force that pulls the wall through", Newton,
        |a, r| { let tau = assess_parent::through_strength(&a.frame.material).ok()?; plug(a, r).map(|p| si(parent::plug_capacity(p.diameter, a.bond.length, tau))) },
        |a, r| { let tau = assess_parent::through_strength(&a.frame.material).ok()?; formula_of!(parent::plug_capacity, plug(a, r)?.diameter, a.bond.length, tau) };
    "frame.edge.capacity", "Force that tears the boss out to the edge", Newton,
        |a, _| Some(si(parent::shear_out_capacity(a.frame.edge_distance?, assess_parent::bore(a) / 2.0, a.bond.length, a.frame.material.shear_strength?))),
        |a, _| formula_of!(parent::shear_out_capacity, a.frame.edge_distance?, assess_parent::bore(a) / 2.0, a.bond.length, a.frame.material.shear_strength?);
}

/// Is the frame held all along, so that a soft wall does no harm?
fn rigid_frame(a: &Assembly) -> bool {
    matches!(a.frame.held_at, HeldAt::FullLength | HeldAt::AllRound)
}

/// Shear stiffness of the wall and of the insert.
fn wall_parts(a: &Assembly) -> (Force, Force) {
    let of = |m: &Material, outer: Length, inner: Length| -> Force {
        rocking::shear_coefficient(m.poisson) * m.shear_modulus * ring_area(outer, inner)
    };
    let bore = a.insert.outer_diameter + a.bond.thickness * 2.0;
    (
        of(&a.frame.material, a.frame.outer_diameter, bore),
        of(
            &a.insert.material,
            a.insert.outer_diameter,
            a.thread.basic.major,
        ),
    )
}

/// The step to the wall's stiffness over the insert's, where that decides anything.
pub(super) fn wall_ratio(a: &Assembly) -> Option<Step> {
    let (wall, insert) = wall_parts(a);
    (!rigid_frame(a)).then(|| {
        Step::formula(
            glue::wall_stiffness_ratio::FORMULA.title,
            &glue::wall_stiffness_ratio::FORMULA,
            vec![si(wall), si(insert)],
        )
    })
}

/// That ratio, no lower than the factor's range.
fn wall_ratio_counted(a: &Assembly) -> Ratio {
    let (wall, insert) = wall_parts(a);
    glue::wall_stiffness_ratio(wall, insert).max(number(glue::SOFT_WALL_FROM))
}

fn wall_factor(a: &Assembly) -> Option<f64> {
    Some(if rigid_frame(a) {
        1.0
    } else {
        si(glue::soft_wall_line(wall_ratio_counted(a)))
    })
}

/// The worst plug of the parent, where it is judged.
fn plug(a: &Assembly, r: &Assessment) -> Option<assess_parent::Plug> {
    let e = &r.evaluation;
    assess_parent::applies(a)
        .then(|| assess_parent::worst_plug(a, &e.ring, e.preloads.band.high.preload))
}

/// A value of the coupled model.
fn coupled(r: &Assessment, get: impl Fn(&Coupled) -> Option<f64>) -> Option<f64> {
    r.evaluation.coupled.as_ref().and_then(get)
}

/// A value of the coupled model with what went in, and what a fresh run gives.
fn solved(
    a: &Assembly,
    r: &Assessment,
    method: &'static Method,
    inputs: Vec<Put>,
    get: impl Fn(&Coupled) -> Option<f64>,
) -> Option<Origin> {
    let again = super::evaluate(a, r.evaluation.bears, 1.0)
        .ok()?
        .coupled
        .as_ref()
        .and_then(get)?;
    Some(Origin::Solved(method, inputs, again))
}

pub(super) fn put<D: uom::si::Dimension + ?Sized>(
    symbol: &'static str,
    unit: Unit,
    q: uom::si::Quantity<D, uom::si::SI<f64>, f64>,
) -> Put {
    Put {
        symbol,
        unit,
        si: si(q),
    }
}

pub(super) fn ladder_inputs(a: &Assembly, r: &Assessment) -> Vec<Put> {
    vec![
        put("n", Unit::Millimetre, a.thread.setback),
        put("L_e", Unit::Millimetre, r.evaluation.geometry.engaged),
        put("L", Unit::Millimetre, a.bond.length),
        put("eta", Unit::Millimetre, a.bond.thickness),
        put("G", Unit::Megapascal, a.bond.adhesive.shear_modulus),
        put("voids", Unit::None, a.bond.voids),
        put(
            "E of fitting",
            Unit::Megapascal,
            a.fitting.material.elastic_modulus,
        ),
        put(
            "E of insert",
            Unit::Megapascal,
            a.insert.material.elastic_modulus,
        ),
        put(
            "E of frame",
            Unit::Megapascal,
            a.frame.material.elastic_modulus,
        ),
        put("E·A of insert", Unit::Newton, closed::axial_stiffness(a).0),
        put("E·A of frame", Unit::Newton, closed::axial_stiffness(a).1),
        put("r_b", Unit::Millimetre, r.evaluation.geometry.bond_radius),
        put("P", Unit::Millimetre, a.thread.basic.pitch),
        put("d2", Unit::Millimetre, a.thread.basic.pitch_diameter),
        put("s", Unit::None, r.evaluation.ring.share),
    ]
}

pub(super) fn seat_inputs(r: &Assessment) -> Vec<Put> {
    let ring = &r.evaluation.ring;
    let mut out = vec![
        put("r_i", Unit::Millimetre, ring.inner),
        put("r_o", Unit::Millimetre, ring.outer),
    ];
    if let Some(part) = ring.insert {
        out.push(put(
            "k_c on the insert",
            Unit::NewtonPerCubicMillimetre,
            part.stiffness,
        ));
    }
    if let Some(part) = ring.frame {
        out.push(put(
            "k_c on the frame",
            Unit::NewtonPerCubicMillimetre,
            part.stiffness,
        ));
    }
    out
}

pub(super) fn contact_inputs(a: &Assembly, r: &Assessment, high: bool) -> Vec<Put> {
    let e = &r.evaluation;
    let mut out = seat_inputs(r);
    if let Some(c) = e.coupled {
        out.push(put("k_t", Unit::NewtonPerMillimetre, c.thread_stiffness));
    }
    out.push(put(
        "r2",
        Unit::Millimetre,
        a.thread.basic.pitch_diameter / 2.0,
    ));
    out.push(put(
        "F0",
        Unit::Newton,
        if high {
            e.preloads.band.high.preload
        } else {
            e.preloads.low
        },
    ));
    out.push(put("M", Unit::NewtonMetre, e.loads.moment));
    out.push(put("N_ext", Unit::Newton, e.loads.axial));
    out
}

pub(super) fn rocking_inputs(a: &Assembly, r: &Assessment) -> Vec<Put> {
    let mut out = vec![
        put("V_b", Unit::Newton, r.evaluation.loads.radial),
        put("n", Unit::Millimetre, a.thread.setback),
        put("L_e", Unit::Millimetre, r.evaluation.geometry.engaged),
        put("L", Unit::Millimetre, a.bond.length),
        put("eta", Unit::Millimetre, a.bond.thickness),
        put("G_a", Unit::Megapascal, a.bond.adhesive.shear_modulus),
        put("nu_a", Unit::None, a.bond.adhesive.poisson),
        put("voids", Unit::None, a.bond.voids),
        put("r_b", Unit::Millimetre, r.evaluation.geometry.bond_radius),
        put("d of insert", Unit::Millimetre, a.thread.basic.major),
        put("D_o of insert", Unit::Millimetre, a.insert.outer_diameter),
        put(
            "E of insert",
            Unit::Megapascal,
            a.insert.material.elastic_modulus,
        ),
    ];
    if let Some(moment) = r.evaluation.coupled.and_then(|c| c.rocking_moment) {
        out.insert(1, put("M_b", Unit::NewtonMetre, moment));
    }
    out
}

pub(super) fn glue_inputs(a: &Assembly) -> Vec<Put> {
    let g = &a.bond.adhesive;
    vec![
        put("sigma_a", Unit::Megapascal, g.tensile_strength),
        put("tau_p", Unit::Megapascal, g.shear_strength),
        put("gamma_p", Unit::None, g.plastic_shear_strain),
        put("preparation", Unit::None, a.bond.preparation),
        put("ageing", Unit::None, g.ageing_factor),
        put("left at the hot temperature", Unit::None, g.hot_factor),
        put("hot temperature", Unit::Celsius, g.hot_temperature),
    ]
}

/// What the torque that keeps the glue's ratio while undoing is found from: heat takes no part.
fn removal_inputs(a: &Assembly) -> Vec<Put> {
    let mut inputs = glue_inputs(a);
    inputs.retain(|p| !p.symbol.contains("hot temperature"));
    inputs.push(put("required", Unit::None, a.need.removal));
    inputs
}

/// The capacity that asks for the most engagement.
fn engagement(a: &Assembly, r: &Assessment) -> Option<Origin> {
    let g = &r.evaluation.geometry;
    let check = r.checks[CheckId::StripInternal.index()]?;
    let strip = g.strip?;
    let demand: Force = from_si(check.demand);
    let mut options = vec![
        (a.need.strip, strip.external.capacity),
        (a.need.strip, strip.internal.capacity),
    ];
    options.extend(g.hoop.map(|hoop| (a.need.hoop, hoop)));
    let (need, capacity) = options
        .into_iter()
        .max_by(|x, y| (x.0.value / si(x.1)).total_cmp(&(y.0.value / si(y.1))))?;
    formula_of!(strip::engagement_needed, g.engaged, need, demand, capacity)
}

pub(super) fn thermal_radial(
    a: &Assembly,
    r: &Assessment,
    t: ThermodynamicTemperature,
) -> Option<Origin> {
    let (row, radius) = (&a.bond.adhesive, r.evaluation.geometry.bond_radius);
    formula_of!(
        thermal::thermal_radial,
        a.insert.material.expansion,
        a.frame.material.expansion,
        row.expansion,
        a.bond.cure_temperature,
        t,
        radius,
        a.bond.thickness,
        row.poisson,
        rocking::confined_modulus(row.shear_modulus, row.poisson),
        a.insert.material.elastic_modulus,
        thermal::inner_wall_give(a.insert.material.poisson, radius, a.thread.basic.major),
        a.frame.material.elastic_modulus,
        thermal::outer_wall_give(
            a.frame.material.poisson,
            radius,
            a.frame.outer_diameter / 2.0
        )
    )
}

pub(super) fn thermal_shear(a: &Assembly, r: &Assessment) -> Option<Origin> {
    let lag = closed::shear_lag(a, r.evaluation.geometry.bond_radius);
    let cold = a.cases.first()?.coldest;
    // The shear is antisymmetric along the bond: of its two ends the one where it is positive.
    let formula = &thermal::thermal_shear::FORMULA;
    [mm(0.0), a.bond.length]
        .into_iter()
        .map(|x| {
            arguments![
                a.insert.material.expansion,
                a.frame.material.expansion,
                a.bond.cure_temperature,
                cold,
                a.bond.adhesive.shear_modulus,
                a.bond.thickness,
                lag,
                a.bond.length,
                x
            ]
        })
        .find(|arguments| (formula.eval)(arguments) >= 0.0)
        .map(|arguments| Origin::Formula(formula, arguments))
}

fn ductile_axial(a: &Assembly, r: &Assessment) -> Option<Origin> {
    let (row, radius) = (&a.bond.adhesive, r.evaluation.geometry.bond_radius);
    let (insert, frame) = closed::axial_stiffness(a);
    let gamma_e: Ratio = row.shear_strength / row.shear_modulus;
    formula_of!(
        glue::axial_capacity,
        radius,
        a.bond.thickness,
        a.bond.length,
        a.bond.voids,
        row.shear_strength * a.bond.preparation,
        gamma_e,
        row.plastic_shear_strain,
        insert,
        frame
    )
}

fn ductile_torque(a: &Assembly, r: &Assessment) -> Option<Origin> {
    let (row, radius) = (&a.bond.adhesive, r.evaluation.geometry.bond_radius);
    let (insert, frame) = closed::polar_sections(a);
    let gamma_e: Ratio = row.shear_strength / row.shear_modulus;
    formula_of!(
        glue::torque_capacity,
        radius,
        a.bond.thickness,
        a.bond.length,
        a.bond.voids,
        row.shear_strength * a.bond.preparation,
        gamma_e,
        row.plastic_shear_strain,
        a.insert.material.shear_modulus,
        insert,
        a.frame.material.shear_modulus,
        frame
    )
}

/// The removal torque: as stated, or that of loosening at preload high and high friction.
fn removal(a: &Assembly, r: &Assessment) -> Option<Origin> {
    if a.tightening.removal_torque.is_some() {
        return Some(Origin::Stated("tightening.removal_torque"));
    }
    let band = &r.evaluation.preloads.band;
    let h = &band.low.helix;
    if !h.self_locking() {
        // The thread's part is taken as nothing.
        return formula_of!(
            torque::seat_torque,
            band.high.preload,
            h.seat_friction,
            h.seat_radius
        );
    }
    formula_of!(
        torque::loosening_torque,
        band.high.preload,
        h.r2,
        h.lead,
        h.friction,
        h.seat_friction,
        h.seat_radius
    )
}

/// What goes into the wall that keeps the hoop check's ratio.
fn wall_for_hoop(a: &Assembly, r: &Assessment) -> Option<[f64; 7]> {
    let check = r.checks[CheckId::Hoop.index()]?;
    let demand: Force = from_si(check.demand);
    let b = &a.thread.basic;
    Some([
        si(demand),
        si(a.need.hoop),
        si(a.insert.material.yield_strength?),
        si(b.pitch_diameter),
        si(r.evaluation.geometry.engaged),
        si(b.half_angle),
        si(b.major),
    ])
}

/// The formulas of pitch diameter, minor and root that made the basic sizes.
fn form_of(a: &Assembly) -> Option<(&'static Formula, &'static Formula, &'static Formula)> {
    let basic = &a.thread.basic;
    let rows: [(&'static Formula, &'static Formula, &'static Formula); 3] = [
        (
            &thread::iso_pitch_diameter::FORMULA,
            &thread::iso_internal_minor::FORMULA,
            &thread::iso_root::FORMULA,
        ),
        (
            &thread::whitworth_pitch_diameter::FORMULA,
            &thread::whitworth_minor::FORMULA,
            &thread::whitworth_minor::FORMULA,
        ),
        (
            &thread::cycle_pitch_diameter::FORMULA,
            &thread::cycle_minor::FORMULA,
            &thread::cycle_minor::FORMULA,
        ),
    ];
    let made = |f: &Formula| (f.eval)(&[si(basic.major), si(basic.pitch)]);
    rows.into_iter()
        .find(|f| made(f.0) == si(basic.pitch_diameter))
}

fn preload(t: &closed::Tightened) -> Option<Origin> {
    formula_of!(
        torque::preload_from_torque,
        t.torque,
        t.helix.r2,
        t.helix.lead,
        t.helix.friction,
        t.helix.seat_friction,
        t.helix.seat_radius
    )
}

/// The published factor of a thick wall, or that of the weaker member of a thin one.
fn dilation(a: &Assembly, r: &Assessment) -> Option<Origin> {
    let s = r.evaluation.geometry.strip?;
    if s.wall.value >= strip::THIN_WALL_BELOW {
        return formula_of!(strip::dilation_published, s.wall);
    }
    if r.evaluation.geometry.turns.value <= 0.0 {
        return Some(Origin::Stated("thread.engaged"));
    }
    thin_wall(a, r, s.external.dilation < s.internal.dilation)
}

/// The dilation of one member of a thin wall.
pub(super) fn thin_wall(a: &Assembly, r: &Assessment, external: bool) -> Option<Origin> {
    let s = r.evaluation.geometry.strip?;
    let basic = &a.thread.basic;
    let cs = strip::insert_compliance(
        basic.major,
        s.wall,
        a.insert.material.elastic_modulus,
        a.insert.material.poisson,
    );
    let hollow: Ratio = a.fitting.bore / basic.pitch_diameter;
    let cf = strip::fitting_compliance(
        basic.pitch_diameter,
        hollow,
        a.fitting.material.elastic_modulus,
        a.fitting.material.poisson,
    );
    let sizes = &a.thread.sizes;
    let (member, tooth) = if external {
        (
            s.external,
            strip::external_tooth(
                sizes.internal_minor,
                sizes.external_pitch,
                basic.pitch,
                basic.half_angle,
            ),
        )
    } else {
        (
            s.internal,
            strip::internal_tooth(
                sizes.external_major,
                sizes.internal_pitch,
                basic.pitch,
                basic.half_angle,
            ),
        )
    };
    formula_of!(
        strip::thin_wall_factor,
        member.shear_force,
        member.bending,
        basic.half_angle,
        cs,
        cf,
        basic.pitch_diameter,
        r.evaluation.geometry.engaged,
        tooth
    )
}
