//! `seat` from the outside: exact values, mirrored sides, refusals.

use crate::support::{json_on, tool_on};

const STARTER: &str = include_str!("bench/uneven-seat.toml");
const DEMO: &str = include_str!("../src/cli/starters/demonstration.toml");

fn json(job: &str, arguments: &[&str]) -> (serde_json::Value, i32) {
    json_on(job, "seat", arguments)
}
fn value(report: &serde_json::Value, id: &str) -> f64 {
    report["values"][id]["value"]
        .as_f64()
        .unwrap_or_else(|| panic!("no {id}"))
}
/// The demonstration job with gaps by place (deg, mm as written).
fn with_gaps(gaps: &[(f64, &str)]) -> String {
    let mut job = DEMO.to_string();
    for (at, gap) in gaps {
        job.push_str(&format!(
            "\n[[seat.gap]]\nat = \"{at} deg\"\ngap = \"{gap}\"\n"
        ));
    }
    job
}
fn finding(report: &serde_json::Value, id: &str) -> String {
    report["findings"]
        .as_array()
        .and_then(|all| all.iter().find(|f| f["id"] == id))
        .and_then(|f| f["text"].as_str())
        .unwrap_or_else(|| panic!("no finding {id}"))
        .to_string()
}

// Tilt and place by a general-purpose numerical library (numpy): g = [0.04, 0.065, 0.015, 0.015] at 0, 90, 180,
// 270 degrees; numpy.linalg.lstsq(numpy.c_[numpy.ones(4), numpy.cos(phi), numpy.sin(phi)], g);
// 2*numpy.hypot(x[1], x[2]) = 0.05590170, numpy.degrees(numpy.arctan2(-x[2], -x[1])) % 360 = 243.434949,
// numpy.sqrt(residual/4) = 0.00625.
#[test]
fn the_starter_job() {
    let (report, code) = json(STARTER, &[]);
    assert_eq!(code, 1);
    assert_eq!(report["schema"], "insertwright/1");
    assert_eq!(report["command"], "seat");
    assert_eq!(report["verdict"], "falls short");
    assert!((value(&report, "seat.plane.tilt") - 0.055_901_699_437).abs() < 1e-9);
    assert!((value(&report, "seat.plane.high_at") - 243.434_948_823).abs() < 1e-6);
    assert!((value(&report, "seat.plane.residual") - 0.00625).abs() < 1e-9);
    assert_eq!(report["values"]["seat.plane.tilt"]["unit"], "mm");
    assert_eq!(report["values"]["seat.plane.high_at"]["unit"], "deg");
    assert!((value(&report, "frame.parallelism") - 0.08).abs() < 1e-9);
    let depth = value(&report, "seat.facing.depth");
    assert!(depth > 0.0 && depth < value(&report, "seat.facing.whole"));
    assert!((value(&report, "seat.contact.faced") - 0.8).abs() < 0.002);
    assert!(value(&report, "seat.contact.preload") < 0.8);
    for id in [
        "preconditions",
        "assumed",
        "overrides",
        "not_examined",
        "cautions",
    ] {
        assert!(report[id].is_array(), "{id}");
    }
    let cautions: Vec<&str> = report["cautions"]
        .as_array()
        .expect("cautions")
        .iter()
        .filter_map(|c| c["id"].as_str())
        .collect();
    for id in [
        "maker-first",
        "planning-aid",
        "local-rules",
        "not-covered",
        "facing-final",
        "clean-face",
        "seat-stiffness",
    ] {
        assert!(cautions.contains(&id), "{id}");
    }
}

#[test]
fn the_contact_is_that_of_check() {
    let (seat, _) = json(STARTER, &[]);
    let (check, _) = json_on(STARTER, "check", &[]);
    let (a, b) = (
        value(&seat, "seat.contact.preload"),
        value(&check, "seat.contact.preload"),
    );
    assert!((a - b).abs() < 1e-9, "{a} against {b}");
}

// The share need not grow with every small cut: a flange that leans on a wedge can bear on more than one that
// stands on a narrow flat. So the least depth is looked for from 0 on.
#[test]
fn a_stated_depth_is_used_and_the_depth_found_is_the_least() {
    let faced = |depth: &str| value(&json(STARTER, &["--depth", depth]).0, "seat.contact.faced");
    let (found, _) = json(STARTER, &[]);
    let (before, depth) = (
        value(&found, "seat.contact.preload"),
        value(&found, "seat.facing.depth"),
    );
    assert_eq!(faced("0 mm"), before);
    assert!((faced("0.05 mm") - 1.0).abs() < 1e-9);
    for share in [0.2, 0.5, 0.9, 0.99] {
        assert!(faced(&format!("{} mm", share * depth)) < 0.8, "{share}");
    }
    assert!(faced(&format!("{} mm", depth + 1e-6)) >= 0.8);
    for bad in ["3", "-1 mm", "3 N"] {
        let run = tool_on(STARTER, "seat", &[&format!("--depth={bad}")]);
        assert_eq!(run.code, 2, "{bad}");
    }
}

