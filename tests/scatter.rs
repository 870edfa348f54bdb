//! The commands `scatter` and `merge`.

use crate::support::{command, json_on, keep, root, six_figures, tool_in, tool_on, tool_with};
use insertwright::cli::DEMO_JOB;
use serde_json::Value;

/// A boss without loads whose neck, with what is required of it, has the lowest margin in every sample: torque,
/// preload and margin are then formulas that can be written down apart from the program.
const BOSS: &str = include_str!("../src/cli/starters/boss.toml");
const NECK_ALONE: [&str; 8] = [
    "--set",
    "need.neck=20",
    "--set",
    "loads.axial=0 N",
    "--set",
    "loads.radial=0 N",
    "--set",
    "loads.moment=0 N·m",
];

fn number(value: &Value, path: &[&str]) -> f64 {
    let found = path.iter().try_fold(value, |v, key| v.get(key));
    let number = found.and_then(Value::as_f64);
    number.unwrap_or_else(|| panic!("{path:?} is no number in {value:#}"))
}

fn boss(set: &[&str], args: &[&str]) -> Value {
    let mut all = NECK_ALONE.to_vec();
    // The annealed row: what the expected figures were worked out with.
    for entry in ["fitting.material=stainless 304"].iter().chain(set) {
        all.extend(["--set", entry]);
    }
    all.extend(args);
    json_on(BOSS, "scatter", &all).0
}

/// With friction that is known, preload is proportional to torque: a normal torque makes a normal preload, cut as the
/// torque is, and all its moments are known.
#[test]
fn moments_of_preload_from_a_normal_torque() {
    let fixed = [
        "tightening.thread_friction=0.12",
        "tightening.seat_friction=0.14",
    ];
    let (checked, _) = json_on(
        BOSS,
        "check",
        &[
            "--set",
            fixed[0],
            "--set",
            fixed[1],
            "--set",
            "tightening.torque=5 ± 0 N·m",
        ],
    );
    let at_nominal = number(&checked, &["values", "preload.nominal", "value"]);
    let found = boss(
        &[fixed[0], fixed[1], "tightening.torque=5 ± 0.4 N·m"],
        &["--samples", "20000", "--contributors", "0"],
    );
    let of = |key| number(&found, &["values", "preload.nominal", key]) / at_nominal;
    // One standard deviation is 0.2 of 5 N·m; the cut at four takes 0.107 % off the variance. Tolerances: four standard
    // errors of 20 000 samples.
    let sigma = 0.04;
    assert!((of("median") - 1.0).abs() < 4.0 * 1.2533 * sigma / 20_000f64.sqrt());
    assert!((of("mean") - 1.0).abs() < 4.0 * sigma / 20_000f64.sqrt());
    assert!((of("deviation") / sigma - 0.998930f64.sqrt()).abs() < 4.0 / 40_000f64.sqrt());
    let end = 4.0 * sigma * (0.025f64 * 0.975 / 20_000.0).sqrt() / 0.058_45;
    assert!((of("low") - (1.0 - 1.959964 * sigma)).abs() < end);
    assert!((of("high") - (1.0 + 1.959964 * sigma)).abs() < end);
    // Torque itself, and a band that loses nothing: high and low are the same draw.
    let high = number(&found, &["values", "preload.high", "median"]);
    assert!((high / at_nominal - of("median")).abs() < 1e-12);
}

