//! The command `sweep`: its rows against `check`, its ends against `torque`, its order, its end.

use crate::support::{Run, command, ids, json_on, keep, promises, root, tool, tool_in};
use insertwright::cli::DEMO_JOB;
use serde_json::Value;
use std::io::{BufRead, BufReader, Read};
use std::process::Stdio;

const OUTBOARD: &str = "fitting.bearing_outboard=0mm..12mm:13";

fn json(args: &[&str]) -> Value {
    json_on(DEMO_JOB, "sweep", args).0
}

fn csv(args: &[&str]) -> (Vec<String>, Vec<String>) {
    let mut all = vec!["sweep", "--format", "csv"];
    all.extend(args);
    let run = tool(&all);
    assert!([0, 1, 4].contains(&run.code), "{}", run.err);
    run.out
        .lines()
        .map(str::to_string)
        .partition(|l| l.starts_with('#'))
}

#[test]
fn a_row_is_what_check_says_there() {
    let stated = json_on(DEMO_JOB, "check", &[]).0;
    let checks = ids(&stated["checks"]);
    let values: Vec<&str> = stated["values"]
        .as_object()
        .expect("values")
        .keys()
        .map(String::as_str)
        .collect();
    assert!(checks.len() > 10 && values.len() > 40);
    let ids = checks.iter().chain(&values).copied().chain([
        "window.low",
        "window.high",
        "window.bounds.seat.open",
        "margin",
    ]);
    let mut args = vec![
        "--vary",
        "insert.length=26mm..34mm:2",
        "--vary",
        "tightening.torque=8N·m..40N·m:2",
    ];
    let ids: Vec<&str> = ids.collect();
    ids.iter().for_each(|id| args.extend(["--of", id]));
    let swept = json(&args);
    for (row, [length, torque]) in swept["rows"].as_array().expect("rows").iter().zip([
        ["26", "8"],
        ["26", "40"],
        ["34", "8"],
        ["34", "40"],
    ]) {
        let set = [
            format!("insert.length={length} mm"),
            format!("tightening.torque={torque} N·m"),
        ];
        let there = json_on(DEMO_JOB, "check", &["--set", &set[0], "--set", &set[1]]).0;
        let same = |id: &str, got: &Value, want: &Value| match (got.as_f64(), want.as_f64()) {
            (Some(a), Some(b)) => assert!((a - b).abs() <= 1e-12 * b.abs(), "{id}: {a} {b}"),
            (None, None) => {}
            _ => panic!("{id}: {got} {want}"),
        };
        for (id, got) in ids.iter().zip(&row.as_array().expect("a row")[2..]) {
            let check = there["checks"]
                .as_array()
                .expect("checks")
                .iter()
                .find(|c| c["id"] == *id);
            let bounds = there["window"]["bounds"].as_array().expect("bounds");
            match (*id, check) {
                ("window.low", _) => same(id, got, &there["window"]["low"]["value"]),
                ("window.high", _) => same(id, got, &there["window"]["high"]["value"]),
                ("window.bounds.seat.open", _) => same(
                    id,
                    got,
                    &bounds
                        .iter()
                        .find(|b| b["id"] == "seat.open")
                        .map_or(Value::Null, |b| b["torque"]["value"].clone()),
                ),
                ("margin", _) => {
                    let governing = there["governing"].as_str().expect("a check");
                    let check = there["checks"]
                        .as_array()
                        .expect("checks")
                        .iter()
                        .find(|c| c["id"] == governing);
                    same(id, got, &check.expect("it is there")["margin"]);
                }
                (_, Some(check)) => same(id, got, &check["ratio"]),
                _ => same(id, got, &there["values"][*id]["value"]),
            }
        }
        let verdict = &row.as_array().expect("a row")[ids.len() + 2];
        assert_eq!(*verdict, there["verdict"]);
    }
}

