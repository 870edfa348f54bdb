//! The torque at which to stop undoing, and when none may be named.
//!
//! The glue's limit is `bond.removal.limit`. It says nothing of the fitting, whose neck may shear long before, and
//! nothing at all where the glue is not what the job says.

use super::check::{CheckId, Note, Reason, Verdict};
use super::{Assessment, refusal, unknown};
use crate::job::assembly::*;
use crate::mechanics::fitting;
use crate::units::*;

/// Why no torque is named.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Withheld {
    /// A precondition or a finding forbids any judgement.
    Refused,
    /// The surfaces were not prepared as the job says.
    NotPrepared,
    /// The glue has not cured.
    NotCured,
    /// Nobody has looked at what a figure would stand on.
    NotLooked,
}

/// Where to stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop {
    /// The lower of both limits.
    pub torque: Torque,
    /// The fitting's neck gives it, not the glue.
    pub by_neck: bool,
    /// What the figure rests on that nobody knows: of the glue, and of the fitting.
    pub unknown: [Option<Reason>; 2],
}

/// What is said of undoing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Undoing {
    /// The torque at which it is judged.
    pub torque: Torque,
    /// The job says what it takes; else the loosening torque at preload high and high friction stands in.
    pub stated: bool,
    /// Where to stop.
    pub stop: Result<Stop, Withheld>,
}

impl Undoing {
    /// Of one side; nothing where the coupled model has no result.
    pub fn of(a: &Assembly, r: &Assessment) -> Option<Undoing> {
        let c = r.evaluation.coupled?;
        Some(Undoing {
            torque: c.removal_torque,
            stated: a.tightening.removal_torque.is_some(),
            stop: match withheld(a, r) {
                Some(why) => Err(why),
                None => Ok(stop(a, r, c.removal_limit)),
            },
        })
    }
    /// Does undoing take more than the torque at which to stop?
    pub fn over(&self) -> bool {
        self.stop.is_ok_and(|stop| self.torque > stop.torque)
    }
}

/// The torque that the neck stands with its required ratio, its preload at the high end still in it.
pub fn neck_limit(a: &Assembly, r: &Assessment) -> Option<Torque> {
    let f = &a.fitting;
    f.material.yield_strength.map(|sigma_y| {
        fitting::neck_torque(
            sigma_y,
            a.need.neck,
            r.evaluation.fitting.axial,
            f.neck_diameter,
            f.bore,
        )
    })
}

fn withheld(a: &Assembly, r: &Assessment) -> Option<Withheld> {
    let failed = r.checks[CheckId::BondRemoval.index()]
        .is_some_and(|c| c.notes.has(Note::PreconditionFailed));
    if refusal(&a.condition) {
        Some(Withheld::Refused)
    } else if failed && a.condition.cured == State::Failed {
        Some(Withheld::NotCured)
    } else if failed {
        Some(Withheld::NotPrepared)
    } else {
        let c = &a.condition;
        let stands_on = [
            c.no_crack,
            c.not_moved,
            c.no_crash,
            c.unregulated_use,
            c.prepared,
            c.cured,
        ];
        stands_on
            .contains(&State::Unknown)
            .then_some(Withheld::NotLooked)
    }
}

fn stop(a: &Assembly, r: &Assessment, glue: Torque) -> Stop {
    let neck = neck_limit(a, r);
    let by_neck = neck.is_some_and(|neck| neck < glue);
    let check = r.checks[CheckId::BondRemoval.index()];
    let open = check
        .filter(|c| c.verdict == Verdict::NotJudged)
        .and_then(|c| c.reason);
    let of = |id| unknown(a, &r.evaluation.ring, id);
    let fitting = match neck {
        None => Some(Reason::FittingYieldMissing),
        Some(_) => of(CheckId::Neck),
    };
    Stop {
        torque: neck.filter(|_| by_neck).unwrap_or(glue),
        by_neck,
        unknown: [open.or(of(CheckId::BondRemoval)), fitting],
    }
}
