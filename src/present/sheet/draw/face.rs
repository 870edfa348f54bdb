//! The face, seen from outside.

use super::{HALF, Pen, Point, Words, label, line, millimetres, percent, through};
use crate::assess::Assessment;
use crate::assess::coupled::course::{Course, Ray};
use crate::job::Assembly;
use crate::present::words;
use crate::units::display::significant;
use crate::units::{Length, Unit, si};
use std::f64::consts::{PI, TAU};
use svg::node::element::path::Data;
use svg::node::element::{Circle, Group, Path};

/// Height of the middle of both dials, and the radius of the largest circle.
const MIDDLE: f64 = 76.0;
const LARGEST: f64 = 50.0;

/// The face from outside: seat, gaps, where it bears at preload low and under load.
pub fn face(pen: Pen, a: &Assembly, r: &Assessment, course: &Course) -> String {
    let ring = &r.evaluation.ring;
    let coupled = r.evaluation.coupled;
    let share =
        |value: Option<crate::units::Ratio>| value.map_or("–".to_string(), |v| percent(si(v), 3));
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
    let read = match gaps[..] {
        [] => "none read".into(),
        _ => gaps.join(", "),
    };
    let text = format!(
        "Ring from {} to {} radius. Bears at the low preload over {}, under load over {}. Gaps: {read}.",
        pen.length(ring.inner),
        pen.length(ring.outer),
        bears[0],
        bears[1],
    );
    let words = Words {
        name: "face",
        title: "Face from outside, to scale",
        text: &text,
    };
    let insert = a.insert.lip_diameter.unwrap_or(a.insert.outer_diameter) / 2.0;
    let flange = a.fitting.flange_diameter / 2.0;
    let largest = [ring.outer, insert, flange].map(millimetres);
    let scale = LARGEST / largest.into_iter().fold(0.0, f64::max);
    let symbol = Unit::Millimetre.in_system(0.0, pen.system).1;
    let feet = [
        (!gaps.is_empty()).then(|| format!("gaps in {symbol}")),
        towards.map(|at| format!("pressed towards {at}")),
    ];
    let third = feet.iter().any(Option::is_some);
    let dials = [
        ("at the low preload", "preload", &course.preloaded),
        ("under the load", "load", &course.loaded),
    ];
    let mut out = pen
        .paper(&words, (HALF, MIDDLE + if third { 117.0 } else { 104.0 }))
        .set("data-scale", super::round(scale));
    for (i, (head, state, rays)) in dials.into_iter().enumerate() {
        let centre = (92.0 + 160.0 * i as f64, MIDDLE);
        let circle = |class: &str, name: &str, radius: Length| {
            Circle::new()
                .set("class", class)
                .set("data-name", name)
                .set("cx", centre.0)
                .set("cy", centre.1)
                .set("r", super::round(scale * millimetres(radius)))
        };
        let at = |angle: f64, radius: f64| {
            (
                centre.0 + radius * angle.sin(),
                centre.1 - radius * angle.cos(),
            )
        };
        let mut dial = Group::new()
            .set("data-state", state)
            .set("data-centre", format!("{} {}", centre.0, centre.1))
            .add(contact(rays, |angle, mm| at(angle, scale * mm)))
            .add(circle("outline", "seat-inner", ring.inner))
            .add(circle("outline", "seat-outer", ring.outer))
            .add(circle("fine dotted", "flange", flange))
            .add(circle("fine dashed", "insert", insert));
        for hour in 1..=12u32 {
            let angle = TAU * f64::from(hour) / 12.0;
            dial = dial.add(line("fine", at(angle, 52.0), at(angle, 56.0)));
            if hour % 3 == 0 {
                let (x, y) = at(angle, scale * millimetres(ring.inner) - 9.0);
                dial = dial.add(label(hour.to_string(), (x, y + 3.5), "middle"));
            }
        }
        for gap in a.seat.gaps.iter().filter(|_| i == 0) {
            // No leaf is told apart by less than a ten-thousandth, of an inch or of a millimetre.
            let (value, _) = Unit::Millimetre.in_system(si(gap.gap.nominal), pen.system);
            let value = (value * 1e4).round() / 1e4;
            // Beside the dial a figure begins, or ends, at the ticks; above and below it stands in the middle.
            let (anchor, radius) = match si(gap.at).sin() {
                sine if sine > 0.5 => ("start", 59.0),
                sine if sine < -0.5 => ("end", 59.0),
                _ => ("middle", 66.0),
            };
            let (x, y) = at(si(gap.at), radius);
            dial = dial.add(label(significant(value, 2), (x, y + 3.5), anchor));
        }
        let lines = [
            Some(head.to_string()),
            Some(format!("bears on {}", bears[i])),
            feet[i].clone(),
        ];
        for (n, text) in lines.into_iter().flatten().enumerate() {
            let y = MIDDLE + 86.0 + 13.0 * n as f64;
            dial = dial.add(label(text, (centre.0, y), "middle"));
        }
        out = out.add(dial);
    }
    out.to_string()
}

/// The places that bear, as one area.
fn contact(rays: &[Ray], at: impl Fn(f64, f64) -> Point) -> Path {
    let half = PI / rays.len().max(1) as f64;
    let mut data = Data::new();
    for ray in rays {
        let (from, to) = (si(ray.at) - half, si(ray.at) + half);
        for (inner, outer) in ray.bears.iter().flatten() {
            let (inner, outer) = (millimetres(*inner), millimetres(*outer));
            let corners = [
                at(from, inner),
                at(from, outer),
                at(to, outer),
                at(to, inner),
            ];
            data = through(data, &corners).close();
        }
    }
    Path::new().set("class", "bears").set("d", data)
}
