//! Thread geometry: basic sizes of the three forms, lead, stress areas, effective engagement.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | d | basic major diameter | mm |
//! | P | pitch, single start | mm |
//! | alpha | half of the included flank angle | deg |
//! | d2 = D2 | pitch diameter | mm |
//! | D1 | minor diameter of the internal thread | mm |
//! | d3 | root diameter of the external thread | mm |
//! | N | turns in full engagement | none |
//!
//! Checked by the published cases on threads and stress areas.

use super::formula::formula;
use crate::units::*;

/// Form of a thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// 60 degrees, ISO 68-1; also the unified form.
    Iso,
    /// 55 degrees, rounded crest and root.
    Whitworth,
    /// 60 degrees, crest and root rounded with a sixth of the pitch.
    Cycle,
}

/// Which definition of the stress area goes with a thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StressArea {
    /// Mean of pitch and root diameter.
    Metric,
    /// Unified: major diameter less 9/8 of the triangle's height.
    Unified,
}

/// Basic sizes of a thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Basic {
    /// Major diameter d.
    pub major: Length,
    /// Pitch P.
    pub pitch: Length,
    /// Half of the flank angle.
    pub half_angle: Angle,
    /// Pitch diameter d2 = D2.
    pub pitch_diameter: Length,
    /// Minor diameter D1 of the internal thread.
    pub internal_minor: Length,
    /// Root diameter d3 of the external thread.
    pub root: Length,
}

/// Sizes that decide the sheared areas: least material, or as measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizes {
    /// Major diameter of the external thread.
    pub external_major: Length,
    /// Pitch diameter of the external thread.
    pub external_pitch: Length,
    /// Minor diameter of the internal thread.
    pub internal_minor: Length,
    /// Pitch diameter of the internal thread.
    pub internal_pitch: Length,
}

impl Form {
    /// Half of the included flank angle.
    pub fn half_angle(self) -> Angle {
        match self {
            Form::Iso | Form::Cycle => degree(30.0),
            Form::Whitworth => degree(27.5),
        }
    }
    /// Basic sizes from major diameter and pitch.
    pub fn basic(self, major: Length, pitch: Length) -> Basic {
        let (pitch_diameter, internal_minor, root) = match self {
            Form::Iso => (
                iso_pitch_diameter(major, pitch),
                iso_internal_minor(major, pitch),
                iso_root(major, pitch),
            ),
            Form::Whitworth => {
                let minor = whitworth_minor(major, pitch);
                (whitworth_pitch_diameter(major, pitch), minor, minor)
            }
            Form::Cycle => {
                let minor = cycle_minor(major, pitch);
                (cycle_pitch_diameter(major, pitch), minor, minor)
            }
        };
        Basic {
            major,
            pitch,
            half_angle: self.half_angle(),
            pitch_diameter,
            internal_minor,
            root,
        }
    }
}

impl Basic {
    /// Basic sizes as sizes of both members.
    pub fn sizes(&self) -> Sizes {
        Sizes {
            external_major: self.major,
            external_pitch: self.pitch_diameter,
            internal_minor: self.internal_minor,
            internal_pitch: self.pitch_diameter,
        }
    }
}

formula! { "Pitch diameter, 60 degree form";
source: "ISO 68-1 and ISO 724; multiples confirmed against printed tables"; limits: "basic size";
fn iso_pitch_diameter(d: Length, P: Length) -> Length { let H = P * root(3.0) / 2.0; d - 0.75 * H } }
formula! { "Minor diameter of the internal thread, 60 degree form";
source: "ISO 68-1 and ISO 724; multiples confirmed against printed tables"; limits: "basic size";
fn iso_internal_minor(d: Length, P: Length) -> Length { let H = P * root(3.0) / 2.0; d - 1.25 * H } }
formula! { "Root diameter of the external thread, 60 degree form";
source: "ISO 68-1, rounded root H/6; confirmed against printed tables"; limits: "basic size";
fn iso_root(d: Length, P: Length) -> Length { let H = P * root(3.0) / 2.0; d - 17.0 / 12.0 * H } }
formula! { "Pitch diameter, 55 degree form";
source: "55 degree form constants, a printed tap table"; limits: "basic size";
fn whitworth_pitch_diameter(d: Length, P: Length) -> Length { d - 0.640327 * P } }
formula! { "Minor and root diameter, 55 degree form";
source: "55 degree form constants, a printed tap table"; limits: "basic size";
fn whitworth_minor(d: Length, P: Length) -> Length { d - 1.280654 * P } }
formula! { "Pitch diameter, cycle form";
source: "cycle form of BS 811 and JIS B 0225: depth H − P/3, confirmed against the printed JIS table"; limits: "basic size";
fn cycle_pitch_diameter(d: Length, P: Length) -> Length { let h = P * (root(3.0) / 2.0 - 1.0 / 3.0); d - h } }
formula! { "Minor and root diameter, cycle form";
source: "cycle form of BS 811 and JIS B 0225: depth H − P/3, confirmed against the printed JIS table"; limits: "basic size";
fn cycle_minor(d: Length, P: Length) -> Length { let h = P * (root(3.0) / 2.0 - 1.0 / 3.0); d - 2.0 * h } }
formula! { "Lead angle at the pitch diameter";
source: "geometry of the helix"; limits: "single start";
fn lead_angle(P: Length, d2: Length) -> Angle { atan(num(P / (PI * d2))) } }
formula! { "Stress area of the external thread, mean of pitch and root diameter";
source: "ISO 898-1; confirmed against printed areas"; limits: "solid external thread, basic sizes";
fn stress_area_metric(d2: Length, d3: Length) -> Area { let ds = (d2 + d3) / 2.0; PI / 4.0 * ds * ds } }
formula! { "Stress area of the external thread, unified";
source: "ASME B1.1 form, 0.9743 P below the major diameter; confirmed against printed areas"; limits: "solid external thread, basic sizes";
fn stress_area_unified(d: Length, P: Length) -> Area { let H = P * root(3.0) / 2.0; let ds = d - 1.125 * H; PI / 4.0 * ds * ds } }
formula! { "Effective engagement";
source: "definition: overlap less what has no full form and what is damaged"; limits: "never below zero; damage counts as whole turns";
fn effective_engagement(engaged: Length, incomplete: Length, damaged: Ratio, P: Length) -> Length {
    max(engaged - incomplete - damaged * P, 0.0 * P)
} }
formula! { "Turns in full engagement";
source: "definition"; limits: "single start";
fn turns(L_e: Length, P: Length) -> Ratio { L_e / P } }

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, want: f64) {
        assert!((got - want).abs() <= 1e-12 * want.abs(), "{got} not {want}");
    }

    #[test]
    fn engagement_loses_what_has_no_form_and_what_is_damaged() {
        let left = |engaged: f64, damaged: f64| {
            si(effective_engagement(
                mm(engaged),
                mm(1.0),
                number(damaged),
                mm(1.5),
            ))
        };
        close(left(10.0, 2.0), 6e-3);
        assert_eq!(left(3.0, 2.0), 0.0);
        close(turns(mm(6.0), mm(1.5)).value, 4.0);
    }
}
