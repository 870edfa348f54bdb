//! Entries of a job changed quickly must be what the resolver makes of them.

use crate::support::root;
use insertwright::cli::DEMO_JOB;
use insertwright::job::Document;
use insertwright::job::schema::{self, Takes};
use insertwright::job::vary::{Origin, Varying, spreads};
use insertwright::units::{Kind, Shape, si};

fn document(text: &str) -> Document {
    let (document, found) = Document::parse("job", text);
    assert!(found.is_empty(), "{found:?}");
    document
}

fn file(path: &str) -> String {
    std::fs::read_to_string(root().join(path)).expect("a job")
}

/// Jobs that among them use every table that an assembly is read from.
fn jobs() -> Vec<(&'static str, Document)> {
    let demo = DEMO_JOB.to_string();
    let bore = demo.replace("\nthickness = ", "\nbore = \"42.5 mm\" # ");
    let clamped = file("src/cli/starters/boss.toml")
        + "[clamped]\nthickness = \"4 mm\"\nmaterial = \"6061-T6\"\n[damage]\nmissing_turns = 1\n";
    let readings = demo.replace("\nthickness = ", "\n# ")
        + "[[bond.reading]]\nbore = \"42.5 mm\"\n[[bond.reading]]\nbore = \"42.6 mm\"\n";
    let own = file("tests/jobs/valid/own-rows.toml");
    [
        ("demonstration", demo),
        ("bore", bore),
        ("readings", readings),
        ("boss", file("src/cli/starters/boss.toml")),
        ("clamped", clamped),
        ("two sides", file("tests/jobs/valid/two-sides.toml")),
        (
            "cases and gaps",
            file("tests/jobs/valid/cases-and-gaps.toml"),
        ),
        ("own rows", own),
        ("unknown", file("tests/jobs/valid/unknown-lubrication.toml")),
    ]
    .into_iter()
    .map(|(name, text)| (name, document(&text)))
    .collect()
}

/// Every path of the schema that takes a number, as one that this job can have.
fn paths(document: &Document) -> Vec<(String, Kind)> {
    let mut found = Vec::new();
    for key in schema::KEYS {
        let Takes::Quantity(kind) = key.takes else {
            continue;
        };
        let mut all = vec![key.path.replace("[]", "[0]"), key.path.replace("[]", "[1]")];
        if let Some((group, rest)) = key.path.split_once(".*.") {
            all = document
                .names_below(group)
                .iter()
                .map(|name| format!("{group}.{name}.{rest}"))
                .collect();
        }
        let table = key.path.split(['.', '[']).next().unwrap_or_default();
        if schema::SIDE_TABLES.contains(&table) {
            all.extend([0, 1].map(|i| format!("side[{i}].{}", key.path.replace("[]", "[0]"))));
        }
        if schema::CASE_KEYS.iter().any(|c| key.path.starts_with(c)) {
            all.extend([0, 1].map(|i| format!("case[{i}].{}", key.path)));
        }
        all.dedup();
        for path in all {
            if Varying::new(document, std::slice::from_ref(&path)).is_ok() {
                found.push((path, kind));
            }
        }
    }
    found
}

/// Numbers that follow each other without a pattern.
struct Draws(u64);

impl Draws {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6364136223846793005)
            .wrapping_add(1442695040888963407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
    /// A value for an entry: near its own, or anywhere, or below zero.
    fn value(&mut self, nominal: Option<f64>, kind: Kind) -> f64 {
        let usual = nominal.filter(|v| *v != 0.0).unwrap_or(match kind {
            Kind::Length => 0.02,
            Kind::Pitch => 0.001,
            Kind::Stress => 1e8,
            Kind::Temperature => 300.0,
            Kind::Force => 500.0,
            _ => 0.3,
        });
        match (self.next() * 10.0) as u32 {
            0 => -usual * self.next(),
            1 => 0.0,
            2 => usual * 1e-18,
            3 => usual * self.next() * 4.0,
            4 => usual * 1e20,
            _ => usual * (0.9 + 0.2 * self.next()),
        }
    }
}

fn agrees(name: &str, varying: &Varying, paths: &[String], values: &[f64]) {
    let mut scratch = varying.scratch();
    // What was put in before leaves nothing behind.
    let _ = varying.put(&vec![1e-3; values.len()], &mut scratch);
    match (varying.put(values, &mut scratch), varying.resolved(values)) {
        (Ok(()), Ok(sides)) => assert_eq!(scratch.sides, sides, "{name}: {paths:?} = {values:?}"),
        (Err(_), Err(_)) => {}
        (quick, slow) => panic!(
            "{name}: {paths:?} = {values:?}: quick {:?}, resolver {:?}",
            quick.map_err(|e| varying.reason(&e)),
            slow.map(drop).map_err(|e| varying.reason(&e))
        ),
    }
}

