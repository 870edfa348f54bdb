//! Bosses: the part between head and boss, pull-through and edge of the parent, and the wrench at hand.

use insertwright::assess::check::{CheckId, Note, Reason, Verdict};
use insertwright::assess::values::{self, Origin};
use insertwright::assess::{Assessment, assess, closed, wrench};
use insertwright::job::{Document, Job, resolve};
use insertwright::present::Report;
use insertwright::present::report::Assessed;
use insertwright::units::{newton_metre, si};
use proptest::prelude::*;

const BOSS: &str = include_str!("../src/cli/starters/boss.toml");
const DEMONSTRATION: &str = include_str!("../src/cli/starters/demonstration.toml");

fn job_of(text: &str, set: &[&str]) -> Job {
    let (mut document, mut found) = Document::parse("test", text);
    for argument in set {
        found.extend(document.set(argument));
    }
    assert!(found.is_empty(), "{found:?}");
    resolve(&document).expect("a job that resolves")
}

fn findings(set: &[&str]) -> Vec<String> {
    let (mut document, _) = Document::parse("test", BOSS);
    for argument in set {
        assert!(document.set(argument).is_empty());
    }
    match resolve(&document) {
        Ok(_) => Vec::new(),
        Err(found) => found.into_iter().map(|d| d.message).collect(),
    }
}

fn assessed(job: &Job) -> Assessment {
    assess(&job.sides[0].assembly).expect("a seat")
}

fn value(job: &Job, r: &Assessment, id: &str) -> Option<f64> {
    (values::find(id).expect(id).get)(&job.sides[0].assembly, r)
}

const PART: [&str; 3] = [
    "clamped.thickness=3 mm",
    "clamped.material=6061-T6",
    "clamped.bears_on=insert",
];

fn with(more: &[&str]) -> (Job, Assessment) {
    let set: Vec<&str> = PART.iter().chain(more).copied().collect();
    let job = job_of(BOSS, &set);
    let r = assessed(&job);
    (job, r)
}

#[test]
fn a_job_without_a_part_has_the_figures_it_had() {
    let job = job_of(BOSS, &[]);
    let r = assessed(&job);
    // Printed by the version before the part existed.
    for (id, before) in [
        ("thread.stiffness", 1092174.7892307027e3),
        ("preload.low", 571.2214279639097),
        ("seat.pressure.peak", 83.1855595804844e6),
    ] {
        let now = value(&job, &r, id).unwrap();
        assert!((now / before - 1.0).abs() < 1e-13, "{id}: {now}");
    }
    for id in ["clamped.grip", "clamped.area", "thread.stiffness.at_face"] {
        assert_eq!(value(&job, &r, id), None);
    }
    let demonstration = job_of(DEMONSTRATION, &[]);
    let r = assessed(&demonstration);
    for id in [CheckId::FramePullThrough, CheckId::FrameEdge] {
        assert!(r.checks[id.index()].is_none());
    }
}

#[test]
fn springs_in_series_make_the_joint_softer_and_every_number_is_explained() {
    let (job, r) = with(&[]);
    let k = value(&job, &r, "thread.stiffness").unwrap();
    let alone = value(&job, &r, "thread.stiffness.at_face").unwrap();
    assert_eq!(value(&job, &r, "clamped.grip"), Some(0.003));
    // The neck is the thread's root, the part a ring from the thread's major to the head.
    let d3 = 6.0 - 17.0 / 12.0 * 3f64.sqrt() / 2.0;
    let neck = std::f64::consts::PI / 4.0 * d3 * d3 * 1e-6;
    let part = std::f64::consts::PI / 4.0 * (144.0 - 36.0) * 1e-6;
    let by_hand = 1.0 / (1.0 / alone + 0.003 / (193e9 * neck) + 0.003 / (68.3e9 * part));
    assert!((k / by_hand - 1.0).abs() < 1e-12, "{k} {by_hand}");
    assert!(k < alone);
    for v in values::ALL {
        let a = &job.sides[0].assembly;
        let (Some(got), Some(origin)) = ((v.get)(a, &r), (v.explain)(a, &r)) else {
            continue;
        };
        let again = match origin {
            Origin::Formula(f, arguments) => (f.eval)(&arguments),
            Origin::Solved(_, _, again) => again,
            Origin::Stated(_) => continue,
        };
        assert!(
            (got - again).abs() <= 1e-12 * got.abs().max(1e-300),
            "{}: {got} against {again}",
            v.id
        );
    }
}

