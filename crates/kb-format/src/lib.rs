//! The knowledge base as data: its shapes, how the folder `kb/` is read and checked, and its packed form.
//!
//! The build script and the program both use it: one writes the packed form, the other reads it.

pub mod check;
mod completion;
mod error;
#[cfg(test)]
mod json_schemas;
pub mod names;
pub mod number;
mod origin;
pub mod pack;
mod prohibited;
pub mod read;
pub mod role;
pub mod schema;

pub use completion::{Commonness, CompletionIndex, MaterialRecord, NameRecord, UseRecord};
pub use completion::{bigram_mask, letter_mask};
pub use error::KbError;
pub use read::KbSource;
