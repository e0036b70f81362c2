use super::super::state::Server;
use super::commands::DOCUMENT_COMMANDS;
use super::{with_record, with_snapshot};
use crate::ide::{lens, record};
use tower_lsp::gen_lsp_types::{CodeLens, CodeLensParams, Command};
use tower_lsp::jsonrpc::Result;

pub async fn code_lens(server: &Server, p: CodeLensParams) -> Result<Option<Vec<CodeLens>>> {
    let uri = &p.text_document.uri;
    let lenses = with_snapshot(server, uri, |s, to, document| {
        if let Some(of_record) = with_record(server, document, record::lenses) {
            let lens = |l: lens::Lens| CodeLens {
                range: to.range(s.whole_line(l.line)),
                command: Some(says(l.title)),
                data: None,
            };
            return Some(of_record.into_iter().map(lens).collect());
        }
        let Some(figures) = lens::lens(s) else {
            return Some(Vec::new());
        };
        let range = to.range(s.whole_line(figures.line));
        let figures = says(figures.title);
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

/// A lens without a command only says something.
fn says(title: String) -> Command {
    Command {
        title,
        ..Command::default()
    }
}
