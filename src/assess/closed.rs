//! What needs no solver: geometry, capacities, preload band, stresses, loads, lever-out.

use crate::job::assembly::*;
use crate::mechanics::pedal::{self, PedalLoad, Side};
use crate::mechanics::seat::{self, Bears, Ring, RingInput};
use crate::mechanics::section::{ring_area, ring_polar};
use crate::mechanics::strip::{self, StripInput, Stripping};
use crate::mechanics::torque::{self, Helix};
use crate::mechanics::{bond, clamped, fitting, glue, ladder, rocking, thermal, thread};
use crate::units::*;

/// Half of a spread face offset that leaves it open what bears: a feeler cannot tell less.
///
/// The limit of 0.05 mm is the engineering basis's, common practice without a source.
pub const OFFSET_UNPROVEN_BELOW_MM: f64 = 0.05;

/// What the stated face offset says about the way of bearing.
///
/// A part under the head that is said to bear on something settles it, whatever the offset.
pub fn stated_bearing(assembly: &Assembly) -> Bears {
    if let Some(bears) = assembly.clamped.and_then(|c| c.bears_on) {
        return bears;
    }
    match assembly.insert.face_offset.map_or(0.0, |o| si(o.nominal)) {
        offset if offset > 0.0 => Bears::Insert,
        offset if offset < 0.0 => Bears::Frame,
        _ => Bears::Both,
    }
}

/// Does the face offset leave it open what bears?
pub fn bearing_unproven(assembly: &Assembly) -> bool {
    if assembly.clamped.is_some_and(|c| c.bears_on.is_some()) {
        return false;
    }
    assembly.insert.face_offset.is_none_or(|o| {
        o.nominal.abs() < mm(OFFSET_UNPROVEN_BELOW_MM) || (o.low <= mm(0.0) && o.high >= mm(0.0))
    })
}

/// The ring that bears, for a way of bearing.
pub fn ring(assembly: &Assembly, bears: Bears) -> Option<Ring> {
    let face_radius = assembly
        .insert
        .lip_diameter
        .unwrap_or(assembly.insert.outer_diameter)
        / 2.0;
    let bore_radius = match assembly.insert.lip_diameter {
        Some(lip) => lip / 2.0,
        None => assembly.insert.outer_diameter / 2.0 + assembly.bond.thickness,
    };
    let flange = pressed_diameter(assembly) / 2.0;
    let supported = assembly.seat.outer_diameter / 2.0;
    let input = RingInput {
        inner: assembly.seat.inner_diameter / 2.0,
        outer: if flange < supported {
            flange
        } else {
            supported
        },
        face_radius,
        bore_radius,
        insert: assembly.insert.material.elastic(),
        frame: assembly.frame.material.elastic(),
    };
    Ring::new(&input, bears)
}

/// Outer diameter that presses on the face: the head's, or that of a smaller part under it.
///
/// The pressure is not taken to spread in that part.
pub fn pressed_diameter(assembly: &Assembly) -> Length {
    let flange = assembly.fitting.flange_diameter;
    assembly
        .clamped
        .map_or(flange, |c| clamped::pressed_outer(flange, c.outer_diameter))
}

/// Tilting stiffness of seat and thread ring together, without gaps: moment per radian.
pub fn tilting_stiffness(assembly: &Assembly, ring: &Ring, thread: Stiffness) -> Torque {
    let part = |p: Option<seat::Part>| {
        p.map_or(0.0, |p| seat::tilting(p.stiffness, p.inner, p.outer).value)
    };
    let r2 = assembly.thread.basic.pitch_diameter / 2.0;
    from_si(part(ring.insert) + part(ring.frame) + seat::thread_tilting(thread, r2).value)
}

/// Area of the part under the head that is pressed: from the seat's hole outward.
pub fn pressed_area(assembly: &Assembly) -> Area {
    ring_area(pressed_diameter(assembly), assembly.seat.inner_diameter)
}

