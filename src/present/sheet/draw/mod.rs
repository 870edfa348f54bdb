//! The drawings of the job sheet, to scale, from the figures of the job and of its assessment.
//!
//! Every drawing says in its attributes how many of its units a millimetre or a newton metre is (`data-scale`), so that
//! what is drawn can be held against what is computed. Nothing is told by colour: parts differ by hatching, lines by
//! their dashes, and every figure stands beside its mark.

use crate::assess::Assessment;
use crate::assess::closed;
use crate::assess::coupled::course::{Course, Ray};
use crate::job::Assembly;
use crate::mechanics::seat::Bears;
use crate::present::report::{BoundReport, SideReport, WindowReport};
use crate::present::{check, words};
use crate::units::display::significant;
use crate::units::{Length, System, Unit, si};
use svg::Document;
use svg::node::Text as Plain;
use svg::node::element::path::Data;
use svg::node::element::{
    Circle, Definitions, Description, Group, Line, Marker, Path, Pattern, Rectangle, Text, Title,
};

/// Width of a drawing that takes half of a page, and of one that takes all of it.
const HALF: f64 = 340.0;
const WHOLE: f64 = 700.0;

/// What a drawing is made for.
#[derive(Debug, Clone, Copy)]
pub struct Pen {
    /// Which side of the sheet, for ids of its own.
    pub side: usize,
    /// Units of the figures.
    pub system: System,
}

impl Pen {
    fn show(self, unit: Unit, si_value: f64) -> String {
        unit.show_to(si_value, self.system, 3)
    }
    fn length(self, length: Length) -> String {
        self.show(Unit::Millimetre, si(length))
    }
    /// An empty drawing with its text alternative.
    fn paper(self, name: &str, title: &str, text: &str, size: (f64, f64)) -> Document {
        let id = format!("{name}-{}", self.side);
        Document::new()
            .set("viewBox", (0, 0, size.0, size.1))
            .set("role", "img")
            .set("class", if size.0 > HALF { "whole" } else { "half" })
            .set("aria-labelledby", format!("{id}-t {id}-d"))
            .set("data-drawing", name)
            .add(Title::new(title).set("id", format!("{id}-t")))
            .add(
                Description::new()
                    .set("id", format!("{id}-d"))
                    .add(Plain::new(text)),
            )
    }
}

fn label(text: impl Into<String>, at: (f64, f64), anchor: &str) -> Text {
    Text::new(text)
        .set("x", round(at.0))
        .set("y", round(at.1))
        .set("text-anchor", anchor)
}

fn line(class: &str, from: (f64, f64), to: (f64, f64)) -> Line {
    Line::new()
        .set("class", class)
        .set("x1", round(from.0))
        .set("y1", round(from.1))
        .set("x2", round(to.0))
        .set("y2", round(to.1))
}

fn block(class: &str, from: (f64, f64), to: (f64, f64)) -> Rectangle {
    let (left, right) = (from.0.min(to.0), from.0.max(to.0));
    let (top, bottom) = (from.1.min(to.1), from.1.max(to.1));
    Rectangle::new()
        .set("class", class)
        .set("x", round(left))
        .set("y", round(top))
        .set("width", round(right - left))
        .set("height", round(bottom - top))
}

fn polyline(class: &str, points: &[(f64, f64)]) -> Path {
    let mut data = Data::new();
    for (i, (x, y)) in points.iter().enumerate() {
        let at = (round(*x), round(*y));
        data = if i == 0 {
            data.move_to(at)
        } else {
            data.line_to(at)
        };
    }
    Path::new().set("class", class).set("d", data)
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
        .add(label(text, (right + 4.0, y + 3.5), "start"))
}

/// Hatching of cut parts and the head of an arrow.
fn fills(name: &str) -> Definitions {
    let hatch = |kind: &str, turn: i32, gap: f64| {
        Pattern::new()
            .set("id", format!("{name}-{kind}"))
            .set("width", gap)
            .set("height", gap)
            .set("patternUnits", "userSpaceOnUse")
            .set("patternTransform", format!("rotate({turn})"))
            .add(line("hatch", (0.0, 0.0), (0.0, gap)))
    };
    Definitions::new()
        .add(hatch("frame", 45, 7.0))
        .add(hatch("insert", -45, 3.5))
        .add(
            Marker::new()
                .set("id", format!("{name}-arrow"))
                .set("viewBox", (0, 0, 8, 8))
                .set("refX", 6)
                .set("refY", 4)
                .set("markerWidth", 3.6)
                .set("markerHeight", 3.6)
                .set("orient", "auto")
                .add(
                    Path::new()
                        .set("class", "head")
                        .set("d", "M0,0 L8,4 L0,8 z"),
                ),
        )
}

