//! What a result rests on that nobody stated, and what a job says that nothing uses.

use crate::support::{json_on, tool_on};
use serde_json::Value;

/// A sleeve with no entry but those that must be there.
const BARE: &str = r#"
[thread]
designation = "M36x1"
engaged = "10 mm"
[insert]
material = "6061-T6"
outer_diameter = "42 mm"
length = "34 mm"
[frame]
material = "carbon-epoxy"
outer_diameter = "56 mm"
width = "68 mm"
[bond]
adhesive = "toughened-epoxy-paste"
thickness = "0.25 mm"
[fitting]
material = "6061-T6"
flange_diameter = "46 mm"
flange_thickness = "3 mm"
[tightening]
torque = "30 N·m"
lubrication = "greased"
[pedalling]
force = "1000 N"
pedal_offset = "150 mm"
crank = "170 mm"
chainring_radius = "80 mm"
chainline = "45 mm"
"#;

/// Key and value of everything assumed.
fn assumed(report: &Value) -> Vec<(String, String)> {
    let text = |entry: &Value, key: &str| entry[key].as_str().expect("a text").to_string();
    report["assumed"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|entry| {
            assert!(text(entry, "source").len() > 20, "{entry}: no source");
            (text(entry, "key"), text(entry, "value"))
        })
        .collect()
}

fn value_of(report: &Value, key: &str) -> Option<String> {
    assumed(report)
        .into_iter()
        .find(|(k, _)| k == key)
        .map(|(_, value)| value)
}

fn with(set: &[&str]) -> Value {
    let args: Vec<&str> = set.iter().flat_map(|s| ["--set", s]).collect();
    json_on(BARE, "check", &args).0
}

/// Every default, with the value that stands where it is left out and one that a job could give instead.
const DEFAULTS: [(&str, &str, &str); 47] = [
    ("job.side", "drive", "non-drive"),
    ("job.use", "crank-housing", "boss"),
    ("thread.hand", "right", "left"),
    ("thread.incomplete", "1 mm", "0.5 mm"),
    ("thread.setback", "0 mm", "1 mm"),
    ("thread.damaged_turns", "0", "1"),
    ("thread.internal_minor", "35.15 mm", "35.1 mm"),
    ("thread.internal_pitch_diameter", "35.52 mm", "35.5 mm"),
    ("thread.external_major", "35.79 mm", "35.8 mm"),
    ("thread.external_pitch_diameter", "35.2 mm", "35.2 mm"),
    ("insert.face_offset", "0 mm", "0.2 ± 0.05 mm"),
    ("frame.held_at", "inboard", "outboard"),
    ("bond.length", "34 mm", "30 mm"),
    ("bond.voids", "0", "5 %"),
    ("bond.preparation", "unknown", "etched"),
    ("bond.isolated", "false", "true"),
    ("bond.environment", "outdoor", "dry"),
    ("bond.cure_temperature", "20 °C", "40 °C"),
    ("bond.coldest", "-10 °C", "0 °C"),
    ("bond.hottest", "45 °C", "40 °C"),
    ("fitting.bore", "0 mm", "29 mm"),
    ("fitting.neck_diameter", "34.77 mm", "34 mm"),
    ("fitting.bearing_outboard", "0 mm", "4 mm"),
    ("seat.inner_diameter", "36 mm", "37 mm"),
    ("seat.outer_diameter", "46 mm", "45 mm"),
    ("tightening.relaxation", "15 %", "7 %"),
    ("tightening.embedding", "0.003 mm", "4 µm"),
    ("tightening.retightened", "false", "true"),
    ("tightening.torque: tool error", "± 4 %", ""),
    ("pedalling.inclination", "7.5 deg", "5 deg"),
    ("pedalling.crank_angle", "45 deg", "30 deg"),
    ("pedalling.cycles", "100000", "1000"),
    ("pedalling.far_bearing_outboard", "0 mm", "4 mm"),
    ("loads.axial", "0 N", "1 N"),
    ("loads.radial", "0 N", "1 N"),
    ("loads.moment", "0 N·m", "1 N·m"),
    ("loads.torque", "0 N·m", "1 N·m"),
    ("need.strip", "2", "3"),
    ("need.hoop", "1.5", "3"),
    ("need.neck", "1.5", "3"),
    ("need.flange", "1.5", "3"),
    ("need.bond", "3", "4"),
    ("need.bond_endurance", "1.5", "3"),
    ("need.crush", "2", "3"),
    ("need.seat_open", "1.2", "3"),
    ("need.slip", "1.2", "3"),
    ("need.removal", "1.5", "3"),
];