/// Stiffness of the threaded joint, a part under the head counted.
pub fn joint_stiffness(assembly: &Assembly, thread: Stiffness) -> Stiffness {
    let fit = &assembly.fitting;
    assembly.clamped.map_or(thread, |c| {
        clamped::lengthened(
            thread,
            c.thickness,
            fit.material.elastic_modulus,
            ring_area(fit.neck_diameter, fit.bore),
            c.material.elastic_modulus,
            pressed_area(assembly),
        )
    })
}

/// Effective engagement of the two threads.
pub fn engaged(assembly: &Assembly) -> Length {
    let t = &assembly.thread;
    thread::effective_engagement(
        t.engaged.nominal,
        t.incomplete,
        t.damaged_turns,
        t.basic.pitch,
    )
}

/// Everything that turns torque into preload: thread friction, seat friction, radius of the seat.
pub fn helix(
    assembly: &Assembly,
    ring: &Ring,
    thread_friction: Ratio,
    seat_friction: Ratio,
) -> Helix {
    let basic = &assembly.thread.basic;
    let lead = thread::lead_angle(basic.pitch, basic.pitch_diameter);
    Helix::new(
        basic.pitch_diameter / 2.0,
        lead,
        torque::friction_angle(thread_friction, basic.half_angle, lead),
        seat_friction,
        ring.radius,
    )
}

/// Loads on the insert of one side in one case with one pedal pressed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loads {
    /// Pedalling alone.
    pub pedal: Option<PedalLoad>,
    /// Moment of pedalling about the face.
    pub pedal_moment: Torque,
    /// Across the axis, in all.
    pub radial: Force,
    /// About the face, in all; negative for a bearing inside the face.
    pub moment: Torque,
    /// Along the axis, outward, in all.
    pub axial: Force,
    /// About the axis in service.
    pub torque: Torque,
}

/// Where the bearings stand in a case.
pub fn bearings(assembly: &Assembly, case: &LoadCase) -> Option<pedal::Bearings> {
    Some(pedal::Bearings {
        width: assembly.frame.width?,
        near_outboard: assembly.fitting.bearing_outboard,
        far_outboard: case.far_outboard,
    })
}

/// The loads of a case; with pedalling, first those of the pedal with the larger reaction.
pub fn loads(assembly: &Assembly, case: &LoadCase) -> (Loads, Option<Loads>) {
    let direct = case.loads;
    let (Some(pedalling), Some(bearings)) = (case.pedalling, bearings(assembly, case)) else {
        let only = Loads {
            pedal: None,
            pedal_moment: from_si(0.0),
            radial: direct.radial,
            moment: direct.moment,
            axial: direct.axial,
            torque: direct.torque,
        };
        return (only, None);
    };
    let of = |pressed: Side| {
        let load = pedal::load(&pedalling, &bearings, assembly.side, pressed);
        let moment = pedal::overhang_moment(load.radial, bearings.near_outboard);
        Loads {
            pedal: Some(load),
            pedal_moment: moment,
            radial: load.radial + direct.radial,
            moment: moment + direct.moment,
            axial: load.axial + direct.axial,
            torque: direct.torque,
        }
    };
    let (own, other) = (of(assembly.side), of(assembly.side.other()));
    let reaction = |l: &Loads| l.pedal.map_or(from_si(0.0), |p| p.radial);
    if reaction(&other) > reaction(&own) {
        (other, Some(own))
    } else {
        (own, Some(other))
    }
}

/// Preload at one torque and one state of friction, and what it does to the fitting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tightened {
    /// Torque at the fitting.
    pub torque: Torque,
    /// Preload.
    pub preload: Force,
    /// The helix with its friction.
    pub helix: Helix,
}

/// The preload band before any loss.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Nominal torque and friction.
    pub nominal: Tightened,
    /// High torque, low friction.
    pub high: Tightened,
    /// Low torque, high friction, before the loss.
    pub low: Tightened,
}

