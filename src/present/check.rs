//! The report of `check`: what governs, torque and preload, the checks, the glue.

use super::bench::clock;
use super::report::{Amount, Report, SideReport};
use super::text::{
    BOND, Layout, against, amount, amounts, opening_of, precondition_list, tail, verdict_line,
};
use super::{window, words};
use crate::assess::{bond, closed, seat_report};
use crate::job::{Assembly, Job};
use crate::units::display::{System, rounded, significant};
use crate::units::{Length, Unit, si};

/// The report of `check`.
pub fn text(report: &Report, job: &Job, system: System, layout: Layout) -> String {
    let mut out = opening_of(report.command, &report.job, layout);
    for (i, side) in report.printed_sides().iter().enumerate() {
        let assembly = job.sides.get(i).map(|s| &s.assembly);
        let name = assembly.map_or("", |a| words::side(a.side));
        if report.sides.len() > 1 {
            out.push_str(&layout.heading(name));
        }
        let seat = assembly.and_then(|a| {
            seat_sentence(
                a,
                job.readings.feeler_error,
                side.verdict != "meets",
                system,
            )
        });
        out.push_str(&verdict(side, assembly, seat, layout));
        out.push_str(&precondition_list(&side.preconditions, layout));
        if side.verdict != "refused" {
            if let Some(side_of_job) = job.sides.get(i) {
                out.push_str(&torque_and_preload(side, side_of_job, system, layout));
            }
            out.push_str(&checks(side, system, layout));
            out.push_str(&glue(side, assembly, system, layout));
        }
        out.push_str(&super::record::text(side.record.as_ref(), system, layout));
    }
    out.push_str(&tail(report, system, layout));
    out
}

/// What the gaps say of the seat, where they say something to act on.
pub(super) fn seat_sentence(
    a: &Assembly,
    feeler_error: Length,
    acts: bool,
    system: System,
) -> Option<String> {
    if seat_report::doubt(a).is_some() {
        return Some(words::GAPS_UNSETTLED.into());
    }
    let (at, step) = seat_report::high_place(a, feeler_error).filter(|_| acts)?;
    Some(format!(
        "The seat stands high by {} at {}: see what `seat` says before any cut.",
        Unit::Millimetre.show(si(step), system),
        clock(at)
    ))
}

/// What governs, and what to do first.
pub(super) fn verdict(
    side: &SideReport,
    assembly: Option<&Assembly>,
    seat: Option<String>,
    layout: Layout,
) -> String {
    let mut out = String::from("\n");
    out.push_str(&layout.paragraph(&format!("Verdict: {}.", verdict_line(side))));
    if assembly.is_some_and(damage_left_out) && side.verdict != "refused" {
        out.push_str(&layout.paragraph(
            "Damage is not counted here: of [damage] nothing is read, only the turns in thread.damaged_turns are \
             taken off. `repair` counts it, and says what the joint comes to as found.",
        ));
    }
    out.push_str(&layout.paragraph(&format!("Do first: {}.", side.do_first)));
    // An uneven seat makes every result of the seat and the glue worse, and it is mended at the bench.
    if let Some(seat) = seat.filter(|_| side.verdict != "refused") {
        out.push_str(&layout.paragraph(&seat));
    }
    out
}

/// Does the job tell of damage that the checks do not count?
fn damage_left_out(a: &Assembly) -> bool {
    a.damage.as_ref().is_some_and(|d| {
        d.missing_turns.is_some_and(|turns| turns.value > 0.0)
            || !d.sectors.is_empty()
            || d.wear.is_some()
            || d.wall_measured.is_some()
    })
}

fn list(ids: &[&str]) -> String {
    ids.join(", ")
}

pub(super) fn value(side: &SideReport, id: &str) -> Option<Amount> {
    side.values
        .0
        .iter()
        .find(|(k, _)| *k == id)
        .map(|(_, a)| *a)
}

