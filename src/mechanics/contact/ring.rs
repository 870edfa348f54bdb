//! The ring itself: integrals of the pressure over radius and angle, and its extremes. SI throughout.

use super::{ContactError, RingPart};
use crate::units::si;
use std::f64::consts::TAU;
use std::sync::LazyLock;

/// Largest angle of a panel (rad). The series of [`near`] and the guesses of [`cut`] count on a short one.
const PANEL: f64 = TAU / 24.0;
/// How far a deflection bulges beyond its values at the ends of a panel, over the leaning radius: a chord's
/// rise, and a little for the highest leaning lying between the ends.
const BULGE: f64 = 1.01 * PANEL * PANEL / 8.0;
/// How closely a panel that the edge of contact crosses is integrated.
struct Rule<const POINTS: usize> {
    /// Gauss points and weights on −1..1, of a smooth piece.
    gauss: [(f64, f64); POINTS],
    /// Share of the way between its ends to which a crossing is found; Newton squares what is left.
    near: f64,
    /// Whether pieces beside a ray on which the flange does not lean are cut again.
    graded: bool,
}
/// For what is quoted.
const FINE: Rule<5> = Rule {
    gauss: GAUSS,
    near: 1e-5,
    graded: true,
};
/// For a search, whose winner is solved anew.
const QUICK: Rule<3> = Rule {
    gauss: [
        (-0.774_596_669_241_483_4, 5.0 / 9.0),
        (0.0, 8.0 / 9.0),
        (0.774_596_669_241_483_4, 5.0 / 9.0),
    ],
    near: 1e-3,
    graded: false,
};
/// Five Gauss points and weights.
const GAUSS: [(f64, f64); 5] = [
    (-0.906_179_845_938_664, 0.236_926_885_056_189_1),
    (-0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.0, 0.568_888_888_888_888_9),
    (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.906_179_845_938_664, 0.236_926_885_056_189_1),
];

/// A part with its integrals over the radius (SI).
#[derive(Debug, Clone, Copy)]
pub(super) struct Part {
    /// Radii (m) and layer stiffness (N/m³).
    pub(super) r1: f64,
    pub(super) r2: f64,
    pub(super) k: f64,
    /// Integrals of ρ, ρ², ρ³ over the width.
    pub(super) j: [f64; 3],
}

impl Part {
    pub(super) fn new(part: &RingPart) -> Result<Option<Self>, ContactError> {
        let (r1, r2, k) = (si(part.inner), si(part.outer), si(part.stiffness));
        if !(r1 >= 0.0 && r2.is_finite()) {
            return Err(ContactError::Invalid("a radius of the seat"));
        }
        if !(k > 0.0 && k.is_finite()) {
            return Err(ContactError::Invalid("the layer stiffness"));
        }
        Ok((r2 > r1).then(|| Self {
            r1,
            r2,
            k,
            j: radial(r1, r2, r2 - r1),
        }))
    }
}

/// Integrals of ρ, ρ², ρ³ from `r1` to `r2`, whose difference `w` may be known better than they are.
fn radial(r1: f64, r2: f64, w: f64) -> [f64; 3] {
    let (sum, product) = (r1 + r2, r1 * r2);
    let squares = sum * sum - product;
    [
        w * sum * 0.5,
        w * squares * (1.0 / 3.0),
        w * sum * (squares - product) * 0.25,
    ]
}

/// Force (N), moments (N·m) and tangent (zz, zx, zy, xx, xy, yy) of one part; `zz` is k_c times the area
/// in contact, and `edge` how that changes with approach and tilt: the part's edge of contact moves.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Sums {
    pub(super) f: f64,
    pub(super) m: [f64; 2],
    pub(super) h: [f64; 6],
    pub(super) edge: [f64; 3],
}

impl Sums {
    /// Follows the tangent by a small change of approach and tilt.
    pub(super) fn follow(&mut self, z: f64, tx: f64, ty: f64) {
        let [zz, zx, zy, xx, xy, yy] = self.h;
        self.f += zz * z + zx * tx + zy * ty;
        self.m[0] += zx * z + xx * tx + xy * ty;
        self.m[1] += zy * z + xy * tx + yy * ty;
        self.h[0] += self.edge[0] * z + self.edge[1] * tx + self.edge[2] * ty;
    }

    /// Adds one ray: direction, weight, force and moment per angle, radial integrals of the contact.
    #[inline]
    fn add(&mut self, (c, s): (f64, f64), (f, m): (f64, f64), [i1, i2, i3]: [f64; 3]) {
        self.f += f;
        self.m[0] += m * c;
        self.m[1] += m * s;
        self.h[0] += i1;
        self.h[1] += i2 * c;
        self.h[2] += i2 * s;
        self.h[3] += i3 * c * c;
        self.h[4] += i3 * c * s;
        self.h[5] += i3 * s * s;
    }
}

/// A panel, described from its middle.
#[derive(Debug, Clone, Copy)]
struct Panel {
    c: f64,
    s: f64,
    /// Half width (rad), gap in the middle (m), its slope (m/rad).
    half: f64,
    gap: f64,
    slope: f64,
}

