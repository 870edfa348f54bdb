//! What the fuzz targets and the test of the corpus both run: one function per way into the program.
//!
//! Each takes any text, or any bytes, and panics where an answer breaks a promise. Included by path on both sides, so
//! that the crate's public interface has nothing that only tests need.

use insertwright::assess::bond::verdict;
use insertwright::assess::check::Verdict;
use insertwright::assess::{Assessed, repair, seat_report, spindle};
use insertwright::job::{Diagnostic, Document, Job, readings, resolve};
use insertwright::mechanics::contact::{GapReading, Load, RingPart, Seat, SeatContact};
use insertwright::mechanics::plane;
use insertwright::present::report::{Amount, Ordered};
use insertwright::present::sheet::{About, Parts};
use insertwright::present::text::Layout;
use insertwright::present::{Report, bond, check, diagnose, seat, sheet, window};
use insertwright::tables::{self, Row, fold};
use insertwright::units::parse::{Kind, read};
use insertwright::units::{Length, System, from_si, si};

/// A text that begins with `@` and the name of a starter job is that job, with a `PATH=VALUE` over it on each line that
/// follows: changes that stay a job are found far sooner this way than by bending the text of one.
const STARTERS: [(&str, &str); 4] = [
    ("@demonstration", insertwright::cli::DEMO_JOB),
    ("@boss", include_str!("../src/cli/starters/boss.toml")),
    (
        "@crank-sleeve",
        include_str!("../src/cli/starters/crank-sleeve.toml"),
    ),
    (
        "@damaged-sleeve",
        include_str!("../src/cli/starters/damaged-sleeve.toml"),
    ),
];

/// The document that a text stands for, and what is wrong with it.
fn document_of(text: &str) -> (Document, Vec<Diagnostic>) {
    let (first, rest) = text.split_once('\n').unwrap_or((text, ""));
    match STARTERS.iter().find(|(name, _)| *name == first) {
        Some((_, starter)) => {
            let (mut document, mut found) = Document::parse("job.toml", starter);
            for line in rest.lines().filter(|line| !line.is_empty()) {
                found.extend(document.set(line));
            }
            (document, found)
        }
        None => Document::parse("job.toml", text),
    }
}

const SYSTEMS: [System; 2] = [System::Metric, System::Imperial];

/// Quantity text, as every kind: an error points into the text and says what to write; a value is finite, lies in its
/// spread, and reads back from the way it is printed.
pub fn quantity(text: &str) {
    for kind in Kind::ALL {
        match read(text, kind) {
            Ok(s) => {
                assert!(
                    s.nominal.is_finite() && s.low.is_finite() && s.high.is_finite(),
                    "{kind:?} {text:?}: {s:?}"
                );
                assert!(
                    s.low <= s.nominal && s.nominal <= s.high,
                    "{kind:?} {text:?}: {s:?}"
                );
                for value in [s.nominal, s.low, s.high] {
                    for system in SYSTEMS {
                        reads_back(kind, value, system);
                    }
                }
            }
            Err(e) => {
                assert!(text.get(e.at.clone()).is_some(), "{kind:?} {text:?}: {e:?}");
                assert!(!e.message.is_empty() && !e.help.is_empty(), "{e:?}");
            }
        }
    }
}

/// What is printed reads back as the figures that were printed. Beyond what a job may give there is no promise.
fn reads_back(kind: Kind, value: f64, system: System) {
    let smallest = 1e-12;
    if value.abs() > kind.largest() || (value != 0.0 && value.abs() < smallest) {
        return;
    }
    let unit = kind.unit();
    let shown = unit.show(value, system);
    let again = match read(&shown, kind) {
        Ok(again) => again.nominal,
        // Rounded to four figures, the least temperatures fall below absolute zero.
        Err(_) if kind == Kind::Temperature && value < 0.5 => return,
        Err(e) => panic!("{kind:?}: {value:e} is shown as {shown:?}, which is refused: {e:?}"),
    };
    let (figure, _) = unit.in_system(value, system);
    let (figure_again, _) = unit.in_system(again, system);
    assert!(
        (figure - figure_again).abs() <= 0.5001e-3 * figure.abs() + 1e-9 * figure.abs().max(1e-9),
        "{kind:?}: {value:e} is shown as {shown:?}, which reads as {again:e}"
    );
}

