//! Rows of the job's own that no entry names: looked through like those in use, so that a mistake in one is not
//! found only on the day it is needed.

use super::designation;
use super::diagnostic::Diagnostic;
use super::document::{Document, Raw};
use super::read::Reader;
use super::resolve::{no_adhesive, read_adhesive, read_friction, read_material, read_preparation};
use super::schema::{self, Takes};
use crate::document::segment;
use std::collections::BTreeSet;

/// The tables that a job may add rows to, as a job and as the built-in tables name them.
const GROUPS: [(&str, &str); 5] = [
    ("material", "materials"),
    ("adhesive", "adhesives"),
    ("friction", "friction"),
    ("preparation", "preparations"),
    ("threads", "threads"),
];

/// What is wrong with the rows that no entry names, and a remark about each of them.
pub(super) fn idle(document: &Document) -> (Vec<Diagnostic>, Vec<String>) {
    let (mut found, mut remarks) = (Vec::new(), Vec::new());
    // Once for all rows: a job may bring very many.
    let named = named(document);
    for (group, table) in GROUPS {
        for name in names(document, group) {
            if named.contains(&(table, name.as_str())) {
                continue;
            }
            let prefix = format!("{group}.{}.", segment(&name));
            let row = prefix.trim_end_matches('.');
            let overridden = found.len();
            for (path, entry) in document.below(&prefix) {
                if entry.place.source > 0 {
                    found.push(Diagnostic {
                        message: format!(
                            "`{path}` changes nothing: no entry of this job names the row [{row}]"
                        ),
                        place: entry.place.clone(),
                        help: "name the row where it is to be used, or change a row that is in use"
                            .into(),
                    });
                }
            }
            // A row made of such overrides alone lacks the rest as well; one finding says enough.
            if found.len() == overridden {
                look_through(document, group, &prefix, &mut found);
            }
            remarks.push(format!("[{row}]: no entry of this job names it"));
        }
    }
    (found, remarks)
}

/// Names of the rows of a group, those that overrides make included.
fn names(document: &Document, group: &str) -> BTreeSet<String> {
    let listed = document.names_below(group).into_iter().map(str::to_string);
    let written = document
        .below(&format!("{group}."))
        .into_iter()
        .filter_map(|(path, _)| schema::parts(path).into_iter().nth(1));
    listed.chain(written).collect()
}

/// Table and name of every row that an entry names, or that a variant or a route may name.
fn named(document: &Document) -> BTreeSet<(&'static str, &str)> {
    let mut all = BTreeSet::new();
    for (path, entry) in document.below("") {
        let Raw::Text(text) = &entry.value else {
            continue;
        };
        let pattern = schema::pattern_of(path).unwrap_or_default();
        let takes = schema::takes(&pattern);
        let changes = pattern.ends_with(".set.*");
        let threaded = pattern.ends_with("thread.designation");
        for (_, table) in GROUPS {
            let takes_row = matches!(takes, Some(Takes::Row(of)) if of == table);
            if takes_row || changes || (threaded && table == "threads") {
                all.insert((table, text.trim()));
            }
        }
    }
    all
}

/// Reads a row as if it were in use.
fn look_through(document: &Document, group: &str, prefix: &str, found: &mut Vec<Diagnostic>) {
    let mut row = Reader::new(document, &[prefix.to_string()]);
    match group {
        "material" => drop(read_material(&mut row)),
        "adhesive" => read_adhesive(&mut row, &mut no_adhesive(false)),
        "friction" => drop(read_friction(&mut row)),
        "preparation" => drop(read_preparation(&mut row)),
        _ => drop(designation::read_row(&mut row, |_| false)),
    }
    row.own_source();
    found.append(&mut row.found);
}
