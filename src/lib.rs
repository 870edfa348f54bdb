//! insertwright: torque and thread-engagement planning for bonded threaded inserts.
//!
//! The way through the program, from text to text:
//!
//! | module | what it does | what it knows nothing of |
//! |---|---|---|
//! | [`units`] | quantities as types and as text | everything else |
//! | [`document`] | a TOML text as entries with their places | what they mean |
//! | [`mechanics`] | pure functions, one file per subject | jobs, tables, files, text |
//! | [`tables`] | built-in data with its sources | jobs, mechanics |
//! | [`job`] | what a person wrote → one validated [`job::Assembly`] | how it is judged or printed |
//! | [`assess`] | mechanics → checks, margins, verdict, cautions | text, formats |
//! | [`study`] | a model or an assessment run many times: draws, quantiles, what decides; sweeps, values that keep every margin | text, formats |
//! | [`present`] | words; the report as text, JSON, Markdown | how anything is computed |
//! | [`published`] | published cases run through the mechanics | jobs |
//! | [`cli`] | one file per command | mechanics |

// No input may end in a panic; the tests may.
#![cfg_attr(
    not(test),
    deny(
        clippy::unwrap_used,
        clippy::expect_used,
        clippy::panic,
        clippy::unreachable,
        clippy::todo
    )
)]

pub mod assess;
pub mod cli;
pub mod document;
pub mod job;
pub mod mechanics;
pub mod present;
pub mod published;
pub mod study;
pub mod tables;
pub mod units;
