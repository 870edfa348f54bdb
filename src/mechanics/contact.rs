//! Seat contact: a rigid flange on a one-sided elastic ring, beside a ring of thread.
//!
//! # Equations
//! The ring has up to two concentric annular parts, each an elastic layer under one rigid flange:
//! `p = k_c·max(0, z + ρ·(tx·cos φ + ty·sin φ) − g(φ))`, `m = ∫ p·ρ·(cos φ, sin φ)`.
//! The thread resists the approach with `k_t` and the tilt with `K = k_t·r2²/2`:
//! - preload: `∫p = F0`, `m + K·t = 0`, which gives `z0`, `t0`;
//! - loaded: `F_t = F0 + k_t·(z0 − z) = ∫p + N_ext`, `m + K·t = M`;
//! - thread line load `q = (F_t − k_t·r2·t·e(φ))/(2π·r2)`, highest `(F_t + k_t·r2·|t|)/(2π·r2)`;
//! - opening of a closed ring, linear until it opens: the least `M` for which some point has
//!   `z − g + ρ·(t·e) = 0`; without gaps `M = (F0'/k_s/ro)·(Σ k_c·I + K)`,
//!   `F0' = F0 − N_ext·k_s/(k_s + k_t)`, `k_s = Σ k_c·A`;
//! - opening of a ring with open points: the least `M` where its area has fallen to 90 %.
//!
//! # Symbols
//! | symbol | meaning | unit |
//! |---|---|---|
//! | `z`, `t = (tx, ty)` | approach of the flange (closing positive), tilt | m, rad |
//! | `g(φ)` | initial gap, periodic and piecewise linear | m |
//! | `k_c`, `A`, `I` | layer stiffness, area, second moment `π(ro⁴ − ri⁴)/4` of a part | N/m³, m², m⁴ |
//! | `k_t`, `r2`, `K` | thread ring: axial stiffness, radius, tilting stiffness | N/m, m, N·m |
//! | `F0`, `F_t`, `N_ext` | preload, thread force loaded, outside pull | N |
//! | `M`, `m` | outside moment, moment of `p` | N·m |
//!
//! The moment's direction is the side of the ring that it presses together.
//!
//! # Method
//! At each `φ` contact is one interval of `ρ` in each part, integrated in closed form. Around the
//! ring there are panels of 15° at most, cut at every reading: panels wholly in contact come from
//! sums made once, the others are cut where the edge of contact passes the inner or outer radius,
//! and each smooth piece has five Gauss points. Newton with the exact tangent and a line search on
//! the slope of the potential energy, which is convex, finds the three unknowns.
//!
//! Of the [`DIRECTIONS`] every third is solved, with the change of the unknowns with the direction, by the
//! quick rule (three points). Cubics tell the others, of which those are solved that come near the highest
//! prying or pressure by less than the cubics may be off. What is quoted is solved once more by the fine rule.
//!
//! The opening of a ring with open points is looked for all over the moments, not along trials that could pass
//! over a fall: how, stands at the head of `opening.rs`.
//!
//! # Source and validity
//! Engineering basis, section 6. The layer stiffness (strip on a half-space) is a modelling choice
//! without a source. The flange is rigid, friction and the shape of the thread's own seat are left
//! out. The area may fall below 90 % and recover under a growing moment, within a hundredth of the way and in
//! one direction alone; the first such fall counts.
//! On 20526 random seats with open points, of a few microns to 0.3 mm, none opened above the lowest moment found by
//! following every direction in 400 steps, and two opened at falls narrower than these.

use crate::units::*;
use nalgebra::{Cholesky, Matrix3, U3, Vector3};
use ring::{PLAIN, Panels, Part, Sums};
use std::f64::consts::{PI, TAU};
use thiserror::Error;

mod opening;
mod ring;

/// Directions of the moment that are tried on a seat with gaps.
pub const DIRECTIONS: usize = 72;
/// A ring counts as closed at preload above this contact fraction.
const CLOSED: f64 = 1.0 - 1e-9;
/// Share of the preload's contact area at which a ring with open points counts as opened.
const OPENED: f64 = 0.9;
/// Every so many directions one is solved first; the others where need be.
const EACH: usize = 3;
/// Those directions.
const FIRST: usize = DIRECTIONS / EACH;
/// Share of the range of a height over the directions within which one that looks nearly as high as the
/// highest is solved.
const NEARLY: f64 = 3e-3;
/// How far a height between two directions may be off, over what a cubic over two gaps misses.
const ASTRAY: f64 = 0.125;
/// Share of the load that may be left unbalanced.
const FINE: f64 = 2e-11;
/// Share from which one more step is the last, along a growing moment.
const SWEEP: f64 = 3e-4;
/// The same in a sweep over directions.
const ROUGH: f64 = 2e-3;
/// Steps of Newton before giving up.
const MAX_STEPS: u32 = 300;

