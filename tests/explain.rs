//! Every explanation is computed again: what `explain` shows is what the program does.

use crate::support::tool;
use insertwright::assess::values::Step;
use insertwright::assess::values::{self, Origin};
use insertwright::assess::window::window;
use insertwright::assess::{Assessment, assess};
use insertwright::assess::{repair, seat_report, spindle};
use insertwright::cli::DEMO_JOB;
use insertwright::job::Job;
use insertwright::job::{Document, Side, resolve};
use insertwright::present::bond::BondReport;
use insertwright::present::explain::{self, Explained, Known};
use insertwright::present::repair::RepairReport;
use insertwright::present::report::{Assessed, Report};
use insertwright::present::seat::{self as seat_paper, SeatReport};
use insertwright::present::spindle::{self as spindle_paper, SpindlePaper};
use insertwright::units::System;
use serde_json::Value as Json;
use std::collections::BTreeMap;
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
        "loads against those of pedalling",
        &["loads.radial=-9000 N", "loads.moment=-200 N·m"],
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
        "free edge, held all along",
        &["frame.edge_distance=60 mm", "frame.held_at=full-length"],
    ),
    (
        "pushed inward",
        &["frame.edge_distance=60 mm", "loads.axial=-900 N"],
    ),
    ("hotter than the glue", &["bond.hottest=95 °C"]),
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
            let at = format!("{name}: {}: {}", value.id, e.relation);
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
    }
}

/// Every job that there is to explain: the starters, the demonstration job in its variants, the samples.
fn documents() -> Vec<(String, Document)> {
    let mut texts: Vec<(String, String, &[&str])> = Vec::new();
    for (name, text) in STARTERS {
        texts.push(((*name).into(), (*text).into(), &[]));
    }
    for (name, set) in VARIANTS {
        texts.push(((*name).into(), DEMO_JOB.into(), set));
    }
    let root = crate::support::root().join("tests");
    let samples = crate::support::samples("valid")
        .into_iter()
        .map(|(name, path)| (name, root.join("jobs").join(path)));
    let others = ["bench/uneven-seat.toml"].map(|path| (path.to_string(), root.join(path)));
    for (name, path) in samples.chain(others) {
        let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{name}: {e}"));
        texts.push((name, text, &[]));
    }
    texts
        .into_iter()
        .map(|(name, text, set)| {
            let (mut document, mut found) = Document::parse(&name, &text);
            for argument in set {
                found.extend(document.set(argument));
            }
            assert!(found.is_empty(), "{name}: {found:?}");
            (name, document)
        })
        .collect()
}

/// Ids that a report prints as results, with the number where it prints one: values, checks, findings,
/// bounds and ends of the window.
fn printed(report: &Json, to: &mut BTreeMap<String, Vec<f64>>) {
    let mut add = |id: &str, value: &Json| {
        let numbers = to.entry(id.to_string()).or_default();
        numbers.extend(value["value"].as_f64());
    };
    for (id, value) in report["values"].as_object().into_iter().flatten() {
        add(id, value);
    }
    for list in ["checks", "findings"] {
        for one in report[list].as_array().into_iter().flatten() {
            add(one["id"].as_str().expect("an id"), &Json::Null);
        }
    }
    for end in ["low", "high"] {
        if report["window"][end].is_object() {
            add(&format!("window.{end}"), &report["window"][end]);
        }
    }
    for bound in report["window"]["bounds"].as_array().into_iter().flatten() {
        let id = bound["id"].as_str().expect("an id");
        add(&format!("window.bounds.{id}"), &bound["torque"]);
    }
}

fn json_of<T: serde::Serialize>(report: &T) -> Json {
    serde_json::to_value(report).expect("JSON")
}

/// What is shown must hold a relation, numbers with units, a source and limits, and give the number that
/// the command prints.
fn judge_explained(at: &str, explained: &Explained, numbers: &[f64]) {
    assert!(
        explained.nothing.is_none(),
        "{at}: nothing is shown: {:?}",
        explained.nothing
    );
    if explained.check.is_none() && explained.findings.is_empty() {
        assert!(!explained.explained.is_empty(), "{at}: no explanation");
    }
    for e in &explained.explained {
        let at = format!("{at}: {}", e.title);
        for text in [&e.relation, &e.source, &e.limits] {
            assert!(
                text.chars().any(char::is_alphanumeric),
                "{at}: an empty text"
            );
        }
        assert!(
            !e.put_in.is_empty() || e.relation.contains('`'),
            "{at}: no numbers are put in: {}",
            e.relation
        );
        assert!(e.result.is_some(), "{at}: no result");
    }
    for number in numbers {
        let found = explained.explained.iter().any(|e| {
            e.result.is_some_and(|r| {
                let shown = r.unit.of(r.si);
                (shown - number).abs() <= 1e-9 * number.abs().max(1e-12)
            })
        });
        assert!(
            found,
            "{at}: the command prints {number}, which no explanation gives"
        );
    }
}

