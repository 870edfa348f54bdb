//! The resolved assembly: validated, unit-typed, without a word of text.
//!
//! Everything that a calculation needs stands here, defaults and table rows filled in. Where each value
//! came from is kept beside it in the [`Ledger`](super::Ledger).

use super::bench::{Bench, Mix};
use crate::mechanics::pedal::{Pedalling, Side};
use crate::mechanics::seat::Bears;
use crate::mechanics::thread::{Basic, Sizes, StressArea};
use crate::units::*;

/// What the insert is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Use {
    /// A sleeve in a crank housing.
    CrankHousing,
    /// A boss or bushing.
    Boss,
}

/// Hand of a thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hand {
    /// Tightened clockwise.
    Right,
    /// Tightened anticlockwise.
    Left,
}

/// Which of the four sizes were measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Measured {
    /// Major diameter of the fitting's thread.
    pub external_major: bool,
    /// Pitch diameter of the fitting's thread.
    pub external_pitch: bool,
    /// Minor diameter of the insert's thread.
    pub internal_minor: bool,
    /// Pitch diameter of the insert's thread.
    pub internal_pitch: bool,
}

/// The engaged threads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    /// Basic sizes.
    pub basic: Basic,
    /// Sizes that decide the sheared areas: least material, or as measured.
    pub sizes: Sizes,
    /// Which of them were measured.
    pub measured: Measured,
    /// Which stress area goes with the thread.
    pub stress_area: StressArea,
    /// Hand.
    pub hand: Hand,
    /// Overlap of the two threads.
    pub engaged: Spread<Length>,
    /// Thread without full form in it.
    pub incomplete: Length,
    /// From the face to the first thread.
    pub setback: Length,
    /// Turns that carry nothing.
    pub damaged_turns: Ratio,
}

/// A material.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Material {
    /// A laminate rather than a metal.
    pub laminate: bool,
    /// Elastic modulus.
    pub elastic_modulus: Pressure,
    /// Poisson's ratio.
    pub poisson: Ratio,
    /// Shear modulus.
    pub shear_modulus: Pressure,
    /// Moduli along the axis, round it and across the wall, where a row has them: for elements alone.
    pub axial_modulus: Option<Pressure>,
    /// See `axial_modulus`.
    pub hoop_modulus: Option<Pressure>,
    /// See `axial_modulus`.
    pub radial_modulus: Option<Pressure>,
    /// Yield strength.
    pub yield_strength: Option<Pressure>,
    /// Ultimate shear strength.
    pub shear_strength: Option<Pressure>,
    /// The shear strength was taken as a share of the tensile.
    pub shear_from_tensile: bool,
    /// Crush strength of a face.
    pub face_strength: Option<Pressure>,
    /// Strength across the plies.
    pub interlaminar_tension: Option<Pressure>,
    /// Strength between the plies.
    pub interlaminar_shear: Option<Pressure>,
    /// Thermal expansion.
    pub expansion: TemperatureCoefficient,
    /// Anodic index.
    pub anodic_index: Option<ElectricPotential>,
    /// Conducts, so that it makes a pair with a metal.
    pub conducts: bool,
    /// A steel, of which shops leave less wall than of other metals.
    pub steel: bool,
    /// The row for an unknown material.
    pub unknown: bool,
}

impl Material {
    /// Elastic modulus and Poisson's ratio.
    pub fn elastic(&self) -> (Pressure, Ratio) {
        (self.elastic_modulus, self.poisson)
    }
}

/// The bonded sleeve or boss.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Insert {
    /// Material.
    pub material: Material,
    /// Outer diameter where it is glued.
    pub outer_diameter: Length,
    /// Length.
    pub length: Length,
    /// Insert face against frame face, + proud; `None` where it was not measured.
    pub face_offset: Option<Spread<Length>>,
    /// Outer diameter of its lip, where it has one.
    pub lip_diameter: Option<Length>,
}

/// Where the frame is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeldAt {
    /// At the inner end of the bond.
    Inboard,
    /// At the face.
    Outboard,
    /// All along, rigid.
    FullLength,
    /// Along its outer surface; the simple model takes it as all along.
    AllRound,
}

/// The wall around the insert.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Material.
    pub material: Material,
    /// Outer diameter.
    pub outer_diameter: Length,
    /// Where it is held.
    pub held_at: HeldAt,
    /// Width of the housing.
    pub width: Option<Length>,
    /// From the insert's centre to the nearest free edge.
    pub edge_distance: Option<Length>,
    /// What the parent and its finish stand.
    pub temperature_limit: Option<ThermodynamicTemperature>,
}

