//! The report as text for a bench and as Markdown for a file.

use super::report::{
    Amount, AssumedReport, CautionReport, CheckReport, Number, PreconditionReport, Report,
    SideReport,
};
use super::words;
use crate::assess::check::CheckId;
use crate::assess::closed;
use crate::job::{Assembly, Job};
use crate::units::display::{System, significant};
use crate::units::{Unit, si};
use comfy_table::{CellAlignment, ContentArrangement, Table};

/// How text is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// For a terminal or a pipe, this many columns wide.
    Plain(usize),
    /// Markdown.
    Markdown,
}

impl Layout {
    /// A heading.
    pub fn heading(self, text: &str) -> String {
        match self {
            // An id behind the title keeps its case: it is there to be typed again.
            Layout::Plain(width) => {
                let (title, id) = match text.rfind(" [") {
                    Some(at) if text.ends_with(']') => text.split_at(at),
                    _ => (text, ""),
                };
                let line = title.to_uppercase() + id;
                format!("\n{}\n", textwrap::fill(&line, width))
            }
            Layout::Markdown => format!("\n## {text}\n\n"),
        }
    }
    /// A paragraph.
    pub fn paragraph(self, text: &str) -> String {
        match self {
            Layout::Plain(width) => format!("{}\n", textwrap::fill(text, width)),
            Layout::Markdown => format!("{text}\n"),
        }
    }
    /// A list entry.
    pub fn item(self, mark: &str, text: &str) -> String {
        match self {
            Layout::Plain(width) => {
                let first = format!("  {mark}");
                let rest = " ".repeat(first.chars().count());
                let options = textwrap::Options::new(width)
                    .initial_indent(&first)
                    .subsequent_indent(&rest);
                format!("{}\n", textwrap::fill(text, options))
            }
            Layout::Markdown => format!("- {}{text}\n", if mark.trim() == "-" { "" } else { mark }),
        }
    }
    /// A table; `right` lists the columns that hold numbers.
    pub fn table(self, header: &[&str], rows: &[Vec<String>], right: &[usize]) -> String {
        match self {
            Layout::Plain(width) => {
                let mut table = Table::new();
                table.load_style(comfy_table::presets::NOTHING);
                table.set_content_arrangement(ContentArrangement::Dynamic);
                table.set_width(width as u16);
                table.set_header(header.iter().map(|h| (*h).to_string()).collect::<Vec<_>>());
                for row in rows {
                    table.add_row(row.clone());
                }
                for &column in right {
                    if let Some(column) = table.column_mut(column) {
                        column.set_cell_alignment(CellAlignment::Right);
                    }
                }
                let text = table.to_string();
                let mut out = String::new();
                for line in text.lines() {
                    out.push_str(line.trim_end());
                    out.push('\n');
                }
                out
            }
            Layout::Markdown => {
                let escape = |cell: &str| cell.replace('|', "\\|").replace('\n', " ");
                let line = |cells: Vec<String>| format!("| {} |\n", cells.join(" | "));
                let mut out = line(header.iter().map(|h| escape(h)).collect());
                let rule = (0..header.len())
                    .map(|i| if right.contains(&i) { "---:" } else { "---" }.to_string())
                    .collect();
                out.push_str(&line(rule));
                for row in rows {
                    out.push_str(&line(row.iter().map(|c| escape(c)).collect()));
                }
                out
            }
        }
    }
}

/// A ratio to two significant figures.
pub fn ratio(number: Option<Number>) -> String {
    match number {
        Some(Number(value)) if value.is_finite() => significant(value, 2),
        Some(_) => "no demand".into(),
        None => "–".into(),
    }
}

fn amount(value: Option<Amount>, system: System) -> String {
    value.map_or_else(|| "–".into(), |a| a.unit.show(a.si, system))
}

/// The first lines of every output: what it is about.
pub fn opening(command: &str, report_source: &str, title: Option<&str>, layout: Layout) -> String {
    let what = if report_source == DEMONSTRATION {
        "built-in demonstration job (its data are invented)".to_string()
    } else {
        report_source.to_string()
    };
    let first = format!("insertwright {command}: {what}");
    let mut out = match layout {
        Layout::Plain(_) => format!("{first}\n"),
        Layout::Markdown => format!("# {first}\n\n"),
    };
    if let Some(title) = title {
        out.push_str(&layout.paragraph(title));
    }
    out
}

/// The source that the built-in job carries.
pub const DEMONSTRATION: &str = "demonstration";

