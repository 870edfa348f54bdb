//! Limits of size of metric threads (ISO 965-1) and unified threads (ASME B1.1).
//!
//! The ISO formulas are recalled and were confirmed against printed tables; the rounding to the R40 series
//! and the step of five places from an external to an internal pitch tolerance were found from those
//! tables. Where a printed value departs from the formula, the caller hands it in as an [`Exception`].
//! The unified formulas and their order of rounding were read and confirmed against printed limits.
//!
//! Kernels work in micrometres (ISO) and inches (unified), as the standards do; names say so.

use super::thread::{Basic, Sizes};
use crate::units::*;
use uom::si::length::{inch, micrometer, millimeter};

/// The R40 series between 10 and 100, in its whole-number form below 100.
const R40: [f64; 40] = [
    10.0, 10.5, 11.0, 12.0, 13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0, 20.0, 21.0, 22.0, 24.0, 25.0,
    26.0, 28.0, 30.0, 32.0, 34.0, 36.0, 38.0, 40.0, 42.0, 45.0, 48.0, 50.0, 53.0, 56.0, 60.0, 63.0,
    67.0, 71.0, 75.0, 80.0, 85.0, 90.0, 95.0, 100.0,
];
/// The series between 100 and 1000; not ten times the first, which is rounded to whole numbers.
const R40_HUNDREDS: [f64; 40] = [
    100.0, 106.0, 112.0, 118.0, 125.0, 132.0, 140.0, 150.0, 160.0, 170.0, 180.0, 190.0, 200.0,
    212.0, 224.0, 236.0, 250.0, 265.0, 280.0, 300.0, 315.0, 335.0, 355.0, 375.0, 400.0, 425.0,
    450.0, 475.0, 500.0, 530.0, 560.0, 600.0, 630.0, 670.0, 710.0, 750.0, 800.0, 850.0, 900.0,
    950.0,
];

/// The whole series in order, 10 to 950.
fn r40(index: usize) -> f64 {
    if index < 39 {
        R40[index]
    } else {
        R40_HUNDREDS[(index - 39).min(39)]
    }
}
const R40_LEN: usize = 79;

/// The place of the term nearest to a value; of two equally near ones the greater.
fn nearest_r40(value_um: f64) -> usize {
    let mut best = 0;
    for i in 1..R40_LEN {
        if (r40(i) - value_um).abs() <= (r40(best) - value_um).abs() {
            best = i;
        }
    }
    best
}

/// Steps of diameter whose geometric mean enters the pitch tolerance, in millimetres.
const DIAMETER_STEPS_MM: [f64; 10] = [0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0, 180.0, 355.0];

/// What a printed table holds in place of the formula's value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exception {
    /// Which quantity.
    pub quantity: Quantity965,
    /// At which pitch.
    pub pitch: Length,
    /// Above this diameter …
    pub over: Length,
    /// … up to and with this one.
    pub up_to: Length,
    /// The printed magnitude, grade 6 where it is a tolerance.
    pub value: Length,
}

/// The quantities of ISO 965-1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity965 {
    /// Deviation of an external thread, by letter.
    Es(char),
    /// Deviation of an internal thread, by letter.
    Ei(char),
    /// Tolerance of the external major diameter.
    Td,
    /// Tolerance of the external pitch diameter.
    Td2,
    /// Tolerance of the internal minor diameter.
    TD1,
    /// Tolerance of the internal pitch diameter.
    TD2,
}

/// A tolerance class: grade and letter of the pitch diameter, grade and letter of the crest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Class965 {
    /// Grade of the pitch diameter.
    pub pitch_grade: u8,
    /// Grade of the crest diameter.
    pub crest_grade: u8,
    /// Letter of the deviation.
    pub letter: char,
}

/// Why limits cannot be worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum ToleranceError {
    /// No such grade.
    #[error("tolerance grade {0} does not exist for this diameter")]
    Grade(u8),
    /// No such letter.
    #[error(
        "deviation letter `{0}` is not known; external threads have e, f, g, h, internal ones G, H"
    )]
    Letter(char),
    /// The diameter lies outside the standard's steps.
    #[error("the standard's diameter steps run from 0.99 mm to 355 mm")]
    Diameter,
    /// Pitch outside the formulas.
    #[error("the standard's formulas hold for pitches from 0.2 mm to 8 mm")]
    Pitch,
}