/// One annular part of the seat.
#[derive(Debug, Clone, Copy)]
pub struct RingPart {
    /// Inner radius.
    pub inner: Length,
    /// Outer radius; a part with no width counts as absent.
    pub outer: Length,
    /// Layer stiffness `k_c`.
    pub stiffness: LayerStiffness,
}

/// One feeler reading.
#[derive(Debug, Clone, Copy)]
pub struct GapReading {
    /// Place, clockwise from 12 o'clock seen from outside.
    pub at: Angle,
    /// Gap there, not negative.
    pub gap: Length,
}

/// A seat as described.
#[derive(Debug, Clone, Copy)]
pub struct Seat<'a> {
    /// The part that stands on the insert.
    pub insert: Option<RingPart>,
    /// The part that stands on the frame.
    pub frame: Option<RingPart>,
    /// Readings in rising order of angle, within one turn; none means no gap.
    pub gaps: &'a [GapReading],
    /// Radius `r2` of the thread ring.
    pub thread_radius: Length,
    /// Axial stiffness `k_t` of the thread ring.
    pub thread_stiffness: Stiffness,
}

/// What acts from outside on the preloaded seat.
#[derive(Debug, Clone, Copy)]
pub struct Load {
    /// Moment; its magnitude counts.
    pub moment: Torque,
    /// Side that the moment presses together, as the readings' angles; without gaps it only turns the tilt.
    pub direction: Angle,
    /// Outside pull `N_ext`, outward positive.
    pub axial: Force,
}

/// Peak pressure of each part that exists.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peaks {
    /// On the insert.
    pub insert: Option<Pressure>,
    /// On the frame.
    pub frame: Option<Pressure>,
}

/// Tilt of the flange.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tilt {
    /// Part towards 12 o'clock, `tx`.
    pub x: Angle,
    /// Part towards 3 o'clock, `ty`.
    pub y: Angle,
}

/// The seat under preload alone.
#[derive(Debug, Clone, Copy)]
pub struct Preloaded {
    /// Preload `F0`, which is the seat's force.
    pub preload: Force,
    /// Approach `z0` from first touch of a face without gaps.
    pub closing: Length,
    /// Tilt `t0`.
    pub tilt: Tilt,
    /// Area in contact over area of the ring.
    pub contact_fraction: Ratio,
    /// Highest pressures.
    pub peak: Peaks,
    /// Unknowns: approach above the least gap (m), tilt times outer radius (m).
    state: [f64; 3],
    /// Moment of `p` over the frame's part (N·m).
    frame_moment: [f64; 2],
}

impl Preloaded {
    /// Does the ring touch all round?
    pub fn closed(&self) -> bool {
        si(self.contact_fraction) > CLOSED
    }
}

/// The seat under outside load.
#[derive(Debug, Clone, Copy)]
pub struct Loaded {
    /// Thread force `F_t`.
    pub thread_force: Force,
    /// Seat force, both parts.
    pub seat_force: Force,
    /// Part of it on the insert.
    pub insert_force: Force,
    /// Part of it on the frame, `P_f`.
    pub frame_force: Force,
    /// Moment of `p` over the frame's part less that at preload, along the outside moment, `M_f`.
    pub frame_moment: Torque,
    /// The same, a quarter turn clockwise from the outside moment (0 without gaps).
    pub frame_moment_across: Torque,
    /// Area in contact over area of the ring.
    pub contact_fraction: Ratio,
    /// Highest pressures.
    pub peak: Peaks,
    /// Highest line load on the thread.
    pub max_line_load: LineLoad,
    /// Highest line load over that of the preload alone.
    pub prying_factor: Ratio,
    /// Approach `z`.
    pub closing: Length,
    /// Tilt, whole.
    pub tilt: Tilt,
    /// Direction of the moment.
    pub direction: Angle,
    /// Unknowns as in [`Preloaded`], the approach counted from that at preload; for the tests' balances.
    #[cfg(test)]
    state: [f64; 3],
}

