//! Variants or jobs side by side, the best first.

use super::report::{CheckReport, Ordered, Report, SCHEMA, WindowReport};
use super::text::{self, Layout};
use super::{report, window};
use crate::assess::check::Verdict;
use crate::units::display::{System, significant};
use serde::Serialize;
use std::cmp::Ordering;

/// One of what is compared.
pub struct Entry {
    /// Its name.
    pub name: String,
    /// What it changes: key and value.
    pub changes: Vec<(String, String)>,
    /// Its lowest strength margin.
    pub lowest: f64,
    /// Its report.
    pub report: Report,
}

impl Entry {
    /// The better first: by verdict, then by the lowest strength margin, then as given.
    pub fn order(&self, other: &Entry) -> Ordering {
        self.report
            .overall
            .rank()
            .cmp(&other.report.overall.rank())
            .then(other.lowest.total_cmp(&self.lowest))
    }
    fn serves(&self) -> bool {
        matches!(self.report.overall, Verdict::Meets | Verdict::Marginal)
    }
}

/// One entry as JSON.
#[derive(Serialize)]
#[allow(missing_docs)]
pub struct VariantReport<'a> {
    pub name: &'a str,
    pub verdict: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub governing: Option<&'a str>,
    pub checks: &'a [CheckReport],
    pub values: &'a Ordered<report::Amount>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub window: Option<&'a WindowReport>,
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    pub sides: &'a [report::SideReport],
}

/// The comparison as JSON.
#[derive(Serialize)]
#[allow(missing_docs)]
pub struct Compared<'a> {
    pub schema: &'static str,
    pub command: &'static str,
    pub job: Option<&'a report::JobReport>,
    pub variants: Vec<VariantReport<'a>>,
    pub highest_margin: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub base: Option<VariantReport<'a>>,
    pub preconditions: &'a [report::PreconditionReport],
    pub assumed: &'a [report::AssumedReport],
    pub overrides: &'a [String],
    pub not_examined: &'a [String],
    pub cautions: Vec<&'a report::CautionReport>,
}

impl<'a> Compared<'a> {
    /// The comparison of ordered entries.
    pub fn new(entries: &'a [Entry], base: Option<&'a Entry>) -> Compared<'a> {
        let one = |e: &'a Entry| VariantReport {
            name: &e.name,
            verdict: e.report.worst.verdict,
            governing: e.report.worst.governing,
            checks: &e.report.worst.checks,
            values: &e.report.worst.values,
            window: e.report.worst.window.as_ref(),
            sides: &e.report.sides,
        };
        let about = base.or(entries.first()).map(|e| &e.report);
        Compared {
            schema: SCHEMA,
            command: "compare",
            job: about.map(|r| &r.job),
            variants: entries.iter().map(one).collect(),
            highest_margin: best(entries).map(|e| e.name.as_str()),
            base: base.map(one),
            preconditions: about.map_or(&[], |r| &r.worst.preconditions),
            assumed: about.map_or(&[], |r| &r.assumed),
            overrides: about.map_or(&[], |r| &r.overrides),
            not_examined: about.map_or(&[], |r| &r.not_examined),
            cautions: cautions(entries),
        }
    }
}

fn best(entries: &[Entry]) -> Option<&Entry> {
    entries.first().filter(|e| e.serves())
}

/// The cautions of all entries, each once.
fn cautions(entries: &[Entry]) -> Vec<&report::CautionReport> {
    let mut out: Vec<&report::CautionReport> = Vec::new();
    for caution in entries.iter().flat_map(|e| &e.report.cautions) {
        if !out.iter().any(|c| c.id == caution.id) {
            out.push(caution);
        }
    }
    out
}

