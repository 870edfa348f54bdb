//! `elements`: the same assembly by finite elements, as a cross-check.

use super::check::json;
use super::{Failure, Format, JobArgs, OutputArgs, code_of, load, no_seat, output};
use crate::assess::check::Verdict;
use crate::assess::coupled::crosscheck::CrossCheck;
use crate::assess::{Assessed, assess};
use crate::present::sheet::draw::deformed;
use crate::present::{Report, elements, words};
use clap::Args;
use std::path::PathBuf;

/// Arguments of `elements`.
#[derive(Debug, Args)]
pub struct ElementsArgs {
    #[command(flatten)]
    job: JobArgs,
    /// Write the deformed section with the stress in the glue as an SVG file as well (of two sides the worse one)
    #[arg(long, value_name = "FILE")]
    picture: Option<PathBuf>,
    #[command(flatten)]
    output: OutputArgs,
}

/// Runs the command.
pub fn run(args: &ElementsArgs) -> Result<u8, Failure> {
    let job = load(&args.job)?;
    let assessed = job
        .sides
        .iter()
        .map(|side| {
            let assessment = assess(&side.assembly)?;
            Ok(Assessed {
                assessment,
                window: None,
            })
        })
        .collect::<Result<Vec<_>, _>>()
        .map_err(|e| no_seat(&job, &e))?;
    let found: Vec<elements::Found> = (job.sides.iter().zip(&assessed))
        .map(|(side, assessed)| {
            let r = &assessed.assessment;
            let allowed = r.verdict != Verdict::Refused;
            let cross = allowed.then(|| CrossCheck::of(&side.assembly, r));
            (r.verdict, cross)
        })
        .collect();
    let of_checks = Report::new("elements", &job, &assessed);
    let report = elements::report(of_checks, &job, &found);
    let out = match args.output.format {
        Format::Json => json(&report)?,
        Format::Text | Format::Markdown => {
            elements::text(&report, args.output.system(), args.output.layout())
        }
    };
    if let Some(path) = &args.picture {
        let drawn = found.iter().filter_map(|of_side| match &of_side.1 {
            Some(Ok(cross)) => Some((elements::verdict(of_side).rank(), cross)),
            _ => None,
        });
        // Of equals the first.
        let drawn = drawn.reduce(|a, b| if b.0 > a.0 { b } else { a });
        let drawn = drawn.map(|(_, cross)| cross);
        let Some(cross) = drawn else {
            return Err(Failure::Computation(format!(
                "there is no picture: {}",
                words::NO_ELEMENTS
            )));
        };
        let picture = deformed::alone(cross, args.output.system());
        output::write_file(path, &picture, args.output.write.force)?;
    }
    output::send(&args.output, &out)?;
    Ok(code_of(report.overall))
}