/// Section through the joint, above its axis: parts, lengths, the bearing's plane, the way of the preload.
pub fn section(pen: Pen, a: &Assembly, r: &Assessment) -> String {
    let ring = &r.evaluation.ring;
    let share = si(ring.share);
    let (through_metal, through_glue) = (
        format!("through metal: {} %", significant(100.0 * share, 3)),
        format!(
            "through the glue: {} %",
            significant(100.0 * (1.0 - share), 3)
        ),
    );
    let mm = |length: Length| Unit::Millimetre.of(si(length));
    let offset = a.insert.face_offset.map_or(0.0, |o| mm(o.nominal));
    let clamped = a.clamped.map_or(0.0, |c| mm(c.thickness));
    let face = match closed::stated_bearing(a) {
        Bears::Insert => -offset,
        Bears::Both | Bears::Frame => 0.0,
    };
    let flange = (
        face - clamped - mm(a.fitting.flange_thickness),
        face - clamped,
    );
    let thread = (
        mm(a.thread.setback) - offset,
        mm(a.thread.setback + a.thread.engaged.nominal) - offset,
    );
    let plane = face - mm(a.fitting.bearing_outboard);
    let inside = (mm(a.insert.length) - offset)
        .max(thread.1)
        .max(mm(a.bond.length))
        .max(plane);
    let outside = flange.0.min(plane).min(-offset);
    let (insert_r, frame_r) = (
        mm(a.insert.outer_diameter) / 2.0,
        mm(a.frame.outer_diameter) / 2.0,
    );
    let bore_r = insert_r + mm(a.bond.thickness);
    let flange_r = mm(a.fitting.flange_diameter) / 2.0;
    // A thick wall is cut off, so that the rest stays large.
    let drawn_r = frame_r.min(1.6 * flange_r.max(bore_r));
    let top = drawn_r.max(flange_r).max(
        a.clamped
            .map_or(0.0, |c| mm(c.outer_diameter) / 2.0)
            .min(1.6 * flange_r),
    );
    let scale = (175.0 / (inside - outside)).min(130.0 / top);
    let axis = 14.0 + scale * top;
    let x = |mm: f64| 12.0 + scale * (mm - outside);
    let y = |radius: f64| axis - scale * radius;
    let height = axis + 92.0;
    let text = format!(
        "Half of the section, outside to the left, axis below. Insert {} across and {} long in a wall {} across; flange {} across and {} thick; {} of thread engaged; bearing plane {} outside the face. The preload runs {through_metal}, {through_glue}.",
        pen.length(a.insert.outer_diameter),
        pen.length(a.insert.length),
        pen.length(a.frame.outer_diameter),
        pen.length(a.fitting.flange_diameter),
        pen.length(a.fitting.flange_thickness),
        pen.length(a.thread.engaged.nominal),
        pen.length(a.fitting.bearing_outboard)
    );
    let name = format!("section-{}", pen.side);
    let fill = |kind: &str| format!("url(#{name}-{kind})");
    let part = |kind: &str, from: (f64, f64), to: (f64, f64)| {
        block("part", (x(from.0), y(from.1)), (x(to.0), y(to.1))).set("fill", fill(kind))
    };
    let plain = |from: (f64, f64), to: (f64, f64)| {
        block("part plain", (x(from.0), y(from.1)), (x(to.0), y(to.1)))
    };
    let root = mm(a.thread.basic.root) / 2.0;
    let major = mm(a.thread.basic.major) / 2.0;
    let bore = mm(a.fitting.bore) / 2.0;
    let mut out = pen
        .paper("section", "Section, to scale", &text, (HALF, height))
        .set("data-scale", round(scale))
        .add(fills(&name))
        .add(part(
            "frame",
            (0.0, bore_r),
            (mm(a.bond.length).max(inside), drawn_r),
        ))
        .add(part(
            "insert",
            (-offset, major),
            (mm(a.insert.length) - offset, insert_r),
        ))
        .add(block(
            "glue",
            (x(0.0), y(bore_r)),
            (x(mm(a.bond.length)), y(insert_r)),
        ))
        .add(plain((flange.0, bore), (flange.1, flange_r)))
        .add(plain(
            (flange.1, bore),
            (thread.0, mm(a.fitting.neck_diameter) / 2.0),
        ))
        .add(plain((thread.0, bore), (thread.1, root)));
    if let Some(c) = &a.clamped {
        let outer = (mm(c.outer_diameter) / 2.0).min(top);
        out = out.add(plain((face - clamped, major), (face, outer)));
    }
    // Flanks of the thread, one stroke for each turn.
    let pitch = mm(a.thread.basic.pitch);
    let turns = ((thread.1 - thread.0) / pitch).clamp(0.0, 60.0) as usize;
    for turn in 0..=turns {
        let at = thread.0 + pitch * turn as f64;
        out = out.add(line(
            "fine",
            (x(at), y(root)),
            (x(at.min(thread.1)), y(major)),
        ));
    }
    out = out.add(line(
        "axis",
        (x(outside) - 8.0, axis),
        (x(inside) + 8.0, axis),
    ));
    // The plane of the bearing.
    out = out
        .add(line("axis", (x(plane), 8.0), (x(plane), axis + 18.0)))
        .add(measured(
            x(plane),
            x(face),
            axis + 14.0,
            format!("lever arm {}", pen.length(a.fitting.bearing_outboard)),
        ))
        .add(measured(
            x(thread.0),
            x(thread.1),
            axis + 30.0,
            format!("engaged {}", pen.length(a.thread.engaged.nominal)),
        ))
        .add(measured(
            x(-offset),
            x(mm(a.insert.length) - offset),
            axis + 46.0,
            format!("insert {}", pen.length(a.insert.length)),
        ));
    // The way of the preload: out of the thread through the flange into what bears, and back.
    let (from, neck) = (
        (
            thread.0 + (1.5 * pitch).min(thread.1 - thread.0),
            (root + major) / 2.0,
        ),
        (bore + root) / 2.0,
    );
    let middle = (flange.0 + flange.1) / 2.0;
    let way = |points: &[(f64, f64)], class: &str, share: f64| {
        let points: Vec<(f64, f64)> = points.iter().map(|(a, r)| (x(*a), y(*r))).collect();
        polyline(class, &points)
            .set("stroke-width", round(1.2 + 1.4 * share))
            .set("marker-end", format!("url(#{name}-arrow)"))
    };
    let start = [from, (from.0, neck), (middle, neck)];
    if let Some(p) = ring.insert {
        let seat = mm(p.inner + p.outer) / 2.0;
        let back = (seat.max(major) + insert_r) / 2.0;
        let points = [
            start[0],
            start[1],
            start[2],
            (middle, seat),
            (-offset, seat),
            (from.0 + pitch, back.min(insert_r)),
            (from.0 + pitch, major),
        ];
        out = out.add(way(&points, "way", share));
    }
    if let Some(p) = ring.frame {
        let seat = (mm(p.inner + p.outer) / 2.0).min(drawn_r);
        let across = mm(a.bond.length) * 0.45;
        let points = [
            start[0],
            start[1],
            start[2],
            (middle, seat),
            (across, seat),
            (across, (insert_r + major) / 2.0),
            (from.0 + pitch, (insert_r + major) / 2.0),
            (from.0 + pitch, major),
        ];
        out = out.add(way(&points, "way dashed", 1.0 - share));
    }
    // What is how wide, at the right.
    let cut = if drawn_r < frame_r { " (cut)" } else { "" };
    let widths = [
        (
            drawn_r,
            format!("wall ⌀ {}{cut}", pen.length(a.frame.outer_diameter)),
        ),
        (
            flange_r,
            format!("flange ⌀ {}", pen.length(a.fitting.flange_diameter)),
        ),
        (
            insert_r,
            format!("insert ⌀ {}", pen.length(a.insert.outer_diameter)),
        ),
        (
            insert_r - 0.001,
            format!("glue {}", pen.length(a.bond.thickness)),
        ),
        (
            major,
            format!("thread ⌀ {}", pen.length(a.thread.basic.major)),
        ),
        (bore, format!("bore ⌀ {}", pen.length(a.fitting.bore))),
    ];
    let mut widths: Vec<(f64, String)> = widths.into_iter().filter(|w| w.0 > 0.0).collect();
    widths.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut free = 0.0_f64;
    for (radius, text) in widths {
        let at = (y(radius) + 3.5).max(free);
        free = at + 12.0;
        out = out
            .add(line(
                "fine",
                (x(inside) + 2.0, y(radius)),
                (x(inside) + 14.0, at - 3.5),
            ))
            .add(label(text, (x(inside) + 17.0, at), "start"));
    }
    // Only the ways that are taken.
    let ways = [
        (ring.insert.is_some(), "way", through_metal),
        (ring.frame.is_some(), "way dashed", through_glue),
    ];
    let mut left = 12.0;
    let legend = axis + 66.0;
    for (_, class, text) in ways.into_iter().filter(|w| w.0) {
        let stroke = line(class, (left, legend - 3.5), (left + 22.0, legend - 3.5));
        out =
            out.add(stroke.set("stroke-width", 2))
                .add(label(text, (left + 27.0, legend), "start"));
        left += 158.0;
    }
    out.add(label(words::SECTION_LEGEND, (12.0, legend + 15.0), "start"))
        .to_string()
}