/// Cosine and sine of an angle within a panel, to rounding.
#[inline]
fn near(x: f64) -> (f64, f64) {
    let q = x * x;
    (
        1.0 - q * (1.0 / 2.0 - q * (1.0 / 24.0 - q * (1.0 / 720.0))),
        x * (1.0 - q * (1.0 / 6.0 - q * (1.0 / 120.0 - q * (1.0 / 5040.0)))),
    )
}

impl Panel {
    /// Deflection at radius `r`, `x` from the middle, and its first two derivatives by `x`.
    #[inline]
    fn deflection(&self, r: f64, a: f64, (b, d): (f64, f64), x: f64) -> [f64; 3] {
        let (c, s) = near(x);
        let (along, across) = (r * (b * c + d * s), r * (d * c - b * s));
        [a - self.slope * x + along, across - self.slope, -along]
    }

    /// Deflection on the axis and its slope along the ray `x` from the middle.
    #[inline]
    fn ray(&self, a: f64, (b, d): (f64, f64), x: f64) -> [f64; 2] {
        let (c, s) = near(x);
        [a - self.slope * x, b * c + d * s]
    }

    /// Cosine and sine of the angle `x` from the middle.
    #[inline]
    fn direction(&self, x: f64) -> (f64, f64) {
        let (c, s) = near(x);
        (self.c * c - self.s * s, self.s * c + self.c * s)
    }

    /// Tilt along and across the middle of the panel.
    #[inline]
    fn tilt(&self, tx: f64, ty: f64) -> (f64, f64) {
        (tx * self.c + ty * self.s, ty * self.c - tx * self.s)
    }
}

/// The ring cut into panels.
#[derive(Debug, Clone)]
pub(super) struct Panels {
    /// Cosine, sine and gap (m) at the ends of the panels; the last is the first again.
    pub(super) node: Vec<[f64; 3]>,
    panel: Vec<Panel>,
    /// Integrals of 1, c, s, cc, cs, ss, g, gc, gs from the first node.
    sum: Vec<[f64; 9]>,
}

/// The ring without gaps, the same for all.
pub(super) static PLAIN: LazyLock<Panels> = LazyLock::new(|| Panels::new(&[(0.0, 0.0)]));

impl Panels {
    /// From readings (rad, m), at least one, in rising order within one turn.
    pub(super) fn new(readings: &[(f64, f64)]) -> Self {
        let n = readings.len();
        let mut out = Self {
            node: Vec::new(),
            panel: Vec::new(),
            sum: vec![[0.0; 9]],
        };
        out.node.reserve(n + 80);
        out.panel.reserve(n + 80);
        out.sum.reserve(n + 80);
        let mut total = [0.0; 9];
        for (i, &(start, g0)) in readings.iter().enumerate() {
            let (end, g1) = if i + 1 < n {
                readings[i + 1]
            } else {
                (readings[0].0 + TAU, readings[0].1)
            };
            let pieces = ((end - start) / PANEL - 1e-9).ceil().max(1.0);
            let half = (end - start) / pieces / 2.0;
            let slope = (g1 - g0) / (end - start);
            for k in 0..pieces as u32 {
                let from = 2.0 * half * f64::from(k);
                let (s, c) = (start + from).sin_cos();
                out.node.push([c, s, g0 + slope * from]);
                let (s, c) = (start + from + half).sin_cos();
                let gap = g0 + slope * (from + half);
                for (x, w) in GAUSS {
                    let (x, w) = (x * half, w * half);
                    let (cx, sx) = near(x);
                    let (c, s, g) = (c * cx - s * sx, s * cx + c * sx, gap + slope * x);
                    for (t, v) in
                        total
                            .iter_mut()
                            .zip([1.0, c, s, c * c, c * s, s * s, g, g * c, g * s])
                    {
                        *t += w * v;
                    }
                }
                out.panel.push(Panel {
                    c,
                    s,
                    half,
                    gap,
                    slope,
                });
                out.sum.push(total);
            }
        }
        out.node.push(out.node[0]);
        out
    }

    /// Sums of the parts for approach `z` and tilt.
    pub(super) fn sums(
        &self,
        parts: &[Option<Part>; 2],
        state: (f64, f64, f64),
        quick: bool,
    ) -> [Sums; 2] {
        parts.map(|part| match part {
            Some(part) if quick => self.part_sums(&part, state, &QUICK),
            Some(part) => self.part_sums(&part, state, &FINE),
            None => Sums::default(),
        })
    }

