//! `torque`: which torques meet every limit entered?

use super::check::json;
use super::{Failure, Format, JobArgs, OutputArgs, assess_all, code_of, load, output};
use crate::assess::check::Verdict;
use crate::present::{Report, window};
use clap::Args;

/// Arguments of `torque`.
#[derive(Debug, Args)]
pub struct TorqueArgs {
    #[command(flatten)]
    job: JobArgs,
    #[command(flatten)]
    output: OutputArgs,
}

/// Runs the command.
pub fn run(args: &TorqueArgs) -> Result<u8, Failure> {
    let job = load(&args.job)?;
    let assessments = assess_all(&job)?;
    let report = Report::new("torque", &job, &assessments);
    let out = match args.output.format {
        Format::Json => json(&report)?,
        Format::Text | Format::Markdown => {
            window::text(&report, &job, args.output.system(), args.output.layout())
        }
    };
    output::send(&args.output, &out)?;
    let empty = report
        .printed_sides()
        .iter()
        .any(|s| s.window.as_ref().is_some_and(|w| w.empty));
    if empty && report.overall != Verdict::Refused {
        return Ok(1);
    }
    // The window answers for itself: a torque that falls short is only the job's own figure.
    let incomplete = report
        .printed_sides()
        .iter()
        .any(|s| s.window.as_ref().is_some_and(|w| !w.complete));
    Ok(match report.overall {
        Verdict::FallsShort => 1,
        verdict if incomplete && code_of(verdict) == 0 => 4,
        verdict => code_of(verdict),
    })
}