/// The face from outside: seat, gaps, where it bears at preload low and under load.
pub fn face(pen: Pen, a: &Assembly, r: &Assessment, course: &Course) -> String {
    let ring = &r.evaluation.ring;
    let mm = |length: Length| Unit::Millimetre.of(si(length));
    let coupled = r.evaluation.coupled;
    let share = |value: Option<crate::units::Ratio>| {
        value.map_or("–".to_string(), |v| {
            format!("{} %", significant(100.0 * si(v), 3))
        })
    };
    let bears = [
        share(coupled.and_then(|c| c.contact_preload)),
        share(coupled.and_then(|c| c.contact_load)),
    ];
    let towards = coupled.and_then(|c| c.worst_direction).map(words::clock);
    let gaps: Vec<String> = a
        .seat
        .gaps
        .iter()
        .map(|g| format!("{} at {}", pen.length(g.gap.nominal), words::clock(g.at)))
        .collect();
    let text = format!(
        "Ring from {} to {} radius. Bears at the low preload over {}, under load over {}. Gaps: {}.",
        pen.length(ring.inner),
        pen.length(ring.outer),
        bears[0],
        bears[1],
        if gaps.is_empty() {
            "none read".into()
        } else {
            gaps.join(", ")
        }
    );
    let largest = mm(ring.outer)
        .max(mm(a.fitting.flange_diameter) / 2.0)
        .max(mm(a.insert.outer_diameter) / 2.0);
    let scale = 50.0 / largest;
    let mut out = pen
        .paper("face", "Face from outside, to scale", &text, (HALF, 206.0))
        .set("data-scale", round(scale));
    let heads = ["at the low preload", "under the load"];
    let symbol = Unit::Millimetre.in_system(0.0, pen.system).1;
    let feet = [
        (!gaps.is_empty()).then(|| format!("gaps in {symbol}")),
        towards.map(|at| format!("pressed towards {at}")),
    ];
    let rays = [&course.preloaded, &course.loaded];
    for (dial, ((head, rays), foot)) in heads.into_iter().zip(rays).zip(feet).enumerate() {
        let centre = (85.0 + 170.0 * dial as f64, 80.0);
        let circle = |class: &str, name: &str, radius: f64| {
            Circle::new()
                .set("class", class)
                .set("data-name", name)
                .set("cx", centre.0)
                .set("cy", centre.1)
                .set("r", round(scale * radius))
        };
        let at = |angle: f64, radius: f64| {
            (
                centre.0 + radius * angle.sin(),
                centre.1 - radius * angle.cos(),
            )
        };
        out = out.add(contact(rays, |angle, mm| at(angle, scale * mm)));
        out = out
            .add(circle("outline", "seat-inner", mm(ring.inner)))
            .add(circle("outline", "seat-outer", mm(ring.outer)))
            .add(circle(
                "fine dotted",
                "flange",
                mm(a.fitting.flange_diameter) / 2.0,
            ))
            .add(circle(
                "fine dashed",
                "insert",
                mm(a.insert.outer_diameter) / 2.0,
            ));
        for hour in 1..=12u32 {
            let angle = std::f64::consts::TAU * f64::from(hour) / 12.0;
            out = out.add(line("fine", at(angle, 52.0), at(angle, 56.0)));
            if hour % 3 == 0 {
                let (x, y) = at(angle, scale * mm(ring.inner) - 9.0);
                out = out.add(label(hour.to_string(), (x, y + 3.5), "middle"));
            }
        }
        if dial == 0 {
            for gap in &a.seat.gaps {
                let (x, y) = at(si(gap.at), 67.0);
                let value = Unit::Millimetre
                    .in_system(si(gap.gap.nominal), pen.system)
                    .0;
                out = out.add(label(significant(value, 2), (x, y + 3.5), "middle"));
            }
        }
        out = out.add(label(head, (centre.0, 167.0), "middle")).add(label(
            format!("bears on {}", bears[dial]),
            (centre.0, 181.0),
            "middle",
        ));
        if let Some(foot) = foot {
            out = out.add(label(foot, (centre.0, 195.0), "middle"));
        }
    }
    out.to_string()
}

