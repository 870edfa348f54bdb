//! What a repair reads beyond the assembly: the damage found, routes of the job's own, and the record for
//! the hand-over.

use super::assembly::{Damage, DamagedSector};
use super::diagnostic::Diagnostic;
use super::document::{Document, Raw};
pub use super::ledger::Fact;
use super::read::Reader;
use crate::units::*;

/// A repair route that the job names: a built-in one with its price, or one of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnRoute {
    /// Its name; `any` stands for all.
    pub name: String,
    /// Price, parts included.
    pub price: Option<f64>,
    /// Hours.
    pub hours: Option<f64>,
    /// Price of an hour.
    pub rate: Option<f64>,
    /// Price of parts and material.
    pub parts: Option<f64>,
    /// What it changes: key and value as text.
    pub set: Vec<(String, String)>,
}

/// One thing that was planned and done.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// What it is about: the key without `planned_` or `actual_`.
    pub about: &'static str,
    /// What was planned.
    pub planned: Option<Fact>,
    /// What was done or found.
    pub actual: Option<Fact>,
}

impl Pair {
    /// How far the actual lies above the planned, where both are quantities that have a difference.
    pub fn difference(&self) -> Option<Fact> {
        match (&self.planned, &self.actual) {
            (Some(Fact::Quantity(_, Unit::Celsius)), _) => None,
            (Some(Fact::Quantity(planned, unit)), Some(Fact::Quantity(actual, _))) => {
                Some(Fact::Quantity(actual - planned, *unit))
            }
            _ => None,
        }
    }
}

/// The record for the hand-over.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Record {
    /// Key and text, in the order in which a person would fill them in.
    pub texts: Vec<(&'static str, String)>,
    /// Planned against actual.
    pub pairs: Vec<Pair>,
}

impl Record {
    /// Is there anything in it?
    pub fn is_empty(&self) -> bool {
        self.texts.is_empty() && self.pairs.is_empty()
    }
}

/// Texts of the record.
pub const TEXTS: [&str; 11] = [
    "object",
    "complaint",
    "as_found",
    "cause",
    "done",
    "materials",
    "not_checked",
    "by",
    "date",
    "instruments",
    "recheck",
];
/// What is planned and done, with its kind; nothing for a text.
const PAIRS: [(&str, Option<Kind>); 8] = [
    ("route", None),
    ("thread", None),
    ("torque", Some(Kind::Torque)),
    ("removal_torque", Some(Kind::Torque)),
    ("facing", Some(Kind::Length)),
    ("width", Some(Kind::Length)),
    ("gap", Some(Kind::Length)),
    ("cure_temperature", Some(Kind::Temperature)),
];

/// Reads `[record]`. The torque that was planned is the job's own unless the record says otherwise.
pub(super) fn read_record(r: &mut Reader<'_>) -> Record {
    let mut record = Record::default();
    if !r.has_table("record") {
        return record;
    }
    for key in TEXTS {
        let path = format!("record.{key}");
        if let Some(text) = r.text(&path).filter(|t| !t.is_empty()) {
            record.texts.push((key, text));
        }
    }
    for (about, kind) in PAIRS {
        let read = |r: &mut Reader<'_>, path: &str| match kind {
            Some(kind) => r
                .spread(path, kind)
                .map(|s| Fact::Quantity(s.nominal, kind.unit())),
            None => r.text(path).filter(|t| !t.is_empty()).map(Fact::Text),
        };
        let mut planned = read(r, &format!("record.planned_{about}"));
        let actual = read(r, &format!("record.actual_{about}"));
        if about == "torque" && planned.is_none() {
            let found = r.found.len();
            planned = read(r, "tightening.torque");
            // What is wrong with that entry is said where the entry itself is read.
            r.found.truncate(found);
        }
        if about == "thread" && planned.is_none() && actual.is_some() {
            planned = read(r, "thread.designation");
        }
        if planned.is_some() || actual.is_some() {
            record.pairs.push(Pair {
                about,
                planned,
                actual,
            });
        }
    }
    record
}

