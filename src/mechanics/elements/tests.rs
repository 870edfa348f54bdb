use super::element::{Constants, Family, RowStiffness, corners, side, strain_load};
use super::fields::equivalent;
use super::mesh::{Grid, Sizes};
use super::seat::{Ring, contact};
use super::solve::{Bounds, Model};
use super::*;
use crate::mechanics::ladder::{
    FaceForces, FrameHold, GlueLayer, Ladder, LadderParts, ThreadSpread,
};
use crate::mechanics::rocking::{Layer, Rocking, Tube, confined_modulus};
use crate::mechanics::section::{ring_area, ring_polar};
use crate::mechanics::torsion::{Torsion, TorsionLoads, TorsionParts};
use nalgebra::{DMatrix, DVector};
use std::f64::consts::PI;

// A tube of one material, from radius A to B, in m and Pa; the parts of the mesh are all the same.
const A: f64 = 0.0175;
const B: f64 = 0.023;
const E: f64 = 70e9;
const NU: f64 = 0.3;
const G: f64 = E / (2.0 * (1.0 + NU));

fn tube(length: f64) -> Sizes {
    Sizes {
        fitting_bore: 0.014,
        neck_radius: 0.0168,
        thread_radius: 0.0168,
        bore: A,
        outside: 0.020,
        frame_bore: 0.0202,
        frame_outside: B,
        thread: (0.0, length),
        bond: length,
        insert_end: length,
        frame_end: length,
        seat_insert: Some((A, 0.020)),
        seat_frame: Some((0.0202, B)),
    }
}

fn same() -> Constants {
    let m = Material::isotropic(from_si(E), number(NU), None);
    m.constants("").expect("constants")
}

fn model<'a>(
    grid: &'a Grid,
    family: Family,
    constants: &Constants,
    held: &dyn Fn(f64, f64, usize) -> bool,
) -> Model<'a> {
    let rows = (0..grid.rows.len()).map(|row| {
        let (a, b) = grid.radii(row);
        RowStiffness::new(family, constants, a, b)
    });
    let bounds = Bounds {
        held: &|x, r, c, _| held(x, r, c),
        plane_end: false,
        flanks: None,
    };
    Model::new(grid, family, rows.collect(), &bounds)
}

fn solved(m: &Model, load: Vec<f64>) -> Vec<f64> {
    let mut sides = vec![load.clone()];
    let factor = m.factor().expect("factors");
    factor.solve(&mut sides);
    // Refined once, as in the program.
    let rest = m.times(&sides).remove(0);
    let mut step = vec![
        load.iter()
            .zip(&rest)
            .map(|(f, r)| f - r)
            .collect::<Vec<f64>>(),
    ];
    factor.solve(&mut step);
    for (u, d) in sides[0].iter_mut().zip(&step[0]) {
        *u += d;
    }
    let rest = m.times(&sides).remove(0);
    let most: f64 = load.iter().map(|f| f.abs()).sum();
    for (f, r) in load.iter().zip(&rest) {
        assert!((f - r).abs() <= BALANCE * most, "{f} {r}");
    }
    sides.remove(0)
}

/// Every node that is there: number, x, r, and whether it lies inside the body.
fn places(g: &Grid) -> Vec<(usize, f64, f64, bool)> {
    let mut out = Vec::new();
    let last = g.r.len() - 1;
    for i in 0..g.x.len() {
        let edge = i == 0 || i + 1 == g.x.len();
        for k in 0..=2 * last {
            let r = 0.5 * (g.r[k / 2] + g.r[k.div_ceil(2)]);
            let inside = !edge && k > 0 && k < 2 * last;
            out.push((g.corner(i, k), g.x[i], r, inside));
        }
        if i + 1 < g.x.len() {
            let x = 0.5 * (g.x[i] + g.x[i + 1]);
            for (k, r) in g.r.iter().enumerate() {
                out.push((g.middle(i, k), x, *r, k > 0 && k < last));
            }
        }
    }
    out
}

