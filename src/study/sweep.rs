//! What if: results of the full model over a grid of entries.

use super::Control;
use crate::assess::caution::Cautions;
use crate::assess::check::{Check, CheckId, Reason, Verdict};
use crate::assess::values::{self, Value};
use crate::assess::window::{self, At, Window};
use crate::assess::{Assessment, assess};
use crate::job::Assembly;
use crate::job::vary::{Impossible, Scratch, Varying};
use crate::units::{Unit, si};
use rayon::prelude::*;
use std::sync::atomic::Ordering;

/// Values of one entry, evenly spread, both ends included, in SI base units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// The first.
    pub from: f64,
    /// The last.
    pub to: f64,
    /// How many.
    pub count: u64,
}

impl Range {
    /// One of the values.
    pub fn at(&self, index: u64) -> f64 {
        if index + 1 >= self.count {
            return if self.count > 1 { self.to } else { self.from };
        }
        self.from + (self.to - self.from) * (index as f64 / (self.count - 1) as f64)
    }
}

/// Every combination of the values; the last entry changes fastest.
#[derive(Debug, Clone, PartialEq)]
pub struct Grid {
    /// One range per entry.
    pub ranges: Vec<Range>,
}

impl Grid {
    /// How many points; nothing where that is beyond counting.
    pub fn len(&self) -> Option<u64> {
        self.ranges
            .iter()
            .try_fold(1u64, |n, r| n.checked_mul(r.count))
    }
    /// Is there no point at all?
    pub fn is_empty(&self) -> bool {
        self.len() == Some(0)
    }
    /// The values at a point.
    pub fn point(&self, mut index: u64, into: &mut Vec<f64>) {
        into.clear();
        into.resize(self.ranges.len(), 0.0);
        for (value, range) in into.iter_mut().zip(&self.ranges).rev() {
            *value = range.at(index % range.count);
            index /= range.count;
        }
    }
}