/// A job file: parsed, every variant of it too, and what is wrong is rendered under its line.
pub fn job(text: &str) {
    let (document, found) = document_of(text);
    for at in 0..document.len_of("variant") {
        let _ = document.variant(at);
    }
    let alone = readings::read_alone(&document).err().unwrap_or_default();
    for found in [found, resolve(&document).err().unwrap_or_default(), alone] {
        for finding in &found {
            assert!(
                !finding.message.is_empty() && !finding.help.is_empty(),
                "{finding:?}"
            );
        }
        for colour in [false, true] {
            let shown = diagnose::render(&document, &found, colour);
            assert!(shown.contains("nothing was computed"));
            // Only what the program itself puts there may act on a terminal.
            assert!(colour || !shown.chars().any(acts), "{shown:?}");
        }
    }
}

fn acts(c: char) -> bool {
    insertwright::job::document::acts(c)
}

/// Rows of tables: as a table of the program's own, as rows that a job brings along, and as a word to look a row up by.
pub fn rows(text: &str) {
    let document = Document::parse_table("rows", text);
    for table in tables::ALL {
        for group in table.groups.iter().copied() {
            let names = document.names_below(group);
            for name in names.into_iter().chain(document.places_in(group)) {
                let row = Row {
                    document: &document,
                    group,
                    name,
                };
                let _ = (row.entries(), row.provenance(), row.list("aliases"));
            }
            let word = text.lines().next().unwrap_or("");
            if word.len() < 64 {
                let _ = table.near(group, word);
                if let Some(row) = table.row(group, word) {
                    assert!(!row.source().is_empty() && row.basis().is_some(), "{word}");
                }
            }
        }
    }
    let _ = fold(text);
    // The demonstration's own figures, with these rows behind them.
    job(&format!("{}\n{text}", insertwright::cli::DEMO_JOB));
}

/// The whole way of `check` and of what stands on it: text, Markdown, JSON, window, bond, sheet.
pub fn whole_check(text: &str) {
    let (document, found) = document_of(text);
    let Ok(job) = resolve(&document) else { return };
    if !found.is_empty() || !bounded(&document) {
        return;
    }
    let Ok(assessed) = job
        .sides
        .iter()
        .map(|s| Assessed::of(&s.assembly))
        .collect::<Result<Vec<_>, _>>()
    else {
        return;
    };
    let report = Report::new("check", &job, &assessed);
    for side in report.printed_sides() {
        numbers(&side.values);
        for c in &side.checks {
            for amount in [c.demand, c.capacity].into_iter().flatten() {
                number(c.id, amount);
            }
            for n in [c.ratio, c.margin].into_iter().flatten() {
                assert!(!n.0.is_nan(), "{}: {c:?}", c.id);
            }
            // Who is judged has a ratio, and who has none has a reason.
            assert!(
                c.ratio.is_some() || c.reason.is_some() || c.decided_by.is_some(),
                "neither a ratio nor a reason: {c:?}"
            );
            if c.verdict == Verdict::NotJudged.word() {
                assert!(c.reason.is_some() || !c.notes.is_empty(), "{c:?}");
            }
        }
        for b in side.window.iter().flat_map(|w| &w.bounds) {
            assert!(b.torque.si.is_finite(), "{b:?}");
        }
    }
    json(&report);
    let of_bond = bond::BondReport::new(&job, &assessed);
    of_bond
        .printed_sides()
        .iter()
        .for_each(|s| numbers(&s.values));
    json(&of_bond);
    for side in job.sides.iter().zip(&assessed) {
        let _ = verdict(&side.0.assembly, &side.1.assessment);
    }
    for system in SYSTEMS {
        for layout in [Layout::Plain(80), Layout::Markdown] {
            plain(&check::text(&report, &job, system, layout));
            plain(&window::text(&report, &job, system, layout));
            plain(&bond::text(&of_bond, &job, system, layout, &assessed));
        }
        let page = sheet::html(&Parts {
            about: About::of(&document, &job),
            report: &report,
            job: &job,
            assessed: &assessed,
            variants: None,
            scatter: None,
            elements: None,
            system,
            paper: None,
        });
        plain(&page.unwrap_or_else(|e| panic!("no sheet: {e}")));
    }
}

