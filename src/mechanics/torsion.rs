//! How torque runs from thread and seat through the glue.
//!
//! Insert and frame as two shafts, tied by the glue over 0 .. L. Thread torque enters the insert along
//! x as the thread's load is spread; the seat's torque enters both at x = 0; the frame reacts where it
//! is held. All three torques turn the same way.
//!
//! ```text
//! theta'' = w²·theta + b2·t(x)      w² = k·(b2 + b3)
//! theta'  = b2·Q2 − b3·Q3           Q2' = t + k·theta,   Q3' = −k·theta
//! ```
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | `theta` | turn of the insert against the frame | rad |
//! | `b2`, `b3` | 1/(G·J) of insert and frame | 1/(N·m²) |
//! | `k` | glue springs per length, 2·pi·r_b³·(G/eta)·(1 − voids) | N |
//! | `t` | thread torque per length | N |
//! | `Q2`, `Q3` | torque in insert and frame | N·m |
//! | `L` | length of the bond | m |
//! | `T_b` | torque through the glue, T_thread + s·T_seat | N·m |
//! | `tau_phi` | shear in the glue that is there, in the direction of turning | Pa |
//!
//! Source: engineering basis, section 7; thin-layer shear-lag after Volkersen.
//!
//! Method. The response of an endless pair to t is a convolution with exp(−w|x|); t being exponentials
//! itself, every part of it is a quotient of differences that stays exact when two exponents meet. Two
//! decaying exponentials then set the torques at the ends. Torque that the thread brings in beyond the
//! bond enters at x = L. A rigid frame is b3 = 0.
//!
//! Validity: elastic, uniform circular walls, thin layer. Left out: the fitting's own twist, and so the
//! difference between how the thread spreads torque and how it spreads force.

use super::formula::formula;
use super::glue::{Grid, PART, STATIONS, mirrored};
use super::ladder::{FrameHold, GlueLayer, LadderError, ThreadSpread, fade, onto_bond, positive};
use super::quadrature::integrals;
use crate::units::*;

formula!("Stiffness of the glue in torsion, per length: torque per turn and length";
source: "engineering basis, section 7"; limits: "thin layer, voids spread evenly";
fn glue_torsion_stiffness(r_b: Length, G: Pressure, eta: Length, voids: Ratio) -> Force {
    2.0 * PI * r_b * r_b * G * num(r_b / eta) * (1.0 - voids)
});

formula!("Mean torsional shear in the glue"; source: "engineering basis, sections 7 and 10"; limits: "voids spread evenly";
fn mean_torsion_shear(T_b: Torque, r_b: Length, L: Length, voids: Ratio) -> Pressure {
    T_b / (2.0 * PI * r_b * r_b * L) / (1.0 - voids)
});

/// What the torsion ladder is made of.
#[derive(Debug, Clone, Copy)]
pub struct TorsionParts {
    /// Shear modulus of the insert.
    pub insert_modulus: Pressure,
    /// Polar second moment of the insert's ring d..D_o.
    pub insert_section: SecondMoment,
    /// Shear modulus of the frame (not used where it is held all along).
    pub frame_modulus: Pressure,
    /// Polar second moment of the frame's ring, from D_o + 2·eta to its outer diameter.
    pub frame_section: SecondMoment,
    /// The glue.
    pub glue: GlueLayer,
    /// Where the frame is held.
    pub hold: FrameHold,
}

/// Torques, all in the same sense: a state of the torsion ladder.
#[derive(Debug, Clone, Copy)]
pub struct TorsionLoads {
    /// Torque of the thread.
    pub thread: Torque,
    /// Torque of the seat into the insert.
    pub seat_insert: Torque,
    /// Torque of the seat into the frame.
    pub seat_frame: Torque,
}

impl TorsionLoads {
    /// Thread and seat torque, of the latter the share `s` into the insert.
    pub fn new(thread: Torque, seat: Torque, s: Ratio) -> Self {
        Self {
            thread,
            seat_insert: seat * si(s),
            seat_frame: seat * (1.0 - si(s)),
        }
    }
    fn si(&self) -> [f64; 3] {
        [si(self.thread), si(self.seat_insert), si(self.seat_frame)]
    }
}

