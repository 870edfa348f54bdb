//! The job: from the text that a person wrote to one validated, unit-typed [`Assembly`].
//!
//! [`document`] holds what was written and where; [`schema`] lists every key there is; [`read`] turns
//! keys into typed values and collects every error; [`mod@resolve`] fills in defaults and table rows, notes
//! each of them in the [`ledger`], and checks that the parts can exist; `rows` looks through what nothing uses. [`readings`] holds what was measured
//! beside the assembly, [`fits`] the rows of fits and bearing tolerances.

pub mod assembly;
pub mod bench;
pub mod boss;
pub mod designation;
pub mod diagnostic;
pub mod document;
pub mod fits;
pub mod ledger;
pub mod possible;
pub mod read;
pub mod readings;
pub mod record;
pub mod resolve;
mod rows;
pub mod schema;
pub mod vary;

pub use assembly::Assembly;
pub use diagnostic::Diagnostic;
pub use document::Document;
pub use ledger::Ledger;
pub use readings::Readings;
pub use resolve::{Job, Side, resolve};
