//! One result explained: the relation, the numbers put in, the source, the limits.

use super::text::{self, Layout};
use super::words;
use crate::assess::check::{Check, CheckId};
use crate::assess::values::{Origin, Value};
use crate::assess::{Assessment, values};
use crate::job::Side;
use crate::mechanics::formula::greek;
use crate::units::display::{System, significant};
use serde::Serialize;

/// A symbol with the number put in.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct Put {
    pub symbol: String,
    pub value: super::report::Amount,
}

/// An explanation, ready for text or JSON.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct Explanation {
    pub id: String,
    pub title: String,
    pub relation: String,
    pub put_in: Vec<Put>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub result: Option<super::report::Amount>,
    pub source: String,
    pub limits: String,
}

/// Explains a value.
pub fn of_value(value: &Value, side: &Side, assessment: &Assessment) -> Explanation {
    let result = (value.get)(&side.assembly, assessment).filter(|v| !v.is_nan());
    let amount = |si: f64, unit| super::report::Amount { si, unit };
    let mut out = Explanation {
        id: value.id.into(),
        title: value.title.into(),
        relation: String::new(),
        put_in: Vec::new(),
        result: result.map(|v| amount(v, value.unit)),
        source: String::new(),
        limits: String::new(),
    };
    match (result, (value.explain)(&side.assembly, assessment)) {
        (Some(_), Some(Origin::Formula(formula, arguments))) => {
            if formula.title != value.title {
                out.title = format!("{}: {}", value.title, lower(formula.title));
            }
            out.relation = formula.readable();
            out.put_in = formula
                .symbols
                .iter()
                .zip(&arguments)
                .map(|(s, v)| Put {
                    symbol: greek(s.name).into(),
                    value: amount(*v, s.unit),
                })
                .collect();
            out.source = formula.source.into();
            out.limits = formula.limits.into();
        }
        (Some(_), Some(Origin::Solved(method, inputs, _))) => {
            out.relation = method.equations.into();
            out.put_in = inputs
                .iter()
                .map(|p| Put {
                    symbol: greek(p.symbol).into(),
                    value: amount(p.si, p.unit),
                })
                .collect();
            out.source = method.source.into();
            out.limits = method.limits.into();
        }
        (Some(_), Some(Origin::Stated(key))) => {
            out.relation = format!("follows at once from `{key}`");
            out.source = side
                .ledger
                .sources
                .get(key)
                .cloned()
                .unwrap_or_else(|| "the job file".into());
            out.limits = "as good as the reading".into();
        }
        _ => {
            out.relation = "no value in this job: nothing that it needs is entered".into();
            out.source = "–".into();
            out.limits = "–".into();
        }
    }
    out
}

fn lower(text: &str) -> String {
    let mut chars = text.chars();
    chars
        .next()
        .map_or_else(String::new, |c| c.to_lowercase().chain(chars).collect())
}

/// The values that a check's demand and capacity come from.
pub fn behind(id: CheckId) -> &'static [&'static str] {
    match id {
        CheckId::StripExternal => &["strip.external.capacity", "preload.high"],
        CheckId::StripInternal => &["strip.internal.capacity", "preload.high"],
        CheckId::Hoop => &["hoop.capacity", "preload.high"],
        CheckId::Neck => &["neck.stress.axial", "neck.stress.shear"],
        CheckId::Flange => &["flange.stress"],
        CheckId::SeatCrush => &["preload.high", "seat.area"],
        CheckId::SeatOpen => &["load.moment", "preload.low"],
        CheckId::SeatSlip => &["load.radial", "preload.low"],
        CheckId::TorqueMaker => &[],
        CheckId::Galvanic => &["galvanic.index_difference"],
        CheckId::Engagement => &[
            "thread.engaged_effective",
            "strip.external.capacity",
            "strip.internal.capacity",
            "hoop.capacity",
        ],
        CheckId::FramePullThrough => &["frame.pull_through.demand", "frame.pull_through.capacity"],
        CheckId::FrameEdge => &["load.radial", "frame.edge.capacity"],
        CheckId::BondTightening => &["preload.high", "bond.area"],
        CheckId::BondRemoval => &["torque.loosening", "bond.area"],
        _ => &["load.moment", "load.radial", "bond.area"],
    }
}

/// The explanation of a result or a check as text.
pub fn text(
    id: &str,
    side: &Side,
    assessment: &Assessment,
    system: System,
    layout: Layout,
) -> Option<String> {
    if let Some(value) = values::find(id) {
        return Some(one(&of_value(value, side, assessment), system, layout));
    }
    let check_id = CheckId::from_id(id)?;
    let mut out = layout.heading(&format!("{} [{}]", check_id.title(), check_id.id()));
    match &assessment.checks[check_id.index()] {
        Some(check) => out.push_str(&check_text(check, system, layout)),
        None => out.push_str(&layout.paragraph("Does not apply to this job.")),
    }
    for id in behind(check_id) {
        if let Some(value) = values::find(id) {
            out.push_str(&one(&of_value(value, side, assessment), system, layout));
        }
    }
    Some(out)
}

fn check_text(check: &Check, system: System, layout: Layout) -> String {
    let unit = check.id.unit();
    let show = |v: f64| {
        if v.is_nan() {
            "–".to_string()
        } else {
            unit.show(v, system)
        }
    };
    let mut out = layout.item(
        "",
        "reserve = capacity ÷ demand; margin = reserve ÷ required − 1",
    );
    out.push_str(&layout.item(
        "",
        &format!(
            "demand {}, capacity {}, required {}",
            show(check.demand),
            show(check.capacity),
            significant(check.need, 3)
        ),
    ));
    let ratio = (!check.ratio.is_nan()).then_some(super::report::Number(check.ratio));
    out.push_str(&layout.item(
        "",
        &format!(
            "reserve {}, margin {}, verdict: {}",
            text::ratio(ratio),
            if check.margin().is_finite() {
                significant(check.margin(), 2)
            } else {
                "–".into()
            },
            check.verdict.word()
        ),
    ));
    out.push_str(&layout.item("", &format!("state: {}", check.id.state())));
    if let Some(reason) = check.reason {
        out.push_str(&layout.item("", &format!("not judged: {}", words::reason(reason))));
    }
    for note in crate::assess::check::Note::ALL
        .iter()
        .filter(|n| check.notes.has(**n))
    {
        out.push_str(&layout.item("", words::note(*note)));
    }
    out
}

fn one(e: &Explanation, system: System, layout: Layout) -> String {
    let mut out = layout.heading(&format!("{} [{}]", e.title, e.id));
    for line in e.relation.lines() {
        out.push_str(&layout.item("", line));
    }
    for put in &e.put_in {
        out.push_str(&layout.item(
            "  ",
            &format!(
                "{} = {}",
                put.symbol,
                put.value.unit.show(put.value.si, system)
            ),
        ));
    }
    if let Some(result) = e.result {
        out.push_str(&layout.item("", &format!("= {}", result.unit.show(result.si, system))));
    }
    out.push_str(&layout.item("", &format!("source: {}", e.source)));
    out.push_str(&layout.item("", &format!("limits: {}", e.limits)));
    out
}
