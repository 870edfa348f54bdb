//! Stress in the glue from unequal expansion of insert and frame.
//!
//! The joint is free of stress at the cure's temperature. Away from it the walls want different radii
//! and different lengths. Radially, two thick cylinders and the confined layer between them share the
//! misfit, uniform along the axis; axially, the misfit strain builds shear towards both ends.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | `a_ins`, `a_fr`, `a_a` | expansion of insert, frame, adhesive (0 where not known) | 1/K |
//! | `T_cure`, `T` | temperature free of stress, temperature asked for | K |
//! | `eta`, `r_b` | thickness and middle radius of the glue | m |
//! | `E_c`, `nu_a` | confined modulus and Poisson's ratio of the adhesive | Pa, – |
//! | `d`, `r_f` | bore of the insert (thread's major diameter), outer radius of the frame | m |
//! | `b` | shear-lag number per length, voids counted ([`shear_lag()`](super::ladder::shear_lag())) | 1/m |
//!
//! Source: engineering basis, section 9: thick cylinders after Lamé, shear-lag after Volkersen.
//!
//! Validity: elastic, one temperature throughout, full circle. Both walls meet the layer at its middle
//! radius, which is right to about eta/r_b. Left out: the fitting in the bore (a solid screw stiffens
//! the bore and raises the radial stress by up to a fifth), the relaxation of the glue, cure shrinkage.
//! Positive radial stress is tension across the layer; of the axial shear only the magnitude is used.

// A relation that is shown whole names each of its arguments.
#![allow(clippy::too_many_arguments)]

use super::formula::formula;
use crate::units::*;

/// By how much `t` lies below `t_cure`; negative where it lies above.
#[inline]
pub fn cooling(
    t_cure: ThermodynamicTemperature,
    t: ThermodynamicTemperature,
) -> TemperatureInterval {
    from_si(t_cure.value - t.value)
}

/// sinh(u)/cosh(v) for |u| <= v, without overflow however large v is.
#[inline]
pub fn sinh_over_cosh(u: f64, v: f64) -> f64 {
    let size = u.abs();
    let grown = (size - v).exp() * -(-2.0 * size).exp_m1() / (1.0 + (-2.0 * v).exp());
    grown.copysign(u)
}

formula!("Give of the insert's wall: radial movement at the bond times E, per pressure and radius";
source: "engineering basis, section 9 (thick cylinder after Lamé)"; limits: "bore empty, plane stress";
fn inner_wall_give(nu_ins: Ratio, r_b: Length, d: Length) -> Ratio {
    let m = num(d / 2.0 / r_b);
    (1.0 + m * m) / (1.0 - m * m) - nu_ins
});

formula!("Give of the frame's wall: radial movement at the bond times E, per pressure and radius";
source: "engineering basis, section 9 (thick cylinder after Lamé)"; limits: "outside free, plane stress";
fn outer_wall_give(nu_fr: Ratio, r_b: Length, r_f: Length) -> Ratio {
    let k = num(r_f / r_b);
    (k * k + 1.0) / (k * k - 1.0) + nu_fr
});

formula!("Radial stress in the glue from unequal expansion, tension positive";
source: "engineering basis, section 9"; limits: "elastic, bore empty, uniform along the axis; ci and co from the wall gives. Against finite elements of thirteen sleeves: in thin glue up to 1.5 times as much at mid-length and up to 2.6 times within a few millimetres of the ends, in thick glue in a stiff wall 0.8 times";
fn thermal_radial(
    a_ins: TemperatureCoefficient, a_fr: TemperatureCoefficient, a_a: TemperatureCoefficient,
    T_cure: ThermodynamicTemperature, T: ThermodynamicTemperature,
    r_b: Length, eta: Length, nu_a: Ratio, E_c: Pressure,
    E_ins: Pressure, ci: Ratio, E_fr: Pressure, co: Ratio,
) -> Pressure {
    let misfit = (a_ins - a_fr) * r_b + eta * a_a * (1.0 + nu_a) / (1.0 - nu_a);
    let give = r_b / E_ins * ci + r_b / E_fr * co + eta / E_c;
    cooling(T_cure, T) * misfit / give
});

