//! What is read off a solution: stresses at mid-layer, in the insert's wall, displacements for a picture.
//!
//! Stresses are taken at 2 by 2 points of each cell, where those of quadratic elements are best. At mid-layer the points
//! nearest to it on either side are averaged; along x a cubic runs through the four points nearest to a place.

use super::element::{BEST, Constants, Family, corners};
use super::mesh::{Grid, Part};
use super::solve::Model;
use crate::units::*;
use std::f64::consts::TAU;

/// Stations along the glue, both ends among them. As many as the independent check has.
pub const STATIONS: usize = 49;
/// Samples of a mean over an end. Our own choice: a few for every cell there.
const SAMPLES: usize = 200;
/// Directions round the axis that are tried for the largest stress in the wall: every 5 degrees (our own choice).
const DIRECTIONS: usize = 72;

/// Stresses: across walls and layer (rr), along (xx) and round (θθ) the axis, and the three shears.
///
/// Under bending the first four are those at φ = 0 (they go as cos φ), the last two those at φ = 90° (sin φ).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stress {
    /// xx.
    pub axial: Pressure,
    /// rr: in the glue, peel where it is tension.
    pub across: Pressure,
    /// θθ.
    pub hoop: Pressure,
    /// xr. In the glue: positive where the insert, seen from the frame, is held against moving outward.
    pub along: Pressure,
    /// xθ.
    pub twist: Pressure,
    /// rθ: in the glue, the shear round the axis.
    pub around: Pressure,
}

impl Stress {
    fn new(v: [f64; 6]) -> Self {
        let [axial, across, hoop, along, twist, around] = v.map(from_si);
        Self {
            axial,
            across,
            hoop,
            along,
            twist,
            around,
        }
    }
}

/// One solution under 1 N, 1 N·m or 1 K.
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
    /// Stress in the glue that is there, at each station (Pa, order of [`super::element`]).
    pub(super) glue: Vec<[f64; 6]>,
    /// Means over the first and the last `end_length`.
    pub(super) ends: [[f64; 6]; 2],
    /// Means of the magnitudes over the same: what the means are small or large against.
    pub(super) magnitudes: [[f64; 6]; 2],
    /// Stress at each point of [`Elements::points`](super::Elements), Pa.
    pub(super) wall: Vec<[f64; 6]>,
    /// Displacement (x, r, θ) of each node of the picture, m.
    pub(super) moved: Vec<[f64; 3]>,
    /// Mean stress of each cell of glue of the picture, Pa.
    pub(super) cells: Vec<[f64; 6]>,
}

impl Unit {
    /// Stress in the glue that is there, at each station.
    pub fn glue(&self) -> impl Iterator<Item = Stress> + '_ {
        self.glue.iter().map(|v| Stress::new(*v))
    }
    /// Means over the end length at the face and at the bond's end.
    pub fn end_means(&self) -> [Stress; 2] {
        self.ends.map(Stress::new)
    }
    /// Displacements along x, r and round the axis at each node of the picture.
    pub fn moved(&self) -> impl Iterator<Item = [Length; 3]> + '_ {
        self.moved.iter().map(|v| v.map(from_si))
    }
    /// Mean stress in each cell of glue, in the picture's order.
    pub fn glue_cells(&self) -> impl Iterator<Item = Stress> + '_ {
        self.cells.iter().map(|v| Stress::new(*v))
    }

    /// A sum of solutions, each times a factor (N, N·m or K over one of them).
    ///
    /// All must come from the same [`Elements`](super::Elements); an empty sum is `None`.
    pub fn sum(parts: &[(&Unit, Ratio)]) -> Option<Unit> {
        let (first, _) = parts.first()?;
        let mut out = Unit {
            glue: vec![[0.0; 6]; first.glue.len()],
            ends: [[0.0; 6]; 2],
            magnitudes: [[0.0; 6]; 2],
            wall: vec![[0.0; 6]; first.wall.len()],
            moved: vec![[0.0; 3]; first.moved.len()],
            cells: vec![[0.0; 6]; first.cells.len()],
        };
        for (unit, factor) in parts {
            let f = si(*factor);
            add(&mut out.glue, &unit.glue, f);
            add(&mut out.ends, &unit.ends, f);
            add(&mut out.magnitudes, &unit.magnitudes, f.abs());
            add(&mut out.wall, &unit.wall, f);
            add(&mut out.moved, &unit.moved, f);
            add(&mut out.cells, &unit.cells, f);
        }
        Some(out)
    }
}

fn add<const N: usize>(to: &mut [[f64; N]], from: &[[f64; N]], factor: f64) {
    for (t, f) in to.iter_mut().zip(from) {
        for (t, f) in t.iter_mut().zip(f) {
            *t += factor * f;
        }
    }
}

/// A point in the insert's wall where stress is given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// From the face.
    pub x: Length,
    /// From the axis.
    pub r: Length,
}

