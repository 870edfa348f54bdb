//! From a thread's designation to its sizes: rows of the job, rows of the table, metric and unified names.

use super::assembly::{Hand, Measured, Thread};
use super::ledger::Why;
use super::read::Reader;
use super::resolve::{choice_or, length_or, or_default, show, source_of_default};
use crate::document::segment;
use crate::mechanics::pedal::Side as SideName;
use crate::mechanics::thread::{Basic, Form, Sizes, StressArea};
use crate::mechanics::tolerance::{self, Class965, Exception, Quantity965, UnifiedSeries};
use crate::tables;
use crate::units::parse::{Kind, Spread};
use crate::units::*;
use uom::si::length::inch;

/// A thread as a designation names it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Named {
    /// Basic sizes.
    pub basic: Basic,
    /// Sizes at least material.
    pub least: Sizes,
    /// Sizes at most material, where a standard gives them.
    pub most: Option<Sizes>,
    /// Which stress area.
    pub stress_area: StressArea,
}

/// Why a designation is not understood.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct DesignationError {
    /// What is wrong.
    pub message: String,
    /// What to write instead.
    pub help: String,
}

fn wrong(message: impl Into<String>, help: impl Into<String>) -> DesignationError {
    DesignationError {
        message: message.into(),
        help: help.into(),
    }
}

/// The printed departures from the metric formulas, from the table.
pub fn exceptions() -> &'static [Exception] {
    static LIST: std::sync::OnceLock<Vec<Exception>> = std::sync::OnceLock::new();
    LIST.get_or_init(|| {
        let document = tables::ISO965.document();
        (0..document.len_of("exception"))
            .filter_map(|i| {
                let mut row = Reader::new(document, &[format!("exception[{i}].")]);
                let quantity = match row.text("quantity")?.as_str() {
                    "Td" => Quantity965::Td,
                    "Td2" => Quantity965::Td2,
                    "TD1" => Quantity965::TD1,
                    "TD2" => Quantity965::TD2,
                    text => {
                        let letter = text.chars().last()?;
                        if text.starts_with("es_") {
                            Quantity965::Es(letter)
                        } else {
                            Quantity965::Ei(letter)
                        }
                    }
                };
                let length = |row: &mut Reader<'_>, key: &str| {
                    row.quantity::<Length>(key, Kind::Length).map(|s| s.nominal)
                };
                Some(Exception {
                    quantity,
                    pitch: length(&mut row, "pitch")?,
                    over: length(&mut row, "over").unwrap_or(mm(0.0)),
                    up_to: length(&mut row, "up_to").unwrap_or(mm(1e4)),
                    value: length(&mut row, "value")?.abs(),
                })
            })
            .collect()
    })
}

/// Reads a metric designation such as `M36x1`, `M6`, `M10x1.5-6H/6g`. `None` where it is not one at all.
pub fn metric(text: &str) -> Option<Result<Named, DesignationError>> {
    let text = text.trim().replace('×', "x").replace(',', ".");
    let rest = text.strip_prefix(['M', 'm'])?;
    if !rest.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    Some(metric_parts(&text, rest))
}

fn metric_parts(text: &str, rest: &str) -> Result<Named, DesignationError> {
    let (size, class) = rest
        .split_once('-')
        .map_or((rest, None), |(s, c)| (s, Some(c)));
    let (diameter, pitch) = size
        .split_once(['x', 'X', '*'])
        .map_or((size, None), |(d, p)| (d, Some(p)));
    let parse = |t: &str| {
        t.trim()
            .parse::<f64>()
            .ok()
            .filter(|v| v.is_finite() && *v > 0.0 && *v < 1000.0)
    };
    let d = parse(diameter).ok_or_else(|| {
        wrong(
            format!("\"{text}\" has no diameter that can be read"),
            "write it as \"M36x1\" or \"M6\"",
        )
    })?;
    let pitch = match pitch {
        Some(p) => mm(parse(p).ok_or_else(|| {
            wrong(
                format!("\"{text}\" has no pitch that can be read"),
                "write it as \"M36x1\"",
            )
        })?),
        None => {
            let row = tables::THREADS
                .row("coarse", &format!("M{}", display::significant(d, 4)))
                .ok_or_else(|| {
                    wrong(
                        format!("M{d} has no coarse pitch in the table"),
                        format!("write the pitch: \"M{d}x1\""),
                    )
                })?;
            Reader::new(row.document, &[row.prefix()])
                .quantity::<Length>("pitch", Kind::Pitch)
                .map(|s: Spread<Length>| s.nominal)
                .ok_or_else(|| {
                    wrong(
                        format!("M{d} has no coarse pitch in the table"),
                        "write the pitch",
                    )
                })?
        }
    };
    let major = mm(d);
    if pitch > 0.3 * major {
        return Err(wrong(
            format!("a pitch of {} on {}", show(pitch), show(major)),
            "check both",
        ));
    }
    let (internal, external) = classes(class.unwrap_or("6H/6g"))?;
    let basic = Form::Iso.basic(major, pitch);
    let limits = tolerance::metric_limits(&basic, internal, external, exceptions())
        .map_err(|e| wrong(format!("\"{text}\": {e}"), "write another class, such as \"-6H/6g\", or give measured sizes with a [threads] row of your own"))?;
    Ok(Named {
        basic,
        least: limits.least,
        most: Some(limits.most),
        stress_area: StressArea::Metric,
    })
}