/// The preload band for a torque with its spread.
pub fn band(assembly: &Assembly, ring: &Ring, torque: Spread<Torque>) -> Band {
    let t = &assembly.tightening;
    let at = |torque: Torque, thread: Ratio, seat: Ratio| {
        let helix = helix(assembly, ring, thread, seat);
        Tightened {
            torque,
            preload: helix.preload(torque),
            helix,
        }
    };
    Band {
        nominal: at(
            torque.nominal,
            t.thread_friction.nominal,
            t.seat_friction.nominal,
        ),
        high: at(torque.high, t.thread_friction.low, t.seat_friction.low),
        low: at(torque.low, t.thread_friction.high, t.seat_friction.high),
    }
}

/// Share of the preload lost by relaxation, by what bears.
pub fn relaxation_share(assembly: &Assembly, ring: &Ring) -> Ratio {
    let relaxation = assembly.tightening.relaxation;
    if ring.share.value < 1.0 {
        relaxation.on_frame
    } else {
        relaxation.on_insert
    }
}

/// Stresses in the fitting's own metal at a preload.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FittingStress {
    /// Axial stress in the neck.
    pub axial: Pressure,
    /// Shear stress in the neck.
    pub shear: Pressure,
    /// Bending stress in the flange.
    pub flange: Pressure,
}

/// Stresses in the fitting at a tightened state.
pub fn fitting_stress(assembly: &Assembly, ring: &Ring, tightened: &Tightened) -> FittingStress {
    let f = &assembly.fitting;
    FittingStress {
        axial: fitting::neck_axial(tightened.preload, f.neck_diameter, f.bore),
        shear: fitting::neck_shear(
            tightened.helix.thread(tightened.preload),
            f.neck_diameter,
            f.bore,
        ),
        flange: fitting::flange_stress(
            tightened.preload,
            f.neck_diameter / 2.0,
            ring.radius,
            f.flange_thickness,
        ),
    }
}

/// What does not depend on the torque or on the loads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Geometry {
    /// Lead angle.
    pub lead: Angle,
    /// Stress area.
    pub stress_area: Area,
    /// Effective engagement.
    pub engaged: Length,
    /// Turns in it.
    pub turns: Ratio,
    /// Stripping capacities, where both shear strengths are known.
    pub strip: Option<Stripping>,
    /// Hoop yield of the insert, where its yield strength is known.
    pub hoop: Option<Force>,
    /// Middle radius of the glue.
    pub bond_radius: Length,
    /// Glued area.
    pub bond_area: Area,
    /// Volume of the gap.
    pub bond_volume: Volume,
    /// Difference of anodic index between insert and frame.
    pub galvanic: Option<ElectricPotential>,
    /// The same between fitting and insert.
    pub galvanic_fitting: Option<ElectricPotential>,
}

/// Geometry and capacities of an assembly.
pub fn geometry(assembly: &Assembly) -> Geometry {
    let t = &assembly.thread;
    let basic = t.basic;
    let engaged = engaged(assembly);
    let insert = &assembly.insert;
    let fit = &assembly.fitting;
    let strip = insert
        .material
        .shear_strength
        .zip(fit.material.shear_strength)
        .map(|(insert_shear, fitting_shear)| {
            strip::stripping(&StripInput {
                basic,
                sizes: t.sizes,
                engaged,
                insert_outer: insert.outer_diameter,
                fitting_bore: fit.bore,
                insert_elastic: insert.material.elastic(),
                fitting_elastic: fit.material.elastic(),
                insert_shear,
                fitting_shear,
            })
        });
    let hoop = insert.material.yield_strength.map(|sigma| {
        strip::hoop_capacity(
            sigma,
            basic.pitch_diameter,
            engaged,
            insert.outer_diameter / basic.major,
            basic.half_angle,
        )
    });
    let bond_radius = bond::mid_radius(insert.outer_diameter, assembly.bond.thickness);
    let difference = |a: Option<ElectricPotential>, b: Option<ElectricPotential>| {
        a.zip(b).map(|(a, b)| bond::index_difference(a, b))
    };
    Geometry {
        lead: thread::lead_angle(basic.pitch, basic.pitch_diameter),
        stress_area: match t.stress_area {
            thread::StressArea::Metric => {
                thread::stress_area_metric(basic.pitch_diameter, basic.root)
            }
            thread::StressArea::Unified => thread::stress_area_unified(basic.major, basic.pitch),
        },
        engaged,
        turns: thread::turns(engaged, basic.pitch),
        strip,
        hoop,
        bond_radius,
        bond_area: bond::area(bond_radius, assembly.bond.length, assembly.bond.voids),
        bond_volume: bond::volume(bond_radius, assembly.bond.thickness, assembly.bond.length),
        galvanic: difference(
            insert.material.anodic_index,
            assembly.frame.material.anodic_index,
        ),
        galvanic_fitting: difference(fit.material.anodic_index, insert.material.anodic_index),
    }
}

