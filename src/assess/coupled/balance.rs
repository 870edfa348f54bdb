//! How far the solved states of a job are from equilibrium: a check of every solver on the job's own numbers.
//!
//! The sums are taken anew, from the stresses as they are used and the loads as they came in, by other means than those
//! that solved them.

use super::*;
use crate::assess::Assessment;
use crate::mechanics::plane;
use std::f64::consts::TAU;

/// The most rays between two readings, and by how much of the load the sums may still move from half as many. Our own
/// choice: well below what the seat's own tolerance and the test of a million jobs ask.
const MOST_RAYS: u32 = 1 << 16;
const SETTLED: f64 = 3e-7;

/// What is missing from equilibrium, over the loads. Nothing where a state was not solved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// Shear along the axis and load of the thread, in service at preload high, over the largest force.
    pub axial: Option<Ratio>,
    /// Torsion of the glue in tightening, over the largest torque.
    pub torsion: Ratio,
    /// Force across and moment about the face of the rocking insert, over a lever of the joint's length.
    pub rocking: Option<Ratio>,
    /// Force and moments of the seat's pressure, in service at preload high and in the worst direction.
    pub seat: Option<Ratio>,
}

impl Balance {
    /// Of an assembly; nothing where the coupled model has no answer.
    pub fn of(a: &Assembly, r: &Assessment) -> Option<Balance> {
        let e = &r.evaluation;
        let model = Model::new(a, &e.geometry, &e.ring, 1.0).ok()?;
        let high = &e.preloads.band.high;
        let torques = TorsionLoads::new(
            high.helix.thread(high.preload),
            high.helix.seat(high.preload),
            e.ring.share,
        );
        let loaded = model.seated(high.preload).ok().and_then(|seated| {
            let contact = &model.contact;
            let worst = contact.worst_direction(&seated.preload, e.loads.moment, e.loads.axial);
            worst.ok().map(|w| w.state)
        });
        Some(Balance {
            axial: loaded.map(|s| model.ladder.residual(&face_forces(&s))),
            torsion: model.torsion.residual(&torques),
            rocking: loaded.map(|s| model.rocking_balance(&e.loads, &s)),
            seat: loaded.map(|s| model.seat_balance(&e.loads, &s)),
        })
    }
}

impl Model<'_> {
    fn rocking_balance(&self, loads: &Loads, s: &Loaded) -> Ratio {
        let (force, moment) = rock(loads, s);
        let lever = si(self.a.thread.setback) + si(self.a.bond.length);
        let scale = (moment.abs() + force.abs() * lever).max(f64::MIN_POSITIVE);
        let (across, turn) = self.rocking.residual(force, moment);
        number((across.abs() * lever).max(turn.abs()) / scale)
    }

    /// Force and moments of the pressure against the loads.
    fn seat_balance(&self, loads: &Loads, s: &Loaded) -> Ratio {
        let around: plane::Around = (self.a.seat.gaps.iter())
            .map(|g| (si(g.at), si(g.gap.nominal)))
            .collect();
        let first = around.first().map_or(0.0, |reading| reading.0);
        let mut places = vec![first];
        places.extend(around.iter().skip(1).map(|reading| reading.0));
        places.push(first + TAU);
        let tilting =
            si(self.thread_stiffness) * si(self.a.thread.basic.pitch_diameter).powi(2) / 8.0;
        let moment = si(loads.moment).abs();
        let radius = [self.ring.insert, self.ring.frame]
            .into_iter()
            .flatten()
            .fold(0.0, |most: f64, part| most.max(si(part.outer)));
        // A push inward goes through the seat alone.
        let forces = [s.thread_force, s.seat_force, loads.axial].map(|f| si(f).abs());
        let scale = forces.into_iter().fold(moment / radius, f64::max);
        let mut rays = 256;
        let mut sum = self.pressure_sums(s, &around, &places, rays);
        // A small contact covers few rays: more of them until the sums stay.
        while rays < MOST_RAYS {
            rays *= 2;
            let finer = self.pressure_sums(s, &around, &places, rays);
            let moved = (sum[0] - finer[0])
                .abs()
                .max((sum[1] - finer[1]).hypot(sum[2] - finer[2]) / radius);
            sum = finer;
            if moved < SETTLED * scale {
                break;
            }
        }
        let (tx, ty) = (si(s.tilt.x), si(s.tilt.y));
        let force = sum[0] + si(loads.axial) - si(s.thread_force);
        let along = sum[1] + tilting * tx - moment * si(s.direction).cos();
        let across = sum[2] + tilting * ty - moment * si(s.direction).sin();
        number(force.abs().max(along.hypot(across) / radius) / scale)
    }

    /// Force (N) and moments (N·m) of the seat's pressure: along rays exactly, around it by so many rays between one of
    /// `places` and the next, close together there, since a small contact has its tip at a reading.
    fn pressure_sums(
        &self,
        s: &Loaded,
        around: &[(f64, f64)],
        places: &[f64],
        rays: u32,
    ) -> [f64; 3] {
        let (tx, ty) = (si(s.tilt.x), si(s.tilt.y));
        let mut sum = [0.0; 3];
        for pair in places.windows(2) {
            let (start, end) = (pair[0], pair[1]);
            for ray in 0..rays {
                let u = (f64::from(ray) + 0.5) / f64::from(rays);
                let phi = start + (end - start) * u * u * (3.0 - 2.0 * u);
                let width = (end - start) * 6.0 * u * (1.0 - u) / f64::from(rays);
                let down = si(s.closing) - plane::between(around, phi);
                let rise = tx * phi.cos() + ty * phi.sin();
                for part in [self.ring.insert, self.ring.frame].into_iter().flatten() {
                    let (inner, outer) = (si(part.inner), si(part.outer));
                    // Where the flange touches: down + rise·ρ > 0.
                    let touch = (-down / rise).clamp(inner, outer);
                    let (from, to) = match (rise > 0.0, rise < 0.0) {
                        (true, _) => (touch, outer),
                        (_, true) => (inner, touch),
                        _ if down > 0.0 => (inner, outer),
                        _ => (inner, inner),
                    };
                    // ∫ ρ^(n − 1) dρ
                    let power = |n: i32| (to.powi(n) - from.powi(n)) / f64::from(n);
                    let force = down * power(2) + rise * power(3);
                    let lever = down * power(3) + rise * power(4);
                    let weight = si(part.stiffness) * width;
                    sum[0] += weight * force;
                    sum[1] += weight * lever * phi.cos();
                    sum[2] += weight * lever * phi.sin();
                }
            }
        }
        sum
    }
}
