//! `spindle`: spindle in bearing, taper, width stack and adjuster travel.
//!
//! A job that holds nothing but what this command reads is enough; one with an assembly is read whole, so
//! that its errors are told.

use super::check::json;
use super::{Failure, Format, JobArgs, OutputArgs, code_of, findings_of, output, read_document};
use crate::assess::spindle::{self, SpindleReport};
use crate::job::{Document, Readings, readings, resolve};
use crate::present::spindle as present;
use clap::Args;

/// Arguments of `spindle`.
#[derive(Debug, Args)]
pub struct SpindleArgs {
    #[command(flatten)]
    job: JobArgs,
    #[command(flatten)]
    output: OutputArgs,
}

/// Tables that only an assembly needs.
const ASSEMBLY: [&str; 6] = [
    "thread",
    "insert",
    "fitting",
    "bond",
    "tightening",
    "pedalling",
];

/// Everything read from the document, or its findings rendered.
pub(super) fn read(document: &Document) -> Result<(Readings, Vec<readings::Sided>), Failure> {
    let whole = ASSEMBLY.iter().any(|table| {
        document.has_table(table)
            || (0..document.len_of("side"))
                .any(|i| document.has_table(&format!("side[{i}].{table}")))
    });
    let failed = |findings: Vec<crate::job::Diagnostic>| findings_of(document, &findings);
    if whole {
        let job = resolve(document).map_err(failed)?;
        let sides = job
            .sides
            .iter()
            .map(|s| (s.name, s.assembly.condition))
            .collect();
        Ok((job.readings, sides))
    } else {
        readings::read_alone(document).map_err(failed)
    }
}

/// Judges what was read, and writes it up.
pub(super) fn look(
    document: &Document,
    read_off: &Readings,
    sides: &[readings::Sided],
) -> (SpindleReport, present::SpindlePaper) {
    let conditions: Vec<_> = sides.iter().map(|s| s.1).collect();
    let report = spindle::judge(read_off, &conditions);
    let named = present::Named {
        title: readings::title(document),
        source: document
            .sources
            .first()
            .map_or_else(String::new, |s| s.name.clone()),
        overrides: document.overrides().map(str::to_string).collect(),
    };
    let paper = present::SpindlePaper::new(named, read_off, sides, &report);
    (report, paper)
}

/// Runs the command.
pub fn run(args: &SpindleArgs) -> Result<u8, Failure> {
    let document = read_document(args.job.job.as_deref(), &args.job.set)?;
    let (read_off, sides) = read(&document)?;
    let (report, paper) = look(&document, &read_off, &sides);
    let out = match args.output.format {
        Format::Json => json(&paper)?,
        Format::Text | Format::Markdown => present::text(
            &paper,
            &read_off,
            &report,
            args.output.system(),
            args.output.layout(),
        ),
    };
    output::send(&args.output, &out)?;
    Ok(code_of(report.verdict))
}
