use super::super::state::Server;
use super::with_snapshot;
use crate::ide::hints;
use tower_lsp::gen_lsp_types::{InlayHint, InlayHintParams};
use tower_lsp::jsonrpc::Result;

pub async fn inlay_hints(server: &Server, p: InlayHintParams) -> Result<Option<Vec<InlayHint>>> {
    let hints = with_snapshot(server, &p.text_document.uri, |s, to, _| {
        let first = to.to_line_byte(p.range.start).0;
        let last = to.to_line_byte(p.range.end).0;
        let hint = |h: hints::Hint| InlayHint {
            position: to.position(h.line, h.byte),
            label: h.text.into(),
            kind: None,
            text_edits: None,
            tooltip: Some(h.tooltip.into()),
            padding_left: Some(true),
            padding_right: None,
            data: None,
        };
        Some(hints::hints(s, first, last).into_iter().map(hint).collect())
    });
    Ok(hints.await)
}
