//! What a person reads: advice that fits, figures that tell, names that stay text, lines that fit.

use crate::support::{json_on, tool_in, tool_on};
use insertwright::assess::cause::Causes;
use insertwright::assess::check::CheckId;
use insertwright::cli::DEMO_JOB;
use insertwright::present::report::Number;
use insertwright::present::text::{Layout, against, markdown};
use insertwright::present::words::advice;

const BOSS: &str = include_str!("../src/cli/starters/boss.toml");
const SLEEVE: &str = include_str!("../src/cli/starters/crank-sleeve.toml");

fn first_line(out: &str, start: &str) -> String {
    let at = out
        .find(start)
        .unwrap_or_else(|| panic!("no {start}: {out}"));
    let rest = &out[at..];
    let end = rest.find(".\n").map_or(rest.len(), |e| e + 1);
    rest[..end].replace('\n', " ")
}

fn set<'a>(entries: &[&'a str]) -> Vec<&'a str> {
    entries.iter().flat_map(|e| ["--set", *e]).collect()
}

#[test]
fn what_only_informs_is_never_the_first_thing_to_do() {
    let (report, code) = json_on(DEMO_JOB, "check", &[]);
    let checks = report["checks"].as_array().expect("a list");
    let slip = checks
        .iter()
        .find(|c| c["id"] == "seat.slip")
        .expect("slip");
    assert_eq!(slip["verdict"], "falls short");
    assert_eq!(slip["informs_only"], true);
    assert_eq!((report["verdict"].as_str(), code), (Some("marginal"), 0));
    assert_eq!(report["deciding"], "bond.endurance");
    let out = tool_on(DEMO_JOB, "check", &[]).out;
    assert!(!first_line(&out, "Do first:").contains("slip"), "{out}");
    assert!(out.contains("for information"));
}

#[test]
fn advice_fits_the_use_and_the_cause() {
    let boss = Causes {
        boss: true,
        ..Causes::default()
    };
    for id in CheckId::ALL {
        assert!(!advice(id, &boss).contains("bearing"), "{}", id.id());
    }
    assert!(!advice(CheckId::SeatSlip, &boss).contains("grease"));
    // The cold, and not the load, is what this glue cannot take.
    for job in [BOSS, SLEEVE] {
        let out = tool_on(job, "check", &[]).out;
        let first = first_line(&out, "Do first:");
        assert!(first.contains("expansions"), "{first}");
    }
    let on_insert = Causes {
        on_insert: true,
        ..Causes::default()
    };
    assert!(!advice(CheckId::BondTightening, &on_insert).contains("let the flange bear"));
    let loose = Causes {
        no_thread: true,
        ..Causes::default()
    };
    assert!(advice(CheckId::Hoop, &loose).contains("engage the thread"));
    // The maker comes before anything that is worked out.
    let beyond = tool_on(DEMO_JOB, "check", &set(&["tightening.torque=60 N·m"])).out;
    assert!(first_line(&beyond, "Do first:").contains("maker's torque"));
}

