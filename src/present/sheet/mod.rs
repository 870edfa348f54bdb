//! The job sheet: one HTML file without a script, to look at, to print, to fill in and to keep.
//!
//! What it says is said by the report and by [`words`]; what it draws is in `draw.rs`. The template escapes every text;
//! what it takes as it stands are drawings and pieces laid out by [`Layout::Html`], both escaped already.

mod draw;

use super::compare::{Compared, side_by_side};
use super::report::{PreconditionReport, Report, SideReport};
use super::scatter::{self, Context, ScatterReport, ScatterSide};
use super::text::{self, Layout, listed};
use super::{check, record, window, words};
use crate::assess::Assessed;
use crate::assess::coupled::course::Course;
use crate::job::assembly::Use;
use crate::job::{Assembly, Document, Job, Side};
use crate::units::display::significant;
use crate::units::{System, Unit, si};
use askama::Template;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use draw::Pen;
use sha2::{Digest, Sha256};

/// What the sheet is about.
pub struct About {
    title: String,
    note: Option<String>,
    by: Option<String>,
    date: Option<String>,
    source: String,
    /// SHA-256 of the job file.
    hash: String,
}

impl About {
    /// Of a job as it was written.
    pub fn of(document: &Document, job: &Job) -> About {
        let given = |key: &str| match &document.get(key)?.value {
            crate::job::document::Raw::Text(text) => Some(text.clone()),
            _ => None,
        };
        let written = document.sources.first().map_or("", |s| s.text.as_str());
        let hash = Sha256::digest(written.as_bytes());
        About {
            title: job.title.clone().unwrap_or_else(|| job.source.clone()),
            note: given("job.note"),
            by: given("job.by"),
            date: given("job.date"),
            source: job.source.clone(),
            hash: hash.iter().map(|byte| format!("{byte:02x}")).collect(),
        }
    }
}

/// What the sheet is made from.
pub struct Parts<'a> {
    /// What it is about.
    pub about: About,
    /// The report of the checks.
    pub report: &'a Report,
    /// The job.
    pub job: &'a Job,
    /// Its assessments, side by side with the job's sides.
    pub assessed: &'a [Assessed],
    /// The variants, where they are wanted.
    pub variants: Option<&'a Compared>,
    /// The study, where one is wanted.
    pub scatter: Option<(&'a ScatterReport, Context<'a>)>,
    /// Units.
    pub system: System,
    /// The paper to print on, such as `A4`; left out, the printer's own.
    pub paper: Option<&'static str>,
}

/// What cannot be ticked off before the work begins.
struct Alert {
    stop: bool,
    title: &'static str,
    lines: Vec<String>,
}

/// The torque to set.
struct Torque {
    what: &'static str,
    figure: String,
    /// Where the figure comes from, or what it comes to at the fitting.
    lines: Vec<String>,
    turning: &'static str,
}

/// What to do on one side.
struct Work {
    name: &'static str,
    alert: Option<Alert>,
    verdict: String,
    torque: Option<Torque>,
    no_torque: String,
    preconditions: Vec<PreconditionReport>,
    refused: bool,
    section: String,
    face: String,
    checks: String,
    window: String,
    window_says: String,
}

/// What that rests on.
struct Rests {
    name: &'static str,
    drawings: Vec<String>,
    texts: Vec<String>,
}

/// The study.
struct Chance {
    text: String,
    drawings: Vec<String>,
    below: String,
}

#[derive(Template)]
#[template(path = "sheet.html")]
struct Sheet<'a> {
    style: String,
    style_hash: String,
    about: &'a About,
    version: &'static str,
    several: bool,
    work: Vec<Work>,
    blanks: &'static [&'static str],
    clears_nothing: &'static str,
    window_legend: &'static str,
    rests: Vec<Rests>,
    ends: Vec<String>,
    variants: Option<String>,
    chance: Option<Chance>,
}

/// The rules of the sheet's look.
const STYLE: &str = include_str!("../../../templates/sheet.css");
const LAYOUT: Layout = Layout::Html;