    fn part_sums<const N: usize>(
        &self,
        part: &Part,
        state: (f64, f64, f64),
        rule: &Rule<N>,
    ) -> Sums {
        let (z, tx, ty) = state;
        let mut out = Sums::default();
        let ends = |i: usize| {
            let [c, s, g] = self.node[i];
            let (a, b) = (z - g, tx * c + ty * s);
            let (u, v) = (a + b * part.r1, a + b * part.r2);
            if u < v { (u, v, b) } else { (v, u, b) }
        };
        // Between its ends a panel bulges up where the flange leans toward it and down where it leans away.
        let bulge = BULGE * part.r2;
        let mut run = None;
        let mut left = ends(0);
        for (i, panel) in self.panel.iter().enumerate() {
            let right = ends(i + 1);
            let low = if left.0 < right.0 { left.0 } else { right.0 };
            let high = if left.1 > right.1 { left.1 } else { right.1 };
            let (away, toward) = if left.2 < right.2 {
                (left.2, right.2)
            } else {
                (right.2, left.2)
            };
            left = right;
            let down = if away < 0.0 { -bulge * away } else { 0.0 };
            let up = if toward > 0.0 { bulge * toward } else { 0.0 };
            if low > down {
                run.get_or_insert(i);
                continue;
            }
            if let Some(start) = run.take() {
                self.run(part, start, i, state, &mut out);
            }
            if high >= -up {
                cut(panel, part, state, (down, up), rule, &mut out);
            }
        }
        if let Some(start) = run {
            self.run(part, start, self.panel.len(), state, &mut out);
        }
        out.f *= part.k;
        out.m = out.m.map(|v| v * part.k);
        out.h = out.h.map(|v| v * part.k);
        out.edge = out.edge.map(|v| v * part.k);
        out
    }

    /// Adds the panels `start..end`, all wholly in contact.
    fn run(
        &self,
        part: &Part,
        start: usize,
        end: usize,
        (z, tx, ty): (f64, f64, f64),
        out: &mut Sums,
    ) {
        let (p, q) = (&self.sum[start], &self.sum[end]);
        let [i, c, s, cc, cs, ss, g, gc, gs] = std::array::from_fn(|n| q[n] - p[n]);
        let (flat, flat_c, flat_s) = (z * i - g, z * c - gc, z * s - gs);
        let (lean, lean_c, lean_s) = (tx * c + ty * s, tx * cc + ty * cs, tx * cs + ty * ss);
        let [j1, j2, j3] = part.j;
        out.f += j1 * flat + j2 * lean;
        out.m[0] += j2 * flat_c + j3 * lean_c;
        out.m[1] += j2 * flat_s + j3 * lean_s;
        for (h, v) in out
            .h
            .iter_mut()
            .zip([j1 * i, j2 * c, j2 * s, j3 * cc, j3 * cs, j3 * ss])
        {
            *h += v;
        }
    }

    /// Highest `sign`·deflection on the radii given, and where: cosine, sine, gap, radius.
    pub(super) fn extreme(
        &self,
        sign: f64,
        radii: (f64, f64),
        (z, tx, ty): (f64, f64, f64),
    ) -> (f64, [f64; 4]) {
        let (r1, r2) = radii;
        let mut best = (f64::NEG_INFINITY, [0.0; 4]);
        for &[c, s, g] in &self.node {
            let b = tx * c + ty * s;
            let r = if sign * b > 0.0 { r2 } else { r1 };
            let v = sign * (z - g + b * r);
            if v > best.0 {
                best = (v, [c, s, g, r]);
            }
        }
        let bulge = r2 * tx.hypot(ty) * PANEL * PANEL / 8.0;
        for (panel, n) in self.panel.iter().zip(self.node.windows(2)) {
            let at = |[c, s, g]: [f64; 3]| {
                let b = sign * (tx * c + ty * s);
                sign * (z - g) + (b * r1).max(b * r2)
            };
            if at(n[0]).max(at(n[1])) + bulge <= best.0 {
                continue;
            }
            let (b, d) = panel.tilt(tx, ty);
            for r in [r1, r2] {
                let mut x = 0.0;
                for _ in 0..3 {
                    let [_, f1, f2] = panel.deflection(r, z - panel.gap, (b, d), x);
                    x -= f1 / f2;
                    if x.is_nan() || x.abs() > panel.half {
                        break;
                    }
                }
                if x.is_nan() || x.abs() > panel.half {
                    continue;
                }
                let v = sign * panel.deflection(r, z - panel.gap, (b, d), x)[0];
                if v > best.0 {
                    let (cx, sx) = near(x);
                    let (c, s) = (panel.c * cx - panel.s * sx, panel.s * cx + panel.c * sx);
                    best = (v, [c, s, panel.gap + panel.slope * x, r]);
                }
            }
        }
        best
    }
}

/// Where a function crosses 0 between two places (place, value) of unlike sign: Newton from a guess, kept
/// between them. `f` gives value and slope.
#[inline]
fn zero(
    (mut low, at_low): (f64, f64),
    (mut high, at_high): (f64, f64),
    guess: f64,
    near: f64,
    f: impl Fn(f64) -> [f64; 2],
) -> f64 {
    let near = near * (high - low);
    let mut x = if guess >= low && guess <= high {
        guess
    } else {
        low + (high - low) * (at_low / (at_low - at_high))
    };
    for _ in 0..60 {
        let [value, slope] = f(x);
        if (value > 0.0) == (at_high > 0.0) {
            high = x;
        } else {
            low = x;
        }
        let mut next = x - value / slope;
        if !(next >= low && next <= high) {
            next = low + (high - low) * 0.5;
        }
        let step = (next - x).abs();
        x = next;
        // Newton squares what is left of the way.
        if step <= near {
            break;
        }
    }
    x
}

