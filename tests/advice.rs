//! What a person may act on: figures that must be withheld, capped, or said to be of another joint.

use crate::support::{json_on, looked_at, root, tool, tool_in, tool_with};
use serde_json::Value as Json;

/// What a command says of a starter job, the damaged one with answers, with entries over it, its lines joined.
fn says(command: &[&str], starter: &str, set: &[&str]) -> String {
    let job = match starter {
        "damaged-sleeve" => looked_at(),
        other => tool(&["new", other]).out,
    };
    let mut args: Vec<&str> = command.to_vec();
    args.push("-");
    for entry in set {
        args.extend(["--set", entry]);
    }
    joined(&tool_with(&root(), &args, job.as_bytes()).out)
}

fn joined(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn value(report: &Json, id: &str) -> f64 {
    report["values"][id]["value"].as_f64().unwrap_or(f64::NAN)
}

/// Where the glue cannot be trusted no torque is named at which to stop.
#[test]
fn no_torque_to_stop_at_where_the_glue_cannot_be_trusted() {
    for set in [
        "condition.not_moved=false",
        "condition.no_crash=false",
        "condition.cured=false",
        "condition.prepared=false",
        "damage.wall_measured=0 mm",
    ] {
        let text = says(&["repair"], "damaged-sleeve", &[set]);
        assert!(
            text.contains("no torque at which to stop is named"),
            "{set}: {text}"
        );
        assert!(!text.contains("nothing is kept beyond"), "{set}: {text}");
        assert!(
            !text.contains("could stand more than any hand wrench"),
            "{set}: {text}"
        );
    }
    for set in ["condition.cured=false", "condition.prepared=false"] {
        let text = says(&["check"], "crank-sleeve", &[set]);
        assert!(
            text.contains("no torque at which to stop is named"),
            "{set}: {text}"
        );
    }
    // Nor where nobody has looked, though undoing is judged.
    for open in SEEN {
        let open = open.replace("true", "unknown");
        let mut set = SEEN.to_vec();
        set.push(&open);
        let text = says(&["check"], "crank-sleeve", &set);
        assert!(
            text.contains("no torque at which to stop is named, because not all of [condition]"),
            "{open}: {text}"
        );
        assert!(!text.contains("nothing is kept beyond"), "{open}: {text}");
        assert!(
            text.contains("judged at 72.83 N·m (the loosening torque at preload high"),
            "{open}: {text}"
        );
    }
    let mut set = SEEN.to_vec();
    set.push("bond.voids=unknown");
    let text = says(&["check"], "crank-sleeve", &set);
    assert!(
        text.contains("stop at the first shift, sound or powder, at whatever torque")
            && text.contains("nothing is kept beyond")
            && text.contains("That torque is not judged: bond.voids"),
        "{text}"
    );
}

/// What a torque at which to stop stands on, looked at.
const SEEN: [&str; 6] = [
    "condition.no_crack=true",
    "condition.not_moved=true",
    "condition.no_crash=true",
    "condition.unregulated_use=true",
    "condition.prepared=true",
    "condition.cured=true",
];

/// What is to be looked at, entered or asked first is said where it changes what a person does.
#[test]
fn what_the_job_leaves_out_is_said_where_it_matters() {
    let left_out = |key: &str| {
        let job = tool(&["new", "crank-sleeve"]).out;
        let lines = job.lines().filter(|l| !l.starts_with(key));
        lines.collect::<Vec<_>>().join("\n")
    };
    let check = |job: &str, set: &[&str]| {
        let mut args = vec!["check", "-"];
        set.iter().for_each(|s| args.extend(["--set", s]));
        joined(&tool_with(&root(), &args, job.as_bytes()).out)
    };
    // The hand: the row knows another, or no row knows any.
    let says_hand = "The hand is not stated (thread.hand) and is taken as right-hand";
    let text = check(&left_out("hand"), &[]);
    assert!(
        text.contains(says_hand) && text.contains("usual hand for this side is left"),
        "{text}"
    );
    let text = check(&left_out("hand"), &["job.side=non-drive"]);
    assert!(!text.contains(says_hand), "{text}");
    let text = check(&left_out("hand"), &["thread.designation=M37x1"]);
    assert!(text.contains("no row says which hand is usual"), "{text}");
    assert!(!check(&left_out("no such key"), &[]).contains(says_hand));
    assert!(!joined(&tool(&["check"]).out).contains(says_hand));
    // The bore of a cup.
    let solid = "taken as solid";
    assert!(check(&left_out("bore"), &[]).contains("the neck of a hollow cup is far weaker"));
    let boss = says(&["check"], "boss", &[]);
    assert!(!check(&left_out("no such key"), &[]).contains(solid));
    assert!(!boss.contains("hollow cup is far weaker:"), "{boss}");
    // The makers' torque.
    let text = check(&left_out("maker_torque"), &[]);
    assert!(text.contains("No maker's torque is entered"), "{text}");
    assert!(!check(&left_out("no such key"), &[]).contains("No maker's torque"));
    // A thread locker, until the job says what it takes.
    let locked = "tightening.lubrication=thread-locked";
    let text = check(&left_out("no such key"), &[locked]);
    assert!(
        text.contains("thread locker has cured in the thread")
            && text.contains("Thread locker in a bonded insert"),
        "{text}"
    );
    let stated = [locked, "tightening.removal_torque=60 N·m"];
    let text = check(&left_out("no such key"), &stated);
    assert!(!text.contains("has cured in the thread, and"), "{text}");
    assert!(text.contains("Thread locker in a bonded insert"), "{text}");
    // A glue that never cures there, in a layer that it is not made for.
    let set = ["bond.adhesive=anaerobic-retainer"];
    let text = check(&left_out("no such key"), &set);
    assert!(
        text.contains("does not cure on this wall")
            && text.contains("outside the adhesive's band (0.01 mm to 0.1 mm)"),
        "{text}"
    );
    let text = says(&["bond"], "crank-sleeve", &set);
    assert!(text.contains("Verdict: falls short"), "{text}");
    assert!(!text.contains("Turn the insert to"), "{text}");
    let metal = ["bond.adhesive=anaerobic-retainer", "frame.material=4130"];
    let text = says(&["bond"], "crank-sleeve", &metal);
    assert!(text.contains("Turn the insert to"), "{text}");
    // The state of an alloy that its name does not tell.
    let text = check(&left_out("no such key"), &["insert.material=7075"]);
    assert!(
        text.contains("insert.material: state = 7075-T6")
            && text.contains("if the state is not known, write \"aluminium\""),
        "{text}"
    );
    assert!(!check(&left_out("no such key"), &["insert.material=7075-T6"]).contains(": state ="));
}

/// To tighten again is no advice for a part that is cracked, loose or not looked at.
#[test]
fn a_part_that_nobody_has_looked_at_is_not_tightened_again() {
    let again = "tighten once more to the same torque";
    assert!(says(&["check"], "crank-sleeve", &SEEN).contains(again));
    for set in [
        "condition.no_crack=unknown",
        "condition.no_crack=false",
        "condition.not_moved=false",
        "condition.no_crash=false",
    ] {
        let mut all = SEEN.to_vec();
        all.push(set);
        let text = says(&["check"], "crank-sleeve", &all);
        assert!(!text.contains(again), "{set}: {text}");
    }
}

/// The fitting's neck caps what the glue would still stand, and its figure can be explained.
#[test]
fn the_neck_caps_the_torque_to_stop_at() {
    let job = tool(&["new", "crank-sleeve"]).out;
    let (report, _) = json_on(&job, "check", &["--set", "bond.thickness=4 mm"]);
    let (glue, neck) = (
        value(&report, "bond.removal.limit"),
        value(&report, "neck.removal.limit"),
    );
    assert!(neck < glue, "{neck} {glue}");
    let mut set = SEEN.to_vec();
    set.push("bond.thickness=4 mm");
    let text = says(&["check"], "crank-sleeve", &set);
    assert!(
        text.contains("the fitting's neck keeps its required reserve no further"),
        "{text}"
    );
    let text = says(&["explain", "neck.removal.limit"], "crank-sleeve", &[]);
    assert!(!text.contains("no torque"), "{text}");
    // The preload alone takes up what the neck of this screw keeps.
    let mut set = SEEN.to_vec();
    set.extend(["fitting.material=stainless 304", "tightening.torque=5 N·m"]);
    let text = says(&["check"], "boss", &set);
    assert!(
        text.contains("the preload at its high end alone takes up"),
        "{text}"
    );
    let text = says(&["explain", "bond.removal.limit"], "crank-sleeve", &[]);
    assert!(
        text.contains("required = 1.5") && !text.contains("hot temperature"),
        "{text}"
    );
}

/// What a soft wall divides by is printed wherever the reserve is, and counted in what it takes.
#[test]
fn the_divisor_of_a_soft_wall_is_printed_and_counted() {
    let thin = ["frame.held_at=inboard", "frame.outer_diameter=46 mm"];
    let set = ["--set", thin[0], "--set", thin[1]];
    let run = |args: &[&str]| joined(&tool(&[args, &set[..]].concat()).out);
    let report: Json =
        serde_json::from_str(&tool(&[&["check", "--format", "json"], &set[..]].concat()).out)
            .expect("JSON");
    let check = report["checks"]
        .as_array()
        .and_then(|c| c.iter().find(|c| c["id"] == "bond.endurance"))
        .expect("the check");
    let factor = check["divided_by"].as_f64().expect("a divisor");
    assert!(
        (factor - value(&report, "bond.soft_wall_factor")).abs() < 1e-9,
        "{report}"
    );
    assert!((factor - 3.4).abs() < 1e-9, "{factor}");
    let text = run(&["check"]);
    assert!(
        text.contains("divided by 3.4, against 1.5 required"),
        "{text}"
    );
    assert!(text.contains("the highest factor there is"), "{text}");
    let text = run(&["explain", "bond.soft_wall_factor"]);
    assert!(text.contains("= 3.4"), "{text}");
    let text = run(&["explain", "bond.endurance"]);
    let most = 1.0 / (1.5 * 3.4);
    assert!(
        text.contains(&format!("a demand of at most {most:.4}")),
        "{text}"
    );
}

/// A torque that was set is held against the joint that was tightened.
#[test]
fn a_record_is_held_against_the_route_that_was_done() {
    let set = |torque| ["record.actual_route=re-tap", torque];
    let text = says(
        &["check"],
        "damaged-sleeve",
        &set("record.actual_torque=39 N·m"),
    );
    assert!(text.contains("`repair` has the route's own"), "{text}");
    let text = says(
        &["repair"],
        "damaged-sleeve",
        &set("record.actual_torque=39 N·m"),
    );
    assert!(!text.contains("! Torque:"), "{text}");
    let text = says(
        &["repair"],
        "damaged-sleeve",
        &set("record.actual_torque=90 N·m"),
    );
    assert!(
        text.contains("above the upper end of the window of the route done"),
        "{text}"
    );
}

/// The joint of a bushing has a name under which its figures are explained.
#[test]
fn the_joint_of_a_bushing_is_explained() {
    let text = says(&["repair"], "damaged-sleeve", &[]);
    assert!(text.contains("--route \"bushing joint\""), "{text}");
    let text = says(
        &["explain", "bond.endurance", "--route", "bushing joint"],
        "damaged-sleeve",
        &[],
    );
    assert!(text.contains("= 0.58;"), "{text}");
    let text = says(
        &["explain", "hoop", "--route", "re-tap to 36 mm x 24 tpi"],
        "damaged-sleeve",
        &[],
    );
    assert!(text.contains("What is judged"), "{text}");
}

/// What decides is named: what is not met, and as many figures as tell the reserve from what is required.
#[test]
fn a_route_falls_short_for_the_reason_given() {
    let text = says(&["repair"], "damaged-sleeve", &["condition.cured=false"]);
    assert!(
        text.contains("re-tap falls short ([bond.endurance], 1.7 of 1.5, but not met is cured)"),
        "{text}"
    );
}

/// No more turns are lost than there are, and what a route takes as met is not called confirmed.
#[test]
fn turns_and_preconditions_are_those_of_the_part() {
    let text = says(&["repair"], "damaged-sleeve", &["damage.missing_turns=12"]);
    assert!(text.contains("Turns that carry nothing: 10.3"), "{text}");
    let set = [
        "condition.face_clean=unknown",
        "condition.thread_starts_by_hand=false",
    ];
    let text = says(
        &["explain", "hoop", "--route", "re-tap"],
        "damaged-sleeve",
        &set,
    );
    assert!(
        text.contains("taken as met after the work: face_clean, thread_starts_by_hand"),
        "{text}"
    );
}

/// Damage that `check` does not count is said beside its verdict; without damage nothing is said.
#[test]
fn damage_that_is_not_counted_is_said_beside_the_verdict() {
    let text = says(&["check"], "damaged-sleeve", &[]);
    let (said, first) = (
        text.find("Damage is not counted here"),
        text.find("Do first"),
    );
    assert!(said.is_some() && said < first, "{text}");
    assert!(!says(&["check"], "crank-sleeve", &[]).contains("Damage is not counted"));
}

/// A route that is refused shows no margin; one that cannot be done costs nothing.
#[test]
fn a_refused_route_shows_no_margin() {
    let job = looked_at();
    let (report, _) = json_on(&job, "repair", &["--set", "condition.no_crash=false"]);
    for route in report["routes"].as_array().expect("routes") {
        if route["verdict"] == "refused" {
            assert_eq!(route["checks"].as_array().map(Vec::len), Some(0), "{route}");
            assert!(
                route.get("window").is_none() && route["governing"].is_null(),
                "{route}"
            );
        }
    }
    let text = says(&["repair"], "damaged-sleeve", &["condition.no_crash=false"]);
    assert!(!text.contains(" of 1.5"), "{text}");
    assert!(
        says(
            &["repair"],
            "damaged-sleeve",
            &["condition.not_moved=false"]
        )
        .contains("re-tap cannot be done – – –")
    );
}

/// `repair` and `check` name the same check for the same state.
#[test]
fn check_and_repair_name_the_same_check() {
    let job = tool(&["new", "crank-sleeve"]).out
        + "\n[[seat.gap]]\nat = \"12:00\"\ngap = \"0.3 mm\"\n[[seat.gap]]\nat = \"6:00\"\ngap = \"0 mm\"\n";
    let (checked, _) = json_on(&job, "check", &[]);
    let (repaired, _) = json_on(&job, "repair", &[]);
    assert_eq!(checked["deciding"], repaired["as_found"]["deciding"]);
    assert!(!checked["deciding"].is_null(), "{checked}");
}

/// Each side is compared with the same side of the other, and named.
#[test]
fn sides_are_compared_by_name() {
    let folder = tempfile::tempdir().expect("a folder");
    let text = std::fs::read_to_string(root().join("tests/jobs/valid/two-sides.toml"))
        .expect("the sample");
    let other =
        format!("{text}\n[[variant]]\nname = \"short\"\nset = {{ \"bond.length\" = \"12 mm\" }}\n");
    std::fs::write(folder.path().join("b.toml"), other).expect("written");
    let run = tool_in(folder.path(), &["compare", "b.toml"]);
    let text = joined(&run.out);
    assert!(
        text.contains("12 mm): drive side: ") && text.contains(". non-drive side: "),
        "{text}{}",
        run.err
    );
}

/// Of a check that the stated joint does not have no step and no reserve is shown, but which reading decides.
#[test]
fn a_check_of_another_reading_shows_that_reading() {
    let text = says(
        &["explain", "bond.sustained"],
        "crank-sleeve",
        &["insert.face_offset=0.02 mm"],
    );
    assert!(
        text.contains("as stated it has no demand and no reserve"),
        "{text}"
    );
    assert!(
        text.contains("bearing on the frame alone: reserve"),
        "{text}"
    );
    assert!(!text.contains("STEP BY STEP"), "{text}");
}

/// What is short at every torque is not "kept up to 0".
#[test]
fn nothing_is_kept_up_to_a_torque_of_nothing() {
    let text = says(&["explain", "bond.service.cold"], "crank-sleeve", &[]);
    assert!(text.contains("Torque: none keeps it"), "{text}");
    assert!(!text.contains("up to 0 N·m"), "{text}");
}

/// Advice for a face that crushes is about that face.
#[test]
fn advice_is_about_the_face_that_crushes() {
    let weak = "\n[material.soft]\nkind = \"metal\"\nelastic_modulus = \"69 GPa\"\npoisson = 0.33\nyield = \"40 MPa\"\ntensile = \"90 MPa\"\nexpansion = \"23.6 ppm/K\"\nsource = \"a test\"\n";
    let job = tool(&["new", "crank-sleeve"]).out + weak;
    let advice = |part: &str| {
        let set = format!("{part}.material=soft");
        let args = [
            "explain",
            "seat.crush",
            "-",
            "--set",
            "insert.face_offset=0 mm",
            "--set",
            &set,
        ];
        joined(&tool_with(&root(), &args, job.as_bytes()).out)
    };
    let onto = "let the flange bear on the metal of the insert";
    assert!(!advice("insert").contains(onto), "{}", advice("insert"));
    assert!(advice("frame").contains(onto), "{}", advice("frame"));
}