/// The displacement `field` (x, r, component) on all nodes; forces inside must be nothing, and stresses `wanted`.
fn patch(
    family: Family,
    constants: &Constants,
    field: impl Fn(f64, f64, usize) -> f64,
    wanted: impl Fn(f64, f64) -> [f64; 6],
) {
    let g = Grid::new(&tube(0.03), 0, false);
    let m = model(&g, family, constants, &|_, _, _| false);
    let mut u = vec![0.0; m.size()];
    for (node, x, r, _) in places(&g) {
        for c in 0..family.components() {
            u[m.unknown(node, c).expect("free")] = field(x, r, c);
        }
    }
    let forces = m.times(std::slice::from_ref(&u)).remove(0);
    let scale = forces.iter().fold(0.0_f64, |a, v| a.max(v.abs()));
    for (node, x, r, inside) in places(&g) {
        for c in 0..family.components() {
            let f = forces[m.unknown(node, c).expect("free")];
            assert!(
                !inside || f.abs() < 1e-9 * scale.max(1e-6 * E),
                "{f} of {scale} at {x} {r}"
            );
        }
    }
    for (i, row) in g.cells() {
        for (k, (xi, eta)) in corners().into_iter().enumerate() {
            let (a, b) = g.radii(row);
            let x = 0.5 * (g.x[i] + g.x[i + 1]) + 0.5 * (g.x[i + 1] - g.x[i]) * xi;
            let r = 0.5 * (a + b) + 0.5 * (b - a) * eta;
            let found = constants.stress(&m.strain(&u, i, row, k));
            let want = wanted(x, r);
            let size = want.iter().fold(0.0_f64, |a, v| a.max(v.abs()));
            for (f, w) in found.iter().zip(want) {
                assert!(
                    (f - w).abs() < 1e-7 * size.max(1e-3 * E),
                    "{found:?} {want:?}"
                );
            }
        }
    }
}

#[test]
fn patch_even() {
    // Pull along the axis, and a radial strain.
    let (p, q) = (1.0e-3, -0.4e-3);
    let lame = NU * E / ((1.0 + NU) * (1.0 - 2.0 * NU));
    let trace = lame * (p + 2.0 * q);
    let (along, across) = (trace + 2.0 * G * p, trace + 2.0 * G * q);
    patch(
        Family::Even,
        &same(),
        |x, r, c| if c == 0 { p * x } else { q * r },
        |_, _| [along, across, across, 0.0, 0.0, 0.0],
    );
}

#[test]
fn patch_twist() {
    patch(
        Family::Twist,
        &same(),
        |x, r, _| 0.7 * x * r + 0.1 * r,
        |_, r| [0.0, 0.0, 0.0, 0.0, G * 0.7 * r, 0.0],
    );
}

#[test]
fn patch_bending() {
    // Pure bending, whose field is quadratic, with a shift and a turn of the whole body.
    let curve = 0.6;
    patch(
        Family::Once,
        &same(),
        |x, r, c| match c {
            0 => curve * x * r - 0.2 * r,
            1 => -0.5 * curve * (x * x + NU * r * r) + 0.3 + 0.2 * x,
            _ => 0.5 * curve * (x * x - NU * r * r) - 0.3 - 0.2 * x,
        },
        |_, r| [E * curve * r, 0.0, 0.0, 0.0, 0.0, 0.0],
    );
}

#[test]
fn lame_and_the_order_of_convergence() {
    // Pressure in the bore, nothing at the ends: plane stress. A thick tube, so that there is an error to see.
    let sizes = Sizes {
        frame_outside: 0.070,
        seat_frame: None,
        ..tube(0.03)
    };
    let (a, b) = (A, 0.070);
    let exact = a / E * ((b * b + a * a) / (b * b - a * a) + NU);
    let mut errors = Vec::new();
    for times in 0..3 {
        let g = Grid::new(&sizes, times, false);
        let m = model(&g, Family::Even, &same(), &|x, r, c| {
            c == 0 && x == 0.0 && r > b - 1e-9
        });
        let mut load = load::none(&m);
        load::bore(&m, 1, 2.0 * PI * a, &mut load);
        let u = solved(&m, load);
        let at = m.moved(&u, g.corner(0, 2 * g.bore_line), 1);
        errors.push((at / exact - 1.0).abs());
    }
    // Energy, and so this displacement, converges with the fourth power of the size.
    assert!(errors[0] < 1e-2, "{errors:?}");
    for pair in errors.windows(2) {
        let order = (pair[0] / pair[1]).log2();
        assert!((3.3..5.0).contains(&order), "{errors:?}: order {order}");
    }
}

#[test]
fn torsion_of_a_tube() {
    let length = 0.05;
    let g = Grid::new(&tube(length), 0, false);
    let m = model(&g, Family::Twist, &same(), &|x, _, _| x > length - 1e-9);
    let polar = PI / 2.0 * (B.powi(4) - A.powi(4));
    let mut load = load::none(&m);
    load::face(
        &m,
        0..g.rows.len(),
        0,
        |r| 2.0 * PI * r * r / polar,
        &mut load,
    );
    let u = solved(&m, load);
    let turn = m.moved(&u, g.corner(0, 2 * g.bore_line), 0) / A;
    assert!((turn / (length / (G * polar)) - 1.0).abs() < 1e-9, "{turn}");
}

