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

#[cfg(test)]
mod tests {
    use super::*;

    use std::f64::consts::{PI, TAU};

    /// Rings of 0.01 mm, one by one; about a diameter it is half of the polar moment.
    #[test]
    fn a_ring_ring_by_ring() {
        let (outer, inner) = (mm(20.0), mm(12.0));
        let step = 4.0 / 400.0;
        let radii = (0..400).map(|i| 6.0 + (f64::from(i) + 0.5) * step);
        let (area, polar) = radii.fold((0.0, 0.0), |(a, j), r| {
            (a + TAU * r * step, j + TAU * r.powi(3) * step)
        });
        assert!((si(ring_area(outer, inner)) * 1e6 / area - 1.0).abs() < 1e-9);
        assert!((si(ring_polar(outer, inner)) * 1e12 / polar - 1.0).abs() < 1e-5);
        let diameter = si(ring_second_moment(outer, inner));
        assert!((2.0 * diameter / si(ring_polar(outer, inner)) - 1.0).abs() < 1e-12);
        // A full disc of 20 mm.
        assert!((si(ring_area(outer, mm(0.0))) * 1e6 / (100.0 * PI) - 1.0).abs() < 1e-12);
    }
}
