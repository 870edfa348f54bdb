//! `explain ID`: one result or check with its formula, numbers, source and limits.

use super::check::json;
use super::{Failure, Format, JobArgs, OutputArgs, assess_all, load, output};
use crate::assess::check::{CheckId, Verdict};
use crate::assess::values;
use crate::present::{Report, explain, text, words};
use clap::Args;
use serde::Serialize;

/// Arguments of `explain`.
#[derive(Debug, Args)]
pub struct ExplainArgs {
    /// A result or check id, such as preload.high or strip.internal; `list` lists them
    id: String,
    #[command(flatten)]
    job: JobArgs,
    #[command(flatten)]
    output: OutputArgs,
}

#[derive(Serialize)]
struct SideExplained {
    side: &'static str,
    explained: Vec<explain::Explanation>,
}

#[derive(Serialize)]
struct Explained<'a> {
    schema: &'static str,
    command: &'static str,
    job: &'a crate::present::report::JobReport,
    id: &'a str,
    sides: Vec<SideExplained>,
    preconditions: &'a [crate::present::report::PreconditionReport],
    assumed: &'a [crate::present::report::AssumedReport],
    overrides: &'a [String],
    not_examined: &'a [String],
    cautions: &'a [crate::present::report::CautionReport],
}

/// Runs the command.
pub fn run(args: &ExplainArgs) -> Result<u8, Failure> {
    let id = args.id.as_str();
    let layout = args.output.layout();
    if id == "list" {
        let mut rows: Vec<Vec<String>> = CheckId::ALL
            .iter()
            .map(|c| vec![c.id().into(), format!("check: {}", c.title())])
            .collect();
        rows.extend(values::every().map(|v| vec![v.id.to_string(), v.title.to_string()]));
        output::send(
            &args.output,
            &layout.table(&["Id", "What it is"], &rows, &[]),
        )?;
        return Ok(0);
    }
    if values::find(id).is_none() && CheckId::from_id(id).is_none() {
        let near = values::every()
            .map(|v| v.id)
            .chain(CheckId::ALL.iter().map(|c| c.id()))
            .min_by_key(|known| strsim::damerau_levenshtein(known, id))
            .unwrap_or("preload.high");
        return Err(Failure::Call(format!(
            "\"{id}\" is not a result or a check; did you mean {near}? `insertwright explain list` lists them all"
        )));
    }
    let job = load(&args.job)?;
    let assessments = assess_all(&job)?;
    let report = Report::new("explain", &job, &assessments);
    if report.overall == Verdict::Refused {
        let out = text::opening(
            "explain",
            &report.job.source,
            report.job.title.as_deref(),
            layout,
        ) + &layout
            .paragraph("Refused: a precondition is not met, so no figure is given.")
            + &text::tail(&report, layout);
        output::send(&args.output, &out)?;
        return Ok(1);
    }
    let out = if args.output.format == Format::Json {
        let sides = job
            .sides
            .iter()
            .zip(&assessments)
            .map(|(side, assessment)| {
                let ids: Vec<&str> = match CheckId::from_id(id) {
                    Some(check) => explain::behind(check).to_vec(),
                    None => vec![id],
                };
                let explained = ids
                    .iter()
                    .filter_map(|i| values::find(i))
                    .map(|v| explain::of_value(v, side, &assessment.assessment))
                    .collect();
                SideExplained {
                    side: words::side_word(side.name),
                    explained,
                }
            })
            .collect();
        json(&Explained {
            schema: report.schema,
            command: "explain",
            job: &report.job,
            id,
            sides,
            preconditions: &report.worst.preconditions,
            assumed: &report.assumed,
            overrides: &report.overrides,
            not_examined: &report.not_examined,
            cautions: &report.cautions,
        })?
    } else {
        let mut out = text::opening(
            "explain",
            &report.job.source,
            report.job.title.as_deref(),
            layout,
        );
        for (side, assessment) in job.sides.iter().zip(&assessments) {
            if job.sides.len() > 1 {
                out.push_str(&layout.heading(words::side(side.name)));
            }
            if let Some(text) = explain::text(
                id,
                side,
                &assessment.assessment,
                args.output.system(),
                layout,
            ) {
                out.push_str(&text);
            }
        }
        out.push_str(&text::cautions(
            report.cautions.iter().map(|c| c.text),
            layout,
        ));
        out
    };
    output::send(&args.output, &out)?;
    Ok(0)
}