#[test]
fn cantilever() {
    let length = 0.16;
    let mut sizes = tube(length);
    sizes.seat_insert = None;
    let g = Grid::new(&sizes, 0, false);
    let m = model(&g, Family::Once, &same(), &|x, _, _| x > length - 1e-9);
    let area = PI * (B * B - A * A);
    let mut load = load::none(&m);
    for (c, sign) in [(1, 1.0), (2, -1.0)] {
        load::face(&m, 0..g.rows.len(), c, |r| sign * PI * r / area, &mut load);
    }
    let u = solved(&m, load);
    let got = m.moved(&u, g.corner(0, 2 * (g.r.len() - 1)), 1);
    // Timoshenko's beam with Cowper's coefficient for a hollow circle.
    let k2 = (A / B).powi(2);
    let one = (1.0 + k2).powi(2);
    let kappa = 6.0 * (1.0 + NU) * one / ((7.0 + 6.0 * NU) * one + (20.0 + 12.0 * NU) * k2);
    let second = PI / 4.0 * (B.powi(4) - A.powi(4));
    let beam = length.powi(3) / (3.0 * E * second) + length / (kappa * G * area);
    assert!((got / beam - 1.0).abs() < 0.005, "{}", got / beam);
}

#[test]
fn saint_venant_decay() {
    // Even shear on the face in place of one that grows with the radius: the difference carries no torque and dies
    // out as exp(−λ·x), λ² = (π/t)² + 15/(4·a·b), McMahon's expansion for a cross product of J2 and Y2.
    let length = 0.05;
    let g = Grid::new(&tube(length), 2, false);
    let m = model(&g, Family::Twist, &same(), &|x, _, _| x > length - 1e-9);
    let polar = PI / 2.0 * (B.powi(4) - A.powi(4));
    let even = 1.0 / (2.0 * PI / 3.0 * (B.powi(3) - A.powi(3)));
    let mut load = load::none(&m);
    let traction = |r: f64| 2.0 * PI * r * (even - r / polar);
    load::face(&m, 0..g.rows.len(), 0, traction, &mut load);
    let u = solved(&m, load);
    // Turn of the bore against the outside.
    let last = g.r.len() - 1;
    let apart = |i: usize| {
        m.moved(&u, g.corner(i, 2 * g.bore_line), 0) / A - m.moved(&u, g.corner(i, 2 * last), 0) / B
    };
    let at = |x: f64| g.x.partition_point(|p| *p < x);
    let (i, j) = (at(0.004), at(0.008));
    let rate = (apart(i) / apart(j)).ln() / (g.x[j] - g.x[i]);
    let wall = B - A;
    let exact = ((PI / wall).powi(2) + 15.0 / (4.0 * A * B)).sqrt();
    assert!((rate / exact - 1.0).abs() < 0.01, "{rate} {exact}");
}

#[test]
fn orthotropic_cylinder() {
    // Pressure in the bore, no strain along the axis: u = c·r^k + d·r^(−k), k² = C_tt/C_rr (after Lekhnitskii).
    let material = Material {
        axial: from_si(60e9),
        radial: from_si(9e9),
        hoop: from_si(30e9),
        ..Material::isotropic(from_si(E), number(0.28), None)
    };
    let c = material.constants("").expect("constants");
    let k = (c.normal[2][2] / c.normal[1][1]).sqrt();
    let stress = |r: f64, k: f64| (c.normal[1][1] * k + c.normal[1][2]) * r.powf(k - 1.0);
    let (m11, m12) = (stress(A, k), stress(A, -k));
    let (m21, m22) = (stress(B, k), stress(B, -k));
    let det = m11 * m22 - m12 * m21;
    let (p, q) = (-m22 / det, m21 / det);
    let exact = p * A.powf(k) + q * A.powf(-k);
    let g = Grid::new(&tube(0.03), 1, false);
    let m = model(&g, Family::Even, &c, &|_, _, component| component == 0);
    let mut load = load::none(&m);
    load::bore(&m, 1, 2.0 * PI * A, &mut load);
    let u = solved(&m, load);
    let at = m.moved(&u, g.corner(3, 2 * g.bore_line), 1);
    assert!((at / exact - 1.0).abs() < 1e-6, "{at} {exact}");
}

