//! Repairs, thread identification, the questions of `new --ask` and the record, as a user runs them.

use crate::support::{ids, looked_at, promises, root, tool, tool_in, tool_with};
use serde_json::Value;
use std::path::Path;

/// A damaged sleeve that somebody has looked at, in a folder of its own.
fn sleeve() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("job.toml"), looked_at()).expect("a job");
    folder
}

fn json_of(folder: &Path, command: &str, set: &[&str]) -> (i32, Value) {
    let mut args = vec![command, "job.toml", "--format", "json"];
    for entry in set {
        args.extend(["--set", entry]);
    }
    let run = tool_in(folder, &args);
    let value = serde_json::from_str(&run.out)
        .unwrap_or_else(|e| panic!("{args:?}: {e}\n{}{}", run.out, run.err));
    (run.code, value)
}

fn repair(set: &[&str]) -> (i32, Value) {
    json_of(sleeve().path(), "repair", set)
}

fn route<'a>(report: &'a Value, name: &str) -> &'a Value {
    report["routes"]
        .as_array()
        .expect("routes")
        .iter()
        .find(|r| r["name"] == name)
        .unwrap_or_else(|| panic!("no route {name}"))
}

fn near(value: &Value, want: f64) {
    let got = value.as_f64().unwrap_or_else(|| panic!("{value}"));
    assert!((got - want).abs() <= 1e-9 * want.abs(), "{got} not {want}");
}

fn names(report: &Value) -> Vec<&str> {
    report["routes"]
        .as_array()
        .expect("routes")
        .iter()
        .filter_map(|r| r["name"].as_str())
        .collect()
}

fn ratios(checks: &Value) -> Vec<(String, Option<f64>, String)> {
    checks
        .as_array()
        .expect("checks")
        .iter()
        .map(|c| {
            let text = |key: &str| c[key].as_str().unwrap_or_default().to_string();
            (text("id"), c["ratio"].as_f64(), text("verdict"))
        })
        .collect()
}

const CHASED: &[&str] = &[
    "condition.face_clean=true",
    "condition.thread_starts_by_hand=true",
];

/// The re-tap branch: the starter as it stands.
#[test]
fn retap_is_suggested_with_the_wall_that_decides() {
    let (code, report) = repair(&[]);
    assert_eq!(code, 0);
    assert_eq!(report["schema"], "insertwright/1");
    assert_eq!(report["command"], "repair");
    assert_eq!(report["suggested"], "re-tap");
    assert_eq!(
        names(&report),
        [
            "clean and chase",
            "re-tap",
            "solid bushing",
            "re-bond",
            "new insert",
            "threadless or other standard",
            "shorter overhang and new insert",
            "refer"
        ]
    );
    // Three turns all round and two over half of the circumference.
    near(&report["as_found"]["damaged_turns"], 4.0);
    let retap = route(&report, "re-tap");
    assert_eq!(retap["thread"]["designation"], "36 mm x 24 tpi");
    assert_eq!(
        (&retap["hand_before"], &retap["hand_after"]),
        (&Value::from("left"), &Value::from("right"))
    );
    // (40.5 − 36) / 2; the insert is of steel.
    near(&retap["wall_left"]["value"], 2.25);
    near(&retap["wall_needed"]["value"], 1.0);
    let ids = ids(&retap["cautions"]);
    for id in [
        "hand-lost",
        "other-fitting",
        "old-groove",
        "cutting-turns-the-glue",
        "cause-unknown",
        "precession",
    ] {
        assert!(ids.contains(&id), "{id} is not among {ids:?}");
    }
    let sentence = report["suggestion"].as_str().expect("a sentence");
    assert!(
        sentence.contains("2.25 mm of wall (computed here: measure the wall first) stays under the root, 1 mm is needed"),
        "{sentence}"
    );
    assert!(sentence.contains("becomes right-hand"), "{sentence}");
    let chase = route(&report, "clean and chase");
    assert_eq!(chase["verdict"], "falls short");
    assert_eq!(chase["governing"], "bond.endurance");
    // Half an hour and seven hours with parts, at the job's rate of 60.
    near(&chase["cost"]["price"], 30.0);
    near(&route(&report, "new insert")["cost"]["price"], 465.0);
    assert_eq!(
        report["record"]["planned_against_actual"][1]["planned"]["value"],
        40.0
    );
    for key in [
        "preconditions",
        "assumed",
        "overrides",
        "not_examined",
        "cautions",
    ] {
        assert!(report[key].is_array(), "{key}");
    }
}

/// The starter without its feeler readings: a new face has none.
fn with_a_true_face(folder: &Path) {
    let path = folder.join("job.toml");
    let text = std::fs::read_to_string(&path).expect("the job");
    let mut out = String::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        if line == "[[seat.gap]]" {
            let _ = (lines.next(), lines.next());
        } else {
            out.push_str(line);
            out.push('\n');
        }
    }
    std::fs::write(path, out).expect("the job written");
}

