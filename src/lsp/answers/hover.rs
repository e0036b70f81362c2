use super::super::handlers::Server;
use super::super::protocol::{At, Hover};
use super::super::ready::Ready;
use super::markup;
use crate::ide::hover;
use tower_lsp::jsonrpc::Result;

pub async fn hover(server: &Server, p: At) -> Result<Option<Ready>> {
    super::of(server, &p.text_document.uri, |s, to, _| {
        let (line, byte) = to.place(p.position);
        let found = hover::hover(s, line, byte)?;
        Some(Hover {
            contents: markup(found.markdown, server.shared.session().hover_markdown),
            range: to.range(found.place),
        })
    })
    .await
}
