//! Reading a quantity from text, as the trade writes it.
//!
//! | text | read as |
//! |---|---|
//! | `40 N·m`, `40 Nm`, `40 N*m`, `354 in-lb` | a torque |
//! | `1-3/8 in`, `9/16 in`, `15 thou`, `40,5 mm` | a length |
//! | `24 tpi` | a pitch |
//! | `40 N·m ± 4 %`, `35 ± 2 N·m` | a spread: normal, the figure is two standard deviations |
//! | `0.10 .. 0.16`, `0.10 .. 0.15 mm` | a range: rectangular, its middle is nominal |
//! | `40 N·m = 354 in·lbf` | one value given twice, refused where the two disagree by more than 1 % |
//!
//! Refused, with a question or a hint: a bare number where a unit is due, `tenths`, `mil`, a bare
//! temperature, a comma followed by three digits, anything not finite, a unit of another kind.
//! Conversion factors are those of [`uom`]; none is written here.
//!
//! ```
//! use insertwright::units::parse::{Kind, read};
//! assert!(read("40 Nm", Kind::Torque).is_ok_and(|torque| torque.nominal == 40.0));
//! assert!(read("1-3/8 in", Kind::Length).is_ok_and(|d| (d.nominal - 0.034925).abs() < 1e-12));
//! assert!(read("40", Kind::Torque).is_err());
//! ```

use super::*;
use std::ops::Range;
use uom::si::{
    angle, electric_potential, force, length, mass_density, pressure, ratio,
    temperature_coefficient, thermodynamic_temperature, torque,
};

/// The kinds of quantity that a job file holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Kind {
    Length,
    Pitch,
    Force,
    Torque,
    Stress,
    Angle,
    Temperature,
    Expansion,
    Potential,
    Density,
    Number,
}

impl Kind {
    /// What it is called in a message, with its article.
    pub fn name(self) -> &'static str {
        match self {
            Kind::Length => "a length",
            Kind::Pitch => "a thread pitch",
            Kind::Force => "a force",
            Kind::Torque => "a torque",
            Kind::Stress => "a stress",
            Kind::Angle => "an angle",
            Kind::Temperature => "a temperature",
            Kind::Expansion => "a thermal expansion",
            Kind::Potential => "a voltage",
            Kind::Density => "a density",
            Kind::Number => "a plain number",
        }
    }
    /// A well-written value of this kind.
    pub fn example(self) -> &'static str {
        match self {
            Kind::Length => "12.5 mm",
            Kind::Pitch => "24 tpi",
            Kind::Force => "1200 N",
            Kind::Torque => "40 N·m",
            Kind::Stress => "250 MPa",
            Kind::Angle => "45 deg",
            Kind::Temperature => "20 °C",
            Kind::Expansion => "23.6 µm/(m·K)",
            Kind::Potential => "0.90 V",
            Kind::Density => "1.2 g/cm³",
            Kind::Number => "0.12",
        }
    }
    /// The unit that most people of the trade would write behind a bare number.
    pub fn usual_unit(self) -> &'static str {
        self.example().split_once(' ').map_or("", |(_, unit)| unit)
    }
    /// The unit in which results of this kind are printed.
    pub fn unit(self) -> Unit {
        match self {
            Kind::Length | Kind::Pitch => Unit::Millimetre,
            Kind::Force => Unit::Newton,
            Kind::Torque => Unit::NewtonMetre,
            Kind::Stress => Unit::Megapascal,
            Kind::Angle => Unit::Degree,
            Kind::Temperature => Unit::Celsius,
            Kind::Expansion => Unit::PerKelvin,
            Kind::Potential => Unit::Volt,
            Kind::Density => Unit::Density,
            Kind::Number => Unit::None,
        }
    }
    /// The largest magnitude that a job may give, in SI base units: far outside anything at a bench, and still far
    /// inside what the arithmetic stands. Common practice, no source, but for the angle: more than a whole turn is a
    /// slip of the pen.
    pub fn largest(self) -> f64 {
        match self {
            Kind::Length | Kind::Pitch => 100.0,
            Kind::Force | Kind::Torque | Kind::Number => 1e9,
            // The stiffest solid is near 1e12 Pa.
            Kind::Stress => 1e13,
            Kind::Angle => std::f64::consts::TAU * (1.0 + 1e-9),
            Kind::Temperature => 2000.0,
            Kind::Expansion => 0.01,
            Kind::Potential => 100.0,
            Kind::Density => 1e5,
        }
    }
    /// All kinds, for a search among the units of other kinds.
    pub const ALL: [Kind; 11] = [
        Kind::Length,
        Kind::Pitch,
        Kind::Force,
        Kind::Torque,
        Kind::Stress,
        Kind::Angle,
        Kind::Temperature,
        Kind::Expansion,
        Kind::Potential,
        Kind::Density,
        Kind::Number,
    ];
}