#[test]
fn rows_stand_in_order_and_say_where_they_come_from() {
    let (head, rows) = csv(&[
        "--vary",
        "tightening.torque=10N·m..30N·m:3",
        "--vary",
        "bond.coldest=-10°C..0°C:2",
        "--of",
        "preload.high",
        "--of",
        "hoop",
    ]);
    assert!(head[0].starts_with("# caution maker-first: "));
    for what in ["# precondition: ", "# assumed: ", "# not examined: "] {
        assert!(head.iter().any(|l| l.starts_with(what)), "{what}");
    }
    assert_eq!(
        rows[0],
        "job,tightening.torque [N·m],bond.coldest [°C],preload.high [N],hoop,verdict,remark"
    );
    let begins: Vec<String> = rows[1..]
        .iter()
        .map(|r| r.split(',').take(3).collect::<Vec<_>>().join(","))
        .collect();
    let want = ["10,-10", "10,0", "20,-10", "20,0", "30,-10", "30,0"]
        .map(|r| format!("demonstration,{r}"));
    assert_eq!(begins, want);
    // What is varied is not assumed, and what is left out has a usual number of values.
    assert!(!head.iter().any(|l| l.contains("assumed: bond.coldest")));
    let (_, rows) = csv(&["--vary", "pedalling.crank_angle=0deg..90deg"]);
    assert_eq!(rows.len(), 12);
}

#[test]
fn json_has_its_shape() {
    let swept = json(&["--vary", "tightening.torque=30N·m..50N·m:3", "--of", "neck"]);
    assert_eq!(swept["schema"], "insertwright/1");
    assert_eq!(swept["command"], "sweep");
    assert_eq!(swept["vary"][0]["path"], "tightening.torque");
    assert_eq!(swept["vary"][0]["stated"], 40.0);
    assert_eq!(
        swept["of"][0],
        serde_json::json!({"id": "neck", "unit": "none"})
    );
    assert_eq!(swept["rows"].as_array().map(Vec::len), Some(3));
    assert_eq!(swept["points"]["done"], 3);
    for key in [
        "preconditions",
        "assumed",
        "overrides",
        "not_examined",
        "cautions",
    ] {
        assert!(swept[key].is_array(), "{key}");
    }
}

#[test]
fn solve_agrees_with_the_window() {
    // Without the maker's range other limits end the window.
    let job = DEMO_JOB
        .lines()
        .filter(|l| !l.starts_with("maker_torque"))
        .collect::<Vec<_>>()
        .join("\n");
    for job in [DEMO_JOB, &job] {
        let window = &json_on(job, "torque", &[]).0["window"];
        let solved =
            &json_on(job, "sweep", &["--solve", "tightening.torque"]).0["solve"][0]["keeps"];
        assert_eq!(solved.as_array().map(Vec::len), Some(1));
        for end in ["low", "high"] {
            let (a, b) = (
                solved[0][end]["value"].as_f64(),
                window[end]["value"].as_f64(),
            );
            let (a, b) = (a.expect("an end"), b.expect("an end"));
            assert!((a - b).abs() < 1e-6 * b, "{end}: {a} {b}");
            assert_eq!(solved[0][end]["ended_by"], window[end]["governed_by"]);
        }
    }
}

#[test]
fn solve_says_what_ends_it_and_what_is_best() {
    let solved = &json(&["--solve", "insert.outer_diameter"])["solve"][0];
    assert_eq!(solved["keeps"][0]["low"]["ended_by"], "bond.endurance");
    assert_eq!(solved["keeps"][0]["high"]["ended_by"], "impossible");
    // An end put back keeps its margins, and a little beyond it something falls short.
    let low = solved["keeps"][0]["low"]["value"].as_f64().expect("an end");
    for (factor, short) in [(1.0 + 1e-9, false), (1.0 - 1e-6, true)] {
        let set = format!("insert.outer_diameter={} mm", low * factor);
        let verdict = json_on(DEMO_JOB, "check", &["--set", &set]).0["verdict"].clone();
        assert_eq!(verdict == "falls short", short, "{factor}");
    }
    let (none, code) = json_on(
        DEMO_JOB,
        "sweep",
        &["--solve", "tightening.torque=60N·m..90N·m"],
    );
    assert_eq!(code, 1);
    let best = &none["solve"][0]["best"];
    assert_eq!(best["falls_short"], "torque.maker");
    assert!((best["value"].as_f64().expect("a value") - 60.0).abs() < 1e-3);
    let open = &json(&["--solve", "fitting.bearing_outboard=-5mm..5mm"])["solve"][0]["keeps"][0];
    assert_eq!(open["low"]["ended_by"], Value::Null);
    assert_eq!(open["high"]["value"], 5.0);
}

