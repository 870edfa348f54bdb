//! The glue's strength: how much of it a state of stress uses, and where that is worst.
//!
//! At one point of the bond, `φ` counted from the plane of tilting:
//!
//! ```text
//! U² = (max(σ_n, 0)/σ_a)² + (τ_x² + τ_φ²)/τ²
//! σ_n = σ_th + |k_n·w·cos φ|
//! τ_x = |axial| + |thermal| + |k_s·r_b·ψ·cos φ|      τ_φ = |torsion| + |k_s·w·sin φ|
//! ```
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | `σ_th` | thermal stress across the glue, tension positive | Pa |
//! | `σ_a`, `τ` | strengths across and along the glue in the state judged | Pa |
//! | `tau_p`, `G` | shear plateau and shear modulus of the adhesive | Pa |
//! | `gamma_e`, `gamma_p` | elastic and plastic shear strain, gamma_e = tau_p/G | - |
//! | `r_b`, `eta`, `L` | mid radius, thickness and length of the glue | m |
//! | `N_b`, `T_b` | net axial force and torque through the glue | N, N·m |
//!
//! Over `φ` the maximum of U² is the single root of `Y·cos φ − X·sin φ − K·sin φ·cos φ` while tension
//! (or none) acts all round; where thermal compression closes part of the ring the quarter is split at
//! the place where `σ_n` passes zero. Over `x` the fields are looked at once on a fixed grid graded
//! towards the breakpoints; a cheap upper bound at each station decides which stations are worth an
//! exact look, and only the summits that could still win are refined with exact fields.
//!
//! Endurance adds two uses at the same point: static part plus half of the pulsating part (added with
//! their signs) against the static strengths, and half of the pulsating part against the endurance
//! strengths.
//!
//! Source: engineering basis, section 10; ductility and capacities by energy after Hart-Smith
//! (NASA CR-112236), a published method, recalled and not looked up.
//!
//! Validity: elastic stresses against strengths raised by the adhesive's ductility; quadratic mixing of
//! tension and shear; compression across the glue neither hurts nor helps; no fillets, no creep law.

// A formula names each of its symbols as an argument, however many it has.
#![allow(clippy::too_many_arguments)]

use super::formula::formula;
use crate::units::*;

formula! {
    "Shear strength that an elastic peak may reach in a ductile adhesive";
    source: "engineering basis, section 10; equal strain energy after Hart-Smith, NASA CR-112236, recalled";
    limits: "rare loads only; f multiplies strengths, not ductility";
    fn effective_shear_strength(f: Ratio, tau_p: Pressure, gamma_p: Ratio, G: Pressure) -> Pressure {
        let gamma_e = num(tau_p / G);
        f * tau_p * root(1.0 + 2.0 * gamma_p / gamma_e)
    }
}

formula! {
    "Factor on the glue's strengths in a state";
    source: "engineering basis, section 10";
    limits: "each factor 1 where it does not apply";
    fn knock_down(preparation: Ratio, ageing: Ratio, warmth: Ratio) -> Ratio {
        preparation * ageing * warmth
    }
}

formula! {
    "Strength under its factors";
    source: "engineering basis, section 10; the share is that of the state: repeated or lasting load, else 1";
    limits: "first yield";
    fn cut_strength(f: Ratio, strength: Pressure, share: Ratio) -> Pressure {
        f * strength * share
    }
}

formula! {
    "Stress across the glue at a point";
    source: "engineering basis, section 10";
    limits: "φ from the plane of tilting; thermal tension and the peel of rocking add";
    fn across(sigma_th: Pressure, peel: Pressure, phi: Angle) -> Pressure {
        sigma_th + peel * cos(phi)
    }
}

formula! {
    "Shear along the axis at a point";
    source: "engineering basis, section 10";
    limits: "magnitudes; φ from the plane of tilting";
    fn shear_along(axial: Pressure, thermal: Pressure, rocking: Pressure, phi: Angle) -> Pressure {
        axial + thermal + rocking * cos(phi)
    }
}

formula! {
    "Shear around the axis at a point";
    source: "engineering basis, section 10";
    limits: "magnitudes; φ from the plane of tilting";
    fn shear_around(torsion: Pressure, rocking: Pressure, phi: Angle) -> Pressure {
        torsion + rocking * sin(phi)
    }
}

formula! {
    "Use of the glue at a point, U";
    source: "engineering basis, section 10; quadratic mixing of tension and shear";
    limits: "compression across the glue neither hurts nor helps";
    fn point_use(sigma_n: Pressure, sigma_a: Pressure, tau_x: Pressure, tau_phi: Pressure, tau: Pressure) -> Ratio {
        let n = num(max(sigma_n, 0.0 * sigma_n) / sigma_a);
        let x = num(tau_x / tau);
        let y = num(tau_phi / tau);
        root(n * n + x * x + y * y)
    }
}

formula! {
    "Demand on the glue: the greater of the use at its worst point and by the mean";
    source: "engineering basis, section 10";
    limits: "capacity is 1";
    fn greater_use(U: Ratio, U_m: Ratio) -> Ratio {
        max(U, U_m)
    }
}

formula! {
    "Demand on the glue under repeated load: both uses at one point";
    source: "engineering basis, section 10: static part with half of the pulsating part, and half of the pulsating part against the endurance strengths";
    limits: "capacity is 1; the mean does not enter";
    fn repeated_use(U_once: Ratio, U_often: Ratio) -> Ratio {
        U_once + U_often
    }
}

formula! {
    "Use of the glue by the mean shear of force and torque";
    source: "engineering basis, section 10; fully plastic glue";
    limits: "axial force and torque only";
    fn mean_use(N_b: Force, T_b: Torque, r_b: Length, A: Area, tau_p: Pressure, f: Ratio) -> Ratio {
        let F = A * tau_p * f;
        let n = num(N_b / F);
        let t = num(T_b / (r_b * F));
        root(n * n + t * t)
    }
}

formula! {
    "Axial capacity of the glue by energy, both parts loaded at the face";
    source: "engineering basis, section 10; after Hart-Smith, NASA CR-112236, recalled";
    limits: "long overlap or fully plastic, whichever is less; load passing through is never lower";
    fn axial_capacity(
        r_b: Length, eta: Length, L: Length, voids: Ratio, tau_p: Pressure, gamma_e: Ratio, gamma_p: Ratio,
        EA_1: Force, EA_2: Force,
    ) -> Force {
        let A = 2.0 * PI * r_b * L * (1.0 - voids);
        let W = 2.0 * PI * r_b * (1.0 - voids) * eta * tau_p * (gamma_e / 2.0 + gamma_p);
        let S = 1.0 / (1.0 / EA_1 + 1.0 / EA_2);
        min(A * tau_p, S * root(num(2.0 * W / S)))
    }
}

formula! {
    "Torque capacity of the glue by energy, both parts loaded at the face";
    source: "engineering basis, section 10; after Hart-Smith, NASA CR-112236, recalled";
    limits: "long overlap or fully plastic, whichever is less; load passing through is never lower";
    fn torque_capacity(
        r_b: Length, eta: Length, L: Length, voids: Ratio, tau_p: Pressure, gamma_e: Ratio, gamma_p: Ratio,
        G_1: Pressure, J_1: SecondMoment, G_2: Pressure, J_2: SecondMoment,
    ) -> Torque {
        let A = 2.0 * PI * r_b * L * (1.0 - voids);
        let W = 2.0 * PI * r_b * (1.0 - voids) * eta * tau_p * (gamma_e / 2.0 + gamma_p);
        let S = 1.0 / (1.0 / (G_1 * J_1) + 1.0 / (G_2 * J_2)) / (r_b * r_b);
        min(r_b * A * tau_p, r_b * S * root(num(2.0 * W / S)))
    }
}

formula! {
    "What warmth leaves of the strength";
    source: "engineering basis, section 10; straight line from 20 degrees Celsius to the hot temperature";
    limits: "not above the hot temperature; 1 at and below 20 degrees Celsius";
    fn temperature_line(share_of_way: Ratio, hot_factor: Ratio) -> Ratio {
        1.0 - max(share_of_way, 0.0) * (1.0 - hot_factor)
    }
}

formula! {
    "Shear stiffness of the frame's ring over that of the insert's";
    source: "engineering basis, section 8";
    limits: "round rings; kappa·G·A of each";
    fn wall_stiffness_ratio(kGA_frame: Force, kGA_insert: Force) -> Ratio {
        kGA_frame / kGA_insert
    }
}

formula! {
    "How much a soft wall raises the peel";
    source: "engineering basis, section 8; harmonic elements of one geometry, frame clamped at the inner end";
    limits: "r no lower than 0.27; frame not held over its full length";
    fn soft_wall_line(r: Ratio) -> Ratio {
        let upper = 1.0 + 1.2 * (1.5 - r) / 0.96;
        let lower = 2.2 + 1.2 * (0.54 - r) / 0.27;
        max(1.0, max(min(upper, 2.2), lower))
    }
}

/// A value that exists only inside the range its source covers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Judged<T> {
    /// Inside the range.
    Value(T),
    /// Outside: nothing can be said.
    Not,
}

/// Factor on the strengths at a temperature; not judged above `hot_temperature`.
pub fn temperature_factor(
    temperature: ThermodynamicTemperature,
    hot_temperature: ThermodynamicTemperature,
    hot_factor: Ratio,
) -> Judged<Ratio> {
    let (t, hot) = (si(temperature), si(hot_temperature));
    // Temperatures are converted from Celsius: the limit itself must not fall outside by rounding.
    if t.is_nan() || hot.is_nan() || t > hot + 1e-9 {
        return Judged::Not;
    }
    let room = si(celsius(20.0));
    let share = if t <= room {
        0.0
    } else {
        ((t - room) / (hot - room)).min(1.0)
    };
    Judged::Value(temperature_line(number(share), hot_factor))
}

/// From which stiffness of the wall over the insert's on the factor of a soft wall is known.
pub const SOFT_WALL_FROM: f64 = 0.27;

/// Up to which stiffness of the wall over the insert's finite elements gave more use of the glue than the beam: 1.5 times
/// as much at 1.5, 1.05 times at 3. The factor of a soft wall starts at 1.5 only (engineering basis, section 8).
/// Source: our own element runs, `tests/elements`.
pub const WALL_BENDS_BELOW: f64 = 3.0;

/// How far the thread must end from the bond's inner end for the beam to hold there (mm): closer, finite elements gave
/// 2.2 times its use of the glue. Source: our own element runs, `tests/elements` (closer than 2 mm: seen; how soon it
/// fades farther off: not).
pub const THREAD_CLEAR_MM: f64 = 2.0;

/// Factor on the peel of a soft wall; none below its range.
pub fn soft_wall_factor(r: Ratio) -> Judged<Ratio> {
    if si(r) >= SOFT_WALL_FROM {
        Judged::Value(soft_wall_line(r))
    } else {
        Judged::Not
    }
}

/// Ratio of capacity to demand: 1 over the greater of both uses.
pub fn strength_ratio(peak_use: Ratio, mean_use: Ratio) -> Ratio {
    number(1.0 / si(peak_use).max(si(mean_use)))
}

