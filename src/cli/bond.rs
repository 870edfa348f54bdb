//! `bond`: what there is to know before gluing.

use super::check::json;
use super::{Failure, Format, JobArgs, OutputArgs, assess_all, code_of, load, output};
use crate::present::bond::{BondReport, text};
use clap::Args;

/// Arguments of `bond`.
#[derive(Debug, Args)]
pub struct BondArgs {
    #[command(flatten)]
    job: JobArgs,
    #[command(flatten)]
    output: OutputArgs,
}

/// Runs the command.
pub fn run(args: &BondArgs) -> Result<u8, Failure> {
    let job = load(&args.job)?;
    let assessments = assess_all(&job)?;
    let report = BondReport::new(&job, &assessments);
    let out = match args.output.format {
        Format::Json => json(&report)?,
        Format::Text | Format::Markdown => text(
            &report,
            &job,
            args.output.system(),
            args.output.layout(),
            &assessments,
        ),
    };
    output::send(&args.output, &out)?;
    Ok(code_of(report.overall))
}