formula!("Axial shear in the glue from unequal expansion, at x";
source: "engineering basis, section 9 (shear-lag after Volkersen, recalled)"; limits: "elastic, 0 <= x <= L; the magnitude counts. Against finite elements of thirteen sleeves up to 1.6 times too much, 0.9 times where the frame goes on past the bond";
fn thermal_shear(
    a_ins: TemperatureCoefficient, a_fr: TemperatureCoefficient,
    T_cure: ThermodynamicTemperature, T: ThermodynamicTemperature,
    G: Pressure, eta: Length, bL: Ratio, L: Length, x: Length,
) -> Pressure {
    let b = bL / L;
    let free = (a_ins - a_fr) * cooling(T_cure, T);
    G / eta * free / b * sinh_over_cosh(num(b * (x - L / 2.0)), bL / 2.0)
});

#[cfg(test)]
mod tests {
    use super::super::ladder::{glue_stiffness, shear_lag};
    use super::*;

    fn per_kelvin(micro: f64) -> TemperatureCoefficient {
        from_si(micro * 1e-6)
    }

    fn close(a: f64, b: f64, tol: f64) {
        assert!((a - b).abs() <= tol * b.abs(), "{a} against {b}");
    }

    /// Radial stress of an aluminium sleeve in a composite bore, 60 K below the cure.
    fn radial(r_b: f64, bore: f64, r_f: f64, eta: f64, a_a: f64) -> f64 {
        let (nu, e) = (0.38, 3000.0);
        let confined = e * (1.0 - nu) / ((1.0 + nu) * (1.0 - 2.0 * nu));
        si(thermal_radial(
            per_kelvin(23.6),
            per_kelvin(3.0),
            per_kelvin(a_a),
            celsius(60.0),
            celsius(0.0),
            mm(r_b),
            mm(eta),
            number(nu),
            megapascal(confined),
            megapascal(68_300.0),
            inner_wall_give(number(0.33), mm(r_b), mm(bore)),
            megapascal(50_000.0),
            outer_wall_give(number(0.3), mm(r_b), mm(r_f)),
        )) / 1e6
    }

    /// Bond fact file, section 3.3, marked derived there: two rings without a layer.
    #[test]
    fn two_rings_without_a_layer() {
        close(radial(20.0, 35.0, 25.0, 1e-12, 0.0), 6.101378, 1e-6);
    }

    /// Bond fact file, section 3.3, marked derived there: with the layer, each wall at its own radius.
    /// Here both stand at the middle of the layer, which makes each of these thin walls by half a layer
    /// thicker than it is: 4 % more stress, on the conservative side.
    #[test]
    fn two_rings_with_a_layer() {
        close(radial(20.1, 35.0, 23.2, 0.2, 55.0), 5.0316, 0.05);
    }

    /// Bond fact file, section 2.5, marked derived there: a press fit is the same misfit with the other sign.
    #[test]
    fn press_fit_of_equal_tubes() {
        let give = si(inner_wall_give(number(0.33), mm(20.0), mm(35.0)))
            + si(outer_wall_give(number(0.33), mm(20.0), mm(25.0)));
        close(0.010 / (20.0 / 68_300.0 * give), 2.824908, 1e-6);
    }

    /// Bond fact file, section 3.4, marked derived there: 24.7640 MPa, equal and opposite at the ends.
    #[test]
    fn axial_shear_of_the_standard_case() {
        let k = glue_stiffness(mm(20.1), megapascal(1000.0), mm(0.2), number(0.0));
        let number_bl = shear_lag(
            k,
            from_si(68_300.0 * 294.5243112740431),
            from_si(50_000.0 * 409.0353695144711),
            mm(40.0),
        );
        close(si(number_bl), 9.981302, 1e-6);
        let at = |x: f64| {
            si(thermal_shear(
                per_kelvin(23.6),
                per_kelvin(3.0),
                celsius(80.0),
                celsius(20.0),
                megapascal(1000.0),
                mm(0.2),
                number_bl,
                mm(40.0),
                mm(x),
            ))
        };
        close(at(40.0) / 1e6, 24.7640, 2e-6);
        close(at(0.0), -at(40.0), 1e-14);
        assert_eq!(at(20.0), 0.0);
    }

    #[test]
    fn quotient_of_hyperbolic_functions_stays_finite() {
        close(
            sinh_over_cosh(-1.2, 1.5),
            (-1.2f64).sinh() / 1.5f64.cosh(),
            1e-15,
        );
        close(sinh_over_cosh(1e-9, 1e-8), 1e-9, 1e-14);
        close(sinh_over_cosh(5000.0, 5000.0), 1.0, 1e-15);
        assert_eq!(sinh_over_cosh(0.0, 5000.0), 0.0);
    }
}