/// The places that bear, as one area.
fn contact(rays: &[Ray], at: impl Fn(f64, f64) -> (f64, f64)) -> Path {
    let mut data = Data::new();
    let half = std::f64::consts::PI / rays.len().max(1) as f64;
    let mm = |length: Length| Unit::Millimetre.of(si(length));
    for ray in rays {
        let (from, to) = (si(ray.at) - half, si(ray.at) + half);
        for (inner, outer) in ray.bears.iter().flatten() {
            let corners = [
                at(from, mm(*inner)),
                at(from, mm(*outer)),
                at(to, mm(*outer)),
                at(to, mm(*inner)),
            ];
            for (i, (x, y)) in corners.into_iter().enumerate() {
                let corner = (round(x), round(y));
                data = if i == 0 {
                    data.move_to(corner)
                } else {
                    data.line_to(corner)
                };
            }
            data = data.close();
        }
    }
    Path::new().set("class", "bears").set("d", data)
}

/// Every bound of the window on one scale of torque.
pub fn window(pen: Pen, w: &WindowReport, own: f64) -> String {
    let show = |torque: f64| pen.show(Unit::NewtonMetre, torque);
    let ends = w.low.iter().chain(&w.high).map(|e| e.torque.si);
    let end = 1.25 * ends.fold(own, f64::max);
    let (left, right) = (128.0, 250.0);
    let scale = (right - left) / end;
    let x = |torque: f64| left + scale * torque.clamp(0.0, end);
    let rows = w.bounds.len() as f64;
    let base = 24.0 + 15.0 * rows;
    let height = base + 58.0;
    let sentence = crate::present::window::sentence(w, pen.system);
    let text = format!("{sentence}. This job: {}.", show(own));
    let mut out = pen
        .paper(
            "window",
            "Window of torques, to scale",
            &text,
            (HALF, height),
        )
        .set("data-scale", scale)
        .set("data-left", left);
    let (low, high) = (
        w.low.as_ref().map_or(0.0, |e| e.torque.si),
        w.high.as_ref().map_or(end, |e| e.torque.si),
    );
    if !w.empty {
        out = out.add(block("open", (x(low), 4.0), (x(high), base + 18.0)));
    }
    for (i, bound) in w.bounds.iter().enumerate() {
        out = out.add(bound_row(
            bound,
            16.0 + 15.0 * i as f64,
            (left, right),
            &x,
            &show,
        ));
    }
    let said = if w.empty {
        "no window".to_string()
    } else {
        "window".to_string()
    };
    out = out.add(label(said, (left - 6.0, base + 12.0), "end"));
    if !w.empty {
        out = out.add(block("kept", (x(low), base + 5.0), (x(high), base + 12.0)));
    }
    // The scale.
    let floor = base + 22.0;
    out = out.add(line("outline", (left, floor), (right, floor)));
    let (per, symbol) = (
        Unit::NewtonMetre.in_system(1.0, pen.system).0,
        Unit::NewtonMetre.in_system(1.0, pen.system).1,
    );
    for tick in ticks(0.0, end * per, 5) {
        let at = left + scale * tick / per;
        out = out
            .add(line("outline", (at, floor), (at, floor + 4.0)))
            .add(label(significant(tick, 4), (at, floor + 15.0), "middle"));
    }
    out = out.add(label(symbol, (right + 8.0, floor + 15.0), "start"));
    // The job's own torque.
    out = out
        .add(line("axis", (x(own), 2.0), (x(own), floor)).set("data-own", own))
        .add(label(
            format!("this job {}", show(own)),
            (x(own), floor + 29.0),
            "middle",
        ));
    out.to_string()
}

