//! What cannot be: parts that do not fit into each other, sizes below zero, shares above one. One list, which the
//! resolver turns into findings and which every change of a resolved job is held against.
//!
//! A value that is not a number was reported where it was read, and stays silent here.

use super::assembly::*;
use super::read::SMALLEST;
use super::resolve::show;
use crate::units::parse::{Kind, Spread};
use crate::units::*;

/// Why parts cannot be as they are given.
#[derive(Debug, Clone, Copy, PartialEq)]
#[allow(missing_docs)]
pub enum Fault {
    NotPositive,
    Negative,
    /// A share is not between 0 and this.
    NotAShare(f64),
    /// The magnitude is beyond anything at a bench.
    NoSize,
    Coefficient,
    /// Poisson's ratio; with what is usual.
    Poisson(&'static str),
    /// The insert is not larger than its thread.
    InsertInThread(Length, Length),
    LipInInsert,
    /// The bore is not smaller than the neck.
    BoreInNeck(Length, Length),
    /// The bore is not smaller than the thread's root.
    BoreInRoot(Length, Length),
    /// The wall has no room for the insert.
    NoRoom(Length, Length),
    EdgeInBore(Length),
    /// There is no layer of glue.
    NoLayer,
    BeadsAboveLayer,
    /// The flange is not larger than the seat's hole.
    FlangeInSeat(Length, Length),
    /// The seat ends before it begins.
    SeatInsideOut(Length, Length),
    /// The part under the head falls through.
    FallsThrough(Length, Length),
    /// A measured size is more than a pitch off.
    NotThatThread(Length, Length),
    ExtensionPastGrip,
    MakersDisagree,
    MakerNegative,
    LeansTooFar,
    ColdAboveHot,
    GapsCrossed,
    BearingsCrossed,
}

impl Fault {
    /// What is wrong with the entry at a path, and what to do about it.
    pub fn tell(&self, path: &str) -> (String, String) {
        let (message, help): (String, &str) = match self {
            Fault::NotPositive => (
                format!("`{path}` must be greater than zero"),
                "check the reading",
            ),
            Fault::Negative => (format!("`{path}` cannot be negative"), "leave the sign out"),
            Fault::NotAShare(upto) => (
                format!("`{path}` is a share between 0 and {upto}"),
                "write it as a number such as 0.1, or as \"10 %\"",
            ),
            Fault::NoSize => (
                format!("no part has the size of `{path}`, and nothing can be computed with it"),
                "check the value",
            ),
            Fault::Coefficient => (
                format!("`{path}` is a coefficient above 0 and not above 2"),
                "see `insertwright tables friction`",
            ),
            Fault::Poisson(usual) => ("Poisson's ratio lies between −1 and 0.5".into(), usual),
            Fault::InsertInThread(outer, major) => (
                format!(
                    "an insert of {} is smaller than its thread of {}",
                    show(*outer),
                    show(*major)
                ),
                "check both sizes",
            ),
            Fault::LipInInsert => (
                "a lip is not smaller than the insert that it belongs to".into(),
                "give the lip's outer diameter, or leave the key out",
            ),
            Fault::BoreInNeck(bore, neck) => (
                format!(
                    "a bore of {} leaves nothing of a neck of {}",
                    show(*bore),
                    show(*neck)
                ),
                "check both diameters",
            ),
            Fault::BoreInRoot(bore, root) => (
                format!(
                    "a bore of {} leaves nothing under the thread's root of {}",
                    show(*bore),
                    show(*root)
                ),
                "check the bore",
            ),
            Fault::NoRoom(wall, insert) => (
                format!(
                    "a wall of {} has no room for an insert of {} in its glue",
                    show(*wall),
                    show(*insert)
                ),
                "check frame.outer_diameter, insert.outer_diameter and the glue layer",
            ),
            Fault::EdgeInBore(edge) => (
                format!(
                    "a free edge {} from the centre lies inside the bore of the insert",
                    show(*edge)
                ),
                "measure from the insert's centre to the nearest free edge",
            ),
            Fault::NoLayer => (
                "the bore is not larger than the insert".into(),
                "check bond.bore and insert.outer_diameter",
            ),
            Fault::BeadsAboveLayer => (
                "the beads are larger than the glue layer: the insert will not go in".into(),
                "use smaller beads, or turn the insert smaller",
            ),
            Fault::FlangeInSeat(flange, inner) => (
                format!(
                    "a flange of {} lies inside the seat, which begins at {}",
                    show(*flange),
                    show(*inner)
                ),
                "check the flange and seat.inner_diameter",
            ),
            Fault::SeatInsideOut(outer, inner) => (
                format!(
                    "the seat ends at {} before it begins at {}",
                    show(*outer),
                    show(*inner)
                ),
                "check both diameters",
            ),
            Fault::FallsThrough(part, hole) => (
                format!(
                    "a part of {} falls through the hole of {} that the seat has",
                    show(*part),
                    show(*hole)
                ),
                "check clamped.outer_diameter and seat.inner_diameter",
            ),
            Fault::NotThatThread(size, basic) => (
                format!(
                    "{} is more than a pitch away from the basic size, {}",
                    show(*size),
                    show(*basic)
                ),
                "is this the thread that you named?",
            ),
            Fault::ExtensionPastGrip => (
                "the extension reaches back past the grip".into(),
                "check both lengths",
            ),
            Fault::MakersDisagree => (
                "the makers' ranges have nothing in common".into(),
                "ask the makers; no torque satisfies both",
            ),
            Fault::MakerNegative => ("a torque cannot be negative".into(), "check the range"),
            Fault::LeansTooFar => (
                "a force that leans so far presses no pedal down".into(),
                "write the angle from the plane of the wheel, such as \"7.5 deg\"",
            ),
            Fault::ColdAboveHot => (
                "the coldest temperature lies above the hottest".into(),
                "check both",
            ),
            Fault::GapsCrossed => (
                "the thinnest layer is thicker than the thickest".into(),
                "change gap_min and gap_max round, or check them",
            ),
            Fault::BearingsCrossed => (
                "the two bearings stand in the same place, or have changed sides".into(),
                "check frame.width and how far the bearings stand outside their faces",
            ),
        };
        (message, help.into())
    }
}

/// Is this magnitude, in SI base units, beyond anything at a bench? Far outside it the arithmetic itself gives out;
/// far inside it nothing is refused.
pub(super) fn no_size(kind: Kind, value: f64) -> bool {
    let size = value.abs();
    size > kind.largest() || (size > 0.0 && size < SMALLEST)
}

/// A coefficient of friction lies above 0 and not above 2.
pub(super) fn coefficient(value: &Spread<Ratio>) -> Option<Fault> {
    (value.low.value <= 0.0 || value.high.value > 2.0).then_some(Fault::Coefficient)
}

/// A share lies between 0 and a greatest value.
pub(super) fn share(value: Ratio, upto: f64) -> Option<Fault> {
    (value.value < 0.0 || value.value > upto).then_some(Fault::NotAShare(upto))
}

fn poisson(value: Ratio, usual: &'static str) -> Option<Fault> {
    (value.value <= -1.0 || value.value >= 0.5).then_some(Fault::Poisson(usual))
}

fn positive<D: uom::si::Dimension + ?Sized>(
    value: uom::si::Quantity<D, uom::si::SI<f64>, f64>,
) -> Option<Fault> {
    (si(value) <= 0.0).then_some(Fault::NotPositive)
}

fn not_negative<D: uom::si::Dimension + ?Sized>(
    value: uom::si::Quantity<D, uom::si::SI<f64>, f64>,
) -> Option<Fault> {
    (si(value) < 0.0).then_some(Fault::Negative)
}

/// What is wrong with a material: the key of its row, and the fault.
pub(super) fn material(m: &Material, mut say: impl FnMut(&'static str, Fault)) {
    let mut held = |key: &'static str, fault: Option<Fault>| {
        if let Some(fault) = fault {
            say(key, fault);
        }
    };
    held("elastic_modulus", positive(m.elastic_modulus));
    held("poisson", poisson(m.poisson, "metals have about 0.3"));
    held("shear_modulus", positive(m.shear_modulus));
    for (key, strength) in [
        ("axial_modulus", m.axial_modulus),
        ("hoop_modulus", m.hoop_modulus),
        ("radial_modulus", m.radial_modulus),
        ("yield", m.yield_strength),
        ("shear", m.shear_strength),
        ("face_strength", m.face_strength),
        ("interlaminar_tension", m.interlaminar_tension),
        ("interlaminar_shear", m.interlaminar_shear),
    ] {
        held(key, strength.and_then(positive));
    }
}

/// What is wrong with an adhesive.
pub(super) fn adhesive(a: &Adhesive, mut say: impl FnMut(&'static str, Fault)) {
    let mut held = |key: &'static str, fault: Option<Fault>| {
        if let Some(fault) = fault {
            say(key, fault);
        }
    };
    held("shear_modulus", positive(a.shear_modulus));
    held("shear_strength", positive(a.shear_strength));
    held("tensile_strength", positive(a.tensile_strength));
    held(
        "poisson",
        poisson(a.poisson, "adhesives have about 0.35 to 0.43"),
    );
    held("plastic_shear_strain", not_negative(a.plastic_shear_strain));
    for (key, part) in [
        ("ageing_factor", a.ageing_factor),
        ("hot_factor", a.hot_factor),
        ("endurance_share", a.endurance_share),
        ("creep_share", a.creep_share),
    ] {
        held(key, share(part, 1.0));
    }
    held("gap_min", a.gap_min.and_then(not_negative));
    held("gap_max", a.gap_max.and_then(not_negative));
    if let (Some(least), Some(most)) = (a.gap_min, a.gap_max)
        && least > most
    {
        held("gap_min", Some(Fault::GapsCrossed));
    }
    held("density", a.density.and_then(positive));
}

/// What is wrong with an assembly: the path, the case (0 is the job's own) where it is one's, and the fault. What
/// stands in rows of materials and adhesives is left to [`material`] and [`adhesive`].
pub(super) fn parts(a: &Assembly, mut say: impl FnMut(&'static str, Option<usize>, Fault)) {
    for (index, case) in a.cases.iter().enumerate() {
        one_case(case, |path, fault| say(path, Some(index), fault));
    }
    let mut held = |path: &'static str, fault: Option<Fault>| {
        if let Some(fault) = fault {
            say(path, None, fault);
        }
    };
    let pedalled = a.cases.iter().any(|c| c.pedalling.is_some());

    let (t, basic) = (&a.thread, &a.thread.basic);
    for (path, measured, size, of) in [
        (
            "thread.external_major",
            t.measured.external_major,
            t.sizes.external_major,
            basic.major,
        ),
        (
            "thread.external_pitch_diameter",
            t.measured.external_pitch,
            t.sizes.external_pitch,
            basic.pitch_diameter,
        ),
        (
            "thread.internal_minor",
            t.measured.internal_minor,
            t.sizes.internal_minor,
            basic.internal_minor,
        ),
        (
            "thread.internal_pitch_diameter",
            t.measured.internal_pitch,
            t.sizes.internal_pitch,
            basic.pitch_diameter,
        ),
    ] {
        if measured {
            held(path, positive(size));
            if (size - of).abs() > basic.pitch {
                held(path, Some(Fault::NotThatThread(size, of)));
            }
        }
    }
    held("thread.engaged", positive(t.engaged.nominal));
    held("thread.incomplete", not_negative(t.incomplete));
    held("thread.setback", not_negative(t.setback));
    held("thread.damaged_turns", not_negative(t.damaged_turns));

    let outer = a.insert.outer_diameter;
    held("insert.outer_diameter", positive(outer));
    held("insert.length", positive(a.insert.length));
    if outer <= basic.major {
        held(
            "insert.outer_diameter",
            Some(Fault::InsertInThread(outer, basic.major)),
        );
    }
    if a.insert.lip_diameter.is_some_and(|lip| lip < outer) {
        held("insert.lip_diameter", Some(Fault::LipInInsert));
    }

    let frame = &a.frame;
    held("frame.outer_diameter", positive(frame.outer_diameter));
    if pedalled {
        held("frame.width", frame.width.and_then(positive));
    }

    let f = &a.fitting;
    held("fitting.bore", not_negative(f.bore));
    held("fitting.neck_diameter", positive(f.neck_diameter));
    if f.bore >= f.neck_diameter {
        held(
            "fitting.bore",
            Some(Fault::BoreInNeck(f.bore, f.neck_diameter)),
        );
    } else if f.bore >= basic.root {
        held("fitting.bore", Some(Fault::BoreInRoot(f.bore, basic.root)));
    }
    held("fitting.flange_diameter", positive(f.flange_diameter));
    held("fitting.flange_thickness", positive(f.flange_thickness));

    let layer = a.bond.thickness;
    if si(layer) <= 0.0 {
        held("bond.thickness", Some(Fault::NoLayer));
    }
    // Taken over from the insert, it is reported there.
    if si(a.insert.length) > 0.0 {
        held("bond.length", positive(a.bond.length));
    }
    held("bond.voids", share(a.bond.voids, 0.99));
    held("bond.preparation", share(a.bond.preparation, 1.0));
    held("bond.ply", not_negative(a.bench.ply));
    held(
        "bond.eccentricity",
        a.bench.eccentricity.and_then(not_negative),
    );
    held("bond.beads", a.bench.beads.and_then(not_negative));
    if a.bench.beads.is_some_and(|beads| beads > layer) {
        held("bond.beads", Some(Fault::BeadsAboveLayer));
    }
    if frame.outer_diameter <= outer + 2.0 * layer {
        held(
            "frame.outer_diameter",
            Some(Fault::NoRoom(frame.outer_diameter, outer)),
        );
    }
    if let Some(edge) = frame.edge_distance
        && edge <= outer / 2.0 + layer
    {
        held("frame.edge_distance", Some(Fault::EdgeInBore(edge)));
    }

    let (inner, outer) = (a.seat.inner_diameter, a.seat.outer_diameter);
    held("seat.inner_diameter", positive(inner));
    held("seat.outer_diameter", positive(outer));
    if f.flange_diameter <= inner {
        held(
            "fitting.flange_diameter",
            Some(Fault::FlangeInSeat(f.flange_diameter, inner)),
        );
    }
    if outer <= inner {
        held(
            "seat.outer_diameter",
            Some(Fault::SeatInsideOut(outer, inner)),
        );
    }
    held(
        "seat.face_strength",
        a.seat.face_strength.and_then(positive),
    );

    if let Some(part) = &a.clamped {
        held("clamped.thickness", positive(part.thickness));
        held("clamped.outer_diameter", positive(part.outer_diameter));
        if part.outer_diameter <= inner {
            held(
                "clamped.outer_diameter",
                Some(Fault::FallsThrough(part.outer_diameter, inner)),
            );
        }
    }

    let t = &a.tightening;
    held("tightening.torque", positive(t.torque.low));
    held(
        "tightening.thread_friction",
        coefficient(&t.thread_friction),
    );
    held("tightening.seat_friction", coefficient(&t.seat_friction));
    if t.relaxation.stated {
        held("tightening.relaxation", share(t.relaxation.on_insert, 1.0));
    }
    held("tightening.embedding", not_negative(t.embedding));
    held(
        "tightening.removal_torque",
        t.removal_torque.and_then(positive),
    );
    if let Some((wrench, extension)) = t.crowfoot {
        held("tightening.wrench_length", positive(wrench));
        if si(wrench + extension) <= 0.0 {
            held("tightening.extension", Some(Fault::ExtensionPastGrip));
        }
    }
    if let Some((low, high)) = t.maker_torque {
        if low > high {
            held("tightening.maker_torque", Some(Fault::MakersDisagree));
        }
        if si(low) < 0.0 {
            held("tightening.maker_torque", Some(Fault::MakerNegative));
        }
    }

    let n = &a.need;
    for (path, need) in [
        ("need.strip", n.strip),
        ("need.hoop", n.hoop),
        ("need.neck", n.neck),
        ("need.flange", n.flange),
        ("need.bond", n.bond),
        ("need.bond_endurance", n.bond_endurance),
        ("need.crush", n.crush),
        ("need.seat_open", n.seat_open),
        ("need.slip", n.slip),
        ("need.removal", n.removal),
        ("need.contact", n.contact),
    ] {
        held(path, positive(need));
    }
    held("need.wall", positive(n.wall));
    let crossed = |c: &LoadCase| {
        frame.width.is_some_and(|width| {
            c.pedalling.is_some() && si(width + f.bearing_outboard + c.far_outboard) <= 0.0
        })
    };
    if a.cases.iter().any(crossed) {
        held("fitting.bearing_outboard", Some(Fault::BearingsCrossed));
    }
}

fn one_case(case: &LoadCase, mut say: impl FnMut(&'static str, Fault)) {
    let mut held = |path: &'static str, fault: Option<Fault>| {
        if let Some(fault) = fault {
            say(path, fault);
        }
    };
    if let Some(p) = &case.pedalling {
        held("pedalling.force", positive(p.force));
        held("pedalling.pedal_offset", positive(p.pedal_offset));
        held("pedalling.crank", positive(p.crank));
        held("pedalling.chainring_radius", positive(p.chainring_radius));
        if p.inclination.abs() >= degree(90.0) {
            held("pedalling.inclination", Some(Fault::LeansTooFar));
        }
    }
    if case.coldest > case.hottest {
        held("bond.coldest", Some(Fault::ColdAboveHot));
    }
}
