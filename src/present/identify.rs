//! Thread identification in words.

use super::report::{Amount, CautionReport};
use super::text::{self, Layout};
use super::words;
use crate::assess::caution::Caution;
use crate::assess::identify::{Candidate, Instruments, Misfit, Reading, Readings, Settle, settle};
use crate::job::assembly::Hand;
use crate::units::display::{System, significant};
use crate::units::{Length, Unit, si};
use serde::Serialize;

/// One reading.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct ReadingReport {
    pub what: &'static str,
    pub value: Amount,
    pub error: Amount,
}

/// One candidate.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct CandidateReport {
    pub name: &'static str,
    pub fits: bool,
    pub against: Vec<String>,
    /// How far it would have to be worn, where nothing else speaks against it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worn: Option<Amount>,
    /// The side on which the table has it with the hand that was seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by_hand_seen: Option<&'static str>,
    pub major: Amount,
    pub pitch: Amount,
    pub internal_minor: Amount,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub used_for: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hand_note: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<&'static str>,
}

/// What would tell two of them apart.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct SettleReport {
    pub between: [&'static str; 2],
    pub decidable: bool,
    pub by: String,
}

/// A fitting screwed in by fingers.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct ByHandReport {
    pub turns: f64,
    pub fitting: String,
}

/// The whole answer.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct Identified {
    pub schema: &'static str,
    pub command: &'static str,
    pub identified: Option<&'static str>,
    pub answer: String,
    pub readings: Vec<ReadingReport>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by_hand: Option<ByHandReport>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hand: Option<&'static str>,
    pub candidates: Vec<CandidateReport>,
    pub settle: Vec<SettleReport>,
    pub preconditions: Vec<String>,
    pub assumed: Vec<super::report::AssumedReport>,
    pub overrides: Vec<String>,
    pub not_examined: Vec<&'static str>,
    pub cautions: Vec<CautionReport>,
}

/// How many threads that do not fit are shown: the nearest.
const NEAR: usize = 4;

const HAND_NOT_SEEN: &str =
    "the hand: see which way the fitting goes in (--goes-in), and do not take it from the side";
const NOT_EXAMINED: &[&str] = &[
    "the form of the flanks: a caliper and a pitch gauge do not tell 55 from 60 degrees",
    "each side for itself: threads of the two sides need not be a pair",
    "wear of the flanks: only crests were read, and a worn thread reads outside its limits",
];

fn length(value: Length) -> Amount {
    Amount {
        si: si(value),
        unit: Unit::Millimetre,
    }
}
fn shown(value: Length, system: System) -> String {
    Unit::Millimetre.show(si(value), system)
}

fn hand_word(hand: Hand) -> &'static str {
    match hand {
        Hand::Right => "right",
        Hand::Left => "left",
    }
}

/// On which side the table has a thread with this hand.
fn by_hand_seen(c: &Candidate, hand: Hand) -> &'static str {
    let left = |key: &str| c.row.text(key) == Some("left");
    match (hand, left("drive_hand"), left("other_hand")) {
        (_, true, true) | (Hand::Right, false, false) => "of the hand that was seen on both sides",
        (Hand::Left, true, false) | (Hand::Right, false, true) => {
            "of the hand that was seen on the drive side"
        }
        (Hand::Left, false, true) | (Hand::Right, true, false) => {
            "of the hand that was seen on the other side than the drive's"
        }
        (Hand::Left, false, false) => "the table does not have it left-hand: look again",
    }
}

fn against(misfit: Misfit, system: System) -> String {
    let shown = |value| shown(value, system);
    match misfit {
        Misfit::Major(off) => format!(
            "major diameter {} outside its limits, beyond the error",
            shown(off)
        ),
        Misfit::Minor(off) => format!(
            "minor diameter {} outside its limits, beyond the error",
            shown(off)
        ),
        Misfit::Pitch(off) => format!("pitch {} off, beyond the error", shown(off)),
        Misfit::ByHand(turns) => format!(
            "the fitting would bind after about {} turns",
            significant(turns.value, 2)
        ),
    }
}