/// The lever-out values: the load on the thread if the clamp is ever lost.
pub fn lever_out(assembly: &Assembly, ring: &Ring, moment: Torque) -> (Force, LineLoad) {
    let r2 = assembly.thread.basic.pitch_diameter / 2.0;
    (
        seat::lever_out_pull(moment, ring.outer, r2),
        seat::lever_out_line_load(moment, ring.outer, r2),
    )
}

/// What still holds insert and fitting if the glue lets go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    /// The insert's own lip, against going inward.
    Lip,
    /// The flange, where it reaches over the frame, against going inward.
    Flange,
    /// Nothing.
    Nothing,
}

/// What still holds without glue.
pub fn without_glue(assembly: &Assembly) -> Holds {
    let bore = assembly.insert.outer_diameter + 2.0 * assembly.bond.thickness;
    if assembly.insert.lip_diameter.is_some_and(|lip| lip > bore) {
        Holds::Lip
    } else if assembly.fitting.flange_diameter > bore && assembly.seat.outer_diameter > bore {
        Holds::Flange
    } else {
        Holds::Nothing
    }
}

/// The factors that cut the glue's strengths down, one by one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnockDowns {
    /// Surface preparation: always.
    pub preparation: Ratio,
    /// Ageing: all states but tightening.
    pub ageing: Ratio,
    /// Heat at the hottest of the job's own case; nothing above the adhesive's row.
    pub heat: Option<Ratio>,
    /// Share of the strength under repeated load.
    pub endurance: Ratio,
    /// Share of the shear strength under lasting load.
    pub creep: Ratio,
}

/// The knock-downs of the glue.
pub fn knock_downs(assembly: &Assembly) -> KnockDowns {
    use crate::mechanics::glue::{Judged, temperature_factor};
    let row = &assembly.bond.adhesive;
    let hottest = assembly
        .cases
        .first()
        .map_or(row.hot_temperature, |c| c.hottest);
    KnockDowns {
        preparation: assembly.bond.preparation,
        ageing: row.ageing_factor,
        heat: match temperature_factor(hottest, row.hot_temperature, row.hot_factor) {
            Judged::Value(factor) => Some(factor),
            Judged::Not => None,
        },
        endurance: row.endurance_share,
        creep: row.creep_share,
    }
}

/// Stresses and capacities of the glue that depend on neither torque nor loads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GlueStatics {
    /// Radial thermal stress at the coldest of the job's own case, tension positive.
    pub radial_cold: Pressure,
    /// The same at the hottest.
    pub radial_hot: Pressure,
    /// Thermal shear at the bond's ends, coldest, its magnitude.
    pub shear_cold: Pressure,
    /// Axial capacity by energy, preparation counted.
    pub ductile_axial: Force,
    /// Torque capacity by energy, preparation counted.
    pub ductile_torque: Torque,
}

