//! Pure mechanics: functions on typed quantities, one file per subject.
//!
//! Nothing here knows of files, tables, jobs, terminals or text formats.

pub mod bench;
pub mod bond;
pub mod clamped;
pub mod contact;
pub mod elements;
pub mod fit;
pub mod fitting;
pub mod flexibility;
pub mod formula;
pub mod glue;
pub mod ladder;
pub mod measurement;
pub mod parent;
pub mod pedal;
pub mod plane;
pub mod quadrature;
pub mod rocking;
pub mod seat;
pub mod section;
pub mod stack;
pub mod strip;
pub mod thermal;
pub mod thread;
pub mod tolerance;
pub mod torque;
pub mod torsion;
pub mod wall;
