use super::super::handlers::Server;
use super::super::protocol::{About, CodeLens, Command};
use super::super::ready::Ready;
use super::commands::PRINTED;
use crate::ide::lens;
use tower_lsp::jsonrpc::Result;

pub async fn lenses(server: &Server, p: About) -> Result<Option<Ready>> {
    let uri = &p.text_document.uri;
    super::of(server, uri, |s, to, _| {
        // A lens without a command only says something.
        let says = |l: lens::Lens| CodeLens {
            range: to.range(s.whole_line(l.line)),
            command: Command::default().titled(l.title),
        };
        let mut out: Vec<CodeLens> = lens::lenses(s).into_iter().map(says).collect();
        if let Some(above) = out.first().map(|l| l.range) {
            out.extend(PRINTED.iter().map(|p| CodeLens {
                range: above,
                command: Command {
                    title: p.title.to_owned(),
                    command: p.command,
                    arguments: vec![uri.clone()],
                },
            }));
        }
        Some(out)
    })
    .await
}
