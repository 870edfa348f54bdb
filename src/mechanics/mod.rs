//! Pure mechanics: functions on typed quantities, one file per subject.
//!
//! Nothing here knows of files, tables, jobs, terminals or text formats.

pub mod bond;
pub mod fitting;
pub mod formula;
pub mod pedal;
pub mod seat;
pub mod section;
pub mod strip;
pub mod thread;
pub mod tolerance;
pub mod torque;
pub mod contact;
pub mod flexibility;
pub mod glue;
pub mod ladder;
pub mod rocking;
pub mod thermal;
pub mod torsion;
