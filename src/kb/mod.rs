//! The ingredient knowledge base: shapes, checks, the packed base, look-up, the workspace's own ingredients.

mod base;
mod bundle;
pub mod card;
pub mod check;
pub mod hash;
mod id;
pub mod law;
mod lengths;
mod market;
pub mod names;
mod near;
mod nearest;
pub mod number;
pub mod pack;
pub mod packed;
pub mod prohibited;
pub mod read;
pub mod report;
pub mod role;
pub mod schema;
pub mod typed;
mod variants;

pub use base::{Kb, Kept, Lookup, Strength, StrengthBasis};
pub use id::Id;
pub use market::Market;
