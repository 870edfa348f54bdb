//! The coupled model of one assembly: seat contact, axial and torsion ladder, rocking, thermal, glue.
//!
//! [`Model::new`] prepares everything that does not depend on the torque; [`Model::states`] then runs the
//! load cases at a preload band. The same model serves a check, the window's search and studies.

pub mod balance;
pub mod course;
pub mod crosscheck;
pub mod elements;
mod proof;
pub mod trace;

use super::check::{CheckId, Note, Notes, Reason};
use super::closed::{self, Geometry, Loads};
use super::{Preloads, Raw};
use crate::job::assembly::*;
use crate::mechanics::contact::{self, ContactError, Loaded, Preloaded, SeatContact};
use crate::mechanics::elements::ElementsError;
use crate::mechanics::flexibility::{self, Tooth};
use crate::mechanics::glue::{
    self, Factors, Grid, Judged, Laminate, Limit, Rocked, STATIONS, Samples, Station, Strengths,
};
use crate::mechanics::ladder::{self, FaceForces, FrameHold, GlueLayer, Ladder, LadderParts};
use crate::mechanics::rocking::{self, Layer, Rocking, Tilt, Tube};
use crate::mechanics::seat::{self, Ring};
use crate::mechanics::section::{ring_area, ring_polar};
use crate::mechanics::torsion::{Torsion, TorsionLoads, TorsionParts};
use crate::mechanics::{fitting, strip, torque};
use crate::units::*;

/// The least preload that a state is computed with, so that ratios stay finite (engineering basis 4).
const LEAST_PRELOAD_N: f64 = 0.01;

/// Radial and axial thermal stress at one temperature.
#[derive(Debug, Clone, Copy)]
struct Thermal {
    /// Radial stress (Pa).
    radial: f64,
    /// Kelvin below the cure.
    cooling: f64,
}

/// Everything about an assembly that does not depend on the torque.
pub struct Model<'a> {
    a: &'a Assembly,
    ring: Ring,
    geometry: Geometry,
    /// Stiffness of the threaded joint, a part under the head counted.
    pub thread_stiffness: Stiffness,
    /// The same from the face on.
    pub face_stiffness: Stiffness,
    /// Stiffness of the whole seat.
    pub seat_stiffness: Stiffness,
    /// Share of the first turn in a preload.
    pub first_turn: Ratio,
    ladder: Ladder,
    torsion: Torsion,
    rocking: Rocking,
    contact: SeatContact,
    layer: Layer,
    radius: Length,
    area: Area,
    grid: Grid,
    /// Axial shear per newton of each unit load at the stations (1/m²).
    axial: [[f64; STATIONS]; 3],
    /// Torsional shear per newton metre of each unit load at the stations (1/m³).
    twist: [[f64; STATIONS]; 3],
    /// Peel of rocking per newton across (1/m²) and per newton metre (1/m³) at the stations.
    peel: [[f64; STATIONS]; 2],
    /// Shear of rocking along the axis for the same.
    turn: [[f64; STATIONS]; 2],
    /// Thermal shear per kelvin at the stations (Pa/K).
    thermal: [f64; STATIONS],
    /// Thermal shear per kelvin at the bond's end over 1 − e^(−b·L) (Pa/K), and b (1/m).
    thermal_end: (f64, f64),
    /// The greatest thermal shear per kelvin at a station (Pa/K).
    thermal_most: f64,
    /// Shear-lag number of the bond.
    lag: Ratio,
    /// Factor on the peel of a soft wall; nothing where the wall is outside the range.
    pub soft_wall: Option<f64>,
    /// What elements of the same body showed of bonds such as this, and no factor counts.
    remarks: Notes,
    /// Stiffness of the flanks per length.
    flanks: Pressure,
    /// The same assembly by elements, where the glue is judged on them.
    elements: Option<Result<Box<elements::Solved>, ElementsError>>,
    laminate: Option<Laminate>,
    adhesive: glue::Adhesive,
}

/// Which ends of the preload band are run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ends {
    /// Both.
    Both,
    /// Preload high alone: the upper bounds of the window.
    High,
    /// Preload low alone: the lower bounds of the window.
    Low,
    /// The seat alone: crush at preload high, opening at preload low.
    Seat {
        /// Crush.
        crush: bool,
        /// Opening.
        opening: bool,
    },
}

impl Ends {
    /// Is preload high run?
    fn high(self) -> bool {
        !matches!(self, Ends::Low | Ends::Seat { crush: false, .. })
    }
    /// Is preload low run?
    fn low(self) -> bool {
        !matches!(self, Ends::High | Ends::Seat { opening: false, .. })
    }
    /// The seat alone?
    fn seat_alone(self) -> bool {
        matches!(self, Ends::Seat { .. })
    }
}

/// Results of the coupled model that have an id of their own, for the job's own case.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
#[allow(missing_docs)]
pub struct Coupled {
    pub thread_stiffness: Stiffness,
    pub face_stiffness: Stiffness,
    pub seat_stiffness: Stiffness,
    pub first_turn: Ratio,
    pub contact_preload: Option<Ratio>,
    pub contact_load: Option<Ratio>,
    pub pressure_mean: Option<Pressure>,
    pub pressure_peak: Option<Pressure>,
    pub moment_open: Option<Torque>,
    pub pull_extra: Option<Force>,
    pub prying: Option<Ratio>,
    pub axial_force: Option<Force>,
    pub axial_mean: Option<Pressure>,
    pub axial_peak: Option<Pressure>,
    pub torsion_torque: Torque,
    pub torsion_mean: Pressure,
    pub torsion_peak: Pressure,
    pub rocking_moment: Option<Torque>,
    pub rocking_peel: Option<Pressure>,
    pub rocking_shear: Option<Pressure>,
    pub service_elastic: Option<Ratio>,
    pub removal_torque: Torque,
    pub removal_limit: Torque,
    pub engagement_needed: Option<Length>,
    pub soft_wall: Option<Ratio>,
    /// What elements of the same body showed of bonds such as this, and no factor counts.
    pub remarks: Notes,
    /// Use of the glue by elements over the simple model's, the worst of service and repeated load; where the glue is
    /// judged on elements.
    pub elements_over_simple: Option<Ratio>,
    /// Clock position towards which the seat is pressed in the worst direction.
    pub worst_direction: Option<Angle>,
}

/// What a run of the states gives.
pub struct States {
    /// Values of the job's own case.
    pub values: Coupled,
    /// The checks.
    pub raw: [Option<Raw>; CheckId::COUNT],
}

/// The mechanical stresses of one state at the stations.
#[derive(Clone, Copy)]
struct Fields {
    axial: [f64; STATIONS],
    /// The same state at preload low, where that differs in nothing but the shear along the axis: its forces, and at
    /// each station the greater of both shears. Use grows with that shear, so both are judged at once.
    low: Option<([f64; 3], [f64; STATIONS])>,
    /// Nothing where no torque acts.
    twist: Option<[f64; STATIONS]>,
    /// Nothing where nothing rocks the insert.
    rocking: Option<RockFields>,
    forces: [f64; 3],
    torques: [f64; 3],
}

/// The stresses of rocking at the stations.
#[derive(Clone, Copy)]
struct RockFields {
    peel: [f64; STATIONS],
    axial: [f64; STATIONS],
    /// Shear around the axis over peel.
    hoop_share: f64,
    tilt: Tilt,
}

/// What pulsates in a state, at the stations.
struct Pulse<'f> {
    axial: [f64; STATIONS],
    forces: [f64; 3],
    rocking: Option<&'f RockFields>,
}

