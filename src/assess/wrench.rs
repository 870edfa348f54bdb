//! The torque wrench at hand: does it reach the torque, and does it measure in that direction?

use crate::job::assembly::*;
use crate::mechanics::torque::set_on_tool;
use crate::units::*;

/// What is wrong with using the job's wrench for a torque.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Warning {
    /// The torque to set lies outside the range.
    OutOfRange {
        /// To set on the tool.
        set: Torque,
        /// Lower end and full scale.
        range: (Torque, Torque),
    },
    /// It lies below the share of full scale from which on the tool keeps its error.
    LowOnScale {
        /// To set on the tool.
        set: Torque,
        /// The least that means something.
        least: Torque,
    },
    /// The wrench does not measure in the direction of tightening.
    WrongDirection(Hand),
}

impl Warning {
    /// Its id.
    pub fn id(&self) -> &'static str {
        match self {
            Warning::OutOfRange { .. } => "tool.range",
            Warning::LowOnScale { .. } => "tool.scale",
            Warning::WrongDirection(_) => "tool.direction",
        }
    }
}

/// What to say about the wrench for a torque at the fitting; with a crowfoot the tool's setting counts.
pub fn warnings(a: &Assembly, torque: Torque) -> Vec<Warning> {
    let Some(tool) = a.tool else {
        return Vec::new();
    };
    let set = a.tightening.crowfoot.map_or(torque, |(wrench, extension)| {
        set_on_tool(torque, wrench, extension)
    });
    let mut out = Vec::new();
    if let Some(range) = tool.range {
        let least: Torque = from_si(si(range.1) * tool.least_share.value);
        if set < range.0 || set > range.1 {
            out.push(Warning::OutOfRange { set, range });
        } else if set < least {
            out.push(Warning::LowOnScale { set, least });
        }
    }
    match (tool.direction, a.thread.hand) {
        (Some(Measures::Right), Hand::Left) | (Some(Measures::Left), Hand::Right) => {
            out.push(Warning::WrongDirection(a.thread.hand));
        }
        _ => {}
    }
    out
}