/// Torque, preload, what bears, the window and the load.
pub(super) fn torque_and_preload(
    side: &SideReport,
    of_job: &crate::job::Side,
    system: System,
    layout: Layout,
) -> String {
    let mut out = layout.heading("Torque and preload");
    let show = |id: &str| amount(value(side, id), system);
    let a = &of_job.assembly;
    let t = &a.tightening;
    let torque =
        |q: crate::units::Torque| crate::units::Unit::NewtonMetre.show(crate::units::si(q), system);
    let tool = if t.tool_error {
        "the wrench's own error"
    } else {
        "the stated spread"
    };
    let mut item = |text: String| out.push_str(&layout.item("", &text));
    item(format!(
        "Thread {}; turn {}.",
        of_job.designation,
        words::turning_of(of_job)
    ));
    item(format!(
        "Torque at the fitting {} ({} to {} with {tool}).",
        torque(t.torque.nominal),
        torque(t.torque.low),
        torque(t.torque.high)
    ));
    if t.crowfoot.is_some() {
        item(format!(
            "{}: {}.",
            words::on_wrench(a, system),
            show("torque.set_on_tool")
        ));
    }
    for warning in side.wrench.warnings() {
        item(format!("Warning: {}.", words::wrench(&warning, system)));
    }
    if let Some(line) = stretch(side, a, system) {
        item(line);
    }
    // A preload is no better known than friction is: three figures are more than enough.
    let force = |id: &str| {
        value(side, id).map_or_else(
            || "–".into(),
            |a| {
                let (value, unit) = a.unit.in_system(a.si, system);
                format!("{} {unit}", rounded(value, 3))
            },
        )
    };
    // A torque on a thread that carries nothing makes no preload.
    match no_turn(side) {
        None => preload(side, &force, &mut item),
        Some(line) => item(line.into()),
    }
    item(bearing(side, a, system));
    if let Some(w) = &side.window {
        item(format!("Window: {}.", window::sentence(w, system)));
        if let Some(left) = window::not_complete(w) {
            item(format!("{left}."));
        }
    }
    if value(side, "load.moment").is_some_and(|m| m.si != 0.0) {
        item(format!(
            "Load: {} across the axis, {} about the face, {} outward. Were the clamp ever lost, the thread would see a pull of {}.",
            force("load.radial"),
            force("load.moment"),
            force("load.axial"),
            force("lever_out.pull")
        ));
    }
    out
}

/// The part between head and boss, and what it lets stretch.
pub(super) fn stretch(side: &SideReport, a: &Assembly, system: System) -> Option<String> {
    let part = a.clamped.as_ref()?;
    let show = |id: &str| amount(value(side, id), system);
    Some(format!(
        "A part {} thick lies between head and boss: {} of the screw stretch freely, and the joint has {} instead of {}.",
        Unit::Millimetre.show(si(part.thickness), system),
        show("clamped.grip"),
        show("thread.stiffness"),
        show("thread.stiffness.at_face")
    ))
}

/// Said where no turn carries.
pub(super) fn no_turn(side: &SideReport) -> Option<&'static str> {
    let carries = value(side, "thread.turns").is_some_and(|turns| turns.si > 0.0);
    (!carries).then_some("No turn of the thread carries: no torque makes a preload.")
}

/// What the flange, or what lies under it, bears on.
pub(super) fn bearing(side: &SideReport, a: &Assembly, system: System) -> String {
    let what = if a.clamped.is_some() {
        "The part under the head"
    } else {
        "The flange"
    };
    let over = value(side, "seat.unsupported").filter(|u| u.si > 0.0);
    let over = over.map_or(String::new(), |over| {
        format!(
            "; it overhangs its support by {} per side",
            amount(Some(over), system)
        )
    });
    format!(
        "{what} bears {}: {} of the force on the insert{over}.",
        words::bears(closed::stated_bearing(a)),
        share(value(side, "seat.share.insert")),
    )
}

