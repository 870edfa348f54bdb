//! Elements and simple models side by side.

use super::report::{Amount, Number, Ordered, Paper, PreconditionReport, Report, preconditions};
use super::text::{self, Layout};
use super::words;
use crate::assess::check::{CheckId, Verdict};
use crate::assess::coupled::crosscheck::{Along, Compared, CrossCheck, NoCrossCheck};
use crate::job::Job;
use crate::units::display::{System, significant};
use crate::units::{Pressure, Unit, si};
use serde::Serialize;

/// From which ratio on both models are said to part. Our own choice: what a bench would act on.
pub const PARTED: f64 = 1.25;
/// Below which share of the largest of its sort a figure is too small to speak of. Our own choice.
const SMALL: f64 = 0.3;

/// One figure by both.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct ComparedReport {
    pub id: &'static str,
    pub title: &'static str,
    pub elements: Amount,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub simple: Option<Amount>,
    /// Elements over simple model.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ratio: Option<Number>,
}

/// A check of the glue by both.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct GlueReport {
    pub id: &'static str,
    pub title: &'static str,
    pub need: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub elements: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub simple: Option<Number>,
    /// Why one of them is not there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<&'static str>,
}

/// Stresses at one place: each by elements, by the simple model, in MPa; the place in mm.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct AlongReport {
    pub x: f64,
    pub axial: [f64; 2],
    pub torsion: [f64; 2],
    pub peel: [f64; 2],
    pub rocking_along: [f64; 2],
    pub rocking_around: [f64; 2],
    pub thermal_radial: [f64; 2],
    pub thermal_shear: [f64; 2],
}

/// How far the mesh was taken.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct MeshReport {
    pub settled: bool,
    /// Largest change of a figure from the mesh before, as a share.
    pub change: f64,
    /// Which figure that was.
    pub changed: &'static str,
    pub halvings: u32,
    pub unknowns: usize,
    /// Force on a node out of balance over the whole load.
    pub residual: f64,
    pub end_length: Amount,
}

/// One side.
#[derive(Debug, Clone, Default, Serialize)]
#[allow(missing_docs)]
pub struct ElementsSide {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side: Option<&'static str>,
    pub verdict: &'static str,
    pub preconditions: Vec<PreconditionReport>,
    /// Why there are no elements.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mesh: Option<MeshReport>,
    pub checks: Vec<GlueReport>,
    pub values: Ordered<Amount>,
    pub compared: Vec<ComparedReport>,
    /// Share of each turn: by elements, by the simple model.
    pub turns: Vec<[f64; 2]>,
    pub along: Vec<AlongReport>,
    /// Where both part, and which to believe.
    pub remarks: Vec<String>,
}

/// The whole report.
pub type ElementsReport = Paper<ElementsSide>;

/// Of each side: its verdict by the simple models, and its comparison or why there is none; nothing where a
/// precondition forbids any figure.
pub type Found = (Verdict, Option<Result<CrossCheck, NoCrossCheck>>);

/// The report of a job from that of its checks and the comparisons in the order of its sides.
pub fn report(of_checks: Report, job: &Job, found: &[Found]) -> ElementsReport {
    let several = job.sides.len() > 1;
    let sides: Vec<(Verdict, ElementsSide)> = (job.sides.iter().zip(found))
        .map(|(side, of_side)| {
            let (verdict, found) = (verdict(of_side), &of_side.1);
            let mut out = ElementsSide {
                side: several.then(|| words::side_word(side.name)),
                verdict: verdict.word(),
                preconditions: preconditions(&side.assembly.condition),
                ..ElementsSide::default()
            };
            match found {
                Some(Ok(cross)) => fill(&mut out, cross),
                Some(Err(e)) => out.reason = Some(words::no_cross_check(e)),
                None => {}
            }
            (verdict, out)
        })
        .collect();
    let mut overall = Verdict::Meets;
    for (verdict, _) in &sides {
        overall = overall.worse(*verdict);
    }
    let sides: Vec<ElementsSide> = sides.into_iter().map(|s| s.1).collect();
    let worst = sides
        .iter()
        .find(|s| s.verdict == overall.word())
        .or(sides.first())
        .cloned();
    let uses = found
        .iter()
        .filter_map(|(_, cross)| over(cross.as_ref()?.as_ref().ok()?));
    let mut out = of_checks.around(worst.unwrap_or_default(), sides, overall);
    // What elements found takes the place of what is known of such walls in general.
    if let Some(over) = uses.reduce(f64::max) {
        for caution in out.cautions.iter_mut().filter(|c| c.id == "soft-wall") {
            caution.text = words::soft_wall_by_elements(over).into();
        }
    }
    out
}

/// Use of the glue by elements over the simple model's, the worst of service and repeated load.
fn over(cross: &CrossCheck) -> Option<f64> {
    let rocking = [
        CheckId::BondServiceCold,
        CheckId::BondServiceHot,
        CheckId::BondEndurance,
    ];
    let of = cross.checks.iter().filter(|c| rocking.contains(&c.id));
    of.map(|c| c.simple.ratio / c.elements.ratio)
        .filter(|r| r.is_finite())
        .reduce(f64::max)
}

