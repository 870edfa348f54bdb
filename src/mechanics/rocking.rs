//! Rocking: an insert tilted in its glue by a lateral force and a moment from the thread.
//!
//! The insert is a Timoshenko beam on a two-parameter foundation, free at both ends. With `w` the
//! lateral displacement and `ψ` the rotation of the section (positive when it agrees with `dw/dx`):
//!
//! ```text
//! Q = S·(w' − ψ)      M = B·ψ'
//! Q' = K_l·w − q      M' = K_r·ψ − Q − m
//! x = 0: Q = M = 0    x = L: Q = P, M = C
//! ```
//!
//! The thread hands over `V_b` and `M_b` as the uniform line load `q = V_b/L_e` and the uniform line
//! couple `m = −(M_b + V_b·(n + L_e/2))/L_e` over `n ≤ x ≤ n + L_e`. The minus: `M_b` is counted
//! positive as the moment of a force `V_b` standing *outside* the face (x < 0), which turns the section
//! against `dw/dx`; so `∫(q·x + m) dx = −M_b`, and force and moment tilt the insert the same way.
//! What the thread carries beyond `L` acts at `x = L` as force `P` and couple `C`, with its arm.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | `B` | bending stiffness E·I of the insert | N·m² |
//! | `S` | shear stiffness kappa·G·A of the insert | N |
//! | `K_l` | lateral stiffness of the glue per length | N/m² |
//! | `K_r` | rotary stiffness of the glue per length | N |
//! | `k_n`, `k_s` | layer stiffness across and along the glue | N/m³ |
//! | `r_b` | radius of the middle of the glue | m |
//! | `L`, `n`, `L_e` | bond length, start of the thread, engaged length | m |
//! | `w`, `ψ` | displacement, rotation | m, rad |
//! | `λ` | roots of λ⁴ − (K_l/S + K_r/B)·λ² + K_l·(1 + K_r/S)/B = 0 | 1/m |
//!
//! # Solution
//!
//! The four roots are `±(p ± i·√z)`; `z > 0` is a decaying wave, `z < 0` two plain decays. Everything
//! is written in the pair `c(t) = e^(−pt)·cos(√z·t)`, `s(t) = e^(−pt)·sin(√z·t)/√z`, which is analytic
//! in `z`: equal roots are no special case. The edges of the thread are answered in closed form by the
//! infinitely long beam (a step of load splits into a constant and an odd or even part), and the two
//! ends are freed by decays that start at each end; mirror symmetry leaves two systems of two unknowns.
//!
//! Stresses at angle `φ` from the plane of tilting: `σ_n = k_n·w·cos φ`, `τ_x = k_s·r_b·ψ·cos φ`,
//! `τ_φ = k_s·w·sin φ`.
//!
//! Source: engineering basis, section 8; beam on elastic foundation after Hetényi, shear deformation
//! after Timoshenko, both as published methods, recalled and not looked up; the forms here derived anew.
//!
//! Validity: linear; round section (no ovalling); rigid frame (see the soft-wall factor of
//! [`glue`]); thread load uniform along the engagement; fillets and the end faces of the
//! glue left out. Rounding grows as (λL)⁻³ or so for an insert rigid against its glue: see the tests.

use super::formula::formula;
use super::glue::{self, Grid, PART, STATIONS, mirrored};
use super::quadrature::integrals;
use super::section::{ring_area, ring_second_moment};
use crate::units::*;

formula! {
    "Modulus of a confined adhesive layer across its thickness";
    source: "engineering basis, section 8; uniaxial strain of an isotropic layer";
    limits: "layer thin against its width, nu_a below 0.5";
    fn confined_modulus(G_a: Pressure, nu_a: Ratio) -> Pressure {
        let E_a = 2.0 * G_a * (1.0 + nu_a);
        E_a * (1.0 - nu_a) / ((1.0 + nu_a) * (1.0 - 2.0 * nu_a))
    }
}

formula! {
    "Stiffness of the glue layer across its thickness";
    source: "engineering basis, section 8";
    limits: "thin layer, no lateral give at its ends";
    fn normal_stiffness(E_c: Pressure, eta: Length) -> LayerStiffness {
        E_c / eta
    }
}

formula! {
    "Stiffness of the glue layer in shear";
    source: "engineering basis, section 8";
    limits: "thin layer, linear";
    fn shear_stiffness(G_a: Pressure, eta: Length) -> LayerStiffness {
        G_a / eta
    }
}

formula! {
    "Shear coefficient of a thin ring";
    source: "engineering basis, section 8; thin tube of Timoshenko's beam (Cowper's form, recalled)";
    limits: "thin-walled round tube";
    fn shear_coefficient(nu: Ratio) -> Ratio {
        2.0 * (1.0 + nu) / (4.0 + 3.0 * nu)
    }
}

formula! {
    "Moment that is left to rock the insert, its magnitude";
    source: "engineering basis, section 8: less what the frame's part of the seat carries";
    limits: "about the face; the sign is that of the overhang";
    fn moment_left(M: Torque, M_f: Torque) -> Torque {
        M - M_f
    }
}

formula! {
    "Lateral stiffness of the glue per length of insert";
    source: "engineering basis, section 8; integral of normal and hoop tractions around the ring";
    limits: "section stays round; voids spread evenly";
    fn lateral_stiffness(voids: Ratio, r_b: Length, k_n: LayerStiffness, k_s: LayerStiffness) -> Pressure {
        (1.0 - voids) * PI * r_b * (k_n + k_s)
    }
}

formula! {
    "Rotary stiffness of the glue per length of insert";
    source: "engineering basis, section 8; integral of axial tractions around the ring";
    limits: "section stays plane; voids spread evenly";
    fn rotary_stiffness(voids: Ratio, r_b: Length, k_s: LayerStiffness) -> Force {
        (1.0 - voids) * PI * r_b * r_b * r_b * k_s
    }
}

/// The insert as a tube.
#[derive(Debug, Clone, Copy)]
pub struct Tube {
    /// Young's modulus.
    pub young: Pressure,
    /// Shear modulus.
    pub shear: Pressure,
    /// Poisson's ratio, for the shear coefficient.
    pub poisson: Ratio,
    /// Inner diameter (the thread's basic major diameter).
    pub inner: Length,
    /// Outer diameter.
    pub outer: Length,
}

