//! Fits by formula (ISO 286-1), and the clearance of a shaft in a bore.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | D | geometric mean of the step of nominal sizes | mm |
//! | i | tolerance unit | µm |
//! | es, ei | upper and lower deviation of a shaft | µm |
//! | ES, EI | upper and lower deviation of a hole | µm |
//!
//! The printed tables are rounded; where a printed row is at hand it comes before these formulas.
//! Source: ISO 286-1, recalled and confirmed against printed rows of 18 to 30 and 30 to 50 mm. The
//! deviations of p and s are printed with a margin of a few micrometres (p: IT7 + 0 to 5, s: IT8 + 1 to 4);
//! the margin used here lies inside it.

use super::formula::formula;
use crate::units::*;

/// Ends of the steps of nominal sizes (mm): over one, up to and including the next. ISO 286-1, recalled;
/// the steps from 18 to 50 were seen in print.
const STEPS_MM: [f64; 14] = [
    1.0, 3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0,
];
/// Tolerance units of the grades IT5 to IT11.
const GRADES: [f64; 7] = [7.0, 10.0, 16.0, 25.0, 40.0, 64.0, 100.0];
/// Size up to which the deviation of s, and with it that of r, follows IT8; above, it follows another rule, which
/// is not at hand.
pub const R_AND_S_UP_TO_MM: f64 = 50.0;
/// Added to IT7 for the deviation of p, and to IT8 for that of s (µm): inside the printed margins.
const P_ABOVE_UM: f64 = 1.0;
const S_ABOVE_UM: f64 = 2.5;

formula! { "Least clearance";
source: "smallest bore less largest spindle"; limits: "negative is interference; the spindle with its uncertainty, or by its class";
fn least_clearance(bore_low: Length, spindle_high: Length) -> Length { bore_low - spindle_high } }
formula! { "Greatest clearance";
source: "largest bore less smallest spindle"; limits: "negative is interference; the spindle with its uncertainty, or by its class";
fn greatest_clearance(bore_high: Length, spindle_low: Length) -> Length { bore_high - spindle_low } }
formula! { "Mean size of a step";
source: "ISO 286-1, recalled"; limits: "steps from 1 to 500 mm";
fn step_mean(over: Length, up_to: Length) -> Length { (over * up_to).sqrt() } }

/// Deviations of a fit from the nominal size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Upper deviation.
    pub upper: Length,
    /// Lower deviation.
    pub lower: Length,
}

fn micrometre(value: f64) -> Length {
    from_si(value * 1e-6)
}

/// The mean of the step that a nominal size lies in (mm).
fn mean_of_step(nominal: Length) -> Option<f64> {
    let size = Unit::Millimetre.of(si(nominal));
    // A size such as 30 mm read from text may miss its step's end by a rounding error.
    STEPS_MM
        .windows(2)
        .find(|w| size > w[0] * (1.0 + 1e-9) && size <= w[1] * (1.0 + 1e-9))
        .map(|w| Unit::Millimetre.of(si(step_mean(mm(w[0]), mm(w[1])))))
}

/// The tolerance unit `i = 0.45·D^(1/3) + 0.001·D` of a nominal size, not rounded.
pub fn tolerance_unit(nominal: Length) -> Option<Length> {
    mean_of_step(nominal).map(|d| micrometre(0.45 * d.cbrt() + 0.001 * d))
}

/// The standard tolerance of a grade from IT5 to IT11, not rounded.
pub fn standard_tolerance(grade: u8, nominal: Length) -> Option<Length> {
    let units = GRADES.get(usize::from(grade.checked_sub(5)?))?;
    Some(tolerance_unit(nominal)? * *units)
}

/// A class such as `h6` or `JS7`: its letters and its grade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Class<'a> {
    /// Letters: small for a shaft, capital for a hole.
    pub letters: &'a str,
    /// Grade.
    pub grade: u8,
}

