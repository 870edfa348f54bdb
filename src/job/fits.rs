//! Rows of fits and of bearing tolerances: the printed row where the table has one, else the formula.

use crate::mechanics::fit::{self, Class, Limits};
use crate::tables::{BEARINGS, Row};
use crate::units::parse::{self, Kind};
use crate::units::*;

/// Limits with what they rest on.
#[derive(Debug, Clone, PartialEq)]
pub struct Sourced<T> {
    /// The value.
    pub value: T,
    /// Where it comes from.
    pub source: String,
    /// A remark of the row.
    pub note: Option<String>,
}

fn length(row: &Row<'_>, key: &str) -> Option<Length> {
    parse::read(row.text(key)?, Kind::Length)
        .ok()
        .map(|s| from_si(s.nominal))
}

/// The row of a group whose step holds a size, and which passes a test.
fn row(
    group: &str,
    size: Length,
    test: impl Fn(&Row<'static>) -> bool,
) -> Option<(Row<'static>, String)> {
    // A size read from text may miss the end of its step by a rounding error.
    let slack = 1.0 + 1e-9;
    BEARINGS
        .rows()
        .into_iter()
        .filter(|r| r.group == group)
        .find(|r| {
            let (Some(over), Some(up_to)) = (length(r, "over"), length(r, "up_to")) else {
                return false;
            };
            size > over * slack && size <= up_to * slack && test(r)
        })
        .map(|r| {
            let source = format!("{}: {}", r.name, r.provenance());
            (r, source)
        })
}

/// Limits of a class such as `h6` or `H7` at a nominal size.
pub fn limits(class: &str, nominal: Length) -> Option<Sourced<Limits>> {
    let parsed = Class::read(class)?;
    let name = class.trim();
    if let Some((row, source)) = row("isofit", nominal, |r| r.text("class") == Some(name)) {
        return Some(Sourced {
            value: Limits {
                upper: length(&row, "upper")?,
                lower: length(&row, "lower")?,
            },
            source,
            note: row.text("note").map(str::to_string),
        });
    }
    Some(Sourced {
        value: fit::by_formula(parsed, nominal)?,
        source: "ISO 286-1 by formula, not rounded; no printed row at hand (from memory)".into(),
        note: None,
    })
}

/// The standard tolerance of a grade at a nominal size.
pub fn standard_tolerance(grade: u8, nominal: Length) -> Option<Sourced<Length>> {
    // Whole numbers in a table are no text; the row's name carries the grade.
    let prefix = format!("IT{grade} ");
    if let Some((row, source)) = row("isotolerance", nominal, |r| r.name.starts_with(&prefix)) {
        return Some(Sourced {
            value: length(&row, "value")?,
            source,
            note: row.text("note").map(str::to_string),
        });
    }
    Some(Sourced {
        value: fit::standard_tolerance(grade, nominal)?,
        source: "ISO 286-1 by formula, not rounded; no printed row at hand (from memory)".into(),
        note: None,
    })
}

/// Tolerance class of a bearing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BearingClass {
    /// Normal (P0).
    Normal,
    /// P6.
    P6,
    /// P5.
    P5,
}

/// Which diameter of a bearing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BearingSize {
    /// Bore.
    Bore,
    /// Outside.
    Outside,
}