/// The solved torsion ladder: unit solutions for thread torque, seat torque into the insert, seat
/// torque into the frame.
#[derive(Debug, Clone, Copy)]
pub struct Torsion {
    length: f64,
    omega: f64,
    /// exp(−w·L).
    decay: f64,
    left: [f64; 3],
    right: [f64; 3],
    spread: ThreadSpread,
    /// −b2/(2·w), the weight of the convolution.
    weight: f64,
    stiffness: f64,
    /// Shear stress per turn, G·r_b/eta.
    shear_per_turn: f64,
}

/// Integral over 0..s of exp(−p·y)·exp(−q·(s − y)), given exp(−p·s) and exp(−q·s): a quotient of
/// differences, which has no trouble where p and q meet.
#[inline]
fn follow(p: f64, q: f64, s: f64, fade_p: f64, fade_q: f64) -> f64 {
    let gap = (q - p) * s;
    if gap.abs() > 1e-3 {
        (fade_p - fade_q) / (q - p)
    } else {
        // (1 − exp(−gap))/gap to the last digit over this small range.
        fade_p * s * (1.0 - gap / 2.0 * (1.0 - gap / 3.0 * (1.0 - gap / 4.0 * (1.0 - gap / 5.0))))
    }
}

/// Integral over 0..s of exp(−(p + q)·y), given exp(−p·s) and exp(−q·s); p + q > 0.
#[inline]
fn ahead(p: f64, q: f64, fade_p: f64, fade_q: f64) -> f64 {
    (1.0 - fade_p * fade_q) / (p + q)
}

impl Torsion {
    /// Solves the three unit loads; `spread` comes from [`Ladder::thread_spread`](super::ladder::Ladder::thread_spread).
    ///
    /// # Errors
    /// [`LadderError::NotPositive`] for a size or stiffness that is no positive number.
    pub fn solve(parts: &TorsionParts, spread: &ThreadSpread) -> Result<Self, LadderError> {
        let glue = &parts.glue;
        glue.check()?;
        let stiff = |modulus: Pressure, section: SecondMoment, what| {
            positive(si(modulus) * si(section), what)
        };
        let b2 = 1.0
            / stiff(
                parts.insert_modulus,
                parts.insert_section,
                "torsional stiffness of the insert",
            )?;
        let b3 = match parts.hold {
            FrameHold::FullLength => 0.0,
            _ => {
                1.0 / stiff(
                    parts.frame_modulus,
                    parts.frame_section,
                    "torsional stiffness of the frame",
                )?
            }
        };
        let stiffness = si(glue_torsion_stiffness(
            glue.mid_radius,
            glue.shear_modulus,
            glue.thickness,
            glue.voids,
        ));
        let length = si(glue.length);
        let omega = (stiffness * (b2 + b3)).sqrt();
        let mut out = Self {
            length,
            omega,
            decay: (-omega * length).exp(),
            left: [0.0; 3],
            right: [0.0; 3],
            spread: *spread,
            weight: -b2 / (2.0 * omega),
            stiffness,
            shear_per_turn: si(glue.shear_modulus) * si(glue.mid_radius) / si(glue.thickness),
        };
        // Torque of insert and frame just inside the face and at the bond's end, for each unit load.
        let beyond = [-spread.beyond, 0.0, 0.0];
        let insert_face = [0.0, 1.0, 0.0];
        let (frame_face, frame_end) = match parts.hold {
            FrameHold::Outboard => ([-1.0, -1.0, 0.0], [0.0; 3]),
            _ => ([0.0, 0.0, 1.0], [1.0; 3]),
        };
        // Beyond its ends the convolution decays outward, so its slope there is w times its value.
        let (at_face, at_end) = (out.convolution(0.0), out.convolution(length));
        let gap = -omega * (-2.0 * omega * length).exp_m1();
        for u in 0..3 {
            let own = if u == 0 { omega } else { 0.0 };
            let first = b2 * insert_face[u] - b3 * frame_face[u] - own * at_face.1;
            let last = b2 * beyond[u] - b3 * frame_end[u] - own * at_end.1;
            out.left[u] = (last * out.decay - first) / gap;
            out.right[u] = (last - first * out.decay) / gap;
        }
        Ok(out)
    }

