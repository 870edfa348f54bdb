//! Stripping of the engaged threads and hoop yield of the insert.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | t | thickness of a tooth at the sheared cylinder | mm |
//! | A_ext, A_int | sheared area of the external, the internal thread | mm² |
//! | tau_u | ultimate shear strength of that member | MPa |
//! | Rs | strength of the internal thread over that of the external | none |
//! | C | loss by bending of the flanks | none |
//! | k | outer diameter of the insert over the major diameter | none |
//! | m | bore of the fitting over the pitch diameter | none |
//!
//! Sources: FED-STD-H28/2 for the areas (recalled, confirmed through two printed tables); Alexander,
//! SAE 770420, and ISO/TR 16224 for the factors C1, C2, C3 (recalled; supported by their joins). Below
//! k = 1.4 those factors have no published range, and elastic dilation by thick-cylinder theory is used.

use super::formula::formula;
use crate::units::*;

formula! { "Sheared area of the external thread";
source: "FED-STD-H28/2, cylinder of the internal minor diameter; confirmed against printed areas";
limits: "straight flanks up to the cylinder; sizes at least material or as measured";
fn external_area(D1: Length, d2: Length, N: Ratio, P: Length, alpha: Angle) -> Area {
    let t = max(min(P / 2.0 + (d2 - D1) * tan(alpha), P), 0.0 * P);
    PI * D1 * N * t
} }
formula! { "Sheared area of the internal thread";
source: "FED-STD-H28/2, cylinder of the external major diameter; confirmed against printed areas";
limits: "straight flanks up to the cylinder; sizes at least material or as measured";
fn internal_area(d: Length, D2: Length, N: Ratio, P: Length, alpha: Angle) -> Area {
    let t = max(min(P / 2.0 + (d - D2) * tan(alpha), P), 0.0 * P);
    PI * d * N * t
} }
formula! { "Strength of the internal thread over that of the external";
source: "Alexander, SAE 770420 (recalled)"; limits: "both threads loaded over the same turns";
fn strength_ratio(tau_int: Pressure, A_int: Area, tau_ext: Pressure, A_ext: Area) -> Ratio {
    num(tau_int * A_int / (tau_ext * A_ext))
} }
formula! { "Dilation factor of a wall of k diameters, as published";
source: "Alexander, SAE 770420, and ISO/TR 16224 (coefficients recalled, joins checked)"; limits: "k from 1.4; 1 from k = 1.9";
fn dilation_published(k: Ratio) -> Ratio { let C1 = 3.8 * k - k * k - 2.61; if k < 1.9 { C1 } else { 1.0 } } }
formula! { "Bending factor of the external thread, as published";
source: "Alexander, SAE 770420, and ISO/TR 16224 (coefficients recalled, joins checked)"; limits: "0.897 up to Rs = 1, constant from Rs = 2.2";
fn bending_external_published(Rs: Ratio) -> Ratio {
    let r = min(Rs, 2.2);
    let C2 = 5.594 - 13.682 * r + 14.107 * r * r - 6.057 * r * r * r + 0.9353 * r * r * r * r;
    if Rs > 1.0 { C2 } else { 0.897 }
} }
formula! { "Bending factor of the internal thread, as published";
source: "Alexander, SAE 770420, and ISO/TR 16224 (coefficients recalled, joins checked)"; limits: "constant below Rs = 0.4, 0.897 from Rs = 1";
fn bending_internal_published(Rs: Ratio) -> Ratio {
    let r = max(Rs, 0.4);
    let C3 = 0.728 + 1.769 * r - 2.896 * r * r + 1.296 * r * r * r;
    if Rs < 1.0 { C3 } else { 0.897 }
} }
formula! { "Bending factor in use";
source: "engineering choice: a factor above 1 is not relied on"; limits: "capped at 1";
fn bending_in_use(C: Ratio) -> Ratio { min(C, 1.0) } }
formula! { "Force that shears the tooth, before bending and dilation";
source: "FED-STD-H28/2 (recalled)"; limits: "shear strength of that member";
fn shear_force(tau_u: Pressure, A: Area) -> Force { tau_u * A } }
formula! { "Radial compliance of the insert under flank pressure";
source: "Lamé, thick cylinder under internal pressure"; limits: "elastic; support by glue and frame left out";
fn insert_compliance(d: Length, k: Ratio, E: Pressure, nu: Ratio) -> RadialCompliance {
    d / 2.0 / E * ((k * k + 1.0) / (k * k - 1.0) + nu)
} }
formula! { "Radial compliance of the fitting under flank pressure";
source: "Lamé, thick cylinder under external pressure"; limits: "elastic";
fn fitting_compliance(d2: Length, m: Ratio, E: Pressure, nu: Ratio) -> RadialCompliance {
    d2 / 2.0 / E * ((1.0 + m * m) / (1.0 - m * m) - nu)
} }
formula! { "Loss of capacity by bending and dilation, thin wall";
source: "elastic dilation, derived: overlap falls by p·(Cs + Cf), the tooth by twice that times tan α";
limits: "k below 1.4; never above the published factor at k = 1.4";
fn thin_wall_factor(F0: Force, C: Ratio, alpha: Angle, Cs: RadialCompliance, Cf: RadialCompliance, d2: Length, L_e: Length, t: Length) -> Ratio {
    let kappa = 2.0 * tan(alpha) * tan(alpha) * (Cs + Cf) / (PI * d2 * L_e * t);
    min(0.75, 1.0 / (1.0 + num(kappa * F0) * C))
} }
formula! { "Stripping capacity";
source: "Alexander, SAE 770420 (recalled): shear force, bending factor, dilation factor"; limits: "static; the whole engagement at its mean load";
fn capacity(F0: Force, C: Ratio, dilation: Ratio) -> Force { F0 * C * dilation } }
formula! { "Force at which the insert's wall yields in hoop tension";
source: "Lamé, thick cylinder under the radial part of the flank force";
limits: "hoop stress alone against yield; by distortion energy the bore yields up to 29 % earlier in a thick wall; support by glue and frame left out, on the cautious side";
fn hoop_capacity(sigma_y: Pressure, d2: Length, L_e: Length, k: Ratio, alpha: Angle) -> Force {
    sigma_y * PI * d2 * L_e * (k * k - 1.0) / ((k * k + 1.0) * tan(alpha))
} }
formula! { "Load on the threads with prying";
source: "engineering basis, section 11: as if the whole ring carried the highest line load"; limits: "on the conservative side";
fn thread_demand(F0: Force, q: Ratio) -> Force { q * F0 } }
formula! { "Engagement needed for a capacity that grows with the engagement";
source: "proportion: all three capacities grow with the engaged length"; limits: "same sizes and materials";
fn engagement_needed(L_e: Length, need: Ratio, F: Force, capacity: Force) -> Length { L_e * need * F / capacity } }
formula! { "Thickness of the external tooth at the sheared cylinder";
source: "FED-STD-H28/2 (recalled)"; limits: "between nothing and one pitch";
fn external_tooth(D1: Length, d2: Length, P: Length, alpha: Angle) -> Length { max(min(P / 2.0 + (d2 - D1) * tan(alpha), P), 0.0 * P) } }
formula! { "Thickness of the internal tooth at the sheared cylinder";
source: "FED-STD-H28/2 (recalled)"; limits: "between nothing and one pitch";
fn internal_tooth(d: Length, D2: Length, P: Length, alpha: Angle) -> Length { max(min(P / 2.0 + (d - D2) * tan(alpha), P), 0.0 * P) } }

