//! The job sheet: one HTML file without a script, to look at, to print, to fill in and to keep.
//!
//! What it says is said by the report and by [`words`]; what it draws is in `draw.rs`. The template escapes every text;
//! what it takes as it stands are drawings and pieces laid out by [`Layout::Html`], both escaped already.

mod chance;
pub mod draw;
mod rests;

use super::compare::{Compared, side_by_side};
use super::report::{PreconditionReport, Report, SideReport};
use super::scatter::{Context, ScatterReport};
use super::text::{Layout, listed};
use super::{check, record, window, words};
use crate::assess::Assessed;
use crate::assess::coupled::course::Course;
use crate::assess::coupled::crosscheck::CrossCheck;
use crate::job::assembly::Use;
use crate::job::document::Raw;
use crate::job::{Assembly, Document, Job, Side};
use crate::units::{System, Unit, si};
use askama::Template;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use chance::Chance;
use draw::Pen;
use rests::{Figure, Kind};
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
            // A starter leaves room for a name; nothing in it is none.
            Raw::Text(text) => Some(text.clone()).filter(|t| !t.trim().is_empty()),
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
    /// Elements and simple models of each side, where they are wanted and there are any.
    pub elements: Option<&'a [Option<CrossCheck>]>,
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
    what: String,
    figure: String,
    /// Where the figure comes from, or what it comes to at the fitting.
    lines: Vec<String>,
    turning: String,
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
    thread: String,
    gaps: bool,
    section: String,
    face: String,
    checks: String,
    remarks: Vec<String>,
    window: String,
    window_says: String,
}

/// A drawing with what stands below it.
struct Drawing {
    svg: String,
    caption: String,
}

#[derive(Template)]
#[template(path = "sheet.html")]
struct Sheet<'a> {
    style: String,
    style_hash: String,
    about: &'a About,
    version: &'static str,
    work: Vec<Work>,
    blanks: &'static [&'static str],
    clears_nothing: &'static str,
    window_legend: &'static str,
    drawings: Vec<Drawing>,
    sides: Vec<&'static str>,
    figures: Vec<Figure>,
    sentences: Vec<String>,
    records: Vec<String>,
    assumed: Vec<Kind>,
    in_short: &'static str,
    overrides: &'a [String],
    not_examined: &'a [String],
    cautions: Vec<&'a str>,
    sources: Vec<Kind>,
    variants: Option<String>,
    chance: Option<Chance>,
}

const VERSION: &str = env!("CARGO_PKG_VERSION");
/// The rules of the sheet's look.
const STYLE: &str = include_str!("../../../templates/sheet.css");
const LAYOUT: Layout = Layout::Html;

/// The sheet as HTML.
///
/// # Errors
/// What the template says; it has no reason to.
pub fn html(parts: &Parts<'_>) -> Result<String, askama::Error> {
    let about = &parts.about;
    // Every page of print says which job and which program it is of.
    let foot = format!(
        "insertwright {VERSION}, job file SHA-256 {}…",
        &about.hash[..16]
    );
    let size = parts
        .paper
        .map_or(String::new(), |paper| format!("size: {paper}; "));
    let style = format!("{STYLE}@page {{ {size}@bottom-left {{ content: \"{foot}\"; }} }}\n");
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
            elements: parts.elements.and_then(|all| all.get(i)?.as_ref()),
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
        about,
        version: VERSION,
        work: sides.iter().map(|s| s.work(parts.job)).collect(),
        blanks: words::BLANKS,
        clears_nothing: words::CLEARS_NOTHING,
        window_legend: words::WINDOW_LEGEND,
        drawings: sides
            .iter()
            .flat_map(|s| s.drawings(sides.len() > 1))
            .collect(),
        sides: sides
            .iter()
            .filter(|s| !s.refused())
            .map(One::word)
            .collect(),
        figures: rests::figures(&sides, parts.system),
        sentences: rests::sentences(&sides, parts.system),
        records: sides
            .iter()
            .map(|s| record::text(s.report.record.as_ref(), parts.system, LAYOUT))
            .filter(|html| !html.is_empty())
            .map(|html| listed(&html))
            .collect(),
        assumed: rests::assumed(report, parts.system),
        in_short: words::IN_SHORT,
        overrides: &report.overrides,
        not_examined: &report.not_examined,
        cautions: report.cautions.iter().map(|c| &*c.text).collect(),
        sources: rests::sources(report),
        variants: parts
            .variants
            .map(|compared| listed(&side_by_side(compared, parts.system, LAYOUT))),
        chance: parts
            .scatter
            .as_ref()
            .map(|(report, context)| chance::of(report, context)),
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
    elements: Option<&'a CrossCheck>,
    pen: Pen,
}

impl One<'_> {
    fn word(&self) -> &'static str {
        words::side_word(self.side.name)
    }
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
            thread: self.side.designation.clone(),
            gaps: !a.seat.gaps.is_empty(),
            section: drawn(&|| draw::section(self.pen, a, assessment, self.course.as_ref())),
            face: drawn(&|| match &self.course {
                Some(course) => draw::face(self.pen, a, assessment, course),
                None => String::new(),
            }),
            checks: drawn(&|| check::check_table(r, system, LAYOUT)),
            remarks: match self.refused() {
                true => Vec::new(),
                false => check::remarks(r),
            },
            window: drawn(&|| match window {
                Some(w) => draw::window(self.pen, w, nominal),
                None => String::new(),
            }),
            window_says: drawn(&|| {
                let Some(w) = window else {
                    return String::new();
                };
                let said = [
                    Some(format!("{}.", window::sentence(w, system))),
                    window::not_complete(w).map(|left| format!("{left}.")),
                    window::shuts(w, system),
                ];
                said.into_iter().flatten().collect::<Vec<_>>().join(" ")
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
                words::on_wrench(a, system)
            } else {
                words::AT_FITTING.into()
            },
            figure: show(on_tool.unwrap_or(at_fitting)),
            lines,
            turning: words::turning_of(self.side),
        })
    }

    /// Glue and turns, with the side's name where there are several.
    fn drawings(&self, several: bool) -> Vec<Drawing> {
        let Some(course) = self.course.as_ref().filter(|_| !self.refused()) else {
            return Vec::new();
        };
        let of_side = match several {
            true => format!(", {} side", self.word()),
            false => String::new(),
        };
        let by_elements = self.elements.map(|cross| {
            let svg = draw::deformed::deformed(self.pen, cross);
            (svg, draw::deformed::CAPTION)
        });
        [
            (draw::glue(self.pen, course, self.report), words::OF_GLUE),
            (draw::turns(self.pen, course), words::OF_TURNS),
        ]
        .into_iter()
        .chain(by_elements)
        .map(|(svg, what)| Drawing {
            svg,
            caption: format!("{what}{of_side}"),
        })
        .collect()
    }
}
