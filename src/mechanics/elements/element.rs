//! The eight-node quadrilateral of a body of revolution: shape functions, strains, elastic constants, stiffness.
//!
//! All cells are rectangles in x and r, so the strain matrix is B = Bx/dx + Br and the stiffness of a cell is
//! K = K0/dx + K1 + K2·dx, with three matrices that depend on the radii and the material alone. They are made once
//! for each row of the mesh.
//!
//! Strains and stresses are always in the order xx, rr, θθ, xr, xθ, rθ, shear strains in full (γ).
//! Lengths in m, moduli in Pa.

use std::f64::consts::PI;

/// Nodes of one element.
pub(super) const NODES: usize = 8;
/// Gauss's points of the exact rule (3 by 3) and their weights. Source: published (Gauss-Legendre).
const GAUSS3: [(f64, f64); 3] = [
    (-0.774_596_669_241_483_4, 5.0 / 9.0),
    (0.0, 8.0 / 9.0),
    (0.774_596_669_241_483_4, 5.0 / 9.0),
];
/// Where stresses of a quadratic element are best, ±1/√3. Source: published (Barlow 1976).
pub(super) const BEST: f64 = 0.577_350_269_189_625_8;

/// The four best points of a cell.
pub(super) fn corners() -> [(f64, f64); 4] {
    [(-BEST, -BEST), (BEST, -BEST), (-BEST, BEST), (BEST, BEST)]
}

/// How displacements go round the axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Family {
    /// Axial and radial, the same all round.
    Even,
    /// Circumferential alone, the same all round.
    Twist,
    /// Axial and radial as cos φ, circumferential as sin φ.
    Once,
}

impl Family {
    /// Displacement components at a node.
    pub(super) fn components(self) -> usize {
        match self {
            Family::Even => 2,
            Family::Twist => 1,
            Family::Once => 3,
        }
    }
    /// Integral round the axis of the square of 1, or of cos φ and sin φ.
    pub(super) fn round(self) -> f64 {
        match self {
            Family::Once => PI,
            _ => 2.0 * PI,
        }
    }
}

/// Elastic constants, axes along x, r and θ (Pa).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Constants {
    /// Normal stresses by normal strains, in the order x, r, θ.
    pub normal: [[f64; 3]; 3],
    /// Shear moduli of xr, xθ, rθ.
    pub shear: [f64; 3],
}

impl Constants {
    /// The same multiplied, as for voids.
    pub(super) fn times(&self, factor: f64) -> Self {
        Self {
            normal: self.normal.map(|row| row.map(|v| v * factor)),
            shear: self.shear.map(|v| v * factor),
        }
    }
    /// Stress of a strain.
    pub(super) fn stress(&self, e: &[f64; 6]) -> [f64; 6] {
        let [x, r, t, xr, xt, rt] = *e;
        let [a, b, c] = self.normal.map(|row| row[0] * x + row[1] * r + row[2] * t);
        [
            a,
            b,
            c,
            self.shear[0] * xr,
            self.shear[1] * xt,
            self.shear[2] * rt,
        ]
    }
}

/// Shape functions and their slopes in ξ (along x) and η (along r), both from −1 to 1.
///
/// Nodes: corners (−,−), (+,−), (+,+), (−,+), then the middles of the sides η = −1, ξ = 1, η = 1, ξ = −1.
pub(super) fn shape(xi: f64, eta: f64) -> [[f64; 3]; NODES] {
    const CORNERS: [(f64, f64); 4] = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
    let mut out = [[0.0; 3]; NODES];
    for (node, (a, b)) in CORNERS.into_iter().enumerate() {
        let (p, q) = (1.0 + a * xi, 1.0 + b * eta);
        out[node] = [
            0.25 * p * q * (a * xi + b * eta - 1.0),
            0.25 * a * q * (2.0 * a * xi + b * eta),
            0.25 * b * p * (a * xi + 2.0 * b * eta),
        ];
    }
    for (node, b) in [(4, -1.0), (6, 1.0)] {
        let q = 1.0 + b * eta;
        out[node] = [
            0.5 * (1.0 - xi * xi) * q,
            -xi * q,
            0.5 * b * (1.0 - xi * xi),
        ];
    }
    for (node, a) in [(5, 1.0), (7, -1.0)] {
        let p = 1.0 + a * xi;
        out[node] = [
            0.5 * (1.0 - eta * eta) * p,
            0.5 * a * (1.0 - eta * eta),
            -eta * p,
        ];
    }
    out
}

/// Strains per displacement at one point: column (node·components + component) as (Bx, Br).
pub(super) struct Strains {
    pub columns: Vec<([f64; 6], [f64; 6])>,
    /// Radius of the point.
    pub r: f64,
}

