//! The section through the joint.

use super::{
    HALF, Pen, Point, Words, block, label, line, measured, millimetres, percent, polyline,
};
use crate::assess::Assessment;
use crate::assess::closed;
use crate::assess::coupled::course::Course;
use crate::job::Assembly;
use crate::mechanics::seat::Bears;
use crate::present::words;
use crate::units::si;
use svg::Document;
use svg::node::element::{Definitions, Group, Marker, Path, Pattern, Rectangle};

/// Room at the right for what is how wide.
const LABELS: f64 = 126.0;
/// The first line above the parts, and where their upper end is.
const TOP: f64 = 21.0;
/// From one line of figures to the next.
const STEP: f64 = 15.0;
/// Height of three lines of lengths, and of the legend below everything.
const LENGTHS: f64 = 3.0 * STEP;
const LEGEND: f64 = 42.0;
/// Height of the whole: what the first page can spare.
const HEIGHT: f64 = 190.0;

/// Where the parts begin and end in mm: along the axis from the frame's face, outside negative; else as radii.
struct Places {
    face: f64,
    /// Insert against frame, + stands proud.
    offset: f64,
    clamped: f64,
    flange: (f64, f64),
    thread: (f64, f64),
    /// The bearing's plane.
    plane: f64,
    insert_end: f64,
    bond_end: f64,
    outside: f64,
    inside: f64,
    bore: f64,
    neck: f64,
    root: f64,
    major: f64,
    pitch: f64,
    insert: f64,
    /// The bore for the glue.
    bond: f64,
    flange_radius: f64,
    frame: f64,
    /// As far as the wall is drawn: a thick one is cut off, so that the rest stays large.
    drawn: f64,
}

impl Places {
    fn of(a: &Assembly) -> Places {
        let mm = millimetres;
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
        let insert_end = mm(a.insert.length) - offset;
        let bond_end = mm(a.bond.length);
        let (insert, frame) = (
            mm(a.insert.outer_diameter) / 2.0,
            mm(a.frame.outer_diameter) / 2.0,
        );
        let bond = insert + mm(a.bond.thickness);
        let flange_radius = mm(a.fitting.flange_diameter) / 2.0;
        Places {
            face,
            offset,
            clamped,
            flange,
            thread,
            plane,
            insert_end,
            bond_end,
            outside: flange.0.min(plane).min(-offset),
            inside: insert_end.max(thread.1).max(bond_end).max(plane),
            bore: mm(a.fitting.bore) / 2.0,
            neck: mm(a.fitting.neck_diameter) / 2.0,
            root: mm(a.thread.basic.root) / 2.0,
            major: mm(a.thread.basic.major) / 2.0,
            pitch: mm(a.thread.basic.pitch),
            insert,
            bond,
            flange_radius,
            frame,
            drawn: frame.min(1.6 * flange_radius.max(bond)),
        }
    }
}

/// From places to the paper.
struct Scale<'p> {
    places: &'p Places,
    per_mm: f64,
    axis: f64,
    name: String,
}