/// The explanations of every check end in its own demand and capacity, and each step in its result.
fn judge_checks(name: &str, job: &Job, assessed: &[Assessed]) {
    for (side, a) in job.sides.iter().zip(assessed) {
        for check in a.assessment.checks.iter().flatten() {
            let at = format!("{name}: {}", check.id.id());
            let basis = insertwright::assess::basis::of_check(
                &side.assembly,
                &a.assessment,
                a.window.as_ref(),
                check,
            );
            let close = |x: f64, y: f64| x == y || (x - y).abs() <= 1e-9 * x.abs().max(y.abs());
            let steps = basis
                .demand
                .iter()
                .chain(&basis.capacity)
                .chain(&basis.compare);
            for step in steps {
                if let Origin::Formula(formula, arguments) = &step.origin {
                    let again = (formula.eval)(arguments);
                    assert!(
                        close(again, step.si),
                        "{at}: {}: {again} {}",
                        step.title,
                        step.si
                    );
                    assert_eq!(
                        formula.symbols.len(),
                        arguments.len(),
                        "{at}: {}",
                        step.title
                    );
                }
            }
            let last = |steps: &[Step]| steps.last().map(|s| s.si);
            if !check.demand.is_nan() {
                let got = last(&basis.demand).unwrap_or_else(|| panic!("{at}: no demand"));
                assert!(
                    close(got.abs(), check.demand)
                        || (check.demand - got).abs() < 1e-9 * check.demand,
                    "{at}: demand {} is explained as {got}",
                    check.demand
                );
            }
            if check.capacity.is_finite() {
                match last(&basis.capacity) {
                    Some(got) => assert!(
                        close(got, check.capacity),
                        "{at}: capacity {} is explained as {got}",
                        check.capacity
                    ),
                    None => assert_eq!((check.capacity, check.id.is_bond()), (1.0, true), "{at}"),
                }
            }
        }
    }
}

