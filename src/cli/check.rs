//! `check`: does it meet the ratios asked for?

use super::{Failure, Format, JobArgs, OutputArgs, assess_all, code_of, load, output};
use crate::present::check::text;
use crate::present::{Report, words};
use clap::Args;

/// Arguments of `check`.
#[derive(Debug, Args)]
pub struct CheckArgs {
    #[command(flatten)]
    job: JobArgs,
    /// Judge the glue on finite elements of the assembly in place of the simple models
    #[arg(long)]
    elements: bool,
    #[command(flatten)]
    output: OutputArgs,
}

/// Runs the command.
pub fn run(args: &CheckArgs) -> Result<u8, Failure> {
    let mut job = load(&args.job)?;
    for side in &mut job.sides {
        side.assembly.by_elements = args.elements;
    }
    let assessments = assess_all(&job)?;
    let report = Report::new("check", &job, &assessments);
    let out = match args.output.format {
        Format::Json => json(&report)?,
        Format::Text | Format::Markdown => {
            text(&report, &job, args.output.system(), args.output.layout())
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

/// The keys that every JSON output carries, for a command that looks at no job.
pub fn envelope(command: &str) -> serde_json::Map<String, serde_json::Value> {
    use crate::assess::caution::Caution;
    let cautions: Vec<serde_json::Value> = [
        Caution::MakerFirst,
        Caution::PlanningAid,
        Caution::LocalRules,
        Caution::NotCovered,
    ]
    .into_iter()
    .map(|c| serde_json::json!({ "id": c.id(), "text": words::caution(c) }))
    .collect();
    let mut map = serde_json::Map::new();
    map.insert("schema".into(), crate::present::report::SCHEMA.into());
    map.insert("command".into(), command.into());
    for key in ["preconditions", "assumed", "overrides", "not_examined"] {
        map.insert(key.into(), serde_json::Value::Array(Vec::new()));
    }
    map.insert("cautions".into(), cautions.into());
    map
}