    /// The response of an endless pair to unit thread torque at `x`, and its slope over w.
    fn convolution(&self, x: f64) -> (f64, f64) {
        let (w, h) = (self.omega, self.spread.length);
        if h <= 0.0 {
            return (0.0, 0.0);
        }
        let s = x - self.spread.start;
        // What lies behind x acts over the distance back, what lies ahead over the distance forth.
        let back = s.clamp(0.0, h);
        let forth = h - back;
        let (w_back, w_forth) = ((-w * back).exp(), (-w * forth).exp());
        let (mut behind, mut before) = (0.0, 0.0);
        for [lambda, from_start, from_end] in self.spread.modes {
            if from_start == 0.0 && from_end == 0.0 {
                continue;
            }
            let (l_back, l_forth) = ((-lambda * back).exp(), (-lambda * forth).exp());
            behind += from_start * follow(lambda, w, back, l_back, w_back)
                + from_end * l_forth * ahead(lambda, w, l_back, w_back);
            before += from_start * l_back * ahead(lambda, w, l_forth, w_forth)
                + from_end * follow(lambda, w, forth, l_forth, w_forth);
        }
        // Outside the thread only one of the two is there, and it fades with the distance.
        if s < 0.0 {
            before *= (w * s).exp();
        } else if s > h {
            behind *= (w * (h - s)).exp();
        }
        (
            self.weight * (behind + before),
            self.weight * (before - behind),
        )
    }

    /// Shear in the glue at `x` (m) per newton metre of each unit load (1/m³); 0 outside the bond.
    #[inline]
    pub fn unit_shear(&self, x: f64) -> [f64; 3] {
        let x = onto_bond(x, self.length);
        if !(0.0..=self.length).contains(&x) {
            return [0.0; 3];
        }
        let near = (-self.omega * x).exp();
        let far = if self.decay > 1e-280 {
            self.decay / near
        } else {
            (-self.omega * (self.length - x)).exp()
        };
        let mut turn = [0.0; 3];
        for (u, t) in turn.iter_mut().enumerate() {
            *t = self.left[u] * near + self.right[u] * far;
        }
        turn[0] += self.convolution(x).0;
        turn.map(|t| -t * self.shear_per_turn)
    }

    /// Fills `out` with [`Torsion::unit_shear`] at each station (m), as far as the shorter slice goes.
    pub fn sample(&self, stations: &[f64], out: &mut [[f64; 3]]) {
        for (x, shear) in stations.iter().zip(out) {
            *shear = self.unit_shear(*x);
        }
    }

