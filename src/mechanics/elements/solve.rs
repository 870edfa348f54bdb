//! Unknowns in order, and the direct solution.
//!
//! The lines across x are taken from the deep end to the face. A column of cells ties its two lines of corners and
//! the line of middles between them and nothing else, so the matrix is block-tridiagonal: each column is put into one
//! dense front, its outer line and middles are eliminated (Cholesky, lower triangle), and what is left belongs to the
//! next line. All forces on the face act on the line that is eliminated last.

use super::ElementsError;
use super::element::{Family, NODES, RowStiffness, Strains, corners, strains};
use super::mesh::Grid;
use nalgebra::DMatrix;

/// No unknown: held, or not there.
const NONE: usize = usize::MAX;
/// Columns of a panel of the factorisation. Found by timing.
const PANEL: usize = 24;
/// Columns of a block of what a panel changes: the triangle above the diagonal is spared in steps of it.
const BLOCK: usize = 72;

/// Unknowns of one body under one family.
pub(super) struct Model<'a> {
    pub grid: &'a Grid,
    pub family: Family,
    stiffness: Vec<RowStiffness>,
    /// Strain matrices of each row at its four best points.
    best: Vec<[Strains; 4]>,
    /// By node and component.
    map: Vec<usize>,
    /// First unknown of each line (corners, middles, corners, … from the deep end), and the number of all.
    starts: Vec<usize>,
    /// Springs along the thread: unknowns at the three nodes of fitting and insert, column, matrix of the three.
    springs: Vec<([usize; 6], usize, [[f64; 3]; 3])>,
}

/// What is held, and what moves as one.
pub(super) struct Bounds<'a> {
    /// Whether a node's component is held; asked with x, r, component, and whether it is the fitting's.
    pub held: &'a dyn Fn(f64, f64, usize, bool) -> bool,
    /// Whether the fitting's end at the face stays plane.
    pub plane_end: bool,
    /// Stiffness of the flanks per length (N/m²), where there is a thread.
    pub flanks: Option<f64>,
}

impl<'a> Model<'a> {
    pub(super) fn new(
        grid: &'a Grid,
        family: Family,
        stiffness: Vec<RowStiffness>,
        bounds: &Bounds,
    ) -> Self {
        let nc = family.components();
        let mut used = vec![false; grid.nodes()];
        for (i, row) in grid.cells() {
            for node in grid.cell(i, row) {
                used[node] = true;
            }
        }
        let mut map = vec![NONE; grid.nodes() * nc];
        let (mut starts, mut count, mut plane) = (vec![0], 0, NONE);
        let columns = grid.columns();
        for step in 0..=2 * columns {
            // Corners at even steps, middles at odd ones, from the deep end.
            let i = columns - step.div_ceil(2);
            let corners = step % 2 == 0;
            let (places, x) = if corners {
                (2 * grid.r.len() - 1, grid.x[i])
            } else {
                (grid.r.len(), 0.5 * (grid.x[i] + grid.x[i + 1]))
            };
            for k in 0..places {
                let (node, line, r) = if !corners {
                    (grid.middle(i, k), k, grid.r[k])
                } else if k % 2 == 0 {
                    (grid.corner(i, k), k / 2, grid.r[k / 2])
                } else {
                    let r = 0.5 * (grid.r[k / 2] + grid.r[k / 2 + 1]);
                    (grid.corner(i, k), k / 2, r)
                };
                if !used[node] {
                    continue;
                }
                let fitting = line < grid.bore_line;
                for c in 0..nc {
                    if (bounds.held)(x, r, c, fitting) {
                        continue;
                    }
                    let shared = step == 2 * columns && fitting && c == 0 && bounds.plane_end;
                    map[node * nc + c] = if shared && plane != NONE {
                        plane
                    } else {
                        count += 1;
                        count - 1
                    };
                    if shared {
                        plane = map[node * nc + c];
                    }
                }
            }
            starts.push(count);
        }
        let best = (0..grid.rows.len()).map(|row| {
            let (a, b) = grid.radii(row);
            corners().map(|(xi, eta)| strains(family, a, b, xi, eta))
        });
        let mut model = Self {
            grid,
            family,
            stiffness,
            best: best.collect(),
            map,
            starts,
            springs: Vec::new(),
        };
        if let (Some(k), Some(line)) = (bounds.flanks, grid.thread_line) {
            let (from, to) = grid.sizes.thread;
            for i in grid.span(from, to) {
                let dx = grid.x[i + 1] - grid.x[i];
                let m = [[4.0, 2.0, -1.0], [2.0, 16.0, 2.0], [-1.0, 2.0, 4.0]];
                let m = m.map(|row| row.map(|v| v * k * dx / 30.0));
                let mut at = [NONE; 6];
                for (j, line) in [line, grid.bore_line].into_iter().enumerate() {
                    for (n, node) in model.along(i, line).into_iter().enumerate() {
                        at[3 * j + n] = model.map[node * nc];
                    }
                }
                model.springs.push((at, i, m));
            }
        }
        model
    }