/// Places in the series from grade 6 to another grade.
fn step_of_grade(grade: u8, quantity: Quantity965) -> Result<isize, ToleranceError> {
    let allowed: &[u8] = match quantity {
        Quantity965::Td => &[4, 6, 8],
        Quantity965::Td2 => &[3, 4, 5, 6, 7, 8, 9],
        _ => &[4, 5, 6, 7, 8],
    };
    if !allowed.contains(&grade) {
        return Err(ToleranceError::Grade(grade));
    }
    Ok(match grade {
        3 => -12,
        4 => -8,
        5 => -4,
        7 => 4,
        8 => 8,
        9 => 12,
        _ => 0,
    })
}

/// A deviation or tolerance of ISO 965-1 as a positive length.
///
/// # Errors
/// [`ToleranceError`] for a grade, letter, diameter or pitch that the standard does not have.
pub fn iso965(
    quantity: Quantity965,
    grade: u8,
    diameter: Length,
    pitch: Length,
    exceptions: &[Exception],
) -> Result<Length, ToleranceError> {
    let (d, p) = (diameter.get::<millimeter>(), pitch.get::<millimeter>());
    if !(0.19..=8.01).contains(&p) {
        return Err(ToleranceError::Pitch);
    }
    let printed = |q: Quantity965| {
        exceptions
            .iter()
            .find(|e| {
                e.quantity == q
                    && (e.pitch - pitch).abs() < mm(1e-6)
                    && diameter > e.over
                    && diameter <= e.up_to
            })
            .map(|e| e.value.get::<micrometer>())
    };
    let um = |value_um: f64| Length::new::<micrometer>(value_um);
    let td2_grade6 = || -> Result<f64, ToleranceError> {
        let step = DIAMETER_STEPS_MM
            .windows(2)
            .find(|w| d > w[0] && d <= w[1])
            .ok_or(ToleranceError::Diameter)?;
        Ok(90.0 * p.powf(0.4) * (step[0] * step[1]).sqrt().powf(0.1))
    };
    let at = |place: usize, steps: isize| {
        r40((place as isize + steps).clamp(0, R40_LEN as isize - 1) as usize)
    };
    match quantity {
        Quantity965::Es('h') | Quantity965::Ei('H') => Ok(um(0.0)),
        Quantity965::Es(letter) => {
            let formula = match letter {
                'e' => 50.0 + 11.0 * p,
                'f' => 30.0 + 11.0 * p,
                'g' => 15.0 + 11.0 * p,
                other => return Err(ToleranceError::Letter(other)),
            };
            Ok(um(
                printed(quantity).unwrap_or_else(|| r40(nearest_r40(formula)))
            ))
        }
        Quantity965::Ei('G') => Ok(um(
            printed(quantity).unwrap_or_else(|| r40(nearest_r40(15.0 + 11.0 * p)))
        )),
        Quantity965::Ei(other) => Err(ToleranceError::Letter(other)),
        Quantity965::Td => {
            let steps = step_of_grade(grade, quantity)?;
            let six =
                printed(quantity).unwrap_or_else(|| 180.0 * p.powf(2.0 / 3.0) - 3.15 / p.sqrt());
            Ok(um(at(nearest_r40(six), steps)))
        }
        Quantity965::TD1 => {
            let steps = step_of_grade(grade, quantity)?;
            let six = printed(quantity).unwrap_or_else(|| {
                if p < 0.9 {
                    433.0 * p - 190.0 * p.powf(1.22)
                } else {
                    230.0 * p.powf(0.7)
                }
            });
            Ok(um(at(nearest_r40(six), steps)))
        }
        Quantity965::Td2 => {
            let steps = step_of_grade(grade, quantity)?;
            let six = printed(quantity).map_or_else(td2_grade6, Ok)?;
            Ok(um(at(nearest_r40(six), steps)))
        }
        Quantity965::TD2 => {
            let steps = step_of_grade(grade, quantity)?;
            // Five places above the *rounded* external tolerance of the same grade.
            match printed(quantity) {
                Some(six) => Ok(um(at(nearest_r40(six), steps))),
                None => {
                    let external = printed(Quantity965::Td2).map_or_else(td2_grade6, Ok)?;
                    Ok(um(at(nearest_r40(external), steps + 5)))
                }
            }
        }
    }
}

/// Both limits of the four sizes of a pair of threads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Least material: external at its minimum, internal at its maximum.
    pub least: Sizes,
    /// Most material: external at its maximum, internal at its minimum.
    pub most: Sizes,
}

