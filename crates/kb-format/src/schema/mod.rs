//! The shapes of the knowledge base, as written in TOML and as packed.
//!
//! One struct per table. Unknown keys are refused. Every figure carries the id of its source
//! (`sources/`) and, where it has one, the page, table or entry in `at`.
//! Units stand in the key: `_c` degrees Celsius, `_percent` percent by weight of the whole,
//! `_g_ml` grams per millilitre, `_months`, `_minutes`.

mod acid_base;
mod figure;
mod ingredient;
mod law;
mod lists;
mod preservative;
mod prohibited;

pub use acid_base::*;
pub use figure::*;
pub use ingredient::*;
pub use law::*;
pub use lists::*;
pub use preservative::*;
pub use prohibited::*;