/// The direction with the highest prying factor.
#[derive(Debug, Clone, Copy)]
pub struct WorstLoaded {
    /// The state in that direction.
    pub state: Loaded,
    /// Highest pressures over all directions.
    pub peak: Peaks,
}

/// Why there is no answer.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum ContactError {
    /// No part of the ring has any width.
    #[error("the seat has no bearing area")]
    NoSeat,
    /// A radius, stiffness or load is negative or not a number; the name says which.
    #[error("seat contact: {0} is not usable")]
    Invalid(&'static str),
    /// The equations were not satisfied.
    #[error("seat contact did not converge (residual {residual:e} of the load)")]
    NotConverged {
        /// What is left of the balance, as a share of the load.
        residual: f64,
    },
    /// The area in contact falls to 90 % in no direction.
    #[error("the area in contact does not fall to 90 % under any moment tried")]
    NeverOpens,
    /// The area in contact stays so near 90 % that the lowest moment of opening was not settled.
    #[error("the area in contact stays so near 90 % that the opening moment was not settled")]
    Unsettled,
}

/// One balance to be found: SI, approach counted from `base`.
#[derive(Debug, Clone, Copy)]
struct Balance {
    base: f64,
    /// Axial stiffness of the thread that takes part (N/m).
    axial: f64,
    /// Constant force `N_ext − F0` (N) and moment (N·m).
    push: f64,
    moment: [f64; 2],
    /// Size of the load (N), and the share of it left over from which one more step is the last.
    scale: f64,
    last: f64,
    /// By the quick rule?
    quick: bool,
}

/// A seat made ready for solving: tables are built once, solving allocates nothing.
#[derive(Debug, Clone)]
pub struct SeatContact {
    parts: [Option<Part>; 2],
    /// `None`: the same gap all round.
    panels: Option<Panels>,
    /// Least gap and highest gap above it (m).
    least: f64,
    span: f64,
    /// Σ k_c·A (N/m), Σ k_c·I (N·m), area (m²), innermost and outermost radius (m).
    ks: f64,
    ki: f64,
    area: f64,
    inner: f64,
    outer: f64,
    /// Thread ring: radius (m), axial (N/m) and tilting (N·m) stiffness.
    r2: f64,
    kt: f64,
    tilting: f64,
}

impl SeatContact {
    /// Checks the seat and builds its tables; without gaps there are none to build.
    pub fn new(seat: &Seat) -> Result<Self, ContactError> {
        let part = |p: &Option<RingPart>| p.as_ref().map_or(Ok(None), Part::new);
        let parts = [part(&seat.insert)?, part(&seat.frame)?];
        let (r2, kt) = (si(seat.thread_radius), si(seat.thread_stiffness));
        if !(r2 > 0.0 && r2.is_finite()) {
            return Err(ContactError::Invalid("the thread's radius"));
        }
        if !(kt >= 0.0 && kt.is_finite()) {
            return Err(ContactError::Invalid("the thread's stiffness"));
        }
        let (mut ks, mut ki, mut area, mut inner, mut outer) =
            (0.0, 0.0, 0.0, f64::INFINITY, 0.0_f64);
        for p in parts.iter().flatten() {
            ks += TAU * p.k * p.j[0];
            ki += PI * p.k * p.j[2];
            area += TAU * p.j[0];
            inner = f64::min(inner, p.r1);
            outer = outer.max(p.r2);
        }
        if area <= 0.0 {
            return Err(ContactError::NoSeat);
        }
        let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
        for (i, reading) in seat.gaps.iter().enumerate() {
            let (at, gap) = (si(reading.at), si(reading.gap));
            if !(gap >= 0.0 && gap.is_finite()) {
                return Err(ContactError::Invalid("a gap reading"));
            }
            let before = if i == 0 {
                f64::NEG_INFINITY
            } else {
                si(seat.gaps[i - 1].at)
            };
            if !(at.is_finite() && at > before && at < si(seat.gaps[0].at) + TAU) {
                return Err(ContactError::Invalid("the order of the gap readings"));
            }
            least = least.min(gap);
            most = most.max(gap);
        }
        if seat.gaps.is_empty() {
            least = 0.0;
        }
        let span = most - least;
        let panels = (span > 0.0).then(|| {
            // Only differences of gaps matter: the least is taken off, which keeps digits.
            let above = seat
                .gaps
                .iter()
                .map(|r| (si(r.at), si(r.gap) - least))
                .collect::<Vec<_>>();
            Panels::new(&above)
        });
        let tilting = kt * r2 * r2 / 2.0;
        Ok(Self {
            parts,
            panels,
            least,
            span,
            ks,
            ki,
            area,
            inner,
            outer,
            r2,
            kt,
            tilting,
        })
    }