#[test]
fn a_true_face_needs_nothing() {
    let gaps: Vec<(f64, &str)> = (0..8)
        .map(|i| (45.0 * f64::from(i), "0 .. 0.02 mm"))
        .collect();
    let (report, code) = json(&with_gaps(&gaps), &[]);
    assert_eq!((report["verdict"].as_str(), code), (Some("meets"), 0));
    assert_eq!(value(&report, "seat.facing.depth"), 0.0);
    assert!((value(&report, "seat.contact.preload") - 1.0).abs() < 1e-9);
    assert!(finding(&report, "seat.plane.true").contains("no tilt"));
}

#[test]
fn too_few_places_say_what_cannot_be_said() {
    let (report, code) = json(DEMO, &[]);
    assert_eq!((report["verdict"].as_str(), code), (Some("not judged"), 4));
    assert!(report["values"]["seat.plane.tilt"].is_null());
    let (report, _) = json(&with_gaps(&[(0.0, "0.1 mm"), (180.0, "0 mm")]), &[]);
    assert!(finding(&report, "seat.plane").starts_with("readings at 2 places"));
    assert!(report["values"]["seat.plane.high_at"].is_null());
    // The contact needs no plane.
    assert!(value(&report, "seat.contact.preload") < 1.0);
}

#[test]
fn what_is_left_over_is_named() {
    let eight = |odd: usize, gap: &'static str| -> Vec<(f64, &'static str)> {
        (0..8usize)
            .map(|i| {
                (
                    45.0 * i as f64,
                    if i == odd { gap } else { "0.04 .. 0.05 mm" },
                )
            })
            .collect()
    };
    let (blob, _) = json(&with_gaps(&eight(3, "0 .. 0.01 mm")), &[]);
    assert!(finding(&blob, "seat.plane.shape").contains("blob of paint"));
    assert!(finding(&blob, "seat.plane.shape").contains("4:30 (135°)"));
    let (dent, _) = json(&with_gaps(&eight(3, "0.15 .. 0.16 mm")), &[]);
    assert!(finding(&dent, "seat.plane.shape").contains("a dent there"));
    let lobes: Vec<(f64, &str)> = (0..8)
        .map(|i| {
            let gap = [
                "0 .. 0.01 mm",
                "0.03 .. 0.04 mm",
                "0.06 .. 0.07 mm",
                "0.03 .. 0.04 mm",
            ];
            (45.0 * f64::from(i), gap[i as usize % 4])
        })
        .collect();
    let (lobed, _) = json(&with_gaps(&lobes), &[]);
    assert!(finding(&lobed, "seat.plane.shape").contains("must be faced whole"));
    let (away, _) = json(&with_gaps(&eight(8, "")), &[]);
    assert!(finding(&away, "seat.plane.falls_away").contains("falls away outward"));
    assert_eq!(away["verdict"], "not judged");
}

#[test]
fn the_other_side_mirrors_the_widths() {
    // High at 3 o'clock of its own side: from the drive side that is 9 o'clock for the non-drive side.
    let gaps = [
        (0.0, "0.05 mm"),
        (90.0, "0 mm"),
        (180.0, "0.05 mm"),
        (270.0, "0.1 mm"),
    ];
    let mut job = with_gaps(&gaps);
    for (at, width) in [(0, "68.00"), (90, "68.10"), (180, "68.00"), (270, "67.95")] {
        job.push_str(&format!(
            "\n[[frame.reading]]\nat = \"{at} deg\"\nwidth = \"{width} mm\"\n"
        ));
    }
    let (drive, _) = json(&job, &["--depth", "0.1 mm"]);
    assert!((value(&drive, "frame.width.after.high") - 68.0).abs() < 1e-9);
    let (other, _) = json(&job, &["--depth", "0.1 mm", "--set", "job.side=non-drive"]);
    assert!((value(&other, "frame.width.after.high") - 68.1).abs() < 1e-9);
    assert!((value(&other, "frame.width.after.low") - 67.85).abs() < 1e-9);
}