#[test]
fn a_longer_screw_loses_less_by_settling() {
    let plain = job_of(BOSS, &["insert.face_offset=0.15 mm"]);
    let (job, r) = with(&[]);
    let before = value(&plain, &assessed(&plain), "preload.loss.embedding").unwrap();
    let after = value(&job, &r, "preload.loss.embedding").unwrap();
    assert!(after < before);
    // The torque makes the same preload: head and part press on the same ring.
    assert_eq!(
        value(&plain, &assessed(&plain), "preload.high"),
        value(&job, &r, "preload.high")
    );
}

#[test]
fn what_the_part_bears_on_beats_the_offset() {
    for (word, share) in [("insert", 1.0), ("frame", 0.0)] {
        let key = format!("clamped.bears_on={word}");
        let more = [
            "clamped.outer_diameter=30 mm",
            "fitting.flange_diameter=30 mm",
            &key,
        ];
        let set: Vec<&str> = PART[..2].iter().chain(&more).copied().collect();
        let job = job_of(BOSS, &set);
        let r = assessed(&job);
        assert_eq!(value(&job, &r, "seat.share.insert"), Some(share));
        assert!(!closed::bearing_unproven(&job.sides[0].assembly));
    }
}

#[test]
fn a_part_smaller_than_the_head_makes_the_ring_smaller() {
    let (job, _) = with(&["clamped.outer_diameter=10 mm"]);
    let a = &job.sides[0].assembly;
    assert!((si(closed::pressed_diameter(a)) - 0.010).abs() < 1e-15);
    let (wide, _) = with(&["clamped.outer_diameter=40 mm"]);
    assert!((si(closed::pressed_diameter(&wide.sides[0].assembly)) - 0.012).abs() < 1e-15);
}

#[test]
fn a_soft_part_crushes_before_the_boss() {
    let own = [
        "material.foam.kind=metal",
        "material.foam.elastic_modulus=3 GPa",
        "material.foam.poisson=0.3",
        "material.foam.face_strength=20 MPa",
        "material.foam.expansion=50 µm/(m·K)",
        "material.foam.source=invented for this test",
        "clamped.thickness=3 mm",
        "clamped.material=foam",
    ];
    let job = job_of(BOSS, &own);
    let r = assessed(&job);
    let check = r.checks[CheckId::SeatCrush.index()].unwrap();
    assert_eq!(check.capacity, 20e6);
    assert!(check.notes.has(Note::ClampedCrushes));
}

#[test]
fn a_part_that_cannot_be_is_refused() {
    assert!(findings(&["clamped.material=6061-T6"])[0].contains("clamped.thickness"));
    let small = findings(&[PART[0], PART[1], "clamped.outer_diameter=5 mm"]);
    assert!(
        small.iter().any(|m| m.contains("falls through")),
        "{small:?}"
    );
    let edge = findings(&["frame.edge_distance=6 mm"]);
    assert!(edge[0].contains("inside the bore"), "{edge:?}");
    let range = findings(&["tool.range=10 N·m"]);
    assert!(range[0].contains("two ends"), "{range:?}");
}

#[test]
fn pull_through_by_hand() {
    let job = job_of(BOSS, &[]);
    let r = assessed(&job);
    let check = r.checks[CheckId::FramePullThrough.index()].unwrap();
    // 150 N outward; the boss stands proud, so no preload hangs on the wall. Plug of 12.4 × 14 mm at 60 MPa.
    assert!((check.demand - 150.0).abs() < 1e-9);
    let plug = std::f64::consts::PI * 12.4 * 14.0 * 60.0;
    assert!((check.capacity / plug - 1.0).abs() < 1e-12);
    assert_eq!(check.need, 2.0);
    assert_eq!(check.verdict, Verdict::Meets);
    assert!(r.checks[CheckId::FrameEdge.index()].is_none());
}