impl Pulse<'_> {
    /// The greatest of each mechanical stress of both uses of endurance: static part with half of what pulsates, and
    /// half of what pulsates.
    fn most(&self, loaded: &Fields, still: &Fields) -> [Station; 2] {
        let half = Station::default().plus(0.5, &loaded.most());
        // In the middle between both, a stress is no greater than the greater of the two.
        let middle = glue::greatest(&loaded.axial).max(glue::greatest(&still.axial));
        let of = |tau_axial| Station {
            tau_axial,
            tau_torsion: 0.0,
            ..half
        };
        [of(middle), of(0.5 * glue::greatest(&self.axial))]
    }
    fn samples(&self) -> glue::Pulsating<'_> {
        glue::Pulsating {
            tau_axial: &self.axial,
            rocking: self.rocking.map(RockFields::samples),
        }
    }
}

impl RockFields {
    fn samples(&self) -> Rocked<'_> {
        Rocked {
            peel: &self.peel,
            axial: &self.axial,
            hoop_share: self.hoop_share,
        }
    }
}

impl Fields {
    /// The state at the stations, with thermal stress.
    fn samples<'f>(&'f self, thermal: &Thermal, per_kelvin: &'f [f64; STATIONS]) -> Samples<'f> {
        Samples {
            sigma_thermal: thermal.radial,
            tau_axial: self.along(),
            tau_thermal: (thermal.cooling, per_kelvin),
            tau_torsion: self.twist.as_ref(),
            rocking: self.rocking.as_ref().map(RockFields::samples),
        }
    }
    /// What pulsates between a state at rest and this one: all of rocking, and the glue's shear above that
    /// at rest.
    fn pulsating<'f>(&'f self, still: &Fields) -> Pulse<'f> {
        Pulse {
            axial: std::array::from_fn(|j| self.axial[j] - still.axial[j]),
            forces: std::array::from_fn(|u| self.forces[u] - still.forces[u]),
            rocking: self.rocking.as_ref(),
        }
    }
    /// Shear along the axis, the greater of both ends of the preload band where the state stands for both.
    fn along(&self) -> &[f64; STATIONS] {
        self.low.as_ref().map_or(&self.axial, |(_, both)| both)
    }
    /// The greatest of each mechanical stress, wherever it stands.
    fn most(&self) -> Station {
        let rocking = self.rocking.as_ref();
        let peel = rocking.map_or(0.0, |r| glue::greatest(&r.peel));
        Station {
            tau_axial: glue::greatest(self.along()),
            tau_torsion: self.twist.as_ref().map_or(0.0, glue::greatest),
            peel,
            rock_axial: rocking.map_or(0.0, |r| glue::greatest(&r.axial)),
            rock_hoop: rocking.map_or(0.0, |r| r.hoop_share * peel),
            ..Station::default()
        }
    }
    /// Is every stress of another state at a station no greater than here?
    fn dominates(&self, other: &Fields, j: usize) -> bool {
        let no_more = |other: f64, here: f64| other.abs() <= here.abs() * (1.0 + 1e-12);
        let twist = |f: &Fields| f.twist.as_ref().map_or(0.0, |t| t[j]);
        let rocks = |f: &Fields| {
            f.rocking
                .as_ref()
                .map_or((0.0, 0.0), |r| (r.peel[j], r.axial[j]))
        };
        let (theirs, ours) = (rocks(other), rocks(self));
        no_more(other.along()[j], self.along()[j])
            && no_more(theirs.0, ours.0)
            && no_more(theirs.1, ours.1)
            && no_more(twist(other), twist(self))
    }
}

impl<'a> Model<'a> {
    /// Prepares the model; `stiffness_factor` multiplies the seat's stiffness.
    ///
    /// # Errors
    /// [`Reason::NoEngagement`] without an engaged turn, [`Reason::NotConverged`] where a solver refuses
    /// its input.
    pub fn new(
        a: &'a Assembly,
        geometry: &Geometry,
        ring: &Ring,
        stiffness_factor: f64,
    ) -> Result<Model<'a>, Reason> {
        let basic = &a.thread.basic;
        let engaged = geometry.engaged;
        let (insert, frame, fit) = (&a.insert.material, &a.frame.material, &a.fitting.material);
        let radius = geometry.bond_radius;
        let bore = a.insert.outer_diameter + 2.0 * a.bond.thickness;
        let hold = match a.frame.held_at {
            HeldAt::Inboard => FrameHold::Inboard,
            HeldAt::Outboard => FrameHold::Outboard,
            HeldAt::FullLength | HeldAt::AllRound => FrameHold::FullLength,
        };
        let tooth = |material: &Material, depth: Length| Tooth {
            modulus: material.elastic_modulus,
            poisson: material.poisson,
            flank_angle: basic.half_angle,
            pitch: basic.pitch,
            pitch_diameter: basic.pitch_diameter,
            depth,
        };
        let flank = tooth(
            fit,
            flexibility::external_depth(basic.pitch_diameter, basic.root),
        )
        .external(a.fitting.bore)
            + tooth(
                insert,
                flexibility::internal_depth(basic.major, basic.pitch_diameter),
            )
            .internal(a.insert.outer_diameter);
        let glue_layer = GlueLayer {
            shear_modulus: a.bond.adhesive.shear_modulus,
            thickness: a.bond.thickness,
            mid_radius: radius,
            voids: a.bond.voids,
            length: a.bond.length,
        };
        let insert_area = ring_area(a.insert.outer_diameter, basic.major);
        let frame_area = ring_area(a.frame.outer_diameter, bore);
        let insert_stiffness: Force = insert.elastic_modulus * insert_area;
        let frame_stiffness: Force = frame.elastic_modulus * frame_area;
        let parts = LadderParts {
            neck: a.thread.setback,
            engagement: engaged,
            fitting_neck: fit.elastic_modulus * ring_area(a.fitting.neck_diameter, a.fitting.bore),
            fitting: fit.elastic_modulus * ring_area(basic.root, a.fitting.bore),
            insert: insert_stiffness,
            frame: frame_stiffness,
            flanks: flexibility::flank_stiffness(basic.pitch_diameter, basic.pitch, flank),
            glue: glue_layer,
            hold,
        };
        let ladder = Ladder::solve(&parts).map_err(|e| match e {
            ladder::LadderError::NoEngagement => Reason::NoEngagement,
            ladder::LadderError::NotPositive(_) => Reason::NotConverged,
        })?;
        let insert_polar = ring_polar(a.insert.outer_diameter, basic.major);
        let frame_polar = ring_polar(a.frame.outer_diameter, bore);
        let torsion = Torsion::solve(
            &TorsionParts {
                insert_modulus: insert.shear_modulus,
                insert_section: insert_polar,
                frame_modulus: frame.shear_modulus,
                frame_section: frame_polar,
                glue: glue_layer,
                hold,
            },
            &ladder.thread_spread(ring.share),
        )
        .map_err(|_| Reason::NotConverged)?;
        let adhesive_row = &a.bond.adhesive;
        let confined = rocking::confined_modulus(adhesive_row.shear_modulus, adhesive_row.poisson);
        let layer = Layer {
            k_n: rocking::normal_stiffness(confined, a.bond.thickness),
            k_s: rocking::shear_stiffness(adhesive_row.shear_modulus, a.bond.thickness),
            mid_radius: radius,
            voids: a.bond.voids,
        };
        let tube = Tube {
            young: insert.elastic_modulus,
            shear: insert.shear_modulus,
            poisson: insert.poisson,
            inner: basic.major,
            outer: a.insert.outer_diameter,
        };
        let rocking = Rocking::new(&tube, &layer, a.bond.length, a.thread.setback, engaged)
            .ok_or(Reason::NotConverged)?;
        let face_stiffness = ladder.thread_stiffness(ring.share);
        let thread_stiffness = closed::joint_stiffness(a, face_stiffness);
        let part = |p: Option<seat::Part>| {
            p.map(|p| contact::RingPart {
                inner: p.inner,
                outer: p.outer,
                stiffness: p.stiffness * stiffness_factor,
            })
        };
        let mut few = [contact::GapReading {
            at: from_si(0.0),
            gap: from_si(0.0),
        }; 16];
        let many: Vec<contact::GapReading>;
        let reading = |g: &GapReading| contact::GapReading {
            at: g.at,
            gap: g.gap.nominal,
        };
        // Up to sixteen readings need no allocation; more are rare.
        let gaps: &[contact::GapReading] = if a.seat.gaps.len() <= few.len() {
            for (slot, gap) in few.iter_mut().zip(&a.seat.gaps) {
                *slot = reading(gap);
            }
            &few[..a.seat.gaps.len()]
        } else {
            many = a.seat.gaps.iter().map(reading).collect();
            &many
        };
        let contact = SeatContact::new(&contact::Seat {
            insert: part(ring.insert),
            frame: part(ring.frame),
            gaps,
            thread_radius: basic.pitch_diameter / 2.0,
            thread_stiffness,
        })
        .map_err(|_| Reason::NotConverged)?;