impl Tube {
    /// Shear stiffness kappa·G·A.
    pub fn shear_rigidity(&self) -> Force {
        shear_coefficient(self.poisson) * self.shear * ring_area(self.outer, self.inner)
    }
}

/// The glue as two spring layers.
#[derive(Debug, Clone, Copy)]
pub struct Layer {
    /// Stiffness across the layer.
    pub k_n: LayerStiffness,
    /// Stiffness along the layer.
    pub k_s: LayerStiffness,
    /// Radius of the middle of the glue.
    pub mid_radius: Length,
    /// Share of the layer that is missing.
    pub voids: Ratio,
}

/// The kernel's input: a beam, its foundation and where the thread lies, all in SI base units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beam {
    /// Bending stiffness E·I (N·m²).
    pub bending: f64,
    /// Shear stiffness kappa·G·A (N).
    pub shear: f64,
    /// Lateral stiffness of the foundation per length (N/m²).
    pub lateral: f64,
    /// Rotary stiffness of the foundation per length (N); may be zero.
    pub rotary: f64,
    /// Bonded length (m).
    pub length: f64,
    /// Start of the engaged thread behind the face (m).
    pub start: f64,
    /// Engaged length (m).
    pub engaged: f64,
}

/// Displacement, rotation and their slopes at one place, SI base units.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Place {
    /// Lateral displacement (m).
    pub w: f64,
    /// Rotation of the section (rad), positive along `dw/dx`.
    pub psi: f64,
    /// Slope of the displacement (-).
    pub dw: f64,
    /// Slope of the rotation (1/m).
    pub dpsi: f64,
}

/// A pair of coefficients on `c(t)` and `s(t)`.
type Pair = [f64; 2];

/// The roots, held so that equal ones are no special case.
#[derive(Debug, Clone, Copy)]
struct Roots {
    /// Real part of the root (1/m).
    p: f64,
    /// Square of the imaginary part (1/m²); negative for two real roots.
    z: f64,
    /// Square root of |z| (1/m).
    q: f64,
    /// Product of a root pair, p² + z (1/m²).
    g: f64,
    /// The slower of two real roots (1/m); `p` otherwise.
    slow: f64,
    /// Half the difference of K_l/S and K_r/B (1/m²).
    delta: f64,
    /// K_l/S (1/m²).
    share: f64,
}

impl Roots {
    fn new(beam: &Beam) -> Self {
        let share = beam.lateral / beam.shear;
        let rotary = beam.rotary / beam.bending;
        let k = (beam.lateral / beam.bending).sqrt();
        let delta = 0.5 * (share - rotary);
        let a = 0.5 * (share + rotary);
        let g = k * (1.0 + beam.rotary / beam.shear).sqrt();
        let p = (0.5 * (a + g)).sqrt();
        // (g − a)/2 without the cancellation that near-equal roots would bring.
        let z = 0.5 * (k - delta) * (k + delta) / (g + a);
        let q = z.abs().sqrt();
        let slow = if z < 0.0 { g / (p + q) } else { p };
        Roots {
            p,
            z,
            q,
            g,
            slow,
            delta,
            share,
        }
    }

    /// `c(t)` and `s(t)`.
    #[inline]
    fn at(&self, t: f64) -> Pair {
        let e = (-self.slow * t).exp();
        if self.q * t < 1e-9 {
            return [e, e * t];
        }
        if self.z > 0.0 {
            let (sin, cos) = (self.q * t).sin_cos();
            [e * cos, e * sin / self.q]
        } else {
            let k = (-2.0 * self.q * t).exp_m1();
            [e * (1.0 + 0.5 * k), -0.5 * e * k / self.q]
        }
    }

    /// The pair at the sum of two distances.
    #[inline]
    fn add(&self, a: Pair, b: Pair) -> Pair {
        [
            a[0] * b[0] - self.z * a[1] * b[1],
            a[1] * b[0] + a[0] * b[1],
        ]
    }

    /// Coefficients of the same decay counted from a place farther on, `e` being the pair between.
    #[inline]
    fn shift(&self, v: Pair, e: Pair) -> Pair {
        [
            v[0] * e[0] + v[1] * e[1],
            v[1] * e[0] - self.z * v[0] * e[1],
        ]
    }

    /// Coefficients of the derivative along the decay.
    #[inline]
    fn slope(&self, v: Pair) -> Pair {
        [v[1] - self.p * v[0], -self.z * v[0] - self.p * v[1]]
    }

    /// Coefficients of the decaying integral along the decay.
    #[inline]
    fn integral(&self, v: Pair) -> Pair {
        [
            -(self.p * v[0] + v[1]) / self.g,
            (self.z * v[0] - self.p * v[1]) / self.g,
        ]
    }

    /// Coefficients of the rotation that goes with a displacement.
    #[inline]
    fn rotation(&self, v: Pair) -> Pair {
        let (d, i) = (self.slope(v), self.integral(v));
        [d[0] - self.share * i[0], d[1] - self.share * i[1]]
    }

    /// Coefficients of the curvature ψ' that goes with a displacement.
    #[inline]
    fn curvature(&self, v: Pair) -> Pair {
        [
            -self.delta * v[0] - 2.0 * self.p * v[1],
            2.0 * self.p * self.z * v[0] - self.delta * v[1],
        ]
    }
}

#[inline]
fn dot(v: Pair, e: Pair) -> f64 {
    v[0] * e[0] + v[1] * e[1]
}
#[inline]
fn plus(a: Pair, b: Pair) -> Pair {
    [a[0] + b[0], a[1] + b[1]]
}
#[inline]
fn scaled(v: Pair, k: f64) -> Pair {
    [v[0] * k, v[1] * k]
}
/// Solves `r1·v = b1`, `r2·v = b2`.
#[inline]
fn solve_two(r1: Pair, r2: Pair, b1: f64, b2: f64) -> Pair {
    let det = r1[0] * r2[1] - r1[1] * r2[0];
    [
        (b1 * r2[1] - b2 * r1[1]) / det,
        (b2 * r1[0] - b1 * r2[0]) / det,
    ]
}

