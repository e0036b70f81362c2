//! The doors are hung here: the command line, and behind its `serve` the language server.

use std::process::ExitCode;

fn main() -> ExitCode {
    #[cfg(feature = "lsp")]
    let server = Some(phasewright::cli::Server {
        stdio: phasewright::lsp::serve,
        listen: phasewright::lsp::serve_listen,
    });
    #[cfg(not(feature = "lsp"))]
    let server = None;
    phasewright::cli::main(server)
}
