//! Typed reading of a document: every finding is collected, none stops the rest.
//!
//! A value that cannot be read is replaced by one that is not a number, so that the checks which compare
//! it with others stay silent about it.

use super::assembly::State;
use super::diagnostic::{Diagnostic, Place};
use super::document::{Document, Entry, Raw};
use super::ledger::{Fact, Ledger, Why};
use super::possible::{Fault, no_size};
use crate::units::parse::{self, Kind, Spread};
use crate::units::*;

/// The smallest magnitude in SI base units that is taken and is not zero: common practice, no source. Expansions are
/// near 1e-6 per kelvin.
pub(super) const SMALLEST: f64 = 1e-15;

/// Reads typed values from a document, looking through a chain of prefixes such as `side[0].` and then the
/// job itself.
pub struct Reader<'d> {
    /// The document.
    pub document: &'d Document,
    prefixes: Vec<String>,
    /// What is wrong.
    pub found: Vec<Diagnostic>,
    /// What is assumed.
    pub ledger: Ledger,
}

/// An example beside a missing key: people copy it, so that it is a size that the key has, or none at all.
fn example_of(path: &str, kind: Kind) -> &'static str {
    match path {
        "frame.width" => "68 mm",
        "gap" => "0.05 .. 0.08 mm",
        "tightening.torque" => "… N·m",
        "elastic_modulus" => "70 GPa",
        "shear_modulus" => "0.8 GPa",
        _ => kind.example(),
    }
}

impl<'d> Reader<'d> {
    /// A reader that looks through the prefixes in order.
    pub fn new(document: &'d Document, prefixes: &[String]) -> Self {
        Reader {
            document,
            prefixes: prefixes.to_vec(),
            found: Vec::new(),
            ledger: Ledger::default(),
        }
    }

    /// The same reader with another chain; findings and ledger stay.
    pub fn with_prefixes<T>(
        &mut self,
        prefixes: &[String],
        read: impl FnOnce(&mut Self) -> T,
    ) -> T {
        let before = std::mem::replace(&mut self.prefixes, prefixes.to_vec());
        let value = read(self);
        self.prefixes = before;
        value
    }

    /// The first entry on the chain.
    pub fn entry(&self, path: &str) -> Option<(String, &'d Entry)> {
        self.prefixes.iter().find_map(|prefix| {
            let full = format!("{prefix}{path}");
            self.document.get(&full).map(|entry| (full, entry))
        })
    }

    /// Is the key given?
    pub fn has(&self, path: &str) -> bool {
        self.entry(path).is_some()
    }

    /// Does the job hold a table, on any prefix of the chain?
    pub fn has_table(&self, path: &str) -> bool {
        self.prefixes
            .iter()
            .any(|p| self.document.has_table(&format!("{p}{path}")))
    }

    /// The elements of an array: their full paths.
    pub fn elements(&self, path: &str) -> Vec<String> {
        self.prefixes
            .iter()
            .map(|p| format!("{p}{path}"))
            .find(|full| self.document.len_of(full) > 0)
            .map_or_else(Vec::new, |full| {
                (0..self.document.len_of(&full))
                    .map(|i| format!("{full}[{i}]"))
                    .collect()
            })
    }

    /// Where an entry stands, or where it should.
    pub fn place(&self, path: &str) -> Place {
        match self.entry(path) {
            Some((_, entry)) => entry.place.clone(),
            None => {
                // A list of values stands at its first element.
                if let Some((_, first)) = self.entry(&format!("{path}[0]")) {
                    return first.place.clone();
                }
                let table = path.rsplit_once('.').map_or("", |(t, _)| t);
                self.prefixes
                    .iter()
                    .map(|p| format!("{p}{table}").trim_end_matches('.').to_string())
                    .find(|full| !full.is_empty() && self.document.has_table(full))
                    .map_or_else(
                        || self.document.place_of(table),
                        |full| self.document.place_of(&full),
                    )
            }
        }
    }

    /// Notes a finding at an entry.
    pub fn complain(&mut self, path: &str, message: impl Into<String>, help: impl Into<String>) {
        let place = self.place(path);
        self.found.push(Diagnostic {
            message: message.into(),
            place,
            help: help.into(),
        });
    }

    /// Notes what cannot be.
    pub(super) fn fault(&mut self, path: &str, fault: Fault) {
        let (message, help) = fault.tell(path);
        self.complain(path, message, help);
    }

    /// Reports a key that must be there, with what to write in its table.
    fn missing(&mut self, path: &str, example: &str) {
        let place = self.place(path);
        // In a row or an element the path is the key alone; the prefix says where that is.
        let full = match (path.contains('.'), self.prefixes.first()) {
            (false, Some(prefix)) => format!("{prefix}{path}"),
            _ => path.to_string(),
        };
        let table =
            full[..full.len() - path.rsplit('.').next().map_or(0, str::len)].trim_end_matches('.');
        let key = path.rsplit('.').next().unwrap_or(path);
        let inside = match table.split_once('[') {
            Some((array, _)) => format!("[[{array}]]"),
            None => format!("[{table}]"),
        };
        self.found.push(Diagnostic {
            message: format!("`{full}` is missing"),
            place,
            help: format!("write in {inside}: {key} = {example}"),
        });
    }

