//! The study on the sheet: what it says, how its samples spread, what decides.

use super::draw::{self, Bar, Pen, Spread};
use super::{Drawing, LAYOUT};
use crate::assess::check::{CheckId, Sort};
use crate::assess::scatter::PRELOADS;
use crate::present::scatter::{self, Context, ScatterReport, ScatterSide};
use crate::present::text::listed;
use crate::units::display::significant;

/// The study.
pub struct Chance {
    pub text: String,
    pub drawings: Vec<Drawing>,
    pub below: String,
}

/// Ratios whose spread is drawn: of one side, and of each of two, so that both stand on one page.
const DRAWN: usize = 6;
const DRAWN_OF_TWO: usize = 2;
/// An entry is shown where it decides at least so much; common practice, no source.
const SHOWN_FROM: f64 = 0.005;
/// How many entries are shown.
const SHOWN: usize = 5;

/// The study: what it says, what it looks like, what decides.
pub fn of(report: &ScatterReport, context: &Context<'_>) -> Chance {
    let study = &report.worst;
    let several = report.sides.len() > 1;
    let mut text = String::new();
    let (mut drawings, mut rest) = (Vec::new(), Vec::new());
    let sides: Vec<&ScatterSide> = scatter::report_sides(report).collect();
    let pen = |i: usize| Pen {
        side: i + 1,
        system: context.system,
    };
    for (i, side) in sides.iter().enumerate() {
        text.push_str(&LAYOUT.paragraph(&scatter::headline(side, study, several)));
        let mut found = spreads(pen(i), side, several);
        found.retain(|d| !d.svg.is_empty());
        // Every side begins a row of three.
        rest.extend(found.split_off(found.len().min(3)));
        drawings.append(&mut found);
    }
    drawings.append(&mut rest);
    drawings.extend(shares(pen(0), report, context));
    let below = match sides[..] {
        [side] => scatter::checks(side, LAYOUT),
        _ => scatter::checks_side_by_side(&sides, LAYOUT),
    };
    if let Some(bad) = scatter::bad(study) {
        text.push_str(&LAYOUT.paragraph(&bad));
    }
    text.push_str(&LAYOUT.paragraph(&scatter::decides(report, context)));
    Chance {
        text,
        drawings,
        below: listed(&below),
    }
}

/// How lowest margin, preload and the lowest ratios spread.
fn spreads(pen: Pen, side: &ScatterSide, several: bool) -> Vec<Drawing> {
    let of_side = match several {
        true => format!(", {} side", side.side),
        false => String::new(),
    };
    let margins: Vec<Bar> = side
        .histogram
        .iter()
        .map(|b| (100.0 * b.from, 100.0 * b.to, b.samples))
        .collect();
    let lowest = Spread {
        name: "lowest",
        title: "Lowest margin, all samples",
        scale: "margin above what is required, %",
        bars: &margins,
        other: None,
        mark: Some((0.0, "0: as required")),
    };
    let mut out = vec![Drawing {
        svg: draw::spread(pen, &lowest),
        caption: format!("Lowest margin{of_side}"),
    }];
    let [low, high] = PRELOADS.map(|id| side.spreads.get(id));
    if let (Some(low), Some(high)) = (low, high) {
        let (full, drawn) = (high.bars(), low.bars());
        let preload = Spread {
            name: "preload",
            title: "Preload, all samples",
            scale: &format!("preload, {}", high.unit),
            bars: &full,
            other: Some((&drawn, ["as tightened", "after what settles and creeps"])),
            mark: None,
        };
        out.push(Drawing {
            svg: draw::spread(pen, &preload),
            caption: format!("Preload{of_side}"),
        });
    }
    let count = if several { DRAWN_OF_TWO } else { DRAWN };
    for (check, need, bars) in lowest_ratios(side).into_iter().take(count) {
        let need_shown = significant(need, 3);
        let ratio = Spread {
            name: check.id(),
            title: check.title(),
            scale: "reserve (capacity ÷ demand)",
            bars: &bars,
            other: None,
            mark: Some((need, &format!("required {need_shown}"))),
        };
        out.push(Drawing {
            svg: draw::spread(pen, &ratio),
            caption: format!("{}, {need_shown} required{of_side}", check.title()),
        });
    }
    out
}

/// The strength checks whose reserve is the smallest beside what is required, where it varies; the smallest first.
fn lowest_ratios(side: &ScatterSide) -> Vec<(CheckId, f64, Vec<Bar>)> {
    let mut found: Vec<(f64, CheckId, f64, Vec<Bar>)> = side
        .ratios
        .0
        .iter()
        .filter_map(|(id, band)| {
            let check = CheckId::from_id(id).filter(|c| c.sort() == Sort::Strength)?;
            let decides = !side.informs_only.contains(id) && band.median.0.is_finite();
            let (need, spread) = (*side.need.get(id)?, side.spreads.get(id)?);
            decides.then(|| (band.median.0 / need, check, need, spread.bars()))
        })
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let bare = found.into_iter();
    bare.map(|(_, check, need, bars)| (check, need, bars))
        .collect()
}

/// What decides.
fn shares(pen: Pen, report: &ScatterReport, context: &Context<'_>) -> Option<Drawing> {
    let rows: Vec<(String, f64)> = report
        .worst
        .contributors
        .iter()
        .filter(|c| c.total >= SHOWN_FROM)
        .take(SHOWN)
        .map(|c| (scatter::named(&c.input, context), c.total))
        .collect();
    (!rows.is_empty()).then(|| Drawing {
        svg: draw::shares(pen, &rows),
        caption: "What decides the lowest margin: share of its spread".into(),
    })
}
