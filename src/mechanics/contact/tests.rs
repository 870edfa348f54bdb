//! Closed forms, balances, symmetries and an independent solver.

use super::*;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use std::time::Instant;

/// A seat in SI: parts (inner, outer, layer stiffness), readings (rad, m), thread radius and stiffness.
#[derive(Debug, Clone)]
struct Case {
    parts: [Option<[f64; 3]>; 2],
    gaps: Vec<(f64, f64)>,
    r2: f64,
    kt: f64,
}

impl Case {
    fn ready(&self) -> SeatContact {
        let part = |p: Option<[f64; 3]>| {
            p.map(|[a, b, k]| RingPart {
                inner: from_si(a),
                outer: from_si(b),
                stiffness: from_si(k),
            })
        };
        let gaps: Vec<_> = self
            .gaps
            .iter()
            .map(|&(a, g)| GapReading {
                at: from_si(a),
                gap: from_si(g),
            })
            .collect();
        SeatContact::new(&Seat {
            insert: part(self.parts[0]),
            frame: part(self.parts[1]),
            gaps: &gaps,
            thread_radius: from_si(self.r2),
            thread_stiffness: from_si(self.kt),
        })
        .unwrap()
    }
}

fn one(ri: f64, ro: f64, kc: f64, r2: f64, kt: f64) -> Case {
    Case {
        parts: [Some([ri, ro, kc]), None],
        gaps: vec![],
        r2,
        kt,
    }
}

fn clock(gaps_um: &[f64]) -> Vec<(f64, f64)> {
    gaps_um
        .iter()
        .enumerate()
        .map(|(i, g)| (TAU * i as f64 / gaps_um.len() as f64, g * 1e-6))
        .collect()
}

fn two(gaps: Vec<(f64, f64)>) -> Case {
    let parts = [
        Some([17.1e-3, 19.0e-3, 2.4e13]),
        Some([19.2e-3, 20.5e-3, 6e12]),
    ];
    Case {
        parts,
        gaps,
        r2: 17.1e-3,
        kt: 9e8,
    }
}

fn load(moment: f64, direction: f64, axial: f64) -> Load {
    Load {
        moment: from_si(moment),
        direction: from_si(direction),
        axial: from_si(axial),
    }
}

fn near_to(a: f64, b: f64, rel: f64) {
    assert!(
        (a - b).abs() <= rel * b.abs().max(1e-300),
        "{a} is not {b} within {rel}"
    );
}

fn pa(p: Option<Pressure>) -> f64 {
    p.map_or(0.0, si)
}

#[test]
fn full_ring_closed_forms() {
    let (ri, ro, f) = (17.6e-3, 20.5e-3, 8289.0);
    let seat = one(ri, ro, 1e13, 17e-3, 0.0).ready();
    let pre = seat.preload_state(from_si(f)).unwrap();
    let opening = si(seat.opening_moment(&pre, from_si(0.0)).unwrap());
    near_to(opening, f * (ro * ro + ri * ri) / (4.0 * ro), 1e-12);
    near_to(opening, 73.8, 1e-3);
    let area = PI * (ro * ro - ri * ri);
    let now = seat.loaded_state(&pre, &load(20.0, 1.0, 0.0)).unwrap();
    near_to(pa(now.peak.insert), 30.35e6, 1e-3);
    near_to(
        pa(now.peak.insert),
        f / area * (1.0 + 20.0 / opening),
        1e-12,
    );
    // Thread and pull counted, two parts: the pressure at the edge is just 0.
    let seat = two(vec![]).ready();
    let pre = seat.preload_state(from_si(f)).unwrap();
    let opening = si(seat.opening_moment(&pre, from_si(500.0)).unwrap());
    for (share, open) in [(1.0 - 1e-9, false), (1.001, true)] {
        let now = seat
            .loaded_state(&pre, &load(-opening * share, 0.0, 500.0))
            .unwrap();
        assert_eq!(si(now.contact_fraction) < 1.0, open);
    }
    assert_eq!(si(seat.opening_moment(&pre, from_si(1e6)).unwrap()), 0.0);
}

#[test]
fn lever_out() {
    let (ro, r2, m) = (20.5e-3, 17e-3, 30.0);
    let seat = one(17.6e-3, ro, 1e24, r2, 9e8).ready();
    let pre = seat.preload_state(from_si(1e-3)).unwrap();
    let now = seat.loaded_state(&pre, &load(m, 0.3, 0.0)).unwrap();
    let arm = ro * ro + r2 * r2 / 2.0;
    near_to(si(now.thread_force) - 1e-3, m * ro / arm, 1e-4);
    near_to(
        si(now.max_line_load),
        m * (ro + r2) / (TAU * r2 * arm),
        1e-4,
    );
}

