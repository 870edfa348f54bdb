//! What the sheet rests on, in few words: figures of every side beside each other, assumed values and sources by kind.

use super::One;
use crate::present::check::{bearing, no_turn, soft_wall, stretch, undoing, value};
use crate::present::report::{Amount, AssumedReport, Report};
use crate::tables::{self, Basis};
use crate::units::display::significant;
use crate::units::{System, Unit, si};

/// A figure of every side.
pub struct Figure {
    pub name: String,
    /// Ids of what is in it, for tests and for those who look further.
    pub ids: String,
    /// One text for each side, or one for all where they are alike.
    pub values: Vec<String>,
}

/// What is shown beside the checks, and the values that it is.
const FIGURES: &[(&str, &[&str])] = &[
    (
        "Preload: low, nominal, high",
        &["preload.low", "preload.nominal", "preload.high"],
    ),
    (
        "Lost at the low end by relaxation, by settling; the larger counts",
        &["preload.loss.relaxation", "preload.loss.embedding"],
    ),
    (
        "Torque into preload, thread friction, seat friction",
        &["torque.pitch", "torque.thread_friction", "torque.seat"],
    ),
    (
        "Loosening torque, at that friction and preload",
        &["torque.loosening"],
    ),
    (
        "Load across the axis, outward",
        &["load.radial", "load.axial"],
    ),
    ("Load about the face", &["load.moment"]),
    (
        "Pull on the thread, were the clamp lost",
        &["lever_out.pull"],
    ),
    (
        "Pressure of the seat under load: mean, peak",
        &["seat.pressure.mean", "seat.pressure.peak"],
    ),
    (
        "Glue layer per side, on diameter",
        &["bond.gap.side", "bond.gap.diameter"],
    ),
    ("The glue carries along the axis", &["bond.axial.force"]),
    (
        "Its shear in service: mean, peak",
        &["bond.axial.mean", "bond.axial.peak"],
    ),
    ("Its peel by rocking", &["bond.rocking.peel"]),
    (
        "The cold: across (+ pulls), shear at the ends",
        &["bond.thermal.radial.cold", "bond.thermal.shear.cold"],
    ),
];

/// The figures of all sides that are not refused.
pub fn figures(sides: &[One<'_>], system: System) -> Vec<Figure> {
    let sides: Vec<&One<'_>> = sides.iter().filter(|s| !s.refused()).collect();
    let row = |name: &str, ids: &[&str], of: &dyn Fn(&One<'_>) -> Vec<Option<Amount>>| {
        let amounts: Vec<Vec<Option<Amount>>> = sides.iter().map(|s| of(s)).collect();
        let unit = amounts.iter().flatten().flatten().next()?.unit;
        let symbol = match unit.in_system(0.0, system).1 {
            "none" => String::new(),
            symbol => format!(", {symbol}"),
        };
        // The name says how many there are: what is not known keeps its place.
        let number = |a: &Option<Amount>| match a {
            Some(a) => significant(a.unit.in_system(a.si, system).0, 4),
            None => "–".into(),
        };
        let mut values: Vec<String> = amounts
            .iter()
            .map(|list| list.iter().map(number).collect::<Vec<_>>().join(" / "))
            .collect();
        if values.iter().all(|v| *v == values[0]) {
            values.truncate(1);
        }
        Some(Figure {
            name: format!("{name}{symbol}"),
            ids: ids.join(" "),
            values,
        })
    };
    let torque = |s: &One<'_>| {
        let t = s.side.assembly.tightening.torque;
        [t.low, t.nominal, t.high]
            .map(|torque| Some(Amount::of(si(torque), Unit::NewtonMetre)))
            .to_vec()
    };
    let mut out = Vec::new();
    out.extend(row("Torque: low, nominal, high", &[], &torque));
    for (name, ids) in FIGURES {
        let found = |s: &One<'_>| ids.iter().map(|id| value(s.report, id)).collect();
        out.extend(row(name, ids, &found));
    }
    out.extend(row("Pull of the load, were the glue gone", &[], &|s| {
        let lost = s.report.glue_lost.as_ref();
        vec![lost.map(|l| l.lever_out_pull).filter(|pull| pull.si > 0.0)]
    }));
    let factors = sides.first().map_or(&[][..], |s| &s.report.knock_downs);
    for (i, factor) in factors.iter().enumerate() {
        let name = format!("Strength × {}: {}", factor.factor, factor.applies);
        out.extend(row(&name, &[], &|s| {
            let value = s.report.knock_downs.get(i).and_then(|k| k.value);
            vec![value.map(|v| Amount::of(v, Unit::None))]
        }));
    }
    out
}

