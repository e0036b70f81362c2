//! Commands of the editor: a paper about the formula as it stands in the editor, shown in the browser.

use super::super::client::ClientMessage;
use super::super::convert;
use super::super::papers_folder;
use super::super::state::Server;
use super::super::tasks;
use crate::ide::Snapshot;
use crate::papers::{CannotRender, FormulaContext, Paper, card, label, sheet};
use serde::Serialize;
use tower_lsp::gen_lsp_types::{ExecuteCommandParams, Uri};
use tower_lsp::jsonrpc::{Error, ErrorCode, Result};

/// A paper: where it was written, and the page itself for a client that shows it.
#[derive(Debug, Serialize)]
pub struct Written {
    pub uri: Uri,
    pub path: String,
    pub html: String,
}

/// A paper that an editor may ask for.
pub struct DocumentCommand {
    pub command: &'static str,
    /// As the lens and the messages name it.
    pub title: &'static str,
    /// In the name of its file.
    ending: &'static str,
    html: fn(&FormulaContext) -> std::result::Result<String, CannotRender>,
}

pub const DOCUMENT_COMMANDS: [DocumentCommand; 3] = [
    DocumentCommand {
        command: "phasewright.sheet",
        title: "weigh sheet",
        ending: "sheet.html",
        html: |work| sheet::sheet(work, &sheet::SheetOptions::default()).map(|s| s.html()),
    },
    DocumentCommand {
        command: "phasewright.label",
        title: "label",
        ending: "label.html",
        html: |work| label::label(work, &label::LabelOptions::default()).map(|l| l.html()),
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

pub async fn execute(server: &Server, p: ExecuteCommandParams) -> Result<Option<Written>> {
    let arguments = p.arguments.unwrap_or_default();
    let uri = arguments.first().and_then(|a| a.as_str());
    if p.command == OPEN {
        let file = uri.filter(|uri| convert::path_of(uri).is_some());
        let Some(file) = file else {
            return Err(request_failed(format!(
                "{OPEN} needs the address of a file as its argument"
            )));
        };
        server
            .state
            .client
            .send(ClientMessage::Open(file.to_owned()));
        return Ok(None);
    }
    let Some(printed) = DOCUMENT_COMMANDS.iter().find(|c| c.command == p.command) else {
        return Err(request_failed(format!(
            "there is no command {}; there are {}",
            p.command,
            names().join(", ")
        )));
    };
    let Some(uri) = uri else {
        return Err(request_failed(format!(
            "{} needs the formula's address as its first argument",
            p.command
        )));
    };
    let view = server.state.view(&uri.into()).await;
    let Some(snapshot) = view.as_ref().and_then(|v| v.snapshot()) else {
        return Err(request_failed(
            "this formula is not open in the editor; open it first".to_owned(),
        ));
    };
    let html = page(printed, snapshot)?;
    let folder = server.state.options.papers.clone();
    let written = tasks::spawn_blocking({
        let (of, ending, html) = (snapshot.path.clone(), printed.ending, html.clone());
        move || papers_folder::write(folder, &of, ending, &html)
    });
    let path = written.await.ok_or_else(Error::internal_error)?;
    let path = path.map_err(|e| {
        request_failed(format!(
            "the {} cannot be written: {e}; see that there is room on the disk",
            printed.title
        ))
    })?;
    let shown = path.to_string_lossy().into_owned();
    let uri =
        convert::uri_of(&path).ok_or_else(|| request_failed(format!("{shown} has no address")))?;
    let client = server.state.client_capabilities();
    if !client.shows_papers {
        server.state.client.send(ClientMessage::Paper {
            title: printed.title,
            path: shown.clone(),
            uri: uri.0.clone(),
            shows: client.shows_documents,
        });
    }
    Ok(Some(Written {
        uri,
        path: shown,
        html,
    }))
}

fn page(printed: &DocumentCommand, s: &Snapshot) -> Result<String> {
    if s.formula.is_none() {
        return Err(request_failed(format!(
            "the {} is made from a formula, and this is none",
            printed.title
        )));
    }
    let work = FormulaContext::of(&s.analysis);
    (printed.html)(&work).map_err(|h| {
        let line = h
            .line
            .map_or(String::new(), |l| format!("line {}: ", l + 1));
        request_failed(format!("no {} yet: {line}{}", printed.title, h.what))
    })
}

pub fn request_failed(message: String) -> Error {
    Error {
        code: ErrorCode::ServerError(-32803),
        message: message.into(),
        data: None,
    }
}