/// Against general-purpose libraries fed with the helix formulas of the basis, written anew in NumPy 2.4.6: quantiles of
/// 20 million draws with SciPy 1.17.1 (`truncnorm` cut at 4, `uniform`), indices with SALib 1.6.0 (`sample.sobol`,
/// 2^17 points, `analyze.sobol`; its confidence half-widths 0.007 and less), first-order propagation with
/// uncertainties 3.2.3.
#[test]
fn agrees_with_general_uncertainty_libraries() {
    let spread = [
        "tightening.torque=5 ± 0.4 N·m",
        "tightening.thread_friction=0.10 .. 0.16",
        "tightening.seat_friction=0.08 .. 0.18",
    ];
    let found = boss(&spread, &["--samples", "20000", "--contributors", "1024"]);
    let near = |path: &[&str], expected: f64, tolerance: f64| {
        let value = number(&found, path);
        assert!(
            (value - expected).abs() < tolerance,
            "{path:?}: {value} instead of {expected}"
        );
    };
    // Four standard errors of 20 000 samples around SciPy's 20 million.
    near(&["values", "preload.nominal", "median"], 4264.806, 22.0);
    near(&["values", "preload.nominal", "low"], 3421.560, 16.0);
    near(&["values", "preload.nominal", "high"], 5552.238, 60.0);
    near(&["values", "preload.nominal", "mean"], 4332.614, 17.0);
    near(&["values", "preload.nominal", "deviation"], 578.386, 12.0);
    near(&["lowest_margin", "median"], -0.966_477, 2e-4);
    near(&["lowest_margin", "low"], -0.973_462, 2e-4);
    near(&["lowest_margin", "high"], -0.959_019, 2e-4);
    for (input, first, total) in [
        ("tightening.torque", 0.107_79, 0.109_23),
        ("tightening.thread_friction", 0.004_26, 0.005_60),
        ("tightening.seat_friction", 0.885_19, 0.887_95),
    ] {
        let list = found["contributors"].as_array().expect("a list");
        let one = list.iter().find(|c| c["input"] == input).expect("an input");
        assert!(
            (number(one, &["first"]) - first).abs() < 0.01,
            "{one} {first}"
        );
        assert!(
            (number(one, &["total"]) - total).abs() < 0.01,
            "{one} {total}"
        );
    }
    // Narrow spreads, where first order is enough: 4265.2049 ± 32.7334 N.
    let narrow = [
        "tightening.torque=5 ± 0.04 N·m",
        "tightening.thread_friction=0.13 ± 0.002",
        "tightening.seat_friction=0.13 ± 0.003",
    ];
    let found = boss(&narrow, &["--samples", "20000", "--contributors", "0"]);
    let of = |key| number(&found, &["values", "preload.nominal", key]);
    assert!((of("mean") - 4265.2049).abs() < 1.5);
    assert!((of("deviation") - 32.7334).abs() < 0.8);
}

/// The same seed gives the same bytes on any number of threads; parts put together, in any order, give them too, below
/// and above the size up to which numbers are kept.
#[test]
fn threads_and_parts_give_the_same_bytes() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = |args: &[&str]| tool_in(folder.path(), args);
    for (samples, points) in [("700", "64"), ("20480", "0")] {
        let seeded = |seed| {
            let sizes = ["--samples", samples, "--contributors", points];
            [&["scatter"], &sizes[..], &["--seed", seed]].concat()
        };
        let study = seeded("7");
        let whole = run(&[&study[..], &["--format", "json", "--threads", "1"]].concat());
        assert_eq!(whole.code, 0, "{}", whole.err);
        let three = run(&[&study[..], &["--format", "json", "--threads", "3"]].concat());
        assert_eq!(three, whole);
        let other = run(&[&seeded("8")[..], &["--format", "json"]].concat());
        assert_ne!(other.out, whole.out);
        let names: Vec<String> = (1..=3).map(|k| format!("{samples}-{k}.json")).collect();
        for (k, name) in names.iter().enumerate() {
            let part = format!("{}/3", k + 1);
            let threads = (k + 1).to_string();
            let done = run(&[
                &study[..],
                &["--part", &part, "--threads", &threads, "-o", name],
            ]
            .concat());
            assert_eq!((done.code, done.out.as_str()), (0, ""), "{}", done.err);
        }
        let merged = run(&["merge", &names[2], &names[0], &names[1], "--format", "json"]);
        assert_eq!(merged, whole);
        let text = run(&["merge", &names[0], &names[1], &names[2]]);
        assert_eq!(text, run(&study));
    }
}

