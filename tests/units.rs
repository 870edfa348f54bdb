//! Quantities as text: what is read, what is refused, and that printing and reading agree.

use crate::support::keep;
use insertwright::units::display::{System, significant};
use insertwright::units::parse::{Kind, Shape, read};
use proptest::prelude::*;

/// The pound-force of the units library is rounded to seven digits.
fn close(got: f64, expected: f64) -> bool {
    (got - expected).abs() <= 1e-6 * expected.abs().max(1e-30)
}

/// Every accepted way of writing a value, with its value in SI base units.
#[test]
fn accepted_spellings() {
    const IN: f64 = 0.0254;
    const LBF: f64 = 4.448_221_615_260_5;
    const KGF: f64 = 9.806_65;
    let cases: &[(&str, Kind, f64)] = &[
        ("12.5 mm", Kind::Length, 0.0125),
        ("12.5mm", Kind::Length, 0.0125),
        ("  12.5   mm ", Kind::Length, 0.0125),
        ("1.25 cm", Kind::Length, 0.0125),
        ("0.0125 m", Kind::Length, 0.0125),
        ("250 µm", Kind::Length, 250e-6),
        ("250 μm", Kind::Length, 250e-6),
        ("250 um", Kind::Length, 250e-6),
        ("250 microns", Kind::Length, 250e-6),
        ("1.37 in", Kind::Length, 1.37 * IN),
        ("1.37\"", Kind::Length, 1.37 * IN),
        ("1.37 inches", Kind::Length, 1.37 * IN),
        ("15 thou", Kind::Length, 0.015 * IN),
        ("1 ft", Kind::Length, 12.0 * IN),
        ("9/16 in", Kind::Length, 9.0 / 16.0 * IN),
        ("1-3/8 in", Kind::Length, 1.375 * IN),
        ("1 3/8 in", Kind::Length, 1.375 * IN),
        ("-1-3/8 in", Kind::Length, -1.375 * IN),
        ("40,5 mm", Kind::Length, 0.0405),
        ("40,25 mm", Kind::Length, 0.04025),
        ("1,2345 mm", Kind::Length, 0.001_234_5),
        (".5 mm", Kind::Length, 0.0005),
        ("5. mm", Kind::Length, 0.005),
        ("+5 mm", Kind::Length, 0.005),
        ("-0.1 mm", Kind::Length, -0.0001),
        ("−0.1 mm", Kind::Length, -0.0001),
        ("1e-3 m", Kind::Length, 0.001),
        ("2.5E1 mm", Kind::Length, 0.025),
        ("24 tpi", Kind::Pitch, IN / 24.0),
        ("24 TPI", Kind::Pitch, IN / 24.0),
        ("1 mm", Kind::Pitch, 0.001),
        ("1200 N", Kind::Force, 1200.0),
        ("1.2 kN", Kind::Force, 1200.0),
        ("10 lbf", Kind::Force, 10.0 * LBF),
        ("10 lb", Kind::Force, 10.0 * LBF),
        ("10 kgf", Kind::Force, 10.0 * KGF),
        ("40 N·m", Kind::Torque, 40.0),
        ("40 N⋅m", Kind::Torque, 40.0),
        ("40 Nm", Kind::Torque, 40.0),
        ("40 N m", Kind::Torque, 40.0),
        ("40 N-m", Kind::Torque, 40.0),
        ("40 N*m", Kind::Torque, 40.0),
        ("4000 N·cm", Kind::Torque, 40.0),
        ("40000 N·mm", Kind::Torque, 40.0),
        ("350 in·lbf", Kind::Torque, 350.0 * IN * LBF),
        ("350 in-lb", Kind::Torque, 350.0 * IN * LBF),
        ("350 in. lbs.", Kind::Torque, 350.0 * IN * LBF),
        ("350 lbf·in", Kind::Torque, 350.0 * IN * LBF),
        ("30 ft·lbf", Kind::Torque, 30.0 * 12.0 * IN * LBF),
        ("30 ft-lbs", Kind::Torque, 30.0 * 12.0 * IN * LBF),
        ("30 lb ft", Kind::Torque, 30.0 * 12.0 * IN * LBF),
        ("30 foot-pounds", Kind::Torque, 30.0 * 12.0 * IN * LBF),
        ("80 oz·in", Kind::Torque, 80.0 / 16.0 * IN * LBF),
        ("4 kgf·m", Kind::Torque, 4.0 * KGF),
        ("400 kgf·cm", Kind::Torque, 4.0 * KGF),
        ("250 MPa", Kind::Stress, 250e6),
        ("250 N/mm²", Kind::Stress, 250e6),
        ("250 N/mm^2", Kind::Stress, 250e6),
        ("69 GPa", Kind::Stress, 69e9),
        ("36 ksi", Kind::Stress, 36_000.0 * LBF / (IN * IN)),
        ("1000 psi", Kind::Stress, 1000.0 * LBF / (IN * IN)),
        ("45 deg", Kind::Angle, std::f64::consts::FRAC_PI_4),
        ("45°", Kind::Angle, std::f64::consts::FRAC_PI_4),
        ("1 rad", Kind::Angle, 1.0),
        ("20 °C", Kind::Temperature, 293.15),
        ("-10 °C", Kind::Temperature, 263.15),
        ("20 degC", Kind::Temperature, 293.15),
        ("20 celsius", Kind::Temperature, 293.15),
        ("14 °F", Kind::Temperature, 263.15),
        ("23.6 µm/(m·K)", Kind::Expansion, 23.6e-6),
        ("23.6 um/(m K)", Kind::Expansion, 23.6e-6),
        ("23.6 ppm/K", Kind::Expansion, 23.6e-6),
        ("23.6e-6 1/K", Kind::Expansion, 23.6e-6),
        ("13.1 µin/(in·°F)", Kind::Expansion, 13.1e-6 * 1.8),
        ("0.90 V", Kind::Potential, 0.9),
        ("900 mV", Kind::Potential, 0.9),
        ("1.2 g/cm³", Kind::Density, 1200.0),
        ("1200 kg/m³", Kind::Density, 1200.0),
        ("0.12", Kind::Number, 0.12),
        ("12 %", Kind::Number, 0.12),
        ("12%", Kind::Number, 0.12),
        ("40 N·m = 354 in·lbf", Kind::Torque, 40.0),
        ("1.37 in = 34.8 mm", Kind::Length, 1.37 * IN),
    ];
    for (text, kind, expected) in cases {
        match read(text, *kind) {
            Ok(got) => assert!(
                close(got.nominal, *expected),
                "{text}: {} is not {expected}",
                got.nominal
            ),
            Err(e) => panic!("{text} is refused: {} ({})", e.message, e.help),
        }
    }
}

