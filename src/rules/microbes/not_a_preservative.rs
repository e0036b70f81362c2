//! # Taken for a preservative
//!
//! Something stands here to preserve that does not: vitamin E, rosemary extract, grapefruit-seed extract, an essential oil, honey.
//!
//! ## Why
//! Vitamin E and rosemary extract keep oils from going rancid; they do nothing to bacteria, yeast and mould. Essential oils act at levels that skin does not bear. Honey keeps only undiluted. Grapefruit-seed extract was found to act by preservatives that had been added to it.
//!
//! Where nothing else protects the product, `no-preservative` says so and this rule is silent.
//!
//! ## What to do
//! Add a preservative. Keep the antioxidant for the oils, without `as preservative`.
//!
//! ```formula,bad
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 4.5 to 4.8
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   sodium benzoate                          0.5 %
//!   potassium sorbate                        0.3 %
//!   grapefruit seed extract                  0.5 %  as preservative
//!                                                      ^^^^^^^^^^^^ not a preservative
//! ```
//!
//! ```formula,fixed
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 4.5 to 4.8
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   sodium benzoate                          0.5 %
//!   potassium sorbate                        0.3 %
//!   grapefruit seed extract                  0.5 %
//! ```
//!
//! ```formula,good
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 4.5 to 4.8
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   sodium benzoate                          0.5 %
//!   potassium sorbate                        0.3 %
//!   grapefruit seed extract                  0.5 %
//! ```

use crate::kb::schema::PreservativeKind;
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject};
use crate::text::Span;

pub static RULE: Rule = Rule {
    code: "not-a-preservative",
    title: "Taken for a preservative",
    group: Group::Microbes,
    loudest: Severity::Warning,
    yields_to: &["no-preservative"],
    file: include_str!("not_a_preservative.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let some = ctx.kb.threshold("incidental-share-percent").value.0;
    let watery = f.water_percent + super::watery_food_percent(ctx) >= some;
    let unprotected = watery
        && !f.fields.use_at_once
        && !f.has_unknown
        && ctx.protects().is_none()
        && ctx.preservatives().iter().all(|p| p.kind == PreservativeKind::Booster);
    for (n, does) in super::mistaken(ctx) {
        let row = &f.rows[n];
        let said = row.purpose.as_ref().filter(|p| p.value == "preservative");
        if said.is_none() && !unprotected {
            continue;
        }
        let span = said.map_or(row.name.span, |p| p.span);
        let fix = said.and_then(|p| without_purpose(ctx, row.line, p.span));
        sink.say(Subject::Row(n), row.line, span, format!("{} is not a preservative: it {does}", row.name.value)).help("Add a preservative").fixes(fix);
    }
}

/// Takes `as preservative` off the row.
fn without_purpose(ctx: &Context, line: u32, purpose: Span) -> Option<Fix> {
    let text = &ctx.tree.lines.get(line as usize)?.line.text;
    let start = text.get(..purpose.start as usize)?.trim_end().strip_suffix("as")?.trim_end().len();
    Some(Fix::new("Remove \"as preservative\"", vec![Edit::replace(line, Span::new(start, purpose.end as usize), "")]))
}
