//! `sheet`: the job on paper.

use super::long::{ThreadArgs, watched};
use super::{
    Failure, JobArgs, Units, WriteArgs, assess_all, code_of, compare, findings_of, output,
    read_document, scatter as study,
};
use crate::assess::check::Verdict;
use crate::assess::coupled::crosscheck::CrossCheck;
use crate::assess::scatter::{Findings, Scatter};
use crate::job::{Document, resolve};
use crate::present::compare::Compared;
use crate::present::scatter::{Context, ScatterReport, ended, report};
use crate::present::sheet::{About, Parts, html};
use crate::present::text::Layout;
use crate::present::{Report, text};
use crate::study::run;
use crate::units::System;
use clap::{Args, ValueEnum};

/// Arguments of `sheet`.
#[derive(Debug, Args)]
#[command(
    after_help = "One HTML file that needs no network and no script; print it from any browser. Exit status as of `check`."
)]
pub struct SheetArgs {
    #[command(flatten)]
    job: JobArgs,
    /// Add the variants of the job, side by side
    #[arg(long)]
    variants: bool,
    /// Add the section by finite elements, deformed, with the stress in the glue, and judge the glue on them
    #[arg(long, conflicts_with_all = ["variants", "scatter"])]
    elements: bool,
    /// Add a study of N samples: how sure the figures are, and what decides
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(1..=1_000_000_000))]
    scatter: Option<u64>,
    /// Seed of that study
    #[arg(long, value_name = "S", default_value_t = 1, requires = "scatter")]
    seed: u64,
    /// Paper to print on; left out, whatever the printer holds
    #[arg(long, value_enum)]
    paper: Option<Paper>,
    /// Units of the figures
    #[arg(long, value_enum, default_value_t = Units::Metric)]
    units: Units,
    /// Open the file that was written
    #[arg(long, requires = "output")]
    open: bool,
    #[command(flatten)]
    threads: ThreadArgs,
    #[command(flatten)]
    write: WriteArgs,
}

/// Papers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[allow(missing_docs)]
pub enum Paper {
    A4,
    Letter,
}

/// Runs the command.
pub fn run(args: &SheetArgs) -> Result<u8, Failure> {
    let document = read_document(args.job.job.as_deref(), &args.job.set)?;
    let mut job = resolve(&document).map_err(|findings| findings_of(&document, &findings))?;
    for side in &mut job.sides {
        side.assembly.by_elements = args.elements;
    }
    let assessed = assess_all(&job)?;
    let elements: Option<Vec<_>> = args.elements.then(|| {
        let sides = job.sides.iter().zip(&assessed);
        let cross =
            sides.map(|(side, assessed)| CrossCheck::of(&side.assembly, &assessed.assessment).ok());
        cross.collect()
    });
    let of_checks = Report::new("sheet", &job, &assessed);
    let system = args.units.system();
    let variants = if args.variants {
        Some(Compared::new(compare::of_variants(&document)?))
    } else {
        None
    };
    let drawn = match args.scatter {
        Some(samples) if of_checks.overall != Verdict::Refused => {
            Some(Drawn::new(args, &document, samples, system)?)
        }
        _ => None,
    };
    let sheet = html(&Parts {
        about: About::of(&document, &job),
        report: &of_checks,
        job: &job,
        assessed: &assessed,
        variants: variants.as_ref(),
        scatter: drawn.as_ref().map(|d| d.shown(system)),
        elements: elements.as_deref(),
        system,
        paper: args.paper.map(|paper| match paper {
            Paper::A4 => "A4",
            Paper::Letter => "letter",
        }),
    })
    .map_err(|e| Failure::Computation(format!("the sheet cannot be written: {e}")))?;
    output::send_to(&args.write, &sheet)?;
    if let Some(path) = args.write.output.as_ref().filter(|_| args.open) {
        // The file is there; that nothing shows it is no reason to lose its verdict.
        if let Err(e) = open::that_detached(path) {
            let shown = text::visible(&path.display().to_string());
            eprintln!("{shown} is written, but nothing opens it: {e}");
        }
    }
    Ok(code_of(of_checks.overall))
}

/// A study that was run for the sheet.
struct Drawn {
    scatter: Scatter,
    findings: Findings,
    report: ScatterReport,
}

impl Drawn {
    fn new(
        args: &SheetArgs,
        document: &Document,
        samples: u64,
        system: System,
    ) -> Result<Drawn, Failure> {
        let scatter = Scatter::new(document).map_err(|found| findings_of(document, &found))?;
        let plan = study::plan(&scatter, samples, args.seed, None);
        let work = plan.part(1, 1);
        let pool = args.threads.pool()?;
        let counts = watched(plan.runs(&work), "scatter", false, |control| {
            run::run(&scatter, &plan, &work, &pool, control)
        })?;
        if !counts.complete(&plan, &work) {
            let said = ended(counts.drawn, samples);
            return Err(Failure::Computation(format!(
                "{said} No sheet was written."
            )));
        }
        let findings = scatter.findings(&plan, &counts);
        let of_checks = study::checked(&scatter)?;
        let report = report(of_checks, &scatter, &plan, &counts, &findings, system);
        Ok(Drawn {
            scatter,
            findings,
            report,
        })
    }

    fn shown(&self, system: System) -> (&ScatterReport, Context<'_>) {
        let context = Context {
            scatter: &self.scatter,
            findings: &self.findings,
            system,
            layout: Layout::Html,
        };
        (&self.report, context)
    }
}
