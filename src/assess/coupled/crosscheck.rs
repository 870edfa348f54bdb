//! Elements and simple models of one assembly side by side.

use super::elements::{Solved, State};
use super::*;
use crate::assess::Assessment;
use crate::mechanics::elements::{self, Elements, ElementsError, Unit};
use crate::mechanics::quadrature::integrals;
use crate::units::Unit as Shown;

/// One figure by both.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compared {
    /// Its id.
    pub id: &'static str,
    /// What it is.
    pub title: &'static str,
    /// Unit.
    pub unit: Shown,
    /// By elements, SI.
    pub elements: f64,
    /// By the simple model, SI; nothing where that model has no such stress.
    pub simple: Option<f64>,
}

impl Compared {
    /// Elements over simple model; nothing where that has no such stress, or none that counts.
    pub fn ratio(&self) -> Option<f64> {
        let simple = self.simple.filter(|s| *s != 0.0)?;
        Some(self.elements / simple).filter(|r| r.is_finite())
    }
}

/// The glue's stresses at one place, by elements and by the simple model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Along {
    /// Distance behind the face.
    pub x: Length,
    /// Shear along the axis, in service at preload high.
    pub axial: [Pressure; 2],
    /// Shear round the axis, in tightening.
    pub torsion: [Pressure; 2],
    /// Stress across by rocking, in service at preload high.
    pub peel: [Pressure; 2],
    /// Shear along the axis by rocking.
    pub rock_axial: [Pressure; 2],
    /// Shear round the axis by rocking.
    pub rock_hoop: [Pressure; 2],
    /// Stress across by cold, at the coldest.
    pub thermal_across: [Pressure; 2],
    /// Shear along the axis by cold.
    pub thermal_shear: [Pressure; 2],
}

/// A check of the glue by both.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GlueCheck {
    /// Which.
    pub id: CheckId,
    /// Ratio required.
    pub need: f64,
    /// By elements.
    pub elements: Raw,
    /// By the simple models, as computed: not divided for a soft wall.
    pub simple: Raw,
}

/// Both answers.
pub struct CrossCheck {
    /// The elements.
    pub elements: Elements,
    /// Figures side by side.
    pub compared: Vec<Compared>,
    /// Share of each turn in a preload, from the face on: by elements, by the simple model.
    pub turns: Vec<[Ratio; 2]>,
    /// Along the glue, away from its ends.
    pub along: Vec<Along>,
    /// Glue judged by both.
    pub checks: Vec<GlueCheck>,
    /// The state of service that is compared and drawn: forces of thread and face, moments.
    state: State,
}

