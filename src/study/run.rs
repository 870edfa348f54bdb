//! A model run sample by sample, in chunks.
//!
//! The study's total alone decides how it is cut into chunks. Counts are whole numbers and may be added in any order;
//! sums are taken within a chunk in the order of its samples, and over the chunks in theirs. So the answer is the same
//! to the last bit on any number of threads, and when the parts of a study that ran apart are put together again.

use super::Control;
use super::draw::{Distribution, Draws};
use super::sobol::{self, Block, Design};
use super::tally::{self, Tally};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::atomic::{AtomicU64, Ordering};

/// A study of at most so many samples keeps its numbers; a longer one counts them in bins.
pub const EXACT_UP_TO: u64 = 20_000;
/// Samples in the least chunk.
const LEAST_CHUNK: u64 = 256;
/// The most chunks of a study, and so of parts.
pub const MOST_CHUNKS: u64 = 256;

/// What a study draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Plan {
    /// Samples in all.
    pub samples: u64,
    /// Seed.
    pub seed: u64,
    /// The extra runs for what decides, where they are wanted.
    pub design: Option<Design>,
}

impl Plan {
    /// Samples in a chunk; the last may be shorter.
    fn chunk(&self) -> u64 {
        LEAST_CHUNK * self.samples.div_ceil(LEAST_CHUNK * MOST_CHUNKS).max(1)
    }
    /// How many chunks there are.
    pub fn chunks(&self) -> u64 {
        self.samples.div_ceil(self.chunk())
    }
    /// The samples of a chunk.
    fn samples_of(&self, chunk: u64) -> Range<u64> {
        let size = self.chunk();
        chunk * size..((chunk + 1) * size).min(self.samples)
    }
    /// Are the numbers kept?
    pub fn exact(&self) -> bool {
        self.samples <= EXACT_UP_TO
    }
    /// The work of part `k` of `n`, counted from 1.
    pub fn part(&self, k: u64, n: u64) -> Work {
        let share = |of: u64| of * (k - 1) / n..of * k / n;
        let blocks = share(u64::from(self.design.map_or(0, |_| sobol::BLOCKS)));
        Work {
            chunks: share(self.chunks()),
            blocks: blocks.start as u32..blocks.end as u32,
        }
    }
    /// Samples that some work draws.
    pub fn samples_in(&self, work: &Work) -> u64 {
        let size = self.chunk();
        let up_to = |chunks: u64| chunks.saturating_mul(size).min(self.samples);
        up_to(work.chunks.end).saturating_sub(up_to(work.chunks.start))
    }
    /// Runs of the model that some work takes.
    pub fn runs(&self, work: &Work) -> u64 {
        let blocks = u64::from(work.blocks.end.saturating_sub(work.blocks.start));
        let extra = self
            .design
            .map_or(0, |d| d.runs() / u64::from(sobol::BLOCKS));
        self.samples_in(work) + blocks * extra
    }
}

/// Which chunks of samples and which blocks of the design.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Work {
    /// Chunks.
    pub chunks: Range<u64>,
    /// Blocks.
    pub blocks: Range<u32>,
}

/// What a model gives for one sample.
#[derive(Debug, Clone, Default)]
pub struct Row {
    /// The results in their order; not a number where one has no value.
    pub values: Vec<f64>,
    /// Which events came, bit by bit.
    pub events: u64,
    /// The result whose contributors are wanted, where it has a number.
    pub target: Option<f64>,
}

/// What is run.
pub trait Model: Sync {
    /// What one thread needs for itself.
    type Scratch;
    /// A fresh one.
    fn scratch(&self) -> Self::Scratch;
    /// How the inputs are spread.
    fn distributions(&self) -> &[Distribution];
    /// Where each result is expected: numbers near it lose least when they are summed.
    fn origins(&self) -> &[f64];
    /// How many events there are; at most 64.
    fn events(&self) -> usize;
    /// Runs the model at inputs.
    ///
    /// # Errors
    /// Why there is no result; of few kinds, since they are counted by their text.
    fn run(&self, scratch: &mut Self::Scratch, inputs: &[f64], row: &mut Row)
    -> Result<(), String>;
}

/// Sums of one result over one chunk.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
struct Sums {
    n: u64,
    sum: f64,
    square: f64,
}

/// The sums of one chunk.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct ChunkSums {
    chunk: u64,
    of: Vec<Sums>,
}

/// What a study, or a part of it, has counted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Counts {
    /// Samples drawn.
    pub drawn: u64,
    /// Samples without a result, by reason.
    pub bad: BTreeMap<String, u64>,
    /// Points of the design that were left out, by reason.
    pub left_out: BTreeMap<String, u64>,
    /// How often each event came.
    pub events: Vec<u64>,
    /// What is known of each result.
    pub tallies: Vec<Tally>,
    sums: Vec<ChunkSums>,
    /// The sums behind what decides.
    pub blocks: Vec<Block>,
}