#[test]
fn every_default_in_use_is_noted_with_its_value() {
    let report = with(&[]);
    for (key, value, _) in DEFAULTS {
        assert_eq!(value_of(&report, key).as_deref(), Some(value), "{key}");
    }
    assert_eq!(
        value_of(&report, "thread.designation: class").as_deref(),
        Some("6H/6g")
    );
    assert_eq!(value_of(&report, "seat.gap").as_deref(), Some("none"));
    let undo = report["values"]["bond.removal.torque"]["value"]
        .as_f64()
        .expect("a torque");
    let noted = value_of(&report, "tightening.removal_torque").expect("noted");
    let noted: f64 = noted.trim_end_matches(" N·m").parse().expect("a number");
    assert!((noted / undo - 1.0).abs() < 1e-3, "{noted} against {undo}");
}

#[test]
fn what_the_job_gives_is_not_assumed() {
    for (key, _, given) in DEFAULTS.into_iter().filter(|d| !d.2.is_empty()) {
        let report = with(&[&format!("{key}={given}")]);
        assert_eq!(value_of(&report, key), None, "{key}");
    }
    for (set, key) in [
        (
            "tightening.torque=30 N·m ± 3 %",
            "tightening.torque: tool error",
        ),
        (
            "tightening.removal_torque=50 N·m",
            "tightening.removal_torque",
        ),
        (
            "thread.designation=M36x1-6H/6g",
            "thread.designation: class",
        ),
    ] {
        assert_eq!(value_of(&with(&[set]), key), None, "{set}");
    }
    let gaps = with(&["seat.gap[0].at=3:00", "seat.gap[0].gap=0 .. 0.03 mm"]);
    assert_eq!(value_of(&gaps, "seat.gap"), None);
}

#[test]
fn what_does_not_apply_is_not_assumed() {
    for (set, key) in [
        ("bond.isolated=true", "bond.environment"),
        ("frame.material=glass-epoxy", "bond.isolated"),
        ("frame.material=glass-epoxy", "bond.environment"),
        ("tightening.retightened=true", "tightening.embedding"),
    ] {
        assert_eq!(value_of(&with(&[set]), key), None, "{key} with {set}");
    }
    let boss: String = BARE.split("[pedalling]").next().unwrap_or_default().into();
    let (report, _) = json_on(&boss, "check", &[]);
    for key in ["job.side", "fitting.bearing_outboard", "pedalling.cycles"] {
        assert_eq!(value_of(&report, key), None, "{key} without pedalling");
    }
    assert_eq!(value_of(&report, "job.use").as_deref(), Some("boss"));
    let part = format!(
        "{BARE}[clamped]\nthickness = \"2 mm\"\nmaterial = \"6061-T6\"\nbears_on = \"insert\"\n"
    );
    let (report, _) = json_on(&part, "check", &[]);
    assert_eq!(value_of(&report, "insert.face_offset"), None);
}

/// The share that is used is the one that is noted, by what the seat stands on.
#[test]
fn relaxation_is_noted_by_what_bears() {
    for (offset, share) in [("0.2 mm", 0.05), ("0 mm", 0.15), ("-0.2 mm", 0.15)] {
        let set = format!("insert.face_offset={offset}");
        let report = with(&[&set, "thread.designation=M36x1.5"]);
        let noted = value_of(&report, "tightening.relaxation").expect("noted");
        assert_eq!(noted, format!("{} %", share * 100.0), "{offset}");
    }
}