/// The preload with its band, what is lost, and where the torque goes.
fn preload(side: &SideReport, show: &dyn Fn(&str) -> String, item: &mut dyn FnMut(String)) {
    item(format!(
        "Preload {}; between {} and {} with friction, wrench and settling.",
        show("preload.nominal"),
        show("preload.low"),
        show("preload.high")
    ));
    let mut losses = format!(
        "Lost after tightening, at the low end: {} by relaxation",
        show("preload.loss.relaxation")
    );
    if value(side, "preload.loss.embedding").is_some() {
        losses.push_str(&format!(
            ", {} by settling of the surfaces; the larger counts.",
            show("preload.loss.embedding")
        ));
    } else {
        losses.push_str("; settling cannot be told without an engaged turn.");
    }
    item(losses);
    item(format!(
        "Where the torque goes: {} makes preload, {} is thread friction, {} is seat friction; at that friction and preload {} loosens it.",
        show("torque.pitch"),
        show("torque.thread_friction"),
        show("torque.seat"),
        show("torque.loosening")
    ));
}

/// The glue: where it stands, what cuts it down, and what if it lets go.
pub(super) fn glue(
    side: &SideReport,
    a: Option<&Assembly>,
    system: System,
    layout: Layout,
) -> String {
    let mut out = layout.heading("The glue");
    let show = |id: &str| amount(value(side, id), system);
    let mut item = |text: String| out.push_str(&layout.item("", &text));
    item(format!(
        "Layer {} per side, {} on diameter{}.",
        show("bond.gap.side"),
        show("bond.gap.diameter"),
        a.and_then(|a| out_of_band(a, system))
            .map_or_else(String::new, |band| format!("; it {band}"))
    ));
    let factors: Vec<String> = side
        .knock_downs
        .iter()
        .map(|k| {
            format!(
                "{} × {} ({})",
                k.factor,
                k.value.map_or("–".into(), |v| significant(v, 3)),
                k.applies
            )
        })
        .collect();
    item(format!("Strengths are cut by: {}.", factors.join("; ")));
    if value(side, "bond.axial.force").is_some() {
        item(format!(
            "In service it carries {} along the axis (shear {} mean, {} peak); rocking peels it by {}; the cold stresses it by {} across (+ pulls, − presses) and shears it by {} at the ends.",
            show("bond.axial.force"),
            show("bond.axial.mean"),
            show("bond.axial.peak"),
            show("bond.rocking.peel"),
            show("bond.thermal.radial.cold"),
            show("bond.thermal.shear.cold")
        ));
    }
    soft_wall(side, system)
        .into_iter()
        .chain(undoing(side, system))
        .chain(without_glue(side, system))
        .for_each(item);
    out
}

/// What is to be said of a layer that the adhesive is not made for.
pub(super) fn out_of_band(a: &Assembly, system: System) -> Option<String> {
    let end = |l: Option<Length>| l.map_or("–".into(), |l| Unit::Millimetre.show(si(l), system));
    bond::layer_out_of_band(a).then(|| {
        format!(
            "lies outside the adhesive's band ({} to {}): its strengths do not hold there",
            end(a.bond.adhesive.gap_min),
            end(a.bond.adhesive.gap_max)
        )
    })
}

/// What a soft wall does to the verdicts of the glue.
pub(super) fn soft_wall(side: &SideReport, system: System) -> Option<String> {
    if let Some(over) = value(side, "elements.over_simple") {
        return Some(format!(
            "Judged on finite elements: in service and under repeated load they use the glue {} times as much as the simple models; the window of torques goes by them too.",
            amount(Some(over), system)
        ));
    }
    let factor = value(side, "bond.soft_wall_factor").filter(|f| f.si > 1.0)?;
    Some(format!(
        "The wall is soft: verdicts of service and repeated load are taken with the reserve divided by {}{}.",
        amount(Some(factor), system),
        if side.wall_too_soft {
            ", the highest factor there is; it is softer than that factor reaches, so what does not fall short even so is not judged"
        } else {
            ""
        }
    ))
}