/// Where the cubic through two places (place, value, slope), read as place over value, has the value 0.
#[inline]
fn inverse_cubic([x, f, d]: [f64; 3], [y, g, e]: [f64; 3]) -> f64 {
    let (s, rise) = (f / (f - g), g - f);
    let back = 1.0 - s;
    let near = (1.0 + 2.0 * s) * x + s * rise / d;
    let far = (3.0 - 2.0 * s) * y - back * rise / e;
    near * back * back + far * s * s
}

/// Where the edge of contact passes a radius within a panel, twice at most: `(down, up)` is what the deflection
/// may bulge by between the ends.
#[inline]
fn crossings(
    panel: &Panel,
    r: f64,
    a: f64,
    lean: (f64, f64),
    (down, up): (f64, f64),
    near: f64,
    mut found: impl FnMut(f64),
) {
    let value = |x: f64| panel.deflection(r, a, lean, x);
    let [left, right] = [-panel.half, panel.half];
    let [low, high] = [left, right].map(value);
    let (u, v) = (low[0], high[0]);
    if (u > down && v > down) || (u < -up && v < -up) {
        return;
    }
    let mut crossing = |low: (f64, f64), high: (f64, f64), guess: f64| {
        if low.1 * high.1 < 0.0 {
            found(zero(low, high, guess, near, |x| {
                let [f, slope, _] = value(x);
                [f, slope]
            }));
        }
    };
    let (rise, fall) = (low[1], high[1]);
    if rise * fall >= 0.0 {
        let guess = inverse_cubic([left, u, rise], [right, v, fall]);
        crossing((left, u), (right, v), guess);
        return;
    }
    // Between its ends and its extreme the deflection only rises or falls.
    let straight = left + (right - left) * (rise / (rise - fall));
    let top = zero((left, rise), (right, fall), straight, near, |x| {
        let [_, slope, bend] = value(x);
        [slope, bend]
    });
    let [peak, _, bend] = value(top);
    let apart = (-2.0 * peak / bend).sqrt();
    crossing((left, u), (top, peak), top - apart);
    crossing((top, peak), (right, v), top + apart);
}

/// Adds a panel that the edge of contact may cross, cut where it passes the part's radii.
fn cut<const POINTS: usize>(
    panel: &Panel,
    part: &Part,
    (z, tx, ty): (f64, f64, f64),
    (down, up): (f64, f64),
    rule: &Rule<POINTS>,
    out: &mut Sums,
) {
    let a = z - panel.gap;
    let (b, d) = panel.tilt(tx, ty);
    let &Part { r1, r2, .. } = part;
    let mut at = [-panel.half, 0.0, 0.0, 0.0, 0.0, 0.0];
    let mut n = 1;
    for r in [r1, r2] {
        crossings(panel, r, a, (b, d), (down, up), rule.near, |x| {
            at[n] = x;
            n += 1;
        });
    }
    at[n] = panel.half;
    for i in 2..n {
        for k in (2..=i).rev() {
            if at[k] < at[k - 1] {
                at.swap(k, k - 1);
            }
        }
    }
    for ends in at[..=n].windows(2) {
        let (from, to) = (ends[0], ends[1]);
        let [am, bm] = panel.ray(a, (b, d), (from + to) * 0.5);
        let (um, vm) = (am + bm * r1, am + bm * r2);
        if to <= from || (um <= 0.0 && vm <= 0.0) {
            continue;
        }
        let rim = (um < 0.0 || vm < 0.0).then_some(vm > um);
        let add =
            |from, to, out: &mut Sums| piece(panel, part, (a, b, d), (from, to), rim, rule, out);
        // How far from where the flange does not lean: there the edge of contact has no place, and beside it the
        // pressure grows as one over that distance, which no rule of few points follows over a long piece.
        let level = (-b / d).atan();
        let (before, behind) = (from - level, level - to);
        let gap = before.max(behind);
        if rim.is_none() || !rule.graded || gap.is_nan() || to - from <= GRADE * gap || gap <= 0.0 {
            add(from, to, out);
            continue;
        }
        // Longer and longer pieces away from it, of a length that the rule follows.
        let (mut gap, whole) = (gap, gap + to - from);
        for _ in 0..MOST_PIECES {
            let next = (gap * (1.0 + GRADE)).min(whole);
            if before > behind {
                add(level + gap, level + next, out);
            } else {
                add(level - next, level - gap, out);
            }
            gap = next;
            if gap >= whole {
                break;
            }
        }
        if gap < whole {
            let (near, far) = if before > behind {
                (level + gap, to)
            } else {
                (from, level - gap)
            };
            add(near, far, out);
        }
    }
}

/// Length of a piece over its distance from where the flange does not lean: five Gauss points follow one over the
/// distance to 4e-7 (ellipse of analyticity, 4.4^−10; worked out here).
const GRADE: f64 = 1.5;
/// Pieces at most: the last is then ten thousand times as long as the first, which has next to nothing in it.
const MOST_PIECES: u32 = 10;

