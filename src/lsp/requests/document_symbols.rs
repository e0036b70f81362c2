use super::super::convert::Converter;
use super::super::state::Server;
use super::with_snapshot;
use crate::ide::symbols::{self, Symbol, SymbolKind as Kind};
use tower_lsp::gen_lsp_types::{
    BaseSymbolInformation, DocumentSymbol, DocumentSymbolParams, DocumentSymbolResponse, Location,
    Position, Range, SymbolInformation, SymbolKind, Uri,
};
use tower_lsp::jsonrpc::Result;

pub async fn document_symbols(
    server: &Server,
    p: DocumentSymbolParams,
) -> Result<Option<DocumentSymbolResponse>> {
    let uri = &p.text_document.uri;
    let symbols = with_snapshot(server, uri, |s, to, _| {
        let found: Vec<DocumentSymbol> = symbols::symbols(s)
            .into_iter()
            .map(|one| nested(one, &to))
            .collect();
        if server.state.client_capabilities().nested_symbols {
            return Some(found.into());
        }
        let mut flat = Vec::new();
        flatten(found, uri, None, &mut flat);
        Some(flat.into())
    });
    Ok(symbols.await)
}

#[expect(deprecated, reason = "the protocol's struct has such a field")]
fn nested(one: Symbol, to: &Converter) -> DocumentSymbol {
    let range = to.line_range(one.first_line, one.end_line);
    let selected = to.range(one.select);
    let children: Vec<DocumentSymbol> = one.children.into_iter().map(|c| nested(c, to)).collect();
    DocumentSymbol {
        // Some clients refuse an empty name.
        name: if one.name.trim().is_empty() {
            "(no name)".to_owned()
        } else {
            one.name
        },
        detail: Some(one.detail).filter(|d| !d.is_empty()),
        kind: kind(one.kind),
        tags: None,
        deprecated: None,
        range,
        selection_range: Range {
            start: clamp(selected.start, range),
            end: clamp(selected.end, range),
        },
        children: Some(children).filter(|c| !c.is_empty()),
    }
}

/// The selection has to lie inside the whole.
fn clamp(at: Position, range: Range) -> Position {
    at.clamp(range.start, range.end)
}

/// For clients that take no nested ones.
#[expect(deprecated, reason = "the protocol's struct has such a field")]
fn flatten(
    symbols: Vec<DocumentSymbol>,
    uri: &Uri,
    container: Option<&str>,
    out: &mut Vec<SymbolInformation>,
) {
    for s in symbols {
        out.push(SymbolInformation {
            deprecated: None,
            location: Location {
                uri: uri.clone(),
                range: s.range,
            },
            base_symbol_information: BaseSymbolInformation {
                name: s.name.clone(),
                kind: s.kind,
                tags: None,
                container_name: container.map(str::to_owned),
            },
        });
        flatten(s.children.unwrap_or_default(), uri, Some(&s.name), out);
    }
}

/// The nearest of the protocol's kinds, for its icon.
fn kind(kind: Kind) -> SymbolKind {
    match kind {
        Kind::Formula | Kind::Batch | Kind::Lot => SymbolKind::Class,
        Kind::Phase | Kind::Premix => SymbolKind::Namespace,
        Kind::Row => SymbolKind::Field,
        Kind::Method => SymbolKind::Method,
        Kind::Step => SymbolKind::Event,
        Kind::Weighed | Kind::Log | Kind::Observations => SymbolKind::Array,
        Kind::Notes | Kind::Unknown => SymbolKind::String,
    }
}
