//! The wall under a thread, what damage takes from a thread, and what two threads do to each other.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | D_o | outer diameter of the insert | mm |
//! | d | basic major diameter of the thread cut into it | mm |
//! | t | wall under the root of that thread | mm |
//! | delta | depth worn off the crest, per side | mm |
//! | theta | how far a damaged sector reaches around | deg |

use super::formula::formula;
use crate::units::*;

formula! { "Wall of the insert under the root of its thread";
source: "geometry"; limits: "concentric; root at the basic major diameter, a tap cuts a little deeper";
fn under_root(D_o: Length, d: Length) -> Length { (D_o - d) / 2.0 } }
formula! { "Outer diameter that goes with a wall";
source: "geometry"; limits: "the thinnest wall taken all the way round, on the conservative side";
fn outer_of_wall(d: Length, t: Length) -> Length { d + 2.0 * t } }
formula! { "Wall with which the insert keeps its ratio in hoop tension";
source: "Lamé, thick cylinder under the radial part of the flank force, solved for the wall";
limits: "support by glue and frame left out; not a number where no wall would do";
fn for_hoop(F: Force, need: Ratio, sigma_y: Pressure, d2: Length, L_e: Length, alpha: Angle, d: Length) -> Length {
    let q = num(need * F * tan(alpha) / (sigma_y * PI * d2 * L_e));
    let k = root((1.0 + q) / (1.0 - q));
    d * (k - 1.0) / 2.0
} }
formula! { "Turns lost in a sector, averaged over the circumference";
source: "mean over the circumference; no source"; limits: "says nothing about where in the sector the load goes";
fn sector_turns(theta: Angle, turns: Ratio) -> Ratio { num(theta / (2.0 * PI * Angle::new::<uom::si::angle::radian>(1.0))) * turns } }
formula! { "Turns that carry nothing";
source: "definition: gone all the way round, and the mean of what is gone in sectors"; limits: "never more turns than there are";
fn damaged_turns(missing: Ratio, in_sectors: Ratio, there: Ratio) -> Ratio { min(missing + in_sectors, max(there, 0.0)) } }
formula! { "Minor diameter of a worn internal thread";
source: "geometry: the crest of the internal thread lies at its minor diameter"; limits: "even wear all round";
fn worn_minor(D1: Length, delta: Length) -> Length { D1 + 2.0 * delta } }
formula! { "Share of the new tooth's depth that the old groove takes";
source: "geometry"; limits: "old groove down to its basic major diameter; below zero it is cleared";
fn old_groove(d_old: Length, D1_new: Length, d_new: Length) -> Ratio {
    max(num((d_old - D1_new) / (d_new - D1_new)), 0.0)
} }
formula! { "Drift of two pitches against each other";
source: "geometry"; limits: "whole turns, single start";
fn drift(P: Length, P_other: Length, N: Ratio) -> Length { max(P - P_other, P_other - P) * N } }
formula! { "Play along the axis between two threads";
source: "geometry of the flanks"; limits: "nothing where the external thread is the thicker";
fn axial_play(D2: Length, d2: Length, alpha: Angle) -> Length { max((D2 - d2) * tan(alpha), 0.0 * D2) } }
formula! { "Turns after which two pitches bind";
source: "geometry: the drift has used up the play"; limits: "clean threads; without end where the pitches agree";
fn turns_to_bind(play: Length, P: Length, P_other: Length) -> Ratio { num(play / max(P - P_other, P_other - P)) } }

formula! { "Pitch from a length over several turns";
source: "definition"; limits: "single start, whole turns";
fn pitch_over(L: Length, N: Ratio) -> Length { L / N } }

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, want: f64) {
        assert!((got - want).abs() <= 1e-12 * want.abs(), "{got} not {want}");
    }

    /// The wall for hoop tension put back into the capacity gives the force times its ratio.
    #[test]
    fn wall_for_hoop_is_the_inverse_of_the_capacity() {
        let (force, need) = (newton(9000.0), number(1.5));
        let (sigma, d2, engaged) = (megapascal(240.0), mm(35.3), mm(9.0));
        let (alpha, d) = (degree(27.5), mm(36.0));
        let wall = for_hoop(force, need, sigma, d2, engaged, alpha, d);
        let outer = outer_of_wall(d, wall);
        let capacity = super::super::strip::hoop_capacity(sigma, d2, engaged, outer / d, alpha);
        close(si(capacity), 13500.0);
        close(si(under_root(outer, d)), si(wall));
    }

    #[test]
    fn no_wall_is_enough_for_more_than_the_metal_stands() {
        let wall = for_hoop(
            newton(1e9),
            number(1.5),
            megapascal(240.0),
            mm(35.3),
            mm(9.0),
            degree(30.0),
            mm(36.0),
        );
        assert!(si(wall).is_nan());
    }

    #[test]
    fn a_sector_of_a_quarter_counts_a_quarter() {
        close(sector_turns(degree(90.0), number(4.0)).value, 1.0);
    }

    /// 24 tpi against 1 mm over ten turns: 0.58 mm, a figure of the trade notes.
    #[test]
    fn drift_of_the_near_twin() {
        let tpi = Length::new::<uom::si::length::inch>(1.0 / 24.0);
        let drift = drift(tpi, mm(1.0), number(10.0));
        assert!((si(drift) * 1e3 - 0.5833).abs() < 1e-4);
    }

    #[test]
    fn play_and_binding_by_hand() {
        let play = si(axial_play(mm(35.5), mm(35.1), degree(30.0)));
        assert!((play - 0.4e-3 / 3f64.sqrt()).abs() < 1e-15);
        assert_eq!(si(axial_play(mm(35.1), mm(35.5), degree(45.0))), 0.0);
        for (pitch, other) in [(1.25, 1.0), (1.0, 1.25)] {
            close(turns_to_bind(mm(0.5), mm(pitch), mm(other)).value, 2.0);
            close(si(drift(mm(pitch), mm(other), number(4.0))), 1e-3);
        }
        close(si(pitch_over(mm(15.0), number(12.0))), 1.25e-3);
    }

    #[test]
    fn damage_by_hand() {
        let gone = |all_round: f64, sectors: f64, there: f64| {
            damaged_turns(number(all_round), number(sectors), number(there)).value
        };
        close(gone(1.0, 0.5, 8.0), 1.5);
        close(gone(3.0, 2.0, 4.0), 4.0);
        assert_eq!(gone(1.0, 1.0, -1.0), 0.0);
        close(si(worn_minor(mm(35.0), mm(0.1))), 35.2e-3);
        // The old crest halfway into the new tooth; clear of it.
        close(old_groove(mm(36.0), mm(35.0), mm(37.0)).value, 0.5);
        assert_eq!(old_groove(mm(34.0), mm(35.0), mm(37.0)).value, 0.0);
    }
}
