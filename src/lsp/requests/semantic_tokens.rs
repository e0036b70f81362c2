use super::super::convert::Converter;
use super::super::state::Server;
use super::with_snapshot;
use crate::ide::tokens::{self, Modifiers, Token, TokenKind};
use tower_lsp::gen_lsp_types::{
    SemanticToken, SemanticTokens, SemanticTokensLegend, SemanticTokensParams,
    SemanticTokensRangeParams,
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
    let tokens = with_snapshot(server, &p.text_document.uri, |s, to, _| {
        Some(encode(&tokens::tokens(s, 0, u32::MAX), &to))
    });
    Ok(tokens.await)
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