#[test]
fn any_number_of_threads_gives_the_same() {
    let args = [
        "--vary",
        "tightening.torque=10N·m..60N·m:71",
        "--vary",
        "pedalling.force=200N..2000N:83",
        "--threads",
    ];
    let of = |threads: &str| {
        let mut all = args.to_vec();
        all.push(threads);
        csv(&all)
    };
    let one = of("1");
    assert_eq!(one.1.len(), 71 * 83 + 1);
    assert_eq!(one, of("2"));
    assert_eq!(one, of("7"));
}

#[test]
fn what_cannot_be_is_listed_and_counted() {
    let args = [
        "--vary",
        "insert.outer_diameter=30mm..42mm:4",
        "--of",
        "hoop",
    ];
    let (_, rows) = csv(&args);
    assert!(
        rows[1].ends_with(",,impossible,an insert of 30 mm is smaller than its thread of 34.8 mm"),
        "{}",
        rows[1]
    );
    assert_eq!(rows.len(), 5);
    let swept = json(&args);
    assert_eq!(swept["points"]["impossible"], 2);
    assert_eq!(swept["rows"][0][2], "impossible");
    // An entry without a short way gives the same, only slower.
    let slow = tool(&[
        "sweep",
        "--vary",
        "frame.width_min=60mm..70mm:2",
        "--of",
        "hoop",
    ]);
    assert!(slow.out.contains("read anew"), "{}", slow.out);
}

#[test]
fn both_sides_have_their_columns() {
    let run = tool(&[
        "sweep",
        "valid/two-sides.toml",
        "--vary",
        "side[0].fitting.bearing_outboard=0mm..8mm:2",
        "--of",
        "neck",
        "--format",
        "csv",
    ]);
    let head = run
        .out
        .lines()
        .find(|l| l.starts_with("job,"))
        .expect("names");
    assert!(
        head.contains("drive: neck,non-drive: neck,verdict"),
        "{head}"
    );
}

#[test]
fn calls_that_are_wrong() {
    let wrong: [&[&str]; 12] = [
        &[],
        &["--vary", "tightening.torque"],
        &["--vary", "tightening.torque=10..60:3"],
        &["--vary", "tightening.torque=60N·m..10N·m:3"],
        &["--vary", "tightening.torque=10N·m..60N·m:0"],
        &["--vary", "tightening.torqe=10N·m..60N·m:3"],
        &["--vary", "tightening.lubrication=dry"],
        &["--vary", "tightening.torque=10N·m..60N·m:1000000000000"],
        &["--vary", "tightening.torque=10N·m..60N·m:1000000"],
        &["--vary", OUTBOARD, "--of", "hop"],
        &["--vary", OUTBOARD, "--vary", OUTBOARD],
        &["--solve", "bond.hottest"],
    ];
    let mut said = String::new();
    for args in wrong {
        let mut all = vec!["sweep"];
        all.extend(args);
        let run = tool(&all);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{args:?}");
        said.push_str(&format!("{}\n", run.err.trim_end()));
    }
    keep("sweep-wrong-calls", &said);
}