#[test]
fn equal_moduli_are_the_isotropic_body() {
    let all = Material::isotropic(from_si(E), number(NU), None);
    let c = all.constants("").expect("constants");
    let lame = NU * E / ((1.0 + NU) * (1.0 - 2.0 * NU));
    for i in 0..3 {
        for j in 0..3 {
            let want = lame + if i == j { 2.0 * G } else { 0.0 };
            assert!((c.normal[i][j] / want - 1.0).abs() < 1e-14);
        }
        assert!((c.shear[i] / G - 1.0).abs() < 1e-14);
    }
    let given = Material::isotropic(from_si(E), number(NU), Some(from_si(G)));
    let sleeve = Sleeve {
        frame: all,
        ..sleeve()
    };
    let other = Sleeve {
        frame: given,
        ..sleeve.clone()
    };
    let (a, b) = (
        solve(&sleeve).expect("elements"),
        solve(&other).expect("elements"),
    );
    for (a, b) in a.rocking.moment.glue().zip(b.rocking.moment.glue()) {
        assert!((si(a.across) - si(b.across)).abs() <= 1e-9 * si(a.across).abs().max(1.0));
    }
}

#[test]
fn moduli_far_apart_stay_positive() {
    for poisson in [-0.9, 0.0, 0.3, 0.49] {
        let material = Material {
            axial: from_si(200e9),
            radial: from_si(2e9),
            hoop: from_si(20e6),
            ..Material::isotropic(from_si(E), number(poisson), None)
        };
        let c = material.constants("").expect("constants").normal;
        // Scaled, so that rounding does not decide.
        let scaled = DMatrix::from_fn(3, 3, |i, j| c[i][j] / (c[i][i] * c[j][j]).sqrt());
        assert_eq!(scaled, scaled.transpose());
        assert!(scaled.symmetric_eigenvalues().min() > 0.0);
        // Compliance as the documentation has it.
        let inverse = DMatrix::from_fn(3, 3, |i, j| c[i][j])
            .try_inverse()
            .expect("inverse");
        assert!((inverse[(0, 0)] * 200e9 - 1.0).abs() < 1e-9);
        let coupled = -poisson / (200e9_f64 * 20e6).sqrt();
        assert!((inverse[(0, 2)] - coupled).abs() < 1e-9 * inverse[(2, 2)]);
    }
}

#[test]
fn seat_of_soft_layers_shares_by_area_and_lets_go() {
    let rings = [
        Ring {
            area: 1.0,
            layer: 1.0,
        },
        Ring {
            area: 2.0,
            layer: 1.0,
        },
        Ring {
            area: 1.0,
            layer: 3.0,
        },
    ];
    let none = DMatrix::zeros(3, 3);
    let p = contact(&rings, &none, &[0.0; 3]).expect("contact");
    for (p, want) in p.iter().zip([1.0 / 6.0, 2.0 / 6.0, 3.0 / 6.0]) {
        assert!((p - want).abs() < 1e-14);
    }
    // A face that runs away from the flange carries nothing.
    let p = contact(&rings, &none, &[0.0, 10.0, 0.0]).expect("contact");
    assert_eq!(p[1], 0.0);
    assert!((p[0] + p[2] - 1.0).abs() < 1e-14 && (p[2] / p[0] - 3.0).abs() < 1e-12);
}

#[test]
fn sides_and_thermal_loads() {
    // Three-node integrals of 1 and r, and a free strain that the body takes up without stress.
    let s = side(1.0, 3.0, |_| 1.0);
    assert!((s[0] - 1.0 / 3.0).abs() < 1e-15 && (s[1] - 4.0 / 3.0).abs() < 1e-15);
    let g = Grid::new(&tube(0.03), 0, false);
    let m = model(&g, Family::Even, &same(), &|x, r, c| {
        c == 0 && x == 0.0 && r > B - 1e-9
    });
    let load = load::free_strain(&m, |_| same(), |_| 1e-5);
    let u = solved(&m, load);
    for (node, x, r, _) in places(&g) {
        assert!((m.moved(&u, node, 0) - 1e-5 * x).abs() < 1e-14);
        assert!((m.moved(&u, node, 1) - 1e-5 * r).abs() < 1e-14);
    }
    let [p, q] = strain_load(Family::Even, &same(), A, B, &[0.0; 6]);
    assert!(p.iter().chain(&q).all(|v| *v == 0.0));
    assert!((equivalent(&[1.0, 0.0, 0.0, 0.0, 0.0, 0.0]) - 1.0).abs() < 1e-15);
    assert!((equivalent(&[0.0, 0.0, 0.0, 0.0, 1.0, 0.0]) - 3f64.sqrt()).abs() < 1e-15);
}

