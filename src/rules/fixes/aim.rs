//! A pH that suits everything in the formula.

use crate::kb::role::Role;
use crate::kb::schema::{PreservativeKind, Range};
use crate::model::fields::Type;
use crate::rules::{Context, Edit, Fix, microbes, ph};
use crate::syntax::tree::Amount;
use rust_decimal::{Decimal, RoundingStrategy};

/// Writes a pH that suits all that is in, half a unit wide and as near to that of skin as may be; none where there is none.
pub(in crate::rules) fn aim_at(ctx: &Context) -> Option<Fix> {
    let f = ctx.formula;
    let (from, to) = ctx.suitable_ph()?;
    let range = if from == to {
        from.to_string()
    } else {
        format!("{from} to {to}")
    };
    let mut edits = Vec::new();
    if let Some(field) = &f.fields.ph {
        edits.push(Edit::replace(field.line, field.span, range.clone()));
    }
    // The row that brings the product there aims at the middle.
    let middle = ((from + to) / Decimal::TWO)
        .round_dp(1)
        .clamp(from, to)
        .normalize();
    for r in &f.rows {
        if let Amount::Enough { ph: Some(ph), .. } = r.amount.value {
            edits.push(Edit::replace(r.line, ph.span, middle.to_string()));
        }
    }
    if edits.is_empty() {
        edits.push(Edit::insert_before(
            f.heading_line + 1,
            format!("  pH: {range}\n"),
        ));
    }
    Some(Fix::new(format!("Aim at pH {range}"), edits))
}

/// Whether the pH that suits all lies where skin bears it.
pub(in crate::rules) fn within_skin(ctx: &Context) -> bool {
    ctx.suitable_ph().is_some_and(|(from, to)| {
        from >= ctx.kb.threshold("ph-skin-low").value.0
            && to <= ctx.kb.threshold("ph-skin-high").value.0
    })
}

/// Half a unit wide, as near to the pH of skin as may be.
pub(in crate::rules) fn suitable_ph(ctx: &Context) -> Option<(Decimal, Decimal)> {
    let f = ctx.formula;
    let mut all = Room {
        low: None,
        high: None,
    };
    for p in ctx
        .preservatives()
        .iter()
        .filter(|p| p.kind != PreservativeKind::Booster)
    {
        if p.kind == PreservativeKind::WeakAcid {
            all.below(
                p.entry
                    .pka
                    .first()
                    .map(|pka| microbes::highest_ph(ctx, pka)),
            );
        }
        all.within(p.entry.ph.works.as_deref());
        all.within(p.entry.ph.bears.as_deref());
    }
    for (row, id) in f.rows.iter().filter_map(|r| Some((r, r.id()?))) {
        let entry = ctx.kb.get(id);
        if entry.preservative.is_some() || ph::only_sets_ph(ctx, row, entry) {
            continue;
        }
        let first = |roles: &[Role]| entry.roles.primary_in(roles);
        all.within(entry.ph.bears.as_deref());
        let works = first(&[Role::Enzyme, Role::Brightener])
            || entry.roles.has_any(&[
                Role::Active,
                Role::Vitamin,
                Role::Exfoliant,
                Role::Polymer,
                Role::Thickener,
                Role::Gum,
            ]);
        all.within(entry.ph.works.as_deref().filter(|_| works));
    }
    let limits = ctx.law().ph_limits();
    for seen in limits.in_force_or_announced() {
        all.above(seen.limit.ph_min.map(|n| n.0));
        all.below(seen.limit.ph_max.map(|n| n.0));
    }
    let skin = |id: &str| ctx.kb.threshold(id).value.0;
    let own = f.fields.product_kind.is_some_and(|k| k.ph_is_its_own)
        || matches!(&f.fields.type_, Some(t) if t.value == Type::Soap);
    let (low, high) = (
        all.low.unwrap_or(skin("ph-skin-low")),
        all.high.unwrap_or(skin("ph-skin-high")),
    );
    if own || low > high {
        return None;
    }
    let half = Decimal::new(5, 1);
    let middle = (skin("ph-skin-aim-low") + skin("ph-skin-aim-high")) / Decimal::TWO;
    let from = middle
        .min(high - half)
        .max(low)
        .round_dp_with_strategy(1, RoundingStrategy::ToPositiveInfinity);
    let to = (from + half)
        .min(high)
        .round_dp_with_strategy(1, RoundingStrategy::ToNegativeInfinity);
    (from <= to).then(|| (from.normalize(), to.normalize()))
}

/// What all windows have in common so far.
struct Room {
    low: Option<Decimal>,
    high: Option<Decimal>,
}

impl Room {
    fn above(&mut self, low: Option<Decimal>) {
        self.low = self.low.max(low);
    }
    fn below(&mut self, high: Option<Decimal>) {
        self.high = match (self.high, high) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
    }
    fn within(&mut self, window: Option<&Range>) {
        if let Some(w) = window {
            self.above(w.low.map(|n| n.0));
            self.below(w.high.map(|n| n.0));
        }
    }
}