/// One bound: where it is kept.
fn bound_row(
    bound: &BoundReport,
    y: f64,
    (left, right): (f64, f64),
    x: &impl Fn(f64) -> f64,
    show: &impl Fn(f64) -> String,
) -> Group {
    let at = x(bound.torque.si);
    let low = bound.side == "low";
    let beyond = at >= right;
    let class = if bound.advice_only {
        "reach dotted"
    } else {
        "reach"
    };
    let sign = if low { "≥" } else { "≤" };
    let mark = match (bound.rests_on_unknown, bound.advice_only) {
        (true, _) => "?",
        (_, true) => "*",
        _ => "",
    };
    let mut row = Group::new()
        .set("data-bound", bound.id)
        .set("data-side", bound.side)
        .add(label(
            format!("{}{mark}", bound.id),
            (left - 5.0, y + 3.5),
            "end",
        ))
        .add(label(
            // A bound at nothing is no torque that anybody could set.
            if !low && bound.torque.si <= 0.0 {
                "none".into()
            } else {
                format!("{sign} {}", show(bound.torque.si))
            },
            (right + 7.0, y + 3.5),
            "start",
        ));
    // What is kept only beyond the scale has no line on it.
    if !(low && beyond) {
        let (from, to) = if low { (at, right) } else { (left, at) };
        row = row.add(line(class, (from, y), (to, y)));
    }
    if !beyond {
        row = row.add(line("outline mark", (at, y - 5.0), (at, y + 5.0)));
    }
    row
}