/// The largest equivalent stress in the insert's wall, and where.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// Von Mises' equivalent stress.
    pub equivalent: Pressure,
    /// Place.
    pub point: Point,
    /// From the direction of the bending.
    pub phi: Angle,
}

/// Von Mises' equivalent of a stress.
pub(super) fn equivalent(s: &[f64; 6]) -> f64 {
    let [x, r, t, xr, xt, rt] = *s;
    let normal = (x - r).powi(2) + (r - t).powi(2) + (t - x).powi(2);
    (0.5 * normal + 3.0 * (xr * xr + xt * xt + rt * rt)).sqrt()
}

/// The largest over all points of `even` plus `once` (cos φ, sin φ), all round.
pub(super) fn peak(points: &[Point], even: Option<&Unit>, once: Option<&Unit>) -> Option<Peak> {
    let mut best: Option<(f64, usize, f64)> = None;
    for at in 0..points.len() {
        let steps = if once.is_some() { DIRECTIONS } else { 0 };
        for step in 0..=steps {
            let phi = TAU * step as f64 / DIRECTIONS as f64;
            let mut s = even.map_or([0.0; 6], |u| u.wall[at]);
            if let Some(u) = once {
                let (sin, cos) = phi.sin_cos();
                for (k, (s, v)) in s.iter_mut().zip(&u.wall[at]).enumerate() {
                    *s += v * if k < 4 { cos } else { sin };
                }
            }
            let e = equivalent(&s);
            if best.is_none_or(|b| e > b.0) {
                best = Some((e, at, phi));
            }
        }
    }
    let (e, at, phi) = best?;
    Some(Peak {
        equivalent: from_si(e),
        point: points[at],
        phi: from_si(phi),
    })
}

/// A mesh to draw: nodes at the corners of cells, which are rectangles.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// Places of the nodes.
    pub nodes: Vec<Point>,
    /// Part and corners of each cell, column by column from the face.
    pub cells: Vec<(Part, [usize; 4])>,
}

/// What every solution on one mesh is read at.
pub(super) struct Reading {
    pub stations: Vec<f64>,
    pub end_length: f64,
    pub points: Vec<Point>,
    /// Cells of the insert and which of their four points are kept: column, row of the body, kept.
    kept: Vec<(usize, usize, [bool; 4])>,
    /// Corner nodes as column line and radius line of the whole mesh.
    nodes: Vec<(usize, usize)>,
    pub picture: Picture,
    fitting_lines: usize,
}

impl Reading {
    /// From the mesh with the fitting and that without.
    pub(super) fn new(whole: &Grid, body: &Grid, end_length: f64) -> Self {
        let s = &body.sizes;
        let stations = (0..STATIONS)
            .map(|k| s.bond * k as f64 / (STATIONS - 1) as f64)
            .collect();
        // Stress has no bound where the glue ends at the wall, where the thread's load begins and ends, and at the
        // edges of the seat. Invented: points nearer than a quarter of the wall are left out.
        let apart = 0.25 * (s.outside - s.bore);
        let mut sharp = vec![
            (0.0, s.outside),
            (s.bond, s.outside),
            (s.thread.0, s.bore),
            (s.thread.1, s.bore),
        ];
        if let Some((a, b)) = s.seat_insert {
            sharp.extend([(0.0, a), (0.0, b)]);
        }
        let (mut points, mut kept) = (Vec::new(), Vec::new());
        for (i, row) in body.cells() {
            if body.rows[row].part != Part::Insert {
                continue;
            }
            let mut keep = [false; 4];
            for (k, (xi, eta)) in corners().into_iter().enumerate() {
                let (x, r) = place(body, i, row, xi, eta);
                if sharp.iter().all(|(a, b)| (x - a).hypot(r - b) >= apart) {
                    keep[k] = true;
                    points.push(Point {
                        x: from_si(x),
                        r: from_si(r),
                    });
                }
            }
            kept.push((i, row, keep));
        }
        let mut number = vec![usize::MAX; whole.x.len() * whole.r.len()];
        let (mut nodes, mut places, mut cells) = (Vec::new(), Vec::new(), Vec::new());
        for (i, row) in whole.cells() {
            let line = whole.rows[row].line;
            let four =
                [(i, line), (i + 1, line), (i + 1, line + 1), (i, line + 1)].map(|(i, k)| {
                    let at = &mut number[i * whole.r.len() + k];
                    if *at == usize::MAX {
                        *at = nodes.len();
                        nodes.push((i, k));
                        places.push(Point {
                            x: from_si(whole.x[i]),
                            r: from_si(whole.r[k]),
                        });
                    }
                    *at
                });
            cells.push((whole.rows[row].part, four));
        }
        Self {
            stations,
            end_length,
            points,
            kept,
            nodes,
            picture: Picture {
                nodes: places,
                cells,
            },
            fitting_lines: whole.bore_line,
        }
    }

