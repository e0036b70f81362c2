use super::super::handlers::Server;
use super::super::protocol::{
    CodeAction, DocumentEdit, TextEdit, Versioned, Within, WorkspaceEdit,
};
use super::super::ready::Ready;
use crate::ide::actions::{self, ActionKind};
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
        let found = actions::actions(s, first.min(last), last.max(first))
            .into_iter()
            .filter(|a| wanted(kind(a.kind)))
            .map(|a| CodeAction {
                kind: kind(a.kind),
                diagnostics: p
                    .context
                    .diagnostics
                    .iter()
                    .filter(|d| {
                        let range = a.mends.map(|place| serde_json::json!(to.range(place)));
                        d.get("code").and_then(Value::as_str) == a.code
                            && range.is_some()
                            && d.get("range") == range.as_ref()
                    })
                    .cloned()
                    .collect(),
                is_preferred: a.preferred,
                edit: edit(server, &uri, view.version, to.edits(&a.edits)),
                title: a.title,
            });
        Some(found.collect::<Vec<_>>())
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

fn edit(server: &Server, uri: &str, version: i32, edits: Vec<TextEdit>) -> WorkspaceEdit {
    if server.shared.session().document_changes {
        WorkspaceEdit::DocumentChanges(vec![DocumentEdit {
            text_document: Versioned {
                uri: uri.to_owned(),
                version,
            },
            edits,
        }])
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
