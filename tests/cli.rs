//! Every command as a user runs it; what it prints is kept under `snapshots`.

use crate::support::{
    Run, command, keep, looked_at, promises, root, samples, six_figures, tool, tool_in, tool_with,
};
use serde_json::Value;
use std::path::Path;
use std::process::Stdio;

const STARTERS: [&str; 3] = ["crank-sleeve", "boss", "damaged-sleeve"];
const FORMS: [&str; 3] = ["text", "markdown", "json"];
/// Units that JSON may carry.
const UNITS: [&str; 11] = [
    "mm", "mm²", "mm³", "deg", "N", "N·m", "MPa", "N/mm", "°C", "V", "none",
];

/// A folder that holds the starter jobs under their own names.
fn starters() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for name in STARTERS {
        let run = tool_in(folder.path(), &["new", name, "-o", &format!("{name}.toml")]);
        assert_eq!((run.code, run.out.as_str()), (0, ""), "{}", run.err);
    }
    std::fs::write(folder.path().join("looked-at.toml"), looked_at()).expect("a job");
    folder
}

/// The calls whose results are kept: name, arguments, exit code where it is sure.
fn calls() -> Vec<(String, Vec<String>)> {
    let mut calls: Vec<(String, Vec<String>)> = Vec::new();
    let mut add = |name: String, args: &[&str]| {
        calls.push((name, args.iter().map(|a| (*a).to_string()).collect()));
    };
    for (job, path) in
        std::iter::once(("demonstration", None)).chain(STARTERS.map(|s| (s, Some(s))))
    {
        let path = path.map(|p| format!("{p}.toml"));
        for form in FORMS {
            for units in ["metric", "imperial"] {
                if form == "json" && units == "imperial" {
                    continue;
                }
                let mut args = vec!["check", "--format", form, "--units", units];
                args.extend(path.as_deref());
                add(format!("check-{job}-{form}-{units}"), &args);
            }
        }
    }
    for (job, path) in [("demonstration", None), ("boss", Some("boss.toml"))] {
        for form in FORMS {
            let mut args = vec!["torque", "--format", form];
            args.extend(path);
            add(format!("torque-{job}-{form}"), &args);
        }
    }
    add("torque-imperial".into(), &["torque", "--units", "imperial"]);
    for form in FORMS {
        add(
            format!("compare-starters-{form}"),
            &[
                "compare",
                "crank-sleeve.toml",
                "damaged-sleeve.toml",
                "--format",
                form,
            ],
        );
    }
    add("compare-demonstration-text".into(), &["compare"]);
    add("compare-without-variants".into(), &["compare", "boss.toml"]);
    for id in [
        "preload.high",
        "strip.internal",
        "strip.dilation_factor",
        "hoop",
        "neck",
        "seat.radius_effective",
        "pedal.moment",
        "torque.set_on_tool",
        "bond.area",
        "torque.maker",
        "lever_out.pull",
        "thread.pitch_diameter",
        "pedal.radial",
        "seat.open",
        "bond.service.cold",
        "window.high",
    ] {
        add(format!("explain-{id}"), &["explain", id]);
    }
    for form in FORMS {
        let args = ["elements", "--format", form];
        add(format!("elements-demonstration-{form}"), &args);
        add(
            format!("elements-boss-{form}"),
            &[
                "elements",
                "boss.toml",
                "--units",
                "imperial",
                "--format",
                form,
            ],
        );
    }
    add("check-by-elements".into(), &["check", "--elements"]);
    add(
        "check-by-elements-soft-wall".into(),
        &[
            "check",
            "--elements",
            "--set",
            "frame.held_at=inboard",
            "--set",
            "frame.outer_diameter=48 mm",
        ],
    );
    for command in ["repair", "bond", "seat", "spindle"] {
        for form in FORMS {
            add(
                format!("{command}-damaged-sleeve-{form}"),
                &[command, "damaged-sleeve.toml", "--format", form],
            );
        }
    }
    for form in FORMS {
        add(
            format!("repair-looked-at-{form}"),
            &["repair", "looked-at.toml", "--format", form],
        );
    }
    for form in FORMS {
        add(
            format!("identify-{form}"),
            &[
                "identify", "--major", "34.6 mm", "--length", "25.4 mm", "--turns", "24",
                "--format", form,
            ],
        );
    }
    add(
        "explain-preload.high-imperial".into(),
        &["explain", "preload.high", "--units", "imperial"],
    );
    add(
        "explain-preload.high-json".into(),
        &["explain", "preload.high", "--format", "json"],
    );
    add(
        "explain-preload.high-markdown".into(),
        &["explain", "preload.high", "--format", "markdown"],
    );
    add(
        "explain-pedal.moment-boss".into(),
        &["explain", "pedal.moment", "boss.toml"],
    );
    for id in [
        "seat.plane",
        "seat.facing.depth",
        "spindle.fit",
        "stack.turns",
        "seat.open",
    ] {
        add(
            format!("explain-{id}-damaged-sleeve"),
            &["explain", id, "damaged-sleeve.toml"],
        );
    }
    add(
        "explain-strip.internal-json".into(),
        &["explain", "strip.internal", "--format", "json"],
    );
    add(
        "explain-hoop-markdown".into(),
        &["explain", "hoop", "--format", "markdown"],
    );
    add("explain-list".into(), &["explain", "list"]);
    add("explain-near-name".into(), &["explain", "preload.hihg"]);
    add("tables".into(), &["tables"]);
    add("tables-json".into(), &["tables", "--format", "json"]);
    add("tables-threads-1.37".into(), &["tables", "threads", "1.37"]);
    add(
        "tables-materials-6061".into(),
        &["tables", "materials", "6061"],
    );
    add(
        "tables-materials-6061-json".into(),
        &["tables", "materials", "6061", "--format", "json"],
    );
    add(
        "tables-friction-markdown".into(),
        &["tables", "friction", "greased", "--format", "markdown"],
    );
    add("tables-unknown".into(), &["tables", "thread"]);
    add("tables-no-row".into(), &["tables", "threads", "zebra"]);
    add("new-boss".into(), &["new", "boss"]);
    add("new-unknown".into(), &["new", "bass"]);
    add(
        "set-listed".into(),
        &[
            "check",
            "--set",
            "fitting.flange_diameter=46 mm",
            "--set",
            "tightening.torque=38 N·m",
        ],
    );
    for command in [
        "",
        "check",
        "torque",
        "compare",
        "bond",
        "seat",
        "spindle",
        "repair",
        "identify",
        "explain",
        "tables",
        "new",
        "self-test",
    ] {
        let mut args = Vec::new();
        if !command.is_empty() {
            args.push(command);
        }
        args.push("--help");
        add(
            format!("help-{}", if command.is_empty() { "all" } else { command }),
            &args,
        );
    }
    add("no-command".into(), &[]);
    add("unknown-command".into(), &["chek"]);
    add("unknown-option".into(), &["check", "--colour"]);
    add("unknown-format".into(), &["check", "--format", "yaml"]);
    calls
}