fn settled_by(way: Settle, with: &Instruments, system: System) -> (bool, String) {
    let shown = |value| shown(value, system);
    let turns = significant(with.drift_turns.value, 3);
    match way {
        Settle::Pitch(drift) => (
            true,
            format!(
                "the pitch: {} of drift over {turns} turns; a pitch gauge, or a caliper over {turns} crests",
                shown(drift)
            ),
        ),
        Settle::Major(gap) => (
            true,
            format!(
                "the major diameter of the external thread: {} lie between their limits; a caliper over the crests",
                shown(gap)
            ),
        ),
        Settle::Minor(gap) => (
            true,
            format!(
                "the minor diameter of the internal thread: {} lie between their limits; a caliper in the bore",
                shown(gap)
            ),
        ),
        Settle::GaugeOnly => (
            false,
            "no reading of caliper or pitch gauge tells them apart; a thread gauge does, or a known good fitting of each"
                .to_string(),
        ),
    }
}

impl Identified {
    /// The answer to readings.
    pub fn new(
        readings: &Readings,
        candidates: &[Candidate],
        with: &Instruments,
        hand: Option<Hand>,
        system: System,
    ) -> Identified {
        let shown = |value| shown(value, system);
        let worn: Vec<(&Candidate, Length)> = candidates
            .iter()
            .filter_map(|c| Some((c, c.worn?)))
            .collect();
        let if_worn = |skip: &[&str]| -> Vec<String> {
            worn.iter()
                .filter(|(c, _)| !skip.contains(&c.row.name))
                .map(|(c, off)| format!("{} worn by {} or more", c.row.name, shown(*off)))
                .collect()
        };
        let fitting: Vec<&Candidate> = candidates.iter().filter(|c| c.fits()).collect();
        let reading = |what, reading: Option<Reading>| {
            reading.map(|r| ReadingReport {
                what,
                value: length(r.value),
                error: length(r.error),
            })
        };
        let pair = |a: &Candidate, b: &Candidate| {
            let (decidable, by) = settled_by(settle(a, b, with), with, system);
            SettleReport {
                between: [a.row.name, b.row.name],
                decidable,
                by,
            }
        };
        let settle: Vec<SettleReport> = match fitting.as_slice() {
            [] => Vec::new(),
            // What fits alone is still held against the twins that its row names, and against worn threads.
            [one] => candidates
                .iter()
                .filter(|c| one.row.list("twins").contains(&c.row.name) || c.worn.is_some())
                .map(|c| pair(one, c))
                .collect(),
            several => several
                .iter()
                .enumerate()
                .flat_map(|(i, a)| several[i + 1..].iter().map(move |b| (*a, *b)))
                .map(|(a, b)| pair(a, b))
                .collect(),
        };
        let names: Vec<&str> = fitting.iter().map(|c| c.row.name).collect();
        let answer = match names.as_slice() {
            [] if !worn.is_empty() => format!(
                "No thread of the table reads so as made. It may be {}: read a part that is not worn, or count the pitch over many turns.",
                if_worn(&[]).join(", or ")
            ),
            [] => {
                "No thread of the table fits these readings: read again, or it is not in the table."
                    .to_string()
            }
            [one] => {
                let overlapping: Vec<&str> = settle
                    .iter()
                    .filter(|s| !s.decidable)
                    .map(|s| s.between[1])
                    .collect();
                let doubt = if overlapping.is_empty() {
                    String::new()
                } else {
                    format!(
                        "; the limits of {} overlap with it, and a worn one could read the same",
                        overlapping.join(", ")
                    )
                };
                let others = if_worn(&overlapping);
                let others = if others.is_empty() {
                    String::new()
                } else {
                    format!("; {} would read the same", others.join(", or "))
                };
                format!("As far as these readings go, this is {one}{doubt}{others}.")
            }
            several if settle.iter().any(|s| s.decidable) => format!(
                "Not decided by these readings: {}. What would settle it stands below.",
                several.join(", ")
            ),
            several => format!(
                "Undecidable with a caliper and a pitch gauge: {}. A thread gauge decides.",
                several.join(", ")
            ),
        };
        Identified {
            schema: super::report::SCHEMA,
            command: "identify",
            identified: match fitting.as_slice() {
                [one] => Some(one.row.name),
                _ => None,
            },
            answer,
            readings: [
                reading("major diameter, external", readings.major),
                reading("minor diameter, internal", readings.minor),
                reading("pitch", readings.pitch),
            ]
            .into_iter()
            .flatten()
            .collect(),
            candidates: candidates
                .iter()
                .take(fitting.len() + worn.len().max(NEAR))
                .map(|c| CandidateReport {
                    name: c.row.name,
                    fits: c.fits(),
                    against: c.misfits.iter().flatten().map(|m| against(*m, system)).collect(),
                    worn: c.worn.map(length),
                    by_hand_seen: hand.map(|hand| by_hand_seen(c, hand)),
                    major: length(c.named.basic.major),
                    pitch: length(c.named.basic.pitch),
                    internal_minor: length(c.named.basic.internal_minor),
                    used_for: c.row.text("use"),
                    hand_note: c.row.text("hand_note"),
                    note: c.row.text("note"),
                })
                .collect(),
            settle,
            by_hand: None,
            hand: hand.map(hand_word),
            preconditions: Vec::new(),
            assumed: Vec::new(),
            overrides: Vec::new(),
            not_examined: hand
                .is_none()
                .then_some(HAND_NOT_SEEN)
                .into_iter()
                .chain(NOT_EXAMINED.iter().copied())
                .collect(),
            cautions: [Caution::MakerFirst, Caution::PlanningAid]
                .into_iter()
                .map(|c| CautionReport {
                    id: c.id(),
                    text: words::caution(c).into(),
                })
                .chain([CautionReport {
                    id: "never-force",
                    text: "Never screw in by force what does not start by fingers: a wrong thread ruins the housing. Do not run a tap to see.".into(),
                }])
                .collect(),
        }
    }

