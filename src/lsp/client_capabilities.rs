//! What was agreed with this client. Read from what it said, key by key: a key that is missing or odd means the default.

use super::convert;
use crate::text::Encoding;
use serde_json::Value;
use std::path::PathBuf;

#[derive(Clone, Debug, Default)]
pub struct ClientCapabilities {
    pub encoding: Encoding,
    pub hover_markdown: bool,
    pub card_markdown: bool,
    pub snippets: bool,
    /// Items of completion may say something in addition to their label.
    pub label_details: bool,
    /// A list of completions may say once what range all of them replace.
    pub shared_range: bool,
    pub document_changes: bool,
    /// An edit may create a file.
    pub creates_files: bool,
    pub related: bool,
    pub tags: bool,
    /// A code may lead to its page.
    pub code_descriptions: bool,
    /// Where the pages of rules lie for this client, if it takes them.
    pub rule_pages: Option<PathBuf>,
    pub nested_symbols: bool,
    pub lazy_cards: bool,
    /// What a hint shows when it is pointed at may be asked for later.
    pub lazy_tooltips: bool,
    pub watch: bool,
    /// The client is one that asks for diagnostics itself. To declare it is not enough, for some that do never ask (a page with CodeMirror):
    /// those that can be told to ask again do, and Neovim, which cannot be told. Any other is pushed to until it asks.
    pub pulls: bool,
    pub refresh_diagnostics: bool,
    pub refresh_hints: bool,
    /// Opens what it is asked to open, in the browser too.
    pub shows_documents: bool,
    /// Shows the pages in the answers to commands itself: nothing else is to open them or to tell where they lie.
    pub shows_papers: bool,
    /// Hints are not in this editor's list of problems.
    pub hides_hints: bool,
    pub editor: Option<u32>,
    pub folders: Vec<PathBuf>,
}

impl ClientCapabilities {
    pub fn of(initialize: &Value) -> ClientCapabilities {
        let caps = |path: &str| initialize.pointer(&format!("/capabilities/{path}"));
        let yes = |path: &str| caps(path).and_then(Value::as_bool).unwrap_or(false);
        let holds = |path: &str, word: &str| {
            caps(path)
                .and_then(Value::as_array)
                .is_some_and(|a| a.iter().any(|v| v == word))
        };
        let offered = caps("general/positionEncodings").and_then(Value::as_array);
        let mut folders: Vec<PathBuf> = initialize
            .pointer("/workspaceFolders")
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
            .filter_map(|f| convert::path_of(f.get("uri")?.as_str()?))
            .collect();
        if folders.is_empty() {
            folders.extend(
                initialize
                    .get("rootUri")
                    .and_then(Value::as_str)
                    .and_then(convert::path_of),
            );
        }
        if folders.is_empty() {
            folders.extend(
                initialize
                    .get("rootPath")
                    .and_then(Value::as_str)
                    .map(PathBuf::from),
            );
        }
        let name = initialize
            .pointer("/clientInfo/name")
            .and_then(Value::as_str)
            .unwrap_or_default()
            .to_ascii_lowercase();
        // Some write the key in the singular.
        let refresh_diagnostics = yes("workspace/diagnostics/refreshSupport")
            || yes("workspace/diagnostic/refreshSupport");
        let wished = initialize
            .pointer("/initializationOptions/hiddenHints")
            .and_then(Value::as_bool);
        ClientCapabilities {
            encoding: offered
                .into_iter()
                .flatten()
                .find_map(encoding)
                .unwrap_or_default(),
            hover_markdown: holds("textDocument/hover/contentFormat", "markdown"),
            card_markdown: holds(
                "textDocument/completion/completionItem/documentationFormat",
                "markdown",
            ),
            snippets: yes("textDocument/completion/completionItem/snippetSupport"),
            label_details: yes("textDocument/completion/completionItem/labelDetailsSupport"),
            shared_range: holds(
                "textDocument/completion/completionList/itemDefaults",
                "editRange",
            ),
            lazy_cards: holds(
                "textDocument/completion/completionItem/resolveSupport/properties",
                "documentation",
            ),
            lazy_tooltips: holds(
                "textDocument/inlayHint/resolveSupport/properties",
                "tooltip",
            ),
            document_changes: yes("workspace/workspaceEdit/documentChanges"),
            creates_files: holds("workspace/workspaceEdit/resourceOperations", "create"),
            related: yes("textDocument/publishDiagnostics/relatedInformation"),
            tags: caps("textDocument/publishDiagnostics/tagSupport")
                .is_some_and(|t| !t.is_null() && *t != Value::Bool(false)),
            code_descriptions: yes("textDocument/publishDiagnostics/codeDescriptionSupport"),
            rule_pages: None,
            nested_symbols: yes("textDocument/documentSymbol/hierarchicalDocumentSymbolSupport"),
            watch: yes("workspace/didChangeWatchedFiles/dynamicRegistration"),
            pulls: caps("textDocument/diagnostic").is_some_and(Value::is_object)
                && (refresh_diagnostics || name == "neovim"),
            refresh_diagnostics,
            refresh_hints: yes("workspace/inlayHint/refreshSupport"),
            shows_documents: yes("window/showDocument/support"),
            shows_papers: initialize
                .pointer("/initializationOptions/showsPapers")
                .and_then(Value::as_bool)
                .unwrap_or(false),
            hides_hints: wished.unwrap_or(
                ["visual studio code", "vscod", "code-server", "code - oss"]
                    .iter()
                    .any(|n| name.starts_with(n)),
            ),
            editor: initialize
                .get("processId")
                .and_then(Value::as_u64)
                .and_then(|n| u32::try_from(n).ok()),
            folders,
        }
    }
}

/// The first that the client names, for it names them in the order that it likes them.
fn encoding(name: &Value) -> Option<Encoding> {
    match name.as_str()? {
        "utf-8" => Some(Encoding::Utf8),
        "utf-16" => Some(Encoding::Utf16),
        "utf-32" => Some(Encoding::Utf32),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn what_is_missing_or_odd_means_the_default() {
        for initialize in [
            Value::Null,
            json!({}),
            json!({ "capabilities": [], "processId": -1, "workspaceFolders": 3 }),
            json!({ "capabilities": { "general": { "positionEncodings": ["utf-7", 8] } } }),
        ] {
            let s = ClientCapabilities::of(&initialize);
            assert_eq!(s.encoding, Encoding::Utf16);
            assert!(
                !s.snippets && !s.watch && !s.pulls && s.folders.is_empty() && s.editor.is_none()
            );
        }
    }

    #[test]
    fn the_clients_first_encoding_is_taken() {
        let s = ClientCapabilities::of(
            &json!({ "capabilities": { "general": { "positionEncodings": ["utf-32", "utf-8"] } } }),
        );
        assert_eq!(s.encoding, Encoding::Utf32);
    }

    #[test]
    fn hints_are_counted_where_the_editor_hides_them() {
        assert!(
            ClientCapabilities::of(&json!({ "clientInfo": { "name": "Visual Studio Code" } }))
                .hides_hints
        );
        assert!(
            !ClientCapabilities::of(&json!({ "clientInfo": { "name": "Neovim" } })).hides_hints
        );
        assert!(
            ClientCapabilities::of(&json!({ "initializationOptions": { "hiddenHints": true } }))
                .hides_hints
        );
    }
}
