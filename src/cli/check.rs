//! `check`: does it meet the ratios asked for?

use super::{Failure, Format, JobArgs, OutputArgs, assess_all, code_of, load, output};
use crate::present::{Report, text};
use clap::Args;

/// Arguments of `check`.
#[derive(Debug, Args)]
pub struct CheckArgs {
    #[command(flatten)]
    job: JobArgs,
    #[command(flatten)]
    output: OutputArgs,
}

/// Runs the command.
pub fn run(args: &CheckArgs) -> Result<u8, Failure> {
    let job = load(&args.job)?;
    let assessments = assess_all(&job)?;
    let report = Report::new("check", &job, &assessments);
    let out = match args.output.format {
        Format::Json => json(&report)?,
        Format::Text | Format::Markdown => {
            text::check(&report, &job, args.output.system(), args.output.layout())
        }
    };
    output::send(&args.output, &out)?;
    Ok(code_of(report.overall))
}

/// Any report as JSON.
pub fn json<T: serde::Serialize>(report: &T) -> Result<String, Failure> {
    serde_json::to_string_pretty(report)
        .map(|text| text + "\n")
        .map_err(|e| Failure::Computation(format!("the result cannot be written as JSON: {e}")))
}