/// One stretch between two breakpoints: a constant and a decay from each end.
#[derive(Debug, Clone, Copy, Default)]
struct Stretch {
    w: f64,
    psi: f64,
    from_left: Pair,
    from_right: Pair,
}

impl Stretch {
    #[inline]
    fn blend(&self, a: f64, other: &Stretch, b: f64) -> Stretch {
        Stretch {
            w: a * self.w + b * other.w,
            psi: a * self.psi + b * other.psi,
            from_left: plus(scaled(self.from_left, a), scaled(other.from_left, b)),
            from_right: plus(scaled(self.from_right, a), scaled(other.from_right, b)),
        }
    }
}

/// The insert in its glue, solved for a unit force and a unit moment.
#[derive(Debug, Clone, Copy)]
pub struct Rocking {
    beam: Beam,
    roots: Roots,
    /// Breakpoints; `count + 1` of them are in use (m).
    breaks: [f64; 4],
    count: usize,
    /// Fields of V_b = 1 N.
    force: [Stretch; 3],
    /// Fields of M_b = 1 N·m.
    moment: [Stretch; 3],
}

impl Rocking {
    /// Solves a tube in a layer of glue: bond from 0 to `length`, thread from `start` over `engaged`.
    ///
    /// `None` when a size or stiffness is not positive, or the thread has no engagement.
    pub fn new(
        tube: &Tube,
        layer: &Layer,
        length: Length,
        start: Length,
        engaged: Length,
    ) -> Option<Self> {
        Self::solve(Beam {
            bending: si(tube.young) * si(ring_second_moment(tube.outer, tube.inner)),
            shear: si(tube.shear_rigidity()),
            lateral: si(lateral_stiffness(
                layer.voids,
                layer.mid_radius,
                layer.k_n,
                layer.k_s,
            )),
            rotary: si(rotary_stiffness(layer.voids, layer.mid_radius, layer.k_s)),
            length: si(length),
            start: si(start),
            engaged: si(engaged),
        })
    }

    /// Solves the kernel's input; `None` as for [`Rocking::new`].
    pub fn solve(beam: Beam) -> Option<Self> {
        let Beam {
            bending,
            shear,
            lateral,
            rotary,
            length,
            start,
            engaged,
        } = beam;
        let positive = [bending, shear, lateral, length, engaged];
        if !positive.iter().all(|v| v.is_finite() && *v > 0.0) {
            return None;
        }
        if !(rotary.is_finite() && rotary >= 0.0 && start.is_finite() && start >= 0.0) {
            return None;
        }
        let roots = Roots::new(&beam);
        let a = start.min(length);
        let b = (start + engaged).min(length);
        let e_l = roots.at(length);
        let (e_a, e_b) = (roots.at(a), roots.at(b));
        let (e_al, e_bl, e_ab) = (roots.at(length - a), roots.at(length - b), roots.at(b - a));

        // Two elementary loads, each of resultant 1: a line load (0) and a line couple (1).
        let line = 1.0 / engaged;
        let past = (start + engaged - length).max(0.0).min(engaged);
        let past_arm = start + engaged - 0.5 * past - length;
        let end_force = [line * past, 0.0];
        let end_couple = [line * past * past_arm, line * past];

        let w_p = line / lateral;
        let psi_p = line / (shear + rotary);
        let w_edge = [0.5 * w_p, -0.25 * roots.delta * w_p / roots.p];
        let top = -shear * psi_p * roots.g / (4.0 * roots.p * lateral);
        let psi_edge = [top, roots.p * top];
        // Decays of the step that begins at `a`, to the right and to the left of it.
        let right = [scaled(w_edge, -1.0), psi_edge];
        let left = [w_edge, psi_edge];

        let mut breaks = [0.0; 4];
        let mut kind = [0usize; 3];
        let mut count = 0;
        for (k, end) in [a, b, length].into_iter().enumerate() {
            if end - breaks[count] > 1e-12 * length {
                kind[count] = k;
                count += 1;
                breaks[count] = end;
            }
        }
        // A stretch too short to keep goes to its neighbour, so that the last break is the bond's end.
        breaks[count] = length;

        let mut unit = [[Stretch::default(); 3]; 2];
        for load in 0..2 {
            let (r, l) = (right[load], left[load]);
            let inf = |v: Pair, e: Pair| {
                (
                    lateral * dot(roots.integral(v), e),
                    dot(roots.curvature(v), e),
                )
            };
            // The endless beam at both ends of the real one: step at `a` less step at `b`.
            let (q0a, m0a) = inf(l, e_a);
            let (q0b, m0b) = inf(l, e_b);
            let (qla, mla) = inf(r, e_al);
            let (qlb, mlb) = inf(r, e_bl);
            let rhs = if b > a {
                [
                    q0a - q0b,
                    m0b - m0a,
                    end_force[load] - qla + qlb,
                    end_couple[load] / bending - mla + mlb,
                ]
            } else {
                [0.0, 0.0, end_force[load], end_couple[load] / bending]
            };
            let basis =
                |f: &dyn Fn(Pair) -> Pair, e: Pair| [dot(f([1.0, 0.0]), e), dot(f([0.0, 1.0]), e)];
            let one = [1.0, 0.0];
            let q_near = scaled(basis(&|v| roots.integral(v), one), lateral);
            let q_far = scaled(basis(&|v| roots.integral(v), e_l), lateral);
            let m_near = basis(&|v| roots.curvature(v), one);
            let m_far = basis(&|v| roots.curvature(v), e_l);
            let even = solve_two(
                plus(q_near, scaled(q_far, -1.0)),
                plus(m_near, m_far),
                0.5 * (rhs[0] - rhs[2]),
                0.5 * (rhs[1] + rhs[3]),
            );
            let odd = solve_two(
                plus(q_near, q_far),
                plus(m_near, scaled(m_far, -1.0)),
                0.5 * (rhs[0] + rhs[2]),
                0.5 * (rhs[1] - rhs[3]),
            );
            let from_0 = plus(even, odd);
            let from_l = plus(even, scaled(odd, -1.0));

            for i in 0..count {
                let stretch = &mut unit[load][i];
                match kind[i] {
                    0 => {
                        stretch.from_left = from_0;
                        stretch.from_right = roots.shift(from_l, e_al);
                        if b > a {
                            let far = roots.shift(l, e_ab);
                            stretch.from_right =
                                plus(stretch.from_right, plus(l, scaled(far, -1.0)));
                        }
                    }
                    1 => {
                        if load == 0 {
                            stretch.w = w_p;
                        } else {
                            stretch.psi = psi_p;
                        }
                        stretch.from_left = plus(roots.shift(from_0, e_a), r);
                        stretch.from_right = plus(roots.shift(from_l, e_bl), scaled(l, -1.0));
                    }
                    _ => {
                        stretch.from_left = roots.shift(from_0, e_b);
                        if b > a {
                            let far = roots.shift(r, e_ab);
                            stretch.from_left = plus(stretch.from_left, plus(far, scaled(r, -1.0)));
                        }
                        stretch.from_right = from_l;
                    }
                }
            }
        }
        let arm = start + 0.5 * engaged;
        let mut force = [Stretch::default(); 3];
        let mut moment = [Stretch::default(); 3];
        for i in 0..count {
            force[i] = unit[0][i].blend(1.0, &unit[1][i], -arm);
            moment[i] = unit[1][i].blend(-1.0, &unit[0][i], 0.0);
        }
        Some(Rocking {
            beam,
            roots,
            breaks,
            count,
            force,
            moment,
        })
    }