#[test]
fn thin_ring_partly_open() {
    // Half angle of contact, eccentricity over radius, peak over mean pressure.
    for phi in [179.0_f64, 150.0, 135.0, 120.0, 90.0, 60.0, 30.0] {
        let (s, c) = phi.to_radians().sin_cos();
        let p = phi.to_radians();
        let e = 0.5 * (p - s * c) / (s - p * c);
        let peak = PI * (1.0 - c) / (s - p * c);
        let (r, w, f) = (20e-3, 1e-8, 5000.0);
        let seat = one(r - w / 2.0, r + w / 2.0, 1e17, 17e-3, 0.0).ready();
        let pre = seat.preload_state(from_si(f)).unwrap();
        let now = seat.loaded_state(&pre, &load(f * e * r, 2.0, 0.0)).unwrap();
        near_to(pa(now.peak.insert) / (f / (TAU * r * w)), peak, 2e-5);
        near_to(si(now.contact_fraction), phi / 180.0, 1e-4);
    }
    let table = [
        (0.5513, 2.119),
        (0.6018, 2.260),
        (0.6605, 2.463),
        (PI / 4.0, PI),
        (0.8968, 4.587),
    ];
    for (e, peak) in table {
        let seat = one(20e-3, 20.00001e-3, 1e14, 17e-3, 0.0).ready();
        let pre = seat.preload_state(from_si(100.0)).unwrap();
        let now = seat.loaded_state(&pre, &load(2.0 * e, 0.0, 0.0)).unwrap();
        near_to(pa(now.peak.insert) / pa(pre.peak.insert), peak, 5e-4);
    }
}

/// Energy minimised on a grid of midpoints: another way of integrating, and of solving.
fn brute(case: &Case, want: &Balance) -> ([f64; 3], f64, [f64; 2]) {
    let gap = |phi: f64| {
        let n = case.gaps.len();
        let i = case.gaps.iter().rposition(|g| g.0 <= phi).unwrap_or(n - 1);
        let (a, b) = (case.gaps[i], case.gaps[(i + 1) % n]);
        a.1 + (b.1 - a.1) * (phi - a.0).rem_euclid(TAU) / (b.0 - a.0).rem_euclid(TAU)
    };
    let (np, nr) = (1440, 60);
    let mut grid = vec![];
    for (which, [r1, r2, k]) in case
        .parts
        .iter()
        .enumerate()
        .filter_map(|(i, p)| p.map(|p| (i, p)))
    {
        for i in 0..np {
            let phi = TAU * (i as f64 + 0.5) / np as f64;
            for j in 0..nr {
                let r = r1 + (r2 - r1) * (j as f64 + 0.5) / nr as f64;
                let area = r * (r2 - r1) / nr as f64 * TAU / np as f64;
                grid.push((
                    which,
                    r * phi.cos(),
                    r * phi.sin(),
                    gap(phi),
                    k * area,
                    area,
                ));
            }
        }
    }
    let kk = case.kt * case.r2 * case.r2 / 2.0;
    let [mx, my] = want.moment;
    let mut u = Vector3::new(want.base + 1e-3, 0.0, 0.0);
    let energy = |u: &Vector3<f64>| {
        let dz = u[0] - want.base;
        let own = want.push * dz + want.axial * dz * dz / 2.0 - mx * u[1] - my * u[2];
        let d =
            |g: &(usize, f64, f64, f64, f64, f64)| (u[0] + u[1] * g.1 + u[2] * g.2 - g.3).max(0.0);
        own + kk * (u[1] * u[1] + u[2] * u[2]) / 2.0
            + grid.iter().map(|g| g.4 * d(g).powi(2) / 2.0).sum::<f64>()
    };
    for _ in 0..200 {
        let mut r = Vector3::new(
            want.push + want.axial * (u[0] - want.base),
            kk * u[1] - mx,
            kk * u[2] - my,
        );
        let mut h = Matrix3::from_diagonal(&Vector3::new(want.axial, kk, kk));
        for g in &grid {
            let arm = Vector3::new(1.0, g.1, g.2);
            let d = arm.dot(&u) - g.3;
            if d > 0.0 {
                r += arm * (g.4 * d);
                h += arm * arm.transpose() * g.4;
            }
        }
        let step = h.lu().solve(&-r).unwrap();
        let mut share = 1.0;
        while energy(&(u + step * share)) > energy(&u) && share > 1e-9 {
            share /= 2.0;
        }
        u += step * share;
        if step.norm() < 1e-14 {
            break;
        }
    }
    let on = |g: &&(usize, f64, f64, f64, f64, f64)| u[0] + u[1] * g.1 + u[2] * g.2 > g.3;
    let mut force = [0.0; 2];
    grid.iter()
        .filter(on)
        .for_each(|g| force[g.0] += g.4 * (u[0] + u[1] * g.1 + u[2] * g.2 - g.3));
    let share =
        grid.iter().filter(on).map(|g| g.5).sum::<f64>() / grid.iter().map(|g| g.5).sum::<f64>();
    (u.into(), share, force)
}

