//! What was written in a job file: which keys it may hold, overrides and variants over it.

use super::diagnostic::Diagnostic;
use super::schema::{self, Takes};
pub use crate::document::{Document, Entry, Place, Raw, Source};
use crate::document::{one_line, raw, segment};
use std::collections::BTreeMap;
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// The largest job file that is read; a job of every table there is stays far below it.
pub const LARGEST_JOB: usize = 1 << 20;
/// The most readings of one kind that a job may hold.
pub const MOST_READINGS: usize = 10_000;

/// Would a terminal act on this character instead of showing it? Controls, and what turns the direction of writing.
pub fn acts(c: char) -> bool {
    let spacing = matches!(c, '\n' | '\r' | '\t');
    (c.is_control() && !spacing) || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// The finding about a text that holds such a character.
fn acting(what: &str, text: &str, place: &Place) -> Option<Diagnostic> {
    let c = text.chars().find(|c| acts(*c))?;
    Some(Diagnostic {
        message: format!(
            "{what} holds the character U+{:04X}, which is not shown but acted on",
            c as u32
        ),
        place: place.clone(),
        help: "take it out".into(),
    })
}

/// What does not stand below a prefix.
fn without<T: Clone>(map: &BTreeMap<String, T>, prefix: &str) -> BTreeMap<String, T> {
    map.iter()
        .filter(|(path, _)| !path.starts_with(prefix))
        .map(|(path, value)| (path.clone(), value.clone()))
        .collect()
}

/// One `[[variant]]` of a job.
#[derive(Debug, Clone)]
pub struct Variant {
    /// Its name; by its number where it has none.
    pub name: String,
    /// What it changes: key and value as text.
    pub changes: Vec<(String, String)>,
    /// The job with the changes in it.
    pub document: Document,
}

/// What the job itself is called beside its variants.
pub const AS_STATED: &str = "as stated";

/// A path as entries are kept: a name stands in quotation marks only where it needs them. Otherwise a row named
/// with them would be a second row that nothing reads.
pub(super) fn canonical(path: &str) -> String {
    let mut out = String::new();
    for (index, part) in path.split('"').enumerate() {
        if index % 2 == 1 {
            out.push_str(&segment(part));
        } else {
            out.push_str(part);
        }
    }
    out
}

impl Document {
    /// Reads a job file. Unknown keys and values of the wrong sort are reported, all of them; a text that
    /// is not TOML at all is reported alone.
    pub fn parse(name: &str, text: &str) -> (Document, Vec<Diagnostic>) {
        let mut document = Document {
            sources: vec![Source {
                name: name.to_string(),
                text: text.to_string(),
            }],
            ..Document::default()
        };
        let mut found = Vec::new();
        if text.len() > LARGEST_JOB {
            found.push(Diagnostic {
                message: format!(
                    "this file has {} bytes; a job file has at most {LARGEST_JOB}",
                    text.len()
                ),
                place: Place {
                    source: 0,
                    span: 0..text.len().min(1),
                },
                help: "check that this is a job file".into(),
            });
            return (document, found);
        }
        match DeTable::parse(text) {
            Ok(root) => document.walk("", "", root.get_ref(), &mut found),
            Err(error) => found.push(Diagnostic {
                message: format!(
                    "this is not TOML: {}",
                    error.message().lines().next().unwrap_or("unreadable")
                ),
                place: Place {
                    source: 0,
                    span: error.span().unwrap_or(0..0),
                },
                help: "mend this first; the rest of the file was not read".into(),
            }),
        }
        (document, found)
    }

    fn walk(
        &mut self,
        path: &str,
        pattern: &str,
        table: &DeTable<'_>,
        found: &mut Vec<Diagnostic>,
    ) {
        for (key, value) in table {
            let name: &str = key.get_ref();
            let place = Place {
                source: 0,
                span: key.span(),
            };
            // A name stands in messages and in headings, where it must stay on its line.
            let flat = name.replace(['\n', '\r', '\t'], "\u{0}");
            if let Some(finding) = acting("a name", &flat, &place) {
                found.push(finding);
                continue;
            }
            let Some(child_pattern) = schema::child(pattern, name) else {
                found.push(unknown_key(path, pattern, name, place));
                continue;
            };
            let child = if path.is_empty() {
                segment(name)
            } else {
                format!("{path}.{}", segment(name))
            };
            self.value(
                &child,
                &child_pattern,
                value.get_ref(),
                value.span(),
                place,
                found,
            );
        }
    }

    fn value(
        &mut self,
        path: &str,
        pattern: &str,
        value: &DeValue<'_>,
        span: Range<usize>,
        key: Place,
        found: &mut Vec<Diagnostic>,
    ) {
        let takes = schema::takes(pattern);
        match value {
            DeValue::Table(table) if takes.is_none() => {
                self.tables.insert(path.to_string(), key);
                self.walk(path, pattern, table, found);
            }
            DeValue::Array(array) if schema::is_array(pattern) => {
                if array.len() > MOST_READINGS {
                    found.push(Diagnostic {
                        message: format!(
                            "{} entries in `{path}`; at most {MOST_READINGS} are read",
                            array.len()
                        ),
                        place: key,
                        help: "give fewer".into(),
                    });
                    return;
                }
                self.lengths.insert(path.to_string(), array.len());
                for (i, element) in array.iter().enumerate() {
                    let child = format!("{path}[{i}]");
                    let place = Place {
                        source: 0,
                        span: element.span(),
                    };
                    self.value(
                        &child,
                        &format!("{pattern}[]"),
                        element.get_ref(),
                        element.span(),
                        place,
                        found,
                    );
                }
            }
            _ => {
                let place = Place { source: 0, span };
                if takes.is_none() {
                    let wanted = if schema::is_array(pattern) {
                        format!("`[[{path}]]`")
                    } else {
                        format!("`[{path}]`")
                    };
                    found.push(Diagnostic {
                        message: format!("`{path}` is a table of entries, not one value"),
                        place,
                        help: format!("write its entries below {wanted}"),
                    });
                    return;
                }
                let value = match value {
                    DeValue::Datetime(_) if takes != Some(Takes::Text) => Raw::Other("a date"),
                    other => raw(other),
                };
                if let Raw::Text(text) = &value {
                    found.extend(acting(&format!("`{path}`"), text, &place));
                }
                self.entries.insert(
                    path.to_string(),
                    Entry {
                        value,
                        place,
                        bare: false,
                    },
                );
            }
        }
    }

    /// Puts one `PATH=VALUE` over what the file says.
    pub fn set(&mut self, argument: &str) -> Vec<Diagnostic> {
        let source = self.sources.len();
        self.sources.push(Source {
            name: "--set".into(),
            text: argument.to_string(),
        });
        let all = Place {
            source,
            span: 0..argument.len(),
        };
        let Some((path, value)) = argument.split_once('=') else {
            return vec![Diagnostic {
                message: "an override needs a path and a value".into(),
                place: all,
                help: "write it as --set fitting.flange_diameter=\"44 mm\"".into(),
            }];
        };
        if let Some(finding) = acting("an override", argument, &all) {
            return vec![finding];
        }
        let text = value.trim();
        let path_place = Place {
            source,
            span: 0..path.len(),
        };
        let start = argument.len() - value.trim_start().len();
        let entry = Entry {
            value: Raw::Text(one_line(text)),
            place: Place {
                source,
                span: start..start + text.len(),
            },
            bare: true,
        };
        self.put(&canonical(path.trim()), path_place, entry)
            .err()
            .into_iter()
            .collect()
    }

    /// Puts an entry at a path that a person wrote; an element of an array must exist, or be the next one.
    fn put(&mut self, name: &str, path_place: Place, entry: Entry) -> Result<(), Diagnostic> {
        let wrong = |message: String, help: String| Diagnostic {
            message,
            place: path_place.clone(),
            help,
        };
        let pattern = schema::pattern_of(name)
            .map_err(|(parent, last)| unknown_key(&parent, &parent, &last, path_place.clone()))?;
        if schema::takes(&pattern).is_none() {
            return Err(wrong(
                format!("`{name}` is a table, not one entry"),
                "name an entry in it".into(),
            ));
        }
        let mut from = 0;
        while let Some(open) = name[from..].find('[').map(|i| i + from) {
            let close = name[open..].find(']').map_or(name.len(), |i| i + open);
            let array = name[..open].to_string();
            let Ok(index) = name[open + 1..close].parse::<usize>() else {
                return Err(wrong(
                    format!(
                        "`{}` is not the number of an element of `{array}`",
                        &name[open + 1..close]
                    ),
                    format!("the first is `{array}[0]`"),
                ));
            };
            let length = self.lengths.entry(array.clone()).or_insert(0);
            if index > *length || index >= MOST_READINGS {
                return Err(wrong(
                    format!("`{array}` has {length} elements; number {index} does not follow"),
                    format!("the first is `{array}[0]`"),
                ));
            }
            *length = (*length).max(index + 1);
            from = close;
        }
        self.entries.insert(name.to_string(), entry);
        Ok(())
    }

    /// The overrides that were given, as typed.
    pub fn overrides(&self) -> impl Iterator<Item = &str> {
        self.sources.iter().skip(1).map(|s| s.text.as_str())
    }

    /// One `[[variant]]` applied, and what in it names no entry.
    pub fn variant(&self, index: usize) -> (Variant, Vec<Diagnostic>) {
        let prefix = format!("variant[{index}].");
        let name = match self.get(&format!("{prefix}name")).map(|e| &e.value) {
            Some(Raw::Text(text)) if !text.trim().is_empty() => one_line(text),
            _ => format!("variant {}", index + 1),
        };
        let mut document = self.without_variants();
        let (mut changes, mut found) = (Vec::new(), Vec::new());
        let set = format!("{prefix}set.");
        for (path, entry) in self.below(&set) {
            let key = canonical(path[set.len()..].trim_matches('"'));
            let shown = match &entry.value {
                Raw::Text(text) => one_line(text),
                Raw::Integer(i) => i.to_string(),
                Raw::Float(f) | Raw::Base(f) => f.to_string(),
                Raw::Bool(b) => b.to_string(),
                Raw::Other(what) => (*what).to_string(),
            };
            let put = if key.starts_with("variant") {
                Err(Diagnostic {
                    message: format!("`{key}` is not an entry that a variant can change"),
                    place: entry.place.clone(),
                    help: "change an entry of the job itself".into(),
                })
            } else {
                document.put(&key, entry.place.clone(), entry.clone())
            };
            match put {
                Ok(()) => changes.push((key, shown)),
                Err(diagnostic) => found.push(diagnostic),
            }
        }
        let variant = Variant {
            name,
            changes,
            document,
        };
        (variant, found)
    }

    /// A changed job has no variants of its own.
    fn without_variants(&self) -> Document {
        // Only what stays is cloned: every variant of a job of thousands comes through here.
        Document {
            sources: self.sources.clone(),
            entries: without(&self.entries, "variant["),
            tables: without(&self.tables, "variant["),
            lengths: without(&self.lengths, "variant"),
        }
    }

    /// Puts a number in SI base units at a path that is an entry of this job, or can be one. Nothing is added to the
    /// overrides.
    pub(super) fn put_number(&mut self, path: &str, value: f64) -> Result<(), Diagnostic> {
        let place = self.place_of_entry(path);
        let entry = Entry {
            value: Raw::Base(value),
            place: place.clone(),
            bare: true,
        };
        self.put(path, place, entry)
    }

    /// The document with entries put in, or taken out where there is no value. A path without a last key,
    /// such as `seat.gap`, takes out the whole array. Nothing is added to the overrides.
    pub fn with(&self, changes: &[(String, Option<String>)]) -> Document {
        let mut changed = self.without_variants();
        for (path, value) in changes {
            match value {
                Some(text) => {
                    let place = self.place_of_entry(path);
                    let entry = Entry {
                        value: Raw::Text(text.clone()),
                        place,
                        bare: true,
                    };
                    changed.entries.insert(path.clone(), entry);
                }
                None => {
                    let array = format!("{path}[");
                    changed
                        .entries
                        .retain(|key, _| key != path && !key.starts_with(&array));
                    changed.lengths.remove(path);
                }
            }
        }
        changed
    }
}

/// What people call the tables of a job.
const SYNONYMS: [(&str, &str); 8] = [
    ("glue", "bond"),
    ("adhesives", "adhesive"),
    ("cup", "fitting"),
    ("screw", "fitting"),
    ("sleeve", "insert"),
    ("boss", "insert"),
    ("shell", "frame"),
    ("housing", "frame"),
];

fn unknown_key(path: &str, pattern: &str, name: &str, place: Place) -> Diagnostic {
    let known = schema::children(pattern);
    let meant = |word: &str| known.iter().find(|k| **k == word).map(|k| (0, *k));
    let near = SYNONYMS
        .iter()
        .find(|(said, _)| *said == name)
        .and_then(|(_, word)| meant(word))
        .or_else(|| {
            known
                .iter()
                .map(|k| (crate::units::parse::slips(k, name), *k))
                .min()
                // A guess that is half wrong is none.
                .filter(|(distance, k)| {
                    *distance <= 3.max(k.len() / 3) && 2 * distance <= k.len().max(name.len())
                })
        });
    let inside = if path.is_empty() {
        "a job".to_string()
    } else {
        format!("`{path}`")
    };
    let help = match near {
        Some((_, near)) => format!("did you mean `{near}`?"),
        None if known.is_empty() => "leave it out".into(),
        None => format!("{inside} takes: {}", known.join(", ")),
    };
    Diagnostic {
        message: format!("`{name}` is not a key of {inside}"),
        place,
        help,
    }
}