#[test]
fn preload_on_the_wall_adds_to_the_pull_and_bounds_the_window() {
    let set = [
        "insert.face_offset=-0.2 mm",
        "fitting.flange_diameter=20 mm",
        "frame.material=thin",
        "material.thin.kind=laminate",
        "material.thin.elastic_modulus=50 GPa",
        "material.thin.poisson=0.3",
        "material.thin.interlaminar_shear=10 MPa",
        "material.thin.expansion=2 µm/(m·K)",
        "material.thin.source=invented for this test",
    ];
    let job = job_of(BOSS, &set);
    let r = assessed(&job);
    let check = r.checks[CheckId::FramePullThrough.index()].unwrap();
    let high = value(&job, &r, "preload.high").unwrap();
    assert!((check.demand - (150.0 + high)).abs() < 1e-9);
    let w = insertwright::assess::window::window(&job.sides[0].assembly, &r.checks).unwrap();
    let bound = w
        .bounds()
        .find(|b| b.id == CheckId::FramePullThrough)
        .unwrap();
    let insertwright::assess::window::At::Torque(torque) = bound.at else {
        panic!("no bound");
    };
    // At the bound the ratio is what is required; preload high is proportional to the torque.
    let at = 150.0 + high * si(torque) / 5.0;
    assert!((check.capacity / at / 2.0 - 1.0).abs() < 1e-6);
}

#[test]
fn a_push_inward_has_the_widest_plug() {
    let job = job_of(BOSS, &["loads.axial=-500 N", "insert.lip_diameter=20 mm"]);
    let r = assessed(&job);
    let check = r.checks[CheckId::FramePullThrough.index()].unwrap();
    assert_eq!(check.demand, 500.0);
    assert!(check.notes.has(Note::PushedIn));
    let plug = std::f64::consts::PI * 20.0 * 14.0 * 60.0;
    assert!((check.capacity / plug - 1.0).abs() < 1e-12);
}

#[test]
fn edge_by_hand_and_only_where_it_is_given() {
    let job = job_of(BOSS, &["frame.edge_distance=15 mm"]);
    let r = assessed(&job);
    let check = r.checks[CheckId::FrameEdge.index()].unwrap();
    let planes = 2.0 * (15.0 - 6.2) * 14.0 * 110.0;
    assert!((check.capacity / planes - 1.0).abs() < 1e-12);
    assert_eq!(check.demand, 200.0);
    // In a crank housing it brings pull-through with it.
    let housing = job_of(DEMONSTRATION, &["frame.edge_distance=40 mm"]);
    let r = assessed(&housing);
    assert!(r.checks[CheckId::FramePullThrough.index()].is_some());
    assert!(r.checks[CheckId::FrameEdge.index()].is_some());
}

#[test]
fn a_missing_strength_is_said_and_not_guessed() {
    let set = [
        "frame.material=bare",
        "frame.edge_distance=15 mm",
        "material.bare.kind=laminate",
        "material.bare.elastic_modulus=50 GPa",
        "material.bare.poisson=0.3",
        "material.bare.expansion=2 µm/(m·K)",
        "material.bare.source=invented for this test",
    ];
    let job = job_of(BOSS, &set);
    let r = assessed(&job);
    let of = |id: CheckId| r.checks[id.index()].unwrap();
    assert_eq!(
        of(CheckId::FramePullThrough).reason,
        Some(Reason::FramePlyShearMissing)
    );
    assert_eq!(
        of(CheckId::FrameEdge).reason,
        Some(Reason::FrameShearMissing)
    );
    assert_eq!(of(CheckId::FrameEdge).verdict, Verdict::NotJudged);
}