    /// The kernel's input.
    pub fn beam(&self) -> &Beam {
        &self.beam
    }

    /// Breakpoints from 0 to the bond's end: where the thread begins and ends (m).
    pub fn breaks(&self) -> &[f64] {
        &self.breaks[..=self.count]
    }

    /// The shortest length over which a disturbance dies out to 1/e, for grading a grid.
    pub fn layer(&self) -> Length {
        from_si(
            1.0 / if self.roots.z < 0.0 {
                self.roots.p + self.roots.q
            } else {
                self.roots.p
            },
        )
    }

    /// A grid of stations on the breakpoints, graded for the fields of rocking.
    pub fn grid(&self) -> Grid {
        Grid::new(self.breaks(), si(self.layer()))
    }

    /// The insert under a force and a moment about the face.
    pub fn under(&self, force: Force, moment: Torque) -> Tilt {
        self.tilt(si(force), si(moment))
    }

    /// As [`Rocking::under`], in N and N·m.
    #[inline]
    pub fn tilt(&self, force: f64, moment: f64) -> Tilt {
        let mut stretches = [Stretch::default(); 3];
        for (i, stretch) in stretches.iter_mut().enumerate().take(self.count) {
            *stretch = self.force[i].blend(force, &self.moment[i], moment);
        }
        Tilt {
            roots: self.roots,
            breaks: self.breaks,
            count: self.count,
            stretches,
        }
    }

    /// Fields of V_b = 1 N and of M_b = 1 N·m at all stations of a grid, `w` and `ψ` each times a factor.
    pub fn sample_units(&self, grid: &Grid, factors: [f64; 2]) -> [Sampled; 2] {
        sample([&self.tilt(1.0, 0.0), &self.tilt(0.0, 1.0)], grid, factors)
    }

    /// What is missing from equilibrium under a force (N) and a moment (N·m): force (N) and moment
    /// about the face (N·m), by numerical integration of the glue's reactions.
    ///
    /// A check, not a step of the solution: it costs some thousand evaluations.
    pub fn residual(&self, force: f64, moment: f64) -> (f64, f64) {
        let tilt = self.tilt(force, moment);
        let [sum, turn] = integrals(self.breaks(), si(self.layer()), |x| {
            let at = tilt.at(x);
            let reaction = self.beam.lateral * at.w;
            [reaction, reaction * x + self.beam.rotary * at.psi]
        });
        (sum - force, turn + moment)
    }
}

/// The insert under one combination of force and moment.
#[derive(Debug, Clone, Copy)]
pub struct Tilt {
    roots: Roots,
    breaks: [f64; 4],
    count: usize,
    stretches: [Stretch; 3],
}

/// Displacement (m) and rotation (rad) at the stations of a [`Grid`].
#[derive(Debug, Clone, Copy)]
pub struct Sampled {
    /// Lateral displacement (m).
    pub w: [f64; STATIONS],
    /// Rotation (rad).
    pub psi: [f64; STATIONS],
}

impl Tilt {
    /// Displacement and rotation at a distance (m) behind the face; beyond the bond its end counts.
    #[inline]
    pub fn at(&self, x: f64) -> Place {
        let mut i = 0;
        while i + 1 < self.count && x > self.breaks[i + 1] {
            i += 1;
        }
        self.inside(i, x)
    }

    #[inline]
    fn inside(&self, i: usize, x: f64) -> Place {
        let (left, right) = (self.breaks[i], self.breaks[i + 1]);
        let x = x.max(left).min(right);
        let s = &self.stretches[i];
        let near = self.roots.at(x - left);
        let far = self.roots.at(right - x);
        let r = &self.roots;
        Place {
            w: s.w + dot(s.from_left, near) + dot(s.from_right, far),
            psi: s.psi + dot(r.rotation(s.from_left), near) - dot(r.rotation(s.from_right), far),
            dw: dot(r.slope(s.from_left), near) - dot(r.slope(s.from_right), far),
            dpsi: dot(r.curvature(s.from_left), near) + dot(r.curvature(s.from_right), far),
        }
    }

    /// Fields at all stations of a grid; one exponential for each stretch when the grid stands on the
    /// breakpoints of this beam, as [`Rocking::grid`] makes it.
    pub fn sample(&self, grid: &Grid) -> Sampled {
        let [sampled] = sample([self], grid, [1.0; 2]);
        sampled
    }

    /// Largest |w| (m) over the bond.
    pub fn peak_displacement(&self, grid: &Grid, sampled: &Sampled) -> f64 {
        glue::peak(grid, &sampled.w, |x| self.at(x).w)
    }

    /// Largest |ψ| (rad) over the bond.
    pub fn peak_rotation(&self, grid: &Grid, sampled: &Sampled) -> f64 {
        glue::peak(grid, &sampled.psi, |x| self.at(x).psi)
    }

