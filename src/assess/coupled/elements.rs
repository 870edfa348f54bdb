//! The same assembly by finite elements: the states of the joint as sums of the elements' solutions, the glue judged on
//! them, and both answers side by side.
//!
//! The seat is that of the coupled model: it hands over what thread and face carry in a state. The elements say what
//! that does to glue and wall.

use super::*;
use crate::mechanics::elements::{
    AxialUnit, Elements, ElementsError, Fitting, Hold, Material as Constants, SeatPart, Sleeve,
    Stress, Unit,
};

/// The elements of an assembly, and their stresses in the glue at the places where it is judged.
pub struct Solved {
    /// What the elements answer.
    pub elements: Elements,
    /// Stations far enough from the ends, then the means over both ends.
    places: Places,
}

/// What each solution does to the glue at each place: across, along, around (Pa per N, N·m or K).
struct Places {
    /// Distance from the face (m); of a mean, the middle of its length.
    x: Vec<f64>,
    thread: Vec<[f64; 3]>,
    seat: [Vec<[f64; 3]>; 2],
    twist: [Vec<[f64; 3]>; 3],
    rock: [Vec<[f64; 3]>; 4],
    heat: Vec<[f64; 3]>,
}

/// What the glue comes to on the elements.
#[derive(Default)]
pub(super) struct Judged {
    /// Each check in every state that it has.
    pub(super) checks: Vec<(CheckId, Raw)>,
    /// The greatest use in service with the glue kept elastic.
    elastic: f64,
    /// The highest torque of undoing that keeps its required ratio.
    removal_limit: Option<Torque>,
}

/// What acts on the insert in a state.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct State {
    /// Forces of thread, seat on the insert, seat on the frame (N).
    pub(super) forces: [f64; 3],
    /// Torques of the same (N·m).
    pub(super) torques: [f64; 3],
    /// Force across, and moments of thread, seat on the insert, seat on the frame (N, N·m).
    pub(super) rock: [f64; 4],
    /// Kelvin below the cure.
    cooling: f64,
}

impl Solved {
    /// Solves the elements of a model.
    pub(super) fn new(m: &Model<'_>) -> Result<Solved, ElementsError> {
        let elements = crate::mechanics::elements::solve(&m.sleeve())?;
        let places = Places::new(&elements);
        Ok(Solved { elements, places })
    }
}

impl Places {
    fn new(e: &Elements) -> Places {
        let (end, bond) = (si(e.end_length), e.stations.last().map_or(0.0, |x| si(*x)));
        let away = |x: f64| x >= end * (1.0 - 1e-9) && x <= bond - end * (1.0 - 1e-9);
        let kept: Vec<usize> = (0..e.stations.len())
            .filter(|&k| away(si(e.stations[k])))
            .collect();
        let of = |unit: &Unit| -> Vec<[f64; 3]> {
            let three = |s: Stress| [si(s.across), si(s.along), si(s.around)];
            let all: Vec<_> = unit.glue().map(three).collect();
            kept.iter()
                .map(|&k| all[k])
                .chain(unit.end_means().map(three))
                .collect()
        };
        let count = kept.len() + 2;
        // A part of the seat that is not there carries nothing.
        let part = |unit: Option<&Unit>| unit.map_or(vec![[0.0; 3]; count], of);
        Places {
            x: kept
                .iter()
                .map(|&k| si(e.stations[k]))
                .chain([end / 2.0, bond - end / 2.0])
                .collect(),
            thread: of(&e.thread.unit),
            seat: [&e.seat_insert, &e.seat_frame].map(|p| part(p.as_ref().map(|p| &p.unit))),
            twist: [
                of(&e.torsion.thread),
                part(e.torsion.seat_insert.as_ref()),
                part(e.torsion.seat_frame.as_ref()),
            ],
            rock: [
                of(&e.rocking.force),
                of(&e.rocking.moment),
                part(e.rocking.seat_insert.as_ref()),
                part(e.rocking.seat_frame.as_ref()),
            ],
            heat: of(&e.thermal),
        }
    }