#[test]
fn agrees_with_brute_force() {
    for (gaps, f, m, dir, n) in [
        (
            clock(&[10.0, 30.0, 0.0, 5.0, 60.0, 20.0, 0.0, 15.0]),
            6000.0,
            30.0,
            0.7,
            300.0,
        ),
        (
            vec![(0.31, 2e-5), (1.7, 0.0), (4.013, 5e-5)],
            9000.0,
            60.0,
            3.9,
            0.0,
        ),
        (clock(&[0.0, 4.0, 8.0, 4.0]), 20000.0, 100.0, 2.0, 1500.0),
    ] {
        let case = two(gaps);
        let seat = case.ready();
        let pre = seat.preload_state(from_si(f)).unwrap();
        let want = Balance {
            base: 0.0,
            axial: 0.0,
            push: -f,
            moment: [0.0; 2],
            scale: f,
            last: 0.0,
            quick: false,
        };
        let (u0, share, _) = brute(&case, &want);
        near_to(si(pre.closing), u0[0], 1e-4);
        near_to(si(pre.contact_fraction), share, 1e-3);
        let now = seat.loaded_state(&pre, &load(m, dir, n)).unwrap();
        let moment = [m * dir.cos(), m * dir.sin()];
        let want = Balance {
            base: u0[0],
            axial: case.kt,
            push: n - f,
            moment,
            scale: f,
            last: 0.0,
            quick: false,
        };
        let (u, share, force) = brute(&case, &want);
        near_to(si(now.closing), u[0], 1e-4);
        near_to(si(now.tilt.x), u[1], 1e-4);
        near_to(si(now.tilt.y), u[2], 1e-4);
        near_to(si(now.contact_fraction), share, 1e-3);
        near_to(si(now.insert_force), force[0], 1e-4);
        near_to(si(now.frame_force), force[1], 1e-4);
    }
}

#[test]
fn integrals_hold_against_dense_panels() {
    // The same gaps with 1000 more readings between them: panels of 0.36°.
    let few = two(vec![(0.31, 2e-5), (1.7, 0.0), (4.013, 5e-5)]);
    let mut many = few.clone();
    for w in few.gaps.windows(2) {
        let inside = |k: i32| {
            let t = f64::from(k) / 500.0;
            (
                w[0].0 + t * (w[1].0 - w[0].0),
                w[0].1 + t * (w[1].1 - w[0].1),
            )
        };
        many.gaps.extend((1..500).map(inside));
    }
    many.gaps.sort_by(|a, b| a.0.total_cmp(&b.0));
    let run = |case: &Case, m: f64| {
        let seat = case.ready();
        let pre = seat.preload_state(from_si(5000.0)).unwrap();
        (
            seat.loaded_state(&pre, &load(m, 1.1, 100.0)).unwrap(),
            seat.opening_moment(&pre, from_si(0.0)).unwrap(),
        )
    };
    for m in [0.0, 10.0, 50.0, 120.0, 300.0] {
        let ((a, opens), (b, opens_too)) = (run(&few, m), run(&many, m));
        near_to(si(a.contact_fraction), si(b.contact_fraction), 1e-9);
        near_to(si(a.thread_force), si(b.thread_force), 1e-9);
        near_to(si(a.frame_moment), si(b.frame_moment), 1e-8);
        near_to(pa(a.peak.frame), pa(b.peak.frame), 1e-9);
        near_to(si(opens), si(opens_too), 1e-8);
    }
}

#[test]
fn closed_with_gaps_opens_where_pressure_ends() {
    let seat = two(clock(&[0.0, 0.3, 0.5, 0.2, 0.6, 0.0])).ready();
    let pre = seat.preload_state(from_si(20000.0)).unwrap();
    assert!(si(pre.contact_fraction) > CLOSED);
    let opening = si(seat.opening_moment(&pre, from_si(800.0)).unwrap());
    let least = |m: f64| {
        let share = |j: usize| {
            let at = TAU * j as f64 / 72.0;
            si(seat
                .loaded_state(&pre, &load(m, at, 800.0))
                .unwrap()
                .contact_fraction)
        };
        (0..72).map(share).fold(1.0, f64::min)
    };
    assert!(least(opening * (1.0 - 1e-7)) > 1.0 - 1e-12);
    assert!(least(opening * 1.0001) < 1.0);
}

#[test]
fn open_seat_opens_at_nine_tenths() {
    let seat = two(clock(&[10.0, 30.0, 0.0, 5.0, 60.0, 20.0, 0.0, 15.0])).ready();
    let pre = seat.preload_state(from_si(8000.0)).unwrap();
    let opening = seat.opening_moment(&pre, from_si(200.0)).unwrap();
    let share = |m: f64, j: usize| {
        let now = seat
            .loaded_state(&pre, &load(m, TAU * j as f64 / 72.0, 200.0))
            .unwrap();
        si(now.contact_fraction) / si(pre.contact_fraction)
    };
    let least = |m: f64| (0..72).map(|j| share(m, j)).fold(2.0, f64::min);
    near_to(least(si(opening)), 0.9, 1e-8);
    for k in 0..50 {
        assert!(least(si(opening) * f64::from(k) / 50.0) > 0.9);
    }
}

