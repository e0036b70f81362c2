//! # Too little for the scale
//!
//! The weight in this batch is so small that the scale cannot show it well.
//!
//! ## Why
//! A scale that reads 0.01 g may be off by that much. On 0.05 g that is a fifth: too much preservative, or too little.
//!
//! ## What to do
//! Make a larger batch, or weigh a dilution of the material. Above a tenth of the weight this is a warning; for preservatives and what law limits, above a twentieth. A chelator works over a wide range and is a hint. The scale is set in `phasewright.toml` (`scale = "0.01 g"`).
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!   batch: 20 g
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   tocopherol     0.2 %
//!                  ^^^^^ 0.04 g
//!   sunflower oil  q.s.
//! ```
//!
//! ```formula,good
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!   batch: 200 g
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   tocopherol     0.2 %
//!   sunflower oil  q.s.
//! ```

use crate::kb::Id;
use crate::kb::role::Role;
use crate::kb::schema::PreservativeKind;
use crate::model::dilution::{self, Carriers};
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject, words};
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;
use std::cell::LazyCell;

pub static RULE: Rule = Rule {
    code: "below-scale",
    title: "Too little for the scale",
    group: Group::Arithmetic,
    loudest: Severity::Warning,
    file: include_str!("below_scale.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(batch) = ctx.formula.batch_g() else { return };
    let scale = ctx.settings.scale_g(ctx.kb);
    let (some, much) = (ctx.kb.threshold("scale-share-hint"), ctx.kb.threshold("scale-share-warning"));
    let enough = some.value.0.checked_mul(batch).and_then(|most| (scale * Decimal::ONE_HUNDRED).checked_div(most));
    let carriers = LazyCell::new(|| Carriers::of(ctx.formula, ctx.kb));
    let matters = LazyCell::new(|| matters(ctx));
    for (n, row) in ctx.formula.rows.iter().enumerate() {
        if !matches!(row.amount.value, Amount::Measured(_)) {
            continue;
        }
        let Some(percent) = row.percent.filter(|p| *p > Decimal::ZERO) else { continue };
        // The usual case needs no division: the scale shows well enough what is so much or more.
        if enough.is_some_and(|enough| percent >= enough) {
            continue;
        }
        let Some(grams) = (percent / Decimal::ONE_HUNDRED).checked_mul(batch) else { continue };
        let Some(share) = scale.checked_div(grams) else { continue };
        if share <= some.value.0 {
            continue;
        }
        let wide = row.id().is_some_and(|id| ctx.kb.get(id).roles.primary_is(Role::Chelator));
        let loud = share > much.value.0 && !wide || matters[n];
        let smallest = (batch * share / some.value.0).ceil().normalize();
        let message = format!(
            "{} g in {} g: a scale that reads {} g may be off by {} % of it",
            words::readable(grams),
            words::readable(batch),
            scale.normalize(),
            words::number(share * Decimal::ONE_HUNDRED, 0)
        );
        let help = format!("Make {smallest} g or more{}", dilution(ctx, &carriers, n, grams, (scale, some.value.0), batch).unwrap_or_default());
        let larger = ctx.formula.fields.batch.as_ref();
        let fix = larger.map(|b| Fix::new(format!("Make {smallest} g"), vec![Edit::replace(b.line, b.span, format!("{smallest} g"))]));
        let level = if loud { Severity::Warning } else { Severity::Hint };
        sink.say(Subject::Row(n), row.line, row.amount.span, message).help(help).level(level).rests_on(some).fixes(fix);
    }
}

/// ", or weigh 0.4 g of a 10 % dilution in water and leave out that much water": on this scale, within the formula.
fn dilution(ctx: &Context, carriers: &Carriers, row: usize, grams: Decimal, scale: (Decimal, Decimal), batch: Decimal) -> Option<String> {
    let f = ctx.formula;
    let at_hand = |n: usize| f.rows[n].percent?.checked_mul(batch)?.checked_div(Decimal::ONE_HUNDRED);
    let d = dilution::of(carriers, row, grams, scale, at_hand)?;
    let carrier = &f.rows[d.carrier].name.value;
    Some(format!(
        ", or weigh {} g of a {} % dilution in {carrier} and leave out that much {carrier}",
        d.weigh_g,
        d.percent.normalize()
    ))
}

/// Which rows must be weighed well: what protects, and what law limits.
fn matters(ctx: &Context) -> Vec<bool> {
    let rows = &ctx.formula.rows;
    let preserves = |id: Id| ctx.kb.get(id).preservative.as_ref().is_some_and(|p| p.kind != PreservativeKind::Booster);
    let mut out: Vec<bool> = rows.iter().map(|r| r.id().is_some_and(preserves)).collect();
    for m in ctx.law().limits().in_force().flat_map(|l| &l.members) {
        out[m.row] |= rows[m.row].id() == Some(m.id);
    }
    out
}
