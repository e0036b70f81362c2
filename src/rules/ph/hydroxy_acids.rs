//! Hydroxy acids as a formula holds them, and the figures of the published panel.

use crate::kb::Id;
use crate::kb::schema::Threshold;
use crate::model::component::ComponentKind;
use crate::rules::{Context, words};
use rust_decimal::Decimal;

/// The alpha-hydroxy acids; salts count by what they yield.
const ACIDS: [&str; 6] = [
    "glycolic-acid",
    "lactic-acid",
    "malic-acid",
    "mandelic-acid",
    "tartaric-acid",
    "citric-acid",
];

pub(super) struct Part {
    pub row: usize,
    /// Id of the acid that it counts as.
    pub acid: &'static str,
    /// As the acid.
    pub percent: Decimal,
}

/// What is too strong, what to do, and the figure.
pub(super) struct Clash<'a> {
    pub what: String,
    pub way_out: &'static str,
    pub figure: &'a Threshold,
    pub too_much: bool,
}

/// Dry and water-free products meet the skin thinned, or not at all; baths thin them a thousandfold.
pub(super) fn is_thinned(ctx: &Context) -> bool {
    let least = ctx.kb.threshold("incidental-share-percent").value.0;
    ctx.formula.product.has("bath") || ctx.formula.water_percent < least
}

/// The panel's second figure is for what a trained hand applies briefly and rinses off.
pub(super) fn is_salon(ctx: &Context) -> bool {
    let product = &ctx.formula.product;
    product.has("professional") && product.leave_on() != Some(true)
}

/// What is beyond the panel's figures for consumers, or for trained professionals.
pub(super) fn beyond<'a>(
    ctx: &Context<'a>,
    parts: &[Part],
    sum: Decimal,
    salon: bool,
) -> Option<Clash<'a>> {
    let (most, lowest) = if salon {
        (
            "hydroxy-acid-salon-max-percent",
            "hydroxy-acid-salon-min-ph",
        )
    } else {
        ("hydroxy-acid-max-percent", "hydroxy-acid-min-ph")
    };
    let (most, lowest) = (ctx.kb.threshold(most), ctx.kb.threshold(lowest));
    let hands = if salon {
        "in trained hands"
    } else {
        "for consumers"
    };
    let shown = words::percent(sum.round_dp(1));
    let together = if parts.len() > 1 {
        " in all (as acid)"
    } else {
        ""
    };
    if sum > most.value.0 {
        return Some(Clash {
            what: format!(
                "{shown} hydroxy acid{together}: published as safe {hands} is {} at most",
                words::percent(most.value.0)
            ),
            way_out: "Use less",
            figure: most,
            too_much: true,
        });
    }
    let ph = ctx.ph_allowed()?.low;
    (ph < lowest.value.0 && sum >= ctx.kb.threshold("hydroxy-acid-counts-percent").value.0).then(|| Clash {
        what: format!(
            "{shown} hydroxy acid{together} at pH {}: published as safe {hands} is pH {} or above",
            words::number(ph, 2),
            lowest.value
        ),
        way_out: "Raise the pH with a little sodium hydroxide or arginine",
        figure: lowest,
        too_much: false,
    })
}

/// The hydroxy acids row by row, as acid.
pub(super) fn parts(ctx: &Context) -> Vec<Part> {
    let mut out: Vec<Part> = Vec::new();
    for s in ctx
        .formula
        .components
        .iter()
        .filter(|s| s.kind == ComponentKind::Substance && !s.max.is_zero())
    {
        let Some((acid, factor)) = as_acid(ctx, s.id) else {
            continue;
        };
        let percent = s.max * factor;
        match out.iter_mut().find(|p| p.row == s.row && p.acid == acid) {
            Some(p) => p.percent += percent,
            None => out.push(Part {
                row: s.row,
                acid,
                percent,
            }),
        }
    }
    out
}

/// The hydroxy acid that a substance counts as, and its grams from a gram of the acid, a salt or a hydrate.
fn as_acid(ctx: &Context, id: Id) -> Option<(&'static str, Decimal)> {
    let entry = ctx.kb.get(id);
    if let Some(acid) = ACIDS.iter().find(|a| **a == entry.id) {
        return Some((acid, Decimal::ONE));
    }
    let (y, acid) = entry
        .counts_as
        .iter()
        .find_map(|y| Some((y, *ACIDS.iter().find(|a| **a == y.of)?)))?;
    let mass = ctx.kb.substance(&y.of)?.1.molar_mass.as_deref()?.value.0;
    Some((
        acid,
        (y.moles.0 * mass).checked_div(entry.molar_mass.as_deref()?.value.0)?,
    ))
}
