//! The program against an independent implementation of the same mechanics.
//!
//! The jobs and their expected values lie in `independent/`, with the script that made them. Values agree
//! to 0.1 %, those of a seat with feeler gaps to 1 %.

use insertwright::assess::{assess, values};
use insertwright::job::{Document, resolve};
use std::collections::BTreeMap;
use std::path::Path;

#[derive(serde::Deserialize)]
struct Expected {
    gaps: bool,
    values: BTreeMap<String, Option<f64>>,
    /// Demand, capacity, ratio.
    checks: BTreeMap<String, [Option<f64>; 3]>,
}

fn agree(got: f64, expected: f64, tolerance: f64) -> bool {
    (got - expected).abs() <= tolerance * got.abs().max(expected.abs()) + 1e-7
}

#[test]
fn every_job_agrees_with_the_independent_implementation() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/independent");
    let mut compared = 0;
    let mut off = Vec::new();
    for entry in std::fs::read_dir(&folder).expect("the folder") {
        let path = entry.expect("an entry").path();
        if path.extension().is_none_or(|e| e != "toml") {
            continue;
        }
        let text = std::fs::read_to_string(&path).expect("a job");
        let kept = std::fs::read_to_string(path.with_extension("json")).expect("expected values");
        let expected: Expected = serde_json::from_str(&kept).expect("JSON");
        let (document, findings) = Document::parse("job", &text);
        assert!(findings.is_empty(), "{}: {findings:?}", path.display());
        let job = resolve(&document).unwrap_or_else(|e| panic!("{}: {e:?}", path.display()));
        let assembly = &job.sides[0].assembly;
        let result = assess(assembly).expect("a seat");
        let tolerance = |id: &str| {
            let loose =
                id.starts_with("seat.") || id.starts_with("bond.") || id.contains("engagement");
            if expected.gaps && loose { 0.01 } else { 0.001 }
        };
        for (id, wanted) in &expected.values {
            let value = values::find(id).unwrap_or_else(|| panic!("no value {id}"));
            let got = (value.get)(assembly, &result)
                .filter(|v| v.is_finite())
                .map(|v| value.unit.of(v));
            compared += 1;
            let same = match (got, wanted) {
                (Some(got), Some(wanted)) => agree(got, *wanted, tolerance(id)),
                (None, None) => true,
                _ => false,
            };
            if !same {
                off.push(format!(
                    "{}: {id}: {got:?} against {wanted:?}",
                    path.display()
                ));
            }
        }
        for (id, [demand, capacity, ratio]) in &expected.checks {
            let check = result.checks.iter().flatten().find(|c| c.id.id() == id);
            let check = check.unwrap_or_else(|| panic!("{}: no check {id}", path.display()));
            let unit = check.id.unit();
            let whole = if expected.gaps { 0.01 } else { 0.001 };
            let pairs = [
                ("demand", unit.of(check.demand), demand),
                ("capacity", unit.of(check.capacity), capacity),
                ("ratio", check.ratio, ratio),
            ];
            for (what, got, wanted) in pairs {
                // A declared isolation has no demand here; the other side prints the difference all the same.
                if !got.is_finite() && (wanted.is_none() || id == "galvanic") {
                    continue;
                }
                compared += 1;
                if !wanted.is_some_and(|w| agree(got, w, whole)) {
                    off.push(format!(
                        "{}: {id} {what}: {got} against {wanted:?}",
                        path.display()
                    ));
                }
            }
        }
    }
    assert!(off.is_empty(), "{}", off.join("\n"));
    assert!(compared > 1500, "only {compared} figures were compared");
}
