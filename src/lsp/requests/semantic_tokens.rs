use super::super::convert::Converter;
use super::super::documents::AnsweredTokens;
use super::super::state::{Server, key};
use super::with_snapshot;
use crate::ide::tokens::{self, Modifiers, Token, TokenKind};
use std::hash::{DefaultHasher, Hash, Hasher};
use tower_lsp::gen_lsp_types::{
    SemanticToken, SemanticTokens, SemanticTokensDelta, SemanticTokensDeltaParams,
    SemanticTokensDeltaResponse, SemanticTokensEdit, SemanticTokensLegend, SemanticTokensParams,
    SemanticTokensRangeParams, Uri,
};
use tower_lsp::jsonrpc::Result;

/// Our kinds and the protocol's own: editors colour the latter out of the box.
pub fn legend() -> SemanticTokensLegend {
    let types = TokenKind::ALL.iter().map(|k| type_name(*k).to_owned());
    let modifiers = Modifiers::NAMES.iter().map(|name| (*name).to_owned());
    SemanticTokensLegend {
        token_types: types.collect(),
        token_modifiers: modifiers.collect(),
    }
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

pub async fn full(server: &Server, p: SemanticTokensParams) -> Result<Option<SemanticTokens>> {
    let tokens = whole(server, &p.text_document.uri).await;
    Ok(tokens.map(|(tokens, _)| tokens))
}

/// What is other than in an answer before; all where that is not known any more.
pub async fn delta(
    server: &Server,
    p: SemanticTokensDeltaParams,
) -> Result<Option<SemanticTokensDeltaResponse>> {
    let Some((now, before)) = whole(server, &p.text_document.uri).await else {
        return Ok(None);
    };
    let known = before.filter(|(id, _)| *id == p.previous_result_id);
    Ok(Some(match known {
        Some((_, before)) => SemanticTokensDelta {
            edits: edit(&before, &now.data),
            result_id: now.result_id,
        }
        .into(),
        None => now.into(),
    }))
}

/// The tokens of the newest text, and the answer before.
async fn whole(server: &Server, uri: &Uri) -> Option<(SemanticTokens, Option<AnsweredTokens>)> {
    let mut tokens = with_snapshot(server, uri, |s, to, _| {
        Some(encode(&tokens::tokens(s, 0, u32::MAX), &to))
    })
    .await?;
    let mut hasher = DefaultHasher::new();
    tokens.data.hash(&mut hasher);
    let id = format!("{:016x}", hasher.finish());
    tokens.result_id = Some(id.clone());
    let mut state = server.state.lock();
    let open = state.documents.get_mut(&key(uri))?;
    let before = open.tokens.replace((id, tokens.data.clone()));
    Some((tokens, before))
}

/// The one edit that takes in all that differs: the beginnings and the ends that are alike stay. A token is five numbers.
fn edit(before: &[SemanticToken], now: &[SemanticToken]) -> Vec<SemanticTokensEdit> {
    let pairs = |a: &[SemanticToken], b: &[SemanticToken]| {
        a.iter().zip(b).take_while(|(a, b)| a == b).count()
    };
    let start = pairs(before, now);
    let (before, now) = (&before[start..], &now[start..]);
    let alike = before
        .iter()
        .rev()
        .zip(now.iter().rev())
        .take_while(|(a, b)| a == b)
        .count();
    let (gone, new) = (&before[..before.len() - alike], &now[..now.len() - alike]);
    if gone.is_empty() && new.is_empty() {
        return Vec::new();
    }
    let numbers = new.iter().flat_map(|t| {
        [
            t.delta_line,
            t.delta_start,
            t.length,
            t.token_type,
            t.token_modifiers_bitset,
        ]
    });
    vec![SemanticTokensEdit {
        start: 5 * start as u32,
        delete_count: 5 * gone.len() as u32,
        data: Some(numbers.collect()),
    }]
}

pub async fn range(
    server: &Server,
    p: SemanticTokensRangeParams,
) -> Result<Option<SemanticTokens>> {
    let tokens = with_snapshot(server, &p.text_document.uri, |s, to, _| {
        let first = to.to_line_byte(p.range.start).0;
        let last = to.to_line_byte(p.range.end).0;
        Some(encode(&tokens::tokens(s, first, last), &to))
    });
    Ok(tokens.await)
}

/// Each place is told from the one before.
fn encode(tokens: &[Token], to: &Converter) -> SemanticTokens {
    let mut data = Vec::with_capacity(tokens.len());
    let (mut line, mut start) = (0, 0);
    for token in tokens {
        let range = to.range(token.place);
        let length = range.end.character.saturating_sub(range.start.character);
        let kind = TokenKind::ALL.iter().position(|k| *k == token.kind);
        let Some(kind) = kind.filter(|_| length > 0) else {
            continue;
        };
        let flags = token.modifiers.flags();
        let bits = flags.iter().enumerate();
        let at = range.start;
        data.push(SemanticToken {
            delta_line: at.line - line,
            delta_start: if at.line == line {
                at.character - start
            } else {
                at.character
            },
            length,
            token_type: kind as u32,
            token_modifiers_bitset: bits.fold(0, |all, (n, set)| all | u32::from(*set) << n),
        });
        (line, start) = (at.line, at.character);
    }
    SemanticTokens {
        result_id: None,
        data,
    }
}
