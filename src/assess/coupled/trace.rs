//! The state behind a check's result, run once more with everything on the way to it kept.
//!
//! The states are built by the same functions that the checks use; only the search for the worst is not
//! cut short here, so that the place where it is worst is known.

use super::*;

/// The seat at one end of the preload band under the loads of a case.
#[derive(Debug, Clone, Copy)]
pub struct SeatSeen {
    /// Preload.
    pub preload: Force,
    /// The loaded state in the direction that is worst.
    pub state: Loaded,
    /// Peak pressure on every face that is pressed.
    pub faces: [Option<PressedFace>; 4],
    /// Moment that opens it; infinite where none does, nothing where that could not be solved.
    pub opens_at: Option<f64>,
}

/// The stresses at one point of the glue, magnitudes but for the thermal one across it.
#[derive(Debug, Clone, Copy)]
pub struct PointSeen {
    /// Thermal stress across the glue, tension positive.
    pub thermal_across: Pressure,
    /// Shear of the ladder.
    pub axial: Pressure,
    /// Shear of thermal mismatch.
    pub thermal: Pressure,
    /// Shear of torsion.
    pub torsion: Pressure,
    /// Rocking across the glue.
    pub peel: Pressure,
    /// Rocking along the axis.
    pub rock_axial: Pressure,
    /// Rocking around the axis.
    pub rock_hoop: Pressure,
    /// Strengths that they are held against, across and along.
    pub strength: (Pressure, Pressure),
    /// Share of the strengths that the state leaves: across and along.
    pub share: (Ratio, Ratio),
}

impl PointSeen {
    fn new(s: &Station, strengths: &Strengths, share: (Ratio, Ratio)) -> PointSeen {
        let of = |stress: f64| -> Pressure { from_si(stress.abs()) };
        PointSeen {
            thermal_across: from_si(s.sigma_thermal),
            axial: of(s.tau_axial),
            thermal: of(s.tau_thermal),
            torsion: of(s.tau_torsion),
            peel: of(s.peel),
            rock_axial: of(s.rock_axial),
            rock_hoop: of(s.rock_hoop),
            strength: (from_si(strengths.sigma), from_si(strengths.tau)),
            share,
        }
    }
    /// Stress across the glue, shear along and around the axis at an angle from the plane of tilting.
    pub fn at(&self, phi: Angle) -> (Pressure, Pressure, Pressure) {
        (
            glue::across(self.thermal_across, self.peel, phi),
            glue::shear_along(self.axial, self.thermal, self.rock_axial, phi),
            glue::shear_around(self.torsion, self.rock_hoop, phi),
        )
    }
    /// Use of the glue there.
    pub fn usage(&self, phi: Angle) -> Ratio {
        let (across, along, around) = self.at(phi);
        let (sigma, tau) = self.strength;
        glue::point_use(across, sigma, along, around, tau)
    }
}

/// The glue in the state of a check, where that uses it most.
#[derive(Debug, Clone, Copy)]
pub struct GlueSeen {
    /// Preload; nothing while undoing, where only the torque acts.
    pub preload: Option<Force>,
    /// What the parts of the face carry.
    pub forces: FaceForces,
    /// Moment of rocking, and what the frame's part of the seat carries of the load's.
    pub rocking: (Torque, Torque),
    /// Temperature; nothing where no thermal stress is counted.
    pub thermal_at: Option<ThermodynamicTemperature>,
    /// Factors: preparation, ageing, warmth.
    pub factors: (Ratio, Ratio, Ratio),
    /// The shear strength is that which an elastic peak may reach.
    pub ductile: bool,
    /// Distance behind the face.
    pub x: Length,
    /// Angle from the plane of tilting.
    pub phi: Angle,
    /// The point, against what the glue stands once.
    pub once: PointSeen,
    /// Half of what pulsates there, against what the glue stands often.
    pub often: Option<PointSeen>,
    /// Torque through the glue.
    pub torque: Torque,
    /// Use by the mean shear, where it enters.
    pub mean: Option<Ratio>,
    /// What the check is judged by.
    pub demand: Ratio,
}

