//! What is wrong with a job, where, and what to write instead.

pub use crate::document::Place;

/// One finding, ready to be shown under the line that it is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic {
    /// What is wrong.
    pub message: String,
    /// Where.
    pub place: Place,
    /// What to write instead.
    pub help: String,
}
