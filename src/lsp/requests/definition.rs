use super::super::state::Server;
use super::with_snapshot;
use crate::ide::definition::{self, Definition};
use tower_lsp::gen_lsp_types::{
    DefinitionParams, DocumentHighlight, DocumentHighlightParams, Location, Range,
};
use tower_lsp::jsonrpc::Result;

/// A bundled ingredient has no file to go to: its card is the hover.
pub async fn definition(server: &Server, p: DefinitionParams) -> Result<Option<Location>> {
    let at = p.text_document_position_params;
    let uri = &at.text_document.uri;
    let location = with_snapshot(server, uri, |s, to, _| {
        let (line, byte) = to.to_line_byte(at.position);
        match definition::definition(s, line, byte)? {
            Definition::Here(place) => Some(Location {
                uri: uri.clone(),
                range: to.range(place),
            }),
            Definition::File(path) => Some(Location {
                uri: server.state.uri_of(&path)?,
                range: Range::default(),
            }),
            Definition::Ingredient(_) => None,
        }
    });
    Ok(location.await)
}

pub async fn highlights(
    server: &Server,
    p: DocumentHighlightParams,
) -> Result<Option<Vec<DocumentHighlight>>> {
    let at = p.text_document_position_params;
    let highlights = with_snapshot(server, &at.text_document.uri, |s, to, _| {
        let (line, byte) = to.to_line_byte(at.position);
        let places = definition::highlights(s, line, byte).into_iter();
        let highlight = |place| DocumentHighlight {
            range: to.range(place),
            kind: None,
        };
        Some(places.map(highlight).collect())
    });
    Ok(highlights.await)
}
