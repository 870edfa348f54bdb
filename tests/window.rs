//! Every bound of the window, put back into the job as its torque, is where its check just holds.

use insertwright::assess::check::CheckId;
use insertwright::assess::window::{At, End, window};
use insertwright::assess::{assess, need};
use insertwright::cli::DEMO_JOB;
use insertwright::job::{Assembly, Document, resolve};
use insertwright::units::si;

fn assembly(overrides: &[&str]) -> Assembly {
    let (mut document, findings) = Document::parse("job", DEMO_JOB);
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