    /// Whether the gap is the same all round, so that every direction gives the same.
    pub fn is_even(&self) -> bool {
        self.panels.is_none()
    }

    fn panels(&self) -> &Panels {
        self.panels.as_ref().unwrap_or_else(|| &PLAIN)
    }

    /// Sums of both parts at approach (m) and tilt times outer radius (m).
    fn sums(&self, base: f64, u: &Vector3<f64>, quick: bool) -> [Sums; 2] {
        let panels = self.panels();
        let (z, tx, ty) = (base + u[0], u[1] / self.outer, u[2] / self.outer);
        panels.sums(&self.parts, (z, tx, ty), quick)
    }

    /// The tangent (N/m) in factors; a part of the unit matrix helps where the seat leaves it singular.
    fn tangent(&self, sums: &[Sums; 2], axial: f64) -> Option<Cholesky<f64, U3>> {
        let (ro, per) = (self.outer, 1.0 / (self.outer * self.outer));
        let [zz, zx, zy, xx, xy, yy]: [f64; 6] =
            std::array::from_fn(|i| sums[0].h[i] + sums[1].h[i]);
        let (zx, zy, xy, tilting) = (zx / ro, zy / ro, xy * per, self.tilting * per);
        let mut tangent = Matrix3::new(
            zz + axial,
            zx,
            zy,
            zx,
            xx * per + tilting,
            xy,
            zy,
            xy,
            yy * per + tilting,
        );
        let size = self.ks + axial + tilting;
        let mut more = 1e-14 * size;
        loop {
            match tangent.cholesky() {
                Some(factor) => return Some(factor),
                None if more < 1e3 * size => {
                    tangent += Matrix3::identity() * more;
                    more *= 100.0;
                }
                None => return None,
            }
        }
    }

    /// Newton from `start`: the unknowns and the sums there.
    fn solve(
        &self,
        want: &Balance,
        start: [f64; 3],
    ) -> Result<([f64; 3], [Sums; 2]), ContactError> {
        let ro = self.outer;
        let tilting = self.tilting / (ro * ro);
        let left = |u: &Vector3<f64>, sums: &[Sums; 2]| {
            let sum = |f: fn(&Sums) -> f64| f(&sums[0]) + f(&sums[1]);
            Vector3::new(
                sum(|s| s.f) + want.axial * u[0] + want.push,
                (sum(|s| s.m[0]) - want.moment[0]) / ro + tilting * u[1],
                (sum(|s| s.m[1]) - want.moment[1]) / ro + tilting * u[2],
            )
        };
        // What rounding of the deflections leaves of the forces at best.
        let floor = |u: &Vector3<f64>| {
            f64::EPSILON
                * (self.ks * (want.base + self.span + u.norm()) + (want.axial + tilting) * u.norm())
        };
        let mut u = Vector3::from(start);
        let quick = want.quick;
        let mut sums = self.sums(want.base, &u, quick);
        let mut r = left(&u, &sums);
        for _ in 0..MAX_STEPS {
            if r.norm() <= FINE * want.scale + floor(&u) {
                return Ok((u.into(), sums));
            }
            let Some(factor) = self.tangent(&sums, want.axial) else {
                break;
            };
            let step = -factor.solve(&r);
            if r.norm() <= want.last * want.scale {
                // One more step, with the forces followed along the tangent, is good enough.
                sums.iter_mut()
                    .for_each(|s| s.follow(step[0], step[1] / ro, step[2] / ro));
                return Ok(((u + step).into(), sums));
            }
            let slope = r.dot(&step).abs();
            let mut share = 1.0;
            let found = loop {
                let v = u + step * share;
                let sums = self.sums(want.base, &v, quick);
                let r = left(&v, &sums);
                let rise = r.dot(&step);
                // A convex energy has fallen enough unless its slope has turned steeply upward; without
                // the thread's axial stiffness a flange out of touch would leave nothing to solve.
                let lost = want.axial <= 0.0 && sums[0].f + sums[1].f <= 0.0;
                if !lost && (rise <= 0.9 * slope || r.norm() <= FINE * want.scale) {
                    break Some((v, sums, r));
                }
                share *= if lost {
                    0.5
                } else {
                    (slope / (slope + rise)).clamp(0.1, 0.6)
                };
                // Also ends when anything is not a number.
                if !(share > 1e-12 && rise.is_finite()) {
                    break None;
                }
            };
            let Some(found) = found else { break };
            (u, sums, r) = found;
        }
        let residual = r.norm() / want.scale;
        let enough = r.norm() <= 1e-9 * want.scale + 16.0 * floor(&u);
        if enough {
            Ok((u.into(), sums))
        } else {
            Err(ContactError::NotConverged { residual })
        }
    }