/// Reads `6H/6g`, `5H/4g6g`, in either order; what is missing is 6H or 6g.
fn classes(text: &str) -> Result<(Class965, Class965), DesignationError> {
    let mut internal = Class965 {
        pitch_grade: 6,
        crest_grade: 6,
        letter: 'H',
    };
    let mut external = Class965 {
        pitch_grade: 6,
        crest_grade: 6,
        letter: 'g',
    };
    let help = "write a class such as \"6H/6g\"";
    for part in text.split('/').map(str::trim) {
        let mut pairs = Vec::new();
        let mut chars = part.chars();
        while let Some(grade) = chars.next() {
            let (Some(grade), Some(letter)) = (
                grade.to_digit(10),
                chars.next().filter(char::is_ascii_alphabetic),
            ) else {
                return Err(wrong(format!("\"{part}\" is not a tolerance class"), help));
            };
            pairs.push((grade as u8, letter));
        }
        let class = match pairs[..] {
            [(g, l)] => Class965 {
                pitch_grade: g,
                crest_grade: g,
                letter: l,
            },
            [(p, a), (c, b)] if a == b => Class965 {
                pitch_grade: p,
                crest_grade: c,
                letter: a,
            },
            _ => return Err(wrong(format!("\"{part}\" is not a tolerance class"), help)),
        };
        if class.letter.is_ascii_uppercase() {
            internal = class
        } else {
            external = class
        }
    }
    Ok((internal, external))
}

/// Reads a unified designation such as `1/4-20 UNC 2A/2B`. `None` where it is not one at all.
pub fn unified(text: &str) -> Option<Result<Named, DesignationError>> {
    let text = text.trim().replace('×', "x");
    let mut words = text.split_whitespace();
    let first = words.next()?;
    let (size, tpi) = first.rsplit_once('-')?;
    let number = |t: &str| t.parse::<f64>().ok().filter(|v| v.is_finite());
    let tpi = number(tpi).filter(|t| (1.0..=120.0).contains(t))?;
    let d_in = if let Some(gauge) = size.strip_prefix('#') {
        // Numbered sizes step by 13 thousandths from 60 thousandths of an inch: ASME B1.1, recalled.
        number(gauge)
            .filter(|n| (0.0..=12.0).contains(n))
            .map(|n| 0.060 + 0.013 * n)?
    } else {
        crate::units::parse::read(&format!("{size} in"), Kind::Length)
            .ok()?
            .nominal
            / si(Length::new::<inch>(1.0))
    };
    if !(0.05..=6.0).contains(&d_in) {
        return None;
    }
    let mut series = None;
    let (mut external, mut internal) = (2u8, 2u8);
    for word in words {
        match word.to_uppercase().as_str() {
            "UNC" | "UNF" | "UNEF" | "UNRC" | "UNRF" => series = Some(UnifiedSeries::CoarseOrFine),
            "UN" | "UNS" | "UNR" => series = Some(UnifiedSeries::ConstantPitch),
            classes => {
                for part in classes.split('/') {
                    let class = part
                        .chars()
                        .next()
                        .and_then(|c| c.to_digit(10))
                        .map(|c| c as u8);
                    match (class, part.chars().nth(1), part.len()) {
                        (Some(c), Some('A'), 2) => external = c,
                        (Some(c), Some('B'), 2) => internal = c,
                        _ => {
                            return Some(Err(wrong(
                                format!("\"{word}\" is neither a series nor a class"),
                                "write it as \"1/4-20 UNC 2A/2B\"",
                            )));
                        }
                    }
                }
            }
        }
    }
    let basic = Form::Iso.basic(Length::new::<inch>(d_in), Length::new::<inch>(1.0 / tpi));
    let limits = tolerance::unified_limits(
        &basic,
        external,
        internal,
        series.unwrap_or(UnifiedSeries::CoarseOrFine),
    );
    Some(match limits {
        Ok(limits) => Ok(Named {
            basic,
            least: limits.least,
            most: Some(limits.most),
            stress_area: StressArea::Unified,
        }),
        Err(e) => Err(wrong(
            format!("\"{text}\": {e}"),
            "classes are 1A to 3A and 1B to 3B",
        )),
    })
}