/// The shape of a stated spread.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Shape {
    /// One value.
    #[default]
    Exact,
    /// `±`: normal, the figure is two standard deviations.
    Normal,
    /// `..`: any value of the range is as likely as another.
    Rectangular,
}

/// A value with its spread. For an exact value `low`, `nominal` and `high` are the same.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Spread<Q> {
    /// The value to calculate with.
    pub nominal: Q,
    /// The low end: two standard deviations below, or the lower end of the range.
    pub low: Q,
    /// The high end.
    pub high: Q,
    /// How the spread was stated.
    pub shape: Shape,
}

impl<Q: Copy> Spread<Q> {
    /// A value without spread.
    pub fn exact(value: Q) -> Self {
        Spread {
            nominal: value,
            low: value,
            high: value,
            shape: Shape::Exact,
        }
    }
    /// The same spread with each of its values converted.
    pub fn map<R>(self, mut f: impl FnMut(Q) -> R) -> Spread<R> {
        Spread {
            nominal: f(self.nominal),
            low: f(self.low),
            high: f(self.high),
            shape: self.shape,
        }
    }
}

/// Why a text is not the quantity that is wanted.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{message}")]
pub struct QuantityError {
    /// Where in the text, in bytes.
    pub at: Range<usize>,
    /// What is wrong.
    pub message: String,
    /// What to write instead.
    pub help: String,
}

/// One unit: the spellings it is known by, and its conversion to SI base units.
struct Row {
    spellings: &'static [&'static str],
    to_si: fn(f64) -> f64,
}

/// A row of a unit list; `v => …` where the trade's unit is a multiple of the one that uom has.
macro_rules! unit {
    ($quantity:ident, $unit:path, $($spelling:literal)+) => {
        Row { spellings: &[$($spelling),+], to_si: |v| $quantity::new::<$unit>(v).value }
    };
    ($quantity:ident, $unit:path, $v:ident => $in_unit:expr, $($spelling:literal)+) => {
        Row { spellings: &[$($spelling),+], to_si: |$v| $quantity::new::<$unit>($in_unit).value }
    };
}

// Spellings stand here as `squeeze` leaves them: no blanks, points or hyphens.
const LENGTH: &[Row] = &[
    unit!(Length, length::millimeter, "mm" "millimetre" "millimetres" "millimeter" "millimeters"),
    unit!(Length, length::centimeter, "cm" "centimetre" "centimetres" "centimeter" "centimeters"),
    unit!(Length, length::meter, "m" "metre" "metres" "meter" "meters"),
    unit!(Length, length::micrometer, "µm" "um" "micrometre" "micrometres" "micrometer" "micron" "microns"),
    unit!(Length, length::inch, "in" "inch" "inches" "\"" "″"),
    unit!(Length, length::inch, v => v / 1000.0, "thou" "thous"),
    unit!(Length, length::foot, "ft" "foot" "feet"),
];
const PITCH: &[Row] =
    &[unit!(Length, length::inch, v => 1.0 / v, "tpi" "TPI" "threadsperinch" "threads/in" "/in")];
