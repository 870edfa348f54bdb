//! The window of torques as a table and as a bar to scale.

use super::report::{Report, SideReport, WindowReport};
use super::text::{self, Layout};
use super::words;
use crate::assess::check::CheckId;
use crate::job::{Job, Side};
use crate::units::display::System;
use crate::units::{Unit, si};

/// The report of `torque`.
pub fn text(report: &Report, job: &Job, system: System, layout: Layout) -> String {
    let mut out = text::opening(
        report.command,
        &report.job.source,
        report.job.title.as_deref(),
        layout,
    );
    for (side, of_job) in report.printed_sides().iter().zip(&job.sides) {
        if report.sides.len() > 1 {
            out.push_str(&layout.heading(words::side(of_job.name)));
        }
        out.push_str(&text::preconditions(side, layout));
        match &side.window {
            Some(window) => out.push_str(&one(window, side, of_job, system, layout)),
            None => out.push_str(&layout.paragraph(&format!(
                "\nVerdict: refused. Do first: {}.",
                text::first_step(side)
            ))),
        }
    }
    out.push_str(&text::tail(report, layout));
    out
}

fn show(torque: f64, system: System) -> String {
    Unit::NewtonMetre.show(torque, system)
}

fn title(id: &'static str) -> &'static str {
    CheckId::from_id(id).map_or(id, CheckId::title)
}

/// What the window comes to, in one sentence.
pub fn sentence(w: &WindowReport, system: System) -> String {
    let end = |e: &Option<super::report::EndReport>| {
        e.as_ref().map(|e| {
            (
                show(e.torque.si, system),
                title(e.governed_by),
                e.governed_by,
            )
        })
    };
    // A limit that is short at every torque is not one that a torque could mend.
    if let Some(never) = w.high.as_ref().filter(|e| e.torque.si <= 0.0) {
        let others = w
            .bounds
            .iter()
            .filter(|b| b.side == "high" && b.torque.si <= 0.0)
            .count();
        let more = if others > 1 {
            format!(", with {} more", others - 1)
        } else {
            String::new()
        };
        return format!(
            "No torque meets every limit: \"{}\" [{}] is short whatever the torque{more}",
            title(never.governed_by),
            never.governed_by
        );
    }
    match (w.empty, end(&w.low), end(&w.high)) {
        (true, Some(low), Some(high)) => format!(
            "No torque meets every limit: \"{}\" [{}] asks for {} or more, \"{}\" [{}] allows {} at most",
            low.1, low.2, low.0, high.1, high.2, high.0
        ),
        (true, _, Some(high)) => format!(
            "No torque meets every limit: \"{}\" [{}] allows {}",
            high.1, high.2, high.0
        ),
        (true, _, None) => format!(
            "No torque meets every limit: {} cannot be met",
            w.never_met.join(", ")
        ),
        (false, Some(low), Some(high)) => {
            format!(
                "From {} (\"{}\" [{}]) to {} (\"{}\" [{}])",
                low.0, low.1, low.2, high.0, high.1, high.2
            )
        }
        (false, None, Some(high)) => format!(
            "Up to {} (\"{}\" [{}]); nothing sets a lower end",
            high.0, high.1, high.2
        ),
        (false, Some(low), None) => format!(
            "From {} (\"{}\" [{}]); nothing sets an upper end",
            low.0, low.1, low.2
        ),
        (false, None, None) => "Nothing that is entered bounds the torque".into(),
    }
}

fn one(
    w: &WindowReport,
    side: &SideReport,
    of_job: &Side,
    system: System,
    layout: Layout,
) -> String {
    let a = &of_job.assembly;
    let nominal = si(a.tightening.torque.nominal);
    let mut out = layout.heading("Window of torques at the fitting");
    out.push_str(&layout.paragraph(&format!("{}.", sentence(w, system))));
    if !w.complete {
        let left: Vec<&str> = w.left_out.iter().map(|l| l.id).collect();
        out.push_str(&layout.paragraph(&format!(
            "Not complete: {} could not be turned into a bound.",
            left.join(", ")
        )));
    }
    // The bounds keep the bare ratios; what a verdict counts besides (soft walls, unknowns, preconditions) they
    // cannot see, and no torque may be named against it.
    let own_inside = aim(w, nominal).is_some_and(|(torque, _)| torque == nominal);
    let falls_short = side
        .checks
        .iter()
        .any(|c| c.verdict == "falls short" && c.kind == "strength");
    let not_judged = side.verdict == "not judged";
    let contradicted = not_judged || (own_inside && falls_short);
    let aim = aim(w, nominal).filter(|_| !contradicted);
    let mut item = |text: String| out.push_str(&layout.item("", &text));
    if let Some((torque, why)) = &aim {
        item(format!(
            "Aim for {} ({why}); turn {}.",
            show(*torque, system),
            words::turning(a.thread.hand)
        ));
        if let Some((wrench, extension)) = a.tightening.crowfoot {
            let set = crate::mechanics::torque::set_on_tool(
                crate::units::newton_metre(*torque),
                wrench,
                extension,
            );
            item(format!(
                "Set on the wrench, crowfoot in line: {}.",
                show(si(set), system)
            ));
        }
    }
    if contradicted && !w.empty {
        item(if not_judged {
            format!(
                "No torque to aim for yet: the job is not judged. Do first: {}.",
                text::first_step(side)
            )
        } else {
            "No torque to aim for: inside the bounds, too, a check falls short for what a torque does not change."
                .into()
        });
    }
    // The torque to aim for is the one to set; without one, the job's own.
    let wanted = aim.as_ref().map_or(nominal, |(torque, _)| *torque);
    for warning in crate::assess::wrench::warnings(a, crate::units::newton_metre(wanted)) {
        item(format!("Warning: {}.", words::wrench(&warning, system)));
    }
    if w.empty {
        for id in ends(w) {
            if let Some(check) = CheckId::from_id(id) {
                item(format!(
                    "To open it for \"{}\": {}.",
                    check.title(),
                    words::advice(check)
                ));
            }
        }
    }
    if side.verdict == "falls short" && !w.empty {
        let short: Vec<&str> = side
            .checks
            .iter()
            .filter(|c| c.verdict == "falls short" && c.kind == "strength")
            .map(|c| c.id)
            .collect();
        if !short.is_empty() {
            item(format!(
                "At the job's own {} these fall short: {}.",
                show(nominal, system),
                short.join(", ")
            ));
        }
    }
    out.push_str(&table(w, system, layout));
    if let Layout::Plain(width) = layout {
        out.push_str(&bar(w, nominal, system, width));
    }
    for left in &w.left_out {
        out.push_str(&layout.item("- ", &format!("{}: {}.", left.id, left.reason)));
    }
    out
}

/// The bounds that cross, or the one that nothing satisfies.
fn ends(w: &WindowReport) -> Vec<&'static str> {
    let mut ids: Vec<&'static str> = w.never_met.clone();
    ids.extend(w.high.iter().map(|e| e.governed_by));
    if w.high.as_ref().is_none_or(|e| e.torque.si > 0.0) {
        ids.extend(w.low.iter().map(|e| e.governed_by));
    }
    ids.dedup();
    ids
}