/// Notes the tolerance classes that a name leaves out, of both threads or of one.
fn note_class(r: &mut Reader<'_>, name: &str, stress_area: StressArea) {
    let (classes, usual) = match stress_area {
        StressArea::Metric => (name.split_once('-').map_or("", |(_, c)| c), "6H/6g"),
        StressArea::Unified => (name.split_once(' ').map_or("", |(_, c)| c), "2A/2B"),
    };
    if !classes.contains('/') {
        let source = source_of_default("thread.class");
        r.ledger
            .note("thread.designation: class", usual, Why::Default, source);
    }
}

/// Looks a designation up: rows given in `r`'s document, then the table, then the standards' names.
fn named(r: &mut Reader<'_>, text: &str) -> Option<Named> {
    const PATH: &str = "thread.designation";
    let own = format!("threads.{}.", segment(text));
    let (mut row, name, own_row) = if !r.document.below(&own).is_empty() {
        (Reader::new(r.document, &[own]), text.to_string(), true)
    } else if let Some(row) = tables::THREADS.row("threads", text) {
        (
            Reader::new(row.document, &[row.prefix()]),
            row.name.to_string(),
            false,
        )
    } else {
        let standard = tables::THREADS
            .row("metric", text)
            .map_or_else(|| text.to_string(), |row| row.name.to_string());
        return match metric(&standard).or_else(|| unified(&standard)) {
            Some(Ok(named)) => {
                let source = if named.stress_area == StressArea::Metric {
                    "ISO 68-1, 724 and 965-1 by formula (recalled, confirmed against printed tables)"
                } else {
                    "ASME B1.1 by formula (read in a public module, confirmed against printed limits)"
                };
                r.ledger.sources.insert(PATH, format!("{text}: {source}"));
                note_class(r, &standard, named.stress_area);
                Some(named)
            }
            Some(Err(e)) => {
                r.complain(PATH, e.message, e.help);
                None
            }
            None => {
                let near = tables::THREADS.near("threads", text).join("\", \"");
                r.complain(
                    PATH,
                    format!("\"{text}\" is not a thread that is known here"),
                    format!("write a metric name (\"M36x1\"), a unified one (\"1/4-20 UNC 2A/2B\"), or a row of the table, such as \"{near}\""),
                );
                None
            }
        };
    };
    let own_entry = |key: &str| r.has(&format!("thread.{key}"));
    let named = read_row(&mut row, own_entry);
    let source = row.own_source();
    if own_row {
        r.ledger
            .note(PATH, name.as_str(), Why::OwnRow, source.clone());
    }
    let basis = row
        .text_quiet("basis")
        .unwrap_or_else(|| "the job's own row".into());
    r.ledger
        .sources
        .insert(PATH, format!("{name}: {source} ({basis})"));
    let sound = row.found.is_empty();
    r.found.append(&mut row.found);
    named.filter(|_| sound)
}

/// Reads a row of threads; a size that was measured, as `measured` says of its key, needs no limit.
pub(super) fn read_row(row: &mut Reader<'_>, measured: impl Fn(&str) -> bool) -> Option<Named> {
    let form = row.choice(
        "form",
        &[
            ("iso", Form::Iso),
            ("whitworth", Form::Whitworth),
            ("cycle", Form::Cycle),
        ],
    );
    if form.is_none() && !row.has("form") {
        row.needed_text("form", "iso");
    }
    let stress_area = row
        .choice(
            "stress_area",
            &[
                ("metric", StressArea::Metric),
                ("unified", StressArea::Unified),
            ],
        )
        .unwrap_or(StressArea::Metric);
    let major = row
        .needed::<Length>("major", Kind::Length, "basic major diameter")
        .nominal;
    row.positive("major", major);
    let pitch = row.needed::<Length>("pitch", Kind::Pitch, "pitch").nominal;
    row.positive("pitch", pitch);
    if pitch > 0.4 * major {
        row.complain(
            "pitch",
            format!("a pitch of {} on {}", show(pitch), show(major)),
            "check both",
        );
    }
    let mut limit = |key: &str, measured: bool| -> Length {
        let size: Length = if measured {
            row.quantity(key, Kind::Length)
                .map_or(mm(f64::NAN), |s| s.nominal)
        } else {
            row.needed(key, Kind::Length, "limit of size at least material")
                .nominal
        };
        row.positive(key, size);
        size
    };
    let least = Sizes {
        external_major: limit("external_major_min", measured("external_major")),
        external_pitch: limit("external_pitch_min", measured("external_pitch_diameter")),
        internal_minor: limit("internal_minor_max", measured("internal_minor")),
        internal_pitch: limit("internal_pitch_max", measured("internal_pitch_diameter")),
    };
    Some(Named {
        basic: form?.basic(major, pitch),
        least,
        most: None,
        stress_area,
    })
}