/// The report of `check`.
pub fn check(report: &Report, job: &Job, system: System, layout: Layout) -> String {
    let mut out = opening(
        report.command,
        &report.job.source,
        report.job.title.as_deref(),
        layout,
    );
    for (i, side) in report.printed_sides().iter().enumerate() {
        let assembly = job.sides.get(i).map(|s| &s.assembly);
        let name = assembly.map_or("", |a| words::side(a.side));
        if report.sides.len() > 1 {
            out.push_str(&layout.heading(name));
        }
        out.push_str(&verdict(side, assembly, system, layout));
        out.push_str(&preconditions(side, layout));
        if side.verdict != "refused" {
            if let Some(side_of_job) = job.sides.get(i) {
                out.push_str(&torque_and_preload(side, side_of_job, system, layout));
            }
            out.push_str(&checks(side, system, layout));
            out.push_str(&glue(side, system, layout));
        }
        out.push_str(&super::record::text(side.record.as_ref(), system, layout));
    }
    out.push_str(&tail(report, layout));
    out
}

fn find<'a>(side: &'a SideReport, id: &str) -> Option<&'a CheckReport> {
    side.checks.iter().find(|c| c.id == id)
}

/// What governs, and what to do first.
fn verdict(
    side: &SideReport,
    assembly: Option<&Assembly>,
    system: System,
    layout: Layout,
) -> String {
    let mut out = String::from("\n");
    let mut line = format!("Verdict: {}", side.verdict);
    if let Some(check) = side.governing.and_then(|id| find(side, id)) {
        line.push_str(&format!(
            ". Governs: {} [{}], reserve {} against {} required",
            check.title,
            check.id,
            ratio(check.ratio),
            significant(check.need, 3)
        ));
    }
    out.push_str(&layout.paragraph(&format!("{line}.")));
    out.push_str(&layout.paragraph(&format!("Do first: {}.", first_step(side))));
    // An uneven seat makes every result of the seat and the glue worse, and it is mended at the bench.
    if let Some((at, step)) = assembly
        .and_then(closed::high_spot)
        .filter(|_| side.verdict != "refused" && side.verdict != "meets")
    {
        out.push_str(&layout.paragraph(&format!(
            "The seat stands high by {} at {}: face the whole seat.",
            Unit::Millimetre.show(si(step), system),
            words::clock(at)
        )));
    }
    out
}

/// The one thing to do first.
pub fn first_step(side: &SideReport) -> String {
    let failed: Vec<&str> = side
        .preconditions
        .iter()
        .filter(|p| p.state == "failed")
        .map(|p| p.id)
        .collect();
    if side.verdict == "refused" {
        return format!(
            "stop. {} not met; no margin is given. Refer the part, or see what can be repaired",
            list(&failed)
        );
    }
    let open: Vec<&str> = side
        .preconditions
        .iter()
        .filter(|p| p.state == "unknown")
        .map(|p| p.id)
        .collect();
    if !failed.is_empty() {
        return format!("put right what is not met: {}", list(&failed));
    }
    let short = side
        .checks
        .iter()
        .filter(|c| c.verdict == "falls short" && c.kind == "strength")
        .min_by(|a, b| margin(a).total_cmp(&margin(b)))
        .or_else(|| {
            side.checks
                .iter()
                .find(|c| c.verdict == "falls short" && c.id == "torque.maker")
        });
    if let Some(id) = short.and_then(|c| CheckId::from_id(c.id)) {
        return words::advice(id).to_string();
    }
    if !open.is_empty() {
        return format!(
            "look, and enter in [condition] what you find: {}",
            list(&open)
        );
    }
    if let Some(check) = side
        .checks
        .iter()
        .find(|c| c.verdict == "not judged" && c.kind == "strength")
    {
        return format!(
            "find out what is missing for \"{}\": {}",
            check.title,
            check.reason.unwrap_or("see the table")
        );
    }
    let tight = side
        .checks
        .iter()
        .filter(|c| c.verdict == "marginal" || c.verdict == "falls short")
        .min_by(|a, b| margin(a).total_cmp(&margin(b)));
    match tight.and_then(|c| CheckId::from_id(c.id)) {
        Some(id) => format!(
            "if you want more in hand for \"{}\": {}",
            id.title(),
            words::advice(id)
        ),
        None => "tighten as below, mark it, and look again after the first use".into(),
    }
}

fn margin(check: &CheckReport) -> f64 {
    check.margin.map_or(f64::INFINITY, |m| m.0)
}

fn list(ids: &[&str]) -> String {
    ids.join(", ")
}

/// The preconditions with their states.
pub fn preconditions(side: &SideReport, layout: Layout) -> String {
    precondition_list(&side.preconditions, layout)
}

/// A list of preconditions with their states.
pub fn precondition_list(list: &[PreconditionReport], layout: Layout) -> String {
    let mut out = layout.heading("Before any margin");
    for p in list {
        let mark = match p.state {
            "confirmed" => "[yes] ",
            "failed" => "[NO]  ",
            _ => "[ ? ] ",
        };
        out.push_str(&layout.item(mark, &format!("{} ({})", p.text, p.id)));
    }
    out
}

