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
//!          ^^^^^^^^ allergens above 0.001 %
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

use crate::kb::Market;
use super::label_level;
use crate::kb::schema::{Constituent, SourceKind};
use crate::analysis::law::AllergenHit;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "allergen-label",
    title: "Fragrance allergens that the label must name",
    group: Group::Cautions,
    loudest: Severity::Information,
    file: include_str!("allergen_label.rs"),
    check,
    in_soap: true,
    ..Rule::DEFAULT
};

/// So many names are spelled out; the rest is counted.
const SPELLED: usize = 12;

fn check(ctx: &Context, sink: &mut Sink) {
    let mut names: Vec<&str> = Vec::new();
    let mut markets: Vec<Market> = Vec::new();
    let mut first: Option<&AllergenHit> = None;
    let mut best: Option<(SourceKind, &AllergenHit, &Constituent)> = None;
    // What stands in the list by itself is on the label without being asked for.
    for hit in ctx.law().allergens().in_force().filter(|h| !h.listed) {
        first.get_or_insert(hit);
        if !names.contains(&hit.allergen.name.as_str()) {
            names.push(&hit.allergen.name);
        }
        if !markets.contains(&hit.market) {
            markets.push(hit.market);
        }
        // The surest figure of what a material holds speaks for all.
        for c in hit.constituents(ctx.kb) {
            let kind = ctx.kb.source(&c.source).map_or(SourceKind::Unsourced, |s| s.kind);
            if best.is_none_or(|(k, ..)| kind < k) {
                best = Some((kind, hit, c));
            }
        }
    }
    let Some(hit) = best.map(|(_, hit, _)| hit).or(first) else { return };
    names.sort_unstable();
    let count = names.len();
    let more = names.len().saturating_sub(SPELLED);
    let rest = format!("{more} more");
    names.truncate(SPELLED);
    if more > 0 {
        names.push(&rest);
    }
    let (line, span) = ctx.heading();
    let message = format!(
        "{count} {} above {}: the label in {} must name {}",
        words::by_count(count, "allergen", "allergens"),
        words::percent(hit.threshold),
        words::markets(&markets),
        words::by_count(count, "it", "them")
    );
    let said = sink
        .say(Subject::Formula, line, span, message)
        .help("Add the names to the label, and let the supplier's analysis of your lot decide")
        .why(format!("counted at the highest share known: {}", words::list(&names)))
        .level(label_level(ctx))
        .law(hit.law, hit.allergen);
    if let Some((_, _, constituent)) = best {
        said.rests_on(constituent);
    }
}