/// A route is judged by the same model as the job that a person would write for it.
#[test]
fn routes_are_judged_as_the_job_written_out() {
    let folder = sleeve();
    let (_, report) = json_of(folder.path(), "repair", &[]);
    // 33.906 mm is the limit of the class; twice 0.05 mm is worn off.
    let worn = ["thread.damaged_turns=4", "thread.internal_minor=34.006 mm"];
    let sound = ["thread.damaged_turns=0"];
    let retapped = [
        "thread.damaged_turns=0",
        "thread.designation=36 mm x 24 tpi",
        "thread.hand=right",
    ];
    let same = |folder: &Path, name: &str, set: &[&str]| {
        let set = [CHASED, set].concat();
        let (_, check) = json_of(folder, "check", &set);
        assert_eq!(
            ratios(&route(&report, name)["checks"]),
            ratios(&check["checks"]),
            "{name}"
        );
        assert_eq!(route(&report, name)["window"], check["window"], "{name}");
        if name != "solid bushing" {
            assert_eq!(route(&report, name)["verdict"], check["verdict"], "{name}");
        }
    };
    same(folder.path(), "clean and chase", &worn);
    same(folder.path(), "re-bond", &worn);
    same(folder.path(), "re-tap", &retapped);
    same(folder.path(), "solid bushing", &sound);
    with_a_true_face(folder.path());
    same(folder.path(), "new insert", &sound);
}

/// The joint of a bushing is a bond like any other: the job that judges it, written out, says the same.
#[test]
fn the_joint_of_a_bushing_is_judged() {
    let folder = sleeve();
    let (_, report) = json_of(folder.path(), "repair", &[]);
    let bushing = route(&report, "solid bushing");
    assert_eq!(bushing["feasible"], true);
    // A bushing of 34.798 + 2 · 1.5 mm in a bore 0.1 mm larger all round: (40.5 − 37.998) / 2 stays.
    near(&bushing["bore"]["value"], 37.998);
    near(&bushing["wall_left"]["value"], 1.251);
    let joint = &bushing["joint"];
    let changes: Vec<String> = joint["changes"]
        .as_array()
        .expect("changes")
        .iter()
        .filter_map(|c| Some(format!("{}={}", c["key"].as_str()?, c["value"].as_str()?)))
        .collect();
    assert!(
        changes.contains(&"insert.outer_diameter=37.798 mm".to_string())
            && changes.contains(&"frame.outer_diameter=40.5 mm".to_string())
            && changes.contains(&"frame.material=4130".to_string()),
        "{changes:?}"
    );
    let set: Vec<&str> = changes
        .iter()
        .map(String::as_str)
        .chain(CHASED.iter().copied())
        .collect();
    let (_, check) = json_of(folder.path(), "check", &set);
    let mut bonds = ratios(&check["checks"]);
    bonds.retain(|(id, ..)| id.starts_with("bond."));
    assert_eq!(ratios(&joint["checks"]), bonds);
    // The insert's own bond would be marginal: the joint decides.
    assert_eq!(joint["verdict"], "falls short");
    assert_eq!(joint["governing"], "bond.endurance");
    assert_eq!(bushing["verdict"], "falls short");
    assert!(bushing["checks"].as_array().is_some_and(|c| {
        c.iter()
            .all(|c| c["id"] == "seat.slip" || c["verdict"] != "falls short")
    }));
    let text = tool_in(folder.path(), &["repair", "job.toml"]).out;
    assert!(
        text.contains("Joint of bushing and old insert: falls short ("),
        "{text}"
    );
    // A glue of the job's own for it changes that joint and no other figure.
    let own = [
        "route[3].name=bushing joint",
        "route[3].set.\"bond.preparation\"=anodised-primed",
    ];
    let (_, better) = json_of(folder.path(), "repair", &own);
    let again = route(&better, "solid bushing");
    assert_eq!(again["checks"], bushing["checks"]);
    assert_ne!(again["joint"]["checks"], joint["checks"]);
    assert!(!names(&better).contains(&"bushing joint"));
}

