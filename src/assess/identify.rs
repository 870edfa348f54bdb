//! Which thread is it: readings held against the rows of the table, and near twins against each other.

use crate::job::designation::{self, Named};
use crate::job::resolve::default;
use crate::mechanics::wall;
use crate::tables::{self, Row};
use crate::units::*;

/// A reading with its limit of error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// What was read.
    pub value: Length,
    /// How far off it may be, either way.
    pub error: Length,
}

/// A fitting of a known thread that was screwed in by fingers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ByHand {
    /// Turns that it went.
    pub turns: Ratio,
    /// Its thread.
    pub fitting: Named,
}

/// Everything that was read.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Readings {
    /// Over the crests of the external thread.
    pub major: Option<Reading>,
    /// Across the crests of the internal thread.
    pub minor: Option<Reading>,
    /// Pitch.
    pub pitch: Option<Reading>,
    /// Turns by fingers.
    pub by_hand: Option<ByHand>,
}

/// Limits of error of the instruments, from the table of defaults.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Instruments {
    /// Caliper on outside sizes.
    pub outside: Length,
    /// Caliper on bores.
    pub inside: Length,
    /// Pitch gauge.
    pub gauge: Length,
    /// Turns over which two pitches are compared.
    pub drift_turns: Ratio,
    /// Wear on diameter up to which a thread is named as a worn one.
    pub wear: Length,
}

/// The instruments of the table.
pub fn instruments() -> Instruments {
    let length = |name: &str| from_si(default(name, Kind::Length).0);
    Instruments {
        outside: length("instrument.caliper"),
        inside: length("instrument.caliper.inside"),
        gauge: length("instrument.pitch-gauge"),
        wear: length("identify.wear"),
        drift_turns: number(default("identify.drift_turns", Kind::Number).0),
    }
}

/// A reading of the pitch taken as a length over several turns.
pub fn pitch_over(length: Reading, turns: Ratio) -> Reading {
    Reading {
        value: wall::pitch_over(length.value, turns),
        error: wall::pitch_over(length.error, turns),
    }
}

/// Why a thread is not the one, and by how much beyond the error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Misfit {
    /// The major diameter lies outside its limits.
    Major(Length),
    /// The minor diameter lies outside its limits.
    Minor(Length),
    /// The pitch differs.
    Pitch(Length),
    /// The fitting would have bound after this many turns.
    ByHand(Ratio),
}

/// A row of the table held against the readings.
#[derive(Clone, Copy)]
pub struct Candidate {
    /// The row.
    pub row: Row<'static>,
    /// Its sizes.
    pub named: Named,
    /// Limits of the external major diameter.
    pub major: (Length, Length),
    /// Limits of the internal minor diameter.
    pub minor: (Length, Length),
    /// What speaks against it, at most one of each kind.
    pub misfits: [Option<Misfit>; 4],
    /// How far it would have to be worn, on diameter, where nothing else speaks against it.
    pub worn: Option<Length>,
}

impl Candidate {
    /// Does nothing speak against it?
    pub fn fits(&self) -> bool {
        self.misfits.iter().all(Option::is_none)
    }
}

/// What would tell two threads apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Settle {
    /// The drift of their pitches over the usual number of turns.
    Pitch(Length),
    /// The external major diameter: the gap between their limits.
    Major(Length),
    /// The internal minor diameter: the gap between their limits.
    Minor(Length),
    /// Nothing that a caliper and a pitch gauge read.
    GaugeOnly,
}

/// How far a reading lies outside limits, beyond its error.
fn outside(reading: Reading, (low, high): (Length, Length)) -> Option<Length> {
    let below = low - (reading.value + reading.error);
    let above = (reading.value - reading.error) - high;
    let off = if below > above { below } else { above };
    (off > mm(0.0)).then_some(off)
}