#[test]
fn the_ledger_follows_the_units_of_the_text() {
    let imperial = tool_on(BARE, "check", &["--units", "imperial"]).out;
    let metric = tool_on(BARE, "check", &[]).out;
    for (key, inches, millimetres) in [
        ("bond.length", "1.339 in", "34 mm"),
        ("bond.coldest", "14 °F", "-10 °C"),
        ("loads.axial", "0 lbf", "0 N"),
    ] {
        assert!(
            imperial.contains(&format!("{key} = {inches}")),
            "{key}\n{imperial}"
        );
        assert!(
            metric.contains(&format!("{key} = {millimetres}")),
            "{key}\n{metric}"
        );
    }
    let (json, _) = json_on(BARE, "check", &["--units", "imperial"]);
    assert_eq!(value_of(&json, "bond.length").as_deref(), Some("34 mm"));
}

/// A case of one's own that says nothing of how often it comes counts in endurance, and that is noted.
#[test]
fn a_case_notes_how_often_it_comes() {
    let job = format!("{BARE}[[case]]\nname = \"kerb\"\n[case.loads]\nradial = \"500 N\"\n");
    let (report, _) = json_on(&job, "check", &[]);
    assert_eq!(
        value_of(&report, "case[0].kind").as_deref(),
        Some("repeated")
    );
    let rare = job.replace("name = \"kerb\"", "name = \"kerb\"\nkind = \"rare\"");
    let (report, _) = json_on(&rare, "check", &[]);
    assert_eq!(value_of(&report, "case[0].kind"), None);
}

/// The damage found stands for the damaged turns in `repair`, and only there.
#[test]
fn repair_assumes_no_damaged_turns_where_damage_was_counted() {
    let job = format!("{BARE}[damage]\nmissing_turns = 2\n");
    let (check, _) = json_on(&job, "check", &[]);
    assert_eq!(
        value_of(&check, "thread.damaged_turns").as_deref(),
        Some("0")
    );
    let (repair, _) = json_on(&job, "repair", &[]);
    assert_eq!(value_of(&repair, "thread.damaged_turns"), None);
}

/// A row of each kind that nothing names, sound as it stands.
const IDLE: [(&str, &str); 5] = [
    (
        "material.spare",
        "kind = \"metal\"\nelastic_modulus = \"70 GPa\"\npoisson = 0.33\nexpansion = \"23 µm/(m·K)\"\nsource = \"supplier's sheet\"\n",
    ),
    (
        "adhesive.spare",
        "shear_modulus = \"1 GPa\"\npoisson = 0.4\nshear_strength = \"20 MPa\"\ntensile_strength = \"30 MPa\"\nplastic_shear_strain = 0.1\nageing_factor = 0.8\nhot_temperature = \"60 °C\"\nhot_factor = 0.7\nendurance_share = 0.3\ncreep_share = 0.3\nsource = \"supplier's sheet\"\n",
    ),
    (
        "friction.spare",
        "thread = \"0.1 .. 0.2\"\nseat = \"0.1 .. 0.2\"\nsource = \"own trials\"\n",
    ),
    (
        "preparation.spare",
        "factor = 0.8\nsource = \"own trials\"\n",
    ),
    (
        "threads.spare",
        "form = \"iso\"\nmajor = \"36 mm\"\npitch = \"1 mm\"\nexternal_major_min = \"35.8 mm\"\nexternal_pitch_min = \"35.2 mm\"\ninternal_minor_max = \"35.1 mm\"\ninternal_pitch_max = \"35.5 mm\"\nsource = \"drawing\"\n",
    ),
];

/// What an idle row is answered with when a part of its text is replaced.
fn idle(row: &str, body: &str) -> crate::support::Run {
    tool_on(&format!("{BARE}[{row}]\n{body}"), "check", &[])
}