/// The comparison as text.
pub fn text(entries: &[Entry], base: Option<&Entry>, system: System, layout: Layout) -> String {
    let Some(about) = base.or(entries.first()).map(|e| &e.report) else {
        return String::new();
    };
    let mut out = text::opening(
        "compare",
        &about.job.source,
        about.job.title.as_deref(),
        layout,
    );
    if let Some(base) = base {
        out.push_str(&text::preconditions(&base.report.worst, layout));
    }
    out.push_str(&layout.heading("Side by side, the best first"));
    let row = |e: &Entry| {
        let governing = e.report.worst.governing.unwrap_or("–");
        let reserve = e
            .report
            .worst
            .checks
            .iter()
            .find(|c| Some(c.id) == e.report.worst.governing);
        let window = e.report.worst.window.as_ref().map_or("–".to_string(), |w| {
            let end = |e: &Option<report::EndReport>| {
                e.as_ref().map_or("–".to_string(), |e| {
                    e.torque.unit.show(e.torque.si, system)
                })
            };
            if w.empty {
                "empty".into()
            } else {
                format!("{} to {}", end(&w.low), end(&w.high))
            }
        });
        vec![
            e.name.clone(),
            e.report.worst.verdict.to_string(),
            governing.to_string(),
            reserve.map_or("–".into(), |c| text::ratio(c.ratio)),
            reserve.map_or("–".into(), |c| significant(c.need, 3)),
            window,
        ]
    };
    let mut rows: Vec<Vec<String>> = entries.iter().map(row).collect();
    rows.extend(base.map(row));
    out.push_str(&layout.table(
        &[
            "Variant", "Verdict", "Governs", "Reserve", "Required", "Window",
        ],
        &rows,
        &[3, 4],
    ));
    out.push('\n');
    out.push_str(&layout.paragraph(&match best(entries) {
        Some(e) => format!("Highest margin: {}.", e.name),
        None => "None of them meets or is marginal.".into(),
    }));
    out.push_str(&layout.heading("What decides"));
    for e in entries {
        let changed: Vec<String> = e
            .changes
            .iter()
            .map(|(k, v)| format!("{k} = {v}"))
            .collect();
        let about = if changed.is_empty() {
            String::new()
        } else {
            format!(" ({})", changed.join(", "))
        };
        out.push_str(&layout.item(
            "- ",
            &format!(
                "{}{about}: {}.",
                e.name,
                difference(e, base.or(entries.first()))
            ),
        ));
        if let Some(w) = &e.report.worst.window {
            out.push_str(&layout.item("  ", &format!("Window: {}.", window::sentence(w, system))));
        }
    }
    let union = cautions(entries);
    let tail = text::tail(about, layout);
    // The shared end stands once; cautions of all variants replace those of the first.
    let body = tail
        .split(&layout.heading("Cautions"))
        .next()
        .unwrap_or("")
        .to_string();
    out.push_str(&body);
    out.push_str(&text::cautions(union.into_iter().map(|c| c.text), layout));
    out
}

/// The checks that change most against another entry.
fn difference(e: &Entry, against: Option<&Entry>) -> String {
    let Some(against) = against.filter(|a| !std::ptr::eq(*a, e)) else {
        return "the one that the others are held against".into();
    };
    let mut changes: Vec<(f64, String)> = Vec::new();
    for check in &e.report.worst.checks {
        let Some(old) = against
            .report
            .worst
            .checks
            .iter()
            .find(|c| c.id == check.id)
        else {
            changes.push((
                f64::INFINITY,
                format!("{} now applies ({})", check.id, check.verdict),
            ));
            continue;
        };
        let (Some(new_ratio), Some(old_ratio)) = (check.ratio, old.ratio) else {
            continue;
        };
        if !(new_ratio.0.is_finite() && old_ratio.0.is_finite()) {
            continue;
        }
        // A reserve of nothing against one of something is the largest change there is.
        let least = 1e-6;
        let change = (new_ratio.0.max(least) / old_ratio.0.max(least)).ln().abs();
        let turned = check.verdict != old.verdict;
        if change > 0.01 || turned {
            let verdict = if turned {
                format!(", {} instead of {}", check.verdict, old.verdict)
            } else {
                String::new()
            };
            let text = format!(
                "{} reserve {} instead of {}{verdict}",
                check.id,
                text::ratio(check.ratio),
                text::ratio(old.ratio)
            );
            // A verdict that turns decides more than any shift that turns none.
            let governs = e.report.worst.governing == Some(check.id);
            changes.push((
                change + if turned { 20.0 } else { 0.0 } + if governs { 40.0 } else { 0.0 },
                text,
            ));
        }
    }
    changes.sort_by(|a, b| b.0.total_cmp(&a.0));
    if changes.is_empty() {
        return "no check differs by more than 1 %".into();
    }
    changes
        .into_iter()
        .take(3)
        .map(|(_, t)| t)
        .collect::<Vec<_>>()
        .join("; ")
}