/// Every way of stating a spread: low, nominal, high in the unit named, and its shape.
#[test]
fn spreads() {
    use Shape::{Exact, Normal, Rectangular};
    let cases: &[(&str, Kind, [f64; 3], Shape)] = &[
        ("40 N·m", Kind::Torque, [40.0, 40.0, 40.0], Exact),
        ("40 N·m ± 4 %", Kind::Torque, [38.4, 40.0, 41.6], Normal),
        ("40 N·m +/- 4 %", Kind::Torque, [38.4, 40.0, 41.6], Normal),
        ("40 N·m +- 4%", Kind::Torque, [38.4, 40.0, 41.6], Normal),
        ("35 ± 2 N·m", Kind::Torque, [33.0, 35.0, 37.0], Normal),
        ("35 N·m ± 2 N·m", Kind::Torque, [33.0, 35.0, 37.0], Normal),
        ("35 N·m ± 2", Kind::Torque, [33.0, 35.0, 37.0], Normal),
        (
            "0.10 .. 0.16",
            Kind::Number,
            [0.10, 0.13, 0.16],
            Rectangular,
        ),
        ("10 .. 16 %", Kind::Number, [0.10, 0.13, 0.16], Rectangular),
        ("0.12 ± 0.02", Kind::Number, [0.10, 0.12, 0.14], Normal),
        ("0.10..0.16", Kind::Number, [0.10, 0.13, 0.16], Rectangular),
        (
            "0.10 ... 0.16",
            Kind::Number,
            [0.10, 0.13, 0.16],
            Rectangular,
        ),
        (
            "35 .. 45 N·m",
            Kind::Torque,
            [35.0, 40.0, 45.0],
            Rectangular,
        ),
        (
            "35 N·m .. 45 N·m",
            Kind::Torque,
            [35.0, 40.0, 45.0],
            Rectangular,
        ),
        (
            "-0.1 .. 0.1 mm",
            Kind::Length,
            [-1e-4, 0.0, 1e-4],
            Rectangular,
        ),
        (
            "45 ± 5 °C",
            Kind::Temperature,
            [313.15, 318.15, 323.15],
            Normal,
        ),
    ];
    for (text, kind, [low, nominal, high], shape) in cases {
        let got = read(text, *kind).unwrap_or_else(|e| panic!("{text}: {}", e.message));
        for (got, expected) in [(got.low, low), (got.nominal, nominal), (got.high, high)] {
            assert!(
                (got - expected).abs() < 1e-9,
                "{text}: {got} is not {expected}"
            );
        }
        assert_eq!(got.shape, *shape, "{text}");
    }
}