/// Most directions are told from their neighbours: the highest must still be that of all.
#[test]
fn the_worst_of_all_directions_is_found() {
    for (gaps, preload, moment, axial) in [
        (
            &[10.0, 30.0, 0.0, 5.0, 60.0, 20.0, 0.0, 15.0][..],
            8000.0,
            30.0,
            200.0,
        ),
        (
            &[0.0, 150.0, 3.0, 90.0, 0.0, 40.0, 120.0],
            1500.0,
            90.0,
            -300.0,
        ),
        (&[0.0, 0.3, 0.5, 0.2, 0.6, 0.0], 20000.0, 40.0, 0.0),
        (&[0.0, 180.0, 20.0], 700.0, 120.0, 900.0),
        (
            &[5.0, 4.3, 2.5, 0.7, 0.0, 0.7, 2.5, 4.3],
            2800.0,
            11.6,
            130.0,
        ),
    ] {
        let seat = two(clock(gaps)).ready();
        let pre = seat.preload_state(from_si(preload)).unwrap();
        let worst = seat
            .worst_direction(&pre, from_si(moment), from_si(axial))
            .unwrap();
        let most = |of: &dyn Fn(&Loaded) -> f64| {
            (0..DIRECTIONS)
                .map(|j| {
                    let at = TAU * j as f64 / DIRECTIONS as f64;
                    of(&seat.loaded_state(&pre, &load(moment, at, axial)).unwrap())
                })
                .fold(0.0, f64::max)
        };
        near_to(
            si(worst.state.prying_factor),
            most(&|s| si(s.prying_factor)),
            1e-5,
        );
        near_to(pa(worst.peak.insert), most(&|s| pa(s.peak.insert)), 1e-5);
        near_to(pa(worst.peak.frame), most(&|s| pa(s.peak.frame)), 1e-5);
    }
}

/// Seats whose area falls below 90 % and recovers, so that a coarse look along the moment passes over the
/// fall; found among random ones.
#[test]
fn a_fall_that_recovers_is_found() {
    for (gaps, preload, axial, opens) in [
        (
            &[0.0, 0.0, 4.04, 4.3, 4.91, 5.17, 0.0, 1.71, 4.38][..],
            1348.0,
            -293.0,
            23.05,
        ),
        (
            &[6.65, 20.04, 26.99, 3.59, 29.37, 13.54, 0.0, 26.18],
            3037.0,
            -1164.0,
            65.87,
        ),
        (
            &[2.275, 0.924, 1.433, 0.617, 1.313, 1.258, 2.082, 0.0, 0.218],
            911.0,
            -170.0,
            5.387,
        ),
    ] {
        let seat = two(clock(gaps)).ready();
        let pre = seat.preload_state(from_si(preload)).unwrap();
        let opening = si(seat.opening_moment(&pre, from_si(axial)).unwrap());
        let least = |m: f64| {
            (0..DIRECTIONS)
                .map(|j| {
                    let at = TAU * j as f64 / DIRECTIONS as f64;
                    let now = seat.loaded_state(&pre, &load(m, at, axial)).unwrap();
                    si(now.contact_fraction) / si(pre.contact_fraction)
                })
                .fold(2.0, f64::min)
        };
        near_to(least(opening), 0.9, 1e-8);
        for k in 1..60 {
            let m = opening * f64::from(k) / 60.0;
            assert!(least(m) > 0.9, "{gaps:?}: {m} before {opening}");
        }
        near_to(opening, opens, 2e-3);
        // Asked for less, the search says that there is none; asked for more, it finds the same.
        let below = |m: f64| {
            seat.opening_below(&pre, from_si(axial), from_si(m))
                .unwrap()
        };
        assert!(below(opening * 0.999).is_none());
        near_to(si(below(opening * 1.5).unwrap()), opening, 1e-8);
    }
}

/// Lowest moment at which the area has fallen to 90 %, by following every direction up to `upto` in so many steps
/// and halving the first that falls.
fn followed(
    seat: &SeatContact,
    pre: &Preloaded,
    axial: f64,
    upto: f64,
    trials: u32,
) -> Option<f64> {
    let target = OPENED * si(pre.contact_fraction) * seat.area;
    let solve = |direction: usize, moment: f64, start: [f64; 3]| {
        let (s, c) = angle(direction).sin_cos();
        let want = seat.loaded_balance(pre, axial, moment, (c, s));
        let (u, sums) = seat.solve(&want, start).unwrap();
        (u, seat.touching(&sums) > target)
    };
    let mut lowest = None;
    for direction in 0..DIRECTIONS {
        let end: f64 = lowest.unwrap_or(upto);
        let step = end / f64::from(trials);
        let (mut before, _) = solve(direction, 0.0, SeatContact::start(pre));
        let mut now = before;
        for k in 1..=trials {
            let moment = step * f64::from(k);
            let (u, closed) = solve(
                direction,
                moment,
                std::array::from_fn(|i| 2.0 * now[i] - before[i]),
            );
            if !closed {
                let (mut low, mut high) = (moment - step, moment);
                for _ in 0..40 {
                    let middle = 0.5 * (low + high);
                    if solve(direction, middle, u).1 {
                        low = middle;
                    } else {
                        high = middle;
                    }
                }
                lowest = Some(high);
                break;
            }
            (before, now) = (now, u);
        }
    }
    lowest
}