/// Why both cannot be set side by side.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoCrossCheck {
    /// The simple model has no answer.
    #[error("the simple model has no answer")]
    Model(Reason),
    /// The elements have none.
    #[error(transparent)]
    Elements(#[from] ElementsError),
    /// The seat's state was not found.
    #[error(transparent)]
    Seat(#[from] ContactError),
}

impl CrossCheck {
    /// Of an assembly.
    ///
    /// # Errors
    /// [`NoCrossCheck`], which says which of both has no answer and why.
    pub fn of(a: &Assembly, r: &Assessment) -> Result<CrossCheck, NoCrossCheck> {
        let e = &r.evaluation;
        let a = &Assembly {
            by_elements: false,
            ..a.clone()
        };
        let model = Model::new(a, &e.geometry, &e.ring, 1.0).map_err(NoCrossCheck::Model)?;
        let solved = Solved::new(&model)?;
        let high = &e.preloads.band.high;
        let seated = model.seated(high.preload)?;
        let worst =
            (model.contact).worst_direction(&seated.preload, e.loads.moment, e.loads.axial)?;
        let state = model.acting(&seated, &e.loads, &worst.state);
        let case = a.cases.first().ok_or(NoCrossCheck::Model(Reason::NoLoad))?;
        let both = Both {
            rock: rock(&e.loads, &worst.state),
            torques: TorsionLoads::new(
                high.helix.thread(high.preload),
                high.helix.seat(high.preload),
                e.ring.share,
            ),
            thermal: model.thermal_at(case.coldest),
            model: &model,
            solved: &solved,
            state,
            preload: high.preload,
        };
        let simple = model.states(&e.preloads, Ends::Both);
        let judged = model.judged_on(&solved, &e.preloads, Ends::Both)?;
        let checks = CheckId::ALL.into_iter().filter_map(|id| {
            let need = crate::assess::need(a, id);
            let of = judged
                .checks
                .iter()
                .filter(|(of, _)| *of == id)
                .map(|(_, raw)| *raw);
            let elements = of.reduce(|a, b| if b.outweighs(&a, need) { b } else { a })?;
            Some(GlueCheck {
                id,
                need,
                elements,
                simple: simple.raw[id.index()]?,
            })
        });
        let checks = checks.collect();
        let (compared, turns, along) = (both.compared(), both.turns(), both.along());
        Ok(CrossCheck {
            compared,
            turns,
            along,
            checks,
            state,
            elements: solved.elements,
        })
    }

    /// Whether the moment presses the mouth towards φ = 0 (see [`CrossCheck::service`]), or away from it.
    pub fn presses(&self) -> bool {
        let [force, moments @ ..] = self.state.rock;
        let moment: f64 = moments.iter().sum();
        if moment == 0.0 {
            force >= 0.0
        } else {
            moment > 0.0
        }
    }

    /// The state of service as the elements have it: what is the same all round, and what goes with the moment.
    pub fn service(&self) -> [Option<Unit>; 2] {
        self.state.parts(&self.elements)
    }
}

/// Both models in the states that are compared.
struct Both<'m, 'a> {
    model: &'m Model<'a>,
    solved: &'m Solved,
    /// Service at preload high.
    state: State,
    /// Force and moment that rock the simple model's insert.
    rock: (f64, f64),
    /// Torques of tightening.
    torques: TorsionLoads,
    /// The coldest.
    thermal: Thermal,
    preload: Force,
}

/// A stress of both models along the glue (Pa): by elements at every station and as means over the ends, by the simple
/// model at any place.
struct Field<'f> {
    stations: Vec<f64>,
    ends: [f64; 2],
    simple: Box<dyn Fn(f64) -> f64 + 'f>,
}

impl Both<'_, '_> {
    fn elements(&self) -> &Elements {
        &self.solved.elements
    }

    fn bond(&self) -> f64 {
        si(self.model.a.bond.length)
    }

