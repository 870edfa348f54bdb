//! The parent around a boss: pull-through of the wall, and tearing out towards a free edge.
//!
//! Pull-through is judged for a boss, and wherever the job gives `frame.edge_distance`; the edge only in
//! the latter case. Both are held against `need.strip`: like stripping they end the joint at once.

use super::check::{CheckId, Note, Reason};
use super::{Raw, closed};
use crate::job::assembly::*;
use crate::mechanics::parent;
use crate::mechanics::seat::Ring;
use crate::units::*;

/// Is pull-through judged?
pub fn applies(a: &Assembly) -> bool {
    a.purpose == Use::Boss || a.frame.edge_distance.is_some()
}

/// Shear strength of the wall along a cylinder through it: between the plies of a laminate.
pub fn through_strength(m: &Material) -> Result<Pressure, Reason> {
    if m.laminate {
        m.interlaminar_shear.ok_or(Reason::FramePlyShearMissing)
    } else {
        m.shear_strength.ok_or(Reason::FrameShearMissing)
    }
}

/// Diameter of the bore in the wall.
pub fn bore(a: &Assembly) -> Length {
    a.insert.outer_diameter + 2.0 * a.bond.thickness
}

/// Diameter of the plug that an inward load pushes through: what reaches furthest out.
pub fn pushed(a: &Assembly, ring: &Ring) -> Length {
    let lip = a.insert.lip_diameter.unwrap_or(bore(a));
    let edge = ring.frame.map_or(lip, |part| part.outer * 2.0);
    [lip, edge]
        .into_iter()
        .fold(bore(a), |widest, d| if d > widest { d } else { widest })
}

/// The worst case of pull-through: demand, and the diameter of its plug.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plug {
    /// Force on the plug.
    pub demand: Force,
    /// Outward load of that case.
    pub outward: Force,
    /// Diameter of the plug.
    pub diameter: Length,
    /// The load is inward.
    pub inward: bool,
    /// Which case.
    pub case: u16,
}

/// The plug that asks most of the wall: force over perimeter.
pub fn worst_plug(a: &Assembly, ring: &Ring, preload_high: Force) -> Plug {
    let mut worst = Plug {
        demand: from_si(0.0),
        outward: from_si(0.0),
        diameter: bore(a),
        inward: false,
        case: 0,
    };
    for (index, case) in a.cases.iter().enumerate() {
        let (main, other) = closed::loads(a, case);
        for loads in std::iter::once(main).chain(other) {
            let out = Plug {
                demand: parent::plug_pull(loads.axial, ring.share, preload_high),
                outward: loads.axial,
                diameter: bore(a),
                inward: false,
                case: index as u16,
            };
            let inward = Plug {
                demand: if si(loads.axial) < 0.0 {
                    -loads.axial
                } else {
                    from_si(0.0)
                },
                diameter: pushed(a, ring),
                inward: true,
                ..out
            };
            for plug in [out, inward] {
                if plug.demand / plug.diameter > worst.demand / worst.diameter {
                    worst = plug;
                }
            }
        }
    }
    worst
}

/// The case with the largest load across the axis.
pub fn worst_radial(a: &Assembly) -> (Force, u16) {
    let mut worst = (from_si(0.0), 0);
    for (index, case) in a.cases.iter().enumerate() {
        let (main, other) = closed::loads(a, case);
        for loads in std::iter::once(main).chain(other) {
            if loads.radial.abs() > worst.0 {
                worst = (loads.radial.abs(), index as u16);
            }
        }
    }
    worst
}

/// Pull-through and edge; nothing where they do not apply.
pub fn checks(a: &Assembly, ring: &Ring, preload_high: Force) -> [(CheckId, Option<Raw>); 2] {
    let material = &a.frame.material;
    let from_tensile = |raw: Raw| {
        if material.shear_from_tensile {
            raw.note(Note::ShearFromTensile)
        } else {
            raw
        }
    };
    let pull_through = applies(a).then(|| match through_strength(material) {
        Err(reason) => Raw::missing(reason),
        Ok(tau) => {
            let plug = worst_plug(a, ring, preload_high);
            let capacity = si(parent::plug_capacity(plug.diameter, a.bond.length, tau));
            let mut raw = if si(plug.demand) > 0.0 {
                Raw::of(si(plug.demand), capacity)
            } else {
                Raw::nothing(capacity).note(Note::NothingPulls)
            };
            raw.case = plug.case;
            if plug.inward {
                raw = raw.note(Note::PushedIn);
            }
            if material.laminate {
                raw.note(Note::PlugApproximate)
            } else {
                from_tensile(raw).note(Note::PlugApproximate)
            }
        }
    });
    let edge = a
        .frame
        .edge_distance
        .map(|e| match material.shear_strength {
            None => Raw::missing(Reason::FrameShearMissing),
            Some(tau) => {
                let capacity = si(parent::shear_out_capacity(
                    e,
                    bore(a) / 2.0,
                    a.bond.length,
                    tau,
                ));
                let (radial, case) = worst_radial(a);
                let mut raw = if si(radial) > 0.0 {
                    Raw::of(si(radial), capacity)
                } else {
                    Raw::nothing(capacity).note(Note::NothingOpens)
                };
                raw.case = case;
                from_tensile(raw)
            }
        });
    [
        (CheckId::FramePullThrough, pull_through),
        (CheckId::FrameEdge, edge),
    ]
}