    /// Stresses in the glue at a distance behind the face and an angle from the plane of tilting.
    pub fn stress_at(&self, layer: &Layer, x: Length, phi: Angle) -> Traction {
        let at = self.at(si(x));
        let (sin, cos) = si(phi).sin_cos();
        let k_s = si(layer.k_s);
        Traction {
            normal: from_si(si(layer.k_n) * at.w * cos),
            axial: from_si(k_s * si(layer.mid_radius) * at.psi * cos),
            hoop: from_si(k_s * at.w * sin),
        }
    }
}

/// Several tilts of one beam at all stations of a grid, `w` and `ψ` each times a factor.
fn sample<const N: usize>(
    tilts: [&Tilt; N],
    grid: &Grid,
    [for_w, for_psi]: [f64; 2],
) -> [Sampled; N] {
    let mut out = [Sampled {
        w: [0.0; STATIONS],
        psi: [0.0; STATIONS],
    }; N];
    let Some(Tilt {
        roots,
        breaks,
        count,
        ..
    }) = tilts.first()
    else {
        return out;
    };
    for (g, part) in grid.parts().iter().enumerate() {
        let middle = 0.5 * (part.left + part.right);
        let mut i = 0;
        while i + 1 < *count && middle > breaks[i + 1] {
            i += 1;
        }
        let fits = part.left == breaks[i] && part.right == breaks[i + 1];
        if !fits {
            for (out, tilt) in out.iter_mut().zip(tilts) {
                for j in grid.range(g) {
                    let at = tilt.at(grid.x()[j]);
                    (out.w[j], out.psi[j]) = (for_w * at.w, for_psi * at.psi);
                }
            }
            continue;
        }
        let pairs = part.march(roots.at(part.step), [1.0, 0.0], |a, b| roots.add(a, b));
        let first = grid.range(g).start;
        // Both members of the pairs apart, and from either end: the stations of a part lie mirror-wise.
        let (cos, sin) = (pairs.map(|pair| pair[0]), pairs.map(|pair| pair[1]));
        let (cos_back, sin_back) = (mirrored(&cos), mirrored(&sin));
        let fill =
            |out: &mut [f64; STATIONS], factor: f64, constant: f64, near: Pair, far: Pair| {
                let (near, far) = (scaled(near, factor), scaled(far, factor));
                let constant = factor * constant;
                if let Some(out) = out[first..].first_chunk_mut::<PART>() {
                    for k in 0..PART {
                        out[k] = constant
                            + (near[0] * cos[k] + near[1] * sin[k])
                            + (far[0] * cos_back[k] + far[1] * sin_back[k]);
                    }
                }
            };
        for (out, tilt) in out.iter_mut().zip(tilts) {
            let s = &tilt.stretches[i];
            let turn_left = roots.rotation(s.from_left);
            let turn_right = scaled(roots.rotation(s.from_right), -1.0);
            fill(&mut out.w, for_w, s.w, s.from_left, s.from_right);
            fill(&mut out.psi, for_psi, s.psi, turn_left, turn_right);
        }
    }
    out
}