    /// [`Torsion::unit_shear`] at the stations of a grid that has its breakpoints where the thread begins
    /// and ends: the exponentials are multiplied along each part instead of being taken anew.
    pub fn sample_grid(&self, grid: &Grid, out: &mut [[f64; STATIONS]; 3]) {
        let (w, h, start) = (self.omega, self.spread.length, self.spread.start);
        let end = start + h;
        let (at_start, at_end) = (self.convolution(start).0, self.convolution(end).0);
        for (g, part) in grid.parts().iter().enumerate() {
            let first = grid.range(g).start;
            let decay = part.decay(w);
            let mirror = mirrored(&decay);
            let off = |distance: f64| fade(w, distance);
            let (near, far) = (off(part.left), off(self.length - part.right));
            let hair = 1e-9 * self.length;
            let inside = h > 0.0 && part.left >= start - hair && part.right <= end + hair;
            let mut extra = [0.0; PART];
            if inside {
                let (back, forth) = (off(part.left - start), off(end - part.right));
                for [lambda, from_start, from_end] in self.spread.modes {
                    if from_start == 0.0 && from_end == 0.0 {
                        continue;
                    }
                    let mode = part.decay(lambda);
                    let mode_mirror = mirrored(&mode);
                    let l_back_0 = fade(lambda, part.left - start);
                    let l_forth_0 = fade(lambda, end - part.right);
                    // Quotients of differences keep their digits against the whole unless the two rates meet.
                    let apart = ((w - lambda) * h).abs() > 1e-3;
                    let (gap, both) = (1.0 / (w - lambda), 1.0 / (w + lambda));
                    for (k, sum) in extra.iter_mut().enumerate() {
                        let (w_back, w_forth) = (decay[k] * back, mirror[k] * forth);
                        let (l_back, l_forth) = (mode[k] * l_back_0, mode_mirror[k] * l_forth_0);
                        let (follow_back, follow_forth) = if apart {
                            ((l_back - w_back) * gap, (l_forth - w_forth) * gap)
                        } else {
                            let x = grid.x()[first + k];
                            let (s, rest) = ((x - start).clamp(0.0, h), (end - x).clamp(0.0, h));
                            (
                                follow(lambda, w, s, l_back, w_back),
                                follow(lambda, w, rest, l_forth, w_forth),
                            )
                        };
                        let (ahead_forth, ahead_back) = (
                            (1.0 - l_forth * w_forth) * both,
                            (1.0 - l_back * w_back) * both,
                        );
                        *sum += from_start * (follow_back + l_back * ahead_forth)
                            + from_end * (follow_forth + l_forth * ahead_back);
                    }
                }
                for sum in &mut extra {
                    *sum *= self.weight;
                }
            } else if h > 0.0 && part.right <= start + hair {
                let edge = off(start - part.right);
                for (k, sum) in extra.iter_mut().enumerate() {
                    *sum = at_start * edge * mirror[k];
                }
            } else if h > 0.0 {
                let edge = off(part.left - end);
                for (k, sum) in extra.iter_mut().enumerate() {
                    *sum = at_end * edge * decay[k];
                }
            }
            // What the endless pair answers belongs to the thread's torque alone.
            for (u, out) in out.iter_mut().enumerate() {
                let (near, far) = (self.left[u] * near, self.right[u] * far);
                let own = if u == 0 { 1.0 } else { 0.0 };
                for k in 0..PART {
                    out[first + k] =
                        -(near * decay[k] + far * mirror[k] + own * extra[k]) * self.shear_per_turn;
                }
            }
        }
    }

    /// Shear in the glue at `x`, tau_phi; positive where the glue holds the insert against the torques.
    pub fn glue_shear(&self, x: Length, loads: &TorsionLoads) -> Pressure {
        let (unit, load) = (self.unit_shear(si(x)), loads.si());
        from_si(unit.iter().zip(load).map(|(u, l)| u * l).sum::<f64>())
    }

    /// Torque through the glue, T_b = T_thread + s·T_seat.
    pub fn bond_torque(&self, loads: &TorsionLoads) -> Torque {
        loads.thread + loads.seat_insert
    }

    /// How far the solution is from equilibrium: the torque of the glue's shear, summed along it numerically, against
    /// T_b, over the largest of the torques.
    ///
    /// A check, not a step of the solution: it costs some thousand evaluations.
    pub fn residual(&self, loads: &TorsionLoads) -> Ratio {
        let load = loads.si();
        let scale = load.iter().fold(f64::MIN_POSITIVE, |m, t| m.max(t.abs()));
        let start = self.spread.start.min(self.length);
        let breaks = [
            0.0,
            start,
            (start + self.spread.length).min(self.length),
            self.length,
        ];
        // The thread's load fades along x as well, and the glue follows it.
        let modes = self.spread.modes.iter().map(|mode| mode[0]);
        let layer = 1.0 / modes.fold(self.omega, f64::max);
        let [shear] = integrals(&breaks, layer, |x| {
            let unit = self.unit_shear(x);
            [unit.iter().zip(load).map(|(u, l)| u * l).sum()]
        });
        let torque = shear * self.stiffness / self.shear_per_turn;
        from_si((torque - si(self.bond_torque(loads))).abs() / scale)
    }

