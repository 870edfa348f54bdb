//! How force runs along fitting, thread, insert, glue and frame.
//!
//! Three bars along x, tied by springs: fitting and insert by the flanks of the thread over
//! n .. n + L_e, insert and frame by the glue over 0 .. L. N is tension, u moves with +x (inward).
//!
//! ```text
//! u1' = a1·N1                    N1' =  k_f·(u1 − u2)                  fitting
//! u2' = a2·N2                    N2' = −k_f·(u1 − u2) + k_g·(u2 − u3)  insert
//! u3' = a3·N3                    N3' = −k_g·(u2 − u3)                  frame
//! ```
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | `n`, `L_e`, `L` | neck before the thread, engaged thread, bond | m |
//! | `a1`, `a2`, `a3` | 1/(E·A) of fitting (its own over the neck), insert, frame | 1/N |
//! | `k_f` | flank springs per length, (pi·d2/P)/c_flank | N/m² |
//! | `k_g` | glue springs per length, 2·pi·r_b·(G/eta)·(1 − voids) | N/m² |
//! | `F`, `P_i`, `P_f` | pull on the fitting; push of the seat on insert and frame, all at x = 0 | N |
//! | `s` | insert's share of the seat | – |
//! | `tau_x` | shear in the glue that is there, positive where the glue holds the insert in | Pa |
//!
//! Source: engineering basis, section 7; threads after Yamamoto, glue after Volkersen.
//!
//! Method. The sum of the three forces is known at every section, whichever way the frame is held, and
//! so is each bar's force at its ends. What is left are the slips d1 = u1 − u2 and d2 = u2 − u3 with
//! d'' = H·K·d, H made of the a's and K = diag(k_f, k_g): closed exponentials where one spring acts,
//! two modes of a 2×2 matrix where both act. At most two joint forces are unknown, and slip must be
//! continuous there. No displacement of the whole body enters, so neither a very soft nor a very stiff
//! part costs digits. A rigid frame is a3 = 0. Three unit solutions (pull on the fitting, push on the
//! insert, push on the frame) are solved at once; any state is their sum.
//!
//! The insert beyond the last spring is free of force, so its own length does not enter.
//!
//! Validity: elastic, every bar straight and uniform, plane sections, thread fully in contact on its
//! loaded flanks. Left out: yielding of the first turns, friction along the flanks, bending, the run-in
//! of stress below the flange, shear across the walls.

use super::formula::formula;
use super::glue::{Grid, PART, STATIONS, mirrored};
use crate::units::*;

formula!("Stiffness of the glue in axial shear, per length";
source: "engineering basis, section 7"; limits: "thin layer, voids spread evenly";
fn glue_stiffness(r_b: Length, G: Pressure, eta: Length, voids: Ratio) -> Pressure {
    2.0 * PI * G * num(r_b / eta) * (1.0 - voids)
});

formula!("Shear-lag number of a bond: its length over the distance in which shear dies out";
source: "engineering basis, section 7, after Volkersen (recalled)"; limits: "insert and frame alone; k_g from the glue";
fn shear_lag(k_g: Pressure, EA_ins: Force, EA_fr: Force, L: Length) -> Ratio {
    root(num(k_g * L * L / EA_ins) + num(k_g * L * L / EA_fr))
});

formula! {
    "Net axial force through the glue";
    source: "equilibrium of fitting and insert";
    limits: "what the insert's part of the seat gives back goes off";
    fn net_force(F_t: Force, P_i: Force) -> Force {
        F_t - P_i
    }
}

formula! {
    "Peak shear of two members pushed and pulled at one end";
    source: "shear-lag after Volkersen, equal to the ladder for insert and frame alone (recalled)";
    limits: "no thread between; loads at the face";
    fn coth_peak(tau_mean: Pressure, bL: Ratio) -> Pressure {
        tau_mean * bL * coth(bL)
    }
}

formula!("Mean shear in the glue"; source: "engineering basis, sections 7 and 10"; limits: "voids spread evenly";
fn mean_shear(N_b: Force, r_b: Length, L: Length, voids: Ratio) -> Pressure {
    N_b / (2.0 * PI * r_b * L) / (1.0 - voids)
});

/// Where the frame is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FrameHold {
    /// At the bond's inner end, x = L.
    Inboard,
    /// At the face, x = 0.
    Outboard,
    /// All along: the frame does not move.
    FullLength,
}

/// Why no ladder can be formed.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum LadderError {
    /// No thread is engaged.
    #[error("no thread is engaged, so nothing ties the fitting to the insert")]
    NoEngagement,
    /// A size or stiffness that must be a positive, finite number is not.
    #[error("{0} must be a positive, finite number")]
    NotPositive(&'static str),
}

/// A positive, finite number, or the error that names what is not.
pub(super) fn positive(value: f64, what: &'static str) -> Result<f64, LadderError> {
    if value > 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(LadderError::NotPositive(what))
    }
}

/// The glue as springs need it.
#[derive(Debug, Clone, Copy)]
pub struct GlueLayer {
    /// Shear modulus of the adhesive, G.
    pub shear_modulus: Pressure,
    /// Thickness, eta.
    pub thickness: Length,
    /// Middle radius, r_b.
    pub mid_radius: Length,
    /// Share of the area without glue, 0 <= voids < 1.
    pub voids: Ratio,
    /// Length of the bond, L.
    pub length: Length,
}

impl GlueLayer {
    /// Checks that the layer can carry anything at all.
    pub(super) fn check(&self) -> Result<(), LadderError> {
        positive(si(self.shear_modulus), "shear modulus of the glue")?;
        positive(si(self.thickness), "thickness of the glue")?;
        positive(si(self.mid_radius), "middle radius of the glue")?;
        positive(si(self.length), "length of the bond")?;
        positive(1.0 - si(self.voids), "share of the bond that is glued")?;
        Ok(())
    }
}

/// What the axial ladder is made of.
#[derive(Debug, Clone, Copy)]
pub struct LadderParts {
    /// Length of the fitting before the thread, n (0 or more).
    pub neck: Length,
    /// Effective engagement, L_e.
    pub engagement: Length,
    /// Axial stiffness E·A of the fitting over the neck.
    pub fitting_neck: Force,
    /// Axial stiffness E·A of the fitting in the thread.
    pub fitting: Force,
    /// Axial stiffness E·A of the insert.
    pub insert: Force,
    /// Axial stiffness E·A of the frame (not used where it is held all along).
    pub frame: Force,
    /// Stiffness of the flanks per axial length ([`flank_stiffness`](super::flexibility::flank_stiffness)).
    pub flanks: Pressure,
    /// The glue.
    pub glue: GlueLayer,
    /// Where the frame is held.
    pub hold: FrameHold,
}

/// Forces at the face: a state of the ladder.
#[derive(Debug, Clone, Copy)]
pub struct FaceForces {
    /// Pull on the fitting, outward, F_t.
    pub fitting: Force,
    /// Push of the seat on the insert, inward, P_i.
    pub insert: Force,
    /// Push of the seat on the frame, inward, P_f.
    pub frame: Force,
}

impl FaceForces {
    /// A preload of which the share `s` of the seat stands on the insert.
    pub fn preload(force: Force, s: Ratio) -> Self {
        Self {
            fitting: force,
            insert: force * s,
            frame: force * (number(1.0) - s),
        }
    }
    fn si(&self) -> [f64; 3] {
        [si(self.fitting), si(self.insert), si(self.frame)]
    }
}

