//! What was measured at the bench: widths across the faces, the spindle, its bearing, the stack of widths,
//! and the instruments. Read apart from the [`Assembly`](super::Assembly), so that a spindle can be judged
//! without the rest of a job.

use super::assembly::Condition;
use super::diagnostic::Diagnostic;
use super::document::Document;
use super::fits::{self, BearingClass, BearingSize, Sourced};
use super::ledger::{Ledger, Why};
use super::read::Reader;
use super::resolve::{SIDE_WORDS, default, read_condition, show};
use crate::document::segment;
use crate::mechanics::fit::{Class, Limits};
use crate::mechanics::pedal::Side;
use crate::mechanics::stack::Part;
use crate::units::parse::Kind;
use crate::units::*;

/// A width across the faces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WidthReading {
    /// Clockwise from 12 o'clock, seen from the drive side.
    pub at: Angle,
    /// The width there.
    pub width: Spread<Length>,
}

/// Widths across the faces.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Widths {
    /// Readings.
    pub readings: Vec<WidthReading>,
    /// The width stated for the whole housing.
    pub stated: Option<Length>,
    /// Least width allowed.
    pub min: Option<Length>,
    /// Greatest width allowed.
    pub max: Option<Length>,
    /// Limit of error of what measured them.
    pub error: Length,
}

/// A reading of the spindle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpindleReading {
    /// Station along the seat.
    pub at: Length,
    /// Direction across which it was taken.
    pub angle: Option<Angle>,
    /// Size.
    pub size: Length,
}

/// The spindle.
#[derive(Debug, Clone, PartialEq)]
pub struct Spindle {
    /// Nominal diameter.
    pub nominal: Option<Length>,
    /// Readings.
    pub readings: Vec<SpindleReading>,
    /// Its class with the limits of that class.
    pub class: Option<(String, Sourced<Limits>)>,
    /// Limit of error of the instrument.
    pub error: Length,
}

/// The bearing.
#[derive(Debug, Clone, PartialEq)]
pub struct Bearing {
    /// Nominal bore.
    pub nominal: Length,
    /// Least and greatest bore: as measured, or by class; nothing where no row holds that size.
    pub bore: Option<(Length, Length)>,
    /// It was measured.
    pub measured: bool,
    /// Where the limits come from.
    pub source: String,
    /// A remark of the row.
    pub note: Option<String>,
    /// Its width.
    pub width: Option<Length>,
}

/// A named part of the stack.
#[derive(Debug, Clone, PartialEq)]
pub struct StackPart {
    /// Its name.
    pub name: String,
    /// Its width, its number and its sign.
    pub part: Part,
}

/// The stack of widths.
#[derive(Debug, Clone, PartialEq)]
pub struct StackJob {
    /// Parts.
    pub parts: Vec<StackPart>,
    /// How far the adjuster closes from backed off.
    pub travel: Option<Length>,
    /// Pitch of its thread.
    pub pitch: Option<Length>,
    /// End float wanted.
    pub end_float: Length,
}

/// Everything measured at the bench.
#[derive(Debug, Clone, Default)]
pub struct Readings {
    /// Widths across the faces.
    pub widths: Widths,
    /// Half interval of a gap given as one value.
    pub feeler_error: Length,
    /// Spindle.
    pub spindle: Option<Spindle>,
    /// Bearing.
    pub bearing: Option<Bearing>,
    /// Stack.
    pub stack: Option<StackJob>,
    /// What `seat` assumes.
    pub seat_ledger: Ledger,
    /// What `spindle` assumes.
    pub spindle_ledger: Ledger,
}

/// Reads the bench's tables.
///
/// # Errors
/// Every finding in them.
pub fn read(document: &Document) -> Result<Readings, Vec<Diagnostic>> {
    let mut r = Reader::new(document, &[String::new()]);
    let widths = read_widths(&mut r);
    let gaps = document.len_of("seat.gap") > 0
        || (0..document.len_of("side"))
            .any(|i| document.len_of(&format!("side[{i}].seat.gap")) > 0);
    let feeler_error = instrument(&mut r, None, "feeler", "instrument.feeler", gaps);
    let seat_ledger = std::mem::take(&mut r.ledger);
    let bearing = read_bearing(&mut r);
    let spindle = read_spindle(&mut r, bearing.as_ref());
    let stack = read_stack(&mut r);
    if r.found.is_empty() {
        Ok(Readings {
            widths,
            feeler_error,
            spindle,
            bearing,
            stack,
            seat_ledger,
            spindle_ledger: r.ledger,
        })
    } else {
        Err(r.found)
    }
}

/// A side with its preconditions.
pub type Sided = (Side, Condition);

