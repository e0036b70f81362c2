use super::super::convert::uri_of;
use super::super::state::Server;
use super::commands::OPEN;
use super::workspace_edit::{changed, workspace_edit};
use super::{with_record, with_snapshot};
use crate::ide::actions::{self, ActionKind, NewFile};
use crate::ide::record;
use crate::text::Place;
use tower_lsp::gen_lsp_types::{
    Code, CodeAction, CodeActionKind, CodeActionParams, Command, CreateFile, Diagnostic, Range,
    TextEdit, Uri, WorkspaceEdit,
};
use tower_lsp::jsonrpc::Result;

pub const KINDS: [CodeActionKind; 3] = [
    CodeActionKind::QuickFix,
    CodeActionKind::RefactorRewrite,
    CodeActionKind::SourceFixAll,
];

/// Fixes are found from the range, never from the diagnostics that the client sends along: some send none.
pub async fn code_actions(server: &Server, p: CodeActionParams) -> Result<Option<Vec<CodeAction>>> {
    let uri = &p.text_document.uri;
    let client = server.state.client_capabilities();
    let actions = with_snapshot(server, uri, |s, to, document| {
        let first = to.to_line_byte(p.range.start).0;
        let last = to.to_line_byte(p.range.end).0;
        let (first, last) = (first.min(last), last.max(first));
        let wanted = |kind: &CodeActionKind| {
            let only = p.context.only.as_ref();
            only.is_none_or(|only| only.iter().any(|asked| is_within(kind, asked)))
        };
        let mends = |code: Option<&str>, place: Option<Place>| -> Option<Vec<Diagnostic>> {
            let range = to.range(place?);
            let is_it = |d: &&Diagnostic| {
                let same_code = match &d.code {
                    Some(Code::String(of)) => Some(of.as_str()) == code,
                    _ => code.is_none(),
                };
                same_code && d.range == range
            };
            let of_it = p.context.diagnostics.iter().filter(is_it);
            Some(of_it.cloned().collect()).filter(|all: &Vec<_>| !all.is_empty())
        };
        let new_files = match client.creates_files && wanted(&CodeActionKind::QuickFix) {
            true => actions::new_files(s, first, last),
            false => Vec::new(),
        };
        let described = new_files.into_iter().filter_map(|file| {
            let diagnostics = mends(Some("unknown-ingredient"), Some(file.mends));
            describe(server, file, diagnostics)
        });
        let of_record = with_record(server, document, |view| {
            record::actions::actions(view, first, last)
        });
        let all = of_record.into_iter().flatten();
        let found = all
            .chain(actions::actions(s, first, last))
            .filter(|a| wanted(&kind(a.kind)))
            .map(|a| CodeAction {
                kind: Some(kind(a.kind)),
                diagnostics: mends(a.code, a.mends),
                is_preferred: a.preferred.then_some(true),
                edit: Some(edit(server, uri, document.version, to.edits(&a.edits))),
                title: a.title,
                ..CodeAction::default()
            });
        Some(found.chain(described).collect())
    });
    Ok(actions.await)
}

/// "refactor" takes in "refactor.rewrite"; the empty kind takes in all.
fn is_within(kind: &CodeActionKind, asked: &CodeActionKind) -> bool {
    let (kind, asked) = (String::from(kind.clone()), String::from(asked.clone()));
    let rest = kind.strip_prefix(&asked);
    asked.is_empty() || rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
}

fn kind(kind: ActionKind) -> CodeActionKind {
    match kind {
        ActionKind::QuickFix => CodeActionKind::QuickFix,
        ActionKind::Rewrite => CodeActionKind::RefactorRewrite,
        ActionKind::FixAll => CodeActionKind::SourceFixAll,
    }
}

/// Creates the file with its text, and opens it.
fn describe(
    server: &Server,
    file: NewFile,
    diagnostics: Option<Vec<Diagnostic>>,
) -> Option<CodeAction> {
    let uri = uri_of(&file.path)?;
    let written = TextEdit {
        range: Range::default(),
        new_text: file.text,
    };
    let created = CreateFile {
        uri: uri.clone(),
        options: None,
        annotation_id: None,
    };
    let opened = || Command {
        title: file.title.clone(),
        command: OPEN.to_owned(),
        arguments: Some(vec![uri.0.clone().into()]),
        tooltip: None,
    };
    let client = server.state.client_capabilities();
    Some(CodeAction {
        kind: Some(CodeActionKind::QuickFix),
        diagnostics,
        edit: Some(WorkspaceEdit {
            document_changes: Some(vec![created.into(), changed(&uri, None, vec![written])]),
            ..WorkspaceEdit::default()
        }),
        command: client.shows_documents.then(opened),
        title: file.title.clone(),
        ..CodeAction::default()
    })
}

/// In the shape that the client declares.
fn edit(server: &Server, uri: &Uri, version: i32, edits: Vec<TextEdit>) -> WorkspaceEdit {
    workspace_edit(&server.state, vec![(uri.clone(), Some(version), edits)])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kind_takes_in_the_kinds_below_it() {
        let within = |kind: &str, asked: &str| {
            is_within(
                &CodeActionKind::from(kind.to_owned()),
                &CodeActionKind::from(asked.to_owned()),
            )
        };
        assert!(
            within("refactor.rewrite", "refactor")
                && within("quickfix", "quickfix")
                && within("quickfix", "")
        );
        assert!(
            !within("refactor.rewrite", "quickfix")
                && !within("quickfix", "quick")
                && !within("refactor", "refactor.rewrite")
        );
    }
}
