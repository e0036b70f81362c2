//! The program: the command line, behind its `serve` the language server, behind its `open` the page.

use std::process::ExitCode;

fn main() -> ExitCode {
    #[cfg(feature = "lsp")]
    let server = Some(phasewright::cli::Server {
        stdio: phasewright::lsp::serve,
        listen: phasewright::lsp::serve_listen,
    });
    #[cfg(not(feature = "lsp"))]
    let server = None;
    #[cfg(feature = "open")]
    let page: Option<phasewright::cli::PageServer> = Some(|folder, page, port, ready| {
        let options = phasewright::page::Options { folder, page, port };
        phasewright::page::serve(&options, ready)
    });
    #[cfg(not(feature = "open"))]
    let page = None;
    phasewright::cli::main(server, page)
}