#[test]
fn a_sound_row_that_nothing_names_is_remarked() {
    for (row, body) in IDLE {
        let run = idle(row, body);
        assert!([0, 1, 4].contains(&run.code), "{row}: {}", run.err);
        let remark = format!("[{row}]: no entry of this job names it");
        assert!(run.out.contains(&remark), "{row}\n{}", run.out);
    }
    // A row that a variant names is not idle.
    let variant = format!(
        "{BARE}[[variant]]\nname = \"other glue\"\nset = {{ \"bond.adhesive\" = \"spare\" }}\n[{}]\n{}",
        IDLE[1].0, IDLE[1].1
    );
    let run = tool_on(&variant, "check", &[]);
    assert!(
        !run.out.contains("no entry of this job names it"),
        "{}",
        run.out
    );
}

/// Missing keys, wrong units, negative values, no source: each under its line.
#[test]
fn a_row_that_nothing_names_is_looked_through() {
    for (row, from, to, message) in [
        (
            "material.spare",
            "poisson = 0.33\n",
            "",
            "poisson` is missing",
        ),
        ("material.spare", "70 GPa", "70 N", "a stress"),
        ("material.spare", "70 GPa", "-70 GPa", "greater than zero"),
        (
            "material.spare",
            "source = \"supplier's sheet\"\n",
            "",
            "source` is missing",
        ),
        ("adhesive.spare", "20 MPa", "-20 MPa", "greater than zero"),
        ("adhesive.spare", "0.8", "1.8", "share between 0 and 1"),
        (
            "adhesive.spare",
            "source =",
            "gap_max = \"-1 mm\"\nsource =",
            "negative",
        ),
        (
            "friction.spare",
            "seat = \"0.1 .. 0.2\"\n",
            "",
            "seat` is missing",
        ),
        (
            "friction.spare",
            "0.1 .. 0.2",
            "-0.1 .. 0.2",
            "coefficient above 0",
        ),
        ("preparation.spare", "0.8", "-0.8", "share between 0 and 1"),
        (
            "preparation.spare",
            "source = \"own trials\"\n",
            "",
            "source` is missing",
        ),
        ("threads.spare", "form = \"iso\"\n", "", "form` is missing"),
        ("threads.spare", "35.8 mm", "35.8 MPa", "a length"),
        ("threads.spare", "35.1 mm", "-35.1 mm", "greater than zero"),
    ] {
        let body = IDLE.iter().find(|r| r.0 == row).expect("a row").1;
        assert!(body.contains(from), "{row}: {from}");
        let run = idle(row, &body.replacen(from, to, 1));
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{row}: {to}");
        assert!(run.err.contains(message), "{row}: {to}\n{}", run.err);
        let line = BARE.lines().count() + 1;
        let named = (line..line + 15).any(|n| run.err.contains(&format!("standard input:{n}:")));
        assert!(
            named && run.err.contains('^'),
            "{row}: no line\n{}",
            run.err
        );
    }
}

/// An override that can have no effect is refused, whether it makes a row or changes one.
#[test]
fn an_override_of_a_row_that_nothing_names_is_refused() {
    let file = format!("{BARE}[{}]\n{}", IDLE[0].0, IDLE[0].1);
    for (job, set) in [
        (BARE, "material.foo.yield=300 MPa"),
        (file.as_str(), "material.spare.yield=300 MPa"),
        (BARE, "friction.foo.thread=0.1 .. 0.2"),
    ] {
        let run = tool_on(job, "check", &["--set", set]);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{set}");
        assert!(run.err.contains("changes nothing"), "{set}\n{}", run.err);
        assert_eq!(run.err.matches("error").count(), 1, "{set}\n{}", run.err);
    }
    let used = file.replace(
        "material = \"6061-T6\"\nouter",
        "material = \"spare\"\nouter",
    );
    let run = tool_on(&used, "check", &["--set", "material.spare.yield=300 MPa"]);
    assert!([0, 1, 4].contains(&run.code), "{}", run.err);
}