    /// Highest pressures (Pa) at approach `z` and tilt (rad); 0 where a part is out of touch.
    fn peaks(&self, z: f64, tx: f64, ty: f64) -> [f64; 2] {
        self.parts.map(|p| {
            p.map_or(0.0, |p| {
                let best = match &self.panels {
                    Some(panels) => panels.extreme(1.0, (p.r1, p.r2), (z, tx, ty)).0,
                    None => z + p.r2 * tx.hypot(ty),
                };
                p.k * best.max(0.0)
            })
        })
    }

    fn typed(&self, peaks: [f64; 2]) -> Peaks {
        let of = |i: usize| self.parts[i].map(|_| from_si(peaks[i]));
        Peaks {
            insert: of(0),
            frame: of(1),
        }
    }

    fn tilt(&self, state: &[f64; 3]) -> Tilt {
        Tilt {
            x: from_si(state[1] / self.outer),
            y: from_si(state[2] / self.outer),
        }
    }

    /// Area in contact (m²).
    fn touching(&self, sums: &[Sums; 2]) -> f64 {
        self.parts
            .iter()
            .zip(sums)
            .map(|(p, s)| p.map_or(0.0, |p| s.h[0] / p.k))
            .sum()
    }

    /// The seat under `preload` alone.
    pub fn preload_state(&self, preload: Force) -> Result<Preloaded, ContactError> {
        let f0 = si(preload);
        if !(f0 > 0.0 && f0.is_finite()) {
            return Err(ContactError::Invalid("the preload"));
        }
        let (state, frame_moment, fraction) = if self.is_even() {
            ([f0 / self.ks, 0.0, 0.0], [0.0; 2], 1.0)
        } else {
            let want = Balance {
                base: 0.0,
                axial: 0.0,
                push: -f0,
                moment: [0.0; 2],
                scale: f0,
                last: 0.0,
                quick: false,
            };
            let (state, sums) = self.solve(&want, [self.span + f0 / self.ks, 0.0, 0.0])?;
            (state, sums[1].m, self.touching(&sums) / self.area)
        };
        let tilt = self.tilt(&state);
        Ok(Preloaded {
            preload,
            closing: from_si(self.least + state[0]),
            tilt,
            contact_fraction: number(fraction.min(1.0)),
            peak: self.typed(self.peaks(state[0], si(tilt.x), si(tilt.y))),
            state,
            frame_moment,
        })
    }

    /// The balance of a loaded seat, moment (N·m) along (cosine, sine).
    fn loaded_balance(
        &self,
        pre: &Preloaded,
        axial: f64,
        moment: f64,
        (c, s): (f64, f64),
    ) -> Balance {
        let f0 = si(pre.preload);
        let scale = f0 + axial.abs() + moment / self.outer;
        Balance {
            base: pre.state[0],
            axial: self.kt,
            push: axial - f0,
            moment: [moment * c, moment * s],
            scale,
            last: 0.0,
            quick: false,
        }
    }

    /// Start of a loaded solution: the state at preload.
    fn start(pre: &Preloaded) -> [f64; 3] {
        [0.0, pre.state[1], pre.state[2]]
    }

