//! The record for the hand-over: what was found and done, and what was planned against what was done.

use super::report::{Amount, SideReport};
use super::text::Layout;
use crate::job::record::{Fact, Record};
use crate::units::System;
use serde::Serialize;

/// A recorded fact: a quantity or a text.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
#[allow(missing_docs)]
pub enum FactReport {
    Quantity(Amount),
    Text(String),
}

/// One thing planned and done.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct PairReport {
    pub about: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub planned: Option<FactReport>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub actual: Option<FactReport>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub difference: Option<FactReport>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// The record.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct RecordReport {
    pub entries: super::report::Ordered<String>,
    pub planned_against_actual: Vec<PairReport>,
}

fn fact(fact: &Fact) -> FactReport {
    match fact {
        Fact::Quantity(si, unit) => FactReport::Quantity(Amount {
            si: *si,
            unit: *unit,
        }),
        Fact::Text(text) => FactReport::Text(text.clone()),
    }
}

fn show(fact: &FactReport, system: System) -> String {
    match fact {
        FactReport::Quantity(a) => a.unit.show(a.si, system),
        FactReport::Text(text) => text.clone(),
    }
}

impl RecordReport {
    /// The record of a side, held against its report where there is one; nothing for a job that records nothing.
    pub fn new(record: &Record, side: Option<&SideReport>) -> Option<RecordReport> {
        if record.is_empty() {
            return None;
        }
        let planned_against_actual = record
            .pairs
            .iter()
            .map(|p| PairReport {
                about: p.about,
                planned: p.planned.as_ref().map(fact),
                actual: p.actual.as_ref().map(fact),
                difference: p.difference().as_ref().map(fact),
                note: p
                    .actual
                    .as_ref()
                    .zip(side)
                    .and_then(|(actual, side)| note(p.about, actual, side)),
            })
            .collect();
        Some(RecordReport {
            entries: super::report::Ordered(record.texts.clone()),
            planned_against_actual,
        })
    }
}

/// What a recorded figure means against what was computed.
fn note(about: &str, actual: &Fact, side: &SideReport) -> Option<String> {
    let Fact::Quantity(actual, _) = actual else {
        return None;
    };
    match about {
        "torque" => {
            let window = side.window.as_ref()?;
            let above = window.high.as_ref().filter(|e| *actual > e.torque.si);
            let below = window.low.as_ref().filter(|e| *actual < e.torque.si);
            let (end, word) = above
                .map(|e| (e, "above the upper end"))
                .or(below.map(|e| (e, "below the lower end")))?;
            Some(format!("{word} of the window ({})", end.governed_by))
        }
        "removal_torque" => {
            let limit = side
                .values
                .0
                .iter()
                .find(|(id, _)| *id == "bond.removal.limit")?;
            (*actual > limit.1.si).then(|| {
                "above the torque at which to stop (bond.removal.limit): look for a shift of the insert"
                    .to_string()
            })
        }
        _ => None,
    }
}

fn words(key: &str) -> String {
    if key == "recheck" {
        return "Re-check".into();
    }
    let text = key.replace('_', " ");
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| {
        c.to_uppercase().chain(chars).collect::<String>()
    })
}

/// The section of a record; nothing without one.
pub fn text(record: Option<&RecordReport>, system: System, layout: Layout) -> String {
    let Some(record) = record else {
        return String::new();
    };
    let mut out = layout.heading("Record");
    for (key, text) in &record.entries.0 {
        out.push_str(&layout.item(
            "- ",
            &format!("{}: {}.", words(key), text.trim_end_matches('.')),
        ));
    }
    if record.planned_against_actual.is_empty() {
        return out;
    }
    if layout == Layout::Markdown && !record.entries.0.is_empty() {
        out.push('\n');
    }
    let cell = |fact: &Option<FactReport>| {
        fact.as_ref()
            .map_or_else(|| "–".to_string(), |f| show(f, system))
    };
    let rows: Vec<Vec<String>> = record
        .planned_against_actual
        .iter()
        .map(|p| {
            let difference = match &p.difference {
                Some(FactReport::Quantity(a)) if a.si > 0.0 => {
                    format!("+{}", a.unit.show(a.si, system))
                }
                other => cell(other),
            };
            vec![
                words(p.about),
                cell(&p.planned),
                cell(&p.actual),
                difference,
            ]
        })
        .collect();
    out.push_str(&layout.table(
        &["What", "Planned", "Actual", "Difference"],
        &rows,
        &[1, 2, 3],
    ));
    for p in &record.planned_against_actual {
        if let Some(note) = &p.note {
            out.push_str(&layout.item("! ", &format!("{}: {note}.", words(p.about))));
        }
    }
    out
}
