//! The section by elements under load, deformed, with the stress in the glue.

use super::{HALF, Pen, Words, label, line, polyline, round};
use crate::assess::coupled::crosscheck::CrossCheck;
use crate::mechanics::elements::{Part, Picture, Unit as Solution};
use crate::units::display::significant;
use crate::units::{System, Unit, from_si, si};
use std::collections::BTreeMap;
use svg::Document;
use svg::node::element::{Path, Style};

/// What the elements' section is: caption and, for who does not see it, text.
pub const CAPTION: &str = "Section by elements under the loads of service, cold left out, movement enlarged, with the stress across the glue";

const TOP: f64 = 6.0;
const LEFT: f64 = 12.0;
const LEGEND: f64 = 40.0;
/// The most that the walls of one side take, and the height of the curve below it.
const WALLS: f64 = 96.0;
const CURVE: f64 = 36.0;
const GAP: f64 = 6.0;
/// The line that names a side.
const NAME: f64 = 15.0;
/// The greatest movement is drawn as this part of all walls together.
const SHOWN: f64 = 0.12;

/// The section as a part of the sheet.
pub fn deformed(pen: Pen, cross: &CrossCheck) -> String {
    drawn(pen, cross).to_string()
}

/// The section as a file of its own, its style in it.
pub fn alone(cross: &CrossCheck, system: System) -> String {
    let style = ".outline { stroke: #111; stroke-width: .8; fill: none; } \
.fine { stroke: #777; stroke-width: .6; fill: none; } .dashed { stroke-dasharray: 3 2; } \
.curve { stroke: #000; stroke-width: 1.4; fill: none; } .layer { fill: #999; stroke: none; } \
text { font: 11px sans-serif; fill: #111; }";
    drawn(Pen { side: 1, system }, cross)
        .set("xmlns", "http://www.w3.org/2000/svg")
        .add(Style::new(style))
        .to_string()
        + "\n"
}

/// Movement (x, r) and stress across the glue on one side of the section.
struct Half {
    moved: Vec<(f64, f64)>,
    across: Vec<f64>,
}

impl Half {
    /// `once` counts with its sign: + on the side towards which the moment presses, − on the other.
    fn of(
        even: Option<&Solution>,
        once: Option<&Solution>,
        sign: f64,
        nodes: usize,
        cells: usize,
    ) -> Half {
        let mut half = Half {
            moved: vec![(0.0, 0.0); nodes],
            across: vec![0.0; cells],
        };
        for (unit, factor) in [(even, 1.0), (once, sign)] {
            let Some(unit) = unit else { continue };
            for (to, [x, r, _]) in half.moved.iter_mut().zip(unit.moved()) {
                to.0 += factor * si(x);
                to.1 += factor * si(r);
            }
            for (to, stress) in half.across.iter_mut().zip(unit.glue_cells()) {
                *to += factor * si(stress.across);
            }
        }
        half
    }
}

/// Edges that belong to one cell of a part alone, as pairs of nodes.
fn outline(picture: &Picture, part: Part) -> Vec<(usize, usize)> {
    let mut seen: BTreeMap<(usize, usize), ((usize, usize), u32)> = BTreeMap::new();
    for (of, corners) in &picture.cells {
        if *of != part {
            continue;
        }
        for k in 0..4 {
            let (a, b) = (corners[k], corners[(k + 1) % 4]);
            let entry = seen.entry((a.min(b), a.max(b))).or_insert(((a, b), 0));
            entry.1 += 1;
        }
    }
    seen.into_values()
        .filter(|(_, times)| *times == 1)
        .map(|(edge, _)| edge)
        .collect()
}

