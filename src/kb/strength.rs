//! A strength that is written into a name: "lactic acid 80 %".

use rust_decimal::Decimal;

/// A name together with the strength written into it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Strength {
    pub percent: Decimal,
    pub basis: StrengthBasis,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StrengthBasis {
    ByWeight,
    WeightInVolume,
    ByVolume,
}

/// What a bracket gives a strength of: "0.5% xanthan", "xanthan 0.5%", "with 0.5% xanthan" -> "xanthan". None where it is the
/// material's own ("80%", "80 % w/w in water", "88%, usp"), or where no percentage stands in it.
pub(super) fn strength_of(inside: &str) -> Option<String> {
    let (before, after) = inside.split_once('%')?;
    let before = before.trim_end();
    let figure_at = before.rfind(' ').map_or(0, |at| at + 1);
    let figure = before[figure_at..].trim_start_matches(['>', '<', '~', '≥', '≤']);
    let is_number = !figure.is_empty()
        && figure
            .bytes()
            .all(|b| b.is_ascii_digit() || b".,".contains(&b));
    if !is_number {
        return None;
    }
    let words = before[..figure_at]
        .split([' ', ','])
        .chain(after.split([' ', ',']));
    let of: Vec<&str> = words.filter(|w| !STRENGTH_WORDS.contains(w)).collect();
    (!of.is_empty()).then(|| of.join(" "))
}

/// Words around a strength that change nothing in what it is a strength of.
const STRENGTH_WORDS: [&str; 25] = [
    "",
    "w/w",
    "m/m",
    "w/v",
    "m/v",
    "v/v",
    "solution",
    "aqueous",
    "in",
    "water",
    "active",
    "dilution",
    "min",
    "with",
    "containing",
    "contains",
    "about",
    "approx",
    "approx.",
    "ca",
    "ca.",
    "usp",
    "nf",
    "bp",
    "pure",
];

/// "ethanol 190 proof" -> "ethanol 95% v/v": degrees of proof are twice the percent by volume (27 CFR 5.1). None where no proof is named.
pub(super) fn proof(k: &str) -> Option<String> {
    let words: Vec<&str> = k.split(' ').collect();
    let at = words.iter().position(|w| *w == "proof")?;
    let degrees: Decimal = words.get(at.checked_sub(1)?)?.parse().ok()?;
    if degrees.is_zero() || degrees > Decimal::TWO * Decimal::ONE_HUNDRED {
        return None;
    }
    let percent = (degrees / Decimal::TWO).normalize();
    let name = [&words[..at - 1], &words[at + 1..]].concat().join(" ");
    (!name.is_empty()).then(|| format!("{name} {percent}% v/v"))
}

/// "lactic acid 80 %" -> ("lactic acid", 80 %). Also "10 % lactic acid", "panthenol 75 % solution", "ethanol 96 % v/v".
pub(super) fn split_strength(k: &str) -> Option<(String, (Decimal, Option<StrengthBasis>))> {
    let at = k.find('%')?;
    let before = k[..at].trim_end();
    let after = k[at + 1..].trim();
    let number_at = before
        .rfind(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','))
        .map_or(0, |p| {
            p + before[p..].chars().next().map_or(1, char::len_utf8)
        });
    let percent: Decimal = before[number_at..].replace(',', ".").parse().ok()?;
    if percent.is_zero() || percent > Decimal::ONE_HUNDRED {
        return None;
    }
    let mut basis = None;
    let mut rest: Vec<&str> = Vec::new();
    // "retinol 1 % in squalane": thinned with something else than the base has for it.
    let in_other = after
        .strip_prefix("in ")
        .is_some_and(|of| !of.starts_with("water"));
    if in_other {
        return None;
    }
    for word in after.split([' ', ',']) {
        match word.trim_matches(|c| c == '(' || c == ')') {
            "w/w" | "m/m" => basis = Some(StrengthBasis::ByWeight),
            "w/v" | "m/v" => basis = Some(StrengthBasis::WeightInVolume),
            "v/v" => basis = Some(StrengthBasis::ByVolume),
            "" | "solution" | "aqueous" | "in" | "water" | "active" | "dilution" | "pure"
            | "usp" | "nf" | "bp" => {}
            _ => rest.push(word),
        }
    }
    let head = before[..number_at].trim().trim_end_matches('(').trim_end();
    let name = match (head.is_empty(), rest.is_empty()) {
        (false, true) => head.strip_suffix(" solution").unwrap_or(head).to_owned(),
        (true, false) => rest.join(" "),
        (false, false) => format!("{head} {}", rest.join(" ")),
        (true, true) => return None,
    };
    Some((name, (percent, basis)))
}