/// A part between the screw's head and the boss.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clamped {
    /// Thickness, which is the length that it adds to the screw.
    pub thickness: Length,
    /// Material.
    pub material: Material,
    /// Outer diameter.
    pub outer_diameter: Length,
    /// What of the face it bears on, where the job says so.
    pub bears_on: Option<Bears>,
}

/// What screws in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fitting {
    /// Material.
    pub material: Material,
    /// Bore; 0 for a solid screw.
    pub bore: Length,
    /// Outside diameter of the wall under the flange.
    pub neck_diameter: Length,
    /// Outer diameter of the flange.
    pub flange_diameter: Length,
    /// Thickness of the flange.
    pub flange_thickness: Length,
    /// Bearing mid-plane outside the face.
    pub bearing_outboard: Length,
}

/// The adhesive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Adhesive {
    /// Shear modulus.
    pub shear_modulus: Pressure,
    /// Poisson's ratio.
    pub poisson: Ratio,
    /// Shear strength.
    pub shear_strength: Pressure,
    /// Strength across the layer.
    pub tensile_strength: Pressure,
    /// Plastic shear strain.
    pub plastic_shear_strain: Ratio,
    /// Share left after ageing.
    pub ageing_factor: Ratio,
    /// Hottest temperature with data.
    pub hot_temperature: ThermodynamicTemperature,
    /// Share left there.
    pub hot_factor: Ratio,
    /// Share of the static strength in endurance.
    pub endurance_share: Ratio,
    /// Share of the static strength under lasting load.
    pub creep_share: Ratio,
    /// Thermal expansion.
    pub expansion: TemperatureCoefficient,
    /// Thinnest layer.
    pub gap_min: Option<Length>,
    /// Thickest layer.
    pub gap_max: Option<Length>,
    /// How it is mixed.
    pub mix: Option<Mix>,
    /// Density of the mix.
    pub density: Option<MassDensity>,
    /// The least temperature at which it cures, where that is above a room's.
    pub cure_least: Option<ThermodynamicTemperature>,
    /// It cures between metals alone.
    pub metal_only: bool,
    /// The row for an unknown adhesive.
    pub unknown: bool,
}

/// Where the joint lives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Environment {
    /// Dry or controlled.
    Dry,
    /// Indoors.
    Indoor,
    /// Outdoors.
    Outdoor,
    /// In salt.
    Salt,
}

/// The glue layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bond {
    /// Adhesive.
    pub adhesive: Adhesive,
    /// Glued length.
    pub length: Length,
    /// Thickness per side.
    pub thickness: Length,
    /// Share of the area without glue.
    pub voids: Ratio,
    /// The share without glue is not known.
    pub voids_unknown: bool,
    /// Share of the strength that the preparation gives.
    pub preparation: Ratio,
    /// How the surfaces were prepared is not known.
    pub preparation_unknown: bool,
    /// A barrier between metal and carbon.
    pub isolated: bool,
    /// Where the joint lives.
    pub environment: Environment,
    /// Greatest difference of anodic index there.
    pub galvanic_limit: ElectricPotential,
    /// Temperature at which the glue set.
    pub cure_temperature: ThermodynamicTemperature,
    /// That temperature is not known.
    pub cure_unknown: bool,
}

/// A feeler reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GapReading {
    /// Clockwise from 12 o'clock, seen from outside.
    pub at: Angle,
    /// The gap there.
    pub gap: Spread<Length>,
}

/// The seat.
#[derive(Debug, Clone, PartialEq)]
pub struct Seat {
    /// Inner diameter of the ring that the face supports.
    pub inner_diameter: Length,
    /// Outer diameter of that ring.
    pub outer_diameter: Length,
    /// Crush strength of the face, if given for both parts.
    pub face_strength: Option<Pressure>,
    /// Feeler readings, sorted by angle.
    pub gaps: Vec<GapReading>,
}

/// Share of the preload lost by relaxation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Relaxation {
    /// The job states it.
    pub stated: bool,
    /// With the seat wholly on the insert.
    pub on_insert: Ratio,
    /// With any part of it on the frame.
    pub on_frame: Ratio,
}

/// Tightening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tightening {
    /// Torque with its spread: the tool's own error where the job gives none.
    pub torque: Spread<Torque>,
    /// The spread is the tool's error.
    pub tool_error: bool,
    /// Friction of the thread.
    pub thread_friction: Spread<Ratio>,
    /// Friction of the seat.
    pub seat_friction: Spread<Ratio>,
    /// The state of the surfaces is not known: the widest range of friction is used, at its worse end everywhere.
    pub friction_unknown: bool,
    /// Share of the preload lost by relaxation.
    pub relaxation: Relaxation,
    /// Settling of the surfaces.
    pub embedding: Length,
    /// Tightened again after settling.
    pub retightened: bool,
    /// Torque to undo, where the job states it.
    pub removal_torque: Option<Torque>,
    /// Length of wrench and extension in line.
    pub crowfoot: Option<(Length, Length)>,
    /// The narrowest of the makers' ranges.
    pub maker_torque: Option<(Torque, Torque)>,
    /// The lubrication is a thread locker, which cures after tightening.
    pub locker: bool,
}

