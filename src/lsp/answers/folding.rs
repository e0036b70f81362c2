use super::super::handlers::Server;
use super::super::protocol::{About, FoldingRange};
use super::super::ready::Ready;
use crate::ide::folding::{self, FoldKind};
use tower_lsp::jsonrpc::Result;

pub async fn folds(server: &Server, p: About) -> Result<Option<Ready>> {
    super::of(server, &p.text_document.uri, |s, _, _| {
        let range = |f: folding::Fold| FoldingRange {
            start_line: f.first_line,
            end_line: f.last_line,
            kind: match f.kind {
                FoldKind::Section => Some("region"),
                FoldKind::Comment => Some("comment"),
            },
        };
        Some(folding::folds(s).into_iter().map(range).collect::<Vec<_>>())
    })
    .await
}