/// Figures that can be computed with and still mean nothing.
#[test]
fn absurd_figures_are_refused_with_their_line() {
    for (set, message) in [
        ("pedalling.crank_angle=1e300 deg", "more than a whole turn"),
        ("pedalling.crank_angle=1e9 deg", "more than a whole turn"),
        ("pedalling.crank_angle=-361 deg", "more than a whole turn"),
        ("pedalling.inclination=120 deg", "presses no pedal down"),
        ("pedalling.inclination=1e12 deg", "more than a whole turn"),
        ("pedalling.force=1e12 N", "no part has this size"),
        ("insert.length=1e9 mm", "no part has this size"),
        ("fitting.bearing_outboard=-1e9 mm", "no part has this size"),
        ("bond.hottest=1e9 °C", "no part has this size"),
        ("loads.moment=1e12 N·m", "no part has this size"),
        ("need.strip=1e12", "no part has this size"),
        ("frame.width=1e12 mm", "no part has this size"),
    ] {
        let run = tool_on(BARE, "check", &["--set", set]);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{set}");
        assert!(
            run.err.contains(message) && run.err.contains('^'),
            "{set}\n{}",
            run.err
        );
    }
    for at in ["1e300 deg", "1e9 deg", "-400 deg"] {
        let job = format!("{BARE}[[seat.gap]]\nat = \"{at}\"\ngap = \"0 .. 0.03 mm\"\n");
        let run = tool_on(&job, "check", &[]);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{at}");
        let line = format!("standard input:{}:", BARE.lines().count() + 2);
        assert!(
            run.err.contains(&line) && run.err.contains("whole turn"),
            "{at}\n{}",
            run.err
        );
    }
    // Within a turn either sense is read.
    for at in ["-90 deg", "270 deg"] {
        let job = format!("{BARE}[[seat.gap]]\nat = \"{at}\"\ngap = \"0 .. 0.03 mm\"\n");
        let run = tool_on(&job, "check", &[]);
        assert!([0, 1, 4].contains(&run.code), "{at}\n{}", run.err);
    }
}

/// Friction that nobody knows is the widest range, of which each check takes its worse end: what is met is met.
#[test]
fn unknown_friction_is_the_widest_range() {
    let calm = [
        "tightening.torque=4 N·m",
        "pedalling.force=50 N",
        "bond.preparation=etched",
        "condition.thread_starts_by_hand=true",
    ];
    let of = |more: &[&str]| with(&[calm.as_slice(), more].concat());
    let unknown = of(&["tightening.lubrication=unknown"]);
    let ranges = of(&[
        "tightening.thread_friction=0.04 .. 0.50",
        "tightening.seat_friction=0.04 .. 0.50",
    ]);
    assert_eq!(
        unknown["checks"].as_array().map(Vec::len),
        ranges["checks"].as_array().map(Vec::len)
    );
    for (a, b) in unknown["checks"]
        .as_array()
        .expect("checks")
        .iter()
        .zip(ranges["checks"].as_array().expect("checks"))
    {
        for key in ["id", "ratio", "verdict", "reason"] {
            assert_eq!(a[key], b[key], "{}", a["id"]);
        }
    }
    let neck = unknown["checks"]
        .as_array()
        .expect("checks")
        .iter()
        .find(|c| c["id"] == "neck")
        .expect("neck");
    assert_eq!(neck["verdict"], "meets", "{neck}");
    // The ledger says what stands in, and a caution that something is not known.
    assert_eq!(
        value_of(&unknown, "tightening.lubrication").as_deref(),
        Some("unknown")
    );
    for key in ["tightening.thread_friction", "tightening.seat_friction"] {
        assert_eq!(value_of(&unknown, key).as_deref(), Some("0.04 .. 0.5"));
        assert_eq!(value_of(&ranges, key), None);
    }
    let weak = |report: &Value| {
        report["cautions"]
            .as_array()
            .expect("cautions")
            .iter()
            .any(|c| c["id"] == "weak-data")
    };
    assert!(weak(&unknown));
    assert!(!weak(&ranges));
    assert!(!weak(&of(&["tightening.lubrication=greased"])));
    // A row that is named and not used stands for nothing.
    let both = of(&[
        "tightening.lubrication=unknown",
        "tightening.thread_friction=0.1 .. 0.2",
        "tightening.seat_friction=0.1 .. 0.2",
    ]);
    assert!(!weak(&both));
    assert_eq!(value_of(&both, "tightening.lubrication"), None);
}

