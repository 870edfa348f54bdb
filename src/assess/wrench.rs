//! The torque wrench at hand: does it reach the torque, and does it measure in that direction?

use crate::job::assembly::{Assembly, Hand, Measures};
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

/// How the wrench serves for a torque at the fitting.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Use {
    /// What to set on it, where a crowfoot changes that.
    pub set: Option<Torque>,
    /// Range or scale.
    reach: Option<Warning>,
    direction: Option<Warning>,
}

impl Use {
    /// Of the job's own wrench for a torque at the fitting; with a crowfoot the tool's setting counts.
    pub fn of(a: &Assembly, torque: Torque) -> Use {
        let set = a
            .tightening
            .crowfoot
            .map(|(wrench, extension)| set_on_tool(torque, wrench, extension));
        let mut out = Use {
            set,
            ..Use::default()
        };
        let Some(tool) = a.tool else {
            return out;
        };
        let set = set.unwrap_or(torque);
        if let Some(range) = tool.range {
            let least: Torque = from_si(si(range.1) * tool.least_share.value);
            if set < range.0 || set > range.1 {
                out.reach = Some(Warning::OutOfRange { set, range });
            } else if set < least {
                out.reach = Some(Warning::LowOnScale { set, least });
            }
        }
        match (tool.direction, a.thread.hand) {
            (Some(Measures::Right), Hand::Left) | (Some(Measures::Left), Hand::Right) => {
                out.direction = Some(Warning::WrongDirection(a.thread.hand));
            }
            _ => {}
        }
        out
    }
    /// What is wrong with it.
    pub fn warnings(self) -> impl Iterator<Item = Warning> {
        self.reach.into_iter().chain(self.direction)
    }
}
