//! `explain ID`: one result or check with its formula, numbers, source and limits.

use super::check::{envelope, json};
use super::{
    Failure, Format, JobArgs, OutputArgs, assess_all, findings_of, load, output, read_document,
    seat, spindle,
};
use crate::assess::{repair, seat_report, spindle as assess_spindle};
use crate::job::{Job, resolve};
use crate::present::bond::BondReport;
use crate::present::explain::{self, ExplainReport, Known, SideExplained, Taken};
use crate::present::report::Assessed;
use crate::present::seat::SeatReport;
use crate::present::{Report, repair as present_repair, seat as present_seat, spindle as paper};
use crate::units::System;
use clap::Args;

/// Arguments of `explain`.
#[derive(Debug, Args)]
pub struct ExplainArgs {
    /// A result or check id, such as preload.high or strip.internal; `list` lists them
    id: String,
    /// As a repair route leaves the joint: the name that `repair` prints, or "bushing joint"
    #[arg(long, value_name = "NAME", conflicts_with = "depth")]
    route: Option<String>,
    /// For ids of `seat`: the depth to face off, as there
    #[arg(long, value_name = "LENGTH")]
    depth: Option<String>,
    #[command(flatten)]
    job: JobArgs,
    #[command(flatten)]
    output: OutputArgs,
}

/// A job as a repair route leaves it, on the sides on which that route is judged.
struct AsLeft {
    job: Job,
    assessments: Vec<Assessed>,
    /// What each side takes as met after the work.
    taken: Vec<Taken>,
}

impl AsLeft {
    /// The job as it stands.
    fn stated(job: Job, assessments: Vec<Assessed>) -> AsLeft {
        let taken = job
            .sides
            .iter()
            .map(|s| Taken::stated(&s.assembly.condition));
        AsLeft {
            taken: taken.collect(),
            job,
            assessments,
        }
    }
}

/// The sides on which a repair route can be judged, as it leaves them.
fn of_route(args: &JobArgs, name: &str, system: System) -> Result<AsLeft, Failure> {
    let document = read_document(args.job.as_deref(), &args.set)?;
    let mut job = resolve(&document).map_err(|findings| findings_of(&document, &findings))?;
    let repairs = repair::repairs(&document, &job);
    let wanted = crate::tables::fold(name);
    let is_wanted = |name: &str| crate::tables::fold(name) == wanted;
    let mut names: Vec<String> = Vec::new();
    let mut why_not: Vec<String> = Vec::new();
    let mut sides = Vec::new();
    let mut assessments = Vec::new();
    let mut taken = Vec::new();
    for (side, route) in repairs
        .iter()
        .flat_map(|r| r.routes.iter().map(move |route| (&r.side, route)))
    {
        let asked = is_wanted(&route.name) || is_wanted(&route.full_name());
        if let (true, Some(why)) = (asked, &route.why_not) {
            why_not.push(present_repair::why_not(why, system));
        }
        if !route.feasible() {
            continue;
        }
        // The joint of a bushing is a bond of its own, under a name of its own.
        let joint = route.joint.as_ref().map(|j| {
            let name = repair::BUSHING_JOINT.to_string();
            let asked = is_wanted(&name);
            (name, asked, &j.judged, &j.confirm)
        });
        let own = route
            .judged
            .as_ref()
            .map(|judged| (route.name.clone(), asked, judged, &route.confirm));
        for (name, asked, judged, confirm) in own.into_iter().chain(joint) {
            if !names.contains(&name) {
                names.push(name);
            }
            if let (true, Some(left)) = (asked, judged.side()) {
                sides.push(left.clone());
                taken.push(Taken::of(&side.assembly.condition, confirm));
                assessments.push(Assessed {
                    assessment: judged.assessment,
                    window: Some(judged.window),
                });
            }
        }
    }
    if sides.is_empty() {
        let why = if why_not.is_empty() {
            String::new()
        } else {
            format!(" ({})", why_not.join("; "))
        };
        return Err(Failure::Call(format!(
            "no route \"{name}\" is judged for this job{why}; judged are: {}",
            names.join(", ")
        )));
    }
    job.sides = sides;
    job.overrides.push(format!("repair route \"{name}\""));
    Ok(AsLeft {
        job,
        assessments,
        taken,
    })
}

/// Every id there is.
fn list(args: &OutputArgs) -> Result<u8, Failure> {
    let all = explain::list();
    let out = if args.format == Format::Json {
        let mut map = envelope("explain");
        let ids: Vec<serde_json::Value> = all
            .iter()
            .map(|(id, title, of)| {
                serde_json::json!({ "id": id, "title": title, "command": of.command() })
            })
            .collect();
        map.insert("ids".into(), ids.into());
        json(&map)?
    } else {
        let rows: Vec<Vec<String>> = all
            .into_iter()
            .map(|(id, title, of)| vec![id, title, of.command().to_string()])
            .collect();
        args.layout()
            .table(&["Id", "What it is", "Printed by"], &rows, &[])
    };
    output::send(args, &out)?;
    Ok(0)
}