fn go(folder: &Path, args: &[String]) -> Run {
    let args: Vec<&str> = args.iter().map(String::as_str).collect();
    tool_in(folder, &args)
}

#[test]
fn outputs_are_as_kept() {
    let folder = starters();
    for (name, args) in calls() {
        let run = go(folder.path(), &args);
        let mut text = format!("$ insertwright {}\n", args.join(" "));
        text.push_str(&format!("exit {}\n", run.code));
        for (title, part) in [
            ("standard output", &six_figures(&run.out)),
            ("standard error", &run.err),
        ] {
            if !part.is_empty() {
                text.push_str(&format!("--- {title}\n{part}"));
            }
        }
        keep(&name, &text);
        assert!(
            run.out.is_empty() || run.err.is_empty(),
            "{name}: results and errors at once"
        );
        assert_eq!(run.code == 2, !run.err.is_empty(), "{name}");
        // The same call gives the same output.
        assert_eq!(
            run,
            go(folder.path(), &args),
            "{name} differs from run to run"
        );
    }
}

#[test]
fn sample_jobs_are_as_kept() {
    for (name, path) in samples("valid") {
        for form in ["text", "json"] {
            let run = tool(&["check", &path, "--format", form]);
            keep(
                &format!("sample-{name}-{form}"),
                &format!("exit {}\n{}{}", run.code, six_figures(&run.out), run.err),
            );
        }
    }
}