/// The verdict of a side: that of the simple models, or worse by the elements.
pub fn verdict((simple, found): &Found) -> Verdict {
    simple.worse(judged(found.as_ref()))
}

/// What the glue comes to on elements.
fn judged(found: Option<&Result<CrossCheck, NoCrossCheck>>) -> Verdict {
    match found {
        None => Verdict::Meets,
        Some(Err(_)) => Verdict::NotJudged,
        Some(Ok(cross)) => {
            let short = |c: &&crate::assess::coupled::crosscheck::GlueCheck| {
                c.elements.reason.is_none() && c.elements.ratio < c.need
            };
            if cross.checks.iter().any(|c| short(&c)) {
                Verdict::FallsShort
            } else {
                Verdict::Meets
            }
        }
    }
}

fn fill(out: &mut ElementsSide, cross: &CrossCheck) {
    let e = &cross.elements;
    out.mesh = Some(MeshReport {
        settled: e.settled,
        change: e.change.value,
        changed: words::quoted(e.changed),
        halvings: e.halvings,
        unknowns: e.unknowns,
        residual: e.residual.value,
        end_length: Amount::of(si(e.end_length), Unit::Millimetre),
    });
    out.checks = (cross.checks.iter())
        .map(|c| {
            let of = |raw: &crate::assess::Raw| {
                (raw.reason.is_none() && !raw.ratio.is_nan()).then_some(Number(raw.ratio))
            };
            GlueReport {
                id: c.id.id(),
                title: c.id.title(),
                need: c.need,
                elements: of(&c.elements),
                simple: of(&c.simple),
                reason: c.elements.reason.or(c.simple.reason).map(words::reason),
            }
        })
        .collect();
    let known = |c: &&Compared| c.elements.is_finite();
    out.values = Ordered(
        (cross.compared.iter().filter(known))
            .map(|c| (c.id, Amount::of(c.elements, c.unit)))
            .collect(),
    );
    out.compared = (cross.compared.iter().filter(known))
        .map(|c| ComparedReport {
            id: c.id,
            title: c.title,
            elements: Amount::of(c.elements, c.unit),
            simple: c.simple.map(|s| Amount::of(s, c.unit)),
            ratio: c.ratio().map(Number),
        })
        .collect();
    out.turns = cross.turns.iter().map(|t| t.map(|s| s.value)).collect();
    out.along = cross.along.iter().map(along).collect();
    out.remarks = remarks(cross);
}

fn along(a: &Along) -> AlongReport {
    let mpa = |pair: [Pressure; 2]| pair.map(|p| Unit::Megapascal.of(si(p)));
    AlongReport {
        x: Unit::Millimetre.of(si(a.x)),
        axial: mpa(a.axial),
        torsion: mpa(a.torsion),
        peel: mpa(a.peel),
        rocking_along: mpa(a.rock_axial),
        rocking_around: mpa(a.rock_hoop),
        thermal_radial: mpa(a.thermal_across),
        thermal_shear: mpa(a.thermal_shear),
    }
}

/// Where both part by more than a quarter: for each sort of stress one sentence where the elements have more and one
/// where they have less, with the figure that parts most.
fn remarks(cross: &CrossCheck) -> Vec<String> {
    let mut out = Vec::new();
    for family in words::FAMILIES {
        let members = || cross.compared.iter().filter(|c| c.id.starts_with(family));
        // Across the glue in the cold only what pulls does harm.
        let counted = |c: &Compared| {
            let pull = c.id.starts_with("elements.thermal.radial");
            let of = |v: f64| if pull { v.max(0.0) } else { v.abs() };
            Some((of(c.elements), of(c.simple?)))
        };
        let size = |c: &Compared| counted(c).map_or(0.0, |(a, b)| a.max(b));
        // What is small beside the others of its sort parts easily, and harms nobody.
        let most = members().map(size).fold(0.0, f64::max);
        for above in [true, false] {
            let apart = |c: &Compared| {
                let (elements, simple) = counted(c)?;
                let by = if above {
                    elements / simple
                } else {
                    simple / elements
                };
                (size(c) >= SMALL * most && by > PARTED).then_some(by)
            };
            let parted = members()
                .filter_map(|c| Some((apart(c)?, c)))
                .max_by(|a, b| a.0.total_cmp(&b.0));
            if let Some((_, c)) = parted {
                let times = match c.ratio().filter(|r| *r > 0.0) {
                    Some(ratio) => format!("{} times the simple model's", significant(ratio, 2)),
                    None => "of the other sign than the simple model's".to_string(),
                };
                out.push(format!(
                    "{}: {times}. {}",
                    c.title,
                    words::parted(family, above)
                ));
            }
        }
    }
    if out.is_empty() {
        out.push("Both agree within a quarter in everything that counts.".to_string());
    }
    out
}

