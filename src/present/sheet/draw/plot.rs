//! Drawings with two scales: glue, turns, what a study found; and what drives it.

use super::{Pen, Point, THIRD, Words, block, label, line, percent, polyline, ticks};
use crate::assess::coupled::course::{Course, GluePlace};
use crate::present::check;
use crate::present::report::SideReport;
use crate::units::display::significant;
use crate::units::{Unit, si};
use svg::Document;

/// A frame with two scales, and where a pair of figures lies in it.
struct Plot {
    x: (f64, f64),
    y: (f64, f64),
}

impl Plot {
    const LEFT: f64 = 40.0;
    const RIGHT: f64 = THIRD - 10.0;
    const TOP: f64 = 20.0;
    const BOTTOM: f64 = 112.0;
    /// Height of the paper with the figures and the name of the lower scale.
    const HEIGHT: f64 = Plot::BOTTOM + 32.0;

    fn at(&self, (x, y): Point) -> Point {
        let share = |v: f64, (from, to): Point| (v - from) / (to - from);
        (
            Plot::LEFT + (Plot::RIGHT - Plot::LEFT) * share(x, self.x),
            Plot::BOTTOM - (Plot::BOTTOM - Plot::TOP) * share(y, self.y),
        )
    }
    /// The paper, with what a test needs to read off figures again.
    fn paper(&self, pen: Pen, words: &Words<'_>, more: f64) -> Document {
        let (zero, one) = (self.at((0.0, 0.0)), self.at((1.0, 1.0)));
        pen.paper(words, (THIRD, Plot::HEIGHT + more))
            .set("data-zero", format!("{} {}", zero.0, zero.1))
            .set(
                "data-scale",
                format!("{} {}", one.0 - zero.0, zero.1 - one.1),
            )
    }
    /// Scales with their names and units; no figures below where the bars carry their own.
    fn axes(&self, mut out: Document, x_name: &str, y_name: &str, figures: bool) -> Document {
        let corner = (Plot::LEFT, Plot::BOTTOM);
        out = out
            .add(line("outline", (Plot::LEFT, Plot::TOP), corner))
            .add(line("outline", corner, (Plot::RIGHT, Plot::BOTTOM)));
        for tick in ticks(self.y.0, self.y.1, 5) {
            let (_, y) = self.at((self.x.0, tick));
            out = out
                .add(line("grid", (Plot::LEFT, y), (Plot::RIGHT, y)))
                .add(label(
                    significant(tick, 3),
                    (Plot::LEFT - 4.0, y + 3.5),
                    "end",
                ));
        }
        for tick in ticks(self.x.0, self.x.1, 4).into_iter().filter(|_| figures) {
            let (x, _) = self.at((tick, self.y.0));
            let figure = significant(tick, 3);
            // A long figure at the end of the scale must not leave the paper.
            let most = THIRD - 3.3 * figure.chars().count() as f64;
            out = out
                .add(line("outline", (x, Plot::BOTTOM), (x, Plot::BOTTOM + 3.0)))
                .add(label(figure, (x.min(most), Plot::BOTTOM + 14.0), "middle"));
        }
        out.add(label(y_name, (2.0, 11.0), "start")).add(label(
            x_name,
            (Plot::RIGHT, Plot::BOTTOM + 27.0),
            "end",
        ))
    }
}

/// Height of two such lines.
const LEGEND: f64 = 30.0;

/// Lines below a plot that say what its strokes mean.
fn legend(out: Document, rows: &[(&str, String)]) -> Document {
    rows.iter()
        .enumerate()
        .fold(out, |out, (i, (class, text))| {
            let y = Plot::HEIGHT + 8.0 + 13.0 * i as f64;
            out.add(line(class, (4.0, y), (28.0, y))).add(label(
                text.as_str(),
                (33.0, y + 3.5),
                "start",
            ))
        })
}