/// One member's stripping capacity and what it is made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Member {
    /// Sheared area.
    pub area: Area,
    /// Shear force before losses.
    pub shear_force: Force,
    /// Bending factor in use.
    pub bending: Ratio,
    /// Dilation factor of this member.
    pub dilation: Ratio,
    /// What is left.
    pub capacity: Force,
}

/// Stripping of both members.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stripping {
    /// The fitting's thread.
    pub external: Member,
    /// The insert's thread.
    pub internal: Member,
    /// Strength of the internal over the external thread.
    pub strength_ratio: Ratio,
    /// Wall: outer diameter of the insert over the major diameter.
    pub wall: Ratio,
    /// C1, or for a thin wall the lower of the two members' factors.
    pub dilation: Ratio,
}

/// What stripping depends on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StripInput {
    /// Basic sizes.
    pub basic: super::thread::Basic,
    /// Sizes that decide the areas.
    pub sizes: super::thread::Sizes,
    /// Effective engagement.
    pub engaged: Length,
    /// Outer diameter of the insert.
    pub insert_outer: Length,
    /// Bore of the fitting.
    pub fitting_bore: Length,
    /// Elastic modulus and Poisson's ratio of the insert.
    pub insert_elastic: (Pressure, Ratio),
    /// Elastic modulus and Poisson's ratio of the fitting.
    pub fitting_elastic: (Pressure, Ratio),
    /// Ultimate shear strength of the insert.
    pub insert_shear: Pressure,
    /// Ultimate shear strength of the fitting.
    pub fitting_shear: Pressure,
}

