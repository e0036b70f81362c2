//! # Fragrance allergens that the label must name
//!
//! Natural oils or fragrance bring allergens above the share from which the label must name them.
//!
//! ## Why
//! In the EU and the UK listed fragrance allergens are named in the ingredient list above 0.001 % in products that stay on and 0.01 % in those rinsed off, whatever they come with. How much of them an oil holds varies from lot to lot: the highest known share is counted, and the supplier's analysis of your lot decides. An allergen that is in the list already as an ingredient of its own is not repeated.
//!
//! ## What to do
//! Add the names to the list of ingredients; ask the supplier for the allergen statement of the lot. It is information once the file shows that the product is to be sold, before that a hint.
//!
//! ```formula,bad
//! formula "Body oil"
//!          ^^^^^^^^ Linalool
//!   product: body oil, leave-on
//!   type: anhydrous
//!   sold in: EU
//!
//! phase A
//!   caprylic/capric triglyceride             99.5 %
//!   lavender oil                             0.3 %
//!   tocopherol                               0.2 %
//! ```
//!
//! ```formula,good
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   sold in: EU
//!
//! phase A
//!   caprylic/capric triglyceride             99.5 %
//!   tocopherol                               0.5 %
//! ```

use super::label_level;
use crate::kb::law::Law;
use crate::kb::schema::{Allergen, Constituent, SourceKind};
use crate::model::composition::ShareOf;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "allergen-label",
    title: "Fragrance allergens that the label must name",
    group: Group::Cautions,
    loudest: Severity::Information,
    yields_to: &[],
    file: include_str!("allergen_label.rs"),
    check,
};

/// So many names are spelled out; the rest is counted.
const SPELLED: usize = 8;

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let Some(stays) = f.product.leave_on().filter(|_| f.shares.iter().any(|s| s.what == ShareOf::Constituent)) else { return };
    let mut names: Vec<&str> = Vec::new();
    let mut markets: Vec<&str> = Vec::new();
    let held: Vec<&Constituent> = f.rows.iter().filter_map(|r| Some(ctx.kb.get(r.id()?))).flat_map(|e| &e.constituents).collect();
    let mut best: Option<(SourceKind, &Law, &Allergen, &Constituent)> = None;
    for law in ctx.kb.laws_of(ctx.markets()) {
        for one in law.allergen.naming_any(f.substances()) {
            let limit = if stays { one.leave_on_percent.0 } else { one.rinse_off_percent.0 };
            if one.from.as_deref().is_some_and(|day| day > ctx.settings.today.as_str())
                || brought_along(ctx, one).is_none_or(|p| p <= limit)
            {
                continue;
            }
            if !names.contains(&one.name.as_str()) {
                names.push(&one.name);
            }
            if !markets.contains(&law.market.as_str()) {
                markets.push(&law.market);
            }
            // The surest figure of what the oil holds speaks for all.
            for c in held.iter().filter(|c| one.substances.contains(&c.of)) {
                let kind = ctx.kb.source(&c.source).map_or(SourceKind::Memory, |s| s.kind);
                if best.is_none_or(|(k, ..)| kind < k) {
                    best = Some((kind, law, one, c));
                }
            }
        }
    }
    let Some((_, law, one, constituent)) = best else { return };
    names.sort_unstable();
    let more = names.len().saturating_sub(SPELLED);
    let rest = format!("{more} more");
    names.truncate(SPELLED);
    if more > 0 {
        names.push(&rest);
    }
    let limit = if stays { one.leave_on_percent.0 } else { one.rinse_off_percent.0 };
    let (line, span) = ctx.heading();
    let message = format!(
        "the label in {} must name {}: above {} each, counted at the highest share known; add the names, and let the supplier's analysis of your lot decide",
        words::markets(&markets),
        words::list(&names),
        words::percent(limit)
    );
    sink.say(Subject::Formula, line, span, message).level(label_level(ctx)).law(law, one).rests_on(constituent);
}

/// The most of it that natural materials bring; none where it is in the list of ingredients by itself.
fn brought_along(ctx: &Context, one: &Allergen) -> Option<Decimal> {
    let mut sum = Decimal::ZERO;
    for id in one.substances.iter().filter_map(|s| ctx.kb.by_id(s)) {
        for share in ctx.formula.shares_of(id) {
            if share.what != ShareOf::Constituent {
                return None;
            }
            sum += share.high;
        }
    }
    Some(sum)
}