#[test]
fn every_path_alone_and_together() {
    // What goes through the resolver, point by point.
    let slow = [
        "frame.width_m",
        "frame.reading",
        "damage.",
        "route",
        "spindle.",
        "bearing.",
        "stack.",
        "instrument.",
        "record.",
        "threads.",
        "tool.",
        "maker_torque[",
        "bond.reading[",
        "seat.gap[",
    ];
    for (name, document) in jobs() {
        let mut draws = Draws(7);
        let mut quick = Vec::new();
        for (path, kind) in paths(&document) {
            let one = [path.clone()];
            let varying = Varying::new(&document, &one).expect("a path of the job");
            if !varying.fast() {
                continue;
            }
            for _ in 0..6 {
                let value = draws.value(varying.kinds()[0].nominal, kind);
                agrees(name, &varying, &one, &[value]);
            }
            quick.push(path);
        }
        // What the job states itself has the short way.
        for (path, _) in document.below("") {
            let number = schema::pattern_of(path)
                .ok()
                .and_then(|p| schema::takes(&p));
            if matches!(number, Some(Takes::Quantity(_))) && !slow.iter().any(|s| path.contains(s))
            {
                let idle = path.starts_with("material.") || path.starts_with("adhesive.");
                assert!(idle || quick.iter().any(|q| q == path), "{name}: {path}");
            }
        }
        assert!(quick.len() > 50, "{name}: {}", quick.len());
        for _ in 0..60 {
            let count = 2 + (draws.next() * 5.0) as usize;
            let mut some: Vec<String> = (0..count)
                .map(|_| quick[(draws.next() * quick.len() as f64) as usize].clone())
                .collect();
            some.sort();
            some.dedup();
            let varying = Varying::new(&document, &some).expect("paths of the job");
            if !varying.fast() {
                continue;
            }
            let home: Vec<Option<f64>> = varying.kinds().iter().map(|v| v.nominal).collect();
            let values: Vec<f64> = home
                .iter()
                .map(|n| n.unwrap_or(0.02) * (0.97 + 0.06 * draws.next()))
                .collect();
            agrees(name, &varying, &some, &values);
        }
    }
}

#[test]
fn defaults_follow() {
    let demo = document(DEMO_JOB);
    let paths = [
        "insert.length",
        "fitting.flange_diameter",
        "tightening.torque",
    ]
    .map(String::from);
    let mut varying = Varying::new(&demo, &paths).expect("paths of the job");
    varying.check(&[(0.02, 0.04), (0.042, 0.07), (5.0, 60.0)]);
    assert!(varying.fast());
    let mut scratch = varying.scratch();
    varying
        .put(&[0.03, 0.07, 8.0], &mut scratch)
        .expect("possible");
    let a = &scratch.sides[0];
    assert_eq!(si(a.bond.length), 0.03);
    assert_eq!(a.seat.outer_diameter, a.frame.outer_diameter);
    // Up to 10 N·m a tool errs by 6 %.
    assert!((si(a.tightening.torque.low) - 0.94 * 8.0).abs() < 1e-12);
    // A torque that is drawn is what the screw gets.
    let drawn = Varying::new(&demo, &paths)
        .expect("paths of the job")
        .drawn();
    let mut scratch = drawn.scratch();
    drawn
        .put(&[0.03, 0.05, 8.0], &mut scratch)
        .expect("possible");
    assert_eq!(scratch.sides[0].tightening.torque.shape, Shape::Exact);
}

#[test]
fn what_cannot_be_is_said() {
    let demo = document(DEMO_JOB);
    let paths = ["insert.outer_diameter".to_string()];
    let varying = Varying::new(&demo, &paths).expect("a path of the job");
    let mut scratch = varying.scratch();
    let why = varying
        .put(&[0.030], &mut scratch)
        .expect_err("smaller than its thread");
    assert!(varying.reason(&why).contains("smaller than its thread"));
    assert!(varying.put(&[f64::NAN], &mut scratch).is_err());
    assert!(varying.put(&[0.042], &mut scratch).is_ok());
    for wrong in [
        "insert.materal",
        "insert.material",
        "insert",
        "seat.gap[9].gap",
        "",
    ] {
        let found = Varying::new(&demo, &[wrong.to_string()])
            .err()
            .expect(wrong);
        assert!(!found[0].message.is_empty() && !found[0].help.is_empty());
    }
    let twice = ["insert.length".to_string(), "insert.length".to_string()];
    assert!(Varying::new(&demo, &twice).is_err());
}

#[test]
fn what_is_not_exact() {
    let of = |text: &str| spreads(&document(text)).expect("a job");
    let demo = of(DEMO_JOB);
    let named = |path: &str| demo.iter().find(|u| u.path == path).expect(path).clone();
    let thread = named("tightening.thread_friction");
    assert_eq!(
        (thread.origin, thread.spread.shape),
        (Origin::FrictionRow, Shape::Rectangular)
    );
    let torque = named("tightening.torque");
    assert_eq!(torque.spread.shape, Shape::Normal);
    let gaps = of(&file("tests/jobs/valid/cases-and-gaps.toml"));
    assert!(
        gaps.iter()
            .any(|u| u.path == "seat.gap[0].gap" || u.origin == Origin::Stated)
    );
    for job in [demo, gaps] {
        for u in job {
            assert!(u.spread.low < u.spread.high, "{}", u.path);
        }
    }
}
