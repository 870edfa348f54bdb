//! `spindle` from the outside: exact values, words, widths, refusals.

use crate::support::{json_on, tool_on};

const STARTER: &str = include_str!("../src/cli/starters/damaged-sleeve.toml");
const READY: &str =
    "[condition]\nno_crack = true\nnot_moved = true\nno_crash = true\nunregulated_use = true\n";

fn json(job: &str) -> (serde_json::Value, i32) {
    json_on(job, "spindle", &[])
}
fn value(report: &serde_json::Value, id: &str) -> f64 {
    report["values"][id]["value"]
        .as_f64()
        .unwrap_or_else(|| panic!("no {id}"))
}
fn close(got: f64, want: f64) {
    assert!((got - want).abs() < 1e-9, "{got} against {want}");
}
/// A spindle of one size in a bearing of 24 mm, class Normal, micrometer good to a given error.
fn spindle(size: &str, error: &str) -> String {
    format!(
        "{READY}[spindle]\nnominal = \"24 mm\"\n[[spindle.reading]]\nat = \"3 mm\"\nsize = \"{size}\"\n\
         [bearing]\nbore = \"24 mm\"\nclass = \"normal\"\n[instrument.micrometer]\nerror = \"{error}\"\n"
    )
}
const STACK: &str = "[stack]\nadjuster_travel = \"3 mm\"\nadjuster_pitch = \"1 mm\"\n\
    [[stack.part]]\nname = \"spindle\"\nside = \"spindle\"\nwidth = \"90 ± 0.1 mm\"\n\
    [[stack.part]]\nname = \"housing\"\nside = \"housing\"\nwidth = \"WIDTH ± 0.2 mm\"\n\
    [[stack.part]]\nname = \"flange\"\nside = \"housing\"\ncount = 2\nwidth = \"10 ± 0.05 mm\"\n";

// A general-purpose numerical library (numpy): v = [23.968, 23.971, 23.969, 23.970]; numpy.std(v, ddof=1)
// = 0.00129099, 2*numpy.hypot(numpy.std(v, ddof=1)/2, 0.004/numpy.sqrt(3)) = 0.0047958315.
#[test]
fn the_uncertainty_of_repeated_readings() {
    let mut job = spindle("23.968 mm", "0.004 mm");
    for size in ["23.971", "23.969", "23.970"] {
        job.push_str(&format!(
            "[[spindle.reading]]\nat = \"3 mm\"\nsize = \"{size} mm\"\n"
        ));
    }
    let (report, code) = json(&job);
    assert_eq!((report["verdict"].as_str(), code), (Some("meets"), 0));
    assert_eq!(report["schema"], "insertwright/1");
    assert_eq!(report["fit"], "sliding");
    close(value(&report, "spindle.uncertainty"), 0.004_795_831_523_3);
    close(
        value(&report, "spindle.clearance.low"),
        24.0 - 0.010 - 23.9695 - 0.004_795_831_523_3,
    );
    close(
        value(&report, "spindle.clearance.high"),
        24.0 - 23.9695 + 0.004_795_831_523_3,
    );
    assert!(report["values"]["spindle.taper"].is_null());
    for id in [
        "preconditions",
        "assumed",
        "overrides",
        "not_examined",
        "cautions",
    ] {
        assert!(report[id].is_array(), "{id}");
    }
}

// Common practice, no source: a few hundredths under its nominal bore slides, at nominal it is tight.
#[test]
fn words_of_the_trade() {
    for (size, fit, verdict) in [
        ("23.98 mm", "sliding", "meets"),
        ("23.97 mm", "sliding", "meets"),
        ("23.95 mm", "sliding", "meets"),
        ("24.00 mm", "tight", "falls short"),
        ("23.994 mm", "transition", "marginal"),
        ("23.90 mm", "loose", "falls short"),
    ] {
        for error in ["0.003 mm", "0.005 mm"] {
            let (report, _) = json(&spindle(size, error));
            assert_eq!(report["fit"], fit, "{size} ± {error}");
            assert_eq!(report["verdict"], verdict, "{size} ± {error}");
        }
    }
}

