//! The messages that are answered, and those that keep the documents in step.

use super::answers;
use super::client::{ClientMessage, ClientSender};
use super::guard::Lifecycle;
use super::life;
use super::outgoing::Outgoing;
use super::protocol::*;
use super::ready::Ready;
use super::rule_pages;
use super::session::ClientCapabilities;
use super::state::{GlobalState, Options, key};
use serde_json::{Value, json};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use tower_lsp::gen_lsp_types::{InitializeParams, InitializeResult, InitializedParams};
use tower_lsp::jsonrpc::Result;
use tower_lsp::{ClientSocket, LanguageServer, LspService};

/// A client that is held for one that pulls, and has not asked by this many changes, is pushed to.
const UNASKED_CHANGES: u32 = 3;

/// Numbers of answers to pulls. They are never given twice, so that an answer from before a document was closed is not taken for its newest.
static RESULT_IDS: AtomicU64 = AtomicU64::new(1);

pub struct Server {
    pub shared: Arc<GlobalState>,
}

/// The service with its methods; call it inside the runtime.
pub(super) fn service(
    options: Options,
    life: Arc<Lifecycle>,
    outgoing: Outgoing,
) -> (LspService<Server>, ClientSocket) {
    LspService::build_with_lifecycle_methods(|client| Server {
        shared: GlobalState::new(options, life, ClientSender::new(client, outgoing)),
    })
    .custom_method("textDocument/didOpen", Server::did_open)
    .custom_method("textDocument/didChange", Server::did_change)
    .custom_method("textDocument/didSave", Server::did_save)
    .custom_method("textDocument/didClose", Server::did_close)
    .custom_method("workspace/didChangeWatchedFiles", Server::files_changed)
    .custom_method(
        "workspace/didChangeWorkspaceFolders",
        Server::folders_changed,
    )
    .custom_method("textDocument/diagnostic", Server::diagnostic)
    .custom_method("textDocument/hover", answers::hover::hover)
    .custom_method("textDocument/completion", answers::completion::completion)
    .custom_method("completionItem/resolve", answers::completion::resolve)
    .custom_method("textDocument/codeAction", answers::actions::actions)
    .custom_method("textDocument/documentSymbol", answers::symbols::symbols)
    .custom_method("textDocument/inlayHint", answers::hints::hints)
    .custom_method("textDocument/foldingRange", answers::folding::folds)
    .custom_method("textDocument/selectionRange", answers::selection::selection)
    .custom_method("textDocument/documentLink", answers::links::links)
    .custom_method("textDocument/codeLens", answers::lens::lenses)
    .custom_method("textDocument/definition", answers::definition::definition)
    .custom_method(
        "textDocument/documentHighlight",
        answers::definition::highlights,
    )
    .custom_method("textDocument/semanticTokens/full", answers::tokens::full)
    .custom_method("textDocument/semanticTokens/range", answers::tokens::range)
    .custom_method("workspace/executeCommand", answers::commands::execute)
    .custom_method("textDocument/formatting", answers::format::document)
    .custom_method("textDocument/rangeFormatting", answers::format::range)
    .custom_method("textDocument/onTypeFormatting", answers::format::on_type)
    .finish()
}

impl LanguageServer for Server {
    async fn initialize(&self, _: InitializeParams) -> Result<InitializeResult> {
        let mut caps = ClientCapabilities::of(&self.shared.life.take_initialize_params());
        if caps.code_descriptions {
            caps.rule_pages = Some(rule_pages::folder(self.shared.options.papers.clone()));
        }
        let session = self.shared.begin(caps);
        if let Some(editor) = session.editor.filter(|_| self.shared.options.own_process) {
            life::watch_parent_process(editor);
        }
        let answer = json!({ "capabilities": capabilities(session), "serverInfo": { "name": "phasewright", "version": env!("CARGO_PKG_VERSION") } });
        self.shared.life.set_initialize_result(answer);
        if self.shared.options.own_process {
            tokio::spawn(async { life::warm() });
        }
        Ok(InitializeResult::default())
    }

    async fn initialized(&self, _: InitializedParams) {
        if self.shared.session().watch {
            self.shared.client.send(ClientMessage::Watch);
        }
    }

    async fn shutdown(&self) -> Result<()> {
        Ok(())
    }
}

