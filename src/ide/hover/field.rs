//! On a field: what it is for, and what this one says.

use crate::ide::figures;
use crate::ide::{Snapshot, words::text};
use crate::model::fields::FIELDS;
use crate::rules::words;
use crate::syntax::tree::{Field, SectionKind};
use rust_decimal::Decimal;

pub(super) fn field(s: &Snapshot, line: u32, field: &Field) -> Option<String> {
    let section = match s.line(line)?.section {
        SectionKind::Top => SectionKind::Formula,
        other => other,
    };
    if field.key.value == "ph" && section == SectionKind::Formula {
        return super::ph::line(s);
    }
    let spec = FIELDS
        .iter()
        .find(|f| f.key == field.key.value && f.section == section)?;
    let mut out = format!(
        "**{}**: {}\n",
        crate::syntax::field_written(spec.key),
        spec.help
    );
    for told in said(s, spec.key) {
        out.push_str(&format!("\n- {told}"));
    }
    if !spec.values.is_empty() {
        out.push_str(&format!("\n- **Known words:** {}", spec.values.join(", ")));
    }
    Some(out)
}

/// What the formula makes of the field.
fn said(s: &Snapshot, key: &str) -> Vec<String> {
    let Some(f) = &s.formula else {
        return Vec::new();
    };
    let mut out = Vec::new();
    match key {
        "product" | "form" | "use" | "for" => {
            if !f.product.words().is_empty() {
                out.push(format!(
                    "**Read as:** {}",
                    text(&f.product.words().join(", "))
                ));
            }
            if let Some(kind) = f.fields.product_kind.filter(|_| key == "product") {
                if let Some(range) = &kind.usual_ph {
                    out.push(format!(
                        "**Usual pH:** {} ({})",
                        words::range(range),
                        super::heading::kind(s, &range.source)
                    ));
                }
                if let Some(e) = &kind.exposure
                    && let Some(g) = e.g_per_day
                {
                    out.push(format!(
                        "**Put on each day:** {g} g ({})",
                        super::heading::kind(s, &e.source)
                    ));
                }
            }
        }
        "batch" => {
            if let (Some(batch), Some(losses)) = (&f.fields.batch, &f.fields.losses_percent) {
                let extra = batch.value * losses.value / Decimal::ONE_HUNDRED;
                out.push(format!(
                    "**With the extra for losses:** {}",
                    figures::grams_words((batch.value + extra).round_dp(4))
                ));
            }
            if let Some(fill) = &f.fields.fill {
                let full = fill.value.iter().try_fold(Decimal::ZERO, |sum, p| {
                    sum.checked_add(
                        p.each
                            .unit
                            .grams()?
                            .checked_mul(p.each.value)?
                            .checked_mul(Decimal::from(p.count))?,
                    )
                });
                out.extend(full.map(|g| format!("**Fills:** {}", figures::grams_words(g))));
            }
        }
        "sold in" => out.extend(s.kb.laws_of(s.markets()).map(|l| {
            format!(
                "**{}:** {}, text as of {}",
                l.market,
                text(&l.title),
                l.as_of
            )
        })),
        _ => {}
    }
    out
}