    /// Does the key say `"unknown"`?
    pub fn says_unknown(&self, path: &str) -> bool {
        matches!(self.entry(path), Some((_, Entry { value: Raw::Text(text), .. })) if text.trim().eq_ignore_ascii_case("unknown"))
    }

    /// A quantity in SI base units; `None` where the key is not given.
    pub fn spread(&mut self, path: &str, kind: Kind) -> Option<Spread<f64>> {
        let (full, entry) = self.entry(path)?;
        let bad = Some(Spread::exact(f64::NAN));
        let error = |at: std::ops::Range<usize>, message: String, help: String| {
            let place = within(self.document, entry, at);
            Diagnostic {
                message: format!("`{full}`: {message}"),
                place,
                help,
            }
        };
        let result = match &entry.value {
            Raw::Text(text) => parse::read(text, kind).map_err(|e| error(e.at, e.message, e.help)),
            Raw::Integer(whole) if kind == Kind::Number => Ok(Spread::exact(*whole as f64)),
            Raw::Float(float) if kind == Kind::Number && float.is_finite() => {
                Ok(Spread::exact(*float))
            }
            Raw::Base(value) => Ok(Spread::exact(*value)),
            Raw::Integer(_) | Raw::Float(_) if kind == Kind::Number => Err(error(
                0..0,
                "this is not a number that can be measured".into(),
                format!("write {} such as {}", kind.name(), kind.example()),
            )),
            Raw::Integer(_) | Raw::Float(_) => {
                let written = self.document.sources[entry.place.source]
                    .text
                    .get(entry.place.span.clone())
                    .unwrap_or("…");
                Err(error(
                    0..0,
                    format!("a number without a unit, where {} is due", kind.name()),
                    format!(
                        "write \"{written} {}\" if that is the unit you mean",
                        kind.usual_unit()
                    ),
                ))
            }
            Raw::Bool(_) => Err(error(
                0..0,
                format!("`true` or `false`, where {} is due", kind.name()),
                format!("write {} such as \"{}\"", kind.name(), kind.example()),
            )),
            Raw::Other(what) => Err(error(
                0..0,
                format!("{what}, where {} is due", kind.name()),
                format!("write {} such as \"{}\"", kind.name(), kind.example()),
            )),
        };
        let result = result.and_then(|value: Spread<f64>| {
            let size = value
                .nominal
                .abs()
                .max(value.low.abs())
                .max(value.high.abs());
            if no_size(kind, size) {
                let what = if kind == Kind::Angle && size > SMALLEST {
                    "this is more than a whole turn"
                } else {
                    "no part has this size, and nothing can be computed with it"
                };
                return Err(error(
                    0..0,
                    what.into(),
                    format!("write {} such as {}", kind.name(), kind.example()),
                ));
            }
            Ok(value)
        });
        match result {
            Ok(value) => Some(value),
            Err(diagnostic) => {
                self.found.push(diagnostic);
                bad
            }
        }
    }

    /// A typed quantity; `None` where the key is not given.
    pub fn quantity<Q: FromSi + Copy>(&mut self, path: &str, kind: Kind) -> Option<Spread<Q>> {
        self.spread(path, kind).map(|s| s.map(Q::from_si_value))
    }

    /// A typed quantity that must be given.
    pub fn needed<Q: FromSi + Copy>(&mut self, path: &str, kind: Kind, meaning: &str) -> Spread<Q> {
        self.quantity(path, kind).unwrap_or_else(|| {
            let example = example_of(path, kind);
            self.missing(path, &format!("\"{example}\"  ({meaning})"));
            Spread::exact(Q::from_si_value(f64::NAN))
        })
    }

    /// A typed quantity with a default, which the ledger notes.
    pub fn or_default<Q: FromSi + Copy>(
        &mut self,
        path: &str,
        kind: Kind,
        default_si: f64,
        source: &str,
    ) -> Spread<Q> {
        self.quantity(path, kind).unwrap_or_else(|| {
            let value = Fact::Quantity(default_si, kind.unit());
            self.ledger.note(path, value, Why::Default, source);
            Spread::exact(Q::from_si_value(default_si))
        })
    }

    /// Complains about a size that is zero or negative.
    pub fn positive<D: uom::si::Dimension + ?Sized>(
        &mut self,
        path: &str,
        value: uom::si::Quantity<D, uom::si::SI<f64>, f64>,
    ) {
        if si(value) <= 0.0 {
            self.fault(path, Fault::NotPositive);
        }
    }

    /// Complains about a value below zero.
    pub fn not_negative<D: uom::si::Dimension + ?Sized>(
        &mut self,
        path: &str,
        value: uom::si::Quantity<D, uom::si::SI<f64>, f64>,
    ) {
        if si(value) < 0.0 {
            self.fault(path, Fault::Negative);
        }
    }