/// Shear and peel along the glue.
pub fn glue(pen: Pen, course: &Course, side: &SideReport) -> String {
    let of = |unit: Unit| move |v: f64| unit.in_system(v, pen.system).0;
    let (stress, place) = (of(Unit::Megapascal), of(Unit::Millimetre));
    let [mpa, mm] = [Unit::Megapascal, Unit::Millimetre].map(|u| u.in_system(0.0, pen.system).1);
    let curve = |of: fn(&GluePlace) -> f64| -> Vec<Point> {
        let places = course.glue.iter();
        places.map(|g| (place(si(g.x)), stress(of(g)))).collect()
    };
    let (shear, peel) = (curve(|g| si(g.shear)), curve(|g| si(g.peel)));
    let all = || shear.iter().chain(&peel).map(|p| p.1);
    let (low, high) = (all().fold(0.0, f64::min), all().fold(0.0, f64::max));
    let reach = (high - low).max(1e-9);
    let plot = Plot {
        x: (0.0, shear.last().map_or(1.0, |p| p.0).max(1e-9)),
        y: (low - 0.05 * reach, high + 0.1 * reach),
    };
    let peak = |id: &str| check::value(side, id).map_or("–".into(), |v| pen.show(v.unit, v.si));
    let rows = [
        ("curve", format!("shear, peak {}", peak("bond.axial.peak"))),
        (
            "curve dashed",
            format!("peel (rocking), peak {}", peak("bond.rocking.peel")),
        ),
    ];
    let text = format!("From the face inward: {}; {}.", rows[0].1, rows[1].1);
    let words = Words {
        name: "glue",
        title: "Glue along its length, in service",
        text: &text,
    };
    let out = plot.paper(pen, &words, LEGEND);
    let (across, up) = (format!("behind the face, {mm}"), format!("stress, {mpa}"));
    let mut out = plot.axes(out, &across, &up, true);
    for (name, (class, _), points) in [("shear", &rows[0], &shear), ("peel", &rows[1], &peel)] {
        let points: Vec<Point> = points.iter().map(|p| plot.at(*p)).collect();
        out = out.add(polyline(class, &points).set("data-curve", name));
    }
    legend(out, &rows).to_string()
}

/// What each turn carries.
pub fn turns(pen: Pen, course: &Course) -> String {
    let (per, symbol) = Unit::Newton.in_system(1.0, pen.system);
    let loads: Vec<f64> = course.turns.iter().map(|t| si(*t) * per).collect();
    let sum = loads.iter().sum::<f64>().max(1e-9);
    let most = loads.iter().copied().fold(0.0, f64::max).max(1e-9);
    let count = loads.len().max(1) as f64;
    let plot = Plot {
        x: (0.0, count),
        y: (0.0, 1.2 * most),
    };
    let each: Vec<String> = loads.iter().map(|l| percent(l / sum, 2)).collect();
    let text = format!(
        "At the high preload, from the face inward: {}.",
        each.join(", ")
    );
    let words = Words {
        name: "turns",
        title: "Load of each turn, at the high preload",
        text: &text,
    };
    let out = plot.paper(pen, &words, 0.0);
    let up = format!("load, {symbol}");
    let mut out = plot.axes(out, "turn, from the face inward", &up, false);
    for (i, (load, share)) in loads.iter().zip(&each).enumerate() {
        let (left, y) = plot.at((i as f64 + 0.12, *load));
        let (right, floor) = plot.at((i as f64 + 0.88, 0.0));
        let middle = (left + right) / 2.0;
        out = out.add(block("bar", (left, y), (right, floor)).set("data-turn", i + 1));
        if count <= 12.0 || i % 5 == 0 {
            out = out.add(label((i + 1).to_string(), (middle, floor + 13.0), "middle"));
        }
        if count <= 5.0 || i == 0 {
            out = out.add(label(share, (left, y - 3.0), "start"));
        }
    }
    out.to_string()
}

/// One bar of a histogram: from, to, samples.
pub type Bar = (f64, f64, u64);

/// How the samples of a study spread over one figure, or over the same one in two states.
pub struct Spread<'a> {
    /// A short name, and what is spread.
    pub name: &'a str,
    /// As a person reads it.
    pub title: &'a str,
    /// The scale's name with its unit.
    pub scale: &'a str,
    /// Bars of equal width, drawn full.
    pub bars: &'a [Bar],
    /// Bars drawn as a line, with the words for both.
    pub other: Option<(&'a [Bar], [&'a str; 2])>,
    /// A mark, and what it is.
    pub mark: Option<(f64, &'a str)>,
}