fn drawn(pen: Pen, cross: &CrossCheck) -> Document {
    let picture = &cross.elements.picture;
    let [even, once] = cross.service();
    let glue: Vec<[usize; 4]> = (picture.cells.iter())
        .filter(|(part, _)| *part == Part::Glue)
        .map(|(_, corners)| *corners)
        .collect();
    let nodes = &picture.nodes;
    let halves = [1.0, -1.0]
        .map(|sign| Half::of(even.as_ref(), once.as_ref(), sign, nodes.len(), glue.len()));
    let outer = nodes.iter().map(|p| si(p.r)).fold(0.0, f64::max);
    let length = nodes.iter().map(|p| si(p.x)).fold(0.0, f64::max);
    // The fitting takes no part in rocking, and is left out.
    let walls = picture
        .cells
        .iter()
        .filter(|(part, _)| *part != Part::Fitting);
    let inner = (walls.flat_map(|(_, corners)| corners))
        .map(|&k| si(nodes[k].r))
        .fold(outer, f64::min);
    let all = halves.iter().flat_map(|h| &h.moved);
    let most = all.map(|(x, r)| x.hypot(*r)).fold(0.0, f64::max);
    let enlarged = if most > 0.0 {
        SHOWN * (outer - inner) / most
    } else {
        0.0
    };
    // Room for what moves out of its place.
    let room = SHOWN * (outer - inner);
    let scale =
        ((HALF - 2.0 * LEFT) / (length + 2.0 * room)).min(WALLS / (outer - inner + 2.0 * room));
    let wall = (outer - inner + 2.0 * room) * scale;
    let step = NAME + wall + CURVE + GAP;
    let height = TOP + 2.0 * step + LEGEND;
    let sizes = halves.iter().flat_map(|h| &h.across);
    let highest = sizes.fold(0.0f64, |m, s| m.max(s.abs()));
    let pull = halves
        .iter()
        .flat_map(|h| &h.across)
        .fold(0.0f64, |m, s| m.max(*s));
    let times = significant(enlarged, 2);
    let text = format!(
        "Two sides of the section, that which the moment presses and the other. Movement {times} times as large as it is, the greatest {}. Greatest pull across the glue {}.",
        pen.length(from_si(most)),
        pen.show(Unit::Megapascal, pull),
    );
    let mut out = pen
        .paper(
            &Words {
                name: "elements",
                title: "Section by elements, deformed",
                text: &text,
            },
            (HALF, round(height)),
        )
        .set("data-scale", round(scale * 1e-3))
        .set("data-enlarged", round(enlarged));
    let mut sides = ["the side that the moment presses", "the other side"];
    if !cross.presses() {
        sides.reverse();
    }
    let start = LEFT + room * scale;
    for (k, (half, title)) in halves.iter().zip(sides).enumerate() {
        let top = TOP + k as f64 * step + NAME;
        let still = |node: usize| {
            let p = nodes[node];
            (
                start + scale * si(p.x),
                top + scale * (outer + room - si(p.r)),
            )
        };
        let at = |node: usize| {
            let (x, y) = still(node);
            let (dx, dr) = half.moved[node];
            (x + scale * enlarged * dx, y - scale * enlarged * dr)
        };
        for corners in &glue {
            let mut points: Vec<_> = corners.iter().map(|&k| at(k)).collect();
            points.extend(points.first().copied());
            out = out.add(polyline("layer", &points));
        }
        for (class, placed, parts) in [
            (
                "fine dashed",
                &still as &dyn Fn(usize) -> (f64, f64),
                &[Part::Frame, Part::Insert][..],
            ),
            ("outline", &at, &[Part::Frame, Part::Insert][..]),
        ] {
            for part in parts {
                let mut path = String::new();
                for (a, b) in outline(picture, *part) {
                    let ((x1, y1), (x2, y2)) = (placed(a), placed(b));
                    let [x1, y1, x2, y2] = [x1, y1, x2, y2].map(round2);
                    path += &format!("M{x1} {y1}L{x2} {y2}");
                }
                out = out.add(Path::new().set("class", class).set("d", path));
            }
        }
        out = out.add(label(title, (LEFT, top - 3.0), "start"));
        // The stress across the glue, below the section, pull upward.
        let zero = top + wall + CURVE / 2.0;
        let mut along: BTreeMap<i64, (f64, f64, f64)> = BTreeMap::new();
        for (corners, across) in glue.iter().zip(&half.across) {
            let x = corners.iter().map(|&k| si(nodes[k].x)).sum::<f64>() / 4.0;
            // Cells side by side across the layer lie at one place along it.
            let place = along
                .entry((x * 1e9).round() as i64)
                .or_insert((x, 0.0, 0.0));
            place.1 += across;
            place.2 += 1.0;
        }
        let high = if highest > 0.0 {
            CURVE / 2.0 / highest
        } else {
            0.0
        };
        let curve: Vec<_> = (along.values())
            .map(|(x, sum, count)| (start + scale * x, zero - high * sum / count))
            .collect();
        out = out.add(line("fine", (start, zero), (start + scale * length, zero)));
        out = out.add(polyline("curve", &curve).set("data-name", title));
    }
    let below = height - LEGEND + 14.0;
    let highest = pen.show(Unit::Megapascal, highest);
    for (k, line) in [
        format!("face at the left, frame on top; movement × {times}"),
        format!("curve: stress across the glue, pull upward, most {highest}"),
    ]
    .into_iter()
    .enumerate()
    {
        out = out.add(label(line, (LEFT, below + 15.0 * k as f64), "start"));
    }
    out
}

/// To a hundredth of a unit: there are thousands of places.
fn round2(value: f64) -> f64 {
    round((value * 100.0).round() / 100.0)
}
