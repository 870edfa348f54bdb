//! The assembly as a body of revolution with real elements, beside the simple models.
//!
//! Fitting, insert, glue and frame are regions of one mesh of eight-node quadrilaterals, each with its own elastic
//! constants. Displacements go round the axis evenly (axial load, heat; torsion) or as cos φ and sin φ (transverse
//! force, rocking), so that a plane mesh holds the whole body. The answers are those to single loads of 1 N, 1 N·m and
//! 1 K: any state is a sum of them ([`Unit::sum`]).
//!
//! | load | what it does |
//! |---|---|
//! | `thread` | pulls the fitting outward at its end, which stays plane; the flanks spread it |
//! | `seat_insert`, `seat_frame` | even pressure on a part of the seat, inward |
//! | `preload` | the fitting pulled by 1 N, a rigid flange pressing with 1 N on one-sided layers (section 6) |
//! | `torsion.*` | torque entering through the thread as the preload's load does, or through a part of the seat |
//! | `rocking.*` | transverse force and moment about the face through the thread, as section 8 spreads them; a moment through a part of the seat |
//! | `thermal` | all parts 1 K colder, frame free, bore empty |
//!
//! Threads are springs along x alone (section 12), as in the ladder. The fitting takes no part in torsion, rocking and
//! heat. A lip, a flange, and what an insert has outside the bond are not meshed.
//!
//! Sources: engineering basis, sections 6 to 9 and 12; elements and harmonics after Zienkiewicz and Taylor; best points
//! for stress after Barlow (1976). Validity: small strains, elastic, glue and walls perfectly bonded, seats and flanks
//! without friction. At the ends of the layer theory has no bound for the stress; means over a stated length are given.

use crate::units::*;
use body::Body;
use element::Constants;

mod body;
mod element;
mod fields;
mod load;
mod mesh;
mod seat;
mod solve;
#[cfg(test)]
mod tests;

pub use fields::{Peak, Picture, Point, STATIONS, Stress, Unit};
pub use mesh::Part;

/// Displacement per force (m/N).
pub type Compliance = uom::si::Quantity<
    uom::si::ISQ<
        uom::typenum::Z0,
        uom::typenum::N1,
        uom::typenum::P2,
        uom::typenum::Z0,
        uom::typenum::Z0,
        uom::typenum::Z0,
        uom::typenum::Z0,
    >,
    uom::si::SI<f64>,
    f64,
>;

/// Quoted values count as settled when halving all elements moves none by more. Our own choice: a tenth of the
/// quarter from which both models are said to part; what a further halving would move is a third of it or less.
pub const SETTLED: f64 = 0.025;
/// The same for means over an end, where the stress itself has no bound. Our own choice: twice that.
pub const SETTLED_AT_ENDS: f64 = 0.05;
/// What the force on any node may be out of balance by, of the whole load.
pub const BALANCE: f64 = 1e-9;
/// Halvings at most. Our own choice: the work allowed ends it sooner.
const HALVINGS: u32 = 3;
/// Multiplications and bytes of the factors of one mesh, beyond which it is not halved further. Invented: about half a
/// second and what a small machine has to spare.
const MOST_WORK: f64 = 2.5e9;
const MOST_BYTES: f64 = 90e6;

/// Elastic constants of one part, axes along, across and round the axis of the sleeve.
///
/// Poisson's ratios follow from one number: S_ij = −ν/√(E_i·E_j), symmetric and positive definite for any moduli.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Material {
    /// Young's modulus along x.
    pub axial: Pressure,
    /// Across the wall.
    pub radial: Pressure,
    /// Round the axis.
    pub hoop: Pressure,
    /// Poisson's ratio, above −1 and below 0.5.
    pub poisson: Ratio,
    /// Shear moduli; where none is given, √(E_i·E_j)/(2(1 + ν)).
    pub shear_axial_radial: Option<Pressure>,
    /// Of the plane of axis and circumference.
    pub shear_axial_hoop: Option<Pressure>,
    /// Of the cross-section.
    pub shear_radial_hoop: Option<Pressure>,
}

impl Material {
    /// The same in all directions; `shear` where the material's own is known.
    pub fn isotropic(young: Pressure, poisson: Ratio, shear: Option<Pressure>) -> Self {
        Self {
            axial: young,
            radial: young,
            hoop: young,
            poisson,
            shear_axial_radial: shear,
            shear_axial_hoop: shear,
            shear_radial_hoop: shear,
        }
    }
    /// An adhesive by its shear modulus.
    pub fn by_shear(shear: Pressure, poisson: Ratio) -> Self {
        Self::isotropic(shear * (2.0 * (1.0 + si(poisson))), poisson, None)
    }