    /// The three nodes of column `i` along a line of radius.
    pub(super) fn along(&self, i: usize, line: usize) -> [usize; 3] {
        let g = self.grid;
        [
            g.corner(i, 2 * line),
            g.middle(i, line),
            g.corner(i + 1, 2 * line),
        ]
    }
    /// The three nodes of a row on the face.
    pub(super) fn on_face(&self, row: usize) -> [usize; 3] {
        let k = 2 * self.grid.rows[row].line;
        [k, k + 1, k + 2].map(|k| self.grid.corner(0, k))
    }
    /// Number of unknowns.
    pub(super) fn size(&self) -> usize {
        self.starts[self.starts.len() - 1]
    }
    /// First of the unknowns on the face.
    pub(super) fn face_start(&self) -> usize {
        self.starts[self.starts.len() - 2]
    }
    /// Unknown of a node's component, if it is free.
    pub(super) fn unknown(&self, node: usize, component: usize) -> Option<usize> {
        let at = self.map[node * self.family.components() + component];
        (at != NONE).then_some(at)
    }
    /// A node's displacement in a solution.
    pub(super) fn moved(&self, u: &[f64], node: usize, component: usize) -> f64 {
        self.unknown(node, component).map_or(0.0, |k| u[k])
    }
    /// Strain at one of a cell's four best points ([`corners`]).
    pub(super) fn strain(&self, u: &[f64], i: usize, row: usize, corner: usize) -> [f64; 6] {
        let nc = self.family.components();
        let inverse = 1.0 / (self.grid.x[i + 1] - self.grid.x[i]);
        let mut columns = self.best[row][corner].columns.iter();
        let mut e = [0.0; 6];
        for node in self.grid.cell(i, row) {
            for c in 0..nc {
                let v = self.moved(u, node, c);
                if let Some((bx, br)) = columns.next() {
                    for (e, (x, r)) in e.iter_mut().zip(bx.iter().zip(br)) {
                        *e += (x * inverse + r) * v;
                    }
                }
            }
        }
        e
    }
    fn cell_unknowns(&self, i: usize, row: usize, out: &mut [usize]) {
        let nc = self.family.components();
        for (n, node) in self.grid.cell(i, row).into_iter().enumerate() {
            out[n * nc..(n + 1) * nc].copy_from_slice(&self.map[node * nc..(node + 1) * nc]);
        }
    }

    /// Doublings of work: multiplications of the factorisation, and bytes of its result.
    pub(super) fn cost(&self) -> (f64, f64) {
        let (mut work, mut bytes) = (0.0, 0.0);
        for k in (0..self.starts.len() - 2).step_by(2) {
            let p = (self.starts[k + 2] - self.starts[k]) as f64;
            let r = if k + 3 < self.starts.len() {
                (self.starts[k + 3] - self.starts[k + 2]) as f64
            } else {
                0.0
            };
            work += p * p * p / 6.0 + p * p * r / 2.0 + p * r * r / 2.0;
            bytes += 8.0 * p * (p + r);
        }
        (work, bytes)
    }

