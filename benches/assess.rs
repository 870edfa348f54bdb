//! How long one assessment takes; run with `cargo bench`.

use divan::{Bencher, black_box};
use insertwright::assess::coupled::Model;
use insertwright::assess::coupled::crosscheck::CrossCheck;
use insertwright::assess::{self, closed};
use insertwright::cli::DEMO_JOB;
use insertwright::job::vary::Varying;
use insertwright::job::{Assembly, Document, resolve};

fn main() {
    divan::main();
}

fn assembly(overrides: &[&str]) -> Assembly {
    let (mut document, findings) = Document::parse("demonstration", DEMO_JOB);
    assert!(findings.is_empty());
    for text in overrides {
        assert!(document.set(text).is_empty(), "{text}");
    }
    resolve(&document)
        .expect("the demonstration job resolves")
        .sides
        .remove(0)
        .assembly
}

/// Eight feeler readings under the flange.
fn with_gaps(largest_um: f64) -> Vec<String> {
    (0..8)
        .flat_map(|i| {
            let gap = largest_um * (1.0 + (f64::from(i) * 0.785).cos()) / 2.0;
            [
                format!("seat.gap[{i}].at={} deg", i * 45),
                format!("seat.gap[{i}].gap={gap} µm"),
            ]
        })
        .collect()
}

#[divan::bench]
fn closed_ring(bencher: Bencher) {
    let a = assembly(&[]);
    bencher.bench(|| assess::assess(black_box(&a)));
}

#[divan::bench]
fn closed_ring_one_evaluation(bencher: Bencher) {
    let a = assembly(&[]);
    let bears = closed::stated_bearing(&a);
    bencher.bench(|| assess::evaluate(black_box(&a), bears, 1.0));
}

/// Many jobs one after the other, as a study runs them: torque, friction, glue layer, engagement and pedal
/// force all differ.
#[divan::bench]
fn closed_ring_a_thousand(bencher: Bencher) {
    let a = assembly(&[]);
    let jobs: Vec<Assembly> = (0..1000)
        .map(|i| {
            let mut job = a.clone();
            let share = |k: u32| 0.9 + 0.2 * f64::from(i * k % 1000) / 1000.0;
            job.tightening.torque = job.tightening.torque.map(|t| t * share(1));
            job.tightening.thread_friction = job.tightening.thread_friction.map(|m| m * share(7));
            job.bond.thickness *= share(11);
            job.thread.engaged = job.thread.engaged.map(|l| l * share(13));
            for case in &mut job.cases {
                if let Some(pedalling) = &mut case.pedalling {
                    pedalling.force *= share(17);
                }
            }
            job
        })
        .collect();
    bencher
        .counter(divan::counter::ItemsCount::new(1000usize))
        .bench(|| {
            for job in &jobs {
                let _ = black_box(assess::assess(black_box(job)));
            }
        });
}

#[divan::bench]
fn model_alone(bencher: Bencher) {
    let a = assembly(&[]);
    let ring = closed::ring(&a, closed::stated_bearing(&a)).expect("a ring");
    let geometry = closed::geometry(&a);
    bencher.bench(|| Model::new(black_box(&a), &geometry, &ring, 1.0).map(|m| m.first_turn));
}

#[divan::bench]
fn closed_ring_seat_on_both(bencher: Bencher) {
    let a = assembly(&["insert.face_offset=0 mm", "fitting.flange_diameter=50 mm"]);
    bencher.bench(|| assess::evaluate(black_box(&a), closed::stated_bearing(&a), 1.0));
}

#[divan::bench(args = [5.0, 60.0])]
fn eight_readings_one_evaluation(bencher: Bencher, largest_um: f64) {
    let gaps = with_gaps(largest_um);
    let a = assembly(&gaps.iter().map(String::as_str).collect::<Vec<_>>());
    let bears = closed::stated_bearing(&a);
    bencher.bench(|| assess::evaluate(black_box(&a), bears, 1.0));
}

#[divan::bench(args = [5.0, 60.0])]
fn eight_readings_whole_assessment(bencher: Bencher, largest_um: f64) {
    let gaps = with_gaps(largest_um);
    let a = assembly(&gaps.iter().map(String::as_str).collect::<Vec<_>>());
    bencher.bench(|| assess::assess(black_box(&a)));
}

#[divan::bench]
fn window_closed_ring(bencher: Bencher) {
    let a = assembly(&[]);
    let checks = assess::assess(&a).expect("assessed").checks;
    bencher.bench(|| assess::window::window(black_box(&a), &checks));
}

#[divan::bench]
fn read_and_resolve(bencher: Bencher) {
    bencher.bench(|| {
        let (document, _) = Document::parse("demonstration", black_box(DEMO_JOB));
        resolve(&document).map(|job| job.sides.len())
    });
}

/// Entries put into a resolved job: what a study of many points pays before each assessment.
#[divan::bench(args = [1, 7])]
fn put(bencher: Bencher, count: usize) {
    let (document, _) = Document::parse("demonstration", DEMO_JOB);
    let paths = [
        "pedalling.force",
        "tightening.torque",
        "tightening.thread_friction",
        "tightening.seat_friction",
        "bond.thickness",
        "thread.engaged",
        "fitting.bearing_outboard",
    ];
    let paths: Vec<String> = paths.iter().take(count).map(|p| (*p).to_string()).collect();
    let varying = Varying::new(&document, &paths).expect("paths of the job");
    assert!(varying.fast());
    let values: Vec<f64> = varying
        .kinds()
        .iter()
        .map(|v| v.nominal.unwrap_or(0.1))
        .collect();
    let mut scratch = varying.scratch();
    bencher.bench_local(|| varying.put(black_box(&values), &mut scratch).is_ok());
}

/// Elements of the demonstration to settled values, all load cases of the glue judged on them.
#[divan::bench(sample_count = 20)]
fn elements_beside_the_simple_models(bencher: Bencher) {
    let a = assembly(&[]);
    let r = assess::assess(&a).expect("a seat");
    bencher.bench(|| CrossCheck::of(black_box(&a), &r));
}