    /// The answer from the unknowns, parts' forces and frame's moment (along and across).
    fn answer(
        &self,
        pre: &Preloaded,
        load: &Load,
        u: [f64; 3],
        f: [f64; 2],
        mf: [f64; 2],
        area: f64,
    ) -> Loaded {
        let thread = f[0] + f[1] + si(load.axial);
        let tilt = self.tilt(&u);
        let pull = self.r2 * self.kt * si(tilt.x).hypot(si(tilt.y));
        let z = pre.state[0] + u[0];
        Loaded {
            thread_force: from_si(thread),
            seat_force: from_si(f[0] + f[1]),
            insert_force: from_si(f[0]),
            frame_force: from_si(f[1]),
            frame_moment: from_si(mf[0]),
            frame_moment_across: from_si(mf[1]),
            contact_fraction: number((area / self.area).min(1.0)),
            peak: self.typed(self.peaks(z, si(tilt.x), si(tilt.y))),
            max_line_load: from_si((thread + pull) / (TAU * self.r2)),
            prying_factor: number((thread + pull) / si(pre.preload)),
            closing: from_si(self.least + z),
            tilt,
            direction: load.direction,
            #[cfg(test)]
            state: u,
        }
    }

    /// The seat under outside load in one direction.
    pub fn loaded_state(&self, pre: &Preloaded, load: &Load) -> Result<Loaded, ContactError> {
        self.loaded_from(pre, load, Self::start(pre))
    }

    fn loaded_from(
        &self,
        pre: &Preloaded,
        load: &Load,
        start: [f64; 3],
    ) -> Result<Loaded, ContactError> {
        let (moment, axial, at) = (si(load.moment).abs(), si(load.axial), si(load.direction));
        if !(moment.is_finite() && axial.is_finite() && at.is_finite()) {
            return Err(ContactError::Invalid("the outside load"));
        }
        let (s, c) = at.sin_cos();
        if !self.is_even() {
            let want = self.loaded_balance(pre, axial, moment, (c, s));
            let (u, sums) = self.solve(&want, start)?;
            let (x, y) = (
                sums[1].m[0] - pre.frame_moment[0],
                sums[1].m[1] - pre.frame_moment[1],
            );
            let area = self.touching(&sums);
            return Ok(self.answer(
                pre,
                load,
                u,
                [sums[0].f, sums[1].f],
                [x * c + y * s, y * c - x * s],
                area,
            ));
        }
        // Linear as long as nothing opens.
        let dz = -axial / (self.ks + self.kt);
        let z = pre.state[0] + dz;
        let tilt = moment / (self.ki + self.tilting);
        let (dz, lever, f, mf, area) = if z >= self.outer * tilt {
            let [f, mf] = [0, 2].map(|n| self.parts.map(|p| p.map_or(0.0, |p| p.k * p.j[n])));
            (
                dz,
                tilt * self.outer,
                f.map(|k| TAU * k * z),
                PI * mf[1] * tilt,
                self.area,
            )
        } else {
            let want = self.loaded_balance(pre, axial, moment, (1.0, 0.0));
            let (u, sums) = self.solve(&want, Self::start(pre))?;
            (
                u[0],
                u[1],
                [sums[0].f, sums[1].f],
                sums[1].m[0],
                self.touching(&sums),
            )
        };
        Ok(self.answer(pre, load, [dz, lever * c, lever * s], f, [mf, 0.0], area))
    }