/// A histogram.
pub fn spread(pen: Pen, s: &Spread<'_>) -> String {
    let other = s.other.map_or(&[][..], |o| o.0);
    let both = || s.bars.iter().chain(other);
    let total = |bars: &[Bar]| bars.iter().map(|b| b.2).sum::<u64>().max(1) as f64;
    // Bars of two widths are compared by their area, so that heights are shares per width of the full ones.
    let width = |bars: &[Bar]| bars.first().map_or(1.0, |b| b.1 - b.0);
    let height =
        |bars: &[Bar], n: u64| 100.0 * n as f64 / total(bars) * width(s.bars) / width(bars);
    let (low, high) = (
        both().map(|b| b.0).fold(f64::INFINITY, f64::min),
        both().map(|b| b.1).fold(f64::NEG_INFINITY, f64::max),
    );
    if low >= high {
        return String::new();
    }
    let heights = |bars: &[Bar]| {
        let each = bars.iter().map(|b| height(bars, b.2));
        each.fold(1e-9, f64::max)
    };
    let plot = Plot {
        x: (low, high),
        y: (0.0, 1.12 * heights(s.bars).max(heights(other))),
    };
    let ends = [low, high].map(|v| significant(v, 3));
    let text = format!("{}, from {} to {}.", s.scale, ends[0], ends[1]);
    let words = Words {
        name: s.name,
        title: s.title,
        text: &text,
    };
    let more = if s.other.is_some() { LEGEND } else { 0.0 };
    let out = plot.paper(pen, &words, more);
    let mut out = plot.axes(out, s.scale, "samples, %", true);
    for bar in s.bars {
        let top = (bar.0, height(s.bars, bar.2));
        let drawn = block("bar", plot.at(top), plot.at((bar.1, 0.0)));
        out = out.add(drawn.set("data-bar", bar.2));
    }
    if let Some((bars, names)) = s.other {
        let mut steps = vec![plot.at((bars.first().map_or(low, |b| b.0), 0.0))];
        for bar in bars {
            let y = height(bars, bar.2);
            steps.extend([plot.at((bar.0, y)), plot.at((bar.1, y))]);
        }
        steps.push(plot.at((bars.last().map_or(high, |b| b.1), 0.0)));
        out = out.add(polyline("curve", &steps).set("data-curve", "other"));
        let rows = [
            ("bar-line", names[0].to_string()),
            ("curve", names[1].to_string()),
        ];
        out = legend(out, &rows);
    }
    if let Some((at, what)) = s.mark.filter(|(at, _)| (low..=high).contains(at)) {
        let (x, _) = plot.at((at, 0.0));
        out = out
            .add(line("axis", (x, Plot::TOP - 4.0), (x, Plot::BOTTOM)))
            .add(label(what, (Plot::RIGHT, 11.0), "end"));
    }
    out.to_string()
}

/// Shares of what decides.
pub fn shares(pen: Pen, rows: &[(String, f64)]) -> String {
    let each: Vec<String> = rows
        .iter()
        .map(|(name, share)| format!("{name}: {}", percent(*share, 2)))
        .collect();
    let text = format!(
        "Share of the spread of the lowest margin. {}.",
        each.join(", ")
    );
    let words = Words {
        name: "shares",
        title: "What decides the lowest margin",
        text: &text,
    };
    let mut out = pen.paper(&words, (THIRD, 12.0 + 27.0 * rows.len() as f64));
    let (left, right) = (4.0, THIRD - 44.0);
    for (i, (name, share)) in rows.iter().enumerate() {
        let y = 12.0 + 27.0 * i as f64;
        let end = left + ((right - left) * share.clamp(0.0, 1.0)).max(0.5);
        out = out
            .add(label(name, (left, y), "start"))
            .add(block("bar", (left, y + 4.0), (end, y + 12.0)).set("data-share", *share))
            .add(label(percent(*share, 2), (end + 5.0, y + 12.0), "start"));
    }
    out.to_string()
}
