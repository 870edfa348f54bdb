//! All tests that use the program from outside, as one program.
//!
//! | file | what it holds |
//! |---|---|
//! | `advice.rs` | where to stop undoing, what a soft wall divides by, what is taken as met, which joint a record is held against |
//! | `sweep.rs` | the command `sweep` |
//! | `vary.rs` | entries of a job changed quickly, held against the resolver |
//! | `units.rs` | quantities as text: what is read, what is refused and how |
//! | `bench_bond.rs`, `boss.rs` | the command `bond`; a part under the head, the parent, the wrench |
//! | `bench_seat.rs`, `bench_spindle.rs` | the commands `seat` and `spindle` |
//! | `tables.rs` | every row of every table: source, basis, sanity |
//! | `published.rs` | the published cases, and the runner itself |
//! | `explain.rs` | every explanation computed again |
//! | `files.rs` | results whole or not at all on any disk; inputs without an end |
//! | `independent.rs` | the same jobs through an independent implementation, `independent/` |
//! | `properties.rs` | what must hold for any job: scaling, bounds, equilibrium, symmetry |
//! | `job.rs` | wrong jobs, one mistake per file under `jobs/invalid` |
//! | `ledger.rs` | what is assumed; rows and overrides that nothing uses |
//! | `judgement.rs` | either pedal, walls without an index, threads pushed inward |
//! | `soak.rs` | random jobs by the thousand and a grid of extremes: solved and in balance, or a named error |
//! | `window.rs` | every bound put back into its job |
//! | `cli.rs` | every command as a user runs it, under `../snapshots` |
//! | `crosscheck.rs` | the command `elements`, and `check --elements` |
//! | `corpus.rs` | every file of the fuzzing corpus through what the fuzz targets run |
//! | `elements.rs` | the glue's simple models against finite elements of the same bodies, `elements/` |
//! | `elements_inside.rs` | the program's own elements against those of the same library |
//! | `editors.rs` | the commands `schema`, `completions` and `man` |
//! | `sheet.rs`, `drawings.rs` | the command `sheet`: what it says; what its drawings measure |
//! | `browser.rs`, `browser/` | every kind of sheet in a browser, where there is one: read aloud, looked at, printed |
//! | `compare.rs` | the command `compare` |
//! | `scatter.rs` | the commands `scatter` and `merge`: moments, libraries, threads, parts, interruption |
//! | `wording.rs` | advice, figures, names and lines as a person reads them |
//! | `repair.rs` | repair routes, thread identification, `new --ask`, the record |
//! | `readme.rs` | every command that the README shows |

mod advice;
mod bench_bond;
mod bench_seat;
mod bench_spindle;
mod boss;
mod browser;
mod cli;
mod compare;
mod corpus;
mod crosscheck;
mod drawings;
mod editors;
mod elements;
mod elements_inside;
mod explain;
mod files;
mod independent;
mod job;
mod judgement;
mod ledger;
mod properties;
mod published;
mod readme;
mod repair;
mod scatter;
mod sheet;
mod soak;
mod support;
mod sweep;
mod tables;
mod units;
mod vary;
mod window;
mod wording;