/// Mean and standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moments {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub deviation: f64,
}

impl Counts {
    /// Nothing yet.
    pub fn new<M: Model>(model: &M, plan: &Plan) -> Counts {
        Counts {
            drawn: 0,
            bad: BTreeMap::new(),
            left_out: BTreeMap::new(),
            events: vec![0; model.events()],
            tallies: vec![Tally::new(plan.exact()); model.origins().len()],
            sums: Vec::new(),
            blocks: Vec::new(),
        }
    }
    /// Samples with a result.
    pub fn good(&self) -> u64 {
        self.drawn - self.bad.values().sum::<u64>()
    }
    /// Was all of some work done, or did it end before its time?
    pub fn complete(&self, plan: &Plan, work: &Work) -> bool {
        self.drawn == plan.samples_in(work) && self.blocks.len() == work.blocks.len()
    }
    /// Are these counts what some work of a plan can have given? They may have been read from a file.
    pub fn fit<M: Model>(&self, model: &M, plan: &Plan, work: &Work) -> bool {
        let bad = self
            .bad
            .values()
            .try_fold(0u64, |sum, n| sum.checked_add(*n));
        let Some(good) = bad.and_then(|bad| self.drawn.checked_sub(bad)) else {
            return false;
        };
        let (results, empty) = (model.origins().len(), Tally::new(plan.exact()));
        let inputs = model.distributions().len();
        self.complete(plan, work)
            && self.events.len() == model.events()
            && self.events.iter().all(|n| *n <= good)
            && self.tallies.len() == results
            && self
                .tallies
                .iter()
                .all(|t| t.like(&empty) && t.samples() == Some(good))
            && self.sums.iter().map(|c| c.chunk).eq(work.chunks.clone())
            && self
                .sums
                .iter()
                .all(|c| c.of.len() == results && c.of.iter().all(|s| s.n <= good))
            && self.blocks.iter().map(|b| b.block).eq(work.blocks.clone())
            && self
                .blocks
                .iter()
                .all(|b| b.fits(inputs, plan.samples.max(u64::from(sobol::MOST_POINTS))))
    }
    /// Takes over what another part has counted.
    pub fn absorb(&mut self, other: Counts) {
        self.drawn += other.drawn;
        for (own, others) in [
            (&mut self.bad, other.bad),
            (&mut self.left_out, other.left_out),
        ] {
            for (reason, n) in others {
                *own.entry(reason).or_default() += n;
            }
        }
        for (own, n) in self.events.iter_mut().zip(other.events) {
            *own += n;
        }
        for (own, others) in self.tallies.iter_mut().zip(&other.tallies) {
            own.absorb(others);
        }
        self.sums.extend(other.sums);
        self.blocks.extend(other.blocks);
    }
    /// Puts everything into the one order that it has.
    pub fn settle(&mut self) {
        self.sums.sort_by_key(|c| c.chunk);
        self.blocks.sort_by_key(|b| b.block);
        self.tallies.iter_mut().for_each(Tally::settle);
    }
    /// Mean and standard deviation of a result about its origin, the sums added chunk by chunk; nothing for less than
    /// two numbers. Infinite ones are left out.
    pub fn moments(&self, result: usize, origin: f64) -> Option<Moments> {
        let mut all = Sums::default();
        for one in self.sums.iter().filter_map(|c| c.of.get(result)) {
            all.n += one.n;
            all.sum += one.sum;
            all.square += one.square;
        }
        if all.n < 2 {
            return None;
        }
        let n = all.n as f64;
        let offset = all.sum / n;
        let variance = (all.square - n * offset * offset) / (n - 1.0);
        Some(Moments {
            mean: origin + offset,
            deviation: variance.max(0.0).sqrt(),
        })
    }
}

/// Does some work of a plan on the threads of a pool.
pub fn run<M: Model>(
    model: &M,
    plan: &Plan,
    work: &Work,
    pool: &rayon::ThreadPool,
    control: &Control,
) -> Counts {
    let (chunk, block) = (
        AtomicU64::new(work.chunks.start),
        AtomicU64::new(u64::from(work.blocks.start)),
    );
    let each = pool.broadcast(|_| {
        let mut counts = Counts::new(model, plan);
        let mut scratch = model.scratch();
        let next = |counter: &AtomicU64, end: u64| {
            let one = counter.fetch_add(1, Ordering::Relaxed);
            (one < end && !control.stopped()).then_some(one)
        };
        while let Some(chunk) = next(&chunk, work.chunks.end) {
            samples(model, plan, chunk, &mut scratch, &mut counts, control);
        }
        if let Some(design) = &plan.design {
            while let Some(block) = next(&block, u64::from(work.blocks.end)) {
                extra(
                    model,
                    design,
                    block as u32,
                    &mut scratch,
                    &mut counts,
                    control,
                );
            }
        }
        counts
    });
    let mut all = Counts::new(model, plan);
    each.into_iter().for_each(|counts| all.absorb(counts));
    all.settle();
    all
}

