use super::super::analysis::AnalyzedDocument;
use super::super::state::Server;
use super::{with_record, with_snapshot};
use crate::ide::Snapshot;
use crate::ide::{hints, record};
use serde_json::{Value, json};
use tower_lsp::gen_lsp_types::{InlayHint, InlayHintParams, Label};
use tower_lsp::jsonrpc::Result;

pub async fn inlay_hints(server: &Server, p: InlayHintParams) -> Result<Option<Vec<InlayHint>>> {
    let uri = &p.text_document.uri;
    let hints = with_snapshot(server, uri, |s, to, document| {
        let first = to.to_line_byte(p.range.start).0;
        let last = to.to_line_byte(p.range.end).0;
        let lazily = server.state.client_capabilities().lazy_tooltips;
        let hint = |h: hints::Hint| InlayHint {
            position: to.position(h.line, h.byte),
            label: h.text.into(),
            kind: None,
            text_edits: None,
            tooltip: (!lazily && !h.tooltip.is_empty()).then(|| h.tooltip.into()),
            padding_left: Some(true),
            padding_right: None,
            // What finds the hint again: the document and the line.
            data: lazily.then(|| json!([uri.0, h.line])),
        };
        let found = found(server, s, document, first, last);
        Some(found.into_iter().map(hint).collect())
    });
    Ok(hints.await)
}

fn found(
    server: &Server,
    s: &Snapshot,
    document: &AnalyzedDocument,
    first: u32,
    last: u32,
) -> Vec<hints::Hint> {
    let of_record = with_record(server, document, |view| {
        record::hints::hints(view, first, last)
    });
    of_record.unwrap_or_else(|| hints::hints(s, first, last))
}

/// The same hint with what is shown when it is pointed at.
pub async fn resolve(server: &Server, mut hint: InlayHint) -> Result<InlayHint> {
    let asked: Option<(String, u32)> = hint
        .data
        .as_ref()
        .and_then(|data: &Value| serde_json::from_value(data.clone()).ok());
    if let Some((uri, line)) = asked {
        let uri = uri.into();
        let tooltip = with_snapshot(server, &uri, |s, _, document| {
            let all = found(server, s, document, line, line);
            // The text may have moved on since the hint was shown.
            all.into_iter()
                .find(|h| hint.label == Label::from(h.text.clone()))
        });
        hint.tooltip = tooltip
            .await
            .map(|h| h.tooltip)
            .filter(|t| !t.is_empty())
            .map(Into::into);
    }
    Ok(hint)
}
