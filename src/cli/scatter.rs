//! `scatter`: how sure?

use super::check::{envelope, json};
use super::long::{ThreadArgs, watched};
use super::output::Stream;
use super::{
    Failure, JobArgs, OutputArgs, StudyFormat, code_of, findings_of, no_seat, read_document,
};
use crate::assess::check::Verdict;
use crate::assess::scatter::Scatter;
use crate::assess::{Assessed, assess};
use crate::present::Report;
use crate::present::scatter::{Context, csv, ended, report, text};
use crate::study::run::{self, Counts, Plan, Work};
use crate::study::sobol::{Design, MOST_POINTS};
use crate::units::System;
use clap::Args;
use serde::{Deserialize, Serialize};

/// Arguments of `scatter`.
#[derive(Debug, Args)]
#[command(
    after_help = "Everything with a spread is drawn, with the ranges of friction and the wrench's own error; chances are of the \
numbers alone. Exit status: 1 where a strength check or the maker's torque falls short in more than half of all samples, where a \
precondition is not met, or where the job is refused; 4 where none does but `check` would not judge; 3 where the study was ended \
before its time."
)]
pub struct ScatterArgs {
    #[command(flatten)]
    job: JobArgs,
    /// Samples to draw
    #[arg(long, value_name = "N", default_value_t = 10_000, value_parser = clap::value_parser!(u64).range(1..=100_000_000_000))]
    samples: u64,
    /// The same seed gives the same figures
    #[arg(long, value_name = "S", default_value_t = 1)]
    seed: u64,
    /// Points for what decides, each of which costs two runs and one for every entry that is drawn; 0 leaves it out;
    /// without this, about as many runs as samples
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(0..=i64::from(MOST_POINTS)))]
    contributors: Option<u32>,
    /// Do part K of N of the study and write it for `merge`
    #[arg(long, value_name = "K/N", value_parser = part)]
    part: Option<(u64, u64)>,
    #[command(flatten)]
    threads: ThreadArgs,
    #[command(flatten)]
    output: OutputArgs<StudyFormat>,
}

/// Reads `K/N`.
fn part(text: &str) -> Result<(u64, u64), String> {
    let both = text
        .split_once('/')
        .and_then(|(k, n)| Some((k.trim().parse::<u64>().ok()?, n.trim().parse::<u64>().ok()?)));
    match both {
        Some((k, n)) if (1..=n).contains(&k) => Ok((k, n)),
        Some((_, 0)) => {
            Err("there is no study of 0 parts; write it as 1/4 for the first of four".into())
        }
        Some((k, n)) => Err(format!(
            "there is no part {k} of {n}; the parts are 1/{n} to {n}/{n}"
        )),
        None => Err("write it as 1/4 for the first of four parts".into()),
    }
}

/// Points for what decides where nobody says how many: about as many runs as samples, within reason.
fn points(samples: u64, inputs: usize) -> u32 {
    let alike = (samples / (inputs as u64 + 2)).clamp(64, 4096) as u32;
    // Down to a power of two.
    1 << alike.ilog2()
}

/// The plan of a study.
pub fn plan(scatter: &Scatter, samples: u64, seed: u64, contributors: Option<u32>) -> Plan {
    let inputs = scatter.inputs().len();
    let points = contributors.unwrap_or_else(|| points(samples, inputs));
    Plan {
        samples,
        seed,
        design: (points > 0 && inputs > 0).then(|| Design::of_at_least(points, inputs, seed)),
    }
}

/// A part of a study as a file.
#[derive(Debug, Serialize, Deserialize)]
pub struct Part {
    /// Version of the program: another may draw or compute otherwise.
    pub version: String,
    /// The job's name.
    pub source: String,
    /// The job itself.
    pub text: String,
    /// What was put over it.
    pub set: Vec<String>,
    /// The study that it is a part of.
    pub plan: Plan,
    /// Which part, of how many.
    pub part: (u64, u64),
    /// What was done.
    pub work: Work,
    /// What was counted.
    pub counts: Counts,
}