const FORCE: &[Row] = &[
    unit!(Force, force::newton, "N" "newton" "newtons"),
    unit!(Force, force::kilonewton, "kN" "kilonewton" "kilonewtons"),
    unit!(Force, force::pound_force, "lbf" "lb" "lbs" "pound" "pounds"),
    unit!(Force, force::kilogram_force, "kgf" "kp"),
];
const TORQUE: &[Row] = &[
    unit!(Torque, torque::newton_meter, "Nm" "newtonmetre" "newtonmetres" "newtonmeter" "newtonmeters"),
    unit!(Torque, torque::newton_centimeter, "Ncm"),
    unit!(Torque, torque::newton_millimeter, "Nmm"),
    unit!(Torque, torque::kilonewton_meter, "kNm"),
    unit!(Torque, torque::pound_force_foot,
        "lbfft" "ftlbf" "ftlb" "ftlbs" "lbft" "lbsft" "footpound" "footpounds" "poundfoot" "poundfeet"),
    unit!(Torque, torque::pound_force_inch,
        "lbfin" "inlbf" "inlb" "inlbs" "lbin" "lbsin" "inchpound" "inchpounds" "poundinch" "poundinches"),
    unit!(Torque, torque::ounce_force_inch, "ozfin" "inozf" "ozin" "inoz"),
    unit!(Torque, torque::kilogram_force_meter, "kgfm" "kgm" "kpm" "mkg" "mkgf"),
    unit!(Torque, torque::kilogram_force_meter, v => v / 100.0, "kgfcm" "kgcm" "kpcm"),
];
const STRESS: &[Row] = &[
    unit!(Pressure, pressure::megapascal, "MPa" "N/mm2" "megapascal" "megapascals"),
    unit!(Pressure, pressure::gigapascal, "GPa" "kN/mm2"),
    unit!(Pressure, pressure::kilopascal, "kPa"),
    unit!(Pressure, pressure::pascal, "Pa" "N/m2"),
    unit!(Pressure, pressure::bar, "bar"),
    unit!(Pressure, pressure::psi, "psi" "lbf/in2" "lb/in2"),
    unit!(Pressure, pressure::kip_per_square_inch, "ksi" "kip/in2"),
    unit!(Pressure, pressure::kip_per_square_inch, v => v * 1000.0, "Msi"),
];
const ANGLE: &[Row] = &[
    unit!(Angle, angle::degree, "deg" "°" "degree" "degrees"),
    unit!(Angle, angle::radian, "rad" "radian" "radians"),
];
const TEMPERATURE: &[Row] = &[
    unit!(ThermodynamicTemperature, thermodynamic_temperature::degree_celsius, "°C" "degC" "celsius" "Celsius" "℃"),
    unit!(ThermodynamicTemperature, thermodynamic_temperature::degree_fahrenheit, "°F" "degF" "fahrenheit" "Fahrenheit" "℉"),
];
const EXPANSION: &[Row] = &[
    unit!(TemperatureCoefficient, temperature_coefficient::per_kelvin, "/K" "1/K" "/°C" "1/°C" "m/(mK)"),
    unit!(TemperatureCoefficient, temperature_coefficient::per_kelvin, v => v * 1e-6,
        "µm/(mK)" "um/(mK)" "µm/m/K" "um/m/K" "µm/mK" "µm/(m°C)" "ppm/K" "ppm/°C"),
    unit!(TemperatureCoefficient, temperature_coefficient::per_kelvin, v => v / fahrenheit_step(), "/°F" "1/°F" "in/(in°F)"),
    unit!(TemperatureCoefficient, temperature_coefficient::per_kelvin, v => v * 1e-6 / fahrenheit_step(),
        "µin/(in°F)" "uin/(in°F)" "ppm/°F"),
];
/// One degree Fahrenheit as a difference, in kelvin.
fn fahrenheit_step() -> f64 {
    TemperatureInterval::new::<uom::si::temperature_interval::degree_fahrenheit>(1.0).value
}
const POTENTIAL: &[Row] = &[
    unit!(ElectricPotential, electric_potential::volt, "V" "volt" "volts"),
    unit!(ElectricPotential, electric_potential::millivolt, "mV"),
];
const DENSITY: &[Row] = &[
    unit!(MassDensity, mass_density::gram_per_cubic_centimeter, "g/cm3" "g/ml" "g/mL" "kg/l" "kg/L"),
    unit!(MassDensity, mass_density::kilogram_per_cubic_meter, "kg/m3"),
];
const NUMBER: &[Row] = &[
    unit!(Ratio, ratio::ratio, ""),
    unit!(Ratio, ratio::percent, "%" "percent"),
];

/// The unit lists that a kind may use, its own first.
fn lists(kind: Kind) -> [&'static [Row]; 2] {
    match kind {
        Kind::Length => [LENGTH, &[]],
        Kind::Pitch => [PITCH, LENGTH],
        Kind::Force => [FORCE, &[]],
        Kind::Torque => [TORQUE, &[]],
        Kind::Stress => [STRESS, &[]],
        Kind::Angle => [ANGLE, &[]],
        Kind::Temperature => [TEMPERATURE, &[]],
        Kind::Expansion => [EXPANSION, &[]],
        Kind::Potential => [POTENTIAL, &[]],
        Kind::Density => [DENSITY, &[]],
        Kind::Number => [NUMBER, &[]],
    }
}

