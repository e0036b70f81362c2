//! The shapes that are taken and sent, each with the keys that are used and no more. They are our own for two reasons: what a
//! client says is read tolerantly, and a URI goes back spelled as the client spelled it.

use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::Arc;

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Position {
    pub line: u32,
    pub character: u32,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Range {
    pub start: Position,
    pub end: Position,
}

// What is taken.

#[derive(Debug, Deserialize)]
pub struct DocumentId {
    pub uri: String,
    #[serde(default)]
    pub version: Option<i32>,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Opened {
    pub text_document: OpenedText,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct OpenedText {
    pub uri: String,
    #[serde(default)]
    pub language_id: String,
    #[serde(default)]
    pub version: i32,
    pub text: String,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Changed {
    pub text_document: DocumentId,
    pub content_changes: Vec<TextChange>,
}

#[derive(Debug, Deserialize)]
pub struct TextChange {
    /// None: the whole text is new.
    #[serde(default)]
    pub range: Option<Range>,
    pub text: String,
}

/// Any notification or request about one document.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct About {
    pub text_document: DocumentId,
    #[serde(default)]
    pub previous_result_id: Option<String>,
}

#[derive(Debug, Deserialize)]
pub struct Execute {
    pub command: String,
    #[serde(default)]
    pub arguments: Vec<Value>,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct At {
    pub text_document: DocumentId,
    pub position: Position,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct CompletionParams {
    pub text_document: DocumentId,
    pub position: Position,
    #[serde(default)]
    pub context: Option<CompletionContext>,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct CompletionContext {
    #[serde(default)]
    pub trigger_kind: u8,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Within {
    pub text_document: DocumentId,
    pub range: Range,
    #[serde(default)]
    pub context: ActionContext,
}

#[derive(Debug, Default, Deserialize)]
pub struct ActionContext {
    /// Handed back to the client with the action that mends them.
    #[serde(default)]
    pub diagnostics: Vec<Value>,
    #[serde(default)]
    pub only: Option<Vec<String>>,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Positions {
    pub text_document: DocumentId,
    pub positions: Vec<Position>,
}

#[derive(Debug, Deserialize)]
pub struct FilesChanged {
    pub changes: Vec<FileChanged>,
}

#[derive(Debug, Deserialize)]
pub struct FileChanged {
    pub uri: String,
}

#[derive(Debug, Deserialize)]
pub struct FoldersChanged {
    pub event: FolderEvent,
}

#[derive(Debug, Deserialize)]
pub struct FolderEvent {
    #[serde(default)]
    pub added: Vec<Folder>,
    #[serde(default)]
    pub removed: Vec<Folder>,
}

#[derive(Debug, Deserialize)]
pub struct Folder {
    pub uri: String,
}

// What is sent.

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Diagnostic {
    pub range: Range,
    pub severity: u8,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub code: Option<Cow<'static, str>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub code_description: Option<CodeDescription>,
    pub source: Cow<'static, str>,
    pub message: String,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tags: Vec<u8>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub related_information: Vec<Related>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CodeDescription {
    pub href: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Related {
    pub location: Location,
    pub message: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Location {
    pub uri: String,
    pub range: Range,
}

#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Publish {
    pub uri: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub version: Option<i32>,
    pub diagnostics: Vec<Diagnostic>,
}

#[derive(Debug, Serialize)]
#[serde(tag = "kind", rename_all = "camelCase")]
pub enum Report {
    #[serde(rename_all = "camelCase")]
    Full {
        result_id: String,
        items: Arc<Vec<Diagnostic>>,
    },
    #[serde(rename_all = "camelCase")]
    Unchanged { result_id: String },
}

#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct TextEdit {
    pub range: Range,
    pub new_text: String,
}

#[derive(Debug, Serialize)]
pub struct Markup {
    pub kind: &'static str,
    pub value: String,
}

#[derive(Debug, Serialize)]
pub struct Hover {
    pub contents: Markup,
    pub range: Range,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct CompletionList {
    pub is_incomplete: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub item_defaults: Option<ItemDefaults>,
    pub items: Vec<CompletionItem>,
}

/// What holds for every item.
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct ItemDefaults {
    pub edit_range: Range,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct CompletionItem {
    pub label: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label_details: Option<LabelDetails>,
    pub kind: u8,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub detail: String,
    pub sort_text: String,
    /// None: the label.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub filter_text: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub insert_text_format: Option<u8>,
    /// Where the list does not say the range.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub text_edit: Option<TextEdit>,
    /// Where it does; none: the label.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub text_edit_text: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub documentation: Option<Markup>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub data: Option<CardOf>,
}

/// Shown in every row of the list: `detail` right behind the label, `description` further off.
#[derive(Debug, Serialize)]
pub struct LabelDetails {
    #[serde(skip_serializing_if = "String::is_empty")]
    pub detail: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub description: String,
}

/// What `completionItem/resolve` needs to find the card: the document and the id.
/// Sent as a list: a hundred of them are in one answer.
#[derive(Debug, Serialize, Deserialize)]
pub struct CardOf(pub String, pub String);

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct CodeAction {
    pub title: String,
    pub kind: &'static str,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub diagnostics: Vec<Value>,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub is_preferred: bool,
    pub edit: WorkspaceEdit,
    /// Run when the edit is done.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub command: Option<Command>,
}

/// One of the two, as the client declares.
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum WorkspaceEdit {
    DocumentChanges(Vec<DocumentChange>),
    Changes(BTreeMap<String, Vec<TextEdit>>),
}

#[derive(Debug, Serialize)]
#[serde(untagged)]
pub enum DocumentChange {
    Create(CreateFile),
    Edit(DocumentEdit),
}

#[derive(Debug, Serialize)]
pub struct CreateFile {
    /// "create".
    pub kind: &'static str,
    pub uri: String,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct DocumentEdit {
    pub text_document: Versioned,
    pub edits: Vec<TextEdit>,
}

#[derive(Debug, Serialize)]
pub struct Versioned {
    pub uri: String,
    /// None, written as null: a file that is not open.
    pub version: Option<i32>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct DocumentSymbol {
    pub name: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub detail: String,
    pub kind: u8,
    pub range: Range,
    pub selection_range: Range,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub children: Vec<DocumentSymbol>,
}

/// For clients that take no nested ones.
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct FlatSymbol {
    pub name: String,
    pub kind: u8,
    pub location: Location,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub container_name: Option<String>,
}

#[derive(Debug, Serialize)]
#[serde(untagged)]
pub enum Symbols {
    Nested(Vec<DocumentSymbol>),
    Flat(Vec<FlatSymbol>),
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct InlayHint {
    pub position: Position,
    pub label: String,
    pub tooltip: String,
    pub padding_left: bool,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct FoldingRange {
    pub start_line: u32,
    pub end_line: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<&'static str>,
}

#[derive(Debug, Serialize)]
pub struct DocumentLink {
    pub range: Range,
    pub target: String,
    pub tooltip: String,
}

#[derive(Debug, Serialize)]
pub struct CodeLens {
    pub range: Range,
    pub command: Command,
}

/// A title to show, and what a click runs; an empty command runs nothing.
#[derive(Debug, Default, Serialize)]
pub struct Command {
    pub title: String,
    pub command: &'static str,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub arguments: Vec<String>,
}

impl Command {
    pub fn titled(self, title: String) -> Command {
        Command { title, ..self }
    }
}

/// A paper: where it was written, and the page itself for a client that shows it.
#[derive(Debug, Serialize)]
pub struct Written {
    pub uri: String,
    pub path: String,
    pub html: String,
}

#[derive(Debug, Serialize)]
pub struct SemanticTokens {
    pub data: Vec<u32>,
}

#[derive(Debug, Serialize)]
pub struct SelectionRange {
    pub range: Range,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub parent: Option<Box<SelectionRange>>,
}

#[derive(Debug, Serialize)]
pub struct Highlight {
    pub range: Range,
}