/// What does not belong together is refused, with what to do.
#[test]
fn merge_takes_only_what_belongs_together() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = |args: &[&str]| tool_in(folder.path(), args);
    let part = |name: &str, more: &[&str]| {
        let study = [
            "scatter",
            "--samples",
            "600",
            "--contributors",
            "0",
            "-o",
            name,
        ];
        let done = run(&[&study[..], more].concat());
        assert_eq!(done.code, 0, "{}", done.err);
    };
    part("1.json", &["--part", "1/2"]);
    part("2.json", &["--part", "2/2"]);
    part("seed.json", &["--part", "2/2", "--seed", "5"]);
    part(
        "job.json",
        &["--part", "2/2", "--set", "thread.engaged=11 mm"],
    );
    part("three.json", &["--part", "2/3"]);
    let refused = |files: &[&str], says: &str| {
        let done = run(&[&["merge"], files].concat());
        assert_eq!((done.code, done.out.as_str()), (2, ""), "{files:?}");
        assert!(done.err.contains(says), "{files:?}: {}", done.err);
    };
    refused(&["1.json"], "missing: part 2/2");
    refused(&["1.json", "1.json"], "already");
    refused(&["1.json", "seed.json"], "another seed");
    refused(&["1.json", "job.json"], "other overrides");
    refused(&["1.json", "three.json"], "another number of parts");
    refused(&["1.json", "nowhere.json"], "cannot be read");
    std::fs::write(folder.path().join("job.toml"), DEMO_JOB).expect("written");
    refused(&["1.json", "job.toml"], "no part of a study");
    // Counts that cannot be: more samples drawn than the part has.
    let text = std::fs::read_to_string(folder.path().join("2.json")).expect("a part");
    for (from, to) in [
        ("\"drawn\":344", "\"drawn\":345"),
        ("\"chunks\":{\"start\":1", "\"chunks\":{\"start\":0"),
        ("\"version\":\"", "\"version\":\"9"),
    ] {
        assert!(text.contains(from), "{from} in {}", &text[..2000]);
        std::fs::write(folder.path().join("bent.json"), text.replacen(from, to, 1))
            .expect("written");
        let done = run(&["merge", "1.json", "bent.json"]);
        assert_eq!((done.code, done.out.as_str()), (2, ""), "{from}");
    }
    let many = run(&["scatter", "--samples", "600", "--part", "1/9"]);
    assert!(
        many.code == 2 && many.err.contains("too few"),
        "{}",
        many.err
    );
    let outside = run(&["scatter", "--part", "3/2"]);
    assert!(
        outside.code == 2 && outside.err.contains("no part 3 of 2"),
        "{}",
        outside.err
    );
}

/// Ctrl-C ends the program itself with what is done so far, and says so.
#[cfg(unix)]
#[test]
fn an_interrupted_study_prints_what_it_has() {
    let interrupted = |args: &[&str]| {
        let mut child = command(&root());
        let child = child
            .args([
                "scatter",
                "--samples",
                "100000000",
                "--contributors",
                "64",
                "--threads",
                "2",
            ])
            .args(args)
            .stdout(std::process::Stdio::piped())
            .stderr(std::process::Stdio::piped())
            .spawn()
            .expect("the program starts");
        std::thread::sleep(std::time::Duration::from_millis(1500));
        let signal = std::process::Command::new("kill")
            .args(["-INT", &child.id().to_string()])
            .status();
        assert!(signal.expect("a signal").success());
        child.wait_with_output().expect("the program ends")
    };
    let ended = interrupted(&["--format", "json"]);
    assert_eq!(ended.status.code(), Some(3));
    let found: Value = serde_json::from_slice(&ended.stdout).expect("whole JSON");
    let drawn = number(&found, &["samples"]);
    assert!(drawn > 100.0 && drawn < 1e8, "{drawn}");
    assert_eq!(number(&found, &["ended_before"]), 1e8);
    assert!(number(&found, &["values", "preload.nominal", "median"]) > 0.0);
    assert_eq!(found["contributors"], serde_json::json!([]));
    let err = String::from_utf8_lossy(&ended.stderr);
    assert!(err.contains("ENDED BEFORE ITS TIME"), "{err}");
    // Half a part would be taken for a whole one.
    let part = interrupted(&["--part", "1/2"]);
    assert_eq!((part.status.code(), part.stdout.len()), (Some(3), 0));
    assert!(String::from_utf8_lossy(&part.stderr).contains("no part was written"));
}

