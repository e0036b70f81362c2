//! The name that a market's label prints: the INCI name in the spelling of the European glossary (Latin for what nature
//! and the kitchen give, Colour Index numbers for colourants), that of the United States, or the Canadian one.

use super::parts::LabelPart;
use super::schedule;
use crate::analysis::law::purpose_of;
use crate::kb::Market;
use crate::kb::schema::Ingredient;
use smol_str::SmolStr;

/// Iron oxides have one listing in the United States, 21 CFR 73.2250; the shades by Colour Index number stand behind it.
const IRON_OXIDES: [&str; 4] = ["77489", "77491", "77492", "77499"];

/// The printed name; none where the market's is not known.
pub fn name(market: Market, one: &Ingredient, part: &LabelPart) -> Option<String> {
    match market {
        Market::UnitedStates => american(one),
        Market::Canada => canadian(one, part),
        Market::EuropeanUnion | Market::UnitedKingdom => european(one, part),
    }
}

/// Whether it stands among the colourants: the row says so, or that is what the material is for.
pub fn colours(one: &Ingredient, part: &LabelPart) -> bool {
    part.colours
        || one
            .roles
            .primary()
            .is_some_and(|r| purpose_of(r) == "colourant")
}

fn european(one: &Ingredient, part: &LabelPart) -> Option<String> {
    if colours(one, part)
        && let Some(ci) = &one.ci
    {
        return Some(index(ci));
    }
    one.inci
        .as_ref()
        .map(SmolStr::to_string)
        .or_else(|| one.ci.as_deref().map(index))
}

fn american(one: &Ingredient) -> Option<String> {
    if one
        .ci
        .as_deref()
        .is_some_and(|ci| IRON_OXIDES.contains(&number(ci)))
    {
        return Some(format!(
            "Iron Oxides ({})",
            index(one.ci.as_deref().unwrap_or_default())
        ));
    }
    one.inci_us
        .as_ref()
        .or(one.inci.as_ref())
        .map(SmolStr::to_string)
}

/// Cosmetic Regulations, s. 21.2: by INCI name, botanicals with genus and species; what stands in the Schedule by all of
/// its three names, which needs no translation; "parfum" and "aroma" by s. 21.4(3).
fn canadian(one: &Ingredient, part: &LabelPart) -> Option<String> {
    let european_name = one.inci.as_deref();
    if let Some(three) = schedule::names(european_name, one.inci_us.as_deref()) {
        return Some(three);
    }
    if colours(one, part) || matches!(european_name, Some("Parfum" | "Aroma")) {
        return european(one, part);
    }
    one.inci_us
        .as_ref()
        .or(one.inci.as_ref())
        .map(SmolStr::to_string)
}

fn number(ci: &str) -> &str {
    ci.strip_prefix("CI ").unwrap_or(ci)
}

fn index(ci: &str) -> String {
    format!("CI {}", number(ci))
}