    /// The answer as text.
    pub fn text(&self, system: System, layout: Layout) -> String {
        let mut out = text::opening("identify", "readings", None, layout);
        out.push('\n');
        out.push_str(&layout.paragraph(&self.answer));
        let show = |a: Amount| a.unit.show(a.si, system);
        out.push_str(&layout.heading("Readings"));
        for r in &self.readings {
            out.push_str(&layout.item(
                "- ",
                &format!("{}: {} ± {}", r.what, show(r.value), show(r.error)),
            ));
        }
        if let Some(b) = &self.by_hand {
            let turns = significant(b.turns, 3);
            out.push_str(&layout.item(
                "- ",
                &format!("turns by fingers: {turns}, of {}", b.fitting),
            ));
        }
        if let Some(hand) = self.hand {
            let way = if hand == "left" {
                "anticlockwise"
            } else {
                "clockwise"
            };
            out.push_str(&layout.item("- ", &format!("hand: {hand}, it goes in {way}")));
        }
        for a in &self.assumed {
            out.push_str(&layout.item(
                "  ",
                &format!(
                    "assumed: {} = {} ({})",
                    a.key,
                    a.value.show(system),
                    a.source
                ),
            ));
        }
        out.push_str(&layout.heading("Candidates"));
        for c in &self.candidates {
            let mark = match (c.fits, c.worn) {
                (true, _) => "[fits]  ",
                (false, Some(_)) => "[worn?] ",
                (false, None) => "[no]    ",
            };
            let mut line = format!(
                "{}: major {}, pitch {}, bore {}",
                c.name,
                show(c.major),
                show(c.pitch),
                show(c.internal_minor)
            );
            if !c.against.is_empty() {
                line.push_str(&format!(". Against it: {}", c.against.join("; ")));
            } else {
                for part in [c.used_for, c.hand_note, c.by_hand_seen]
                    .into_iter()
                    .flatten()
                {
                    line.push_str(&format!("; {part}"));
                }
            }
            out.push_str(&layout.item(mark, &format!("{line}.")));
        }
        out.push_str(&layout.item(
            "",
            "Limits of rows with a name of their own are worked out, not published, and those of metric and unified names follow their standards as recalled and read: a gauge decides.",
        ));
        if !self.settle.is_empty() {
            out.push_str(&layout.heading("What tells them apart"));
            for s in &self.settle {
                out.push_str(&layout.item(
                    "- ",
                    &format!("{} or {}: {}.", s.between[0], s.between[1], s.by),
                ));
            }
        }
        out.push_str(&layout.heading("Not examined"));
        for line in &self.not_examined {
            out.push_str(&layout.item("- ", line));
        }
        out.push_str(&text::cautions(
            self.cautions.iter().map(|c| &*c.text),
            layout,
        ));
        out
    }
}