/// The numbers of a route are explained by `explain`, whose formula gives them.
#[test]
fn numbers_of_a_route_are_explained() {
    let folder = sleeve();
    let (_, report) = json_of(folder.path(), "repair", &[]);
    let retap = route(&report, "re-tap");
    let explain = |id: &str, name: &str| -> Value {
        let run = tool_in(
            folder.path(),
            &[
                "explain", id, "job.toml", "--route", name, "--format", "json",
            ],
        );
        assert_eq!(run.code, 0, "{id}: {}", run.err);
        let value: Value = serde_json::from_str(&run.out).expect("JSON");
        value["sides"][0]["explained"][0]["result"]["value"].clone()
    };
    assert_eq!(
        explain("insert.wall", "re-tap"),
        retap["wall_left"]["value"]
    );
    assert_eq!(
        explain("insert.wall_for_hoop", "re-tap"),
        retap["wall_for_hoop"]["value"]
    );
    near(&explain("damage.turns", "clean and chase"), 4.0);
    // 12 mm less one pitch and four damaged turns.
    near(
        &explain("thread.engaged_effective", "clean and chase"),
        12.0 - 5.0 * 25.4 / 24.0,
    );
    // In every branch, for the check that decides as for the one that hangs on the wall.
    for name in [
        "clean and chase",
        "re-tap",
        "solid bushing",
        "re-bond",
        "new insert",
        "shorter overhang and new insert",
    ] {
        let checks = route(&report, name)["checks"].as_array().expect("checks");
        let hoop = checks.iter().find(|c| c["id"] == "hoop").expect("hoop");
        assert_eq!(explain("hoop.capacity", name), hoop["capacity"]["value"]);
        let governing = route(&report, name)["governing"].as_str().expect("an id");
        let args = ["explain", governing, "job.toml", "--route", name];
        let run = tool_in(folder.path(), &args);
        assert_eq!(run.code, 0, "{name}: {}", run.err);
        assert!(run.out.len() > 500, "{name}: {}", run.out);
    }
    let run = tool_in(
        folder.path(),
        &["explain", "insert.wall", "job.toml", "--route", "prayer"],
    );
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(run.err.contains("clean and chase"), "{}", run.err);
}

#[test]
fn clean_and_chase_where_enough_thread_is_left() {
    let (code, report) = repair(&[
        "damage.missing_turns=0",
        "damage.sector[0].turns=0.5",
        "damage.wear=0.01 mm",
    ]);
    assert_eq!(
        report["suggested"], "clean and chase",
        "{}",
        report["suggestion"]
    );
    assert_eq!(code, 0);
    near(&report["as_found"]["damaged_turns"], 0.25);
}

/// No larger thread stands in the table above M47x1, and the wall is thick enough for a bushing.
#[test]
fn solid_bushing_where_no_larger_thread_is_known() {
    let mut set = vec![
        "thread.designation=M47x1",
        "damage.missing_turns=7",
        "insert.outer_diameter=56 mm",
        "frame.outer_diameter=75 mm",
        "fitting.bore=40 mm",
        "fitting.flange_diameter=62 mm",
        "fitting.flange_thickness=7 mm",
        "tightening.torque=60 N·m",
    ];
    // The usual paste on an abraded bore does not hold this bushing.
    let (_, report) = repair(&set);
    assert_eq!(
        report["suggested"], "new insert",
        "{}",
        report["suggestion"]
    );
    let sentence = report["suggestion"].as_str().expect("a sentence");
    assert!(
        sentence.contains("solid bushing falls short ([joint: bond.endurance]"),
        "{sentence}"
    );
    set.extend([
        "route[3].name=bushing joint",
        "route[3].set.\"bond.preparation\"=etched",
        "route[3].set.\"bond.adhesive\"=shop film",
    ]);
    let (code, report) = repair(&set);
    let why = route(&report, "re-tap")["why_not"]
        .as_str()
        .expect("a reason");
    assert!(why.contains("no larger thread"), "{why}");
    assert_eq!(
        report["suggested"], "solid bushing",
        "{}",
        report["suggestion"]
    );
    assert_eq!(code, 0);
}

/// Seat slip informs in a crank housing; it is no reason against a route.
#[test]
fn what_only_informs_is_no_shortcoming() {
    let run = tool_in(sleeve().path(), &["repair", "job.toml"]);
    assert!(!run.out.contains("seat.slip"), "{}", run.out);
    assert!(run.out.contains("bond.service.hot 2.9 (falls short)"));
}

/// The sentence speaks in the units of the reader; the JSON keeps its own.
#[test]
fn sentences_keep_to_the_units_asked_for() {
    let folder = sleeve();
    let run = |format: &str| {
        let args = [
            "repair", "job.toml", "--units", "imperial", "--format", format,
        ];
        tool_in(folder.path(), &args).out
    };
    let text = run("text").replace('\n', " ");
    assert!(
        text.contains("0.08858 in of wall (computed here: measure the wall first)"),
        "{text}"
    );
    assert!(run("json").contains("2.25 mm of wall (computed here"));
}

/// A route of the job's own that cuts another thread is not held to the sizes of the old one.
#[test]
fn a_route_of_ones_own_that_cuts_a_thread_counts_no_old_wear() {
    let cut = |pitch: &str| {
        let designation = format!("route[2].set.\"thread.designation\"={pitch}");
        let (_, report) = repair(&["damage.missing_turns=3", &designation]);
        route(&report, "shorter overhang and new insert")["changes"].clone()
    };
    let keys = |changes: &Value| -> Vec<String> {
        let list = changes.as_array().expect("changes");
        list.iter()
            .filter_map(|c| c["key"].as_str().map(str::to_string))
            .collect()
    };
    // M36x1 clears the old groove, so that its minor diameter is its own.
    let changes = cut("M36x1");
    assert!(
        !keys(&changes).contains(&"thread.internal_minor".to_string()),
        "{changes}"
    );
    // The new thread of the starter's own route is not worn either.
    let (_, report) = repair(&[]);
    let changes = &route(&report, "shorter overhang and new insert")["changes"];
    assert!(
        !keys(changes).contains(&"thread.internal_minor".to_string()),
        "{changes}"
    );
    // One that cuts nothing keeps the damage that was found.
    let (_, report) = repair(&["route[2].set.\"thread.damaged_turns\"=2"]);
    let changes = &route(&report, "shorter overhang and new insert")["changes"];
    assert!(
        keys(changes).contains(&"thread.internal_minor".to_string()),
        "{changes}"
    );
}

