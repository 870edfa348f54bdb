//! Studies: one job assessed at very many points. No text is made here.

pub mod solve;
pub mod sweep;

use std::sync::atomic::AtomicBool;

/// Set where somebody asks a study to end: it does so after the points in hand.
pub static STOP: AtomicBool = AtomicBool::new(false);