#[test]
fn the_verdict_line_says_what_decides() {
    // A face that may stand either way: as stated the lasting load meets what is asked, on the frame it does not.
    let unproven = set(&[
        "insert.face_offset=0 ± 0.02 mm",
        "fitting.flange_diameter=50 mm",
        // So that the flange stands its longer arm.
        "fitting.flange_thickness=8 mm",
    ]);
    let line = first_line(&tool_on(DEMO_JOB, "check", &unproven).out, "Verdict:");
    assert!(
        line.contains("falls short. Decided by: Glue under lasting load [bond.sustained]")
            && line.contains("worst of bearing")
            && line.contains("Lowest reserve: Glue under repeated load"),
        "{line}"
    );
    let first = first_line(&tool_on(DEMO_JOB, "check", &unproven).out, "Do first:");
    assert!(first.contains("insert.face_offset"), "{first}");
    // What only the other reading is asked counts as well.
    let either = set(&[
        "insert.face_offset=0.02 ± 0.05 mm",
        "fitting.flange_diameter=50 mm",
        "fitting.flange_thickness=8 mm",
    ]);
    let (report, code) = json_on(DEMO_JOB, "check", &either);
    assert_eq!(code, 1);
    assert_eq!(report["deciding"], "bond.sustained");
    assert_eq!(report["governing"], "bond.endurance");
    let unknown = set(&["condition.prepared=unknown"]);
    let out = tool_on(DEMO_JOB, "check", &unknown).out;
    let line = first_line(&out, "Verdict:");
    assert!(
        line.contains("Decided by") && line.contains("condition.prepared"),
        "{line}"
    );
    // Short only with the weakest plausible metal: then the metal is what to find out.
    let metal = set(&["insert.material=unknown"]);
    let out = tool_on(DEMO_JOB, "check", &metal).out;
    assert!(first_line(&out, "Verdict:").contains("the weakest plausible value stands in"));
    let first = first_line(&out, "Do first:");
    assert!(
        first.contains("find out") && first.contains("insert.material"),
        "{first}"
    );
    let open = set(&["condition.no_crack=unknown"]);
    let line = first_line(&tool_on(DEMO_JOB, "check", &open).out, "Verdict:");
    assert!(line.contains("not judged. Decided by what is not known of the part: no_crack"));
}

#[test]
fn figures_show_which_is_the_greater() {
    let of = |ratio: f64, need: f64| against(Some(Number(ratio)), need);
    assert_eq!(of(1.4968, 1.5), ["1.497", "1.5"]);
    assert_eq!(of(1.604, 1.5), ["1.6", "1.5"]);
    assert_eq!(of(1.44, 1.42), ["1.44", "1.42"]);
    assert_eq!(of(2.0, 2.0), ["2", "2"]);
    assert_eq!(of(1.49999999, 1.5), ["1.49999999", "1.5"]);
    assert_eq!(of(f64::INFINITY, 1.5), ["no demand", "1.5"]);
}

#[test]
fn without_a_thread_there_is_no_preload() {
    let out = tool_on(DEMO_JOB, "check", &set(&["thread.engaged=1 mm"])).out;
    assert!(out.contains("no torque makes a preload"), "{out}");
    assert!(!out.contains("Preload ") && !out.contains("makes preload"));
    assert!(!out.contains("kept beyond 0 N"));
}

#[test]
fn names_that_steer_a_terminal_are_refused() {
    for (text, code) in [("\\u001b[31mred", "U+001B"), ("a\\u202eb", "U+202E")] {
        let job = DEMO_JOB.replace("title = \"Moulded", &format!("title = \"{text}"));
        let run = tool_on(&job, "check", &[]);
        assert_eq!(run.code, 2);
        assert!(run.err.contains(code), "{}", run.err);
        assert!(!run.err.contains(['\u{1b}', '\u{202e}']), "{:?}", run.err);
    }
    let override_ = tool_on(DEMO_JOB, "check", &["--set", "job.title=a\u{7}b"]);
    assert_eq!(override_.code, 2);
    assert!(!override_.err.contains('\u{7}'));
    // A title over several lines stays one line, so that it cannot pass for a line of the report.
    let job = DEMO_JOB.replace(
        "title = \"Moulded",
        "title = \"Boom\\n\\nVerdict: meets.\\n# Moulded",
    );
    let out = tool_on(&job, "check", &[]).out;
    assert!(
        !out.lines().any(|l| l.starts_with("Verdict: meets")),
        "{out}"
    );
    let word = "pre\u{202e}load";
    let run = tool_in(&crate::support::root(), &["explain", word]);
    assert!(
        run.err.starts_with("\"pre\u{fffd}load\" is not"),
        "{:?}",
        run.err
    );
    // The name of a file is no part of a job: it is shown with the character replaced.
    let run = tool_in(&crate::support::root(), &["check", "no\u{1b}[2Jsuch.toml"]);
    assert!(
        run.err
            .starts_with("no\u{fffd}[2Jsuch.toml: there is no such file"),
        "{:?}",
        run.err
    );
}