/// The adhesive's row, before any factor.
#[derive(Debug, Clone, Copy)]
pub struct Adhesive {
    /// Strength across the layer.
    pub tension: Pressure,
    /// Shear plateau.
    pub tau_p: Pressure,
    /// Plastic shear strain.
    pub gamma_p: Ratio,
    /// Shear modulus.
    pub shear_modulus: Pressure,
}

impl Adhesive {
    /// Elastic shear strain at the plateau.
    pub fn gamma_e(&self) -> Ratio {
        self.tau_p / self.shear_modulus
    }
}

/// Interlaminar strengths of the frame's first ply.
#[derive(Debug, Clone, Copy)]
pub struct Laminate {
    /// Interlaminar tension.
    pub tension: Pressure,
    /// Interlaminar shear.
    pub shear: Pressure,
}

/// Factors on the strengths; 1 where one does not apply.
#[derive(Debug, Clone, Copy)]
pub struct Factors {
    /// Surface preparation: the adhesive only.
    pub surface: Ratio,
    /// All others together (ageing, temperature).
    pub other: Ratio,
}

impl Factors {
    /// The product `f` that applies to the adhesive.
    pub fn product(&self) -> Ratio {
        self.surface * self.other
    }
}

/// Which shear strength a state is held against.
#[derive(Debug, Clone, Copy)]
pub enum Limit {
    /// `tau_eff`: what an elastic peak may reach once, by ductility.
    Ductile,
    /// `f·tau_p`: the glue stays elastic.
    Elastic,
    /// A share of `f·tau_p`, the strength across the layer left whole (sustained load).
    ShearShare(Ratio),
    /// A share of both elastic strengths (endurance).
    Share(Ratio),
}

/// Strengths in one state (Pa).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strengths {
    /// Across the glue (Pa).
    pub sigma: f64,
    /// Along the glue (Pa).
    pub tau: f64,
}

impl Strengths {
    /// Strengths of the adhesive under its factors, or of the first ply where that is less.
    ///
    /// A share lowers the laminate as well: its row, too, states what it stands once.
    pub fn new(
        adhesive: &Adhesive,
        laminate: Option<&Laminate>,
        factors: &Factors,
        limit: Limit,
    ) -> Self {
        let f = si(factors.product());
        let (mut sigma, mut tau) = (f * si(adhesive.tension), f * si(adhesive.tau_p));
        if let Limit::Ductile = limit {
            tau = si(effective_shear_strength(
                factors.product(),
                adhesive.tau_p,
                adhesive.gamma_p,
                adhesive.shear_modulus,
            ));
        }
        if let Some(ply) = laminate {
            sigma = sigma.min(si(factors.other) * si(ply.tension));
            tau = tau.min(si(factors.other) * si(ply.shear));
        }
        match limit {
            Limit::Ductile | Limit::Elastic => {}
            Limit::ShearShare(share) => tau *= si(share),
            Limit::Share(share) => {
                sigma *= si(share);
                tau *= si(share);
            }
        }
        Strengths { sigma, tau }
    }
}

/// Stresses at one place along the glue (Pa); signs matter only where two parts are added.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Station {
    /// Thermal stress across the glue, tension positive (Pa).
    pub sigma_thermal: f64,
    /// Axial shear of the ladder (Pa).
    pub tau_axial: f64,
    /// Axial shear of thermal mismatch (Pa).
    pub tau_thermal: f64,
    /// Shear of torsion (Pa).
    pub tau_torsion: f64,
    /// Rocking across the glue, k_n·w (Pa).
    pub peel: f64,
    /// Rocking along the axis, k_s·r_b·ψ (Pa).
    pub rock_axial: f64,
    /// Rocking around the axis, k_s·w (Pa).
    pub rock_hoop: f64,
}

impl Station {
    /// `self + factor·other`, part by part with signs.
    #[inline]
    pub fn plus(&self, factor: f64, other: &Station) -> Station {
        Station {
            sigma_thermal: self.sigma_thermal + factor * other.sigma_thermal,
            tau_axial: self.tau_axial + factor * other.tau_axial,
            tau_thermal: self.tau_thermal + factor * other.tau_thermal,
            tau_torsion: self.tau_torsion + factor * other.tau_torsion,
            peel: self.peel + factor * other.peel,
            rock_axial: self.rock_axial + factor * other.rock_axial,
            rock_hoop: self.rock_hoop + factor * other.rock_hoop,
        }
    }

    /// Use `U` at an angle (rad) from the plane of tilting.
    pub fn use_at(&self, phi: f64, strengths: &Strengths) -> f64 {
        let (s, c) = phi.sin_cos();
        Quarter::new(self, strengths)
            .square(c.abs(), s.abs())
            .sqrt()
    }
}

/// One over a strength; a strength of nothing makes any stress far too much without becoming infinite.
#[inline]
fn inverse(strength: f64) -> f64 {
    if strength > 0.0 {
        1.0 / strength
    } else {
        1e100
    }
}

/// One over the strengths (1/Pa).
#[derive(Debug, Clone, Copy)]
struct Inverse {
    across: f64,
    along: f64,
}

impl Inverse {
    /// U² of a place that does not rock: without torsion, and what torsion adds.
    #[inline]
    fn all_round(&self, s: &Station) -> (f64, f64) {
        let across = above_zero(s.sigma_thermal) * self.across;
        let along = (s.tau_axial.abs() + s.tau_thermal.abs()) * self.along;
        let turned = s.tau_torsion * self.along;
        (across * across + along * along, turned * turned)
    }
}

impl Strengths {
    #[inline]
    fn inverse(&self) -> Inverse {
        Inverse {
            across: inverse(self.sigma),
            along: inverse(self.tau),
        }
    }
    /// Squares of one over the strengths, across and along (1/Pa²).
    #[inline]
    fn inverse_squares(&self) -> (f64, f64) {
        let k = self.inverse();
        (k.across * k.across, k.along * k.along)
    }
}

/// Stresses of a station over their strengths: `U² = (σ + p·c)₊² + (a + r·c)² + (t + h·s)²`.
#[derive(Debug, Clone, Copy)]
struct Quarter {
    sigma: f64,
    p: f64,
    a: f64,
    r: f64,
    t: f64,
    h: f64,
}

impl Quarter {
    #[inline]
    fn new(s: &Station, k: &Strengths) -> Self {
        Quarter::of(s, &k.inverse())
    }

    #[inline]
    fn of(s: &Station, k: &Inverse) -> Self {
        let (i_s, i_t) = (k.across, k.along);
        Quarter {
            sigma: s.sigma_thermal * i_s,
            p: s.peel.abs() * i_s,
            a: (s.tau_axial.abs() + s.tau_thermal.abs()) * i_t,
            r: s.rock_axial.abs() * i_t,
            t: s.tau_torsion.abs() * i_t,
            h: s.rock_hoop.abs() * i_t,
        }
    }

    /// U² at an angle given by its cosine and sine.
    #[inline]
    fn square(&self, c: f64, s: f64) -> f64 {
        let n = (self.sigma + self.p * c).max(0.0);
        let x = self.a + self.r * c;
        let y = self.t + self.h * s;
        n * n + x * x + y * y
    }

    /// Half the slope of U² over the angle.
    #[inline]
    fn half_slope(&self, c: f64, s: f64) -> f64 {
        let n = (self.sigma + self.p * c).max(0.0);
        -s * (n * self.p + (self.a + self.r * c) * self.r) + c * (self.t + self.h * s) * self.h
    }

    /// One summit over the quarter is certain.
    #[inline]
    fn single(&self) -> bool {
        self.sigma >= 0.0 || self.p <= -self.sigma
    }

    /// Largest U² and its angle.
    #[inline]
    fn summit(&self) -> (f64, Turn) {
        if upright(self.sigma, self.p, self.r, self.t, self.h) {
            return (self.square(1.0, 0.0), Turn::ZERO);
        }
        if self.single() {
            let open = self.sigma > 0.0 || self.p > 0.0 && self.sigma >= 0.0;
            let turn = self.root(open);
            return (self.square(turn.c, turn.s), turn);
        }
        self.summit_split()
    }

    /// Root of the slope with tension counted (`open`) or left out, taken over the whole quarter.
    #[inline]
    fn root(&self, open: bool) -> Turn {
        let (mut k, mut x) = (self.r * self.r - self.h * self.h, self.a * self.r);
        if open {
            k += self.p * self.p;
            x += self.sigma * self.p;
        }
        let y = self.t * self.h;
        if y == 0.0 {
            return if k + x >= 0.0 {
                Turn::ZERO
            } else {
                Turn::cosine(x / -k)
            };
        }
        if x == 0.0 {
            return if y >= k {
                Turn::QUARTER
            } else {
                Turn::sine(y / k)
            };
        }
        // Newton on the half-angle's tangent, kept inside a bracket: the slope falls through zero once.
        let (mut low, mut high) = (0.0, 1.0);
        let mut v = {
            let (c, s) = (x + k.max(0.0), y + (-k).max(0.0));
            s / (c + (c * c + s * s).sqrt())
        };
        let mut turn = Turn::half(v);
        for _ in 0..40 {
            let f = y * turn.c - x * turn.s - k * turn.c * turn.s;
            if f > 0.0 {
                low = v
            } else {
                high = v
            }
            let d = -y * turn.s - x * turn.c - k * (turn.c * turn.c - turn.s * turn.s);
            let mut next = v - f / d * 0.5 * (1.0 + v * v);
            if !(next > low && next < high) || d >= 0.0 {
                next = 0.5 * (low + high);
            }
            let step = (next - v).abs();
            v = next;
            turn = Turn::half(v);
            // The summit is flat: an angle off by 1e-5 costs 1e-10 of the value, and Newton is past that.
            if step < 1e-4 {
                break;
            }
        }
        turn
    }

    /// Where thermal compression begins to close the glue, as the tangent of half the angle; `none`
    /// where it does so nowhere in the quarter.
    fn edge(&self, none: f64) -> f64 {
        if self.single() {
            none
        } else {
            Turn::cosine(-self.sigma / self.p).v
        }
    }

    /// Thermal compression that rocking overcomes on part of the ring only.
    fn summit_split(&self) -> (f64, Turn) {
        let edge = Turn::cosine(-self.sigma / self.p);
        let mut best = (self.square(edge.c, edge.s), edge);
        let mut offer = |turn: Turn| {
            let value = self.square(turn.c, turn.s);
            if value > best.0 {
                best = (value, turn);
            }
        };
        let closed = self.root(false);
        if closed.v > edge.v {
            offer(closed);
        }
        offer(Turn::ZERO);
        if self.t * self.h == 0.0 {
            // Without torsion U² is a parabola in the cosine while the glue is open: its ends have been
            // offered, its vertex counts where it is a summit inside.
            let k = self.p * self.p + self.r * self.r - self.h * self.h;
            let c = (self.a * self.r + self.sigma * self.p) / -k;
            if k < 0.0 && c > edge.c && c < 1.0 {
                offer(Turn::cosine(c));
            }
            return best;
        }
        let slope = |v: f64| {
            let turn = Turn::half(v);
            self.half_slope(turn.c, turn.s)
        };
        falling_roots(0.0, edge.v, 12, slope, |v| offer(Turn::half(v)));
        best
    }
}

