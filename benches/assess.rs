//! How long a job takes: reading it, and judging it.
//!
//! Judging stands alone because sweeps and sampling do it many thousand times on one reading.

use divan::{Bencher, black_box};
use insertwright::assess::assess;
use insertwright::cli::DEMO_JOB;
use insertwright::job::{Assembly, Document, resolve};

fn main() {
    divan::main();
}

fn demonstration() -> Assembly {
    let (document, found) = Document::parse("demonstration", DEMO_JOB);
    assert!(found.is_empty());
    match resolve(&document) {
        Ok(job) => job.sides[0].assembly.clone(),
        Err(found) => panic!("the built-in job does not resolve: {found:?}"),
    }
}

/// From an assembly to checks, verdict and cautions.
#[divan::bench]
fn assess_demonstration(bencher: Bencher<'_, '_>) {
    let assembly = demonstration();
    bencher.bench_local(|| assess(black_box(&assembly)));
}

/// From text to an assembly.
#[divan::bench]
fn parse_and_resolve() -> bool {
    let (document, _) = Document::parse("demonstration", black_box(DEMO_JOB));
    resolve(&document).is_ok()
}

/// One explanation of every value.
#[divan::bench]
fn explain_all(bencher: Bencher<'_, '_>) {
    let assembly = demonstration();
    let Ok(assessment) = assess(&assembly) else {
        return;
    };
    bencher.bench_local(|| {
        insertwright::assess::values::ALL
            .iter()
            .filter_map(|v| (v.explain)(black_box(&assembly), black_box(&assessment)))
            .count()
    });
}
