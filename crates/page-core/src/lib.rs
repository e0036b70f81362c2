//! Phasewright for the worker of a page, as a WASI reactor. The page is the system: it hands in files, clock, arguments and input.
#![cfg(target_family = "wasm")]

use phasewright::lsp::PageServer;
use std::cell::RefCell;
use std::io::{BufRead, Write, stdin, stdout};

thread_local! {
    static SERVER: RefCell<PageServer> = RefCell::new(PageServer::default());
}

/// Hands the messages on stdin to the language server, a line of JSON each, and writes on stdout what it says to them, in the same way.
#[allow(unsafe_code)]
#[unsafe(no_mangle)]
pub extern "C" fn receive() {
    let mut out = stdout().lock();
    for message in stdin().lock().lines().map_while(Result::ok) {
        let said = SERVER.with_borrow(|server| server.receive(&message));
        for line in said {
            // The page takes all that is written.
            let _ = writeln!(out, "{line}");
        }
    }
    let _ = out.flush();
}

/// Runs the command that the arguments name, as the program does. Gives its exit status.
#[allow(unsafe_code)]
#[unsafe(no_mangle)]
pub extern "C" fn answer() -> i32 {
    i32::from(phasewright::cli::answer(std::env::args_os()))
}