#[test]
fn self_test_passes() {
    let run = tool(&["self-test"]);
    assert_eq!(run.code, 0, "{}", run.out);
    let summary = run.out.trim_end().rsplit("\n\n").next().unwrap_or("");
    keep("self-test", &summary.replace('\n', " "));
    let json: Value =
        serde_json::from_str(&tool(&["self-test", "--format", "json"]).out).expect("JSON");
    assert_eq!(json["schema"], "insertwright/1");
    assert_eq!(json["failed"], 0);
    assert!(json["cases"].as_array().expect("cases").len() >= 60);
}

#[test]
fn version_is_the_package_s() {
    let run = tool(&["--version"]);
    assert_eq!(run.code, 0);
    assert_eq!(
        run.out,
        format!("insertwright {}\n", env!("CARGO_PKG_VERSION"))
    );
}

/// Every amount in a JSON output, wherever it stands.
fn units_in(value: &Value, found: &mut Vec<String>) {
    match value {
        Value::Object(map) => {
            if let (Some(Value::String(unit)), true) = (map.get("unit"), map.contains_key("value"))
            {
                found.push(unit.clone());
            }
            map.values().for_each(|v| units_in(v, found));
        }
        Value::Array(list) => list.iter().for_each(|v| units_in(v, found)),
        _ => {}
    }
}

#[test]
fn json_is_as_agreed() {
    let mut jobs: Vec<Vec<String>> = vec![vec![]];
    jobs.extend(samples("valid").into_iter().map(|(_, path)| vec![path]));
    for job in jobs {
        let mut args = vec!["check", "--format", "json", "--units", "imperial"];
        args.extend(job.iter().map(String::as_str));
        let run = tool(&args);
        let json: Value = serde_json::from_str(&run.out).unwrap_or_else(|e| panic!("{job:?}: {e}"));
        assert_eq!(json["schema"], "insertwright/1");
        assert_eq!(json["command"], "check");
        for key in [
            "job",
            "verdict",
            "preconditions",
            "checks",
            "values",
            "assumed",
            "overrides",
            "not_examined",
            "cautions",
        ] {
            assert!(json.get(key).is_some(), "{job:?}: no {key}");
        }
        assert!(json["job"]["source"].is_string());
        let mut units = Vec::new();
        units_in(&json, &mut units);
        for unit in &units {
            assert!(
                UNITS.contains(&unit.as_str()),
                "{job:?}: {unit} is not an agreed unit"
            );
        }
        let cautions: Vec<&str> = json["cautions"]
            .as_array()
            .expect("a list")
            .iter()
            .filter_map(|c| c["id"].as_str())
            .collect();
        for always in ["maker-first", "planning-aid", "local-rules", "not-covered"] {
            assert!(cautions.contains(&always), "{job:?}: {always} is not there");
        }
        let word = json["verdict"].as_str().expect("a word");
        let code = match word {
            "meets" | "marginal" => 0,
            "falls short" | "refused" => 1,
            "not judged" => 4,
            other => panic!("{other} is not a verdict"),
        };
        assert_eq!(run.code, code, "{job:?}: {word}");
        for check in json["checks"].as_array().expect("a list") {
            let id = check["id"].as_str().expect("an id");
            assert!(
                insertwright::assess::check::CheckId::from_id(id).is_some(),
                "{id}"
            );
            if let (Some(ratio), Some(margin)) = (check["ratio"].as_f64(), check["margin"].as_f64())
            {
                let need = check["need"].as_f64().expect("a number");
                assert!((ratio / need - 1.0 - margin).abs() < 1e-9, "{id}");
            }
            if check["verdict"] == "not judged" {
                assert!(
                    check["reason"].is_string(),
                    "{job:?} {id}: not judged without a reason"
                );
            }
        }
    }
}