        // The grid must resolve the field that dies out soonest. The ladder's largest root is below the
        // square root of the sum of all its spring-to-bar quotients.
        let glue_spring = si(ladder::glue_stiffness(
            radius,
            adhesive_row.shear_modulus,
            a.bond.thickness,
            a.bond.voids,
        ));
        let steep = si(parts.flanks) * (1.0 / si(parts.fitting) + 1.0 / si(parts.insert))
            + glue_spring * (1.0 / si(parts.insert) + 1.0 / si(parts.frame));
        let shortest = si(rocking.layer()).min(1.0 / steep.sqrt());
        let grid = Grid::new(rocking.breaks(), shortest);
        // Filled where it is returned: the model is large, and studies make one for every sample.
        let mut model = Ok(Model {
            a,
            ring: *ring,
            geometry: *geometry,
            thread_stiffness,
            face_stiffness,
            seat_stiffness: ring.stiffness() * stiffness_factor,
            first_turn: ladder.first_turn_share(basic.pitch, ring.share),
            ladder,
            torsion,
            rocking,
            contact,
            layer,
            radius,
            area: geometry.bond_area,
            grid,
            axial: [[0.0; STATIONS]; 3],
            twist: [[0.0; STATIONS]; 3],
            peel: [[0.0; STATIONS]; 2],
            turn: [[0.0; STATIONS]; 2],
            thermal: [0.0; STATIONS],
            thermal_end: (0.0, 0.0),
            thermal_most: 0.0,
            lag: closed::shear_lag(a, radius),
            soft_wall: soft_wall(a, &tube, frame_area),
            remarks: remarks(a, engaged, &tube, frame_area),
            flanks: parts.flanks,
            elements: None,
            laminate: frame
                .interlaminar_tension
                .zip(frame.interlaminar_shear)
                .filter(|_| frame.laminate)
                .map(|(tension, shear)| Laminate { tension, shear }),
            adhesive: glue::Adhesive {
                tension: adhesive_row.tensile_strength,
                tau_p: adhesive_row.shear_strength,
                gamma_p: adhesive_row.plastic_shear_strain,
                shear_modulus: adhesive_row.shear_modulus,
            },
        });
        if let Ok(model) = &mut model {
            model.torsion.sample_grid(&model.grid, &mut model.twist);
            model.ladder.sample_grid(&model.grid, &mut model.axial);
            model.sample_rocking();
            model.sample_thermal();
            model.thermal_most = glue::greatest(&model.thermal);
            // A search for the greatest use would pass over what is not a number.
            let fields = model.axial.iter().chain(&model.twist);
            let fields = fields.chain(&model.peel).chain(&model.turn);
            if !glue::finite(fields.chain([&model.thermal])) {
                return Err(Reason::NotConverged);
            }
            if a.by_elements {
                model.elements = Some(elements::Solved::new(model).map(Box::new));
            }
        }
        model
    }

    /// Stresses of rocking at the stations for a force of 1 N across and a moment of 1 N·m.
    fn sample_rocking(&mut self) {
        let (k_n, k_s, r_b) = (si(self.layer.k_n), si(self.layer.k_s), si(self.radius));
        let units = self.rocking.sample_units(&self.grid, [k_n, k_s * r_b]);
        for (unit, sampled) in units.iter().enumerate() {
            self.peel[unit] = sampled.w;
            self.turn[unit] = sampled.psi;
        }
    }

    /// Thermal shear per kelvin at the stations, from its value at the bond's end:
    /// sinh(b·(x − L/2))/sinh(b·L/2) = (e^(−b·(L − x)) − e^(−b·x))/(1 − e^(−b·L)).
    fn sample_thermal(&mut self) {
        let a = self.a;
        let length = si(a.bond.length);
        let one_below: ThermodynamicTemperature = from_si(si(a.bond.cure_temperature) - 1.0);
        let end = si(closed::thermal_shear(a, self.lag, one_below, a.bond.length));
        let b = self.lag.value / length;
        self.thermal_end = (end / -(-b * length).exp_m1(), b);
        for (g, part) in self.grid.parts().iter().enumerate() {
            let first = self.grid.range(g).start;
            let fade = part.decay(b);
            let mirror = glue::mirrored(&fade);
            let (near, far) = (
                (-b * part.left).exp(),
                (-b * (length - part.right).max(0.0)).exp(),
            );
            for k in 0..glue::PART {
                self.thermal[first + k] = self.thermal_end.0 * (far * mirror[k] - near * fade[k]);
            }
        }
    }

    /// Thermal shear per kelvin of cooling at a distance behind the face (Pa/K, x in m).
    fn thermal_shear_per_kelvin(&self, x: f64) -> f64 {
        let (end, b) = self.thermal_end;
        end * ((-b * (si(self.a.bond.length) - x)).exp() - (-b * x).exp())
    }

    /// Thermal stress at a temperature.
    fn thermal_at(&self, temperature: ThermodynamicTemperature) -> Thermal {
        Thermal {
            radial: si(closed::radial_stress(self.a, self.radius, temperature)),
            cooling: si(self.a.bond.cure_temperature) - si(temperature),
        }
    }

    /// Strengths at a temperature; nothing above the adhesive's row.
    fn strengths(
        &self,
        temperature: ThermodynamicTemperature,
        aged: bool,
        limit: Limit,
    ) -> Option<(Strengths, f64)> {
        let row = &self.a.bond.adhesive;
        let Judged::Value(warm) =
            glue::temperature_factor(temperature, row.hot_temperature, row.hot_factor)
        else {
            return None;
        };
        let ageing = if aged { row.ageing_factor } else { number(1.0) };
        let factors = Factors {
            surface: self.a.bond.preparation,
            other: ageing * warm,
        };
        Some((
            Strengths::new(&self.adhesive, self.laminate.as_ref(), &factors, limit),
            factors.product().value,
        ))
    }

    /// The glue at a temperature.
    fn climate(&self, temperature: ThermodynamicTemperature) -> Climate {
        let of = |limit| self.strengths(temperature, true, limit);
        let share = Limit::Share(self.a.bond.adhesive.endurance_share);
        let found = of(Limit::Ductile).zip(of(Limit::Elastic)).zip(of(share));
        Climate {
            thermal: self.thermal_at(temperature),
            product: found.map_or(f64::NAN, |(((_, product), _), _)| product),
            strengths: found.map(|(((ductile, _), (elastic, _)), (often, _))| Aged {
                ductile,
                elastic,
                often,
            }),
        }
    }

    /// The mechanical stresses of a state.
    fn fields(&self, forces: &FaceForces, torques: [f64; 3], rock: (f64, f64)) -> Fields {
        let forces = [si(forces.fitting), si(forces.insert), si(forces.frame)];
        Fields {
            axial: three(&self.axial, forces),
            low: None,
            twist: (torques != [0.0; 3]).then(|| three(&self.twist, torques)),
            rocking: (rock != (0.0, 0.0)).then(|| {
                let two = |unit: &[[f64; STATIONS]; 2]| {
                    std::array::from_fn(|j| rock.0 * unit[0][j] + rock.1 * unit[1][j])
                };
                RockFields {
                    peel: two(&self.peel),
                    axial: two(&self.turn),
                    hoop_share: si(self.layer.k_s) / si(self.layer.k_n),
                    tilt: self.rocking.tilt(rock.0, rock.1),
                }
            }),
            forces,
            torques,
        }
    }

    /// Lets a state stand for that at preload low as well, which has other forces at the face.
    fn add_low(&self, f: &mut Fields, forces: &FaceForces) {
        let forces = [si(forces.fitting), si(forces.insert), si(forces.frame)];
        let mut both = three(&self.axial, forces);
        for (low, high) in both.iter_mut().zip(&f.axial) {
            let (at_low, at_high) = (low.abs(), high.abs());
            *low = if at_low > at_high { at_low } else { at_high };
        }
        f.low = Some((forces, both));
    }

    /// The exact stresses of a state at a distance behind the face (m).
    fn exact(&self, f: &Fields, thermal: &Thermal, x: f64) -> Station {
        let unit = self.ladder.unit_shear(x);
        let along = sum(unit, &f.forces);
        let at_low = f.low.as_ref().map_or(0.0, |(forces, _)| sum(unit, forces));
        Station {
            sigma_thermal: thermal.radial,
            tau_axial: if at_low.abs() > along.abs() {
                at_low
            } else {
                along
            },
            tau_thermal: if thermal.cooling == 0.0 {
                0.0
            } else {
                thermal.cooling * self.thermal_shear_per_kelvin(x)
            },
            tau_torsion: if f.torques == [0.0; 3] {
                0.0
            } else {
                sum(self.torsion.unit_shear(x), &f.torques)
            },
            ..self.exact_rocking(f.rocking.as_ref(), x)
        }
    }

    /// The exact stresses of rocking.
    fn exact_rocking(&self, rocking: Option<&RockFields>, x: f64) -> Station {
        let (k_n, k_s, r_b) = (si(self.layer.k_n), si(self.layer.k_s), si(self.radius));
        let place = rocking.map(|r| r.tilt.at(x)).unwrap_or_default();
        Station {
            peel: k_n * place.w,
            rock_axial: k_s * r_b * place.psi,
            rock_hoop: k_s * place.w,
            ..Station::default()
        }
    }

    /// The exact stresses of what pulsates.
    fn exact_pulse(&self, pulse: &Pulse<'_>, x: f64) -> Station {
        Station {
            tau_axial: sum(self.ladder.unit_shear(x), &pulse.forces),
            ..self.exact_rocking(pulse.rocking, x)
        }
    }

    /// The greatest use of the glue in a state, and where it is.
    fn usage(&self, f: &Fields, thermal: &Thermal, strengths: &Strengths) -> glue::Worst {
        let samples = f.samples(thermal, &self.thermal);
        glue::worst(&self.grid, &samples, strengths, |x| {
            self.exact(f, thermal, x)
        })
    }

    /// The greatest use of the glue in a state against each of several strengths, or its floor where it is no
    /// greater. `before` is a state that is used no more than the floors, with the greatest stresses of this one, which
    /// mostly rule it out.
    fn usage_above<const N: usize>(
        &self,
        f: &Fields,
        before: Option<&(&Fields, Station)>,
        thermal: &Thermal,
        strengths: [&Strengths; N],
        floors: [f64; N],
    ) -> [f64; N] {
        let samples = f.samples(thermal, &self.thermal);
        let may_exceed = |k: usize| {
            before.is_none_or(|(_, most)| {
                let most = Station {
                    sigma_thermal: thermal.radial,
                    tau_thermal: thermal.cooling * self.thermal_most,
                    ..*most
                };
                !glue::beneath(glue::ceiling(&most, strengths[k]), floors[k])
            })
        };
        if !(0..N).any(may_exceed) {
            return floors;
        }
        let dominated = |j| before.is_some_and(|(b, _)| b.dominates(f, j));
        let exact = |x| self.exact(f, thermal, x);
        let found = glue::worst_above(&self.grid, &samples, strengths, floors, dominated, exact);
        std::array::from_fn(|k| found[k].map_or(floors[k], |worst| worst.usage.max(floors[k])))
    }

    /// The place of the greatest combined use of endurance; nothing where it could not exceed `floor`.
    fn endurance(
        &self,
        still: &Fields,
        pulse: &Pulse<'_>,
        thermal: &Thermal,
        (once, often): (&Strengths, &Strengths),
        floor: f64,
    ) -> Option<glue::Worst> {
        glue::worst_endurance(
            &self.grid,
            &glue::Still {
                sigma_thermal: thermal.radial,
                tau_axial: &still.axial,
                tau_thermal: (thermal.cooling, &self.thermal),
            },
            &pulse.samples(),
            once,
            often,
            floor,
            |x| (self.exact(still, thermal, x), self.exact_pulse(pulse, x)),
        )
    }

    /// Use of the glue by the mean shear of a state; `product` is that of the factors.
    fn mean_use(&self, f: &Fields, product: f64) -> f64 {
        let net = |forces: &[f64; 3]| (forces[0] - forces[1]).abs();
        let at_low = f.low.as_ref().map_or(0.0, |(forces, _)| net(forces));
        let bond_force: Force = from_si(net(&f.forces).max(at_low));
        let bond_torque: Torque = from_si(f.torques[0] + f.torques[1]);
        glue::mean_use(
            bond_force,
            bond_torque,
            self.radius,
            self.area,
            self.adhesive.tau_p,
            number(product),
        )
        .value
    }

    /// Demand of a state: the greater of the peak's use and the mean's.
    fn demand(&self, f: &Fields, thermal: &Thermal, strengths: &(Strengths, f64)) -> f64 {
        self.usage(f, thermal, &strengths.0)
            .usage
            .max(self.mean_use(f, strengths.1))
    }

    /// The removal torque of the job, or the loosening torque at preload high and high friction, in its
    /// thread and seat parts.
    pub fn removal(&self, preloads: &Preloads) -> (Torque, Torque) {
        let helix = &preloads.band.low.helix;
        let high = preloads.band.high.preload;
        let thread = helix.loosening_thread(high);
        // A thread that does not hold itself needs no torque to come undone.
        let thread = if si(thread) > 0.0 {
            thread
        } else {
            from_si(0.0)
        };
        let seat = helix.seat(high);
        match self.a.tightening.removal_torque {
            None => (thread, seat),
            Some(given) => {
                let whole = si(thread) + si(seat);
                let share = if whole > 0.0 { si(thread) / whole } else { 0.0 };
                (given * share, given * (1.0 - share))
            }
        }
    }

    /// The stresses of undoing with a torque in given parts.
    fn removal_fields(&self, thread: Torque, seat: Torque) -> Fields {
        let loads = TorsionLoads::new(thread, seat, self.ring.share);
        let none = FaceForces {
            fitting: from_si(0.0),
            insert: from_si(0.0),
            frame: from_si(0.0),
        };
        self.fields(
            &none,
            [
                si(loads.thread),
                si(loads.seat_insert),
                si(loads.seat_frame),
            ],
            (0.0, 0.0),
        )
    }

    /// Demand on the glue while undoing with a torque in given parts; with `limit` also the highest torque,
    /// in the same parts, that keeps the required ratio.
    fn removal_states(&self, thread: Torque, seat: Torque, limit: bool) -> Option<(f64, Torque)> {
        let room = celsius(20.0);
        let whole = thread + seat;
        let (strengths, product) = self.strengths(room, true, Limit::Ductile)?;
        let target = number(1.0 / self.a.need.removal.value);
        let thermal = self.thermal_at(room);
        let f = self.removal_fields(thread, seat);
        let mean = self.mean_use(&f, product);
        let demand = self.usage(&f, &thermal, &strengths).usage.max(mean);
        if !limit || si(whole) <= 0.0 || mean <= 0.0 {
            return Some((demand, from_si(0.0)));
        }
        let samples = f.samples(&thermal, &self.thermal);
        let exact = |x| self.exact(&f, &thermal, x);
        let factor = glue::torsion_to_reach(&self.grid, &samples, &strengths, target, exact);
        Some((demand, whole * factor.value.min(target.value / mean)))
    }

    /// The seat at a preload.
    fn seated(&self, preload: Force) -> Result<Seated, ContactError> {
        let state = self.contact.preload_state(preload)?;
        let nothing = contact::Load {
            moment: from_si(0.0),
            direction: from_si(0.0),
            axial: from_si(0.0),
        };
        let alone = self.contact.loaded_state(&state, &nothing)?;
        Ok(Seated {
            preload: state,
            alone,
        })
    }

    /// The stresses of a preload alone.
    fn at_rest(&self, state: &Seated) -> Fields {
        self.fields(&face_forces(&state.alone), [0.0; 3], (0.0, 0.0))
    }

    /// The stresses of tightening to preload high, from those of that preload alone.
    fn tightened(&self, preloads: &Preloads, still: &Fields) -> Fields {
        let high = &preloads.band.high;
        let loads = TorsionLoads::new(
            high.helix.thread(high.preload),
            high.helix.seat(high.preload),
            self.ring.share,
        );
        let torques = [
            si(loads.thread),
            si(loads.seat_insert),
            si(loads.seat_frame),
        ];
        Fields {
            twist: Some(three(&self.twist, torques)),
            torques,
            ..*still
        }
    }

    /// Does the ring touch all round at preload low, before any load?
    pub fn closes(&self, preloads: &Preloads) -> bool {
        self.contact
            .preload_state(least_preload(preloads))
            .is_ok_and(|state| state.closed())
    }

    /// Runs the load cases at a preload band.
    pub fn states(&self, preloads: &Preloads, ends: Ends) -> States {
        let mut states = Run {
            model: self,
            preloads,
            ends,
            values: self.values(preloads),
            raw: [None; CheckId::COUNT],
        }
        .all();
        if let Some(solved) = &self.elements {
            self.put_elements(solved, preloads, ends, &mut states);
        }
        states
    }

    /// Values that need no load case.
    fn values(&self, preloads: &Preloads) -> Coupled {
        let high = &preloads.band.high;
        let loads = TorsionLoads::new(
            high.helix.thread(high.preload),
            high.helix.seat(high.preload),
            self.ring.share,
        );
        let torques = [
            si(loads.thread),
            si(loads.seat_insert),
            si(loads.seat_frame),
        ];
        let twist = three(&self.twist, torques);
        let peak = glue::peak(&self.grid, &twist, |x| {
            si(self.torsion.glue_shear(from_si(x), &loads))
        });
        let (thread, seat) = self.removal(preloads);
        Coupled {
            thread_stiffness: self.thread_stiffness,
            face_stiffness: self.face_stiffness,
            seat_stiffness: self.seat_stiffness,
            first_turn: self.first_turn,
            torsion_torque: self.torsion.bond_torque(&loads),
            torsion_mean: self.torsion.mean_shear(&loads),
            torsion_peak: from_si(peak),
            removal_torque: thread + seat,
            soft_wall: self.soft_wall.map(number),
            remarks: self.remarks,
            elements_over_simple: None,
            ..Coupled::default()
        }
    }
}