impl Scale<'_> {
    const LEFT: f64 = 10.0;

    fn x(&self, mm: f64) -> f64 {
        Scale::LEFT + self.per_mm * (mm - self.places.outside)
    }
    fn y(&self, radius: f64) -> f64 {
        self.axis - self.per_mm * radius
    }
    fn at(&self, (mm, radius): Point) -> Point {
        (self.x(mm), self.y(radius))
    }
    fn part(&self, class: &str, name: &str, from: Point, to: Point) -> Rectangle {
        block(class, self.at(from), self.at(to)).set("data-name", name)
    }
    fn hatched(&self, name: &str, from: Point, to: Point) -> Rectangle {
        let fill = format!("url(#{}-{name})", self.name);
        self.part("part", name, from, to).set("fill", fill)
    }
    /// One way of the preload, with an arrow on every stretch that is long enough for one.
    fn way(&self, class: &str, share: f64, points: &[Point]) -> Group {
        let points: Vec<Point> = points.iter().map(|p| self.at(*p)).collect();
        let width = 1.2 + 1.4 * share;
        let mut out = Group::new()
            .set("data-way", class)
            .add(polyline(class, &points).set("stroke-width", width));
        for pair in points.windows(2) {
            let ((x, y), (u, v)) = (pair[0], pair[1]);
            let (dx, dy) = (u - x, v - y);
            if dx.hypot(dy) >= 18.0 {
                let (from, to) = ((x + 0.4 * dx, y + 0.4 * dy), (x + 0.6 * dx, y + 0.6 * dy));
                let marker = format!("url(#{}-arrow)", self.name);
                out = out.add(polyline("way", &[from, to]).set("marker-end", marker));
            }
        }
        out
    }
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
    let head = Marker::new()
        .set("id", format!("{name}-arrow"))
        .set("viewBox", (0, 0, 8, 8))
        .set("refX", 5)
        .set("refY", 4)
        .set("markerWidth", 7)
        .set("markerHeight", 7)
        .set("markerUnits", "userSpaceOnUse")
        .set("orient", "auto")
        .add(
            Path::new()
                .set("class", "head")
                .set("d", "M0,0 L8,4 L0,8 z"),
        );
    Definitions::new()
        .add(hatch("frame", 45, 7.0))
        .add(hatch("insert", -45, 3.5))
        .add(head)
}

/// Section through the joint, above its axis: parts, lengths, the bearing's plane, the way of the preload.
pub fn section(pen: Pen, a: &Assembly, r: &Assessment, course: Option<&Course>) -> String {
    let p = Places::of(a);
    let ring = &r.evaluation.ring;
    let share = si(ring.share);
    let ways = [
        format!("through metal {}", percent(share, 3)),
        format!("through the glue {}", percent(1.0 - share, 3)),
    ];
    let top = p.drawn.max(p.flange_radius).max(
        a.clamped
            .map_or(0.0, |c| millimetres(c.outer_diameter) / 2.0)
            .min(1.6 * p.flange_radius),
    );
    let across = (HALF - Scale::LEFT - LABELS) / (p.inside - p.outside);
    // Lengths stand inside the bore where there is room for them, else below the axis.
    let inside = across.min((HEIGHT - TOP - LEGEND) / top);
    let below = across.min((HEIGHT - TOP - LEGEND - LENGTHS) / top);
    let in_bore = inside * p.bore > LENGTHS + 0.5 * STEP;
    let per_mm = if in_bore { inside } else { below };
    let s = Scale {
        places: &p,
        per_mm,
        axis: TOP + per_mm * top,
        name: format!("section-{}", pen.side),
    };
    let lengths = if in_bore {
        s.y(p.bore) + STEP
    } else {
        s.axis + STEP
    };
    let legend = (lengths + 2.0 * STEP).max(s.axis) + 20.0;
    let text = format!(
        "Half of the section, outside to the left, axis below. Insert {} across and {} long in a wall {} across; flange {} across and {} thick; {} of thread engaged; bearing plane {} outside the face. The preload runs {}, {}.",
        pen.length(a.insert.outer_diameter),
        pen.length(a.insert.length),
        pen.length(a.frame.outer_diameter),
        pen.length(a.fitting.flange_diameter),
        pen.length(a.fitting.flange_thickness),
        pen.length(a.thread.engaged.nominal),
        pen.length(a.fitting.bearing_outboard),
        ways[0],
        ways[1],
    );
    let words = Words {
        name: "section",
        title: "Section, to scale",
        text: &text,
    };
    let mut out = pen
        .paper(&words, (HALF, legend + 22.0))
        .set("data-scale", super::round(per_mm))
        .set("data-face", super::round(s.x(0.0)))
        .set("data-axis", super::round(s.axis))
        .add(fills(&s.name));
    out = parts(out, a, &s);
    out = lines(out, pen, a, &s, lengths);
    if ring.insert.is_some() {
        out = out.add(s.way("way", share, &metal_way(&p, r)));
    }
    if ring.frame.is_some() {
        out = out.add(s.way("way dashed", 1.0 - share, &glue_way(&p, r, course)));
    }
    out = widths(out, pen, a, &s);
    // Only the ways that are taken.
    let taken = [ring.insert.is_some(), ring.frame.is_some()];
    let mut left = Scale::LEFT;
    for ((_, class), text) in taken
        .into_iter()
        .zip(["way", "way dashed"])
        .zip(ways)
        .filter(|((taken, _), _)| *taken)
    {
        out = out
            .add(
                line(class, (left, legend - 3.5), (left + 22.0, legend - 3.5))
                    .set("stroke-width", 2),
            )
            .add(label(text, (left + 27.0, legend), "start"));
        left += 165.0;
    }
    out.add(label(
        words::SECTION_LEGEND,
        (Scale::LEFT, legend + STEP),
        "start",
    ))
    .to_string()
}