/// Draws that cannot be are counted by reason and are in none of the figures.
#[test]
fn bad_draws_are_counted() {
    let args = [
        "--set",
        "bond.thickness=0.05 ± 0.05 mm",
        "--samples",
        "2000",
        "--contributors",
        "64",
    ];
    let (found, _) = json_on(DEMO_JOB, "scatter", &args);
    let bad = found["bad"].as_object().expect("reasons");
    let total: f64 = bad.values().filter_map(Value::as_f64).sum();
    // 2.275 % of a normal lie two standard deviations below its middle.
    assert!((total / 2000.0 - 0.02275).abs() < 0.014, "{bad:?}");
    assert!(
        bad.keys().all(|why| why.contains("bond.thickness")),
        "{bad:?}"
    );
    let left_out = &found["method"]["contributor_points_left_out"];
    assert!(
        left_out.as_object().is_some_and(|l| !l.is_empty()),
        "{left_out}"
    );
    let run = tool_on(DEMO_JOB, "scatter", &args);
    assert!(
        run.out
            .contains(&format!("{total} of 2000 draws gave no result")),
        "{}",
        run.out
    );
}

/// A precondition that is not known is no matter of chance: the figures are the same, and it stands beside them.
#[test]
fn preconditions_stand_beside_the_figures() {
    let args = ["--samples", "300", "--contributors", "0"];
    let (known, code) = json_on(DEMO_JOB, "scatter", &args);
    assert_eq!(code, 0);
    for (state, expected) in [("unknown", 4), ("false", 1)] {
        let set = format!("condition.cured={state}");
        let (open, code) = json_on(DEMO_JOB, "scatter", &[&args[..], &["--set", &set]].concat());
        assert_eq!(code, expected, "{state}");
        assert_eq!(open["falls_short"], known["falls_short"]);
        assert_eq!(open["lowest_margin"], known["lowest_margin"]);
        assert!(open["preconditions"].to_string().contains("unknown") || state == "false");
    }
    // A crack forbids any figure.
    let (refused, code) = json_on(
        DEMO_JOB,
        "scatter",
        &[&args[..], &["--set", "condition.no_crack=false"]].concat(),
    );
    assert_eq!(
        (code, &refused["refused"], number(&refused, &["samples"])),
        (1, &Value::Bool(true), 0.0)
    );
    for key in ["values", "ratios", "falls_short"] {
        assert_eq!(refused[key], serde_json::json!({}), "{key}");
    }
    let run = tool_on(DEMO_JOB, "scatter", &["--set", "condition.no_crack=false"]);
    assert!(
        run.code == 1 && run.out.contains("was drawn"),
        "{}",
        run.out
    );
    assert!(!run.out.contains("RESERVE"));
}

/// Where a micron decides what bears, the chance counts the worst way, as `check` does.
#[test]
fn the_worst_way_of_bearing_counts() {
    let args = |offset: &str, samples: &str| {
        let set = format!("insert.face_offset={offset}");
        let all = [
            "--set",
            &set,
            "--set",
            "fitting.flange_diameter=50 mm",
            "--samples",
            samples,
            "--contributors",
            "0",
        ];
        json_on(DEMO_JOB, "scatter", &all).0
    };
    let (open, proud) = (args("0.01 mm", "300"), args("0.15 mm", "300"));
    let frame = args("-0.15 mm", "300");
    let chance = |v: &Value, id: &str| v["falls_short"][id]["probability"].as_f64().unwrap_or(0.0);
    let mut differs = false;
    for id in [
        "bond.tightening",
        "bond.service.cold",
        "bond.sustained",
        "seat.open",
    ] {
        let worst = chance(&proud, id).max(chance(&frame, id));
        assert!(chance(&open, id) >= worst - 1e-12, "{id}");
        differs |= chance(&open, id) > chance(&proud, id);
    }
    assert!(differs, "nothing depends on what bears");
}