/// Stiffness in shear of the wall over the insert's; nothing where the frame is held all along.
fn wall_ratio(a: &Assembly, tube: &Tube, frame_area: Area) -> Option<Ratio> {
    if matches!(a.frame.held_at, HeldAt::FullLength | HeldAt::AllRound) {
        return None;
    }
    let frame = &a.frame.material;
    let wall: Force = rocking::shear_coefficient(frame.poisson) * frame.shear_modulus * frame_area;
    Some(glue::wall_stiffness_ratio(wall, tube.shear_rigidity()))
}

/// What the simple model of rocking is known to leave out of this bond.
fn remarks(a: &Assembly, engaged: Length, tube: &Tube, frame_area: Area) -> Notes {
    let mut notes = Notes::default();
    let ratio = wall_ratio(a, tube, frame_area).map(si);
    let counted = soft_wall(a, tube, frame_area).is_none_or(|factor| factor > 1.0);
    if !counted && ratio.is_some_and(|r| r < glue::WALL_BENDS_BELOW) {
        notes.add(Note::WallBends);
    }
    let left = a.bond.length - a.thread.setback - engaged;
    if left < mm(glue::THREAD_CLEAR_MM) {
        notes.add(Note::ThreadAtEnd);
    }
    notes
}

/// Factor on the peel of a soft wall: 1 where the frame is held all along; nothing outside the range.
fn soft_wall(a: &Assembly, tube: &Tube, frame_area: Area) -> Option<f64> {
    match wall_ratio(a, tube, frame_area).map(glue::soft_wall_factor) {
        None => Some(1.0),
        Some(Judged::Value(factor)) => Some(factor.value),
        Some(Judged::Not) => None,
    }
}

