//! `new`: a commented starter job.

use super::{Failure, ask, output};
use clap::Args;
use std::path::PathBuf;

/// Arguments of `new`.
#[derive(Debug, Args)]
pub struct NewArgs {
    /// Which: crank-sleeve, boss, damaged-sleeve
    #[arg(required_unless_present = "ask")]
    kind: Option<String>,
    /// Ask for what is needed, question by question; "?" or an empty line means that you do not know
    #[arg(long)]
    ask: bool,
    /// Write to a file instead of standard output
    #[arg(short = 'o', long = "output", value_name = "FILE")]
    output: Option<PathBuf>,
    /// Overwrite an existing file
    #[arg(long)]
    force: bool,
}

/// The starter jobs: name and text.
pub const STARTERS: &[(&str, &str)] = &[
    ("crank-sleeve", include_str!("starters/crank-sleeve.toml")),
    ("boss", include_str!("starters/boss.toml")),
    (
        "damaged-sleeve",
        include_str!("starters/damaged-sleeve.toml"),
    ),
];

/// Runs the command.
pub fn run(args: &NewArgs) -> Result<u8, Failure> {
    let kind = args.kind.as_deref();
    let starter = STARTERS.iter().find(|(name, _)| Some(*name) == kind);
    if let (Some(kind), None) = (kind, starter) {
        let names: Vec<&str> = STARTERS.iter().map(|(name, _)| *name).collect();
        return Err(Failure::Call(format!(
            "there is no starter job \"{kind}\"; there are: {}",
            names.join(", ")
        )));
    }
    if args.ask {
        return asked(args);
    }
    let text = starter.map_or("", |(_, text)| text);
    match &args.output {
        Some(path) => {
            output::write_file(path, text, args.force)?;
            // What was found damaged is read by `repair`.
            let damaged = text.contains("\n[damage]");
            let next = if damaged { "repair" } else { "check" };
            eprintln!(
                "{} written; fill it in, then run: insertwright {next} {}",
                path.display(),
                path.display()
            );
        }
        None => output::print(text)?,
    }
    Ok(0)
}

/// Asks, and writes the job that the answers make. What is still missing is said, and is exit code 4.
fn asked(args: &NewArgs) -> Result<u8, Failure> {
    // Nobody should answer forty questions to hear that the file is in the way.
    if let Some(path) = args.output.as_ref().filter(|p| !args.force && p.exists()) {
        return Err(Failure::Call(format!(
            "{}: this file exists; choose another name, or add --force",
            path.display()
        )));
    }
    let asked = ask::run(args.kind.as_deref(), &mut std::io::stdin().lock())?;
    match &args.output {
        Some(path) => {
            output::write_file(path, &asked.text, args.force)?;
            eprintln!("{} written", path.display());
        }
        None => output::print(&asked.text)?,
    }
    for (key, how) in &asked.missing {
        eprintln!("still missing: {key}: {how}");
    }
    for what in &asked.wrong {
        eprintln!("to be put right: {what}");
    }
    if asked.missing.is_empty() && asked.wrong.is_empty() {
        let (what, file) = match (args.kind.as_deref(), &args.output) {
            (Some("damaged-sleeve"), Some(path)) => ("repair", path.display().to_string()),
            (_, Some(path)) => ("check", path.display().to_string()),
            (_, None) => ("check", "FILE".to_string()),
        };
        eprintln!("the job is complete; run: insertwright {what} {file}");
        return Ok(0);
    }
    Ok(4)
}