/// Feeler readings are drawn one by one, with the seat's stiffness, which has no source.
#[test]
fn gaps_and_the_seats_stiffness_are_drawn() {
    let args = [
        "--set",
        "seat.gap[0].at=4:30",
        "--set",
        "seat.gap[0].gap=0.00 .. 0.04 mm",
        "--set",
        "seat.gap[1].at=10:30",
        "--set",
        "seat.gap[1].gap=0 mm",
        "--set",
        "need.seat_open=2",
        "--samples",
        "60",
        "--contributors",
        "32",
    ];
    let run = tool_on(DEMO_JOB, "scatter", &args);
    assert!(run.out.contains("seat.gap[0].gap (4:30)"), "{}", run.out);
    assert!(run.out.contains("seat stiffness factor"), "{}", run.out);
    assert!(!run.out.contains("seat.gap[1].gap   "), "{}", run.out);
    assert!(run.out.contains("the gap at 4:30 decides"), "{}", run.out);
    assert!(run.out.contains("read it again"), "{}", run.out);
}

/// Where the job as stated falls short of nothing, yet most samples do, what they fall short of is named, not what
/// `check` finds lowest.
#[test]
fn what_falls_short_most_often_is_named() {
    let mut args = vec!["--samples", "200", "--contributors", "0"];
    let sets: Vec<String> = [
        "12:00", "1:30", "3:00", "4:30", "6:00", "7:30", "9:00", "10:30",
    ]
    .iter()
    .enumerate()
    .flat_map(|(i, at)| {
        [
            format!("seat.gap[{i}].at={at}"),
            format!("seat.gap[{i}].gap=0 .. 0.06 mm"),
        ]
    })
    .collect();
    sets.iter().for_each(|set| args.extend(["--set", set]));
    let run = tool_on(DEMO_JOB, "scatter", &args);
    let flat = run.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("more than half of them. Most often it is \"Face crushes\" [seat.crush]"),
        "{flat}"
    );
    assert!(!flat.contains("Do first"), "{flat}");
}

/// Two sides: each with its own figures, the worse on top, one draw for what they share.
#[test]
fn two_sides() {
    let job =
        std::fs::read_to_string(root().join("tests/jobs/valid/two-sides.toml")).expect("a job");
    let (found, _) = json_on(
        &job,
        "scatter",
        &["--samples", "300", "--contributors", "64"],
    );
    let sides = found["sides"].as_array().expect("two sides");
    assert_eq!(sides.len(), 2);
    assert_ne!(sides[0]["side"], sides[1]["side"]);
    let worse = sides
        .iter()
        .find(|s| s["side"] == found["side"])
        .expect("the worse side");
    assert_eq!(worse["values"], found["values"]);
    for side in sides {
        assert!(
            number(side, &["lowest_margin", "median"])
                >= number(&found, &["lowest_margin", "median"]) - 1e-12
        );
    }
    let run = tool_on(
        &job,
        "scatter",
        &["--samples", "300", "--contributors", "64"],
    );
    // Where even the upper end falls short, measuring better is no advice.
    assert!(
        run.out.contains("No better reading") && !run.out.contains("decides 5"),
        "{}",
        run.out
    );
    assert!(run.out.contains("THE DRIVE SIDE") && run.out.contains("THE NON-DRIVE SIDE"));
}

