//! Variants or jobs side by side, the best first.

use super::report::{self, JobReport, Report, SCHEMA};
use super::text::{self, Layout};
use super::{window, words};
use crate::assess::compare::{Difference, Standing, differences, worst};
use crate::assess::{Assessed, Assessment};
use crate::job::document::AS_STATED;
use crate::job::{Job, Side};
use crate::units::display::System;
use serde::Serialize;

/// One of what is compared.
pub struct Entry {
    /// Its name.
    pub name: String,
    /// What it changes: key and value.
    pub changes: Vec<(String, String)>,
    /// Its report.
    pub report: Report,
    standing: Standing,
    /// Every side.
    sides: Vec<(Side, Assessed)>,
}

impl Entry {
    /// An entry of a job whose sides are assessed.
    pub fn new(
        name: String,
        changes: Vec<(String, String)>,
        job: &Job,
        sides: Vec<Assessed>,
    ) -> Option<Entry> {
        let (_, standing) = worst(&sides)?;
        Some(Entry {
            name,
            changes,
            report: Report::new("compare", job, &sides),
            standing,
            sides: job.sides.iter().cloned().zip(sides).collect(),
        })
    }
    fn is_stated(&self) -> bool {
        self.name == AS_STATED
    }
}

/// What is compared, the best first.
pub struct Compared {
    /// The entries.
    pub entries: Vec<Entry>,
    /// What the whole is about: the job, or the files.
    about: JobReport,
}

/// One entry as JSON: a report of its own.
#[derive(Serialize)]
#[allow(missing_docs)]
pub struct VariantReport<'a> {
    pub name: &'a str,
    /// It is the job itself, as its file states it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub as_stated: bool,
    pub job: &'a JobReport,
    #[serde(flatten)]
    pub worst: &'a report::SideReport,
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    pub sides: &'a [report::SideReport],
    pub assumed: &'a [report::AssumedReport],
    pub sources: Vec<SourceReport<'a>>,
    pub not_examined: &'a [String],
    pub cautions: &'a [report::CautionReport],
}

/// The source of a row in use.
#[derive(Serialize)]
#[allow(missing_docs)]
pub struct SourceReport<'a> {
    pub key: &'a str,
    pub source: &'a str,
}

/// The comparison as JSON. What stands on top is what all entries come to together.
#[derive(Serialize)]
#[allow(missing_docs)]
pub struct ComparedReport<'a> {
    pub schema: &'static str,
    pub command: &'static str,
    pub job: &'a JobReport,
    pub variants: Vec<VariantReport<'a>>,
    pub highest_margin: Option<&'a str>,
    pub preconditions: Vec<report::PreconditionReport>,
    pub assumed: Vec<report::AssumedReport>,
    pub overrides: &'a [String],
    pub not_examined: Vec<String>,
    pub cautions: Vec<report::CautionReport>,
}

impl Compared {
    /// Entries in the order in which they were given.
    pub fn new(mut entries: Vec<Entry>) -> Compared {
        let one = entries.iter().find(|e| e.is_stated());
        let about = match one {
            Some(e) => e.report.job.clone(),
            None => JobReport {
                title: None,
                source: entries
                    .iter()
                    .map(|e| e.report.job.source.as_str())
                    .collect::<Vec<_>>()
                    .join(", "),
            },
        };
        for e in &mut entries {
            for text in &mut e.report.not_examined {
                if text.starts_with("[[variant]]") {
                    *text = "[[variant]]: compared where this job is given alone".into();
                }
            }
            if e.is_stated() {
                e.report
                    .not_examined
                    .retain(|text| !text.starts_with("[[variant]]"));
            }
        }
        entries.sort_by(|a, b| a.standing.order(&b.standing));
        Compared { entries, about }
    }

    fn best(&self) -> Option<&Entry> {
        self.entries.first().filter(|e| e.standing.serves())
    }

    /// What the others are held against: the job as stated, else the best.
    fn reference(&self) -> Option<&Entry> {
        self.entries
            .iter()
            .find(|e| e.is_stated())
            .or(self.entries.first())
    }

    /// What entries say, each once, with the names of those that say it; no names where all do.
    fn shared<T: PartialEq + Clone>(&self, of: impl Fn(&Report) -> Vec<T>) -> Vec<(T, Vec<&str>)> {
        let mut out: Vec<(T, Vec<&str>)> = Vec::new();
        for e in &self.entries {
            for item in of(&e.report) {
                match out.iter_mut().find(|(known, _)| *known == item) {
                    Some((_, names)) if names.last() == Some(&e.name.as_str()) => {}
                    Some((_, names)) => names.push(&e.name),
                    None => out.push((item, vec![&e.name])),
                }
            }
        }
        for (_, names) in &mut out {
            if names.len() == self.entries.len() {
                names.clear();
            }
        }
        out
    }

