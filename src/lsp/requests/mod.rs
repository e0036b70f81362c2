//! One file a request: takes what is known of a document, asks `ide`, turns its values into the protocol's.

pub mod bench;
pub mod code_actions;
pub mod code_lens;
pub mod commands;
pub mod completion;
pub mod definition;
pub mod diagnostic;
pub mod document_links;
pub mod document_symbols;
pub mod folding_ranges;
pub mod formatting;
pub mod hover;
pub mod inlay_hints;
pub mod linked_editing;
pub mod locations;
pub mod references;
pub mod rename;
pub mod rename_files;
pub mod selection_ranges;
pub mod semantic_tokens;
pub mod workspace_diagnostic;
pub mod workspace_edit;
pub mod workspace_symbols;

use super::analysis::AnalyzedDocument;
use super::convert::Converter;
use super::loader::Loader;
use super::state::Server;
use crate::ide::Snapshot;
use crate::ide::record::RecordView;
use tower_lsp::gen_lsp_types::Uri;

/// Answers from the newest state of a formula, batch or stock file; none for any other document.
async fn with_snapshot<T>(
    server: &Server,
    uri: &Uri,
    answer: impl FnOnce(&Snapshot, Converter, &AnalyzedDocument) -> Option<T>,
) -> Option<T> {
    let document = server.state.view(uri).await?;
    let snapshot = document.snapshot()?;
    answer(snapshot, converter(server, &document), &document)
}

/// Answers from the workshop of a batch or a stock file; none for any other document.
fn with_record<T>(
    server: &Server,
    document: &AnalyzedDocument,
    answer: impl FnOnce(&RecordView) -> T,
) -> Option<T> {
    let record = document.record.as_ref()?;
    let snapshot = document.snapshot()?;
    let loader = Loader::new(server.state.clone());
    Some(record.workshop.with_shop(|shop| {
        let mut view = RecordView::new(snapshot, shop, &record.facts, &loader);
        view.now = (server.state.options.now)();
        answer(&view)
    }))
}

fn converter<'a>(server: &Server, document: &'a AnalyzedDocument) -> Converter<'a> {
    Converter {
        text: &document.text,
        encoding: server.state.client_capabilities().encoding,
        tree: document.snapshot().map(|s| &s.tree),
    }
}