/// The strain matrix at (ξ, η) of a cell from radius `r0` to `r1`.
pub(super) fn strains(family: Family, r0: f64, r1: f64, xi: f64, eta: f64) -> Strains {
    let dr = r1 - r0;
    let r = 0.5 * (r0 + r1) + 0.5 * dr * eta;
    let mut columns = Vec::with_capacity(NODES * family.components());
    for [n, along, up] in shape(xi, eta) {
        // Slope in x is `gx`/dx; in r it is `gr`; `h` is what a displacement round the axis brings.
        let (gx, gr, h) = (2.0 * along, 2.0 * up / dr, n / r);
        match family {
            Family::Even => {
                columns.push(([gx, 0., 0., 0., 0., 0.], [0., 0., 0., gr, 0., 0.]));
                columns.push(([0., 0., 0., gx, 0., 0.], [0., gr, h, 0., 0., 0.]));
            }
            Family::Twist => {
                columns.push(([0., 0., 0., 0., gx, 0.], [0., 0., 0., 0., 0., gr - h]));
            }
            Family::Once => {
                columns.push(([gx, 0., 0., 0., 0., 0.], [0., 0., 0., gr, -h, 0.]));
                columns.push(([0., 0., 0., gx, 0., 0.], [0., gr, h, 0., 0., -h]));
                columns.push(([0., 0., 0., 0., gx, 0.], [0., 0., h, 0., 0., gr - h]));
            }
        }
    }
    Strains { columns, r }
}

/// K0, K1, K2 of one row of cells, full square matrices one column after the other.
pub(super) struct RowStiffness {
    parts: [Vec<f64>; 3],
}

impl RowStiffness {
    pub(super) fn new(family: Family, material: &Constants, r0: f64, r1: f64) -> Self {
        let size = NODES * family.components();
        let mut parts = [(); 3].map(|()| vec![0.0; size * size]);
        for (xi, wx) in GAUSS3 {
            for (eta, wr) in GAUSS3 {
                let at = strains(family, r0, r1, xi, eta);
                let w = family.round() * wx * wr * 0.25 * (r1 - r0) * at.r;
                for (j, (jx, jr)) in at.columns.iter().enumerate() {
                    let (sx, sr) = (material.stress(jx), material.stress(jr));
                    for (i, (ix, ir)) in at.columns.iter().enumerate() {
                        let k = j * size + i;
                        parts[0][k] += w * dot(ix, &sx);
                        parts[1][k] += w * (dot(ix, &sr) + dot(ir, &sx));
                        parts[2][k] += w * dot(ir, &sr);
                    }
                }
            }
        }
        Self { parts }
    }

    /// Stiffness of a cell of length `dx`, into `out`, one column after the other.
    pub(super) fn of(&self, dx: f64, out: &mut [f64]) {
        let [a, b, c] = &self.parts;
        for (((o, a), b), c) in out.iter_mut().zip(a).zip(b).zip(c) {
            *o = a / dx + b + c * dx;
        }
    }
}

/// Nodal forces of the stress that an even strain `free` calls up (thermal loads): a cell of length dx has P + Q·dx.
pub(super) fn strain_load(
    family: Family,
    material: &Constants,
    r0: f64,
    r1: f64,
    free: &[f64; 6],
) -> [Vec<f64>; 2] {
    let stress = material.stress(free);
    let mut load = [(); 2].map(|()| vec![0.0; NODES * family.components()]);
    for (xi, wx) in GAUSS3 {
        for (eta, wr) in GAUSS3 {
            let at = strains(family, r0, r1, xi, eta);
            let w = family.round() * wx * wr * 0.25 * (r1 - r0) * at.r;
            for (k, (bx, br)) in at.columns.iter().enumerate() {
                load[0][k] += w * dot(bx, &stress);
                load[1][k] += w * dot(br, &stress);
            }
        }
    }
    load
}

/// Integral over a side of three nodes from `a` to `b` of shape function times `weight`.
pub(super) fn side(a: f64, b: f64, weight: impl Fn(f64) -> f64) -> [f64; 3] {
    let mut out = [0.0; 3];
    for (s, w) in GAUSS3 {
        let w = 0.5 * w * (b - a) * weight(0.5 * (a + b) + 0.5 * (b - a) * s);
        let n = [0.5 * s * (s - 1.0), 1.0 - s * s, 0.5 * s * (s + 1.0)];
        for (o, n) in out.iter_mut().zip(n) {
            *o += w * n;
        }
    }
    out
}

fn dot(a: &[f64; 6], b: &[f64; 6]) -> f64 {
    a.iter().zip(b).map(|(p, q)| p * q).sum()
}
