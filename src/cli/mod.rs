//! The command line: reads, resolves, asks for an assessment, prints. Nothing is computed here.

mod ask;
mod bond;
mod check;
mod compare;
mod completions;
mod elements;
mod explain;
mod identify;
mod long;
mod merge;
mod new;
mod output;
mod repair;
mod scatter;
mod schema;
mod seat;
mod self_test;
mod sheet;
mod spindle;
mod sweep;
mod tables;
mod torque;

use crate::assess::Assessed;
use crate::assess::check::Verdict;
use crate::job::document::LARGEST_JOB;
use crate::job::{Diagnostic, Document, Job, resolve};
use crate::present::diagnose;
use crate::present::text::{DEMONSTRATION, Layout, visible};
use crate::units::System;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::io::{IsTerminal, Read};
use std::path::PathBuf;
use std::process::ExitCode;

/// Torque and thread-engagement planning for bonded threaded inserts.
#[derive(Debug, Parser)]
#[command(name = "insertwright", version, about, max_term_width = 100)]
#[command(
    after_help = "A planning aid: the makers' instructions come first. Exit status: 0 nothing falls short, \
1 something does or is refused, 2 the input or the call is wrong, 3 the computation or the output failed, \
4 nothing falls short but something could not be judged."
)]
pub struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Does it meet the ratios asked for: every check with demand, capacity and margin
    Check(check::CheckArgs),
    /// Which torques meet every limit entered: all bounds, what governs each, the window
    Torque(torque::TorqueArgs),
    /// Before gluing: gap, size to turn, mix, preparation, cure, proof loads, a coupon
    Bond(bond::BondArgs),
    /// Variants of a job, or several jobs, side by side
    Compare(compare::CompareArgs),
    /// What the feeler and width readings say: tilt, ring that bears, what to face off, width left
    Seat(seat::SeatArgs),
    /// Spindle in its bearing, taper, width stack and adjuster travel
    Spindle(spindle::SpindleArgs),
    /// The same assembly by finite elements, beside the simple models, and which to believe
    Elements(elements::ElementsArgs),
    /// Re-tap or replace: every route for a damaged insert, judged on the same loads
    Repair(repair::RepairArgs),
    /// What if: results over a grid of entries; between which values of one every margin is kept
    Sweep(sweep::SweepArgs),
    /// How sure: everything that is not known exactly is drawn; bands, chances of falling short, what decides
    Scatter(scatter::ScatterArgs),
    /// Puts the parts of one `scatter` study together
    Merge(merge::MergeArgs),
    /// Which thread is this: candidates for what was read, near twins told apart where they can be
    Identify(identify::IdentifyArgs),
    /// One result or check: its formula with the numbers put in, its source, its limits
    Explain(explain::ExplainArgs),
    /// The built-in data with its sources; a second word searches
    Tables(tables::TablesArgs),
    /// A commented starter job
    New(new::NewArgs),
    /// Run the built-in cases, seen in print, recalled or worked out: tests the program, not a job
    SelfTest(self_test::SelfTestArgs),
    /// The job sheet: one HTML file to print, fill in, sign and keep
    Sheet(sheet::SheetArgs),
    /// JSON Schema of the job file, for editors
    Schema(schema::SchemaArgs),
    /// Completions for a shell
    Completions(completions::CompletionsArgs),
    /// The manual page
    Man(completions::ManArgs),
}

/// Where the job comes from.
#[derive(Debug, Args)]
pub struct JobArgs {
    /// Job file (TOML), or - for standard input; left out, the built-in demonstration job
    #[arg(value_name = "JOB")]
    job: Option<String>,
    /// Override one entry of the job; may be given again
    #[arg(long = "set", value_name = "PATH=VALUE")]
    set: Vec<String>,
}

/// How results are printed.
#[derive(Debug, Args)]
pub struct OutputArgs<F: Form = Format> {
    /// Form of the output
    #[arg(long, value_enum, default_value = "text")]
    format: F,
    /// Units of text and Markdown; JSON always carries the metric ones
    #[arg(long, value_enum, default_value_t = Units::Metric)]
    units: Units,
    #[command(flatten)]
    write: WriteArgs,
}

/// Where an output goes.
#[derive(Debug, Args)]
pub struct WriteArgs {
    /// Write to a file instead of standard output
    #[arg(short = 'o', long = "output", value_name = "FILE")]
    output: Option<PathBuf>,
    /// Overwrite an existing file
    #[arg(long)]
    force: bool,
}