/// Limits of a metric pair of threads.
///
/// # Errors
/// As [`iso965`].
pub fn metric_limits(
    basic: &Basic,
    internal: Class965,
    external: Class965,
    exceptions: &[Exception],
) -> Result<Limits, ToleranceError> {
    let get = |q, grade| iso965(q, grade, basic.major, basic.pitch, exceptions);
    let es = get(Quantity965::Es(external.letter), 6)?;
    let ei = get(Quantity965::Ei(internal.letter), 6)?;
    let most = Sizes {
        external_major: basic.major - es,
        external_pitch: basic.pitch_diameter - es,
        internal_minor: basic.internal_minor + ei,
        internal_pitch: basic.pitch_diameter + ei,
    };
    let least = Sizes {
        external_major: most.external_major - get(Quantity965::Td, external.crest_grade)?,
        external_pitch: most.external_pitch - get(Quantity965::Td2, external.pitch_grade)?,
        internal_minor: most.internal_minor + get(Quantity965::TD1, internal.crest_grade)?,
        internal_pitch: most.internal_pitch + get(Quantity965::TD2, internal.pitch_grade)?,
    };
    Ok(Limits { least, most })
}

/// Length of engagement that enters a unified tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UnifiedSeries {
    /// Coarse and fine series: one diameter.
    CoarseOrFine,
    /// Constant-pitch series: nine pitches.
    ConstantPitch,
}

/// Rounds to so many decimals of an inch, halves up.
fn round_in(value_in: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals);
    // The tiny push keeps halves that binary floats hold a hair low from falling.
    (value_in * scale + 0.5 + 1e-9).floor() / scale
}

/// Limits of a unified pair of threads, classes 1 to 3; ASME B1.1 as read in a public module and confirmed
/// against printed limits.
///
/// # Errors
/// [`ToleranceError::Grade`] for another class.
pub fn unified_limits(
    basic: &Basic,
    external_class: u8,
    internal_class: u8,
    series: UnifiedSeries,
) -> Result<Limits, ToleranceError> {
    let (d_in, p_in) = (basic.major.get::<inch>(), basic.pitch.get::<inch>());
    let engaged_in = match series {
        UnifiedSeries::CoarseOrFine => d_in,
        UnifiedSeries::ConstantPitch => 9.0 * p_in,
    };
    let t2 = 0.0015 * d_in.cbrt() + 0.0015 * engaged_in.sqrt() + 0.015 * p_in.powf(2.0 / 3.0);
    let (allowance, external_pitch_tol, external_major_tol) = match external_class {
        1 => (0.3 * t2, 1.5 * t2, 0.090 * p_in.powf(2.0 / 3.0)),
        2 => (0.3 * t2, t2, 0.060 * p_in.powf(2.0 / 3.0)),
        3 => (0.0, 0.75 * t2, 0.060 * p_in.powf(2.0 / 3.0)),
        other => return Err(ToleranceError::Grade(other)),
    };
    let small = 0.05 * p_in.powf(2.0 / 3.0) + 0.03 * p_in / d_in - 0.002;
    let coarse_minor = 0.25 * p_in - 0.40 * p_in * p_in;
    let internal_pitch_tol = match internal_class {
        1 => 1.95 * t2,
        2 => 1.3 * t2,
        3 => 0.975 * t2,
        other => return Err(ToleranceError::Grade(other)),
    };
    let internal_minor_tol = if internal_class == 3 {
        let least = if 1.0 / p_in >= 13.0 {
            0.23 * p_in - 1.5 * p_in * p_in
        } else {
            0.120 * p_in
        };
        small.min(0.394 * p_in).max(least)
    } else if d_in >= 0.25 {
        if 1.0 / p_in >= 4.0 {
            coarse_minor
        } else {
            0.15 * p_in
        }
    } else {
        small.min(0.394 * p_in).max(coarse_minor)
    };
    let minor_decimals = if internal_class == 3 { 4 } else { 3 };
    let to = |value_in: f64| Length::new::<inch>(value_in);
    let allowance = round_in(allowance, 4);
    let pitch_basic = basic.pitch_diameter.get::<inch>();
    let minor_basic = basic.internal_minor.get::<inch>();
    let (major_max, pitch_max) = (
        round_in(d_in - allowance, 4),
        round_in(round_in(pitch_basic, 4) - allowance, 4),
    );
    let most = Sizes {
        external_major: to(major_max),
        external_pitch: to(pitch_max),
        internal_minor: to(round_in(minor_basic, minor_decimals)),
        internal_pitch: to(round_in(pitch_basic, 4)),
    };
    let least = Sizes {
        external_major: to(round_in(major_max - external_major_tol, 4)),
        external_pitch: to(round_in(pitch_max - external_pitch_tol, 4)),
        internal_minor: to(round_in(minor_basic + internal_minor_tol, minor_decimals)),
        internal_pitch: to(round_in(round_in(pitch_basic, 4) + internal_pitch_tol, 4)),
    };
    Ok(Limits { least, most })
}