/// In which direction a wrench measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measures {
    /// Clockwise alone.
    Right,
    /// Anticlockwise alone.
    Left,
    /// In both directions.
    Both,
}

/// The torque wrench at hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tool {
    /// Lower end of its scale, where the job gives a range, and its full scale.
    pub range: Option<(Torque, Torque)>,
    /// In which direction it measures, where the job says so.
    pub direction: Option<Measures>,
    /// Share of full scale below which a reading says little.
    pub least_share: Ratio,
}

/// Direct loads.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DirectLoads {
    /// Pull outward.
    pub axial: Force,
    /// Across the axis at the face.
    pub radial: Force,
    /// Moment about the face.
    pub moment: Torque,
    /// Torque about the axis in service.
    pub torque: Torque,
}

/// How often a load comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Repeats {
    /// In every use.
    Repeated,
    /// Once in a while; not in endurance.
    Rare,
}

/// One load case.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadCase {
    /// How often it comes.
    pub repeats: Repeats,
    /// Pedalling, where there is any.
    pub pedalling: Option<Pedalling>,
    /// The far side's bearing outside its face.
    pub far_outboard: Length,
    /// Direct loads.
    pub loads: DirectLoads,
    /// Coldest in service.
    pub coldest: ThermodynamicTemperature,
    /// Hottest in service.
    pub hottest: ThermodynamicTemperature,
}

/// Ratios required.
#[derive(Debug, Clone, Copy, PartialEq)]
#[allow(missing_docs)]
pub struct Need {
    pub strip: Ratio,
    pub hoop: Ratio,
    pub neck: Ratio,
    pub flange: Ratio,
    pub bond: Ratio,
    pub bond_endurance: Ratio,
    pub crush: Ratio,
    pub seat_open: Ratio,
    pub slip: Ratio,
    pub removal: Ratio,
    pub contact: Ratio,
    /// Wall of the insert under the thread's root, for repairs.
    pub wall: Length,
}

/// The state of a precondition.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum State {
    /// Stated as met.
    Confirmed,
    /// Stated as not met.
    Failed,
    /// Not stated.
    #[default]
    Unknown,
}

/// The preconditions that stand before any margin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[allow(missing_docs)]
pub struct Condition {
    pub no_crack: State,
    pub not_moved: State,
    pub no_crash: State,
    pub unregulated_use: State,
    pub face_clean: State,
    pub thread_starts_by_hand: State,
    pub prepared: State,
    pub cured: State,
}

/// Turns that are gone over a part of the circumference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DamagedSector {
    /// Where it begins.
    pub from: Angle,
    /// How far it reaches around.
    pub span: Angle,
    /// Turns gone in it.
    pub turns: Ratio,
}

/// What was found damaged.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Damage {
    /// Turns gone all the way round, where turns or sectors were counted.
    pub missing_turns: Option<Ratio>,
    /// Turns gone in sectors.
    pub sectors: Vec<DamagedSector>,
    /// Depth worn off the crest of the insert's thread, per side.
    pub wear: Option<Length>,
    /// Thinnest wall found under the thread.
    pub wall_measured: Option<Length>,
    /// Corrosion was found.
    pub corroded: bool,
    /// The cause is known; nothing where it is not said.
    pub cause_known: Option<bool>,
}

/// One side of a job, ready to be assessed.
#[derive(Debug, Clone, PartialEq)]
pub struct Assembly {
    /// The side under judgement.
    pub side: Side,
    /// What the insert is for.
    pub purpose: Use,
    /// Threads.
    pub thread: Thread,
    /// Insert.
    pub insert: Insert,
    /// Frame.
    pub frame: Frame,
    /// Fitting.
    pub fitting: Fitting,
    /// A part between the screw's head and the boss.
    pub clamped: Option<Clamped>,
    /// Glue layer.
    pub bond: Bond,
    /// Seat.
    pub seat: Seat,
    /// Tightening.
    pub tightening: Tightening,
    /// The torque wrench at hand, where the job has one.
    pub tool: Option<Tool>,
    /// Load cases; the first is the job's own, repeated.
    pub cases: Vec<LoadCase>,
    /// Ratios required.
    pub need: Need,
    /// Preconditions.
    pub condition: Condition,
    /// What the work before gluing needs beside the rest.
    pub bench: Bench,
    /// What was found damaged; for repairs.
    pub damage: Option<Damage>,
    /// Whether the glue is judged on finite elements of the assembly in place of the simple models.
    pub by_elements: bool,
}