/// A thread by its name alone, from the table or a standard; for tables and published cases.
///
/// # Errors
/// What is wrong with the name.
pub fn by_name(text: &str) -> Result<Named, DesignationError> {
    by_name_in(&super::document::Document::default(), text)
}

/// The same with the rows that a job gives for itself.
///
/// # Errors
/// What is wrong with the name.
pub fn by_name_in(
    document: &super::document::Document,
    text: &str,
) -> Result<Named, DesignationError> {
    let mut reader = Reader::new(document, &[String::new()]);
    let named = named(&mut reader, text);
    let found = reader
        .found
        .first()
        .map(|d| wrong(d.message.clone(), d.help.clone()));
    named.ok_or_else(|| {
        found.unwrap_or_else(|| wrong(format!("\"{text}\" is not a thread that is known here"), ""))
    })
}

/// The usual hand of a thread on one side, where its row says so.
pub fn usual_hand(designation: &str, side: SideName) -> Option<Hand> {
    let table = &tables::THREADS;
    let row = (table.row("threads", designation)).or_else(|| table.row("metric", designation))?;
    let key = match side {
        SideName::Drive => "drive_hand",
        SideName::NonDrive => "other_hand",
    };
    // A row that speaks of hands names the left ones alone.
    row.text("hand_note")?;
    Some(match row.text(key) {
        Some("left") => Hand::Left,
        _ => Hand::Right,
    })
}

/// Reads the whole thread table.
pub(super) fn read_thread(r: &mut Reader<'_>) -> (Thread, String) {
    let designation = r
        .needed_text("thread.designation", "M36x1")
        .unwrap_or_default();
    let named = if designation.is_empty() {
        None
    } else {
        named(r, &designation)
    };
    let nan = mm(f64::NAN);
    let unknown = Basic {
        major: nan,
        pitch: nan,
        half_angle: degree(30.0),
        pitch_diameter: nan,
        internal_minor: nan,
        root: nan,
    };
    let (basic, mut sizes, stress_area) = named
        .map_or((unknown, unknown.sizes(), StressArea::Metric), |n| {
            (n.basic, n.least, n.stress_area)
        });
    let mut measured = Measured::default();
    let size = |r: &mut Reader<'_>, key: &str, into: &mut Length, flag: &mut bool| {
        let path = format!("thread.{key}");
        if let Some(value) = r.quantity::<Length>(&path, Kind::Length).map(|s| s.nominal) {
            *into = value;
            *flag = true;
        } else if si(*into).is_finite() {
            let source = source_of_default("thread.limits_of_size");
            r.ledger.note(path, *into, Why::Default, source);
        }
    };
    size(
        r,
        "external_major",
        &mut sizes.external_major,
        &mut measured.external_major,
    );
    size(
        r,
        "external_pitch_diameter",
        &mut sizes.external_pitch,
        &mut measured.external_pitch,
    );
    size(
        r,
        "internal_minor",
        &mut sizes.internal_minor,
        &mut measured.internal_minor,
    );
    size(
        r,
        "internal_pitch_diameter",
        &mut sizes.internal_pitch,
        &mut measured.internal_pitch,
    );
    let hands = [("right", Hand::Right), ("left", Hand::Left)];
    let hand = choice_or(r, "thread.hand", &hands, ("right", Hand::Right));
    let engaged = r.needed::<Length>("thread.engaged", Kind::Length, "overlap of the two threads");
    let incomplete = length_or(r, "thread.incomplete", basic.pitch);
    let setback: Length = or_default(r, "thread.setback", Kind::Length).nominal;
    let damaged_turns: Ratio = or_default(r, "thread.damaged_turns", Kind::Number).nominal;
    let thread = Thread {
        basic,
        sizes,
        measured,
        stress_area,
        hand,
        engaged,
        incomplete,
        setback,
        damaged_turns,
    };
    (thread, designation)
}
