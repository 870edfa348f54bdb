//! What an assessment comes to where it would be easy to flatter.

use insertwright::assess::check::{Check, CheckId, Note, Reason, Verdict};
use insertwright::assess::{assess, closed};
use insertwright::cli::DEMO_JOB;
use insertwright::job::assembly::DirectLoads;
use insertwright::job::{Assembly, Document, resolve};
use insertwright::units::*;

fn assembly(text: &str, overrides: &[&str]) -> Assembly {
    let (mut document, findings) = Document::parse("job", text);
    assert!(findings.is_empty(), "{findings:?}");
    for text in overrides {
        assert_eq!(document.set(text), vec![], "{text}");
    }
    resolve(&document).expect("a job").sides.remove(0).assembly
}

fn check(a: &Assembly, id: CheckId) -> Option<Check> {
    assess(a).expect("a seat").checks[id.index()]
}

/// The job with the loads of one pedal entered as direct loads.
fn with_loads(a: &Assembly, loads: &closed::Loads) -> Assembly {
    let mut direct = a.clone();
    direct.cases[0].pedalling = None;
    direct.cases[0].loads = DirectLoads {
        axial: loads.axial,
        radial: loads.radial,
        moment: loads.moment,
        torque: loads.torque,
    };
    direct
}

#[test]
fn either_pedal_may_be_the_worse_one() {
    let mut told = 0;
    let uneven = &[
        "seat.gap[0].at=12:00",
        "seat.gap[0].gap=0.02 mm",
        "seat.gap[1].at=6:00",
        "seat.gap[1].gap=0 mm",
    ];
    let non_drive = include_str!("independent/nondrive.toml");
    for (text, overrides) in [
        (DEMO_JOB, &[][..]),
        (DEMO_JOB, uneven),
        (include_str!("independent/frame-cy.toml"), &[]),
        (include_str!("independent/zero-low.toml"), &[]),
        (non_drive, &[]),
        (non_drive, uneven),
        (non_drive, &["pedalling.inclination=25 deg"]),
    ] {
        let a = assembly(text, overrides);
        let (main, other) = closed::loads(&a, &a.cases[0]);
        let other = other.expect("the other pedal");
        let whole = assess(&a).expect("a seat").checks;
        let of = [main, other].map(|l| assess(&with_loads(&a, &l)).expect("a seat").checks);
        for id in CheckId::ALL {
            let Some(check) = whole[id.index()].filter(|c| c.ratio.is_finite()) else {
                continue;
            };
            let [first, second] =
                of.map(|checks| checks[id.index()].expect("the same check").ratio);
            let least = first.min(second);
            assert!(
                (check.ratio - least).abs() <= 1e-9 * least,
                "{overrides:?} {id:?}: {} against {first}, {second}",
                check.ratio
            );
            let says = check.notes.has(Note::OtherPedalWorse);
            assert_eq!(
                says,
                second < first,
                "{overrides:?} {id:?}: {first}, {second}"
            );
            told += u32::from(says);
        }
    }
    assert!(
        told > 2,
        "the other pedal was the worse one {told} times only"
    );
}

#[test]
fn a_thread_pushed_inward_takes_no_grip_away() {
    let a = assembly(DEMO_JOB, &["loads.axial=-60 kN", "loads.radial=100 N"]);
    let alone = assembly(DEMO_JOB, &["loads.radial=100 N"]);
    let slip = |a| check(a, CheckId::SeatSlip).expect("slip").capacity;
    assert!(slip(&a) > slip(&alone), "{} {}", slip(&a), slip(&alone));
    let friction = a.tightening.seat_friction.low.value;
    assert!(slip(&a) > friction * 50e3, "{}", slip(&a));
}

/// The wall of the demonstration as a row of the job's own.
fn own_wall(row: &str) -> String {
    format!(
        "{DEMO_JOB}\n[material.wall]\nkind = \"laminate\"\nelastic_modulus = \"45 GPa\"\npoisson = 0.3\nexpansion = \"3 µm/(m·K)\"\nsource = \"invented\"\n{row}\n"
    )
}

