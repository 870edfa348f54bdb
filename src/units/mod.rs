//! Quantities: the types that the engine calculates with, and the units that people read and write.
//!
//! Every physical quantity inside the engine is a [`uom`] quantity held in SI base units. This module
//! gives the short names used throughout, [`parse`] reads a quantity from text as the trade writes it,
//! and [`display`] prints one so that it can be read back.

pub mod display;
pub mod parse;

pub use display::{FromSi, System, Unit};
pub use parse::{Kind, QuantityError, Shape, Spread};

use std::marker::PhantomData;
use uom::si::{Dimension, ISQ, Quantity, SI};
use uom::typenum::{N1, N2, P1, P2, P4, Z0};

pub use uom::si::f64::{
    Angle, Area, ElectricPotential, Energy, Force, Length, Mass, MassDensity, Pressure, Ratio,
    TemperatureCoefficient, TemperatureInterval, ThermodynamicTemperature, Time, Torque, Volume,
};

/// Force per length (N/m): a line load, or the stiffness of a spring.
pub type LineLoad = Quantity<ISQ<Z0, P1, N2, Z0, Z0, Z0, Z0>, SI<f64>, f64>;
/// Stiffness of a spring, force per displacement (N/m).
pub type Stiffness = LineLoad;
/// Stiffness of an elastic layer, stress per displacement (N/m³).
pub type LayerStiffness = Quantity<ISQ<N2, P1, N2, Z0, Z0, Z0, Z0>, SI<f64>, f64>;
/// Flexibility of a tooth, displacement per line load (m²/N, equal to 1/Pa).
pub type Flexibility = Quantity<ISQ<P1, N1, P2, Z0, Z0, Z0, Z0>, SI<f64>, f64>;
/// Radial displacement of a cylinder per pressure on it (m³/N).
pub type RadialCompliance = Quantity<ISQ<P2, N1, P2, Z0, Z0, Z0, Z0>, SI<f64>, f64>;
/// Second moment of area (m⁴), polar or axial.
pub type SecondMoment = Quantity<ISQ<P4, Z0, Z0, Z0, Z0, Z0, Z0>, SI<f64>, f64>;

/// The value of any quantity in SI base units.
#[inline]
pub fn si<D: Dimension + ?Sized>(quantity: Quantity<D, SI<f64>, f64>) -> f64 {
    quantity.value
}

/// A quantity from its value in SI base units; the type wanted decides the dimension.
#[inline]
pub fn from_si<D: Dimension + ?Sized>(value: f64) -> Quantity<D, SI<f64>, f64> {
    Quantity {
        dimension: PhantomData,
        units: PhantomData,
        value,
    }
}

/// A length given in millimetres.
#[inline]
pub fn mm(value: f64) -> Length {
    Length::new::<uom::si::length::millimeter>(value)
}

/// A force given in newtons.
#[inline]
pub fn newton(value: f64) -> Force {
    Force::new::<uom::si::force::newton>(value)
}

/// A torque given in newton metres.
#[inline]
pub fn newton_metre(value: f64) -> Torque {
    Torque::new::<uom::si::torque::newton_meter>(value)
}

/// A stress given in megapascals.
#[inline]
pub fn megapascal(value: f64) -> Pressure {
    Pressure::new::<uom::si::pressure::megapascal>(value)
}

/// A pure number.
#[inline]
pub fn number(value: f64) -> Ratio {
    Ratio::new::<uom::si::ratio::ratio>(value)
}

/// An angle given in degrees.
#[inline]
pub fn degree(value: f64) -> Angle {
    Angle::new::<uom::si::angle::degree>(value)
}

/// A temperature given in degrees Celsius.
#[inline]
pub fn celsius(value: f64) -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<uom::si::thermodynamic_temperature::degree_celsius>(value)
}
