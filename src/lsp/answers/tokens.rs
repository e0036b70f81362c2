use super::super::convert::Converter;
use super::super::handlers::Server;
use super::super::protocol::{About, SemanticTokens, Within};
use super::super::ready::Ready;
use crate::ide::tokens::{self, Modifiers, Token, TokenKind};
use serde_json::{Value, json};
use tower_lsp::jsonrpc::Result;

/// Our kinds beside the protocol's own: editors colour the latter out of the box.
pub fn legend() -> Value {
    let types: Vec<&str> = TokenKind::ALL.iter().map(|k| type_name(*k)).collect();
    let modifiers: Vec<&str> = Modifiers::NAMES.to_vec();
    json!({ "tokenTypes": types, "tokenModifiers": modifiers })
}

fn type_name(kind: TokenKind) -> &'static str {
    match kind {
        TokenKind::Keyword => "keyword",
        TokenKind::Phase => "namespace",
        TokenKind::Field => "property",
        TokenKind::Value => "enumMember",
        TokenKind::Ingredient => "variable",
        TokenKind::File => "string",
        TokenKind::Amount => "number",
        TokenKind::Step => "function",
        TokenKind::Comment => "comment",
        other => other.name(),
    }
}

pub async fn full(server: &Server, p: About) -> Result<Option<Ready>> {
    super::of(server, &p.text_document.uri, |s, to, _| {
        Some(encode(&tokens::tokens(s, 0, u32::MAX), &to))
    })
    .await
}

pub async fn range(server: &Server, p: Within) -> Result<Option<Ready>> {
    super::of(server, &p.text_document.uri, |s, to, _| {
        let (first, last) = (to.place(p.range.start).0, to.place(p.range.end).0);
        Some(encode(&tokens::tokens(s, first, last), &to))
    })
    .await
}

/// Five numbers a token, each place told from the one before.
fn encode(tokens: &[Token], to: &Converter) -> SemanticTokens {
    let mut data = Vec::with_capacity(tokens.len() * 5);
    let (mut line, mut start) = (0, 0);
    for token in tokens {
        let range = to.range(token.place);
        let length = range.end.character.saturating_sub(range.start.character);
        let Some(kind) = TokenKind::ALL
            .iter()
            .position(|k| *k == token.kind)
            .filter(|_| length > 0)
        else {
            continue;
        };
        let flags = token
            .modifiers
            .flags()
            .iter()
            .enumerate()
            .fold(0, |bits, (n, set)| bits | u32::from(*set) << n);
        let at = range.start;
        data.extend([
            at.line - line,
            if at.line == line {
                at.character - start
            } else {
                at.character
            },
            length,
            kind as u32,
            flags,
        ]);
        (line, start) = (at.line, at.character);
    }
    SemanticTokens { data }
}
