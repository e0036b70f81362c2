use super::super::handlers::Server;
use super::super::protocol::{InlayHint, Within};
use super::super::ready::Ready;
use crate::ide::hints;
use tower_lsp::jsonrpc::Result;

pub async fn hints(server: &Server, p: Within) -> Result<Option<Ready>> {
    super::of(server, &p.text_document.uri, |s, to, _| {
        let (first, last) = (to.place(p.range.start).0, to.place(p.range.end).0);
        let found = hints::hints(s, first, last).into_iter();
        Some(
            found
                .map(|h| InlayHint {
                    position: to.position(h.line, h.byte),
                    label: h.text,
                    tooltip: h.tooltip,
                    padding_left: true,
                })
                .collect::<Vec<_>>(),
        )
    })
    .await
}