#[test]
fn what_a_person_wrote_is_no_markup() {
    for (text, shown) in [
        ("<script>", "\\<script>"),
        (
            "**big** _a_ snake_case",
            "\\*\\*big\\*\\* \\_a\\_ snake_case",
        ),
        ("[x](http://y)", "[x]\\(http://y)"),
        ("[id]: http://y", "[id]\\: http://y"),
        ("# heading", "\\# heading"),
        ("1. first", "1\\. first"),
        ("1.37 in x 24 tpi", "1.37 in x 24 tpi"),
        ("-0.15 mm", "-0.15 mm"),
        ("- x", "\\- x"),
        ("--- x", "\\--- x"),
        ("= 12 N", "= 12 N"),
        ("==", "\\=="),
        ("~ 1", "~ 1"),
        ("~~a~~", "\\~\\~a\\~\\~"),
        ("C:\\x", "C:\\\\x"),
        ("read by `compare`", "read by `compare`"),
        ("one ` alone", "one \\` alone"),
    ] {
        assert_eq!(markdown(text), shown);
    }
    let row = vec![vec!["a|b <i>".to_string()]];
    let table = Layout::Markdown.table(&["Name"], &row, &[]);
    assert!(table.ends_with("| a\\|b \\<i> |\n"), "{table}");
    let title = DEMO_JOB.replace("title = \"Moulded", "title = \"<img src=x>|Moulded");
    let out = tool_on(&title, "check", &["--format", "markdown"]).out;
    assert!(out.contains("\n\\<img src=x>|Moulded"), "{out}");
}

#[test]
fn every_line_fits_and_no_id_is_split() {
    let folder = tempfile::tempdir().expect("a folder");
    let deep = "a-folder-with-a-long-name/".repeat(6);
    std::fs::create_dir_all(folder.path().join(&deep)).expect("folders");
    let ids: Vec<&str> = CheckId::ALL.iter().map(|c| c.id()).collect();
    for (name, text) in [
        ("demonstration", DEMO_JOB),
        ("boss", BOSS),
        ("sleeve", SLEEVE),
    ] {
        let path = format!("{deep}{name}.toml");
        std::fs::write(folder.path().join(&path), text).expect("a job");
        for command in ["check", "torque", "bond", "repair", "seat"] {
            for units in ["metric", "imperial"] {
                let out = tool_in(folder.path(), &[command, &path, "--units", units]).out;
                for line in out.lines() {
                    assert!(line.chars().count() <= 80, "{command} {units}: {line}");
                    let open = line.rfind('[').filter(|at| !line[*at..].contains(']'));
                    let tail = open.map_or("", |at| line[at + 1..].trim_end());
                    assert!(
                        tail.is_empty() || !ids.iter().any(|id| id.starts_with(tail)),
                        "{command} {units}: an id is split: {line}"
                    );
                }
            }
        }
    }
}

#[test]
fn torque_names_its_verdict_and_its_code_agrees() {
    for (entries, code) in [
        (vec![], 0),
        (vec!["condition.no_crack=unknown"], 4),
        (vec!["condition.no_crack=false"], 1),
        (vec!["tightening.torque=60 N·m"], 1),
        (vec!["tightening.lubrication=dry"], 1),
    ] {
        let run = tool_on(DEMO_JOB, "torque", &set(&entries));
        assert_eq!(run.code, code, "{entries:?}");
        let (report, _) = json_on(DEMO_JOB, "torque", &set(&entries));
        let verdict = report["verdict"].as_str().expect("a verdict");
        assert!(
            run.out.replace('\n', " ").contains(&format!(": {verdict}")),
            "{entries:?}: {}",
            run.out
        );
        let aim = &report["window"]["aim"];
        assert_eq!(
            aim.is_object(),
            code == 0 || entries == ["tightening.torque=60 N·m"]
        );
    }
}
