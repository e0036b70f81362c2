use super::super::analysis::AnalyzedDocument;
use super::super::convert::{Converter, markup};
use super::super::state::Server;
use super::{converter, with_record, with_snapshot};
use crate::ide::complete::{self, Completion, CompletionKind, Trigger};
use crate::ide::{Snapshot, record};
use serde_json::{Value, json};
use tower_lsp::gen_lsp_types::{
    CompletionItem, CompletionItemDefaults, CompletionItemKind, CompletionItemLabelDetails,
    CompletionList, CompletionParams, CompletionTriggerKind, InsertTextFormat, Position, TextEdit,
    Uri,
};
use tower_lsp::jsonrpc::Result;

pub async fn completion(server: &Server, p: CompletionParams) -> Result<Option<CompletionList>> {
    let at = p.text_document_position_params;
    let uri = &at.text_document.uri;
    let trigger = match p.context {
        Some(context) if context.trigger_kind == CompletionTriggerKind::Invoked => Trigger::Invoked,
        // A client that does not say so may ask at every key.
        _ => Trigger::Typing,
    };
    let client = server.state.client_capabilities();
    let list = with_completed_snapshot(server, uri, at.position, |s, to, document, line, byte| {
        let of_record = with_record(server, document, |view| {
            record::complete::complete(view, line, byte, trigger)
        });
        let found = of_record.unwrap_or_else(|| complete::complete(s, line, byte, trigger));
        // What all of them replace is said once where the client takes it so.
        let shared = found
            .first()
            .map(|c| c.replace)
            .filter(|place| client.shared_range && found.iter().all(|c| c.replace == *place));
        let items = found.into_iter().map(|c| {
            // A client that cannot ask for the card later gets it now.
            let card =
                c.id.as_deref()
                    .filter(|_| !client.lazy_cards)
                    .and_then(|id| complete::complete_card(s, id));
            let label_details = client.label_details.then(|| CompletionItemLabelDetails {
                detail: Some(c.aside.clone()).filter(|d| !d.is_empty()),
                description: Some(c.brief.clone()).filter(|d| !d.is_empty()),
            });
            let detail = detail(&c, client.label_details);
            let (new_text, insert_text_format) = match c.snippet {
                Some(snippet) if client.snippets => (snippet, Some(InsertTextFormat::Snippet)),
                // Neovim writes a plain text up to its first blank only.
                None if client.snippets && c.insert.contains(' ') => (
                    complete::escaped(&c.insert),
                    Some(InsertTextFormat::Snippet),
                ),
                _ => (c.insert, None),
            };
            let (text_edit, text_edit_text) = match shared {
                Some(_) => (None, Some(new_text).filter(|text| *text != c.label)),
                None => {
                    let range = to.range(c.replace);
                    (Some(TextEdit { range, new_text }.into()), None)
                }
            };
            CompletionItem {
                kind: Some(kind(c.kind)),
                label_details,
                detail: Some(detail).filter(|d| !d.is_empty()),
                sort_text: Some(c.sort),
                filter_text: Some(c.filter).filter(|text| !text.is_empty() && *text != c.label),
                insert_text_format,
                text_edit,
                text_edit_text,
                documentation: card.map(|text| markup(text, client.card_markdown).into()),
                // What finds the card: the document and the id.
                data: c.id.map(|id| json!([uri.0, id])),
                label: c.label,
                ..CompletionItem::default()
            }
        });
        let items = items.collect();
        Some(CompletionList {
            // The best for what is typed so far; a longer word has others.
            is_incomplete: true,
            item_defaults: shared.map(|place| CompletionItemDefaults {
                edit_range: Some(to.range(place).into()),
                ..CompletionItemDefaults::default()
            }),
            items,
            ..CompletionList::default()
        })
    });
    Ok(list.await)
}

/// Completion does not wait for the rules, except in a comment: an exception begins with what they have found.
async fn with_completed_snapshot<T>(
    server: &Server,
    uri: &Uri,
    at: Position,
    answer: impl FnOnce(&Snapshot, Converter, &AnalyzedDocument, u32, u32) -> Option<T>,
) -> Option<T> {
    let mut document = server.state.unjudged(uri).await?;
    let (line, byte) = converter(server, &document).to_line_byte(at);
    let comment = document.snapshot()?.line(line).and_then(|l| l.comment);
    if comment.is_some_and(|c| c.start < byte) {
        document = server.state.view(uri).await?;
    }
    let to = converter(server, &document);
    let (line, byte) = to.to_line_byte(at);
    answer(document.snapshot()?, to, &document, line, byte)
}

/// With what is shown next to the label, for clients that show nothing there.
fn detail(c: &Completion, label_details: bool) -> String {
    match c.aside.trim() {
        "" => c.detail.clone(),
        _ if label_details => c.detail.clone(),
        aside => format!("{aside} {}", c.detail),
    }
}

/// The same item with its card.
pub async fn resolve(server: &Server, mut item: CompletionItem) -> Result<CompletionItem> {
    let asked: Option<(String, String)> = item
        .data
        .as_ref()
        .and_then(|data: &Value| serde_json::from_value(data.clone()).ok());
    if let Some((uri, id)) = asked
        && let Some(text) = with_snapshot(server, &uri.into(), |s, _, _| {
            complete::complete_card(s, &id)
        })
        .await
    {
        let markdown = server.state.client_capabilities().card_markdown;
        item.documentation = Some(markup(text, markdown).into());
    }
    Ok(item)
}

/// The protocol's kinds are those of programs. Neovim and Kakoune print them as words, so one is taken whose word a maker can read:
/// "Value", "Field", "Method", "Unit", "File".
fn kind(kind: CompletionKind) -> CompletionItemKind {
    match kind {
        CompletionKind::Ingredient | CompletionKind::Value => CompletionItemKind::Value,
        CompletionKind::Field => CompletionItemKind::Field,
        CompletionKind::Verb => CompletionItemKind::Method,
        CompletionKind::Phase => CompletionItemKind::Module,
        CompletionKind::Unit => CompletionItemKind::Unit,
        CompletionKind::Code => CompletionItemKind::Constant,
        CompletionKind::File => CompletionItemKind::File,
        CompletionKind::Heading => CompletionItemKind::Keyword,
    }
}
