//! All tests that use the program from outside, as one program.
//!
//! | file | what it holds |
//! |---|---|
//! | `units.rs` | quantities as text: what is read, what is refused and how |
//! | `tables.rs` | every row of every table: source, basis, sanity |
//! | `published.rs` | the published cases, and the runner itself |
//! | `explain.rs` | every explanation computed again |
//! | `properties.rs` | what must hold for any job: scaling, bounds, equilibrium, symmetry |
//! | `job.rs` | wrong jobs, one mistake per file under `jobs/invalid` |
//! | `cli.rs` | every command as a user runs it, under `../snapshots` |
//! | `repair.rs` | repair routes, thread identification, `new --ask`, the record |
//! | `readme.rs` | every command that the README shows |

mod cli;
mod explain;
mod job;
mod properties;
mod published;
mod readme;
mod repair;
mod support;
mod tables;
mod units;
