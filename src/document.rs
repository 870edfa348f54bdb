//! A TOML text as entries with the place of each: what jobs and built-in tables have in common.

use std::collections::BTreeMap;
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// Where a text came from: which of the document's sources, and the bytes in it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Place {
    /// The source: 0 is the job file, the rest are overrides given on the command line.
    pub source: usize,
    /// The bytes in question.
    pub span: Range<usize>,
}

/// A value as written.
#[derive(Debug, Clone, PartialEq)]
pub enum Raw {
    /// A string, or bare text given on the command line.
    Text(String),
    /// A whole number.
    Integer(i64),
    /// A number with a point, which may be `nan` or `inf` and is checked when it is read.
    Float(f64),
    /// A number in SI base units that the program itself puts in.
    Base(f64),
    /// `true` or `false`.
    Bool(bool),
    /// Something that no key takes in this place: an array, a table, a date.
    Other(&'static str),
}

/// One entry: its value and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The value as written.
    pub value: Raw,
    /// Where the value stands.
    pub place: Place,
    /// Given on the command line: the text is bare, and is read as the key demands.
    pub bare: bool,
}

/// A text that entries come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Its name in messages: a file name, or `--set`.
    pub name: String,
    /// The text itself.
    pub text: String,
}

/// A text as written: every entry under its path, such as `seat.gap[0].at`.
#[derive(Debug, Clone, Default)]
pub struct Document {
    /// The file first, then each override.
    pub sources: Vec<Source>,
    /// Entries by path.
    pub(crate) entries: BTreeMap<String, Entry>,
    /// Places of tables and of array elements, for messages about what is missing in them.
    pub(crate) tables: BTreeMap<String, Place>,
    /// How many elements each array has.
    pub(crate) lengths: BTreeMap<String, usize>,
}

/// A text on one line: titles and names stand in lines of their own, and must not make further ones.
pub fn one_line(text: &str) -> String {
    if text.contains(['\n', '\r', '\t', '\u{2028}', '\u{2029}']) {
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    } else {
        text.trim().to_string()
    }
}

/// A key as it stands in a path: in quotation marks where it needs them.
pub fn segment(key: &str) -> String {
    if key.contains('.') {
        format!("\"{key}\"")
    } else {
        key.to_string()
    }
}

impl Document {
    /// Reads one of the program's own tables: every key is taken as it stands.
    pub fn parse_table(name: &str, text: &str) -> Document {
        let mut document = Document {
            sources: vec![Source {
                name: name.to_string(),
                text: text.to_string(),
            }],
            ..Document::default()
        };
        if let Ok(root) = DeTable::parse(text) {
            document.flatten("", root.get_ref());
        }
        document
    }

    fn flatten(&mut self, path: &str, table: &DeTable<'_>) {
        for (key, value) in table {
            let name: &str = key.get_ref();
            let child = if path.is_empty() {
                segment(name)
            } else {
                format!("{path}.{}", segment(name))
            };
            self.flatten_value(&child, value.get_ref(), value.span());
        }
    }

    fn flatten_value(&mut self, path: &str, value: &DeValue<'_>, span: Range<usize>) {
        match value {
            DeValue::Table(table) => {
                self.tables
                    .insert(path.to_string(), Place { source: 0, span });
                self.flatten(path, table);
            }
            DeValue::Array(array) => {
                self.lengths.insert(path.to_string(), array.len());
                for (i, element) in array.iter().enumerate() {
                    self.flatten_value(&format!("{path}[{i}]"), element.get_ref(), element.span());
                }
            }
            plain => {
                let entry = Entry {
                    value: raw(plain),
                    place: Place { source: 0, span },
                    bare: false,
                };
                self.entries.insert(path.to_string(), entry);
            }
        }
    }

    /// The entry at a path.
    pub fn get(&self, path: &str) -> Option<&Entry> {
        self.entries.get(path)
    }
    /// All entries below a prefix, such as `seat.`.
    pub fn below(&self, prefix: &str) -> Vec<(&str, &Entry)> {
        self.entries
            .range(prefix.to_string()..)
            .take_while(|(path, _)| path.starts_with(prefix))
            .map(|(path, entry)| (path.as_str(), entry))
            .collect()
    }
    /// Places of the tables in a list, such as `[0]`, in the order of their text.
    pub fn places_in(&self, list: &str) -> Vec<&str> {
        let prefix = format!("{list}[");
        self.tables
            .range(prefix.clone()..)
            .take_while(|(path, _)| path.starts_with(&prefix))
            .map(|(path, _)| &path[list.len()..])
            .filter(|place| place.ends_with(']'))
            .collect()
    }
    /// Names of the tables directly below a table, such as the rows below `material`.
    pub fn names_below(&self, table: &str) -> Vec<&str> {
        let prefix = format!("{table}.");
        self.tables
            .range(prefix.clone()..)
            .take_while(|(path, _)| path.starts_with(&prefix))
            .map(|(path, _)| path[prefix.len()..].trim_matches('"'))
            .filter(|name| {
                self.tables
                    .contains_key(&format!("{prefix}{}", segment(name)))
            })
            .collect()
    }
    /// The name of the table directly below a table, where there is one that is written like this.
    pub fn name_below(&self, table: &str, name: &str) -> Option<&str> {
        let path = format!("{table}.{}", segment(name));
        let (path, _) = self.tables.get_key_value(&path)?;
        Some(path[table.len() + 1..].trim_matches('"'))
    }
    /// Is there anything at or below this table?
    pub fn has_table(&self, path: &str) -> bool {
        self.tables.contains_key(path)
            || self.lengths.contains_key(path)
            || !self.below(&format!("{path}.")).is_empty()
    }
    /// How many elements an array has.
    pub fn len_of(&self, path: &str) -> usize {
        self.lengths.get(path).copied().unwrap_or(0)
    }
    /// Where a table or an element begins; the start of the file where it is not there at all.
    pub fn place_of(&self, table: &str) -> Place {
        let mut at = table;
        loop {
            if let Some(place) = self.tables.get(at) {
                return place.clone();
            }
            match at.rfind('.') {
                Some(dot) => at = &at[..dot],
                None => {
                    return Place {
                        source: 0,
                        span: 0..0,
                    };
                }
            }
        }
    }
    /// Where the value of an entry stands, or its table where it is not given.
    pub fn place_of_entry(&self, path: &str) -> Place {
        self.get(path).map_or_else(
            || self.place_of(path.rsplit_once('.').map_or("", |(t, _)| t)),
            |e| e.place.clone(),
        )
    }
}

/// A plain value as written.
pub(crate) fn raw(value: &DeValue<'_>) -> Raw {
    match value {
        DeValue::String(text) => Raw::Text(one_line(text)),
        DeValue::Boolean(flag) => Raw::Bool(*flag),
        DeValue::Integer(whole) => {
            i64::from_str_radix(&whole.as_str().replace('_', ""), whole.radix())
                .map_or(Raw::Float(f64::INFINITY), Raw::Integer)
        }
        DeValue::Float(float) => {
            Raw::Float(float.as_str().replace('_', "").parse().unwrap_or(f64::NAN))
        }
        DeValue::Datetime(date) => Raw::Text(date.to_string()),
        DeValue::Array(_) => Raw::Other("a list"),
        DeValue::Table(_) => Raw::Other("a table"),
    }
}
