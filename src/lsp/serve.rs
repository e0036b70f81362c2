//! The process of the server: tower-lsp's loop, on a runtime of one thread.

use super::layers::{CatchUnwind, Lifecycle, LifecycleService};
use super::main::service;
use super::process;
use super::state::Options;
use super::stdio::{Input, Output};
use std::io::{self, Read, Write};
use std::net::TcpListener;
use std::sync::Arc;

/// Requests that may wait for their answers at once, so that slow ones do not hold up a cancellation.
const MAX_CONCURRENT: usize = 64;

/// The language server on stdio. Gives the status to exit with.
pub fn serve() -> i32 {
    run(io::stdin(), io::stdout(), own_process())
}

/// The same for one client on a loopback socket, as `127.0.0.1:PORT`. Port 0 takes a free one; which, is said on stderr.
pub fn serve_listen(address: &str) -> io::Result<i32> {
    let listener = TcpListener::bind(address)?;
    let local = listener.local_addr()?;
    if !local.ip().is_loopback() {
        return Err(io::Error::new(
            io::ErrorKind::InvalidInput,
            "only a loopback address is served; use 127.0.0.1:PORT",
        ));
    }
    eprintln!("phasewright: listening on {local}");
    let (stream, _) = listener.accept()?;
    stream.set_nodelay(true)?;
    Ok(run(stream.try_clone()?, stream, own_process()))
}

/// Speaks with one client until it leaves. Gives the exit status: 0 after `shutdown`, else 1.
pub fn serve_on(
    input: impl Read + Send + 'static,
    output: impl Write + Send + 'static,
    options: Options,
) -> i32 {
    run(input, output, options)
}

fn own_process() -> Options {
    Options {
        own_process: true,
        ..Options::default()
    }
}

fn run(
    input: impl Read + Send + 'static,
    output: impl Write + Send + 'static,
    options: Options,
) -> i32 {
    let runtime = match tokio::runtime::Builder::new_current_thread()
        .enable_time()
        .max_blocking_threads(4)
        .build()
    {
        Ok(runtime) => runtime,
        Err(e) => {
            eprintln!("phasewright: the server cannot start: {e}");
            return 2;
        }
    };
    let life = Arc::new(Lifecycle::default());
    if options.own_process {
        process::exit_when_requested(life.clone());
    }
    let (output, writer) = Output::new(output);
    let input = Input::new(input, {
        let (life, output, own_process) = (life.clone(), output.clone(), options.own_process);
        move || {
            life.request_exit();
            if own_process {
                process::exit_when_stuck(&output, &life);
            }
        }
    });
    runtime.block_on(async {
        let (service, socket) = service(options, life.clone());
        tower_lsp::Server::new(input, output.clone(), socket)
            .concurrency_level(MAX_CONCURRENT)
            .serve(LifecycleService::new(
                CatchUnwind::new(service),
                life.clone(),
            ))
            .await;
    });
    life.request_exit();
    output.close();
    // All that was said before the end still goes out.
    if writer.join().is_err() {
        eprintln!("phasewright: the writing thread failed");
    }
    runtime.shutdown_background();
    life.status()
}
