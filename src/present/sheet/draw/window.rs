//! The window of torques.

use super::{ASIDE, Pen, Words, block, label, line, ticks};
use crate::present::report::{BoundReport, WindowReport};
use crate::present::window::sentence;
use crate::units::Unit;
use crate::units::display::significant;
use svg::node::element::Group;

/// Where the scale of torque begins and ends on paper.
const LEFT: f64 = 124.0;
const RIGHT: f64 = 204.0;
/// From one bound to the next.
const STEP: f64 = 13.5;
/// How far beyond the job's own torque the scale goes at most where no window has to be on it.
const FURTHEST: f64 = 2.5;

/// Every bound of the window on one scale of torque.
pub fn window(pen: Pen, w: &WindowReport, own: f64) -> String {
    let show = |torque: f64| pen.show(Unit::NewtonMetre, torque);
    let (per, symbol) = Unit::NewtonMetre.in_system(1.0, pen.system);
    let ends = w.low.iter().chain(&w.high).map(|e| e.torque.si);
    let end = 1.25 * ends.fold(own, f64::max);
    // A bound that is far off must not crowd the others.
    let end = if w.empty {
        end.min(FURTHEST * own)
    } else {
        end
    };
    let scale = (RIGHT - LEFT) / end;
    let x = |torque: f64| LEFT + scale * torque.clamp(0.0, end);
    let base = 14.0 + STEP * w.bounds.len() as f64;
    let floor = base + 22.0;
    let text = format!("{}. This job: {}.", sentence(w, pen.system), show(own));
    let words = Words {
        name: "window",
        title: "Window of torques, to scale",
        text: &text,
    };
    let mut out = pen
        .paper(&words, (ASIDE, floor + 36.0))
        .set("data-scale", scale)
        .set("data-left", LEFT);
    if !w.empty {
        let low = x(w.low.as_ref().map_or(0.0, |e| e.torque.si));
        let high = x(w.high.as_ref().map_or(end, |e| e.torque.si));
        out = out
            .add(block("open", (low, 4.0), (high, base + 18.0)))
            .add(block("kept", (low, base + 5.0), (high, base + 12.0)).set("data-name", "window"));
    }
    for (i, bound) in w.bounds.iter().enumerate() {
        let at = x(bound.torque.si);
        let figure = significant(bound.torque.si * per, 3);
        out = out.add(row(bound, figure, at, 12.0 + STEP * i as f64));
    }
    let said = if w.empty { "no window" } else { "window" };
    out = out
        .add(label(said, (LEFT - 6.0, base + 12.0), "end"))
        .add(line("outline", (LEFT, floor), (RIGHT, floor)));
    for tick in ticks(0.0, end * per, 4) {
        let at = x(tick / per);
        out = out
            .add(line("outline", (at, floor), (at, floor + 4.0)))
            .add(label(significant(tick, 4), (at, floor + 15.0), "middle"));
    }
    out.add(label(symbol, (LEFT - 14.0, floor + 15.0), "end"))
        .add(line("axis", (x(own), 2.0), (x(own), floor)).set("data-own", own))
        .add(label(
            format!("this job {}", show(own)),
            (x(own), floor + 30.0),
            "middle",
        ))
        .to_string()
}

/// One bound: a line where it is kept, a mark where that ends, and its figure.
fn row(bound: &BoundReport, figure: String, at: f64, y: f64) -> Group {
    let low = bound.side == "low";
    let beyond = at >= RIGHT;
    let class = if bound.advice_only {
        "reach dotted"
    } else {
        "reach"
    };
    let mark = match (bound.rests_on_unknown, bound.advice_only) {
        (true, _) => "?",
        (_, true) => "*",
        _ => "",
    };
    // A bound at nothing is no torque that anybody could set.
    let figure = match (low, bound.torque.si > 0.0) {
        (true, _) => format!("≥ {figure}"),
        (false, true) => format!("≤ {figure}"),
        (false, false) => "none".into(),
    };
    let mut out = Group::new()
        .set("data-bound", bound.id)
        .set("data-side", bound.side)
        .add(label(
            format!("{}{mark}", bound.id),
            (LEFT - 6.0, y + 3.5),
            "end",
        ))
        .add(label(figure, (RIGHT + 8.0, y + 3.5), "start"));
    if low && beyond {
        return out.add(label("→", (RIGHT, y + 3.5), "end"));
    }
    let (from, to) = if low { (at, RIGHT) } else { (LEFT, at) };
    out = out.add(line(class, (from, y), (to, y)));
    if beyond {
        out
    } else {
        out.add(line("outline mark", (at, y - 4.5), (at, y + 4.5)))
    }
}
