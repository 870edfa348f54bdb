//! `new`: a commented starter job.

use super::{Failure, output};
use clap::Args;
use std::path::PathBuf;

/// Arguments of `new`.
#[derive(Debug, Args)]
pub struct NewArgs {
    /// Which: crank-sleeve, boss, damaged-sleeve
    kind: String,
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
    let Some((_, text)) = STARTERS.iter().find(|(name, _)| *name == args.kind) else {
        let names: Vec<&str> = STARTERS.iter().map(|(name, _)| *name).collect();
        return Err(Failure::Call(format!(
            "there is no starter job \"{}\"; there are: {}",
            args.kind,
            names.join(", ")
        )));
    };
    match &args.output {
        Some(path) => {
            output::write_file(path, text, args.force)?;
            eprintln!(
                "{} written; fill it in, then run: insertwright check {}",
                path.display(),
                path.display()
            );
        }
        None => output::print(text)?,
    }
    Ok(0)
}