/// What is to be said of a side in words.
fn said(side: &One<'_>, system: System) -> Vec<String> {
    let (r, a) = (side.report, &side.side.assembly);
    if side.refused() {
        return Vec::new();
    }
    [
        stretch(r, a, system),
        no_turn(r).map(str::to_string),
        Some(bearing(r, a, system)),
        soft_wall(r, system),
        undoing(r, system),
        // The pull that goes with it stands among the figures.
        r.glue_lost.as_ref().map(|lost| format!("{}.", lost.text)),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// What is to be said of the sides, with the name of the side where not all of them say it.
pub fn sentences(sides: &[One<'_>], system: System) -> Vec<String> {
    let mut out: Vec<(String, Vec<&str>)> = Vec::new();
    for side in sides {
        for text in said(side, system) {
            match out.iter_mut().find(|(known, _)| *known == text) {
                Some((_, names)) => names.push(side.word()),
                None => out.push((text, vec![side.word()])),
            }
        }
    }
    let named = |(text, names): (String, Vec<&str>)| {
        if names.len() == sides.len() {
            text
        } else {
            format!("{}: {text}", names.join(", "))
        }
    };
    out.into_iter().map(named).collect()
}

/// Entries of one kind: what they have in common, and each with its own words.
pub struct Kind {
    pub what: String,
    pub entries: Vec<Entry>,
}

/// One or several keys with the same words behind them.
pub struct Entry {
    pub keys: String,
    pub words: String,
}

/// Sorts entries (keys, words, kind) by their kind, and puts those with the same words together.
fn by_kind(entries: impl Iterator<Item = (String, String, String)>) -> Vec<Kind> {
    let mut out: Vec<Kind> = Vec::new();
    for (key, words, what) in entries {
        let at = out.iter().position(|k| k.what == what).unwrap_or_else(|| {
            out.push(Kind {
                what,
                entries: Vec::new(),
            });
            out.len() - 1
        });
        let known = &mut out[at].entries;
        match known.iter_mut().find(|e| e.words == words) {
            Some(entry) => entry.keys.push_str(&format!(", {key}")),
            None => known.push(Entry { keys: key, words }),
        }
    }
    out
}

/// A source with its basis behind it, in few words where there are any, and its basis by itself.
fn in_short(provenance: &str) -> (String, Option<&'static str>) {
    let apart = provenance.rsplit_once(" (").and_then(|(text, basis)| {
        let basis = basis.strip_suffix(')')?;
        let word = basis.trim_end_matches(", no source");
        // One heading for all of them, whether or not the source says itself that it has none.
        Basis::from_word(word).map(|basis| (text, basis.label("")))
    });
    let (text, basis) = apart.map_or((provenance, None), |(text, basis)| (text, Some(basis)));
    (
        tables::in_short(provenance).unwrap_or(text).to_string(),
        basis,
    )
}

/// What the job does not say.
pub fn assumed(report: &Report, system: System) -> Vec<Kind> {
    by_kind(report.assumed.iter().map(|a: &AssumedReport| {
        let (why, provenance) = a.source.split_once(": ").unwrap_or(("", &a.source));
        let (words, basis) = in_short(provenance);
        let what = basis.map_or(why.to_string(), |basis| format!("{why}, {basis}"));
        let what = sentence_case(&what);
        (format!("{} = {}", a.key, a.value.show(system)), words, what)
    }))
}

/// Where the rows in use come from.
pub fn sources(report: &Report) -> Vec<Kind> {
    by_kind(report.sources.iter().map(|(key, source)| {
        let (row, provenance) = source.split_once(": ").unwrap_or(("", source));
        let (words, basis) = in_short(provenance);
        let words = if row.is_empty() {
            words
        } else {
            format!("{row}: {words}")
        };
        (key.clone(), words, sentence_case(basis.unwrap_or("other")))
    }))
}

fn sentence_case(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(letters).collect()
}
