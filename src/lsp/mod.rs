//! The language server. The only folder that names tower-lsp, the protocol and tokio.
//!
//! What keeps it right (each was measured on servers that broke it):
//! - R1: a handler's first act, before any await, is to apply the change or to take what it needs of the state.
//! - R2: many requests may wait at once; work on a long text runs beside the loop, on a snapshot.
//! - R3: one module owns the client ([`client`]); nobody waits for its answers.
//! - R4: a result carries the state it was made from and is dropped when the text has moved on.
//! - R5: logs go to stderr alone; the process leaves when its input closes or the editor's process is gone.

mod answers;
mod client;
mod convert;
mod diagnose;
mod documents;
mod frames;
mod guard;
mod handlers;
mod incoming;
mod kinds;
mod life;
mod loader;
mod outgoing;
mod papers_folder;
mod protocol;
mod ready;
mod rule_pages;
mod session;
mod state;
#[cfg(target_os = "linux")]
mod stdin;
mod transport;
mod workshops;
mod workspace;

pub use life::{serve, serve_listen};
pub use state::{Judge, Options};
pub use transport::serve_on;