/// No such id: the nearest that there is.
fn unknown(id: &str) -> Failure {
    let near = explain::list()
        .into_iter()
        .map(|e| e.0)
        .min_by_key(|known| strsim::damerau_levenshtein(known, id))
        .unwrap_or_default();
    Failure::Call(format!(
        "\"{id}\" is not a number or a check; did you mean {near}? `insertwright explain list` lists them all"
    ))
}

/// An id of the assessment of a job: a check, a value, the window.
fn of_job(args: &ExplainArgs, known: Known) -> Result<ExplainReport, Failure> {
    let AsLeft {
        job,
        assessments,
        taken,
    } = match &args.route {
        None => {
            let job = load(&args.job)?;
            let assessments = assess_all(&job)?;
            AsLeft::stated(job, assessments)
        }
        Some(route) => of_route(&args.job, route, args.output.system())?,
    };
    let sides = job
        .sides
        .iter()
        .zip(&assessments)
        .zip(&taken)
        .map(|((side, assessed), taken)| {
            SideExplained::new(side.name, &side.assembly.condition, taken, || {
                explain::of_side(
                    known,
                    &args.id,
                    &job,
                    side,
                    &assessed.assessment,
                    assessed.window.as_ref(),
                )
            })
        })
        .collect();
    let before_gluing = matches!(known, Known::Value(_)) && known.command() == "bond";
    Ok(if before_gluing {
        ExplainReport::new(&args.id, BondReport::new(&job, &assessments), sides)
    } else {
        ExplainReport::new(&args.id, Report::new("explain", &job, &assessments), sides)
    })
}

/// An id of `seat`.
fn of_seat(args: &ExplainArgs, system: System) -> Result<ExplainReport, Failure> {
    let depth = args.depth.as_deref().map(seat::depth).transpose()?;
    let AsLeft { job, taken, .. } = match &args.route {
        None => AsLeft::stated(load(&args.job)?, Vec::new()),
        Some(route) => of_route(&args.job, route, args.output.system())?,
    };
    let (faces, width) = seat::look(&job, depth)?;
    let report = SeatReport::new(&job, &faces, &width);
    let sides = job
        .sides
        .iter()
        .zip(&faces)
        .zip(&taken)
        .map(|((side, face), taken)| {
            let a = &side.assembly;
            SideExplained::new(side.name, &a.condition, taken, || {
                explain::of_bench(
                    Known::Seat,
                    &args.id,
                    &seat_report::results(a, &job.readings.widths, face, &width),
                    present_seat::findings(face, &width, a.need.contact.value, system),
                    &|key| side.ledger.sources.get(key).cloned(),
                )
            })
        })
        .collect();
    Ok(ExplainReport::new(&args.id, report, sides))
}

/// An id of `spindle`.
fn of_spindle(args: &ExplainArgs, system: System) -> Result<ExplainReport, Failure> {
    let document = read_document(args.job.job.as_deref(), &args.job.set)?;
    let (read_off, named) = spindle::read(&document)?;
    let (judged, report) = spindle::look(&document, &read_off, &named);
    let explained = || {
        explain::of_bench(
            Known::Spindle,
            &args.id,
            &assess_spindle::results(&read_off, &judged),
            paper::findings(&read_off, &judged, system),
            &|_| None,
        )
    };
    // One spindle goes through both sides: where one of them is refused, so is it.
    let of = |side: &crate::job::readings::Sided| {
        SideExplained::new(side.0, &side.1, &Taken::stated(&side.1), explained)
    };
    let sides = named
        .iter()
        .find(|s| crate::assess::refusal(&s.1))
        .or(named.first())
        .map(of)
        .into_iter()
        .collect();
    Ok(ExplainReport::new(&args.id, report, sides))
}

/// Runs the command.
pub fn run(args: &ExplainArgs) -> Result<u8, Failure> {
    if args.id == "list" {
        return list(&args.output);
    }
    let known = explain::known(&args.id).ok_or_else(|| unknown(&args.id))?;
    let system = args.output.system();
    let report = match known {
        Known::Seat => of_seat(args, system)?,
        Known::Spindle => of_spindle(args, system)?,
        _ => of_job(args, known)?,
    };
    let out = match args.output.format {
        Format::Json => json(&report)?,
        Format::Text | Format::Markdown => report.text(system, args.output.layout()),
    };
    output::send(&args.output, &out)?;
    Ok(u8::from(report.refused()))
}