/// A sleeve as they are, in a wall of carbon held at the bond's end.
fn sleeve() -> Sleeve {
    let steel = Material::isotropic(from_si(200e9), number(0.3), None);
    let metal = Material::isotropic(from_si(70e9), number(0.33), None);
    let seat = |inner: f64, outer: f64| SeatPart {
        inner: mm(inner),
        outer: mm(outer),
        layer: from_si(1.5e13),
    };
    Sleeve {
        fitting: Fitting {
            bore: mm(28.0),
            neck: mm(33.5),
            core: mm(33.7731),
            material: steel,
        },
        neck_length: mm(3.0),
        engagement: mm(12.0),
        pitch: mm(1.0),
        flanks: from_si(1.4e11),
        bore: mm(35.0),
        outer: mm(40.0),
        insert_length: mm(24.0),
        insert: metal,
        glue_thickness: mm(0.2),
        bond: mm(24.0),
        glue: Material::by_shear(from_si(1e9), number(0.38)),
        voids: number(0.0),
        frame_outer: mm(50.0),
        frame_beyond: mm(0.0),
        frame: metal,
        hold: Hold::Inboard,
        seat_insert: Some(seat(17.5, 20.0)),
        seat_frame: Some(seat(20.2, 23.0)),
        insert_expansion: from_si(23e-6),
        glue_expansion: from_si(55e-6),
        frame_expansion: from_si(3e-6),
    }
}

/// Integral along the glue by trapezoids over the stations.
fn over(e: &Elements, f: impl Fn(&Stress) -> f64, unit: &Unit) -> f64 {
    let values: Vec<f64> = unit.glue().map(|s| f(&s)).collect();
    let step = si(e.stations[1]) - si(e.stations[0]);
    step * (values.iter().sum::<f64>() - 0.5 * (values[0] + values[STATIONS - 1]))
}

#[test]
fn everything_is_in_balance() {
    let e = solve(&sleeve()).expect("elements");
    assert!(si(e.residual) <= BALANCE);
    for unit in [&e.thread, &e.preload] {
        let sum: f64 = unit.turns.iter().map(|t| si(*t)).sum();
        assert!((sum - 1.0).abs() < 1e-9, "{sum}");
        assert_eq!(unit.turns.len(), 12);
    }
    let pushed = e.seat_frame.as_ref().expect("a seat");
    let sum: f64 = pushed.turns.iter().map(|t| si(*t)).sum();
    assert!(sum.abs() < 1e-9);
    // The flange's pressure adds up, and so does the insert's share.
    let force = |part: Option<Part>| -> f64 {
        let own = e
            .seat
            .rings
            .iter()
            .filter(|r| part.is_none_or(|p| p == r.part));
        own.map(|r| si(r.pressure) * PI * (si(r.outer).powi(2) - si(r.inner).powi(2)))
            .sum()
    };
    assert!((force(None) - 1.0).abs() < 1e-12);
    assert!((force(Some(Part::Insert)) - si(e.seat.share)).abs() < 1e-12);
    // What leaves the insert goes through the glue. The samples along it cost a percent.
    let r = 0.0201;
    let push = over(&e, |s| 2.0 * PI * r * si(s.along), &e.thread.unit);
    assert!((push - 1.0).abs() < 0.02, "{push}");
    let turn = over(&e, |s| -2.0 * PI * r * r * si(s.around), &e.torsion.thread);
    assert!((turn - 1.0).abs() < 0.02, "{turn}");
    let side = over(
        &e,
        |s| PI * r * (si(s.around) - si(s.across)),
        &e.rocking.force,
    );
    assert!((side - 1.0).abs() < 0.02, "{side}");
    let heat = over(&e, |s| si(s.along), &e.thermal);
    let most = e
        .thermal
        .glue()
        .map(|s| si(s.along).abs())
        .fold(0.0, f64::max);
    assert!(heat.abs() < 1e-3 * most * 0.024);
}