/// Seats whose lowest fall recovers within a hundredth of the way, or lies in one direction or two: a look along
/// every third direction passed over it and told up to fourteen times as much. Found among 20000 random ones; the
/// openings are those of following every direction in 6000 steps.
#[test]
fn falls_that_hide_are_found() {
    let at =
        |gaps: &[(f64, f64)]| -> Vec<_> { gaps.iter().map(|&(at, um)| (at, um * 1e-6)).collect() };
    let seat = |parts, gaps, r2, kt| Case {
        parts,
        gaps,
        r2,
        kt,
    };
    for (case, preload, axial, opens) in [
        (
            seat(
                [
                    Some([0.0158, 0.0188, 5.52e12]),
                    Some([0.0190, 0.0228, 1.38e12]),
                ],
                at(&[(1.43, 79.4), (3.0, 4.6), (4.57, 81.5), (6.14, 7.7)]),
                0.0152,
                2.1e7,
            ),
            1990.0,
            -484.0,
            43.502_941_16,
        ),
        (
            seat(
                [
                    Some([0.0134, 0.0162, 3.51e13]),
                    Some([0.0165, 0.0179, 1.59e13]),
                ],
                clock(&[29.0, 34.0, 15.0, 32.0, 35.0, 5.0]),
                0.0125,
                1.62e7,
            ),
            577.0,
            -371.0,
            13.772_399_96,
        ),
        (
            seat(
                [
                    Some([0.01391, 0.01562, 6.122e12]),
                    Some([0.01591, 0.01696, 1.693e12]),
                ],
                clock(&[4.81, 7.77, 4.99, 5.28, 8.25, 6.94, 6.82, 7.77, 7.79, 5.22]),
                0.01198,
                2.677e9,
            ),
            525.6,
            -999.2,
            9.349_701_268,
        ),
        (
            seat(
                [
                    Some([0.0197, 0.0233, 1.66e13]),
                    Some([0.0233, 0.0266, 3.05e12]),
                ],
                at(&[
                    (0.924, 10.0),
                    (1.45, 10.0),
                    (1.64, 10.0),
                    (2.06, 0.0),
                    (5.87, 10.0),
                ]),
                0.0181,
                1.34e7,
            ),
            132.0,
            -764.0,
            19.648_081_72,
        ),
        (
            seat(
                [
                    Some([0.0139, 0.0155, 4.3e13]),
                    Some([0.0157, 0.0184, 4.47e12]),
                ],
                at(&[
                    (0.0588, 10.7),
                    (3.18, 25.0),
                    (3.19, 24.8),
                    (3.56, 31.8),
                    (4.92, 17.5),
                    (5.92, 9.9),
                ]),
                0.0131,
                3.12e6,
            ),
            137.0,
            -363.0,
            7.040_105_937,
        ),
        (
            seat(
                [Some([0.0136, 0.0160, 2.82e13]), None],
                at(&[
                    (0.036, 5.5),
                    (0.56, 5.7),
                    (1.08, 0.0),
                    (1.61, 5.5),
                    (2.13, 8.9),
                    (2.65, 3.7),
                    (3.18, 0.0),
                    (3.7, 6.4),
                    (4.22, 7.2),
                    (4.75, 0.9),
                    (5.27, 3.0),
                    (5.8, 3.6),
                ]),
                0.0119,
                6.78e6,
            ),
            686.0,
            0.0,
            3.578_482_731,
        ),
        (
            seat(
                [Some([0.0132, 0.0171, 4.64e13]), None],
                at(&[
                    (0.0, 6.0),
                    (0.898, 1.2),
                    (1.8, 6.3),
                    (2.69, 0.0),
                    (3.59, 1.0),
                    (4.49, 6.1),
                    (5.39, 0.3),
                ]),
                0.0121,
                8.97e7,
            ),
            700.0,
            0.0,
            4.231_549_657,
        ),
    ] {
        let seat = case.ready();
        let pre = seat.preload_state(from_si(preload)).unwrap();
        let below = |limit: f64| {
            let found = seat.opening_below(&pre, from_si(axial), from_si(limit));
            found.unwrap().map(si)
        };
        near_to(below(f64::INFINITY).unwrap(), opens, 1e-8);
        near_to(below(1.7 * opens).unwrap(), opens, 1e-8);
        assert_eq!(below(0.999 * opens), None);
    }
}

/// Seats as they are measured: readings from a few microns to 0.3 mm, even or not, to the thickness of a feeler
/// or not, leaning, wavy or at random.
fn measured_case() -> impl Strategy<Value = (Case, f64, f64)> {
    let log = |low: f64, high: f64| (low.ln()..high.ln()).prop_map(f64::exp);
    let parts = (
        8e-3..20e-3,
        0.4e-3..4e-3,
        0.4e-3..4e-3,
        [log(3e9, 2.3e11), log(3e9, 2.3e11)],
        0..4,
        0.02e-3..0.3e-3,
    )
        .prop_map(|(ri, wi, wf, e, which, apart)| {
            let mid = if which == 0 { ri } else { ri + wi + apart };
            let k = |i: usize| e[i] / (wi + wf);
            let parts = [
                (which != 0).then(|| [ri, ri + wi, k(0)]),
                (which != 1).then(|| [mid, mid + wf, k(1)]),
            ];
            (ri, parts)
        });
    let readings = (
        prop::collection::vec((0.0..TAU, 0.0..1.0, 0.0..1.0), 1..13),
        any::<bool>(),
        log(1e-6, 3e-4),
        0..4,
        (0.0..0.6, 0.0..TAU, 0.0..1.0),
        prop_oneof![Just(0.0), Just(1e-6), Just(1e-5), Just(5e-5)],
    )
        .prop_map(|(raw, even, scale, kind, (zero, dir, size), step)| {
            let n = raw.len();
            let mut gaps: Vec<(f64, f64)> = raw
                .iter()
                .enumerate()
                .map(|(i, &(at, chance, noise))| {
                    let at = if even { TAU * i as f64 / n as f64 } else { at };
                    let share = match kind {
                        0 if chance < zero => 0.0,
                        0 => noise,
                        1 => 0.5 * size * (1.0 + (at - dir).cos()) + 0.3 * noise,
                        2 => 0.5 * size * (1.0 + (2.0 * (at - dir)).cos()) + 0.1 * noise,
                        _ => 0.5 + 0.5 * noise * noise,
                    };
                    let gap = share * scale;
                    (
                        at,
                        if step > 0.0 {
                            (gap / step).round() * step
                        } else {
                            gap
                        },
                    )
                })
                .collect();
            gaps.sort_by(|a, b| a.0.total_cmp(&b.0));
            gaps.dedup_by(|a, b| a.0 - b.0 < 1e-3);
            gaps
        });
    let pull = prop_oneof![Just(0.0), -1000.0..1500.0];
    (
        parts,
        readings,
        0.8..1.0,
        log(3e6, 5e9),
        log(50.0, 3e4),
        pull,
    )
        .prop_map(|((ri, parts), gaps, r2, kt, preload, pull)| {
            let r2 = ri * r2;
            (
                Case {
                    parts,
                    gaps,
                    r2,
                    kt,
                },
                preload,
                pull,
            )
        })
}