    /// The stresses of a state at a place.
    fn station(&self, s: &State, j: usize) -> Station {
        let sum = |units: &[&Vec<[f64; 3]>], loads: &[f64], c: usize| -> f64 {
            units.iter().zip(loads).map(|(u, l)| u[j][c] * l).sum()
        };
        let even = [&self.thread, &self.seat[0], &self.seat[1]];
        let twist = [&self.twist[0], &self.twist[1], &self.twist[2]];
        let rock = [&self.rock[0], &self.rock[1], &self.rock[2], &self.rock[3]];
        Station {
            // What thread and seat do across the glue adds to what cold does, with its sign.
            sigma_thermal: s.cooling * self.heat[j][0] + sum(&even, &s.forces, 0),
            tau_axial: sum(&even, &s.forces, 1),
            tau_thermal: s.cooling * self.heat[j][1],
            tau_torsion: sum(&twist, &s.torques, 2),
            peel: sum(&rock, &s.rock, 0),
            rock_axial: sum(&rock, &s.rock, 1),
            rock_hoop: sum(&rock, &s.rock, 2),
        }
    }

    /// The greatest use of the glue in a state.
    fn usage(&self, s: &State, strengths: &Strengths) -> f64 {
        (0..self.x.len())
            .map(|j| glue::worst_angle(&self.station(s, j), strengths).0.value)
            .fold(0.0, f64::max)
    }

    /// The same of repeated load: static with half of what pulsates, and half of what pulsates.
    fn endurance(&self, still: &State, loaded: &State, both: (&Strengths, &Strengths)) -> f64 {
        let swing = loaded.less(still);
        (0..self.x.len())
            .map(|j| {
                let pulse = Station::default().plus(0.5, &self.station(&swing, j));
                let once = self.station(still, j).plus(1.0, &pulse);
                let phi = si(glue::worst_angle_twice(&once, &pulse, both.0, both.1));
                once.use_at(phi, both.0) + pulse.use_at(phi, both.1)
            })
            .fold(0.0, f64::max)
    }
}

impl State {
    /// What is more in this state than in another; both as cold.
    fn less(&self, other: &State) -> State {
        let of3 = |a: [f64; 3], b: [f64; 3]| std::array::from_fn(|k| a[k] - b[k]);
        State {
            forces: of3(self.forces, other.forces),
            torques: of3(self.torques, other.torques),
            rock: std::array::from_fn(|k| self.rock[k] - other.rock[k]),
            cooling: 0.0,
        }
    }
    /// The state as the elements have it: what is the same all round (torsion and cold left out), and what goes with
    /// the moment.
    pub(super) fn parts(&self, e: &Elements) -> [Option<Unit>; 2] {
        fn seat(part: &Option<AxialUnit>) -> Option<&Unit> {
            part.as_ref().map(|p| &p.unit)
        }
        let even = [
            Some(&e.thread.unit),
            seat(&e.seat_insert),
            seat(&e.seat_frame),
        ];
        let once = [
            Some(&e.rocking.force),
            Some(&e.rocking.moment),
            e.rocking.seat_insert.as_ref(),
            e.rocking.seat_frame.as_ref(),
        ];
        let sum = |units: &[Option<&Unit>], loads: &[f64]| {
            let parts = units.iter().zip(loads);
            let parts: Vec<(&Unit, Ratio)> = parts
                .filter_map(|(unit, load)| Some(((*unit)?, number(*load))))
                .collect();
            Unit::sum(&parts)
        };
        [sum(&even, &self.forces), sum(&once, &self.rock)]
    }
    fn cooled(self, cooling: f64) -> State {
        State { cooling, ..self }
    }
}

