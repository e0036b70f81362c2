use super::super::handlers::Server;
use super::super::protocol::{At, CardOf, CompletionItem, CompletionList, TextEdit};
use super::markup;
use crate::ide::complete::{self, CompletionKind};
use serde_json::Value;
use tower_lsp::jsonrpc::Result;

pub async fn completion(server: &Server, p: At) -> Result<Option<CompletionList>> {
    let uri = &p.text_document.uri;
    super::of(server, uri, |s, to, _| {
        let (line, byte) = to.place(p.position);
        let session = server.shared.session();
        let items = complete::complete(s, line, byte).into_iter().map(|c| {
            let snippet = c.snippet.filter(|_| session.snippets);
            // A client that cannot ask for the card later gets it now.
            let documentation = c.id.as_deref().filter(|_| !session.lazy_cards).and_then(|id| complete::complete_card(s, id));
            CompletionItem {
                label: c.label,
                kind: kind(c.kind),
                detail: c.detail,
                sort_text: c.sort,
                filter_text: c.filter,
                insert_text_format: snippet.as_ref().map(|_| 2),
                text_edit: TextEdit { range: to.range(c.replace), new_text: snippet.unwrap_or(c.insert) },
                documentation: documentation.map(|text| markup(text, session.card_markdown)),
                data: c.id.map(|id| CardOf { uri: uri.clone(), id }),
            }
        });
        // The best for what is typed so far; a longer word has others.
        Some(CompletionList { is_incomplete: true, items: items.collect() })
    })
    .await
}

/// The same item with its card.
pub async fn resolve(server: &Server, mut item: Value) -> Result<Value> {
    let asked = item.get("data").cloned().and_then(|data| serde_json::from_value::<CardOf>(data).ok());
    if let Some(card) = asked
        && let Some(text) = super::of(server, &card.uri, |s, _, _| complete::complete_card(s, &card.id)).await?
        && let Some(item) = item.as_object_mut()
    {
        let card = markup(text, server.shared.session().card_markdown);
        item.insert("documentation".to_owned(), serde_json::json!({ "kind": card.kind, "value": card.value }));
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
