//! What is wrong with a job, where, and what to write instead.

use std::ops::Range;

/// Where a text came from: which of the document's sources, and the bytes in it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Place {
    /// The source: 0 is the job file, the rest are overrides given on the command line.
    pub source: usize,
    /// The bytes in question.
    pub span: Range<usize>,
}

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