/// How many runs are counted at once.
const STEP: u64 = 64;

fn samples<M: Model>(
    model: &M,
    plan: &Plan,
    chunk: u64,
    scratch: &mut M::Scratch,
    counts: &mut Counts,
    control: &Control,
) {
    let (distributions, origins) = (model.distributions(), model.origins());
    let range = plan.samples_of(chunk);
    let mut draws = Draws::new(plan.seed, distributions.len());
    draws.seek(range.start);
    let mut inputs = vec![0.0; distributions.len()];
    let mut row = Row::default();
    row.values.resize(origins.len(), f64::NAN);
    let mut waiting = Waiting::new(origins.len());
    let mut since = 0;
    for _ in range {
        if control.stopped() {
            break;
        }
        for (input, distribution) in inputs.iter_mut().zip(distributions) {
            *input = distribution.quantile(draws.uniform());
        }
        counts.drawn += 1;
        match model.run(scratch, &inputs, &mut row) {
            Ok(()) => {
                waiting.take(&row.values, origins, &mut counts.tallies);
                for (bit, count) in counts.events.iter_mut().enumerate() {
                    *count += (row.events >> bit) & 1;
                }
            }
            Err(reason) => *counts.bad.entry(reason).or_default() += 1,
        }
        since += 1;
        if since == STEP {
            control.done.fetch_add(STEP, Ordering::Relaxed);
            since = 0;
        }
    }
    control.done.fetch_add(since, Ordering::Relaxed);
    waiting.count(origins, &mut counts.tallies);
    let of = waiting.sums;
    counts.sums.push(ChunkSums { chunk, of });
}

/// Rows that wait to be counted: result by result, since what one result is counted in then stays at hand.
struct Waiting {
    rows: Vec<f64>,
    sums: Vec<Sums>,
}

/// How many rows wait.
const ROWS: usize = 32;

impl Waiting {
    fn new(results: usize) -> Waiting {
        Waiting {
            rows: Vec::with_capacity(results * ROWS),
            sums: vec![Sums::default(); results],
        }
    }
    fn take(&mut self, row: &[f64], origins: &[f64], tallies: &mut [Tally]) {
        self.rows.extend_from_slice(row);
        if self.rows.len() >= row.len() * ROWS {
            self.count(origins, tallies);
        }
    }
    fn count(&mut self, origins: &[f64], tallies: &mut [Tally]) {
        let each = tallies.iter_mut().zip(&mut self.sums).zip(origins);
        for (result, ((tally, sum), &origin)) in each.enumerate() {
            for &value in self.rows.iter().skip(result).step_by(origins.len()) {
                tally.add(value);
                if tally::is_finite(value) {
                    let off = value - origin;
                    sum.n += 1;
                    sum.sum += off;
                    sum.square += off * off;
                }
            }
        }
        self.rows.clear();
    }
}

/// Why a run of the design gave nothing.
enum Nothing {
    Bad(String),
    Stopped,
}

/// A run of the design whose result has no number.
const WITHOUT_NUMBER: &str = "no strength check has a number";