/// The same seats at every run; none may open above the lowest fall there is.
#[test]
fn no_opening_is_told_too_high() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let (mut open, mut never) = (0, 0);
    for _ in 0..400 {
        let (case, preload, pull) = measured_case().new_tree(&mut runner).unwrap().current();
        let seat = case.ready();
        let pre = seat.preload_state(from_si(preload)).unwrap();
        if seat.is_even() || pre.closed() {
            continue;
        }
        open += 1;
        let found = match seat.opening_moment(&pre, from_si(pull)) {
            Ok(moment) => si(moment),
            Err(ContactError::NeverOpens) => {
                never += 1;
                let far = 10.0 * preload * seat.outer;
                assert_eq!(followed(&seat, &pre, pull, far, 100), None, "{case:?}");
                continue;
            }
            Err(error) => panic!("{error}: {case:?}"),
        };
        let least = (0..DIRECTIONS)
            .map(|j| {
                let now = seat
                    .loaded_state(&pre, &load(found, angle(j), pull))
                    .unwrap();
                si(now.contact_fraction) / si(pre.contact_fraction)
            })
            .fold(f64::INFINITY, f64::min);
        if found == 0.0 {
            assert!(least <= 0.9, "{case:?}");
            continue;
        }
        near_to(least, 0.9, 1e-7);
        let lower = followed(&seat, &pre, pull, found * (1.0 - 1e-4), 100);
        assert_eq!(lower, None, "{found}: {case:?} {preload} {pull}");
    }
    assert!(open > 200 && never < 20, "{open} {never}");
}

#[test]
fn unusual_seats() {
    let seat = two(vec![(2.0, 3e-3)]).ready();
    assert!(seat.is_even());
    near_to(
        si(seat.preload_state(from_si(100.0)).unwrap().closing),
        3e-3,
        1e-2,
    );
    // Pulled off altogether: the thread alone carries.
    let seat = two(clock(&[0.0, 40.0, 10.0])).ready();
    let pre = seat.preload_state(from_si(3000.0)).unwrap();
    let now = seat.loaded_state(&pre, &load(1.0, 0.0, 1e6)).unwrap();
    assert_eq!(
        (
            si(now.thread_force),
            si(now.seat_force),
            si(now.contact_fraction)
        ),
        (1e6, 0.0, 0.0)
    );
    assert_eq!(pa(now.peak.insert), 0.0);
    let none = Seat {
        insert: None,
        frame: None,
        gaps: &[],
        thread_radius: mm(17.0),
        thread_stiffness: from_si(1e9),
    };
    assert_eq!(SeatContact::new(&none).err(), Some(ContactError::NoSeat));
    let part = RingPart {
        inner: mm(17.0),
        outer: mm(20.0),
        stiffness: from_si(1e13),
    };
    let twice = [GapReading {
        at: degree(30.0),
        gap: mm(0.1),
    }; 2];
    assert!(
        SeatContact::new(&Seat {
            insert: Some(part),
            gaps: &twice,
            ..none
        })
        .is_err()
    );
    let seat = SeatContact::new(&Seat {
        insert: Some(part),
        ..none
    })
    .unwrap();
    assert!(seat.preload_state(from_si(f64::NAN)).is_err());
}

fn any_case() -> impl Strategy<Value = Case> {
    let gaps = prop::collection::vec(
        (0.0..TAU, prop_oneof![Just(0.0), 0.0..1e-4, 0.0..5e-3]),
        0..13,
    );
    let part = |kind| prop::option::weighted(kind, (1e-3..4e-3, 11.0..14.0_f64));
    (
        4e-3..20e-3,
        part(0.8),
        part(0.7),
        gaps,
        0.5..0.99,
        3.0..13.0_f64,
    )
        .prop_map(|(ri, insert, frame, mut gaps, r2, kt)| {
            let insert = insert.or_else(|| frame.is_none().then_some((2e-3, 13.0)));
            let mid = ri + insert.map_or(0.0, |p| p.0 + 2e-4);
            let parts = [
                insert.map(|(w, k)| [ri, ri + w, 10f64.powf(k)]),
                frame.map(|(w, k)| [mid, mid + w, 10f64.powf(k)]),
            ];
            gaps.sort_by(|a, b| a.0.total_cmp(&b.0));
            gaps.dedup_by(|a, b| a.0 - b.0 < 1e-3);
            Case {
                parts,
                gaps,
                r2: ri * r2,
                kt: 10f64.powf(kt),
            }
        })
}