/// Stresses of rocking at one point of the glue.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Traction {
    /// Across the glue, tension positive.
    pub normal: Pressure,
    /// Shear along the axis.
    pub axial: Pressure,
    /// Shear around the axis.
    pub hoop: Pressure,
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn close(a: f64, b: f64, tolerance: f64) {
        assert!(
            (a - b).abs() <= tolerance * b.abs().max(1e-300),
            "{a} against {b}, off by {:e}",
            a / b - 1.0
        );
    }

    /// A 40 mm aluminium sleeve in 0.2 mm of epoxy paste.
    fn sleeve(eta_mm: f64, length: f64, start: f64, engaged: f64) -> (Tube, Layer, Rocking) {
        let tube = Tube {
            young: megapascal(68_300.0),
            shear: megapascal(25_676.69),
            poisson: number(0.33),
            inner: mm(35.0),
            outer: mm(40.0),
        };
        let g = megapascal(1086.957);
        let eta = mm(eta_mm);
        let layer = Layer {
            k_n: normal_stiffness(confined_modulus(g, number(0.38)), eta),
            k_s: shear_stiffness(g, eta),
            mid_radius: mm(20.0 + 0.5 * eta_mm),
            voids: number(0.05),
        };
        let rocking = Rocking::new(&tube, &layer, mm(length), mm(start), mm(engaged)).unwrap();
        (tube, layer, rocking)
    }

    #[test]
    fn closed_forms_of_the_layer() {
        // bond_and_materials.md, 2.2 [derived]: E_a 3000, nu 0.38.
        close(
            si(confined_modulus(megapascal(3000.0 / 2.76), number(0.38))),
            5615.942e6,
            1e-6,
        );
        assert_eq!(si(shear_coefficient(number(0.0))), 0.5);
        close(si(ring_area(mm(40.0), mm(35.0))), 294.5243e-6, 1e-6);
        close(
            si(ring_second_moment(mm(40.0), mm(35.0))),
            52_001.95e-12,
            1e-6,
        );
        // 2.2 [derived]: line modulus of the case SB-1, pi·R·(E_c + G_a)/eta.
        let g = megapascal(3000.0 / 2.76);
        let k_n = normal_stiffness(confined_modulus(g, number(0.38)), mm(0.2));
        let k_l = lateral_stiffness(number(0.0), mm(20.1), k_n, shear_stiffness(g, mm(0.2)));
        close(si(k_l), 2.116307e12, 1e-6);
        assert!(lateral_stiffness::FORMULA.readable().contains("k_n + k_s"));
    }

    #[test]
    fn rigid_insert() {
        let (k_l, k_r, length) = (2.0e10, 3.0e5, 0.03);
        let beam = Beam {
            bending: 1e11,
            shear: 1e15,
            lateral: k_l,
            rotary: k_r,
            length,
            start: 0.004,
            engaged: 0.02,
        };
        let rocking = Rocking::solve(beam).unwrap();
        let (k_w, k_t) = (k_l * length, k_l * length.powi(3) / 12.0 + k_r * length);
        // A force in the middle's plane: M about the face −V·L/2 turns the resultant to mid-length.
        for x in [0.0, 0.011, 0.03] {
            close(
                rocking.tilt(700.0, -700.0 * 0.015).at(x).w,
                700.0 / k_w,
                1e-6,
            );
            let at = rocking.tilt(0.0, 20.0).at(x);
            close(at.psi, -20.0 / k_t, 1e-6);
            close(at.w, -20.0 / k_t * (x - 0.015), 1e-6);
        }
    }

    #[test]
    fn rigid_ring_case() {
        // bond_and_materials.md, 2.3, RR-1 [derived]: sigma 1.009187, phi 1.797004e-6, tau_axial 0.195327 MPa.
        let g = megapascal(3000.0 / 2.76);
        let layer = Layer {
            k_n: normal_stiffness(confined_modulus(g, number(0.38)), mm(0.2)),
            k_s: shear_stiffness(g, mm(0.2)),
            mid_radius: mm(20.0),
            voids: number(0.0),
        };
        let beam = Beam {
            bending: 1e13,
            shear: 1e17,
            lateral: si(lateral_stiffness(
                layer.voids,
                layer.mid_radius,
                layer.k_n,
                layer.k_s,
            )),
            rotary: si(rotary_stiffness(layer.voids, layer.mid_radius, layer.k_s)),
            length: 0.04,
            start: 0.01,
            engaged: 0.02,
        };
        let rocking = Rocking::solve(beam).unwrap();
        let tilt = rocking.under(newton(0.0), newton_metre(30.0));
        let grid = rocking.grid();
        let peak = tilt.peak_displacement(&grid, &tilt.sample(&grid));
        close(si(layer.k_n) * peak, 1.009187e6, 1e-6);
        close(tilt.at(0.02).psi, -1.797004e-6, 1e-6);
        let face = tilt.stress_at(&layer, mm(0.0), degree(0.0));
        close(si(face.normal), 1.009187e6, 1e-6);
        // Half a unit of the last digit given there.
        close(si(face.axial).abs(), 0.195327e6, 2.6e-6);
    }

    #[test]
    fn hetenyi_beams() {
        // bond_and_materials.md, 2.1: forms [memory], values [derived]; E 70 000, I 60 000, k 5e5 (N, mm).
        let beam = |length: f64| Beam {
            bending: 70_000e6 * 60_000e-12,
            shear: 1e16,
            lateral: 5e11,
            rotary: 0.0,
            length,
            start: length,
            engaged: 0.01,
        };
        // The thread lies beyond the bond: everything acts at its end. Shifted by M_b = −V·L it is a pure force.
        let end = |length: f64, force: f64, couple: f64| {
            let rocking = Rocking::solve(beam(length)).unwrap();
            let at = rocking.tilt(force, -force * length - couple).at(length);
            (at.w * 5e11 * 1e-3, at.w * 1e3, at.psi)
        };
        let (q, _, _) = end(0.6, 1000.0, 0.0);
        close(q, 147.7220, 1e-6);
        let (q, _, _) = end(0.6, 0.0, 20.0);
        close(q, 218.2179, 1e-6);
        let (q, w, psi) = end(0.04, 1000.0, 0.0);
        close(q, 148.8776, 1e-6);
        close(w, 2.977551e-4, 1e-6);
        close(psi, 2.183829e-5, 1e-6);
        let (q, w, psi) = end(0.04, 0.0, 20.0);
        close(q, 218.3829, 1e-6);
        close(w, 4.367659e-4, 1e-6);
        close(psi, 6.471799e-5, 1e-6);
        // 2.1 [derived]: true over rigid end deflection, by X = beta·l.
        let beta = (5e11f64 / (4.0 * beam(1.0).bending)).powf(0.25);
        for (x, by_force, by_couple) in [
            (0.5, 1.000595, 1.002182),
            (1.0, 1.009459, 1.034718),
            (2.0, 1.137586, 1.512193),
            (4.0, 2.001553, 5.341543),
        ] {
            let length = x / beta;
            close(
                end(length, 1.0, 0.0).1 * 1e-3 / (4.0 / (5e11 * length)),
                by_force,
                1e-6,
            );
            close(
                end(length, 0.0, 1.0).1 * 1e-3 / (6.0 / (5e11 * length * length)),
                by_couple,
                1e-6,
            );
        }
    }

    #[test]
    fn force_outside_and_moment_tilt_the_same_way() {
        let (_, _, rocking) = sleeve(0.2, 40.0, 6.0, 20.0);
        let force = rocking.tilt(1.0, 0.0).at(0.0);
        let moment = rocking.tilt(0.0, 0.02).at(0.0);
        assert!(
            force.w > 0.0 && moment.w > 0.0 && moment.psi < 0.0,
            "{force:?} {moment:?}"
        );
        assert!(rocking.tilt(1.0, 0.02).at(0.0).w > moment.w);
    }

    #[test]
    fn nothing_to_solve() {
        let good = *sleeve(0.2, 40.0, 6.0, 20.0).2.beam();
        for bad in [
            Beam {
                engaged: 0.0,
                ..good
            },
            Beam {
                length: 0.0,
                ..good
            },
            Beam {
                lateral: f64::NAN,
                ..good
            },
            Beam {
                rotary: -1.0,
                ..good
            },
            Beam {
                start: -1e-3,
                ..good
            },
        ] {
            assert!(Rocking::solve(bad).is_none());
        }
    }

    #[test]
    fn equal_roots_are_no_special_case() {
        let good = *sleeve(0.2, 40.0, 6.0, 20.0).2.beam();
        // K_l/S − K_r/B = 2·sqrt(K_l/B) gives a double root.
        let shear = good.lateral
            / (2.0 * (good.lateral / good.bending).sqrt() + good.rotary / good.bending);
        let at = |scale: f64| {
            Rocking::solve(Beam {
                shear: shear * scale,
                ..good
            })
            .unwrap()
            .tilt(1000.0, 30.0)
            .at(0.009)
        };
        let middle = at(1.0);
        for scale in [1.0 - 1e-9, 1.0 + 1e-9, 1.0 - 1e-13, 1.0 + 1e-13] {
            close(at(scale).w, middle.w, 1e-8);
            close(at(scale).psi, middle.psi, 1e-8);
        }
        close(0.5 * (at(1.0 + 1e-4).w + at(1.0 - 1e-4).w), middle.w, 1e-7);
    }

    /// Linear Timoshenko elements with one-point integration of the beam's shear, foundations in full;
    /// returns w and psi at the nodes.
    fn elements(beam: &Beam, force: f64, moment: f64, h_target: f64) -> (Vec<f64>, Vec<[f64; 2]>) {
        let a = beam.start.min(beam.length);
        let b = (beam.start + beam.engaged).min(beam.length);
        let mut x = vec![0.0];
        for (from, to) in [(0.0, a), (a, b), (b, beam.length)] {
            if to - from > 1e-12 {
                // Even number of elements in proportion to a coarse rounding, so that halving h nests.
                let count = ((to - from) / h_target).round().max(1.0) as usize;
                for k in 1..=count {
                    x.push(from + (to - from) * k as f64 / count as f64);
                }
            }
        }
        let n = x.len();
        let q = force / beam.engaged;
        let m = -(moment + force * (beam.start + 0.5 * beam.engaged)) / beam.engaged;
        type Block = nalgebra::Matrix2<f64>;
        let mut diagonal = vec![Block::zeros(); n];
        let mut upper = vec![Block::zeros(); n];
        let mut load = vec![nalgebra::Vector2::<f64>::zeros(); n];
        for e in 0..n - 1 {
            let h = x[e + 1] - x[e];
            let mid = 0.5 * (x[e] + x[e + 1]);
            // Shear strain (w2 − w1)/h − (psi1 + psi2)/2.
            let g = [[-1.0 / h, -0.5], [1.0 / h, -0.5]];
            let block = |i: usize, j: usize| {
                let sign = if i == j { 1.0 } else { -1.0 };
                let mass = if i == j { h / 3.0 } else { h / 6.0 };
                Block::new(
                    beam.shear * h * g[i][0] * g[j][0] + beam.lateral * mass,
                    beam.shear * h * g[i][0] * g[j][1],
                    beam.shear * h * g[i][1] * g[j][0],
                    beam.shear * h * g[i][1] * g[j][1]
                        + sign * beam.bending / h
                        + beam.rotary * mass,
                )
            };
            diagonal[e] += block(0, 0);
            diagonal[e + 1] += block(1, 1);
            upper[e] += block(0, 1);
            if mid > a && mid < b {
                for k in [e, e + 1] {
                    load[k] += nalgebra::Vector2::new(q, m) * (0.5 * h);
                }
            }
        }
        let past = (beam.start + beam.engaged - beam.length)
            .max(0.0)
            .min(beam.engaged);
        let centre = beam.start + beam.engaged - 0.5 * past - beam.length;
        load[n - 1] += nalgebra::Vector2::new(q * past, q * past * centre + m * past);
        for e in 1..n {
            let factor = upper[e - 1].transpose() * diagonal[e - 1].try_inverse().unwrap();
            let step = factor * upper[e - 1];
            diagonal[e] -= step;
            let before = load[e - 1];
            load[e] -= factor * before;
        }
        let mut out = vec![[0.0; 2]; n];
        let mut after = nalgebra::Vector2::zeros();
        for e in (0..n).rev() {
            after = diagonal[e].try_inverse().unwrap() * (load[e] - upper[e] * after);
            out[e] = [after[0], after[1]];
        }
        (x, out)
    }

    #[test]
    fn independent_elements() {
        for (eta, length, start, engaged) in [
            (0.2, 40.0, 0.0, 20.0),
            (0.2, 24.0, 8.0, 24.0),
            (0.01, 36.0, 4.0, 20.0),
            (5.0, 40.0, 4.0, 20.0),
            (0.1, 20.0, 24.0, 8.0),
        ] {
            let (_, _, rocking) = sleeve(eta, length, start, engaged);
            let tilt = rocking.tilt(1500.0, 45.0);
            let h = 0.02e-3;
            let (x, coarse) = elements(rocking.beam(), 1500.0, 45.0, h);
            let (_, fine) = elements(rocking.beam(), 1500.0, 45.0, 0.5 * h);
            let grid = rocking.grid();
            let sampled = tilt.sample(&grid);
            let (w_max, psi_max) = (
                tilt.peak_displacement(&grid, &sampled),
                tilt.peak_rotation(&grid, &sampled),
            );
            for k in 0..x.len() {
                let rich = |i: usize| (4.0 * fine[2 * k][i] - coarse[k][i]) / 3.0;
                let at = tilt.at(x[k]);
                assert!(
                    (at.w - rich(0)).abs() < 1e-6 * w_max,
                    "{eta} {} {} {}",
                    x[k],
                    at.w,
                    rich(0)
                );
                assert!(
                    (at.psi - rich(1)).abs() < 1e-6 * psi_max,
                    "{eta} {} {} {}",
                    x[k],
                    at.psi,
                    rich(1)
                );
            }
        }
    }

    fn geometry() -> impl Strategy<Value = (f64, f64, f64, f64)> {
        // eta over three decades; thread from the face, inside, past and beyond the bond's end.
        (
            -2.0..0.7f64,
            6.0..70.0f64,
            prop_oneof![Just(0.0), 0.0..30.0f64],
            2.0..40.0f64,
        )
            .prop_map(|(e, l, n, t)| (10f64.powf(e), l, n, t))
    }

    proptest! {
        #![proptest_config(ProptestConfig {
            cases: std::env::var("PROPTEST_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(64),
            failure_persistence: None,
            ..ProptestConfig::default()
        })]

        #[test]
        fn in_equilibrium((eta, l, n, t) in geometry(), v in -2000.0..2000.0f64, m in -80.0..80.0f64) {
            let (_, _, rocking) = sleeve(eta, l, n, t);
            let (force, turn) = rocking.residual(v, m);
            let lever = m.abs() + v.abs() * (n + t + l) * 1e-3;
            prop_assert!(force.abs() <= 1e-9 * (v.abs() + lever / (l * 1e-3)), "force {force}");
            prop_assert!(turn.abs() <= 1e-9 * lever, "moment {turn}");
        }

        #[test]
        fn linear_and_scaling((eta, l, n, t) in geometry(), v in -2000.0..2000.0f64, m in -80.0..80.0f64, k in 0.2..5.0f64) {
            let (_, _, rocking) = sleeve(eta, l, n, t);
            let both = rocking.tilt(v, m);
            let (one, two) = (rocking.tilt(v, 0.0), rocking.tilt(0.0, m));
            // All lengths by k, force by k², moment by k³: stresses k_n·w stay, so w grows by k.
            let b = *rocking.beam();
            let grown = Rocking::solve(Beam {
                bending: b.bending * k.powi(4), shear: b.shear * k * k, lateral: b.lateral,
                rotary: b.rotary * k * k, length: b.length * k, start: b.start * k, engaged: b.engaged * k,
            }).unwrap().tilt(v * k * k, m * k.powi(3));
            let grid = rocking.grid();
            // Against the largest value: where all has died out only rounding is left.
            let size = one.peak_displacement(&grid, &one.sample(&grid))
                + two.peak_displacement(&grid, &two.sample(&grid));
            for share in [0.0, 0.13, 0.5, 0.99] {
                let x = share * b.length;
                let (a, c, d, e) = (both.at(x), one.at(x), two.at(x), grown.at(x * k));
                prop_assert!((a.w - c.w - d.w).abs() <= 1e-12 * size);
                prop_assert!((e.w - k * a.w).abs() <= 1e-8 * k * size);
            }
        }

        #[test]
        fn peaks_and_samples((eta, l, n, t) in geometry(), v in -2000.0..2000.0f64, m in -80.0..80.0f64) {
            let (_, _, rocking) = sleeve(eta, l, n, t);
            let tilt = rocking.tilt(v, m);
            let grid = rocking.grid();
            let sampled = tilt.sample(&grid);
            let w = tilt.peak_displacement(&grid, &sampled);
            let psi = tilt.peak_rotation(&grid, &sampled);
            for (j, x) in grid.x().iter().enumerate() {
                let at = tilt.at(*x);
                prop_assert!((at.w - sampled.w[j]).abs() <= 1e-10 * w);
                prop_assert!((at.psi - sampled.psi[j]).abs() <= 1e-10 * psi);
            }
            let (mut w_dense, mut psi_dense) = (0.0f64, 0.0f64);
            for part in grid.parts() {
                for k in 0..=6000 {
                    // Graded to both ends, where the peaks are.
                    let s = 0.5 * (1.0 - (k as f64 / 6000.0 * std::f64::consts::PI).cos());
                    let at = tilt.at(part.left + s * (part.right - part.left));
                    w_dense = w_dense.max(at.w.abs());
                    psi_dense = psi_dense.max(at.psi.abs());
                }
            }
            // Found as closely as the search of the glue finds its worst place; the dense places miss it by little.
            for (found, dense) in [(w, w_dense), (psi, psi_dense)] {
                prop_assert!(found >= dense * (1.0 - 5e-4) && found <= dense * (1.0 + 1e-6), "{found} {dense}");
            }
        }
    }

    /// How far rounding eats into equilibrium as an insert gets rigid against its glue; printed, not judged.
    #[test]
    #[ignore = "a measurement"]
    fn rounding_of_rigid_inserts() {
        for size in [1.0, 1e-1, 1e-2, 1e-3, 1e-4] {
            let mut beam = *sleeve(0.2, 40.0, 6.0, 20.0).2.beam();
            beam.lateral *= size;
            beam.rotary *= size;
            let rocking = Rocking::solve(beam).unwrap();
            let (f, m) = rocking.residual(1000.0, 30.0);
            println!(
                "{size:e}: |λ|L {:.3}, {:.1e} {:.1e}",
                rocking.roots.g.sqrt() * 0.04,
                f / 1000.0,
                m / 30.0
            );
        }
    }

    #[test]
    #[ignore = "a measurement; run in release"]
    fn timing() {
        let beam = *sleeve(0.2, 40.0, 6.0, 20.0).2.beam();
        let rounds = 200_000;
        let run = |name: &str, f: &dyn Fn(f64) -> f64| {
            let start = std::time::Instant::now();
            let mut sum = 0.0;
            for k in 0..rounds {
                sum += f(std::hint::black_box(1.0 + 1e-6 * k as f64));
            }
            println!(
                "{name}: {:.0} ns ({sum:e})",
                start.elapsed().as_nanos() as f64 / rounds as f64
            );
        };
        run("solve", &|k| {
            Rocking::solve(Beam {
                lateral: beam.lateral * k,
                ..beam
            })
            .map_or(0.0, |r| std::hint::black_box(&r).force[1].from_left[0])
        });
        let rocking = Rocking::solve(beam).unwrap();
        run("grid", &|k| Grid::new(rocking.breaks(), 1e-3 * k).x()[3]);
        let grid = rocking.grid();
        run("tilt", &|k| {
            std::hint::black_box(&rocking.tilt(1000.0 * k, 30.0)).stretches[0].from_left[0]
        });
        run("tilt and sample", &|k| {
            std::hint::black_box(&rocking.tilt(1000.0 * k, 30.0).sample(&grid)).w[20]
        });
        let tilt = rocking.tilt(1000.0, 30.0);
        let sampled = tilt.sample(&grid);
        run("at", &|k| std::hint::black_box(&tilt.at(0.01 * k)).w);
        run("peaks", &|k| {
            let mut s = sampled;
            s.w[5] *= k;
            tilt.peak_displacement(&grid, &s) + tilt.peak_rotation(&grid, &s)
        });
    }

    #[test]
    fn the_seat_takes_its_part_of_the_moment() {
        assert_eq!(
            moment_left(newton_metre(20.0), newton_metre(5.0)),
            newton_metre(15.0)
        );
    }

    /// Tractions of a ring moved sideways, point by point: across where it faces the way, along where it passes.
    #[test]
    fn sideways_point_by_point() {
        let (r_b, across, along) = (0.02, 3e13, 1e13);
        let whole: f64 = (0..360)
            .map(|i| f64::from(i).to_radians().sin_cos())
            .map(|(s, c)| (across * c * c + along * s * s) * r_b * 1f64.to_radians())
            .sum();
        for voids in [0.0, 0.2] {
            let got = si(lateral_stiffness(
                number(voids),
                from_si(r_b),
                from_si(across),
                from_si(along),
            ));
            assert!((got / ((1.0 - voids) * whole) - 1.0).abs() < 1e-9);
        }
    }
}