/// Rows of figures: cautions first, units in the header, the job in every row.
#[test]
fn csv_says_units_and_job() {
    let run = tool_with(
        &root(),
        &[
            "scatter",
            "--format",
            "csv",
            "--samples",
            "300",
            "--contributors",
            "0",
        ],
        b"",
    );
    assert_eq!(run.code, 0, "{}", run.err);
    let mut lines = run.out.lines().peekable();
    assert!(
        lines
            .peek()
            .is_some_and(|l| l.starts_with("# caution maker-first: ")),
        "{}",
        run.out
    );
    let body: Vec<&str> = lines.skip_while(|l| l.starts_with('#')).collect();
    let mut reader = csv::Reader::from_reader(body.join("\n").into_bytes().leak() as &[u8]);
    let header = reader.headers().expect("a header").clone();
    assert!(
        header.iter().any(|h| h == "preload.nominal [N]"),
        "{header:?}"
    );
    assert!(header.iter().any(|h| h == "strip.external"), "{header:?}");
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row")).collect();
    assert_eq!(rows.len(), 8);
    assert!(
        rows.iter()
            .all(|r| &r[0] == "demonstration" && &r[2] == "300" && &r[3] == "1")
    );
}

/// What a person reads, what a script reads.
#[test]
fn a_small_study_as_printed() {
    let small = ["scatter", "--samples", "500", "--contributors", "64"];
    keep("scatter", &tool_in(&root(), &small).out);
    let json = tool_in(&root(), &[&small[..], &["--format", "json"]].concat());
    keep("scatter-json", &six_figures(&json.out));
    let markdown = tool_in(&root(), &[&small[..], &["--format", "markdown"]].concat());
    assert!(markdown.out.starts_with("# insertwright scatter"));
    let imperial = tool_in(&root(), &[&small[..], &["--units", "imperial"]].concat());
    assert!(
        imperial.out.contains("lbf") && !imperial.out.contains(" N "),
        "{}",
        imperial.out
    );
}

/// Calls that make no sense are answered with what to write.
#[test]
fn wrong_calls() {
    for (args, says) in [
        (&["--samples", "0"][..], "0"),
        (&["--part", "half"][..], "1/4 for the first of four parts"),
        (&["--threads", "0"][..], "0"),
        (
            &["--samples", "600", "--part", "1/2", "--format", "csv"][..],
            "a part of a study is JSON",
        ),
        (&["--set", "insert.length=none"][..], "insert.length"),
    ] {
        let run = tool_in(&root(), &[&["scatter"], args].concat());
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{args:?}");
        assert!(run.err.contains(says), "{args:?}: {}", run.err);
    }
}

