use super::super::state::Server;
use super::super::tasks;
use super::locations::Locations;
use crate::ide::workspace_symbols::{self, Kind, WorkspaceSymbol as Found};
use tower_lsp::gen_lsp_types::{
    BaseSymbolInformation, SymbolKind, WorkspaceSymbol, WorkspaceSymbolParams,
};
use tower_lsp::jsonrpc::Result;

/// Formulas, the maker's own materials, lots and batches of the folders that are open.
pub async fn workspace_symbols(
    server: &Server,
    p: WorkspaceSymbolParams,
) -> Result<Option<Vec<WorkspaceSymbol>>> {
    let mut found: Vec<Found> = Vec::new();
    for workshop in server.state.open_workshops().await {
        let query = p.query.clone();
        let loader = super::super::loader::Loader::new(server.state.clone());
        let search = move || {
            let formulas = crate::model::shop::folder::formulas(&workshop.root);
            let kb = &workshop.project.kb;
            workshop
                .with_shop(|shop| workspace_symbols::search(shop, kb, &formulas, &loader, &query))
        };
        if let Some(some) = tasks::spawn_blocking(search).await {
            found.extend(some);
        }
    }
    found.sort_by(|a, b| a.name.cmp(&b.name).then_with(|| a.path.cmp(&b.path)));
    found.dedup();
    found.truncate(workspace_symbols::MOST);
    let mut locations = Locations::new(&server.state);
    let symbol = |one: Found| {
        Some(WorkspaceSymbol {
            location: locations.location(&one.path, one.place)?.into(),
            data: None,
            base_symbol_information: BaseSymbolInformation {
                name: one.name,
                kind: kind(one.kind),
                tags: None,
                container_name: Some(one.detail).filter(|d| !d.is_empty()),
            },
        })
    };
    Ok(Some(found.into_iter().filter_map(symbol).collect()))
}

/// The nearest of the protocol's kinds, for its icon.
fn kind(kind: Kind) -> SymbolKind {
    match kind {
        Kind::Formula | Kind::Batch | Kind::Lot => SymbolKind::Class,
        Kind::Material => SymbolKind::Constant,
    }
}
