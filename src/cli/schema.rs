//! `schema`: what a job file may hold, for editors and scripts.

use super::check::json;
use super::{Failure, WriteArgs, output};
use crate::present::schema::job;
use clap::Args;

/// Arguments of `schema`.
#[derive(Debug, Args)]
#[command(
    after_help = "JSON Schema, draft 7. An editor that takes it offers keys and rows while you type, and marks an unknown key, a missing unit, \
a unit of another kind, a word that is none of those a key takes. What is missing or cannot be together, `check` says."
)]
pub struct SchemaArgs {
    #[command(flatten)]
    write: WriteArgs,
}

/// Runs the command.
pub fn run(args: &SchemaArgs) -> Result<u8, Failure> {
    output::send_to(&args.write, &json(&job())?)?;
    Ok(0)
}