#[test]
fn what_is_printed_is_kept() {
    let body = |run: Run| {
        assert!(promises(&run.out).is_empty());
        let from = run
            .out
            .find("hat if")
            .or(run.out.find("HAT IF"))
            .unwrap_or(0);
        let end = run
            .out
            .to_lowercase()
            .find("assumed, because")
            .expect("the end of a report");
        let markdown = run.out.starts_with('#');
        assert!(markdown || run.out.lines().all(|l| l.chars().count() <= 80));
        run.out[from..end].to_string()
    };
    keep(
        "sweep-one",
        &body(tool(&[
            "sweep",
            "--vary",
            OUTBOARD,
            "--solve",
            "tightening.torque",
        ])),
    );
    let two = [
        "sweep",
        "--vary",
        "tightening.torque=30N·m..55N·m:6",
        "--vary",
        OUTBOARD,
        "--units",
        "imperial",
    ];
    keep("sweep-two", &body(tool(&two)));
    let markdown = [
        "sweep",
        "--vary",
        "insert.outer_diameter=30mm..56mm:5",
        "--of",
        "hoop",
        "--format",
        "markdown",
    ];
    keep("sweep-markdown", &body(tool(&markdown)));
    let refused = tool(&["sweep", "valid/cracked.toml", "--vary", OUTBOARD]);
    assert_eq!(refused.code, 1);
    assert!(!refused.out.contains("margin over"));
}

#[test]
fn a_file_is_whole_or_not_there() {
    let folder = tempfile::tempdir().expect("a folder");
    let args = [
        "sweep", "--vary", OUTBOARD, "--format", "csv", "-o", "out.csv",
    ];
    assert_eq!(tool_in(folder.path(), &args).code, 1);
    let text = std::fs::read_to_string(folder.path().join("out.csv")).expect("the file");
    assert_eq!(text.lines().filter(|l| !l.starts_with('#')).count(), 14);
    assert_eq!(tool_in(folder.path(), &args).code, 2);
    assert_eq!(
        std::fs::read_dir(folder.path())
            .expect("the folder")
            .count(),
        1
    );
}

/// The program at work, its outputs in pipes.
fn started(args: &[&str]) -> std::process::Child {
    let mut program = command(&root());
    program
        .args(args)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    program.spawn().expect("the program starts")
}

/// On the real program: what is done so far is given, and said to be so.
#[cfg(unix)]
#[test]
fn an_interrupted_sweep_gives_what_it_has() {
    let mut child = started(&[
        "sweep",
        "--vary",
        "tightening.torque=10N·m..60N·m:1000000",
        "--vary",
        "pedalling.force=100N..2000N:9000",
        "--format",
        "csv",
    ]);
    let mut out = BufReader::new(child.stdout.take().expect("a pipe"));
    let mut text = String::new();
    for _ in 0..500 {
        out.read_line(&mut text).expect("a line");
    }
    let pid = child.id().to_string();
    assert!(
        std::process::Command::new("kill")
            .args(["-INT", &pid])
            .status()
            .expect("kill")
            .success()
    );
    out.read_to_string(&mut text).expect("the rest");
    let output = child.wait_with_output().expect("the program ends");
    assert_eq!(output.status.code(), Some(3));
    let rows = text
        .lines()
        .filter(|l| l.starts_with("demonstration,"))
        .count();
    let last = text.lines().last().expect("a line");
    assert_eq!(last, format!("# interrupted: {rows} of 9000000000 points"));
    assert!(
        String::from_utf8_lossy(&output.stderr).contains(&format!("{rows} of 9000000000 points"))
    );
}

/// A reader that has seen enough ends it, and that is no error.
#[test]
fn a_reader_that_goes_away() {
    let mut child = started(&[
        "sweep",
        "--vary",
        "tightening.torque=40N·m..45N·m:1000000",
        "--format",
        "csv",
    ]);
    let mut line = String::new();
    BufReader::new(child.stdout.take().expect("a pipe"))
        .read_line(&mut line)
        .expect("a line");
    let output = child.wait_with_output().expect("the program ends");
    assert_eq!(
        output.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    assert!(output.stderr.is_empty());
}
