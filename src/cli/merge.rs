//! `merge`: the parts of one study put together.

use super::output::Stream;
use super::scatter::{Part, VERSION, checked, finish};
use super::{Failure, OutputArgs, StudyFormat, at_most, findings_of};
use crate::assess::scatter::Scatter;
use crate::job::Document;
use crate::present::text::visible;
use crate::study::run::{Counts, MOST_CHUNKS, Model};
use clap::Args;

/// Arguments of `merge`.
#[derive(Debug, Args)]
pub struct MergeArgs {
    /// The files that `scatter --part` has written, all of them, in any order
    #[arg(value_name = "FILE", required = true)]
    files: Vec<String>,
    #[command(flatten)]
    output: OutputArgs<StudyFormat>,
}

/// The largest file that is read as a part: some times what the largest study writes that keeps its numbers.
const LARGEST_PART: usize = 512 << 20;

/// Reads a part.
fn read(path: &str) -> Result<Part, Failure> {
    let shown = visible(path);
    let bytes = std::fs::File::open(path)
        .and_then(|file| at_most(file, LARGEST_PART))
        .map_err(|e| Failure::Call(format!("{shown}: cannot be read: {e}")))?;
    if bytes.len() > LARGEST_PART {
        return Err(Failure::Call(format!(
            "{shown}: this goes on after {LARGEST_PART} bytes, and a part of a study has no more; name files that `scatter --part K/N -o FILE` has written"
        )));
    }
    let part: Part = serde_json::from_slice(&bytes).map_err(|e| {
        Failure::Call(format!("{shown}: this is no part of a study: {e}; name files that `scatter --part K/N -o FILE` has written"))
    })?;
    if part.version != VERSION {
        return Err(Failure::Call(format!(
            "{shown}: written by version {} of this program, and this is {VERSION}, which may compute otherwise; run the part again",
            visible(&part.version)
        )));
    }
    Ok(part)
}

/// Why two parts do not belong together.
fn differs(a: &Part, b: &Part) -> Option<&'static str> {
    if a.text != b.text || a.source != b.source {
        Some("another job")
    } else if a.set != b.set {
        Some("other overrides")
    } else if a.plan.samples != b.plan.samples {
        Some("another number of samples")
    } else if a.plan.seed != b.plan.seed {
        Some("another seed")
    } else if a.plan != b.plan {
        Some("another number of points for what decides")
    } else if a.part.1 != b.part.1 {
        Some("another number of parts")
    } else {
        None
    }
}

/// Runs the command.
pub fn run(args: &MergeArgs) -> Result<u8, Failure> {
    let mut parts: Vec<(String, Part)> = Vec::new();
    for path in &args.files {
        let part = read(path)?;
        let shown = visible(path);
        if let Some((first, other)) = parts.first() {
            if let Some(what) = differs(other, &part) {
                return Err(Failure::Call(format!(
                    "{shown}: does not belong to {first}: {what}"
                )));
            }
            if let Some((same, _)) = parts.iter().find(|(_, p)| p.part.0 == part.part.0) {
                return Err(Failure::Call(format!(
                    "{shown}: part {} is in {same} already; name each part once",
                    part.part.0
                )));
            }
        }
        parts.push((shown, part));
    }
    let Some((_, first)) = parts.first() else {
        return Err(Failure::Call("name the parts".into()));
    };
    let (plan, n) = (first.plan, first.part.1);
    if n == 0 || n > MOST_CHUNKS || plan.samples == 0 {
        return Err(Failure::Call("these files name no parts of a study".into()));
    }
    let missing: Vec<String> = (1..=n)
        .filter(|k| !parts.iter().any(|(_, p)| p.part.0 == *k))
        .map(|k| format!("{k}/{n}"))
        .collect();
    if !missing.is_empty() {
        return Err(Failure::Call(format!(
            "missing: part {}; run `scatter` for it with the same job, seed and samples",
            missing.join(", ")
        )));
    }
    let (mut document, mut findings) = Document::parse(&first.source, &first.text);
    for argument in &first.set {
        findings.extend(document.set(argument));
    }
    if !findings.is_empty() {
        return Err(findings_of(&document, &findings));
    }
    let scatter = Scatter::new(&document).map_err(|findings| findings_of(&document, &findings))?;
    let inputs = scatter.distributions().len();
    let mut counts = Counts::new(&scatter, &plan);
    for (name, part) in parts {
        let (k, work) = (part.part.0, part.work);
        let fits = (1..=n).contains(&k)
            && work == plan.part(k, n)
            && plan.design.is_none_or(|d| d.fits(inputs))
            && part.counts.fit(&scatter, &plan, &work);
        if !fits {
            return Err(Failure::Call(format!(
                "{name}: what is in this file cannot be part {k}/{n} of this study; run the part again"
            )));
        }
        counts.absorb(part.counts);
    }
    counts.settle();
    let of_checks = checked(&scatter)?;
    finish(
        &scatter,
        &plan,
        &counts,
        of_checks,
        &args.output,
        Stream::new(&args.output.write)?,
    )
}
