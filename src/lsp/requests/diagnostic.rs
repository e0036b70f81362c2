use super::super::diagnostics::{client_pulls, with_fresh_diagnostics};
use super::super::documents::Fingerprint;
use super::super::state::Server;
use std::sync::atomic::{AtomicU64, Ordering};
use tower_lsp::gen_lsp_types::{
    DocumentDiagnosticParams, DocumentDiagnosticReport, FullDocumentDiagnosticReport,
    RelatedFullDocumentDiagnosticReport, RelatedUnchangedDocumentDiagnosticReport,
    UnchangedDocumentDiagnosticReport,
};
use tower_lsp::jsonrpc::Result;

/// Numbers of answers to pulls. They are never given twice, so that an answer from before a document was closed is not taken for its newest.
static RESULT_IDS: AtomicU64 = AtomicU64::new(1);

pub async fn pull(
    server: &Server,
    p: DocumentDiagnosticParams,
) -> Result<Option<DocumentDiagnosticReport>> {
    let state = &server.state;
    let uri = p.text_document.uri;
    client_pulls(state);
    state.look_at_disk();
    // A client that cannot be told later waits for the look at the other records.
    if !state.client_capabilities().refresh_diagnostics && state.is_record(&uri) {
        state.look_at_workshops().await;
    }
    let known = p.previous_result_id;
    let report = with_fresh_diagnostics(state, &uri, |open, _, items| {
        let now = Fingerprint::of(&items);
        let number = match open.published.answered {
            Some((number, before)) if before == now => number,
            _ => RESULT_IDS.fetch_add(1, Ordering::Relaxed),
        };
        open.published.answered = Some((number, now));
        let result_id = number.to_string();
        if known.as_ref() == Some(&result_id) {
            unchanged(result_id)
        } else {
            full(result_id, items)
        }
    });
    Ok(report.await)
}

fn unchanged(result_id: String) -> DocumentDiagnosticReport {
    RelatedUnchangedDocumentDiagnosticReport {
        related_documents: None,
        unchanged_document_diagnostic_report: UnchangedDocumentDiagnosticReport { result_id },
    }
    .into()
}

fn full(
    result_id: String,
    items: Vec<tower_lsp::gen_lsp_types::Diagnostic>,
) -> DocumentDiagnosticReport {
    RelatedFullDocumentDiagnosticReport {
        related_documents: None,
        full_document_diagnostic_report: FullDocumentDiagnosticReport {
            result_id: Some(result_id),
            items,
        },
    }
    .into()
}