/// Lower deviation of a bearing's mean bore or outside diameter (ISO 492); the upper is 0.
pub fn bearing_low(
    size: BearingSize,
    class: BearingClass,
    nominal: Length,
) -> Option<Sourced<Length>> {
    let prefix = match size {
        BearingSize::Bore => "bore ",
        BearingSize::Outside => "outside ",
    };
    let key = match class {
        BearingClass::Normal => "normal_low",
        BearingClass::P6 => "p6_low",
        BearingClass::P5 => "p5_low",
    };
    let (row, source) = row("bearing", nominal, |r| r.name.starts_with(prefix))?;
    Some(Sourced {
        value: length(&row, key)?,
        source,
        note: row.text("note").map(str::to_string),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn um(length: Length) -> f64 {
        si(length) * 1e6
    }

    /// Every printed row against the formula: a rounding, or the margin that the standard leaves.
    #[test]
    fn formulas_against_every_printed_row() {
        let (mut by_formula, mut printed_only) = (0, Vec::new());
        for row in BEARINGS.rows() {
            let (Some(over), Some(up_to)) = (length(&row, "over"), length(&row, "up_to")) else {
                panic!("{} has no step", row.name)
            };
            for size in [over * 1.01, (over + up_to) / 2.0, up_to] {
                match row.group {
                    "isotolerance" => {
                        let grade: u8 = row.name[2..]
                            .split(' ')
                            .next()
                            .and_then(|g| g.parse().ok())
                            .expect("a grade");
                        let got = standard_tolerance(grade, size).expect("in reach");
                        assert_eq!(
                            um(got.value),
                            um(length(&row, "value").expect("a value")),
                            "{}",
                            row.name
                        );
                        let formula = um(fit::standard_tolerance(grade, size).expect("in reach"));
                        // Rounded to 1 µm up to IT9, to 4 µm at most above (156 is printed as 160).
                        let to = if grade < 10 { 0.6 } else { 4.0 };
                        assert!(
                            (formula - um(got.value)).abs() < to,
                            "{}: {formula}",
                            row.name
                        );
                    }
                    "isofit" => {
                        let class = row.text("class").expect("a class");
                        let got = limits(class, size).expect("in reach").value;
                        let want = (
                            length(&row, "upper").expect("upper"),
                            length(&row, "lower").expect("lower"),
                        );
                        assert_eq!((got.upper, got.lower), want, "{}", row.name);
                        let Some(formula) =
                            Class::read(class).and_then(|c| fit::by_formula(c, size))
                        else {
                            printed_only.push(class);
                            continue;
                        };
                        by_formula += 1;
                        // IT11 of 30 to 50 mm is printed 4 µm above its formula, s within its margin.
                        let to = if class.ends_with("11") { 4.0 } else { 2.0 };
                        for (f, p) in [(formula.upper, got.upper), (formula.lower, got.lower)] {
                            assert!(
                                (um(f) - um(p)).abs() < to,
                                "{}: {} against {}",
                                row.name,
                                um(f),
                                um(p)
                            );
                        }
                    }
                    "isodelta" => {
                        let grade: u8 = row.name[2..]
                            .split(' ')
                            .next()
                            .and_then(|g| g.parse().ok())
                            .expect("a grade");
                        let it = |g| standard_tolerance(g, size).expect("in reach").value;
                        let delta = um(length(&row, "value").expect("a value"));
                        assert!(
                            (um(it(grade) - it(grade - 1)) - delta).abs() < 1e-9,
                            "{}",
                            row.name
                        );
                    }
                    "bearing" => {
                        let which = if row.name.starts_with("bore") {
                            BearingSize::Bore
                        } else {
                            BearingSize::Outside
                        };
                        for (class, key) in [
                            (BearingClass::Normal, "normal_low"),
                            (BearingClass::P6, "p6_low"),
                            (BearingClass::P5, "p5_low"),
                        ] {
                            let got = bearing_low(which, class, size).expect("a row");
                            assert_eq!(Some(got.value), length(&row, key), "{}", row.name);
                        }
                    }
                    other => panic!("a group without a check: {other}"),
                }
            }
        }
        printed_only.sort_unstable();
        printed_only.dedup();
        assert_eq!(printed_only, ["J6", "J7", "j5", "j6"]);
        assert!(by_formula > 150, "{by_formula}");
    }

    #[test]
    fn steps_end_where_they_should() {
        let low = |d: f64| {
            bearing_low(BearingSize::Bore, BearingClass::Normal, mm(d)).map(|s| um(s.value).round())
        };
        assert_eq!(low(18.0), Some(-8.0));
        assert_eq!(low(18.1), Some(-10.0));
        assert_eq!(low(30.0), Some(-10.0));
        assert_eq!(low(50.0), Some(-12.0));
        assert_eq!(low(10.0), None);
        assert_eq!(low(55.0), None);
        // No printed row: by formula. h6 of 60 mm is printed as 0/−19.
        let h6 = limits("h6", mm(60.0)).expect("in reach");
        assert!((um(h6.value.lower) + 19.0).abs() < 1.0 && h6.source.contains("formula"));
        assert!(limits("zc6", mm(20.0)).is_none() && limits("h", mm(20.0)).is_none());
    }
}
