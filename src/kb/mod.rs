//! The ingredient knowledge base in use: the packed base, look-up, the workspace's own ingredients.
//!
//! Its shapes, checks and packed form are the crate `kb-format`, which the build script uses too.

mod base;
mod bundle;
mod cache;
pub mod card;
mod contents;
mod decode;
mod id;
pub mod law;
mod length_index;
mod lookup;
mod market;
mod near;
mod nearest;
mod overlay;
pub mod report;
mod strength;
mod user_entries;
mod variants;

pub use base::Kb;
pub use cache::PerEntryCache;
pub use contents::{ComponentKind, Content, Contents};
pub use id::Id;
pub use kb_format::{
    Commonness, CompletionIndex, KbError, KbSource, MaterialRecord, NameRecord, UseRecord,
    bigram_mask, letter_mask,
};
pub use kb_format::{check, names, number, read, role, schema};
pub use lookup::Lookup;
pub use market::Market;
pub use strength::{Strength, StrengthBasis};