/// Round figures from one end of a scale to the other.
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

/// A frame with two scales, and where a pair of figures lies in it.
struct Plot {
    x: (f64, f64),
    y: (f64, f64),
    bottom: f64,
}

impl Plot {
    const LEFT: f64 = 46.0;
    const RIGHT: f64 = HALF - 14.0;
    const TOP: f64 = 22.0;

    fn at(&self, x: f64, y: f64) -> (f64, f64) {
        let share = |v: f64, (from, to): (f64, f64)| (v - from) / (to - from);
        (
            Plot::LEFT + (Plot::RIGHT - Plot::LEFT) * share(x, self.x),
            self.bottom - (self.bottom - Plot::TOP) * share(y, self.y),
        )
    }
    /// Scales with their figures and units.
    fn axes(&self, mut out: Document, x_name: &str, y_name: &str, x_figures: bool) -> Document {
        out = out
            .add(line(
                "outline",
                (Plot::LEFT, Plot::TOP),
                (Plot::LEFT, self.bottom),
            ))
            .add(line(
                "outline",
                (Plot::LEFT, self.bottom),
                (Plot::RIGHT, self.bottom),
            ));
        for tick in ticks(self.y.0, self.y.1, 5) {
            let (_, y) = self.at(self.x.0, tick);
            out = out
                .add(line("grid", (Plot::LEFT, y), (Plot::RIGHT, y)))
                .add(label(
                    significant(tick, 3),
                    (Plot::LEFT - 5.0, y + 3.5),
                    "end",
                ));
        }
        if x_figures {
            for tick in ticks(self.x.0, self.x.1, 7) {
                let (x, _) = self.at(tick, self.y.0);
                out = out
                    .add(line("outline", (x, self.bottom), (x, self.bottom + 3.0)))
                    .add(label(
                        significant(tick, 3),
                        (x, self.bottom + 14.0),
                        "middle",
                    ));
            }
        }
        out.add(label(y_name, (4.0, 12.0), "start")).add(label(
            x_name,
            (Plot::RIGHT, self.bottom + 28.0),
            "end",
        ))
    }
}