/// Forms of output.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[allow(missing_docs)]
pub enum Format {
    Text,
    Json,
    Markdown,
}

/// Forms of output of a study: rows of figures as well.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[allow(missing_docs)]
pub enum StudyFormat {
    Text,
    Json,
    Markdown,
    Csv,
}

/// What a command can print.
pub trait Form: ValueEnum + Send + Sync + 'static {
    /// Is it Markdown?
    fn markdown(&self) -> bool;
}
impl Form for Format {
    fn markdown(&self) -> bool {
        *self == Format::Markdown
    }
}
impl Form for StudyFormat {
    fn markdown(&self) -> bool {
        *self == StudyFormat::Markdown
    }
}

/// Systems of units.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[allow(missing_docs)]
pub enum Units {
    Metric,
    Imperial,
}

impl Units {
    fn system(self) -> System {
        match self {
            Units::Metric => System::Metric,
            Units::Imperial => System::Imperial,
        }
    }
}

impl<F: Form> OutputArgs<F> {
    fn system(&self) -> System {
        self.units.system()
    }
    fn layout(&self) -> Layout {
        if self.format.markdown() {
            Layout::Markdown
        } else {
            Layout::Plain(width(self.write.output.is_none()))
        }
    }
}

/// Columns to fill: those of the terminal within reason, 80 anywhere else.
fn width(to_standard_output: bool) -> usize {
    if to_standard_output && std::io::stdout().is_terminal() {
        terminal_size::terminal_size().map_or(80, |(w, _)| usize::from(w.0).clamp(60, 120))
    } else {
        80
    }
}

/// Why a command ends without a result; each carries what to print and the exit code.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The call is wrong.
    #[error("{0}")]
    Call(String),
    /// The job is wrong; the findings are rendered already.
    #[error("{0}")]
    Job(String),
    /// The computation failed, or the result could not be written.
    #[error("{0}")]
    Computation(String),
}

impl Failure {
    fn code(&self) -> u8 {
        match self {
            Failure::Call(_) | Failure::Job(_) => 2,
            Failure::Computation(_) => 3,
        }
    }
}

/// The exit code of a verdict.
fn code_of(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Meets | Verdict::Marginal => 0,
        Verdict::FallsShort | Verdict::Refused => 1,
        Verdict::NotJudged => 4,
    }
}

/// Runs the program with the arguments of the process.
pub fn run() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            // Help and version are answers, not errors.
            let code = if error.use_stderr() { 2 } else { 0 };
            let _ = error.print();
            return ExitCode::from(code);
        }
    };
    let result = match &cli.command {
        Command::Check(args) => check::run(args),
        Command::Torque(args) => torque::run(args),
        Command::Bond(args) => bond::run(args),
        Command::Compare(args) => compare::run(args),
        Command::Seat(args) => seat::run(args),
        Command::Spindle(args) => spindle::run(args),
        Command::Scatter(args) => scatter::run(args),
        Command::Merge(args) => merge::run(args),
        Command::Elements(args) => elements::run(args),
        Command::Repair(args) => repair::run(args),
        Command::Sweep(args) => sweep::run(args),
        Command::Identify(args) => identify::run(args),
        Command::Explain(args) => explain::run(args),
        Command::Tables(args) => tables::run(args),
        Command::New(args) => new::run(args),
        Command::SelfTest(args) => self_test::run(args),
        Command::Sheet(args) => sheet::run(args),
        Command::Schema(args) => schema::run(args),
        Command::Completions(args) => completions::completions(args),
        Command::Man(args) => completions::man(args),
    };
    match result {
        Ok(code) => ExitCode::from(code),
        Err(failure) => {
            let text = match &failure {
                // The findings of a job are rendered, colours and all, from texts that were looked through.
                Failure::Job(text) => text.clone(),
                Failure::Call(text) | Failure::Computation(text) => {
                    text.split('\n').map(visible).collect::<Vec<_>>().join("\n")
                }
            };
            let end = if text.ends_with('\n') { "" } else { "\n" };
            anstream::eprint!("{text}{end}");
            ExitCode::from(failure.code())
        }
    }
}

/// The built-in demonstration job.
pub const DEMO_JOB: &str = include_str!("starters/demonstration.toml");