/// A value given twice is refused beyond 1 %, on both sides of that limit.
#[test]
fn given_twice() {
    assert!(read("100 N = 100.99 N", Kind::Force).is_ok());
    assert!(read("100 N = 101.02 N", Kind::Force).is_err());
    assert!(read("100 N = 99.01 N", Kind::Force).is_ok());
    assert!(read("100 N = 98.9 N", Kind::Force).is_err());
    assert!(read("40 N·m = 354 in·lbf = 29.5 ft·lbf", Kind::Torque).is_ok());
    assert!(read("40 N·m = 354 in·lbf = 35 ft·lbf", Kind::Torque).is_err());
}

/// What is refused, and the whole answer: the text, the part it is about, message and help.
#[test]
fn refusals() {
    let long = format!("{} mm", "9".repeat(400));
    let digits = format!("{} mm", "9".repeat(150));
    let cases: &[(&str, Kind)] = &[
        ("", Kind::Length),
        ("   ", Kind::Length),
        ("40", Kind::Torque),
        ("40", Kind::Temperature),
        ("N·m", Kind::Torque),
        ("40 N·m =", Kind::Torque),
        ("= 40 N·m", Kind::Torque),
        ("40 N·m = 40 ft·lbf", Kind::Torque),
        ("40,500 mm", Kind::Length),
        ("40, mm", Kind::Length),
        ("1,234.5 mm", Kind::Length),
        ("1.234,5 mm", Kind::Length),
        ("3 tenths", Kind::Length),
        ("3 mil", Kind::Length),
        ("3 mils", Kind::Length),
        ("293 K", Kind::Temperature),
        ("20 degrees", Kind::Temperature),
        ("20 C", Kind::Temperature),
        ("-300 °C", Kind::Temperature),
        ("45 °C ± 10 %", Kind::Temperature),
        ("nan", Kind::Number),
        ("NaN mm", Kind::Length),
        ("inf mm", Kind::Length),
        ("-inf mm", Kind::Length),
        ("infinity", Kind::Number),
        ("1e400 mm", Kind::Length),
        ("1e-400 mm", Kind::Length),
        ("1e999999999999 mm", Kind::Length),
        ("0 tpi", Kind::Pitch),
        ("1/0 in", Kind::Length),
        ("40 mm", Kind::Torque),
        ("40 N", Kind::Torque),
        ("40 N·m", Kind::Force),
        ("40 N·m", Kind::Length),
        ("24 tpi", Kind::Length),
        ("40 mm", Kind::Number),
        ("250 mPa", Kind::Stress),
        ("250 mpa", Kind::Stress),
        ("250 Mpa", Kind::Stress),
        ("40 nm", Kind::Torque),
        ("40 MM", Kind::Length),
        ("40 mn", Kind::Length),
        ("40 parsecs", Kind::Length),
        ("16 .. 10 mm", Kind::Length),
        ("10 mm ..", Kind::Length),
        (".. 10 mm", Kind::Length),
        ("10 ± -2 mm", Kind::Length),
        ("24 tpi ± 1 tpi", Kind::Pitch),
        ("40 N·m ± 4 °C", Kind::Torque),
        ("5 mm 3 mm", Kind::Length),
        ("fünf mm", Kind::Length),
        ("５ mm", Kind::Length),
    ];
    let mut table = String::new();
    for (text, kind) in cases {
        match read(text, *kind) {
            Ok(got) => panic!("{text:?} as {} is read as {got:?}", kind.name()),
            Err(e) => {
                assert!(e.at.end <= text.len(), "{text:?}: marks what is not there");
                table.push_str(&format!(
                    "{text:?}, {} is due\n  at:   {:?}\n  says: {}\n  help: {}\n",
                    kind.name(),
                    &text[e.at.clone()],
                    e.message,
                    e.help
                ));
            }
        }
    }
    for text in [&long, &digits] {
        // Long texts are not worth keeping; that they are refused or read without harm is.
        match read(text, Kind::Length) {
            Err(e) => assert!(e.message.contains("long") || e.message.contains("beyond")),
            Ok(got) => assert!(got.nominal.is_finite()),
        }
    }
    assert!(read(&long, Kind::Length).is_err());
    keep("units-refusals", &table);
}

