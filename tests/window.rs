//! Every bound of the window, put back into the job as its torque, is where its check just holds.

use insertwright::assess::check::CheckId;
use insertwright::assess::window::{At, End, window};
use insertwright::assess::{assess, need};
use insertwright::cli::DEMO_JOB;
use insertwright::job::{Assembly, Document, resolve};
use insertwright::units::si;

fn assembly(overrides: &[&str]) -> Assembly {
    of(DEMO_JOB, overrides)
}

fn of(text: &str, overrides: &[&str]) -> Assembly {
    let (mut document, findings) = Document::parse("job", text);
    assert!(findings.is_empty());
    for text in overrides {
        assert_eq!(document.set(text), vec![], "{text}");
    }
    resolve(&document).expect("a job").sides.remove(0).assembly
}

/// The tool's error as a share stays that of the job's own torque.
fn at_torque(a: &Assembly, torque: f64) -> Assembly {
    let mut changed = a.clone();
    let factor = torque / si(a.tightening.torque.nominal);
    changed.tightening.torque = a.tightening.torque.map(|t| t * factor);
    changed
}

const JOBS: &[&[&str]] = &[
    &[],
    &["insert.face_offset=0 mm", "fitting.flange_diameter=50 mm"],
    &[
        "insert.face_offset=-0.2 mm",
        "fitting.flange_diameter=52 mm",
    ],
    &["tightening.lubrication=dry", "pedalling.force=1500 N"],
    &[
        "insert.material=6061-T6",
        "insert.outer_diameter=38.5 mm",
        "fitting.flange_thickness=3 mm",
    ],
    &[
        "seat.gap[0].at=12:00",
        "seat.gap[0].gap=0.02 mm",
        "seat.gap[1].at=6:00",
        "seat.gap[1].gap=0 mm",
    ],
];

#[test]
fn bounds_are_where_their_checks_just_hold() {
    let mut tried = 0;
    for overrides in JOBS {
        let a = assembly(overrides);
        let checks = assess(&a).expect("a seat").checks;
        let w = window(&a, &checks).expect("a window");
        for bound in w.bounds() {
            let At::Torque(torque) = bound.at else {
                continue;
            };
            // Service is judged at both ends of the preload band, its bound at the high end alone.
            let service = matches!(bound.id, CheckId::BondServiceCold | CheckId::BondServiceHot);
            if si(torque) <= 0.0 || service || bound.id == CheckId::TorqueMaker {
                continue;
            }
            let there = assess(&at_torque(&a, si(torque))).expect("a seat").checks;
            let check = there[bound.id.index()].expect("the check applies");
            let wanted = need(&a, bound.id);
            assert!(
                (check.ratio / wanted - 1.0).abs() < 1e-4,
                "{overrides:?}: {} at {torque:?}: {} against {wanted}",
                bound.id.id(),
                check.ratio
            );
            let beyond = si(torque) * if bound.end == End::High { 1.01 } else { 0.99 };
            let past = assess(&at_torque(&a, beyond)).expect("a seat").checks;
            let past = past[bound.id.index()].expect("the check applies");
            assert!(
                past.ratio < wanted,
                "{overrides:?}: {} holds past its bound",
                bound.id.id()
            );
            tried += 1;
        }
        let ends = w.low.zip(w.high);
        assert_eq!(
            w.empty,
            ends.is_none_or(|(low, high)| low.0 > high.0),
            "{overrides:?}"
        );
    }
    assert!(tried > 30, "only {tried} bounds were tried");
}

#[test]
fn a_stated_removal_torque_sets_no_bound() {
    let a = assembly(&["tightening.removal_torque=90 N·m"]);
    let w = window(&a, &assess(&a).expect("a seat").checks).expect("a window");
    assert!(w.bounds().all(|b| b.id != CheckId::BondRemoval));
}

#[test]
fn without_an_engaged_turn_no_torque_is_left() {
    let a = assembly(&["thread.engaged=1 mm"]);
    let w = window(&a, &assess(&a).expect("a seat").checks).expect("a window");
    assert!(w.empty);
    assert!(!w.complete());
    assert_eq!(w.high.map(|h| h.1), Some(CheckId::StripExternal));
}

#[test]
fn hotter_than_the_glue_leaves_the_window_incomplete() {
    let a = assembly(&["bond.hottest=95 °C"]);
    let w = window(&a, &assess(&a).expect("a seat").checks).expect("a window");
    assert!(!w.complete());
    assert!(w.left_out().any(|(id, _)| id == CheckId::BondServiceHot));
}