#[test]
fn a_wall_makes_no_pair_only_where_it_is_said_not_to_conduct() {
    let set = &["frame.material=wall"];
    let silent = check(&assembly(&own_wall(""), set), CheckId::Galvanic).expect("a check");
    assert_eq!(silent.verdict, Verdict::NotJudged);
    assert_eq!(silent.reason, Some(Reason::AnodicIndexMissing));
    let glass = assembly(&own_wall("conducts = false"), set);
    assert!(check(&glass, CheckId::Galvanic).is_none());
    let carbon = assembly(&own_wall("anodic_index = \"0 V\""), set);
    let carbon = check(&carbon, CheckId::Galvanic).expect("a check");
    assert_eq!(carbon.verdict, Verdict::FallsShort);
}

#[test]
fn the_factors_of_stripping_do_not_hang_on_the_length() {
    let of = |engaged: &str| {
        let set = format!("thread.engaged={engaged}");
        let a = assembly(DEMO_JOB, &["insert.outer_diameter=38.5 mm", &set]);
        closed::geometry(&a).strip.expect("strengths")
    };
    let (none, some) = (of("1 mm"), of("9 mm"));
    assert_eq!(si(none.external.capacity), 0.0);
    assert_eq!(si(none.internal.area), 0.0);
    assert!(si(some.external.capacity) > 0.0);
    for (a, b) in [
        (none.dilation, some.dilation),
        (none.external.dilation, some.external.dilation),
        (none.internal.bending, some.internal.bending),
    ] {
        assert!(
            ((a / b).value - 1.0).abs() < 1e-12 && a.value > 0.0,
            "{a:?} {b:?}"
        );
    }
}

/// What bears sets the arm that bends the flange: while a few hundredths decide it, the flange is judged both ways.
#[test]
fn the_other_way_of_bearing_counts_for_the_flange() {
    let starter = include_str!("../src/cli/starters/crank-sleeve.toml");
    let flange = |offset: &str| {
        let set = ["fitting.flange_thickness=4 mm", offset];
        check(&assembly(starter, &set), CheckId::Flange).expect("judged")
    };
    let proud = flange("insert.face_offset=0.10 ± 0.01 mm");
    let sunk = flange("insert.face_offset=-0.10 ± 0.01 mm");
    assert_eq!(
        (proud.verdict, sunk.verdict),
        (Verdict::Meets, Verdict::FallsShort)
    );
    let open = flange("insert.face_offset=0.02 mm");
    assert!((open.ratio / proud.ratio - 1.0).abs() < 1e-12);
    assert_eq!(open.verdict, Verdict::FallsShort);
    assert!(open.notes.has(Note::WorstBearing));
}

/// A thread that ends close to the bond's inner end, and a wall that is just not called soft, are remarked on.
#[test]
fn what_elements_showed_is_said_where_it_applies() {
    let starter = include_str!("../src/cli/starters/crank-sleeve.toml");
    let service =
        |set: &[&str]| check(&assembly(starter, set), CheckId::BondServiceCold).expect("judged");
    for (set, at_end, bends) in [
        (
            &["frame.held_at=full-length", "bond.length=14 mm"][..],
            false,
            false,
        ),
        (
            &["frame.held_at=full-length", "bond.length=11 mm"],
            true,
            false,
        ),
        (
            &[
                "frame.held_at=inboard",
                "frame.outer_diameter=50 mm",
                "frame.material=6061-T6",
            ],
            false,
            true,
        ),
        (
            &[
                "frame.held_at=full-length",
                "frame.outer_diameter=50 mm",
                "frame.material=6061-T6",
            ],
            false,
            false,
        ),
        (
            &[
                "frame.held_at=inboard",
                "frame.outer_diameter=60 mm",
                "frame.material=steel",
            ],
            false,
            false,
        ),
    ] {
        let notes = service(set).notes;
        assert_eq!(notes.has(Note::ThreadAtEnd), at_end, "{set:?}");
        assert_eq!(notes.has(Note::WallBends), bends, "{set:?}");
    }
}