    fn constants(&self, what: &'static str) -> Result<Constants, ElementsError> {
        let e = [si(self.axial), si(self.radial), si(self.hoop)];
        let nu = si(self.poisson);
        let given = [
            self.shear_axial_radial,
            self.shear_axial_hoop,
            self.shear_radial_hoop,
        ];
        let mut shear = [0.0; 3];
        for (k, (i, j)) in [(0, 1), (0, 2), (1, 2)].into_iter().enumerate() {
            let usual = (e[i] * e[j]).sqrt() / (2.0 * (1.0 + nu));
            shear[k] = given[k].map_or(usual, si);
        }
        let sound = |v: f64| v.is_finite() && v > 0.0;
        if !(e.into_iter().chain(shear).all(sound) && nu > -1.0 && nu < 0.5) {
            return Err(ElementsError::Input(what));
        }
        // S = R·N·R with R = diag(1/√E_i) and N that of the isotropic body of unit modulus, which has a closed inverse.
        let (same, other) = (
            (1.0 - nu) / ((1.0 + nu) * (1.0 - 2.0 * nu)),
            nu / ((1.0 + nu) * (1.0 - 2.0 * nu)),
        );
        let normal = std::array::from_fn(|i| {
            std::array::from_fn(|j| (e[i] * e[j]).sqrt() * if i == j { same } else { other })
        });
        Ok(Constants { normal, shear })
    }
}

/// Where the frame is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Hold {
    /// At its inner end.
    Inboard,
    /// At the face.
    Outboard,
    /// All along: the frame does not move.
    FullLength,
    /// Along its outer surface.
    AllRound,
}

/// What screws in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fitting {
    /// Diameters: bore (0 for a solid screw), neck from the face to the thread, core of the thread.
    pub bore: Length,
    /// See `bore`.
    pub neck: Length,
    /// See `bore`.
    pub core: Length,
    /// Its constants.
    pub material: Material,
}

/// One part of the seat: radii of the ring, and the layer of section 6 under the flange.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeatPart {
    /// Inner radius.
    pub inner: Length,
    /// Outer radius.
    pub outer: Length,
    /// k_c.
    pub layer: LayerStiffness,
}

/// Everything that the elements are made from.
#[derive(Debug, Clone, PartialEq)]
pub struct Sleeve {
    /// What screws in.
    pub fitting: Fitting,
    /// From the face to the thread, n.
    pub neck_length: Length,
    /// Engaged thread, L_e.
    pub engagement: Length,
    /// Pitch: load is given per turn.
    pub pitch: Length,
    /// Stiffness of the flanks per length, (π·d2/P)/c_flank.
    pub flanks: Pressure,
    /// Insert: diameter of the bore (basic major of its thread), outer diameter, length.
    pub bore: Length,
    /// See `bore`.
    pub outer: Length,
    /// See `bore`; it reaches at least to the ends of thread and bond.
    pub insert_length: Length,
    /// Its constants.
    pub insert: Material,
    /// Thickness of the glue.
    pub glue_thickness: Length,
    /// Length of the bond, L.
    pub bond: Length,
    /// The adhesive's constants.
    pub glue: Material,
    /// Share of the layer that is empty: its stiffness is that much less.
    pub voids: Ratio,
    /// Outer diameter of the frame.
    pub frame_outer: Length,
    /// How far the frame goes on beyond the bond.
    pub frame_beyond: Length,
    /// Its constants.
    pub frame: Material,
    /// Where it is held.
    pub hold: Hold,
    /// Seat on the insert.
    pub seat_insert: Option<SeatPart>,
    /// Seat on the frame.
    pub seat_frame: Option<SeatPart>,
    /// Expansions of insert, adhesive and frame.
    pub insert_expansion: TemperatureCoefficient,
    /// See `insert_expansion`.
    pub glue_expansion: TemperatureCoefficient,
    /// See `insert_expansion`.
    pub frame_expansion: TemperatureCoefficient,
}

