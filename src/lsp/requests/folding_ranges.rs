use super::super::state::Server;
use super::with_snapshot;
use crate::ide::folding::{self, FoldKind};
use tower_lsp::gen_lsp_types::{FoldingRange, FoldingRangeKind, FoldingRangeParams};
use tower_lsp::jsonrpc::Result;

pub async fn folding_ranges(
    server: &Server,
    p: FoldingRangeParams,
) -> Result<Option<Vec<FoldingRange>>> {
    let ranges = with_snapshot(server, &p.text_document.uri, |s, _, _| {
        let range = |f: folding::Fold| FoldingRange {
            start_line: f.first_line,
            end_line: f.last_line,
            kind: Some(match f.kind {
                FoldKind::Section => FoldingRangeKind::Region,
                FoldKind::Comment => FoldingRangeKind::Comment,
            }),
            ..FoldingRange::default()
        };
        Some(folding::folds(s).into_iter().map(range).collect())
    });
    Ok(ranges.await)
}