/// A wrong dimension says which was expected, for every pair of kinds.
#[test]
fn a_wrong_dimension_names_the_right_one() {
    for due in Kind::ALL {
        for given in Kind::ALL {
            let text = given.example();
            let Err(e) = read(text, due) else { continue };
            assert!(
                format!("{} {}", e.message, e.help).contains(due.name())
                    || e.help.contains(due.usual_unit()),
                "{text} for {}: {} / {}",
                due.name(),
                e.message,
                e.help
            );
        }
        assert!(read(due.example(), due).is_ok(), "{}", due.name());
    }
}

fn kinds() -> impl Strategy<Value = Kind> {
    proptest::sample::select(Kind::ALL.to_vec())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 1000, ..ProptestConfig::default() })]

    /// What is printed reads back as the digits that were printed, in both systems.
    #[test]
    fn printing_and_reading_agree(kind in kinds(), mantissa in 1.0f64..10.0, exponent in -7i32..7, negative: bool, imperial: bool) {
        let system = if imperial { System::Imperial } else { System::Metric };
        let value = if kind == Kind::Temperature {
            // Above absolute zero, and as far as any glue goes.
            150.0 + 50.0 * mantissa
        } else {
            let size = mantissa * 10f64.powi(exponent);
            if negative && kind != Kind::Pitch { -size } else { size }
        };
        let shown = kind.unit().show(value, system);
        let back = read(&shown, kind);
        prop_assert!(back.is_ok(), "{shown} does not read back: {back:?}");
        let back = back.map_or(f64::NAN, |s| s.nominal);
        let shown_again = read(&kind.unit().show(back, system), kind).map_or(f64::NAN, |s| s.nominal);
        prop_assert!(close(shown_again, back), "{shown}: {back} against {shown_again}");
        // Four figures: within half of the last one, a temperature's from the zero of its own scale.
        let (in_unit, _) = kind.unit().in_system(value, system);
        let (again, _) = kind.unit().in_system(back, system);
        prop_assert!((in_unit - again).abs() <= 0.5001e-3 * in_unit.abs(), "{shown}: {in_unit} against {again}");
    }

    /// A text of any kind is read or refused; what is marked lies in it, on whole characters.
    #[test]
    fn any_text_is_answered(text in any::<String>(), kind in kinds()) {
        if let Err(e) = read(&text, kind) {
            prop_assert!(text.get(e.at.clone()).is_some(), "{:?}", e.at);
            prop_assert!(!e.message.is_empty() && !e.help.is_empty());
        }
    }

    /// The same for texts made of what quantities are made of.
    #[test]
    fn any_likely_text_is_answered(
        parts in proptest::collection::vec(proptest::sample::select(vec![
            "1", "0", "3/8", "-", "−", "±", "+/-", "..", "=", ",", ".", "e", "9", "in", "mm", "N·m", "°C", "%", "tpi", " ", "µ", "(", "²", "\"", "/", "K",
        ]), 0..12),
        kind in kinds(),
    ) {
        let text = parts.concat();
        match read(&text, kind) {
            Ok(s) => {
                prop_assert!(s.nominal.is_finite() && s.low <= s.nominal && s.nominal <= s.high, "{text}: {s:?}");
            }
            Err(e) => prop_assert!(text.get(e.at.clone()).is_some(), "{text}: {:?}", e.at),
        }
    }

    /// A length in inches is the length in millimetres.
    #[test]
    fn inches_are_millimetres(inches in 0.001f64..100.0) {
        let a = read(&format!("{inches} in"), Kind::Length).unwrap().nominal;
        let b = read(&format!("{} mm", inches * 25.4), Kind::Length).unwrap().nominal;
        prop_assert!(close(a, b));
        let c = read(&format!("{} thou", inches * 1000.0), Kind::Length).unwrap().nominal;
        prop_assert!(close(a, c));
    }

    /// Significant figures: never more than asked for, never off by more than half of the last.
    #[test]
    fn significant_figures(value in -1e12f64..1e12, figures in 2usize..7) {
        let back: f64 = significant(value, figures).parse().unwrap();
        prop_assert!((back - value).abs() <= 0.5001 * 10f64.powi(1 - figures as i32) * value.abs());
    }
}
