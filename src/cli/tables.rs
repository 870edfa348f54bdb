//! `tables`: the built-in data with its sources.

use super::check::{envelope, json};
use super::{Failure, Format, OutputArgs, output};
use crate::present::text::Layout;
use crate::tables::{ALL, Row, Table, fold, table};
use clap::Args;
use serde_json::{Map, Value, json as value};

/// Arguments of `tables`.
#[derive(Debug, Args)]
pub struct TablesArgs {
    /// A table; left out, the list of tables
    table: Option<String>,
    /// Words to look for in names, notes and sources
    search: Vec<String>,
    #[command(flatten)]
    output: OutputArgs,
}

/// Runs the command.
pub fn run(args: &TablesArgs) -> Result<u8, Failure> {
    let layout = args.output.layout();
    let Some(name) = &args.table else {
        let rows: Vec<Vec<String>> = ALL
            .iter()
            .map(|t| {
                vec![
                    t.name.to_string(),
                    t.rows().len().to_string(),
                    t.title.to_string(),
                ]
            })
            .collect();
        let out = if args.output.format == Format::Json {
            let mut out = envelope("tables");
            let list: Vec<Value> = ALL
                .iter()
                .map(|t| value!({"name": t.name, "title": t.title}))
                .collect();
            out.insert("tables".into(), list.into());
            json(&out)?
        } else {
            layout.table(&["Table", "Rows", "What it holds"], &rows, &[1]) + &layout.paragraph("\n`insertwright tables NAME [WORD …]` shows rows. Every row says where it comes from, and whether that was published, common practice, recalled from memory, or invented.")
        };
        output::send(&args.output, &out)?;
        return Ok(0);
    };
    let Some(table) = table(name) else {
        let names: Vec<&str> = ALL.iter().map(|t| t.name).collect();
        return Err(Failure::Call(format!(
            "there is no table \"{name}\"; there are: {}",
            names.join(", ")
        )));
    };
    let rows = matching(table, &args.search);
    if rows.is_empty() {
        return Err(Failure::Call(format!(
            "no row of the table {name} holds \"{}\"; `insertwright tables {name}` lists them all",
            args.search.join(" ")
        )));
    }
    let out = if args.output.format == Format::Json {
        let list: Vec<Value> = rows
            .iter()
            .map(|row| {
                let mut map = Map::new();
                map.insert("group".into(), value!(row.group));
                map.insert("name".into(), value!(row.name));
                for (key, text) in row.entries() {
                    map.insert(key.into(), value!(text));
                }
                Value::Object(map)
            })
            .collect();
        let mut out = envelope("tables");
        out.insert("table".into(), table.name.into());
        out.insert("rows".into(), list.into());
        json(&out)?
    } else {
        let mut out = layout.heading(table.title);
        for row in &rows {
            out.push_str(&show(row, layout));
        }
        out
    };
    output::send(&args.output, &out)?;
    Ok(0)
}

/// The rows in which every word is found.
fn matching<'t>(table: &'t Table, words: &[String]) -> Vec<Row<'t>> {
    let words: Vec<String> = words.iter().map(|w| fold(w)).collect();
    let mut rows = table.rows();
    rows.retain(|row| {
        let text = fold(&format!(
            "{} {}",
            row.name,
            row.entries()
                .iter()
                .map(|(k, v)| format!("{k} {v} "))
                .collect::<String>()
        ));
        words.iter().all(|w| text.contains(w.as_str()))
    });
    rows
}

fn show(row: &Row<'_>, layout: Layout) -> String {
    let mut out = match layout {
        Layout::Plain(_) => format!("\n[{}.\"{}\"]\n", row.group, row.name),
        Layout::Markdown => format!("\n### {} {}\n\n", row.group, row.name),
        Layout::Html => layout.heading(&format!("{} {}", row.group, row.name)),
    };
    for (key, text) in row.entries() {
        if key != "basis" && key != "source" && !key.starts_with("aliases[") {
            out.push_str(&layout.item("", &format!("{key} = {text}")));
        }
    }
    let aliases = row.list("aliases");
    if !aliases.is_empty() {
        out.push_str(&layout.item("", &format!("also called: {}", aliases.join(", "))));
    }
    out.push_str(&layout.item("", &format!("source: {}", row.provenance())));
    out
}
