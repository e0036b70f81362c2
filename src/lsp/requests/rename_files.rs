use super::super::convert;
use super::super::loader::Loader;
use super::super::state::Server;
use super::super::tasks;
use super::locations::Locations;
use crate::ide::file_rename::{Moved, follow};
use std::collections::BTreeSet;
use std::path::PathBuf;
use tower_lsp::gen_lsp_types::{RenameFilesParams, WorkspaceEdit};
use tower_lsp::jsonrpc::Result;

/// What names a formula goes on naming it once its file is called otherwise.
pub async fn will_rename(server: &Server, p: RenameFilesParams) -> Result<Option<WorkspaceEdit>> {
    let moved = p.files.iter().filter_map(|f| {
        Some(Moved {
            from: convert::path_of(&f.old_uri.0)?,
            to: convert::path_of(&f.new_uri.0)?,
        })
    });
    let moved: Vec<Moved> = moved.collect();
    let mut files: BTreeSet<PathBuf> = BTreeSet::new();
    for m in &moved {
        files.extend(server.state.files_around(&m.from));
    }
    let loader = Loader::new(server.state.clone());
    let search = move || follow(&moved, files, &loader);
    let edits = tasks::spawn_blocking(search).await.unwrap_or_default();
    if edits.is_empty() {
        return Ok(None);
    }
    let edits = edits
        .into_iter()
        .map(|e| (e.path, e.place, e.text))
        .collect();
    Ok(Locations::new(&server.state).edit(edits))
}