    /// Mean of the torsional shear over the glue that is there.
    pub fn mean_shear(&self, loads: &TorsionLoads) -> Pressure {
        from_si(si(self.bond_torque(loads)) * self.shear_per_turn / (self.stiffness * self.length))
    }
}

#[cfg(test)]
mod tests {
    use super::super::ladder::tests::{awkward, chain, close, spring_steel};
    use super::super::ladder::tests::{grids, held_against_single};
    use super::super::ladder::{Ladder, LadderParts};
    use super::super::section::ring_polar;
    use super::*;
    use proptest::prelude::*;

    /// G·J in N·m² as a modulus of 1 Pa on that section, or the reverse: only the product counts.
    fn parts(gj_insert: f64, gj_frame: f64, glue: GlueLayer, hold: FrameHold) -> TorsionParts {
        TorsionParts {
            insert_modulus: from_si(1.0),
            insert_section: from_si(gj_insert),
            frame_modulus: from_si(1.0),
            frame_section: from_si(gj_frame),
            glue,
            hold,
        }
    }

    fn glue(r_b: f64, length: f64) -> GlueLayer {
        GlueLayer {
            shear_modulus: megapascal(1000.0),
            thickness: mm(0.2),
            mid_radius: mm(r_b),
            voids: number(0.0),
            length: mm(length),
        }
    }

    /// The standard tube of the bond fact file, section 1.3.
    fn standard(hold: FrameHold) -> TorsionParts {
        let insert = ring_polar(mm(40.0), mm(35.0));
        let frame = ring_polar(mm(46.4), mm(40.4));
        TorsionParts {
            insert_modulus: megapascal(25_676.69172932331),
            insert_section: insert,
            frame_modulus: megapascal(19_000.0),
            frame_section: frame,
            glue: glue(20.1, 40.0),
            hold,
        }
    }

    const NONE: ThreadSpread = ThreadSpread {
        start: 0.0,
        length: 0.0,
        modes: [[0.0; 3]; 2],
        beyond: 0.0,
    };

    /// Bond fact file, section 1.4, marked derived and finite differences there.
    #[test]
    fn standard_case_end_to_end() {
        let solved = Torsion::solve(&standard(FrameHold::Inboard), &NONE).unwrap();
        let loads = TorsionLoads::new(newton_metre(0.0), newton_metre(100.0), number(1.0));
        let at = |x: f64| si(solved.glue_shear(mm(x), &loads)) / 1e6;
        close(solved.omega * 0.040, 16.24375, 1e-6);
        close(at(0.0), 9.267258, 1e-6);
        close(at(40.0), 6.730322, 1e-6);
        close(at(20.0), 0.004751, 2e-4);
        close(si(solved.mean_shear(&loads)) / 1e6, 0.984845, 1e-6);
        close(
            si(mean_torsion_shear(
                newton_metre(100.0),
                mm(20.1),
                mm(40.0),
                number(0.0),
            )) / 1e6,
            0.984845,
            1e-6,
        );
        // Rigid housing, same section there.
        let rigid = Torsion::solve(&standard(FrameHold::FullLength), &NONE).unwrap();
        close(si(rigid.glue_shear(mm(0.0), &loads)) / 1e6, 12.17595, 1e-6);
    }

    /// Bond fact file, section 1.4, marked derived there.
    #[test]
    fn balanced_case() {
        let solved = Torsion::solve(
            &parts(2e3, 2e3, glue(20.0, 30.0), FrameHold::Inboard),
            &NONE,
        )
        .unwrap();
        let loads = TorsionLoads::new(newton_metre(0.0), newton_metre(100.0), number(1.0));
        for x in [0.0, 30.0] {
            close(si(solved.glue_shear(mm(x), &loads)) / 1e6, 9.973563, 1e-6);
        }
        let ratio = si(solved.glue_shear(mm(0.0), &loads) / solved.mean_shear(&loads));
        close(ratio, 7.519889, 1e-6);
        close(
            ratio,
            solved.omega * 0.015 / (solved.omega * 0.015).tanh(),
            1e-12,
        );
    }

