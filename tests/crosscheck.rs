//! The command `elements`, and `check --elements`.

use crate::support::{json_on, tool_in, tool_on};
use insertwright::cli::DEMO_JOB;
use serde_json::Value;

fn set<'a>(changes: &[&'a str]) -> Vec<&'a str> {
    changes.iter().flat_map(|c| ["--set", *c]).collect()
}

fn figure<'v>(report: &'v Value, id: &str) -> &'v Value {
    let all = report["compared"].as_array().expect("figures");
    all.iter()
        .find(|c| c["id"] == id)
        .unwrap_or_else(|| panic!("{id}"))
}

fn ratios(report: &Value, id: &str) -> (f64, f64) {
    let all = report["checks"].as_array().expect("checks");
    let check = all.iter().find(|c| c["id"] == id).expect("the check");
    let of = |key: &str| check[key].as_f64().expect("a ratio");
    (of("elements"), of("simple"))
}

#[test]
fn both_answers_stand_side_by_side() {
    let (report, code) = json_on(DEMO_JOB, "elements", &[]);
    assert!(code == 0 || code == 1);
    assert_eq!(report["mesh"]["settled"], true);
    assert!(report["mesh"]["residual"].as_f64().expect("a residual") < 1e-9);
    for c in report["compared"].as_array().expect("figures") {
        let (Some(elements), Some(simple)) = (
            c["elements"]["value"].as_f64(),
            c["simple"]["value"].as_f64(),
        ) else {
            continue;
        };
        let ratio = c["ratio"].as_f64().expect("a ratio");
        assert!(
            (ratio - elements / simple).abs() <= 1e-9 * ratio.abs(),
            "{c}"
        );
        let id = c["id"].as_str().expect("an id");
        assert_eq!(report["values"][id]["value"].as_f64(), Some(elements));
    }
    // What the simple model says here is what `check` says.
    let (check, _) = json_on(DEMO_JOB, "check", &[]);
    for id in [
        "bond.service.cold",
        "bond.endurance",
        "bond.tightening",
        "bond.removal",
    ] {
        let all = check["checks"].as_array().expect("checks");
        let of = all.iter().find(|c| c["id"] == id).expect("the check");
        let simple = ratios(&report, id).1;
        assert!(
            (of["ratio"].as_f64().expect("a ratio") / simple - 1.0).abs() < 1e-9,
            "{id}"
        );
    }
    let peel = figure(&report, "elements.rocking.peel");
    let told = check["values"]["bond.rocking.peel"]["value"]
        .as_f64()
        .expect("peel");
    // The simple model's own peak may lie between two stations or at an end.
    assert!(peel["simple"]["value"].as_f64().expect("peel") <= told * (1.0 + 1e-9));
    let turns = report["turns"].as_array().expect("turns");
    for model in 0..2 {
        let sum: f64 = turns
            .iter()
            .map(|t| t[model].as_f64().expect("a share"))
            .sum();
        assert!((sum - 1.0).abs() < 1e-3, "{sum}");
    }
}

#[test]
fn check_judges_the_glue_on_elements() {
    let soft = set(&[
        "frame.held_at=inboard",
        "frame.outer_diameter=48 mm",
        "insert.face_offset=0.2 mm",
    ]);
    let (report, _) = json_on(DEMO_JOB, "elements", &soft);
    let mut with = vec!["--elements"];
    with.extend(&soft);
    let (by_elements, _) = json_on(DEMO_JOB, "check", &with);
    let (plain, _) = json_on(DEMO_JOB, "check", &soft);
    let of = |report: &Value, id: &str| -> Value {
        let all = report["checks"].as_array().expect("checks").iter();
        all.clone()
            .find(|c| c["id"] == id)
            .expect("the check")
            .clone()
    };
    let mut over = 0.0f64;
    for id in ["bond.service.cold", "bond.service.hot", "bond.endurance"] {
        let check = of(&by_elements, id);
        let (elements, simple) = ratios(&report, id);
        over = over.max(simple / elements);
        let ratio = check["ratio"].as_f64().expect("a ratio");
        assert!(
            (ratio / elements - 1.0).abs() < 1e-9,
            "{id}: {ratio} {elements}"
        );
        let notes = check["notes"].to_string();
        assert!(
            notes.contains("finite elements") && !notes.contains("soft_wall_factor"),
            "{notes}"
        );
        // The verdict is that of the ratio itself.
        let short = ratio < check["need"].as_f64().expect("a need");
        assert_eq!(check["verdict"] == "falls short", short, "{check}");
        assert!(
            of(&plain, id)["notes"]
                .to_string()
                .contains("soft_wall_factor")
        );
    }
    let value = by_elements["values"]["elements.over_simple"]["value"].as_f64();
    assert!((value.expect("the figure") / over - 1.0).abs() < 1e-9);
    let caution = |report: &Value| {
        let all = report["cautions"].as_array().expect("cautions");
        let of = all
            .iter()
            .find(|c| c["id"] == "soft-wall")
            .expect("soft-wall");
        of["text"].as_str().expect("a text").to_string()
    };
    assert!(caution(&by_elements).contains("times as much in service"));
    assert_ne!(caution(&by_elements), caution(&plain));
    // What is no glue stays as it was.
    assert_eq!(
        of(&by_elements, "strip.internal"),
        of(&plain, "strip.internal")
    );
}

