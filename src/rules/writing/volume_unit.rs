//! # An amount by volume
//!
//! A row is measured in millilitres, spoons or drops.
//!
//! ## Why
//! Volumes change with temperature, spoon and hand; a drop may be half or double. The weight is worked out through the density and is an estimate.
//!
//! ## What to do
//! Weigh it. The fix writes the estimated weight.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 g
//!   shea butter    30 g
//!   castor oil     50 mL
//!                  ^^^^^ 47.95
//! ```
//!
//! ```formula,fixed
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 g
//!   shea butter    30 g
//!   castor oil     47.95 g
//! ```

use crate::chem::units::Dimension;
use crate::kb::schema::Figure;
use crate::model::Row;
use crate::model::composition::{bulk_density, row_density};
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject, words};
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "volume-unit",
    title: "An amount by volume",
    group: Group::Writing,
    loudest: Severity::Warning,
    file: include_str!("volume_unit.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    for (n, row) in ctx.formula.rows.iter().enumerate() {
        let Amount::Measured(m) = row.amount.value else { continue };
        if m.unit.dimension() != Dimension::Volume {
            continue;
        }
        let ml = m.unit.millilitres().and_then(|f| m.value.checked_mul(f)).unwrap_or_default();
        match density(ctx, row) {
            Some((d, figure)) => {
                let weight = ml * d;
                let grams = words::number(weight.round_sf(4).unwrap_or(weight), 2);
                let message = format!("{} {} is about {grams} g (density {} g/mL)", words::number(m.value, 3), m.unit, words::number(d, 3));
                sink.say(Subject::Row(n), row.line, row.amount.span, message)
                    .help("Weigh it: a volume is only an estimate")
                    .rests_on(figure)
                    .fix(Fix::new(format!("Change to {grams} g"), vec![Edit::replace(row.line, row.amount.span, format!("{grams} g"))]));
            }
            None => {
                let message = format!("its density is not known, so 1 mL counts as 1 g ({} g)", words::number(ml, 2));
                sink.say(Subject::Row(n), row.line, row.amount.span, message).help("Weigh it: a volume is only an estimate");
            }
        }
    }
}

fn density<'a>(ctx: &'a Context, row: &Row) -> Option<(Decimal, &'a Figure)> {
    if let Some(figure) = bulk_density(ctx.kb, &row.material) {
        return Some((figure.value.0, figure));
    }
    Some((row_density(ctx.kb, &row.material)?, ctx.kb.get(row.id()?).density_g_ml.as_ref()?))
}
