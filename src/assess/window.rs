//! The window of torques that meet every limit entered: each bound by name, found on the full model.

use super::check::{Check, CheckId, Reason, Verdict};
use super::coupled::{self, Ends, Model};
use super::{NoSeat, Preloads, Raw, closed, need, root, wrench};
use crate::job::assembly::*;
use crate::units::*;

/// Which end of the window a bound belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// No less than this.
    Low,
    /// No more than this.
    High,
}

/// Where a bound lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum At {
    /// At this torque at the fitting.
    Torque(Torque),
    /// No torque is limited by it.
    NeverBinds,
    /// No torque satisfies it.
    NeverMet,
}

/// One bound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// The check that it keeps.
    pub id: CheckId,
    /// Which end.
    pub end: End,
    /// Where.
    pub at: At,
    /// It informs and does not rule.
    pub advice_only: bool,
    /// It rests on a value that nobody knows.
    pub rests_on_unknown: bool,
}

/// The most bounds that there can be.
const MOST: usize = 18;

/// The window of one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    bounds: [Option<Bound>; MOST],
    /// The highest lower bound that rules.
    pub low: Option<(Torque, CheckId)>,
    /// The lowest upper bound that rules.
    pub high: Option<(Torque, CheckId)>,
    /// No torque meets every limit.
    pub empty: bool,
    /// The torque to aim for.
    pub aim: Aim,
    /// The wrench at the torque to aim for, or at the job's own where none is named.
    pub wrench: wrench::Use,
    left_out: [Option<(CheckId, Reason)>; MOST],
}

impl Window {
    /// The bounds in the order of the checks, the lower ones first.
    pub fn bounds(&self) -> impl Iterator<Item = &Bound> {
        self.bounds.iter().flatten()
    }
    /// What could not be turned into a bound, and why.
    pub fn left_out(&self) -> impl Iterator<Item = (CheckId, Reason)> {
        self.left_out.iter().flatten().copied()
    }
    /// The limits that leave no window: those that cross, or those that nothing satisfies.
    pub fn crossing(&self) -> impl Iterator<Item = CheckId> {
        let never = self
            .bounds()
            .filter(|b| b.at == At::NeverMet && !b.advice_only)
            .map(|b| b.id);
        // Short at every torque, a limit has nothing to cross.
        let hopeless = self.high.filter(|(t, _)| si(*t) <= 0.0).map(|h| h.1);
        let crossed = self
            .low
            .zip(self.high)
            .filter(|(l, h)| hopeless.is_none() && l.0 > h.0)
            .map(|(l, h)| [h.1, l.1]);
        never.chain(hopeless).chain(crossed.into_iter().flatten())
    }
    /// Is every limit in it?
    pub fn complete(&self) -> bool {
        self.left_out.iter().all(Option::is_none)
    }
}

/// The torque to aim for, or why none is named.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Aim {
    /// The job's own torque lies inside.
    Own(Torque),
    /// The middle; the job's own lies outside.
    Middle(Torque),
    /// The upper end; the job's own lies above it.
    UpperEnd(Torque),
    /// The lower end; the job's own lies below it.
    LowerEnd(Torque),
    /// The job is not judged.
    NotJudged,
    /// Inside the bounds a check falls short all the same.
    ShortInside,
    /// There is no window.
    Empty,
}

impl Aim {
    /// The torque, where there is one.
    pub fn torque(self) -> Option<Torque> {
        match self {
            Aim::Own(t) | Aim::Middle(t) | Aim::UpperEnd(t) | Aim::LowerEnd(t) => Some(t),
            Aim::NotJudged | Aim::ShortInside | Aim::Empty => None,
        }
    }
}

/// The bounds keep the bare ratios; what a verdict counts besides (soft walls, unknowns, other readings) they
/// cannot see. So the torque is named only where the job judged at it says nothing else.
fn aim(
    a: &Assembly,
    checks: &[Option<Check>; CheckId::COUNT],
    (low, high): (Option<Torque>, Option<Torque>),
) -> Result<Aim, NoSeat> {
    let own = a.tightening.torque;
    let inside = low.is_none_or(|l| own.nominal >= l) && high.is_none_or(|h| own.nominal <= h);
    let aim = match (low, high) {
        _ if inside => Aim::Own(own.nominal),
        (Some(l), Some(h)) => Aim::Middle((l + h) / 2.0),
        (None, Some(h)) => Aim::UpperEnd(h),
        (Some(l), None) => Aim::LowerEnd(l),
        (None, None) => Aim::Own(own.nominal),
    };
    let Some(torque) = aim.torque().filter(|_| !inside) else {
        return Ok(named(aim, a, checks));
    };
    let factor = si(torque) / si(own.nominal);
    let mut there = a.clone();
    there.tightening.torque = own.map(|t| t * factor);
    // An end lies where its check just holds; rounding must not turn it into one that falls short.
    let checks = super::assess(&there)?.checks.map(|check| {
        check.map(|mut c| {
            if c.verdict == Verdict::FallsShort && c.margin() > -1e-6 && c.decided_by().is_none() {
                c.verdict = Verdict::Marginal;
            }
            c
        })
    });
    Ok(named(aim, &there, &checks))
}