/// The ways of `seat`, `spindle` and `repair` through a job.
pub fn whole_seat(text: &str) {
    let (document, found) = document_of(text);
    if !found.is_empty() || !bounded(&document) {
        return;
    }
    if let Ok((readings, sides)) = readings::read_alone(&document) {
        let conditions: Vec<_> = sides.iter().map(|s| s.1).collect();
        let report = spindle::judge(&readings, &conditions);
        for system in SYSTEMS {
            let found = insertwright::present::spindle::findings(&readings, &report, system);
            found.iter().for_each(|f| plain(&f.line()));
        }
    }
    let Ok(job) = resolve(&document) else { return };
    for depth in [None, Some(0.0), Some(1e-4), Some(0.1)] {
        look_at_seat(&job, depth.map(from_si));
    }
    let of_repair = repair::repairs(&document, &job);
    let assessed: Result<Vec<_>, _> = job
        .sides
        .iter()
        .map(|s| Assessed::of(&s.assembly))
        .collect();
    if let Ok(assessed) = assessed {
        let base = Report::new("repair", &job, &assessed);
        let made =
            insertwright::present::repair::RepairReport::new(base, &of_repair, System::Metric);
        if let Some(report) = made {
            json(&report);
            for layout in [Layout::Plain(80), Layout::Markdown] {
                plain(&insertwright::present::repair::text(
                    &report,
                    System::Imperial,
                    layout,
                ));
            }
        }
    }
}

fn look_at_seat(job: &Job, depth: Option<Length>) {
    let faces: Result<Vec<_>, _> = job
        .sides
        .iter()
        .map(|s| {
            let r = &job.readings;
            seat_report::face(&s.assembly, &r.widths, r.feeler_error, depth)
        })
        .collect();
    let Ok(faces) = faces else { return };
    let width = seat_report::width(&job.readings.widths, &faces);
    let report = seat::SeatReport::new(job, &faces, &width);
    for side in report.printed_sides() {
        numbers(&side.values);
        for p in &side.places {
            assert!(p.gap.si.is_finite(), "{p:?}");
        }
    }
    json(&report);
    for system in SYSTEMS {
        for layout in [Layout::Plain(80), Layout::Markdown] {
            plain(&seat::text(&report, job, &faces, &width, system, layout));
        }
    }
}

