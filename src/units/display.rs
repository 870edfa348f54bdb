//! Printing quantities: one unit per kind, in the metric or the inch system.

use super::*;
use uom::si::{
    angle, area, electric_potential, force, length, mass, mass_density, pressure, ratio,
    temperature_coefficient, thermodynamic_temperature, time, torque, volume,
};

/// Which units text output uses. JSON always uses the metric list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum System {
    /// Millimetres, newtons, megapascals.
    #[default]
    Metric,
    /// Inches, pounds-force, inch-pounds, thousands of pounds per square inch.
    Imperial,
}

/// The units in which results are given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Unit {
    Millimetre,
    SquareMillimetre,
    CubicMillimetre,
    QuarticMillimetre,
    Degree,
    Newton,
    NewtonMetre,
    Megapascal,
    NewtonPerMillimetre,
    NewtonPerCubicMillimetre,
    CubicMillimetrePerNewton,
    Celsius,
    PerKelvin,
    Volt,
    Density,
    Gram,
    Hour,
    None,
}

impl Unit {
    /// Every symbol that stands behind a figure in text.
    pub const SYMBOLS: [&str; 26] = [
        "mm", "mm²", "mm³", "mm⁴", "deg", "N", "N·m", "MPa", "N/mm", "N/mm³", "mm³/N", "°C", "1/K",
        "V", "g/cm³", "g", "h", "in", "in²", "in³", "lbf", "in·lbf", "ksi", "lbf/in", "°F", "%",
    ];

    /// The value in this unit, from a value in SI base units.
    pub fn of(self, si_value: f64) -> f64 {
        match self {
            Unit::Millimetre => from_si_as::<Length>(si_value).get::<length::millimeter>(),
            Unit::SquareMillimetre => from_si_as::<Area>(si_value).get::<area::square_millimeter>(),
            Unit::CubicMillimetre => {
                from_si_as::<Volume>(si_value).get::<volume::cubic_millimeter>()
            }
            Unit::QuarticMillimetre => si_value * 1e12,
            Unit::Degree => from_si_as::<Angle>(si_value).get::<angle::degree>(),
            Unit::Newton => from_si_as::<Force>(si_value).get::<force::newton>(),
            Unit::NewtonMetre => from_si_as::<Torque>(si_value).get::<torque::newton_meter>(),
            Unit::Megapascal => from_si_as::<Pressure>(si_value).get::<pressure::megapascal>(),
            // N/m to N/mm and N/m³ to N/mm³: the prefixes of the metre alone.
            Unit::NewtonPerMillimetre => si_value * 1e-3,
            Unit::NewtonPerCubicMillimetre => si_value * 1e-9,
            Unit::CubicMillimetrePerNewton => si_value * 1e9,
            Unit::Celsius => without_residue(
                from_si_as::<ThermodynamicTemperature>(si_value)
                    .get::<thermodynamic_temperature::degree_celsius>(),
            ),
            Unit::PerKelvin => from_si_as::<TemperatureCoefficient>(si_value)
                .get::<temperature_coefficient::per_kelvin>(),
            Unit::Volt => {
                from_si_as::<ElectricPotential>(si_value).get::<electric_potential::volt>()
            }
            Unit::Density => {
                from_si_as::<MassDensity>(si_value).get::<mass_density::gram_per_cubic_centimeter>()
            }
            Unit::Gram => from_si_as::<Mass>(si_value).get::<mass::gram>(),
            Unit::Hour => from_si_as::<Time>(si_value).get::<time::hour>(),
            Unit::None => from_si_as::<Ratio>(si_value).get::<ratio::ratio>(),
        }
    }

