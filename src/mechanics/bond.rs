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
