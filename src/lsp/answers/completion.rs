use super::super::handlers::Server;
use super::super::protocol::{
    CardOf, CompletionItem, CompletionList, CompletionParams, ItemDefaults, LabelDetails, TextEdit,
};
use super::super::ready::Ready;
use super::markup;
use crate::ide::complete::{self, Completion, CompletionKind, Trigger};
use serde_json::Value;
use tower_lsp::jsonrpc::Result;

/// Asked for by the maker.
const INVOKED: u8 = 1;

pub async fn completion(server: &Server, p: CompletionParams) -> Result<Option<Ready>> {
    let uri = &p.text_document.uri;
    let trigger = match p.context {
        Some(context) if context.trigger_kind == INVOKED => Trigger::Invoked,
        // A client that does not say so may ask at every key.
        _ => Trigger::Typing,
    };
    super::of(server, uri, |s, to, _| {
        let (line, byte) = to.place(p.position);
        let session = server.shared.session();
        let found = complete::complete(s, line, byte, trigger);
        // What all of them replace is said once where the client takes it so.
        let shared = found
            .first()
            .map(|c| c.replace)
            .filter(|place| session.shared_range && found.iter().all(|c| c.replace == *place));
        let items = found.into_iter().map(|c| {
            // A client that cannot ask for the card later gets it now.
            let documentation =
                c.id.as_deref()
                    .filter(|_| !session.lazy_cards)
                    .and_then(|id| complete::complete_card(s, id));
            let label_details = session.label_details.then(|| LabelDetails {
                detail: c.aside.clone(),
                description: c.brief.clone(),
            });
            let detail = detail(&c, session.label_details);
            let (new_text, insert_text_format) = match c.snippet {
                Some(snippet) if session.snippets => (snippet, Some(2)),
                // Neovim writes a plain text up to its first blank only.
                None if session.snippets && c.insert.contains(' ') => {
                    (complete::escaped(&c.insert), Some(2))
                }
                _ => (c.insert, None),
            };
            let (text_edit, text_edit_text) = match shared {
                Some(_) => (None, Some(new_text).filter(|text| *text != c.label)),
                None => (
                    Some(TextEdit {
                        range: to.range(c.replace),
                        new_text,
                    }),
                    None,
                ),
            };
            CompletionItem {
                kind: kind(c.kind),
                label_details,
                detail,
                sort_text: c.sort,
                filter_text: Some(c.filter).filter(|text| !text.is_empty() && *text != c.label),
                insert_text_format,
                text_edit,
                text_edit_text,
                documentation: documentation.map(|text| markup(text, session.card_markdown)),
                data: c.id.map(|id| CardOf(uri.clone(), id)),
                label: c.label,
            }
        });
        let items = items.collect();
        // The best for what is typed so far; a longer word has others.
        let item_defaults = shared.map(|place| ItemDefaults {
            edit_range: to.range(place),
        });
        Some(CompletionList {
            is_incomplete: true,
            item_defaults,
            items,
        })
    })
    .await
}

/// With what stands beside the label, for clients that show nothing there.
fn detail(c: &Completion, label_details: bool) -> String {
    match c.aside.trim() {
        "" => c.detail.clone(),
        _ if label_details => c.detail.clone(),
        aside => format!("{aside} {}", c.detail),
    }
}

/// The same item with its card.
pub async fn resolve(server: &Server, mut item: Value) -> Result<Value> {
    let asked = item
        .get("data")
        .cloned()
        .and_then(|data| serde_json::from_value::<CardOf>(data).ok());
    if let Some(CardOf(uri, id)) = asked
        && let Some(text) =
            super::known(server, &uri, |s, _, _| complete::complete_card(s, &id)).await
        && let Some(item) = item.as_object_mut()
    {
        let card = markup(text, server.shared.session().card_markdown);
        item.insert(
            "documentation".to_owned(),
            serde_json::json!({ "kind": card.kind, "value": card.value }),
        );
    }
    Ok(item)
}

/// The protocol's kinds are those of programs. Neovim and Kakoune print them as words, so one is taken whose word a maker can read:
/// "Value", "Field", "Method", "Unit", "File".
fn kind(kind: CompletionKind) -> u8 {
    match kind {
        CompletionKind::Ingredient | CompletionKind::Value => 12,
        CompletionKind::Field => 5,
        CompletionKind::Verb => 2,
        CompletionKind::Phase => 9,
        CompletionKind::Unit => 11,
        CompletionKind::Code => 21,
        CompletionKind::File => 17,
        CompletionKind::Heading => 14,
    }
}