/// An angle of the first quarter by the tangent of its half, with its cosine and sine.
#[derive(Debug, Clone, Copy)]
struct Turn {
    v: f64,
    c: f64,
    s: f64,
}

impl Turn {
    const ZERO: Turn = Turn {
        v: 0.0,
        c: 1.0,
        s: 0.0,
    };
    const QUARTER: Turn = Turn {
        v: 1.0,
        c: 0.0,
        s: 1.0,
    };
    #[inline]
    fn half(v: f64) -> Turn {
        let k = 1.0 / (1.0 + v * v);
        Turn {
            v,
            c: (1.0 - v * v) * k,
            s: 2.0 * v * k,
        }
    }
    #[inline]
    fn cosine(c: f64) -> Turn {
        let s = ((1.0 - c) * (1.0 + c)).max(0.0).sqrt();
        Turn {
            v: s / (1.0 + c),
            c,
            s,
        }
    }
    #[inline]
    fn sine(s: f64) -> Turn {
        let c = ((1.0 - s) * (1.0 + s)).max(0.0).sqrt();
        Turn {
            v: s / (1.0 + c),
            c,
            s,
        }
    }
    fn angle(&self) -> f64 {
        2.0 * self.v.atan()
    }
}

/// Every place where a slope falls through zero, looked for on `pieces` pieces.
fn falling_roots(
    from: f64,
    to: f64,
    pieces: usize,
    slope: impl Fn(f64) -> f64,
    mut each: impl FnMut(f64),
) {
    // By symmetry the slope is nothing at either end of the quarter and tells nothing there: step inside.
    let inside = 1e-4 * (to - from);
    let (from, to) = (from + inside, to - inside);
    let h = (to - from) / pieces as f64;
    let mut last = slope(from);
    for k in 1..=pieces {
        let (mut a, mut b) = (from + (k - 1) as f64 * h, from + k as f64 * h);
        let next = slope(b);
        if last > 0.0 && next <= 0.0 {
            let (mut fa, mut fb) = (last, next);
            let mut root = b;
            // Regula falsi (Illinois); the summit is flat, so 1e-5 of the angle is more than enough.
            for _ in 0..40 {
                let x = a + (b - a) * fa / (fa - fb);
                let moved = (x - root).abs();
                root = x;
                let f = slope(x);
                if f == 0.0 || b - a < 1e-6 || moved < 1e-7 {
                    break;
                }
                if f > 0.0 {
                    (a, fa) = (x, f);
                    fb *= 0.5;
                } else {
                    (b, fb) = (x, f);
                    fa *= 0.5;
                }
            }
            each(root);
        }
        last = next;
    }
}

/// Largest sum of two uses over the quarter, and its angle.
fn summit_of_sum(one: &Quarter, two: &Quarter) -> (f64, Turn) {
    let (u1, t1) = one.summit();
    let (u2, t2) = two.summit();
    let sum = |t: Turn| one.square(t.c, t.s).sqrt() + two.square(t.c, t.s).sqrt();
    if t1.v == t2.v || u2 == 0.0 {
        return (u1.sqrt() + u2.sqrt(), t1);
    }
    if u1 == 0.0 {
        return (u2.sqrt(), t2);
    }
    // Two single-summit uses: their sum is highest between the two summits.
    let (from, to) = if one.single() && two.single() {
        (t1.v.min(t2.v), t1.v.max(t2.v))
    } else {
        (0.0, 1.0)
    };
    let mut best = (sum(Turn::half(from)), Turn::half(from));
    let mut offer = |v: f64| {
        let turn = Turn::half(v);
        let value = sum(turn);
        if value > best.0 {
            best = (value, turn);
        }
    };
    let slope = |v: f64| {
        let t = Turn::half(v);
        let (g1, g2) = (one.square(t.c, t.s).sqrt(), two.square(t.c, t.s).sqrt());
        one.half_slope(t.c, t.s) / g1.max(1e-300) + two.half_slope(t.c, t.s) / g2.max(1e-300)
    };
    // Where the glue opens or closes the slope bends: a summit may hide on either side of that place.
    let mut cuts = [from, one.edge(from), two.edge(from), to];
    if cuts[1] > cuts[2] {
        cuts.swap(1, 2);
    }
    for pair in cuts.windows(2) {
        if pair[1] > pair[0] {
            falling_roots(pair[0], pair[1], PIECES, slope, &mut offer);
        }
        // A summit on the bend itself falls through the slope on neither side of it.
        offer(pair[1]);
    }
    best
}

/// Pieces on which the summits of a sum of two uses are looked for.
const PIECES: usize = 16;

/// Intervals of half a part of the grid.
const HALF: usize = 8;
/// Stations of one part of the grid, both ends included.
pub const PART: usize = 2 * HALF + 1;
/// Stations that a grid can hold: three parts.
pub const STATIONS: usize = 3 * PART;

/// Powers of two that grade half a part, from even to steep.
const GRADES: [[u8; HALF]; 5] = [
    [0, 0, 0, 0, 0, 0, 0, 0],
    [0, 0, 0, 0, 1, 1, 2, 2],
    [0, 0, 1, 1, 2, 2, 3, 3],
    [0, 0, 1, 2, 3, 4, 4, 4],
    [0, 0, 1, 2, 3, 4, 5, 6],
];

/// One part of the grid between two breakpoints; its stations lie mirror-wise about the middle.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Part {
    /// Left end (m).
    pub left: f64,
    /// Right end (m).
    pub right: f64,
    /// The smallest interval, that at both ends (m).
    pub step: f64,
    grade: usize,
}

impl Part {
    fn new(left: f64, right: f64, layer: f64) -> Self {
        let length = right - left;
        let mut part = Part {
            left,
            right,
            step: 0.0,
            grade: 0,
        };
        for (grade, powers) in GRADES.iter().enumerate() {
            let units: u32 = powers.iter().map(|p| 1u32 << p).sum();
            part.grade = grade;
            part.step = length / (2 * units) as f64;
            if part.step <= 0.5 * layer {
                break;
            }
        }
        part
    }

    /// Something that multiplies along `x` (a decay, a pair of them) at all stations of the part, from
    /// its value at one [`step`](Part::step): no exponential for each station.
    #[inline]
    pub fn march<T: Copy>(&self, at_step: T, at_zero: T, times: impl Fn(T, T) -> T) -> [T; PART] {
        let powers = &GRADES[self.grade];
        let mut doubled = [at_step; HALF];
        for k in 1..=powers[HALF - 1] as usize {
            doubled[k] = times(doubled[k - 1], doubled[k - 1]);
        }
        let mut out = [at_zero; PART];
        for k in 0..HALF {
            out[k + 1] = times(out[k], doubled[powers[k] as usize]);
        }
        for k in 0..HALF {
            out[HALF + k + 1] = times(out[HALF + k], doubled[powers[HALF - 1 - k] as usize]);
        }
        out
    }

    /// `exp(−rate·(x − left))` at the stations of the part, `rate` in 1/m. Read backwards it is the
    /// decay from the right end.
    #[inline]
    pub fn decay(&self, rate: f64) -> [f64; PART] {
        self.march((-rate * self.step).exp(), 1.0, |a, b| a * b)
    }
}

/// What belongs to the stations of a part, from the other end; in a table of its own, so that several stations are
/// computed at once.
#[inline]
pub fn mirrored<T: Copy>(values: &[T; PART]) -> [T; PART] {
    std::array::from_fn(|k| values[PART - 1 - k])
}

/// Stations along the glue: up to three parts, each graded towards both of its ends.
#[derive(Debug, Clone, Copy)]
pub struct Grid {
    x: [f64; STATIONS],
    parts: [Part; 3],
    count: usize,
}

impl Grid {
    /// Stations on parts between breakpoints (m, rising, two to four of them); `layer` (m) is the
    /// shortest length over which a field dies out. Parts of no length are dropped.
    pub fn new(breaks: &[f64], layer: f64) -> Self {
        let mut grid = Grid {
            x: [0.0; STATIONS],
            parts: [Part::default(); 3],
            count: 0,
        };
        for pair in breaks.windows(2).take(3) {
            if pair[1] > pair[0] {
                let part = Part::new(pair[0], pair[1], layer);
                let first = grid.count * PART;
                let powers = &GRADES[part.grade];
                let (mut near, mut far) = (pair[0], pair[1]);
                grid.x[first] = near;
                grid.x[first + PART - 1] = far;
                for (k, power) in powers.iter().enumerate() {
                    let h = part.step * (1u32 << power) as f64;
                    near += h;
                    far -= h;
                    grid.x[first + k + 1] = near;
                    if k + 1 < HALF {
                        grid.x[first + PART - 2 - k] = far;
                    }
                }
                grid.parts[grid.count] = part;
                grid.count += 1;
            }
        }
        grid
    }

    /// Positions of the stations (m); a breakpoint appears twice, as end and as beginning.
    #[inline]
    pub fn x(&self) -> &[f64] {
        &self.x[..self.count * PART]
    }

    /// Number of stations in use.
    #[inline]
    pub fn len(&self) -> usize {
        self.count * PART
    }

    /// Whether there is no station at all.
    pub fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// The parts in order.
    #[inline]
    pub fn parts(&self) -> &[Part] {
        &self.parts[..self.count]
    }

    /// Stations of a part.
    #[inline]
    pub fn range(&self, part: usize) -> std::ops::Range<usize> {
        part * PART..(part + 1) * PART
    }
}

/// Are all stresses of some fields numbers?
pub fn finite<'f>(fields: impl IntoIterator<Item = &'f [f64; STATIONS]>) -> bool {
    // Nothing times what is not a finite number is not nothing; summed without a way out, several at once.
    let mut sum = NOTHING;
    for field in fields {
        for (sum, v) in sum.iter_mut().zip(field) {
            *sum += 0.0 * v;
        }
    }
    sum.iter().all(|v| *v == 0.0)
}

/// A field of nothing, for parts that a state does not have.
pub const NOTHING: [f64; STATIONS] = [0.0; STATIONS];

/// Rocking of a state at the stations of a grid (Pa).
#[derive(Debug, Clone, Copy)]
pub struct Rocked<'a> {
    /// See [`Station::peel`].
    pub peel: &'a [f64; STATIONS],
    /// See [`Station::rock_axial`].
    pub axial: &'a [f64; STATIONS],
    /// Shear around the axis over peel, k_s/k_n; see [`Station::rock_hoop`].
    pub hoop_share: f64,
}

impl Rocked<'_> {
    /// No rocking.
    pub const NONE: Rocked<'static> = Rocked {
        peel: &NOTHING,
        axial: &NOTHING,
        hoop_share: 0.0,
    };

    /// Puts the stresses at a station in.
    #[inline]
    fn onto(&self, j: usize, station: Station) -> Station {
        Station {
            peel: self.peel[j],
            rock_axial: self.axial[j],
            rock_hoop: self.hoop_share * self.peel[j],
            ..station
        }
    }
}

/// What does not pulsate under repeated load: preload and thermal mismatch, as in [`Samples`].
#[derive(Debug, Clone, Copy)]
#[allow(missing_docs)]
pub struct Still<'a> {
    pub sigma_thermal: f64,
    pub tau_axial: &'a [f64; STATIONS],
    pub tau_thermal: (f64, &'a [f64; STATIONS]),
}