    /// Every precondition with each state that it has, in their order.
    fn preconditions(&self) -> Vec<(report::PreconditionReport, Vec<&str>)> {
        let mut list = self.shared(|r| {
            r.printed_sides()
                .iter()
                .flat_map(|s| s.preconditions.clone())
                .collect()
        });
        let order: Vec<&str> = self.entries.first().map_or(Vec::new(), |e| {
            e.report.worst.preconditions.iter().map(|p| p.id).collect()
        });
        list.sort_by_key(|(p, _)| order.iter().position(|id| *id == p.id));
        list
    }

    /// As JSON.
    pub fn json(&self) -> ComparedReport<'_> {
        let variants = self
            .entries
            .iter()
            .map(|e| VariantReport {
                name: &e.name,
                as_stated: e.is_stated(),
                job: &e.report.job,
                worst: &e.report.worst,
                sides: &e.report.sides,
                assumed: &e.report.assumed,
                sources: e
                    .report
                    .sources
                    .iter()
                    .map(|(key, source)| SourceReport { key, source })
                    .collect(),
                not_examined: &e.report.not_examined,
                cautions: &e.report.cautions,
            })
            .collect();
        // On top stands the worst state that a precondition has in any entry.
        let rank = |p: &report::PreconditionReport| match p.state {
            "failed" => 2,
            "unknown" => 1,
            _ => 0,
        };
        let mut preconditions: Vec<report::PreconditionReport> = Vec::new();
        for (p, _) in self.preconditions() {
            match preconditions.iter_mut().find(|known| known.id == p.id) {
                Some(known) if rank(&p) > rank(known) => *known = p,
                Some(_) => {}
                None => preconditions.push(p),
            }
        }
        ComparedReport {
            schema: SCHEMA,
            command: "compare",
            job: &self.about,
            variants,
            highest_margin: self.best().map(|e| e.name.as_str()),
            preconditions,
            assumed: plain(self.shared(|r| r.assumed.clone())),
            overrides: self.overrides(),
            not_examined: plain(self.shared(|r| r.not_examined.clone())),
            cautions: plain(self.shared(|r| r.cautions.clone())),
        }
    }

    /// The same in all entries: they are given on the command line.
    fn overrides(&self) -> &[String] {
        self.entries
            .first()
            .map_or(&[], |e| e.report.overrides.as_slice())
    }
}

fn plain<T>(list: Vec<(T, Vec<&str>)>) -> Vec<T> {
    list.into_iter().map(|(item, _)| item).collect()
}

/// The names of the entries that a line is about; nothing where it is about all.
fn only(names: &[&str]) -> String {
    if names.is_empty() {
        String::new()
    } else {
        format!(" [only: {}]", names.join("; "))
    }
}

/// The table of what is compared, and what decides each.
pub(super) fn side_by_side(compared: &Compared, system: System, layout: Layout) -> String {
    let mut out = String::new();
    out.push_str(&layout.heading("Side by side, the best first"));
    let rows: Vec<Vec<String>> = compared.entries.iter().map(|e| row(e, system)).collect();
    out.push_str(&layout.table(
        &[
            "Entry",
            "Verdict",
            "Decided by",
            "Reserve",
            "Required",
            "Window",
        ],
        &rows,
        &[3, 4],
    ));
    out.push('\n');
    out.push_str(&layout.paragraph(&match compared.best() {
        Some(e) => format!("Highest margin: {}.", e.name),
        None => "None of them meets or is marginal.".into(),
    }));
    out.push_str(&layout.heading("What decides"));
    for e in &compared.entries {
        out.push_str(&decides(e, compared.reference(), system, layout));
    }
    out
}

/// The comparison as text.
pub fn text(compared: &Compared, system: System, layout: Layout) -> String {
    let mut out = text::opening_of("compare", &compared.about, layout);
    out.push_str(&layout.heading("Before any margin"));
    for (p, names) in compared.preconditions() {
        let text = format!("{} ({}){}", p.text, p.id, only(&names));
        out.push_str(&layout.item(text::mark(p.state), &text));
    }
    out.push_str(&side_by_side(compared, system, layout));
    let end = report::Paper {
        schema: SCHEMA,
        command: "compare",
        job: compared.about.clone(),
        worst: (),
        sides: Vec::<()>::new(),
        assumed: compared
            .shared(|r| r.assumed.clone())
            .into_iter()
            .map(|(mut a, names)| {
                a.source.push_str(&only(&names));
                a
            })
            .collect(),
        overrides: compared.overrides().to_vec(),
        warnings: Vec::new(),
        not_examined: compared
            .shared(|r| r.not_examined.clone())
            .into_iter()
            .map(|(text, names)| text + &only(&names))
            .collect(),
        cautions: plain(compared.shared(|r| r.cautions.clone())),
        overall: crate::assess::check::Verdict::NotJudged,
        sources: compared
            .shared(|r| r.sources.clone())
            .into_iter()
            .map(|((key, source), names)| (key, source + &only(&names)))
            .collect(),
        row_notes: compared
            .shared(|r| r.row_notes.clone())
            .into_iter()
            .map(|((key, note), names)| (key, note + &only(&names)))
            .collect(),
    };
    out.push_str(&text::tail(&end, system, layout));
    out
}