fn any_load() -> impl Strategy<Value = (f64, f64, f64, f64)> {
    (
        -2.0..4.7_f64,
        prop_oneof![Just(0.0), 0.01..300.0],
        0.0..TAU,
        prop_oneof![Just(0.0), -500.0..5000.0],
    )
        .prop_map(|(f, m, at, n)| (10f64.powf(f), m, at, n))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn balances((case, (f, m, at, n)) in (any_case(), any_load())) {
        let seat = case.ready();
        let pre = seat.preload_state(from_si(f)).unwrap();
        let now = seat.loaded_state(&pre, &load(m, at, n)).unwrap();
        let scale = f + n.abs() + m / seat.outer;
        let kk = case.kt * case.r2 * case.r2 / 2.0;
        // Rounding of the deflections, which no solution can undercut.
        let round = 8.0 * f64::EPSILON * (seat.ks + case.kt) * (seat.span + now.state[0].abs() + pre.state[0]);
        let gaps: Vec<_> = case.gaps.iter().map(|g| (g.0, g.1 - seat.least)).collect();
        let panels = if seat.is_even() { PLAIN.clone() } else { Panels::new(&gaps) };
        let left = |z: f64, tilt: (f64, f64), at: f64, m: f64, force: f64| {
            let [p, q] = panels.sums(&seat.parts, (z, tilt.0, tilt.1), false);
            [
                p.f + q.f - force,
                (p.m[0] + q.m[0] + kk * tilt.0 - m * at.cos()) / seat.outer,
                (p.m[1] + q.m[1] + kk * tilt.1 - m * at.sin()) / seat.outer,
            ]
        };
        let z0 = pre.state[0];
        let tilt = |t: Tilt| (si(t.x), si(t.y));
        for r in left(z0, tilt(pre.tilt), 0.0, 0.0, f) {
            prop_assert!(r.abs() < 1e-9 * f + round, "{r}");
        }
        let (z, force) = (z0 + now.state[0], si(now.seat_force));
        prop_assert!((force + n - f + case.kt * now.state[0]).abs() < 1e-9 * scale + round);
        // Without gaps the panels lie otherwise to the moment than in the solution: this also shows
        // how well the integrals hold.
        let close = if seat.is_even() { 1e-8 } else { 1e-9 };
        for r in left(z, tilt(now.tilt), at, m, force) {
            prop_assert!(r.abs() < close * scale + round, "{} {}", r / scale, si(now.contact_fraction));
        }
        if seat.is_even() {
            for r in left(z, (si(now.tilt.x).hypot(si(now.tilt.y)), 0.0), 0.0, m, force) {
                prop_assert!(r.abs() < 1e-9 * scale + round, "{r}");
            }
        }
        prop_assert!((si(now.insert_force + now.frame_force) - force).abs() < 1e-9 * scale);
        prop_assert!(si(now.prying_factor).is_finite());
    }

    #[test]
    fn every_direction_and_the_opening_are_found((case, (f, m, _, n)) in (any_case(), any_load())) {
        let seat = case.ready();
        let pre = seat.preload_state(from_si(f)).unwrap();
        let worst = seat.worst_direction(&pre, from_si(m), from_si(n)).unwrap();
        prop_assert!(pa(worst.peak.insert) >= pa(worst.state.peak.insert) * (1.0 - 1e-6));
        let again = seat.loaded_state(&pre, &load(m, si(worst.state.direction), n)).unwrap();
        // A small preload under a large load is a small difference of large forces: the load's digits count.
        let off = (si(again.prying_factor) - si(worst.state.prying_factor)).abs() * f;
        let size = si(worst.state.prying_factor) * f + n.abs() + m / seat.outer;
        // Rounding of the deflections, which no solution can undercut.
        let round = 8.0 * f64::EPSILON * (seat.ks + seat.kt) * (seat.span + again.state[0].abs() + pre.state[0]);
        prop_assert!(off < 1e-8 * size + round, "{off} of {size}");
        match seat.opening_moment(&pre, from_si(n)) {
            Ok(moment) => prop_assert!(si(moment) >= 0.0 && si(moment).is_finite()),
            // Few of the oddest, with a thread as soft as air, stay next to 90 % for too long.
            Err(ContactError::NeverOpens) => {}
            // Of 100 000 such odd seats some seven searches give up and say so; what is found is held to every
            // direction in the tests of the openings.
            Err(error) => prop_assert!(
                matches!(error, ContactError::Unsettled | ContactError::NotConverged { .. }),
                "{error}"
            ),
        }
    }

    #[test]
    fn mirrored_turned_and_scaled((case, (f, m, at, n), turn) in (any_case(), any_load(), 0.1..6.0)) {
        // Loads near the lower end hang on the rounding of gaps a million times the closing.
        let f = f + 100.0;
        let run = |case: &Case, f: f64, m: f64, at: f64, n: f64| {
            let seat = case.ready();
            let pre = seat.preload_state(from_si(f)).unwrap();
            seat.loaded_state(&pre, &load(m, at, n)).unwrap()
        };
        let base = run(&case, f, m, at, n);
        let moved = |to: &dyn Fn(f64) -> f64| {
            let mut case = case.clone();
            case.gaps.iter_mut().for_each(|g| g.0 = to(g.0).rem_euclid(TAU));
            case.gaps.sort_by(|a, b| a.0.total_cmp(&b.0));
            case
        };
        let mut big = case.clone();
        let s = 3.0;
        for p in big.parts.iter_mut().flatten() {
            *p = [p[0] * s, p[1] * s, p[2] / s];
        }
        big.gaps.iter_mut().for_each(|g| g.1 *= s);
        (big.r2, big.kt) = (big.r2 * s, big.kt * s);
        for (other, s) in [
            (run(&moved(&|a| -a), f, m, -at, n), 1.0),
            (run(&moved(&|a| a + turn), f, m, at + turn, n), 1.0),
            (run(&big, f * s * s, m * s * s * s, at, n * s * s), s),
        ] {
            let scale = f + n.abs() + 100.0 * m;
            prop_assert!((si(other.thread_force) / s / s - si(base.thread_force)).abs() < 1e-7 * scale);
            prop_assert!((si(other.contact_fraction) - si(base.contact_fraction)).abs() < 1e-5);
            let (p, q) = (pa(other.peak.insert), pa(base.peak.insert));
            prop_assert!((p - q).abs() < 1e-5 * p.max(q) + 1e-3, "{p} {q}");
            prop_assert!((si(other.max_line_load) / s / si(base.max_line_load) - 1.0).abs() < 1e-6);
        }
    }

    #[test]
    fn contact_falls_with_moment((mut case, (f, _, _, n)) in (any_case(), any_load())) {
        case.gaps.clear();
        let seat = case.ready();
        let pre = seat.preload_state(from_si(f)).unwrap();
        let unit = si(seat.opening_moment(&pre, from_si(0.0)).unwrap());
        let mut last = 1.0;
        for k in 0..12 {
            let m = unit * f64::from(k) * 0.2;
            let share = si(seat.loaded_state(&pre, &load(m, 0.0, n.min(0.5 * f))).unwrap().contact_fraction);
            prop_assert!(share <= last + 1e-9);
            last = share;
        }
    }
}

