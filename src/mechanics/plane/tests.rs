use super::*;
use proptest::prelude::*;

fn reading(at: f64, value: f64, half: f64) -> Reading {
    Reading {
        at: degree(at),
        value: mm(value),
        half: mm(half),
        standard: mm(half) / 3f64.sqrt(),
    }
}
fn close(got: Length, millimetres: f64, to: f64) {
    let got = Unit::Millimetre.of(si(got));
    assert!(
        (got - millimetres).abs() < to,
        "{got} against {millimetres}"
    );
}
fn degrees(angle: Angle) -> f64 {
    Unit::Degree.of(si(angle))
}

// Values of a general-purpose numerical library (numpy 2.4.6): phi in radians,
// A = numpy.c_[numpy.ones(n), numpy.cos(phi), numpy.sin(phi)]; x, s, _, _ = numpy.linalg.lstsq(A, g);
// tilt 2*numpy.hypot(x[1], x[2]); least at numpy.arctan2(-x[2], -x[1]); rms numpy.sqrt(s/n).
#[test]
fn eight_even_places_as_a_numerical_library_has_them() {
    let g = [0.04, 0.055, 0.065, 0.05, 0.03, 0.012, 0.01, 0.02];
    let readings: Vec<Reading> = (0..8)
        .map(|i| reading(45.0 * i as f64, g[i], 0.005))
        .collect();
    let p = fit(&readings).expect("eight places");
    close(p.middle, 0.03525, 1e-12);
    close(p.a, 0.0047981, 5e-8);
    close(p.b, 0.0266547, 5e-8);
    close(p.tilt, 0.05416621459922339, 1e-12);
    assert!((degrees(p.least_at) - 259.795_503_126_021_8).abs() < 1e-9);
    close(p.rms, 0.0015621, 5e-8);
    assert_eq!(p.largest, 2);
    close(p.residuals[2], 3.09530124e-3, 1e-10);
    assert_eq!(shape(&readings, &p), Shape::Flat);
    assert!(!p.is_true());
}

// The same library, uneven places and uncertainties u:
// P = numpy.linalg.inv(A.T@A)@A.T; C = P@numpy.diag(u**2)@P.T; 4*numpy.sqrt(v@C@v), v along (x[1], x[2]).
#[test]
fn uneven_places_with_their_uncertainty() {
    let readings = [
        reading(10.0, 0.12, 0.01),
        reading(100.0, 0.03, 0.02),
        reading(200.0, 0.05, 0.01),
        reading(330.0, 0.16, 0.015),
    ];
    let p = fit(&readings).expect("four places");
    close(p.middle, 0.08433077, 5e-9);
    close(p.tilt, 0.1434778911915158, 1e-12);
    assert!((degrees(p.least_at) - 136.41959027377598).abs() < 1e-9);
    close(p.tilt_uncertainty, 0.02931929581768829, 1e-12);
    close(p.rms, 0.00501247, 5e-9);
    close(p.residuals[0], -0.00692176, 5e-9);
    assert!((degrees(tilt_angle(p.tilt, mm(22.0))) - 0.18683292003374313).abs() < 1e-9);
}

#[test]
fn fewer_than_three_places_give_no_plane() {
    let two = [
        reading(0.0, 0.1, 0.0),
        reading(360.0, 0.1, 0.0),
        reading(90.0, 0.0, 0.0),
    ];
    assert_eq!(fit(&two), Err(TooFew { places: 2 }));
    assert_eq!(fit(&[]), Err(TooFew { places: 0 }));
}

#[test]
fn what_is_left_over_has_its_name() {
    let plain = |at: f64| 0.05 + 0.03 * (at - 40.0).to_radians().cos();
    let of = |n: usize, more: &dyn Fn(usize, f64) -> f64| -> Shape {
        let readings: Vec<Reading> = (0..n)
            .map(|i| {
                let at = 360.0 / n as f64 * i as f64;
                reading(at, plain(at) + more(i, at), 0.004)
            })
            .collect();
        shape(&readings, &fit(&readings).expect("enough places"))
    };
    assert_eq!(of(3, &|_, _| 0.0), Shape::NotSeen);
    assert_eq!(of(4, &|_, _| 0.0), Shape::Flat);
    assert_eq!(
        of(4, &|i, _| if i == 1 { 0.04 } else { 0.0 }),
        Shape::FourPlaces
    );
    let Shape::OneMore(5, off) = of(8, &|i, _| if i == 5 { 0.04 } else { 0.0 }) else {
        panic!("a dent")
    };
    close(off, 0.04, 1e-12);
    let Shape::OneLess(2, off) = of(8, &|i, _| if i == 2 { -0.04 } else { 0.0 }) else {
        panic!("a blob")
    };
    close(off, 0.04, 1e-12);
    let Shape::TwoLobed(amplitude, at) =
        of(8, &|_, at| 0.03 * (2.0 * (at - 20.0)).to_radians().cos())
    else {
        panic!("two lobes")
    };
    // Lobes no higher than a reading is known to are none.
    let known: Vec<Reading> = (0..8)
        .map(|i| {
            let at = 45.0 * f64::from(i);
            let half = if i == 1 { 0.02 } else { 0.005 };
            reading(at, 0.1 + 0.016 * (2.0 * at).to_radians().cos(), half)
        })
        .collect();
    assert_eq!(
        shape(&known, &fit(&known).expect("enough places")),
        Shape::Unsettled
    );
    close(amplitude, 0.03, 1e-12);
    assert!((degrees(at) - 110.0).abs() < 1e-9);
    assert_eq!(
        of(8, &|i, _| [0.03, -0.03, 0.02, 0.0, 0.04, -0.04, 0.03, 0.0]
            [i]),
        Shape::Irregular
    );
}