/// Why there is no answer.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ElementsError {
    /// A number that cannot be.
    #[error("{0}")]
    Input(&'static str),
    /// The mesh needed is out of bounds.
    #[error("the mesh would need more memory or time than is allowed")]
    TooLarge,
    /// The stiffness is not positive definite: something moves freely.
    #[error("the elements' stiffness is not positive definite")]
    NotPositive,
    /// Overflow or undefined numbers on the way.
    #[error("the elements' equations are not finite")]
    NotFinite,
    /// Forces are not in balance.
    #[error("the elements' forces are out of balance by {0:e} of the load")]
    Balance(f64),
    /// The contact of the seat found no end.
    #[error("the contact of the seat on the elements did not settle")]
    Seat,
}

/// An axial load case.
#[derive(Debug, Clone, PartialEq)]
pub struct AxialUnit {
    /// Stresses and displacements under 1 N.
    pub unit: Unit,
    /// Share of the force in each turn of the thread from the face on, the last one as far as it goes.
    pub turns: Vec<Ratio>,
    /// Movement inward of the fitting's end.
    pub fitting_end: Compliance,
    /// Mean movement inward of the seat on the insert, where there is one.
    pub insert_face: Option<Compliance>,
    /// The same on the frame.
    pub frame_face: Option<Compliance>,
}

/// Pressure of the flange on one ring of the face, per 1 N of preload.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RingPressure {
    /// Insert or frame.
    pub part: Part,
    /// Radii.
    pub inner: Length,
    /// See `inner`.
    pub outer: Length,
    /// Nothing where the flange does not reach.
    pub pressure: Pressure,
}

/// How the seat shares 1 N of preload.
#[derive(Debug, Clone, PartialEq)]
pub struct Seat {
    /// Share of the insert.
    pub share: Ratio,
    /// The same by section 6, faces rigid.
    pub simple_share: Ratio,
    /// Ring by ring from the inside.
    pub rings: Vec<RingPressure>,
}

/// 1 N·m round the axis.
#[derive(Debug, Clone, PartialEq)]
pub struct TorsionUnits {
    /// Through the thread, spread as its load under preload.
    pub thread: Unit,
    /// Through the seat on the insert.
    pub seat_insert: Option<Unit>,
    /// Through the seat on the frame.
    pub seat_frame: Option<Unit>,
}

/// Transverse force of 1 N and moments of 1 N·m about the face.
#[derive(Debug, Clone, PartialEq)]
pub struct RockingUnits {
    /// V through the thread, without moment about the face.
    pub force: Unit,
    /// M through the thread.
    pub moment: Unit,
    /// Moment through the seat on the insert.
    pub seat_insert: Option<Unit>,
    /// Moment through the seat on the frame.
    pub seat_frame: Option<Unit>,
}

/// What moved most from the mesh before.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Quoted {
    /// Largest axial shear of the glue away from the ends.
    Along,
    /// Largest peel away from the ends.
    Across,
    /// Largest shear round the axis away from the ends.
    Around,
    /// A mean over an end.
    EndMean,
    /// k_t.
    ThreadStiffness,
    /// Share of the first turn.
    FirstTurn,
}

/// The answer of the elements.
#[derive(Debug, Clone, PartialEq)]
pub struct Elements {
    /// Where stresses of the glue are given, from the face.
    pub stations: Vec<Length>,
    /// Over which the stress is averaged at either end; stations nearer to an end mean nothing.
    pub end_length: Length,
    /// The fitting pulled outward.
    pub thread: AxialUnit,
    /// The seat on the insert pushed inward.
    pub seat_insert: Option<AxialUnit>,
    /// The seat on the frame pushed inward.
    pub seat_frame: Option<AxialUnit>,
    /// Fitting pulled, flange pressing.
    pub preload: AxialUnit,
    /// How the flange presses then.
    pub seat: Seat,
    /// k_t: preload over the movement of the fitting's end from the seat.
    pub thread_stiffness: Stiffness,
    /// Share of the first turn in the preload.
    pub first_turn: Ratio,
    /// Torques.
    pub torsion: TorsionUnits,
    /// Transverse force and moments.
    pub rocking: RockingUnits,
    /// 1 K colder.
    pub thermal: Unit,
    /// Points of the insert's wall where stress is known.
    pub points: Vec<Point>,
    /// The mesh, to draw.
    pub picture: Picture,
    /// How often the first mesh was halved.
    pub halvings: u32,
    /// Change of the quoted value that moved most from the mesh before, against what it may.
    pub change: Ratio,
    /// Which value that was.
    pub changed: Quoted,
    /// Whether no quoted value changed by more than [`SETTLED`], no mean over an end by more than [`SETTLED_AT_ENDS`].
    pub settled: bool,
    /// Force on a node out of balance over the whole load, the worst solution.
    pub residual: Ratio,
    /// Unknowns of the largest system.
    pub unknowns: usize,
}