    /// The worst direction of the moment: with gaps, of [`DIRECTIONS`] evenly spaced from 12 o'clock.
    pub fn worst_direction(
        &self,
        pre: &Preloaded,
        moment: Torque,
        axial: Force,
    ) -> Result<WorstLoaded, ContactError> {
        let mut load = Load {
            moment,
            direction: from_si(0.0),
            axial,
        };
        if self.is_even() {
            let state = self.loaded_state(pre, &load)?;
            return Ok(WorstLoaded {
                peak: state.peak,
                state,
            });
        }
        let (m, n) = (si(moment).abs(), si(axial));
        if !(m.is_finite() && n.is_finite()) {
            return Err(ContactError::Invalid("the outside load"));
        }
        // The unknowns in a direction and their change with it, scaled to the width of a gap.
        let go = |j: usize, start: [f64; 3]| {
            let (s, c) = angle(j).sin_cos();
            let want = Balance {
                last: ROUGH,
                quick: true,
                ..self.loaded_balance(pre, n, m, (c, s))
            };
            let (u, sums) = self.solve(&want, start)?;
            let wide = m * TAU * EACH as f64 / DIRECTIONS as f64;
            let factor = self.tangent(&sums, self.kt);
            Ok((u, self.pace(factor.as_ref(), -wide * s, wide * c)))
        };
        let mut solved = [([0.0; 3], [0.0; 3]); FIRST];
        for k in 0..FIRST {
            let start = match k {
                0 => Self::start(pre),
                1 => std::array::from_fn(|i| solved[0].0[i] + solved[0].1[i]),
                _ => {
                    let ((u, du), (v, dv)) = (solved[k - 2], solved[k - 1]);
                    std::array::from_fn(|i| cubic([u[i], du[i]], [v[i], dv[i]], 2.0))
                }
            };
            solved[k] = go(EACH * k, start)?;
        }
        let between = |j: usize| -> [f64; 3] {
            let (k, t) = (j / EACH, (j % EACH) as f64 / EACH as f64);
            let ((u, du), (v, dv)) = (solved[k], solved[(k + 1) % FIRST]);
            std::array::from_fn(|i| cubic([u[i], du[i]], [v[i], dv[i]], t))
        };
        // Prying (as the thread's highest deflection) and highest pressures of each part.
        let stiff = |i: usize| self.parts[i].map_or(0.0, |p| p.k);
        let heights = |u: &[f64; 3]| {
            let prying = self.r2 * u[1].hypot(u[2]) / self.outer - u[0];
            let [p, q] = self.peaks(pre.state[0] + u[0], u[1] / self.outer, u[2] / self.outer);
            [prying, p, q]
        };
        let mut found = [[0.0; 3]; DIRECTIONS];
        let (mut top, mut bottom) = ([f64::NEG_INFINITY; 3], [f64::INFINITY; 3]);
        for (k, (u, _)) in solved.iter().enumerate() {
            found[EACH * k] = heights(u);
            for q in 0..3 {
                top[q] = top[q].max(found[EACH * k][q]);
                bottom[q] = bottom[q].min(found[EACH * k][q]);
            }
        }
        let mut margin: [f64; 3] = std::array::from_fn(|q| NEARLY * (top[q] - bottom[q]));
        let mut open = [false; DIRECTIONS];
        for j in (0..DIRECTIONS).filter(|j| j % EACH > 0) {
            found[j] = heights(&between(j));
            open[j] = true;
        }
        // How far the cubic over two gaps would have missed the end of the second tells how far it may be
        // off within them.
        let astray: [f64; FIRST] = std::array::from_fn(|k| {
            let [(u, du), (v, dv), (w, _)] = [0, 1, 2].map(|i| solved[(k + i) % FIRST]);
            let off = |i: usize| cubic([u[i], du[i]], [v[i], dv[i]], 2.0) - w[i];
            off(0).abs() + off(1).hypot(off(2))
        });
        let steep = [1.0, stiff(0), stiff(1)];
        // What looks as high as the highest is solved, until nothing does by more than the looks have erred.
        loop {
            let high = |j: usize| {
                let k = j / EACH;
                let off = ASTRAY * astray[k].max(astray[(k + FIRST - 1) % FIRST]);
                (0..3).any(|q| found[j][q] > top[q] - margin[q].max(off * steep[q]))
            };
            let Some(j) = (0..DIRECTIONS).find(|&j| open[j] && high(j)) else {
                break;
            };
            let now = heights(&go(j, between(j))?.0);
            for q in 0..3 {
                top[q] = top[q].max(now[q]);
                margin[q] = margin[q].max(2.0 * (now[q] - found[j][q]).abs());
            }
            (found[j], open[j]) = (now, false);
        }
        let highest = |q: usize| {
            let by = |a: &usize, b: &usize| found[*b][q].total_cmp(&found[*a][q]);
            let closed = (0..DIRECTIONS).filter(|&j| !open[j]);
            closed.min_by(by).unwrap_or(0)
        };
        let worst = highest(0);
        let mut solve = |j: usize| {
            load.direction = from_si(angle(j));
            self.loaded_from(pre, &load, between(j))
        };
        let state = solve(worst)?;
        let mut peak = [0.0_f64; 2];
        raise(&mut peak, &state.peak);
        for part in 0..2 {
            let j = highest(1 + part);
            if j != worst && self.parts[part].is_some() {
                raise(&mut peak, &solve(j)?.peak);
            }
        }
        Ok(WorstLoaded {
            state,
            peak: self.typed(peak),
        })
    }

