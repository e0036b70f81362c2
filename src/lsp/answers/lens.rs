use super::super::handlers::Server;
use super::super::protocol::{About, CodeLens, Command};
use crate::ide::lens;
use tower_lsp::jsonrpc::Result;

pub async fn lenses(server: &Server, p: About) -> Result<Option<Vec<CodeLens>>> {
    super::of(server, &p.text_document.uri, |s, to, _| {
        let found = lens::lenses(s).into_iter();
        // A lens without a command only says something, which is all that these do.
        Some(found.map(|l| CodeLens { range: to.range(s.whole_line(l.line)), command: Command { title: l.title, command: "" } }).collect())
    })
    .await
}