fn find(kind: Kind, squeezed: &str) -> Option<&'static Row> {
    lists(kind)
        .into_iter()
        .flatten()
        .find(|row| row.spellings.contains(&squeezed))
}

/// Folds the spellings of one unit together: `N·m`, `N m`, `N*m` and `N-m` are the same.
fn squeeze(unit: &str) -> String {
    unit.chars()
        .filter(|c| {
            !c.is_whitespace() && !matches!(c, '·' | '⋅' | '∙' | '*' | '-' | '.' | '^' | '\u{a0}')
        })
        .map(|c| match c {
            'μ' => 'µ',
            '²' => '2',
            '³' => '3',
            'º' | '˚' => '°',
            other => other,
        })
        .collect()
}

/// A regular expression (ECMA 262) that a well-written value of a kind matches, for editors that check a job while it
/// is written. It looks at the units alone: what [`read`] accepts it accepts, and a unit of another kind it does not.
pub fn pattern(kind: Kind) -> String {
    const BETWEEN: &str = r"[\s·⋅∙*.^\-]*";
    let letter = |c: char| match c {
        'µ' => "[µμ]".into(),
        '2' => "[2²]".into(),
        '3' => "[3³]".into(),
        '°' => "[°º˚]".into(),
        '(' | ')' => format!("\\{c}"),
        other => other.to_string(),
    };
    let spellings: Vec<String> = lists(kind)
        .into_iter()
        .flatten()
        .flat_map(|row| row.spellings)
        .map(|s| s.chars().map(letter).collect::<Vec<_>>().join(BETWEEN))
        .collect();
    let units = spellings.join("|");
    format!(r"[0-9.]{BETWEEN}(?:{units}){BETWEEN}(?:$|[±+=]|\.\.)")
}

/// The longest text that is looked at; no quantity of the trade needs more.
const LONGEST: usize = 200;

/// Reads a text as a quantity of a kind, in SI base units.
///
/// # Errors
/// A [`QuantityError`] that says what is wrong, where, and what to write instead.
pub fn read(text: &str, kind: Kind) -> Result<Spread<f64>, QuantityError> {
    if text.len() > LONGEST {
        return Err(error(
            0..text.len(),
            "this is far too long for a quantity",
            wanted(kind),
        ));
    }
    if text.trim().is_empty() {
        return Err(error(0..text.len(), "this is empty", wanted(kind)));
    }
    let mut parts = Vec::new();
    let mut from = 0;
    for (at, _) in text.match_indices('=') {
        parts.push(from..at);
        from = at + 1;
    }
    parts.push(from..text.len());
    let first = read_one(text, parts[0].clone(), kind)?;
    for again in &parts[1..] {
        let second = read_one(text, again.clone(), kind)?;
        let scale = first.nominal.abs().max(second.nominal.abs());
        // More than rounding: the same value printed in two units differs by less than 1 %.
        if (first.nominal - second.nominal).abs() > 0.01 * scale {
            let unit = kind.unit();
            return Err(error(
                0..text.len(),
                format!(
                    "the two values disagree: {} against {}",
                    unit.show(first.nominal, System::Metric),
                    unit.show(second.nominal, System::Metric)
                ),
                "find out which one is right and write that one",
            ));
        }
    }
    Ok(first)
}

fn error(at: Range<usize>, message: impl Into<String>, help: impl Into<String>) -> QuantityError {
    QuantityError {
        at,
        message: message.into(),
        help: help.into(),
    }
}
fn wanted(kind: Kind) -> String {
    format!("write {} such as \"{}\"", kind.name(), kind.example())
}

/// The range of `part` without the blanks at its ends.
fn trimmed(text: &str, part: Range<usize>) -> Range<usize> {
    let slice = &text[part.clone()];
    let start = part.start + (slice.len() - slice.trim_start().len());
    start..(start + slice.trim().len())
}

