//! The drawings of the job sheet, to scale, from the figures of the job and of its assessment.
//!
//! One unit of a drawing is a 96th of an inch on paper, so that its letters stay as large as they are meant to be. Every
//! drawing says in its attributes how many units a millimetre or a newton metre is (`data-scale`) and carries the marks
//! that tests look for (`data-name`, `data-bound`, `data-bar` …), so that what is drawn can be held against what is
//! computed. Nothing is told by colour: parts differ by hatching, lines by their dashes, and every figure stands beside
//! its mark.

pub mod deformed;
mod face;
mod plot;
mod section;
mod window;

pub use face::face;
pub use plot::{Bar, Spread, glue, shares, spread, turns};
pub use section::section;
pub use window::window;

use crate::units::display::significant;
use crate::units::{Length, System, Unit, si};
use svg::Document;
use svg::node::Text as Plain;
use svg::node::element::path::Data;
use svg::node::element::{Description, Group, Line, Path, Rectangle, Text, Title};

/// A point of a drawing.
type Point = (f64, f64);

/// Widths: two side by side on a page, one beside the table of the checks, three side by side.
const HALF: f64 = 340.0;
const ASIDE: f64 = 256.0;
const THIRD: f64 = 228.0;

/// What a drawing is made for.
#[derive(Debug, Clone, Copy)]
pub struct Pen {
    /// Which side of the sheet, for ids of its own.
    pub side: usize,
    /// Units of the figures.
    pub system: System,
}

/// The words of a drawing that are not in it: a short name, a title, and what somebody is told who does not see it.
struct Words<'a> {
    name: &'a str,
    title: &'a str,
    text: &'a str,
}

impl Pen {
    fn show(self, unit: Unit, si_value: f64) -> String {
        unit.show_to(si_value, self.system, 3)
    }
    fn length(self, length: Length) -> String {
        self.show(Unit::Millimetre, si(length))
    }
    /// An empty drawing with its text alternative.
    fn paper(self, words: &Words<'_>, size: Point) -> Document {
        let id = format!("{}-{}", words.name, self.side);
        let class = match size.0 {
            THIRD => "third",
            ASIDE => "aside",
            _ => "half",
        };
        Document::new()
            .set("viewBox", (0, 0, size.0, size.1))
            .set("role", "img")
            .set("class", class)
            .set("aria-labelledby", format!("{id}-t {id}-d"))
            .set("data-drawing", words.name)
            .add(Title::new(words.title).set("id", format!("{id}-t")))
            .add(
                Description::new()
                    .set("id", format!("{id}-d"))
                    .add(Plain::new(words.text)),
            )
    }
}

fn millimetres(length: Length) -> f64 {
    Unit::Millimetre.of(si(length))
}

/// A share of one as a person reads it.
fn percent(share: f64, figures: usize) -> String {
    format!("{} %", significant(100.0 * share, figures))
}

fn label(text: impl Into<String>, at: Point, anchor: &str) -> Text {
    Text::new(text)
        .set("x", round(at.0))
        .set("y", round(at.1))
        .set("text-anchor", anchor)
}

fn line(class: &str, from: Point, to: Point) -> Line {
    Line::new()
        .set("class", class)
        .set("x1", round(from.0))
        .set("y1", round(from.1))
        .set("x2", round(to.0))
        .set("y2", round(to.1))
}

fn block(class: &str, from: Point, to: Point) -> Rectangle {
    let (left, right) = (from.0.min(to.0), from.0.max(to.0));
    let (top, bottom) = (from.1.min(to.1), from.1.max(to.1));
    Rectangle::new()
        .set("class", class)
        .set("x", round(left))
        .set("y", round(top))
        .set("width", round(right - left))
        .set("height", round(bottom - top))
}

fn polyline(class: &str, points: &[Point]) -> Path {
    Path::new()
        .set("class", class)
        .set("d", through(Data::new(), points))
}

/// Straight from point to point.
fn through(data: Data, points: &[Point]) -> Data {
    points.iter().enumerate().fold(data, |data, (i, (x, y))| {
        let at = (round(*x), round(*y));
        if i == 0 {
            data.move_to(at)
        } else {
            data.line_to(at)
        }
    })
}

/// To a thousandth of a unit: finer than any print, and short to write.
fn round(value: f64) -> f64 {
    let rounded = (value * 1000.0).round() / 1000.0;
    if rounded.is_finite() { rounded } else { 0.0 }
}

/// A length that is measured: its line between two marks, and its figure behind it.
fn measured(from: f64, to: f64, y: f64, text: String) -> Group {
    let (left, right) = (from.min(to), from.max(to));
    Group::new()
        .add(line("fine", (left, y), (right, y)))
        .add(line("fine", (left, y - 3.0), (left, y + 3.0)))
        .add(line("fine", (right, y - 3.0), (right, y + 3.0)))
        .add(label(text, (right + 5.0, y + 3.5), "start"))
}

/// Round figures from one end of a scale to the other, at most so many.
fn ticks(from: f64, to: f64, most: u32) -> Vec<f64> {
    let raw = (to - from) / f64::from(most);
    if !(raw.is_finite() && raw > 0.0) {
        return Vec::new();
    }
    let power = 10_f64.powf(raw.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|n| n * power)
        .find(|s| *s >= raw)
        .unwrap_or(10.0 * power);
    let first = (from / step).ceil() as i64;
    (first..)
        .map(|n| n as f64 * step)
        .take_while(|t| *t <= to * (1.0 + 1e-9))
        .take(100)
        .collect()
}
