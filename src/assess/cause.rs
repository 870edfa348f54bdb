//! What makes checks fall short in one job, so that advice fits the use and the cause.

use super::check::{CheckId, Verdict};
use super::{Assessment, basis, closed};
use crate::job::assembly::*;
use crate::units::*;

/// What an advice depends on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Causes {
    /// The insert is a boss or plain insert and carries no bearing.
    pub boss: bool,
    /// The flange bears on the insert alone already.
    pub on_insert: bool,
    /// Gaps were read under the flange.
    pub uneven: bool,
    /// A part lies between head and boss.
    pub clamped: bool,
    /// Nothing is left of the preload at its low end.
    pub nothing_left: bool,
    /// No turn of the thread carries.
    pub no_thread: bool,
    /// In the cold the pair of materials stresses the glue more than the load does.
    pub cold_by_temperature: bool,
    /// The same in the heat.
    pub hot_by_temperature: bool,
    /// The face that crushes is the wall's.
    pub wall_crushes: bool,
    /// The state of thread and seat is not known, so that the preload may lie anywhere in a wide band.
    pub friction_unknown: bool,
    /// The glue sets well above the temperature of a room.
    pub warm_cure: bool,
    /// No torque meets every limit, so that there is none to raise it to.
    pub no_window: bool,
}

impl Causes {
    /// Those of one assessment.
    pub fn of(a: &Assembly, r: &Assessment) -> Causes {
        let e = &r.evaluation;
        let (cold, hot) = by_temperature(a, r);
        let crush = r.checks[CheckId::SeatCrush.index()];
        let wall_crushes = crush
            .filter(|c| c.verdict != Verdict::Meets)
            .and_then(|c| basis::wall_crushes(a, r, &c));
        Causes {
            boss: a.purpose == Use::Boss,
            on_insert: e.ring.frame.is_none(),
            uneven: !a.seat.gaps.is_empty(),
            clamped: a.clamped.is_some(),
            nothing_left: si(e.preloads.low) <= 0.0,
            no_thread: si(e.geometry.engaged) <= 0.0,
            cold_by_temperature: cold,
            hot_by_temperature: hot,
            wall_crushes: wall_crushes.unwrap_or(e.ring.frame.is_some()),
            friction_unknown: a.tightening.friction_unknown,
            // Above any room: a glue that sets there has been warmed. No source.
            warm_cure: a.bond.cure_temperature > celsius(30.0),
            no_window: false,
        }
    }
}

/// Does temperature stress the glue more than the load, at the coldest and at the hottest?
fn by_temperature(a: &Assembly, r: &Assessment) -> (bool, bool) {
    let e = &r.evaluation;
    let Some(c) = &e.coupled else {
        return (false, false);
    };
    let of = |stress: Option<Pressure>| stress.map_or(0.0, |s| si(s).abs());
    let load = of(c.rocking_peel).hypot(of(c.axial_peak) + of(c.rocking_shear));
    let radius = e.geometry.bond_radius;
    let hot_shear = a.cases.first().map_or(0.0, |case| {
        let lag = closed::shear_lag(a, radius);
        si(closed::thermal_shear(a, lag, case.hottest, a.bond.length)).abs()
    });
    // Pressure across the glue does it no harm.
    let exceeds = |radial: Pressure, shear: f64| si(radial).max(0.0).hypot(shear) > load;
    (
        exceeds(e.glue.radial_cold, si(e.glue.shear_cold)),
        exceeds(e.glue.radial_hot, hot_shear),
    )
}