/// One statement of a value: plain, with `±`, or a range.
fn read_one(text: &str, part: Range<usize>, kind: Kind) -> Result<Spread<f64>, QuantityError> {
    let part = trimmed(text, part);
    let slice = &text[part.clone()];
    if let Some(at) = slice.find("..") {
        let skip = slice[at..].len() - slice[at..].trim_start_matches('.').len();
        let (left, right) = (
            part.start..part.start + at,
            part.start + at + skip..part.end,
        );
        let right_term = term(text, right.clone(), kind)?;
        let left_term = term(text, left.clone(), kind)?;
        // "0.10 .. 0.15 mm": the unit behind the second end serves the first as well.
        let left_unit = if left_term.unit.is_empty() {
            right_term.unit.clone()
        } else {
            left_term.unit.clone()
        };
        let low = convert(text, &left_term, left_unit, kind)?;
        let high = convert(text, &right_term, right_term.unit.clone(), kind)?;
        if low > high && kind != Kind::Pitch {
            return Err(error(
                part,
                "the range runs from high to low",
                "write the lower end first",
            ));
        }
        let (low, high) = (low.min(high), low.max(high));
        let nominal = 0.5 * (low + high);
        return Ok(Spread {
            nominal,
            low,
            high,
            shape: Shape::Rectangular,
        });
    }
    let sign = ["±", "+/-", "+-"]
        .iter()
        .find_map(|s| slice.find(s).map(|at| (at, s.len())));
    if let Some((at, len)) = sign {
        let value = term(text, part.start..part.start + at, kind)?;
        let spread = term(text, part.start + at + len..part.end, kind)?;
        let percent = squeeze(&text[spread.unit.clone()]) == "%";
        // "35 ± 2 N·m": the unit stands behind the spread; "40 N·m ± 4 %": each has its own.
        let value_unit = if value.unit.is_empty() && !(percent && kind != Kind::Number) {
            spread.unit.clone()
        } else {
            value.unit.clone()
        };
        let nominal = convert(text, &value, value_unit.clone(), kind)?;
        let half = if percent && !(kind == Kind::Number && value.unit.is_empty()) {
            if kind == Kind::Temperature {
                return Err(error(
                    spread.whole,
                    "a share of a temperature has no meaning",
                    "write the spread in degrees, as in \"45 ± 5 °C\"",
                ));
            }
            nominal.abs() * spread.value / 100.0
        } else {
            let unit = if spread.unit.is_empty() {
                value_unit
            } else {
                spread.unit.clone()
            };
            let there = convert(text, &spread, unit.clone(), kind)?;
            if kind == Kind::Temperature {
                // The spread is a difference: the zero of the scale goes out.
                let zero = Term {
                    value: 0.0,
                    ..spread.clone()
                };
                there - convert(text, &zero, unit, kind)?
            } else if kind == Kind::Pitch {
                return Err(error(
                    spread.whole,
                    "a pitch has no spread here",
                    "give the pitch alone",
                ));
            } else {
                there
            }
        };
        if half < 0.0 {
            return Err(error(
                spread.whole,
                "a spread cannot be negative",
                "leave the sign out",
            ));
        }
        return Ok(Spread {
            nominal,
            low: nominal - half,
            high: nominal + half,
            shape: Shape::Normal,
        });
    }
    let value = term(text, part, kind)?;
    let unit = value.unit.clone();
    Ok(Spread::exact(convert(text, &value, unit, kind)?))
}

/// A number and the range of its unit.
#[derive(Debug, Clone)]
struct Term {
    value: f64,
    number: Range<usize>,
    unit: Range<usize>,
    whole: Range<usize>,
}

fn term(text: &str, part: Range<usize>, kind: Kind) -> Result<Term, QuantityError> {
    let part = trimmed(text, part);
    let slice = &text[part.clone()];
    if slice.is_empty() {
        return Err(error(part, "a value is missing here", wanted(kind)));
    }
    let lower = slice.to_lowercase();
    if ["nan", "inf", "+inf", "-inf", "infinity"]
        .iter()
        .any(|w| lower.split_whitespace().next() == Some(w))
    {
        return Err(error(
            part,
            "this is not a number that can be measured",
            wanted(kind),
        ));
    }
    let (len, value) = number(text, part.clone(), kind)?;
    let number = part.start..part.start + len;
    let unit = trimmed(text, number.end..part.end);
    Ok(Term {
        value,
        number,
        unit,
        whole: part,
    })
}

