//! The process of the server: tower-lsp's service and its loop, on a runtime of one thread.

use super::capabilities::server_capabilities;
use super::client::{ClientMessage, ClientSender};
use super::client_capabilities::ClientCapabilities;
use super::layers::{CatchUnwind, Lifecycle, LifecycleService};
use super::state::{GlobalState, Options, Server};
use super::stdio::{Input, Output};
use super::{diagnostics, notifications, process, requests, rule_pages, warm_up};
use std::io::{self, Read, Write};
use std::net::TcpListener;
use std::sync::Arc;
use tower_lsp::gen_lsp_types::{InitializeParams, InitializeResult, InitializedParams, ServerInfo};
use tower_lsp::jsonrpc::Result;
use tower_lsp::{ClientSocket, LanguageServer, LspService};

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

/// The service with its methods. Call it inside the runtime.
fn service(options: Options, life: Arc<Lifecycle>) -> (LspService<Server>, ClientSocket) {
    LspService::build_with_lifecycle_methods(|client| {
        let state = GlobalState::new(options, life, ClientSender::new(client));
        tokio::spawn(diagnostics::check_loop(state.clone()));
        tokio::spawn(diagnostics::look_loop(state.clone()));
        Server { state }
    })
    .custom_method("textDocument/didOpen", notifications::did_open)
    .custom_method("textDocument/didChange", notifications::did_change)
    .custom_method("textDocument/didSave", notifications::did_save)
    .custom_method("textDocument/didClose", notifications::did_close)
    .custom_method(
        "workspace/didChangeWatchedFiles",
        notifications::did_change_watched_files,
    )
    .custom_method(
        "workspace/didChangeWorkspaceFolders",
        notifications::did_change_workspace_folders,
    )
    .custom_method("textDocument/diagnostic", requests::diagnostic::pull)
    .custom_method("textDocument/hover", requests::hover::hover)
    .custom_method("textDocument/completion", requests::completion::completion)
    .custom_method("completionItem/resolve", requests::completion::resolve)
    .custom_method(
        "textDocument/codeAction",
        requests::code_actions::code_actions,
    )
    .custom_method(
        "textDocument/documentSymbol",
        requests::document_symbols::document_symbols,
    )
    .custom_method("textDocument/inlayHint", requests::inlay_hints::inlay_hints)
    .custom_method(
        "textDocument/foldingRange",
        requests::folding_ranges::folding_ranges,
    )
    .custom_method(
        "textDocument/selectionRange",
        requests::selection_ranges::selection_ranges,
    )
    .custom_method(
        "textDocument/documentLink",
        requests::document_links::document_links,
    )
    .custom_method("textDocument/codeLens", requests::code_lens::code_lens)
    .custom_method("textDocument/definition", requests::definition::definition)
    .custom_method(
        "textDocument/documentHighlight",
        requests::definition::highlights,
    )
    .custom_method(
        "textDocument/semanticTokens/full",
        requests::semantic_tokens::full,
    )
    .custom_method(
        "textDocument/semanticTokens/range",
        requests::semantic_tokens::range,
    )
    .custom_method("workspace/executeCommand", requests::commands::execute)
    .custom_method("textDocument/formatting", requests::formatting::document)
    .custom_method("textDocument/rangeFormatting", requests::formatting::range)
    .custom_method(
        "textDocument/onTypeFormatting",
        requests::formatting::on_type,
    )
    .finish()
}

impl LanguageServer for Server {
    async fn initialize(&self, _: InitializeParams) -> Result<InitializeResult> {
        let state = &self.state;
        let mut client = ClientCapabilities::of(&state.life.take_initialize_params());
        if client.code_descriptions {
            client.rule_pages = Some(rule_pages::folder(state.options.papers.clone()));
        }
        let agreed = state.begin(client);
        if state.options.own_process {
            if let Some(editor) = agreed.editor {
                process::watch_parent_process(editor);
            }
            tokio::spawn(async { warm_up::judge_a_small_formula() });
        }
        Ok(InitializeResult {
            capabilities: server_capabilities(agreed),
            server_info: Some(ServerInfo {
                name: "phasewright".to_owned(),
                version: Some(env!("CARGO_PKG_VERSION").to_owned()),
            }),
        })
    }

    async fn initialized(&self, _: InitializedParams) {
        if self.state.client_capabilities().watch {
            self.state.client.send(ClientMessage::Watch);
        }
    }

    async fn shutdown(&self) -> Result<()> {
        Ok(())
    }
}
