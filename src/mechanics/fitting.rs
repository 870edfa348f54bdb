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