/// A boss whose uneven face closes within the range of torques of interest.
const UNEVEN: &str = r#"
[thread]
designation = "M36x1"
engaged = "10 mm"
setback = "1 mm"
[insert]
material = "6061-T6"
outer_diameter = "41 mm"
length = "34 mm"
face_offset = "0.2 mm"
[frame]
material = "6061-T6"
outer_diameter = "52 mm"
held_at = "full-length"
[bond]
adhesive = "toughened-epoxy-paste"
thickness = "0.2 mm"
preparation = "abraded-degreased"
isolated = true
[fitting]
material = "6061-T6"
bore = "30 mm"
flange_diameter = "47 mm"
flange_thickness = "5 mm"
[tightening]
torque = "38 N·m"
lubrication = "greased"
[loads]
radial = "300 N"
moment = "5 N·m"
[[seat.gap]]
at = "12:00"
gap = "0 mm"
[[seat.gap]]
at = "6:00"
gap = "0.004 mm"
"#;

#[test]
fn no_torque_inside_the_window_lets_an_uneven_seat_open() {
    let mut shut = 0;
    for own in [10.0, 38.0, 44.0, 47.0, 49.0, 58.0, 80.0] {
        let torque = format!("tightening.torque={own} N·m");
        let a = of(
            UNEVEN,
            &[
                &torque,
                "need.bond=0.1",
                "need.bond_endurance=0.1",
                "need.flange=0.1",
            ],
        );
        let checks = assess(&a).expect("a seat").checks;
        let w = window(&a, &checks).expect("a window");
        let opens = |end: End| {
            w.bounds()
                .find(|b| b.id == CheckId::SeatOpen && b.end == end)
                .and_then(|b| match b.at {
                    At::Torque(t) => Some(si(t)),
                    _ => None,
                })
        };
        let low = opens(End::Low).expect("a lower bound");
        let high = opens(End::High).unwrap_or(200.0);
        shut += u32::from(high < 200.0);
        for k in 1..40 {
            let torque = low + (high - low) * f64::from(k) / 40.0;
            let there = assess(&at_torque(&a, torque)).expect("a seat").checks;
            let open = there[CheckId::SeatOpen.index()].expect("a check");
            assert!(
                open.ratio >= open.need,
                "{own}: {torque} in {low} .. {high}"
            );
        }
        // The job's own torque lies inside exactly where its own check holds.
        let own_check = checks[CheckId::SeatOpen.index()].expect("a check");
        assert_eq!(
            own_check.ratio >= own_check.need,
            own > low && own < high,
            "{own}"
        );
    }
    assert!(shut > 1, "the face never closed");
}

/// A case that is too hot to be judged takes no bound of the others away.
#[test]
fn a_case_that_is_too_hot_leaves_the_bounds_of_the_others() {
    let even = UNEVEN.split("[[seat.gap]]").next().expect("a job");
    let case = format!(
        "{even}[[case]]\nname = \"oven\"\nhottest = \"150 °C\"\nloads.radial = \"30 N\"\nkind = \"repeated\"\n"
    );
    let window_of = |text: &str| {
        let a = of(text, &[]);
        let checks = assess(&a).expect("a seat").checks;
        (window(&a, &checks).expect("a window"), checks)
    };
    let ((without, _), (with, checks)) = (window_of(even), window_of(&case));
    let high = |w: &insertwright::assess::window::Window| w.high.map(|h| (si(h.0), h.1));
    let (bound, id) = high(&without).expect("an upper end");
    let (same, same_id) = high(&with).expect("an upper end");
    assert!(
        (bound / same - 1.0).abs() < 1e-6 && id == same_id,
        "{bound} {same}"
    );
    assert!(without.complete() && !with.complete());
    let endurance = checks[CheckId::BondEndurance.index()].expect("a check");
    assert!(
        endurance
            .notes
            .has(insertwright::assess::check::Note::ColdOnly)
    );
}

/// A bound that leaves out a part of the face says that it is not complete.
#[test]
fn a_face_without_a_strength_leaves_the_window_incomplete() {
    let wall = format!(
        "{UNEVEN}[material.wall]\nkind = \"laminate\"\nelastic_modulus = \"45 GPa\"\npoisson = 0.3\nexpansion = \"3 µm/(m·K)\"\nanodic_index = \"0 V\"\nsource = \"invented\"\n"
    );
    let a = of(
        &wall,
        &[
            "frame.material=wall",
            "insert.face_offset=0 mm",
            "fitting.flange_diameter=50 mm",
        ],
    );
    let w = window(&a, &assess(&a).expect("a seat").checks).expect("a window");
    assert!(w.left_out().any(|(id, _)| id == CheckId::SeatCrush));
    assert!(w.bounds().any(|b| b.id == CheckId::SeatCrush));
}
