//! Formulas for skin and hair care as plain text, checked as they are typed.
//!
//! The folders tell the architecture; see DEVELOPERS.md.

// The code that pest derives names it; with the standard library switched off there, pest does not probe the stack at every rule.
extern crate alloc;

pub mod analysis;
pub mod chem;
#[cfg(feature = "cli")]
pub mod cli;
pub mod ide;
pub mod kb;
#[cfg(feature = "lsp")]
pub mod lsp;
pub mod model;
#[cfg(feature = "open")]
pub mod page;
pub mod papers;
pub mod project;
pub mod rules;
pub mod syntax;
pub mod text;