fn not_examined(text: &str, set: &[&str]) -> Vec<String> {
    let job = job_of(text, set);
    let a = Assessed {
        assessment: assessed(&job),
        window: None,
    };
    Report::new("check", &job, &[a]).not_examined
}

#[test]
fn what_is_judged_leaves_the_list_of_what_is_not() {
    let has = |list: &[String], what: &str| list.iter().any(|l| l.contains(what));
    let housing = not_examined(DEMONSTRATION, &[]);
    assert!(has(&housing, "pull-through and edge distance"));
    let boss = not_examined(BOSS, &[]);
    assert!(!has(&boss, "pull-through") && has(&boss, "frame.edge_distance is not given"));
    let all = not_examined(BOSS, &["frame.edge_distance=15 mm"]);
    assert!(!has(&all, "edge"));
    assert!(has(&not_examined(BOSS, &PART), "between head and boss"));
}

fn warnings(text: &str, set: &[&str]) -> Vec<&'static str> {
    let job = job_of(text, set);
    let a = &job.sides[0].assembly;
    wrench::Use::of(a, a.tightening.torque.nominal)
        .warnings()
        .map(|w| w.id())
        .collect()
}

#[test]
fn the_wrench_is_measured_against_range_scale_and_hand() {
    assert!(warnings(DEMONSTRATION, &[]).is_empty());
    assert!(
        warnings(
            DEMONSTRATION,
            &["tool.range=10 .. 60 N·m", "tool.direction=both"]
        )
        .is_empty()
    );
    assert_eq!(
        warnings(DEMONSTRATION, &["tool.range=2 .. 30 N·m"]),
        ["tool.range"]
    );
    // A fifth of 250 N·m is 50 N·m.
    assert_eq!(
        warnings(DEMONSTRATION, &["tool.range=10 .. 250 N·m"]),
        ["tool.scale"]
    );
    assert!(warnings(DEMONSTRATION, &["tool.range=10 .. 200 N·m"]).is_empty());
    assert_eq!(
        warnings(DEMONSTRATION, &["tool.direction=right"]),
        ["tool.direction"]
    );
    assert!(warnings(DEMONSTRATION, &["tool.direction=left"]).is_empty());
    assert!(warnings(BOSS, &["tool.direction=right"]).is_empty());
    assert_eq!(warnings(BOSS, &["tool.direction=left"]), ["tool.direction"]);
}

#[test]
fn with_a_crowfoot_the_setting_counts() {
    let job = job_of(
        DEMONSTRATION,
        &["tightening.extension=400 mm", "tool.range=25 .. 60 N·m"],
    );
    let found = wrench::Use::of(&job.sides[0].assembly, newton_metre(40.0));
    assert_eq!(
        found.warnings().map(|w| w.id()).collect::<Vec<_>>(),
        ["tool.range"]
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn a_stiffer_or_thinner_part_makes_a_stiffer_joint(t in 0.5f64..20.0, e in 5.0f64..200.0) {
        let own = |t: f64, e: f64| {
            let set = [
                format!("clamped.thickness={t} mm"),
                format!("material.own.elastic_modulus={e} GPa"),
            ];
            let fixed = [
                "clamped.material=own", "clamped.bears_on=insert", "material.own.kind=metal",
                "material.own.poisson=0.3", "material.own.yield=200 MPa",
                "material.own.expansion=12 µm/(m·K)", "material.own.source=invented for this test",
            ];
            let set: Vec<&str> = set.iter().map(String::as_str).chain(fixed).collect();
            let job = job_of(BOSS, &set);
            let r = assessed(&job);
            (value(&job, &r, "thread.stiffness").unwrap(), value(&job, &r, "thread.stiffness.at_face").unwrap())
        };
        let (k, face) = own(t, e);
        prop_assert!(k < face);
        prop_assert!(own(t, e * 1.5).0 > k);
        prop_assert!(own(t * 1.5, e).0 < k);
        prop_assert_eq!(own(t, e * 1.5).1, face);
    }
}