/// Where no thread is left to judge, the old glue still is: undoing comes before everything.
#[test]
fn removal_is_judged_without_a_thread() {
    let (_, report) = repair(&["damage.missing_turns=12"]);
    let removes = &route(&report, "re-tap")["removes"];
    near(&removes["torque"]["value"], 80.0);
    assert_eq!(removes["torque_source"], "as entered");
    assert_eq!(removes["within_limit"], true);
    // A damage that cannot be resolved is not passed over as if there were none.
    let (_, report) = repair(&["damage.wear=5 mm"]);
    assert_eq!(
        report["as_found"].get("verdict"),
        None,
        "{}",
        report["as_found"]
    );
}

/// The answer says what would change it: unknowns at their weakest, the old fitting's torque, a planned bond.
#[test]
fn the_answer_says_what_might_change_it() {
    let (_, report) = repair(&["bond.adhesive=unknown"]);
    let sentence = report["suggestion"].as_str().expect("a sentence");
    assert!(
        sentence.contains("not known, and counted at the weakest: bond.adhesive;"),
        "{sentence}"
    );
    assert!(
        sentence.contains("a better glue or preparation may change that"),
        "{sentence}"
    );
    // Less than one part in fifty below what is required: two figures would hide it.
    let (_, report) = repair(&["tightening.removal_torque=500 N·m"]);
    let sentence = report["suggestion"].as_str().expect("a sentence");
    assert!(sentence.contains("1.46 of 1.5 required"), "{sentence}");
    let cautions = route(&report, "new insert")["cautions"].to_string();
    assert!(cautions.contains("removal-as-before"), "{cautions}");
    let (_, report) = repair(&[]);
    let cautions = route(&report, "new insert")["cautions"].to_string();
    assert!(!cautions.contains("removal-as-before"), "{cautions}");
    let out = tool(&["repair"]).out;
    assert!(out.contains("No turn is entered as damaged"), "{out}");
}

/// What nobody measured is said to be a stand-in: a seized fitting takes far more.
#[test]
fn a_removal_torque_that_nobody_measured_is_called_so() {
    let run = tool(&["repair", "valid/two-sides.toml"]);
    assert!(
        run.out
            .replace("\n ", "")
            .contains("a seized fitting takes far more"),
        "{}",
        run.out
    );
}

/// Each side keeps its own record, and what was planned for it stands against what was done on it.
#[test]
fn each_side_has_its_record() {
    let set = "side[1].record.actual_torque=44 N·m";
    let run = tool(&[
        "repair",
        "valid/two-sides.toml",
        "--set",
        set,
        "--format",
        "json",
    ]);
    let report: Value = serde_json::from_str(&run.out).expect("JSON");
    assert!(report["sides"][0].get("record").is_none());
    let pair = &report["sides"][1]["record"]["planned_against_actual"][0];
    near(&pair["planned"]["value"], 40.0);
    near(&pair["difference"]["value"], 4.0);
}

/// Sectors that overlap are counted together where they do.
#[test]
fn overlapping_sectors_are_bare_together() {
    let bare = |to: &str| {
        let folder = sleeve();
        let path = folder.path().join("job.toml");
        let mut text = std::fs::read_to_string(&path).expect("the job");
        text.push_str(&format!(
            "\n[[damage.sector]]\nfrom = \"8:00\"\nto = \"{to}\"\nturns = 1\n"
        ));
        std::fs::write(&path, text).expect("the job written");
        let (_, report) = json_of(folder.path(), "repair", &["damage.missing_turns=0"]);
        let cautions = route(&report, "clean and chase")["cautions"].clone();
        cautions.to_string().contains("sector-bare")
    };
    assert!(bare("11:00"));
    let (_, report) = repair(&["damage.missing_turns=0"]);
    let cautions = route(&report, "clean and chase")["cautions"].to_string();
    assert!(!cautions.contains("sector-bare"), "{cautions}");
}