/// Adds a piece of a panel in contact over its whole width (`rim` none), or from the edge of contact to its outer rim
/// (`rim` true) or its inner one.
#[inline]
fn piece<const POINTS: usize>(
    panel: &Panel,
    part: &Part,
    (a, b, d): (f64, f64, f64),
    (from, to): (f64, f64),
    rim: Option<bool>,
    rule: &Rule<POINTS>,
    out: &mut Sums,
) {
    let &Part { r1, r2, j, .. } = part;
    let full = r2 - r1;
    let (mid, half) = ((from + to) * 0.5, (to - from) * 0.5);
    // All points of the piece side by side, so that the compiler can use its wide registers.
    let x = rule.gauss.map(|(x, _)| mid + x * half);
    let ray: [_; POINTS] = std::array::from_fn(|q| panel.ray(a, (b, d), x[q]));
    let mut radii = [j; POINTS];
    let mut edges = [[0.0; 2]; POINTS];
    let mut loads: [_; POINTS] = std::array::from_fn(|q| {
        [
            ray[q][0] * j[0] + ray[q][1] * j[1],
            ray[q][0] * j[1] + ray[q][1] * j[2],
        ]
    });
    if let Some(outer) = rim {
        // From the edge of contact to the rim in touch: no difference of near-equal terms.
        let (rim, other, toward) = if outer { (r2, r1, -1.0) } else { (r1, r2, 1.0) };
        for q in 0..POINTS {
            let deep = ray[q][0] + ray[q][1] * rim;
            let (deep, steep) = (if deep > 0.0 { deep } else { 0.0 }, ray[q][1].abs());
            let width = deep / steep;
            let (width, edge, moves) = if width < full {
                (width, rim + toward * width, 1.0 / steep)
            } else {
                (full, other, 0.0)
            };
            edges[q] = [edge * moves, edge * edge * moves];
            let (y, back) = (steep * width * width, toward * width * (1.0 / 3.0));
            let m = edge * (edge * 0.5 - 2.0 * back) + width * width * 0.25;
            loads[q] = [y * (edge * 0.5 - back), y * m];
            radii[q] = radial(edge, rim, width);
        }
    }
    for q in 0..POINTS {
        let w = rule.gauss[q].1 * half;
        let (c, s) = panel.direction(x[q]);
        out.add(
            (c, s),
            (loads[q][0] * w, loads[q][1] * w),
            radii[q].map(|i| i * w),
        );
        let (e1, e2) = (edges[q][0] * w, edges[q][1] * w);
        out.edge[0] += e1;
        out.edge[1] += e2 * c;
        out.edge[2] += e2 * s;
    }
}

impl Panels {
    /// Area of the panels that are closed in all of some states (approach, tilt) even when these are taken off
    /// by `margin` (m). Those that no state leaves open go to `divided`.
    pub(super) fn overlap<const K: usize>(
        &self,
        parts: &[Option<Part>; 2],
        states: &[[f64; 3]; K],
        margin: f64,
        divided: &mut Vec<usize>,
    ) -> f64 {
        let (mut inner, mut outer, mut whole) = (f64::INFINITY, 0.0_f64, 0.0);
        for part in parts.iter().flatten() {
            inner = inner.min(part.r1);
            outer = outer.max(part.r2);
            whole += part.j[0];
        }
        divided.clear();
        let mut angle = 0.0;
        let ray = |i: usize| states.map(|state| Ray::new(self.node[i], state));
        let mut left = ray(0);
        for (i, panel) in self.panel.iter().enumerate() {
            let right = ray(i + 1);
            let rays: [_; K] = std::array::from_fn(|k| [left[k], right[k]]);
            let span = Span::new(&rays, inner, outer);
            left = right;
            if span.low > margin {
                angle += panel.half;
            } else if span.highest > 0.0 {
                divided.push(i);
            }
        }
        2.0 * whole * angle
    }

    /// The same in the panels given, without a margin.
    pub(super) fn overlap_in<const K: usize>(
        &self,
        parts: &[Option<Part>; 2],
        states: &[[f64; 3]; K],
        panels: &[usize],
    ) -> f64 {
        let mut area = 0.0;
        for &i in panels {
            let (Some(panel), Some(&[left, right])) = (
                self.panel.get(i),
                self.node.get(i..i + 2).and_then(|n| n.first_chunk()),
            ) else {
                continue;
            };
            let rays = states.map(|state| [Ray::new(left, state), Ray::new(right, state)]);
            for part in parts.iter().flatten() {
                let span = Span::new(&rays, part.r1, part.r2);
                if span.low > 0.0 {
                    area += 2.0 * panel.half * part.j[0];
                } else if span.high > 0.0 {
                    area += shared(panel, part, states, &rays);
                }
            }
        }
        area
    }
}

/// A state at a node: deflection on the axis and leaning along the ray.
#[derive(Debug, Clone, Copy)]
struct Ray {
    a: f64,
    b: f64,
}

impl Ray {
    #[inline]
    fn new([c, s, g]: [f64; 3], [z, tx, ty]: [f64; 3]) -> Self {
        Self {
            a: z - g,
            b: tx * c + ty * s,
        }
    }
}

