//! The published cases, and the runner that judges them.

use insertwright::published::{cases, run, run_all};
use std::collections::BTreeSet;

#[test]
fn every_case_is_within_its_tolerance() {
    let off: Vec<String> = run_all()
        .expect("every case can be run")
        .into_iter()
        .filter(|o| !o.within)
        .map(|o| {
            format!(
                "{} {}: expected {} ± {}, got {}",
                o.file, o.name, o.expected, o.tolerance, o.got
            )
        })
        .collect();
    assert!(off.is_empty(), "{}", off.join("\n"));
}

#[test]
fn there_are_enough_cases_and_enough_were_seen_in_print() {
    let cases = cases().expect("the files are as they should be");
    let seen = cases.iter().filter(|(_, c)| c.status == "seen").count();
    assert!(cases.len() >= 60, "{} cases", cases.len());
    assert!(seen >= 30, "{seen} seen");
}

#[test]
fn every_case_says_where_it_comes_from() {
    let mut names = BTreeSet::new();
    for (file, case) in cases().expect("the files are as they should be") {
        let at = format!("{file}: {}", case.name);
        assert!(
            names.insert(case.name.clone()),
            "{at}: the name stands twice"
        );
        assert!(case.source.trim().len() >= 8, "{at}: no source");
        assert!(
            ["seen", "recalled", "computed"].contains(&case.status.as_str()),
            "{at}: {}",
            case.status
        );
        assert!(
            !case.why.trim().is_empty(),
            "{at}: no reason for the tolerance"
        );
        assert!(
            !case.subject.is_empty() && !case.inputs.is_empty(),
            "{at}: empty"
        );
    }
}

/// The runner must be able to say no: every expected value, moved by more than its tolerance, is outside.
#[test]
fn an_altered_expected_value_is_outside() {
    let mut altered_count = 0;
    for (file, case) in cases().expect("the files are as they should be") {
        let text = match &case.expected {
            toml::Value::String(text) => text.clone(),
            other => other.to_string(),
        };
        let (number, unit) = text.split_once(' ').unwrap_or((&text, ""));
        let Ok(value) = number.parse::<f64>() else {
            continue;
        };
        // Far off on both sides; a case whose tolerance is as wide as this proves nothing.
        for factor in [0.4, 2.5] {
            if value == 0.0 || unit == "°C" || unit == "°F" {
                continue;
            }
            let mut altered = case.clone();
            altered.expected =
                toml::Value::String(format!("{} {unit}", value * factor).trim().to_string());
            let outcome = run(file, &altered).expect("it still runs");
            assert!(
                !outcome.within,
                "{file} {}: {} passes as well",
                case.name, altered.expected
            );
            altered_count += 1;
        }
    }
    assert!(altered_count > 500, "only {altered_count} were altered");
}

/// A case that cannot be run is an error and not a pass.
#[test]
fn a_case_that_cannot_be_run_is_an_error() {
    let (file, good) = cases().expect("the files are as they should be").remove(0);
    let mut case = good.clone();
    case.function = "no.such.function".into();
    assert!(run(file, &case).is_err());
    let mut case = good.clone();
    case.inputs.clear();
    assert!(run(file, &case).is_err());
    let mut case = good.clone();
    case.tolerance = "quite close".into();
    assert!(run(file, &case).is_err());
    let mut case = good;
    case.expected = toml::Value::String("40 parsecs".into());
    assert!(run(file, &case).is_err());
}