#[test]
fn rebond_where_the_insert_moved_for_a_known_cause() {
    let moved = ["condition.not_moved=false", "damage.cause_known=true"];
    let mut sound = moved.to_vec();
    sound.extend([
        "damage.missing_turns=0",
        "damage.sector[0].turns=0",
        "damage.wear=0 mm",
    ]);
    let (code, report) = repair(&sound);
    assert_eq!(report["suggested"], "re-bond", "{}", report["suggestion"]);
    assert_eq!(code, 0);
    for name in ["clean and chase", "re-tap", "solid bushing"] {
        let why = route(&report, name)["why_not"].as_str().expect("a reason");
        assert!(why.contains("has moved"), "{name}: {why}");
    }
    // With its thread gone as well, gluing the old one again is not enough.
    let (_, report) = repair(&moved);
    assert_eq!(
        report["suggested"], "new insert",
        "{}",
        report["suggestion"]
    );
    let confirm = route(&report, "new insert")["confirm_after"].clone();
    assert_eq!(
        confirm,
        serde_json::json!([
            "cured",
            "face_clean",
            "not_moved",
            "prepared",
            "thread_starts_by_hand"
        ])
    );
}

#[test]
fn findings_that_leave_nothing_but_to_refer() {
    let (code, report) = repair(&["condition.no_crack=false"]);
    assert_eq!((code, &report["suggested"]), (1, &Value::from("refer")));
    assert_eq!(names(&report), ["refer"]);
    for (set, word) in [
        (&["condition.not_moved=false"][..], "cause is not known"),
        (&["damage.wall_measured=0 mm"][..], "laminate"),
    ] {
        let (code, report) = repair(set);
        assert_eq!((code, &report["suggested"]), (1, &Value::from("refer")));
        let sentence = report["suggestion"].as_str().expect("a sentence");
        assert!(sentence.contains(word), "{sentence}");
        for r in report["routes"].as_array().expect("routes") {
            assert_eq!(r["feasible"], r["name"] == "refer", "{}", r["name"]);
        }
    }
    // A crash, or a use outside the scope: the routes go on, no margin answers for it.
    let (code, report) = repair(&["condition.no_crash=false"]);
    assert_eq!((code, &report["suggested"]), (1, &Value::from("refer")));
    let sentence = report["suggestion"].as_str().expect("a sentence");
    assert!(
        sentence.contains("\"No crash and no overload in its history\" (no_crash)"),
        "{sentence}"
    );
    assert_eq!(route(&report, "re-tap")["verdict"], "refused");
    // What is not known is not judged.
    let (code, report) = repair(&["condition.no_crack=unknown"]);
    assert_eq!((code, &report["suggested"]), (4, &Value::from("refer")));
    assert!(
        report["suggestion"]
            .as_str()
            .is_some_and(|s| s.contains("no_crack")),
        "{}",
        report["suggestion"]
    );
}

#[test]
fn thin_walls_stop_the_tap() {
    let thin = "insert.outer_diameter=38.5 mm";
    let aluminium = [thin, "insert.material=6061-T6"];
    let (_, report) = repair(&aluminium);
    let retap = route(&report, "re-tap");
    assert_eq!(retap["feasible"], false);
    near(&retap["wall_left"]["value"], 1.25);
    assert_eq!(
        retap["why_not"],
        "1.25 mm of wall would be left under the new root; 1.5 mm is needed (need.wall)"
    );
    let source = |report: &Value| {
        let list = report["assumed"].as_array().expect("assumed");
        let wall = list.iter().find(|a| a["key"] == "need.wall");
        wall.map(|a| a["source"].as_str().unwrap_or_default().to_string())
    };
    assert!(source(&report).is_some_and(|s| s.contains("aluminium left")));
    // Steel keeps less; of other metals no figure is known, and that of aluminium stands in.
    let (_, report) = repair(&[thin]);
    assert_eq!(route(&report, "re-tap")["feasible"], true);
    assert!(source(&report).is_some_and(|s| s.contains("steel left")));
    let (_, report) = repair(&[thin, "insert.material=titanium"]);
    assert_eq!(route(&report, "re-tap")["feasible"], false);
    assert!(source(&report).is_some_and(|s| s.contains("stands in")));
    let (_, report) = repair(&[thin, "insert.material=6061-T6", "need.wall=1.2 mm"]);
    assert_eq!(route(&report, "re-tap")["feasible"], true);
    assert_eq!(source(&report), None);
    let (_, report) = repair(&["insert.outer_diameter=35.9 mm"]);
    let why = route(&report, "re-tap")["why_not"]
        .as_str()
        .expect("a reason");
    assert!(why.contains("into the laminate"), "{why}");
    // 2 mm found under a thread of 34.798 mm leave 2 − (36 − 34.798)/2.
    let (_, report) = repair(&["damage.wall_measured=2 mm"]);
    near(&route(&report, "re-tap")["wall_left"]["value"], 1.399);
    near(
        &route(&report, "clean and chase")["wall_left"]["value"],
        2.0,
    );
}

#[test]
fn a_thread_that_is_gone_is_not_chased() {
    let (_, report) = repair(&["damage.missing_turns=11"]);
    let why = route(&report, "clean and chase")["why_not"]
        .as_str()
        .expect("a reason");
    assert!(why.contains("no full turn is left"), "{why}");
    let (_, report) = repair(&["damage.wear=0.4 mm"]);
    let why = route(&report, "clean and chase")["why_not"]
        .as_str()
        .expect("a reason");
    assert!(why.contains("nothing overlaps"), "{why}");
}

