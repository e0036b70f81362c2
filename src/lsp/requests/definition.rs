use super::super::ingredient_pages;
use super::super::state::Server;
use super::locations::Locations;
use super::{with_record, with_snapshot};
use crate::ide::complete;
use crate::ide::definition::{self, Definition};
use crate::ide::record::references;
use tower_lsp::gen_lsp_types::{
    DefinitionParams, DocumentHighlight, DocumentHighlightParams, Location, Range,
};
use tower_lsp::jsonrpc::Result;

/// A bundled ingredient leads to its card, which is written beside the papers.
pub async fn definition(server: &Server, p: DefinitionParams) -> Result<Option<Location>> {
    let at = p.text_document_position_params;
    let uri = &at.text_document.uri;
    let location = with_snapshot(server, uri, |s, to, document| {
        let (line, byte) = to.to_line_byte(at.position);
        let of_code = with_record(server, document, |view| {
            references::definition(view, line, byte)
        });
        if let Some(found) = of_code.flatten() {
            return Locations::new(&server.state).location(&found.path, found.place);
        }
        match definition::definition(s, line, byte)? {
            Definition::Here(place) => Some(Location {
                uri: uri.clone(),
                range: to.range(place),
            }),
            Definition::File(path) => Some(Location {
                uri: server.state.uri_of(&path)?,
                range: Range::default(),
            }),
            Definition::Ingredient(id) => {
                let card = complete::complete_card(s, &id)?;
                let papers = server.state.options.papers.clone();
                Some(Location {
                    uri: ingredient_pages::uri(papers, &id, &card)?,
                    range: Range::default(),
                })
            }
        }
    });
    Ok(location.await)
}

pub async fn highlights(
    server: &Server,
    p: DocumentHighlightParams,
) -> Result<Option<Vec<DocumentHighlight>>> {
    let at = p.text_document_position_params;
    let highlights = with_snapshot(server, &at.text_document.uri, |s, to, document| {
        let (line, byte) = to.to_line_byte(at.position);
        let of_code = with_record(server, document, |view| {
            references::highlights(view, line, byte)
        });
        let places = match of_code.filter(|places| !places.is_empty()) {
            Some(places) => places.into_iter().map(|p| p.place).collect(),
            None => definition::highlights(s, line, byte),
        };
        let places = places.into_iter();
        let highlight = |place| DocumentHighlight {
            range: to.range(place),
            kind: None,
        };
        Some(places.map(highlight).collect())
    });
    Ok(highlights.await)
}