/// A sample is what `check` says of the job with the drawn figures written into it: every value, every ratio, and
/// whether it falls short.
#[test]
fn a_sample_is_what_check_says_there() {
    use insertwright::assess::scatter::Scatter;
    use insertwright::job::Document;
    use insertwright::study::draw::Draws;
    use insertwright::study::run::Model;
    use insertwright::units::Kind;

    let spread = [
        "thread.engaged=12 ± 1 mm",
        "bond.thickness=0.25 ± 0.05 mm",
        "bond.hottest=30 .. 60 °C",
        "pedalling.force=1000 ± 400 N",
        "fitting.bearing_outboard=2 .. 10 mm",
        "adhesive.\"demonstration film\".shear_strength=38 ± 6 MPa",
    ];
    let boss = [
        "tightening.torque=5 ± 0.4 N·m",
        "loads.axial=100 .. 900 N",
        "insert.length=20 ± 0.4 mm",
    ];
    let mut short = 0;
    for (job, spread) in [(DEMO_JOB, &spread[..]), (BOSS, &boss[..])] {
        let (mut document, _) = Document::parse("job", job);
        assert!(spread.iter().all(|set| document.set(set).is_empty()));
        let scatter = Scatter::new(&document).expect("a job");
        let inputs = scatter.inputs();
        assert!(inputs.len() > 4, "{inputs:?}");
        for seed in 1..=8 {
            let seed_text = seed.to_string();
            let mut args = vec![
                "--samples",
                "1",
                "--contributors",
                "0",
                "--seed",
                &seed_text,
            ];
            spread.iter().for_each(|set| args.extend(["--set", set]));
            let (sample, _) = json_on(job, "scatter", &args);
            assert_eq!(sample["bad"], serde_json::json!({}), "seed {seed}");
            let mut draws = Draws::new(seed, inputs.len());
            draws.seek(0);
            let written: Vec<String> = inputs
                .iter()
                .zip(scatter.distributions())
                .map(|(input, distribution)| {
                    let value = input.unit.of(distribution.quantile(draws.uniform()));
                    let unit = match input.unit.symbol() {
                        "none" => "",
                        symbol => symbol,
                    };
                    // A torque without a spread would have the tool's error around it.
                    let exact = if Kind::Torque.unit() == input.unit {
                        " ± 0"
                    } else {
                        ""
                    };
                    format!("{}={value}{exact} {unit}", input.path)
                })
                .collect();
            let mut args = vec![
                "--set",
                "condition.no_crack=true",
                "--set",
                "condition.not_moved=true",
            ];
            written.iter().for_each(|set| args.extend(["--set", set]));
            let (checked, _) = json_on(job, "check", &args);
            let same = |id: &str, a: f64, b: f64| {
                assert!(
                    (a - b).abs() <= 1e-9 * b.abs() + 1e-12,
                    "seed {seed}, {id}: {a} drawn, {b} written"
                );
            };
            let mut compared = 0;
            for (id, value) in checked["values"].as_object().expect("values") {
                if let (Some(a), Some(b)) = (
                    sample["values"][id]["median"].as_f64(),
                    value["value"].as_f64(),
                ) {
                    same(id, a, b);
                    compared += 1;
                }
            }
            for check in checked["checks"].as_array().expect("checks") {
                let id = check["id"].as_str().expect("an id");
                let drawn = sample["ratios"][id]["median"].as_f64();
                if let (Some(a), Some(b)) = (drawn, check["ratio"].as_f64()) {
                    same(id, a, b);
                    compared += 1;
                }
                let falls = check["verdict"] == "falls short";
                let counted = sample["falls_short"][id]["probability"].as_f64();
                assert_eq!(
                    counted.unwrap_or(0.0),
                    f64::from(u8::from(falls)),
                    "seed {seed}, {id}"
                );
                short += u32::from(falls);
            }
            assert!(compared > 60, "only {compared} figures");
        }
    }
    assert!(short > 8, "nothing falls short anywhere");
}

/// A check that some draws leave without a number says in how many, since its chance counts none of them.
#[test]
fn a_check_without_a_number_in_some_draws_says_so() {
    let args = [
        "--set",
        "bond.hottest=60 .. 100 °C",
        "--samples",
        "400",
        "--contributors",
        "0",
    ];
    let (found, _) = json_on(DEMO_JOB, "scatter", &args);
    let absent = number(&found, &["ratios", "bond.service.hot", "absent"]);
    assert!((absent / 400.0 - 0.5).abs() < 0.1, "{absent}");
    let run = tool_on(DEMO_JOB, "scatter", &args);
    let flat = run.out.replace('\n', " ");
    assert!(
        flat.contains(&format!("bond.service.hot in {absent} of 400")),
        "{flat}"
    );
}

/// What stands in the way of the result shows before the work, not after hours of it.
#[test]
fn a_file_in_the_way_is_told_before_the_work() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("there"), "kept").expect("written");
    for more in [
        &["--part", "1/2"][..],
        &[],
        &["--part", "1/2", "--format", "csv"],
    ] {
        let args = ["scatter", "--samples", "100000000000", "-o", "there"];
        let run = tool_in(folder.path(), &[&args[..], more].concat());
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{more:?}");
    }
    let text = std::fs::read_to_string(folder.path().join("there"));
    assert_eq!(text.expect("the file"), "kept");
}