/// M5 goes to M6, M6 to the coarse M8 and not to a fine thread, M12 to no thread of a pedal.
#[test]
fn bosses_take_the_next_metric_size() {
    let folder = tempfile::tempdir().expect("a folder");
    tool_in(folder.path(), &["new", "boss", "-o", "job.toml"]);
    for (from, to, wall) in [
        ("M5", "M6x1", 3.0),
        ("M6", "M8x1.25", 2.0),
        ("M8x1", "M10x1", 1.0),
    ] {
        let (code, report) = json_of(
            folder.path(),
            "repair",
            &[&format!("thread.designation={from}")],
        );
        assert_ne!(code, 2);
        let retap = route(&report, "re-tap");
        assert_eq!(retap["thread"]["designation"], to, "{from}");
        near(&retap["wall_left"]["value"], wall);
        assert_eq!(
            route(&report, "threadless or other standard")["feasible"],
            false
        );
    }
    let large = [
        "thread.designation=M12",
        "insert.outer_diameter=24 mm",
        "fitting.flange_diameter=20 mm",
        "fitting.flange_thickness=10 mm",
    ];
    let (_, report) = json_of(folder.path(), "repair", &large);
    assert_eq!(route(&report, "re-tap")["thread"]["designation"], "M16");
    // All fail alike: the nearest is the one that takes the least away.
    let run = tool(&["repair", "valid/two-sides.toml"]);
    assert!(
        run.out
            .replace('\n', " ")
            .contains("the nearest is clean and chase"),
        "{}",
        run.out
    );
}

#[test]
fn both_sides_are_reported() {
    let run = tool(&["repair", "valid/two-sides.toml", "--format", "json"]);
    let report: Value = serde_json::from_str(&run.out).expect("JSON");
    let sides = report["sides"].as_array().expect("sides");
    assert_eq!(sides.len(), 2);
    for side in sides {
        assert!(side["suggested"].is_string());
        assert!(side["routes"].as_array().is_some_and(|r| r.len() > 1));
    }
    // The joint of a bushing is judged on each side, though both share the frame.
    for side in sides {
        let joint = &route(side, "solid bushing")["joint"];
        assert!(joint["verdict"].is_string(), "{joint}");
    }
    // Cut anew, both sides are right-hand.
    for side in sides {
        let retap = route(side, "re-tap");
        assert_eq!(retap["hand_after"], "right", "{}", side["side"]);
    }
}

#[test]
fn damage_routes_and_record_are_checked() {
    let folder = sleeve();
    for (set, word) in [
        ("damage.missing_turns=-1", "cannot be negative"),
        ("damage.wear=0.1", "without a unit|unit"),
        ("damage.sector[0].to=3:00", "ends where it begins"),
        ("route[0].rate=-5", "cannot be negative"),
        ("record.actual_torque=40 mm", "torque"),
        ("record.actual_torqe=40 N·m", "actual_torque"),
        ("need.wall=0 mm", "greater than zero"),
    ] {
        let run = tool_in(folder.path(), &["repair", "job.toml", "--set", set]);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{set}");
        assert!(
            word.split('|').any(|w| run.err.contains(w)),
            "{set}: {word} is not in\n{}",
            run.err
        );
    }
}

#[test]
fn planned_stands_against_actual() {
    let folder = sleeve();
    let set = [
        "record.actual_torque=47 N·m",
        "record.actual_removal_torque=900 N·m",
    ];
    let (_, report) = json_of(folder.path(), "check", &set);
    let pairs = report["record"]["planned_against_actual"]
        .as_array()
        .expect("pairs");
    let pair = |about: &str| pairs.iter().find(|p| p["about"] == about).expect("a pair");
    near(&pair("torque")["difference"]["value"], 7.0);
    assert!(
        pair("removal_torque")["note"]
            .as_str()
            .is_some_and(|n| n.contains("neck.removal.limit"))
    );
    for command in ["check", "repair"] {
        let run = tool_in(
            folder.path(),
            &[command, "job.toml", "--set", set[0], "--format", "text"],
        );
        assert!(run.out.contains("RECORD"), "{command}");
        assert!(run.out.contains("+7 N·m"), "{command}:\n{}", run.out);
    }
    // What was written stands as it was written.
    let as_found = "record.as_found=gap 0.10 .. 0.15 mm.";
    let run = tool_in(folder.path(), &["repair", "job.toml", "--set", as_found]);
    assert!(
        run.out.contains("As found: gap 0.10 .. 0.15 mm.\n"),
        "{}",
        run.out
    );
    // A job that records nothing says nothing about it.
    assert!(!tool(&["check"]).out.contains("RECORD"));
}

