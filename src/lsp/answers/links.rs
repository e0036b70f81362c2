use super::super::handlers::Server;
use super::super::protocol::{About, DocumentLink};
use super::super::ready::Ready;
use crate::ide::links;
use tower_lsp::jsonrpc::Result;

pub async fn links(server: &Server, p: About) -> Result<Option<Ready>> {
    super::of(server, &p.text_document.uri, |s, to, _| {
        let found = links::links(s).into_iter();
        Some(
            found
                .filter_map(|l| {
                    Some(DocumentLink {
                        range: to.range(l.place),
                        target: server.shared.uri_of(&l.path)?,
                        tooltip: l.tooltip,
                    })
                })
                .collect::<Vec<_>>(),
        )
    })
    .await
}