fn value(side: &SideReport, id: &str) -> Option<Amount> {
    side.values
        .0
        .iter()
        .find(|(k, _)| *k == id)
        .map(|(_, a)| *a)
}

fn torque_and_preload(
    side: &SideReport,
    of_job: &crate::job::Side,
    system: System,
    layout: Layout,
) -> String {
    let mut out = layout.heading("Torque and preload");
    let show = |id: &str| amount(value(side, id), system);
    let a = &of_job.assembly;
    let t = &a.tightening;
    let torque =
        |q: crate::units::Torque| crate::units::Unit::NewtonMetre.show(crate::units::si(q), system);
    let tool = if t.tool_error {
        "the wrench's own error"
    } else {
        "the stated spread"
    };
    let mut item = |text: String| out.push_str(&layout.item("", &text));
    item(format!(
        "Thread {}; turn {}.",
        of_job.designation,
        words::turning(a.thread.hand)
    ));
    item(format!(
        "Torque at the fitting {} ({} to {} with {tool}).",
        torque(t.torque.nominal),
        torque(t.torque.low),
        torque(t.torque.high)
    ));
    if t.crowfoot.is_some() {
        item(format!(
            "Set on the wrench, crowfoot in line: {}.",
            show("torque.set_on_tool")
        ));
    }
    for warning in crate::assess::wrench::warnings(a, t.torque.nominal) {
        item(format!("Warning: {}.", words::wrench(&warning, system)));
    }
    if let Some(part) = &a.clamped {
        item(format!(
            "A part {} thick lies between head and boss: {} of the screw stretch freely, and the joint has {} instead of {}.",
            crate::units::Unit::Millimetre.show(crate::units::si(part.thickness), system),
            show("clamped.grip"),
            show("thread.stiffness"),
            show("thread.stiffness.at_face")
        ));
    }
    item(format!(
        "Preload {}; between {} and {} with friction, wrench and settling.",
        show("preload.nominal"),
        show("preload.low"),
        show("preload.high")
    ));
    let mut losses = format!(
        "Lost after tightening, at the low end: {} by relaxation",
        show("preload.loss.relaxation")
    );
    if value(side, "preload.loss.embedding").is_some() {
        losses.push_str(&format!(
            ", {} by settling of the surfaces; the larger counts.",
            show("preload.loss.embedding")
        ));
    } else {
        losses.push_str("; settling cannot be told without an engaged turn.");
    }
    item(losses);
    item(format!(
        "Where the torque goes: {} makes preload, {} is thread friction, {} is seat friction; {} loosens it.",
        show("torque.pitch"),
        show("torque.thread_friction"),
        show("torque.seat"),
        show("torque.loosening")
    ));
    item(format!(
        "{} bears {} ({} of the force on the insert, {} wide of its support per side).",
        if a.clamped.is_some() {
            "The part under the head"
        } else {
            "The flange"
        },
        words::bears(closed::stated_bearing(a)),
        share(value(side, "seat.share.insert")),
        show("seat.unsupported")
    ));
    if let Some(w) = &side.window {
        item(format!("Window: {}.", super::window::sentence(w, system)));
    }
    if value(side, "load.moment").is_some_and(|m| m.si != 0.0) {
        item(format!(
            "Load: {} across the axis, {} about the face, {} outward. Were the clamp ever lost, the thread would see a pull of {}.",
            show("load.radial"),
            show("load.moment"),
            show("load.axial"),
            show("lever_out.pull")
        ));
    }
    out
}

/// The glue: where it stands, what cuts it down, and what if it lets go.
fn glue(side: &SideReport, system: System, layout: Layout) -> String {
    let mut out = layout.heading("The glue");
    let show = |id: &str| amount(value(side, id), system);
    let mut item = |text: String| out.push_str(&layout.item("", &text));
    item(format!(
        "Layer {} per side, {} on diameter.",
        show("bond.gap.side"),
        show("bond.gap.diameter")
    ));
    let factors: Vec<String> = side
        .knock_downs
        .iter()
        .map(|k| {
            format!(
                "{} × {} ({})",
                k.factor,
                k.value.map_or("–".into(), |v| significant(v, 3)),
                k.applies
            )
        })
        .collect();
    item(format!("Strengths are cut by: {}.", factors.join("; ")));
    if value(side, "bond.axial.force").is_some() {
        item(format!(
            "In service it carries {} along the axis (shear {} mean, {} peak); rocking peels it by {}; the cold pulls it by {} across and shears it by {} at the ends.",
            show("bond.axial.force"),
            show("bond.axial.mean"),
            show("bond.axial.peak"),
            show("bond.rocking.peel"),
            show("bond.thermal.radial.cold"),
            show("bond.thermal.shear.cold")
        ));
    }
    if value(side, "bond.soft_wall_factor").is_some_and(|f| f.si > 1.0) {
        item(format!(
            "The wall is soft: verdicts of service and repeated load are taken with the reserve divided by {}.",
            show("bond.soft_wall_factor")
        ));
    }
    if value(side, "bond.removal.limit").is_some() {
        item(format!(
            "Undoing: judged at {}; stop at {}, whatever holds it.",
            show("bond.removal.torque"),
            show("bond.removal.limit")
        ));
    }
    if let Some(lost) = &side.glue_lost {
        let pull = if lost.lever_out_pull.si > 0.0 {
            format!(
                "; the load would then lever with {}",
                lost.lever_out_pull
                    .unit
                    .show(lost.lever_out_pull.si, system)
            )
        } else {
            String::new()
        };
        item(format!("{}{pull}.", lost.text));
    }
    out
}

