//! `explain ID`: one result or check with its formula, numbers, source and limits.

use super::check::json;
use super::{
    Failure, Format, JobArgs, OutputArgs, assess_all, findings_of, load, output, read_document,
};
use crate::assess::check::{CheckId, Verdict};
use crate::assess::repair;
use crate::assess::values;
use crate::job::{Job, resolve};
use crate::present::report::Assessed;
use crate::present::{Report, explain, text, words};
use clap::Args;
use serde::Serialize;

/// Arguments of `explain`.
#[derive(Debug, Args)]
pub struct ExplainArgs {
    /// A result or check id, such as preload.high or strip.internal; `list` lists them
    id: String,
    /// As a repair route leaves the joint: the name that `repair` prints
    #[arg(long, value_name = "NAME")]
    route: Option<String>,
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

/// The sides on which a repair route can be judged, as it leaves them.
fn of_route(args: &JobArgs, name: &str) -> Result<(Job, Vec<Assessed>), Failure> {
    let document = read_document(args.job.as_deref(), &args.set)?;
    let mut job = resolve(&document).map_err(|findings| findings_of(&document, &findings))?;
    let repairs = repair::repairs(&document, &job);
    let wanted = crate::tables::fold(name);
    let mut names: Vec<&str> = Vec::new();
    let mut sides = Vec::new();
    let mut assessments = Vec::new();
    for route in repairs.iter().flat_map(|r| &r.routes) {
        let Some(judged) = route.judged.as_ref().filter(|_| route.feasible()) else {
            continue;
        };
        if !names.contains(&route.name.as_str()) {
            names.push(&route.name);
        }
        if let (true, Some(side)) = (crate::tables::fold(&route.name) == wanted, judged.side()) {
            sides.push(side.clone());
            assessments.push(Assessed {
                assessment: judged.assessment,
                window: Some(judged.window),
            });
        }
    }
    if sides.is_empty() {
        return Err(Failure::Call(format!(
            "no route \"{name}\" is judged for this job; judged are: {}",
            names.join(", ")
        )));
    }
    job.sides = sides;
    job.overrides.push(format!("repair route \"{name}\""));
    Ok((job, assessments))
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
    let (job, assessments) = match &args.route {
        None => {
            let job = load(&args.job)?;
            let assessments = assess_all(&job)?;
            (job, assessments)
        }
        Some(route) => of_route(&args.job, route)?,
    };
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