/// Reads `[damage]`.
pub(super) fn read_damage(r: &mut Reader<'_>) -> Option<Damage> {
    if !r.has_table("damage") {
        return None;
    }
    let missing_turns = r
        .quantity::<Ratio>("damage.missing_turns", Kind::Number)
        .map(|s| s.nominal);
    let length = |r: &mut Reader<'_>, path: &str| {
        let value = r.quantity::<Length>(path, Kind::Length).map(|s| s.nominal);
        if let Some(value) = value {
            r.not_negative(path, value);
        }
        value
    };
    if let Some(turns) = missing_turns {
        r.not_negative("damage.missing_turns", turns);
    }
    let wear = length(r, "damage.wear");
    // A wall that is gone is written as 0: then the laminate is bare.
    let wall_measured = length(r, "damage.wall_measured");
    let corroded = r
        .text("damage.corrosion")
        .is_some_and(|text| !["", "none", "no"].contains(&text.trim().to_lowercase().as_str()));
    let cause_known = r.flag("damage.cause_known");
    let mut sectors = Vec::new();
    for element in r.elements("damage.sector") {
        let missing = |r: &mut Reader<'_>, key: &str| {
            let path = format!("{element}.{key}");
            if r.document.get(&path).is_none() {
                r.complain(
                    &path,
                    format!("`{path}` is missing"),
                    "a sector has from, to (clockwise, seen from outside) and turns",
                );
                return true;
            }
            false
        };
        let gaps = ["from", "to", "turns"].map(|key| missing(r, key));
        if gaps.contains(&true) {
            continue;
        }
        // The element's path is whole already.
        let read = r.with_prefixes(&[String::new()], |r| {
            let from = r.clock(&format!("{element}.from"));
            let to = r.clock(&format!("{element}.to"));
            let path = format!("{element}.turns");
            let turns = r.quantity::<Ratio>(&path, Kind::Number).map(|s| s.nominal);
            if let Some(turns) = turns {
                r.not_negative(&path, turns);
            }
            if from.is_some() && from == to {
                r.complain(
                    &format!("{element}.to"),
                    "a sector that ends where it begins",
                    "for turns gone all the way round write damage.missing_turns",
                );
            }
            Some((from?, to?, turns?))
        });
        if let Some((from, to, turns)) = read {
            let span = si(to - from).rem_euclid(std::f64::consts::TAU);
            sectors.push(DamagedSector {
                from,
                span: from_si(span),
                turns,
            });
        }
    }
    Some(Damage {
        missing_turns,
        sectors,
        wear,
        wall_measured,
        corroded,
        cause_known,
    })
}

/// Reads `[[route]]`.
pub(super) fn read_routes(document: &Document, found: &mut Vec<Diagnostic>) -> Vec<OwnRoute> {
    let mut r = Reader::new(document, &[String::new()]);
    let mut routes = Vec::new();
    for element in r.elements("route") {
        let name = r.needed_text(&format!("{element}.name"), "new insert");
        let mut one = |key: &str| {
            let path = format!("{element}.{key}");
            let value = r.quantity::<Ratio>(&path, Kind::Number).map(|s| s.nominal);
            if let Some(value) = value {
                r.not_negative(&path, value);
            }
            value.map(|v| v.value)
        };
        let (price, hours, rate, parts) = (one("price"), one("hours"), one("rate"), one("parts"));
        let prefix = format!("{element}.set.");
        let set = document
            .below(&prefix)
            .into_iter()
            .map(|(path, entry)| {
                let key = path[prefix.len()..].trim_matches('"').to_string();
                let value = match &entry.value {
                    Raw::Text(text) => text.clone(),
                    Raw::Integer(i) => i.to_string(),
                    Raw::Float(f) | Raw::Base(f) => f.to_string(),
                    Raw::Bool(b) => b.to_string(),
                    Raw::Other(what) => (*what).to_string(),
                };
                (key, value)
            })
            .collect();
        if let Some(name) = name {
            routes.push(OwnRoute {
                name,
                price,
                hours,
                rate,
                parts,
                set,
            });
        }
    }
    found.append(&mut r.found);
    routes
}