/// One run of the load cases.
struct Run<'m, 'a> {
    model: &'m Model<'a>,
    preloads: &'m Preloads,
    ends: Ends,
    values: Coupled,
    raw: [Option<Raw>; CheckId::COUNT],
}

/// One load case with what its loads have in common.
struct Stage<'s> {
    index: usize,
    case: &'s LoadCase,
    /// The glue at the coldest and the hottest.
    climates: [Climate; 2],
    high: Option<&'s Seated>,
    low: Option<&'s Seated>,
    /// The stresses of preload high alone.
    still: Option<&'s Fields>,
}

/// Seat states at one end of the preload band.
struct Seated {
    preload: Preloaded,
    /// The same without outside load, for what each part carries.
    alone: Loaded,
}

impl Run<'_, '_> {
    /// Keeps the worse of a check's results.
    fn keep(&mut self, id: CheckId, raw: Raw) {
        let need = super::need(self.model.a, id);
        let slot = &mut self.raw[id.index()];
        if slot.as_ref().is_none_or(|old| raw.outweighs(old, need)) {
            *slot = Some(raw);
        }
    }

    fn all(mut self) -> States {
        let ends = self.ends;
        let high = self.preloads.band.high.preload;
        let low = least_preload(self.preloads);
        let states = (
            ends.high().then(|| self.model.seated(high)).transpose(),
            ends.low().then(|| self.model.seated(low)).transpose(),
        );
        match states {
            (Ok(high_state), Ok(low_state)) => {
                if let Some(low_state) = &low_state {
                    self.values.contact_preload = Some(low_state.preload.contact_fraction);
                }
                let high = high_state.as_ref();
                let still = high
                    .filter(|_| !ends.seat_alone())
                    .map(|state| self.model.at_rest(state));
                if let Some(still) = &still {
                    self.tightening(still);
                    self.sustained(still);
                }
                for (index, case) in self.model.a.cases.iter().enumerate() {
                    self.case(&Stage {
                        index,
                        case,
                        climates: [case.coldest, case.hottest].map(|t| self.model.climate(t)),
                        high,
                        low: low_state.as_ref(),
                        still: still.as_ref(),
                    });
                }
                self.cold_only();
            }
            _ => self.not_converged(),
        }
        if matches!(ends, Ends::Both | Ends::High) {
            let (thread, seat) = self.model.removal(self.preloads);
            let mut raw = match self.model.removal_states(thread, seat, ends == Ends::Both) {
                Some((demand, limit)) => {
                    self.values.removal_limit = limit;
                    Raw::of(demand, 1.0)
                }
                None => Raw::missing(Reason::HotterThanAdhesive),
            };
            if !self.preloads.band.low.helix.self_locking() {
                raw = raw.note(Note::NotSelfLocking);
            }
            self.keep(CheckId::BondRemoval, raw);
        }
        States {
            values: self.values,
            raw: self.raw,
        }
    }

