use super::super::convert::Converter;
use super::super::handlers::Server;
use super::super::protocol::{About, At, TextEdit, Within};
use super::super::ready::Ready;
use crate::syntax::{self, Edit};
use tower_lsp::jsonrpc::Result;

pub async fn document(server: &Server, p: About) -> Result<Option<Ready>> {
    super::of(server, &p.text_document.uri, |s, to, _| {
        Some(edits(
            syntax::format_edits(&s.tree, 0..s.tree.lines.len()),
            &to,
        ))
    })
    .await
}

pub async fn range(server: &Server, p: Within) -> Result<Option<Ready>> {
    super::of(server, &p.text_document.uri, |s, to, _| {
        let (first, (last, byte)) = (to.place(p.range.start).0, to.place(p.range.end));
        // A selection of whole lines ends at the beginning of the next.
        let end = if byte == 0 && last > first {
            last
        } else {
            last + 1
        };
        Some(edits(
            syntax::format_edits(&s.tree, first as usize..end as usize),
            &to,
        ))
    })
    .await
}

/// After a line break: the line that was left.
pub async fn on_type(server: &Server, p: At) -> Result<Option<Ready>> {
    super::of(server, &p.text_document.uri, |s, to, _| {
        let left = to.place(p.position).0.checked_sub(1)?;
        Some(edits(syntax::format_typed(&s.tree, left as usize), &to))
    })
    .await
}

fn edits(edits: Vec<Edit>, to: &Converter) -> Vec<TextEdit> {
    edits
        .into_iter()
        .map(|e| TextEdit {
            range: to.bytes(e.range),
            new_text: e.text,
        })
        .collect()
}
