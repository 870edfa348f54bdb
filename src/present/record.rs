//! The record for the hand-over: what was found and done, and what was planned against what was done.

use super::report::{Amount, WindowReport};
use super::text::Layout;
use crate::assess::undo::Undoing;
use crate::job::record::{Fact, Record};
use crate::units::{System, si};
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

/// What the figures of a record are held against.
#[derive(Debug, Clone, Copy)]
pub struct Against<'a> {
    /// The window of the joint in question.
    pub window: Option<&'a WindowReport>,
    /// Whose window that is: of the route that was done, or of the joint as stated.
    pub of_route: bool,
    /// Undoing.
    pub undoing: Option<Undoing>,
}

/// The route that was done, as the record names it.
pub fn route_done(record: &Record) -> Option<&str> {
    record.pairs.iter().find_map(|p| match &p.actual {
        Some(Fact::Text(name)) if p.about == "route" => Some(name.as_str()),
        _ => None,
    })
}

impl RecordReport {
    /// The record of a side, held against what was computed; nothing for a job that records nothing.
    pub fn new(record: &Record, against: Option<Against<'_>>) -> Option<RecordReport> {
        if record.is_empty() {
            return None;
        }
        let other_joint =
            route_done(record).is_some() && against.is_some_and(|against| !against.of_route);
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
                    .zip(against)
                    .and_then(|(actual, against)| note(p.about, actual, against, other_joint)),
            })
            .collect();
        Some(RecordReport {
            entries: super::report::Ordered(record.texts.clone()),
            planned_against_actual,
        })
    }
}

/// What a recorded figure means against what was computed.
fn note(about: &str, actual: &Fact, against: Against<'_>, other_joint: bool) -> Option<String> {
    let Fact::Quantity(actual, _) = actual else {
        return None;
    };
    match about {
        // The window of a joint that is no longer there says nothing of the one that was tightened.
        "torque" if other_joint => Some(
            "not held against a window: the joint is judged here as it was before the route done (actual_route); `repair` has the route's own"
                .into(),
        ),
        "torque" => {
            let window = against.window?;
            let whose = if against.of_route {
                "of the route done"
            } else {
                "of the joint as stated"
            };
            if window.empty {
                return Some(format!(
                    "no torque meets every limit {whose}: the window is empty"
                ));
            }
            let above = window.high.as_ref().filter(|e| *actual > e.torque.si);
            let below = window.low.as_ref().filter(|e| *actual < e.torque.si);
            let (end, word) = above
                .map(|e| (e, "above the upper end"))
                .or(below.map(|e| (e, "below the lower end")))?;
            Some(format!("{word} of the window {whose} ({})", end.governed_by))
        }
        "removal_torque" => {
            let stop = against.undoing?.stop.ok()?;
            let (limit, look) = if stop.by_neck {
                (
                    "neck.removal.limit",
                    "damage to the fitting, and for a shift of the insert",
                )
            } else {
                ("bond.removal.limit", "a shift of the insert")
            };
            (*actual > si(stop.torque)).then(|| {
                format!("above the torque at which to stop ({limit}): look for {look}")
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