    /// The symbol that JSON carries.
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Millimetre => "mm",
            Unit::SquareMillimetre => "mm²",
            Unit::CubicMillimetre => "mm³",
            Unit::QuarticMillimetre => "mm⁴",
            Unit::Degree => "deg",
            Unit::Newton => "N",
            Unit::NewtonMetre => "N·m",
            Unit::Megapascal => "MPa",
            Unit::NewtonPerMillimetre => "N/mm",
            Unit::NewtonPerCubicMillimetre => "N/mm³",
            Unit::CubicMillimetrePerNewton => "mm³/N",
            Unit::Celsius => "°C",
            Unit::PerKelvin => "1/K",
            Unit::Volt => "V",
            Unit::Density => "g/cm³",
            Unit::Gram => "g",
            Unit::Hour => "h",
            Unit::None => "none",
        }
    }

    /// Value and symbol in a system of units, from a value in SI base units.
    pub fn in_system(self, si_value: f64, system: System) -> (f64, &'static str) {
        if system == System::Imperial {
            match self {
                Unit::Millimetre => {
                    return (from_si_as::<Length>(si_value).get::<length::inch>(), "in");
                }
                Unit::SquareMillimetre => {
                    return (
                        from_si_as::<Area>(si_value).get::<area::square_inch>(),
                        "in²",
                    );
                }
                Unit::CubicMillimetre => {
                    return (
                        from_si_as::<Volume>(si_value).get::<volume::cubic_inch>(),
                        "in³",
                    );
                }
                Unit::Newton => {
                    return (
                        from_si_as::<Force>(si_value).get::<force::pound_force>(),
                        "lbf",
                    );
                }
                Unit::NewtonMetre => {
                    return (
                        from_si_as::<Torque>(si_value).get::<torque::pound_force_inch>(),
                        "in·lbf",
                    );
                }
                Unit::Megapascal => {
                    return (
                        from_si_as::<Pressure>(si_value).get::<pressure::kip_per_square_inch>(),
                        "ksi",
                    );
                }
                Unit::NewtonPerMillimetre => {
                    let force = from_si_as::<Force>(si_value).get::<force::pound_force>();
                    return (
                        force * Length::new::<length::inch>(1.0).get::<length::meter>(),
                        "lbf/in",
                    );
                }
                Unit::Celsius => {
                    let t = from_si_as::<ThermodynamicTemperature>(si_value);
                    return (
                        without_residue(t.get::<thermodynamic_temperature::degree_fahrenheit>()),
                        "°F",
                    );
                }
                _ => {}
            }
        }
        (self.of(si_value), self.symbol())
    }

    /// Number and unit for a person: four significant figures, and readable back by [`parse`].
    pub fn show(self, si_value: f64, system: System) -> String {
        self.show_to(si_value, system, 4)
    }

    /// The same to so many significant figures.
    pub fn show_to(self, si_value: f64, system: System, figures: usize) -> String {
        let (value, symbol) = self.in_system(si_value, system);
        let number = significant(value, figures);
        if symbol == "none" {
            number
        } else {
            format!("{number} {symbol}")
        }
    }
}

/// A number rounded to so many significant figures, those before the point too.
pub fn rounded(value: f64, figures: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return significant(value, figures);
    }
    let step = 10f64.powi(value.abs().log10().floor() as i32 + 1 - figures as i32);
    significant((value / step).round() * step, figures)
}

/// Degrees of a scale whose nought is not the kelvin's are what a subtraction leaves; within a millionth of a degree
/// (invented) of nought that is rounding alone.
fn without_residue(degrees: f64) -> f64 {
    if degrees.abs() < 1e-6 { 0.0 } else { degrees }
}

/// Builds a typed quantity whose type is named rather than inferred.
fn from_si_as<Q: FromSi>(value: f64) -> Q {
    Q::from_si_value(value)
}

/// Types that can be made from a value in SI base units.
pub trait FromSi {
    /// Makes the quantity.
    fn from_si_value(value: f64) -> Self;
}
impl<D: Dimension + ?Sized> FromSi for Quantity<D, SI<f64>, f64> {
    fn from_si_value(value: f64) -> Self {
        from_si(value)
    }
}

/// A number to so many significant figures, without an exponent where that stays readable.
pub fn significant(value: f64, figures: usize) -> String {
    if value == 0.0 {
        return "0".into();
    }
    if !value.is_finite() {
        return if value.is_nan() {
            "not a number".into()
        } else if value > 0.0 {
            "no limit".into()
        } else {
            "no lower limit".into()
        };
    }
    let exponent = value.abs().log10().floor() as i32;
    if !(-5..=8).contains(&exponent) {
        return format!("{value:.*e}", figures.saturating_sub(1));
    }
    let decimals = (figures as i32 - 1 - exponent).max(0) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::parse::{Kind, read};

    /// Every whole degree is printed as it was read, nought and the other scale's nought among them.
    #[test]
    fn whole_degrees_are_printed_as_they_were_read() {
        for degrees in -200..=200 {
            for (symbol, system) in [("°C", System::Metric), ("°F", System::Imperial)] {
                let text = format!("{degrees} {symbol}");
                let kelvin = read(&text, Kind::Temperature)
                    .expect("a temperature")
                    .nominal;
                assert_eq!(Unit::Celsius.show(kelvin, system), text);
            }
        }
        let shown = |text: &str, system| {
            let kelvin = read(text, Kind::Temperature)
                .expect("a temperature")
                .nominal;
            Unit::Celsius.show(kelvin, system)
        };
        assert_eq!(shown("32 °F", System::Metric), "0 °C");
        assert_eq!(shown("0.5 °F", System::Imperial), "0.5 °F");
        assert_eq!(shown("-0.01 °C", System::Metric), "-0.01 °C");
    }
}