/// Bounds over a panel: of the least deflection of any state, and of the least and the most of what each has at
/// most.
#[derive(Debug, Clone, Copy)]
struct Span {
    low: f64,
    high: f64,
    highest: f64,
}

impl Span {
    #[inline]
    fn new<const K: usize>(rays: &[[Ray; 2]; K], r1: f64, r2: f64) -> Self {
        let min = |a: f64, b: f64| if a < b { a } else { b };
        let max = |a: f64, b: f64| if a > b { a } else { b };
        let bulge = BULGE * r2;
        let mut out = Self {
            low: f64::INFINITY,
            high: f64::INFINITY,
            highest: f64::NEG_INFINITY,
        };
        for [p, q] in rays {
            let (u, v) = (p.a + p.b * r1, p.a + p.b * r2);
            let (x, y) = (q.a + q.b * r1, q.a + q.b * r2);
            let down = bulge * min(min(p.b, q.b), 0.0);
            let up = bulge * max(max(p.b, q.b), 0.0);
            out.low = min(out.low, min(min(u, v), min(x, y)) + down);
            let high = max(max(u, v), max(x, y)) + up;
            out.high = min(out.high, high);
            out.highest = max(out.highest, high);
        }
        out
    }
}

/// Area of a panel that is closed in all states.
fn shared<const K: usize>(
    panel: &Panel,
    part: &Part,
    states: &[[f64; 3]; K],
    rays: &[[Ray; 2]; K],
) -> f64 {
    let &Part { r1, r2, j, .. } = part;
    let full = r2 - r1;
    // The state that is least on the whole; those that lie above it all over the panel do not matter.
    let middle = 0.5 * (r1 + r2);
    let sum = |[p, q]: &[Ray; 2]| (p.a + q.a) + middle * (p.b + q.b);
    let mut least = 0;
    for i in 1..K {
        if sum(&rays[i]) < sum(&rays[least]) {
            least = i;
        }
    }
    let mut kept = [(0.0, (0.0, 0.0)); K];
    let mut count = 0;
    for (i, &[z, tx, ty]) in states.iter().enumerate() {
        let (x, y) = (tx - states[least][1], ty - states[least][2]);
        let over = BULGE * r2 * (x * x + y * y).sqrt();
        let below = |k: usize| {
            let (a, b) = (
                rays[i][k].a - rays[least][k].a - over,
                rays[i][k].b - rays[least][k].b,
            );
            a + b * r1 < 0.0 || a + b * r2 < 0.0
        };
        if i == least || below(0) || below(1) {
            kept[count] = (z - panel.gap, panel.tilt(tx, ty));
            count += 1;
        }
    }
    let kept = &kept[..count];
    // Between the radii the least is no less than the line through both.
    let lines = |x: f64| {
        let (c, s) = near(x);
        let mut low = [f64::INFINITY; 2];
        for &(a, (b, d)) in kept {
            let (a, b) = (a - panel.slope * x, b * c + d * s);
            let (u, v) = (a + b * r1, a + b * r2);
            low[0] = if u < low[0] { u } else { low[0] };
            low[1] = if v < low[1] { v } else { low[1] };
        }
        low
    };
    // Two crossings of either radius in each of four states, and the ends.
    let mut at = [-panel.half; 18];
    let mut n = 1;
    for r in [r1, r2] {
        for &(a, (b, d)) in kept {
            let bulge = BULGE * r * (b.abs() + d.abs() * panel.half);
            crossings(panel, r, a, (b, d), (bulge, bulge), QUICK.near, |x| {
                at[n] = x;
                n += 1;
            });
        }
    }
    at[n] = panel.half;
    at[1..n].sort_unstable_by(f64::total_cmp);
    let mut area = 0.0;
    for k in 0..n {
        let (mid, half) = ((at[k] + at[k + 1]) * 0.5, (at[k + 1] - at[k]) * 0.5);
        if half <= 0.0 {
            continue;
        }
        let [u, v] = lines(mid);
        if u > 0.0 && v > 0.0 {
            area += 2.0 * half * j[0];
        } else if u > 0.0 || v > 0.0 {
            for (x, w) in GAUSS {
                let [u, v] = lines(mid + x * half);
                let (width, middle) = if u > 0.0 && v > 0.0 {
                    (full, 0.5 * (r1 + r2))
                } else if u > 0.0 {
                    let width = full * (u / (u - v));
                    (width, r1 + 0.5 * width)
                } else if v > 0.0 {
                    let width = full * (v / (v - u));
                    (width, r2 - 0.5 * width)
                } else {
                    (0.0, 0.0)
                };
                area += w * half * width * middle;
            }
        }
    }
    area
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Where the place is a cubic of the value the guess is no guess.
    #[test]
    fn a_place_that_is_a_cubic_of_the_value_is_met() {
        let place = |v: f64| 0.3 + v + 0.2 * v * v - 0.1 * v * v * v;
        let slope = |v: f64| 1.0 / (1.0 + 0.4 * v - 0.3 * v * v);
        for (low, high) in [(-1.0, 1.0), (-0.2, 0.7), (-0.9, 0.1)] {
            let [from, to] = [low, high].map(|v| [place(v), v, slope(v)]);
            let got = inverse_cubic(from, to);
            assert!((got - 0.3).abs() < 1e-14, "{got}");
        }
    }

    /// Whatever the guess, and where Newton alone would run away.
    #[test]
    fn a_crossing_is_found_from_any_guess() {
        for root in [-0.8, -0.1, 0.4, 0.9] {
            for sign in [-1.0, 1.0] {
                let f = |x: f64| {
                    let far = 20.0 * (x - root);
                    [sign * far.atan(), sign * 20.0 / (1.0 + far * far)]
                };
                for guess in [-5.0, -1.0, -0.5, 0.0, 0.7, 1.0, 5.0] {
                    let got = zero((-1.0, f(-1.0)[0]), (1.0, f(1.0)[0]), guess, 1e-9, f);
                    assert!((got - root).abs() < 1e-9, "{got} not {root} from {guess}");
                }
            }
        }
    }

    /// Force of one part by rays, very many of them: along each exactly.
    fn by_rays(readings: &[(f64, f64)], part: &Part, (z, tx, ty): (f64, f64, f64)) -> f64 {
        const RAYS: u32 = 400_000;
        let mut force = 0.0;
        for (i, &(start, g0)) in readings.iter().enumerate() {
            let wrapped = (readings[0].0 + TAU, readings[0].1);
            let (end, g1) = *readings.get(i + 1).unwrap_or(&wrapped);
            for ray in 0..RAYS {
                let u = (f64::from(ray) + 0.5) / f64::from(RAYS);
                let phi = start + (end - start) * u;
                let a = z - (g0 + (g1 - g0) * u);
                let b = tx * phi.cos() + ty * phi.sin();
                let touch = (-a / b).clamp(part.r1, part.r2);
                let (from, to) = if b > 0.0 {
                    (touch, part.r2)
                } else {
                    (part.r1, touch)
                };
                let power = |n: i32| (to.powi(n) - from.powi(n)) / f64::from(n);
                let ray = (a * power(2) + b * power(3)).max(0.0);
                force += part.k * ray * (end - start) / f64::from(RAYS);
            }
        }
        force
    }

    /// Beside a ray on which the flange does not lean the pressure of a contact that begins there grows as one over the
    /// distance. In the first state, one of a million random jobs, that ray lies a quarter of a degree off a reading.
    #[test]
    fn contact_beside_a_level_ray_is_integrated_as_closely_as_any() {
        let readings = [34.0, 103.3, 257.37, 321.63]
            .map(f64::to_radians)
            .into_iter()
            .zip([0.0, 185.8e-6, 62.7e-6, 185.0e-6])
            .collect::<Vec<_>>();
        let part = Part {
            r1: 3.175e-3,
            r2: 6.92e-3,
            k: 5e13,
            j: radial(3.175e-3, 6.92e-3, 3.745e-3),
        };
        let panels = Panels::new(&readings);
        for (closing, lean, off) in [
            (0.524e-6, 23.7e-3, 0.23),
            (0.524e-6, 23.7e-3, -0.23),
            (0.1e-6, 23.7e-3, 0.02),
            (5e-6, 20e-3, 1.0),
            (60e-6, 10e-3, 0.5),
        ] {
            // The ray at 34° less `off` is level.
            let level = (34.0_f64 - off).to_radians();
            let state = (closing, -lean * level.sin(), lean * level.cos());
            let got = panels.sums(&[Some(part), None], state, false)[0].f;
            let want = by_rays(&readings, &part, state);
            assert!(
                (got / want - 1.0).abs() < 2e-6,
                "{got} {want}: {closing} {off}"
            );
        }
    }

    /// All in contact, force and moments are linear and follow exactly; in part of it, but for squares of the step.
    #[test]
    fn sums_follow_a_small_step() {
        let panels = Panels::new(&[(0.3, 0.0), (2.0, 20e-6), (4.5, 5e-6)]);
        let (parts, step) = (parts(), [1e-9, -2e-8, 3e-8]);
        for (z, part) in [(100e-6, 1e-12), (12e-6, 1e-5)] {
            let at = |k: f64| (z + k * step[0], 2e-4 + k * step[1], -1e-4 + k * step[2]);
            let now = panels.sums(&parts, at(0.0), false);
            let then = panels.sums(&parts, at(1.0), false);
            for (mut sums, want) in now.into_iter().zip(then) {
                let before = sums;
                sums.follow(step[0], step[1], step[2]);
                let values = |s: &Sums| [s.f, s.m[0], s.m[1], s.h[0]];
                for ((got, want), before) in values(&sums)
                    .into_iter()
                    .zip(values(&want))
                    .zip(values(&before))
                {
                    let moved = (want - before).abs();
                    let size = part * before.abs() * 1e-3 + 1e-3 * moved;
                    assert!(
                        (got - want).abs() <= size,
                        "{got} not {want}, from {before}"
                    );
                }
            }
        }
    }

    const RADII: (f64, f64, f64) = (0.016, 0.019, 0.022);

    fn parts() -> [Option<Part>; 2] {
        let part = |inner: f64, outer: f64| {
            let part = RingPart {
                inner: crate::units::from_si(inner),
                outer: crate::units::from_si(outer),
                stiffness: crate::units::from_si(1e13),
            };
            Part::new(&part).unwrap()
        };
        [part(RADII.0, RADII.1), part(RADII.1, RADII.2)]
    }

    /// Gap straight between the readings.
    fn gap(readings: &[(f64, f64)], at: f64) -> f64 {
        let n = readings.len();
        let i = readings.iter().rposition(|r| r.0 <= at);
        let (i, at) = i.map_or((n - 1, at + TAU), |i| (i, at));
        let (start, from) = readings[i];
        let (end, to) = readings
            .get(i + 1)
            .copied()
            .unwrap_or((readings[0].0 + TAU, readings[0].1));
        from + (to - from) * (at - start) / (end - start)
    }

    fn readings() -> impl Strategy<Value = Vec<(f64, f64)>> {
        proptest::collection::vec(0.0f64..50e-6, 3..9).prop_map(|gaps| {
            let n = gaps.len() as f64;
            let at = |i: usize| (i as f64 + 0.3) * TAU / n;
            gaps.iter().enumerate().map(|(i, g)| (at(i), *g)).collect()
        })
    }

    /// Approach and tilt; the tilt lifts one rim by up to 40 µm.
    fn states() -> impl Strategy<Value = Vec<[f64; 3]>> {
        let one = (5e-6f64..60e-6, -40e-6f64..40e-6, -40e-6f64..40e-6)
            .prop_map(|(z, x, y)| [z, x / RADII.2, y / RADII.2]);
        proptest::collection::vec(one, 4)
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, cases: 64, ..ProptestConfig::default() })]

        /// The area that is closed in all of some states, ray by ray. Nothing open is taken as closed, and little of
        /// what is closed is lost.
        #[test]
        fn what_is_closed_in_all_states(readings in readings(), states in states(), near in 0.0f64..1.0) {
            // States close together, as between the corners of a patch.
            let first = states[0];
            let states: [[f64; 3]; 4] = std::array::from_fn(|k| std::array::from_fn(|n| first[n] + near * (states[k][n] - first[n])));
            let (panels, parts) = (Panels::new(&readings), parts());
            let mut divided = Vec::new();
            let whole = panels.overlap(&parts, &states, 0.0, &mut divided);
            let found = whole + panels.overlap_in(&parts, &states, &divided);
            let rays = 7200;
            let mut closed = 0.0;
            for i in 0..rays {
                let at = (f64::from(i) + 0.5) * TAU / f64::from(rays);
                let (s, c) = at.sin_cos();
                let g = gap(&readings, at);
                let (mut from, mut to) = (RADII.0, RADII.2);
                for [z, tx, ty] in states {
                    let (a, b) = (z - g, tx * c + ty * s);
                    let edge = -a / b;
                    if b > 0.0 { from = from.max(edge) } else { to = to.min(edge) }
                }
                if to > from {
                    closed += 0.5 * (to * to - from * from) * TAU / f64::from(rays);
                }
            }
            let ring = 0.5 * TAU * (RADII.2 * RADII.2 - RADII.0 * RADII.0);
            prop_assert!(found <= closed + 1e-3 * ring, "{found} over {closed} of {ring}");
            prop_assert!(found >= closed - 0.06 * ring, "{found} under {closed} of {ring}");
            // With a margin less counts as closed without a look.
            let mut more = Vec::new();
            prop_assert!(panels.overlap(&parts, &states, 5e-6, &mut more) <= whole);
            prop_assert!(more.len() >= divided.len());
        }

        /// The highest and the lowest deflection of all points, to 0.02 µm: a summit that three of Newton's steps do not
        /// reach within its panel is left to the panel's ends.
        #[test]
        fn the_extreme_of_all_points(readings in readings(), states in states()) {
            let panels = Panels::new(&readings);
            let [z, tx, ty] = states[0];
            for sign in [1.0, -1.0] {
                let (found, [c, s, g, r]) = panels.extreme(sign, (RADII.0, RADII.2), (z, tx, ty));
                let at = |c: f64, s: f64, g: f64, r: f64| sign * (z - g + r * (tx * c + ty * s));
                prop_assert!((at(c, s, g, r) - found).abs() < 1e-12);
                prop_assert!((c.hypot(s) - 1.0).abs() < 1e-9 && (r == RADII.0 || r == RADII.2));
                prop_assert!((gap(&readings, s.atan2(c).rem_euclid(TAU)) - g).abs() < 1e-12);
                let most = (0..7200)
                    .map(|i| f64::from(i) * TAU / 7200.0)
                    .flat_map(|phi| [RADII.0, RADII.2].map(|r| at(phi.cos(), phi.sin(), gap(&readings, phi), r)))
                    .fold(f64::NEG_INFINITY, f64::max);
                // What is tried here is half a step of 0.05 degrees off at most.
                prop_assert!(found > most - 2e-8 && found < most + 1e-7, "{found} against {most}");
            }
        }
    }
}
