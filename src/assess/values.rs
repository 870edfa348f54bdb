//! Every result: its id, title and unit, where it is found, and how it is explained.
//!
//! An explanation names the [`Formula`] that computed the value and the numbers that went in; a test runs
//! each formula on those numbers again and compares.

use super::Assessment;
use crate::job::assembly::*;
use crate::mechanics::formula::Formula;
use crate::mechanics::thread::StressArea;
use crate::mechanics::{bond, fitting, pedal, seat, strip, thread, torque};
use crate::units::*;

/// Where a value comes from.
#[derive(Debug, Clone)]
pub enum Origin {
    /// A closed form and its arguments in SI base units.
    Formula(&'static Formula, Vec<f64>),
    /// Read from the job or from a table row, under this key.
    Stated(&'static str),
}

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

/// The value with this id.
pub fn find(id: &str) -> Option<&'static Value> {
    ALL.iter().find(|v| v.id == id)
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
        |a, r| formula_of!(total::force, r.evaluation.loads.pedal.map_or(from_si(0.0), |p| p.radial), a.cases.first()?.loads.radial);
    "load.moment", "Moment about the face, in all", NewtonMetre, |_, r| some(r.evaluation.loads.moment),
        |a, r| formula_of!(total::moment, r.evaluation.loads.pedal_moment, a.cases.first()?.loads.moment);
    "load.axial", "Pull outward, in all", Newton, |_, r| some(r.evaluation.loads.axial),
        |a, r| formula_of!(total::force, r.evaluation.loads.pedal.map_or(from_si(0.0), |p| p.axial), a.cases.first()?.loads.axial);
    "seat.share.insert", "Share of the seat's force on the insert", None, |_, r| some(r.evaluation.ring.share),
        |_, r| match both_parts(r) {
            Some((i, f)) => formula_of!(seat::insert_share, i.stiffness, i.area(), f.stiffness, f.area()),
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
    "galvanic.index_difference", "Difference of anodic index, insert and frame", Volt, |_, r| r.evaluation.geometry.galvanic.map(si),
        |a, _| formula_of!(bond::index_difference, a.insert.material.anodic_index?, a.frame.material.anodic_index?);
}

/// Totals of pedalling and direct loads.
mod total {
    use crate::mechanics::formula::formula;
    use crate::units::*;
    formula! { "Pedalling and direct load together";
    source: "addition, all taken in the direction of the pedalling load"; limits: "on the conservative side where they act in different directions";
    fn force(pedalling: Force, direct: Force) -> Force { pedalling + direct } }
    formula! { "Pedalling and direct moment together";
    source: "addition, all taken in the direction of the pedalling load"; limits: "on the conservative side where they act in different directions";
    fn moment(pedalling: Torque, direct: Torque) -> Torque { pedalling + direct } }
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

fn preload(t: &super::closed::Tightened) -> Option<Origin> {
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
    let (member, tooth) = if s.external.dilation < s.internal.dilation {
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
