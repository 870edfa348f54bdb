//! The parent around a boss: pulled through, or torn out towards a free edge.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | D | diameter of the cylinder along which the wall shears | mm |
//! | L | thickness of the wall, taken as the glued length | mm |
//! | tau | shear strength of the wall on that surface | MPa |
//! | e | from the insert's centre to the free edge | mm |
//! | r | radius of the bore | mm |
//!
//! Simple plugs and planes of even shear: a first look at a round boss in a flat wall, not a laminate
//! analysis. Bending of the panel, core and skins are not looked at.

use super::formula::formula;
use crate::units::*;

formula! { "Force that shears a plug out of the wall";
source: "even shear along a cylinder through the wall, common practice"; limits: "solid wall as thick as the bond is long; no panel bending, no core";
fn plug_capacity(D: Length, L: Length, tau: Pressure) -> Force { PI * D * L * tau } }

formula! { "Pull on the wall around the insert";
source: "statics: the outward load, and what of the preload the wall's face carries"; limits: "largest case; unloading of the face by the pull not taken off";
fn plug_pull(N: Force, s: Ratio, F0: Force) -> Force { max(N, 0.0 * N) + (1.0 - s) * F0 } }

formula! { "Force that tears the boss out towards a free edge";
source: "two shear planes from the bore to the edge, common practice for shear-out"; limits: "even shear; wall as thick as the bond is long; bearing of the bore's wall not looked at";
fn shear_out_capacity(e: Length, r: Length, L: Length, tau: Pressure) -> Force { 2.0 * (e - r) * L * tau } }

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plug_and_planes_by_hand() {
        // π·10·5·40 N, and 2·(20 − 5)·5·40 N.
        let plug = plug_capacity(mm(10.0), mm(5.0), megapascal(40.0));
        assert!((si(plug) - std::f64::consts::PI * 2000.0).abs() < 1e-9);
        let out = shear_out_capacity(mm(20.0), mm(5.0), mm(5.0), megapascal(40.0));
        assert!((si(out) - 6000.0).abs() < 1e-9);
    }

    #[test]
    fn an_inward_load_pulls_nothing() {
        assert_eq!(
            si(plug_pull(newton(-100.0), number(1.0), newton(5000.0))),
            0.0
        );
        assert_eq!(
            si(plug_pull(newton(-100.0), number(0.75), newton(4000.0))),
            1000.0
        );
        assert_eq!(
            si(plug_pull(newton(100.0), number(0.75), newton(4000.0))),
            1100.0
        );
    }
}