/// The parts that are cut.
fn parts(mut out: Document, a: &Assembly, s: &Scale<'_>) -> Document {
    let p = s.places;
    out = out
        .add(s.hatched("frame", (0.0, p.bond), (p.inside, p.drawn)))
        .add(s.hatched("insert", (-p.offset, p.major), (p.insert_end, p.insert)))
        .add(s.part("glue", "glue", (0.0, p.bond), (p.bond_end, p.insert)))
        .add(s.part(
            "part plain",
            "flange",
            (p.flange.0, p.bore),
            (p.flange.1, p.flange_radius),
        ))
        .add(s.part(
            "part plain",
            "neck",
            (p.flange.1, p.bore),
            (p.thread.0, p.neck),
        ))
        .add(s.part(
            "part plain",
            "thread",
            (p.thread.0, p.bore),
            (p.thread.1, p.root),
        ));
    if let Some(c) = &a.clamped {
        let outer = (millimetres(c.outer_diameter) / 2.0).min(1.6 * p.flange_radius);
        let (from, to) = ((p.face - p.clamped, p.major), (p.face, outer));
        out = out.add(s.part("part plain", "clamped", from, to));
    }
    // Flanks of the thread, one stroke for each turn.
    let turns = ((p.thread.1 - p.thread.0) / p.pitch).clamp(0.0, 60.0) as usize;
    (0..=turns).fold(out, |out, turn| {
        let at = (p.thread.0 + p.pitch * turn as f64).min(p.thread.1);
        out.add(line("fine", s.at((at, p.root)), s.at((at, p.major))))
    })
}

/// Axis, plane of the bearing, lengths.
fn lines(out: Document, pen: Pen, a: &Assembly, s: &Scale<'_>, at: f64) -> Document {
    let p = s.places;
    let (ends, plane) = ((s.x(p.outside), s.x(p.inside)), s.x(p.plane));
    let arm = pen.length(a.fitting.bearing_outboard);
    let engaged = pen.length(a.thread.engaged.nominal);
    let insert = pen.length(a.insert.length);
    out.add(line("axis", (ends.0 - 8.0, s.axis), (ends.1 + 8.0, s.axis)))
        .add(line(
            "axis",
            (plane, TOP - 6.0),
            (plane, at.max(s.axis) + 4.0),
        ))
        .add(measured(plane, s.x(p.face), at, format!("lever arm {arm}")))
        .add(measured(
            s.x(p.thread.0),
            s.x(p.thread.1),
            at + STEP,
            format!("engaged {engaged}"),
        ))
        .add(measured(
            s.x(-p.offset),
            s.x(p.insert_end),
            at + 2.0 * STEP,
            format!("insert {insert}"),
        ))
}