/// The sheet as HTML.
///
/// # Errors
/// What the template says; it has no reason to.
pub fn html(parts: &Parts<'_>) -> Result<String, askama::Error> {
    let style = match parts.paper {
        Some(paper) => format!("{STYLE}@page {{ size: {paper}; }}\n"),
        None => STYLE.to_string(),
    };
    let sides: Vec<_> = parts
        .report
        .printed_sides()
        .iter()
        .zip(&parts.job.sides)
        .zip(parts.assessed)
        .enumerate()
        .map(|(i, ((report, side), assessed))| One {
            report,
            side,
            assessed,
            course: Course::of(&side.assembly, &assessed.assessment),
            pen: Pen {
                side: i + 1,
                system: parts.system,
            },
        })
        .collect();
    let report = parts.report;
    Sheet {
        style_hash: STANDARD.encode(Sha256::digest(style.as_bytes())),
        style,
        about: &parts.about,
        version: env!("CARGO_PKG_VERSION"),
        several: sides.len() > 1,
        work: sides.iter().map(|s| s.work(parts.job)).collect(),
        blanks: words::BLANKS,
        clears_nothing: words::CLEARS_NOTHING,
        window_legend: words::WINDOW_LEGEND,
        rests: sides.iter().map(One::rests).collect(),
        ends: [
            text::overrides(report, LAYOUT),
            text::assumed(report, parts.system, LAYOUT),
            text::not_examined(report, LAYOUT),
            text::cautions(report.cautions.iter().map(|c| c.text), LAYOUT),
            text::sources(report, LAYOUT),
        ]
        .into_iter()
        .filter(|html| !html.is_empty())
        .map(|html| listed(&html))
        .collect(),
        variants: parts
            .variants
            .map(|compared| listed(&side_by_side(compared, parts.system, LAYOUT))),
        chance: parts
            .scatter
            .as_ref()
            .map(|(report, context)| chance(report, context)),
    }
    .render()
}

/// What a side is called; a boss has none.
fn name(a: &Assembly) -> &'static str {
    match a.purpose {
        Use::CrankHousing => words::side(a.side),
        Use::Boss => "",
    }
}

/// One side with everything that is known of it.
struct One<'a> {
    report: &'a SideReport,
    side: &'a Side,
    assessed: &'a Assessed,
    course: Option<Course>,
    pen: Pen,
}

impl One<'_> {
    fn refused(&self) -> bool {
        self.report.verdict == "refused"
    }

    fn work(&self, job: &Job) -> Work {
        let (r, a, system) = (self.report, &self.side.assembly, self.pen.system);
        let assessment = &self.assessed.assessment;
        let acts = r.verdict != "meets";
        let seat = check::seat_sentence(a, job.readings.feeler_error, acts, system);
        let drawn = |drawing: &dyn Fn() -> String| {
            if self.refused() {
                String::new()
            } else {
                drawing()
            }
        };
        let nominal = si(a.tightening.torque.nominal);
        let window = r.window.as_ref();
        Work {
            name: name(a),
            alert: self.alert(),
            verdict: listed(&check::verdict(r, Some(a), seat, LAYOUT)),
            torque: self.torque(),
            no_torque: match window.and_then(|w| w.no_aim) {
                Some(why) => why.to_string(),
                None => r.do_first.clone(),
            },
            preconditions: r.preconditions.clone(),
            refused: self.refused(),
            section: drawn(&|| draw::section(self.pen, a, assessment)),
            face: drawn(&|| match &self.course {
                Some(course) => draw::face(self.pen, a, assessment, course),
                None => String::new(),
            }),
            checks: drawn(&|| check::check_table(r, system, LAYOUT)),
            window: drawn(&|| match window {
                Some(w) => draw::window(self.pen, w, nominal),
                None => String::new(),
            }),
            window_says: drawn(&|| match window {
                Some(w) => {
                    let left = window::not_complete(w).map(|left| format!(" {left}."));
                    format!(
                        "{}.{}",
                        window::sentence(w, system),
                        left.unwrap_or_default()
                    )
                }
                None => String::new(),
            }),
        }
    }

    /// What stands in the way, before anything else.
    fn alert(&self) -> Option<Alert> {
        let list = &self.report.preconditions;
        let failed = list.iter().filter(|p| p.state == "failed");
        let failed: Vec<_> = failed.map(|p| p.text.to_string()).collect();
        let open = list.iter().filter(|p| p.state == "unknown").map(|p| p.id);
        let open: Vec<_> = open.collect();
        let (stop, title, lines) = match (self.refused(), failed.is_empty(), open.is_empty()) {
            (true, ..) => (true, words::STOP, failed),
            (_, false, _) => (true, words::NOT_MET, failed),
            // What each of them says stands in the list below.
            (_, _, false) => (false, words::NOT_CONFIRMED, vec![open.join(", ")]),
            _ => return None,
        };
        Some(Alert { stop, title, lines })
    }

    /// The torque to set, where one may be named: the job's own where nothing falls short, else what the window says.
    fn torque(&self) -> Option<Torque> {
        let (r, a, system) = (self.report, &self.side.assembly, self.pen.system);
        let show = |v: f64| Unit::NewtonMetre.show(v, system);
        let serves = matches!(r.verdict, "meets" | "marginal");
        let aim = r.window.as_ref().and_then(|w| w.aim.as_ref());
        let (at_fitting, on_tool, why) = if serves {
            let set = check::value(r, "torque.set_on_tool").map(|v| v.si);
            (si(a.tightening.torque.nominal), set, None)
        } else {
            let aim = aim.filter(|_| !self.refused())?;
            let set = aim.set_on_tool.map(|v| v.si);
            (aim.torque.si, set, Some(aim.why))
        };
        // Without an extension both are the same, and one figure is enough.
        let on_tool = on_tool.filter(|set| show(*set) != show(at_fitting));
        let mut lines = Vec::new();
        if on_tool.is_some() {
            lines.push(format!("{}: {}", words::AT_FITTING, show(at_fitting)));
        }
        lines.extend(why.map(|why| format!("{}: {why}", words::NOT_THE_JOBS_OWN)));
        let wrench = match (serves, &r.window) {
            (false, Some(w)) => w.wrench,
            _ => r.wrench,
        };
        lines.extend(wrench.warnings().map(|w| words::wrench(&w, system)));
        Some(Torque {
            what: if on_tool.is_some() {
                words::ON_WRENCH
            } else {
                words::AT_FITTING
            },
            figure: show(on_tool.unwrap_or(at_fitting)),
            lines,
            turning: words::turning(a.thread.hand),
        })
    }

    fn rests(&self) -> Rests {
        let (r, system) = (self.report, self.pen.system);
        let mut texts = Vec::new();
        let mut drawings = Vec::new();
        if !self.refused() {
            texts.push(check::remarks(r, LAYOUT));
            texts.push(check::torque_and_preload(r, self.side, system, LAYOUT));
            texts.push(check::glue(r, system, LAYOUT));
            if let Some(course) = &self.course {
                drawings.push(draw::glue(self.pen, course, r));
                drawings.push(draw::turns(self.pen, course));
            }
        }
        texts.push(record::text(r.record.as_ref(), system, LAYOUT));
        Rests {
            name: name(&self.side.assembly),
            drawings,
            texts: texts
                .into_iter()
                .filter(|html| !html.trim().is_empty())
                .map(|html| listed(&html))
                .collect(),
        }
    }
}

