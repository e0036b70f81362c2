use super::super::convert::markup;
use super::super::state::Server;
use super::{with_record, with_snapshot};
use crate::ide::{hover, record};
use tower_lsp::gen_lsp_types::{Hover, HoverParams};
use tower_lsp::jsonrpc::Result;

pub async fn hover(server: &Server, p: HoverParams) -> Result<Option<Hover>> {
    let at = p.text_document_position_params;
    let hover = with_snapshot(server, &at.text_document.uri, |s, to, document| {
        let (line, byte) = to.to_line_byte(at.position);
        let of_record = with_record(server, document, |view| record::hover(view, line, byte));
        let found = of_record.unwrap_or_else(|| hover::hover(s, line, byte))?;
        let markdown = server.state.client_capabilities().hover_markdown;
        Some(Hover {
            contents: markup(found.markdown, markdown).into(),
            range: Some(to.range(found.place)),
        })
    });
    Ok(hover.await)
}