fn share(value: Option<Amount>) -> String {
    value.map_or_else(
        || "–".into(),
        |a| format!("{} %", significant(a.si * 100.0, 3)),
    )
}

fn checks(side: &SideReport, system: System, layout: Layout) -> String {
    let mut out = layout.heading("Checks: reserve (capacity ÷ demand) against what is required");
    let rows: Vec<Vec<String>> = side
        .checks
        .iter()
        .map(|c| {
            vec![
                format!("{} [{}]", c.title, c.id),
                amount(c.demand, system),
                amount(c.capacity, system),
                ratio(c.ratio),
                significant(c.need, 3),
                c.verdict.to_string(),
            ]
        })
        .collect();
    out.push_str(&layout.table(
        &[
            "Check", "Demand", "Capacity", "Reserve", "Required", "Verdict",
        ],
        &rows,
        &[1, 2, 3, 4],
    ));
    let mut remarks = Vec::<(String, Vec<&str>)>::new();
    for c in &side.checks {
        if let Some((_, case)) = c.load_case.split_once("; ") {
            let text = format!("governed by the load case \"{case}\"");
            match remarks.iter_mut().find(|(t, _)| *t == text) {
                Some((_, ids)) => ids.push(c.id),
                None => remarks.push((text, vec![c.id])),
            }
        }
        for text in c
            .reason
            .iter()
            .map(|r| format!("not judged: {r}"))
            .chain(c.notes.iter().map(|n| (*n).to_string()))
        {
            match remarks.iter_mut().find(|(t, _)| *t == text) {
                Some((_, ids)) => ids.push(c.id),
                None => remarks.push((text, vec![c.id])),
            }
        }
    }
    if !remarks.is_empty() {
        out.push('\n');
    }
    for (text, ids) in remarks {
        out.push_str(&layout.item("- ", &format!("{}: {text}.", list(&ids))));
    }
    out
}

/// What was assumed, what was not examined, sources, overrides and cautions: the end of every report.
pub fn tail(report: &Report, layout: Layout) -> String {
    Tail {
        overrides: &report.overrides,
        assumed: &report.assumed,
        sources: &report.sources,
        not_examined: &report.not_examined,
        cautions: &report.cautions,
    }
    .text(layout)
}

/// What stands at the end of every report.
#[allow(missing_docs)]
pub struct Tail<'a> {
    pub overrides: &'a [String],
    pub assumed: &'a [AssumedReport],
    pub sources: &'a [(String, String)],
    pub not_examined: &'a [String],
    pub cautions: &'a [CautionReport],
}

impl Tail<'_> {
    /// As text.
    pub fn text(&self, layout: Layout) -> String {
        tail_of(self, layout)
    }
}

fn tail_of(report: &Tail<'_>, layout: Layout) -> String {
    let mut out = String::new();
    if !report.overrides.is_empty() {
        out.push_str(&layout.heading("Overrides"));
        for text in report.overrides {
            out.push_str(&layout.item("- ", text));
        }
    }
    out.push_str(&layout.heading("Assumed, because the job does not say"));
    if report.assumed.is_empty() {
        out.push_str(&layout.item("", "nothing"));
    }
    for a in report.assumed {
        out.push_str(&layout.item("- ", &format!("{} = {} ({})", a.key, a.value, a.source)));
    }
    out.push_str(&layout.heading("Sources of the rows in use"));
    for (key, source) in report.sources {
        out.push_str(&layout.item("- ", &format!("{key}: {source}")));
    }
    out.push_str(&layout.heading("Not examined"));
    for text in report.not_examined {
        out.push_str(&layout.item("- ", text));
    }
    out.push_str(&cautions(report.cautions.iter().map(|c| c.text), layout));
    out
}

/// The cautions.
pub fn cautions<'a>(texts: impl Iterator<Item = &'a str>, layout: Layout) -> String {
    let mut out = layout.heading("Cautions");
    for text in texts {
        out.push_str(&layout.item("! ", text));
    }
    out
}