#[test]
fn reciprocity() {
    // What the thread's pull does to the faces is what pressure there does to the fitting's end (Betti).
    let e = solve(&sleeve()).expect("elements");
    let (insert, frame) = (e.seat_insert.expect("insert"), e.seat_frame.expect("frame"));
    let apart = |a: Compliance, b: Compliance| (si(a) + si(b)).abs() / si(a).abs();
    let pulled = e.thread.insert_face.expect("insert");
    assert!(apart(pulled, insert.fitting_end) < 1e-8);
    let pulled = e.thread.frame_face.expect("frame");
    assert!(apart(pulled, frame.fitting_end) < 1e-8);
    let (a, b) = (
        insert.frame_face.expect("frame"),
        frame.insert_face.expect("insert"),
    );
    assert!((si(a) / si(b) - 1.0).abs() < 1e-8);
}

#[test]
fn compound_cylinders_cooled() {
    // Long, so that the middle knows nothing of its ends: three tubes, u = c·r + d/r each, one strain along the axis
    // and no force along it.
    let mut s = sleeve();
    s.bond = mm(150.0);
    s.insert_length = s.bond;
    let e = solve(&s).expect("elements");
    let radii = [0.0175, 0.020, 0.0202, 0.025];
    let glue_young = 1e9 * 2.0 * 1.38;
    let parts = [
        (70e9, 0.33, -23e-6),
        (glue_young, 0.38, -55e-6),
        (70e9, 0.33, -3e-6),
    ];
    let mut m = DMatrix::<f64>::zeros(7, 7);
    let mut f = DVector::<f64>::zeros(7);
    // σ_r = 2(λ + G)·c − 2G·d/r² + λ·e − (3λ + 2G)·α.
    let constants = parts.map(|(e, nu, a): (f64, f64, f64)| {
        let lame = nu * e / ((1.0 + nu) * (1.0 - 2.0 * nu));
        let g = e / (2.0 * (1.0 + nu));
        (lame, g, (3.0 * lame + 2.0 * g) * a)
    });
    let stress =
        |k: usize, r: f64, row: usize, sign: f64, m: &mut DMatrix<f64>, f: &mut DVector<f64>| {
            let (lame, g, free) = constants[k];
            m[(row, 2 * k)] += sign * 2.0 * (lame + g);
            m[(row, 2 * k + 1)] -= sign * 2.0 * g / (r * r);
            m[(row, 6)] += sign * lame;
            f[row] += sign * free;
        };
    stress(0, radii[0], 0, 1.0, &mut m, &mut f);
    stress(2, radii[3], 1, 1.0, &mut m, &mut f);
    for k in 0..2 {
        let r = radii[k + 1];
        stress(k, r, 2 + 2 * k, 1.0, &mut m, &mut f);
        stress(k + 1, r, 2 + 2 * k, -1.0, &mut m, &mut f);
        // Displacements meet; scaled so that the rows are of one size.
        for (part, sign) in [(k, 1e11), (k + 1, -1e11)] {
            m[(3 + 2 * k, 2 * part)] = sign * r;
            m[(3 + 2 * k, 2 * part + 1)] = sign / r;
        }
    }
    for k in 0..3 {
        let (lame, g, free) = constants[k];
        let area = radii[k + 1].powi(2) - radii[k].powi(2);
        m[(6, 2 * k)] += 2.0 * lame * area;
        m[(6, 6)] += (lame + 2.0 * g) * area;
        f[6] += free * area;
    }
    let u = m.lu().solve(&f).expect("tubes");
    let (lame, g, free) = constants[1];
    let r = 0.0201;
    let want = 2.0 * (lame + g) * u[2] - 2.0 * g * u[3] / (r * r) + lame * u[6] - free;
    let found = e.thermal.glue().nth(STATIONS / 2).expect("the middle");
    assert!(
        (si(found.across) / want - 1.0).abs() < 2e-3,
        "{:?} {want}",
        found.across
    );
    assert!(si(found.along).abs() < 1e-3 * want.abs());
}

/// Thin soft glue in a wall that does not give way.
fn simple() -> Sleeve {
    Sleeve {
        glue: Material::by_shear(from_si(1e8), number(0.3)),
        hold: Hold::FullLength,
        ..sleeve()
    }
}

fn layer() -> GlueLayer {
    GlueLayer {
        shear_modulus: from_si(1e8),
        thickness: mm(0.2),
        mid_radius: mm(20.1),
        voids: number(0.0),
        length: mm(24.0),
    }
}

fn inner(e: &Elements) -> impl Iterator<Item = (usize, f64)> + '_ {
    let x = e.stations.iter().map(|x| si(*x)).enumerate();
    x.filter(|(_, x)| *x > 1.5e-3 && *x < 22.5e-3)
}

