//! What the work before gluing needs beside the rest: bore readings, centring, mixing, rules of the trade.
//!
//! The rules are rows of the table of defaults (`bench.*`), each with its source; a result that uses one
//! names it. They stay out of the job's ledger, which lists what the checks rest on.

use super::assembly::{Adhesive, Material};
use super::ledger::{Assumed, Fact, Why};
use super::read::Reader;
use super::resolve::{default, no_adhesive, read_adhesive};
use crate::document::segment;
use crate::tables;
use crate::units::parse::Kind;
use crate::units::*;

/// How an adhesive is mixed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Mix {
    /// Nothing to mix.
    OnePart,
    /// First to second part by mass.
    ByMass(Ratio, Ratio),
    /// First to second part by volume.
    ByVolume(Ratio, Ratio),
}

/// One reading of the bore.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoreReading {
    /// Clock position, where it was noted.
    pub at: Option<Angle>,
    /// How deep, where it was noted.
    pub depth: Option<Length>,
    /// The diameter there.
    pub bore: Length,
}

/// Rules of the trade that the bench works by.
#[derive(Debug, Clone, Copy, PartialEq)]
#[allow(missing_docs)]
pub struct Rules {
    pub gap_over_error: Ratio,
    pub ply: Length,
    pub waste_low: Ratio,
    pub waste_high: Ratio,
    pub scale: Mass,
    pub mix_tolerance: Ratio,
    pub cure_handling: Time,
    pub cure_full: Time,
    pub cure_halving_kelvin: Ratio,
    pub cure_coldest: ThermodynamicTemperature,
    pub ramp_low_kelvin_per_minute: Ratio,
    pub ramp_high_kelvin_per_minute: Ratio,
    pub proof_over_demand: Ratio,
    pub proof_share_of_good: Ratio,
    pub proof_over_weak: Ratio,
    pub proof_hold: Time,
    pub coupon_overlap: Length,
    pub coupon_width: Length,
    pub coupon_reject: Ratio,
}

/// What the work before gluing needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Bench {
    /// Bore readings.
    pub readings: Vec<BoreReading>,
    /// The job gives a bore, or readings of it, measured before any ply goes in.
    pub bore_known: bool,
    /// Thickness of the barrier ply; 0 without one.
    pub ply: Length,
    /// How far the insert may sit off the centre, where the job says so.
    pub eccentricity: Option<Length>,
    /// Size of spacer beads, where there are any.
    pub beads: Option<Length>,
    /// Limit of error of the instrument that read the bore.
    pub instrument_error: Length,
    /// The weakest adhesive row.
    pub weakest: Adhesive,
    /// The factor of a preparation that nobody knows.
    pub weakest_preparation: Ratio,
    /// Rules of the trade.
    pub rules: Rules,
}

/// Preparation of one surface.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Surface {
    /// `insert` or `frame`.
    pub part: &'static str,
    /// Name of its material.
    pub material: String,
    /// What this kind of surface asks for.
    pub steps: Vec<String>,
    /// When to start again.
    pub fail: String,
    /// Where that comes from.
    pub source: String,
}

/// What the bench needs in words, taken from the tables.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Words {
    /// Name of the preparation row.
    pub preparation: String,
    /// Its steps.
    pub steps: Vec<String>,
    /// When to start again.
    pub fail: String,
    /// Name of the adhesive row.
    pub adhesive: String,
    /// Its note.
    pub adhesive_note: String,
    /// Surface by surface.
    pub surfaces: Vec<Surface>,
    /// Rules in use, each with its source.
    pub rules: Vec<Assumed>,
}

/// Reads a mixing ratio from an adhesive's row; nothing where it is written in some other way.
pub(super) fn read_mix(row: &mut Reader<'_>) -> Option<Mix> {
    parse_mix(&row.text("mix_ratio")?)
}

/// Reads `2:1 by mass`, `10:1 by volume`, `one part`.
pub fn parse_mix(text: &str) -> Option<Mix> {
    let words: Vec<&str> = text.split_whitespace().collect();
    if words.join(" ").replace('-', " ") == "one part" {
        return Some(Mix::OnePart);
    }
    let [ratio, "by", how] = words.as_slice() else {
        return None;
    };
    let (first, second) = ratio.split_once(':')?;
    let part = |text: &str| -> Option<Ratio> {
        let value: f64 = text.replace(',', ".").parse().ok()?;
        (value > 0.0 && value.is_finite()).then_some(number(value))
    };
    let (first, second) = (part(first)?, part(second)?);
    match *how {
        "mass" | "weight" => Some(Mix::ByMass(first, second)),
        "volume" => Some(Mix::ByVolume(first, second)),
        _ => None,
    }
}