/// Where in the thread the ways begin and end, and the fitting's part of both: back to the flange.
fn in_the_fitting(p: &Places) -> (f64, [Point; 3]) {
    let at = p.thread.0 + 0.4 * (p.thread.1 - p.thread.0);
    let neck = (p.bore + p.root) / 2.0;
    let flange = (p.flange.0 + p.flange.1) / 2.0;
    (at, [(at, p.major), (at, neck), (flange, neck)])
}

/// Out of the thread through the flange onto the insert's face, and through the insert back to the thread.
fn metal_way(p: &Places, r: &Assessment) -> Vec<Point> {
    let (at, mut way) = (in_the_fitting(p).0, in_the_fitting(p).1.to_vec());
    let flange = way[2].0;
    let seat = r
        .evaluation
        .ring
        .insert
        .map_or(p.insert, |part| millimetres(part.inner + part.outer) / 2.0);
    let back = seat.clamp(p.major.min(p.insert), p.insert);
    way.extend([(flange, seat), (-p.offset, seat), (at, back), (at, p.major)]);
    way
}

/// The same onto the frame's face, and through the glue, where most of its shear lies, into the insert.
fn glue_way(p: &Places, r: &Assessment, course: Option<&Course>) -> Vec<Point> {
    let (at, mut way) = (in_the_fitting(p).0, in_the_fitting(p).1.to_vec());
    let flange = way[2].0;
    let seat = r
        .evaluation
        .ring
        .frame
        .map_or(p.bond, |part| millimetres(part.inner + part.outer) / 2.0)
        .min(p.drawn);
    let across = course.and_then(Course::middle_of_shear);
    let across = across.map_or(0.45 * p.bond_end, millimetres);
    let wall = (p.insert + p.major) / 2.0;
    way.extend([
        (flange, seat),
        (across, seat),
        (across, wall),
        (at, wall),
        (at, p.major),
    ]);
    way
}

/// What is how wide: at the right, each with a line to its part; the flange above itself.
fn widths(mut out: Document, pen: Pen, a: &Assembly, s: &Scale<'_>) -> Document {
    let p = s.places;
    let flange = (s.x((p.flange.0 + p.flange.1) / 2.0), s.y(p.flange_radius));
    let name = format!("flange ⌀ {}", pen.length(a.fitting.flange_diameter));
    out = out
        .add(line("fine", (flange.0, TOP - 7.0), flange))
        .add(label(name, (Scale::LEFT, TOP - 9.0), "start"));
    let lip = a.insert.lip_diameter.map(|d| {
        let text = format!("lip ⌀ {}, not drawn", pen.length(d));
        (millimetres(d) / 2.0, p.insert_end, text)
    });
    let mut widths: Vec<(f64, f64, String)> = vec![
        (
            p.drawn,
            p.inside,
            format!("wall ⌀ {}", pen.length(a.frame.outer_diameter)),
        ),
        (
            (p.insert + p.bond) / 2.0,
            p.bond_end,
            format!("glue {}", pen.length(a.bond.thickness)),
        ),
        (
            p.insert,
            p.insert_end,
            format!("insert ⌀ {}", pen.length(a.insert.outer_diameter)),
        ),
        (
            p.major,
            p.thread.1,
            format!("thread ⌀ {}", pen.length(a.thread.basic.major)),
        ),
        (
            p.bore,
            p.thread.1,
            format!("bore ⌀ {}", pen.length(a.fitting.bore)),
        ),
    ];
    widths.extend(lip);
    if p.drawn < p.frame {
        widths.push((p.drawn, p.inside, "(wall cut off)".into()));
    }
    widths.retain(|w| w.0 > 0.0);
    widths.sort_by(|a, b| b.0.total_cmp(&a.0));
    let right = s.x(p.inside);
    let mut free = 0.0_f64;
    for (radius, end, text) in widths {
        let y = (s.y(radius) + 3.5).max(free);
        free = y + 12.5;
        out = out
            .add(line("fine", s.at((end, radius)), (right + 12.0, y - 3.5)))
            .add(label(text, (right + 15.0, y), "start"));
    }
    out
}