/// Reads to the end, or one byte further than allowed.
fn at_most(from: impl Read, bytes: usize) -> std::io::Result<Vec<u8>> {
    let mut read = Vec::new();
    from.take(bytes as u64 + 1).read_to_end(&mut read)?;
    Ok(read)
}

/// Reads the text of the job that the arguments name: its name and its text.
fn job_text(name: Option<&str>) -> Result<(String, String), Failure> {
    // A name is shown in headings and messages, and must not steer the terminal from there.
    let shown = name.map(visible).unwrap_or_default();
    let bytes = match name {
        None => return Ok((DEMONSTRATION.to_string(), DEMO_JOB.to_string())),
        Some("-") => at_most(std::io::stdin(), LARGEST_JOB)
            .map_err(|e| Failure::Call(format!("standard input cannot be read: {e}")))?,
        Some(path) => {
            let say = |what: String| Failure::Call(format!("{shown}: {what}"));
            let meta = std::fs::metadata(path).map_err(|e| match e.kind() {
                std::io::ErrorKind::NotFound => say("there is no such file; `insertwright new crank-sleeve -o my.toml` writes one to start from".into()),
                _ => say(format!("cannot be read: {e}")),
            })?;
            if meta.is_dir() {
                return Err(say("this is a folder; name the job file in it".into()));
            }
            if meta.len() > LARGEST_JOB as u64 {
                return Err(say(format!(
                    "this file has {} bytes; a job file has at most {LARGEST_JOB}",
                    meta.len(),
                )));
            }
            // A device or a pipe has no length and need have no end.
            std::fs::File::open(path)
                .and_then(|file| at_most(file, LARGEST_JOB))
                .map_err(|e| say(format!("cannot be read: {e}")))?
        }
    };
    let name = if name == Some("-") {
        "standard input".to_string()
    } else {
        shown
    };
    if bytes.len() > LARGEST_JOB {
        return Err(Failure::Call(format!(
            "{name}: this goes on after {LARGEST_JOB} bytes; a job file has at most so many"
        )));
    }
    let text = String::from_utf8(bytes).map_err(|e| {
        Failure::Call(format!("{name}: this is not text: the byte at {} is not UTF-8; save the job as a plain text file", e.utf8_error().valid_up_to()))
    })?;
    if text.trim().is_empty() {
        return Err(Failure::Call(format!(
            "{name}: this file is empty; `insertwright new crank-sleeve -o my.toml` writes a job to start from"
        )));
    }
    Ok((name, text))
}

/// Renders findings as the failure that they are.
fn findings_of(document: &Document, findings: &[Diagnostic]) -> Failure {
    let colour = std::io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none();
    Failure::Job(diagnose::render(document, findings, colour))
}

/// Reads a job and puts the overrides over it.
///
/// # Errors
/// [`Failure::Job`] for text that is not TOML, or with every finding there is, those of resolving included.
fn read_document(name: Option<&str>, set: &[String]) -> Result<Document, Failure> {
    let (name, text) = job_text(name)?;
    let (mut document, mut findings) = Document::parse(&name, &text);
    let readable = !findings
        .iter()
        .any(|f| f.message.starts_with("this is not TOML"));
    for argument in set {
        findings.extend(document.set(argument));
    }
    if !findings.is_empty() {
        if let (true, Err(more)) = (readable, resolve(&document)) {
            findings.extend(more);
        }
        findings.sort_by_key(|d: &Diagnostic| (d.place.source, d.place.span.start));
        return Err(findings_of(&document, &findings));
    }
    Ok(document)
}

/// Reads and resolves the job that the arguments name.
///
/// # Errors
/// [`Failure::Job`] with every finding rendered under its line.
fn load(args: &JobArgs) -> Result<Job, Failure> {
    let document = read_document(args.job.as_deref(), &args.set)?;
    resolve(&document).map_err(|findings| findings_of(&document, &findings))
}

/// Assesses every side of a job.
///
/// # Errors
/// [`Failure::Call`] where a side has no seat at all.
fn assess_all(job: &Job) -> Result<Vec<Assessed>, Failure> {
    job.sides
        .iter()
        .map(|side| Assessed::of(&side.assembly))
        .collect::<Result<_, _>>()
        .map_err(|e| no_seat(job, &e))
}

/// A side without a seat as the failure that it is.
fn no_seat(job: &Job, e: &crate::assess::NoSeat) -> Failure {
    Failure::Call(format!(
        "{}: {e}; check fitting.flange_diameter, seat.inner_diameter and insert.face_offset",
        job.source
    ))
}
