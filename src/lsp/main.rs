//! The server as tower-lsp's service: its methods, and how it begins.

use super::capabilities::server_capabilities;
use super::client::{ClientMessage, ClientSender};
use super::client_capabilities::ClientCapabilities;
use super::layers::Lifecycle;
use super::state::{GlobalState, Options, Server};
use super::{diagnostics, notifications, requests, rule_pages, tasks};
#[cfg(not(target_family = "wasm"))]
use super::{process, warm_up};
use std::sync::Arc;
use tower_lsp::gen_lsp_types::{InitializeParams, InitializeResult, InitializedParams, ServerInfo};
use tower_lsp::jsonrpc::Result;
use tower_lsp::{ClientSocket, LanguageServer, LspService};

/// The service with its methods. In a process it is called inside the runtime.
pub fn service(options: Options, life: Arc<Lifecycle>) -> (LspService<Server>, ClientSocket) {
    LspService::build_with_lifecycle_methods(|client| {
        let state = GlobalState::new(options, life, ClientSender::new(client));
        tasks::spawn(diagnostics::check_loop(state.clone()));
        tasks::spawn(diagnostics::look_loop(state.clone()));
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
    .custom_method("workspace/diagnostic", requests::workspace_diagnostic::pull)
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
    .custom_method("inlayHint/resolve", requests::inlay_hints::resolve)
    .custom_method(
        "textDocument/semanticTokens/full/delta",
        requests::semantic_tokens::delta,
    )
    .custom_method(
        "workspace/willRenameFiles",
        requests::rename_files::will_rename,
    )
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
    .custom_method("textDocument/references", requests::references::references)
    .custom_method("textDocument/prepareRename", requests::rename::prepare)
    .custom_method("textDocument/rename", requests::rename::rename)
    .custom_method(
        "textDocument/linkedEditingRange",
        requests::linked_editing::linked_editing,
    )
    .custom_method(
        "workspace/symbol",
        requests::workspace_symbols::workspace_symbols,
    )
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
    .custom_method("phasewright/bench", requests::bench::bench)
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
        #[cfg(not(target_family = "wasm"))]
        if state.options.own_process {
            if let Some(editor) = agreed.editor {
                process::watch_parent_process(editor);
            }
            tasks::spawn(async { warm_up::judge_a_small_formula() });
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