/// The torque to aim for: the job's own where it lies inside, else the middle of the window.
fn aim(w: &WindowReport, nominal: f64) -> Option<(f64, &'static str)> {
    if w.empty {
        return None;
    }
    let (low, high) = (
        w.low.as_ref().map(|e| e.torque.si),
        w.high.as_ref().map(|e| e.torque.si),
    );
    let inside = low.is_none_or(|l| nominal >= l) && high.is_none_or(|h| nominal <= h);
    if inside {
        return Some((nominal, "the job's own torque lies inside"));
    }
    match (low, high) {
        (Some(l), Some(h)) => Some((
            0.5 * (l + h),
            "the middle; the job's own torque lies outside",
        )),
        (None, Some(h)) => Some((h, "the upper end; the job's own torque lies above it")),
        (Some(l), None) => Some((l, "the lower end; the job's own torque lies below it")),
        (None, None) => None,
    }
}

fn table(w: &WindowReport, system: System, layout: Layout) -> String {
    let mut out = layout.heading("Every bound, with its required reserve kept");
    let mut rows: Vec<Vec<String>> = w
        .bounds
        .iter()
        .map(|b| {
            let mut remarks = Vec::new();
            let is_end = |e: &Option<super::report::EndReport>, side: &str| {
                b.side == side && e.as_ref().is_some_and(|e| e.governed_by == b.id)
            };
            if is_end(&w.low, "low") || is_end(&w.high, "high") {
                remarks.push("sets this end");
            }
            if b.advice_only {
                remarks.push("advice only");
            }
            if b.rests_on_unknown {
                remarks.push("rests on an unknown");
            }
            vec![
                format!("{} [{}]", title(b.id), b.id),
                if b.side == "low" {
                    "no less than"
                } else {
                    "no more than"
                }
                .to_string(),
                show(b.torque.si, system),
                remarks.join(", "),
            ]
        })
        .collect();
    for id in &w.never_met {
        rows.push(vec![
            format!("{} [{id}]", title(id)),
            "no less than".into(),
            "–".into(),
            "no torque is enough".into(),
        ]);
    }
    for id in &w.never_binds {
        rows.push(vec![
            format!("{} [{id}]", title(id)),
            String::new(),
            "none".into(),
            "never binds".into(),
        ]);
    }
    out.push_str(&layout.table(&["Bound", "Side", "Torque", "Remark"], &rows, &[2]));
    out
}