    /// Moment at which the seat opens: the lowest over the directions, 0 when the pull alone opens it.
    ///
    /// A ring closed at preload opens where the pressure first reaches 0, which is exact. A ring with
    /// open points opens where its area has first fallen to 90 % of that at preload, which is told within 2e-5
    /// of the moment; how stands at the head of `opening.rs`.
    pub fn opening_moment(&self, pre: &Preloaded, axial: Force) -> Result<Torque, ContactError> {
        self.opening_below(pre, axial, from_si(f64::INFINITY))?
            .ok_or(ContactError::NeverOpens)
    }

    /// The moment at which the seat opens, where that is no more than `limit`: whoever only wants to know
    /// whether it is less than something need not have the rest searched.
    pub fn opening_below(
        &self,
        pre: &Preloaded,
        axial: Force,
        limit: Torque,
    ) -> Result<Option<Torque>, ContactError> {
        let (n, limit) = (si(axial), si(limit));
        if !n.is_finite() {
            return Err(ContactError::Invalid("the outside load"));
        }
        let z = pre.state[0] - n / (self.ks + self.kt);
        let stiff = self.ki + self.tilting;
        let moment = match &self.panels {
            None => Some((z / self.outer * stiff).max(0.0)),
            Some(panels) if pre.closed() => Some(self.first_touch_lost(panels, pre, z, stiff)),
            Some(_) => self.area_lost(pre, n, limit)?,
        };
        Ok(moment.filter(|m| *m <= limit).map(from_si))
    }

    /// Opening of a closed ring with gaps (N·m). What stays closed is a convex set of moments, so a
    /// direction that is closed at the lowest moment so far needs no search; in the others the least
    /// quotient of deflection and its loss per moment is found from above (fractional programming).
    fn first_touch_lost(&self, panels: &Panels, pre: &Preloaded, z: f64, stiff: f64) -> f64 {
        let (tx, ty) = (pre.state[1] / self.outer, pre.state[2] / self.outer);
        let radii = (self.inner, self.outer);
        let deflection = |[c, s, g, r]: [f64; 4]| z - g + r * (tx * c + ty * s);
        if panels.extreme(-1.0, radii, (z, tx, ty)).0 >= 0.0 {
            return 0.0;
        }
        let mut lowest = f64::INFINITY;
        for j in 0..DIRECTIONS {
            let (ds, dc) = (TAU * j as f64 / DIRECTIONS as f64).sin_cos();
            let loss = |[c, s, _, r]: [f64; 4]| -r * (c * dc + s * ds) / stiff;
            if lowest.is_infinite() {
                // Any point on the far side gives an upper bound.
                for &[c, s, g] in &panels.node {
                    let at = [c, s, g, self.outer];
                    if loss(at) > 0.0 {
                        lowest = lowest.min(deflection(at) / loss(at));
                    }
                }
            }
            for _ in 0..50 {
                let tilt = lowest / stiff;
                let (_, at) = panels.extreme(-1.0, radii, (z, tx + tilt * dc, ty + tilt * ds));
                let quotient = deflection(at) / loss(at);
                if !(loss(at) > 0.0 && quotient < lowest * (1.0 - 1e-14)) {
                    break;
                }
                lowest = quotient.max(0.0);
            }
        }
        lowest
    }

    /// Change of the unknowns with a small moment (N·m) more.
    fn pace(&self, factor: Option<&Cholesky<f64, U3>>, x: f64, y: f64) -> [f64; 3] {
        let arm = Vector3::new(0.0, x / self.outer, y / self.outer);
        factor.map_or([0.0; 3], |factor| factor.solve(&arm).into())
    }
}

/// One of the directions (rad).
fn angle(j: usize) -> f64 {
    TAU * j as f64 / DIRECTIONS as f64
}

/// Raises the highest pressures (Pa) so far to those of a state.
fn raise(most: &mut [f64; 2], peaks: &Peaks) {
    for (most, peak) in most.iter_mut().zip([peaks.insert, peaks.frame]) {
        *most = most.max(peak.map_or(0.0, si));
    }
}

/// The cubic through two places (value, slope) at 0 and 1.
fn cubic([f, d]: [f64; 2], [g, e]: [f64; 2], t: f64) -> f64 {
    let rise = g - f;
    f + t * (d + t * (3.0 * rise - 2.0 * d - e + t * (d + e - 2.0 * rise)))
}

#[cfg(test)]
mod tests;