impl<'a> Class<'a> {
    /// Reads a class.
    pub fn read(text: &'a str) -> Option<Class<'a>> {
        let text = text.trim();
        let digits = text.find(|c: char| c.is_ascii_digit())?;
        let (letters, grade) = text.split_at(digits);
        let one_case = letters.chars().all(|c| c.is_ascii_lowercase())
            || letters.chars().all(|c| c.is_ascii_uppercase());
        (!letters.is_empty() && letters.len() <= 2 && one_case).then_some(())?;
        Some(Class {
            letters,
            grade: grade.parse().ok()?,
        })
    }
    /// A hole rather than a shaft.
    pub fn is_hole(&self) -> bool {
        self.letters.starts_with(|c: char| c.is_ascii_uppercase())
    }
}

/// The lower deviation `ei` of a shaft from k to s, not rounded (µm).
fn shaft_lower(letter: &str, grade: u8, nominal: Length) -> Option<f64> {
    let d = mean_of_step(nominal)?;
    let it = |grade| standard_tolerance(grade, nominal).map(|t| si(t) * 1e6);
    let p = || it(7).map(|t| t + P_ABOVE_UM);
    let s = || it(8).map(|t| t + S_ABOVE_UM);
    match letter {
        // Outside IT4 to IT7 the deviation of k is 0.
        "k" => Some(if grade <= 7 { 0.6 * d.cbrt() } else { 0.0 }),
        "m" => Some(it(7)? - it(6)?),
        "n" => Some(5.0 * d.powf(0.34)),
        "p" => p(),
        _ if d > R_AND_S_UP_TO_MM => None,
        "r" => Some((p()? * s()?).sqrt()),
        "s" => s(),
        _ => None,
    }
}

/// Limits of a class by formula, not rounded: g, h, js, k, m, n, p, r, s and the holes G, H, JS, K, M, N,
/// P, R, S, from IT5 (a hole's Δ: from IT6) to IT11 (holes K and N to IT8); r and s up to 50 mm. Nothing for a class or a size out of reach.
pub fn by_formula(class: Class<'_>, nominal: Length) -> Option<Limits> {
    let it = si(standard_tolerance(class.grade, nominal)?) * 1e6;
    let limits = |upper: f64, lower: f64| {
        Some(Limits {
            upper: micrometre(upper),
            lower: micrometre(lower),
        })
    };
    let g = 2.5 * mean_of_step(nominal)?.powf(0.34);
    let low = class.letters.to_ascii_lowercase();
    match (class.is_hole(), low.as_str()) {
        (_, "js") => limits(it / 2.0, -it / 2.0),
        (false, "h") => limits(0.0, -it),
        (false, "g") => limits(-g, -g - it),
        (true, "h") => limits(it, 0.0),
        (true, "g") => limits(g + it, g),
        (false, letter) => {
            let ei = shaft_lower(letter, class.grade, nominal)?;
            limits(ei + it, ei)
        }
        // Above IT8 the standard gives K and N other rules (recalled), which nothing here has been held against.
        (true, "k" | "n") if class.grade > 8 => None,
        (true, letter) => {
            // Δ belongs to K, M, N up to IT8 and to P and beyond up to IT7.
            let with_delta = class.grade
                <= if matches!(letter, "k" | "m" | "n") {
                    8
                } else {
                    7
                };
            let delta = if with_delta {
                it - si(standard_tolerance(class.grade.checked_sub(1)?, nominal)?) * 1e6
            } else {
                0.0
            };
            let upper = delta - shaft_lower(letter, class.grade.min(7), nominal)?;
            limits(upper, upper - it)
        }
    }
}

/// How a spindle sits in its bearing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sits {
    /// Turns in the bore.
    Loose,
    /// Slides by hand.
    Sliding,
    /// May slide or may need a tap.
    Transition,
    /// Must be pressed.
    Tight,
}

/// Share of the band below zero from which a fit counts as tight: common practice, no source. A spindle at
/// the nominal size of a class Normal bore, known to a few micrometres, is tight by it.
pub const TIGHT_SHARE: f64 = 2.0 / 3.0;
/// Middle of the band above which a spindle counts as loose (mm): common practice, no source. A spindle 0.02
/// to 0.05 mm under its nominal bore slides.
pub const LOOSE_ABOVE_MM: f64 = 0.05;
/// Clearance from which a sliding fit may creep under load (mm): common practice, no source.
pub const CREEPS_ABOVE_MM: f64 = 0.03;