/// Where something falls short over the whole range, finding out comes first.
#[test]
fn unknown_friction_is_to_be_found_out_first() {
    let confirmed = "[condition]\nno_crack = true\nnot_moved = true\nno_crash = true\nunregulated_use = true\nface_clean = true\nthread_starts_by_hand = true\nprepared = true\ncured = true\n";
    let job = format!("{BARE}{confirmed}").replace("\"greased\"", "\"unknown\"");
    let (report, code) = json_on(&job, "check", &[]);
    assert_eq!(code, 1);
    let advice = report["do_first"].as_str().expect("advice");
    assert!(advice.contains("tightening.lubrication"), "{advice}");
}

/// Every row of the table of friction lies inside the row that stands for all of them.
#[test]
fn unknown_friction_covers_every_row() {
    use insertwright::units::parse::{Kind, read};
    let table = &insertwright::tables::FRICTION;
    let range = |row: &insertwright::tables::Row<'_>, key: &str| {
        read(row.text(key).expect("a range"), Kind::Number).expect("a range")
    };
    let unknown = table.row("friction", "unknown").expect("the row");
    for row in table.rows() {
        for key in ["thread", "seat"] {
            let (of, all) = (range(&row, key), range(&unknown, key));
            assert!(
                all.low <= of.low && of.high <= all.high,
                "{} {key}",
                row.name
            );
        }
    }
}

/// Every check names the rows and the methods that it is judged by.
#[test]
fn every_check_names_its_sources() {
    let job = format!(
        "{}[clamped]\nthickness = \"2 mm\"\nmaterial = \"6061-T6\"\n",
        BARE.replace(
            "[pedalling]",
            "maker_torque = \"20 .. 40 N·m\"\n[pedalling]"
        )
    );
    let (report, _) = json_on(&job, "check", &["--set", "fitting.bearing_outboard=4 mm"]);
    let checks = report["checks"].as_array().expect("checks");
    let has = |id: &str, words: &[&str]| {
        let check = checks
            .iter()
            .find(|c| c["id"] == id)
            .unwrap_or_else(|| panic!("{id}"));
        let sources = check["sources"].to_string();
        for word in words {
            assert!(sources.contains(word), "{id} without {word}: {sources}");
        }
    };
    let metal = "6061-T6";
    has(
        "seat.open",
        &[
            metal,
            "carbon-epoxy",
            "greased",
            "M36x1",
            "section 6",
            "share of the preload",
        ],
    );
    has(
        "seat.slip",
        &[
            metal,
            "carbon-epoxy",
            "greased",
            "friction of the seat",
            "section 6",
        ],
    );
    has(
        "torque.maker",
        &["tightening.maker_torque", "tightening.torque"],
    );
    has(
        "engagement",
        &["M36x1", metal, "greased", "proportion", "Lamé"],
    );
    has("galvanic", &["outdoor", "MIL-STD-889", metal]);
    has(
        "bond.service.cold",
        &[
            "Volkersen",
            "Timoshenko",
            "Hart-Smith",
            "toughened-epoxy-paste",
        ],
    );
    for check in checks {
        let sources = check["sources"].as_array().expect("a list");
        assert!(!sources.is_empty(), "{check}");
        let mut once: Vec<String> = sources.iter().map(ToString::to_string).collect();
        once.sort();
        once.dedup();
        assert_eq!(
            once.len(),
            sources.len(),
            "{}: one source twice",
            check["id"]
        );
    }
}