/// Feeler readings, seat, thread and load from bytes: the contact is solved and in balance, or a named error.
///
/// Twelve pairs of bytes: place and gap; then sizes, stiffnesses and loads on scales that span what can be.
pub fn contact(bytes: &[u8]) {
    let mut bytes = bytes.iter().copied();
    let mut unit = move || f64::from(bytes.next().unwrap_or(0)) / 255.0;
    let scale = |u: f64, from: f64, to: f64| from * (to / from).powf(u);
    let count = (unit() * 12.0) as usize;
    let mut gaps: Vec<GapReading> = (0..count)
        .map(|_| GapReading {
            at: from_si(unit() * 0.999 * std::f64::consts::TAU),
            gap: from_si(unit().powi(2) * 2e-3),
        })
        .collect();
    gaps.sort_by(|a, b| si(a.at).total_cmp(&si(b.at)));
    gaps.dedup_by(|a, b| a.at == b.at);
    let inner = scale(unit(), 1e-3, 0.1);
    let split = inner * scale(unit(), 1.0, 2.0);
    let outer = split * scale(unit(), 1.0, 2.0);
    let part = |inner: f64, outer: f64, k: f64| RingPart {
        inner: from_si(inner),
        outer: from_si(outer),
        stiffness: from_si(k),
    };
    let which = unit();
    let insert = (which < 0.7).then(|| part(inner, split, scale(unit(), 1e9, 1e15)));
    let frame = (which > 0.3).then(|| part(split, outer, scale(unit(), 1e9, 1e15)));
    let described = Seat {
        insert,
        frame,
        gaps: &gaps,
        thread_radius: from_si(inner * scale(unit(), 0.3, 1.0)),
        thread_stiffness: from_si(scale(unit(), 1e5, 1e11)),
    };
    let readings: Vec<plane::Reading> = gaps
        .iter()
        .map(|g| plane::Reading {
            at: g.at,
            value: g.gap,
            half: from_si(5e-6),
            standard: from_si(3e-6),
        })
        .collect();
    if let Ok(fitted) = plane::fit(&readings) {
        assert!(si(fitted.tilt).is_finite());
        let _ = plane::shape(&readings, &fitted);
    }
    let Ok(solver) = SeatContact::new(&described) else {
        return;
    };
    let preload = scale(unit(), 1.0, 1e6);
    let Ok(pre) = solver.preload_state(from_si(preload)) else {
        return;
    };
    assert!(si(pre.closing).is_finite() && (0.0..=1.0).contains(&si(pre.contact_fraction)));
    let moment = preload * outer * (unit() * 4.0);
    let axial = preload * (unit() * 4.0 - 2.0);
    let load = Load {
        moment: from_si(moment),
        direction: from_si(unit() * std::f64::consts::TAU),
        axial: from_si(axial),
    };
    let scale_of_load = preload + axial.abs() + moment / outer;
    let balanced = |s: &insertwright::mechanics::contact::Loaded| {
        let left = si(s.thread_force) - si(s.seat_force) - axial;
        assert!(
            left.abs() <= 1e-6 * scale_of_load,
            "{left} of {scale_of_load}: {s:?}"
        );
        let parts = si(s.insert_force) + si(s.frame_force) - si(s.seat_force);
        assert!(parts.abs() <= 1e-9 * scale_of_load, "{parts}: {s:?}");
        assert!(
            si(s.prying_factor).is_finite() && si(s.max_line_load).is_finite(),
            "{s:?}"
        );
        assert!((0.0..=1.0).contains(&si(s.contact_fraction)), "{s:?}");
    };
    if let Ok(state) = solver.loaded_state(&pre, &load) {
        balanced(&state);
    }
    if let Ok(worst) = solver.worst_direction(&pre, load.moment, load.axial) {
        balanced(&worst.state);
    }
    if let Ok(opens) = solver.opening_moment(&pre, load.axial) {
        assert!(si(opens).is_finite() && si(opens) >= 0.0);
    }
}

/// Jobs that ask for very many cases are legal and slow; here they would only hide what is wrong.
fn bounded(document: &Document) -> bool {
    ["case", "side", "route", "variant"]
        .into_iter()
        .all(|list| document.len_of(list) <= 6)
}

fn numbers(values: &Ordered<Amount>) {
    for (id, amount) in &values.0 {
        number(id, *amount);
    }
}

/// A value that is there is a number; an infinite one says that there is no limit.
fn number(id: &str, amount: Amount) {
    assert!(!amount.si.is_nan(), "{id}: not a number");
    assert!(!amount.unit.of(amount.si).is_nan(), "{id}: not a number");
}

/// A report is written as JSON and read again, and every amount in it has a unit.
fn json<T: serde::Serialize>(report: &T) {
    let text = serde_json::to_string(report).unwrap_or_else(|e| panic!("no JSON: {e}"));
    assert!(!text.contains("NaN"), "{text}");
    let value: Result<serde_json::Value, _> = serde_json::from_str(&text);
    assert!(value.is_ok(), "{text}");
}

/// Text for a person: no figure in it is "not a number", and nothing in it acts on a terminal.
fn plain(text: &str) {
    // A title may say so of itself; a unit behind it shows that a figure did.
    for wrong in ["NaN", "not a number "] {
        if let Some(at) = text.find(wrong) {
            let behind = &text[at + wrong.len()..];
            let unit = insertwright::units::Unit::SYMBOLS
                .iter()
                .any(|s| behind.trim_start().starts_with(s));
            assert!(!unit, "{}", &text[..at + wrong.len()]);
        }
    }
    assert!(!text.chars().any(acts), "{text:?}");
}