impl Still<'_> {
    /// The stresses at one station.
    #[inline]
    fn station(&self, j: usize) -> Station {
        Station {
            sigma_thermal: self.sigma_thermal,
            tau_axial: self.tau_axial[j],
            tau_thermal: self.tau_thermal.0 * self.tau_thermal.1[j],
            ..Station::default()
        }
    }
}

/// What pulsates under repeated load: forces along the axis and rocking, as in [`Samples`].
#[derive(Debug, Clone, Copy)]
#[allow(missing_docs)]
pub struct Pulsating<'a> {
    pub tau_axial: &'a [f64; STATIONS],
    pub rocking: Option<Rocked<'a>>,
}

impl Pulsating<'_> {
    /// The stresses at one station.
    #[inline]
    fn station(&self, j: usize) -> Station {
        let along = Station {
            tau_axial: self.tau_axial[j],
            ..Station::default()
        };
        self.rocking.unwrap_or(Rocked::NONE).onto(j, along)
    }
}

/// The fields of one state at the stations of a grid (Pa), borrowed from wherever they were sampled.
#[derive(Debug, Clone, Copy)]
pub struct Samples<'a> {
    /// Thermal stress across the glue, the same everywhere.
    pub sigma_thermal: f64,
    /// See [`Station::tau_axial`].
    pub tau_axial: &'a [f64; STATIONS],
    /// See [`Station::tau_thermal`]: kelvin of cooling, and the stress per kelvin.
    pub tau_thermal: (f64, &'a [f64; STATIONS]),
    /// See [`Station::tau_torsion`]; nothing where no torque acts.
    pub tau_torsion: Option<&'a [f64; STATIONS]>,
    /// Rocking; nothing where nothing rocks the insert.
    pub rocking: Option<Rocked<'a>>,
}

impl<'a> Samples<'a> {
    /// A state without any stress.
    pub const NONE: Samples<'static> = Samples {
        sigma_thermal: 0.0,
        tau_axial: &NOTHING,
        tau_thermal: (0.0, &NOTHING),
        tau_torsion: None,
        rocking: None,
    };

    /// The stresses at one station.
    #[inline]
    pub fn station(&self, j: usize) -> Station {
        let turned = Station {
            sigma_thermal: self.sigma_thermal,
            tau_axial: self.tau_axial[j],
            tau_thermal: self.tau_thermal.0 * self.tau_thermal.1[j],
            tau_torsion: self.twisted()[j],
            ..Station::default()
        };
        self.rocked().onto(j, turned)
    }

    #[inline]
    fn rocked(&self) -> Rocked<'a> {
        self.rocking.unwrap_or(Rocked::NONE)
    }

    #[inline]
    fn twisted(&self) -> &'a [f64; STATIONS] {
        self.tau_torsion.unwrap_or(&NOTHING)
    }
}

/// The worst place of the glue in a state.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worst {
    /// Use of the glue there: U, or the sum of both uses of endurance.
    pub usage: f64,
    /// Its place behind the face (m).
    pub x: f64,
}

/// Squares of what no use at a station exceeds.
type Bounds = [f64; STATIONS];

/// Is there a bound above a floor?
#[inline]
fn any_above(bounds: &Bounds, floor: f64) -> bool {
    // Counted without a way out, so that several are looked at at once.
    bounds.iter().map(|b| u64::from(*b > floor)).sum::<u64>() > 0
}

/// The greatest of some bounds, one for each part.
#[inline]
fn tops(grid: &Grid, bounds: &Bounds) -> [f64; 3] {
    let mut tops = [0.0f64; 3];
    // The parts side by side, so that no comparison waits for the one before.
    for k in 0..PART {
        for (part, top) in tops.iter_mut().enumerate().take(grid.parts().len()) {
            let b = bounds[part * PART + k];
            *top = if b > *top { b } else { *top };
        }
    }
    tops
}

/// Worst place of one state: sampled stations first, exact fields (`exact`, x in m) where it counts.
pub fn worst(
    grid: &Grid,
    samples: &Samples,
    strengths: &Strengths,
    exact: impl Fn(f64) -> Station,
) -> Worst {
    if samples.rocking.is_some() {
        let [bounds] = bounds(grid, samples, [strengths]);
        return search_use(grid, samples, strengths, &bounds, exact);
    }
    let (still, turned) = all_round(grid, samples, strengths);
    let squares: Bounds = std::array::from_fn(|j| still[j] + turned[j]);
    let k = strengths.inverse();
    search(
        grid,
        &squares,
        |j| squares[j],
        |x| {
            let (still, turned) = k.all_round(&exact(x));
            still + turned
        },
    )
}

/// By what the torsion of a state that does not rock may be multiplied until the use of the glue reaches `target`; 0
/// where it does so without torsion, infinite where there is none.
///
/// At every point `U² = A + k²·B`, B from torsion, so that the answer is the least `√((target² − A)/B)`.
pub fn torsion_to_reach(
    grid: &Grid,
    samples: &Samples,
    strengths: &Strengths,
    target: Ratio,
    exact: impl Fn(f64) -> Station,
) -> Ratio {
    let square = target.value * target.value;
    let share = |(still, turned): (f64, f64)| match square - still {
        room if room > 0.0 => turned / room,
        _ => f64::INFINITY,
    };
    let (still, turned) = all_round(grid, samples, strengths);
    let mut shares = NOTHING;
    for j in 0..grid.len() {
        shares[j] = share((still[j], turned[j]));
    }
    let k = strengths.inverse();
    let worst = search(
        grid,
        &shares,
        |j| shares[j],
        |x| share(k.all_round(&exact(x))),
    );
    number(1.0 / worst.usage)
}

/// U² at the stations of a state that does not rock, the same all round: without torsion, and what torsion adds.
fn all_round(grid: &Grid, s: &Samples, strengths: &Strengths) -> (Bounds, Bounds) {
    let (i_s, i_t) = strengths.inverse_squares();
    let twist = s.twisted();
    let (cooling, thermal) = s.tau_thermal;
    let across = above_zero(s.sigma_thermal);
    let across = across * across * i_s;
    let (mut still, mut turned) = (NOTHING, NOTHING);
    for j in 0..grid.len().min(STATIONS) {
        let along = s.tau_axial[j].abs() + (cooling * thermal[j]).abs();
        still[j] = across + along * along * i_t;
        turned[j] = twist[j] * twist[j] * i_t;
    }
    (still, turned)
}

/// As [`worst`], for each of several strengths of which the use could exceed its floor; nothing otherwise.
/// Stations at which the state is `dominated` by one that is used no more than the floors, every stress of it no
/// greater, cannot.
pub fn worst_above<const N: usize>(
    grid: &Grid,
    samples: &Samples,
    strengths: [&Strengths; N],
    floors: [f64; N],
    dominated: impl Fn(usize) -> bool,
    exact: impl Fn(f64) -> Station,
) -> [Option<Worst>; N] {
    let bounds = bounds(grid, samples, strengths);
    std::array::from_fn(|k| {
        let (bounds, floor) = (&bounds[k], NEAR * floors[k] * floors[k].abs());
        let above = |j: usize| bounds[j] > floor && !dominated(j);
        // Few states get past the first question, which is quicker.
        (any_above(bounds, floor) && (0..STATIONS).any(above))
            .then(|| search_use(grid, samples, strengths[k], bounds, &exact))
    })
}

fn search_use(
    grid: &Grid,
    samples: &Samples,
    strengths: &Strengths,
    bounds: &Bounds,
    exact: impl Fn(f64) -> Station,
) -> Worst {
    let k = strengths.inverse();
    let at = |station: &Station| Quarter::of(station, &k).summit().0;
    search(grid, bounds, |j| at(&samples.station(j)), |x| at(&exact(x)))
}

/// Worst place of endurance: U of (static + half pulsating) against `once` plus U of half the pulsating
/// part against `often`, both at the same point. `exact` gives both parts at x (m). Nothing where the sum
/// could not exceed `floor`.
pub fn worst_endurance(
    grid: &Grid,
    still: &Still,
    pulsating: &Pulsating,
    once: &Strengths,
    often: &Strengths,
    floor: f64,
    exact: impl Fn(f64) -> (Station, Station),
) -> Option<Worst> {
    let bounds = bounds_twice(grid, still, pulsating, once, often);
    if !any_above(&bounds, NEAR * floor * floor.abs()) {
        return None;
    }
    let (once, often) = (once.inverse(), often.inverse());
    let both =
        |still: &Station, pulse: &Station| sum_of_uses(still, pulse, &once, &often).0.powi(2);
    Some(search(
        grid,
        &bounds,
        |j| both(&still.station(j), &pulsating.station(j)),
        |x| {
            let (s, p) = exact(x);
            both(&s, &p)
        },
    ))
}

fn sum_of_uses(still: &Station, pulse: &Station, once: &Inverse, often: &Inverse) -> (f64, Turn) {
    summit_of_sum(
        &Quarter::of(&still.plus(0.5, pulse), once),
        &Quarter::of(&Station::default().plus(0.5, pulse), often),
    )
}

/// What is above nothing.
#[inline(always)]
fn above_zero(value: f64) -> f64 {
    // One instruction for several stations at once; `max` has to look for what is not a number as well.
    if value > 0.0 { value } else { 0.0 }
}

/// By how much, at most, U² may be higher beside the plane of tilting than in it, as far as it does not come of
/// torsion.
///
/// With `s = sin φ`, leaning over by `φ` takes at least `r²·s²` of the square of the shear along the axis and, where
/// the glue is under tension all round, `p²·s²` of that of the tension; the hoop shear of rocking adds `h²·s²`.
#[inline(always)]
fn beside(hoop: f64, axial: f64, across: f64) -> f64 {
    above_zero(hoop - axial - across)
}

/// Is U² highest in the plane of tilting? So it is without torsion where hoop shear adds no more than leaning over
/// takes ([`beside`]), and where rocking shears nothing around the axis.
#[inline(always)]
fn upright(sigma: f64, p: f64, r: f64, t: f64, h: f64) -> bool {
    let across = if sigma >= 0.0 { p * p } else { 0.0 };
    t == 0.0 && beside(h * h, r * r, across) == 0.0 || h == 0.0
}

/// Bounds of U at the stations, for each of several strengths: U² in the plane of tilting, what torsion and the hoop
/// shear of rocking make together, and what may stand [`beside`] it.
#[inline]
fn bounds<const N: usize>(grid: &Grid, s: &Samples, strengths: [&Strengths; N]) -> [Bounds; N] {
    let squares = strengths.map(Strengths::inverse_squares);
    let (rock, twist) = (s.rocked(), s.twisted());
    let (cooling, thermal) = s.tau_thermal;
    let pulled = if s.sigma_thermal >= 0.0 { 1.0 } else { 0.0 };
    let mut out = [NOTHING; N];
    for j in 0..grid.len().min(STATIONS) {
        let (peel, axial, turned) = (rock.peel[j].abs(), rock.axial[j].abs(), twist[j].abs());
        let hoop = rock.hoop_share * peel;
        let n = above_zero(s.sigma_thermal + peel);
        let x = s.tau_axial[j].abs() + (cooling * thermal[j]).abs() + axial;
        let along = x * x + turned * (turned + 2.0 * hoop);
        let (axial, hoop, peel) = (axial * axial, hoop * hoop, pulled * (peel * peel));
        for (out, (i_s, i_t)) in out.iter_mut().zip(squares) {
            out[j] = n * n * i_s + along * i_t + beside(hoop * i_t, axial * i_t, peel * i_s);
        }
    }
    out
}

