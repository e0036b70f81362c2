use super::super::convert::Converter;
use super::super::handlers::Server;
use super::super::protocol::{
    About, DocumentSymbol, FlatSymbol, Location, Position, Range, Symbols,
};
use super::super::ready::Ready;
use crate::ide::symbols::{self, Symbol, SymbolKind};
use tower_lsp::jsonrpc::Result;

pub async fn symbols(server: &Server, p: About) -> Result<Option<Ready>> {
    let uri = &p.text_document.uri;
    super::of(server, uri, |s, to, _| {
        let found: Vec<DocumentSymbol> = symbols::symbols(s)
            .into_iter()
            .map(|one| nested(one, &to))
            .collect();
        if server.shared.session().nested_symbols {
            return Some(Symbols::Nested(found));
        }
        let mut flat = Vec::new();
        flatten(found, uri, None, &mut flat);
        Some(Symbols::Flat(flat))
    })
    .await
}

fn nested(one: Symbol, to: &Converter) -> DocumentSymbol {
    let range = to.lines(one.first_line, one.end_line);
    let selected = to.range(one.select);
    DocumentSymbol {
        // Some clients refuse an empty name.
        name: if one.name.trim().is_empty() {
            "(no name)".to_owned()
        } else {
            one.name
        },
        detail: one.detail,
        kind: kind(one.kind),
        range,
        selection_range: Range {
            start: clamp(selected.start, range),
            end: clamp(selected.end, range),
        },
        children: one.children.into_iter().map(|c| nested(c, to)).collect(),
    }
}

/// The selection has to lie inside the whole.
fn clamp(at: Position, range: Range) -> Position {
    at.clamp(range.start, range.end)
}

fn flatten(
    symbols: Vec<DocumentSymbol>,
    uri: &str,
    container: Option<&str>,
    out: &mut Vec<FlatSymbol>,
) {
    for s in symbols {
        out.push(FlatSymbol {
            name: s.name.clone(),
            kind: s.kind,
            location: Location {
                uri: uri.to_owned(),
                range: s.range,
            },
            container_name: container.map(str::to_owned),
        });
        flatten(s.children, uri, Some(&s.name), out);
    }
}

/// The nearest of the protocol's kinds, for its icon.
fn kind(kind: SymbolKind) -> u8 {
    match kind {
        SymbolKind::Formula | SymbolKind::Batch | SymbolKind::Lot => 5,
        SymbolKind::Phase | SymbolKind::Premix => 3,
        SymbolKind::Row => 8,
        SymbolKind::Method => 6,
        SymbolKind::Step => 24,
        SymbolKind::Weighed | SymbolKind::Log | SymbolKind::Observations => 18,
        SymbolKind::Notes | SymbolKind::Unknown => 15,
    }
}