fn named(aim: Aim, a: &Assembly, checks: &[Option<Check>; CheckId::COUNT]) -> Aim {
    match super::overall(a, checks) {
        Verdict::NotJudged => Aim::NotJudged,
        Verdict::FallsShort | Verdict::Refused => Aim::ShortInside,
        Verdict::Meets | Verdict::Marginal => aim,
    }
}

/// The checks that bound the torque from above.
const UPPER: [CheckId; 13] = [
    CheckId::StripExternal,
    CheckId::StripInternal,
    CheckId::Hoop,
    CheckId::Neck,
    CheckId::Flange,
    CheckId::BondTightening,
    CheckId::BondRemoval,
    CheckId::BondServiceCold,
    CheckId::BondServiceHot,
    CheckId::BondEndurance,
    CheckId::BondSustained,
    CheckId::SeatCrush,
    CheckId::FramePullThrough,
];

/// How far from the job's own torque a bound is looked for, and in which steps.
const SPAN: f64 = 1024.0;
const STEP: f64 = 2.0;

/// The most that a check can be short by: enough for any search, and no hindrance to false position.
const MOST_SHORT: f64 = 1e6;

/// The model at any torque.
struct Trials<'a> {
    assembly: &'a Assembly,
    model: Model<'a>,
    ring: crate::mechanics::seat::Ring,
    torque: Spread<Torque>,
}