/// Bounds of the sum of both uses at the stations.
#[inline]
fn bounds_twice(
    grid: &Grid,
    s: &Still,
    p: &Pulsating,
    once: &Strengths,
    often: &Strengths,
) -> Bounds {
    let ((i_s, i_t), (e_s, e_t)) = (once.inverse_squares(), often.inverse_squares());
    let rock = p.rocking.unwrap_or(Rocked::NONE);
    let (cooling, thermal) = s.tau_thermal;
    let pulled = if s.sigma_thermal >= 0.0 { 1.0 } else { 0.0 };
    let mut out = NOTHING;
    for (j, out) in out.iter_mut().enumerate().take(grid.len()) {
        // Half of what pulsates, as it stands in both uses.
        let (peel, axial) = (0.5 * rock.peel[j].abs(), 0.5 * rock.axial[j].abs());
        let pulse = 0.5 * p.tau_axial[j];
        let n = above_zero(s.sigma_thermal + peel);
        let x = (s.tau_axial[j] + pulse).abs() + (cooling * thermal[j]).abs() + axial;
        let y = pulse.abs() + axial;
        let hoop = rock.hoop_share * peel;
        let (axial, hoop, peel) = (axial * axial, hoop * hoop, peel * peel);
        let one = n * n * i_s + x * x * i_t + beside(hoop * i_t, axial * i_t, pulled * peel * i_s);
        let two = peel * e_s + y * y * e_t + beside(hoop * e_t, axial * e_t, peel * e_s);
        *out = one + two + 2.0 * (one * two).sqrt();
    }
    out
}

/// The greatest magnitude of a field at the stations.
pub fn greatest(field: &[f64; STATIONS]) -> f64 {
    // Several greatest ones side by side, so that no comparison waits for the one before.
    const LANES: usize = 8;
    let mut lanes = [0.0f64; LANES];
    let (chunks, rest) = field.as_chunks::<LANES>();
    for chunk in chunks {
        for (lane, v) in lanes.iter_mut().zip(chunk) {
            *lane = if v.abs() > *lane { v.abs() } else { *lane };
        }
    }
    lanes
        .iter()
        .chain(rest)
        .fold(0.0, |top, v| v.abs().max(top))
}

/// What the use of a state exceeds nowhere, from the greatest of each of its stresses wherever that stands: one number
/// instead of a bound for each station, and mostly enough to rule a lesser state out. As for the stations, leaning
/// over takes from the pull what it adds in hoop shear.
pub fn ceiling(most: &Station, strengths: &Strengths) -> f64 {
    let (i_s, i_t) = strengths.inverse_squares();
    let (peel, hoop, turned) = (
        most.peel.abs(),
        most.rock_hoop.abs(),
        most.tau_torsion.abs(),
    );
    let n = above_zero(most.sigma_thermal + peel);
    let x = most.tau_axial.abs() + most.tau_thermal.abs() + most.rock_axial.abs();
    let pulled = if most.sigma_thermal >= 0.0 { peel } else { 0.0 };
    let along = x * x + turned * (turned + 2.0 * hoop);
    let square = n * n * i_s + along * i_t + beside(hoop * hoop * i_t, 0.0, pulled * pulled * i_s);
    square.sqrt()
}

/// Is a bound so far below a use that no summit between stations reaches it?
pub fn beneath(bound: f64, usage: f64) -> bool {
    bound <= MARGIN * usage
}

/// How far below the best a station may lie and still be looked at: a summit between stations can
/// stand that much above both.
const MARGIN: f64 = 0.93;

/// The same of the square of a use.
const NEAR: f64 = MARGIN * MARGIN;

/// The stations that a search has looked at.
struct Looks {
    /// The use there; 0 where it has not.
    usage: [f64; STATIONS],
    /// Which they are, bit by bit: few of many, so that a search goes through them alone.
    mask: u64,
}

const _: () = assert!(STATIONS < 64, "a bit for each station");

impl Looks {
    const NONE: Looks = Looks {
        usage: NOTHING,
        mask: 0,
    };
    /// The use at a station, looked at once.
    #[inline]
    fn at(&mut self, j: usize, station: impl Fn(usize) -> f64) -> f64 {
        if self.mask & (1 << j) == 0 {
            self.mask |= 1 << j;
            self.usage[j] = station(j);
        }
        self.usage[j]
    }
    /// The first station from one on.
    #[inline]
    fn next(&self, from: usize) -> Option<usize> {
        let rest = self.mask & (u64::MAX << from);
        (rest != 0).then(|| rest.trailing_zeros() as usize)
    }
}

/// Largest use over the grid and, between stations, of the exact function; both give squares.
#[inline]
fn search(
    grid: &Grid,
    bound: &Bounds,
    station: impl Fn(usize) -> f64,
    exact: impl Fn(f64) -> f64,
) -> Worst {
    let xs = grid.x();
    let parts = grid.parts().len();
    let mut known = Looks::NONE;
    let mut best = Worst { usage: 0.0, x: 0.0 };
    // A part whose highest bound is below the margin is not entered again.
    let high = tops(grid, bound);
    // A station left unlooked-at is below the margin or on a slope; as neighbour of a summit it is needed
    // all the same.
    let get = |known: &mut Looks, best: &mut Worst, j: usize| {
        let usage = known.at(j, &station);
        if usage > best.usage {
            *best = Worst { usage, x: xs[j] };
        }
        usage
    };
    // The highest bound first: what it stands for rules most of the others out.
    let leader = (1..parts).fold(0, |a, b| if high[b] > high[a] { b } else { a });
    let range = grid.range(leader);
    if let Some(top) = bound[range.clone()].iter().position(|b| *b == high[leader]) {
        get(&mut known, &mut best, range.start + top);
    }
    for (part, high) in high.iter().enumerate().take(parts) {
        if *high <= NEAR * best.usage {
            continue;
        }
        let range = grid.range(part);
        for start in range.clone() {
            let below = |j: usize| !range.contains(&j) || bound[j] <= bound[start];
            if bound[start] <= NEAR * best.usage
                || !(below(start.wrapping_sub(1)) && below(start + 1))
            {
                continue;
            }
            // The bound's summit stands on or next to the use's own: climb from there.
            let mut j = start;
            for _ in 0..PART {
                let here = get(&mut known, &mut best, j);
                // Only a neighbour that could lie higher is looked at.
                let mut beside = |k: usize| {
                    if range.contains(&k) && bound[k] > here {
                        get(&mut known, &mut best, k)
                    } else {
                        f64::NEG_INFINITY
                    }
                };
                let (left, right) = (beside(j.wrapping_sub(1)), beside(j + 1));
                if left > here && left >= right {
                    j -= 1;
                } else if right > here {
                    j += 1;
                } else {
                    break;
                }
            }
        }
    }
    let floor = NEAR * best.usage;
    let mut from = 0;
    while let Some(j) = known.next(from) {
        from = j + 1;
        let here = known.usage[j];
        if !(here > floor && here > 0.0) {
            continue;
        }
        let range = grid.range(j / PART);
        let first = j == range.start;
        let last = j + 1 == range.end;
        if first || last {
            let (k1, k2) = if first {
                (j + 1, j + 2)
            } else {
                (j - 1, j - 2)
            };
            let f1 = get(&mut known, &mut best, k1);
            if f1 > here {
                continue;
            }
            let f2 = get(&mut known, &mut best, k2);
            let (d1, d2) = (f1 - here, f2 - f1);
            let flat = d1.abs().max(d2.abs()) < 1e-7 * here;
            // One-sided slope at the end (both intervals are alike): clearly downhill is the end's own summit.
            if flat || 1.5 * d1 - 0.5 * d2 < 0.3 * d1 {
                continue;
            }
            let (a, b) = (xs[j], xs[k1]);
            let mid = 0.5 * (a + b);
            let fm = look(mid, &exact, &mut best);
            if fm >= here && fm >= f1 {
                refine([a, mid, b], [here, fm, f1], &exact, &mut best);
            } else if fm < here {
                let quarter = 0.5 * (a + mid);
                let fq = look(quarter, &exact, &mut best);
                if fq >= here {
                    refine([a, quarter, mid], [here, fq, fm], &exact, &mut best);
                }
            }
            continue;
        }
        // One that is known to lie higher settles it; one that could is looked at first.
        let mut higher = |k: usize| {
            known.usage[k] > here || bound[k] > here && get(&mut known, &mut best, k) > here
        };
        if higher(j - 1) || higher(j + 1) {
            continue;
        }
        let (lower, upper) = (
            get(&mut known, &mut best, j - 1),
            get(&mut known, &mut best, j + 1),
        );
        let (h1, h2) = (xs[j] - xs[j - 1], xs[j + 1] - xs[j]);
        let (_, rise) = vertex(h1, h2, here - lower, here - upper);
        if rise < 1e-9 * here && here < best.usage
            || here + 2.0 * rise + 0.05 * (here - lower.min(upper)) < best.usage
        {
            continue;
        }
        refine(
            [xs[j - 1], xs[j], xs[j + 1]],
            [lower, here, upper],
            &exact,
            &mut best,
        );
    }
    Worst {
        usage: best.usage.sqrt(),
        ..best
    }
}

/// The greatest magnitude of a field from its values at the stations; `exact` gives it at x (m).
pub fn peak(grid: &Grid, field: &[f64; STATIONS], exact: impl Fn(f64) -> f64) -> f64 {
    let squares: Bounds = std::array::from_fn(|j| field[j] * field[j]);
    search(grid, &squares, |j| squares[j], |x| exact(x).powi(2)).usage
}

/// The exact function at a place (m); the best so far follows.
#[inline]
fn look(x: f64, exact: &impl Fn(f64) -> f64, best: &mut Worst) -> f64 {
    let usage = exact(x);
    if usage > best.usage {
        *best = Worst { usage, x };
    }
    usage
}

/// Vertex of the parabola through a summit and its neighbours: distance from the middle point and rise
/// above it. `d1`, `d2` are how far the neighbours lie below.
#[inline]
fn vertex(h1: f64, h2: f64, d1: f64, d2: f64) -> (f64, f64) {
    let curvature = (d1 / h1 + d2 / h2) / (h1 + h2);
    let slope = (d1 * h2 / h1 - d2 * h1 / h2) / (h1 + h2);
    if curvature <= 0.0 {
        return (0.0, 0.0);
    }
    let shift = 0.5 * slope / curvature;
    (shift, 0.5 * slope * shift)
}

