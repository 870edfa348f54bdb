//! Forces on the nodes. All are totals round the axis, in N per unit of load.

use super::element::{Constants, Family, side, strain_load};
use super::mesh::Part;
use super::solve::Model;
use std::f64::consts::PI;

/// A load vector of nothing.
pub(super) fn none(model: &Model) -> Vec<f64> {
    vec![0.0; model.size()]
}

/// Adds a traction on some rows of the face: `weight(r)` per length of radius, on one component.
pub(super) fn face(
    model: &Model,
    rows: impl Iterator<Item = usize>,
    component: usize,
    weight: impl Fn(f64) -> f64,
    load: &mut [f64],
) {
    for row in rows {
        let (a, b) = model.grid.radii(row);
        let parts = side(a, b, &weight);
        for (node, f) in model.on_face(row).into_iter().zip(parts) {
            if let Some(k) = model.unknown(node, component) {
                load[k] += f;
            }
        }
    }
}

/// 1 N of even pressure on a ring of the face, inward.
pub(super) fn pressed(model: &Model, part: Part, ring: (f64, f64)) -> Vec<f64> {
    let mut load = none(model);
    let area = PI * (ring.1 * ring.1 - ring.0 * ring.0);
    let rows = model.grid.ring(part, ring);
    face(model, rows, 0, |r| 2.0 * PI * r / area, &mut load);
    load
}

/// 1 N·m of even shear round the axis on a ring of the face.
pub(super) fn twisted(model: &Model, part: Part, ring: (f64, f64)) -> Vec<f64> {
    let mut load = none(model);
    let shear = 1.0 / (2.0 * PI * (ring.1.powi(3) - ring.0.powi(3)) / 3.0);
    let rows = model.grid.ring(part, ring);
    face(model, rows, 0, |r| 2.0 * PI * r * shear, &mut load);
    load
}

/// 1 N·m of pressure linear in r·cos φ on a ring of the face.
pub(super) fn tilted(model: &Model, part: Part, ring: (f64, f64)) -> Vec<f64> {
    let mut load = none(model);
    let second = PI * (ring.1.powi(4) - ring.0.powi(4)) / 4.0;
    let rows = model.grid.ring(part, ring);
    face(model, rows, 0, |r| PI * r * r / second, &mut load);
    load
}

/// Adds a line load (N/m, even along the thread) to one component of the insert's bore.
pub(super) fn bore(model: &Model, component: usize, line: f64, load: &mut [f64]) {
    let g = model.grid;
    for i in g.span(g.sizes.thread.0, g.sizes.thread.1) {
        let parts = side(g.x[i], g.x[i + 1], |_| line);
        for (node, f) in model.along(i, g.bore_line).into_iter().zip(parts) {
            if let Some(k) = model.unknown(node, component) {
                load[k] += f;
            }
        }
    }
}

/// Transverse force and moment about the face that enter the insert's bore along the thread: an even traction across
/// the axis and an even couple of axial traction. Source: engineering basis, section 8.
pub(super) fn rocking(model: &Model, force: f64, moment: f64) -> Vec<f64> {
    let mut load = none(model);
    let (from, to) = model.grid.sizes.thread;
    let along = to - from;
    let couple = (moment + force * 0.5 * (from + to)) / along;
    bore(model, 0, couple / model.grid.sizes.bore, &mut load);
    bore(model, 1, 0.5 * force / along, &mut load);
    bore(model, 2, -0.5 * force / along, &mut load);
    load
}

/// 1 N·m round the axis on the insert's bore, spread as `shares` of the nodes along the thread.
pub(super) fn threaded(model: &Model, shares: &[[f64; 3]]) -> Vec<f64> {
    let g = model.grid;
    let mut load = none(model);
    let columns = g.span(g.sizes.thread.0, g.sizes.thread.1);
    for (i, share) in columns.zip(shares) {
        for (node, s) in model.along(i, g.bore_line).into_iter().zip(share) {
            if let Some(k) = model.unknown(node, 0) {
                load[k] += s / g.sizes.bore;
            }
        }
    }
    load
}

/// What the parts' own strains `free` (by row) call up.
pub(super) fn free_strain(
    model: &Model,
    material: impl Fn(Part) -> Constants,
    free: impl Fn(Part) -> f64,
) -> Vec<f64> {
    let nc = Family::Even.components();
    let g = model.grid;
    let rows = (0..g.rows.len()).map(|row| {
        let (a, b) = g.radii(row);
        let part = g.rows[row].part;
        let e = free(part);
        let strain = [e, e, e, 0.0, 0.0, 0.0];
        strain_load(Family::Even, &material(part), a, b, &strain)
    });
    let rows: Vec<[Vec<f64>; 2]> = rows.collect();
    let mut load = none(model);
    for (i, row) in g.cells() {
        let dx = g.x[i + 1] - g.x[i];
        let [p, q] = &rows[row];
        for (n, node) in g.cell(i, row).into_iter().enumerate() {
            for c in 0..nc {
                if let Some(k) = model.unknown(node, c) {
                    load[k] += p[n * nc + c] + q[n * nc + c] * dx;
                }
            }
        }
    }
    load
}