/// Reads the number at the start of a part: its length in bytes and its value.
fn number(text: &str, part: Range<usize>, kind: Kind) -> Result<(usize, f64), QuantityError> {
    let slice = &text[part.clone()];
    let bytes = slice.as_bytes();
    let mut i = 0;
    let mut sign = 1.0;
    if let Some(rest) = slice.strip_prefix('−') {
        (i, sign) = (slice.len() - rest.len(), -1.0);
    } else if matches!(bytes.first(), Some(b'-' | b'+')) {
        (i, sign) = (1, if bytes[0] == b'-' { -1.0 } else { 1.0 });
    }
    let digits = |from: usize| {
        bytes[from..]
            .iter()
            .take_while(|b| b.is_ascii_digit())
            .count()
    };
    let whole = digits(i);
    let mut end = i + whole;
    // A fraction: 9/16, 1-3/8, 1 3/8.
    let fraction_at = |from: usize| -> Option<(usize, f64, f64)> {
        let top = digits(from);
        if top == 0 || bytes.get(from + top) != Some(&b'/') {
            return None;
        }
        let below = digits(from + top + 1);
        let parse = |a: usize, n: usize| slice[a..a + n].parse::<f64>().ok();
        (below > 0).then_some(())?;
        Some((
            from + top + 1 + below,
            parse(from, top)?,
            parse(from + top + 1, below)?,
        ))
    };
    let fraction = fraction_at(i).map(|f| (0.0, f)).or_else(|| {
        (whole > 0 && matches!(bytes.get(end), Some(b'-' | b' '))).then_some(())?;
        Some((slice[i..end].parse::<f64>().ok()?, fraction_at(end + 1)?))
    });
    if let Some((units, (stop, top, below))) = fraction {
        if below == 0.0 {
            return Err(error(
                part.start..part.start + stop,
                "a fraction over zero",
                wanted(kind),
            ));
        }
        return Ok((stop, sign * (units + top / below)));
    }
    let mut literal = slice[i..end].to_string();
    if let Some(&mark) = bytes.get(end).filter(|b| matches!(b, b'.' | b',')) {
        let decimals = digits(end + 1);
        if mark == b',' && decimals == 3 {
            return Err(error(
                part.start..part.start + end + 4,
                "a comma before three digits can mean thousands or thousandths",
                format!(
                    "write \"{}.{}\" or \"{}{}\"",
                    &slice[i..end],
                    &slice[end + 1..end + 4],
                    &slice[i..end],
                    &slice[end + 1..end + 4]
                ),
            ));
        }
        if mark == b',' && decimals == 0 {
            return Err(error(
                part.start + end..part.start + end + 1,
                "a comma without digits behind it",
                wanted(kind),
            ));
        }
        literal.push('.');
        literal.push_str(&slice[end + 1..end + 1 + decimals]);
        end += 1 + decimals;
        if decimals + whole > 0
            && matches!(bytes.get(end), Some(b',' | b'.'))
            && digits(end + 1) > 0
        {
            return Err(error(
                part.start..part.start + end + 1 + digits(end + 1),
                "two marks in one number",
                "write it with one decimal point and no thousands mark",
            ));
        }
    }
    if literal.is_empty() || literal == "." {
        // An honest answer in the wrong place: say where it is taken.
        if slice.trim().eq_ignore_ascii_case("unknown") {
            return Err(error(
                part.clone(),
                "this has to be measured",
                "\"unknown\" is taken for materials, adhesive, preparation, cure temperature, voids, lubrication and [condition] alone",
            ));
        }
        return Err(error(part.clone(), "no number stands here", wanted(kind)));
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let signed = usize::from(matches!(bytes.get(end + 1), Some(b'-' | b'+')));
        let exponent = digits(end + 1 + signed);
        if exponent > 0 {
            literal.push_str(&slice[end..end + 1 + signed + exponent]);
            end += 1 + signed + exponent;
        }
    }
    let value = literal.parse::<f64>().unwrap_or(f64::NAN);
    // A number too small for the machine must not pass for a zero that somebody wrote.
    let digits_given = literal.split(['e', 'E']).next().unwrap_or("");
    let vanished = value == 0.0 && digits_given.contains(|c: char| ('1'..='9').contains(&c));
    if !value.is_finite() || vanished {
        return Err(error(
            part.start..part.start + end,
            "this number is beyond anything that can be measured",
            wanted(kind),
        ));
    }
    Ok((end, sign * value))
}

