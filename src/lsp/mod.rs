//! The language server. The only folder that names tower-lsp, the protocol and tokio.
//!
//! What keeps it right (each was measured on servers that broke it):
//! - R1: a handler's first act, before any await, is to apply the change or to take what it needs of the state.
//! - R2: many requests may wait at once; work on a long text runs beside the loop, on a snapshot.
//! - R3: one module owns the client ([`client`]); nobody waits for its answers.
//! - R4: a result carries the state it was made from and is dropped when the text has moved on.
//! - R5: logs go to stderr alone; the process leaves when its input closes or the editor's process is gone.

mod analysis;
mod capabilities;
mod client;
mod client_capabilities;
mod convert;
mod diagnostics;
mod disk;
mod documents;
mod kinds;
mod layers;
mod loader;
mod main;
mod notifications;
mod papers_folder;
mod process;
mod requests;
mod rule_pages;
mod state;
mod stdio;
mod to_diagnostics;
mod warm_up;
mod workshops;

pub use analysis::Judge;
pub use main::{serve, serve_listen, serve_on};
pub use state::Options;
