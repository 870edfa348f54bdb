//! Sections of round parts.

use super::formula::formula;
use crate::units::*;

formula! { "Area of a ring";
source: "geometry"; limits: "full circle";
fn ring_area(outer: Length, inner: Length) -> Area { PI / 4.0 * (outer * outer - inner * inner) } }
formula! { "Second moment of area of a ring about a diameter";
source: "geometry"; limits: "full circle";
fn ring_second_moment(outer: Length, inner: Length) -> SecondMoment {
    PI / 64.0 * (outer * outer * outer * outer - inner * inner * inner * inner)
} }
formula! { "Polar second moment of a ring";
source: "geometry"; limits: "full circle";
fn ring_polar(outer: Length, inner: Length) -> SecondMoment {
    PI / 32.0 * (outer * outer * outer * outer - inner * inner * inner * inner)
} }