#[test]
fn text_keeps_to_eighty_columns_and_to_its_words() {
    let folder = sleeve();
    for set in [
        "condition.no_crack=true",
        "condition.no_crack=false",
        "insert.outer_diameter=38.5 mm",
        "damage.wall_measured=2 mm",
    ] {
        for units in ["metric", "imperial"] {
            let run = tool_in(
                folder.path(),
                &["repair", "job.toml", "--set", set, "--units", units],
            );
            for line in run.out.lines() {
                assert!(line.chars().count() <= 80, "{line}");
            }
            assert_eq!(promises(&run.out), Vec::<String>::new());
            let at = |text: &str| run.out.find(text).unwrap_or_else(|| panic!("{text}"));
            assert!(at("BEFORE ANY MARGIN") < at("WHAT TO DO"));
            assert!(at("WHAT TO DO") < at("CAUTIONS"));
        }
    }
    let run = tool_in(
        folder.path(),
        &["repair", "job.toml", "--format", "markdown"],
    );
    assert!(run.out.contains("| Route |"), "{}", run.out);
}

fn identify(args: &[&str]) -> (i32, Value) {
    let mut all = vec!["identify", "--format", "json"];
    all.extend(args);
    let run = tool(&all);
    let value =
        serde_json::from_str(&run.out).unwrap_or_else(|e| panic!("{args:?}: {e}\n{}", run.err));
    (run.code, value)
}

#[test]
fn threads_are_identified_as_far_as_readings_go() {
    let (code, report) = identify(&["--major", "34.6 mm", "--pitch", "24 tpi"]);
    assert_eq!(
        (code, &report["identified"]),
        (0, &Value::from("1.37 in x 24 tpi"))
    );
    // Within both limits of size: a caliper does not decide.
    let (code, report) = identify(&["--major", "34.75 mm", "--pitch", "24 tpi"]);
    assert_eq!((code, &report["identified"]), (4, &Value::Null));
    assert_eq!(
        report["settle"][0]["between"],
        serde_json::json!(["1.37 in x 24 tpi", "1.375 in x 24 tpi"])
    );
    assert_eq!(report["settle"][0]["decidable"], false);
    assert!(
        report["answer"]
            .as_str()
            .is_some_and(|a| a.starts_with("Undecidable"))
    );
    // By diameter alone the French thread and the old roadster's stay open; the pitch settles it.
    let (code, report) = identify(&["--major", "34.88 mm"]);
    assert_eq!(code, 4);
    assert!(
        report["settle"]
            .as_array()
            .is_some_and(|s| s.iter().any(|s| s["decidable"] == true))
    );
    let (code, report) = identify(&["--major", "34.88 mm", "--length", "10 mm", "--turns", "10"]);
    assert_eq!((code, &report["identified"]), (0, &Value::from("M35x1")));
    // Ten turns by fingers with a fitting of 1 mm pitch: 24 threads to the inch would have bound long before.
    let (_, report) = identify(&[
        "--minor",
        "33.95 mm",
        "--turns-by-hand",
        "10",
        "--fitting",
        "M35x1",
    ]);
    let english = report["candidates"]
        .as_array()
        .and_then(|c| c.iter().find(|c| c["name"] == "1.37 in x 24 tpi"))
        .expect("the near twin");
    assert_eq!(english["fits"], false);
    assert!(
        english["against"][0]
            .as_str()
            .is_some_and(|a| a.contains("bind after about 2"))
    );
    let (code, report) = identify(&["--major", "60 mm"]);
    assert_eq!((code, &report["identified"]), (1, &Value::Null));
}

/// A worn thread reads outside its limits: it is named as that, and never as a thread that fits.
#[test]
fn worn_threads_are_named_as_worn() {
    // 34.592 mm less the reading with its error.
    let (code, report) = identify(&["--major", "34.4 mm", "--pitch", "24 tpi"]);
    assert_eq!((code, &report["identified"]), (4, &Value::Null));
    assert_eq!(report["candidates"][0]["name"], "1.37 in x 24 tpi");
    near(&report["candidates"][0]["worn"]["value"], 34.592 - 34.43);
    // Wear takes metal off: a screw that is too large, or a bore too small, is no worn one.
    let worn = |args: &[&str]| {
        let (_, report) = identify(args);
        let list = report["candidates"].as_array().expect("candidates").clone();
        list.iter()
            .filter(|c| c.get("worn").is_some())
            .filter_map(|c| c["name"].as_str().map(str::to_string))
            .collect::<Vec<_>>()
    };
    assert!(worn(&["--major", "35.2 mm", "--pitch", "24 tpi"]).is_empty());
    let bore = worn(&["--minor", "34.25 mm", "--pitch", "24 tpi"]);
    assert!(bore.contains(&"1.375 in x 24 tpi".to_string()), "{bore:?}");
    assert!(!bore.contains(&"M35x1".to_string()), "{bore:?}");
}

