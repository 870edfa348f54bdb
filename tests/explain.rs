//! Every explanation is computed again: what `explain` shows is what the program does.

use insertwright::assess::values::{self, Origin};
use insertwright::assess::{Assessment, assess};
use insertwright::cli::DEMO_JOB;
use insertwright::job::{Document, Side, resolve};
use insertwright::present::explain;
use std::collections::BTreeSet;

/// The demonstration job and variants of it that take every branch of the explanations.
const VARIANTS: &[(&str, &[&str])] = &[
    ("demonstration", &[]),
    ("whitworth form", &["thread.designation=36 mm x 24 tpi"]),
    ("iso form", &["thread.designation=1.375 in x 24 tpi"]),
    ("metric", &["thread.designation=M35x1", "thread.hand=right"]),
    (
        "unified, thin wall",
        &["thread.designation=1-3/8-12 UNF 2A/2B"],
    ),
    (
        "cycle form of 26",
        &["thread.designation=1-3/8 in x 26 tpi"],
    ),
    (
        "unified area",
        &[
            "thread.designation=1/2-20 UNF 2A/2B",
            "fitting.bore=0 mm",
            "fitting.flange_diameter=48 mm",
        ],
    ),
    (
        "thick wall, k from 1.9",
        &["thread.designation=M20x1.5", "fitting.bore=0 mm"],
    ),
    (
        "wall between 1.4 and 1.9",
        &["thread.designation=M26x1.5", "fitting.bore=10 mm"],
    ),
    ("thin wall, strong fitting", &["fitting.material=4340"]),
    (
        "thin wall, strong insert",
        &["insert.material=7075-T6", "fitting.material=aluminium"],
    ),
    (
        "seat on the frame",
        &[
            "insert.face_offset=-0.1 mm",
            "fitting.flange_diameter=52 mm",
        ],
    ),
    (
        "seat on both",
        &["insert.face_offset=0 mm", "fitting.flange_diameter=52 mm"],
    ),
    ("crowfoot", &["tightening.extension=60 mm"]),
    (
        "no wrench length, other side",
        &["job.side=non-drive", "thread.hand=right"],
    ),
    (
        "direct loads",
        &[
            "loads.axial=200 N",
            "loads.radial=300 N",
            "loads.moment=5 N·m",
        ],
    ),
    (
        "bearing inside the face",
        &["fitting.bearing_outboard=-3 mm"],
    ),
    ("nothing engaged", &["thread.damaged_turns=40"]),
    (
        "unknown parts",
        &[
            "insert.material=unknown",
            "bond.adhesive=unknown",
            "bond.voids=unknown",
        ],
    ),
    (
        "measured sizes",
        &[
            "thread.internal_minor=33.95 mm",
            "thread.external_pitch_diameter=34.0 mm",
        ],
    ),
];

const STARTERS: &[(&str, &str)] = &[
    (
        "crank-sleeve",
        include_str!("../src/cli/starters/crank-sleeve.toml"),
    ),
    ("boss", include_str!("../src/cli/starters/boss.toml")),
    (
        "damaged-sleeve",
        include_str!("../src/cli/starters/damaged-sleeve.toml"),
    ),
];

fn sides(name: &str, text: &str, set: &[&str]) -> Vec<Side> {
    let (mut document, mut found) = Document::parse(name, text);
    for argument in set {
        found.extend(document.set(argument));
    }
    assert!(found.is_empty(), "{name}: {found:?}");
    resolve(&document)
        .unwrap_or_else(|found| panic!("{name}: {found:?}"))
        .sides
}

fn jobs() -> Vec<(String, Side, Assessment)> {
    let starters = STARTERS.iter().map(|(name, text)| (*name, *text, &[][..]));
    let variants = VARIANTS.iter().map(|(name, set)| (*name, DEMO_JOB, *set));
    starters
        .chain(variants)
        .flat_map(|(name, text, set)| sides(name, text, set).into_iter().map(move |s| (name, s)))
        .map(|(name, side)| {
            let assessment = assess(&side.assembly).unwrap_or_else(|e| panic!("{name}: {e}"));
            (name.to_string(), side, assessment)
        })
        .collect()
}