    /// Bond fact file, section 1.4, marked derived and finite differences there: torque fed evenly.
    #[test]
    fn thread_fed_evenly() {
        let spread = ThreadSpread::even(mm(0.0), mm(40.0), mm(40.0));
        let solved = Torsion::solve(&standard(FrameHold::Inboard), &spread).unwrap();
        let loads = TorsionLoads::new(newton_metre(100.0), newton_metre(0.0), number(1.0));
        close(
            si(solved.glue_shear(mm(40.0), &loads)) / 1e6,
            7.300833,
            1e-6,
        );
        close(si(solved.glue_shear(mm(0.0), &loads)) / 1e6, 0.570513, 2e-6);
    }

    #[test]
    fn push_pull_at_one_end() {
        let solved = Torsion::solve(&standard(FrameHold::Outboard), &NONE).unwrap();
        let loads = TorsionLoads::new(newton_metre(0.0), newton_metre(10.0), number(1.0));
        let bl = solved.omega * solved.length;
        close(
            si(solved.glue_shear(mm(0.0), &loads) / solved.mean_shear(&loads)),
            bl / bl.tanh(),
            1e-12,
        );
    }

    /// Two-node elements with doubling against the exact solution, all holds, shares 0, 0.4 and 1.
    #[test]
    fn independent_route() {
        for (axial, s) in awkward() {
            let gj = (900.0, 300.0);
            let torsion = parts(gj.0, gj.1, axial.glue, axial.hold);
            let ladder = Ladder::solve(&axial).unwrap();
            let spread = ladder.thread_spread(number(s));
            let solved = Torsion::solve(&torsion, &spread).unwrap();
            for (u, loads) in [
                (0, [1.0, 0.0, 0.0]),
                (1, [0.0, 1.0, 0.0]),
                (2, [0.0, 0.0, 1.0]),
            ] {
                let coarse = by_elements(&axial, s, gj, loads, 600);
                let fine = by_elements(&axial, s, gj, loads, 1200);
                let peak = coarse
                    .iter()
                    .fold(0.0f64, |m, p| m.max(p.1.abs()))
                    .max(1e-3);
                for (i, (x, tau)) in coarse.iter().enumerate() {
                    let better = (4.0 * fine[2 * i].1 - tau) / 3.0;
                    let exact = solved.unit_shear(*x)[u];
                    assert!(
                        (exact - better).abs() < 1e-7 * peak,
                        "unit {u} at {x}: {exact} against {better}, peak {peak}"
                    );
                }
            }
        }
    }

