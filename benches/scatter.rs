//! How long a study takes, sample by sample; run with `cargo bench --bench scatter`.

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use insertwright::assess::scatter::Scatter;
use insertwright::cli::DEMO_JOB;
use insertwright::job::Document;
use insertwright::study::Control;
use insertwright::study::draw::{Distribution, Draws};
use insertwright::study::run::{Model, Plan, Row, run};
use insertwright::study::sobol::Design;
use insertwright::study::tally::Tally;

fn main() {
    divan::main();
}

fn study(overrides: &[String]) -> Scatter {
    let (mut document, findings) = Document::parse("demonstration", DEMO_JOB);
    assert!(findings.is_empty());
    for text in overrides {
        assert!(document.set(text).is_empty(), "{text}");
    }
    Scatter::new(&document).unwrap_or_else(|_| panic!("no study"))
}

/// Torque, both frictions, glue strength, glue thickness, engaged length and pedal force, on a closed ring.
fn closed_ring() -> Scatter {
    let all = [
        "insert.face_offset=0.15 mm",
        "tightening.torque=40 N·m ± 4 %",
        "adhesive.\"demonstration film\".shear_strength=38 ± 4 MPa",
        "bond.thickness=0.25 ± 0.05 mm",
        "thread.engaged=12 ± 0.5 mm",
        "pedalling.force=1000 ± 200 N",
    ];
    study(&all.map(String::from))
}

/// The same with eight feeler readings under the flange.
fn eight_readings() -> Scatter {
    let readings = (0..8).flat_map(|i| {
        let gap = 10.0 * (1.0 + (f64::from(i) * 0.785).cos());
        [
            format!("seat.gap[{i}].at={} deg", i * 45),
            format!("seat.gap[{i}].gap={} .. {} µm", gap, gap + 10.0),
        ]
    });
    let mut all: Vec<String> = readings.collect();
    all.push("insert.face_offset=0.15 mm".into());
    study(&all)
}

fn plan(samples: u64, points: Option<u32>, inputs: usize) -> Plan {
    Plan {
        samples,
        seed: 1,
        design: points.map(|p| Design::of_at_least(p, inputs, 1)),
    }
}

fn whole(bencher: Bencher, scatter: &Scatter, plan: &Plan, threads: usize) {
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .expect("a pool");
    bencher
        .counter(ItemsCount::new(plan.runs(&plan.part(1, 1))))
        .bench(|| run(scatter, plan, &plan.part(1, 1), &pool, &Control::default()));
}

#[divan::bench(args = [1, 2], sample_count = 5)]
fn closed_ring_by_threads(bencher: Bencher, threads: usize) {
    whole(bencher, &closed_ring(), &plan(65_536, None, 0), threads);
}

/// The cost of a sample must not grow with their number.
#[divan::bench(args = [10_000, 100_000, 1_000_000], sample_count = 3)]
fn closed_ring_by_samples(bencher: Bencher, samples: u64) {
    whole(bencher, &closed_ring(), &plan(samples, None, 0), 2);
}

#[divan::bench(sample_count = 3)]
fn closed_ring_contributors(bencher: Bencher) {
    let scatter = closed_ring();
    let inputs = scatter.inputs().len();
    whole(bencher, &scatter, &plan(256, Some(1024), inputs), 2);
}

#[divan::bench(sample_count = 1)]
fn eight_readings_ten_thousand(bencher: Bencher) {
    whole(bencher, &eight_readings(), &plan(10_000, None, 0), 2);
}

/// One sample of the model, without counting it.
#[divan::bench]
fn one_sample(bencher: Bencher) {
    let scatter = closed_ring();
    let mut scratch = scatter.scratch();
    let middle: Vec<f64> = scatter
        .distributions()
        .iter()
        .map(|d| d.quantile(0.5))
        .collect();
    let mut row = Row {
        values: scatter.origins().to_vec(),
        ..Row::default()
    };
    bencher.bench_local(|| scatter.run(&mut scratch, black_box(&middle), &mut row));
}

#[divan::bench]
fn thousand_normals(bencher: Bencher) {
    let normal = Distribution::Normal {
        mean: 40.0,
        deviation: 0.8,
    };
    let mut draws = Draws::new(1, 1);
    bencher.bench_local(|| {
        (0..1000)
            .map(|_| normal.quantile(draws.uniform()))
            .sum::<f64>()
    });
}

#[divan::bench]
fn thousand_numbers_counted(bencher: Bencher) {
    let mut draws = Draws::new(1, 1);
    let numbers: Vec<f64> = (0..1000).map(|_| 1.0 + draws.uniform()).collect();
    let mut tally = Tally::new(false);
    bencher.bench_local(|| numbers.iter().for_each(|n| tally.add(*n)));
}