    /// A text; `None` where the key is not given.
    pub fn text(&mut self, path: &str) -> Option<String> {
        let (full, entry) = self.entry(path)?;
        match &entry.value {
            Raw::Text(text) => Some(text.trim().to_string()),
            Raw::Integer(i) if !entry.bare => Some(i.to_string()),
            Raw::Float(f) => Some(f.to_string()),
            _ => {
                self.complain(
                    path,
                    format!("`{full}` takes a text"),
                    "put it between quotation marks",
                );
                None
            }
        }
    }

    /// A text, without a complaint about anything else that may stand there.
    pub fn text_quiet(&self, path: &str) -> Option<String> {
        match &self.entry(path)?.1.value {
            Raw::Text(text) => Some(text.clone()),
            _ => None,
        }
    }

    /// A text that must be given.
    pub fn needed_text(&mut self, path: &str, example: &str) -> Option<String> {
        if !self.has(path) {
            self.missing(path, &format!("\"{example}\""));
            return None;
        }
        self.text(path)
    }

    /// The source that a row of the job's own must give.
    pub fn own_source(&mut self) -> String {
        self.needed_text("source", "where these figures come from")
            .unwrap_or_default()
    }

    /// `true` or `false`.
    pub fn flag(&mut self, path: &str) -> Option<bool> {
        let (full, entry) = self.entry(path)?;
        match &entry.value {
            Raw::Bool(flag) => Some(*flag),
            Raw::Text(text) if entry.bare && text == "true" => Some(true),
            Raw::Text(text) if entry.bare && text == "false" => Some(false),
            _ => {
                self.complain(
                    path,
                    format!("`{full}` is either true or false"),
                    "write true or false, without quotation marks",
                );
                None
            }
        }
    }

    /// A precondition.
    pub fn condition(&mut self, path: &str) -> State {
        if self.says_unknown(path) {
            return State::Unknown;
        }
        let Some((full, entry)) = self.entry(path) else {
            return State::Unknown;
        };
        match &entry.value {
            Raw::Bool(true) => State::Confirmed,
            Raw::Bool(false) => State::Failed,
            Raw::Text(text) if entry.bare && text == "true" => State::Confirmed,
            Raw::Text(text) if entry.bare && text == "false" => State::Failed,
            _ => {
                self.complain(
                    path,
                    format!("`{full}` is true, false or \"unknown\""),
                    "write one of the three",
                );
                State::Unknown
            }
        }
    }

    /// One of a few words; `None` where the key is not given or is none of them.
    pub fn choice<T: Copy>(&mut self, path: &str, words: &[(&str, T)]) -> Option<T> {
        let text = self.text(path)?;
        let found = words
            .iter()
            .find(|(word, _)| *word == text)
            .map(|(_, value)| *value);
        if found.is_none() {
            let list: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            let near = list
                .iter()
                .find(|w| crate::units::parse::slips(w, &text.to_lowercase()) <= 2);
            let help = near.map_or_else(
                || format!("write one of: {}", list.join(", ")),
                |n| format!("did you mean \"{n}\"?"),
            );
            self.complain(
                path,
                format!("\"{text}\" is not one of the words that `{path}` takes"),
                help,
            );
        }
        found
    }

    /// A clock position or an angle from 12 o'clock, clockwise.
    pub fn clock(&mut self, path: &str) -> Option<Angle> {
        let text = self.text(path)?;
        if let Some((hours, minutes)) = text.split_once(':') {
            let number = |t: &str| {
                (!t.is_empty() && t.len() <= 2)
                    .then(|| t.trim().parse::<f64>().ok())
                    .flatten()
            };
            return match (number(hours), number(minutes)) {
                (Some(h), Some(m)) if (0.0..=12.0).contains(&h) && (0.0..60.0).contains(&m) => {
                    Some(degree((h % 12.0) * 30.0 + m * 0.5))
                }
                _ => {
                    self.complain(
                        path,
                        format!("\"{text}\" is no clock position"),
                        "write one from \"12:00\" to \"11:59\"",
                    );
                    None
                }
            };
        }
        let angle = self.quantity::<Angle>(path, Kind::Angle)?.nominal;
        let whole_turn = std::f64::consts::TAU;
        Some(from_si(si(angle).rem_euclid(whole_turn)))
    }
}

/// The place of a part of a string value, its quotation marks counted.
fn within(document: &Document, entry: &Entry, at: std::ops::Range<usize>) -> Place {
    let span = entry.place.span.clone();
    let written = document.sources[entry.place.source]
        .text
        .get(span.clone())
        .unwrap_or("");
    let quote = usize::from(!entry.bare && (written.starts_with('"') || written.starts_with('\'')));
    let inner = written.len().saturating_sub(2 * quote);
    // With escapes or a multi-line string the bytes do not line up; then the whole value is marked.
    let lines_up = matches!(&entry.value, Raw::Text(text) if text.len() == inner && written.get(quote..quote + inner) == Some(text.as_str()));
    if lines_up && at.end <= inner && at.start < at.end {
        Place {
            source: entry.place.source,
            span: span.start + quote + at.start..span.start + quote + at.end,
        }
    } else {
        entry.place.clone()
    }
}
