use super::super::handlers::Server;
use super::super::protocol::{At, CardOf, CompletionItem, CompletionList, ItemDefaults, TextEdit};
use super::super::ready::Ready;
use super::markup;
use crate::ide::complete::{self, CompletionKind};
use serde_json::Value;
use tower_lsp::jsonrpc::Result;

pub async fn completion(server: &Server, p: At) -> Result<Option<Ready>> {
    let uri = &p.text_document.uri;
    super::of(server, uri, |s, to, _| {
        let (line, byte) = to.place(p.position);
        let session = server.shared.session();
        let found = complete::complete(s, line, byte);
        // What all of them replace is said once where the client takes it so.
        let shared = found
            .first()
            .map(|c| c.replace)
            .filter(|place| session.shared_range && found.iter().all(|c| c.replace == *place));
        let items = found.into_iter().map(|c| {
            let snippet = c.snippet.filter(|_| session.snippets);
            // A client that cannot ask for the card later gets it now.
            let documentation =
                c.id.as_deref()
                    .filter(|_| !session.lazy_cards)
                    .and_then(|id| complete::complete_card(s, id));
            let insert_text_format = snippet.as_ref().map(|_| 2);
            let new_text = snippet.unwrap_or(c.insert);
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
                detail: c.detail,
                sort_text: c.sort,
                filter_text: Some(c.filter).filter(|text| *text != c.label),
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

/// The protocol's kinds are those of programs; the nearest is taken, for its icon.
fn kind(kind: CompletionKind) -> u8 {
    match kind {
        CompletionKind::Ingredient => 6,
        CompletionKind::Field => 10,
        CompletionKind::Value => 12,
        CompletionKind::Verb => 3,
        CompletionKind::Phase => 9,
        CompletionKind::Unit => 11,
        CompletionKind::Code => 21,
        CompletionKind::File => 17,
        CompletionKind::Heading => 14,
    }
}
