//! `serve`: hands over to the language server, which `main` brings along: the two front ends do not import each other.

use super::out::CliError;
use std::io;

/// Run the language server for an editor, on stdin and stdout
#[derive(clap::Args)]
pub struct Args {
    /// Serve one editor on this loopback address instead, such as 127.0.0.1:9257; port 0 takes a free one
    #[arg(long, value_name = "ADDRESS")]
    listen: Option<String>,
    /// Said by some editors; stdin and stdout are used anyway
    #[arg(long, hide = true)]
    stdio: bool,
}

/// The ways to start the server. Each gives the status to exit with.
#[derive(Clone, Copy)]
pub struct Server {
    pub stdio: fn() -> i32,
    pub listen: fn(&str) -> io::Result<i32>,
}

/// Whether `serve` is all that was said, as an editor says it. Then the many options of the other commands need not be made ready, which
/// spares the server time and memory.
pub fn is_asked_alone() -> bool {
    let mut said = std::env::args_os().skip(1);
    said.next().is_some_and(|word| word == "serve") && said.all(|word| word == "--stdio")
}

pub fn on_stdio(server: Server) -> u8 {
    (server.stdio)().clamp(0, 255) as u8
}

pub fn run(args: &Args, server: Option<Server>) -> Result<u8, CliError> {
    let server = server.ok_or_else(|| {
        CliError::said("this build has no language server; build it with the feature \"lsp\"")
    })?;
    let Some(address) = &args.listen else {
        return Ok(on_stdio(server));
    };
    let status = (server.listen)(address).map_err(|e| {
        CliError::said(format!(
            "{address} cannot be served: {e}; choose another, such as 127.0.0.1:0"
        ))
    })?;
    Ok(status.clamp(0, 255) as u8)
}