/// The study: what it says, what it looks like, what decides.
fn chance(report: &ScatterReport, context: &Context<'_>) -> Chance {
    let study = &report.worst;
    let several = report.sides.len() > 1;
    let pen = |side: usize| Pen {
        side: side + 1,
        system: context.system,
    };
    let mut said = String::new();
    let mut drawings = Vec::new();
    let mut below = String::new();
    for (i, side) in scatter::report_sides(report).enumerate() {
        said.push_str(&LAYOUT.paragraph(&scatter::headline(side, study, several)));
        let bars: Vec<_> = side
            .histogram
            .iter()
            .map(|b| (b.from, b.to, b.samples))
            .collect();
        drawings.push(draw::histogram(pen(i), &bars));
        if i == 0 {
            let rows: Vec<(String, f64)> = study
                .contributors
                .iter()
                .filter(|c| c.total >= 0.005)
                .take(6)
                .map(|c| (scatter::named(&c.input, context), c.total))
                .collect();
            if !rows.is_empty() {
                drawings.push(draw::shares(pen(i), &rows));
            }
        }
        drawings.extend(preloads(pen(i), side));
        drawings.push(reserves(pen(i), side));
        below.push_str(&scatter::checks(side, LAYOUT));
    }
    if let Some(bad) = scatter::bad(study) {
        said.push_str(&LAYOUT.paragraph(&bad));
    }
    said.push_str(&LAYOUT.paragraph(&scatter::decides(report, context)));
    drawings.retain(|d| !d.is_empty());
    Chance {
        text: said,
        drawings,
        below: listed(&below),
    }
}

/// The preload in all samples.
fn preloads(pen: Pen, side: &ScatterSide) -> Option<String> {
    let ids = ["preload.low", "preload.nominal", "preload.high"];
    let found: Vec<_> = ids
        .iter()
        .filter_map(|id| Some((*id, side.values.get(id)?)))
        .collect();
    let unit = found.first()?.1.unit;
    let rows: Vec<_> = found
        .into_iter()
        .map(|(id, b)| {
            let [low, middle, high] = [b.low.0, b.median.0, b.high.0];
            let figures = [low, middle, high].map(|v| significant(v, 3));
            (
                id.to_string(),
                [low, middle, high],
                format!("{} ({} to {})", figures[1], figures[0], figures[2]),
            )
        })
        .collect();
    Some(draw::bands(
        pen,
        "preloads",
        "Preload, middle and 95 % of all samples",
        unit,
        None,
        &rows,
    ))
}

/// Every reserve over what is required, in all samples.
fn reserves(pen: Pen, side: &ScatterSide) -> String {
    let rows: Vec<_> = side
        .ratios
        .0
        .iter()
        .filter_map(|(id, b)| {
            let need = *side.need.get(id)?;
            let band = [b.low.0, b.median.0, b.high.0];
            let figures = band.map(|v| significant(v, 2));
            let against = format!("{} ({} to {})", figures[1], figures[0], figures[2]);
            band[1]
                .is_finite()
                .then(|| ((*id).to_string(), band.map(|v| v / need), against))
        })
        .collect();
    draw::bands(
        pen,
        "reserves",
        "Reserve over what is required, middle and 95 % of all samples",
        "reserve ÷ required",
        Some((1.0, "required")),
        &rows,
    )
}