#[test]
fn taper_and_out_of_round() {
    let mut job = spindle("23.971 mm", "0.004 mm");
    for (at, size) in [(7, "23.969"), (11, "23.968"), (15, "23.964")] {
        job.push_str(&format!(
            "[[spindle.reading]]\nat = \"{at} mm\"\nsize = \"{size} mm\"\n"
        ));
    }
    // numpy.polyfit([3, 7, 11, 15], sizes, 1)[0]*12 = -0.0066.
    let (report, _) = json(&job);
    close(value(&report, "spindle.taper"), -0.0066);
    close(value(&report, "spindle.step"), 0.007);
    let job = job
        .replacen("at = \"7 mm\"", "angle = \"90 deg\"\nat = \"3 mm\"", 1)
        .replacen(
            "at = \"3 mm\"\nsize",
            "angle = \"12:00\"\nat = \"3 mm\"\nsize",
            1,
        );
    let (report, _) = json(&job);
    close(value(&report, "spindle.out_of_round"), 0.002);
}

#[test]
fn a_measured_bore_and_a_class_alone() {
    let (report, _) = json(
        &spindle("23.97 mm", "0 mm").replace("bore = \"24 mm\"", "bore = \"24.001 ± 0.002 mm\""),
    );
    close(value(&report, "spindle.clearance.low"), 0.029);
    close(value(&report, "spindle.clearance.high"), 0.033);
    let job = format!(
        "{READY}[spindle]\nnominal = \"24 mm\"\nclass = \"h6\"\n[bearing]\nbore = \"24 mm\"\nclass = \"normal\"\n"
    );
    // h6 in class Normal, 18 to 30 mm: −10 to +13 µm, as published.
    let (report, _) = json(&job);
    close(value(&report, "spindle.clearance.low"), -0.010);
    close(value(&report, "spindle.clearance.high"), 0.013);
    assert_eq!(report["fit"], "transition");
    let (report, code) = json(&spindle("60 mm", "0 mm").replace("24 mm", "60 mm"));
    assert_eq!((report["verdict"].as_str(), code), (Some("not judged"), 4));
}

#[test]
fn the_stack_and_its_words() {
    let stack = |width: &str| json(&format!("{READY}{}", STACK.replace("WIDTH", width)));
    let (fits, code) = stack("68");
    assert_eq!((fits["verdict"].as_str(), code), (Some("meets"), 0));
    close(value(&fits, "stack.worst.low"), 1.6);
    close(value(&fits, "stack.worst.high"), 2.4);
    close(value(&fits, "stack.rss"), 0.055_f64.sqrt());
    close(value(&fits, "stack.turns_left"), 1.0);
    for (width, verdict, words) in [
        ("70.5", "falls short", "over width by 0.500 mm"),
        (
            "66.5",
            "falls short",
            "under width: the adjuster bottoms with 0.500 mm of play left",
        ),
        (
            "69.7",
            "marginal",
            "it is over width; by root-sum-square the adjuster reaches",
        ),
        (
            "67.1",
            "marginal",
            "it is under width; by root-sum-square it can be as well",
        ),
    ] {
        let (report, _) = stack(width);
        assert_eq!(report["verdict"], verdict, "{width}");
        let text = report["findings"][0]["text"].as_str().expect("words");
        assert!(text.contains(words), "{text}");
    }
}

#[test]
fn the_starter_job() {
    let (report, code) = json(&crate::support::looked_at());
    assert_eq!((report["verdict"].as_str(), code), (Some("meets"), 0));
    assert_eq!(report["stations"].as_array().map(Vec::len), Some(3));
    close(value(&report, "spindle.out_of_round"), 0.003);
    close(value(&report, "stack.worst.low"), 1.68);
    close(value(&report, "stack.worst.high"), 2.18);
    for units in ["metric", "imperial"] {
        let printed = tool_on(&crate::support::looked_at(), "spindle", &["--units", units]).out;
        for line in printed.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
        assert!(printed.contains("Verdict: meets (sliding)."));
    }
}