/// Is it hotter than the adhesive's row knows?
pub fn too_hot(row: &Adhesive, temperature: ThermodynamicTemperature) -> bool {
    use crate::mechanics::glue::{Judged, temperature_factor};
    temperature_factor(temperature, row.hot_temperature, row.hot_factor) == Judged::Not
}

/// Axial stiffness E·A of insert and frame.
pub fn axial_stiffness(a: &Assembly) -> (Force, Force) {
    let bore = a.insert.outer_diameter + 2.0 * a.bond.thickness;
    (
        a.insert.material.elastic_modulus
            * ring_area(a.insert.outer_diameter, a.thread.basic.major),
        a.frame.material.elastic_modulus * ring_area(a.frame.outer_diameter, bore),
    )
}

/// Polar second moments of insert and frame.
pub fn polar_sections(a: &Assembly) -> (SecondMoment, SecondMoment) {
    let bore = a.insert.outer_diameter + 2.0 * a.bond.thickness;
    (
        ring_polar(a.insert.outer_diameter, a.thread.basic.major),
        ring_polar(a.frame.outer_diameter, bore),
    )
}

/// Shear-lag number of the bond, insert and frame alone.
pub fn shear_lag(a: &Assembly, radius: Length) -> Ratio {
    let (insert, frame) = axial_stiffness(a);
    let spring = ladder::glue_stiffness(
        radius,
        a.bond.adhesive.shear_modulus,
        a.bond.thickness,
        a.bond.voids,
    );
    ladder::shear_lag(spring, insert, frame, a.bond.length)
}

/// Radial thermal stress in the glue at a temperature.
pub fn radial_stress(
    a: &Assembly,
    radius: Length,
    temperature: ThermodynamicTemperature,
) -> Pressure {
    let row = &a.bond.adhesive;
    thermal::thermal_radial(
        a.insert.material.expansion,
        a.frame.material.expansion,
        row.expansion,
        a.bond.cure_temperature,
        temperature,
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
            a.frame.outer_diameter / 2.0,
        ),
    )
}

/// Thermal shear in the glue at a temperature and a distance behind the face.
pub fn thermal_shear(
    a: &Assembly,
    lag: Ratio,
    temperature: ThermodynamicTemperature,
    x: Length,
) -> Pressure {
    thermal::thermal_shear(
        a.insert.material.expansion,
        a.frame.material.expansion,
        a.bond.cure_temperature,
        temperature,
        a.bond.adhesive.shear_modulus,
        a.bond.thickness,
        lag,
        a.bond.length,
        x,
    )
}

/// Stresses and capacities of the glue that depend on neither torque nor loads.
pub fn glue_statics(a: &Assembly, radius: Length) -> GlueStatics {
    let (cold, hot) = a
        .cases
        .first()
        .map_or((a.bond.cure_temperature, a.bond.cure_temperature), |c| {
            (c.coldest, c.hottest)
        });
    let row = &a.bond.adhesive;
    let (insert, frame) = axial_stiffness(a);
    let (insert_polar, frame_polar) = polar_sections(a);
    let tau_p = row.shear_strength * a.bond.preparation;
    let gamma_e: Ratio = row.shear_strength / row.shear_modulus;
    let (eta, length, voids) = (a.bond.thickness, a.bond.length, a.bond.voids);
    GlueStatics {
        radial_cold: radial_stress(a, radius, cold),
        radial_hot: radial_stress(a, radius, hot),
        shear_cold: thermal_shear(a, shear_lag(a, radius), cold, length).abs(),
        ductile_axial: glue::axial_capacity(
            radius,
            eta,
            length,
            voids,
            tau_p,
            gamma_e,
            row.plastic_shear_strain,
            insert,
            frame,
        ),
        ductile_torque: glue::torque_capacity(
            radius,
            eta,
            length,
            voids,
            tau_p,
            gamma_e,
            row.plastic_shear_strain,
            a.insert.material.shear_modulus,
            insert_polar,
            a.frame.material.shear_modulus,
            frame_polar,
        ),
    }
}
