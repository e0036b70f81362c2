use super::super::handlers::Server;
use super::super::protocol::{At, Highlight, Location, Range};
use super::super::ready::Ready;
use crate::ide::definition::{self, Definition};
use tower_lsp::jsonrpc::Result;

/// A bundled ingredient has no file to go to: its card is the hover.
pub async fn definition(server: &Server, p: At) -> Result<Option<Ready>> {
    let uri = &p.text_document.uri;
    super::of(server, uri, |s, to, _| {
        let (line, byte) = to.place(p.position);
        match definition::definition(s, line, byte)? {
            Definition::Here(place) => Some(Location {
                uri: uri.clone(),
                range: to.range(place),
            }),
            Definition::File(path) => Some(Location {
                uri: server.shared.uri_of(&path)?,
                range: Range::default(),
            }),
            Definition::Ingredient(_) => None,
        }
    })
    .await
}

pub async fn highlights(server: &Server, p: At) -> Result<Option<Ready>> {
    super::of(server, &p.text_document.uri, |s, to, _| {
        let (line, byte) = to.place(p.position);
        Some(
            definition::highlights(s, line, byte)
                .into_iter()
                .map(|place| Highlight {
                    range: to.range(place),
                })
                .collect::<Vec<_>>(),
        )
    })
    .await
}