    fn not_converged(&mut self) {
        for id in CheckId::ALL {
            if !matches!(
                id,
                CheckId::TorqueMaker | CheckId::Galvanic | CheckId::BondRemoval
            ) && (id != CheckId::BondSustained || self.model.ring.share.value < 1.0)
            {
                self.keep(id, Raw::missing(Reason::NotConverged));
            }
        }
    }

    fn tightening(&mut self, still: &Fields) {
        let m = self.model;
        let room = celsius(20.0);
        let f = m.tightened(self.preloads, still);
        let raw = match m.strengths(room, false, Limit::Ductile) {
            Some(strengths) => Raw::of(m.demand(&f, &m.thermal_at(room), &strengths), 1.0),
            None => Raw::missing(Reason::HotterThanAdhesive),
        };
        self.keep(CheckId::BondTightening, raw);
    }

    fn sustained(&mut self, still: &Fields) {
        let m = self.model;
        if m.ring.share.value >= 1.0 {
            return;
        }
        let none = Thermal {
            radial: 0.0,
            cooling: 0.0,
        };
        for (index, case) in m.a.cases.iter().enumerate() {
            // Only a hotter case can be worse; the preload is the same in all.
            if index > 0 && m.a.cases[..index].iter().any(|c| c.hottest >= case.hottest) {
                continue;
            }
            let limit = Limit::ShearShare(m.a.bond.adhesive.creep_share);
            let mut raw = match m.strengths(case.hottest, true, limit) {
                Some(strengths) => Raw::of(m.demand(still, &none, &strengths), 1.0),
                None => Raw::missing(Reason::HotterThanAdhesive),
            };
            raw.case = index as u16;
            self.keep(CheckId::BondSustained, raw);
        }
    }

    fn case(&mut self, stage: &Stage<'_>) {
        let (main, other) = closed::loads(self.model.a, stage.case);
        // No load of the lesser pedal need be the greater one: its pull inward or its lack of one can
        // be worse for grip, opening and pressure, so that it is always run.
        let (mut first, mut second) = (None, None);
        if self.loaded(stage, &main, None, None, &mut first).is_err() {
            self.not_converged();
            first = None;
        }
        if let Some(other) = other {
            let (note, before) = (Some(Note::OtherPedalWorse), first.as_ref());
            let run = self.loaded(stage, &other, note, before, &mut second);
            if run.is_err() {
                self.not_converged();
            }
        }
    }

    /// Says so where endurance of any case could be judged at its coldest alone, whichever case governs.
    fn cold_only(&mut self) {
        let m = self.model;
        let too_hot = |case: &LoadCase| {
            case.repeats == Repeats::Repeated
                && m.strengths(case.hottest, true, Limit::Ductile).is_none()
        };
        if m.a.cases.iter().any(too_hot)
            && let Some(raw) = &mut self.raw[CheckId::BondEndurance.index()]
            && raw.reason.is_none()
        {
            raw.notes.add(Note::ColdOnly);
        }
    }

    /// The greatest demand of a check so far.
    fn so_far(&self, id: CheckId) -> Option<f64> {
        self.raw[id.index()]
            .map(|raw| raw.demand)
            .filter(|demand| demand.is_finite())
    }

    /// Runs one load; `at_high` takes the fields at preload high. `before` are those of a load of the same case
    /// that has been run.
    fn loaded(
        &mut self,
        stage: &Stage<'_>,
        loads: &Loads,
        note: Option<Note>,
        before: Option<&Fields>,
        at_high: &mut Option<Fields>,
    ) -> Result<(), ContactError> {
        let m = self.model;
        let &Stage {
            index,
            case,
            ref climates,
            high,
            low,
            still,
        } = stage;
        let own = index == 0 && note.is_none();
        let tag = |mut raw: Raw| {
            raw.case = index as u16;
            if let Some(note) = note {
                raw.notes.add(note);
            }
            raw
        };
        if self.ends.seat_alone() {
            if let Some(state) = high {
                let worst = m
                    .contact
                    .worst_direction(&state.preload, loads.moment, loads.axial)?;
                let crush = self.crush(&worst.peak);
                self.keep(CheckId::SeatCrush, tag(crush));
            }
            if let Some(state) = low
                && let Some(open) = self.opening(loads, state)?
            {
                self.keep(CheckId::SeatOpen, tag(open));
            }
            return Ok(());
        }
        let so_far = [CheckId::BondServiceCold, CheckId::BondServiceHot].map(|id| self.so_far(id));
        let elastic = self.values.service_elastic;
        let mut service = Service {
            cold: Worst::beyond(so_far[0]),
            hot: Worst::beyond(so_far[1]),
            elastic: elastic.map_or(0.0, |r| 1.0 / r.value),
        };
        let (mut rocked_high, mut at_low) = (None, None);
        if let Some(state) = high {
            let worst = m
                .contact
                .worst_direction(&state.preload, loads.moment, loads.axial)?;
            let s = &worst.state;
            for (id, raw) in self.metal(s.prying_factor).into_iter().flatten() {
                self.keep(id, tag(raw));
            }
            let crush = self.crush(&worst.peak);
            self.keep(CheckId::SeatCrush, tag(crush));
            let rock = rock(loads, s);
            rocked_high = Some(rock);
            let f = &*at_high.insert(m.fields(&face_forces(s), [si(loads.torque), 0.0, 0.0], rock));
            if case.repeats == Repeats::Repeated
                && let Some(raw) = still.and_then(|still| self.repeated(climates, f, still, before))
            {
                self.keep(CheckId::BondEndurance, tag(raw));
            }
            if own {
                self.own_high(s, &worst.peak, f, rock);
            }
        }
        if let Some(state) = low {
            let worst = m
                .contact
                .worst_direction(&state.preload, loads.moment, loads.axial)?;
            let s = &worst.state;
            let slip = self.slip(loads, s);
            if own {
                self.values.contact_load = Some(s.contact_fraction);
            }
            if let Some(open) = self.opening(loads, state)? {
                if own {
                    self.values.moment_open =
                        (!open.capacity.is_nan()).then(|| from_si(open.capacity));
                }
                self.keep(CheckId::SeatOpen, tag(open));
            }
            self.keep(CheckId::SeatSlip, tag(slip));
            let (forces, rock) = (face_forces(s), rock(loads, s));
            // A seat that stays closed rocks the insert as hard at either end of the preload band.
            match at_high {
                Some(f) if rocked_high == Some(rock) => m.add_low(f, &forces),
                _ => at_low = Some(m.fields(&forces, [si(loads.torque), 0.0, 0.0], rock)),
            }
        }
        for (f, before) in [(&*at_high, before), (&at_low, at_high.as_ref())] {
            if let Some(f) = f {
                service.run(m, climates, f, before);
            }
        }
        for ((id, worst), so_far) in [
            (CheckId::BondServiceCold, &service.cold),
            (CheckId::BondServiceHot, &service.hot),
        ]
        .into_iter()
        .zip(so_far)
        {
            let raw = if !worst.judged {
                Raw::missing(Reason::HotterThanAdhesive)
            } else if so_far.is_none_or(|least| worst.demand > least) {
                self.softened(Raw::of(worst.demand, 1.0))
            } else {
                continue;
            };
            self.keep(id, tag(raw));
        }
        if service.elastic > 0.0 {
            self.values.service_elastic = Some(number(1.0 / service.elastic));
        }
        Ok(())
    }

