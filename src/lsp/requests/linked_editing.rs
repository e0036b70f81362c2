use super::super::state::Server;
use super::with_snapshot;
use crate::ide::definition;
use tower_lsp::gen_lsp_types::{LinkedEditingRangeParams, LinkedEditingRanges};
use tower_lsp::jsonrpc::Result;

/// The places of a phase's label, which are written in step.
pub async fn linked_editing(
    server: &Server,
    p: LinkedEditingRangeParams,
) -> Result<Option<LinkedEditingRanges>> {
    let at = p.text_document_position_params;
    let ranges = with_snapshot(server, &at.text_document.uri, |s, to, _| {
        let (line, byte) = to.to_line_byte(at.position);
        let places = definition::linked_labels(s, line, byte);
        (places.len() > 1).then(|| LinkedEditingRanges {
            ranges: places.into_iter().map(|p| to.range(p)).collect(),
            word_pattern: Some("[A-Za-z0-9]+".to_owned()),
        })
    });
    Ok(ranges.await)
}