#[test]
fn torsion_of_the_simple_model_in_its_limit() {
    let e = solve(&simple()).expect("elements");
    let modulus = from_si(70e9 / (2.0 * 1.33));
    let parts = TorsionParts {
        insert_modulus: modulus,
        insert_section: ring_polar(mm(40.0), mm(35.0)),
        frame_modulus: modulus,
        frame_section: ring_polar(mm(50.0), mm(40.4)),
        glue: layer(),
        hold: FrameHold::FullLength,
    };
    let spread = ThreadSpread::even(mm(3.0), mm(12.0), mm(24.0));
    let simple = Torsion::solve(&parts, &spread).expect("a torsion ladder");
    let loads = TorsionLoads {
        thread: newton_metre(0.0),
        seat_insert: newton_metre(1.0),
        seat_frame: newton_metre(0.0),
    };
    let unit = e.torsion.seat_insert.as_ref().expect("a seat");
    let found: Vec<Stress> = unit.glue().collect();
    for (k, x) in inner(&e) {
        let want = si(simple.glue_shear(from_si(x), &loads));
        let got = -si(found[k].around);
        assert!((got / want - 1.0).abs() < 0.02, "{x}: {got} {want}");
    }
}

/// Glue so soft that walls neither shear nor bend under what it passes on: bars are right.
#[test]
fn ladder_and_thermal_shear_in_their_limit() {
    let soft = 1e6;
    let e = solve(&Sleeve {
        glue: Material::by_shear(from_si(soft), number(0.3)),
        ..simple()
    })
    .expect("elements");
    let glue = GlueLayer {
        shear_modulus: from_si(soft),
        ..layer()
    };
    let bar = |young: f64, outer: f64, inner: f64| -> Force {
        megapascal(young) * ring_area(mm(outer), mm(inner))
    };
    let (insert, frame) = (bar(70e3, 40.0, 35.0), bar(70e3, 50.0, 40.4));
    let ladder = Ladder::solve(&LadderParts {
        neck: mm(3.0),
        engagement: mm(12.0),
        fitting_neck: bar(200e3, 33.5, 28.0),
        fitting: bar(200e3, 33.7731, 28.0),
        insert,
        frame,
        flanks: from_si(1.4e11),
        glue,
        hold: FrameHold::FullLength,
    })
    .expect("a ladder");
    let pulled = FaceForces {
        fitting: newton(1.0),
        insert: newton(0.0),
        frame: newton(0.0),
    };
    let found: Vec<Stress> = e.thread.unit.glue().collect();
    for (k, x) in inner(&e) {
        let want = si(ladder.glue_shear(from_si(x), &pulled));
        let got = si(found[k].along);
        assert!((got / want - 1.0).abs() < 0.03, "{x}: {got} {want}");
    }
    // The frame is free of its hold in the cold.
    let b2 = std::f64::consts::TAU * 20.1e-3 * soft / 2e-4 * (1.0 / si(insert) + 1.0 / si(frame));
    let b = b2.sqrt();
    let cold: Vec<Stress> = e.thermal.glue().collect();
    for (k, x) in inner(&e).filter(|(_, x)| (x - 12e-3).abs() > 3e-3) {
        let at = (b * (x - 12e-3)).sinh() / (b * (b * 12e-3).cosh());
        let want = soft / 2e-4 * 20e-6 * at;
        let got = si(cold[k].along);
        assert!(
            (got.abs() / want.abs() - 1.0).abs() < 0.03,
            "{x}: {got} {want}"
        );
    }
}

#[test]
fn rocking_of_the_simple_model_in_its_limit() {
    // Glue so soft that the insert stays as it is: in stiffer glue the wall bends on its own where the couple enters.
    let soft = 1e6;
    let e = solve(&Sleeve {
        glue: Material::by_shear(from_si(soft), number(0.3)),
        ..simple()
    })
    .expect("elements");
    let (k_s, e_c) = (
        soft / 2e-4,
        si(confined_modulus(from_si(soft), number(0.3))),
    );
    let layer = Layer {
        k_n: from_si(e_c / 2e-4),
        k_s: from_si(k_s),
        mid_radius: mm(20.1),
        voids: number(0.0),
    };
    let tube = Tube {
        young: from_si(70e9),
        poisson: number(0.33),
        shear: from_si(70e9 / (2.0 * 1.33)),
        inner: mm(35.0),
        outer: mm(40.0),
    };
    let simple = Rocking::new(&tube, &layer, mm(24.0), mm(3.0), mm(12.0)).expect("a beam");
    let tilt = simple.under(newton(0.0), newton_metre(1.0));
    let found: Vec<Stress> = e.rocking.moment.glue().collect();
    let wanted = |x: f64| tilt.stress_at(&layer, from_si(x), from_si(0.0));
    let most = inner(&e)
        .map(|(_, x)| si(wanted(x).axial).abs())
        .fold(0.0, f64::max);
    let (mut square, mut count) = (0.0, 0.0);
    for (k, x) in inner(&e) {
        let (want, got) = (si(wanted(x).axial), si(found[k].along));
        let apart = (want.abs() - got.abs()) / most;
        assert!(apart.abs() < 0.04, "{x}: {got} {want}");
        square += apart * apart;
        count += 1.0;
    }
    let apart = f64::sqrt(square / count);
    assert!(apart < 0.02, "{apart}");
}

