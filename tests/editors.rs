//! The commands `schema`, `completions` and `man`.

use crate::support::{keep, root, samples, tool, tool_in};
use insertwright::units::Kind;
use insertwright::units::parse::{pattern, read};
use serde_json::Value;

fn schema() -> jsonschema::Validator {
    let run = tool(&["schema"]);
    assert_eq!(run.code, 0, "{}", run.err);
    let schema: Value = serde_json::from_str(&run.out).expect("JSON");
    assert!(jsonschema::meta::is_valid(&schema), "no schema");
    jsonschema::validator_for(&schema).expect("a schema")
}

/// A job as an editor sees it; nothing where it is not TOML.
fn job(path: &str) -> Option<Value> {
    let bytes = std::fs::read(root().join(path)).expect("a file");
    toml::from_str(std::str::from_utf8(&bytes).ok()?).ok()
}

#[test]
fn the_schema_takes_every_job_that_is_read() {
    let schema = schema();
    let starters = ["crank-sleeve", "boss", "damaged-sleeve", "demonstration"];
    let starters = starters.map(|s| format!("src/cli/starters/{s}.toml"));
    let valid = samples("valid")
        .into_iter()
        .map(|(_, p)| format!("tests/jobs/{p}"));
    let bench = ["tests/bench/uneven-seat.toml".to_string()];
    for path in starters.into_iter().chain(valid).chain(bench) {
        let job = job(&path).expect("TOML");
        let errors: Vec<String> = schema
            .iter_errors(&job)
            .map(|e| format!("{}: {e}", e.instance_path()))
            .collect();
        assert!(errors.is_empty(), "{path}: {errors:#?}");
    }
}

/// Which wrong jobs an editor marks already, and which only `check` refuses: kept, so that a change shows.
#[test]
fn the_schema_refuses_what_is_wrong_by_shape() {
    let schema = schema();
    let mut out = String::new();
    for (name, path) in samples("invalid") {
        let said = match job(&format!("tests/jobs/{path}")) {
            None => "no TOML".to_string(),
            Some(job) => {
                let mut places: Vec<String> = schema
                    .iter_errors(&job)
                    .map(|e| e.instance_path().to_string())
                    .collect();
                places.dedup();
                match places.len() {
                    0 => "left to check".into(),
                    _ => format!("marked at {}", places.join(", ")),
                }
            }
        };
        out.push_str(&format!("{name}: {said}\n"));
    }
    keep("schema-of-wrong-jobs", &out);
}

/// What the reader takes matches the pattern of its kind, and of no other kind that has a unit.
#[test]
fn patterns_of_units_follow_the_reader() {
    let texts = [
        "40 N·m",
        "40 Nm",
        "40 N*m",
        "350 in-lb",
        "40 N·m ± 4 %",
        "35 ± 2 N·m",
        "40 N·m +/- 4 %",
        "1-3/8 in",
        "1-3/8\"",
        "40,5 mm",
        "0.10 .. 0.15 mm",
        "0.10 mm .. 0.15 mm",
        "24 tpi",
        "40 N·m = 354 in·lbf",
        "45°",
        "45 deg",
        "-10 °C",
        "14 °F",
        "23.6 µm/(m·K)",
        "23.6 μm/(m·K)",
        "13.1 µin/(in·°F)",
        "250 N/mm²",
        "36 ksi",
        "0.90 V",
        "1.2 g/cm³",
        "12 %",
        "0.10 .. 0.16",
        "0.10 .. 0.16 mm = 0.1 .. 0.16 mm",
        "10",
        "4 kgf·m",
        "7 N m",
    ];
    let patterns = Kind::ALL.map(|kind| {
        let schema = serde_json::json!({ "type": "string", "pattern": pattern(kind) });
        (kind, jsonschema::validator_for(&schema).expect("a pattern"))
    });
    for text in texts {
        for (kind, pattern) in &patterns {
            let (reads, matches) = (read(text, *kind).is_ok(), pattern.is_valid(&text.into()));
            assert!(matches || !reads, "{text} as {}", kind.name());
            // A share of something else looks like a plain number.
            assert!(
                reads || !matches || *kind == Kind::Number,
                "{text} as {}",
                kind.name()
            );
        }
    }
    for kind in Kind::ALL {
        let (_, pattern) = patterns.iter().find(|(k, _)| *k == kind).expect("it");
        assert!(pattern.is_valid(&kind.example().into()), "{}", kind.name());
    }
}

#[test]
fn completions_and_pages_name_every_command() {
    let help = tool(&["--help"]).out;
    let commands: Vec<&str> = help
        .lines()
        .skip_while(|l| !l.starts_with("Commands:"))
        .skip(1)
        .take_while(|l| !l.is_empty())
        .filter(|l| l.starts_with("  ") && !l.starts_with("   "))
        .filter_map(|l| l.split_whitespace().next())
        .filter(|c| *c != "help")
        .collect();
    assert!(commands.len() > 15, "{commands:?}");
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let run = tool(&["completions", shell]);
        assert_eq!(run.code, 0, "{shell}");
        for command in &commands {
            assert!(
                run.out.contains(command),
                "{shell} does not complete {command}"
            );
        }
    }
    let page = tool(&["man"]);
    assert_eq!(page.code, 0);
    for command in &commands {
        let named = format!("insertwright\\-{}(1)", command.replace('-', "\\-"));
        assert!(page.out.contains(&named), "{named} is not on the page");
        let own = tool(&["man", command]);
        assert_eq!(own.code, 0, "{command}");
        assert!(
            own.out.contains(&format!(".TH insertwright-{command} 1")),
            "{}",
            own.out
        );
    }
    let wrong = tool(&["man", "chek"]);
    assert_eq!((wrong.code, wrong.out.as_str()), (2, ""));
    assert!(wrong.err.contains("there are: check, "), "{}", wrong.err);
    assert_eq!(tool(&["completions", "dos"]).code, 2);
}

/// Written whole, and never over a file that is there.
#[test]
fn they_are_written_like_any_result() {
    let folder = tempfile::tempdir().expect("a folder");
    for args in [&["schema"][..], &["completions", "bash"], &["man"]] {
        let mut args = args.to_vec();
        args.extend(["-o", "made"]);
        assert_eq!(tool_in(folder.path(), &args).code, 0);
        assert_eq!(tool_in(folder.path(), &args).code, 2, "{args:?} overwrote");
        std::fs::remove_file(folder.path().join("made")).expect("it was written");
    }
}
