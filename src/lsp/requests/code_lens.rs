use super::super::state::Server;
use super::commands::DOCUMENT_COMMANDS;
use super::with_snapshot;
use crate::ide::lens;
use tower_lsp::gen_lsp_types::{CodeLens, CodeLensParams, Command};
use tower_lsp::jsonrpc::Result;

pub async fn code_lens(server: &Server, p: CodeLensParams) -> Result<Option<Vec<CodeLens>>> {
    let uri = &p.text_document.uri;
    let lenses = with_snapshot(server, uri, |s, to, _| {
        let Some(figures) = lens::lens(s) else {
            return Some(Vec::new());
        };
        let range = to.range(s.whole_line(figures.line));
        // A lens without a command only says something.
        let figures = Command {
            title: figures.title,
            ..Command::default()
        };
        let papers = DOCUMENT_COMMANDS.iter().map(|p| Command {
            title: p.title.to_owned(),
            command: p.command.to_owned(),
            arguments: Some(vec![uri.0.clone().into()]),
            tooltip: None,
        });
        let lens = |command| CodeLens {
            range,
            command: Some(command),
            data: None,
        };
        Some(std::iter::once(figures).chain(papers).map(lens).collect())
    });
    Ok(lenses.await)
}