#[test]
fn both_sides_are_reported_and_the_worse_stands_on_top() {
    let job = format!(
        "{DEMO}\n[[side]]\nname = \"drive\"\n[[side]]\nname = \"non-drive\"\nthread = {{ hand = \"right\" }}\n\
         [[side.seat.gap]]\nat = \"12:00\"\ngap = \"0.1 mm\"\n[[side.seat.gap]]\nat = \"4:00\"\ngap = \"0 mm\"\n\
         [[side.seat.gap]]\nat = \"8:00\"\ngap = \"0 mm\"\n"
    );
    let (report, code) = json(&job, &[]);
    let sides = report["sides"].as_array().expect("two sides");
    assert_eq!(sides.len(), 2);
    assert_eq!(sides[0]["verdict"], "not judged");
    assert_eq!(sides[1]["verdict"], "falls short");
    assert_eq!((report["side"].as_str(), code), (Some("non-drive"), 1));
}

#[test]
fn a_width_below_its_limit_falls_short() {
    let (report, code) = json(STARTER, &["--set", "frame.width_min=68.05 mm"]);
    assert_eq!(code, 1);
    let widths = report["findings"]
        .as_array()
        .and_then(|all| all.iter().find(|f| f["id"] == "frame.width"))
        .expect("a finding");
    assert_eq!(widths["verdict"], "falls short");
    assert_eq!(report["overrides"][0], "frame.width_min=68.05 mm");
}

#[test]
fn a_crack_refuses_without_a_figure() {
    let (report, code) = json(STARTER, &["--set", "condition.no_crack=false"]);
    assert_eq!((report["verdict"].as_str(), code), (Some("refused"), 1));
    assert_eq!(
        report["values"].as_object().map(serde_json::Map::len),
        Some(0)
    );
    assert_eq!(report["findings"].as_array().map(Vec::len), Some(0));
    let printed = tool_on(STARTER, "seat", &["--set", "condition.no_crack=false"]).out;
    assert!(printed.contains("Verdict: refused.") && !printed.contains("Tilt"));
}

#[test]
fn text_fits_eighty_columns_and_keeps_to_the_agreed_words() {
    for units in ["metric", "imperial"] {
        let printed = tool_on(STARTER, "seat", &["--units", units]).out;
        for line in printed.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
        for word in ["approved", "certified", "guaranteed"] {
            assert!(!printed.to_lowercase().contains(word), "{word}");
        }
        let unit = if units == "metric" { "µm" } else { "thou" };
        assert!(printed.contains(&format!("Gap in {unit}")));
        for hour in 1..=12 {
            assert!(printed.contains(&format!("{hour}:")), "{hour}");
        }
        let clock = printed.split("THE CLOCK").nth(1).expect("a clock");
        assert_eq!(clock.lines().filter(|l| l.ends_with(" H")).count(), 1);
        assert_eq!(clock.lines().filter(|l| l.ends_with(" L")).count(), 1);
    }
}

/// A tilted face as eight leaves saw it.
const TILTED: [(f64, &str); 8] = [
    (0.0, "0.05 .. 0.08 mm"),
    (45.0, "0.10 .. 0.15 mm"),
    (90.0, "0.15 .. 0.20 mm"),
    (135.0, "0.10 .. 0.15 mm"),
    (180.0, "0.05 mm"),
    (225.0, "0 .. 0.03 mm"),
    (270.0, "0 .. 0.03 mm"),
    (315.0, "0 .. 0.03 mm"),
];
fn every_quarter(gap: &'static str) -> String {
    with_gaps(&[0.0, 90.0, 180.0, 270.0].map(|at| (at, gap)))
}
fn judged(report: &serde_json::Value, id: &str) -> String {
    report["findings"]
        .as_array()
        .and_then(|all| all.iter().find(|f| f["id"] == id))
        .and_then(|f| f["verdict"].as_str())
        .unwrap_or_else(|| panic!("no verdict {id}"))
        .to_string()
}
fn says(report: &serde_json::Value, id: &str) -> bool {
    report["findings"]
        .as_array()
        .is_some_and(|all| all.iter().any(|f| f["id"] == id))
}

