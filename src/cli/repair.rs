//! `repair`: re-tap or replace?

use super::check::json;
use super::{
    Failure, Format, JobArgs, OutputArgs, assess_all, code_of, findings_of, output, read_document,
};
use crate::assess::repair;
use crate::job::resolve;
use crate::present::Report;
use crate::present::repair::{RepairReport, text};
use crate::units::display::System;
use clap::Args;

/// Arguments of `repair`.
#[derive(Debug, Args)]
pub struct RepairArgs {
    #[command(flatten)]
    job: JobArgs,
    #[command(flatten)]
    output: OutputArgs,
}

/// Runs the command.
pub fn run(args: &RepairArgs) -> Result<u8, Failure> {
    let document = read_document(args.job.job.as_deref(), &args.job.set)?;
    let job = resolve(&document).map_err(|findings| findings_of(&document, &findings))?;
    let base = Report::new("repair", &job, &assess_all(&job)?);
    let repairs = repair::repairs(&document, &job);
    // The numbers of the JSON are metric, and so are its sentences.
    let system = match args.output.format {
        Format::Json => System::Metric,
        Format::Text | Format::Markdown => args.output.system(),
    };
    let report = RepairReport::new(base, &repairs, system)
        .ok_or_else(|| Failure::Computation("the job has no side".into()))?;
    let out = match args.output.format {
        Format::Json => json(&report)?,
        Format::Text | Format::Markdown => text(&report, system, args.output.layout()),
    };
    output::send(&args.output, &out)?;
    Ok(code_of(report.overall))
}