fn dot(a: &[f64; 3], b: &[f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// exp(−rate·distance), and 1 at no distance or less: there a part of a grid begins or ends where its decay does,
/// as most do, and no exponential is needed.
#[inline]
pub(super) fn fade(rate: f64, distance: f64) -> f64 {
    if distance > 0.0 {
        (-rate * distance).exp()
    } else {
        1.0
    }
}

/// A station that rounding put a hair off the bond counts as the bond's end.
#[inline]
pub(super) fn onto_bond(x: f64, bond: f64) -> f64 {
    let hair = 1e-12 * bond;
    if x < -hair || x > bond + hair {
        x
    } else {
        x.clamp(0.0, bond)
    }
}

/// One exponential mode over a span of length h, for the three unit solutions:
/// q(x) = left·exp(−λx) + right·exp(−λ(h − x)). Both terms decay, so nothing overflows.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Wave {
    pub(super) lambda: f64,
    /// exp(−λh).
    decay: f64,
    /// 1 − exp(−2λh).
    gap: f64,
    pub(super) left: [f64; 3],
    pub(super) right: [f64; 3],
    /// Slip of glue and of flanks per unit of q.
    pub(super) glue: f64,
    pub(super) flank: f64,
}

impl Wave {
    fn new(lambda: f64, h: f64, glue: f64, flank: f64) -> Self {
        Self {
            lambda,
            decay: (-lambda * h).exp(),
            gap: -(-2.0 * lambda * h).exp_m1(),
            glue,
            flank,
            ..Self::default()
        }
    }

    /// λ·coth(λh) and λ/sinh(λh).
    fn stiffness(&self) -> (f64, f64) {
        (
            self.lambda * (1.0 + self.decay * self.decay) / self.gap,
            2.0 * self.lambda * self.decay / self.gap,
        )
    }

    /// Amplitudes from the slopes at both ends.
    fn set_slopes(&mut self, u: usize, at_start: f64, at_end: f64) {
        let gap = self.lambda * self.gap;
        self.left[u] = (at_end * self.decay - at_start) / gap;
        self.right[u] = (at_end - at_start * self.decay) / gap;
    }

    /// Amplitudes from the slope at the start and the value at the end. Where a span is very short its
    /// two end forces are nearly equal and say little about the slip; the neighbour's value does.
    fn set_slope_value(&mut self, u: usize, slope_at_start: f64, value_at_end: f64) {
        let (e, slope) = (self.decay, slope_at_start / self.lambda);
        let scale = 1.0 / (1.0 + e * e);
        self.left[u] = (e * value_at_end - slope) * scale;
        self.right[u] = (value_at_end + e * slope) * scale;
    }

    /// Amplitudes from the value at the start and the slope at the end.
    fn set_value_slope(&mut self, u: usize, value_at_start: f64, slope_at_end: f64) {
        let (e, slope) = (self.decay, slope_at_end / self.lambda);
        let scale = 1.0 / (1.0 + e * e);
        self.left[u] = (value_at_start - e * slope) * scale;
        self.right[u] = (e * value_at_start + slope) * scale;
    }

    /// exp(−λs) and exp(−λ(h − s)).
    #[inline]
    fn decays(&self, s: f64, h: f64) -> (f64, f64) {
        let near = (-self.lambda * s).exp();
        // One exponential instead of two, as long as the quotient keeps its digits.
        let far = if self.decay > 1e-280 {
            self.decay / near
        } else {
            (-self.lambda * (h - s)).exp()
        };
        (near, far)
    }

    /// Integral of q over the span.
    fn integral(&self, u: usize, h: f64) -> f64 {
        (self.left[u] + self.right[u]) * -(-self.lambda * h).exp_m1() / self.lambda
    }
}

/// A stretch of the ladder in which the same springs act throughout.
#[derive(Debug, Clone, Copy, Default)]
struct Span {
    start: f64,
    /// Kept beside the length, since start + length need not round to it.
    stop: f64,
    length: f64,
    waves: [Wave; 2],
    count: usize,
    /// Force of the fitting towards which the exponentials decay, per unit solution.
    settled: [f64; 3],
    has_glue: bool,
    has_flanks: bool,
}

impl Span {
    fn single(start: f64, stop: f64, length: f64, lambda: f64, glue: bool) -> Self {
        let (g, f) = if glue { (1.0, 0.0) } else { (0.0, 1.0) };
        Self {
            start,
            stop,
            length,
            waves: [Wave::new(lambda, length, g, f), Wave::default()],
            count: 1,
            has_glue: glue,
            has_flanks: !glue,
            ..Self::default()
        }
    }
    fn holds(&self, x: f64) -> bool {
        self.length > 0.0 && x >= self.start && x <= self.stop
    }
    /// Sum over the modes of weight·q(x), for the three unit solutions.
    #[inline]
    fn slip(&self, x: f64, weight: impl Fn(&Wave) -> f64) -> [f64; 3] {
        let mut sum = [0.0; 3];
        for wave in &self.waves[..self.count] {
            let (near, far) = wave.decays(x - self.start, self.length);
            let (near, far) = (near * weight(wave), far * weight(wave));
            for (total, (l, r)) in sum.iter_mut().zip(wave.left.iter().zip(&wave.right)) {
                *total += l * near + r * far;
            }
        }
        sum
    }
    /// Sum over the modes of the integral of weight·q over the whole span.
    fn total(&self, u: usize, weight: impl Fn(&Wave) -> f64) -> f64 {
        self.waves[..self.count]
            .iter()
            .map(|w| weight(w) * w.integral(u, self.length))
            .sum()
    }
}

/// The solved ladder: three unit solutions, exact along x.
#[derive(Debug, Clone, Copy)]
pub struct Ladder {
    /// Neck side, thread (as far as it is glued), far side.
    spans: [Span; 3],
    neck: f64,
    engagement: f64,
    bond: f64,
    flanks: f64,
    glue_stiffness: f64,
    /// Shear stress per slip, G/eta.
    shear_per_slip: f64,
    /// u1 − u2 and u2 − u3 at the face.
    face: [[f64; 3]; 2],
    /// Force of the fitting that passes into the insert beyond the bond.
    beyond: [f64; 3],
}

/// Pull on the fitting alone, push on the insert alone, push on the frame alone.
const PULL: [f64; 3] = [1.0, 0.0, 0.0];

impl Ladder {
    /// Solves the three unit loads.
    ///
    /// # Errors
    /// [`LadderError::NoEngagement`] at L_e = 0; [`LadderError::NotPositive`] for any other size or
    /// stiffness that is no positive number (n may be 0).
    pub fn solve(parts: &LadderParts) -> Result<Self, LadderError> {
        parts.glue.check()?;
        let n = si(parts.neck);
        let le = si(parts.engagement);
        if le.is_nan() || le <= 0.0 {
            return Err(LadderError::NoEngagement);
        }
        positive(le, "engagement")?;
        if n != 0.0 {
            positive(n, "length of the neck")?;
        }
        let a_neck = 1.0 / positive(si(parts.fitting_neck), "axial stiffness of the neck")?;
        let a1 = 1.0 / positive(si(parts.fitting), "axial stiffness of the fitting")?;
        let a2 = 1.0 / positive(si(parts.insert), "axial stiffness of the insert")?;
        let a3 = match parts.hold {
            FrameHold::FullLength => 0.0,
            _ => 1.0 / positive(si(parts.frame), "axial stiffness of the frame")?,
        };
        let kf = positive(si(parts.flanks), "stiffness of the flanks")?;
        let glue = &parts.glue;
        let kg = si(glue_stiffness(
            glue.mid_radius,
            glue.shear_modulus,
            glue.thickness,
            glue.voids,
        ));
        let shear_per_slip = si(glue.shear_modulus) / si(glue.thickness);
        let lengths = (n, le, si(glue.length));
        let outboard = parts.hold == FrameHold::Outboard;
        Ok(solve_units(
            lengths,
            (a_neck, a1, a2, a3),
            (kf, kg),
            shear_per_slip,
            outboard,
        ))
    }

    /// Shear in the glue at `x` (m) per newton of each unit load (1/m²); 0 outside the bond.
    #[inline]
    pub fn unit_shear(&self, x: f64) -> [f64; 3] {
        let x = onto_bond(x, self.bond);
        match self.spans.iter().find(|s| s.has_glue && s.holds(x)) {
            Some(span) => span.slip(x, |w| w.glue).map(|d| -d * self.shear_per_slip),
            None => [0.0; 3],
        }
    }

    /// Fills `out` with [`Ladder::unit_shear`] at each station (m), as far as the shorter slice goes.
    pub fn sample(&self, stations: &[f64], out: &mut [[f64; 3]]) {
        for (x, shear) in stations.iter().zip(out) {
            *shear = self.unit_shear(*x);
        }
    }

    /// [`Ladder::unit_shear`] at the stations of a grid that has its breakpoints where the thread begins
    /// and ends: the exponentials are multiplied along each part instead of being taken anew.
    pub fn sample_grid(&self, grid: &Grid, out: &mut [[f64; STATIONS]; 3]) {
        for (g, part) in grid.parts().iter().enumerate() {
            let middle = 0.5 * (part.left + part.right);
            let Some(span) = self.spans.iter().find(|s| s.has_glue && s.holds(middle)) else {
                continue;
            };
            let first = grid.range(g).start;
            for wave in &span.waves[..span.count] {
                let decay = part.decay(wave.lambda);
                let mirror = mirrored(&decay);
                let off = |distance: f64| fade(wave.lambda, distance);
                let weight = -self.shear_per_slip * wave.glue;
                let near = weight * off(part.left - span.start);
                let far = weight * off(span.stop - part.right);
                for (u, out) in out.iter_mut().enumerate() {
                    let (l, r) = (wave.left[u] * near, wave.right[u] * far);
                    for k in 0..PART {
                        out[first + k] += l * decay[k] + r * mirror[k];
                    }
                }
            }
        }
    }

    /// Shear in the glue at `x`, tau_x; positive where the glue holds the insert against a pull outward.
    pub fn glue_shear(&self, x: Length, forces: &FaceForces) -> Pressure {
        from_si(dot(&self.unit_shear(si(x)), &forces.si()))
    }

    /// Load that passes from fitting to insert per axial length, at `x`; 0 outside the thread.
    pub fn thread_load(&self, x: Length, forces: &FaceForces) -> LineLoad {
        let slip = match self.spans.iter().find(|s| s.has_flanks && s.holds(si(x))) {
            Some(span) => span.slip(si(x), |w| w.flank),
            None => return from_si(0.0),
        };
        from_si(-self.flanks * dot(&slip, &forces.si()))
    }

    /// Tension in the fitting at `x`.
    pub fn fitting_force(&self, x: Length, forces: &FaceForces) -> Force {
        from_si(dot(&self.unit_fitting_force(si(x)), &forces.si()))
    }

    fn unit_fitting_force(&self, x: f64) -> [f64; 3] {
        if x <= self.neck {
            return PULL;
        }
        if x >= self.neck + self.engagement {
            return [0.0; 3];
        }
        let Some(span) = self.spans.iter().find(|s| s.has_flanks && s.holds(x)) else {
            return [0.0; 3];
        };
        // N1' = k_f·(u1 − u2), integrated mode by mode.
        let mut force = span.settled;
        for wave in &span.waves[..span.count] {
            let (near, far) = wave.decays(x - span.start, span.length);
            let scale = self.flanks * wave.flank / wave.lambda;
            for (u, f) in force.iter_mut().enumerate() {
                *f += scale * (wave.right[u] * far - wave.left[u] * near);
            }
        }
        force
    }

    /// Turns in engagement, the last of them perhaps only in part; never more than a million.
    pub fn turns(&self, pitch: Length) -> usize {
        // A whole number of turns must not gain one by rounding.
        ((self.engagement / si(pitch)) * (1.0 - 1e-12))
            .ceil()
            .clamp(1.0, 1e6) as usize
    }

    /// Load of turn `index`, counted from 0 at the loaded end; 0 past the last.
    pub fn turn_load(&self, index: usize, pitch: Length, forces: &FaceForces) -> Force {
        let end = self.neck + self.engagement;
        let at = |i: usize| self.unit_fitting_force((self.neck + i as f64 * si(pitch)).min(end));
        let (before, after, load) = (at(index), at(index + 1), forces.si());
        from_si(dot(&before, &load) - dot(&after, &load))
    }

    /// Share of the first turn in a preload of which `s` stands on the insert.
    pub fn first_turn_share(&self, pitch: Length, s: Ratio) -> Ratio {
        from_si(si(self.turn_load(
            0,
            pitch,
            &FaceForces::preload(from_si(1.0), s),
        )))
    }

    /// k_t: pull per movement of the fitting's end relative to the seat, of which `s` is on the insert.
    pub fn thread_stiffness(&self, s: Ratio) -> Stiffness {
        let s = si(s);
        let state = [1.0, s, 1.0 - s];
        let inward = dot(&self.face[0], &state) + (1.0 - s) * dot(&self.face[1], &state);
        from_si(-1.0 / inward)
    }

    /// Net axial force through the glue, N_b = F_t − P_i.
    pub fn bond_force(&self, forces: &FaceForces) -> Force {
        net_force(forces.fitting, forces.insert)
    }

    /// Mean of the axial shear over the glue that is there.
    pub fn mean_shear(&self, forces: &FaceForces) -> Pressure {
        from_si(
            si(self.bond_force(forces)) * self.shear_per_slip / (self.glue_stiffness * self.bond),
        )
    }

    /// How far the solution is from equilibrium: the glue's shear summed against N_b, and the thread's
    /// load against F_t, over the largest of the three forces.
    pub fn residual(&self, forces: &FaceForces) -> Ratio {
        let load = forces.si();
        let scale = load.iter().fold(f64::MIN_POSITIVE, |m, f| m.max(f.abs()));
        let (mut glue, mut thread) = (load[0] - load[1], load[0]);
        for span in &self.spans {
            for (u, f) in load.iter().enumerate() {
                glue += f * self.glue_stiffness * span.total(u, |w| w.glue);
                thread += f * self.flanks * span.total(u, |w| w.flank);
            }
        }
        from_si(glue.abs().max(thread.abs()) / scale)
    }

    /// How the thread's load is spread along x in a preload of which `s` stands on the insert.
    pub fn thread_spread(&self, s: Ratio) -> ThreadSpread {
        let state = [1.0, si(s), 1.0 - si(s)];
        let mut spread = ThreadSpread {
            start: self.neck,
            beyond: dot(&self.beyond, &state),
            ..ThreadSpread::default()
        };
        // Only where thread and glue overlap does the way along x matter to the glue.
        if let Some(span) = self.spans.iter().find(|s| s.has_flanks && s.has_glue) {
            spread.length = span.length;
            for (mode, wave) in spread.modes.iter_mut().zip(&span.waves) {
                let scale = -self.flanks * wave.flank;
                *mode = [
                    wave.lambda,
                    scale * dot(&wave.left, &state),
                    scale * dot(&wave.right, &state),
                ];
            }
        }
        spread
    }
}

/// A load spread along the thread, of total 1: what the torsion ladder takes in.
#[derive(Debug, Clone, Copy, Default)]
pub struct ThreadSpread {
    /// Where it starts (m).
    pub(super) start: f64,
    /// How far it is glued (m).
    pub(super) length: f64,
    /// λ, amplitude from the start, amplitude from the end (1/m each).
    pub(super) modes: [[f64; 3]; 2],
    /// Share that enters the insert beyond the bond.
    pub(super) beyond: f64,
}

impl ThreadSpread {
    /// An even spread over `length` from `start`, for a bond that ends at `bond`.
    pub fn even(start: Length, length: Length, bond: Length) -> Self {
        let (start, length) = (si(start), si(length));
        let glued = (si(bond) - start).clamp(0.0, length);
        let modes = [[0.0, 1.0 / length, 0.0], [0.0; 3]];
        Self {
            start,
            length: glued,
            modes,
            beyond: 1.0 - glued / length,
        }
    }

    /// Share that enters the insert beyond the bond's end.
    pub fn beyond(&self) -> Ratio {
        number(self.beyond)
    }
}

/// The three unit solutions. Lengths n, L_e, L in m; a = 1/(E·A) of neck, fitting, insert, frame in 1/N;
/// springs k_f, k_g in N/m².
fn solve_units(
    (n, le, bond): (f64, f64, f64),
    (a_neck, a1, a2, a3): (f64, f64, f64, f64),
    (kf, kg): (f64, f64),
    shear_per_slip: f64,
    outboard: bool,
) -> Ladder {
    let end = n + le;
    // Sum of all tensions; minus the frame's tension just inside the face, and at the bond's end.
    // Held at the face, the frame's reaction there makes the sum zero.
    let (sum, frame_face, frame_end) = match outboard {
        true => ([0.0; 3], [1.0, -1.0, 0.0], [0.0; 3]),
        false => ([1.0, -1.0, -1.0], [0.0, 0.0, 1.0], [-1.0, 1.0, 1.0]),
    };
    let pair = a2 + a3;
    let glue_lambda = (kg * pair).sqrt();
    let flank_lambda = (kf * (a1 + a2)).sqrt();
    // What the frame settles to (minus its tension) where glue alone acts and the fitting has `f`.
    let settled_glue = |u: usize, f: f64| -(sum[u] - f) * a2 / pair;

    let mut spans = [Span::default(); 3];
    let mut face = [[0.0; 3]; 2];
    let mut beyond = [0.0; 3];

    let overlap = bond - n;
    // Less than this of a common stretch changes no quoted digit and would be noise in its slip.
    if overlap <= 1e-9 * bond.min(le) {
        let mut glue = Span::single(0.0, bond, bond, glue_lambda, true);
        let mut thread = Span::single(n, end, le, flank_lambda, false);
        for u in 0..3 {
            let settled = settled_glue(u, PULL[u]);
            glue.waves[0].set_slopes(
                u,
                pair * (frame_face[u] - settled),
                pair * (frame_end[u] - settled),
            );
            thread.waves[0].set_slopes(u, (a1 + a2) * PULL[u], 0.0);
        }
        beyond = PULL;
        spans[0] = glue;
        spans[2] = thread;
    } else {
        let joint = end.min(bond);
        let h = joint - n;
        let (far_glue, far_flanks) = (end < bond, end > bond);

        // Modes of K^½·H·K^½, both eigenvalues without cancellation.
        let (p, q, c) = (kf * (a1 + a2), kg * pair, a2 * (kf * kg).sqrt());
        let split = (p - q).hypot(2.0 * c);
        let mu1 = (p + q + split) / 2.0;
        let mu2 = kf * kg * (a1 * a2 + a1 * a3 + a2 * a3) / mu1;
        let (vx, vy) = if p >= q {
            ((p - q + split) / 2.0, -c)
        } else {
            (-c, (q - p + split) / 2.0)
        };
        let size = vx.hypot(vy);
        let (vx, vy) = (vx / size, vy / size);
        let (root_f, root_g) = (1.0 / kf.sqrt(), 1.0 / kg.sqrt());
        let mut mid = Span {
            start: n,
            stop: joint,
            length: h,
            waves: [
                Wave::new(mu1.sqrt(), h, vy * root_g, vx * root_f),
                Wave::new(mu2.sqrt(), h, vx * root_g, -vy * root_f),
            ],
            count: 2,
            has_glue: true,
            has_flanks: true,
            ..Span::default()
        };
        // Slip at an end per joint force there (direct) and at the other end (cross); index 0 flanks, 1 glue.
        let (mut direct, mut cross) = ([[0.0; 2]; 2], [[0.0; 2]; 2]);
        for wave in &mid.waves {
            let (coth, csch) = wave.stiffness();
            let shape = [wave.flank, wave.glue];
            for i in 0..2 {
                for j in 0..2 {
                    direct[i][j] += coth * shape[i] * shape[j];
                    cross[i][j] += csch * shape[i] * shape[j];
                }
            }
        }
        let has_near = n > 0.0;
        let mut near = Span::single(0.0, n, n, glue_lambda, true);
        let (near_direct, near_cross) = match has_near {
            true => near.waves[0].stiffness(),
            false => (0.0, 0.0),
        };
        let (near_direct, near_cross) = (near_direct / kg, near_cross / kg);
        let far_length = if far_glue { bond - end } else { end - bond };
        let (far_lambda, far_k) = if far_glue {
            (glue_lambda, kg)
        } else {
            (flank_lambda, kf)
        };
        let mut far = Span::single(joint, end.max(bond), far_length, far_lambda, far_glue);
        let has_far = far_glue || far_flanks;
        let (far_direct, far_cross) = match has_far {
            true => far.waves[0].stiffness(),
            false => (0.0, 0.0),
        };
        let (far_direct, far_cross) = (far_direct / far_k, far_cross / far_k);
        // The force that is unknown at the joint: the frame's where glue goes on, else the fitting's.
        let (free, known) = if far_flanks { (0, 1) } else { (1, 0) };

        // Continuous slip at both ends of the common stretch.
        let (m00, m01, m11) = (
            near_direct + direct[1][1],
            -cross[1][free],
            far_direct + direct[free][free],
        );
        let bars = a1 * a2 + a1 * a3 + a2 * a3;
        for u in 0..3 {
            // Forces when all three bars stretch alike: fitting's, and minus the frame's.
            let alike = [sum[u] * a2 * a3 / bars, -sum[u] * a1 * a2 / bars];
            let near_settled = settled_glue(u, PULL[u]);
            let far_settled = if far_glue { settled_glue(u, 0.0) } else { 0.0 };
            let far_end = if far_glue { frame_end[u] } else { 0.0 };
            let at_joint = if far_flanks { frame_end[u] } else { 0.0 } - alike[known];
            let at_start = PULL[u] - alike[0];
            let r0 = near_direct * near_settled + near_cross * (frame_face[u] - near_settled)
                - direct[1][0] * at_start
                + direct[1][1] * alike[1]
                + cross[1][known] * at_joint
                - cross[1][free] * alike[free];
            let r1 = far_direct * far_settled + far_cross * (far_end - far_settled)
                - direct[free][known] * at_joint
                + direct[free][free] * alike[free]
                + cross[free][0] * at_start
                - cross[free][1] * alike[1];
            let (y0, y1) = match (has_near, has_far) {
                (true, true) => {
                    let det = m00 * m11 - m01 * m01;
                    ((r0 * m11 - m01 * r1) / det, (m00 * r1 - m01 * r0) / det)
                }
                (true, false) => (((r0 - m01 * frame_end[u]) / m00), frame_end[u]),
                (false, true) => (frame_face[u], (r1 - m01 * frame_face[u]) / m11),
                (false, false) => (frame_face[u], frame_end[u]),
            };
            let start = [at_start, y0 - alike[1]];
            let mut stop = [0.0; 2];
            stop[known] = at_joint;
            stop[free] = y1 - alike[free];
            mid.settled[u] = alike[0];
            for wave in &mut mid.waves {
                let mu = wave.lambda * wave.lambda;
                let slope = |m: &[f64; 2]| mu * (wave.flank * m[0] + wave.glue * m[1]);
                let (first, last) = (slope(&start), slope(&stop));
                wave.set_slopes(u, first, last);
            }
            if far_flanks {
                beyond[u] = y1;
            }
            if has_near {
                let slip: f64 = mid
                    .waves
                    .iter()
                    .map(|w| w.glue * (w.left[u] + w.right[u] * w.decay))
                    .sum();
                near.waves[0].set_slope_value(u, pair * (frame_face[u] - near_settled), slip);
            }
            if has_far {
                let weight = |w: &Wave| if far_glue { w.glue } else { w.flank };
                let slip: f64 = mid
                    .waves
                    .iter()
                    .map(|w| weight(w) * (w.left[u] * w.decay + w.right[u]))
                    .sum();
                let slope = if far_glue {
                    pair * (frame_end[u] - far_settled)
                } else {
                    0.0
                };
                far.waves[0].set_value_slope(u, slip, slope);
            }
        }
        spans = [near, mid, far];
        if !has_near {
            spans[0].has_glue = false;
        }
        if !has_far {
            spans[2].has_glue = false;
            spans[2].has_flanks = false;
        }
    }

    // Movement at the face: slip at the loaded turn, less what neck and insert stretch on the way to it.
    for u in 0..3 {
        let ends = |span: &Span, weight: fn(&Wave) -> f64| {
            let mut slip = [0.0; 2];
            for w in &span.waves[..span.count] {
                slip[0] += weight(w) * (w.left[u] + w.right[u] * w.decay);
                slip[1] += weight(w) * (w.left[u] * w.decay + w.right[u]);
            }
            slip
        };
        let loaded = if spans[1].has_flanks {
            &spans[1]
        } else {
            &spans[2]
        };
        let mut tip = ends(loaded, |w| w.flank)[0];
        let first = if spans[0].has_glue {
            &spans[0]
        } else {
            &spans[1]
        };
        let slip = ends(first, |w| w.glue);
        face[1][u] = slip[0];
        if n > 0.0 {
            let glued = first.length;
            let insert = (slip[1] - slip[0] + a3 * (sum[u] - PULL[u]) * glued) / pair;
            tip += a2 * (insert - PULL[u] * (n - glued).max(0.0)) - a_neck * PULL[u] * n;
        }
        face[0][u] = tip;
    }
    let (neck, engagement) = (n, le);
    Ladder {
        spans,
        neck,
        engagement,
        bond,
        flanks: kf,
        glue_stiffness: kg,
        shear_per_slip,
        face,
        beyond,
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::super::flexibility::flank_stiffness;
    use super::super::section::ring_area;
    use super::*;
    use nalgebra::{Matrix3, Vector3};
    use proptest::prelude::*;

    pub(in super::super) fn close(a: f64, b: f64, tol: f64) {
        assert!((a - b).abs() <= tol * b.abs(), "{a} against {b}");
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

    /// A sleeve of some 40 mm in a housing, one pitch of neck.
    pub(in super::super) fn spring_steel() -> LadderParts {
        LadderParts {
            neck: mm(1.0),
            engagement: mm(10.0),
            fitting_neck: newton(1.1e7),
            fitting: newton(1.3e7),
            insert: newton(2.0e7),
            frame: newton(2.1e7),
            flanks: megapascal(2.5e5),
            glue: glue(20.1, 24.0),
            hold: FrameHold::Inboard,
        }
    }

    /// Insert and frame of the standard tube of the bond fact file, section 1.3; the seat's push on the
    /// insert alone is then a bond loaded by itself.
    fn standard(hold: FrameHold) -> LadderParts {
        LadderParts {
            insert: megapascal(68_300.0) * ring_area(mm(40.0), mm(35.0)),
            frame: megapascal(50_000.0) * ring_area(mm(46.4), mm(40.4)),
            glue: glue(20.1, 40.0),
            hold,
            // Beyond the bond, so that the thread does not touch it.
            neck: mm(41.0),
            ..spring_steel()
        }
    }

    fn push_on_insert(force: f64) -> FaceForces {
        FaceForces {
            fitting: newton(0.0),
            insert: newton(-force),
            frame: newton(0.0),
        }
    }

    /// Bond fact file, section 1.3, marked derived and finite differences there.
    #[test]
    fn standard_case_end_to_end() {
        let ladder = Ladder::solve(&standard(FrameHold::Inboard)).unwrap();
        let load = push_on_insert(10_000.0);
        let at = |x: f64| si(ladder.glue_shear(mm(x), &load)) / 1e6;
        close(at(0.0), 9.961860, 1e-6);
        close(at(40.0), 9.798346, 1e-6);
        close(at(20.0), 0.134388, 5e-6);
        close(si(ladder.mean_shear(&load)) / 1e6, 1.979539, 1e-6);
        close(
            si(mean_shear(newton(1e4), mm(20.1), mm(40.0), number(0.0))) / 1e6,
            1.979539,
            1e-6,
        );
        close(at(0.0) / 1.979539, 5.032414, 1e-6);
    }

    /// Bond fact file, section 1.3, marked derived there: equal members.
    #[test]
    fn balanced_case() {
        let parts = LadderParts {
            insert: newton(1e7),
            frame: newton(1e7),
            glue: glue(20.0, 30.0),
            ..standard(FrameHold::Inboard)
        };
        let ladder = Ladder::solve(&parts).unwrap();
        let load = push_on_insert(10_000.0);
        for x in [0.0, 30.0] {
            close(si(ladder.glue_shear(mm(x), &load)) / 1e6, 14.10542, 1e-6);
        }
        let ratio = si(ladder.glue_shear(mm(0.0), &load) / ladder.mean_shear(&load));
        close(ratio, 5.317617, 1e-6);
    }

    /// Bond fact file, section 1.1, marked derived and finite differences there: unequal flat sheets,
    /// taken as a tube of the same stiffness and unit circumference.
    #[test]
    fn unequal_sheets() {
        let around = 1e-3 / (2.0 * std::f64::consts::PI);
        let mut parts = standard(FrameHold::Inboard);
        parts.insert = newton(140_000.0);
        parts.frame = newton(420_000.0);
        parts.glue.mid_radius = from_si(around);
        parts.glue.length = mm(20.0);
        let ladder = Ladder::solve(&parts).unwrap();
        let load = push_on_insert(200.0);
        close(si(ladder.glue_shear(mm(0.0), &load)) / 1e6, 33.02096, 1e-6);
        close(si(ladder.glue_shear(mm(20.0), &load)) / 1e6, 11.74747, 1e-6);
        close(si(ladder.glue_shear(mm(10.0), &load)) / 1e6, 4.986238, 1e-6);
    }

    #[test]
    fn push_pull_at_one_end_and_volkersen() {
        let parts = standard(FrameHold::Outboard);
        let k = glue_stiffness(mm(20.1), megapascal(1000.0), mm(0.2), number(0.0));
        let bl = si(shear_lag(k, parts.insert, parts.frame, mm(40.0)));
        let load = push_on_insert(1.0);
        let ladder = Ladder::solve(&parts).unwrap();
        close(
            si(ladder.glue_shear(mm(0.0), &load) / ladder.mean_shear(&load)),
            bl / bl.tanh(),
            1e-12,
        );

        let ladder = Ladder::solve(&standard(FrameHold::Inboard)).unwrap();
        let share = si(parts.frame) / (si(parts.insert) + si(parts.frame));
        for (x, share) in [(0.0, share), (40.0, 1.0 - share)] {
            let expected = bl * (share / bl.tanh() + (1.0 - share) / bl.sinh());
            close(
                si(ladder.glue_shear(mm(x), &load) / ladder.mean_shear(&load)),
                expected,
                1e-12,
            );
        }
    }

    /// Screw and nut alone: F(x)/F = sinh λ(L − x)/sinh λL, with this ladder's own flank springs. The
    /// printed shares are of the thread fact file, section 8, computed there from recalled constants
    /// (k_b = 2.934, k_n = 4.432).
    #[test]
    fn screw_and_nut_alone() {
        let (d, d2, p, le, outer, e) = (10.0, 9.0257, 1.5, 8.0, 16.0, 205e9);
        let flexibility: Flexibility = from_si((2.934 + 4.432) / e);
        let parts = LadderParts {
            neck: mm(0.0),
            engagement: mm(le),
            fitting: from_si(e * si(ring_area(mm(d2), mm(0.0)))),
            insert: from_si(e * si(ring_area(mm(outer), mm(d)))),
            flanks: flank_stiffness(mm(d2), mm(p), flexibility),
            // Next to no glue.
            glue: GlueLayer {
                shear_modulus: from_si(1e-3),
                ..glue(8.1, 8.0)
            },
            ..spring_steel()
        };
        let ladder = Ladder::solve(&parts).unwrap();
        let s = number(1.0);
        let state = FaceForces::preload(newton(1.0), s);
        let lambda = (si(parts.flanks) * (1.0 / si(parts.fitting) + 1.0 / si(parts.insert))).sqrt();
        let ll = lambda * le * 1e-3;
        for x in [0.0, 1.5, 4.0, 7.9] {
            let expected = (lambda * (le - x) * 1e-3).sinh() / ll.sinh();
            close(si(ladder.fitting_force(mm(x), &state)), expected, 1e-8);
        }
        close(
            si(ladder.thread_load(mm(0.0), &state)) * le * 1e-3,
            ll / ll.tanh(),
            1e-9,
        );
        close(lambda / 1e3, 0.2471, 5e-4);
        let printed = [32.5, 23.1, 16.9, 13.1, 11.0];
        for (i, share) in printed.iter().enumerate().take(4) {
            assert!((100.0 * si(ladder.turn_load(i, mm(p), &state)) - share).abs() < 0.06);
        }
        let rest = si(ladder.turn_load(4, mm(p), &state)) + si(ladder.turn_load(5, mm(p), &state));
        assert_eq!(ladder.turns(mm(p)), 6);
        assert!((100.0 * rest - (100.0 - 32.5 - 23.1 - 16.9 - 13.1)).abs() < 0.2);
        assert_eq!(si(ladder.turn_load(6, mm(p), &state)), 0.0);
        close(
            si(ladder.first_turn_share(mm(p), s)),
            si(ladder.turn_load(0, mm(p), &state)),
            1e-15,
        );
    }

    /// Displacements of three chained bars by two-node elements: E·A per bar and springs per cell, loads
    /// on nodes; a bar without stiffness in a cell is not there. Nothing in common with the exact route.
    pub(in super::super) fn chain(
        xs: &[f64],
        bars: impl Fn(f64) -> [f64; 3],
        springs: impl Fn(f64) -> (f64, f64),
        force: &[[f64; 3]],
        hold: FrameHold,
    ) -> Vec<[f64; 3]> {
        let count = xs.len();
        let mut diagonal = vec![Matrix3::zeros(); count];
        let mut upper = vec![Matrix3::zeros(); count];
        let mut load: Vec<Vector3<f64>> = force
            .iter()
            .map(|f| Vector3::new(f[0], f[1], f[2]))
            .collect();
        let mut frame_nodes = vec![false; count];
        for i in 0..count - 1 {
            let h = xs[i + 1] - xs[i];
            let middle = (xs[i] + xs[i + 1]) / 2.0;
            let ea = Matrix3::from_diagonal(&Vector3::from(bars(middle))) / h;
            let (kf, kg) = springs(middle);
            let k = Matrix3::new(kf, -kf, 0.0, -kf, kf + kg, -kg, 0.0, -kg, kg) * h / 6.0;
            diagonal[i] += ea + k * 2.0;
            diagonal[i + 1] += ea + k * 2.0;
            upper[i] += k - ea;
            if bars(middle)[2] > 0.0 {
                frame_nodes[i] = true;
                frame_nodes[i + 1] = true;
            }
        }
        let last = frame_nodes.iter().rposition(|f| *f).unwrap();
        for i in 0..count {
            let held = match hold {
                FrameHold::Inboard => i == last,
                FrameHold::Outboard => i == 0,
                FrameHold::FullLength => true,
            };
            for q in 0..3 {
                if diagonal[i][(q, q)] == 0.0 || (q == 2 && held) {
                    diagonal[i].row_mut(q).fill(0.0);
                    diagonal[i].column_mut(q).fill(0.0);
                    diagonal[i][(q, q)] = 1.0;
                    upper[i].row_mut(q).fill(0.0);
                    if i > 0 {
                        upper[i - 1].column_mut(q).fill(0.0);
                    }
                    load[i][q] = 0.0;
                }
            }
        }
        for i in 1..count {
            let factor = upper[i - 1].transpose() * diagonal[i - 1].try_inverse().unwrap();
            let (u, f) = (upper[i - 1], load[i - 1]);
            diagonal[i] -= factor * u;
            load[i] -= factor * f;
        }
        let mut moved = vec![Vector3::zeros(); count];
        for i in (0..count).rev() {
            let rest = if i + 1 < count {
                upper[i] * moved[i + 1]
            } else {
                Vector3::zeros()
            };
            moved[i] = diagonal[i].try_inverse().unwrap() * (load[i] - rest);
        }
        moved.iter().map(|m| [m[0], m[1], m[2]]).collect()
    }

    /// Geometries that try every order of the ends, each with a share of the seat.
    pub(in super::super) fn awkward() -> Vec<(LadderParts, f64)> {
        let base = spring_steel();
        let mut all = Vec::new();
        for hold in [
            FrameHold::Inboard,
            FrameHold::Outboard,
            FrameHold::FullLength,
        ] {
            // Thread inside the bond; no neck; thread past the bond; bond shorter than the neck; thread
            // to the bond's very end, soft frame; a tenth of a turn in thick soft glue, stiff frame.
            all.push((LadderParts { hold, ..base }, 0.4));
            all.push((
                LadderParts {
                    hold,
                    neck: mm(0.0),
                    ..base
                },
                0.0,
            ));
            let mut past = LadderParts {
                hold,
                neck: mm(3.0),
                engagement: mm(15.0),
                ..base
            };
            past.glue.length = mm(9.0);
            past.glue.voids = number(0.2);
            all.push((past, 1.0));
            let mut short = LadderParts {
                hold,
                neck: mm(6.0),
                ..base
            };
            short.glue.length = mm(4.0);
            all.push((short, 0.4));
            let mut flush = LadderParts {
                hold,
                neck: mm(0.0),
                engagement: mm(12.0),
                frame: newton(2e6),
                ..base
            };
            flush.glue.length = mm(12.0);
            all.push((flush, 1.0));
            let mut bit = LadderParts {
                hold,
                neck: mm(2.0),
                engagement: mm(0.1),
                frame: newton(2e9),
                ..base
            };
            bit.glue.thickness = mm(2.0);
            all.push((bit, 0.4));
        }
        all
    }

    /// Slip of the glue at the nodes, force in the fitting at mid-thread, movement at the face; by elements.
    fn by_elements(
        parts: &LadderParts,
        s: f64,
        load: [f64; 3],
        cells: usize,
    ) -> (Vec<(f64, f64)>, f64) {
        let (n, bond) = (si(parts.neck), si(parts.glue.length));
        let end = n + si(parts.engagement);
        let mut breaks = vec![0.0, n, end, bond];
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
        let glue = &parts.glue;
        let kg = si(glue_stiffness(
            glue.mid_radius,
            glue.shear_modulus,
            glue.thickness,
            glue.voids,
        ));
        let bars = |x: f64| {
            [
                if x < n {
                    si(parts.fitting_neck)
                } else if x < end {
                    si(parts.fitting)
                } else {
                    0.0
                },
                si(parts.insert),
                if x < bond { si(parts.frame) } else { 0.0 },
            ]
        };
        let springs = |x: f64| {
            (
                if x > n && x < end {
                    si(parts.flanks)
                } else {
                    0.0
                },
                if x < bond { kg } else { 0.0 },
            )
        };
        let mut force = vec![[0.0; 3]; xs.len()];
        force[0] = [-load[0], load[1], load[2]];
        let moved = chain(&xs, bars, springs, &force, parts.hold);
        let per_slip = si(glue.shear_modulus) / si(glue.thickness);
        let shear = xs
            .iter()
            .zip(&moved)
            .filter(|(x, _)| **x <= bond)
            .map(|(x, m)| (*x, (m[2] - m[1]) * per_slip));
        (
            shear.collect(),
            s * moved[0][1] + (1.0 - s) * moved[0][2] - moved[0][0],
        )
    }

    #[test]
    fn independent_route() {
        let mut worst = 0.0f64;
        for (case, (parts, s)) in awkward().into_iter().enumerate() {
            let ladder = Ladder::solve(&parts).unwrap();
            let state = FaceForces::preload(newton(1.0), number(s));
            for load in [
                [1.0, 0.0, 0.0],
                [0.0, 1.0, 0.0],
                [0.0, 0.0, 1.0],
                state.si(),
            ] {
                let (coarse, tip) = by_elements(&parts, s, load, 400);
                let (fine, tip_fine) = by_elements(&parts, s, load, 800);
                let peak = coarse
                    .iter()
                    .fold(0.0f64, |m, p| m.max(p.1.abs()))
                    .max(1e-3);
                for (i, (x, tau)) in coarse.iter().enumerate() {
                    let better = (4.0 * fine[2 * i].1 - tau) / 3.0;
                    let exact = dot(&ladder.unit_shear(*x), &load);
                    let off = (exact - better).abs() / peak;
                    worst = worst.max(off);
                    assert!(
                        off < 1e-7,
                        "case {case} {load:?} at {x}: {exact} against {better}, peak {peak}"
                    );
                }
                if load == state.si() {
                    close(
                        si(ladder.thread_stiffness(number(s))),
                        3.0 / (4.0 * tip_fine - tip),
                        1e-7,
                    );
                }
            }
        }
        println!("worst difference of shear {worst:.1e} of its peak");
    }

    /// Walls so soft that shear dies out within a thousandth of the bond.
    #[test]
    fn nothing_overflows() {
        for hold in [
            FrameHold::Inboard,
            FrameHold::Outboard,
            FrameHold::FullLength,
        ] {
            let soft = newton(200.0);
            let parts = LadderParts {
                hold,
                insert: soft,
                frame: soft,
                fitting: soft,
                ..spring_steel()
            };
            let ladder = Ladder::solve(&parts).unwrap();
            let state = FaceForces::preload(newton(1.0), number(0.4));
            assert!(si(ladder.residual(&state)) < 1e-12);
            assert!(si(ladder.thread_stiffness(number(0.4))) > 0.0);
            for i in 0..=1000 {
                let x = parts.glue.length * (f64::from(i) / 1000.0);
                assert!(si(ladder.glue_shear(x, &state)).is_finite());
                assert!(si(ladder.thread_load(x, &state)).is_finite());
            }
        }
    }

    #[test]
    fn no_thread_no_ladder() {
        let none = LadderParts {
            engagement: mm(0.0),
            ..spring_steel()
        };
        assert_eq!(Ladder::solve(&none).unwrap_err(), LadderError::NoEngagement);
        let mut bad = spring_steel();
        bad.glue.thickness = mm(0.0);
        assert_eq!(
            Ladder::solve(&bad).unwrap_err(),
            LadderError::NotPositive("thickness of the glue")
        );
        let bad = LadderParts {
            neck: mm(-1.0),
            ..spring_steel()
        };
        assert_eq!(
            Ladder::solve(&bad).unwrap_err(),
            LadderError::NotPositive("length of the neck")
        );
    }

    /// A bond that ends a hair before or after the thread's end, or its start, changes nothing.
    #[test]
    fn ends_that_nearly_meet() {
        for edge in [1.0, 11.0] {
            let at = |shift: f64, x: f64| {
                let mut parts = spring_steel();
                parts.glue.length = mm(edge + shift);
                let ladder = Ladder::solve(&parts).unwrap();
                let state = FaceForces::preload(newton(1000.0), number(0.4));
                assert!(si(ladder.residual(&state)) < 1e-9);
                (
                    si(ladder.glue_shear(mm(x * edge), &state)),
                    si(ladder.thread_stiffness(number(0.4))),
                )
            };
            for x in [0.0, 0.5, 0.999] {
                let (tau, k) = at(0.0, x);
                for shift in [-1e-6, -1e-9, -1e-12, -1e-15, 1e-15, 1e-12, 1e-9, 1e-6] {
                    let (tau_shifted, k_shifted) = at(shift, x);
                    close(tau_shifted, tau, 1e-5);
                    close(k_shifted, k, 1e-6);
                    if f64::abs(shift) < 1e-8 {
                        close(tau_shifted, tau, 1e-7);
                        close(k_shifted, k, 1e-8);
                    }
                }
            }
        }
    }

    fn any_parts() -> impl Strategy<Value = LadderParts> {
        (
            (
                prop_oneof![Just(0.0), 0.0f64..12.0],
                prop_oneof![0.02f64..0.5, 0.5f64..25.0],
                0.5f64..45.0,
            ),
            (-3.0f64..3.0, -1.5f64..1.5, -1.5f64..1.5),
            (-2.0f64..0.7, 0.0f64..0.6, 4.0f64..6.5, 0usize..3),
        )
            .prop_map(
                |((n, le, bond), (frame, fitting, insert), (eta, voids, flanks, hold))| {
                    LadderParts {
                        neck: mm(n),
                        engagement: mm(le),
                        fitting_neck: newton(1e7 * 10f64.powf(fitting) * 0.8),
                        fitting: newton(1e7 * 10f64.powf(fitting)),
                        insert: newton(1e7 * 10f64.powf(insert)),
                        frame: newton(1e7 * 10f64.powf(insert + frame)),
                        flanks: megapascal(10f64.powf(flanks)),
                        glue: GlueLayer {
                            thickness: mm(10f64.powf(eta)),
                            voids: number(voids),
                            ..glue(20.0, bond)
                        },
                        hold: [
                            FrameHold::Inboard,
                            FrameHold::Outboard,
                            FrameHold::FullLength,
                        ][hold],
                    }
                },
            )
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(2000))]

        #[test]
        fn in_equilibrium(parts in any_parts(), s in 0.0f64..=1.0, extra in -1.0f64..1.0) {
            let ladder = Ladder::solve(&parts).unwrap();
            let preload = FaceForces::preload(newton(1e4), number(s));
            let loaded = FaceForces { fitting: newton(1e4 * (1.0 + extra)), ..preload };
            for state in [preload, loaded] {
                prop_assert!(si(ladder.residual(&state)) < 1e-9, "residual {:e}", si(ladder.residual(&state)));
            }
            // The turns add up to the pull.
            let pitch = mm(1.0);
            let sum: f64 = (0..ladder.turns(pitch)).map(|i| si(ladder.turn_load(i, pitch, &loaded))).sum();
            prop_assert!((sum - si(loaded.fitting)).abs() < 1e-9 * 1e4);
            // Slip is continuous and the fitting's force joins what its ends prescribe.
            for x in [si(parts.neck), si(parts.neck) + si(parts.engagement), si(parts.glue.length)] {
                for f in [Ladder::unit_fitting_force, Ladder::unit_shear] {
                    let (a, b) = (f(&ladder, x * (1.0 - 1e-13)), f(&ladder, x));
                    let scale = f(&ladder, 0.0).iter().chain(&b).fold(0.0f64, |m, v| m.max(v.abs()));
                    if x < si(parts.glue.length) {
                        for u in 0..3 {
                            prop_assert!((a[u] - b[u]).abs() <= 1e-7 * scale, "{a:?} {b:?}");
                        }
                    }
                }
            }
        }

        /// The work of any preload is positive, and neck and flanks alone bound the stiffness.
        #[test]
        fn work_is_positive(parts in any_parts(), s in 0.0f64..=1.0) {
            let ladder = Ladder::solve(&parts).unwrap();
            let k = si(ladder.thread_stiffness(number(s)));
            prop_assert!(k > 0.0 && k.is_finite());
            // Neck and flanks in a row, all else rigid, are the stiffest that can be.
            let series = si(parts.neck) / si(parts.fitting_neck) + 1.0 / (si(parts.flanks) * si(parts.engagement));
            prop_assert!(k <= (1.0 + 1e-9) / series);
        }

        /// Lengths times 3, forces times 9: the same stresses.
        #[test]
        fn scale_free(parts in any_parts(), s in 0.0f64..=1.0) {
            let mut big = parts;
            for length in [&mut big.neck, &mut big.engagement, &mut big.glue.length, &mut big.glue.thickness, &mut big.glue.mid_radius] {
                *length *= 3.0;
            }
            for stiffness in [&mut big.fitting_neck, &mut big.fitting, &mut big.insert, &mut big.frame] {
                *stiffness *= 9.0;
            }
            let (one, three) = (Ladder::solve(&parts).unwrap(), Ladder::solve(&big).unwrap());
            let (a, b) = (FaceForces::preload(newton(1.0), number(s)), FaceForces::preload(newton(9.0), number(s)));
            let peak = (0..=20).map(|i| si(one.glue_shear(parts.glue.length * (i as f64 / 20.0), &a)).abs()).fold(0.0, f64::max);
            for i in 0..=10 {
                let x = parts.glue.length * (i as f64 / 10.0);
                let (x_one, x_three) = (si(one.glue_shear(x, &a)), si(three.glue_shear(x * 3.0, &b)));
                prop_assert!((x_one - x_three).abs() <= 1e-8 * peak + 1e-9, "{x_one} {x_three} {peak}");
            }
            let (k, k3) = (si(one.thread_stiffness(number(s))), si(three.thread_stiffness(number(s))));
            prop_assert!((3.0 * k - k3).abs() < 1e-9 * k3);
        }
    }

    /// Not a test: how long a solution and its sampling take. `cargo test --release ladder -- --ignored --nocapture`.
    #[test]
    #[ignore]
    fn timing() {
        use std::hint::black_box;
        use std::time::Instant;
        let parts = spring_steel();
        let rounds = 1_000_000;
        let clock = Instant::now();
        for _ in 0..rounds {
            black_box(Ladder::solve(black_box(&parts)).unwrap());
        }
        println!(
            "axial, three unit solutions: {:.0} ns",
            clock.elapsed().as_secs_f64() * 1e9 / rounds as f64
        );
        let ladder = Ladder::solve(&parts).unwrap();
        let stations: Vec<f64> = (0..100).map(|i| 0.024 * i as f64 / 99.0).collect();
        let mut out = vec![[0.0; 3]; 100];
        let clock = Instant::now();
        for _ in 0..10_000 {
            ladder.sample(black_box(&stations), &mut out);
            black_box(&out);
        }
        println!(
            "axial, per station: {:.1} ns",
            clock.elapsed().as_secs_f64() * 1e3
        );
        use super::super::section::ring_polar;
        use super::super::torsion::{Torsion, TorsionParts};
        let torsion = TorsionParts {
            insert_modulus: megapascal(26e3),
            insert_section: ring_polar(mm(40.0), mm(35.0)),
            frame_modulus: megapascal(19e3),
            frame_section: ring_polar(mm(46.0), mm(40.4)),
            glue: parts.glue,
            hold: parts.hold,
        };
        let clock = Instant::now();
        for _ in 0..rounds {
            let spread = ladder.thread_spread(black_box(number(0.4)));
            black_box(Torsion::solve(black_box(&torsion), &spread).unwrap());
        }
        println!(
            "torsion, three unit solutions: {:.0} ns",
            clock.elapsed().as_secs_f64() * 1e9 / rounds as f64
        );
        let solved = Torsion::solve(&torsion, &ladder.thread_spread(number(0.4))).unwrap();
        let clock = Instant::now();
        for _ in 0..10_000 {
            solved.sample(black_box(&stations), &mut out);
            black_box(&out);
        }
        println!(
            "torsion, per station: {:.1} ns",
            clock.elapsed().as_secs_f64() * 1e3
        );
    }

    /// Short overlap: the shear is even. Long overlap: it is the root of glue over wall, whatever the length.
    #[test]
    fn the_peak_of_push_and_pull_at_both_ends_of_its_range() {
        let peak = |bl: f64| si(coth_peak(megapascal(1.0), number(bl))) / 1e6;
        close(peak(1e-4), 1.0, 1e-8);
        close(peak(20.0), 20.0, 1e-12);
        // By hand: (e² + e⁻²)/(e² − e⁻²) for bL = 2.
        close(
            peak(2.0),
            2.0 * (2f64.exp() + (-2f64).exp()) / (2f64.exp() - (-2f64).exp()),
            1e-12,
        );
    }

    /// Grids with their breakpoints where thread and bond end, graded hard and not at all; and over the thread alone,
    /// in two parts.
    pub(in super::super) fn grids(parts: &LadderParts) -> Vec<Grid> {
        let bond = si(parts.glue.length);
        let start = si(parts.neck).min(bond);
        let end = si(parts.neck + parts.engagement).min(bond);
        let whole = [0.0, start, end, bond];
        let thread = [start, 0.4 * start + 0.6 * end, end];
        [(&whole[..], 1e-4), (&whole[..], 1.0), (&thread[..], 2e-3)]
            .map(|(breaks, layer)| Grid::new(breaks, layer))
            .to_vec()
    }

    /// A grid's fields against those of single places, three unit loads each.
    pub(in super::super) fn held_against_single(
        grid: &Grid,
        all: &[[f64; STATIONS]; 3],
        single: impl Fn(f64) -> [f64; 3],
    ) {
        let single: Vec<_> = grid.x().iter().map(|x| single(*x)).collect();
        for (u, field) in all.iter().enumerate() {
            let peak = single.iter().fold(0.0f64, |m, s| m.max(s[u].abs()));
            for (got, single) in field.iter().zip(&single) {
                assert!(
                    (got - single[u]).abs() <= 1e-9 * peak,
                    "{got} not {single:?}"
                );
            }
        }
    }

    #[test]
    fn the_grid_holds_what_single_places_do() {
        for (parts, _) in awkward() {
            let ladder = Ladder::solve(&parts).unwrap();
            for grid in grids(&parts) {
                let mut all = [[0.0; STATIONS]; 3];
                ladder.sample_grid(&grid, &mut all);
                held_against_single(&grid, &all, |x| ladder.unit_shear(x));
            }
        }
    }
}