#[test]
fn readings_that_do_not_settle_the_ring_are_not_judged() {
    for (gap, id, first) in [
        (
            "0.10 mm",
            "seat.plane.open",
            "look what holds the flange off",
        ),
        ("0.10 .. 0.15 mm", "seat.plane.open", "try a thinner leaf"),
        ("0 .. 0.10 mm", "seat.plane.coarse", "try thinner leaves"),
    ] {
        let job = every_quarter(gap);
        let (report, code) = json(&job, &[]);
        assert_eq!((report["verdict"].as_str(), code), (Some("not judged"), 4));
        assert_eq!(judged(&report, "seat.contact"), "not judged", "{gap}");
        assert!(says(&report, id) && !says(&report, "seat.facing.depth"));
        let printed = tool_on(&job, "seat", &[]).out.replace('\n', " ");
        assert!(printed.contains(first), "{gap}: {printed}");
        assert!(!printed.contains("nothing to face; assemble"), "{gap}");
        let (check, _) = json_on(&job, "check", &[]);
        assert!(
            check["not_examined"]
                .to_string()
                .contains("do not settle it")
        );
    }
    let (fine, code) = json(&every_quarter("0 .. 0.03 mm"), &[]);
    assert_eq!((fine["verdict"].as_str(), code), (Some("meets"), 0));
}

#[test]
fn two_readings_cut_nothing() {
    let job = with_gaps(&[(0.0, "0.1 mm"), (180.0, "0 mm")]);
    let (report, _) = json(&job, &[]);
    assert_eq!(judged(&report, "seat.contact"), "not judged");
    assert!(report["values"]["seat.facing.depth"].is_null());
    assert_eq!(value(&report, "seat.facing.planned"), 0.0);
    let printed = tool_on(&job, "seat", &[]).out;
    assert!(printed.contains("Do first: read the gap at more places before any cut"));
    assert!(!printed.contains("face it as below"));
    let check = tool_on(&job, "check", &[]).out;
    assert!(check.contains("do not settle how it bears") && !check.contains("stands high"));
}

#[test]
fn a_cut_deeper_than_the_insert_stands_proud_says_so() {
    let offset = |offset: &str| {
        let set = format!("insert.face_offset={offset}");
        let flange = ["--set", "fitting.flange_diameter=46 mm", "--set", &set];
        json(&with_gaps(&TILTED), &flange).0
    };
    let low = offset("0.05 mm");
    assert!(value(&low, "seat.facing.planned") > 0.05);
    assert!(finding(&low, "seat.facing.proud").contains("bears on as well"));
    assert!(!says(&offset("1 mm"), "seat.facing.proud"));
}

#[test]
fn a_stated_depth_counts_without_a_feeler_reading() {
    let width = [
        "--set",
        "frame.width=68 mm",
        "--set",
        "frame.width_min=67.9 mm",
    ];
    let cut = [&width[..], &["--depth", "0.3 mm"]].concat();
    let (report, code) = json(DEMO, &cut);
    assert!((value(&report, "frame.width.after.low") - 67.7).abs() < 1e-9);
    assert_eq!(
        (judged(&report, "frame.width").as_str(), code),
        ("falls short", 1)
    );
    // So it does where the widths were read.
    let read = format!("{DEMO}\n[[frame.reading]]\nat = \"12:00\"\nwidth = \"68 mm\"\n");
    let (report, _) = json(&read, &cut);
    assert!((value(&report, "frame.width.after.low") - 67.7).abs() < 1e-9);
    // Without a depth nothing is said of cuts.
    let printed = tool_on(DEMO, "seat", &width).out;
    assert!(printed.contains("no cut planned") && !printed.contains("after the cuts"));
}

#[test]
fn check_and_seat_name_the_same_high_place() {
    let job = with_gaps(&TILTED);
    let seat = tool_on(&job, "seat", &[]).out.replace("\n  ", " ");
    let check = tool_on(&job, "check", &[]).out.replace('\n', " ");
    let place = seat
        .split("its plane is high, and the gap least, at ")
        .nth(1)
        .and_then(|t| t.split('.').next())
        .expect("a high place")
        .to_string();
    assert!(
        check.contains(&format!("at {place}: see what `seat` says")),
        "{place}: {check}"
    );
    // No more than the leaves can tell: not wavy.
    assert!(!seat.contains("two lobes of"), "{seat}");
    // No tilt, no high place.
    let even = tool_on(&every_quarter("0 .. 0.03 mm"), "seat", &[]).out;
    assert!(!even.contains("is high"), "{even}");
}

#[test]
fn a_cut_too_fine_to_be_made_says_so() {
    let fine = [
        (0.0, "0 .. 0.01 mm"),
        (120.0, "0.01 .. 0.02 mm"),
        (240.0, "0 .. 0.01 mm"),
    ];
    let (report, _) = json(&with_gaps(&fine), &["--set", "need.contact=0.9"]);
    let depth = value(&report, "seat.facing.depth");
    assert_eq!(
        says(&report, "seat.facing.fine"),
        depth > 0.0 && depth < 0.02
    );
    assert!(depth > 0.0, "{depth}");
}