/// The report as text.
pub fn text(report: &ElementsReport, system: System, layout: Layout) -> String {
    let mut out = text::opening_of(report.command, &report.job, layout);
    for side in report.printed_sides() {
        if let Some(name) = side.side {
            out.push_str(&layout.heading(&format!("Side: {name}")));
        }
        out.push_str(&text::precondition_list(&side.preconditions, layout));
        out.push('\n');
        out.push_str(&layout.paragraph(&format!("Verdict: {}.", side.verdict)));
        if let Some(reason) = &side.reason {
            out.push_str(&layout.paragraph(&format!("No elements: {reason}.")));
        }
        if let Some(mesh) = &side.mesh {
            out.push_str(&one(side, mesh, system, layout));
        }
    }
    out.push_str(&text::tail(report, system, layout));
    out
}

fn one(side: &ElementsSide, mesh: &MeshReport, system: System, layout: Layout) -> String {
    let show = |a: &Amount| a.unit.show_to(a.si, system, 3);
    let mut out = layout.heading("Glue by both models: capacity ÷ demand");
    let rows: Vec<Vec<String>> = (side.checks.iter())
        .map(|c| {
            let [elements, simple] = text::two_ratios(c.elements, c.simple);
            let word = match (c.elements, c.reason) {
                (Some(n), _) if n.0 < c.need => "falls short",
                (Some(_), _) => "",
                (None, _) => "not judged",
            };
            vec![
                format!("{} [{}]", c.title, c.id),
                significant(c.need, 2),
                elements,
                simple,
                word.to_string(),
            ]
        })
        .collect();
    out.push_str(&layout.table(
        &["check", "required", "elements", "simple", "by elements"],
        &rows,
        &[1, 2, 3],
    ));
    out.push_str(&layout.heading("Figures by both models"));
    let rows: Vec<Vec<String>> = (side.compared.iter())
        .map(|c| {
            vec![
                format!("{} [{}]", c.title, c.id),
                show(&c.elements),
                c.simple.as_ref().map_or("–".into(), show),
                c.ratio.map_or("–".into(), |r| significant(r.0, 2)),
            ]
        })
        .collect();
    out.push_str(&layout.table(
        &["figure", "elements", "simple", "times"],
        &rows,
        &[1, 2, 3],
    ));
    out.push_str(&layout.heading("Where they part by more than a quarter, and which to believe"));
    for remark in &side.remarks {
        out.push_str(&layout.item("", remark));
    }
    out.push_str(&layout.heading("Load of the turns, from the face on"));
    let rows: Vec<Vec<String>> = (side.turns.iter().enumerate())
        .take(MOST_TURNS)
        .map(|(k, t)| {
            let share = |s: f64| format!("{} %", significant(100.0 * s, 3));
            vec![(k + 1).to_string(), share(t[0]), share(t[1])]
        })
        .collect();
    out.push_str(&layout.table(&["turn", "elements", "simple"], &rows, &[0, 1, 2]));
    out.push_str(&layout.heading("Along the glue, elements / simple"));
    let unit = Unit::Megapascal.in_system(0.0, system).1;
    let figure = |mpa: f64| significant(Unit::Megapascal.in_system(mpa * 1e6, system).0, 2);
    let pair = |p: [f64; 2]| format!("{} / {}", figure(p[0]), figure(p[1]));
    let count = side.along.len();
    let rows: Vec<Vec<String>> = (side.along.iter().enumerate())
        .filter(|(k, _)| k % 6 == 0 || k + 1 == count)
        .map(|(_, a)| {
            vec![
                Unit::Millimetre.show_to(a.x * 1e-3, system, 3),
                pair(a.axial),
                pair(a.torsion),
                pair(a.peel),
                pair(a.thermal_radial),
            ]
        })
        .collect();
    let of = |what: &str| format!("{what}, {unit}");
    let header = [
        "from the face".to_string(),
        of("axial"),
        of("torsion"),
        of("peel"),
        of("cold"),
    ];
    let header: Vec<&str> = header.iter().map(String::as_str).collect();
    out.push_str(&layout.table(&header, &rows, &[0, 1, 2, 3, 4]));
    out.push_str(&layout.heading("The mesh"));
    out.push_str(&layout.paragraph(&format!(
        "{} Halved {} times, {} unknowns; the largest change from the mesh before is {} % ({}); forces balance to {} of the load. \
Nearer to an end of the glue than {} theory has no bound for its stress: there the mean over that length counts. \
Axial shear and peel are those of service at preload high, torsion that of tightening, the cold that of the coldest.",
        if mesh.settled { "Settled." } else { "Not settled within the time allowed: take the last digits with care." },
        mesh.halvings,
        mesh.unknowns,
        significant(100.0 * mesh.change, 2),
        mesh.changed,
        format_args!("{:.0e}", mesh.residual),
        show(&mesh.end_length),
    )));
    out
}

/// Turns that the text lists; JSON has all. Our own choice: the rest carry little.
const MOST_TURNS: usize = 12;