    /// A check of rocking glue whose verdict a soft wall worsens.
    fn softened(&self, mut raw: Raw) -> Raw {
        raw.notes = raw.notes.and(self.model.remarks);
        match self.model.soft_wall {
            Some(factor) if factor > 1.0 => raw.divided(factor).note(Note::SoftWall),
            Some(_) => raw,
            None => raw
                .divided(3.4)
                .note(Note::SoftWall)
                .at_best(Reason::SoftWall),
        }
    }

    /// Threads, wall, neck and flange under the highest line load.
    fn metal(&mut self, prying: Ratio) -> [Option<(CheckId, Raw)>; 6] {
        let a = self.model.a;
        let high = &self.preloads.band.high;
        let demand = si(strip::thread_demand(high.preload, prying));
        let g = &self.model.geometry;
        let stress = closed::fitting_stress(a, &self.model.ring, high);
        let mut out = [None; 6];
        if let Some(strip) = &g.strip {
            let from_tensile = |m: &Material, raw: Raw| {
                if m.shear_from_tensile {
                    raw.note(Note::ShearFromTensile)
                } else {
                    raw
                }
            };
            out[0] = Some((
                CheckId::StripExternal,
                from_tensile(
                    &a.fitting.material,
                    Raw::of(demand, si(strip.external.capacity)),
                ),
            ));
            out[1] = Some((
                CheckId::StripInternal,
                from_tensile(
                    &a.insert.material,
                    Raw::of(demand, si(strip.internal.capacity)),
                ),
            ));
            let mut needed = 0.0f64;
            let mut need = |need: Ratio, capacity: Force| {
                needed = needed.max(si(strip::engagement_needed(
                    g.engaged,
                    need,
                    from_si(demand),
                    capacity,
                )));
            };
            need(a.need.strip, strip.external.capacity);
            need(a.need.strip, strip.internal.capacity);
            if let Some(hoop) = g.hoop {
                need(a.need.hoop, hoop);
            }
            out[2] = Some((CheckId::Engagement, Raw::of(needed, si(g.engaged))));
            let before = self.values.engagement_needed.map_or(0.0, si);
            self.values.engagement_needed = Some(from_si(before.max(needed)));
        }
        if let Some(hoop) = g.hoop {
            out[3] = Some((
                CheckId::Hoop,
                Raw::of(demand, si(hoop)).note(Note::WallUnsupported),
            ));
        }
        if let Some(sigma_y) = a.fitting.material.yield_strength {
            let neck = fitting::neck_equivalent(fitting::pried(stress.axial, prying), stress.shear);
            out[4] = Some((CheckId::Neck, Raw::of(si(neck), si(sigma_y))));
            out[5] = Some((
                CheckId::Flange,
                Raw::of(si(fitting::pried(stress.flange, prying)), si(sigma_y))
                    .note(Note::FlangeApproximate),
            ));
        }
        out
    }

    /// Peak pressure of each part against its own face.
    fn crush(&self, peak: &contact::Peaks) -> Raw {
        let mut worst: Option<Raw> = None;
        let mut missing = false;
        for face in pressed_faces(self.model.a, peak).into_iter().flatten() {
            let Some(strength) = face.strength else {
                missing = true;
                continue;
            };
            let mut raw = Raw::of(si(face.pressure), si(strength));
            if face.clamped {
                raw = raw.note(Note::ClampedCrushes);
            }
            if worst.is_none_or(|w| raw.ratio < w.ratio) {
                worst = Some(raw);
            }
        }
        match worst {
            // The part that is known may already fall short; otherwise the missing one decides.
            Some(raw) if missing => raw.at_best(Reason::FaceStrengthMissing),
            Some(raw) => raw,
            None => Raw::missing(Reason::FaceStrengthMissing),
        }
    }

    /// Is there no load at all where there should be some?
    fn no_load(&self) -> bool {
        let a = self.model.a;
        a.purpose == Use::CrankHousing
            && a.cases
                .iter()
                .all(|c| c.pedalling.is_none() && c.loads == DirectLoads::default())
    }

    /// Opening at preload low; nothing where it is no worse than it has been.
    fn opening(&self, loads: &Loads, state: &Seated) -> Result<Option<Raw>, ContactError> {
        let moment = si(loads.moment).abs();
        let so_far = self.raw[CheckId::SeatOpen.index()].filter(|raw| raw.reason.is_none());
        if moment > 0.0 && si(self.preloads.low) <= 0.0 {
            return Ok(Some(Raw::of(moment, 0.0)));
        }
        // Only a moment that keeps less than the least ratio so far is worth looking for.
        let limit = match &so_far {
            Some(_) if moment <= 0.0 => return Ok(None),
            Some(raw) => raw.ratio * moment,
            None => f64::INFINITY,
        };
        let contact = &self.model.contact;
        let found = contact.opening_below(&state.preload, loads.axial, from_si(limit))?;
        let opening = match found {
            Some(moment) => si(moment),
            None if so_far.is_some() => return Ok(None),
            None => f64::INFINITY,
        };
        Ok(Some(if moment > 0.0 {
            Raw::of(moment, opening)
        } else if self.no_load() {
            Raw::missing(Reason::NoLoad).with_capacity(opening)
        } else {
            Raw::nothing(opening).note(Note::NothingOpens)
        }))
    }

    /// Slip at preload low.
    fn slip(&self, loads: &Loads, s: &Loaded) -> Raw {
        let a = self.model.a;
        let grip = si(seat::grip(
            a.tightening.seat_friction.low,
            s.seat_force,
            s.thread_force,
            a.thread.basic.half_angle,
        ));
        let radial = si(loads.radial).abs();
        let slip = if radial > 0.0 {
            Raw::of(radial, grip)
        } else if self.no_load() {
            Raw::missing(Reason::NoLoad).with_capacity(grip)
        } else {
            Raw::nothing(grip).note(Note::NothingOpens)
        };
        if super::informs(a, CheckId::SeatSlip) {
            slip.note(Note::InformsOnly)
        } else {
            slip
        }
    }

    /// Endurance at the coldest and the hottest; nothing where it is no worse than it has been.
    fn repeated(
        &self,
        climates: &[Climate; 2],
        loaded: &Fields,
        still: &Fields,
        before: Option<&Fields>,
    ) -> Option<Raw> {
        let m = self.model;
        let pulse = loaded.pulsating(still);
        let so_far = self.so_far(CheckId::BondEndurance);
        let mut demand = so_far.unwrap_or(0.0);
        let mut judged = false;
        // As in service, the lesser load is mostly ruled out by the greatest of each stress.
        let mut most = before.map(|_| pulse.most(loaded, still));
        for climate in climates {
            let Some(strengths) = &climate.strengths else {
                continue;
            };
            let both = (&strengths.ductile, &strengths.often);
            judged = true;
            if let Some([once, often]) = &mut most {
                once.sigma_thermal = climate.thermal.radial;
                once.tau_thermal = climate.thermal.cooling * m.thermal_most;
                let ceiling = glue::ceiling(once, both.0) + glue::ceiling(often, both.1);
                if glue::beneath(ceiling, demand) {
                    continue;
                }
            }
            demand = m
                .endurance(still, &pulse, &climate.thermal, both, demand)
                .map_or(demand, |worst| worst.usage.max(demand));
        }
        if !judged {
            return Some(Raw::missing(Reason::HotterThanAdhesive));
        }
        if so_far.is_some_and(|least| demand <= least) {
            return None;
        }
        Some(self.softened(Raw::of(demand, 1.0)))
    }