/// What is asked of a point.
#[derive(Clone, Copy)]
pub enum Of {
    /// The ratio of a check.
    Check(CheckId),
    /// A value.
    Value(&'static Value),
    /// The lower end of the window.
    WindowLow,
    /// Its upper end.
    WindowHigh,
    /// A bound of the window.
    Bound(CheckId),
    /// The lowest margin over the strength checks.
    LowestMargin,
    /// The check that has it.
    Governing,
    /// The check that the verdict is taken from.
    Deciding,
}

impl Of {
    /// By id.
    pub fn find(id: &str) -> Option<Of> {
        match id {
            "window.low" => Some(Of::WindowLow),
            "window.high" => Some(Of::WindowHigh),
            "margin" => Some(Of::LowestMargin),
            "governing" => Some(Of::Governing),
            "deciding" => Some(Of::Deciding),
            _ => match id.strip_prefix("window.bounds.") {
                Some(id) => CheckId::from_id(id).map(Of::Bound),
                None => CheckId::from_id(id)
                    .map(Of::Check)
                    .or_else(|| values::find(id).map(Of::Value)),
            },
        }
    }
    /// Every id that can be asked for.
    pub fn ids() -> Vec<String> {
        let checks = CheckId::ALL.iter().map(|c| c.id().to_string());
        let bounds = CheckId::ALL
            .iter()
            .map(|c| format!("window.bounds.{}", c.id()));
        let plain = [
            "margin",
            "governing",
            "deciding",
            "window.low",
            "window.high",
        ]
        .map(String::from);
        let values = values::every().map(|v| v.id.to_string());
        plain
            .into_iter()
            .chain(checks)
            .chain(bounds)
            .chain(values)
            .collect()
    }
    /// Its id.
    pub fn id(&self) -> String {
        match self {
            Of::Check(id) => id.id().into(),
            Of::Value(value) => value.id.into(),
            Of::WindowLow => "window.low".into(),
            Of::WindowHigh => "window.high".into(),
            Of::Bound(id) => format!("window.bounds.{}", id.id()),
            Of::LowestMargin => "margin".into(),
            Of::Governing => "governing".into(),
            Of::Deciding => "deciding".into(),
        }
    }
    /// Its unit.
    pub fn unit(&self) -> Unit {
        match self {
            Of::Value(value) => value.unit,
            Of::WindowLow | Of::WindowHigh | Of::Bound(_) => Unit::NewtonMetre,
            Of::Check(_) | Of::LowestMargin | Of::Governing | Of::Deciding => Unit::None,
        }
    }
    /// Is it a word rather than a number?
    pub fn is_word(&self) -> bool {
        matches!(self, Of::Governing | Of::Deciding)
    }
    fn needs_window(&self) -> bool {
        matches!(self, Of::WindowLow | Of::WindowHigh | Of::Bound(_))
    }
    fn get(&self, a: &Assembly, r: &Assessment, window: Option<&Window>) -> Cell {
        let number = match self {
            Of::Check(id) => r.checks[id.index()].as_ref().map(|c| c.ratio),
            Of::Value(value) => (value.get)(a, r),
            Of::WindowLow => window.and_then(|w| w.low).map(|(t, _)| si(t)),
            Of::WindowHigh => window.and_then(|w| w.high).map(|(t, _)| si(t)),
            Of::Bound(id) => window.and_then(|w| {
                w.bounds().find(|b| b.id == *id).and_then(|b| match b.at {
                    At::Torque(torque) => Some(si(torque)),
                    At::NeverBinds | At::NeverMet => None,
                })
            }),
            Of::LowestMargin => r
                .governing
                .and_then(|id| r.checks[id.index()].as_ref())
                .map(|c| c.margin()),
            Of::Deciding => return r.deciding(a).map_or(Cell::None, |c| Cell::Word(c.id.id())),
            Of::Governing => return r.governing.map_or(Cell::None, |id| Cell::Word(id.id())),
        };
        match number {
            Some(value) if !value.is_nan() => Cell::Number(value),
            _ => Cell::None,
        }
    }
}

/// One result at one point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cell {
    /// In SI base units.
    Number(f64),
    /// A word.
    Word(&'static str),
    /// There is none.
    None,
}

/// What a point came to.
#[derive(Debug, Clone, PartialEq)]
pub enum State {
    /// The worst verdict of its sides.
    Judged(Verdict),
    /// A solver did not converge; the worst verdict all the same.
    NotConverged(Verdict),
    /// There can be no such parts.
    Impossible(Impossible),
    /// Nothing of the face lies under the flange.
    NoSeat,
}

/// One point.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The entries, SI base units.
    pub point: Vec<f64>,
    /// What was asked, side by side with all of its ids.
    pub cells: Vec<Cell>,
    /// What it came to.
    pub state: State,
    /// The check that the verdict is taken from, where that is not the one with the lowest margin.
    pub decided: Option<CheckId>,
    /// Cautions that apply there.
    pub cautions: Cautions,
}

/// How the points came out.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Tally {
    /// Points looked at.
    pub points: u64,
    /// Something falls short there.
    pub short: u64,
    /// Something is not judged there, and nothing falls short.
    pub not_judged: u64,
    /// There can be no such parts.
    pub impossible: u64,
    /// A solver did not converge.
    pub not_converged: u64,
    /// Cautions that apply at any of them.
    pub cautions: Cautions,
}

impl Tally {
    fn count(&mut self, state: &State, cautions: Cautions) {
        self.points += 1;
        self.cautions = self.cautions.and(cautions);
        match state {
            State::Impossible(_) | State::NoSeat => self.impossible += 1,
            State::Judged(verdict) | State::NotConverged(verdict) => {
                match verdict {
                    Verdict::FallsShort | Verdict::Refused => self.short += 1,
                    Verdict::NotJudged => self.not_judged += 1,
                    Verdict::Meets | Verdict::Marginal => {}
                }
                if matches!(state, State::NotConverged(_)) {
                    self.not_converged += 1;
                }
            }
        }
    }
    fn add(&mut self, other: &Tally) {
        self.points += other.points;
        self.short += other.short;
        self.not_judged += other.not_judged;
        self.impossible += other.impossible;
        self.not_converged += other.not_converged;
        self.cautions = self.cautions.and(other.cautions);
    }
}

