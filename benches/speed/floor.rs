//! The floor: a server on the same protocol library that answers each change with an empty list and does nothing else.

use tower_lsp::gen_lsp_types::{
    CompletionOptions, CompletionParams, CompletionResponse, DidChangeTextDocumentParams,
    DidOpenTextDocumentParams, InitializeParams, InitializeResult, ServerCapabilities,
    TextDocumentSyncKind,
};
use tower_lsp::jsonrpc::Result;
use tower_lsp::{Client, LanguageServer, LspService};

struct Floor(Client);

impl LanguageServer for Floor {
    async fn initialize(&self, _: InitializeParams) -> Result<InitializeResult> {
        let capabilities = ServerCapabilities {
            text_document_sync: Some(TextDocumentSyncKind::Incremental.into()),
            completion_provider: Some(CompletionOptions::default()),
            ..ServerCapabilities::default()
        };
        Ok(InitializeResult {
            server_info: None,
            capabilities,
        })
    }

    async fn did_open(&self, params: DidOpenTextDocumentParams) {
        let document = params.text_document;
        self.0
            .publish_diagnostics(document.uri, Vec::new(), Some(document.version))
            .await;
    }

    async fn did_change(&self, params: DidChangeTextDocumentParams) {
        let document = params.text_document;
        self.0
            .publish_diagnostics(
                document.text_document_identifier.uri,
                Vec::new(),
                Some(document.version),
            )
            .await;
    }

    async fn completion(&self, _: CompletionParams) -> Result<Option<CompletionResponse>> {
        Ok(None)
    }

    async fn shutdown(&self) -> Result<()> {
        Ok(())
    }
}

pub fn serve() {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build();
    runtime.expect("a runtime").block_on(async {
        let (service, socket) = LspService::new(Floor);
        tower_lsp::Server::new(tokio::io::stdin(), tokio::io::stdout(), socket)
            .serve(service)
            .await;
    });
}
