//! A part between the screw's head and the boss: the free length that it adds, and what that does to the
//! stiffness of the threaded joint.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | t | thickness of the part | mm |
//! | n | from the boss's face to its first thread | mm |
//! | k_t | stiffness of thread, insert and glue from the boss's face on | N/mm |
//! | E, A_neck | elastic modulus of the fitting, area of its neck | MPa, mm² |
//! | E_c, A_c | elastic modulus of the part, area of it that is pressed | MPa, mm² |
//!
//! The load is taken to enter at the boss's face, under the part. The part then gives way together with
//! the screw, and both lie in series with the thread. No cone of pressure spreads in the part.

use super::formula::formula;
use crate::units::*;

formula! { "Free length under the head";
source: "geometry"; limits: "for the fitting alone; insert, glue and frame start at the boss's face";
fn grip(t: Length, n: Length) -> Length { t + n } }

formula! { "Outer diameter of what is pressed under the head";
source: "modelling choice: the lesser of head and part, no spreading"; limits: "thin parts; a thick one is stiffer";
fn pressed_outer(flange: Length, outer: Length) -> Length { min(flange, outer) } }

formula! { "Stiffness of the threaded joint with a part under the head";
source: "springs in series: thread, longer neck, pressed part; load entering at the boss's face";
limits: "concentric; bending of the longer neck left out";
fn lengthened(k_t: Stiffness, t: Length, E: Pressure, A_neck: Area, E_c: Pressure, A_c: Area) -> Stiffness {
    1.0 / (1.0 / k_t + t / (E * A_neck) + t / (E_c * A_c))
} }

#[cfg(test)]
mod tests {
    use super::*;

    fn area(value: f64) -> Area {
        from_si(value * 1e-6)
    }

    #[test]
    fn a_part_without_thickness_changes_nothing_and_springs_add_in_series() {
        let k = from_si(1e8);
        let none = lengthened(
            k,
            mm(0.0),
            megapascal(2e5),
            area(20.0),
            megapascal(7e4),
            area(80.0),
        );
        assert_eq!(si(none), 1e8);
        // Neck alone: E·A/t = 2e5·20/10 N/mm = 4e8 N/m; part alone 7e4·80/10 = 5.6e8 N/m.
        let all = lengthened(
            k,
            mm(10.0),
            megapascal(2e5),
            area(20.0),
            megapascal(7e4),
            area(80.0),
        );
        let by_hand = 1.0 / (1.0 / 1e8 + 1.0 / 4e8 + 1.0 / 5.6e8);
        assert!((si(all) / by_hand - 1.0).abs() < 1e-14);
    }

    #[test]
    fn the_head_or_the_part_whichever_is_less_and_the_neck_longer_by_the_part() {
        assert_eq!(pressed_outer(mm(20.0), mm(25.0)), mm(20.0));
        assert_eq!(pressed_outer(mm(25.0), mm(20.0)), mm(20.0));
        assert!((si(grip(mm(3.0), mm(1.5))) - 4.5e-3).abs() < 1e-15);
    }
}
