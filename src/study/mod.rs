//! Studies: one job assessed at very many points, and what becomes of a result when its inputs are uncertain. No text
//! is made here.
//!
//! | file | what it holds |
//! |---|---|
//! | [`sweep`] | assessments over a grid of entries |
//! | [`solve`] | values of one entry that keep every margin |
//! | [`draw`] | counter-based random numbers and the distributions they are turned into |
//! | [`tally`] | quantiles of a stream of numbers in constant memory |
//! | [`run`] | a model run sample by sample on several threads, in chunks whose order decides every sum |
//! | [`interval`] | how well a counted share is known |
//! | [`sobol`] | which input decides how much of a result |
//!
//! The last five are pure statistics, with no notion of a job; what is drawn of one stands in
//! [`assess::scatter`](crate::assess::scatter).

pub mod draw;
pub mod interval;
pub mod run;
pub mod sobol;
pub mod solve;
pub mod sweep;
pub mod tally;

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

/// How far a study is, and whether to end it.
#[derive(Debug, Default)]
pub struct Control {
    /// Runs of the model done.
    pub done: AtomicU64,
    /// End with what is there.
    pub stop: AtomicBool,
}

impl Control {
    fn stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
}