/// JSON carries the metric units whatever `--units` says.
#[test]
fn json_does_not_depend_on_units() {
    let json = |units: &str| tool(&["check", "--format", "json", "--units", units]).out;
    assert_eq!(json("metric"), json("imperial"));
}

#[test]
fn a_crack_ends_the_job() {
    let json: Value =
        serde_json::from_str(&tool(&["check", "valid/cracked.toml", "--format", "json"]).out)
            .expect("JSON");
    assert_eq!(json["verdict"], "refused");
    assert_eq!(json["checks"], Value::Array(vec![]));
    assert_eq!(json["values"], serde_json::json!({}));
    assert!(json.get("governing").is_none());
    let state = |id: &str| {
        json["preconditions"]
            .as_array()
            .expect("a list")
            .iter()
            .find(|p| p["id"] == id)
            .map(|p| p["state"].clone())
    };
    assert_eq!(state("no_crack"), Some(Value::from("failed")));
    assert!(
        json["cautions"]
            .as_array()
            .expect("a list")
            .iter()
            .any(|c| c["id"] == "stop-crack")
    );
    for (form, args) in FORMS
        .iter()
        .flat_map(|f| [(f, vec!["check"]), (f, vec!["explain", "preload.high"])])
    {
        let mut args = args;
        args.extend(["valid/cracked.toml", "--format", form]);
        let run = tool(&args);
        assert_eq!(run.code, 1, "{args:?}");
        for number_word in [
            "Reserve",
            "Lowest reserve",
            "Preload ",
            "TORQUE AND PRELOAD",
            "CHECKS",
        ] {
            if *form != "json" {
                assert!(
                    !run.out.contains(number_word),
                    "{args:?}: {number_word} in\n{}",
                    run.out
                );
            }
        }
    }
    for condition in ["not_moved", "no_crash", "unregulated_use"] {
        let run = tool(&["check", "--set", &format!("condition.{condition}=false")]);
        assert_eq!(run.code, 1, "{condition}");
        assert!(run.out.contains("Verdict: refused"), "{condition}");
    }
}

#[test]
fn exit_codes() {
    assert_eq!(tool(&["check", "valid/cracked.toml"]).code, 1);
    assert_eq!(tool(&["check", "valid/maker-exceeded.toml"]).code, 1);
    assert_eq!(tool(&["check", "valid/failed-condition.toml"]).code, 1);
    let maker = "tightening.maker_torque=20 .. 30 N·m";
    assert_eq!(tool(&["check"]).code, 0);
    assert_eq!(tool(&["check", "--set", maker]).code, 1);
    assert_eq!(
        tool(&["check", "--set", "condition.no_crack=unknown"]).code,
        4
    );
    assert_eq!(tool(&["chek"]).code, 2);
    assert_eq!(tool(&["--help"]).code, 0);
}

