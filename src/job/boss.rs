//! What a boss has beside a sleeve: a part between head and boss; and the wrench at hand.

use super::assembly::{Clamped, Measures, Tool};
use super::read::Reader;
use super::resolve::{default, length_or, material};
use crate::mechanics::seat::Bears;
use crate::units::parse::{Kind, Shape, Spread};
use crate::units::*;

/// Reads `[clamped]`, where the job has it.
pub(super) fn read_clamped(r: &mut Reader<'_>, flange: Length) -> Option<Clamped> {
    if !r.has_table("clamped") {
        return None;
    }
    let thickness: Length = r
        .needed::<Length>("clamped.thickness", Kind::Length, "between head and boss")
        .nominal;
    let material = material(r, "clamped.material", "unknown");
    let outer_diameter = length_or(r, "clamped.outer_diameter", flange);
    let bears_on = r.choice(
        "clamped.bears_on",
        &[
            ("insert", Bears::Insert),
            ("frame", Bears::Frame),
            ("both", Bears::Both),
        ],
    );
    Some(Clamped {
        thickness,
        material,
        outer_diameter,
        bears_on,
    })
}

/// Reads `[tool]`, where the job has it.
pub(super) fn read_tool(r: &mut Reader<'_>) -> Option<Tool> {
    let range: Option<Spread<Torque>> = r.quantity("tool.range", Kind::Torque);
    let direction = r.choice(
        "tool.direction",
        &[
            ("right", Measures::Right),
            ("left", Measures::Left),
            ("both", Measures::Both),
        ],
    );
    if let Some(range) = range {
        r.not_negative("tool.range", range.low);
        r.positive("tool.range", range.high);
        if range.shape == Shape::Exact {
            r.complain(
                "tool.range",
                "`tool.range` has two ends",
                "write the lower end and the full scale, such as \"10 .. 60 N·m\"",
            );
        }
    }
    if range.is_none() && direction.is_none() {
        return None;
    }
    let (least_share, _) = default("tool.least_share", Kind::Number);
    Some(Tool {
        range: range.map(|s| (s.low, s.high)),
        direction,
        least_share: number(least_share),
    })
}