/// Shear and peel along the glue.
pub fn glue(pen: Pen, course: &Course, side: &SideReport) -> String {
    let stress = |v: f64| Unit::Megapascal.in_system(v, pen.system).0;
    let place = |v: f64| Unit::Millimetre.in_system(v, pen.system).0;
    let [mpa, mm] = [Unit::Megapascal, Unit::Millimetre].map(|u| u.in_system(0.0, pen.system).1);
    let shear: Vec<(f64, f64)> = course
        .glue
        .iter()
        .map(|g| (place(si(g.x)), stress(si(g.shear))))
        .collect();
    let peel: Vec<(f64, f64)> = course
        .glue
        .iter()
        .map(|g| (place(si(g.x)), stress(si(g.peel))))
        .collect();
    let all = || shear.iter().chain(&peel).map(|p| p.1);
    let (low, high) = (all().fold(0.0, f64::min), all().fold(0.0, f64::max));
    let reach = (high - low).max(1e-9);
    let end = shear.last().map_or(1.0, |p| p.0).max(1e-9);
    let plot = Plot {
        x: (0.0, end),
        y: (low - 0.05 * reach, high + 0.1 * reach),
        bottom: 150.0,
    };
    let peak = |id: &str| check::value(side, id).map_or("–".into(), |v| pen.show(v.unit, v.si));
    let text = format!(
        "From the face inward. Shear along the axis reaches {}, peel by rocking {}.",
        peak("bond.axial.peak"),
        peak("bond.rocking.peel")
    );
    let out = pen.paper("glue", "Glue along its length", &text, (HALF, 216.0));
    let out = plot.axes(
        out,
        &format!("behind the face, {mm}"),
        &format!("stress, {mpa}"),
        true,
    );
    let drawn = |class: &str, points: &[(f64, f64)]| {
        let points: Vec<(f64, f64)> = points.iter().map(|(x, y)| plot.at(*x, *y)).collect();
        polyline(class, &points)
    };
    out.add(drawn("curve", &shear).set("data-curve", "shear"))
        .add(drawn("curve dashed", &peel).set("data-curve", "peel"))
        .add(line("curve", (12.0, 194.0), (36.0, 194.0)))
        .add(label(
            format!("shear along the axis, peak {}", peak("bond.axial.peak")),
            (42.0, 197.5),
            "start",
        ))
        .add(line("curve dashed", (12.0, 208.0), (36.0, 208.0)))
        .add(label(
            format!("peel by rocking, peak {}", peak("bond.rocking.peel")),
            (42.0, 211.5),
            "start",
        ))
        .to_string()
}

/// What each turn carries.
pub fn turns(pen: Pen, course: &Course) -> String {
    let force = |v: f64| Unit::Newton.in_system(v, pen.system).0;
    let symbol = Unit::Newton.in_system(0.0, pen.system).1;
    let loads: Vec<f64> = course.turns.iter().map(|t| force(si(*t))).collect();
    let sum: f64 = loads.iter().sum();
    let most = loads.iter().copied().fold(0.0, f64::max).max(1e-9);
    let count = loads.len().max(1) as f64;
    let plot = Plot {
        x: (0.0, count),
        y: (0.0, 1.15 * most),
        bottom: 150.0,
    };
    let percent = |load: f64| format!("{} %", significant(100.0 * load / sum.max(1e-9), 2));
    let each: Vec<String> = loads.iter().map(|l| percent(*l)).collect();
    let text = format!(
        "At the high preload, from the face inward: {}.",
        each.join(", ")
    );
    let out = pen.paper("turns", "Load of each turn", &text, (HALF, 188.0));
    let mut out = plot.axes(
        out,
        "turn, from the face inward",
        &format!("load, {symbol}"),
        false,
    );
    for (i, load) in loads.iter().enumerate() {
        let (left, y) = plot.at(i as f64 + 0.12, *load);
        let (right, floor) = plot.at(i as f64 + 0.88, 0.0);
        let middle = (left + right) / 2.0;
        out = out.add(block("bar", (left, y), (right, floor)).set("data-turn", i + 1));
        if count <= 16.0 || i % 5 == 0 {
            out = out.add(label((i + 1).to_string(), (middle, floor + 13.0), "middle"));
        }
        if count <= 8.0 || i == 0 {
            out = out.add(label(percent(*load), (middle, y - 3.0), "middle"));
        }
    }
    out.to_string()
}