/// Reads a job that holds no assembly: the bench, and the preconditions of each side.
///
/// # Errors
/// Every finding in them.
pub fn read_alone(document: &Document) -> Result<(Readings, Vec<Sided>), Vec<Diagnostic>> {
    let mut r = Reader::new(document, &[String::new()]);
    let mut found = Vec::new();
    let bench = read(document).unwrap_or_else(|findings| {
        found = findings;
        Readings::default()
    });
    for key in ["job.title", "job.note", "job.by", "job.date"] {
        r.text(key);
    }
    let name = r.choice("job.side", SIDE_WORDS).unwrap_or(Side::Drive);
    let mut sides = Vec::new();
    for element in r.elements("side") {
        let own = r
            .choice(&format!("{element}.name"), SIDE_WORDS)
            .unwrap_or(name);
        let chain = [format!("{element}."), String::new()];
        sides.push((own, r.with_prefixes(&chain, read_condition)));
    }
    if sides.is_empty() {
        sides.push((name, read_condition(&mut r)));
    }
    found.extend(r.found);
    if found.is_empty() {
        Ok((bench, sides))
    } else {
        found.sort_by_key(|d| (d.place.source, d.place.span.start));
        Err(found)
    }
}

/// The job's title.
pub fn title(document: &Document) -> Option<String> {
    Reader::new(document, &[String::new()]).text("job.title")
}

/// Limit of error of the instrument that a key names; left out, of the usual one, else of the table's row.
fn instrument(r: &mut Reader<'_>, key: Option<&str>, usual: &str, row: &str, used: bool) -> Length {
    let named = key.and_then(|key| r.text(key));
    let name = named.clone().unwrap_or_else(|| usual.to_string());
    let quoted = segment(&name);
    let path = format!("instrument.{quoted}.error");
    match r.quantity::<Length>(&path, Kind::Length) {
        Some(error) => {
            r.not_negative(&path, error.nominal);
            error.nominal
        }
        None => {
            if let (Some(key), Some(_)) = (key, &named) {
                r.complain(
                    key,
                    format!("this job has no [instrument.{quoted}] with an error"),
                    format!("write [instrument.{quoted}] and in it: error = \"0.005 mm\""),
                );
                return mm(0.0);
            }
            let (value, source) = default(row, Kind::Length);
            let error: Length = from_si(value);
            if used {
                r.ledger.note(path, error, Why::Default, source);
            }
            error
        }
    }
}

fn read_widths(r: &mut Reader<'_>) -> Widths {
    let mut readings = Vec::new();
    for element in r.elements("frame.reading") {
        let (at_path, width_path) = (format!("{element}.at"), format!("{element}.width"));
        let at = r.clock(&at_path);
        if at.is_none() && !r.has(&at_path) {
            r.complain(
                &at_path,
                "a width reading without its place",
                "write at = \"3:00\", seen from the drive side",
            );
        }
        let width: Spread<Length> = r.needed(&width_path, Kind::Length, "across both faces");
        r.positive(&width_path, width.low);
        if let Some(at) = at {
            readings.push(WidthReading { at, width });
        }
    }
    let mut of = |key: &str| r.quantity::<Length>(key, Kind::Length).map(|s| s.nominal);
    let (stated, min, max) = (
        of("frame.width"),
        of("frame.width_min"),
        of("frame.width_max"),
    );
    if let (Some(min), Some(max)) = (min, max)
        && min > max
    {
        r.complain(
            "frame.width_min",
            format!(
                "the least width {} lies above the greatest {}",
                show(min),
                show(max)
            ),
            "change the two round, or check them",
        );
    }
    let error = instrument(
        r,
        Some("frame.instrument"),
        "caliper",
        "instrument.caliper.wide",
        readings.iter().any(|w| w.width.shape == Shape::Exact),
    );
    Widths {
        readings,
        stated,
        min,
        max,
        error,
    }
}

fn read_bearing(r: &mut Reader<'_>) -> Option<Bearing> {
    if !r.has_table("bearing") {
        return None;
    }
    let bore: Spread<Length> = r.needed("bearing.bore", Kind::Length, "of the bearing");
    r.positive("bearing.bore", bore.low);
    let width = r.quantity::<Length>("bearing.width", Kind::Length);
    if let Some(width) = width {
        r.positive("bearing.width", width.nominal);
    }
    let class = r.choice(
        "bearing.class",
        &[
            ("normal", BearingClass::Normal),
            ("P0", BearingClass::Normal),
            ("P6", BearingClass::P6),
            ("P5", BearingClass::P5),
        ],
    );
    let measured = bore.shape != Shape::Exact;
    if class.is_none() && !measured && !r.has("bearing.class") {
        r.ledger.note(
            "bearing.class",
            "normal",
            Why::Default,
            "the usual class where none is marked: common practice, no source",
        );
    }
    let row = fits::bearing_low(
        BearingSize::Bore,
        class.unwrap_or(BearingClass::Normal),
        bore.nominal,
    );
    let (limits, source, note) = match (measured, row) {
        (true, _) => (
            Some((bore.low, bore.high)),
            "as measured, the job's own".to_string(),
            None,
        ),
        (false, Some(row)) => (
            Some((bore.nominal + row.value, bore.nominal)),
            row.source,
            row.note,
        ),
        (false, None) => (None, String::new(), None),
    };
    Some(Bearing {
        nominal: bore.nominal,
        bore: limits,
        measured,
        source,
        note,
        width: width.map(|w| w.nominal),
    })
}