    /// Shear at the nodes of the bond by elements; the thread's torque taken from the axial ladder.
    fn by_elements(
        axial: &LadderParts,
        s: f64,
        gj: (f64, f64),
        loads: [f64; 3],
        cells: usize,
    ) -> Vec<(f64, f64)> {
        let ladder = Ladder::solve(axial).unwrap();
        let state = super::super::ladder::FaceForces::preload(from_si(1.0), number(s));
        let (n, bond) = (si(axial.neck), si(axial.glue.length));
        let end = n + si(axial.engagement);
        let mut breaks: Vec<f64> = [0.0, n, end, bond]
            .into_iter()
            .filter(|x| *x <= bond)
            .collect();
        breaks.sort_by(f64::total_cmp);
        breaks.dedup();
        let mut xs = vec![0.0];
        for pair in breaks.windows(2) {
            // Cells far shorter than all else would drown in the rounding of a stiff frame.
            let cells = if pair[1] - pair[0] < 5e-4 {
                cells / 20
            } else {
                cells
            };
            xs.extend((1..=cells).map(|i| pair[0] + (pair[1] - pair[0]) * i as f64 / cells as f64));
        }
        let k = si(glue_torsion_stiffness(
            axial.glue.mid_radius,
            axial.glue.shear_modulus,
            axial.glue.thickness,
            axial.glue.voids,
        ));
        let mut force = vec![[0.0; 3]; xs.len()];
        for i in 0..xs.len() - 1 {
            let (x0, h) = (xs[i], xs[i + 1] - xs[i]);
            if x0 + h / 2.0 < n || x0 + h / 2.0 > end {
                continue;
            }
            // Three-point Gauss for the load on both nodes.
            for (z, w) in [
                (-0.6f64.sqrt(), 5.0 / 18.0),
                (0.0, 8.0 / 18.0),
                (0.6f64.sqrt(), 5.0 / 18.0),
            ] {
                let t = (1.0 + z) / 2.0;
                let line = si(ladder.thread_load(from_si(x0 + t * h), &state)) * w * h * loads[0];
                force[i][1] -= line * (1.0 - t);
                force[i + 1][1] -= line * t;
            }
        }
        let last = xs.len() - 1;
        force[last][1] -= loads[0] * si(ladder.fitting_force(from_si(bond), &state));
        force[0][1] -= loads[1];
        force[0][2] -= loads[2];
        let turn = chain(&xs, |_| [0.0, gj.0, gj.1], |_| (0.0, k), &force, axial.hold);
        let per_turn =
            si(axial.glue.shear_modulus) * si(axial.glue.mid_radius) / si(axial.glue.thickness);
        xs.iter()
            .zip(&turn)
            .map(|(x, t)| (*x, (t[2] - t[1]) * per_turn))
            .collect()
    }

    /// Lengths times 3, torques times 27: the same stresses. And nothing overflows where shear dies out
    /// within a thousandth of the bond.
    #[test]
    fn scale_free_and_finite() {
        let (axial, s) = (spring_steel(), number(0.4));
        let spread = Ladder::solve(&axial).unwrap().thread_spread(s);
        let mut big_axial = axial;
        for length in [
            &mut big_axial.neck,
            &mut big_axial.engagement,
            &mut big_axial.glue.length,
            &mut big_axial.glue.thickness,
            &mut big_axial.glue.mid_radius,
        ] {
            *length *= 3.0;
        }
        for stiffness in [
            &mut big_axial.fitting_neck,
            &mut big_axial.fitting,
            &mut big_axial.insert,
            &mut big_axial.frame,
        ] {
            *stiffness *= 9.0;
        }
        let big_spread = Ladder::solve(&big_axial).unwrap().thread_spread(s);
        let one = Torsion::solve(&parts(800.0, 300.0, axial.glue, axial.hold), &spread).unwrap();
        let big = Torsion::solve(
            &parts(800.0 * 81.0, 300.0 * 81.0, big_axial.glue, axial.hold),
            &big_spread,
        )
        .unwrap();
        for i in 0..=10 {
            let x = si(axial.glue.length) * f64::from(i) / 10.0;
            for (a, b) in one.unit_shear(x).iter().zip(big.unit_shear(3.0 * x)) {
                assert!((a - 27.0 * b).abs() < 1e-9 * 1e4, "{a} against {b}");
            }
        }
        let soft =
            Torsion::solve(&parts(1e-4, 1e-4, axial.glue, FrameHold::Outboard), &spread).unwrap();
        let bl = soft.omega * soft.length;
        assert!(bl > 1000.0);
        let loads = TorsionLoads::new(newton_metre(0.0), newton_metre(1.0), number(1.0));
        close(
            si(soft.glue_shear(mm(0.0), &loads) / soft.mean_shear(&loads)),
            bl,
            1e-12,
        );
        for i in 0..=1000 {
            let x = si(axial.glue.length) * f64::from(i) / 1000.0;
            assert!(soft.unit_shear(x).iter().all(|t| t.is_finite()));
        }
    }