/// Text that is piped keeps to 80 columns: in a log, in a mail, on a small screen.
#[test]
fn text_keeps_to_80_columns() {
    let folder = starters();
    let mut long = Vec::new();
    let mut look = |name: &str, text: &str| {
        for line in text.lines().filter(|l| l.chars().count() > 80) {
            long.push(format!("{name}: {line}"));
        }
    };
    for (name, args) in calls() {
        let plain = args
            .iter()
            .all(|a| a != "json" && a != "markdown" && a != "new");
        if plain {
            look(&name, &go(folder.path(), &args).out);
        }
    }
    for (name, path) in samples("valid") {
        look(&name, &tool(&["check", &path]).out);
    }
    for table in insertwright::tables::ALL {
        look(table.name, &tool(&["tables", table.name]).out);
    }
    look("self-test", &tool(&["self-test"]).out);
    for starter in STARTERS {
        // Comments of a starter may be longer, but not much: they are read in an editor.
        let text = tool(&["new", starter]).out;
        assert!(text.lines().all(|l| l.chars().count() <= 120), "{starter}");
    }
    assert!(
        long.is_empty(),
        "{} lines over 80 columns:\n{}",
        long.len(),
        long.join("\n")
    );
}

/// No output promises anything, whatever the command and the form.
#[test]
fn no_text_promises_anything() {
    let folder = starters();
    let mut found = Vec::new();
    let mut look = |name: &str, text: &str| {
        for word in promises(text) {
            found.push(format!("{name}: {word}"));
        }
    };
    for (name, args) in calls() {
        let run = go(folder.path(), &args);
        look(&name, &run.out);
        look(&name, &run.err);
    }
    for table in insertwright::tables::ALL {
        look(table.name, &tool(&["tables", table.name]).out);
    }
    for value in insertwright::assess::values::ALL {
        look(value.id, &tool(&["explain", value.id]).out);
    }
    for check in insertwright::assess::check::CheckId::ALL {
        look(check.id(), &tool(&["explain", check.id()]).out);
    }
    look("self-test", &tool(&["self-test"]).out);
    for starter in STARTERS {
        look(starter, &tool(&["new", starter]).out);
    }
    for caution in insertwright::assess::caution::Caution::ALL {
        look(
            caution.id(),
            insertwright::present::words::caution(*caution),
        );
    }
    for check in insertwright::assess::check::CheckId::ALL {
        for boss in [false, true] {
            let causes = insertwright::assess::cause::Causes {
                boss,
                ..Default::default()
            };
            let advice = insertwright::present::words::advice(check, &causes);
            look(check.id(), &advice);
        }
    }
    for note in insertwright::assess::check::Note::ALL {
        look("note", insertwright::present::words::note(*note));
    }
    let readme = std::fs::read_to_string(root().join("README.md")).expect("the README");
    look("README.md", &readme);
    assert!(found.is_empty(), "{}", found.join("\n"));
    assert_eq!(
        promises("Unsafe at 5, but SAFE."),
        ["SAFE"],
        "the look itself"
    );
}

/// Every check and every value is explained, in both systems of units.
#[test]
fn everything_is_explained() {
    let listed = tool(&["explain", "list"]).out;
    let checks = insertwright::assess::check::CheckId::ALL.map(|c| c.id());
    for id in insertwright::assess::values::ALL
        .iter()
        .map(|v| v.id)
        .chain(checks)
    {
        assert!(listed.contains(id), "{id} is not listed");
        let run = tool(&["explain", id, "--units", "imperial"]);
        assert_eq!((run.code, run.err.as_str()), (0, ""), "{id}");
        assert!(run.out.contains(&format!("[{id}]")), "{id}:\n{}", run.out);
    }
}

#[test]
fn overrides_are_listed() {
    let set = ["check", "--set", "fitting.flange_diameter=46 mm"];
    assert!(tool(&set).out.contains("fitting.flange_diameter=46 mm"));
    let json: Value = serde_json::from_str(
        &tool(&[
            "check",
            "--format",
            "json",
            "--set",
            "fitting.flange_diameter=46 mm",
        ])
        .out,
    )
    .expect("JSON");
    assert_eq!(
        json["overrides"],
        serde_json::json!(["fitting.flange_diameter=46 mm"])
    );
}

