//! Commands of the editor: a paper about the formula as it stands in the editor, shown in the browser.

use super::super::client::ClientMessage;
use super::super::convert;
use super::super::handlers::Server;
use super::super::papers_folder;
use super::super::protocol::{Execute, Written};
use crate::ide::Snapshot;
use crate::papers::{Hindrance, Paper, Work, card, label, sheet};
use tower_lsp::jsonrpc::{Error, ErrorCode, Result};

/// A paper that an editor may ask for.
pub struct DocumentCommand {
    pub command: &'static str,
    /// As the lens and the messages name it.
    pub title: &'static str,
    /// In the name of its file.
    ending: &'static str,
    html: fn(&Work) -> std::result::Result<String, Hindrance>,
}

pub const DOCUMENT_COMMANDS: [DocumentCommand; 3] = [
    DocumentCommand {
        command: "phasewright.sheet",
        title: "weigh sheet",
        ending: "sheet.html",
        html: |work| sheet::sheet(work, &sheet::Wish::default()).map(|s| s.html()),
    },
    DocumentCommand {
        command: "phasewright.label",
        title: "label",
        ending: "label.html",
        html: |work| label::label(work, &label::Wish::default()).map(|l| l.html()),
    },
    DocumentCommand {
        command: "phasewright.card",
        title: "formula card",
        ending: "card.html",
        html: |work| card::card(work).map(|c| c.html()),
    },
];

/// Opens a file in the editor; its address is the argument.
pub const OPEN: &str = "phasewright.open";

/// The names of all commands, for the capabilities.
pub fn names() -> Vec<&'static str> {
    DOCUMENT_COMMANDS
        .iter()
        .map(|p| p.command)
        .chain([OPEN])
        .collect()
}

pub async fn execute(server: &Server, p: Execute) -> Result<Option<Written>> {
    if p.command == OPEN {
        let uri = p.arguments.first().and_then(|a| a.as_str());
        let file = uri.filter(|uri| convert::path_of(uri).is_some());
        let Some(file) = file else {
            return Err(refused(format!(
                "{OPEN} needs the address of a file as its argument"
            )));
        };
        server
            .shared
            .client
            .send(ClientMessage::Open(file.to_owned()));
        return Ok(None);
    }
    let Some(printed) = DOCUMENT_COMMANDS.iter().find(|c| c.command == p.command) else {
        return Err(refused(format!(
            "there is no command {}; there are {}",
            p.command,
            names().join(", ")
        )));
    };
    let Some(uri) = p.arguments.first().and_then(|a| a.as_str()) else {
        return Err(refused(format!(
            "{} needs the formula's address as its first argument",
            p.command
        )));
    };
    let view = server.shared.view(uri).await;
    let Some(snapshot) = view.as_ref().and_then(|v| v.snapshot()) else {
        return Err(refused(
            "this formula is not open in the editor; open it first".to_owned(),
        ));
    };
    let html = page(printed, snapshot)?;
    let folder = server.shared.options.papers.clone();
    let written = tokio::task::spawn_blocking({
        let (of, ending, html) = (snapshot.path.clone(), printed.ending, html.clone());
        move || papers_folder::write(folder, &of, ending, &html)
    });
    let path = written.await.map_err(|e| refused(e.to_string()))?;
    let path = path.map_err(|e| {
        refused(format!(
            "the {} cannot be written: {e}; see that there is room on the disk",
            printed.title
        ))
    })?;
    let shown = path.to_string_lossy().into_owned();
    let uri = convert::uri_of(&path).ok_or_else(|| refused(format!("{shown} has no address")))?;
    let session = server.shared.session();
    if !session.shows_papers {
        server.shared.client.send(ClientMessage::Paper {
            title: printed.title,
            path: shown.clone(),
            uri: uri.clone(),
            shows: session.shows_documents,
        });
    }
    Ok(Some(Written {
        uri,
        path: shown,
        html,
    }))
}

fn page(printed: &DocumentCommand, s: &Snapshot) -> Result<String> {
    let Some(formula) = &s.formula else {
        return Err(refused(format!(
            "the {} is made from a formula, and this is none",
            printed.title
        )));
    };
    let work = Work {
        path: &s.path,
        tree: &s.tree,
        formula,
        findings: &s.findings,
        kb: &s.kb,
        settings: &s.settings,
    };
    (printed.html)(&work).map_err(|h| {
        let line = h
            .line
            .map_or(String::new(), |l| format!("line {}: ", l + 1));
        refused(format!("no {} yet: {line}{}", printed.title, h.what))
    })
}

fn refused(message: String) -> Error {
    Error {
        code: ErrorCode::ServerError(-32803),
        message: message.into(),
        data: None,
    }
}
