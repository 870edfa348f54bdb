//! The rigid flange on elastic faces with a one-sided layer between: pressure by ring, no tilt.
//!
//! `p_i = k_c·max(0, z − w_i)`, w_i the face's mean inward displacement on ring i: Σ_j G_ij·P_j + g_i·F, with G the
//! face's own flexibility and g what the pull of the thread does to it; the sum of P_i = p_i·A_i is F = 1 N.
//! Source: engineering basis, section 6, with the faces of the elements in place of rigid ones.
//!
//! Method: active set. Rings in contact satisfy a symmetric positive definite system; those that would pull are let
//! go, those that the flange has reached come back, the worst first.

use super::ElementsError;
use nalgebra::{Cholesky, DMatrix, DVector};

/// One ring of the seat: area (m²) and layer (N/m³).
#[derive(Debug, Clone, Copy)]
pub(super) struct Ring {
    pub area: f64,
    pub layer: f64,
}

/// Forces on the rings (N) that add up to 1 N.
pub(super) fn contact(
    rings: &[Ring],
    green: &DMatrix<f64>,
    pull: &[f64],
) -> Result<Vec<f64>, ElementsError> {
    let n = rings.len();
    let mut touching = vec![true; n];
    // Each round lets at least one go or brings one back; more rounds than this mean that it goes round in circles.
    for _ in 0..6 * n + 6 {
        let active: Vec<usize> = (0..n).filter(|&i| touching[i]).collect();
        let m = active.len();
        let a = DMatrix::from_fn(m, m, |p, q| {
            let (i, j) = (active[p], active[q]);
            let own = 1.0 / (rings[i].layer * rings[i].area);
            0.5 * (green[(i, j)] + green[(j, i)]) + if i == j { own } else { 0.0 }
        });
        let factor = Cholesky::new(a).ok_or(ElementsError::Seat)?;
        let ones = factor.solve(&DVector::from_element(m, 1.0));
        let rest = factor.solve(&DVector::from_fn(m, |p, _| pull[active[p]]));
        let approach = (1.0 + rest.sum()) / ones.sum();
        if !approach.is_finite() {
            return Err(ElementsError::NotFinite);
        }
        let mut force = vec![0.0; n];
        for (p, &i) in active.iter().enumerate() {
            force[i] = approach * ones[p] - rest[p];
        }
        let pulling: Vec<usize> = active.iter().copied().filter(|&i| force[i] < 0.0).collect();
        if !pulling.is_empty() {
            for i in pulling {
                touching[i] = false;
            }
            continue;
        }
        let closing = |i: usize| {
            let w: f64 = (0..n).map(|j| green[(i, j)] * force[j]).sum::<f64>() + pull[i];
            approach - w
        };
        let worst = (0..n)
            .filter(|&i| !touching[i])
            .map(|i| (i, closing(i)))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        match worst {
            Some((i, c)) if c > 1e-12 * approach.abs() => touching[i] = true,
            _ => return Ok(force),
        }
    }
    Err(ElementsError::Seat)
}