#[test]
fn a_dash_reads_standard_input() {
    let text = std::fs::read(root().join("tests/jobs/valid/in-inches.toml")).expect("a sample");
    let piped = tool_with(&root(), &["check", "-"], &text);
    let named = tool(&["check", "valid/in-inches.toml"]);
    assert_eq!(piped.code, named.code);
    assert_eq!(
        piped.out.replace("standard input", "valid/in-inches.toml"),
        named.out
    );
    let wrong = tool_with(&root(), &["check", "-"], b"[job]\ntitel = \"x\"\n");
    assert_eq!((wrong.code, wrong.out.as_str()), (2, ""));
    assert!(wrong.err.contains("standard input"), "{}", wrong.err);
    assert_eq!(tool_with(&root(), &["check", "-"], b"").code, 2);
    assert_eq!(tool_with(&root(), &["check", "-"], b"\xff\xfe").code, 2);
}

/// The first line says when the built-in job was used.
#[test]
fn the_demonstration_says_so() {
    let first = tool(&["check"])
        .out
        .lines()
        .next()
        .unwrap_or("")
        .to_string();
    assert!(
        first.contains("demonstration") && first.contains("invented"),
        "{first}"
    );
    let first = tool(&["check", "valid/in-inches.toml"])
        .out
        .lines()
        .next()
        .unwrap_or("")
        .to_string();
    assert!(!first.contains("demonstration"), "{first}");
}

/// A reader that goes away is no error and no panic.
#[test]
fn a_closed_pipe_is_no_error() {
    for args in [
        &["self-test"][..],
        &["tables", "bearings"],
        &["check"],
        &["--help"],
    ] {
        let mut child = command(&root())
            .args(args)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("it starts");
        drop(child.stdout.take());
        let output = child.wait_with_output().expect("it ends");
        let err = String::from_utf8_lossy(&output.stderr);
        assert!(!err.contains("panicked"), "{args:?}: {err}");
        assert!(
            [Some(0), Some(1), Some(4)].contains(&output.status.code()),
            "{args:?}: {:?} {err}",
            output.status
        );
    }
}

/// No colour where nobody can see it, nor where it is not wanted.
#[test]
fn pipes_carry_no_colour() {
    for args in [
        &["check"][..],
        &["check", "invalid/bare-number.toml"],
        &["--help"],
        &["chek"],
    ] {
        for no_colour in [false, true] {
            let mut command = command(&root().join("tests/jobs"));
            if no_colour {
                command.env("NO_COLOR", "1");
            }
            let output = command.args(args).output().expect("it runs");
            assert!(
                !output.stdout.contains(&0x1b) && !output.stderr.contains(&0x1b),
                "{args:?}"
            );
        }
    }
}

/// A starter that was written is a job as it stands, and says which line comes next.
#[test]
fn starters_are_jobs() {
    let folder = starters();
    for name in STARTERS {
        let file = format!("{name}.toml");
        let run = tool_in(folder.path(), &["check", &file]);
        assert!([0, 1, 4].contains(&run.code), "{name}: {}", run.err);
        let text = std::fs::read_to_string(folder.path().join(&file)).expect("written");
        assert_eq!(text, tool(&["new", name]).out);
        assert!(
            text.contains("invented"),
            "{name} does not say that its figures are invented"
        );
    }
    let run = tool_in(folder.path(), &["new", "boss", "-o", "mine.toml"]);
    assert!(
        run.err.contains("insertwright check mine.toml"),
        "{}",
        run.err
    );
}

/// A row's name in quotation marks is the same row.
#[test]
fn an_override_reads_a_quoted_row() {
    let verdicts = |path: &str| {
        let set = format!("{path}.shear_strength=1 MPa");
        let run = tool(&["check", "--set", &set, "--format", "json"]);
        assert_eq!(run.code, 1, "{}", run.err);
        let json: Value = serde_json::from_str(&run.out).expect("JSON");
        assert!(json["checks"].is_array());
        json["checks"].clone()
    };
    assert_eq!(
        verdicts(r#"adhesive."demonstration film""#),
        verdicts("adhesive.demonstration film")
    );
}