impl Model<'_> {
    /// What the elements are made from.
    fn sleeve(&self) -> Sleeve {
        let a = self.a;
        let basic = a.thread.basic;
        let constants = |m: &Material| Constants {
            axial: m.axial_modulus.unwrap_or(m.elastic_modulus),
            radial: m.radial_modulus.unwrap_or(m.elastic_modulus),
            hoop: m.hoop_modulus.unwrap_or(m.elastic_modulus),
            ..Constants::isotropic(m.elastic_modulus, m.poisson, None)
        };
        // A row's own shear modulus holds in the plane of axis and circumference; where the row has no directions,
        // everywhere.
        let sheared = |m: &Material| {
            let turned = [m.axial_modulus, m.radial_modulus, m.hoop_modulus];
            let even = turned.iter().all(Option::is_none);
            Constants {
                shear_axial_hoop: Some(m.shear_modulus),
                shear_axial_radial: even.then_some(m.shear_modulus),
                shear_radial_hoop: even.then_some(m.shear_modulus),
                ..constants(m)
            }
        };
        let outer = a.insert.outer_diameter / 2.0;
        let bore = outer + a.bond.thickness;
        // A lip is not meshed: what stands on it counts as far as it stands on the insert's own face. Where nothing of
        // a part is left the elements refuse it.
        let part = |p: Option<seat::Part>, from: Length, to: Length| {
            let p = p?;
            Some(SeatPart {
                inner: p.inner.max(from),
                outer: p.outer.min(to),
                layer: p.stiffness,
            })
        };
        let frame_outer = a.frame.outer_diameter / 2.0;
        Sleeve {
            fitting: Fitting {
                bore: a.fitting.bore,
                neck: a.fitting.neck_diameter,
                core: basic.root,
                material: sheared(&a.fitting.material),
            },
            neck_length: a.thread.setback,
            engagement: self.geometry.engaged,
            pitch: basic.pitch,
            flanks: self.flanks,
            bore: basic.major,
            outer: a.insert.outer_diameter,
            insert_length: a.insert.length,
            insert: sheared(&a.insert.material),
            glue_thickness: a.bond.thickness,
            bond: a.bond.length,
            glue: Constants::by_shear(a.bond.adhesive.shear_modulus, a.bond.adhesive.poisson),
            voids: a.bond.voids,
            frame_outer: a.frame.outer_diameter,
            frame_beyond: mm(0.0),
            frame: sheared(&a.frame.material),
            hold: match a.frame.held_at {
                HeldAt::Inboard => Hold::Inboard,
                HeldAt::Outboard => Hold::Outboard,
                HeldAt::FullLength => Hold::FullLength,
                HeldAt::AllRound => Hold::AllRound,
            },
            seat_insert: part(self.ring.insert, basic.major / 2.0, outer),
            seat_frame: part(self.ring.frame, bore, frame_outer),
            insert_expansion: a.insert.material.expansion,
            glue_expansion: a.bond.adhesive.expansion,
            frame_expansion: a.frame.material.expansion,
        }
    }

    /// What acts on the insert under a load; the seat's own part of the moment enters at the face.
    pub(super) fn acting(&self, seated: &Seated, loads: &Loads, s: &Loaded) -> State {
        let forces = face_forces(s);
        let direction = si(s.direction);
        let tilted = (si(s.tilt.x) - si(seated.preload.tilt.x)) * direction.cos()
            + (si(s.tilt.y) - si(seated.preload.tilt.y)) * direction.sin();
        let tilting =
            si(self.thread_stiffness) * si(self.a.thread.basic.pitch_diameter).powi(2) / 8.0;
        let sign = if si(loads.moment) < 0.0 { -1.0 } else { 1.0 };
        let whole = si(loads.moment).abs();
        let thread = tilting * tilted;
        let frame = si(s.frame_moment);
        State {
            forces: [si(forces.fitting), si(forces.insert), si(forces.frame)],
            torques: [si(loads.torque), 0.0, 0.0],
            rock: [
                si(loads.radial),
                sign * thread,
                sign * (whole - thread - frame),
                sign * frame,
            ],
            cooling: 0.0,
        }
    }

    fn cooling(&self, temperature: ThermodynamicTemperature) -> f64 {
        self.thermal_at(temperature).cooling
    }

    /// The glue judged on the elements, in every state at the wanted ends of the preload band: checks with their demand.
    ///
    /// # Errors
    /// [`ContactError`] where a state of the seat has no solution.
    pub(super) fn judged_on(
        &self,
        solved: &Solved,
        preloads: &Preloads,
        ends: Ends,
    ) -> Result<Judged, ContactError> {
        let mut judged = Judged::default();
        let out = &mut judged.checks;
        if ends.seat_alone() {
            return Ok(judged);
        }
        let places = &solved.places;
        let room = celsius(20.0);
        let missing = || Raw::missing(Reason::HotterThanAdhesive);
        // The mean over the whole bond follows from statics: the same for both models.
        let mean = |s: &State, product: f64| {
            let force: Force = from_si((s.forces[0] - s.forces[1]).abs());
            let torque: Torque = from_si(s.torques[0] + s.torques[1]);
            let tau_p = self.adhesive.tau_p;
            glue::mean_use(
                force,
                torque,
                self.radius,
                self.area,
                tau_p,
                number(product),
            )
            .value
        };
        let high = ends
            .high()
            .then(|| self.seated(preloads.band.high.preload))
            .transpose()?;
        let low = ends
            .low()
            .then(|| self.seated(least_preload(preloads)))
            .transpose()?;
        let still = high.as_ref().map(|seated| {
            let forces = face_forces(&seated.alone);
            State {
                forces: [si(forces.fitting), si(forces.insert), si(forces.frame)],
                ..State::default()
            }
        });
        if let Some(still) = still {
            let band = &preloads.band.high;
            let loads = TorsionLoads::new(
                band.helix.thread(band.preload),
                band.helix.seat(band.preload),
                self.ring.share,
            );
            let tight = State {
                torques: [
                    si(loads.thread),
                    si(loads.seat_insert),
                    si(loads.seat_frame),
                ],
                ..still.cooled(self.cooling(room))
            };
            let strengths = self.strengths(room, false, Limit::Ductile);
            out.push((
                CheckId::BondTightening,
                strengths.map_or_else(missing, |(s, product)| {
                    Raw::of(places.usage(&tight, &s).max(mean(&tight, product)), 1.0)
                }),
            ));
            for (index, case) in self.a.cases.iter().enumerate() {
                if self.ring.share.value >= 1.0 {
                    break;
                }
                let limit = Limit::ShearShare(self.a.bond.adhesive.creep_share);
                let strengths = self.strengths(case.hottest, true, limit);
                let mut raw = strengths.map_or_else(missing, |(s, product)| {
                    Raw::of(places.usage(&still, &s).max(mean(&still, product)), 1.0)
                });
                raw.case = index as u16;
                out.push((CheckId::BondSustained, raw));
            }
        }
        for (index, case) in self.a.cases.iter().enumerate() {
            let climates = [case.coldest, case.hottest].map(|t| (self.cooling(t), self.climate(t)));
            let (main, other) = closed::loads(self.a, case);
            for (loads, note) in [(Some(main), None), (other, Some(Note::OtherPedalWorse))] {
                let Some(loads) = loads else { continue };
                let mut push = |id: CheckId, mut raw: Raw| {
                    raw.case = index as u16;
                    if let Some(note) = note {
                        raw.notes.add(note);
                    }
                    out.push((id, raw));
                };
                for seated in [&high, &low].into_iter().flatten() {
                    let contact = &self.contact;
                    let worst =
                        contact.worst_direction(&seated.preload, loads.moment, loads.axial)?;
                    let state = self.acting(seated, &loads, &worst.state);
                    let ids = [CheckId::BondServiceCold, CheckId::BondServiceHot];
                    for (id, (cooling, climate)) in ids.into_iter().zip(&climates) {
                        let raw = climate.strengths.as_ref().map_or_else(missing, |s| {
                            let cold = state.cooled(*cooling);
                            let mean = mean(&state, climate.product);
                            let elastic = places.usage(&cold, &s.elastic).max(mean);
                            judged.elastic = judged.elastic.max(elastic);
                            Raw::of(places.usage(&cold, &s.ductile).max(mean), 1.0)
                        });
                        push(id, raw);
                    }
                }
                let (Some(seated), Some(still)) = (&high, still) else {
                    continue;
                };
                if case.repeats != Repeats::Repeated {
                    continue;
                }
                let contact = &self.contact;
                let worst = contact.worst_direction(&seated.preload, loads.moment, loads.axial)?;
                let mut state = self.acting(seated, &loads, &worst.state);
                // As with the simple model, `loads.torque` does not pulsate.
                state.torques = [0.0; 3];
                let known = climates.iter().filter_map(|(cooling, climate)| {
                    let s = climate.strengths.as_ref()?;
                    let cold = still.cooled(*cooling);
                    Some(places.endurance(&cold, &state, (&s.ductile, &s.often)))
                });
                let demand = known.reduce(f64::max);
                push(
                    CheckId::BondEndurance,
                    demand.map_or_else(missing, |demand| Raw::of(demand, 1.0)),
                );
            }
        }
        if matches!(ends, Ends::Both | Ends::High) {
            let (thread, seat) = self.removal(preloads);
            let loads = TorsionLoads::new(thread, seat, self.ring.share);
            let state = State {
                torques: [
                    si(loads.thread),
                    si(loads.seat_insert),
                    si(loads.seat_frame),
                ],
                cooling: self.cooling(room),
                ..State::default()
            };
            let strengths = self.strengths(room, true, Limit::Ductile);
            out.push((
                CheckId::BondRemoval,
                strengths.map_or_else(missing, |(s, product)| {
                    let demand = |times: f64| {
                        let turned = State {
                            torques: state.torques.map(|t| t * times),
                            ..state
                        };
                        places.usage(&turned, &s).max(mean(&turned, product))
                    };
                    // Demand grows with the torque: the last one that keeps the required ratio, by halving.
                    let most = 1.0 / self.a.need.removal.value;
                    let (mut kept, mut lost) = (0.0, 1.0);
                    while demand(lost) <= most && lost < 1e9 {
                        (kept, lost) = (lost, 2.0 * lost);
                    }
                    for _ in 0..60 {
                        let middle = 0.5 * (kept + lost);
                        if demand(middle) <= most {
                            kept = middle;
                        } else {
                            lost = middle;
                        }
                    }
                    judged.removal_limit = Some((thread + seat) * kept);
                    Raw::of(demand(1.0), 1.0)
                }),
            ));
        }
        Ok(judged)
    }

    /// Puts what the elements say of the glue in place of what the simple models say.
    pub(super) fn put_elements(
        &self,
        solved: &Result<Box<Solved>, ElementsError>,
        preloads: &Preloads,
        ends: Ends,
        states: &mut States,
    ) {
        let found = match solved {
            Ok(solved) => self.judged_on(solved, preloads, ends).ok(),
            Err(_) => None,
        };
        let before = states.raw;
        for (id, slot) in CheckId::ALL.into_iter().zip(&mut states.raw) {
            let Some(old) = slot.as_mut().filter(|_| id.is_bond()) else {
                continue;
            };
            let Some(found) = &found else {
                *slot = Some(Raw::missing(Reason::NoElements));
                continue;
            };
            let need = crate::assess::need(self.a, id);
            let mut worst: Option<Raw> = None;
            for (_, raw) in found.checks.iter().filter(|(of, _)| *of == id) {
                if worst.as_ref().is_none_or(|w| raw.outweighs(w, need)) {
                    worst = Some(*raw);
                }
            }
            if let Some(mut raw) = worst {
                for kept in [Note::NotSelfLocking, Note::ColdOnly] {
                    if old.notes.has(kept) {
                        raw.notes.add(kept);
                    }
                }
                if matches!(solved, Ok(solved) if !solved.elements.settled) {
                    raw.notes.add(Note::ElementsUnsettled);
                }
                *slot = Some(raw.note(Note::ByElements));
            }
        }
        if let Some(found) = &found {
            if found.elastic > 0.0 {
                states.values.service_elastic = Some(number(1.0 / found.elastic));
            }
            if let Some(limit) = found.removal_limit {
                states.values.removal_limit = limit;
            }
        }
        // How far both are apart where the simple model takes the section for round and the frame for rigid.
        let rocking = [
            CheckId::BondServiceCold,
            CheckId::BondServiceHot,
            CheckId::BondEndurance,
        ];
        let over = rocking.iter().filter_map(|id| {
            let (new, old) = (states.raw[id.index()]?, before[id.index()]?);
            (new.reason.is_none() && old.reason.is_none() && old.demand > 0.0)
                .then(|| new.demand / old.demand)
        });
        states.values.elements_over_simple = over.reduce(f64::max).map(number);
    }
}