/// One state of the glue on its way to being looked at.
struct State<'f> {
    preload: Option<Force>,
    fields: &'f Fields,
    forces: FaceForces,
    rocking: (Torque, Torque),
    temperature: ThermodynamicTemperature,
    thermal: bool,
    aged: bool,
    limit: Limit,
}

impl Model<'_> {
    /// The seat at a preload under loads.
    pub fn seat_seen(&self, preload: Force, loads: &Loads) -> Option<SeatSeen> {
        let seated = self.seated(preload).ok()?;
        let worst = self
            .contact
            .worst_direction(&seated.preload, loads.moment, loads.axial)
            .ok()?;
        let opens_at = match self.contact.opening_moment(&seated.preload, loads.axial) {
            Ok(moment) => Some(si(moment)),
            Err(ContactError::NeverOpens) => Some(f64::INFINITY),
            Err(_) => None,
        };
        Some(SeatSeen {
            preload,
            state: worst.state,
            faces: pressed_faces(self.a, &worst.peak),
            opens_at,
        })
    }

    /// Preload low as its states are computed with.
    pub fn low(preloads: &Preloads) -> Force {
        least_preload(preloads)
    }

    /// The glue in the state of a check of it, under the loads of a case; nothing where it is not judged.
    pub fn glue_seen(
        &self,
        id: CheckId,
        preloads: &Preloads,
        case: &LoadCase,
        loads: &Loads,
    ) -> Option<GlueSeen> {
        let room = celsius(20.0);
        let still: Torque = from_si(0.0);
        let nothing = FaceForces {
            fitting: from_si(0.0),
            insert: from_si(0.0),
            frame: from_si(0.0),
        };
        let high = preloads.band.high.preload;
        let worst = |found: Vec<Option<GlueSeen>>| {
            found
                .into_iter()
                .flatten()
                .reduce(|a, b| if b.demand > a.demand { b } else { a })
        };
        match id {
            CheckId::BondRemoval => {
                let (thread, seat) = self.removal(preloads);
                self.look(&State {
                    preload: None,
                    fields: &self.removal_fields(thread, seat),
                    forces: nothing,
                    rocking: (still, still),
                    temperature: room,
                    thermal: true,
                    aged: true,
                    limit: Limit::Ductile,
                })
            }
            CheckId::BondTightening | CheckId::BondSustained => {
                let state = self.seated(high).ok()?;
                let tightening = id == CheckId::BondTightening;
                let forces = face_forces(&state.alone);
                let mut fields = self.at_rest(&state);
                if tightening {
                    fields = self.tightened(preloads, &fields);
                }
                self.look(&State {
                    preload: Some(high),
                    fields: &fields,
                    forces,
                    rocking: (still, still),
                    temperature: if tightening { room } else { case.hottest },
                    thermal: tightening,
                    aged: !tightening,
                    limit: if tightening {
                        Limit::Ductile
                    } else {
                        Limit::ShearShare(self.a.bond.adhesive.creep_share)
                    },
                })
            }
            CheckId::BondServiceCold | CheckId::BondServiceHot => {
                let temperature = if id == CheckId::BondServiceCold {
                    case.coldest
                } else {
                    case.hottest
                };
                worst(
                    [high, least_preload(preloads)]
                        .into_iter()
                        .map(|preload| {
                            let (forces, rocking, fields) = self.served(preload, loads)?;
                            self.look(&State {
                                preload: Some(preload),
                                fields: &fields,
                                forces,
                                rocking,
                                temperature,
                                thermal: true,
                                aged: true,
                                limit: Limit::Ductile,
                            })
                        })
                        .collect(),
                )
            }
            CheckId::BondEndurance => {
                let (forces, rocking, fields) = self.served(high, loads)?;
                let rest = self.seated(high).ok()?;
                let rest = self.at_rest(&rest);
                worst(
                    [case.coldest, case.hottest]
                        .into_iter()
                        .map(|temperature| {
                            let state = State {
                                preload: Some(high),
                                fields: &rest,
                                forces,
                                rocking,
                                temperature,
                                thermal: true,
                                aged: true,
                                limit: Limit::Ductile,
                            };
                            self.look_often(&state, &fields.pulsating(&rest))
                        })
                        .collect(),
                )
            }
            _ => None,
        }
    }

    /// The loaded state of service: forces at the face, moment of rocking and what the frame takes of it.
    pub(super) fn served(
        &self,
        preload: Force,
        loads: &Loads,
    ) -> Option<(FaceForces, (Torque, Torque), Fields)> {
        let seated = self.seated(preload).ok()?;
        let s = self
            .contact
            .worst_direction(&seated.preload, loads.moment, loads.axial)
            .ok()?
            .state;
        let forces = face_forces(&s);
        let rock = rock(loads, &s);
        let fields = self.fields(&forces, [si(loads.torque), 0.0, 0.0], rock);
        Some((forces, (from_si(rock.1), s.frame_moment), fields))
    }

    fn factors(&self, state: &State<'_>) -> Option<(Ratio, Ratio, Ratio)> {
        let row = &self.a.bond.adhesive;
        let Judged::Value(warm) =
            glue::temperature_factor(state.temperature, row.hot_temperature, row.hot_factor)
        else {
            return None;
        };
        let ageing = if state.aged {
            row.ageing_factor
        } else {
            number(1.0)
        };
        Some((self.a.bond.preparation, ageing, warm))
    }

    fn thermal_of(&self, state: &State<'_>) -> Thermal {
        if state.thermal {
            self.thermal_at(state.temperature)
        } else {
            Thermal {
                radial: 0.0,
                cooling: 0.0,
            }
        }
    }

    fn look(&self, state: &State<'_>) -> Option<GlueSeen> {
        let (strengths, product) = self.strengths(state.temperature, state.aged, state.limit)?;
        let thermal = self.thermal_of(state);
        let worst = self.usage(state.fields, &thermal, &strengths);
        let station = self.exact(state.fields, &thermal, worst.x);
        let (_, phi) = glue::worst_angle(&station, &strengths);
        let share = match state.limit {
            Limit::ShearShare(share) => (number(1.0), share),
            _ => (number(1.0), number(1.0)),
        };
        let mean = self.mean_use(state.fields, product);
        Some(GlueSeen {
            preload: state.preload,
            forces: state.forces,
            rocking: state.rocking,
            thermal_at: state.thermal.then_some(state.temperature),
            factors: self.factors(state)?,
            ductile: matches!(state.limit, Limit::Ductile),
            x: from_si(worst.x),
            phi,
            once: PointSeen::new(&station, &strengths, share),
            often: None,
            torque: from_si(state.fields.torques[0] + state.fields.torques[1]),
            mean: Some(number(mean)),
            demand: number(worst.usage.max(mean)),
        })
    }

    fn look_often(&self, state: &State<'_>, pulse: &Pulse<'_>) -> Option<GlueSeen> {
        let share = self.a.bond.adhesive.endurance_share;
        let (once, _) = self.strengths(state.temperature, state.aged, state.limit)?;
        let (often, _) = self.strengths(state.temperature, state.aged, Limit::Share(share))?;
        let thermal = self.thermal_of(state);
        let worst = self.endurance(
            state.fields,
            pulse,
            &thermal,
            (&once, &often),
            f64::NEG_INFINITY,
        )?;
        let (rest, moving) = (
            self.exact(state.fields, &thermal, worst.x),
            self.exact_pulse(pulse, worst.x),
        );
        let one = number(1.0);
        Some(GlueSeen {
            preload: state.preload,
            forces: state.forces,
            rocking: state.rocking,
            thermal_at: Some(state.temperature),
            factors: self.factors(state)?,
            ductile: true,
            x: from_si(worst.x),
            phi: glue::worst_angle_twice(&rest, &moving, &once, &often),
            once: PointSeen::new(&rest.plus(0.5, &moving), &once, (one, one)),
            often: Some(PointSeen::new(
                &Station::default().plus(0.5, &moving),
                &often,
                (share, share),
            )),
            torque: from_si(0.0),
            mean: None,
            demand: number(worst.usage),
        })
    }
}