/// Every id that any judging command prints is known to `explain`, and explained to the number printed.
#[test]
fn every_printed_id_is_explained() {
    let mut seen = BTreeSet::new();
    for (name, document) in documents() {
        let job = resolve(&document).unwrap_or_else(|found| panic!("{name}: {found:?}"));
        // Most variants are there for the branches of the explanations; what they print is the same.
        let prints_more = ["demonstration", "free edge, held all along", "seat on both"];
        let variant = !prints_more.contains(&name.as_str()) && VARIANTS.iter().any(|v| v.0 == name);
        let assessed: Vec<Assessed> = job
            .sides
            .iter()
            .map(|side| {
                let assessment = assess(&side.assembly).unwrap_or_else(|e| panic!("{name}: {e}"));
                let window = || window(&side.assembly, &assessment.checks).expect("a seat");
                Assessed {
                    assessment,
                    window: (!variant).then(window),
                }
            })
            .collect();
        judge_checks(&name, &job, &assessed);
        if variant {
            continue;
        }
        let faces: Vec<_> = job
            .sides
            .iter()
            .map(|side| {
                let readings = &job.readings;
                seat_report::face(
                    &side.assembly,
                    &readings.widths,
                    readings.feeler_error,
                    None,
                )
                .expect("a seat")
            })
            .collect();
        let width = seat_report::width(&job.readings.widths, &faces);
        let sided: Vec<_> = job
            .sides
            .iter()
            .map(|s| (s.name, s.assembly.condition))
            .collect();
        let conditions: Vec<_> = sided.iter().map(|s| s.1).collect();
        let judged = spindle::judge(&job.readings, &conditions);
        let named = spindle_paper::Named {
            title: None,
            source: name.clone(),
            overrides: Vec::new(),
        };
        let reports = [
            json_of(&Report::new("check", &job, &assessed)),
            json_of(&BondReport::new(&job, &assessed)),
            json_of(&SeatReport::new(&job, &faces, &width)),
            json_of(&SpindlePaper::new(named, &job.readings, &sided, &judged)),
        ];
        let mut found: Vec<BTreeMap<String, Vec<f64>>> = vec![BTreeMap::new(); job.sides.len()];
        for report in &reports {
            match report["sides"]
                .as_array()
                .filter(|s| s.len() == job.sides.len())
            {
                Some(sides) if job.sides.len() > 1 => {
                    for (side, to) in sides.iter().zip(&mut found) {
                        printed(side, to);
                    }
                }
                _ => printed(report, &mut found[0]),
            }
        }
        let all = job.sides.iter().zip(&assessed).zip(&faces).zip(&found);
        for (((side, a), face), ids) in all {
            for (id, numbers) in ids {
                let at = format!("{name}: {id}");
                let known = explain::known(id).unwrap_or_else(|| panic!("{at} is not known"));
                let sources = |key: &str| side.ledger.sources.get(key).cloned();
                let explained = match known {
                    Known::Seat => explain::of_bench(
                        known,
                        id,
                        &seat_report::results(&side.assembly, &job.readings.widths, face, &width),
                        seat_paper::findings(
                            face,
                            &width,
                            side.assembly.need.contact.value,
                            System::Metric,
                        ),
                        &sources,
                    ),
                    Known::Spindle => explain::of_bench(
                        known,
                        id,
                        &spindle::results(&job.readings, &judged),
                        spindle_paper::findings(&job.readings, &judged, System::Metric),
                        &sources,
                    ),
                    _ => explain::of_side(known, id, &job, side, &a.assessment, a.window.as_ref()),
                };
                judge_explained(&at, &explained, numbers);
                seen.insert(id.clone());
            }
        }
        // What a route prints is explained with `--route`: the same ids, on the side as it leaves it.
        let repairs = repair::repairs(&document, &job);
        let base = Report::new("repair", &job, &assessed);
        let report = RepairReport::new(base, &repairs, System::Metric).map(|r| json_of(&r));
        let routes = report.iter().flat_map(|r| r["routes"].as_array());
        for check in routes
            .flatten()
            .flat_map(|r| r["checks"].as_array())
            .flatten()
        {
            let id = check["id"].as_str().expect("an id");
            assert!(explain::known(id).is_some(), "{name}: route: {id}");
        }
        for judged in repairs
            .iter()
            .flat_map(|r| &r.routes)
            .filter_map(|r| r.judged.as_ref())
        {
            let Some(side) = judged.side() else { continue };
            for check in judged.assessment.checks.iter().flatten() {
                let id = check.id.id();
                let known = explain::known(id).expect("a check");
                let window = Some(&judged.window);
                let e = explain::of_side(known, id, &job, side, &judged.assessment, window);
                judge_explained(&format!("{name}: route: {id}"), &e, &[]);
            }
        }
    }
    for check in insertwright::assess::check::CheckId::ALL {
        assert!(seen.contains(check.id()), "no job prints {}", check.id());
    }
    for id in [
        "seat.facing.depth",
        "spindle.taper",
        "stack.rss",
        "window.low",
        "bond.proof.torque",
    ] {
        assert!(seen.contains(id), "no job prints {id}");
    }
}

/// A side that a precondition refuses is refused; the other one is explained. In text and in JSON.
#[test]
fn a_refused_side_does_not_silence_the_other() {
    let set = "side[1].condition.no_crack=false";
    let args = [
        "explain",
        "strip.internal",
        "valid/two-sides.toml",
        "--set",
        set,
    ];
    let text = tool(&args);
    assert_eq!(text.code, 1, "{}{}", text.out, text.err);
    assert!(
        text.out.contains("Refused: a precondition is not met"),
        "{}",
        text.out
    );
    assert!(text.out.contains("failed: no_crack"), "{}", text.out);
    assert!(
        text.out.contains("reserve = capacity ÷ demand = "),
        "{}",
        text.out
    );
    let run = tool(&[&args[..], &["--format", "json"]].concat());
    assert_eq!(run.code, 1);
    let json: Json = serde_json::from_str(&run.out).expect("JSON");
    let sides = json["sides"].as_array().expect("sides");
    let refused = |i: usize| sides[i]["refused"] == serde_json::json!(["no_crack"]);
    assert!(refused(1) && !refused(0), "{}", run.out);
    assert!(sides[1]["check"].is_null() && sides[1]["explained"] == serde_json::json!([]));
    assert!(sides[0]["check"]["demand"]["value"].is_number());
}