    /// Everything that is read off one solution. `free`: strain that needs no stress, by part (thermal).
    pub(super) fn read(
        &self,
        model: &Model,
        u: &[f64],
        material: &dyn Fn(Part) -> Constants,
        free: &dyn Fn(Part) -> f64,
    ) -> Unit {
        let g = model.grid;
        // By row: what gives the stress, and the strain that needs none.
        let rows: Vec<(Constants, f64)> = (g.rows.iter())
            .map(|row| (material(row.part), free(row.part)))
            .collect();
        let stress = |i: usize, row: usize, corner: usize| {
            let mut e = model.strain(u, i, row, corner);
            let (constants, free) = &rows[row];
            for e in &mut e[..3] {
                *e -= free;
            }
            constants.stress(&e)
        };
        // Mid-layer: the two rows that meet there.
        let glue: Vec<usize> = (0..g.rows.len())
            .filter(|&k| g.rows[k].part == Part::Glue)
            .collect();
        let (below, above) = (glue[glue.len() / 2 - 1], glue[glue.len() / 2]);
        let (mut xs, mut found) = (Vec::new(), Vec::new());
        for i in g.span(0.0, g.sizes.bond) {
            for (k, xi) in [-BEST, BEST].into_iter().enumerate() {
                // The upper points of the lower row and the lower points of the upper one.
                let (p, q) = (stress(i, below, k + 2), stress(i, above, k));
                xs.push(place(g, i, below, xi, 0.0).0);
                found.push(std::array::from_fn(|k| 0.5 * (p[k] + q[k])));
            }
        }
        let glue_at = |x: f64| interpolated(&xs, &found, x);
        let mean = |from: f64, of: fn(f64) -> f64| {
            let mut sum = [0.0; 6];
            for k in 0..SAMPLES {
                let x = from + self.end_length * (k as f64 + 0.5) / SAMPLES as f64;
                for (s, v) in sum.iter_mut().zip(glue_at(x)) {
                    *s += of(v) / SAMPLES as f64;
                }
            }
            sum
        };
        let from = [0.0, g.sizes.bond - self.end_length];
        let ends = from.map(|from| mean(from, |v| v));
        let magnitudes = from.map(|from| mean(from, f64::abs));
        // Rows of the body follow those of the fitting.
        let body_rows = g.rows.iter().filter(|r| r.part == Part::Fitting).count();
        let mut wall = Vec::with_capacity(self.points.len());
        for (i, row, keep) in &self.kept {
            for k in (0..4).filter(|&k| keep[k]) {
                wall.push(stress(*i, row + body_rows, k));
            }
        }
        let mut cells = Vec::new();
        for (i, row) in g.cells() {
            if g.rows[row].part == Part::Glue {
                let four = [0, 1, 2, 3].map(|k| stress(i, row, k));
                cells.push(std::array::from_fn(|k| {
                    four.iter().map(|s| 0.25 * s[k]).sum()
                }));
            }
        }
        let shift = self.fitting_lines - g.bore_line;
        let moved = self.nodes.iter().map(|&(i, line)| {
            let mut out = [0.0; 3];
            if line >= shift {
                let node = g.corner(i, 2 * (line - shift));
                match model.family {
                    Family::Twist => out[2] = model.moved(u, node, 0),
                    Family::Even => {
                        out[0] = model.moved(u, node, 0);
                        out[1] = model.moved(u, node, 1);
                    }
                    Family::Once => {
                        out = [0, 1, 2].map(|c| model.moved(u, node, c));
                    }
                }
            }
            out
        });
        Unit {
            glue: self.stations.iter().map(|&x| glue_at(x)).collect(),
            ends,
            magnitudes,
            wall,
            moved: moved.collect(),
            cells,
        }
    }
}

fn place(g: &Grid, i: usize, row: usize, xi: f64, eta: f64) -> (f64, f64) {
    let (a, b) = g.radii(row);
    let (p, q) = (g.x[i], g.x[i + 1]);
    (
        0.5 * (p + q) + 0.5 * (q - p) * xi,
        0.5 * (a + b) + 0.5 * (b - a) * eta,
    )
}

/// A cubic through the four nearest points; beyond the first and the last point their own value.
fn interpolated(xs: &[f64], found: &[[f64; 6]], x: f64) -> [f64; 6] {
    let n = xs.len();
    if n < 4 || x <= xs[0] {
        return found[0];
    }
    if x >= xs[n - 1] {
        return found[n - 1];
    }
    let after = xs.partition_point(|p| *p <= x);
    let first = after.saturating_sub(2).min(n - 4);
    let mut out = [0.0; 6];
    for j in first..first + 4 {
        let mut w = 1.0;
        for k in first..first + 4 {
            if k != j {
                w *= (x - xs[k]) / (xs[j] - xs[k]);
            }
        }
        for (o, v) in out.iter_mut().zip(&found[j]) {
            *o += w * v;
        }
    }
    out
}