/// Figures in release: `cargo test --release --lib contact -- --ignored --nocapture`.
#[test]
#[ignore = "timing"]
fn timing() {
    let time = |what: &str, n: u32, f: &mut dyn FnMut() -> f64| {
        let mut sum = f();
        // The quickest of some batches: what else the machine does only adds.
        let best = (0..20)
            .map(|_| {
                let start = Instant::now();
                (0..n / 20).for_each(|_| sum += f());
                start.elapsed().as_secs_f64() * 1e6 / f64::from(n / 20)
            })
            .fold(f64::INFINITY, f64::min);
        println!("{what}: {best:.3} us ({sum:e})");
    };
    let even = two(vec![]).ready();
    let mut m = 20.0;
    time("no gaps, closed: preload + loaded", 1_000_000, &mut || {
        m += 1e-9;
        let pre = even.preload_state(from_si(8000.0)).unwrap();
        si(even
            .loaded_state(&pre, &load(m, 0.0, 100.0))
            .unwrap()
            .thread_force)
    });
    let pre = even.preload_state(from_si(500.0)).unwrap();
    time("no gaps, partly open", 10_000, &mut || {
        si(even
            .loaded_state(&pre, &load(30.0, 0.0, 0.0))
            .unwrap()
            .thread_force)
    });
    for (name, gaps, high, low) in [
        (
            "closed",
            [0.0, 0.3, 0.5, 0.2, 0.6, 0.0, 0.1, 0.2],
            20000.0,
            16000.0,
        ),
        (
            "open",
            [10.0, 30.0, 0.0, 5.0, 60.0, 20.0, 0.0, 15.0],
            9000.0,
            6000.0,
        ),
        (
            "very open",
            [100.0, 30.0, 0.0, 500.0, 600.0, 20.0, 0.0, 150.0],
            9000.0,
            0.01,
        ),
    ] {
        let case = two(clock(&gaps));
        let seat = case.ready();
        time(&format!("{name}: tables"), 2000, &mut || case.ready().ks);
        let (a, b) = (from_si(high), from_si(low));
        time(&format!("{name}: preload"), 2000, &mut || {
            si(seat.preload_state(b).unwrap().closing)
        });
        let (h, l) = (
            seat.preload_state(a).unwrap(),
            seat.preload_state(b).unwrap(),
        );
        println!(
            "contact {} / {}",
            si(h.contact_fraction),
            si(l.contact_fraction)
        );
        let m = from_si(30.0);
        let n = from_si(0.0);
        time(&format!("{name}: 72 directions"), 300, &mut || {
            si(seat.worst_direction(&h, m, n).unwrap().state.prying_factor)
        });
        time(&format!("{name}: 72 directions, low"), 300, &mut || {
            si(seat.worst_direction(&l, m, n).unwrap().state.prying_factor)
        });
        time(&format!("{name}: opening"), 300, &mut || {
            seat.opening_moment(&l, n).map_or(f64::NAN, si)
        });
    }
}