/// The hand is seen and not inferred: the way a fitting goes in says on which side the table has it.
#[test]
fn the_hand_is_the_way_it_goes_in() {
    let readings = ["--major", "34.6 mm", "--pitch", "24 tpi", "--goes-in"];
    let seen = |way: &str| identify(&[&readings[..], &[way]].concat()).1;
    let left = seen("anticlockwise");
    assert_eq!(left["hand"], "left");
    assert!(
        left["candidates"][0]["by_hand_seen"]
            .as_str()
            .is_some_and(|s| s.contains("drive side")),
    );
    assert!(!left["not_examined"].to_string().contains("--goes-in"));
    assert_eq!(seen("clockwise")["hand"], "right");
    let (_, report) = identify(&["--major", "34.6 mm"]);
    assert!(report["not_examined"].to_string().contains("--goes-in"));
    let (_, report) = identify(&[
        "--major",
        "35.9 mm",
        "--pitch",
        "24 tpi",
        "--goes-in",
        "anticlockwise",
    ]);
    assert!(
        report["candidates"][0]["by_hand_seen"]
            .as_str()
            .is_some_and(|s| s.contains("does not have it left-hand")),
    );
}

#[test]
fn identify_refuses_what_it_cannot_read() {
    for args in [
        &["identify"][..],
        &["identify", "--major", "34.6"],
        &["identify", "--major", "34.6 N"],
        &["identify", "--major", "-3 mm"],
        &["identify", "--length", "10 mm", "--turns", "0"],
        &[
            "identify",
            "--minor",
            "34 mm",
            "--turns-by-hand",
            "3",
            "--fitting",
            "elephant",
        ],
    ] {
        let run = tool(args);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{args:?}");
        assert!(!run.err.is_empty(), "{args:?}");
    }
    for line in tool(&["identify", "--major", "34.75 mm"]).out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

/// Answers for a boss, in the order of the questions.
const BOSS: &str = "boss\nhinge boss\nyes\nyes\nyes\nyes\nM6\nright\n11 bananas\n11 mm\nstainless-304\n-12 mm\n15/32 in\n14 mm\n\
0,15 mm\ncarbon-epoxy\n40 mm\ndon't know\n0.2 .. 0.3 mm\n?\n\nsalt\nyes\nyes\nstainless-304\n\n12 mm\n4 mm\nyes\nyes\n5 N·m\n\
greased\n?\n150 N\n\n\n";

#[test]
fn ask_writes_a_job_from_answers() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = tool_with(
        folder.path(),
        &["new", "--ask", "-o", "job.toml"],
        BOSS.as_bytes(),
    );
    assert_eq!((run.code, run.out.as_str()), (0, ""), "{}", run.err);
    // An answer that cannot be read is said so and asked again.
    assert!(run.err.contains("bananas"), "{}", run.err);
    assert!(run.err.contains("this cannot be negative"), "{}", run.err);
    assert!(
        run.err.contains("insertwright check job.toml"),
        "{}",
        run.err
    );
    let text = std::fs::read_to_string(folder.path().join("job.toml")).expect("the job");
    for line in [
        "use = \"boss\"",
        "engaged = \"11 mm\"",
        "adhesive = \"unknown\"",
        "voids = \"unknown\"",
        "face_offset = \"0,15 mm\"",
        "axial = \"150 N\"",
        "outer_diameter = \"15/32 in\"",
        "thickness = \"0.2 .. 0.3 mm\"",
        "environment = \"salt\"",
    ] {
        assert!(text.contains(line), "{line} is not in\n{text}");
    }
    let check = tool_in(folder.path(), &["check", "job.toml"]);
    assert_ne!(check.code, 2, "{}", check.err);
    // The file is not asked over.
    let again = tool_with(folder.path(), &["new", "--ask", "-o", "job.toml"], b"");
    assert_eq!(again.code, 2);
}

#[test]
fn ask_carries_on_without_an_answer() {
    let run = tool_with(&root(), &["new", "damaged-sleeve", "--ask"], b"");
    assert_eq!(run.code, 4);
    assert!(run.out.contains("no_crack = \"unknown\""), "{}", run.out);
    assert!(run.out.contains("# designation is needed: "), "{}", run.out);
    assert!(run.out.contains("[damage]"), "{}", run.out);
    assert!(
        run.err.contains("still missing: thread.engaged"),
        "{}",
        run.err
    );
    assert_eq!(tool(&["new"]).code, 2);
    // What is no text is asked again, and whoever reads the questions from a pipe finds one to a line.
    let run = tool_with(&root(), &["new", "--ask"], b"\xff\xfe\nboss\n");
    assert_eq!(run.code, 4);
    assert!(
        run.err.contains("\nWhat is the insert for?\n  how:"),
        "{}",
        run.err
    );
    assert!(run.err.contains("\n  again:  answer one of"), "{}", run.err);
    for line in run
        .err
        .lines()
        .take_while(|l| !l.starts_with("no more answers"))
    {
        assert!(line.chars().count() <= 80, "{line}");
    }
    for part in ["\nWhich thread is it?\n", "such as 12.5 mm, 1/2 in"] {
        let text = tool_with(
            &root(),
            &["new", "boss", "--ask"],
            b"?\n?\n?\n?\n?\n?\n?\n?\n",
        )
        .err;
        assert!(text.contains(part), "{part} is not in\n{text}");
    }
}