impl Elements {
    /// The largest equivalent stress in the insert's wall of states the same all round and states as cos φ, sin φ.
    ///
    /// Left out are the places where theory has no bound; threads are no notches here.
    pub fn wall(&self, even: &[(&Unit, Ratio)], once: &[(&Unit, Ratio)]) -> Option<Peak> {
        let (even, once) = (Unit::sum(even), Unit::sum(once));
        fields::peak(&self.points, even.as_ref(), once.as_ref())
    }
}

/// Solves on finer and finer meshes until the quoted values settle.
pub fn solve(sleeve: &Sleeve) -> Result<Elements, ElementsError> {
    let body = Body::new(sleeve)?;
    let mut last = body.level(0, MOST_WORK, MOST_BYTES)?;
    for times in 1..=HALVINGS {
        let mut now = match body.level(times, MOST_WORK, MOST_BYTES) {
            // One mesh alone says nothing of how far it is to be believed.
            Err(ElementsError::TooLarge) if times > 1 => break,
            other => other?,
        };
        let (change, changed, settled) = largest_change(&last, &now);
        now.change = number(change);
        now.changed = changed;
        now.settled = settled;
        last = now;
        if last.settled {
            break;
        }
    }
    Ok(last)
}

/// Values of one mesh that are compared with those of the next: what, scale's group, value.
fn quoted(e: &Elements) -> Vec<(Quoted, f64, f64)> {
    let away = si(e.end_length);
    let bond = e.stations.last().map_or(0.0, |x| si(*x));
    let inner: Vec<usize> = (0..e.stations.len())
        .filter(|&k| {
            let x = si(e.stations[k]);
            x >= away * (1.0 - 1e-9) && x <= bond - away * (1.0 - 1e-9)
        })
        .collect();
    let mut out = vec![
        (
            Quoted::ThreadStiffness,
            si(e.thread_stiffness),
            si(e.thread_stiffness),
        ),
        (Quoted::FirstTurn, si(e.first_turn), si(e.first_turn)),
    ];
    let states: [(&Unit, &[(Quoted, usize)]); 5] = [
        (&e.preload.unit, &[(Quoted::Along, 3), (Quoted::Across, 1)]),
        (&e.torsion.thread, &[(Quoted::Around, 5)]),
        (
            &e.rocking.force,
            &[(Quoted::Across, 1), (Quoted::Along, 3), (Quoted::Around, 5)],
        ),
        (
            &e.rocking.moment,
            &[(Quoted::Across, 1), (Quoted::Along, 3), (Quoted::Around, 5)],
        ),
        (&e.thermal, &[(Quoted::Across, 1), (Quoted::Along, 3)]),
    ];
    for (unit, wanted) in states {
        // A stress that is small beside the others of its state is judged by them.
        let largest = |c: usize| {
            inner
                .iter()
                .map(|&k| unit.glue[k][c].abs())
                .fold(0.0, f64::max)
        };
        let main = wanted.iter().map(|w| largest(w.1)).fold(0.0, f64::max);
        for &(what, c) in wanted {
            let peak = largest(c);
            let scale = peak.max(0.1 * main);
            out.push((what, scale, peak));
            for (end, magnitude) in unit.ends.iter().zip(&unit.magnitudes) {
                out.push((Quoted::EndMean, scale.max(magnitude[c]), end[c]));
            }
        }
    }
    out
}

/// The change that stands out most against what it may be: its size, what changed, and whether that is too much.
fn largest_change(before: &Elements, now: &Elements) -> (f64, Quoted, bool) {
    let mut worst = (0.0, Quoted::Along, 0.0);
    for ((what, scale, new), (_, _, old)) in quoted(now).into_iter().zip(quoted(before)) {
        let change = if scale > 0.0 {
            (new - old).abs() / scale
        } else {
            0.0
        };
        let most = match what {
            Quoted::EndMean => SETTLED_AT_ENDS,
            _ => SETTLED,
        };
        if change / most > worst.2 {
            worst = (change, what, change / most);
        }
    }
    (worst.0, worst.1, worst.2 <= 1.0)
}
