//! The built-in tables and where every row comes from.
//!
//! A table is a TOML file compiled into the program. Its rows are read by the same code as rows that a job
//! gives for itself. Every row has a `source` in words and a `basis`: published, common practice, from
//! memory, or invented.

use crate::document::{Document, Raw, segment};
use std::collections::HashMap;
use std::sync::OnceLock;

/// How a row is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// Read in a published source.
    Published,
    /// Done so in the trade; no source.
    CommonPractice,
    /// Recalled, not looked up.
    FromMemory,
    /// Made up for a demonstration.
    Invented,
}

impl Basis {
    /// The word that a table uses.
    pub fn word(self) -> &'static str {
        match self {
            Basis::Published => "published",
            Basis::CommonPractice => "common practice",
            Basis::FromMemory => "from memory",
            Basis::Invented => "invented",
        }
    }
    /// The word beside a source: common practice has none, and is said to have none where the source does not.
    pub fn label(self, source: &str) -> &'static str {
        match self {
            Basis::CommonPractice if !source.contains("no source") => "common practice, no source",
            basis => basis.word(),
        }
    }
    /// The basis with this word.
    pub fn from_word(word: &str) -> Option<Basis> {
        [
            Basis::Published,
            Basis::CommonPractice,
            Basis::FromMemory,
            Basis::Invented,
        ]
        .into_iter()
        .find(|b| b.word() == word)
    }
}

/// One table.
pub struct Table {
    /// The word by which a user asks for it.
    pub name: &'static str,
    /// What it holds.
    pub title: &'static str,
    /// The word before a row's name, such as `material`.
    pub groups: &'static [&'static str],
    text: &'static str,
    document: OnceLock<Document>,
}

macro_rules! tables {
    ($($ident:ident: $name:literal, $title:literal, [$($group:literal),+];)*) => {
        $(#[doc = $title] pub static $ident: Table = Table {
            name: $name,
            title: $title,
            groups: &[$($group),+],
            text: include_str!(concat!("../../tables/", $name, ".toml")),
            document: OnceLock::new(),
        };)*
        /// All tables.
        pub static ALL: &[&Table] = &[$(&$ident),*];
    };
}
tables! {
    THREADS: "threads", "Threads by name, with their limits of size and near twins", ["threads", "metric", "coarse"];
    ISO965: "iso965", "Where the printed metric tolerances depart from their formulas", ["exception"];
    MATERIALS: "materials", "Metals and laminates", ["material"];
    FRICTION: "friction", "Friction of thread and seat by state", ["friction"];
    ADHESIVES: "adhesives", "Adhesives by generic class", ["adhesive"];
    PREPARATIONS: "preparations", "Surface preparations", ["preparation", "surface"];
    PEDALLING: "pedalling", "Pedalling forces by class of vehicle", ["pedalling"];
    BEARINGS: "bearings", "Tolerances of rolling bearings and of shafts and bores", ["bearing", "isotolerance", "isodelta", "isofit"];
    GALVANIC: "galvanic", "Anodic indices and the limits of their difference", ["galvanic", "environment"];
    DEFAULTS: "defaults", "Defaults and weakest values", ["default"];
}

/// One row of a table.
#[derive(Clone, Copy)]
pub struct Row<'t> {
    /// The document that the row stands in.
    pub document: &'t Document,
    /// Its group, such as `material`.
    pub group: &'static str,
    /// Its name; for a row of a list its place, such as `[0]`.
    pub name: &'t str,
}

