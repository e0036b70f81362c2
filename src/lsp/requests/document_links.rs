use super::super::state::Server;
use super::with_snapshot;
use crate::ide::links;
use tower_lsp::gen_lsp_types::{DocumentLink, DocumentLinkParams};
use tower_lsp::jsonrpc::Result;

pub async fn document_links(
    server: &Server,
    p: DocumentLinkParams,
) -> Result<Option<Vec<DocumentLink>>> {
    let links = with_snapshot(server, &p.text_document.uri, |s, to, _| {
        let found = links::links(s).into_iter();
        let link = |l: links::Link| {
            Some(DocumentLink {
                range: to.range(l.place),
                target: Some(server.state.uri_of(&l.path)?),
                tooltip: Some(l.tooltip),
                data: None,
            })
        };
        Some(found.filter_map(link).collect())
    });
    Ok(links.await)
}