    /// K·u for several u, by cells; held displacements are nothing.
    pub(super) fn times(&self, sides: &[Vec<f64>]) -> Vec<Vec<f64>> {
        let n = NODES * self.family.components();
        let mut out = vec![vec![0.0; self.size()]; sides.len()];
        let mut k = vec![0.0; n * n];
        let mut at = vec![NONE; n];
        let (mut local, mut force) = (vec![0.0; n], vec![0.0; n]);
        for (i, row) in self.grid.cells() {
            self.stiffness[row].of(self.grid.x[i + 1] - self.grid.x[i], &mut k);
            self.cell_unknowns(i, row, &mut at);
            for (u, out) in sides.iter().zip(&mut out) {
                for (l, &a) in local.iter_mut().zip(&at) {
                    *l = if a == NONE { 0.0 } else { u[a] };
                }
                force.fill(0.0);
                for (column, l) in k.chunks_exact(n).zip(&local) {
                    for (f, k) in force.iter_mut().zip(column) {
                        *f += k * l;
                    }
                }
                for (f, &a) in force.iter().zip(&at) {
                    if a != NONE {
                        out[a] += f;
                    }
                }
            }
        }
        for (at, _, m) in &self.springs {
            for (p, q) in (0..6).flat_map(|p| (0..6).map(move |q| (p, q))) {
                if at[p] != NONE && at[q] != NONE {
                    let sign = if p / 3 == q / 3 { 1.0 } else { -1.0 };
                    for (u, out) in sides.iter().zip(&mut out) {
                        out[at[p]] += sign * m[p % 3][q % 3] * u[at[q]];
                    }
                }
            }
        }
        out
    }

    /// The factors.
    pub(super) fn factor(&self) -> Result<Factor, ElementsError> {
        let n = NODES * self.family.components();
        let mut k = vec![0.0; n * n];
        let mut at = vec![NONE; n];
        let mut fronts = Vec::with_capacity(self.grid.columns() + 1);
        let mut left = DMatrix::<f64>::zeros(0, 0);
        for (e, i) in (0..self.grid.columns()).rev().enumerate() {
            let (first, pivots) = (self.starts[2 * e], self.starts[2 * e + 2]);
            let end = self.starts[2 * e + 3];
            let mut f = DMatrix::<f64>::zeros(end - first, end - first);
            let c = left.nrows();
            f.view_mut((0, 0), (c, c)).copy_from(&left);
            let mut add = |a: usize, b: usize, v: f64| {
                if a != NONE && b != NONE && a >= b {
                    f[(a - first, b - first)] += v;
                }
            };
            for row in 0..self.grid.rows.len() {
                if !self.grid.has(i, row) {
                    continue;
                }
                self.stiffness[row].of(self.grid.x[i + 1] - self.grid.x[i], &mut k);
                self.cell_unknowns(i, row, &mut at);
                for (j, &b) in at.iter().enumerate() {
                    for (m, &a) in at.iter().enumerate() {
                        add(a, b, k[j * n + m]);
                    }
                }
            }
            for (at, _, m) in self.springs.iter().filter(|s| s.1 == i) {
                for p in 0..6 {
                    for q in 0..6 {
                        let sign = if p / 3 == q / 3 { 1.0 } else { -1.0 };
                        add(at[p], at[q], sign * m[p % 3][q % 3]);
                    }
                }
            }
            let p = pivots - first;
            cholesky(&mut f, p)?;
            left = f.view((p, p), (end - pivots, end - pivots)).into_owned();
            f.resize_horizontally_mut(p, 0.0);
            fronts.push((first, f));
        }
        let p = left.nrows();
        cholesky(&mut left, p)?;
        fronts.push((self.face_start(), left));
        Ok(Factor { fronts })
    }
}

