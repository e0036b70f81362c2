//! The ingredient knowledge base: shapes, checks, the packed base, look-up, the workspace's own ingredients.

mod base;
pub mod card;
pub mod check;
pub mod hash;
pub mod names;
mod near;
pub mod number;
pub mod pack;
pub mod read;
pub mod report;
pub mod roles;
pub mod rows;
pub mod schema;
pub mod typed;

pub use base::{Id, Kb, Kept, Lookup, Strength, StrengthBasis};