/// Raises `best` to the summit inside a bracket: parabolas, with golden cuts when they creep.
fn refine(mut x: [f64; 3], mut f: [f64; 3], exact: &impl Fn(f64) -> f64, best: &mut Worst) {
    const GOLDEN: f64 = 0.381_966;
    let mut width = x[2] - x[0];
    let mut foretold = false;
    for round in 0..40 {
        let (h1, h2) = (x[1] - x[0], x[2] - x[1]);
        let (mut shift, rise) = vertex(h1, h2, f[1] - f[0], f[1] - f[2]);
        if foretold && rise < 3e-7 * f[1] {
            return;
        }
        let mut expected = f[1] + rise;
        let creeping = round % 3 == 2 && x[2] - x[0] > 0.5 * width;
        if round % 3 == 2 {
            width = x[2] - x[0];
        }
        let least = 1e-3 * (h1 + h2);
        if creeping {
            shift = if h2 > h1 { GOLDEN * h2 } else { -GOLDEN * h1 };
            expected = f64::NAN;
        } else if shift.abs() < least {
            // On the vertex already: a look to the longer side proves or moves it.
            if rise < 1e-9 * f[1] && round > 0 {
                return;
            }
            shift = if h2 > h1 {
                least.max(0.02 * h2)
            } else {
                -least.max(0.02 * h1)
            };
            expected = f[1] + rise;
        }
        let at = x[1] + shift;
        let value = look(at, exact, best);
        if value >= f[1] {
            if shift > 0.0 {
                (x, f) = ([x[1], at, x[2]], [f[1], value, f[2]]);
            } else {
                (x, f) = ([x[0], at, x[1]], [f[0], value, f[1]]);
            }
        } else if shift > 0.0 {
            x[2] = at;
            f[2] = value;
        } else {
            x[0] = at;
            f[0] = value;
        }
        if x[2] - x[0] < 1e-9 * (x[2].abs() + 1e-9) {
            return;
        }
        // The parabola foretold this value; the next round looks whether the new one agrees.
        foretold = (value - expected).abs() < 3e-7 * f[1];
    }
}

/// Angle of the worst point of one place under repeated load, for the sum of both uses.
pub fn worst_angle_twice(
    still: &Station,
    pulse: &Station,
    once: &Strengths,
    often: &Strengths,
) -> Angle {
    let (once, often) = (once.inverse(), often.inverse());
    from_si(sum_of_uses(still, pulse, &once, &often).1.angle())
}

/// Angle of the worst point of one station, and U there.
pub fn worst_angle(station: &Station, strengths: &Strengths) -> (Ratio, Angle) {
    let (u2, turn) = Quarter::new(station, strengths).summit();
    (number(u2.sqrt()), from_si(turn.angle()))
}

#[cfg(test)]
mod tests {
    use super::super::bond::{area as bond_area, volume as bond_volume};
    use super::super::rocking::{
        Layer, Rocking, Tilt, Tube, confined_modulus, normal_stiffness, shear_stiffness,
    };
    use super::*;
    use proptest::prelude::*;

    fn close(a: f64, b: f64, tolerance: f64) {
        assert!(
            (a - b).abs() <= tolerance * b.abs(),
            "{a} against {b}, off by {:e}",
            a / b - 1.0
        );
    }

    // bond_and_materials.md, 1.7, HS-1 [derived]: tau_p 35, G 1000, gamma_e 0.035, gamma_p 0.5, eta 0.2.
    const TAU_P: f64 = 35.0;

    #[test]
    fn capacity_of_an_endless_overlap() {
        // A very wide ring of unit circumference stands for the flat line: E·A = K·1 m.
        let r_b = from_si(0.5 / std::f64::consts::PI);
        let k = newton(140_000e3);
        let together = axial_capacity(
            r_b,
            mm(0.2),
            mm(1e5),
            number(0.0),
            megapascal(TAU_P),
            number(0.035),
            number(0.5),
            k,
            k,
        );
        // Load that passes through from end to end takes 1 + K_min/K_max times as much: 2 here.
        close(2.0 * si(together), 1424.289e3, 1e-6);
    }

    #[test]
    fn capacities_of_a_tube() {
        // 1.7, tubes of the case SB-1 (sections of 1.3) [derived]: axial 191.07 kN, cap 176.81 kN;
        // torque 2053.8 N·m, cap 3553.9 N·m; load passing through.
        let (ea1, ea2) = (68_300e6 * 294.5243e-6, 50_000e6 * 409.0354e-6);
        let axial = |length: f64| {
            si(axial_capacity(
                mm(20.1),
                mm(0.2),
                mm(length),
                number(0.0),
                megapascal(TAU_P),
                number(0.035),
                number(0.5),
                newton(ea1),
                newton(ea2),
            ))
        };
        close(axial(1e5) * (1.0 + ea1 / ea2), 191.07e3, 2.6e-5);
        // Fully plastic where the overlap is short.
        close(
            si(bond_area(mm(20.1), mm(40.0), number(0.0))) * TAU_P * 1e6,
            176.81e3,
            2.8e-5,
        );
        close(axial(10.0), 176.81e3 / 4.0, 2.8e-5);
        let (j1, j2): (SecondMoment, SecondMoment) =
            (from_si(104_003.90e-12), from_si(193_530.99e-12));
        let torque = |length: f64| {
            si(torque_capacity(
                mm(20.1),
                mm(0.2),
                mm(length),
                number(0.0),
                megapascal(TAU_P),
                number(0.035),
                number(0.5),
                megapascal(25_676.69),
                j1,
                megapascal(19_000.0),
                j2,
            ))
        };
        let (k1, k2) = (25_676.69 * 104_003.90, 19_000.0 * 193_530.99);
        close(torque(1e5) * (1.0 + k1 / k2), 2053.8, 2.5e-5);
        close(torque(4.0) * 10.0, 3553.9, 2.5e-5);
        assert!(
            axial_capacity::FORMULA.readable().contains("min(A·τ_p"),
            "{}",
            axial_capacity::FORMULA.readable()
        );
    }

    #[test]
    fn ductile_strength_matches_the_plastic_zone() {
        // 1.7 [derived]: balanced line, ratio of plastic to elastic capacity 5.437962 = sqrt(1 + 2·gp/ge).
        let tau = effective_shear_strength(
            number(0.8),
            megapascal(TAU_P),
            number(0.5),
            megapascal(1000.0),
        );
        close(si(tau), 0.8 * TAU_P * 1e6 * 5.437962, 1e-6);
    }

    #[test]
    fn lines_and_their_ends() {
        let hot = celsius(80.0);
        let at = |t: f64| temperature_factor(celsius(t), hot, number(0.4));
        assert_eq!(at(-30.0), Judged::Value(number(1.0)));
        assert_eq!(at(20.0), Judged::Value(number(1.0)));
        for (t, expected) in [(50.0, 0.7), (80.0, 0.4)] {
            match at(t) {
                Judged::Value(f) => close(si(f), expected, 1e-12),
                Judged::Not => panic!("{t} is inside"),
            }
        }
        assert_eq!(at(80.1), Judged::Not);
        for (r, f) in [
            (3.0, 1.0),
            (1.5, 1.0),
            (1.02, 1.6),
            (0.54, 2.2),
            (0.405, 2.8),
            (0.27, 3.4),
        ] {
            match soft_wall_factor(number(r)) {
                Judged::Value(found) => close(si(found), f, 1e-12),
                Judged::Not => panic!("{r} is inside"),
            }
        }
        assert_eq!(soft_wall_factor(number(0.269)), Judged::Not);
        assert_eq!(soft_wall_factor(number(f64::NAN)), Judged::Not);
    }

    #[test]
    fn mean_use_and_volume() {
        let a = bond_area(mm(20.0), mm(40.0), number(0.1));
        let f = si(a) * 30e6 * 0.5;
        close(
            si(mean_use(
                newton(3e3),
                newton_metre(80.0),
                mm(20.0),
                a,
                megapascal(30.0),
                number(0.5),
            )),
            5e3 / f,
            1e-12,
        );
        // bond_and_materials.md, 8 [derived]: 40.4/40.0 over 40 mm holds 1010.34 mm³, to its last digit.
        close(
            si(bond_volume(mm(20.1), mm(0.2), mm(40.0))),
            1010.34e-9,
            5e-6,
        );
        close(si(strength_ratio(number(0.5), number(0.8))), 1.25, 1e-15);
    }

    #[test]
    fn first_ply() {
        let glue = Adhesive {
            tension: megapascal(30.0),
            tau_p: megapascal(25.0),
            gamma_p: number(0.3),
            shear_modulus: megapascal(1000.0),
        };
        let ply = Laminate {
            tension: megapascal(20.0),
            shear: megapascal(60.0),
        };
        let factors = Factors {
            surface: number(0.5),
            other: number(0.8),
        };
        let ductile = Strengths::new(&glue, Some(&ply), &factors, Limit::Ductile);
        // Adhesive 12 MPa across with the surface factor, laminate 16 without; shear raised to 50 by ductility, laminate 48.
        close(ductile.sigma, 12e6, 1e-12);
        close(ductile.tau, 48e6, 1e-12);
        close(
            Strengths::new(&glue, None, &factors, Limit::Ductile).tau,
            50e6,
            1e-12,
        );
        let share = Strengths::new(&glue, Some(&ply), &factors, Limit::Share(number(0.3)));
        close(share.sigma, 3.6e6, 1e-12);
        close(share.tau, 3e6, 1e-12);
        let creep = Strengths::new(&glue, None, &factors, Limit::ShearShare(number(0.3)));
        close(creep.sigma, 12e6, 1e-12);
        close(creep.tau, 3e6, 1e-12);
    }

