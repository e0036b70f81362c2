use super::super::handlers::Server;
use super::super::protocol::{About, CodeLens, Command};
use super::super::ready::Ready;
use super::commands::DOCUMENT_COMMANDS;
use crate::ide::lens;
use tower_lsp::jsonrpc::Result;

pub async fn lenses(server: &Server, p: About) -> Result<Option<Ready>> {
    let uri = &p.text_document.uri;
    super::of(server, uri, |s, to, _| {
        let Some(figures) = lens::lens(s) else {
            return Some(Vec::new());
        };
        let range = to.range(s.whole_line(figures.line));
        // A lens without a command only says something.
        let figures = Command::default().titled(figures.title);
        let papers = DOCUMENT_COMMANDS.iter().map(|p| Command {
            title: p.title.to_owned(),
            command: p.command,
            arguments: vec![uri.clone()],
        });
        let commands = std::iter::once(figures).chain(papers);
        Some(
            commands
                .map(|command| CodeLens { range, command })
                .collect::<Vec<_>>(),
        )
    })
    .await
}