/// How far a thread would have to be worn for its misfits: metal goes off the outside of an external and the
/// inside of an internal thread, and nothing else may speak against it.
fn worn(
    readings: &Readings,
    misfits: &[Option<Misfit>],
    major: (Length, Length),
    minor: (Length, Length),
    most: Length,
) -> Option<Length> {
    let mut wear = mm(0.0);
    for misfit in misfits.iter().flatten() {
        let off = match *misfit {
            Misfit::Major(off) if readings.major.is_some_and(|r| r.value < major.0) => off,
            Misfit::Minor(off) if readings.minor.is_some_and(|r| r.value > minor.1) => off,
            _ => return None,
        };
        if off > wear {
            wear = off;
        }
    }
    (wear > mm(0.0) && wear <= most).then_some(wear)
}

/// The gap between two pairs of limits; below zero where they overlap.
fn gap(a: (Length, Length), b: (Length, Length)) -> Length {
    let (one, other) = (b.0 - a.1, a.0 - b.1);
    if one > other { one } else { other }
}

/// Turns by fingers that a candidate and the fitting allow, the widest play taken.
fn turns_allowed(candidate: &Named, fitting: &Named) -> Ratio {
    let (hole, screw) = (candidate.least.internal_pitch, fitting.least.external_pitch);
    let falls_through = fitting.basic.major < candidate.basic.internal_minor;
    if screw > hole || falls_through {
        return number(0.0);
    }
    let play = wall::axial_play(hole, screw, candidate.basic.half_angle);
    wall::turns_to_bind(play, candidate.basic.pitch, fitting.basic.pitch)
}

/// All rows of the table, each thread once: those that fit first, then those that would if they were worn.
pub fn candidates(readings: &Readings, with: &Instruments) -> Vec<Candidate> {
    let mut found: Vec<Candidate> = Vec::new();
    for row in tables::THREADS.rows() {
        let Ok(named) = designation::by_name(row.name) else {
            continue;
        };
        if found.iter().any(|c| c.named == named) {
            continue;
        }
        let most = named.most.unwrap_or(named.basic.sizes());
        let major = (named.least.external_major, most.external_major);
        let minor = (most.internal_minor, named.least.internal_minor);
        let pitch = named.basic.pitch;
        let misfits = [
            readings
                .major
                .and_then(|r| outside(r, major))
                .map(Misfit::Major),
            readings
                .minor
                .and_then(|r| outside(r, minor))
                .map(Misfit::Minor),
            readings
                .pitch
                .and_then(|r| outside(r, (pitch, pitch)))
                .map(Misfit::Pitch),
            readings.by_hand.and_then(|by_hand| {
                let allowed = turns_allowed(&named, &by_hand.fitting);
                // A turn is counted to the nearest whole one.
                (by_hand.turns > allowed + number(1.0)).then_some(Misfit::ByHand(allowed))
            }),
        ];
        found.push(Candidate {
            row,
            named,
            major,
            minor,
            worn: worn(readings, &misfits, major, minor, with.wear),
            misfits,
        });
    }
    let off = |c: &Candidate| {
        let major = readings
            .major
            .map_or(mm(0.0), |r| (r.value - c.named.basic.major).abs());
        let minor = readings
            .minor
            .map_or(mm(0.0), |r| (r.value - c.named.basic.internal_minor).abs());
        si(major + minor)
    };
    found.sort_by(|a, b| {
        b.fits()
            .cmp(&a.fits())
            .then(b.worn.is_some().cmp(&a.worn.is_some()))
            .then(off(a).total_cmp(&off(b)))
            .then(a.row.name.cmp(b.row.name))
    });
    found
}

/// What would tell two candidates apart, the surest reading first.
pub fn settle(a: &Candidate, b: &Candidate, with: &Instruments) -> Settle {
    let drift = wall::drift(a.named.basic.pitch, b.named.basic.pitch, with.drift_turns);
    let (major, minor) = (gap(a.major, b.major), gap(a.minor, b.minor));
    if drift > 2.0 * with.outside {
        Settle::Pitch(drift)
    } else if major > 2.0 * with.outside {
        Settle::Major(major)
    } else if minor > 2.0 * with.inside {
        Settle::Minor(minor)
    } else {
        Settle::GaugeOnly
    }
}
