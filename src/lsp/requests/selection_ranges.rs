use super::super::state::Server;
use super::with_snapshot;
use crate::ide::selection;
use tower_lsp::gen_lsp_types::{Range, SelectionRange, SelectionRangeParams};
use tower_lsp::jsonrpc::Result;

pub async fn selection_ranges(
    server: &Server,
    p: SelectionRangeParams,
) -> Result<Option<Vec<SelectionRange>>> {
    let ranges = with_snapshot(server, &p.text_document.uri, |s, to, _| {
        let one = |at| {
            let (line, byte) = to.to_line_byte(at);
            // From the outside inward, each holding the one outside it.
            let regions = selection::selection(s, line, byte).into_iter().rev();
            let grown = regions.fold(None, |parent: Option<Box<SelectionRange>>, r| {
                let range = Range {
                    start: to.position(r.start.0, r.start.1),
                    end: to.position(r.end.0, r.end.1),
                };
                Some(Box::new(SelectionRange { range, parent }))
            });
            let nothing = SelectionRange {
                range: Range { start: at, end: at },
                parent: None,
            };
            grown.map_or(nothing, |range| *range)
        };
        Some(p.positions.iter().copied().map(one).collect())
    });
    Ok(ranges.await)
}
