//! How far a thread's tooth gives under its load.
//!
//! Each tooth is a short wedge on an elastic body. Its mid-flank moves along the axis by five parts:
//! bending and shear of the wedge, tilt and shear of its root, and the sliding down the flank that
//! follows when the wall behind widens or narrows. Every part is given as *deflection times E, per unit
//! axial load per length of helix*, which is a pure number.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | `P` | pitch | m |
//! | `alpha` | half of the included flank angle | rad |
//! | `c` | depth from the root to the pitch line | m |
//! | `b` = P/2, `a` = b + 2·c·tan(alpha) | width of the tooth at the pitch line, at the root | m |
//! | `d2` | pitch diameter | m |
//! | `d_i`, `D_o` | bore of the external part, outer diameter of the internal part | m |
//! | `E`, `nu` | Young's modulus, Poisson's ratio of the part | Pa, – |
//!
//! Source: engineering basis, section 12, after Yamamoto. The published sum belongs to a load normal to
//! the flank and carries a further cos(alpha); here the load is the axial one and that factor is out.
//!
//! Validity: straight flanks of one symmetric angle, basic sizes, both parts elastic, load at mid-flank.
//! Left out: contact compression of the flanks themselves, friction on them, root rounding, and the
//! weaker first tooth at a free end.

use super::formula::formula;
use crate::units::*;

formula!("Depth of an external tooth, root to pitch line";
    source: "engineering basis, section 12"; limits: "basic sizes";
    fn external_depth(d2: Length, d3: Length) -> Length { (d2 - d3) / 2.0 });

formula!("Depth of an internal tooth, root to pitch line";
    source: "engineering basis, section 12"; limits: "basic sizes";
    fn internal_depth(d: Length, D2: Length) -> Length { (d - D2) / 2.0 });

formula!("Bending of a tooth, deflection times E per axial load per length of helix";
source: "engineering basis, section 12, after Yamamoto (recalled)"; limits: "straight flanks, load at mid-flank";
fn tooth_bending(nu: Ratio, alpha: Angle, P: Length, c: Length) -> Ratio {
    let b = P / 2.0;
    let a = b + 2.0 * c * tan(alpha);
    let narrowing = 2.0 - num(b / a);
    let slope = 1.0 / tan(alpha);
    (1.0 - nu * nu) * 3.0 / 4.0
        * ((1.0 - narrowing * narrowing + 2.0 * num(a / b).ln()) * slope * slope * slope
            - 4.0 * num(c / a) * num(c / a) * tan(alpha))
});

formula!("Shear of a tooth, deflection times E per axial load per length of helix";
source: "engineering basis, section 12, after Yamamoto (recalled)"; limits: "straight flanks, load at mid-flank";
fn tooth_shear(nu: Ratio, alpha: Angle, P: Length, c: Length) -> Ratio {
    let b = P / 2.0;
    let a = b + 2.0 * c * tan(alpha);
    (1.0 + nu) * 6.0 / 5.0 * num(a / b).ln() / tan(alpha)
});

formula!("Tilt of a tooth's root, deflection times E per axial load per length of helix";
source: "engineering basis, section 12, after Yamamoto (recalled)"; limits: "root on a half-space";
fn root_tilt(nu: Ratio, alpha: Angle, P: Length, c: Length) -> Ratio {
    let b = P / 2.0;
    let a = b + 2.0 * c * tan(alpha);
    (1.0 - nu * nu) * 12.0 / PI * num(c / a) * num((c - b / 2.0 * tan(alpha)) / a)
});

formula!("Shear at a tooth's root, deflection times E per axial load per length of helix";
source: "engineering basis, section 12, after Yamamoto (recalled)"; limits: "root on a half-space, neighbours one pitch away";
fn root_shear(nu: Ratio, alpha: Angle, P: Length, c: Length) -> Ratio {
    let a = P / 2.0 + 2.0 * c * tan(alpha);
    let width = num(a / P);
    (1.0 - nu * nu) * 2.0 / PI
        * (((1.0 + width / 2.0) / (1.0 - width / 2.0)).ln() / width + (4.0 / (width * width) - 1.0).ln() / 2.0)
});

formula!("Narrowing of the externally threaded part, deflection times E per axial load per length of helix";
source: "engineering basis, section 12, after Yamamoto (recalled); wall by thick-cylinder theory"; limits: "full circle, bore below the pitch diameter";
fn external_narrowing(nu: Ratio, alpha: Angle, P: Length, d2: Length, d_i: Length) -> Ratio {
    let m = num(d_i / d2);
    ((1.0 + m * m) / (1.0 - m * m) - nu) / 2.0 * tan(alpha) * tan(alpha) * num(d2 / P)
});

formula!("Widening of the internally threaded part, deflection times E per axial load per length of helix";
source: "engineering basis, section 12, after Yamamoto (recalled); wall by thick-cylinder theory"; limits: "full circle, no support from outside";
fn internal_widening(nu: Ratio, alpha: Angle, P: Length, d2: Length, D_o: Length) -> Ratio {
    let k = num(D_o / d2);
    ((k * k + 1.0) / (k * k - 1.0) + nu) / 2.0 * tan(alpha) * tan(alpha) * num(d2 / P)
});

/// One part's tooth: what all five terms need.
#[derive(Debug, Clone, Copy)]
pub struct Tooth {
    /// Young's modulus of the part.
    pub modulus: Pressure,
    /// Poisson's ratio of the part.
    pub poisson: Ratio,
    /// Half of the included flank angle.
    pub flank_angle: Angle,
    /// Pitch of the thread.
    pub pitch: Length,
    /// Pitch diameter of the thread, basic.
    pub pitch_diameter: Length,
    /// Depth from the root to the pitch line: [`external_depth()`] or [`internal_depth()`].
    pub depth: Length,
}