fn extra<M: Model>(
    model: &M,
    design: &Design,
    block: u32,
    scratch: &mut M::Scratch,
    counts: &mut Counts,
    control: &Control,
) {
    let distributions = model.distributions();
    let mut inputs = vec![0.0; distributions.len()];
    let mut row = Row::default();
    row.values.resize(model.origins().len(), f64::NAN);
    let (sums, failed) = design.block(block, |u| {
        if control.stopped() {
            return Err(Nothing::Stopped);
        }
        for ((input, distribution), u) in inputs.iter_mut().zip(distributions).zip(u) {
            *input = distribution.quantile(*u);
        }
        control.done.fetch_add(1, Ordering::Relaxed);
        model
            .run(scratch, &inputs, &mut row)
            .map_err(Nothing::Bad)?;
        row.target
            .ok_or_else(|| Nothing::Bad(WITHOUT_NUMBER.into()))
    });
    // Half a block would not be the same a second time.
    if control.stopped() {
        return;
    }
    for reason in failed {
        if let Nothing::Bad(reason) = reason {
            *counts.left_out.entry(reason).or_default() += 1;
        }
    }
    counts.blocks.push(sums);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// x + y², with an event and a bad corner.
    struct Sum(Vec<Distribution>);

    impl Model for Sum {
        type Scratch = ();
        fn scratch(&self) {}
        fn distributions(&self) -> &[Distribution] {
            &self.0
        }
        fn origins(&self) -> &[f64] {
            &[10.0, 0.0]
        }
        fn events(&self) -> usize {
            1
        }
        fn run(&self, (): &mut (), inputs: &[f64], row: &mut Row) -> Result<(), String> {
            if inputs[1] > 0.99 {
                return Err("corner".into());
            }
            let sum = inputs[0] + inputs[1].powi(2);
            row.values
                .copy_from_slice(&[sum, if inputs[1] < 0.1 { f64::INFINITY } else { -sum }]);
            row.events = u64::from(sum > 10.0);
            row.target = Some(sum);
            Ok(())
        }
    }

    fn sum() -> Sum {
        let (low, high) = (0.0, 1.0);
        let normal = Distribution::Normal {
            mean: 10.0,
            deviation: 1.0,
        };
        Sum(vec![normal, Distribution::Rectangular { low, high }])
    }

    fn counts(plan: &Plan, work: &Work, threads: usize) -> Counts {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("a pool");
        run(&sum(), plan, work, &pool, &Control::default())
    }

    fn plan(samples: u64) -> Plan {
        Plan {
            samples,
            seed: 7,
            design: Some(Design::of_at_least(256, 2, 7)),
        }
    }

    /// Below and above the size up to which numbers are kept: the same on any number of threads, and from any parts.
    #[test]
    fn threads_and_parts_give_the_same() {
        for samples in [1, 255, 5_000, EXACT_UP_TO + 1, 150_001] {
            let plan = plan(samples);
            let whole = counts(&plan, &plan.part(1, 1), 1);
            assert_eq!(whole.drawn, samples);
            assert!(whole.fit(&sum(), &plan, &plan.part(1, 1)), "{samples}");
            assert_eq!(counts(&plan, &plan.part(1, 1), 3), whole, "{samples}");
            for n in [2, 3, 5].into_iter().filter(|n| *n <= plan.chunks()) {
                let parts = (1..=n).map(|k| {
                    let part = counts(&plan, &plan.part(k, n), 2);
                    assert!(part.fit(&sum(), &plan, &plan.part(k, n)));
                    // Through a file and back.
                    let text = serde_json::to_string(&part).expect("written");
                    serde_json::from_str::<Counts>(&text).expect("read")
                });
                let mut merged = Counts::new(&sum(), &plan);
                parts
                    .collect::<Vec<_>>()
                    .into_iter()
                    .rev()
                    .for_each(|part| merged.absorb(part));
                merged.settle();
                assert_eq!(merged, whole, "{samples} in {n} parts");
                assert_eq!(merged.moments(0, 10.0), whole.moments(0, 10.0));
            }
        }
    }

    /// Moments, quantiles, events and bad draws against closed forms.
    #[test]
    fn what_is_counted_is_right() {
        let plan = Plan {
            design: None,
            ..plan(400_000)
        };
        let found = counts(&plan, &plan.part(1, 1), 2);
        let n = found.drawn as f64;
        assert!((found.bad["corner"] as f64 / n - 0.01).abs() < 1e-3);
        assert!(
            (found.tallies[1].infinite() as f64 / found.good() as f64 - 0.1 / 0.99).abs() < 2e-3
        );
        // y² with y even on 0 … 0.99: mean c²/3, mean square c⁴/5.
        let (m1, m2) = (0.99f64.powi(2) / 3.0, 0.99f64.powi(4) / 5.0);
        let moments = found.moments(0, 10.0).expect("numbers");
        assert!((moments.mean - 10.0 - m1).abs() < 5e-3, "{moments:?}");
        // The cut at four deviations takes 0.11 % off the variance.
        assert!((moments.deviation.powi(2) - (0.9989 + m2 - m1 * m1)).abs() < 1e-2);
        let share = found.events[0] as f64 / found.good() as f64;
        let below = found.tallies[0].quantile(1.0 - share).expect("a number");
        assert!((below - 10.0).abs() < 0.01);
    }

    /// What is held does not grow with the number of samples.
    #[test]
    fn a_longer_study_holds_no_more() {
        let held = |samples| {
            let plan = Plan {
                design: None,
                ..plan(samples)
            };
            let found = counts(&plan, &plan.part(1, 1), 2);
            serde_json::to_string(&found.tallies)
                .expect("written")
                .len()
                + 100 * found.sums.len()
        };
        let (short, long) = (held(70_000), held(2_100_000));
        assert!(long < 2 * short, "{short} to {long} bytes");
    }

    /// Stopped before it began, a study has nothing and says so.
    #[test]
    fn a_stopped_study_ends() {
        let plan = plan(1_000_000_000);
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(2)
            .build()
            .expect("a pool");
        let control = Control::default();
        control.stop.store(true, Ordering::Relaxed);
        let none = run(&sum(), &plan, &plan.part(1, 1), &pool, &control);
        assert_eq!((none.drawn, none.tallies[0].quantile(0.5)), (0, None));
    }
}
