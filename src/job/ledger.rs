//! What a job rests on that nobody stated: defaults, weakest rows, rows of the job's own, sources.

use crate::units::{Length, Pressure, System, Unit, si};
use std::collections::BTreeMap;

/// Why a value stands although the job does not give it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// The key was left out.
    Default,
    /// The key says `"unknown"`: the weakest plausible value is used.
    Unknown,
    /// A row of the job's own replaces, or stands beside, the built-in table.
    OwnRow,
}

/// A value as it is kept for people.
#[derive(Debug, Clone, PartialEq)]
pub enum Fact {
    /// A quantity, in SI base units, with its unit.
    Quantity(f64, Unit),
    /// A text.
    Text(String),
}

impl Fact {
    /// As text in a system of units.
    pub fn show(&self, system: System) -> String {
        match self {
            Fact::Quantity(si, unit) => unit.show(*si, system),
            Fact::Text(text) => text.clone(),
        }
    }
}

impl From<&str> for Fact {
    fn from(text: &str) -> Fact {
        Fact::Text(text.into())
    }
}
impl From<Length> for Fact {
    fn from(length: Length) -> Fact {
        Fact::Quantity(si(length), Unit::Millimetre)
    }
}
impl From<Pressure> for Fact {
    fn from(stress: Pressure) -> Fact {
        Fact::Quantity(si(stress), Unit::Megapascal)
    }
}

/// One assumed value.
#[derive(Debug, Clone, PartialEq)]
pub struct Assumed {
    /// The key.
    pub key: String,
    /// The value used.
    pub value: Fact,
    /// Why.
    pub why: Why,
    /// Where the value comes from.
    pub source: String,
}

/// Everything assumed in a job, and the source of every row that it uses.
#[derive(Debug, Clone, Default)]
pub struct Ledger {
    /// Assumed values, in the order of reading.
    pub assumed: Vec<Assumed>,
    /// Sources by use, such as `insert.material` → `6061-T6: MIL-HDBK-5J …`.
    pub sources: BTreeMap<&'static str, String>,
    /// Notes of the rows in use, by use: what the row itself warns of.
    pub notes: BTreeMap<&'static str, String>,
}

impl Ledger {
    /// Notes a value that the job does not give.
    pub fn note(
        &mut self,
        key: impl Into<String>,
        value: impl Into<Fact>,
        why: Why,
        source: impl Into<String>,
    ) {
        let entry = Assumed {
            key: key.into(),
            value: value.into(),
            why,
            source: source.into(),
        };
        if !self.assumed.contains(&entry) {
            self.assumed.push(entry);
        }
    }
}