    /// Values of the job's own case at preload high.
    fn own_high(&mut self, s: &Loaded, peak: &contact::Peaks, f: &Fields, rock: (f64, f64)) {
        let m = self.model;
        let v = &mut self.values;
        let pressures = [peak.insert, peak.frame].into_iter().flatten();
        v.pressure_peak = pressures.reduce(|a, b| if b > a { b } else { a });
        v.pressure_mean = Some(s.seat_force / m.ring.area);
        v.pull_extra = Some(s.thread_force - self.preloads.band.high.preload);
        v.prying = Some(s.prying_factor);
        v.worst_direction = (!m.contact.is_even()).then_some(s.direction);
        let forces = face_forces(s);
        v.axial_force = Some(m.ladder.bond_force(&forces));
        v.axial_mean = Some(m.ladder.mean_shear(&forces));
        let shear = |x: f64| si(m.ladder.glue_shear(from_si(x), &forces));
        v.axial_peak = Some(from_si(glue::peak(&m.grid, &f.axial, shear)));
        v.rocking_moment = Some(from_si(rock.1));
        v.rocking_peel = Some(from_si(0.0));
        v.rocking_shear = Some(from_si(0.0));
        if let Some(r) = &f.rocking {
            let (k_n, k_s, r_b) = (si(m.layer.k_n), si(m.layer.k_s), si(m.radius));
            let peel = glue::peak(&m.grid, &r.peel, |x| k_n * r.tilt.at(x).w);
            let axial = glue::peak(&m.grid, &r.axial, |x| k_s * r_b * r.tilt.at(x).psi);
            v.rocking_peel = Some(from_si(peel));
            v.rocking_shear = Some(from_si(axial.max(r.hoop_share * peel)));
        }
    }
}

/// A face under pressure.
#[derive(Debug, Clone, Copy)]
pub struct PressedFace {
    /// Peak pressure on it.
    pub pressure: Pressure,
    /// What it stands, where that is known.
    pub strength: Option<Pressure>,
    /// The key that says so.
    pub key: &'static str,
    /// It is that of the part between head and boss.
    pub clamped: bool,
}

/// Every face that a seat state presses; a part between head and face is pressed as hard as the face.
fn pressed_faces(a: &Assembly, peak: &contact::Peaks) -> [Option<PressedFace>; 4] {
    let part = |pressure: Option<Pressure>| {
        pressure.zip(a.clamped).map(|(pressure, c)| PressedFace {
            pressure,
            strength: c.material.face_strength,
            key: "clamped.material",
            clamped: true,
        })
    };
    let face = |pressure: Option<Pressure>, material: &Material, key: &'static str| {
        pressure.map(|pressure| PressedFace {
            pressure,
            strength: a.seat.face_strength.or(material.face_strength),
            key: if a.seat.face_strength.is_some() {
                "seat.face_strength"
            } else {
                key
            },
            clamped: false,
        })
    };
    [
        part(peak.insert),
        face(peak.insert, &a.insert.material, "insert.material"),
        part(peak.frame),
        face(peak.frame, &a.frame.material, "frame.material"),
    ]
}

/// A stress of three loads, from those of one unit of each.
fn sum(unit: [f64; 3], loads: &[f64; 3]) -> f64 {
    unit[0] * loads[0] + unit[1] * loads[1] + unit[2] * loads[2]
}

/// A field of three loads at the stations, from those of one unit of each.
fn three(unit: &[[f64; STATIONS]; 3], loads: [f64; 3]) -> [f64; STATIONS] {
    let mut field = glue::NOTHING;
    // A seat on one part alone, torque of the crank alone: often one of the loads or two are nothing.
    for (unit, load) in unit.iter().zip(loads) {
        if load != 0.0 {
            for (field, unit) in field.iter_mut().zip(unit) {
                *field += load * unit;
            }
        }
    }
    field
}

/// What each part of the face carries: the forces at the face of a seat state.
fn face_forces(loaded: &Loaded) -> FaceForces {
    FaceForces {
        fitting: loaded.thread_force,
        insert: loaded.insert_force,
        frame: loaded.frame_force,
    }
}

/// Preload low as its states are computed with.
fn least_preload(preloads: &Preloads) -> Force {
    if si(preloads.low) > LEAST_PRELOAD_N {
        preloads.low
    } else {
        newton(LEAST_PRELOAD_N)
    }
}

/// Force and moment that rock the insert in its glue: what the frame's part of the seat carries goes off.
fn rock(loads: &Loads, s: &Loaded) -> (f64, f64) {
    let moment = si(loads.moment);
    let left = si(rocking::moment_left(loads.moment.abs(), s.frame_moment));
    (si(loads.radial), if moment < 0.0 { -left } else { left })
}

/// The greatest demand of one state over the ends of the preload band.
struct Worst {
    demand: f64,
    judged: bool,
}
impl Worst {
    /// Beyond what has been found so far.
    fn beyond(so_far: Option<f64>) -> Worst {
        Worst {
            demand: so_far.unwrap_or(0.0),
            judged: true,
        }
    }
}

/// Service at the coldest and the hottest.
struct Service {
    cold: Worst,
    hot: Worst,
    /// The greatest use of glue that stays elastic, at either.
    elastic: f64,
}

impl Service {
    /// Takes in a state; `before` is one that has been taken in already, and whose greater stresses may
    /// prove that this one cannot be worse.
    fn run(&mut self, m: &Model<'_>, climates: &[Climate; 2], f: &Fields, before: Option<&Fields>) {
        let before = before.map(|b| (b, f.most()));
        for (climate, worst) in climates.iter().zip([&mut self.cold, &mut self.hot]) {
            let Some(Aged {
                ductile, elastic, ..
            }) = &climate.strengths
            else {
                worst.judged = false;
                continue;
            };
            let mean = m.mean_use(f, climate.product);
            let floors = [worst.demand.max(mean), self.elastic.max(mean)];
            [worst.demand, self.elastic] = m.usage_above(
                f,
                before.as_ref(),
                &climate.thermal,
                [ductile, elastic],
                floors,
            );
        }
    }
}

/// The glue at one temperature of a case: thermal stress and what aged glue stands.
struct Climate {
    thermal: Thermal,
    /// Nothing above the adhesive's row.
    strengths: Option<Aged>,
    /// Product of the factors.
    product: f64,
}

/// Strengths of aged glue.
struct Aged {
    ductile: Strengths,
    elastic: Strengths,
    often: Strengths,
}

/// Preloads with the embedding loss of a joint's stiffness.
pub fn with_embedding(
    a: &Assembly,
    preloads: &Preloads,
    thread: Stiffness,
    seat: Stiffness,
) -> Preloads {
    let settling = if a.tightening.retightened {
        mm(0.0)
    } else {
        a.tightening.embedding
    };
    let loss = torque::embedding_loss(settling, thread, seat);
    Preloads {
        loss_embedding: Some(loss),
        low: torque::preload_low(preloads.band.low.preload, preloads.loss_relaxation, loss),
        ..*preloads
    }
}
