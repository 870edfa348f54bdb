//! The glue layer's own geometry, and the galvanic pair.

use super::formula::formula;
use crate::units::*;

formula! { "Middle radius of the glue";
source: "geometry"; limits: "concentric, even thickness";
fn mid_radius(D_o: Length, eta: Length) -> Length { (D_o + eta) / 2.0 } }
formula! { "Area that is glued";
source: "geometry"; limits: "voids taken as an even share";
fn area(r_b: Length, L: Length, voids: Ratio) -> Area { 2.0 * PI * r_b * L * (1.0 - voids) } }
formula! { "Volume of the gap that must be filled";
source: "geometry"; limits: "no squeeze-out, no waste";
fn volume(r_b: Length, eta: Length, L: Length) -> Volume { 2.0 * PI * r_b * eta * L } }
formula! { "Gap on diameter";
source: "definition"; limits: "concentric";
fn gap_on_diameter(eta: Length) -> Length { 2.0 * eta } }
formula! { "Difference of anodic index";
source: "difference of anodic index after the MIL-STD-889 family (recalled); the indices read in galvanic compatibility lists"; limits: "says nothing about the rate; area ratio matters more";
fn index_difference(V_1: ElectricPotential, V_2: ElectricPotential) -> ElectricPotential { max(V_1 - V_2, V_2 - V_1) } }
formula! { "Torque through the glue";
source: "the thread's torque enters the insert whole, the seat's by its share"; limits: "both add";
fn glue_torque(T_thread: Torque, s: Ratio, T_seat: Torque) -> Torque { T_thread + s * T_seat } }

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, want: f64) {
        assert!((got - want).abs() <= 1e-12 * want.abs(), "{got} not {want}");
    }

    /// A layer of 0.2 mm around 14 mm, 10 mm long: the difference of two cylinders.
    #[test]
    fn the_layer_is_what_lies_between_two_cylinders() {
        let r_b = mid_radius(mm(14.0), mm(0.2));
        close(si(r_b), 7.1e-3);
        let between = std::f64::consts::PI * (7.2f64.powi(2) - 7f64.powi(2)) * 10.0 * 1e-9;
        let filled = si(volume(r_b, mm(0.2), mm(10.0)));
        assert!((filled / between - 1.0).abs() < 1e-12);
        let whole = si(area(r_b, mm(10.0), number(0.0)));
        close(whole * si(mm(0.2)), filled);
        close(si(area(r_b, mm(10.0), number(0.25))), 0.75 * whole);
        close(si(gap_on_diameter(mm(0.2))), 0.4e-3);
    }

    #[test]
    fn indices_differ_by_the_same_either_way() {
        let volt = |v: f64| -> ElectricPotential { from_si(v) };
        close(si(index_difference(volt(0.9), volt(0.25))), 0.65);
        close(si(index_difference(volt(0.25), volt(0.9))), 0.65);
    }

    #[test]
    fn the_seat_adds_its_share_of_torque() {
        let torque = glue_torque(newton_metre(20.0), number(0.25), newton_metre(8.0));
        close(si(torque), 22.0);
    }
}