impl Trials<'_> {
    /// All raw checks at a torque, in newton metres at the fitting, with the tool's share kept.
    fn at(&self, torque_nm: f64, ends: Ends) -> [Option<Raw>; CheckId::COUNT] {
        let preloads = self.preloads(torque_nm);
        let mut raw = self.model.states(&preloads, ends).raw;
        let high = preloads.band.high.preload;
        for (id, parent) in super::parent::checks(self.assembly, &self.ring, high) {
            raw[id.index()] = parent;
        }
        raw
    }

    /// The preload band at a torque (N·m).
    fn preloads(&self, torque_nm: f64) -> Preloads {
        let factor = torque_nm / si(self.torque.nominal);
        let scaled = self.torque.map(|t| t * factor);
        let before = super::before_settling(self.assembly, &self.ring, scaled);
        coupled::with_embedding(
            self.assembly,
            &before,
            self.model.thread_stiffness,
            self.model.seat_stiffness,
        )
    }

    /// Required over reserve, less one: below zero where the check is kept; not a number where it is not judged.
    fn excess(&self, raw: &[Option<Raw>; CheckId::COUNT], id: CheckId) -> f64 {
        match &raw[id.index()] {
            Some(raw) if raw.reason.is_none() && raw.ratio > 0.0 => {
                (need(self.assembly, id) / raw.ratio - 1.0).min(MOST_SHORT)
            }
            Some(raw) if raw.reason.is_none() => MOST_SHORT,
            _ => f64::NAN,
        }
    }

    /// The highest torque that keeps a check. Where one of its states cannot be judged, the others still bound
    /// it: what is not judged is not short.
    fn highest(&self, grid: &[(f64, [Option<Raw>; CheckId::COUNT])], id: CheckId) -> At {
        let excess = |raw: &[Option<Raw>; CheckId::COUNT]| {
            let excess = self.excess(raw, id);
            if excess.is_nan() { -1.0 } else { excess }
        };
        let kept = grid.iter().rposition(|(_, raw)| excess(raw) <= 0.0);
        match kept {
            None => At::Torque(newton_metre(0.0)),
            Some(i) if i + 1 == grid.len() => At::NeverBinds,
            Some(i) => {
                let (low, high) = (grid[i].0, grid[i + 1].0);
                let found = root::between(low, high, 1e-10, |t| excess(&self.at(t, Ends::High)));
                At::Torque(newton_metre(found))
            }
        }
    }

    /// The torque at whose low preload a ring with gaps closes all round; nothing where it always or never does.
    fn closing(&self) -> Option<f64> {
        if self.assembly.seat.gaps.is_empty() {
            return None;
        }
        let closed = |t: f64| self.model.closes(&self.preloads(t));
        let start = si(self.torque.nominal);
        let (mut open, mut shut) = (start / SPAN, start * SPAN);
        if closed(open) || !closed(shut) {
            return None;
        }
        while shut > open * (1.0 + 1e-10) {
            let middle = (open * shut).sqrt();
            if closed(middle) {
                shut = middle;
            } else {
                open = middle;
            }
        }
        Some(shut)
    }

    /// Lower bound of the opening, and an upper one where there is one.
    ///
    /// A ring with gaps that has just closed opens at the slightest moment, while before it closed only the loss
    /// of a tenth of its area counted (engineering basis, section 6). So beyond the torque that closes it there
    /// may be a stretch that falls short, with torques below and above it that do not; the bounds are those of
    /// the stretch in which the job's own torque lies, or of the upper one where it lies in neither.
    fn opening(&self) -> (Option<At>, Option<f64>) {
        let id = CheckId::SeatOpen;
        let excess = |t: f64| self.excess(&self.at(t, Ends::Low), id);
        let own = si(self.torque.nominal);
        let gap = self
            .closing()
            .filter(|shut| excess(shut * (1.0 + 1e-6)) > 0.0);
        let Some(shut) = gap else {
            return (self.lowest(id, own), None);
        };
        let just_shut = shut * (1.0 + 1e-6);
        if own < shut && excess(own) <= 0.0 {
            return (self.lowest(id, own), Some(shut));
        }
        (self.lowest(id, just_shut), None)
    }

    /// The lowest torque from which on a check is kept, looked for from `start`.
    fn lowest(&self, id: CheckId, start: f64) -> Option<At> {
        let excess = |t: f64| self.excess(&self.at(t, Ends::Low), id);
        let here = excess(start);
        if here.is_nan() {
            return None;
        }
        let mut inner = start;
        if here > 0.0 {
            while inner < start * SPAN {
                let outer = inner * STEP;
                if excess(outer) <= 0.0 {
                    return Some(At::Torque(newton_metre(root::between(
                        inner, outer, 1e-10, excess,
                    ))));
                }
                inner = outer;
            }
            return Some(At::NeverMet);
        }
        while inner > start / SPAN {
            let outer = inner / STEP;
            if excess(outer) > 0.0 {
                return Some(At::Torque(newton_metre(root::between(
                    outer, inner, 1e-10, excess,
                ))));
            }
            inner = outer;
        }
        Some(At::NeverBinds)
    }
}