/// Mean of the bore readings, without a complaint about any of them.
pub(super) fn mean_bore(r: &mut Reader<'_>) -> Option<Length> {
    let found = r.found.len();
    let readings = read_readings(r);
    r.found.truncate(found);
    mean(&readings)
}

/// Mean of the readings.
pub fn mean(readings: &[BoreReading]) -> Option<Length> {
    let sum: f64 = readings.iter().map(|b| si(b.bore)).sum();
    (!readings.is_empty()).then(|| from_si(sum / readings.len() as f64))
}

fn read_readings(r: &mut Reader<'_>) -> Vec<BoreReading> {
    let mut readings = Vec::new();
    for element in r.elements("bond.reading") {
        let chain = [format!("{element}.")];
        let reading = r.with_prefixes(&chain, |r| {
            let at = if r.has("at") { r.clock("at") } else { None };
            let depth = r
                .quantity::<Length>("depth", Kind::Length)
                .map(|s| s.nominal);
            if let Some(depth) = depth {
                r.not_negative("depth", depth);
            }
            let bore = r
                .needed::<Length>("bore", Kind::Length, "diameter there")
                .nominal;
            r.positive("bore", bore);
            BoreReading { at, depth, bore }
        });
        readings.push(reading);
    }
    readings
}

/// Reads a rule and notes it.
fn rule(words: &mut Words, name: &str, kind: Kind) -> f64 {
    let (value, source) = default(name, kind);
    words.rules.push(Assumed {
        key: name.to_string(),
        value: Fact::Quantity(value, kind.unit()),
        why: Why::Default,
        source,
    });
    value
}

fn rules(words: &mut Words) -> Rules {
    let mut number_of = |name: &str| rule(words, &format!("bench.{name}"), Kind::Number);
    let (gap, waste_low, waste_high) = (
        number_of("gap_over_error"),
        number_of("waste_low"),
        number_of("waste_high"),
    );
    let grams = Mass::new::<uom::si::mass::gram>;
    let hours = Time::new::<uom::si::time::hour>;
    let rules = Rules {
        gap_over_error: number(gap),
        ply: mm(0.0),
        waste_low: number(waste_low),
        waste_high: number(waste_high),
        scale: grams(number_of("scale_g")),
        mix_tolerance: number(number_of("mix_tolerance")),
        cure_handling: hours(number_of("cure_handling_h")),
        cure_full: hours(number_of("cure_full_h")),
        cure_halving_kelvin: number(number_of("cure_halving_K")),
        ramp_low_kelvin_per_minute: number(number_of("ramp_low_K_per_min")),
        ramp_high_kelvin_per_minute: number(number_of("ramp_high_K_per_min")),
        proof_over_demand: number(number_of("proof_over_demand")),
        proof_share_of_good: number(number_of("proof_share_of_good")),
        proof_over_weak: number(number_of("proof_over_weak")),
        proof_hold: Time::new::<uom::si::time::minute>(number_of("proof_hold_min")),
        coupon_reject: number(number_of("coupon_reject")),
        coupon_overlap: mm(0.0),
        coupon_width: mm(0.0),
        cure_coldest: celsius(20.0),
    };
    let coldest = rule(words, "bench.cure_coldest", Kind::Temperature);
    let mut length_of =
        |name: &str| -> Length { from_si(rule(words, &format!("bench.{name}"), Kind::Length)) };
    Rules {
        cure_coldest: from_si(coldest),
        ply: length_of("ply"),
        coupon_overlap: length_of("coupon_overlap"),
        coupon_width: length_of("coupon_width"),
        ..rules
    }
}

/// The instrument that reads the bore: one so named, else the built-in caliper.
const BORE_INSTRUMENTS: [&str; 3] = ["bore", "bore-gauge", "caliper"];