/// The JSON of a check carries the figures that `check` prints, and what the text says beside them.
#[test]
fn a_check_in_json_carries_its_own_figures() {
    let json = |args: &[&str]| -> Json {
        let run = tool(&[args, &["--format", "json"]].concat());
        serde_json::from_str(&run.out).unwrap_or_else(|e| panic!("{args:?}: {e}: {}", run.out))
    };
    let report = json(&["check"]);
    for check in report["checks"].as_array().expect("checks") {
        let id = check["id"].as_str().expect("an id");
        let explained = json(&["explain", id]);
        let own = &explained["sides"][0]["check"];
        for (key, value) in check.as_object().expect("a check") {
            assert_eq!(&own[key], value, "{id}: {key}");
        }
        assert_eq!(own["governs"], report["governing"] == *id, "{id}");
        for key in ["judges", "limits", "why", "advice"] {
            assert!(own[key].is_string(), "{id}: {key}");
        }
        for key in [
            "assumed",
            "overrides",
            "preconditions",
            "cautions",
            "not_examined",
        ] {
            assert_eq!(explained[key], report[key], "{id}: {key}");
        }
    }
    let list = json(&["explain", "list"]);
    assert!(list["ids"].as_array().is_some_and(|ids| ids.len() > 150));
    let refused = json(&["explain", "hoop", "valid/cracked.toml"]);
    assert_eq!(
        refused["sides"][0]["refused"],
        serde_json::json!(["no_crack"])
    );
}

/// What is in force stands in the text as in that of `check`: overrides, preconditions, what was assumed.
#[test]
fn an_explanation_says_what_is_in_force() {
    let set = "tightening.torque=41 N·m";
    let run = tool(&["explain", "preload.high", "--set", set]);
    for text in [
        set,
        "BEFORE ANY MARGIN",
        "confirmed: no_crack",
        "ASSUMED, BECAUSE THE JOB DOES NOT SAY",
        "SOURCES OF THE ROWS IN USE",
        "NOT EXAMINED",
        "CAUTIONS",
    ] {
        assert!(run.out.contains(text), "{text}:\n{}", run.out);
    }
    assert!(
        run.out.lines().all(|l| l.chars().count() <= 80),
        "{}",
        run.out
    );
}

/// `spindle` reads a job without an assembly, and so does the explanation of what it prints.
#[test]
fn the_bench_is_explained_without_an_assembly() {
    let job = "[[spindle.reading]]\nat = \"2 mm\"\nsize = \"23.97 mm\"\n[[spindle.reading]]\nat = \"12 mm\"\nsize = \"23.96 mm\"\n";
    let run = crate::support::tool_with(
        &crate::support::root(),
        &["explain", "spindle.taper", "-"],
        job.as_bytes(),
    );
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(
        run.out.contains("= -0.01 mm") || run.out.contains("= −0.01 mm"),
        "{}",
        run.out
    );
}

/// Without gaps the contact agrees with the closed form that is shown beside it.
#[test]
fn an_even_ring_opens_as_its_closed_form_says() {
    for (name, text) in STARTERS
        .iter()
        .copied()
        .chain([("demonstration", DEMO_JOB)])
    {
        for side in sides(name, text, &[]) {
            if !side.assembly.seat.gaps.is_empty() {
                continue;
            }
            let assessment = assess(&side.assembly).unwrap_or_else(|e| panic!("{name}: {e}"));
            let open = insertwright::assess::check::CheckId::SeatOpen;
            let check = assessment.checks[open.index()].expect("a check");
            let basis =
                insertwright::assess::basis::of_check(&side.assembly, &assessment, None, &check);
            let closed = basis.compare.first().expect("a closed form").si;
            assert!(
                (closed / check.capacity - 1.0).abs() < 1e-9,
                "{name}: {closed} beside {}",
                check.capacity
            );
        }
    }
}

/// What does not apply or has no data still says what it would be and which command prints it.
#[test]
fn what_is_not_there_says_where_it_would_be() {
    let none = tool(&["explain", "frame.edge"]);
    assert_eq!(none.code, 0);
    assert!(
        none.out.contains("does not apply") && none.out.contains("It would judge"),
        "{}",
        none.out
    );
    let bench = tool(&["explain", "seat.facing.depth"]);
    assert!(bench.out.contains("`seat` prints it"), "{}", bench.out);
}
