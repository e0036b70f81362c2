//! From a line of text to its node. The only folder that names pest.
//!
//! A line is read by itself, from its text and the section it stands in ([`line`]): a hand-written scan finds what it
//! is and parts it, then the grammar (`grammar/formula.pest`) reads each part, so that a message points at the bad number and
//! not at the line. [`file`] strings the lines together. Reading never fails.

mod amount;
mod cache;
mod correction;
mod field;
mod file;
pub mod format;
mod grammar;
mod heading;
mod heat;
mod ledger;
mod line;
mod log;
mod meaning;
mod measure;
mod number;
mod packed;
mod row;
mod scan;
mod step;
pub mod tree;
pub mod values;
mod verbs;
mod walk;
mod weighed;
mod words;

pub use cache::Cache;
pub use file::{parse, parse_cached, parse_with};
pub use format::{Edit, format, format_edits, format_typed};
pub use tree::*;
pub use verbs::{VERBS, wording};
pub use words::{field_written, fields, nearest};
