//! Whether a row that is not known could be what preserves.

use crate::model::{Formula, Material};
use crate::rules::Context;
use rust_decimal::Decimal;

/// Words of a name that say what a material is, and that it preserves nothing.
const PLAIN: &[&str] = &[
    "oil",
    "butter",
    "wax",
    "water",
    "hydrosol",
    "distillate",
    "juice",
    "milk",
    "honey",
    "tea",
    "infusion",
    "clay",
    "flour",
    "starch",
    "mica",
    "pigment",
    "colour",
    "color",
    "colourant",
    "colorant",
    "glitter",
    "sugar",
    "flavour",
    "flavor",
    "fragrance",
    "perfume",
    "parfum",
    "scent",
    "puree",
    "yogurt",
    "oats",
    "oatmeal",
    "petals",
    "herbs",
    "seeds",
];
/// Beginnings of words of a name that may preserve, or bring alcohol or a preservative along.
const DOUBTFUL: &[&str] = &[
    "preserv",
    "alcohol",
    "ethanol",
    "tinctur",
    "spirit",
    "vodka",
    "extract",
    "ferment",
    "phen",
    "benz",
    "sorb",
    "paraben",
    "glycol",
    "acid",
    "glycerin",
    "glycerite",
    "antimicrob",
    "peroxide",
    "silver",
    "capryl",
    "levulin",
    "anis",
    "dehydro",
    "hydroxyacet",
];

/// Whether all that is not known is plainly no preservative, and too little to bind or replace the water.
pub(super) fn preserve_nothing(ctx: &Context) -> bool {
    let f = ctx.formula;
    let mut unknown = Decimal::ZERO;
    for row in &f.rows {
        let Some(percent) = row.percent else {
            return false;
        };
        let plain = match &row.material {
            Material::Known { .. } => continue,
            Material::Ambiguous(ids) => ids.iter().all(|id| {
                let one = ctx.kb.get(*id);
                one.preservative.is_none() && one.composition.is_empty()
            }),
            Material::Unknown => is_plain(&row.name.value),
            Material::Nested(_) | Material::Unusable(_) => false,
        };
        if !plain {
            return false;
        }
        unknown += percent;
    }
    is_weighed(f) && unknown <= f.water_percent
}

/// The whole is known, so that the water is.
fn is_weighed(f: &Formula) -> bool {
    matches!(f.total, crate::model::Total::Known(_))
}

/// "witch hazel distillate, alcohol-free": what a name is free of does not count.
fn is_plain(name: &str) -> bool {
    let name = name.to_lowercase();
    let words: Vec<&str> = name
        .split(|c: char| !c.is_alphanumeric() && c != '-')
        .filter(|w| !w.is_empty() && !w.ends_with("-free"))
        .collect();
    let doubtful = |w: &&str| DOUBTFUL.iter().any(|d| w.contains(d));
    words.iter().any(|w| PLAIN.contains(w)) && !words.iter().any(doubtful)
}
