//! Numbers: exact decimals, or a plain word about what is wrong with them.

use super::grammar::Rule;
use super::scan::Part;
use super::tree::{ErrorCode, LineFix, SyntaxError};
use pest::iterators::Pair;
use rust_decimal::Decimal;

/// True of the rules that `figure` is made of.
pub fn is_figure(rule: Rule) -> bool {
    matches!(
        rule,
        Rule::easy
            | Rule::plain
            | Rule::comma_clash
            | Rule::group_clash
            | Rule::grouped
            | Rule::vulgar
            | Rule::slashed
    )
}

/// The exact value of a figure.
pub fn value(pair: &Pair<'_, Rule>, part: Part<'_>) -> Result<Decimal, Box<SyntaxError>> {
    let text = part.text;
    match pair.as_rule() {
        Rule::easy | Rule::plain => exact(text).ok_or_else(|| too_long(part)),
        Rule::comma_clash => Err(comma_clash(part)),
        Rule::group_clash => Err(group_clash(part)),
        Rule::grouped => Err(grouped(part)),
        _ => Err(fraction(part)),
    }
}

/// Numbers reach up to this, and no further: a thousand tonnes in grams. Sums and products of them stay exact.
const MAX_VALUE: Decimal = Decimal::from_parts(1_000_000_000, 0, 0, false, 0);
/// Digits behind the point.
const MAX_SCALE: u32 = 9;

/// One clear number to its exact value: digits with at most one mark, point or comma. None where it has more digits
/// than any scale shows.
pub fn exact(text: &str) -> Option<Decimal> {
    let value = short(text).or_else(|| long(text))?;
    let fits = value.abs() <= MAX_VALUE
        && (value.scale() <= MAX_SCALE || value.normalize().scale() <= MAX_SCALE);
    fits.then_some(value)
}

fn long(text: &str) -> Option<Decimal> {
    let mut clean = String::with_capacity(text.len() + 1);
    for c in text.chars() {
        match c {
            ',' => clean.push('.'),
            '\u{2212}' => clean.push('-'),
            c => clean.push(c),
        }
    }
    if let Some(dot) = clean.find('.')
        && !clean[..dot].ends_with(|c: char| c.is_ascii_digit())
    {
        clean.insert(dot, '0');
    }
    Decimal::from_str_exact(&clean).ok()
}

/// Digits and one point, few enough for a machine word: nearly every number.
fn short(text: &str) -> Option<Decimal> {
    let mut value = 0i64;
    let mut scale = None;
    if text.len() > 17 || !text.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    for b in text.bytes() {
        match b {
            b'0'..=b'9' => {
                value = value * 10 + i64::from(b - b'0');
                scale = scale.map(|s: u32| s + 1);
            }
            b'.' | b',' if scale.is_none() => scale = Some(0),
            _ => return None,
        }
    }
    Some(Decimal::new(value, scale.unwrap_or(0)))
}

fn fault(
    code: ErrorCode,
    part: Part<'_>,
    message: String,
    fixes: Vec<LineFix>,
) -> Box<SyntaxError> {
    Box::new(SyntaxError::new(code, part.span(), &message, fixes))
}

fn write(part: Part<'_>, text: String) -> LineFix {
    LineFix {
        title: format!("Change to {text}"),
        span: part.span(),
        text,
    }
}

fn too_long(part: Part<'_>) -> Box<SyntaxError> {
    fault(
        ErrorCode::Syntax,
        part,
        format!(
            "\"{}\" has more digits than can be kept exactly\nRound it to at most 9 before and 9 behind the point",
            part.text
        ),
        vec![],
    )
}

fn comma_clash(part: Part<'_>) -> Box<SyntaxError> {
    let text = part.text;
    let thousands = text.replace(',', "");
    let decimal = trim_zeros(&text.replace(',', "."));
    fault(
        ErrorCode::AmbiguousNumber,
        part,
        format!(
            "\"{text}\" can be read two ways: {thousands} or {decimal}\nWrite the one that you mean"
        ),
        vec![write(part, decimal), write(part, thousands)],
    )
}

fn group_clash(part: Part<'_>) -> Box<SyntaxError> {
    let text = part.text;
    let cut = text
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(text.len());
    let (first, rest) = text.split_at(cut);
    let last = rest.trim_start_matches(|c: char| !c.is_ascii_digit());
    let one = format!("{first}{}", last.replace(',', "."));
    let mut fixes = vec![write(part, one.clone())];
    if rest.starts_with(super::scan::is_blank) {
        let text = format!("{first}  {last}");
        fixes.push(LineFix {
            title: format!("Part them: {first} belongs to the name, {last} is the amount"),
            span: part.span(),
            text,
        });
    }
    fault(
        ErrorCode::AmbiguousNumber,
        part,
        format!(
            "\"{text}\" can be read as {one}, or as {first} and {last}\nWrite {one}, or two blanks before {last}"
        ),
        fixes,
    )
}

