//! `compare`: several fittings, seats or glues side by side.

use super::check::json;
use super::{
    Failure, Format, JobArgs, OutputArgs, assess_all, code_of, findings_of, output, read_document,
};
use crate::assess::check::Verdict;
use crate::job::document::AS_STATED;
use crate::job::resolve::resolve_changed;
use crate::job::{Document, Job, resolve};
use crate::present::compare::{Compared, Entry, text};
use clap::Args;
use std::path::Path;

/// Arguments of `compare`.
#[derive(Debug, Args)]
pub struct CompareArgs {
    /// Job files; with one (or none: the demonstration job) it is compared with its [[variant]] tables
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
    let entries = if args.jobs.len() > 1 {
        jobs(&args.jobs, &args.set)?
    } else {
        variants(args.jobs.first().map(String::as_str), &args.set)?
    };
    let compared = Compared::new(entries);
    let out = match args.output.format {
        Format::Json => json(&compared.json())?,
        Format::Text | Format::Markdown => {
            text(&compared, args.output.system(), args.output.layout())
        }
    };
    output::send(&args.output, &out)?;
    let worst = compared
        .entries
        .iter()
        .map(|e| e.report.overall)
        .fold(Verdict::Meets, Verdict::worse);
    Ok(code_of(worst))
}

/// Several jobs, each under a name of its own.
fn jobs(names: &[String], set: &[String]) -> Result<Vec<Entry>, Failure> {
    for (i, name) in names.iter().enumerate() {
        if names[..i].contains(name) {
            return Err(Failure::Call(format!(
                "{name}: this job is named twice; name jobs that differ, or add [[variant]] tables to one"
            )));
        }
    }
    let loaded = all(names.iter().map(|name| {
        super::load(&JobArgs {
            job: Some(name.clone()),
            set: set.to_vec(),
        })
    }))?;
    let names = own_names(&loaded);
    all(loaded
        .iter()
        .zip(names)
        .map(|(job, name)| entry(name, Vec::new(), job)))
}

/// A name for each job that no other has: its title, else the name of its file, else the whole path.
fn own_names(jobs: &[Job]) -> Vec<String> {
    let title = |job: &Job| job.title.clone().unwrap_or_default();
    let file = |job: &Job| {
        let name = Path::new(&job.source).file_name();
        name.map_or_else(String::new, |n| n.to_string_lossy().into_owned())
    };
    let whole = |job: &Job| job.source.clone();
    // One sort of name for all, so that it reads as one list.
    for candidate in [&title as &dyn Fn(&Job) -> String, &file] {
        let mut names: Vec<String> = jobs.iter().map(candidate).collect();
        names.sort();
        names.dedup();
        if names.len() == jobs.len() && names.iter().all(|n| !n.is_empty()) {
            return jobs.iter().map(candidate).collect();
        }
    }
    jobs.iter().map(whole).collect()
}

/// One job as it stands, and its variants.
fn variants(name: Option<&str>, set: &[String]) -> Result<Vec<Entry>, Failure> {
    of_variants(&read_document(name, set)?)
}

/// The job of a document as it stands, and its variants.
///
/// # Errors
/// [`Failure::Call`] where it has none; what is wrong with any of them.
pub fn of_variants(document: &Document) -> Result<Vec<Entry>, Failure> {
    let job = resolve(document).map_err(|findings| findings_of(document, &findings))?;
    let variants = document.len_of("variant");
    if variants == 0 {
        return Err(Failure::Call(
            "there is nothing to compare: give several job files, or add tables such as\n\n  [[variant]]\n  name = \"wider flange\"\n  set = { \"fitting.flange_diameter\" = \"46 mm\" }\n".into(),
        ));
    }
    let stated = std::iter::once(entry(AS_STATED.into(), Vec::new(), &job));
    all(stated.chain((0..variants).map(|i| {
        let (variant, _) = document.variant(i);
        // Resolving the job has looked at its variants too; what is said here names the variant.
        let job = resolve_changed(&variant.document).map_err(|f| findings_of(document, &f))?;
        entry(variant.name, variant.changes, &job)
    })))
}

/// All results, or everything that is wrong.
fn all<T>(results: impl Iterator<Item = Result<T, Failure>>) -> Result<Vec<T>, Failure> {
    let (mut good, mut bad) = (Vec::new(), Vec::new());
    for result in results {
        match result {
            Ok(value) => good.push(value),
            Err(failure) => bad.push(failure),
        }
    }
    match bad.len() {
        0 => Ok(good),
        1 => Err(bad.remove(0)),
        _ => Err(Failure::Job(
            bad.iter()
                .map(|f| f.to_string().trim_end().to_string())
                .collect::<Vec<_>>()
                .join("\n\n"),
        )),
    }
}

fn entry(name: String, changes: Vec<(String, String)>, job: &Job) -> Result<Entry, Failure> {
    let sides = assess_all(job).map_err(|failure| match failure {
        Failure::Call(text) => Failure::Call(format!("{name}: {text}")),
        other => other,
    })?;
    Entry::new(name, changes, job, sides)
        .ok_or_else(|| Failure::Computation("the job has no side".into()))
}
