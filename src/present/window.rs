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
    let mut out = text::opening_of(report.command, &report.job, layout);
    for (side, of_job) in report.printed_sides().iter().zip(&job.sides) {
        if report.sides.len() > 1 {
            out.push_str(&layout.heading(words::side(of_job.name)));
        }
        out.push_str(&text::precondition_list(&side.preconditions, layout));
        match &side.window {
            Some(window) => out.push_str(&one(window, side, of_job, system, layout)),
            None => {
                out.push('\n');
                out.push_str(&layout.paragraph(&format!(
                    "Verdict: {}. Do first: {}.",
                    side.verdict, side.do_first
                )));
            }
        }
    }
    out.push_str(&text::tail(report, system, layout));
    out
}

fn show(torque: f64, system: System) -> String {
    Unit::NewtonMetre.show(torque, system)
}

fn title(id: &'static str) -> &'static str {
    CheckId::from_id(id).map_or(id, CheckId::title)
}

/// What could not be turned into a bound, or not in every state.
pub fn not_complete(w: &WindowReport) -> Option<String> {
    let left: Vec<&str> = w.left_out.iter().map(|l| l.id).collect();
    (!w.complete).then(|| format!("Not complete: {} is not judged in full", left.join(", ")))
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
    if !w.never_met.is_empty() && w.empty {
        return format!(
            "No torque meets every limit: {} cannot be met",
            w.never_met.join(", ")
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
        (true, _, None) => "No torque meets every limit".into(),
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

/// Said where a higher torque closes an uneven face.
pub fn shuts(w: &WindowReport, system: System) -> Option<String> {
    let mut bounds = w.bounds.iter();
    let bound = bounds.find(|b| b.id == "seat.open" && b.side == "high")?;
    Some(format!(
        "Beyond {} the uneven face closes all round, and a face that has just closed opens at the slightest moment: face it true.",
        show(bound.torque.si, system)
    ))
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
    if let Some(left) = not_complete(w) {
        out.push_str(&layout.paragraph(&format!("{left}.")));
    }
    if let Some(shuts) = shuts(w, system) {
        out.push_str(&layout.paragraph(&shuts));
    }
    let mut item = |text: String| out.push_str(&layout.item("", &text));
    if let Some(aim) = &w.aim {
        item(format!(
            "Aim for {} ({}{}); turn {}.",
            show(aim.torque.si, system),
            aim.why,
            if a.tightening.maker_torque.is_none() {
                words::NO_MAKER_HELD
            } else {
                ""
            },
            words::turning_of(of_job)
        ));
        if let Some(set) = aim.set_on_tool {
            item(format!(
                "{}: {}.",
                words::on_wrench(a, system),
                show(set.si, system)
            ));
        }
    }
    if let Some(why) = w.no_aim.filter(|_| !w.empty) {
        item(format!("No torque to aim for: {why}."));
    }
    for warning in w.wrench.warnings() {
        item(format!("Warning: {}.", words::wrench(&warning, system)));
    }
    for (id, advice) in &side.opens {
        item(format!("To open it for \"{}\": {advice}.", title(id)));
    }
    item(format!(
        "At the job's own {}: {}.",
        show(nominal, system),
        text::verdict_line(side)
    ));
    let said = side.opens.iter().any(|(_, a)| *a == side.do_first);
    if side.verdict != "meets" && !said {
        item(format!("Do first: {}.", side.do_first));
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
                remarks.push("for information");
            }
            if b.rests_on_unknown {
                remarks.push("rests on an unknown");
            }
            // A bound at nothing is no torque that anybody could set.
            let hopeless = b.side == "high" && b.torque.si <= 0.0;
            if hopeless {
                remarks.push("short at every torque");
            }
            vec![
                format!("{} [{}]", title(b.id), b.id),
                if hopeless {
                    ""
                } else if b.side == "low" {
                    "no less than"
                } else {
                    "no more than"
                }
                .to_string(),
                if hopeless {
                    "none".into()
                } else {
                    show(b.torque.si, system)
                },
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
    // Far to the right its figure stands before the mark.
    let (at, figure) = (column(nominal), show(nominal, system));
    let long = figure.chars().count() + 1;
    let mark = if at + 1 + long <= columns {
        format!("{}^ {figure}", " ".repeat(at))
    } else {
        format!("{}{figure} ^", " ".repeat(at.saturating_sub(long)))
    };
    line("this job", mark);
    line(
        "scale",
        format!("0{:>1$}", show(end, system), columns.saturating_sub(1)),
    );
    out
}