    #[test]
    fn a_field_with_one_value_that_is_no_number() {
        assert!(finite([&NOTHING, &NOTHING]));
        for j in 0..STATIONS {
            for wrong in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
                let mut field = NOTHING;
                field[j] = wrong;
                assert!(!finite([&NOTHING, &field]), "{wrong} at {j}");
            }
        }
    }

    #[test]
    fn no_strength_and_no_stress() {
        let nothing = Strengths {
            sigma: 0.0,
            tau: 0.0,
        };
        assert_eq!(worst_angle(&Station::default(), &nothing).0, number(0.0));
        let some = Station {
            peel: 1.0,
            ..Station::default()
        };
        assert!(si(worst_angle(&some, &nothing).0) > 1e50);
    }

    fn brute_angle(value: impl Fn(f64) -> f64) -> f64 {
        (0..=4000)
            .map(|k| value(k as f64 / 4000.0 * std::f64::consts::FRAC_PI_2))
            .fold(0.0, f64::max)
    }

    fn part() -> impl Strategy<Value = f64> {
        prop_oneof![1 => Just(0.0), 4 => -40e6..40e6f64]
    }
    prop_compose! {
        fn any_station()(
            sigma_thermal in part(), tau_axial in part(), tau_thermal in part(), tau_torsion in part(),
            peel in part(), rock_axial in part(), rock_hoop in part(),
        ) -> Station {
            Station { sigma_thermal, tau_axial, tau_thermal, tau_torsion, peel, rock_axial, rock_hoop }
        }
    }

    /// A whole bond: rocking of a sleeve, ladder-like decays from the ends and the thread's edges.
    struct Bond {
        rocking: Rocking,
        layer: Layer,
        length: f64,
        rates: [f64; 2],
    }

    #[derive(Debug, Clone, Copy)]
    struct State {
        sigma: f64,
        thermal: f64,
        axial: [f64; 4],
        torsion: [f64; 2],
        force: f64,
        moment: f64,
    }

    impl Bond {
        fn new(eta: f64, length: f64, start: f64, engaged: f64, rates: [f64; 2]) -> Self {
            let tube = Tube {
                young: megapascal(68_300.0),
                shear: megapascal(25_676.69),
                poisson: number(0.33),
                inner: mm(35.0),
                outer: mm(40.0),
            };
            let g = megapascal(1086.957);
            let layer = Layer {
                k_n: normal_stiffness(confined_modulus(g, number(0.38)), mm(eta)),
                k_s: shear_stiffness(g, mm(eta)),
                mid_radius: mm(20.0 + 0.5 * eta),
                voids: number(0.0),
            };
            let rocking = Rocking::new(&tube, &layer, mm(length), mm(start), mm(engaged)).unwrap();
            Bond {
                rocking,
                layer,
                length: length * 1e-3,
                rates,
            }
        }

        fn station(&self, state: &State, tilt: &Tilt, x: f64) -> Station {
            let at = tilt.at(x);
            let (k_n, k_s, r_b) = (
                si(self.layer.k_n),
                si(self.layer.k_s),
                si(self.layer.mid_radius),
            );
            let b = self.rates[0];
            let breaks = self.rocking.breaks();
            // Kinks of the slope at the breakpoints, as a thread's edges give them.
            let axial: f64 = breaks
                .iter()
                .zip(state.axial)
                .map(|(edge, a)| a * (-b * (x - edge).abs()).exp())
                .sum();
            let t = self.rates[1];
            Station {
                sigma_thermal: state.sigma,
                tau_axial: axial,
                tau_thermal: state.thermal
                    * ((b * (x - 0.5 * self.length)).sinh() / (0.5 * b * self.length).cosh()),
                tau_torsion: state.torsion[0] * (-t * x).exp()
                    + state.torsion[1] * (-t * (self.length - x)).exp(),
                peel: k_n * at.w,
                rock_axial: k_s * r_b * at.psi,
                rock_hoop: k_s * at.w,
            }
        }

        fn sampled(&self, grid: &Grid, state: &State, tilt: &Tilt) -> [[f64; STATIONS]; 6] {
            let mut out = [[0.0; STATIONS]; 6];
            for (j, x) in grid.x().iter().enumerate() {
                let s = self.station(state, tilt, *x);
                for (field, value) in out.iter_mut().zip([
                    s.tau_axial,
                    s.tau_thermal,
                    s.tau_torsion,
                    s.peel,
                    s.rock_axial,
                    s.rock_hoop,
                ]) {
                    field[j] = value;
                }
            }
            out
        }
    }

    fn samples<'a>(sigma_thermal: f64, f: &'a [[f64; STATIONS]; 6]) -> Samples<'a> {
        let some = |field: &[f64; STATIONS]| field.iter().any(|v| *v != 0.0);
        let top = (0..STATIONS).max_by(|i, j| f[3][*i].abs().total_cmp(&f[3][*j].abs()));
        let top = top.unwrap_or(0);
        Samples {
            sigma_thermal,
            tau_axial: &f[0],
            tau_thermal: (1.0, &f[1]),
            tau_torsion: some(&f[2]).then_some(&f[2]),
            rocking: some(&f[3]).then_some(Rocked {
                peel: &f[3],
                axial: &f[4],
                hoop_share: f[5][top] / f[3][top],
            }),
        }
    }

    prop_compose! {
        fn any_state()(
            sigma in prop_oneof![Just(0.0), -12e6..12e6f64],
            thermal in prop_oneof![Just(0.0), -20e6..20e6f64],
            axial in prop::array::uniform4(-15e6..15e6f64),
            torsion in prop_oneof![Just([0.0, 0.0]), prop::array::uniform2(-15e6..15e6f64)],
            force in -4000.0..4000.0f64, moment in -150.0..150.0f64,
        ) -> State {
            State { sigma, thermal, axial, torsion, force, moment }
        }
    }
    prop_compose! {
        fn any_bond()(
            eta in -1.3..0.3f64, length in 8.0..70.0f64, start in prop_oneof![Just(0.0), 1.0..25.0f64],
            engaged in 4.0..40.0f64, near in 0.3..8.0f64, round in 0.3..8.0f64,
        ) -> Bond {
            // Decay lengths of the other fields between 0.3 and 8 mm.
            Bond::new(10f64.powf(eta), length, start, engaged, [1e3 / near, 1e3 / round])
        }
    }
    impl std::fmt::Debug for Bond {
        fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
            write!(f, "{:?} {:?}", self.rocking.beam(), self.rates)
        }
    }

    /// Places dense enough to prove it: graded to both ends of each part.
    fn dense(bond: &Bond, mut value: impl FnMut(f64) -> f64) -> f64 {
        const COUNT: usize = 1200;
        let mut top = 0.0f64;
        for pair in bond.rocking.breaks().windows(2) {
            for k in 0..=COUNT {
                let s = 0.5 * (1.0 - (k as f64 / COUNT as f64 * std::f64::consts::PI).cos());
                top = top.max(value(pair[0] + s * (pair[1] - pair[0])));
            }
        }
        top
    }

    /// How closely the worst place is found: mostly to rounding, and now and then a low summit between stations
    /// is passed over for one that is nearly as high. Some 100 000 random bonds gave 5e-4 at most.
    const NEARLY: f64 = 8e-4;

    fn cases() -> ProptestConfig {
        let mut config = ProptestConfig {
            cases: std::env::var("PROPTEST_CASES")
                .ok()
                .and_then(|n| n.parse().ok())
                .unwrap_or(96),
            ..ProptestConfig::default()
        };
        config.failure_persistence = None;
        config
    }

    proptest! {
        #![proptest_config(cases())]

        #[test]
        fn angle_against_brute_force(s in any_station(), sigma in 5e6..60e6f64, tau in 5e6..60e6f64) {
            let k = Strengths { sigma, tau };
            let (u, phi) = worst_angle(&s, &k);
            let brute = brute_angle(|phi| s.use_at(phi, &k));
            prop_assert!(si(u) >= brute * (1.0 - 1e-9), "{} {}", si(u), brute);
            prop_assert!(si(u) <= brute * (1.0 + 1e-6) , "{} {}", si(u), brute);
            prop_assert!((s.use_at(si(phi), &k) - si(u)).abs() <= 1e-9 * si(u));
        }

        #[test]
        fn sum_against_brute_force(s in any_station(), p in any_station(), sigma in 5e6..60e6f64, tau in 5e6..60e6f64) {
            let (once, endurance) = (Strengths { sigma, tau }, Strengths { sigma: 0.2 * sigma, tau: 0.3 * tau });
            let (one, two) = (s.plus(0.5, &p), Station::default().plus(0.5, &p));
            let (u, _) = summit_of_sum(&Quarter::new(&one, &once), &Quarter::new(&two, &endurance));
            let brute = brute_angle(|phi| one.use_at(phi, &once) + two.use_at(phi, &endurance));
            prop_assert!(u >= brute * (1.0 - 1e-5), "{u} {brute}");
            prop_assert!(u <= brute * (1.0 + 1e-6), "{u} {brute}");
        }

        /// Bounds lie above what they bound, and by no more than their parts can: also where the shear around the axis
        /// leads.
        #[test]
        fn bounds_hold_where_the_hoop_shear_leads(
            s in any_station(), p in any_station(), share in 0.0..6.0f64, sigma in 5e6..60e6f64, tau in 5e6..60e6f64,
        ) {
            let (once, often) = (Strengths { sigma, tau }, Strengths { sigma: 0.2 * sigma, tau: 0.3 * tau });
            let all = |v: f64| [v; STATIONS];
            let (axial, thermal, pulse) = (all(s.tau_axial), all(s.tau_thermal), all(p.tau_axial));
            let (peel, along) = (all(p.peel), all(p.rock_axial));
            let rocking = Some(Rocked { peel: &peel, axial: &along, hoop_share: share });
            let grid = Grid::new(&[0.0, 0.01, 0.02], 1e-3);
            let still = Still { sigma_thermal: s.sigma_thermal, tau_axial: &axial, tau_thermal: (1.0, &thermal) };
            let pulsating = Pulsating { tau_axial: &pulse, rocking };
            let bound = bounds_twice(&grid, &still, &pulsating, &once, &often)[3];
            let (one, two) = (still.station(3).plus(0.5, &pulsating.station(3)), Station::default().plus(0.5, &pulsating.station(3)));
            let most = brute_angle(|phi| one.use_at(phi, &once) + two.use_at(phi, &often)).powi(2);
            prop_assert!(most <= bound * (1.0 + 1e-9) && bound <= 8.01 * most, "{most} {bound}");
            let samples = Samples { sigma_thermal: s.sigma_thermal, tau_axial: &axial, tau_thermal: (1.0, &thermal), rocking, ..Samples::NONE };
            let [bound] = bounds(&grid, &samples, [&once]);
            let most = brute_angle(|phi| samples.station(3).use_at(phi, &once)).powi(2);
            prop_assert!(most <= bound[3] * (1.0 + 1e-9) && bound[3] <= 2.01 * most, "{most} {}", bound[3]);
        }

        #[test]
        fn worst_against_brute_force(bond in any_bond(), state in any_state(), sigma in 5e6..60e6f64, tau in 5e6..60e6f64) {
            let k = Strengths { sigma, tau };
            let tilt = bond.rocking.tilt(state.force, state.moment);
            let layer = si(bond.rocking.layer()).min(1.0 / bond.rates[0]).min(1.0 / bond.rates[1]);
            let grid = Grid::new(bond.rocking.breaks(), layer);
            let fields = bond.sampled(&grid, &state, &tilt);
            let found = worst(&grid, &samples(state.sigma, &fields), &k, |x| bond.station(&state, &tilt, x));
            let brute = dense(&bond, |x| si(worst_angle(&bond.station(&state, &tilt, x), &k).0));
            prop_assert!((found.usage / brute - 1.0).abs() < NEARLY, "{found:?} {brute}");
            let at = bond.station(&state, &tilt, found.x);
            let (u, phi) = worst_angle(&at, &k);
            close(si(u), found.usage, 1e-7);
            close(at.use_at(si(phi), &k), found.usage, 1e-7);
        }

        /// What rules states out must never lie below what they are.
        #[test]
        fn nothing_exceeds_its_bounds(bond in any_bond(), state in any_state(), sigma in 5e6..60e6f64, tau in 5e6..60e6f64) {
            let k = Strengths { sigma, tau };
            let tilt = bond.rocking.tilt(state.force, state.moment);
            let grid = bond.rocking.grid();
            let fields = bond.sampled(&grid, &state, &tilt);
            let samples = samples(state.sigma, &fields);
            let [bounds] = bounds(&grid, &samples, [&k]);
            let most = Station {
                sigma_thermal: state.sigma,
                tau_axial: greatest(&fields[0]),
                tau_thermal: greatest(&fields[1]),
                tau_torsion: greatest(&fields[2]),
                peel: greatest(&fields[3]),
                rock_axial: greatest(&fields[4]),
                rock_hoop: greatest(&fields[5]),
            };
            let ceiling = ceiling(&most, &k);
            for (j, bound) in bounds.iter().enumerate().take(grid.len()) {
                let here = si(worst_angle(&samples.station(j), &k).0);
                prop_assert!(here * here <= bound * (1.0 + 1e-12), "{here} {}", bound.sqrt());
                prop_assert!(here <= ceiling * (1.0 + 1e-12), "{here} {ceiling}");
            }
        }

        #[test]
        fn torsion_reaches_its_target(bond in any_bond(), state in any_state(), target in 0.3..3.0f64, tau in 5e6..60e6f64) {
            let k = Strengths { sigma: 30e6, tau };
            let tilt = bond.rocking.tilt(0.0, 0.0);
            let layer = (1.0 / bond.rates[0]).min(1.0 / bond.rates[1]);
            let grid = Grid::new(bond.rocking.breaks(), layer);
            let fields = bond.sampled(&grid, &state, &tilt);
            let exact = |x| bond.station(&state, &tilt, x);
            let factor = si(torsion_to_reach(&grid, &samples(state.sigma, &fields), &k, number(target), exact));
            let used = |factor: f64| {
                let state = State { torsion: state.torsion.map(|t| factor * t), ..state };
                dense(&bond, |x| si(worst_angle(&bond.station(&state, &tilt, x), &k).0))
            };
            if factor == 0.0 {
                prop_assert!(used(0.0) >= target * (1.0 - NEARLY));
            } else if factor.is_finite() {
                prop_assert!((used(factor) / target - 1.0).abs() < NEARLY, "{factor} {}", used(factor));
            } else {
                prop_assert!(state.torsion == [0.0; 2]);
            }
        }

        #[test]
        fn endurance_against_brute_force(
            bond in any_bond(), state in any_state(), pulse in any_state(), sigma in 5e6..60e6f64, tau in 5e6..60e6f64,
        ) {
            let (once, endurance) = (Strengths { sigma, tau }, Strengths { sigma: 0.3 * sigma, tau: 0.2 * tau });
            let pulse = State { sigma: 0.0, thermal: 0.0, torsion: [0.0; 2], ..pulse };
            let state = State { torsion: [0.0; 2], ..state };
            let (t1, t2) = (bond.rocking.tilt(0.0, 0.0), bond.rocking.tilt(pulse.force, pulse.moment));
            let layer = si(bond.rocking.layer()).min(1.0 / bond.rates[0]).min(1.0 / bond.rates[1]);
            let grid = Grid::new(bond.rocking.breaks(), layer);
            let (f1, f2) = (bond.sampled(&grid, &state, &t1), bond.sampled(&grid, &pulse, &t2));
            let at = |x: f64| (bond.station(&state, &t1, x), bond.station(&pulse, &t2, x));
            let still = Still { sigma_thermal: state.sigma, tau_axial: &f1[0], tau_thermal: (1.0, &f1[1]) };
            let pulsating = Pulsating { tau_axial: &f2[0], rocking: samples(0.0, &f2).rocking };
            let found = worst_endurance(&grid, &still, &pulsating, &once, &endurance, 0.0, at).unwrap();
            let brute = dense(&bond, |x| {
                let (s, p) = at(x);
                summit_of_sum(
                    &Quarter::new(&s.plus(0.5, &p), &once),
                    &Quarter::new(&Station::default().plus(0.5, &p), &endurance),
                ).0
            });
            prop_assert!((found.usage / brute - 1.0).abs() < NEARLY, "{found:?} {brute}");
        }

        #[test]
        fn grid_marches_as_it_stands(a in 0.1..30.0f64, b in 1.0..30.0f64, layer in 0.05..10.0f64, rate in 10.0..3000.0f64) {
            let grid = Grid::new(&[0.0, a * 1e-3, (a + b) * 1e-3], layer * 1e-3);
            for (g, part) in grid.parts().iter().enumerate() {
                let decay = part.decay(rate);
                for (k, j) in grid.range(g).enumerate() {
                    let x = grid.x()[j];
                    prop_assert!((decay[k] - (-rate * (x - part.left)).exp()).abs() < 1e-12);
                    prop_assert!(k == 0 || x > grid.x()[j - 1]);
                }
            }
        }
    }

    #[test]
    #[ignore = "a measurement; run in release"]
    fn timing() {
        let bond = Bond::new(0.2, 40.0, 6.0, 20.0, [250.0, 400.0]);
        let state = State {
            sigma: 5e6,
            thermal: 12e6,
            axial: [8e6, -4e6, 5e6, 3e6],
            torsion: [6e6, 2e6],
            force: 1500.0,
            moment: 45.0,
        };
        let k = Strengths {
            sigma: 30e6,
            tau: 60e6,
        };
        let e = Strengths {
            sigma: 9e6,
            tau: 8e6,
        };
        let tilt = bond.rocking.tilt(state.force, state.moment);
        let grid = bond.rocking.grid();
        for (name, state) in [
            ("all parts", state),
            (
                "no torsion",
                State {
                    torsion: [0.0; 2],
                    ..state
                },
            ),
            (
                "rocking alone",
                State {
                    torsion: [0.0; 2],
                    thermal: 0.0,
                    sigma: 0.0,
                    axial: [0.0; 4],
                    ..state
                },
            ),
            (
                "no rocking",
                State {
                    force: 0.0,
                    moment: 0.0,
                    ..state
                },
            ),
        ] {
            let tilt = if state.force == 0.0 {
                bond.rocking.tilt(0.0, 0.0)
            } else {
                tilt
            };
            let f = bond.sampled(&grid, &state, &tilt);
            let calls = std::cell::Cell::new(0);
            let run = |label: &str, g: &dyn Fn() -> f64| {
                calls.set(0);
                let rounds = 100_000;
                let start = std::time::Instant::now();
                let mut sum = 0.0;
                for _ in 0..rounds {
                    sum += g();
                }
                println!(
                    "{name}, {label}: {:.0} ns, {:.1} exact looks ({:e})",
                    start.elapsed().as_nanos() as f64 / rounds as f64,
                    calls.get() as f64 / rounds as f64,
                    sum / rounds as f64
                );
            };
            run("worst", &|| {
                let s = std::hint::black_box(samples(state.sigma, &f));
                worst(&grid, &s, &k, |x| {
                    calls.set(calls.get() + 1);
                    bond.station(&state, &tilt, x)
                })
                .usage
            });
            run("endurance", &|| {
                let s = std::hint::black_box(samples(state.sigma, &f));
                let none = Still {
                    sigma_thermal: state.sigma,
                    tau_axial: &NOTHING,
                    tau_thermal: (1.0, &f[1]),
                };
                let pulse = Pulsating {
                    tau_axial: s.tau_axial,
                    rocking: s.rocking,
                };
                worst_endurance(&grid, &none, &pulse, &k, &e, 0.0, |x| {
                    calls.set(calls.get() + 1);
                    let at = bond.station(&state, &tilt, x);
                    (
                        Station {
                            sigma_thermal: at.sigma_thermal,
                            tau_thermal: at.tau_thermal,
                            ..Station::default()
                        },
                        Station {
                            sigma_thermal: 0.0,
                            tau_thermal: 0.0,
                            tau_torsion: 0.0,
                            ..at
                        },
                    )
                })
                .unwrap()
                .usage
            });
        }
    }

    #[test]
    fn factors_multiply() {
        near(si(knock_down(number(0.9), number(0.8), number(0.5))), 0.36);
        near(
            si(cut_strength(number(0.5), megapascal(40.0), number(0.3))),
            6e6,
        );
    }

    /// Around the ring the rocking counts in full at its crest, by half at 60 degrees, and turns its sign beyond 90.
    #[test]
    fn stresses_at_a_point_by_hand() {
        let mpa = |p: Pressure| Unit::Megapascal.of(si(p));
        let across = |phi: f64| mpa(across(megapascal(5.0), megapascal(10.0), degree(phi)));
        near(across(0.0), 15.0);
        near(across(60.0), 10.0);
        near(across(180.0), -5.0);
        let (axial, thermal, rocking) = (megapascal(1.0), megapascal(2.0), megapascal(4.0));
        near(mpa(shear_along(axial, thermal, rocking, degree(60.0))), 5.0);
        near(mpa(shear_around(axial, rocking, degree(30.0))), 3.0);
    }

    #[test]
    fn uses_by_hand() {
        let (sigma_a, tau) = (megapascal(20.0), megapascal(10.0));
        let at = |sigma: f64, along: f64, around: f64| {
            si(point_use(
                megapascal(sigma),
                sigma_a,
                megapascal(along),
                megapascal(around),
                tau,
            ))
        };
        // Roots of 0.04 + 0.16 + 0.16, of 0.09 + 0.16 with compression, of single parts.
        near(at(4.0, 4.0, 4.0), 0.6);
        near(at(-50.0, 3.0, 4.0), 0.5);
        near(at(15.0, 0.0, 0.0), 0.75);
        near(at(0.0, 3.0, 0.0), 0.3);
        near(at(0.0, 0.0, 4.0), 0.4);
        for (a, b) in [(0.4, 0.7), (0.7, 0.4)] {
            near(si(greater_use(number(a), number(b))), 0.7);
        }
        near(si(repeated_use(number(0.3), number(0.4))), 0.7);
    }

    fn near(got: f64, want: f64) {
        assert!((got - want).abs() <= 1e-12 * want.abs(), "{got} not {want}");
    }

    /// Without rocking a station's use is the same all round, and is what the quick sum says.
    #[test]
    fn a_place_that_does_not_rock_is_alike_all_round() {
        let strengths = Strengths {
            sigma: 20e6,
            tau: 10e6,
        };
        for sigma in [4e6, -4e6] {
            let station = Station {
                sigma_thermal: sigma,
                tau_axial: -2e6,
                tau_thermal: 1e6,
                tau_torsion: 5e6,
                ..Station::default()
            };
            let (plain, turned) = strengths.inverse().all_round(&station);
            // (4/20)² where it pulls, ((2 + 1)/10)², (5/10)².
            near(plain, if sigma > 0.0 { 0.04 + 0.09 } else { 0.09 });
            near(turned, 0.25);
            for phi in [0.0, 0.7, 2.0] {
                near(station.use_at(phi, &strengths).powi(2), plain + turned);
            }
        }
    }

    #[test]
    fn stations_add_part_by_part_with_their_signs() {
        let parts = |s: Station| {
            [
                s.sigma_thermal,
                s.tau_axial,
                s.tau_thermal,
                s.tau_torsion,
                s.peel,
                s.rock_axial,
                s.rock_hoop,
            ]
        };
        let station = |v: [f64; 7]| Station {
            sigma_thermal: v[0],
            tau_axial: v[1],
            tau_thermal: v[2],
            tau_torsion: v[3],
            peel: v[4],
            rock_axial: v[5],
            rock_hoop: v[6],
        };
        let sum = station([1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0]).plus(
            -2.0,
            &station([10.0, -20.0, 30.0, -40.0, 50.0, -60.0, 70.0]),
        );
        assert_eq!(parts(sum), [-19.0, 42.0, -57.0, 84.0, -95.0, 126.0, -133.0]);
    }
}