#[test]
fn refused_unknown_and_wrong() {
    let refused = ["--set", "condition.no_crash=false"];
    let (report, code) = json_on(STARTER, "spindle", &refused);
    assert_eq!((report["verdict"].as_str(), code), (Some("refused"), 1));
    assert_eq!(
        report["values"].as_object().map(serde_json::Map::len),
        Some(0)
    );
    assert!(report["fit"].is_null());
    let (report, code) = json(&spindle("23.97 mm", "0.004 mm").replace(READY, ""));
    assert_eq!((report["verdict"].as_str(), code), (Some("not judged"), 4));
    let run = tool_on(
        "[spindle]\nnominal = \"24 mm\"\nclass = \"H7\"\n[[spindle.reading]]\nsize = \"2.4 mm\"\n[bearing]\nclass = \"P7\"\n",
        "spindle",
        &[],
    );
    let errors = run.err;
    assert_eq!(run.code, 2);
    assert!(
        errors.contains("5 findings; nothing was computed."),
        "{errors}"
    );
}

/// The same with more stations.
fn stations(sizes: &[&str]) -> String {
    let mut job = spindle(&format!("{} mm", sizes[0]), "0.004 mm");
    for (i, size) in sizes.iter().enumerate().skip(1) {
        job.push_str(&format!(
            "[[spindle.reading]]\nat = \"{} mm\"\nsize = \"{size} mm\"\n",
            3 + 4 * i
        ));
    }
    job
}
fn says(report: &serde_json::Value, id: &str) -> String {
    report["findings"]
        .as_array()
        .and_then(|all| all.iter().find(|f| f["id"] == id))
        .and_then(|f| f["text"].as_str())
        .unwrap_or_default()
        .to_string()
}

#[test]
fn the_worst_station_decides() {
    let (report, code) = json(&stations(&["23.97", "23.99", "24.01"]));
    assert_eq!(report["fit"], "tight");
    assert_eq!((report["verdict"].as_str(), code), (Some("falls short"), 1));
    assert!(says(&report, "spindle.fit").starts_with("tight at its worst station"));
    let u = 2.0 * 0.004 / 3f64.sqrt();
    close(value(&report, "spindle.clearance.low"), -0.010 - 0.01 - u);
    close(value(&report, "spindle.clearance.high"), 0.03 + u);
    close(value(&report, "spindle.mean"), 23.99);
    // A step of wear is marginal even where every station slides.
    let (report, _) = json(&stations(&["23.965", "23.98"]));
    assert_eq!(
        (&report["fit"], &report["verdict"]),
        (&"sliding".into(), &"marginal".into())
    );
}

#[test]
fn readings_that_wear_does_not_explain_are_read_again() {
    let (report, code) = json(&stations(&["22.97", "23.97"]));
    assert_eq!((report["verdict"].as_str(), code), (Some("not judged"), 4));
    assert!(report["fit"].is_null() && report["values"]["spindle.clearance.low"].is_null());
    assert!(says(&report, "spindle.fit").contains("read again"));
    assert!(says(&report, "spindle.step").contains("a slip in a reading"));
}

#[test]
fn two_nominal_sizes_are_remarked() {
    let (report, _) = json(&spindle("23.97 mm", "0.004 mm").replacen("24 mm", "25 mm", 1));
    assert!(
        says(&report, "spindle.nominal").contains("25.000 mm, is not the bearing's, 24.000 mm")
    );
    assert_eq!(
        says(&json(&spindle("23.97 mm", "0.004 mm")).0, "spindle.nominal"),
        ""
    );
}

#[test]
fn the_usual_class_has_two_names() {
    let job = spindle("23.97 mm", "0.004 mm");
    let (a, b) = (json(&job).0, json(&job.replace("\"normal\"", "\"P0\"")).0);
    assert_eq!(a["values"], b["values"]);
    assert_eq!(b["verdict"], "meets");
}

#[test]
fn a_stack_out_of_reach_says_by_how_much_at_worst() {
    let stack = |width: &str| json(&format!("{READY}{}", STACK.replace("WIDTH", width))).0;
    let under = stack("66.5");
    let text = says(&under, "stack");
    assert!(
        text.contains("0.900 mm with every part at its worst"),
        "{text}"
    );
    let turns = says(&under, "stack.turns");
    assert!(
        turns.contains("ends 0.5 turns before, so it does not reach"),
        "{turns}"
    );
    assert!(says(&stack("70.5"), "stack").contains("or face the housing within its limit"));
    let far = says(&stack("72.1"), "stack");
    assert!(
        far.contains("more than facing both sides usually takes"),
        "{far}"
    );
    assert!(!far.contains("face the housing within"));
}
