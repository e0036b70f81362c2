use super::super::convert::Converter;
use super::super::state::Server;
use super::with_snapshot;
use crate::syntax::{self, Edit};
use tower_lsp::gen_lsp_types::{
    DocumentFormattingParams, DocumentOnTypeFormattingParams, DocumentRangeFormattingParams,
    TextEdit,
};
use tower_lsp::jsonrpc::Result;

pub async fn document(
    server: &Server,
    p: DocumentFormattingParams,
) -> Result<Option<Vec<TextEdit>>> {
    let edits = with_snapshot(server, &p.text_document.uri, |s, to, _| {
        let all = 0..s.tree.lines.len();
        Some(text_edits(syntax::format_edits(&s.tree, all), &to))
    });
    Ok(edits.await)
}

pub async fn range(
    server: &Server,
    p: DocumentRangeFormattingParams,
) -> Result<Option<Vec<TextEdit>>> {
    let edits = with_snapshot(server, &p.text_document.uri, |s, to, _| {
        let first = to.to_line_byte(p.range.start).0;
        let (last, byte) = to.to_line_byte(p.range.end);
        // A selection of whole lines ends at the beginning of the next.
        let end = if byte == 0 && last > first {
            last
        } else {
            last + 1
        };
        let lines = first as usize..end as usize;
        Some(text_edits(syntax::format_edits(&s.tree, lines), &to))
    });
    Ok(edits.await)
}

/// After a line break: the line that was left.
pub async fn on_type(
    server: &Server,
    p: DocumentOnTypeFormattingParams,
) -> Result<Option<Vec<TextEdit>>> {
    let edits = with_snapshot(server, &p.text_document.uri, |s, to, _| {
        let left = to.to_line_byte(p.position).0.checked_sub(1)?;
        Some(text_edits(
            syntax::format_typed(&s.tree, left as usize),
            &to,
        ))
    });
    Ok(edits.await)
}

fn text_edits(edits: Vec<Edit>, to: &Converter) -> Vec<TextEdit> {
    let edit = |e: Edit| TextEdit {
        range: to.byte_range(e.range),
        new_text: e.text,
    };
    edits.into_iter().map(edit).collect()
}
