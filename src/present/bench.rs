//! What the reports of `seat` and `spindle` share: findings, results, fine lengths, places on the clock.

use super::report::Amount;
use super::text::Layout;
use crate::assess::check::Verdict;
use crate::assess::values::Step;
use crate::units::display::{System, Unit};
use crate::units::{Angle, Length, si};
use serde::Serialize;

/// Results with ids as the reports carry them.
pub(super) fn amounts(steps: &[Step]) -> Vec<(&'static str, Amount)> {
    steps
        .iter()
        .filter_map(|s| {
            Some((
                s.id?,
                Amount {
                    si: s.si,
                    unit: s.unit,
                },
            ))
        })
        .collect()
}

/// One thing that was looked at, with its verdict where it has one.
#[derive(Debug, Clone, Serialize)]
pub struct Finding {
    /// What it is about.
    pub id: &'static str,
    /// Its verdict.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub verdict: Option<&'static str>,
    /// In words.
    pub text: String,
}

impl Finding {
    /// A finding that carries no verdict.
    pub fn plain(id: &'static str, text: impl Into<String>) -> Finding {
        Finding {
            id,
            verdict: None,
            text: text.into(),
        }
    }
    /// A finding with its verdict.
    pub fn judged(id: &'static str, verdict: Verdict, text: impl Into<String>) -> Finding {
        Finding {
            id,
            verdict: Some(verdict.word()),
            text: text.into(),
        }
    }
    /// As one line of text.
    pub fn line(&self) -> String {
        match self.verdict {
            Some(verdict) => format!("{}: {}", capital(verdict), self.text),
            None => self.text.clone(),
        }
    }
}

/// Findings under their heading; nothing without findings.
pub fn section(layout: Layout, title: &str, findings: &[Finding]) -> String {
    if findings.is_empty() {
        return String::new();
    }
    let mut out = layout.heading(title);
    for finding in findings {
        out.push_str(&layout.item("", &finding.line()));
    }
    out
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

fn signless(text: String) -> String {
    // A rounded −0.000 is 0.
    if text.starts_with('-') && !text.chars().any(|c| ('1'..='9').contains(&c)) {
        text[1..].to_string()
    } else {
        text.replace('-', "−")
    }
}

/// A small length: micrometres of a millimetre, or tenths of a thousandth of an inch.
pub fn fine(length: Length, system: System) -> String {
    let (value, unit) = Unit::Millimetre.in_system(si(length), system);
    if system == System::Imperial {
        format!("{} thou", signless(format!("{:.1}", value * 1000.0)))
    } else {
        format!("{} {unit}", signless(format!("{value:.3}")))
    }
}

/// A size with as many digits as a micrometer shows.
pub fn size(length: Length, system: System) -> String {
    let (value, unit) = Unit::Millimetre.in_system(si(length), system);
    let digits = if system == System::Imperial { 4 } else { 3 };
    format!("{} {unit}", signless(format!("{value:.digits$}")))
}

/// A place on the clock, to five minutes, with its degrees.
pub fn clock(at: Angle) -> String {
    let degrees = Unit::Degree.of(si(at)).rem_euclid(360.0);
    let minutes = (degrees * 2.0 / 5.0).round() as u32 * 5 % 720;
    let hour = match minutes / 60 {
        0 => 12,
        h => h,
    };
    format!(
        "{hour}:{:02} ({}°)",
        minutes % 60,
        degrees.round() as u32 % 360
    )
}

/// A share in per cent.
pub fn percent(share: crate::units::Ratio) -> String {
    format!("{:.0} %", share.value * 100.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{degree, mm};

    #[test]
    fn places_and_lengths_in_words() {
        assert_eq!(clock(degree(0.0)), "12:00 (0°)");
        assert_eq!(clock(degree(135.0)), "4:30 (135°)");
        assert_eq!(clock(degree(359.9)), "12:00 (0°)");
        assert_eq!(clock(degree(259.8)), "8:40 (260°)");
        assert_eq!(fine(mm(0.0541), System::Metric), "0.054 mm");
        assert_eq!(fine(mm(-0.0001), System::Metric), "0.000 mm");
        assert_eq!(fine(mm(-0.0254), System::Imperial), "−1.0 thou");
        assert_eq!(size(mm(23.97), System::Imperial), "0.9437 in");
    }
}