/// A histogram of the lowest margin: from, to, samples.
pub fn histogram(pen: Pen, bars: &[(f64, f64, u64)]) -> String {
    let (Some(first), Some(last)) = (bars.first(), bars.last()) else {
        return String::new();
    };
    let total: u64 = bars.iter().map(|b| b.2).sum();
    let share = |n: u64| 100.0 * n as f64 / total.max(1) as f64;
    let most = bars
        .iter()
        .map(|b| share(b.2))
        .fold(0.0, f64::max)
        .max(1e-9);
    let plot = Plot {
        x: (first.0, last.1),
        y: (0.0, 1.1 * most),
        bottom: 150.0,
    };
    let text = format!(
        "Lowest margin over the strength checks, from {} to {}; below 0 something falls short.",
        significant(first.0, 3),
        significant(last.1, 3)
    );
    let out = pen.paper(
        "histogram",
        "Lowest margin, all samples",
        &text,
        (HALF, 188.0),
    );
    let mut out = plot.axes(out, "lowest margin", "share of the samples, %", true);
    for (from, to, samples) in bars {
        out = out.add(block(
            "bar",
            plot.at(*from, share(*samples)),
            plot.at(*to, 0.0),
        ));
    }
    if first.0 < 0.0 && last.1 > 0.0 {
        out = out.add(line("axis", plot.at(0.0, 0.0), plot.at(0.0, 1.1 * most)));
    }
    out.to_string()
}

/// Bands against one mark, such as reserves over what is required: name, low, middle, high, figures.
pub fn bands(
    pen: Pen,
    name: &str,
    title: &str,
    unit: &str,
    mark: Option<(f64, &str)>,
    rows: &[(String, [f64; 3], String)],
) -> String {
    let top = |v: &[f64; 3]| v[2];
    let highest = rows
        .iter()
        .map(|r| top(&r.1))
        .filter(|v| v.is_finite())
        .fold(0.0, f64::max);
    let (left, right) = (150.0, 515.0);
    // A reserve that is many times what is asked says no more than that.
    let end = match mark {
        Some((at, _)) => highest.min(6.0 * at).max(1.5 * at),
        None => 1.1 * highest.max(1e-9),
    };
    let x = |v: f64| left + (right - left) * v.clamp(0.0, end) / end;
    let floor = 12.0 + 15.0 * rows.len() as f64;
    let each: Vec<String> = rows
        .iter()
        .map(|(n, _, figures)| format!("{n}: {figures}"))
        .collect();
    let mut out = pen.paper(name, title, &each.join("; "), (WHOLE, floor + 34.0));
    for (i, (row, [low, middle, high], figures)) in rows.iter().enumerate() {
        let y = 10.0 + 15.0 * i as f64;
        out = out
            .add(label(row.as_str(), (left - 6.0, y + 3.5), "end"))
            .add(line("reach", (x(*low), y), (x(*high), y)))
            .add(line(
                "outline mark",
                (x(*middle), y - 5.0),
                (x(*middle), y + 5.0),
            ))
            .add(label(figures.as_str(), (right + 8.0, y + 3.5), "start"));
    }
    out = out.add(line("outline", (left, floor), (right, floor)));
    for tick in ticks(0.0, end, 6) {
        out = out
            .add(line("outline", (x(tick), floor), (x(tick), floor + 4.0)))
            .add(label(
                significant(tick, 3),
                (x(tick), floor + 15.0),
                "middle",
            ));
    }
    if let Some((at, what)) = mark {
        out = out
            .add(line("axis", (x(at), 2.0), (x(at), floor)))
            .add(label(what, (x(at), floor + 28.0), "middle"));
    }
    out.add(label(unit, (right + 8.0, floor + 15.0), "start"))
        .to_string()
}

/// Shares of what decides.
pub fn shares(pen: Pen, rows: &[(String, f64)]) -> String {
    let height = 26.0 + 26.0 * rows.len() as f64;
    let each: Vec<String> = rows
        .iter()
        .map(|(name, share)| format!("{name}: {} %", significant(100.0 * share, 2)))
        .collect();
    let text = format!(
        "Share of the spread of the lowest margin. {}.",
        each.join(", ")
    );
    let mut out = pen.paper(
        "shares",
        "What decides the lowest margin",
        &text,
        (HALF, height),
    );
    let (left, right) = (8.0, HALF - 60.0);
    for (i, ((name, share), _)) in rows.iter().zip(&each).enumerate() {
        let y = 14.0 + 26.0 * i as f64;
        let width = (right - left) * share.clamp(0.0, 1.0);
        out = out
            .add(label(name.as_str(), (left, y), "start"))
            .add(block(
                "bar",
                (left, y + 4.0),
                (left + width.max(0.5), y + 12.0),
            ))
            .add(label(
                format!("{} %", significant(100.0 * share, 2)),
                (left + width + 5.0, y + 12.0),
                "start",
            ));
    }
    out.to_string()
}