#[test]
fn every_explanation_recomputes_to_its_value() {
    let mut formulas = BTreeSet::new();
    for (name, side, assessment) in jobs() {
        for value in values::ALL {
            let at = format!("{name}: {}", value.id);
            let Some(got) = (value.get)(&side.assembly, &assessment).filter(|v| !v.is_nan()) else {
                continue;
            };
            let origin = (value.explain)(&side.assembly, &assessment)
                .unwrap_or_else(|| panic!("{at} = {got} has no explanation"));
            // No wildcard: a new way to explain must be given its own test here.
            match origin {
                Origin::Formula(formula, arguments) => {
                    assert_eq!(
                        formula.symbols.len(),
                        arguments.len(),
                        "{at}: symbols and numbers"
                    );
                    let again = (formula.eval)(&arguments);
                    let scale = got.abs().max(again.abs());
                    assert!(
                        got == again || (got - again).abs() <= 1e-12 * scale,
                        "{at}: {got} is explained as {again} by \"{}\"",
                        formula.title
                    );
                    assert_eq!(formula.result, value.unit, "{at}: unit");
                    assert!(
                        !formula.source.is_empty() && !formula.limits.is_empty(),
                        "{at}"
                    );
                    formulas.insert(formula.title);
                }
                Origin::Solved(method, inputs, again) => {
                    let scale = got.abs().max(again.abs());
                    assert!(
                        got == again || (got - again).abs() <= 1e-9 * scale,
                        "{at}: {got}, a fresh run gives {again}"
                    );
                    assert!(!inputs.is_empty() && !method.equations.is_empty(), "{at}");
                    assert!(
                        !method.source.is_empty() && !method.limits.is_empty(),
                        "{at}"
                    );
                }
                Origin::Stated(key) => {
                    assert!(
                        insertwright::job::schema::pattern_of(key).is_ok(),
                        "{at} follows from {key}, which is no key"
                    );
                }
            }
        }
    }
    assert!(
        formulas.len() > 30,
        "only {} formulas were met",
        formulas.len()
    );
}

/// The variants must reach what they are named for; else a branch is not tested.
#[test]
fn the_variants_take_their_branches() {
    let jobs = jobs();
    let of = |name: &str| jobs.iter().find(|j| j.0 == name).expect("a variant");
    let wall = |name: &str| {
        of(name)
            .2
            .evaluation
            .geometry
            .strip
            .expect("strengths are known")
            .wall
            .value
    };
    assert!(wall("thick wall, k from 1.9") >= 1.9);
    assert!((1.4..1.9).contains(&wall("wall between 1.4 and 1.9")));
    assert!(wall("demonstration") < 1.4);
    let strip = |name: &str| {
        of(name)
            .2
            .evaluation
            .geometry
            .strip
            .expect("strengths are known")
    };
    let (weak, strong) = (
        strip("thin wall, strong fitting"),
        strip("thin wall, strong insert"),
    );
    assert!(weak.external.dilation < weak.internal.dilation);
    assert!(strong.internal.dilation < strong.external.dilation);
    let ring = |name: &str| of(name).2.evaluation.ring;
    assert!(ring("seat on the frame").insert.is_none());
    assert!(ring("seat on both").insert.is_some() && ring("seat on both").frame.is_some());
    assert!(ring("demonstration").frame.is_none());
    assert_eq!(of("nothing engaged").2.evaluation.geometry.turns.value, 0.0);
    assert!(
        of("crowfoot")
            .1
            .assembly
            .tightening
            .crowfoot
            .is_some_and(|c| c.1.value > 0.0)
    );
}

/// What is printed for a value: text beside the numbers, none of the code's own names left over.
#[test]
fn explanations_read_well() {
    for (name, side, assessment) in jobs() {
        for value in values::ALL {
            let e = explain::of_value(value, &side, &assessment);
            let at = format!("{name}: {}: {}", e.id, e.relation);
            assert!(
                !e.relation.is_empty() && !e.source.is_empty() && !e.limits.is_empty(),
                "{at}"
            );
            if !matches!(
                (value.explain)(&side.assembly, &assessment),
                Some(Origin::Formula(..))
            ) {
                continue;
            }
            for leftover in [
                "num(", "let ", " as ", ";", "::", "f64", "Pressure", "Length",
            ] {
                assert!(!e.relation.contains(leftover), "{at}: {leftover}");
            }
            assert_eq!(
                e.relation.matches('(').count(),
                e.relation.matches(')').count(),
                "{at}"
            );
        }
    }
}

#[test]
fn ids_are_unique_and_findable() {
    let mut seen = BTreeSet::new();
    for value in values::ALL {
        assert!(seen.insert(value.id), "{} stands twice", value.id);
        assert_eq!(values::find(value.id).map(|v| v.title), Some(value.title));
    }
    for check in insertwright::assess::check::CheckId::ALL {
        assert!(
            !seen.contains(check.id()),
            "{} is a value and a check",
            check.id()
        );
        for id in explain::behind(check) {
            assert!(
                values::find(id).is_some(),
                "{}: {id} is no value",
                check.id()
            );
        }
    }
}