/// The version that parts carry.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// Runs the command.
pub fn run(args: &ScatterArgs) -> Result<u8, Failure> {
    let document = read_document(args.job.job.as_deref(), &args.job.set)?;
    let scatter = Scatter::new(&document).map_err(|findings| findings_of(&document, &findings))?;
    let plan = plan(&scatter, args.samples, args.seed, args.contributors);
    let (k, n) = args.part.unwrap_or((1, 1));
    if n > plan.chunks() {
        return Err(Failure::Call(format!(
            "{} samples are too few for {n} parts; at most {} are possible",
            plan.samples,
            plan.chunks()
        )));
    }
    let work = plan.part(k, n);
    let of_part = args.part.is_some();
    if of_part && !matches!(args.output.format, StudyFormat::Text | StudyFormat::Json) {
        return Err(Failure::Call(
            "a part of a study is JSON for `merge`; leave --format out, and give it to `merge`"
                .into(),
        ));
    }
    // What stands in the way of the result must show before the work.
    let stream = Stream::new(&args.output.write)?;
    let of_checks = checked(&scatter)?;
    if of_checks.worst.verdict == Verdict::Refused.word() {
        return finish(
            &scatter,
            &plan,
            &Counts::new(&scatter, &plan),
            of_checks,
            &args.output,
            stream,
        );
    }
    let pool = args.threads.pool()?;
    let counts = watched(plan.runs(&work), "scatter", false, |control| {
        run::run(&scatter, &plan, &work, &pool, control)
    })?;
    let whole = counts.complete(&plan, &work);
    if !of_part {
        return finish(&scatter, &plan, &counts, of_checks, &args.output, stream);
    }
    if !whole {
        return Err(Failure::Computation(format!(
            "part {k}/{n} was ended before its time, after {} of {} samples; no part was written",
            counts.drawn,
            plan.samples_in(&work)
        )));
    }
    let own = document.sources.first();
    let part = Part {
        version: VERSION.into(),
        source: own.map_or(String::new(), |s| s.name.clone()),
        text: own.map_or(String::new(), |s| s.text.clone()),
        set: document.overrides().map(str::to_string).collect(),
        plan,
        part: (k, n),
        work,
        counts,
    };
    write_part(&part, stream)
}

/// Writes a part.
fn write_part(part: &Part, mut stream: Stream) -> Result<u8, Failure> {
    let mut map = envelope("scatter");
    let value = serde_json::to_value(part)
        .map_err(|e| Failure::Computation(format!("the part cannot be written as JSON: {e}")))?;
    if let serde_json::Value::Object(fields) = value {
        map.extend(fields);
    }
    let mut out = serde_json::to_string(&map)
        .map_err(|e| Failure::Computation(format!("the part cannot be written as JSON: {e}")))?;
    out.push('\n');
    stream.write(&out)?;
    stream.finish()?;
    Ok(0)
}

/// What `check` says of the job.
///
/// # Errors
/// [`Failure::Call`] where a side has no seat.
pub fn checked(scatter: &Scatter) -> Result<Report, Failure> {
    let job = scatter.job();
    let assessed: Vec<Assessed> = job
        .sides
        .iter()
        .map(|side| {
            assess(&side.assembly).map(|assessment| Assessed {
                assessment,
                window: None,
            })
        })
        .collect::<Result<_, _>>()
        .map_err(|e| no_seat(job, &e))?;
    Ok(Report::new("scatter", job, &assessed))
}

/// Prints what a study says, and judges it.
///
/// # Errors
/// What printing says; [`Failure::Computation`] where the study was ended before its time.
pub fn finish(
    scatter: &Scatter,
    plan: &Plan,
    counts: &Counts,
    of_checks: Report,
    args: &OutputArgs<StudyFormat>,
    mut stream: Stream,
) -> Result<u8, Failure> {
    let findings = scatter.findings(plan, counts);
    let failed = of_checks
        .printed_sides()
        .iter()
        .any(|s| s.preconditions.iter().any(|p| p.state == "failed"));
    let system = match args.format {
        StudyFormat::Json | StudyFormat::Csv => System::Metric,
        StudyFormat::Text | StudyFormat::Markdown => args.system(),
    };
    let report = report(of_checks, scatter, plan, counts, &findings, system);
    let out = match args.format {
        StudyFormat::Json => json(&report)?,
        StudyFormat::Csv => csv(&report),
        StudyFormat::Text | StudyFormat::Markdown => {
            let context = Context {
                scatter,
                findings: &findings,
                system,
                layout: args.layout(),
            };
            text(&report, &context)
        }
    };
    stream.write(&out)?;
    stream.finish()?;
    if let Some(asked) = report.worst.ended_before {
        return Err(Failure::Computation(ended(counts.drawn, asked)));
    }
    Ok(
        if report.worst.refused || failed || findings.sides.iter().any(|s| s.short_as_a_rule()) {
            code_of(Verdict::FallsShort)
        } else if report.overall == Verdict::NotJudged
            || findings.sides.iter().any(|s| s.lowest.is_none())
        {
            code_of(Verdict::NotJudged)
        } else {
            code_of(Verdict::Meets)
        },
    )
}