fn instrument(r: &mut Reader<'_>, words: &mut Words) -> Length {
    for name in BORE_INSTRUMENTS {
        let path = format!("instrument.{name}.error");
        if let Some(error) = r.quantity::<Length>(&path, Kind::Length) {
            r.positive(&path, error.nominal);
            return error.nominal;
        }
    }
    from_si(rule(words, "instrument.caliper.inside", Kind::Length))
}

fn weakest(words: &mut Words) -> (Adhesive, Ratio) {
    let mut adhesive = no_adhesive(true);
    if let Some(row) = tables::ADHESIVES.row("adhesive", "unknown") {
        read_adhesive(
            &mut Reader::new(row.document, &[row.prefix()]),
            &mut adhesive,
        );
    }
    let mut preparation = number(f64::NAN);
    if let Some(row) = tables::PREPARATIONS.row("preparation", "unknown") {
        preparation = Reader::new(row.document, &[row.prefix()])
            .quantity::<Ratio>("factor", Kind::Number)
            .map_or(preparation, |s| s.nominal);
        words.rules.push(Assumed {
            key: "weakest bond".into(),
            value: Fact::from("adhesive and preparation \"unknown\""),
            why: Why::Default,
            source: row.provenance(),
        });
    }
    (adhesive, preparation)
}

/// What one kind of surface asks for.
fn surface(r: &Reader<'_>, part: &'static str, path: &str, material: &Material) -> Option<Surface> {
    let name = r.text_quiet(path).unwrap_or_default();
    let table = tables::MATERIALS
        .row("material", &name)
        .map_or(name.as_str(), |row| row.name)
        .to_string();
    let kind = if material.laminate {
        "laminate"
    } else {
        "metal"
    };
    let row = tables::PREPARATIONS
        .rows()
        .into_iter()
        .filter(|row| row.group == "surface")
        .find(|row| row.list("materials").contains(&table.as_str()))
        .or_else(|| tables::PREPARATIONS.row("surface", kind))?;
    Some(Surface {
        part,
        material: name,
        steps: row.list("steps").iter().map(|s| (*s).to_string()).collect(),
        fail: row.text("fail_criterion").unwrap_or_default().to_string(),
        source: row.provenance(),
    })
}

/// Reads what the bench needs.
pub(super) fn read(r: &mut Reader<'_>, insert: &Material, frame: &Material) -> (Bench, Words) {
    let mut words = Words {
        preparation: r
            .text_quiet("bond.preparation")
            .unwrap_or_else(|| "unknown".into()),
        adhesive: r.text_quiet("bond.adhesive").unwrap_or_default(),
        ..Words::default()
    };
    let own = |group: &str, name: &str| {
        let own = format!("{group}.{}.", segment(name));
        !r.document.below(&own).is_empty()
    };
    if let (Some(row), false) = (
        tables::PREPARATIONS.row("preparation", &words.preparation),
        own("preparation", &words.preparation),
    ) {
        words.steps = row.list("steps").iter().map(|s| (*s).to_string()).collect();
        words.fail = row.text("fail_criterion").unwrap_or_default().to_string();
    }
    if let (Some(row), false) = (
        tables::ADHESIVES.row("adhesive", &words.adhesive),
        own("adhesive", &words.adhesive),
    ) {
        words.adhesive_note = row.text("note").unwrap_or_default().to_string();
    }
    words
        .surfaces
        .extend(surface(r, "insert", "insert.material", insert));
    words
        .surfaces
        .extend(surface(r, "frame", "frame.material", frame));
    let readings = read_readings(r);
    let bore_known = !readings.is_empty() || r.has("bond.bore");
    let length = |r: &mut Reader<'_>, path: &str| -> Option<Length> {
        Some(r.quantity::<Length>(path, Kind::Length)?.nominal)
    };
    let ply = length(r, "bond.ply")
        .unwrap_or_else(|| from_si(rule(&mut words, "bond.ply", Kind::Length)));
    let eccentricity = length(r, "bond.eccentricity");
    let beads = length(r, "bond.beads");
    let rules = rules(&mut words);
    let instrument_error = instrument(r, &mut words);
    let (weakest, weakest_preparation) = weakest(&mut words);
    let bench = Bench {
        readings,
        bore_known,
        ply,
        eccentricity,
        beads,
        instrument_error,
        weakest,
        weakest_preparation,
        rules,
    };
    (bench, words)
}