/// The fit of a clearance band.
pub fn sits(low: Length, high: Length) -> Sits {
    let below = -si(low) / (si(high) - si(low));
    if high <= mm(0.0) || (low < mm(0.0) && below >= TIGHT_SHARE) {
        Sits::Tight
    } else if low < mm(0.0) {
        Sits::Transition
    } else if (low + high) / 2.0 <= mm(LOOSE_ABOVE_MM) {
        Sits::Sliding
    } else {
        Sits::Loose
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn um(length: Length) -> f64 {
        si(length) * 1e6
    }

    // 0.45·23.2379^(1/3) + 0.001·23.2379 and 0.45·38.7298^(1/3) + 0.001·38.7298, in full.
    #[test]
    fn tolerance_units() {
        for (size, unit) in [
            (20.0, 1.307_375_237_8),
            (30.0, 1.307_375_237_8),
            (42.0, 1.561_242_999_6),
        ] {
            assert!((um(tolerance_unit(mm(size)).expect("in reach")) - unit).abs() < 1e-9);
        }
        assert!(tolerance_unit(mm(600.0)).is_none() && tolerance_unit(mm(f64::NAN)).is_none());
        assert!(standard_tolerance(4, mm(20.0)).is_none());
    }

    #[test]
    fn classes_are_read() {
        assert_eq!(
            Class::read(" js6 "),
            Some(Class {
                letters: "js",
                grade: 6
            })
        );
        assert!(Class::read("H7").is_some_and(|c| c.is_hole()));
        for bad in ["", "6", "h", "Js6", "abc6", "h6x", "h-6"] {
            assert!(Class::read(bad).is_none(), "{bad}");
        }
    }

    // Forgetting Δ gives N7 of 30 to 50 mm as −17/−42 in place of −8/−33.
    #[test]
    fn a_hole_has_its_delta() {
        let n7 = by_formula(
            Class {
                letters: "N",
                grade: 7,
            },
            mm(42.0),
        )
        .expect("in reach");
        assert!((um(n7.upper) + 8.0).abs() < 1.0 && (um(n7.lower) + 33.0).abs() < 1.0);
    }

    #[test]
    fn holes_k_and_n_end_at_grade_eight() {
        for letters in ["K", "N"] {
            let of = |grade| by_formula(Class { letters, grade }, mm(24.0));
            assert!(of(8).is_some() && of(9).is_none(), "{letters}");
        }
    }

    #[test]
    fn r_and_s_end_where_their_rule_does() {
        for letters in ["r", "s", "R", "S"] {
            let class = Class { letters, grade: 7 };
            assert!(by_formula(class, mm(50.0)).is_some(), "{letters}");
            assert!(by_formula(class, mm(50.1)).is_none(), "{letters}");
        }
        assert!(
            by_formula(
                Class {
                    letters: "p",
                    grade: 6
                },
                mm(60.0)
            )
            .is_some()
        );
    }

    #[test]
    fn common_practice_of_the_trade() {
        // Bore 24 mm class Normal: 0 to −10 µm. A few hundredths under it slides; the same at nominal is tight.
        let band = |spindle: f64, u: f64| (mm(24.0 - 0.010 - spindle - u), mm(24.0 - spindle + u));
        for under in [0.02, 0.03, 0.04, 0.05] {
            let (low, high) = band(24.0 - under, 0.004);
            assert_eq!(sits(low, high), Sits::Sliding, "{under} mm under");
        }
        for u in [0.0, 0.003, 0.005, 0.0058] {
            let (low, high) = band(24.0, u);
            assert_eq!(sits(low, high), Sits::Tight);
        }
        assert_eq!(sits(mm(-0.005), mm(0.008)), Sits::Transition);
        assert_eq!(sits(mm(0.09), mm(0.11)), Sits::Loose);
        assert_eq!(sits(mm(0.0), mm(0.0)), Sits::Tight);
    }

    /// A bore of 25 mm less 10 µm on a spindle of 24.985 to 24.995 mm.
    #[test]
    fn clearances_by_hand() {
        assert!((um(least_clearance(mm(24.99), mm(24.995))) + 5.0).abs() < 1e-6);
        assert!((um(greatest_clearance(mm(25.0), mm(24.985))) - 15.0).abs() < 1e-6);
    }
}