/// One row of the table.
fn row(e: &Entry, system: System) -> Vec<String> {
    let worst = &e.report.worst;
    // With two sides the worse one stands in the table, and is named.
    let side = if e.report.sides.len() > 1 {
        format!(" ({})", worst.side)
    } else {
        String::new()
    };
    let id = worst.deciding.or(worst.governing);
    let check = worst.checks.iter().find(|c| Some(c.id) == id);
    let [reserve, need] = check.map_or(["–".into(), "–".into()], |c| {
        text::against(c.ratio, c.need)
    });
    let window = worst.window.as_ref().map_or("–".to_string(), |w| {
        let end = |e: &Option<report::EndReport>| {
            e.as_ref().map(|e| e.torque.unit.show(e.torque.si, system))
        };
        match (w.empty, end(&w.low), end(&w.high)) {
            (true, ..) => "empty".into(),
            (_, Some(low), Some(high)) => format!("{low} to {high}"),
            (_, Some(low), None) => format!("from {low}"),
            (_, None, Some(high)) => format!("up to {high}"),
            (_, None, None) => "no bound".into(),
        }
    });
    vec![
        e.name.clone(),
        worst.verdict.to_string(),
        format!("{}{side}", id.unwrap_or("–")),
        reserve,
        need,
        window,
    ]
}

/// What an entry changes and what that does.
fn decides(e: &Entry, against: Option<&Entry>, system: System, layout: Layout) -> String {
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
    let lines = match against.filter(|a| !std::ptr::eq(*a, e)) {
        Some(a) if e.report.worst.verdict != "refused" && a.report.worst.verdict != "refused" => {
            difference(e, a)
        }
        // Without margins there is nothing to hold one against the other.
        Some(_) => vec![e.report.worst.do_first.clone()],
        None if e.is_stated() => vec!["the job itself; the others are held against it".into()],
        None => vec!["the others are held against this one".into()],
    };
    let name = format!("{}{about}", e.name);
    let mut out = match &lines[..] {
        [line] => layout.item("- ", &format!("{name}: {line}.")),
        several => {
            let sides = several.iter().map(|l| layout.item("  ", &format!("{l}.")));
            layout.item("- ", &format!("{name}:")) + &sides.collect::<String>()
        }
    };
    for side in e.report.printed_sides() {
        if let Some(w) = &side.window {
            let name = if e.report.sides.len() > 1 {
                format!(", {}", side.side)
            } else {
                String::new()
            };
            let text = format!("Window{name}: {}.", window::sentence(w, system));
            out.push_str(&layout.item("  ", &text));
        }
    }
    out
}

/// How many differences are named.
const NAMED: usize = 3;

/// The checks that change most against another entry, each side against the same side.
fn difference(e: &Entry, against: &Entry) -> Vec<String> {
    let several = e.sides.len().max(against.sides.len()) > 1;
    let of_side = |(side, assessed): &(Side, Assessed)| {
        let other = against
            .sides
            .iter()
            .find(|(other, _)| !several || other.name == side.name);
        let text = match other {
            Some((_, other)) => changed(side, &assessed.assessment, &other.assessment),
            None => "a side that the other does not have".into(),
        };
        if several {
            format!("{} side: {text}", words::side_word(side.name))
        } else {
            text
        }
    };
    e.sides.iter().map(of_side).collect()
}

fn changed(side: &Side, new: &Assessment, old: &Assessment) -> String {
    let found = differences(&side.assembly, &new.checks, &old.checks, new.governing);
    if found.is_empty() {
        return "no check differs by more than 1 %".into();
    }
    let named: Vec<String> = found.iter().take(NAMED).map(one).collect();
    named.join("; ")
}

fn one(d: &Difference) -> String {
    let id = d.id.id();
    match (&d.new, &d.old) {
        (Some(new), None) => format!("{id} now applies ({})", new.verdict.word()),
        (None, _) => format!("{id} applies no longer"),
        (Some(new), Some(old)) => {
            let [to, from] = text::two_ratios(report::given(new.ratio), report::given(old.ratio));
            let mut out = if new.ratio == old.ratio || (new.ratio.is_nan() && old.ratio.is_nan()) {
                format!("{id} {}", new.verdict.word())
            } else {
                format!("{id} reserve {to} instead of {from}")
            };
            if new.verdict != old.verdict {
                if !out.ends_with(new.verdict.word()) {
                    out.push_str(&format!(", {}", new.verdict.word()));
                }
                out.push_str(&format!(" instead of {}", old.verdict.word()));
            }
            if let Some(reason) = new.reason.filter(|_| new.verdict != old.verdict) {
                out.push_str(&format!(" ({})", words::reason(reason)));
            }
            out
        }
    }
}
