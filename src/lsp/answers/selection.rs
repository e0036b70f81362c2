use super::super::handlers::Server;
use super::super::protocol::{Positions, Range, SelectionRange};
use super::super::ready::Ready;
use crate::ide::selection;
use tower_lsp::jsonrpc::Result;

pub async fn selection(server: &Server, p: Positions) -> Result<Option<Ready>> {
    super::of(server, &p.text_document.uri, |s, to, _| {
        let one = |at| {
            let (line, byte) = to.place(at);
            // From the outside inward, each holding the one outside it.
            let regions = selection::selection(s, line, byte).into_iter().rev();
            let grown = regions.fold(None, |parent: Option<Box<SelectionRange>>, r| {
                let range = Range {
                    start: to.position(r.start.0, r.start.1),
                    end: to.position(r.end.0, r.end.1),
                };
                Some(Box::new(SelectionRange { range, parent }))
            });
            grown.map_or(
                SelectionRange {
                    range: Range { start: at, end: at },
                    parent: None,
                },
                |b| *b,
            )
        };
        Some(p.positions.iter().copied().map(one).collect::<Vec<_>>())
    })
    .await
}
