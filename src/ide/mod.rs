//! What an editor asks for, in its own terms: places in, plain values out. Names no protocol.
//!
//! Positions are (line from 0, byte in it), as everywhere in the core. Each feature is a file; all of them read one
//! [`Snapshot`], and none of them fails on a half-typed file: what cannot be read is left out, the rest answers.

pub mod actions;
pub mod bench;
pub mod complete;
pub mod definition;
pub mod figures;
pub mod file_rename;
pub mod folding;
pub mod hints;
pub mod hover;
pub mod lens;
pub mod links;
pub mod place;
pub mod record;
pub mod rename;
pub mod selection;
pub mod snapshot;
pub mod symbols;
pub mod tokens;
pub mod words;
pub mod workspace_symbols;

pub use snapshot::Snapshot;
