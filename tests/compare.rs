//! `compare` from the outside: what belongs to which entry, names, order, exit codes, and every error at once.

use crate::support::{json_on, tool_in, tool_on};
use insertwright::cli::DEMO_JOB;
use serde_json::Value;

/// The demonstration job without its variants.
fn plain() -> String {
    DEMO_JOB
        .split("# For `compare`")
        .next()
        .unwrap_or_default()
        .to_string()
}

fn with(variants: &str) -> String {
    format!("{}\n{variants}", plain())
}

fn variant(name: &str, set: &str) -> String {
    format!("[[variant]]\nname = \"{name}\"\nset = {{ {set} }}\n")
}

fn names(report: &Value) -> Vec<&str> {
    let list = report["variants"].as_array().expect("a list");
    list.iter().filter_map(|v| v["name"].as_str()).collect()
}

fn entry<'a>(report: &'a Value, name: &str) -> &'a Value {
    let list = report["variants"].as_array().expect("a list");
    list.iter()
        .find(|v| v["name"] == name)
        .unwrap_or_else(|| panic!("no {name}"))
}

#[test]
fn the_job_itself_stands_in_order_and_counts() {
    // Both variants are better than the job, which falls short.
    let job = with(
        &(variant("a little less", "\"pedalling.force\" = \"700 N\"")
            + &variant("much less", "\"pedalling.force\" = \"300 N\"")),
    )
    .replace("force = \"1000 N\"", "force = \"9000 N\"");
    let (report, code) = json_on(&job, "compare", &[]);
    assert_eq!(names(&report).last(), Some(&"as stated"));
    assert_eq!(entry(&report, "as stated")["as_stated"], true);
    assert_eq!(entry(&report, "as stated")["verdict"], "falls short");
    assert_eq!(report["highest_margin"], "much less");
    assert_eq!(code, 1);
    // Nothing better than the job: then the job has the highest margin.
    let job = with(&variant("more", "\"pedalling.force\" = \"1010 N\""));
    let (report, code) = json_on(&job, "compare", &[]);
    assert_eq!(report["highest_margin"], "as stated");
    assert_eq!((names(&report), code), (vec!["as stated", "more"], 0));
}

#[test]
fn every_entry_keeps_what_is_its_own() {
    let job = with(
        &(variant("cracked", "\"condition.no_crack\" = false")
            + &variant("other metal", "\"insert.material\" = \"6061-T6\"")),
    );
    let (report, code) = json_on(&job, "compare", &[]);
    assert_eq!(code, 1);
    let state = |of: &Value| {
        let list = of["preconditions"].as_array().expect("a list").clone();
        let crack = list.iter().find(|p| p["id"] == "no_crack");
        crack.expect("the precondition")["state"].clone()
    };
    assert_eq!(state(entry(&report, "cracked")), "failed");
    assert_eq!(state(entry(&report, "as stated")), "confirmed");
    // On top stands the worst of them.
    assert_eq!(state(&report), "failed");
    let sources = entry(&report, "other metal")["sources"].to_string();
    assert!(sources.contains("insert.material") && sources.contains("6061-T6"));
    for key in ["assumed", "not_examined", "cautions", "checks", "values"] {
        assert!(!entry(&report, "other metal")[key].is_null(), "{key}");
    }
    let printed = tool_on(&job, "compare", &[]).out;
    let line = printed.replace("\n        ", " ");
    assert!(line.contains("[NO]  No crack in insert, frame or fitting"));
    assert!(line.contains("[only: cracked]"));
    assert!(line.contains("stop: this is not so: No crack"));
}

#[test]
fn the_heading_names_no_entry() {
    let folder = tempfile::tempdir().expect("a folder");
    for name in ["one.toml", "two.toml"] {
        std::fs::write(folder.path().join(name), DEMO_JOB).expect("a job");
    }
    let run = tool_in(folder.path(), &["compare", "one.toml", "two.toml"]);
    assert!(
        run.out
            .starts_with("insertwright compare: one.toml, two.toml\n\nBEFORE ANY MARGIN\n"),
        "{}",
        run.out
    );
    // Same titles, so the files tell the entries apart.
    let json = tool_in(
        folder.path(),
        &["compare", "one.toml", "two.toml", "--format", "json"],
    );
    let report: Value = serde_json::from_str(&json.out).expect("JSON");
    assert_eq!(names(&report), ["one.toml", "two.toml"]);
    assert_eq!(
        entry(&report, names(&report)[1])["job"]["source"],
        "two.toml"
    );
    let twice = tool_in(folder.path(), &["compare", "one.toml", "one.toml"]);
    assert_eq!(twice.code, 2);
    assert!(twice.err.contains("named twice"), "{}", twice.err);
}

#[test]
fn all_errors_of_all_jobs_and_variants_come_at_once() {
    let folder = tempfile::tempdir().expect("a folder");
    let write = |name: &str, text: &str| {
        std::fs::write(folder.path().join(name), text).expect("a job");
    };
    write("one.toml", &plain().replace("\"12 mm\"", "\"12 N\""));
    write("two.toml", &plain().replace("engaged", "engagd"));
    let run = tool_in(
        folder.path(),
        &["compare", "one.toml", "two.toml", "none.toml"],
    );
    assert_eq!(run.code, 2);
    for place in ["one.toml:", "two.toml:", "none.toml: there is no such file"] {
        assert!(run.err.contains(place), "{place}: {}", run.err);
    }
    let wrong = with(
        &(variant("heavy", "\"fitting.flange_thickness\" = \"4 kg\"")
            + &variant(
                "odd",
                "\"fitting.flange_thicknes\" = \"4 mm\", \"seat\" = \"1 mm\"",
            )
            + &variant("small", "\"insert.outer_diameter\" = \"20 mm\"")),
    );
    // What a variant says is a part of the job: `check` does not pass over it.
    for command in ["check", "torque", "compare"] {
        let run = tool_on(&wrong, command, &[]);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{command}");
        for words in [
            "in the variant \"heavy\"",
            "in the variant \"odd\": `flange_thicknes` is not a key of `fitting`",
            "did you mean `flange_thickness`?",
            "in the variant \"odd\": `seat` is a table",
            "in the variant \"small\"",
        ] {
            assert!(run.err.contains(words), "{command}: {words}: {}", run.err);
        }
    }
}

#[test]
fn names_of_variants_are_their_own() {
    for (first, second, words) in [
        ("a", "a", "another variant has the name \"a\" already"),
        ("a", "as stated", "the job itself has the name"),
        (
            "variant 2",
            "",
            "another variant has the name \"variant 2\"",
        ),
    ] {
        let set = "\"pedalling.force\" = \"700 N\"";
        let run = tool_on(
            &with(&(variant(first, set) + &variant(second, set))),
            "compare",
            &[],
        );
        assert_eq!(run.code, 2, "{first} {second}");
        assert!(run.err.contains(words), "{}", run.err);
    }
}

#[test]
fn a_variant_may_add_a_reading() {
    let one = "[[seat.gap]]\nat = \"12:00\"\ngap = \"0.02 mm\"\n";
    let set = "\"seat.gap[1].at\" = \"6:00\", \"seat.gap[1].gap\" = \"0.06 mm\"";
    let job = with(&(one.to_string() + &variant("second reading", set)));
    let (report, _) = json_on(&job, "compare", &[]);
    let contact =
        |name: &str| entry(&report, name)["values"]["seat.contact.preload"]["value"].clone();
    assert_ne!(contact("as stated"), contact("second reading"));
}