impl<'t> Row<'t> {
    /// The prefix of its entries.
    pub fn prefix(&self) -> String {
        // A row of a list has its place for a name, such as `[0]`.
        if self.name.starts_with('[') {
            return format!("{}{}.", self.group, self.name);
        }
        format!("{}.{}.", self.group, segment(self.name))
    }
    /// A text entry of the row.
    pub fn text(&self, key: &str) -> Option<&'t str> {
        match &self.document.get(&format!("{}{key}", self.prefix()))?.value {
            Raw::Text(text) => Some(text),
            _ => None,
        }
    }
    /// The entries of a list in the row.
    pub fn list(&self, key: &str) -> Vec<&'t str> {
        (0..self.document.len_of(&format!("{}{key}", self.prefix())))
            .filter_map(|i| self.text(&format!("{key}[{i}]")))
            .collect()
    }
    /// Where the row comes from, in words.
    pub fn source(&self) -> &'t str {
        self.text("source").unwrap_or("")
    }
    /// The same in few words, for paper; rows whose source is short already have none.
    pub fn short(&self) -> Option<&'t str> {
        self.text("short")
    }
    /// How it is known.
    pub fn basis(&self) -> Option<Basis> {
        self.text("basis").and_then(Basis::from_word)
    }
    /// Source and basis in one phrase.
    pub fn provenance(&self) -> String {
        let basis = self.basis().map_or("", |basis| basis.label(self.source()));
        format!("{} ({basis})", self.source())
    }
    /// Key and value of every plain entry, in the order of the keys; the short form of the source says nothing new.
    pub fn entries(&self) -> Vec<(&'t str, String)> {
        let prefix = self.prefix();
        self.document
            .below(&prefix)
            .into_iter()
            .filter(|(key, _)| &key[prefix.len()..] != "short")
            .map(|(key, entry)| {
                let value = match &entry.value {
                    Raw::Text(text) => text.clone(),
                    Raw::Integer(i) => i.to_string(),
                    Raw::Float(f) | Raw::Base(f) => f.to_string(),
                    Raw::Bool(b) => b.to_string(),
                    Raw::Other(what) => (*what).to_string(),
                };
                (&key[prefix.len()..], value)
            })
            .collect()
    }
}

/// Folds spellings of a row's name together: blanks, `×`, case, trailing zeros of `1.370` go.
pub fn fold(name: &str) -> String {
    let mut out = String::new();
    for c in name
        .to_lowercase()
        .replace('×', "x")
        .replace("inch", "in")
        .replace('"', "in")
        .chars()
    {
        if !c.is_whitespace() && c != '-' && c != '_' {
            out.push(c);
        }
    }
    out
}

impl Table {
    /// The table as a document.
    pub fn document(&self) -> &Document {
        self.document
            .get_or_init(|| Document::parse_table(self.name, self.text))
    }
    /// All rows, in the order of their names.
    pub fn rows(&self) -> Vec<Row<'_>> {
        let document = self.document();
        self.groups
            .iter()
            .flat_map(|&group| {
                let listed = document.places_in(group);
                document
                    .names_below(group)
                    .into_iter()
                    .chain(listed)
                    .map(move |name| Row {
                        document,
                        group,
                        name,
                    })
            })
            .collect()
    }
    /// The row of a group with this name or alias.
    pub fn row(&self, group: &str, name: &str) -> Option<Row<'_>> {
        let document = self.document();
        let group = self.groups.iter().find(|g| **g == group)?;
        // A fit of a bore and one of a shaft differ in case alone, so the name as written goes first.
        if let Some(name) = document.name_below(group, name.trim()) {
            return Some(Row {
                document,
                group,
                name,
            });
        }
        let wanted = fold(name);
        self.rows().into_iter().find(|row| {
            row.group == *group
                && (fold(row.name) == wanted
                    || row.list("aliases").iter().any(|a| fold(a) == wanted))
        })
    }
    /// Names of the rows of a group that come closest to a word.
    pub fn near(&self, group: &str, name: &str) -> Vec<&str> {
        let wanted = fold(name);
        let mut rows: Vec<(usize, &str)> = self
            .rows()
            .into_iter()
            .filter(|row| row.group == group)
            .map(|row| {
                (
                    crate::units::parse::slips(&fold(row.name), &wanted),
                    row.name,
                )
            })
            .collect();
        rows.sort_unstable();
        rows.into_iter().take(3).map(|(_, name)| name).collect()
    }
}

/// The table with this name.
pub fn table(name: &str) -> Option<&'static Table> {
    ALL.iter().copied().find(|t| t.name == name)
}

/// The few words for a row of any table, found by its source and basis in one phrase.
pub fn in_short(provenance: &str) -> Option<&'static str> {
    static KNOWN: OnceLock<HashMap<String, &'static str>> = OnceLock::new();
    let known = KNOWN.get_or_init(|| {
        let rows = ALL.iter().flat_map(|table| table.rows());
        rows.filter_map(|row| Some((row.provenance(), row.short()?)))
            .collect()
    });
    known.get(provenance).copied()
}
