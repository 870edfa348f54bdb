//! `seat`: what do the feeler and width readings say?

use super::check::json;
use super::{Failure, Format, JobArgs, OutputArgs, code_of, load, no_seat, output};
use crate::assess::seat_report::{self, Face, Width};
use crate::job::Job;
use crate::present::seat;
use crate::units::parse::{self, Kind};
use crate::units::{Length, from_si};
use clap::Args;

/// Arguments of `seat`.
#[derive(Debug, Args)]
pub struct SeatArgs {
    #[command(flatten)]
    job: JobArgs,
    /// Depth to face off the high place, such as 0.1mm; left out, the least that brings the share required
    #[arg(long, value_name = "LENGTH")]
    depth: Option<String>,
    #[command(flatten)]
    output: OutputArgs,
}

/// The depth that was stated.
pub(super) fn depth(text: &str) -> Result<Length, Failure> {
    let value = parse::read(text, Kind::Length)
        .map_err(|e| Failure::Call(format!("--depth {text}: {}; {}", e.message, e.help)))?;
    if value.nominal < 0.0 {
        return Err(Failure::Call(format!(
            "--depth {text}: a cut cannot be negative; leave the sign out"
        )));
    }
    Ok(from_si(value.nominal))
}

/// Looks at every face of a job, and at its widths.
pub(super) fn look(job: &Job, depth: Option<Length>) -> Result<(Vec<Face>, Width), Failure> {
    let faces = job
        .sides
        .iter()
        .map(|side| {
            seat_report::face(
                &side.assembly,
                &job.readings.widths,
                job.readings.feeler_error,
                depth,
            )
        })
        .collect::<Result<Vec<_>, _>>()
        .map_err(|e| no_seat(job, &e))?;
    let width = seat_report::width(&job.readings.widths, &faces);
    Ok((faces, width))
}

/// Runs the command.
pub fn run(args: &SeatArgs) -> Result<u8, Failure> {
    let stated = args.depth.as_deref().map(depth).transpose()?;
    let job = load(&args.job)?;
    let (faces, width) = look(&job, stated)?;
    let report = seat::SeatReport::new(&job, &faces, &width);
    let out = match args.output.format {
        Format::Json => json(&report)?,
        Format::Text | Format::Markdown => seat::text(
            &report,
            &job,
            &faces,
            &width,
            args.output.system(),
            args.output.layout(),
        ),
    };
    output::send(&args.output, &out)?;
    Ok(code_of(report.overall))
}
