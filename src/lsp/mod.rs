//! The language server. The only folder that names tower-lsp, the protocol and tokio.
//!
//! What keeps it right (each was measured on servers that broke it):
//! - R1: a handler's first act, before any await, is to apply the change or to take what it needs of the state.
//! - R2: many requests may wait at once; work on a long text runs in the background, on a snapshot.
//! - R3: one module owns the client ([`client`]); nobody waits for its answers.
//! - R4: a result carries the state it was made from and is dropped when the text has moved on.
//! - R5: logs go only to stderr; the process leaves when its input closes or the editor's process is gone.

// A page has no process to watch and to end.
#![cfg_attr(target_family = "wasm", allow(dead_code))]

mod analysis;
mod capabilities;
mod client;
mod client_capabilities;
mod convert;
mod diagnostics;
mod disk;
mod documents;
mod folders;
mod ingredient_pages;
mod kinds;
mod layers;
mod loader;
mod main;
mod notifications;
mod papers_folder;
#[cfg(not(target_family = "wasm"))]
mod process;
mod requests;
mod rule_pages;
#[cfg(not(target_family = "wasm"))]
mod serve;
mod state;
#[cfg(not(target_family = "wasm"))]
mod stdio;
mod tasks;
mod to_diagnostics;
#[cfg(not(target_family = "wasm"))]
mod warm_up;
#[cfg(target_family = "wasm")]
mod wasm;
mod workshops;

pub use analysis::Judge;
#[cfg(not(target_family = "wasm"))]
pub use serve::{serve, serve_listen, serve_on};
pub use state::Options;
#[cfg(target_family = "wasm")]
pub use wasm::PageServer;