/// The window of a side whose checks have been judged.
///
/// # Errors
/// [`NoSeat`] where the stated way of bearing leaves no ring.
pub fn window(
    assembly: &Assembly,
    checks: &[Option<Check>; CheckId::COUNT],
) -> Result<Window, NoSeat> {
    let ring = closed::ring(assembly, closed::stated_bearing(assembly)).ok_or(NoSeat)?;
    let mut bounds = [None; MOST];
    let mut left_out = [None; MOST];
    let mut count = 0;
    let mut left = 0;
    let unknown = |id: CheckId| super::unknown(assembly, &ring, id).is_some();
    let mut put = |id: CheckId, end: End, at: At, advice_only: bool| {
        if count < MOST {
            bounds[count] = Some(Bound {
                id,
                end,
                at,
                advice_only,
                rests_on_unknown: unknown(id),
            });
            count += 1;
        }
    };
    let mut leave = |id: CheckId, reason: Reason| {
        if left < MOST {
            left_out[left] = Some((id, reason));
            left += 1;
        }
    };
    let mut shuts = None;
    let maker = assembly.tightening.maker_torque;
    match Model::new(assembly, &closed::geometry(assembly), &ring, 1.0) {
        Ok(model) => {
            let trials = Trials {
                assembly,
                model,
                ring,
                torque: assembly.tightening.torque,
            };
            let own = si(assembly.tightening.torque.nominal);
            for (id, advice_only) in [(CheckId::SeatOpen, false), (CheckId::SeatSlip, true)] {
                let Some(check) = &checks[id.index()] else {
                    continue;
                };
                if check.ratio.is_infinite() && check.demand.is_nan() {
                    put(id, End::Low, At::NeverBinds, advice_only);
                    continue;
                }
                let found = if id == CheckId::SeatOpen {
                    let (low, high) = trials.opening();
                    shuts = high;
                    low
                } else {
                    trials.lowest(id, own)
                };
                match found {
                    Some(at) => put(id, End::Low, at, advice_only),
                    None if !advice_only => leave(id, check.reason.unwrap_or(Reason::NotConverged)),
                    None => {}
                }
            }
            if let Some((low, _)) = maker {
                put(CheckId::TorqueMaker, End::Low, At::Torque(low), false);
            }
            let mut grid = Vec::with_capacity(32);
            let mut torque = own / SPAN;
            // Counted as well, so that a magnitude beyond all numbers ends too.
            while torque <= own * SPAN * 1.01 && grid.len() < 64 {
                grid.push((torque, trials.at(torque, Ends::High)));
                torque *= STEP;
            }
            for id in UPPER {
                if grid.iter().all(|(_, raw)| raw[id.index()].is_none()) {
                    if let Some(Check {
                        verdict: Verdict::NotJudged,
                        reason: Some(reason),
                        ..
                    }) = checks[id.index()]
                    {
                        leave(id, reason);
                    }
                    continue;
                }
                // A removal torque that the job states does not depend on the torque that goes in.
                if id == CheckId::BondRemoval && assembly.tightening.removal_torque.is_some() {
                    continue;
                }
                // What is not judged in one state may be short in another, which bounds it all the same.
                let states = || grid.iter().filter_map(|(_, raw)| raw[id.index()]);
                let reason = states().find_map(|raw| raw.reason.or(raw.at_best));
                if let Some(reason) = reason {
                    leave(id, reason);
                }
                if states().any(|raw| raw.reason.is_none()) {
                    put(id, End::High, trials.highest(&grid, id), false);
                }
            }
        }
        Err(reason) => {
            if let Some((low, _)) = maker {
                put(CheckId::TorqueMaker, End::Low, At::Torque(low), false);
            }
            for id in UPPER {
                match &checks[id.index()] {
                    // Threads without an engaged turn hold at no torque.
                    Some(check) if check.reason.is_none() && check.ratio == 0.0 => {
                        put(id, End::High, At::Torque(newton_metre(0.0)), false)
                    }
                    Some(check) => leave(id, check.reason.unwrap_or(reason)),
                    None => {}
                }
            }
        }
    }
    if let Some((_, high)) = maker {
        put(CheckId::TorqueMaker, End::High, At::Torque(high), false);
    }
    // Only where it rules: a torque that nobody could apply closes most uneven faces.
    if let Some(shut) = shuts.map(newton_metre) {
        let lower = |b: &Bound| b.end == End::High && matches!(b.at, At::Torque(t) if t <= shut);
        if !bounds.iter().flatten().any(lower) && count < MOST {
            bounds[count] = Some(Bound {
                id: CheckId::SeatOpen,
                end: End::High,
                at: At::Torque(shut),
                advice_only: false,
                rests_on_unknown: unknown(CheckId::SeatOpen),
            });
        }
    }
    let mut low: Option<(Torque, CheckId)> = None;
    let mut high: Option<(Torque, CheckId)> = None;
    let mut never_met = false;
    for bound in bounds.iter().flatten().filter(|b| !b.advice_only) {
        match (bound.end, bound.at) {
            (End::Low, At::Torque(t)) if low.is_none_or(|(known, _)| t > known) => {
                low = Some((t, bound.id))
            }
            (End::High, At::Torque(t)) if high.is_none_or(|(known, _)| t < known) => {
                high = Some((t, bound.id))
            }
            (_, At::NeverMet) => never_met = true,
            _ => {}
        }
    }
    let crossed = low.zip(high).is_some_and(|(l, h)| l.0 > h.0);
    let nothing = high.is_some_and(|(h, _)| si(h) <= 0.0);
    let empty = crossed || never_met || nothing;
    let aim = if empty {
        Aim::Empty
    } else {
        aim(assembly, checks, (low.map(|l| l.0), high.map(|h| h.0)))?
    };
    let wanted = aim.torque().unwrap_or(assembly.tightening.torque.nominal);
    Ok(Window {
        bounds,
        low,
        high,
        empty,
        aim,
        wrench: wrench::Use::of(assembly, wanted),
        left_out,
    })
}
