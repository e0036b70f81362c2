//! What was bought, and for how much.

use super::{Pack, Read, pack, part};
use crate::chem::units::Dimension;
use crate::syntax::grammar::{self, Rule};
use crate::syntax::measure::{Figures, syntax};
use crate::syntax::scan::{self, Part};
use crate::syntax::tree::LineFix;
use crate::text::{Span, Spanned};
use rust_decimal::Decimal;

/// `1 kg for 9.40 EUR` of the field `bought`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bought {
    pub pack: Pack,
    pub price: Option<Price>,
}

/// Exact, in the money that is written; nothing is ever changed from one into another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Price {
    pub amount: Decimal,
    /// `EUR`; a sign other than € and £ stays as it is, since several countries share it.
    pub currency: String,
}

/// `1 kg for 9.40 EUR`, `2 x 500 g for 18 EUR`; without a price, `250 g`.
pub fn bought(value: &Spanned<String>) -> Read<Bought> {
    bought_part(part(value))
}

pub(super) fn bought_part(value: Part<'_>) -> Read<Bought> {
    let none = |span| {
        syntax(
            span,
            format!(
                "\"{}\" is not a purchase\nWrite 1 kg for 9.40 EUR",
                value.text
            ),
            vec![],
        )
    };
    let parted = value
        .words()
        .find(|(_, w)| scan::same(w, "for"))
        .map(|(at, _)| at);
    let amount = value.to(parted.unwrap_or(value.text.len())).trim();
    if amount.is_empty() {
        return Err(none(value.span()));
    }
    let pack = pack(amount).map_err(|e| {
        if e.span == amount.span() {
            none(amount.span())
        } else {
            e
        }
    })?;
    if !matches!(
        pack.each.unit.dimension(),
        Dimension::Mass | Dimension::Volume | Dimension::Count
    ) {
        return Err(syntax(
            pack.each.unit_span,
            "what was bought is a weight, a volume or pieces\nWrite 1 kg for 9.40 EUR".to_owned(),
            vec![],
        ));
    }
    if pack.count == 0 || pack.each.value <= Decimal::ZERO {
        return Err(syntax(
            amount.span(),
            format!(
                "\"{}\" holds nothing\nWrite how much was bought, as in 1 kg for 9.40 EUR",
                amount.text
            ),
            vec![],
        ));
    }
    let price = parted.map(|at| value.from(at + 3).trim());
    if price.is_some_and(Part::is_empty) {
        return Err(none(value.span()));
    }
    let price = price.map(price_part).transpose()?;
    Ok(Bought { pack, price })
}

/// `9.40 EUR`, `€ 9.40`.
pub fn price(value: &Spanned<String>) -> Read<Price> {
    price_part(part(value))
}

fn price_part(value: Part<'_>) -> Read<Price> {
    let none = || {
        syntax(
            value.span(),
            format!("\"{}\" is not a price\nWrite 9.40 EUR", value.text),
            vec![],
        )
    };
    // A sign or a code before the number, where none stands behind it.
    let digits = value
        .text
        .find(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '\u{2212}'))
        .ok_or_else(none)?;
    let before = value.to(digits).trim();
    let figures = grammar::pair(Rule::a_measure, value.from(digits))
        .and_then(|p| Figures::of(p.into_inner(), value.from(digits)));
    let figures = figures.ok_or_else(none)?;
    let amount = figures.value()?;
    let currency = match (before.is_empty(), figures.unit) {
        (false, None) => before,
        (true, Some(unit)) => unit,
        (true, None) => {
            let end = Span::new(
                figures.whole.span().range().end,
                figures.whole.span().range().end,
            );
            let fix = LineFix {
                title: format!("Change to {} EUR", figures.whole.text),
                span: end,
                text: " EUR".to_owned(),
            };
            return Err(syntax(
                value.span(),
                format!(
                    "the price does not say in which money\nWrite it behind the number, as in {} EUR",
                    figures.whole.text
                ),
                vec![fix],
            ));
        }
        (false, Some(_)) => return Err(none()),
    };
    if amount < Decimal::ZERO {
        return Err(syntax(
            figures.whole.span(),
            "the price is less than nothing\nWrite what was paid".to_owned(),
            vec![],
        ));
    }
    Ok(Price {
        amount,
        currency: money(currency.text).ok_or_else(none)?,
    })
}

/// The name of a money: its code in capitals, or a sign as it is.
fn money(text: &str) -> Option<String> {
    let text = text.trim_end_matches('.');
    match text {
        "€" => return Some("EUR".to_owned()),
        "£" => return Some("GBP".to_owned()),
        _ if scan::same(text, "euro") || scan::same(text, "euros") => {
            return Some("EUR".to_owned());
        }
        _ => {}
    }
    let sign = |c: char| matches!(c, '$' | '¢' | '¥' | '\u{20A0}'..='\u{20CF}');
    if text.is_empty()
        || !text.chars().all(|c| c.is_alphabetic() || sign(c))
        || text.chars().count() > 12
    {
        return None;
    }
    // A code of three letters is one whichever way it is typed.
    let code = text.chars().count() == 3 && text.chars().all(|c| c.is_ascii_alphabetic());
    Some(if code {
        text.to_ascii_uppercase()
    } else {
        text.to_owned()
    })
}
