use super::super::state::Server;
use super::commands::request_failed;
use super::locations::Locations;
use super::{with_record, with_snapshot};
use crate::ide::record::rename as codes;
use crate::ide::rename::{self, Renamed};
use crate::text::Place;
use std::path::PathBuf;
use tower_lsp::gen_lsp_types::{
    PrepareRenameParams, PrepareRenamePlaceholder, RenameParams, WorkspaceEdit,
};
use tower_lsp::jsonrpc::Result;

/// What can be renamed at the cursor: the code of a lot or a batch, the label of a phase, an ingredient of the maker's own.
pub async fn prepare(
    server: &Server,
    p: PrepareRenameParams,
) -> Result<Option<PrepareRenamePlaceholder>> {
    let at = p.text_document_position_params;
    let found = with_snapshot(server, &at.text_document.uri, |s, to, document| {
        let (line, byte) = to.to_line_byte(at.position);
        let of_record = with_record(server, document, |view| codes::prepare(view, line, byte));
        let span = match of_record {
            Some(found) => found?,
            None => Ok(rename::prepare(s, line, byte)?),
        };
        let placeholder = |span: crate::text::Span| PrepareRenamePlaceholder {
            range: to.range(Place { line, span }),
            placeholder: s
                .text(line)
                .get(span.range())
                .unwrap_or_default()
                .to_owned(),
        };
        Some(span.map(placeholder))
    });
    match found.await {
        Some(Err(why)) => Err(request_failed(why)),
        Some(Ok(found)) => Ok(Some(found)),
        None => Ok(None),
    }
}

pub async fn rename(server: &Server, p: RenameParams) -> Result<Option<WorkspaceEdit>> {
    let at = p.text_document_position_params;
    let new = p.new_name.trim();
    type Edits = Vec<(PathBuf, Place, String)>;
    let found = with_snapshot(server, &at.text_document.uri, |s, to, document| {
        let (line, byte) = to.to_line_byte(at.position);
        let of_record = with_record(server, document, |view| {
            codes::rename(view, line, byte, new)
        });
        if let Some(found) = of_record {
            let edits = |places: Vec<codes::CodePlace>| -> Edits {
                let edit = |p: codes::CodePlace| (p.path, p.place, new.to_owned());
                places.into_iter().map(edit).collect()
            };
            return Some(found?.map(edits));
        }
        let loader = super::super::loader::Loader::new(server.state.clone());
        let formulas = server.state.formulas_around(&s.path);
        let found = rename::rename(s, &loader, &formulas, line, byte, new)?;
        let edits = |all: Vec<Renamed>| -> Edits {
            all.into_iter().map(|r| (r.path, r.place, r.text)).collect()
        };
        Some(found.map(edits))
    });
    match found.await {
        Some(Err(why)) => Err(request_failed(why)),
        Some(Ok(edits)) => Ok(Locations::new(&server.state).edit(edits)),
        None => Ok(None),
    }
}