/// Columns kept for the names beside the bar.
const NAMES: usize = 20;

/// The bounds as a bar of text to scale.
fn bar(w: &WindowReport, nominal: f64, system: System, width: usize) -> String {
    let columns = width.saturating_sub(NAMES + 4).clamp(20, 96);
    let mut end = nominal;
    for torque in w.low.iter().chain(&w.high).map(|e| e.torque.si) {
        end = end.max(torque);
    }
    end *= 1.25;
    let column = |torque: f64| ((torque / end * columns as f64).round() as usize).min(columns);
    let mut out = Layout::Plain(width).heading("To scale");
    let mut line = |name: &str, cells: String| {
        let name: String = name.chars().take(NAMES).collect();
        out.push_str(format!("  {name:<NAMES$} {cells}").trim_end());
        out.push('\n');
    };
    // Each row shows where its limit is kept; an arrow says that it goes on beyond the scale.
    let span = |from: f64, to: Option<f64>, mark: char| -> String {
        let (a, b) = (column(from), to.map_or(columns, column));
        let mut cells = " ".repeat(a);
        cells.extend(std::iter::repeat_n(mark, b.saturating_sub(a)));
        if to.is_none_or(|t| t > end) {
            cells.push('>');
        }
        cells
    };
    for b in &w.bounds {
        let cells = if b.side == "low" {
            span(b.torque.si, None, '-')
        } else {
            span(0.0, Some(b.torque.si), '-')
        };
        line(b.id, cells);
    }
    let (low, high) = (
        w.low.as_ref().map_or(0.0, |e| e.torque.si),
        w.high.as_ref().map(|e| e.torque.si),
    );
    if w.empty {
        line("window", "(empty)".into());
    } else {
        line("window", span(low, high, '#'));
    }
    line(
        "this job",
        format!("{}^ {}", " ".repeat(column(nominal)), show(nominal, system)),
    );
    line(
        "scale",
        format!("0{:>1$}", show(end, system), columns.saturating_sub(1)),
    );
    out
}
