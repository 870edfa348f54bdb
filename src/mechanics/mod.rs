//! Pure mechanics: functions on typed quantities, one file per subject.
//!
//! Nothing here knows of files, tables, jobs, terminals or text formats.

pub mod bond;
pub mod fitting;
pub mod formula;
pub mod pedal;
pub mod seat;
pub mod strip;
pub mod thread;
pub mod tolerance;
pub mod torque;