impl Tooth {
    /// The four terms that do not know what stands behind the tooth.
    fn local(&self) -> f64 {
        let (nu, alpha, pitch, c) = (self.poisson, self.flank_angle, self.pitch, self.depth);
        si(tooth_bending(nu, alpha, pitch, c)
            + tooth_shear(nu, alpha, pitch, c)
            + root_tilt(nu, alpha, pitch, c)
            + root_shear(nu, alpha, pitch, c))
    }

    /// Flexibility of the externally threaded part whose bore is `bore` (0 for a solid screw).
    pub fn external(&self, bore: Length) -> Flexibility {
        let wall = external_narrowing(
            self.poisson,
            self.flank_angle,
            self.pitch,
            self.pitch_diameter,
            bore,
        );
        from_si((self.local() + si(wall)) / si(self.modulus))
    }

    /// Flexibility of the internally threaded part whose outer diameter is `outer`.
    pub fn internal(&self, outer: Length) -> Flexibility {
        let wall = internal_widening(
            self.poisson,
            self.flank_angle,
            self.pitch,
            self.pitch_diameter,
            outer,
        );
        from_si((self.local() + si(wall)) / si(self.modulus))
    }
}

/// Stiffness of the flank springs per axial length: (pi·d2/P)/c_flank, pi·d2/P being the length of helix
/// per axial length and c_flank = c_ext + c_int. Source: engineering basis, section 7.
#[inline]
pub fn flank_stiffness(pitch_diameter: Length, pitch: Length, flank: Flexibility) -> Pressure {
    from_si(std::f64::consts::PI * si(pitch_diameter) / (si(pitch) * si(flank)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const NU: f64 = 0.3;

    /// Steel ISO tooth of diameter and pitch in mm.
    fn steel(d: f64, p: f64, internal: bool) -> Tooth {
        let h = p * 3f64.sqrt() / 2.0;
        let d2 = mm(d - 0.75 * h);
        Tooth {
            modulus: megapascal(205e3),
            poisson: number(NU),
            flank_angle: degree(30.0),
            pitch: mm(p),
            pitch_diameter: d2,
            depth: if internal {
                internal_depth(mm(d), d2)
            } else {
                external_depth(d2, mm(d - 17.0 / 12.0 * h))
            },
        }
    }

    fn close(a: f64, b: f64, tol: f64) {
        assert!(
            (a - b).abs() <= tol * b.abs().max(1e-300),
            "{a} against {b}"
        );
    }

    /// Thread fact file, section 8, computed there from recalled constants: k_b and k_n, which carry
    /// cos(alpha); printed to four digits with a and c rounded to three.
    #[test]
    fn constants_of_four_metric_threads() {
        for (d, p, outer, k_b, k_n) in [
            (6.0, 1.0, 10.0, 2.867, 4.116),
            (8.0, 1.25, 13.0, 2.907, 4.302),
            (10.0, 1.5, 16.0, 2.934, 4.432),
            (16.0, 2.0, 24.0, 3.069, 5.146),
        ] {
            let along = 30f64.to_radians().cos() * 205e9;
            close(si(steel(d, p, false).external(mm(0.0))) * along, k_b, 2e-3);
            close(si(steel(d, p, true).internal(mm(outer))) * along, k_n, 2e-3);
        }
    }

    #[test]
    fn limits_of_depth_and_wall() {
        let (nu, alpha, p) = (number(NU), degree(30.0), mm(1.0));
        for term in [tooth_bending, tooth_shear, root_tilt] {
            assert!(si(term(nu, alpha, p, mm(0.0))).abs() < 1e-14);
        }
        // No depth: a = P/2, so the root's shear has a plain closed value.
        let bare = (1.0 - NU * NU) * 2.0 / std::f64::consts::PI
            * (2.0 * (1.25f64 / 0.75).ln() + 15f64.ln() / 2.0);
        close(si(root_shear(nu, alpha, p, mm(0.0))), bare, 1e-14);
        let third = (30f64.to_radians().tan()).powi(2) / 2.0 * 10.0;
        close(
            si(external_narrowing(nu, alpha, p, mm(10.0), mm(0.0))),
            (1.0 - NU) * third,
            1e-14,
        );
        close(
            si(internal_widening(nu, alpha, p, mm(10.0), mm(1e9))),
            (1.0 + NU) * third,
            1e-14,
        );
        // A thin wall follows the hoop: compliance d2/(2·t) times the common factor.
        close(
            si(internal_widening(nu, alpha, p, mm(10.0), mm(10.002))),
            10.0 / 2e-3 * third,
            1e-3,
        );
        close(
            si(external_narrowing(nu, alpha, p, mm(10.0), mm(9.998))),
            10.0 / 2e-3 * third,
            1e-3,
        );
    }

    #[test]
    fn every_term_is_positive_and_scale_free() {
        for internal in [false, true] {
            let (one, two) = (steel(10.0, 1.5, internal), steel(20.0, 3.0, internal));
            close(si(one.external(mm(4.0))), si(two.external(mm(8.0))), 1e-12);
            for term in [tooth_bending, tooth_shear, root_tilt, root_shear] {
                assert!(si(term(one.poisson, one.flank_angle, one.pitch, one.depth)) > 0.0);
            }
        }
        let c = steel(10.0, 1.5, false).external(mm(0.0));
        close(
            si(flank_stiffness(mm(9.0), mm(1.5), c)) * si(c),
            std::f64::consts::PI * 6.0,
            1e-14,
        );
    }
}