    /// Threads of every sort, and one whose load dies out as fast as the glue's shear does.
    #[test]
    fn the_grid_holds_what_single_places_do() {
        for (axial, s) in awkward() {
            let torsion = parts(900.0, 300.0, axial.glue, axial.hold);
            let thread = Ladder::solve(&axial).unwrap().thread_spread(number(s));
            let omega = Torsion::solve(&torsion, &thread).unwrap().omega;
            let alike = ThreadSpread {
                modes: [
                    [omega * (1.0 + 1e-7), 40.0, 60.0],
                    [2.0 * omega, 30.0, -20.0],
                ],
                ..thread
            };
            for spread in [thread, alike] {
                let solved = Torsion::solve(&torsion, &spread).unwrap();
                for grid in grids(&axial) {
                    let mut all = [[0.0; STATIONS]; 3];
                    solved.sample_grid(&grid, &mut all);
                    held_against_single(&grid, &all, |x| solved.unit_shear(x));
                }
            }
        }
    }

    #[test]
    fn equal_exponents_are_no_special_case() {
        for gap in [
            0.0, 1e-12, 1e-7, 1e-5, 1.6e-4, 1.7e-4, 1e-2, -1e-12, -1e-5, -1.6e-4, -1.7e-4, -1e-2,
        ] {
            let (p, s) = (300.0, 0.02);
            let q = p * (1.0 + gap);
            // Simpson's rule, independent of the quotient.
            let m = 2000;
            let f = |y: f64| (-p * y - q * (s - y)).exp();
            let sum: f64 = (0..=m)
                .map(|i| {
                    let w = if i == 0 || i == m {
                        1.0
                    } else if i % 2 == 1 {
                        4.0
                    } else {
                        2.0
                    };
                    w * f(s * i as f64 / m as f64)
                })
                .sum();
            close(
                follow(p, q, s, (-p * s).exp(), (-q * s).exp()),
                sum * s / (3.0 * m as f64),
                1e-12,
            );
        }
    }

    proptest! {
        /// The glue carries T_b, whatever the parts.
        #[test]
        fn glue_carries_its_torque(
            stiff in -3.0f64..3.0, eta in -2.0f64..0.7, n in 0.0f64..12.0, le in 0.05f64..20.0,
            bond in 1.0f64..40.0, s in 0.0f64..=1.0, hold in 0usize..3,
        ) {
            let mut axial: LadderParts = spring_steel();
            axial.neck = mm(n);
            axial.engagement = mm(le);
            axial.glue.thickness = mm(10f64.powf(eta));
            axial.glue.length = mm(bond);
            axial.hold = [FrameHold::Inboard, FrameHold::Outboard, FrameHold::FullLength][hold];
            let spread = Ladder::solve(&axial).unwrap().thread_spread(number(s));
            let solved = Torsion::solve(&parts(800.0, 800.0 * 10f64.powf(stiff), axial.glue, axial.hold), &spread).unwrap();
            let loads = TorsionLoads::new(newton_metre(30.0), newton_metre(10.0), number(s));
            let per_length = solved.stiffness / solved.shear_per_turn;
            // Gauss over panels that crowd towards every kink.
            let mut sum = 0.0;
            let mut breaks: Vec<f64> = vec![0.0, n, n + le, bond].into_iter().filter(|x| *x <= bond).map(|x| x / 1e3).collect();
            breaks.sort_by(f64::total_cmp);
            for pair in breaks.windows(2) {
                let m = 160;
                let at = |i: usize| {
                    let t = i as f64 / m as f64;
                    pair[0] + (pair[1] - pair[0]) * t * t * (3.0 - 2.0 * t)
                };
                for i in 0..m {
                    let (a, b) = (at(i), at(i + 1));
                    for (z, w) in [
                        (0.0, 128.0 / 225.0),
                        (0.5384693101056831, 0.47862867049936647),
                        (-0.5384693101056831, 0.47862867049936647),
                        (0.906179845938664, 0.23692688505618908),
                        (-0.906179845938664, 0.23692688505618908),
                    ] {
                        let x = (a + b + z * (b - a)) / 2.0;
                        sum += w * (b - a) / 2.0 * per_length * si(solved.glue_shear(from_si(x), &loads));
                    }
                }
            }
            let expected = si(solved.bond_torque(&loads));
            prop_assert!((sum - expected).abs() < 1e-9 * 40.0, "{sum} against {expected}");
        }
    }
}
