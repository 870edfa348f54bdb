//! The fitting's own strength: neck under tension and torsion, flange bent about the neck.
//!
//! Fatigue of the neck and of the first thread is not examined here.

use super::formula::formula;
use crate::units::*;

formula! { "Axial stress in the neck";
source: "force over the ring of the neck"; limits: "static, uniform over the section";
fn neck_axial(F: Force, d_neck: Length, d_i: Length) -> Pressure { F / (PI / 4.0 * (d_neck * d_neck - d_i * d_i)) } }
formula! { "Shear stress at the outside of the neck";
source: "elastic torsion of a ring"; limits: "the thread's part of the torque; first yield";
fn neck_shear(T_thread: Torque, d_neck: Length, d_i: Length) -> Pressure {
    let J = PI / 32.0 * (d_neck * d_neck * d_neck * d_neck - d_i * d_i * d_i * d_i);
    let tau: Pressure = T_thread * (d_neck / 2.0) / J;
    tau
} }
formula! { "Equivalent stress in the neck";
source: "distortion energy"; limits: "first yield at the outside";
fn neck_equivalent(sigma: Pressure, tau: Pressure) -> Pressure { (sigma * sigma + 3.0 * tau * tau).sqrt() } }
formula! { "Torque that the neck stands beside its axial stress";
source: "distortion energy and elastic torsion of a ring, solved for the torque"; limits: "the whole torque taken through the neck; first yield at the outside";
fn neck_torque(sigma_y: Pressure, n: Ratio, sigma: Pressure, d_neck: Length, d_i: Length) -> Torque {
    let J = PI / 32.0 * (d_neck * d_neck * d_neck * d_neck - d_i * d_i * d_i * d_i);
    let sigma_eq = max(sigma_y / n, sigma);
    let tau: Pressure = ((sigma_eq * sigma_eq - sigma * sigma) / 3.0).sqrt();
    tau * J / (d_neck / 2.0)
} }
formula! { "Stress with prying";
source: "engineering basis, section 11: raised by the highest line load over that of the preload"; limits: "as if the whole ring carried the highest line load; torsion is not raised";
fn pried(sigma: Pressure, q: Ratio) -> Pressure { sigma * q } }
formula! { "Bending stress at the root of the flange";
source: "plate strip bent about the neck, engineering basis 4 (approximate)"; limits: "ring taken as a strip; approximate";
fn flange_stress(F: Force, r_neck: Length, r_s: Length, t_f: Length) -> Pressure {
    let arm = max(r_s - r_neck, r_neck - r_s);
    let m: Force = F / (2.0 * PI * r_neck) * arm;
    6.0 * m / (t_f * t_f)
} }

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, want: f64) {
        assert!((got - want).abs() <= 1e-12 * want.abs(), "{got} not {want}");
    }

    /// What the neck stands beside its axial stress brings it just to its yield over the factor.
    #[test]
    fn the_neck_stands_what_brings_it_to_yield() {
        let (d, d_i) = (mm(8.0), mm(3.0));
        let sigma = neck_axial(newton(6000.0), d, d_i);
        close(
            si(sigma),
            6000.0 / (std::f64::consts::PI * (16.0 - 2.25) * 1e-6),
        );
        let torque = neck_torque(megapascal(600.0), number(1.5), sigma, d, d_i);
        let both = neck_equivalent(sigma, neck_shear(torque, d, d_i));
        assert!((si(both) / 400e6 - 1.0).abs() < 1e-12);
        // Nothing is left where the pull alone is past it.
        let none = neck_torque(megapascal(600.0), number(1.5), megapascal(500.0), d, d_i);
        assert_eq!(si(none), 0.0);
    }

    /// A thin ring, where shear is force over the area at its radius, to the thickness over the radius.
    #[test]
    fn a_thin_neck_shears_evenly() {
        let shear = si(neck_shear(newton_metre(10.0), mm(20.02), mm(19.98)));
        let even = 10.0 / (0.01 * std::f64::consts::TAU * 0.01 * 0.02e-3);
        assert!((shear / even - 1.0).abs() < 2e-3, "{shear} against {even}");
    }

    /// 100 N for each mm of the neck's edge, 4 mm away, on 4 mm: 6·400/16 MPa, whichever side the seat lies.
    #[test]
    fn the_flange_bends_about_the_neck() {
        let force = newton(100.0 * std::f64::consts::TAU * 10.0);
        for seat in [14.0, 6.0] {
            let stress = flange_stress(force, mm(10.0), mm(seat), mm(4.0));
            assert!((si(stress) / 150e6 - 1.0).abs() < 1e-12);
        }
        close(si(pried(megapascal(100.0), number(1.5))), 150e6);
    }
}
