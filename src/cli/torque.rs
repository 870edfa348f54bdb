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
    let windows = || assessments.iter().filter_map(|a| a.window.as_ref());
    // The verdict at the job's own torque counts as in `check`; a window without a torque in it falls short,
    // and one with a limit missing is not judged.
    let verdict = if windows().any(|w| w.empty) {
        report.overall.worse(Verdict::FallsShort)
    } else if windows().any(|w| !w.complete()) {
        report.overall.worse(Verdict::NotJudged)
    } else {
        report.overall
    };
    Ok(code_of(verdict))
}