/// All that the server offers.
fn capabilities(session: &ClientCapabilities) -> Value {
    json!({
        "positionEncoding": session.encoding_name(),
        "textDocumentSync": { "openClose": true, "change": 2, "save": { "includeText": false } },
        "diagnosticProvider": { "identifier": "phasewright", "interFileDependencies": true, "workspaceDiagnostics": false },
        "hoverProvider": true,
        "completionProvider": { "triggerCharacters": ["\"", " "], "resolveProvider": true },
        "codeActionProvider": { "codeActionKinds": answers::actions::KINDS },
        "documentSymbolProvider": true,
        "inlayHintProvider": true,
        "foldingRangeProvider": true,
        "selectionRangeProvider": true,
        "documentLinkProvider": {},
        "codeLensProvider": {},
        "executeCommandProvider": { "commands": answers::commands::names() },
        "definitionProvider": true,
        "documentHighlightProvider": true,
        "semanticTokensProvider": { "legend": answers::tokens::legend(), "full": true, "range": true },
        "documentFormattingProvider": true,
        "documentRangeFormattingProvider": true,
        "documentOnTypeFormattingProvider": { "firstTriggerCharacter": "\n" },
        "workspace": { "workspaceFolders": { "supported": true, "changeNotifications": true } },
    })
}

impl Server {
    async fn did_open(&self, p: Opened) {
        let d = p.text_document;
        let uri = d.uri.clone();
        self.shared.open(d.uri, &d.language_id, d.version, &d.text);
        self.shared.file_changed(&uri);
        self.shared.dirty(&uri);
    }

    async fn did_change(&self, p: Changed) {
        let uri = p.text_document.uri;
        {
            let mut state = self.shared.lock();
            let Some(open) = state.documents.get_mut(&key(&uri)) else {
                return;
            };
            let before = open.change(
                p.text_document.version,
                &p.content_changes,
                self.shared.session().encoding,
            );
            open.told.changes += 1;
            let asks_for_nothing = open.told.changes >= UNASKED_CHANGES;
            state.outdated.push(before);
            if asks_for_nothing && state.pulls && !state.has_pulled {
                state.push_from_now_on();
            }
        }
        self.shared.file_changed(&uri);
        self.shared.dirty(&uri);
    }

    async fn did_save(&self, p: About) {
        self.shared.look_at_disk();
        self.shared.file_changed(&p.text_document.uri);
    }

    async fn did_close(&self, p: About) {
        let closed = self
            .shared
            .lock()
            .documents
            .remove(&key(&p.text_document.uri));
        let Some(open) = closed else { return };
        if open
            .told
            .pushed
            .as_ref()
            .is_some_and(|(_, d)| !d.is_empty())
        {
            self.shared.client.send(ClientMessage::Publish(Publish {
                uri: open.uri.clone(),
                version: None,
                diagnostics: Vec::new(),
            }));
        }
        self.shared.lock().close_workshops();
        self.shared.file_changed(&p.text_document.uri);
    }

    async fn files_changed(&self, p: FilesChanged) {
        self.shared.look_at_disk();
        // A file may be written twice within what its date can tell apart.
        for change in &p.changes {
            self.shared.file_changed(&change.uri);
        }
    }

    async fn folders_changed(&self, p: FoldersChanged) {
        {
            let mut state = self.shared.lock();
            let gone: Vec<_> = p.event.removed.iter().map(|f| key(&f.uri)).collect();
            state
                .projects
                .tops
                .retain(|t| !gone.iter().any(|g| **g == *t.to_string_lossy()));
            state.projects.tops.extend(
                p.event
                    .added
                    .iter()
                    .filter_map(|f| super::convert::path_of(&f.uri)),
            );
        }
        self.shared.look_at_disk();
    }

    async fn diagnostic(&self, p: About) -> Result<Option<Ready>> {
        let uri = p.text_document.uri;
        self.shared.pulled();
        self.shared.look_at_disk();
        // A client that cannot be told later waits for the look at the other records.
        if !self.shared.session().refresh_diagnostics && self.shared.is_record(&uri) {
            self.shared.look_at_workshops().await;
        }
        let known = p.previous_result_id;
        let report = self.shared.with_fresh_diagnostics(&uri, |open, _, items| {
            let (number, items) = match &open.told.answered {
                Some((number, before)) if **before == items => (*number, before.clone()),
                _ => (RESULT_IDS.fetch_add(1, Ordering::Relaxed), Arc::new(items)),
            };
            open.told.answered = Some((number, items.clone()));
            let result_id = number.to_string();
            if known.as_ref() == Some(&result_id) {
                Report::Unchanged { result_id }
            } else {
                Report::Full { result_id, items }
            }
        });
        report
            .await
            .map(|report| self.shared.life.answers.write(&report))
            .transpose()
    }
}