fn read_spindle(r: &mut Reader<'_>, bearing: Option<&Bearing>) -> Option<Spindle> {
    if !r.has_table("spindle") {
        return None;
    }
    let nominal = r
        .quantity::<Length>("spindle.nominal", Kind::Length)
        .map(|s| s.nominal);
    if let Some(nominal) = nominal {
        r.positive("spindle.nominal", nominal);
    }
    let mut readings = Vec::new();
    for element in r.elements("spindle.reading") {
        let at_path = format!("{element}.at");
        let size_path = format!("{element}.size");
        let at: Spread<Length> = r.needed(&at_path, Kind::Length, "station along the seat");
        let size: Spread<Length> = r.needed(&size_path, Kind::Length, "size there");
        r.positive(&size_path, size.nominal);
        let angle = r.clock(&format!("{element}.angle"));
        if let Some(nominal) = nominal
            && (size.nominal - nominal).abs() > nominal * 0.1
        {
            r.complain(
                &size_path,
                format!(
                    "{} is far from the nominal {}",
                    show(size.nominal),
                    show(nominal)
                ),
                "check the reading and its unit",
            );
        }
        readings.push(SpindleReading {
            at: at.nominal,
            angle,
            size: size.nominal,
        });
    }
    let class = r.text("spindle.class").and_then(|name| {
        let size = nominal.or(bearing.map(|b| b.nominal))?;
        let is_shaft = Class::read(&name).is_some_and(|c| !c.is_hole());
        let limits = if is_shaft {
            fits::limits(&name, size)
        } else {
            None
        };
        if limits.is_none() {
            r.complain(
                "spindle.class",
                format!(
                    "\"{name}\" is no shaft class that this tool knows at {}",
                    show(size)
                ),
                "write one such as \"h6\", \"g6\" or \"k6\", in small letters; the rule at hand for r and s ends at 50 mm",
            );
        }
        limits.map(|l| (name, l))
    });
    let error = instrument(
        r,
        Some("spindle.instrument"),
        "micrometer",
        "instrument.micrometer",
        !readings.is_empty(),
    );
    Some(Spindle {
        nominal,
        readings,
        class,
        error,
    })
}

/// The most parts of one kind in a stack.
const MOST_ALIKE: f64 = 100.0;

fn read_stack(r: &mut Reader<'_>) -> Option<StackJob> {
    if !r.has_table("stack") {
        return None;
    }
    let mut parts = Vec::new();
    for (i, element) in r.elements("stack.part").into_iter().enumerate() {
        let path = |key: &str| format!("{element}.{key}");
        let name = r
            .text(&path("name"))
            .unwrap_or_else(|| format!("part {}", i + 1));
        let width: Spread<Length> = r.needed(&path("width"), Kind::Length, "of the part");
        r.not_negative(&path("width"), width.low);
        if !r.has(&path("side")) {
            r.complain(
                &path("side"),
                format!("\"{name}\": which side of the stack is it on?"),
                "write side = \"spindle\" for a length along the spindle that gives room, side = \"housing\" for a width that takes it",
            );
        }
        let gives = r.choice(&path("side"), &[("spindle", true), ("housing", false)]);
        let count = r
            .quantity::<Ratio>(&path("count"), Kind::Number)
            .map_or(1.0, |n| n.nominal.value);
        let whole = count.fract() == 0.0 && (1.0..=MOST_ALIKE).contains(&count);
        if !(whole || count.is_nan()) {
            r.complain(
                &path("count"),
                "this is not how many of them there are",
                "write a whole number from 1 to 100",
            );
        }
        parts.push(StackPart {
            name,
            part: Part {
                width,
                count: count as u32,
                gives: gives.unwrap_or(false),
            },
        });
    }
    if !parts.iter().any(|p| p.part.gives) || parts.iter().all(|p| p.part.gives) {
        r.complain(
            "stack.part",
            "a stack needs parts of both sides",
            "write [[stack.part]] with side = \"spindle\" for the length along the spindle, and with side = \"housing\" for what sits on it",
        );
    }
    let mut of = |key: &str, kind: Kind| {
        let value = r.quantity::<Length>(key, kind).map(|s| s.nominal);
        if let Some(value) = value {
            r.not_negative(key, value);
        }
        value
    };
    let travel = of("stack.adjuster_travel", Kind::Length);
    let pitch = of("stack.adjuster_pitch", Kind::Pitch);
    let end_float = of("stack.end_float", Kind::Length);
    if let Some(pitch) = pitch {
        r.positive("stack.adjuster_pitch", pitch);
    }
    let end_float = end_float.unwrap_or_else(|| {
        r.ledger.note(
            "stack.end_float",
            mm(0.0),
            Why::Default,
            "closed until just free: common practice, no source",
        );
        mm(0.0)
    });
    Some(StackJob {
        parts,
        travel,
        pitch,
        end_float,
    })
}