/// The published range of the dilation factor begins at this wall.
pub const THIN_WALL_BELOW: f64 = 1.4;

/// Capacities of both members against stripping.
pub fn stripping(input: &StripInput) -> Stripping {
    let StripInput { basic, sizes, .. } = *input;
    let (pitch, alpha) = (basic.pitch, basic.half_angle);
    let areas = |turns: Ratio| {
        let (minor, pitch_ext) = (sizes.internal_minor, sizes.external_pitch);
        let (major, pitch_int) = (sizes.external_major, sizes.internal_pitch);
        (
            external_area(minor, pitch_ext, turns, pitch, alpha),
            internal_area(major, pitch_int, turns, pitch, alpha),
        )
    };
    // No factor depends on the length; without an engaged turn they are those of one.
    let none = si(input.engaged) <= 0.0;
    let length = if none { pitch } else { input.engaged };
    let (area_ext, area_int) = areas(super::thread::turns(length, pitch));
    let ratio = strength_ratio(input.insert_shear, area_int, input.fitting_shear, area_ext);
    let c2 = bending_in_use(bending_external_published(ratio));
    let c3 = bending_in_use(bending_internal_published(ratio));
    let wall: Ratio = input.insert_outer / basic.major;
    let f0_ext = shear_force(input.fitting_shear, area_ext);
    let f0_int = shear_force(input.insert_shear, area_int);
    let (dil_ext, dil_int) = if wall.value >= THIN_WALL_BELOW {
        let c1 = dilation_published(wall);
        (c1, c1)
    } else {
        let cs = insert_compliance(
            basic.major,
            wall,
            input.insert_elastic.0,
            input.insert_elastic.1,
        );
        let hollow: Ratio = input.fitting_bore / basic.pitch_diameter;
        let cf = fitting_compliance(
            basic.pitch_diameter,
            hollow,
            input.fitting_elastic.0,
            input.fitting_elastic.1,
        );
        let t_ext = external_tooth(sizes.internal_minor, sizes.external_pitch, pitch, alpha);
        let t_int = internal_tooth(sizes.external_major, sizes.internal_pitch, pitch, alpha);
        let d2 = basic.pitch_diameter;
        (
            thin_wall_factor(f0_ext, c2, alpha, cs, cf, d2, length, t_ext),
            thin_wall_factor(f0_int, c3, alpha, cs, cf, d2, length, t_int),
        )
    };
    let held = number(if none { 0.0 } else { 1.0 });
    let member = |area: Area, f0: Force, bending, dilation| Member {
        area: area * held,
        shear_force: f0 * held,
        bending,
        dilation,
        capacity: capacity(f0 * held, bending, dilation),
    };
    Stripping {
        external: member(area_ext, f0_ext, c2, dil_ext),
        internal: member(area_int, f0_int, c3, dil_int),
        strength_ratio: ratio,
        wall,
        dilation: super::formula::min(dil_ext, dil_int),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, want: f64) {
        assert!((got - want).abs() <= 1e-12 * want.abs(), "{got} not {want}");
    }

    #[test]
    fn prying_raises_the_load_on_the_thread() {
        close(si(thread_demand(newton(1000.0), number(1.5))), 1500.0);
    }

    /// Flanks of one in two: half a pitch and half of what the cylinder lies off, between nothing and a pitch;
    /// the sheared area is that thickness around the cylinder, turn by turn.
    #[test]
    fn teeth_and_their_areas_by_hand() {
        let (pitch, alpha, turns): (_, Angle, _) = (mm(1.5), from_si(0.5f64.atan()), number(4.0));
        let around = 4.0 * std::f64::consts::PI;
        for (minor, thick) in [(34.6, 0.95), (35.0, 0.75), (33.0, 1.5), (37.0, 0.0)] {
            let tooth = si(external_tooth(mm(minor), mm(35.0), pitch, alpha)) * 1e3;
            assert!((tooth - thick).abs() < 1e-9, "{tooth} not {thick}");
            let area = si(external_area(mm(minor), mm(35.0), turns, pitch, alpha)) * 1e6;
            assert!((area - around * minor * thick).abs() < 1e-6);
        }
        for (major, thick) in [(35.4, 0.95), (35.0, 0.75), (37.0, 1.5), (33.0, 0.0)] {
            let tooth = si(internal_tooth(mm(major), mm(35.0), pitch, alpha)) * 1e3;
            assert!((tooth - thick).abs() < 1e-9, "{tooth} not {thick}");
            let area = si(internal_area(mm(major), mm(35.0), turns, pitch, alpha)) * 1e6;
            assert!((area - around * major * thick).abs() < 1e-6);
        }
    }

    /// Strength times area; the insert's over the fitting's; what both factors leave; a length in proportion.
    #[test]
    fn strengths_by_hand() {
        let (a, b): (Area, Area) = (from_si(40e-6), from_si(50e-6));
        close(si(shear_force(megapascal(200.0), a)), 8000.0);
        let ratio = strength_ratio(megapascal(200.0), a, megapascal(400.0), b);
        close(ratio.value, 0.4);
        close(
            si(capacity(newton(8000.0), number(0.9), number(0.8))),
            5760.0,
        );
        let needed = engagement_needed(mm(8.0), number(1.5), newton(3000.0), newton(6000.0));
        close(si(needed), 6e-3);
        close(bending_in_use(number(1.1)).value, 1.0);
        close(bending_in_use(number(0.9)).value, 0.9);
    }

    /// A thin ring in hoop tension: pressure times radius over thickness. The flank force pushes outward with its
    /// tangent, and widens the ring as that pressure does.
    #[test]
    fn a_thin_wall_is_a_hoop() {
        let (d, t, length) = (40.0, 0.02, 10.0);
        let k = number(1.0 + 2.0 * t / d);
        let force = si(hoop_capacity(
            megapascal(240.0),
            mm(d),
            mm(length),
            k,
            degree(30.0),
        ));
        let pressure = force * 30f64.to_radians().tan() / (std::f64::consts::PI * d * length);
        assert!((pressure * (d / 2.0) / t / 240.0 - 1.0).abs() < 2e-3);
        // Δr = p·r²/(E·t): a thin sleeve from inside, a thin tube from outside; a solid disc gives (1 − ν)·r/E.
        let give = si(insert_compliance(mm(d), k, megapascal(70e3), number(0.3)));
        assert!(
            (give * 1e6 / (20e-3 * 20.0 / (70e3 * t)) - 1.0).abs() < 2e-3,
            "{give}"
        );
        let solid = si(fitting_compliance(
            mm(d),
            number(0.0),
            megapascal(70e3),
            number(0.3),
        ));
        close(solid * 1e6, 20e-3 * 0.7 / 70e3);
        let thin = si(fitting_compliance(
            mm(d),
            number(0.999),
            megapascal(70e3),
            number(0.3),
        ));
        assert!(
            (thin * 1e6 / (20e-3 / (70e3 * 0.001)) - 1.0).abs() < 2e-3,
            "{thin}"
        );
    }
}