/// Factors, front by front: first unknown, and the columns of L that were eliminated in it.
pub(super) struct Factor {
    fronts: Vec<(usize, DMatrix<f64>)>,
}

impl Factor {
    /// Solves for several right-hand sides in place.
    pub(super) fn solve(&self, sides: &mut [Vec<f64>]) {
        for (first, l) in &self.fronts {
            forward(l, *first, sides);
        }
        for (first, l) in self.fronts.iter().rev() {
            backward(l, *first, sides);
        }
    }
    /// The face's displacements under forces on the face alone: both are given from the face's first unknown on.
    pub(super) fn solve_face(&self, sides: &mut [Vec<f64>]) {
        if let Some((_, l)) = self.fronts.last() {
            forward(l, 0, sides);
            backward(l, 0, sides);
        }
    }
}

fn forward(l: &DMatrix<f64>, first: usize, sides: &mut [Vec<f64>]) {
    let n = l.nrows();
    let data = l.as_slice();
    for j in 0..l.ncols() {
        let column = &data[j * n + j..(j + 1) * n];
        for side in sides.iter_mut() {
            let b = &mut side[first + j..first + n];
            let y = b[0] / column[0];
            b[0] = y;
            if y != 0.0 {
                for (b, l) in b[1..].iter_mut().zip(&column[1..]) {
                    *b -= l * y;
                }
            }
        }
    }
}

fn backward(l: &DMatrix<f64>, first: usize, sides: &mut [Vec<f64>]) {
    let n = l.nrows();
    let data = l.as_slice();
    for j in (0..l.ncols()).rev() {
        let column = &data[j * n + j..(j + 1) * n];
        for side in sides.iter_mut() {
            let b = &mut side[first + j..first + n];
            // Four sums side by side: one would wait for itself.
            let mut sums = [0.0; 4];
            let (xs, ls) = (b[1..].chunks_exact(4), column[1..].chunks_exact(4));
            let rest: f64 = xs
                .remainder()
                .iter()
                .zip(ls.remainder())
                .map(|(x, l)| x * l)
                .sum();
            for (x, l) in xs.zip(ls) {
                for (s, (x, l)) in sums.iter_mut().zip(x.iter().zip(l)) {
                    *s += x * l;
                }
            }
            b[0] = (b[0] - rest - sums.iter().sum::<f64>()) / column[0];
        }
    }
}

/// Eliminates the first `p` columns of a symmetric matrix given by its lower triangle.
fn cholesky(a: &mut DMatrix<f64>, p: usize) -> Result<(), ElementsError> {
    let n = a.nrows();
    let mut k = 0;
    while k < p {
        let w = PANEL.min(p - k);
        // The panel, column by column.
        for j in k..k + w {
            let (done, rest) = a.as_mut_slice().split_at_mut(j * n);
            let column = &mut rest[j..n];
            for t in k..j {
                let before = &done[t * n + j..(t + 1) * n];
                let factor = before[0];
                for (c, b) in column.iter_mut().zip(before) {
                    *c -= factor * b;
                }
            }
            let pivot = column[0];
            if !pivot.is_finite() {
                return Err(ElementsError::NotFinite);
            }
            if pivot <= 0.0 {
                return Err(ElementsError::NotPositive);
            }
            let root = pivot.sqrt();
            for c in column.iter_mut() {
                *c /= root;
            }
        }
        // What it changes.
        let from = k + w;
        if from < n {
            let panel = a.view((from, k), (n - from, w)).into_owned();
            let across = panel.transpose();
            let mut j = from;
            while j < n {
                let b = BLOCK.min(n - j);
                a.view_mut((j, j), (n - j, b)).gemm(
                    -1.0,
                    &panel.rows(j - from, n - j),
                    &across.columns(j - from, b),
                    1.0,
                );
                j += b;
            }
        }
        k = from;
    }
    Ok(())
}
