use super::super::state::Server;
use super::locations::Locations;
use super::{with_record, with_snapshot};
use crate::ide::record::references;
use tower_lsp::gen_lsp_types::{Location, ReferenceParams};
use tower_lsp::jsonrpc::Result;

/// Of a code: rows, additions, the ledger; of a lot those of the lots that were made of it too.
pub async fn references(server: &Server, p: ReferenceParams) -> Result<Option<Vec<Location>>> {
    let at = p.text_document_position_params;
    let with_heading = p.context.include_declaration;
    let found = with_snapshot(server, &at.text_document.uri, |_, to, document| {
        let (line, byte) = to.to_line_byte(at.position);
        with_record(server, document, |view| {
            references::references(view, line, byte, with_heading)
        })?
    });
    let Some(places) = found.await else {
        return Ok(None);
    };
    let mut locations = Locations::new(&server.state);
    let all = places.into_iter();
    Ok(Some(
        all.filter_map(|p| locations.location(&p.path, p.place))
            .collect(),
    ))
}
