//! `compare`: several fittings, seats or glues side by side.

use super::check::json;
use super::{
    Failure, Format, JobArgs, OutputArgs, assess_all, code_of, findings_of, output, read_document,
};
use crate::assess::check::Verdict;
use crate::job::{Document, Job, resolve};
use crate::present::Report;
use crate::present::compare::{self, Entry};
use clap::Args;

/// Arguments of `compare`.
#[derive(Debug, Args)]
pub struct CompareArgs {
    /// Job files; with one (or none: the demonstration job) its [[variant]] tables are compared
    #[arg(value_name = "JOB")]
    jobs: Vec<String>,
    /// Override one entry in every job; may be given again
    #[arg(long = "set", value_name = "PATH=VALUE")]
    set: Vec<String>,
    #[command(flatten)]
    output: OutputArgs,
}

/// Runs the command.
pub fn run(args: &CompareArgs) -> Result<u8, Failure> {
    let several = args.jobs.len() > 1;
    let mut entries = Vec::new();
    let mut base = None;
    if several {
        for name in &args.jobs {
            let job = super::load(&JobArgs {
                job: Some(name.clone()),
                set: args.set.clone(),
            })?;
            entries.push(entry(
                job.title.clone().unwrap_or_else(|| name.clone()),
                Vec::new(),
                &job,
            )?);
        }
    } else {
        let document = read_document(args.jobs.first().map(String::as_str), &args.set)?;
        let variants = document.len_of("variant");
        if variants == 0 {
            return Err(Failure::Call(
                "there is nothing to compare: give several job files, or add tables such as\n\n  [[variant]]\n  name = \"wider flange\"\n  set = { \"fitting.flange_diameter\" = \"46 mm\" }\n".into(),
            ));
        }
        base = Some(entry(
            "as stated".into(),
            Vec::new(),
            &resolved(&document)?,
        )?);
        for i in 0..variants {
            let (changed, name, changes) = document.variant(i);
            entries.push(entry(name, changes, &resolved(&changed)?)?);
        }
    }
    entries.sort_by(|a, b| a.order(b));
    let out = match args.output.format {
        Format::Json => json(&compare::Compared::new(&entries, base.as_ref()))?,
        Format::Text | Format::Markdown => compare::text(
            &entries,
            base.as_ref(),
            args.output.system(),
            args.output.layout(),
        ),
    };
    output::send(&args.output, &out)?;
    let worst = entries
        .iter()
        .map(|e| e.report.overall)
        .fold(Verdict::Meets, Verdict::worse);
    Ok(code_of(worst))
}

fn resolved(document: &Document) -> Result<Job, Failure> {
    resolve(document).map_err(|findings| findings_of(document, &findings))
}

fn entry(name: String, changes: Vec<(String, String)>, job: &Job) -> Result<Entry, Failure> {
    let assessments = assess_all(job)?;
    let lowest = assessments
        .iter()
        .filter_map(|a| {
            a.assessment
                .governing
                .and_then(|id| a.assessment.checks[id.index()])
        })
        .map(|c| c.margin())
        .fold(f64::INFINITY, f64::min);
    Ok(Entry {
        name,
        changes,
        lowest,
        report: Report::new("compare", job, &assessments),
    })
}