#[test]
fn whatever_the_shape_there_is_an_answer() {
    type Shape = (&'static str, fn(&mut Sleeve));
    let shapes: [Shape; 14] = [
        ("solid screw", |s| s.fitting.bore = mm(0.0)),
        ("thread from the face", |s| s.neck_length = mm(0.0)),
        ("thread to the bond's end", |s| s.engagement = mm(21.0)),
        ("thread nearly to the bond's end", |s| {
            s.engagement = mm(20.9999)
        }),
        ("thread beyond the bond", |s| s.engagement = mm(27.0)),
        ("thread beyond all", |s| s.neck_length = mm(25.0)),
        ("insert longer", |s| s.insert_length = mm(40.0)),
        ("insert shorter", |s| s.insert_length = mm(10.0)),
        ("held at the face", |s| s.hold = Hold::Outboard),
        ("held along", |s| s.hold = Hold::FullLength),
        ("held round", |s| s.hold = Hold::AllRound),
        ("held farther in", |s| s.frame_beyond = mm(20.0)),
        ("seat on the insert", |s| s.seat_frame = None),
        ("wide neck, voids", |s| {
            s.fitting.neck = mm(34.9);
            s.voids = number(0.3);
        }),
    ];
    for (name, change) in shapes {
        let mut s = sleeve();
        change(&mut s);
        let e = solve(&s).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert!(si(e.residual) <= BALANCE, "{name}");
        assert!(si(e.thread_stiffness) > 0.0, "{name}");
        let sum: f64 = e.preload.turns.iter().map(|t| si(*t)).sum();
        assert!((sum - 1.0).abs() < 1e-9, "{name}: {sum}");
        let wall = e.wall(
            &[(&e.preload.unit, number(1e4))],
            &[(&e.rocking.force, number(500.0))],
        );
        let wall = wall.expect("a wall");
        assert!(
            si(wall.equivalent).is_finite() && si(wall.equivalent) > 0.0,
            "{name}"
        );
    }
}

#[test]
fn what_cannot_be_is_an_error() {
    let shapes: [fn(&mut Sleeve); 12] = [
        |s| s.bond = mm(f64::NAN),
        |s| s.bond = mm(0.0),
        |s| s.bond = mm(f64::INFINITY),
        |s| s.engagement = mm(0.0),
        |s| s.outer = mm(35.0),
        |s| s.glue_thickness = mm(0.0),
        |s| s.frame_outer = mm(40.0),
        |s| s.flanks = from_si(0.0),
        |s| s.insert = Material::isotropic(from_si(E), number(0.5), None),
        |s| s.frame = Material::isotropic(from_si(-E), number(0.3), None),
        |s| s.voids = number(1.0),
        |s| {
            s.seat_insert = None;
            s.seat_frame = None;
        },
    ];
    for (k, change) in shapes.into_iter().enumerate() {
        let mut s = sleeve();
        change(&mut s);
        assert!(matches!(solve(&s), Err(ElementsError::Input(_))), "{k}");
    }
}

#[test]
fn voids_carry_their_share() {
    // Half of the glue away halves the stiffness: the same as an adhesive half as stiff, with twice its stress.
    let half = Sleeve {
        voids: number(0.5),
        ..sleeve()
    };
    let soft = Sleeve {
        glue: Material::by_shear(from_si(0.5e9), number(0.38)),
        ..sleeve()
    };
    let (a, b) = (
        solve(&half).expect("elements"),
        solve(&soft).expect("elements"),
    );
    for (a, b) in a.rocking.force.glue().zip(b.rocking.force.glue()) {
        assert!((si(a.across) - 2.0 * si(b.across)).abs() < 1e-9 * si(a.across).abs().max(1e-3));
    }
}
