//! One file per feature: takes a view, asks `ide`, turns its values into the protocol's shapes.

pub mod actions;
pub mod commands;
pub mod completion;
pub mod definition;
pub mod folding;
pub mod format;
pub mod hints;
pub mod hover;
pub mod lens;
pub mod links;
pub mod selection;
pub mod symbols;
pub mod tokens;

use super::convert::Converter;
use super::diagnose::AnalyzedDocument;
use super::handlers::Server;
use super::protocol::Markup;
use super::ready::Ready;
use super::{convert, session::ClientCapabilities};
use crate::ide::Snapshot;
use serde::Serialize;
use std::sync::Arc;
use tower_lsp::jsonrpc::Result;

/// Answers from the newest state of a formula, batch or stock file; null for any other document.
async fn of<T: Serialize>(
    server: &Server,
    uri: &str,
    answer: impl FnOnce(&Snapshot, Converter, &AnalyzedDocument) -> Option<T>,
) -> Result<Option<Ready>> {
    known(server, uri, answer)
        .await
        .map(|answer| server.shared.life.answers.write(&answer))
        .transpose()
}

/// The same before it is written.
async fn known<T>(
    server: &Server,
    uri: &str,
    answer: impl FnOnce(&Snapshot, Converter, &AnalyzedDocument) -> Option<T>,
) -> Option<T> {
    let view: Arc<AnalyzedDocument> = server.shared.view(uri).await?;
    let snapshot = view.snapshot()?;
    answer(snapshot, converter(&view, server.shared.session()), &view)
}

fn converter<'a>(view: &'a AnalyzedDocument, session: &ClientCapabilities) -> Converter<'a> {
    Converter {
        text: &view.text,
        encoding: session.encoding,
        tree: view.snapshot().map(|s| &s.tree),
    }
}

fn markup(markdown: String, wanted: bool) -> Markup {
    if wanted {
        Markup {
            kind: "markdown",
            value: markdown,
        }
    } else {
        Markup {
            kind: "plaintext",
            value: convert::plain(&markdown),
        }
    }
}