#[test]
fn a_cut_takes_the_high_side_and_leaves_the_low() {
    let around = vec![(0.0, 0.10e-3), (TAU / 2.0, 0.02e-3)];
    let after = cut(&around, mm(0.04));
    // Least 0.02, floor 0.06: reached halfway from 12 to 6 o'clock, on both sides.
    assert_eq!(after.len(), 4);
    let at = |angle: f64| between(&after, angle) * 1e3;
    assert!((at(0.0) - 0.04).abs() < 1e-12);
    assert!(at(TAU / 4.0).abs() < 1e-12 && at(TAU / 2.0).abs() < 1e-12);
    assert!((at(TAU / 8.0) - 0.02).abs() < 1e-12);
    close(taken(&around, mm(0.04), degree(180.0)), 0.04, 1e-12);
    close(taken(&around, mm(0.04), degree(135.0)), 0.02, 1e-12);
    close(taken(&around, mm(0.04), degree(0.0)), 0.0, 1e-12);
    assert!(cut(&around, mm(0.08)).iter().all(|p| p.1.abs() < 1e-12));
}

proptest! {
    #[test]
    fn turning_mirroring_and_lifting_the_readings(
        gaps in proptest::collection::vec(0.0..0.2f64, 5..12),
        turn in 0.0..360.0f64,
        lift in 0.0..1.0f64,
    ) {
        let n = gaps.len();
        let place = |i: usize| 360.0 / n as f64 * i as f64;
        let all = |f: &dyn Fn(usize) -> Reading| fit(&(0..n).map(f).collect::<Vec<_>>()).expect("places");
        let plain = all(&|i| reading(place(i), gaps[i], 0.01));
        prop_assume!(plain.tilt > mm(1e-4));
        let apart = |a: f64, b: f64| ((a - b + 180.0).rem_euclid(360.0) - 180.0).abs();
        let turned = all(&|i| reading(place(i) + turn, gaps[i], 0.01));
        prop_assert!(apart(degrees(turned.least_at), degrees(plain.least_at) + turn) < 1e-6);
        let mirrored = all(&|i| reading(360.0 - place(i), gaps[i], 0.01));
        prop_assert!(apart(degrees(mirrored.least_at), -degrees(plain.least_at)) < 1e-6);
        let lifted = all(&|i| reading(place(i), gaps[i] + lift, 0.01));
        for other in [&turned, &mirrored, &lifted] {
            prop_assert!((other.tilt - plain.tilt).abs() < mm(1e-9));
            prop_assert!((other.rms - plain.rms).abs() < mm(1e-9));
            prop_assert!((other.tilt_uncertainty - plain.tilt_uncertainty).abs() < mm(1e-9));
        }
        prop_assert!((lifted.middle - plain.middle - mm(lift)).abs() < mm(1e-9));
    }
}

#[test]
fn what_comes_off_and_what_is_parallel_are_differences() {
    close(whole_depth(mm(0.12), mm(0.03)), 0.09, 1e-12);
    close(parallelism(mm(14.12), mm(14.1)), 0.02, 1e-12);
}

/// Off by 6.5 µm where 4 are known: without the reading opposite the rest lies on a plane as well, but worse.
#[test]
fn of_two_that_could_be_odd_the_better_is_named() {
    let readings: Vec<Reading> = (0..8)
        .map(|i| {
            reading(
                45.0 * f64::from(i),
                if i == 5 { 0.0565 } else { 0.05 },
                0.004,
            )
        })
        .collect();
    let Shape::OneMore(5, off) = shape(&readings, &fit(&readings).expect("eight places")) else {
        panic!("a dent at the sixth place")
    };
    close(off, 0.0065, 1e-12);
}