#[test]
fn every_hold_and_every_seat_has_an_answer() {
    for held in ["inboard", "outboard", "full-length", "all-round"] {
        for offset in ["0.2 mm", "-0.2 mm", "0 ± 0.001 mm"] {
            let held = format!("frame.held_at={held}");
            let offset = format!("insert.face_offset={offset}");
            let with = set(&[&held, &offset, "fitting.flange_diameter=50 mm"]);
            let (report, code) = json_on(DEMO_JOB, "elements", &with);
            assert!(code < 2 || code == 4, "{held} {offset}: {code}");
            assert!(
                report["reason"].is_null(),
                "{held} {offset}: {}",
                report["reason"]
            );
            let share = figure(&report, "elements.seat.share");
            let share = share["elements"]["value"].as_f64().expect("a share");
            assert!((-1e-9..=1.0 + 1e-9).contains(&share), "{share}");
        }
    }
}

#[test]
fn a_laminate_may_have_directions() {
    let row = |more: &str| {
        format!(
            "{}\n[material.wall]\nkind = \"laminate\"\nelastic_modulus = \"50 GPa\"\npoisson = 0.3\n{more}tensile = \"300 MPa\"\nexpansion = \"2 µm/(m·K)\"\nsource = \"invented for the test\"\n",
            DEMO_JOB
        )
    };
    let with = set(&["frame.material=wall"]);
    let cold = |more: &str| {
        let (report, _) = json_on(&row(more), "elements", &with);
        let found = figure(&report, "elements.thermal.radial");
        found["elements"]["value"].as_f64().expect("a stress")
    };
    let even = cold("");
    let same = cold(
        "axial_modulus = \"50 GPa\"\nhoop_modulus = \"50 GPa\"\nradial_modulus = \"50 GPa\"\n",
    );
    assert!((same / even - 1.0).abs() < 1e-9, "{same} {even}");
    let soft = cold("radial_modulus = \"5 GPa\"\n");
    assert!((soft / even - 1.0).abs() > 0.01, "{soft} {even}");
    let stiff = cold("hoop_modulus = \"100 GPa\"\n");
    assert!(stiff.abs() > even.abs(), "{stiff} {even}");
}

#[test]
fn a_refused_part_has_no_figures() {
    let (report, code) = json_on(DEMO_JOB, "elements", &set(&["condition.no_crack=false"]));
    assert_eq!((code, &report["verdict"]), (1, &Value::from("refused")));
    assert!(report["mesh"].is_null());
    assert!(report["compared"].as_array().is_some_and(Vec::is_empty));
    assert!(report["checks"].as_array().is_some_and(Vec::is_empty));
}

#[test]
fn the_section_is_a_file_of_its_own() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = tool_in(folder.path(), &["elements", "--picture", "section.svg"]);
    assert!(run.code < 2, "{}", run.err);
    let svg = std::fs::read_to_string(folder.path().join("section.svg")).expect("the file");
    assert!(svg.starts_with("<svg") && svg.contains("xmlns=\"http://www.w3.org/2000/svg\""));
    assert!(svg.contains("movement ×") && !svg.contains("NaN") && !svg.contains("inf"));
    // What is there stays.
    let again = tool_in(folder.path(), &["elements", "--picture", "section.svg"]);
    assert_eq!(again.code, 2, "{}", again.err);
    assert!(again.out.is_empty());
    let sheet = tool_on(DEMO_JOB, "sheet", &["--elements"]);
    assert!(sheet.out.contains("data-drawing=\"elements\""));
}

/// A lip is not meshed: what stands on it alone would get lost, so there are no elements, and no verdict by them.
#[test]
fn a_seat_on_the_lip_alone_is_refused() {
    let lip = set(&[
        "insert.lip_diameter=44 mm",
        "seat.inner_diameter=43 mm",
        "fitting.flange_diameter=50 mm",
        "insert.face_offset=0.2 mm",
    ]);
    let (report, code) = json_on(DEMO_JOB, "elements", &lip);
    // Not judged, or short by the simple models already.
    assert!(code == 4 || code == 1, "{code}");
    assert!(report["reason"].as_str().expect("why").contains("lip"));
    assert!(report["compared"].as_array().is_some_and(Vec::is_empty));
    let mut with = vec!["--elements"];
    with.extend(&lip);
    let (check, _) = json_on(DEMO_JOB, "check", &with);
    let all = check["checks"].as_array().expect("checks");
    let glue = all
        .iter()
        .find(|c| c["id"] == "bond.service.cold")
        .expect("the check");
    assert_eq!(glue["verdict"], "not judged");
    // Its window is not complete either.
    assert_eq!(check["window"]["complete"], false);
}
