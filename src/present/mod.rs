//! Presentation: the words, and the same report as text, JSON, Markdown and as a sheet. Nothing is computed here.

pub mod bench;
pub mod bond;
pub mod check;
pub mod compare;
pub mod csv;
pub mod diagnose;
pub mod elements;
pub mod explain;
pub mod identify;
pub mod record;
pub mod repair;
pub mod report;
pub mod scatter;
pub mod schema;
pub mod seat;
pub mod sheet;
pub mod spindle;
pub mod sweep;
pub mod text;
pub mod window;
pub mod words;

pub use report::Report;
