use super::super::convert::uri_of;
use super::super::handlers::Server;
use super::super::protocol::{
    CodeAction, Command, CreateFile, DocumentChange, DocumentEdit, Range, TextEdit, Versioned,
    Within, WorkspaceEdit,
};
use super::super::ready::Ready;
use super::commands::OPEN;
use crate::ide::actions::{self, ActionKind, NewFile};
use crate::text::Place;
use serde_json::Value;
use std::collections::BTreeMap;
use tower_lsp::jsonrpc::Result;

pub const KINDS: [&str; 3] = ["quickfix", "refactor.rewrite", "source.fixAll"];

/// Fixes are found from the range, never from the diagnostics that the client sends along: some send none.
pub async fn actions(server: &Server, p: Within) -> Result<Option<Ready>> {
    let uri = p.text_document.uri.clone();
    super::of(server, &uri, |s, to, view| {
        let (first, last) = (to.place(p.range.start).0, to.place(p.range.end).0);
        let wanted = |kind: &str| {
            p.context
                .only
                .as_ref()
                .is_none_or(|only| only.iter().any(|o| is_within(kind, o)))
        };
        let (first, last) = (first.min(last), last.max(first));
        let mends = |code: Option<&str>, place: Option<Place>| {
            let range = place.map(|place| serde_json::json!(to.range(place)));
            let diagnostics = p.context.diagnostics.iter();
            let of_it = diagnostics.filter(|d| {
                d.get("code").and_then(Value::as_str) == code
                    && range.is_some()
                    && d.get("range") == range.as_ref()
            });
            of_it.cloned().collect()
        };
        let new_files = match server.shared.session().creates_files && wanted(KINDS[0]) {
            true => actions::new_files(s, first, last),
            false => Vec::new(),
        };
        let described = new_files.into_iter().filter_map(|file| {
            let diagnostics = mends(Some("unknown-ingredient"), Some(file.mends));
            describe(server, file, diagnostics)
        });
        let found = actions::actions(s, first, last)
            .into_iter()
            .filter(|a| wanted(kind(a.kind)))
            .map(|a| CodeAction {
                kind: kind(a.kind),
                diagnostics: mends(a.code, a.mends),
                is_preferred: a.preferred,
                edit: edit(server, &uri, view.version, to.edits(&a.edits)),
                command: None,
                title: a.title,
            });
        Some(found.chain(described).collect::<Vec<_>>())
    })
    .await
}

/// "refactor" takes in "refactor.rewrite"; the empty kind takes in all.
fn is_within(kind: &str, asked: &str) -> bool {
    asked.is_empty()
        || kind
            .strip_prefix(asked)
            .is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
}

fn kind(kind: ActionKind) -> &'static str {
    match kind {
        ActionKind::QuickFix => KINDS[0],
        ActionKind::Rewrite => KINDS[1],
        ActionKind::FixAll => KINDS[2],
    }
}

/// Creates the file with its text, and opens it.
fn describe(server: &Server, file: NewFile, diagnostics: Vec<Value>) -> Option<CodeAction> {
    let uri = uri_of(&file.path)?;
    let session = server.shared.session();
    let written = DocumentEdit {
        text_document: Versioned {
            uri: uri.clone(),
            version: None,
        },
        edits: vec![TextEdit {
            range: Range::default(),
            new_text: file.text,
        }],
    };
    let created = CreateFile {
        kind: "create",
        uri: uri.clone(),
    };
    Some(CodeAction {
        kind: KINDS[0],
        diagnostics,
        is_preferred: false,
        edit: WorkspaceEdit::DocumentChanges(vec![
            DocumentChange::Create(created),
            DocumentChange::Edit(written),
        ]),
        command: session.shows_documents.then(|| Command {
            title: file.title.clone(),
            command: OPEN,
            arguments: vec![uri],
        }),
        title: file.title,
    })
}

fn edit(server: &Server, uri: &str, version: i32, edits: Vec<TextEdit>) -> WorkspaceEdit {
    if server.shared.session().document_changes {
        WorkspaceEdit::DocumentChanges(vec![DocumentChange::Edit(DocumentEdit {
            text_document: Versioned {
                uri: uri.to_owned(),
                version: Some(version),
            },
            edits,
        })])
    } else {
        WorkspaceEdit::Changes(BTreeMap::from([(uri.to_owned(), edits)]))
    }
}

#[cfg(test)]
mod tests {
    use super::is_within;

    #[test]
    fn a_kind_takes_in_the_kinds_below_it() {
        assert!(
            is_within("refactor.rewrite", "refactor")
                && is_within("quickfix", "quickfix")
                && is_within("quickfix", "")
        );
        assert!(
            !is_within("refactor.rewrite", "quickfix")
                && !is_within("quickfix", "quick")
                && !is_within("refactor", "refactor.rewrite")
        );
    }
}
