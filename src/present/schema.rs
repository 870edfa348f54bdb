//! The keys of a job as JSON Schema, for editors that help while a job is written.
//!
//! It looks at the shape alone: which keys there are, of what sort their values are, in which unit. What is missing,
//! and what cannot be together, `check` says.

use crate::job::schema::{self, Key, MAY_BE_UNKNOWN, Takes};
use crate::tables;
use crate::units::parse::{Kind, pattern};
use serde_json::{Map, Value, json};

/// The word for what nobody knows, in any case, as the reader takes it.
const UNKNOWN: &str = r"^\s*[Uu][Nn][Kk][Nn][Oo][Ww][Nn]\s*$";
/// A clock position.
const CLOCK: &str = r"^\s*(?:0?[0-9]|1[0-2])\s*:\s*[0-5]?[0-9]\s*$";

/// The schema of the job file.
pub fn job() -> Value {
    let mut root = Map::new();
    root.insert(
        "$schema".into(),
        "http://json-schema.org/draft-07/schema#".into(),
    );
    root.insert("title".into(), "a job of insertwright".into());
    if let Value::Object(table) = table("") {
        root.extend(table);
    }
    let kinds: Map<String, Value> = Kind::ALL
        .into_iter()
        .map(|kind| (name_of(kind), of_kind(kind)))
        .collect();
    root.insert("definitions".into(), kinds.into());
    root.into()
}

/// The name of a kind's definition.
fn name_of(kind: Kind) -> String {
    kind.name().split(' ').skip(1).collect::<Vec<_>>().join("-")
}

fn of_kind(kind: Kind) -> Value {
    let text = json!({ "type": "string", "pattern": pattern(kind), "examples": [kind.example()] });
    if kind == Kind::Number {
        // A number may be written as one, or as a text with a spread.
        let plain = json!({ "type": "string", "pattern": r"^\s*[+−-]?[0-9.][^A-Za-z]*$" });
        json!({ "anyOf": [{ "type": "number" }, plain, text] })
    } else {
        text
    }
}

/// What stands below a pattern.
fn table(at: &str) -> Value {
    let below = |name: &str| schema::child(at, name).map(|pattern| entry(&pattern));
    let known: Map<String, Value> = schema::children(at)
        .into_iter()
        .filter_map(|name| Some((name.to_string(), below(name)?)))
        .collect();
    let others = if schema::open_names(at) {
        below("*").unwrap_or(Value::Bool(true))
    } else {
        Value::Bool(false)
    };
    let mut out = json!({ "type": "object", "properties": known, "additionalProperties": others });
    let needed = needed(at);
    if !needed.is_empty() {
        out["required"] = json!(needed);
    }
    out
}

/// What an element or a row cannot be without, wherever it stands.
fn needed(at: &str) -> &'static [&'static str] {
    if at.ends_with("seat.gap[]") {
        &["at", "gap"]
    } else if at == "side[]" {
        &["name"]
    } else if at.ends_with(".*") && schema::children(at).contains(&"source") {
        &["source"]
    } else {
        &[]
    }
}

/// What stands at a pattern: an entry, a table, an array of either.
fn entry(at: &str) -> Value {
    let element = format!("{at}[]");
    let list = schema::is_array(at).then(|| {
        let mut list = json!({ "type": "array", "items": entry(&element) });
        if at == "side" {
            list["maxItems"] = json!(2);
        }
        list
    });
    let one = schema::entry(at).map(value);
    match (one, list) {
        (Some((meaning, one)), Some(list)) => {
            json!({ "description": meaning, "anyOf": [one, list] })
        }
        (Some((meaning, one)), None) => {
            let mut out = Map::from_iter([("description".to_string(), Value::from(meaning))]);
            if let Value::Object(one) = one {
                out.extend(one);
            }
            out.into()
        }
        (None, Some(list)) => list,
        (None, None) => table(at),
    }
}

/// What a key means, and what it takes.
fn value(key: &'static Key) -> (&'static str, Value) {
    let unknown = json!({ "type": "string", "pattern": UNKNOWN });
    let takes = match key.takes {
        Takes::Quantity(kind) => {
            let kind = json!({ "$ref": format!("#/definitions/{}", name_of(kind)) });
            if MAY_BE_UNKNOWN.contains(&key.path) {
                json!({ "anyOf": [kind, unknown] })
            } else {
                // Beside a reference nothing else counts in this draft.
                json!({ "allOf": [kind] })
            }
        }
        // What a variant changes may be of any sort.
        Takes::Text if key.path.ends_with('*') => {
            json!({ "type": ["string", "number", "boolean"] })
        }
        Takes::Text => json!({ "type": ["string", "number"] }),
        Takes::Flag => json!({ "type": "boolean" }),
        Takes::Condition => json!({ "anyOf": [{ "type": "boolean" }, unknown] }),
        Takes::Choice(words) => json!({ "enum": words }),
        // The names of the built-in rows are offered; a job may bring its own.
        Takes::Row(name) => json!({ "anyOf": [{ "enum": rows(name) }, { "type": "string" }] }),
        Takes::Clock => json!({ "anyOf": [
            { "type": "string", "pattern": CLOCK },
            { "$ref": format!("#/definitions/{}", name_of(Kind::Angle)) },
        ] }),
    };
    (key.meaning, takes)
}

/// The names of a table's rows.
fn rows(name: &str) -> Vec<&'static str> {
    let Some(table) = tables::table(name) else {
        return Vec::new();
    };
    let all = table.rows().into_iter();
    all.filter(|row| table.groups.first() == Some(&row.group))
        .map(|row| row.name)
        .collect()
}