/// What undoing is judged at, and where to stop.
pub(super) fn undoing(side: &SideReport, system: System) -> Option<String> {
    let undoing = side.undoing.as_ref()?;
    Some(format!(
        "Undoing: judged at {} ({}); {}.",
        amount(value(side, "bond.removal.torque"), system),
        words::removal_source(undoing.stated),
        words::stop(&undoing.stop, system)
    ))
}

/// What holds if the glue lets go.
fn without_glue(side: &SideReport, system: System) -> Option<String> {
    let lost = side.glue_lost.as_ref()?;
    let pull = Some(lost.lever_out_pull).filter(|pull| pull.si > 0.0);
    let pull = pull.map_or(String::new(), |pull| {
        format!(
            "; the load would then lever with {}",
            amount(Some(pull), system)
        )
    });
    Some(format!("{}{pull}.", lost.text))
}

fn share(value: Option<Amount>) -> String {
    value.map_or_else(
        || "–".into(),
        |a| format!("{} %", significant(a.si * 100.0, 3)),
    )
}

fn checks(side: &SideReport, system: System, layout: Layout) -> String {
    let remarks: String = remarks(side)
        .iter()
        .map(|remark| layout.item("- ", remark))
        .collect();
    let gap = if remarks.is_empty() { "" } else { "\n" };
    format!("{}{gap}{remarks}", check_table(side, system, layout))
}

/// Every check with what it asks for and what it has.
pub(super) fn check_table(side: &SideReport, system: System, layout: Layout) -> String {
    let mut out = layout.heading("Checks: reserve (capacity ÷ demand) against what is required");
    let rows: Vec<Vec<String>> = side
        .checks
        .iter()
        .map(|c| {
            let [demand, capacity] = amounts(c.demand, c.capacity, system);
            let [ratio, need] = against(c.ratio, c.need);
            // A range is no capacity: nothing is left over in it.
            let [demand, capacity, ratio, need] = match c.within {
                Some([torque, low, high]) => {
                    let show = |a| amount(Some(a), system);
                    let range = format!("{} to {}", show(low), show(high));
                    [show(torque), range, "–".into(), "–".into()]
                }
                None => [demand, capacity, ratio, need],
            };
            // What decides nothing must not read as if it did.
            let verdict = if c.informs_only {
                format!("for{BOND}information")
            } else {
                c.verdict.replace(' ', BOND)
            };
            vec![
                format!("{} [{}]", c.title, c.id),
                demand,
                capacity,
                ratio,
                need,
                verdict,
            ]
        })
        .collect();
    out.push_str(&layout.table(
        &[
            "Check", "Demand", "Capacity", "Reserve", "Required", "Verdict",
        ],
        &rows,
        &[1, 2, 3, 4],
    ));
    out
}

/// What is to be said of the checks, alike ones together.
pub(super) fn remarks(side: &SideReport) -> Vec<String> {
    let mut remarks = Vec::<(String, Vec<&str>)>::new();
    for c in &side.checks {
        if let Some((_, case)) = c.load_case.split_once("; ") {
            let text = format!("governed by the load case \"{case}\"");
            match remarks.iter_mut().find(|(t, _)| *t == text) {
                Some((_, ids)) => ids.push(c.id),
                None => remarks.push((text, vec![c.id])),
            }
        }
        for text in c
            .reason
            .iter()
            .map(|r| format!("not judged: {r}"))
            .chain(c.notes.iter().map(|n| (*n).to_string()))
        {
            match remarks.iter_mut().find(|(t, _)| *t == text) {
                Some((_, ids)) => ids.push(c.id),
                None => remarks.push((text, vec![c.id])),
            }
        }
    }
    remarks
        .iter()
        .map(|(text, ids)| format!("{}: {text}.", list(ids)))
        .collect()
}