/// Converts a term to SI, its unit standing at `unit` in the text.
fn convert(text: &str, term: &Term, unit: Range<usize>, kind: Kind) -> Result<f64, QuantityError> {
    let written = &text[unit.clone()];
    let squeezed = squeeze(written);
    let Some(row) = find(kind, &squeezed) else {
        return Err(unit_error(text, term, unit, &squeezed, kind));
    };
    let value = (row.to_si)(term.value);
    if !value.is_finite() || (value == 0.0 && term.value != 0.0) {
        return Err(error(
            term.whole.clone(),
            "this number is beyond anything that can be measured",
            wanted(kind),
        ));
    }
    if kind == Kind::Temperature && value < 0.0 {
        return Err(error(
            term.whole.clone(),
            "this is below absolute zero",
            wanted(kind),
        ));
    }
    Ok(value)
}

/// Slips of the pen between two words; without end for a text that is too long to be a word, which would take as long
/// to compare.
pub fn slips(a: &str, b: &str) -> usize {
    const LONGEST_WORD: usize = 100;
    if a.len().max(b.len()) > LONGEST_WORD {
        return usize::MAX;
    }
    strsim::damerau_levenshtein(a, b)
}

/// Says why a unit does not serve.
fn unit_error(
    text: &str,
    term: &Term,
    unit: Range<usize>,
    squeezed: &str,
    kind: Kind,
) -> QuantityError {
    let number = &text[term.number.clone()];
    let written = &text[unit.clone()];
    if squeezed.is_empty() {
        if kind == Kind::Temperature {
            return error(
                term.whole.clone(),
                "a temperature without its scale",
                format!("is it \"{number} °C\" or \"{number} °F\"?"),
            );
        }
        return error(
            term.whole.clone(),
            format!("a number without a unit, where {} is due", kind.name()),
            format!(
                "write \"{number} {}\" if that is the unit you mean",
                kind.usual_unit()
            ),
        );
    }
    if kind == Kind::Temperature
        && matches!(
            squeezed,
            "K" | "kelvin" | "degrees" | "deg" | "°" | "C" | "F"
        )
    {
        return error(
            term.whole.clone(),
            format!("\"{written}\" can be a difference of temperatures as well as a temperature"),
            format!("write the temperature itself: is it \"{number} °C\" or \"{number} °F\"?"),
        );
    }
    match squeezed {
        "tenths" | "tenth" => {
            return error(
                unit,
                "\"tenths\" are tenths of a thousandth of an inch to one reader and of a millimetre to another",
                "which do you mean? Write \"mm\" or \"thou\"",
            );
        }
        "mil" | "mils" => {
            return error(
                unit,
                "\"mil\" is a thousandth of an inch to one reader and a millimetre to another",
                "which do you mean? Write \"mm\" or \"thou\"",
            );
        }
        _ => {}
    }
    if kind == Kind::Stress && squeezed == "mPa" {
        return error(
            unit,
            "\"mPa\" is a thousandth of a pascal",
            format!("write \"{number} MPa\""),
        );
    }
    if let Some(other) = Kind::ALL
        .into_iter()
        .find(|k| *k != kind && find(*k, squeezed).is_some())
    {
        return error(
            unit,
            format!(
                "\"{written}\" belongs to {}, but {} is due here",
                other.name(),
                kind.name()
            ),
            wanted(kind),
        );
    }
    let known: Vec<&str> = lists(kind)
        .into_iter()
        .flatten()
        .flat_map(|r| r.spellings)
        .copied()
        .collect();
    let same_letters = known
        .iter()
        .find(|s| s.eq_ignore_ascii_case(squeezed))
        .copied();
    let near = same_letters.or_else(|| {
        known
            .into_iter()
            .map(|s| (slips(s, squeezed), s))
            .min_by_key(|(slips, _)| *slips)
            .filter(|(slips, s)| *slips <= 1 && s.len() > 1)
            .map(|(_, s)| s)
    });
    let help = match near {
        Some(near) => format!("did you mean \"{number} {near}\"?"),
        None => wanted(kind),
    };
    error(
        unit,
        format!("\"{written}\" is not a unit that is known here"),
        help,
    )
}
