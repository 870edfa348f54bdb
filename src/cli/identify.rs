//! `identify`: which thread is this?

use super::check::json;
use super::{Failure, Format, OutputArgs, output};
use crate::assess::identify::{self, ByHand, Reading, Readings};
use crate::job::assembly::Hand;
use crate::job::designation;
use crate::job::ledger::Fact;
use crate::job::resolve::source_of_default;
use crate::present::identify::{ByHandReport, Identified};
use crate::present::report::AssumedReport;
use crate::units::display::System;
use crate::units::parse::{self, Kind, Shape};
use crate::units::{FromSi, Length, number, si};
use clap::Args;

/// Arguments of `identify`.
#[derive(Debug, Args)]
pub struct IdentifyArgs {
    /// Diameter over the crests of the external thread, such as "34.6 mm" or "34.6 ± 0.05 mm"
    #[arg(long, value_name = "LENGTH")]
    major: Option<String>,
    /// Diameter across the crests of the internal thread: the bore
    #[arg(long, value_name = "LENGTH")]
    minor: Option<String>,
    /// Pitch by a pitch gauge, such as "24 tpi" or "1 mm"
    #[arg(long, value_name = "PITCH", conflicts_with = "length")]
    pitch: Option<String>,
    /// Length over several turns, for the pitch
    #[arg(long, value_name = "LENGTH", requires = "turns")]
    length: Option<String>,
    /// The number of turns in that length
    #[arg(long, value_name = "N", requires = "length")]
    turns: Option<String>,
    /// Turns that a known good fitting goes in by fingers
    #[arg(long, value_name = "N", requires = "fitting")]
    turns_by_hand: Option<String>,
    /// The thread of that fitting, such as "1.37 in x 24 tpi"
    #[arg(long, value_name = "THREAD", requires = "turns_by_hand")]
    fitting: Option<String>,
    /// Which way the fitting turned when it went in, seen by somebody who faces it: the hand
    #[arg(long, value_name = "WAY")]
    goes_in: Option<Way>,
    #[command(flatten)]
    output: OutputArgs,
}

/// A direction of turning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Way {
    Clockwise,
    Anticlockwise,
}

/// Reads an option as a quantity; the error of the instrument where it states none.
fn reading(
    option: &str,
    text: Option<&str>,
    kind: Kind,
    row: &str,
    error: Length,
    assumed: &mut Vec<AssumedReport>,
) -> Result<Option<Reading>, Failure> {
    let Some(text) = text else { return Ok(None) };
    let spread = parse::read(text, kind)
        .map_err(|e| Failure::Call(format!("--{option} \"{text}\": {}; {}", e.message, e.help)))?;
    let value = Length::from_si_value(spread.nominal);
    if si(value) <= 0.0 {
        return Err(Failure::Call(format!(
            "--{option} \"{text}\": a size is greater than zero"
        )));
    }
    if spread.shape != Shape::Exact {
        let half = Length::from_si_value((spread.high - spread.low) / 2.0);
        return Ok(Some(Reading { value, error: half }));
    }
    if !assumed.iter().any(|a| a.key == row) {
        assumed.push(AssumedReport {
            key: row.to_string(),
            value: Fact::from(error),
            source: source_of_default(row),
        });
    }
    Ok(Some(Reading { value, error }))
}

/// Reads an option as a plain number.
fn count(option: &str, text: Option<&str>) -> Result<Option<f64>, Failure> {
    let Some(text) = text else { return Ok(None) };
    match parse::read(text, Kind::Number) {
        Ok(spread) if spread.nominal > 0.0 => Ok(Some(spread.nominal)),
        Ok(_) => Err(Failure::Call(format!(
            "--{option} \"{text}\": a number of turns is greater than zero"
        ))),
        Err(e) => Err(Failure::Call(format!(
            "--{option} \"{text}\": {}; {}",
            e.message, e.help
        ))),
    }
}

/// Runs the command.
pub fn run(args: &IdentifyArgs) -> Result<u8, Failure> {
    let with = identify::instruments();
    let mut assumed = Vec::new();
    let mut read = |option, text: &Option<String>, kind, row, error| {
        reading(option, text.as_deref(), kind, row, error, &mut assumed)
    };
    let major = read(
        "major",
        &args.major,
        Kind::Length,
        "instrument.caliper",
        with.outside,
    )?;
    let minor = read(
        "minor",
        &args.minor,
        Kind::Length,
        "instrument.caliper.inside",
        with.inside,
    )?;
    let gauge = read(
        "pitch",
        &args.pitch,
        Kind::Pitch,
        "instrument.pitch-gauge",
        with.gauge,
    )?;
    let length = read(
        "length",
        &args.length,
        Kind::Length,
        "instrument.caliper",
        with.outside,
    )?;
    let turns = count("turns", args.turns.as_deref())?;
    let pitch = match length.zip(turns) {
        Some((length, turns)) => Some(identify::pitch_over(length, number(turns))),
        None => gauge,
    };
    let by_hand = match (
        count("turns-by-hand", args.turns_by_hand.as_deref())?,
        &args.fitting,
    ) {
        (Some(turns), Some(name)) => Some(ByHand {
            turns: number(turns),
            fitting: designation::by_name(name).map_err(|e| {
                Failure::Call(format!("--fitting \"{name}\": {}; {}", e.message, e.help))
            })?,
        }),
        _ => None,
    };
    let hand = args.goes_in.map(|way| match way {
        Way::Clockwise => Hand::Right,
        Way::Anticlockwise => Hand::Left,
    });
    let readings = Readings {
        major,
        minor,
        pitch,
        by_hand,
    };
    if readings == Readings::default() {
        return Err(Failure::Call(
            "there is nothing to go by: give at least one reading, such as --major \"34.6 mm\" --pitch \"24 tpi\"".into(),
        ));
    }
    let candidates = identify::candidates(&readings, &with);
    // The numbers of the JSON are metric, and so are its sentences.
    let system = match args.output.format {
        Format::Json => System::Metric,
        Format::Text | Format::Markdown => args.output.system(),
    };
    let mut report = Identified::new(&readings, &candidates, &with, hand, system);
    report.assumed = assumed;
    report.by_hand = readings
        .by_hand
        .zip(args.fitting.as_ref())
        .map(|(by_hand, name)| ByHandReport {
            turns: by_hand.turns.value,
            fitting: name.clone(),
        });
    let out = match args.output.format {
        Format::Json => json(&report)?,
        Format::Text | Format::Markdown => report.text(system, args.output.layout()),
    };
    output::send(&args.output, &out)?;
    // Not decided is not an answer; nothing that fits is less than that.
    Ok(match candidates.iter().filter(|c| c.fits()).count() {
        1 => 0,
        0 if candidates.iter().all(|c| c.worn.is_none()) => 1,
        _ => 4,
    })
}