fn grouped(part: Part<'_>) -> Box<SyntaxError> {
    let text = part.text;
    let mark = text.rfind(['.', ',']);
    let decimals = mark.filter(|&at| {
        let c = text.as_bytes()[at];
        text.bytes().filter(|&b| b == c).count() == 1
    });
    let keep = |s: &str| s.chars().filter(char::is_ascii_digit).collect::<String>();
    let plain = match decimals {
        Some(at) => format!("{}.{}", keep(&text[..at]), &text[at + 1..]),
        None => keep(text),
    };
    fault(
        ErrorCode::Syntax,
        part,
        format!(
            "\"{text}\" has marks between its thousands, and a number here has none\nWrite {plain}"
        ),
        vec![write(part, plain)],
    )
}

fn fraction(part: Part<'_>) -> Box<SyntaxError> {
    let fixes = fraction_value(part.text).map(|v| write(part, v.normalize().to_string()));
    let way = fixes
        .as_ref()
        .map_or("Write it as a decimal, such as 0.5".to_string(), |f| {
            format!("Write {}", f.text)
        });
    fault(
        ErrorCode::Syntax,
        part,
        format!(
            "fractions such as \"{}\" are read of spoons, cups, ounces and pounds alone\n{way}",
            part.text
        ),
        fixes.into_iter().collect(),
    )
}

/// A fraction that ends within four decimals has a fix; a third has none.
fn fraction_value(text: &str) -> Option<Decimal> {
    quotient(text).filter(|value| value.normalize().scale() <= 4)
}

/// The value of a written fraction: exact, or to nine digits where `rounded`. None for any other figure, and where it does not end.
pub fn fraction_of(rule: Rule, text: &str, rounded: bool) -> Option<Decimal> {
    if !matches!(rule, Rule::vulgar | Rule::slashed) {
        return None;
    }
    let value = quotient(text)?;
    if rounded {
        return Some(value.round_dp(MAX_SCALE).normalize());
    }
    (value.normalize().scale() <= MAX_SCALE).then(|| value.normalize())
}

/// True of a whole and a fraction parted by a blank: "1 1/2", "1 ½".
pub fn is_mixed(text: &str) -> bool {
    let fraction = text.contains(['/', '\u{2044}']) || text.ends_with(|c| vulgar(c).is_some());
    fraction && text.contains(super::scan::is_blank)
}

/// `polysorbate 20 1/2 tsp`: whose is the 20?
pub fn mixed_clash(part: Part<'_>) -> Box<SyntaxError> {
    let (whole, rest) = part
        .text
        .split_once(super::scan::is_blank)
        .unwrap_or((part.text, ""));
    let rest = rest.trim();
    let mut fixes: Vec<LineFix> = quotient(part.text)
        .map(|v| write(part, v.round_dp(4).normalize().to_string()))
        .into_iter()
        .collect();
    fixes.push(LineFix {
        title: format!("Part them: {whole} belongs to the name, {rest} is the amount"),
        span: part.span(),
        text: format!("{whole}  {rest}"),
    });
    fault(
        ErrorCode::AmbiguousNumber,
        part,
        format!(
            "\"{}\" can be read as one number, or as {whole} and {rest}\nPut two blanks before the amount",
            part.text
        ),
        fixes,
    )
}

fn vulgar(sign: char) -> Option<(u32, u32)> {
    Some(match sign {
        '¼' => (1, 4),
        '½' => (1, 2),
        '¾' => (3, 4),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        _ => return None,
    })
}

fn quotient(text: &str) -> Option<Decimal> {
    let (whole, top, bottom) = match text.find(['/', '\u{2044}']) {
        Some(slash) => {
            let left = text[..slash].trim();
            let (whole, top) = left
                .rsplit_once(super::scan::is_blank)
                .unwrap_or(("0", left));
            let below = text[slash..].trim_start_matches(['/', '\u{2044}']);
            (
                whole.trim(),
                top.parse::<u32>().ok()?,
                below.trim().parse::<u32>().ok()?,
            )
        }
        None => {
            let sign = text.chars().next_back()?;
            let whole =
                text[..text.len() - sign.len_utf8()].trim_end_matches(super::scan::is_blank);
            let (top, bottom) = vulgar(sign)?;
            (if whole.is_empty() { "0" } else { whole }, top, bottom)
        }
    };
    let share = Decimal::from(top).checked_div(Decimal::from(bottom))?;
    exact(whole)?.checked_add(share)
}

fn trim_zeros(text: &str) -> String {
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_string(),
        false => text.to_string(),
    }
}