    fn field<'f>(
        &self,
        unit: Option<&Unit>,
        pick: impl Fn(&elements::Stress) -> Pressure,
        factor: f64,
        simple: impl Fn(f64) -> f64 + 'f,
    ) -> Field<'f> {
        let of = |s: &elements::Stress| si(pick(s)) * factor;
        let count = self.elements().stations.len();
        Field {
            stations: unit.map_or(vec![0.0; count], |u| u.glue().map(|s| of(&s)).collect()),
            ends: unit.map_or([0.0; 2], |u| u.end_means().map(|s| of(&s))),
            simple: Box::new(simple),
        }
    }

    fn axial(&self) -> Field<'_> {
        let [even, _] = self.state.parts(self.elements());
        let forces = self.state.forces;
        self.field(
            even.as_ref(),
            |s| s.along,
            1.0,
            move |x| sum(self.model.ladder.unit_shear(x), &forces),
        )
    }

    fn torsion(&self) -> Field<'_> {
        let e = self.elements();
        let loads = [
            si(self.torques.thread),
            si(self.torques.seat_insert),
            si(self.torques.seat_frame),
        ];
        let units = [
            Some(&e.torsion.thread),
            e.torsion.seat_insert.as_ref(),
            e.torsion.seat_frame.as_ref(),
        ];
        let parts: Vec<(&Unit, Ratio)> = (units.into_iter().zip(loads))
            .filter_map(|(unit, load)| Some((unit?, number(load))))
            .collect();
        self.field(
            Unit::sum(&parts).as_ref(),
            |s| s.around,
            -1.0,
            move |x| sum(self.model.torsion.unit_shear(x), &loads),
        )
    }

    /// Across, along and round the axis.
    fn rocking(&self) -> [Field<'_>; 3] {
        let [_, once] = self.state.parts(self.elements());
        let layer = &self.model.layer;
        let (k_n, k_s, r_b) = (si(layer.k_n), si(layer.k_s), si(self.model.radius));
        let tilt = self.model.rocking.tilt(self.rock.0, self.rock.1);
        [
            self.field(
                once.as_ref(),
                |s| s.across,
                -1.0,
                move |x| k_n * tilt.at(x).w,
            ),
            self.field(
                once.as_ref(),
                |s| s.along,
                1.0,
                move |x| k_s * r_b * tilt.at(x).psi,
            ),
            self.field(
                once.as_ref(),
                |s| s.around,
                1.0,
                move |x| k_s * tilt.at(x).w,
            ),
        ]
    }

    /// Across and along.
    fn thermal(&self) -> [Field<'_>; 2] {
        let unit = Some(&self.elements().thermal);
        let Thermal { radial, cooling } = self.thermal;
        [
            self.field(unit, |s| s.across, cooling, move |_| radial),
            self.field(
                unit,
                |s| s.along,
                cooling,
                move |x| cooling * self.model.thermal_shear_per_kelvin(x),
            ),
        ]
    }

    /// Numbers of the stations far enough from the ends.
    fn away(&self) -> impl Iterator<Item = usize> + '_ {
        let e = self.elements();
        let (end, bond) = (si(e.end_length), self.bond());
        let hair = 1e-9 * bond;
        (0..e.stations.len()).filter(move |&k| {
            let x = si(e.stations[k]);
            x >= end - hair && x <= bond - end + hair
        })
    }

    /// The greatest magnitude away from the ends, and the magnitudes of the means over both ends.
    fn peaks(&self, f: &Field<'_>) -> [[f64; 2]; 3] {
        let e = self.elements();
        let (end, bond) = (si(e.end_length), self.bond());
        let greatest =
            |of: &dyn Fn(usize) -> f64| self.away().map(|k| of(k).abs()).fold(0.0, f64::max);
        let shortest = si(self.model.rocking.layer());
        let mean = |from: f64| {
            let [sum] = integrals(&[from, from + end], shortest, |x| [(f.simple)(x)]);
            (sum / end).abs()
        };
        [
            [
                greatest(&|k| f.stations[k]),
                greatest(&|k| (f.simple)(si(e.stations[k]))),
            ],
            [f.ends[0].abs(), mean(0.0)],
            [f.ends[1].abs(), mean(bond - end)],
        ]
    }

    fn compared(&self) -> Vec<Compared> {
        let e = self.elements();
        let m = self.model;
        let mut out = Vec::new();
        let mut put = |id, title, unit, elements: f64, simple: Option<f64>| {
            out.push(Compared {
                id,
                title,
                unit,
                elements,
                simple,
            });
        };
        put(
            "elements.thread_stiffness",
            "Stiffness of the threaded joint",
            Shown::NewtonPerMillimetre,
            si(e.thread_stiffness),
            Some(si(m.face_stiffness)),
        );
        put(
            "elements.first_turn",
            "Share of the first turn",
            Shown::None,
            si(e.first_turn),
            Some(si(m.first_turn)),
        );
        put(
            "elements.seat.share",
            "Share of the seat on the insert",
            Shown::None,
            si(e.seat.share),
            Some(si(m.ring.share)),
        );
        let mpa = Shown::Megapascal;
        let mut three = |ids: [(&'static str, &'static str); 3], f: &Field<'_>| {
            for ((id, title), [elements, simple]) in ids.into_iter().zip(self.peaks(f)) {
                put(id, title, mpa, elements, Some(simple));
            }
        };
        three(
            [
                (
                    "elements.axial.peak",
                    "Axial shear, the greatest away from the ends",
                ),
                ("elements.axial.face", "Axial shear, mean at the face"),
                ("elements.axial.inner", "Axial shear, mean at the inner end"),
            ],
            &self.axial(),
        );
        three(
            [
                (
                    "elements.torsion.peak",
                    "Torsion in tightening, the greatest away from the ends",
                ),
                (
                    "elements.torsion.face",
                    "Torsion in tightening, mean at the face",
                ),
                (
                    "elements.torsion.inner",
                    "Torsion in tightening, mean at the inner end",
                ),
            ],
            &self.torsion(),
        );
        let [peel, along, around] = self.rocking();
        three(
            [
                (
                    "elements.rocking.peel",
                    "Peel of rocking, the greatest away from the ends",
                ),
                (
                    "elements.rocking.peel.face",
                    "Peel of rocking, mean at the face",
                ),
                (
                    "elements.rocking.peel.inner",
                    "Peel of rocking, mean at the inner end",
                ),
            ],
            &peel,
        );
        three(
            [
                (
                    "elements.rocking.along",
                    "Shear of rocking along the axis, away from the ends",
                ),
                (
                    "elements.rocking.along.face",
                    "Shear of rocking along the axis, mean at the face",
                ),
                (
                    "elements.rocking.along.inner",
                    "Shear of rocking along the axis, mean at the inner end",
                ),
            ],
            &along,
        );
        three(
            [
                (
                    "elements.rocking.around",
                    "Shear of rocking round the axis, away from the ends",
                ),
                (
                    "elements.rocking.around.face",
                    "Shear of rocking round the axis, mean at the face",
                ),
                (
                    "elements.rocking.around.inner",
                    "Shear of rocking round the axis, mean at the inner end",
                ),
            ],
            &around,
        );
        let [across, shear] = self.thermal();
        let middle = across.stations.get(e.stations.len() / 2).copied();
        put(
            "elements.thermal.radial",
            "Radial stress at the coldest, at mid-length",
            mpa,
            middle.unwrap_or(f64::NAN),
            Some(self.thermal.radial),
        );
        // Compression does no harm: of what pulls, the most.
        let pulls =
            |values: &mut dyn Iterator<Item = f64>| values.fold(f64::NEG_INFINITY, f64::max);
        put(
            "elements.thermal.radial.peak",
            "Radial stress at the coldest, the most tensile away from the ends",
            mpa,
            pulls(&mut self.away().map(|k| across.stations[k])),
            Some(self.thermal.radial),
        );
        let [_, face, inner] = self.peaks(&shear);
        for (id, title, [elements, simple]) in [
            (
                "elements.thermal.shear.face",
                "Thermal shear at the coldest, mean at the face",
                face,
            ),
            (
                "elements.thermal.shear.inner",
                "Thermal shear at the coldest, mean at the inner end",
                inner,
            ),
        ] {
            put(id, title, mpa, elements, Some(simple));
        }
        if let Some((elements, simple)) = self.wall() {
            put(
                "elements.insert.stress",
                "Insert's wall in tightening, equivalent stress",
                mpa,
                elements,
                Some(simple),
            );
        }
        if let Some(elements) = self.wall_in_service() {
            put(
                "elements.insert.stress.service",
                "Insert's wall in service at the coldest, equivalent stress",
                mpa,
                elements,
                None,
            );
        }
        out
    }

    /// Largest equivalent stress of the insert's wall under preload and torque; by the simple model a bar.
    fn wall(&self) -> Option<(f64, f64)> {
        let e = self.elements();
        let m = self.model;
        let loads = [
            &self.torques.thread,
            &self.torques.seat_insert,
            &self.torques.seat_frame,
        ];
        let units = [
            Some(&e.torsion.thread),
            e.torsion.seat_insert.as_ref(),
            e.torsion.seat_frame.as_ref(),
        ];
        let share = m.ring.share;
        let pull = number(si(self.preload));
        let mut even = vec![(&e.thread.unit, pull)];
        for (part, share) in [
            (&e.seat_insert, si(share)),
            (&e.seat_frame, 1.0 - si(share)),
        ] {
            if let Some(part) = part {
                even.push((&part.unit, pull * share));
            }
        }
        for (unit, load) in units.into_iter().zip(loads) {
            if let Some(unit) = unit {
                even.push((unit, number(si(*load))));
            }
        }
        let found = e.wall(&even, &[])?;
        let forces = FaceForces::preload(self.preload, share);
        let torque = [
            si(self.torques.thread),
            si(self.torques.seat_insert),
            si(self.torques.seat_frame),
        ];
        // N(x) and T(x) of the insert from what enters and leaves it on the way.
        let around = std::f64::consts::TAU * si(m.radius) * (1.0 - si(m.a.bond.voids));
        let area = si(ring_area(m.a.insert.outer_diameter, m.a.thread.basic.major));
        let polar = si(ring_polar(
            m.a.insert.outer_diameter,
            m.a.thread.basic.major,
        ));
        let (mut normal, mut turning) = (-si(forces.insert), torque[1]);
        let mut most = 0.0f64;
        // Our own choice: many to the shortest decay there is.
        let steps = 400;
        let h = self.bond() / f64::from(steps);
        for k in 0..steps {
            let x = (f64::from(k) + 0.5) * h;
            let thread = si(m.ladder.thread_load(from_si(x), &forces));
            let glue = si(m.ladder.glue_shear(from_si(x), &forces));
            let twist = sum(m.torsion.unit_shear(x), &torque);
            normal += h * (thread - around * glue);
            turning += h * (torque[0] * thread / si(self.preload) - around * si(m.radius) * twist);
            let tau = turning * si(m.a.insert.outer_diameter) / 2.0 / polar;
            most = most.max(((normal / area).powi(2) + 3.0 * tau * tau).sqrt());
        }
        Some((si(found.equivalent), most))
    }

    /// At the coldest, under all that acts in service.
    fn wall_in_service(&self) -> Option<f64> {
        let e = self.elements();
        let [even, once] = self.state.parts(e);
        let one = number(1.0);
        let mut all: Vec<_> = even.iter().map(|u| (u, one)).collect();
        all.push((&e.torsion.thread, number(self.state.torques[0])));
        all.push((&e.thermal, number(self.thermal.cooling)));
        let once: Vec<_> = once.iter().map(|u| (u, one)).collect();
        Some(si(e.wall(&all, &once)?.equivalent))
    }

    fn turns(&self) -> Vec<[Ratio; 2]> {
        let pitch = self.model.a.thread.basic.pitch;
        let forces = FaceForces::preload(newton(1.0), self.model.ring.share);
        let by_elements = self.elements().preload.turns.iter();
        by_elements
            .enumerate()
            .map(|(k, share)| {
                let simple = self.model.ladder.turn_load(k, pitch, &forces);
                [*share, number(si(simple))]
            })
            .collect()
    }

    fn along(&self) -> Vec<Along> {
        let fields = [self.axial(), self.torsion()];
        let (rocking, thermal) = (self.rocking(), self.thermal());
        let e = self.elements();
        // At the very ends theory has no bound.
        let stations = self.away().filter_map(|k| Some((k, e.stations.get(k)?)));
        let at = |f: &Field<'_>, k: usize, x: f64| [from_si(f.stations[k]), from_si((f.simple)(x))];
        stations
            .map(|(k, x)| {
                let s = si(*x);
                Along {
                    x: *x,
                    axial: at(&fields[0], k, s),
                    torsion: at(&fields[1], k, s),
                    peel: at(&rocking[0], k, s),
                    rock_axial: at(&rocking[1], k, s),
                    rock_hoop: at(&rocking[2], k, s),
                    thermal_across: at(&thermal[0], k, s),
                    thermal_shear: at(&thermal[1], k, s),
                }
            })
            .collect()
    }
}
