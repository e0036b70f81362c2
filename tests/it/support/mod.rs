//! What several tests need: the real binary, a language client, a printer, JSON schemas.

pub mod cli;
pub mod edits;
pub mod formulas;
pub mod imports;
pub mod lsp_client;
pub mod page_server;
pub mod printer;
pub mod schema;
pub mod typist;
pub mod workshop;