/// A sweep.
pub struct Sweep<'a> {
    /// The job with its entries free.
    pub varying: &'a Varying,
    /// The points.
    pub grid: Grid,
    /// What is asked.
    pub of: Vec<Of>,
}

/// Points in one piece of work, and pieces between two deliveries: so much is held at a time.
const PIECE: u64 = 512;
const PIECES: u64 = 64;

impl Sweep<'_> {
    /// The row of a point.
    pub fn row(&self, index: u64, scratch: &mut Scratch, row: &mut Row) {
        self.grid.point(index, &mut row.point);
        row.cells.clear();
        row.cautions = Cautions::default();
        row.decided = None;
        if let Err(why) = self.varying.put(&row.point, scratch) {
            row.state = State::Impossible(why);
            return self.empty(row);
        }
        let windows = self.of.iter().any(Of::needs_window);
        let mut worst = Verdict::Meets;
        let mut converged = true;
        for a in &scratch.sides {
            let result = assess(a).and_then(|r| {
                let window = windows.then(|| window::window(a, &r.checks)).transpose()?;
                Ok((r, window))
            });
            let Ok((r, window)) = result else {
                row.state = State::NoSeat;
                return self.empty(row);
            };
            if worst == Verdict::Meets || r.verdict.rank() > worst.rank() {
                let deciding = r.deciding(a).map(|c| c.id);
                let told = r.verdict != Verdict::Meets;
                row.decided = deciding.filter(|id| told && Some(*id) != r.governing);
            }
            worst = worst.worse(r.verdict);
            row.cautions = row.cautions.and(r.cautions);
            let not = |c: &Check| c.reason == Some(Reason::NotConverged);
            converged &= !r.checks.iter().flatten().any(not);
            let cells = self.of.iter().map(|of| of.get(a, &r, window.as_ref()));
            row.cells.extend(cells);
        }
        row.state = if converged {
            State::Judged(worst)
        } else {
            State::NotConverged(worst)
        };
    }

    fn empty(&self, row: &mut Row) {
        row.cells.clear();
        let sides = self.varying.job().sides.len();
        row.cells.resize(self.of.len() * sides, Cell::None);
    }

    /// Every point in order. `each` makes something of a row, on any thread; `deliver` takes what was made of a
    /// stretch of rows, in their order and whatever the number of threads; where it, or the control, says so, the sweep
    /// ends there.
    pub fn run<T: Default + Send>(
        &self,
        control: &Control,
        each: impl Fn(&Row, &mut T) + Sync,
        mut deliver: impl FnMut(T) -> bool,
    ) -> Tally {
        let total = self.grid.len().unwrap_or(0);
        let mut tally = Tally::default();
        let mut from = 0;
        // The first deliveries are small, so that something shows at once.
        let mut pieces = 1;
        while from < total && !control.stopped() {
            let upto = (from + PIECE * pieces).min(total);
            let starts: Vec<u64> = (from..upto).step_by(PIECE as usize).collect();
            let made: Vec<(T, Tally)> = starts
                .into_par_iter()
                .map_init(
                    || {
                        let row = Row {
                            point: Vec::new(),
                            cells: Vec::new(),
                            state: State::NoSeat,
                            decided: None,
                            cautions: Cautions::default(),
                        };
                        (self.varying.scratch(), row)
                    },
                    |(scratch, row), start| {
                        let (mut out, mut tally) = (T::default(), Tally::default());
                        for index in start..(start + PIECE).min(upto) {
                            self.row(index, scratch, row);
                            tally.count(&row.state, row.cautions);
                            each(row, &mut out);
                        }
                        (out, tally)
                    },
                )
                .collect();
            from = upto;
            pieces = (pieces * 2).min(PIECES);
            for (out, part) in made {
                tally.add(&part);
                control.done.store(tally.points, Ordering::Relaxed);
                if !deliver(out) {
                    return tally;
                }
            }
        }
        tally
    }
}
