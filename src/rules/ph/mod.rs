//! pH: what is aimed at, what each material needs.

use super::{Context, Row};
use crate::kb::Id;
use crate::kb::role::Role;
use crate::kb::schema::{Dissolves, Ingredient, PreservativeKind, Range};
use crate::rules::words;
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;

mod hydroxy_acids;

super::rules! {
    ph_missing,
    ph_conflict,
    ph_unstable,
    ph_off_skin,
    acid_too_strong,
    acid_advice,
    ph_measurement,
    ph_order,
    amount_off_ph,
}

/// Whether a row only sets the pH, and asks for none. Oxides and carbonates dissolve or fizz away in acid, so they ask for one,
/// unless they are what is added to a pH, or as little as it takes to neutralize.
pub(in crate::rules) fn only_sets_ph(ctx: &Context, row: &Row, entry: &Ingredient) -> bool {
    let added_to_ph = matches!(row.amount.value, Amount::Enough { ph: Some(_), .. });
    let sets = entry.roles.primary_in(&[
        Role::Acid,
        Role::Base,
        Role::Buffer,
        Role::Salt,
        Role::Chelator,
        Role::Booster,
    ]);
    let least = ctx.kb.threshold("carbonate-counts-percent").value.0;
    let fizzes =
        entry.cautions.iter().any(|c| c == "gas") && row.percent.is_some_and(|p| p >= least);
    added_to_ph || sets && !fizzes && entry.dissolves != Some(Dissolves::Insoluble)
}

/// The pH asked for: "5.2", "5 to 5.4".
fn asked(low: Decimal, high: Decimal) -> String {
    if low == high {
        words::number(low, 2)
    } else {
        format!("{} to {}", words::number(low, 2), words::number(high, 2))
    }
}

/// The pH that a material needs.
struct Window<'a> {
    row: usize,
    id: Id,
    range: &'a Range,
    /// "works" or "lasts".
    verb: &'static str,
}

/// Windows that bind: what must work, and what must last. A preservative binds only where it stands alone.
fn windows<'a>(ctx: &'a Context) -> Vec<Window<'a>> {
    let preserving = ctx.preservatives();
    let alone = preserving
        .iter()
        .filter(|p| p.kind != PreservativeKind::Booster)
        .count()
        == 1;
    let mut out = Vec::new();
    for (row, r) in ctx.formula.rows.iter().enumerate() {
        let Some(id) = r.id() else { continue };
        let entry = ctx.kb.get(id);
        let other = &[Role::Salt, Role::Chelator, Role::Booster];
        if only_sets_ph(ctx, r, entry) && !entry.roles.primary_in(other) {
            continue;
        }
        let preserves = entry.preservative.is_some();
        if let Some(range) = entry.ph.bears.as_deref().filter(|_| !preserves || alone) {
            out.push(Window {
                row,
                id,
                range,
                verb: "lasts",
            });
        }
        if let Some(range) = entry.ph.works.as_deref().filter(|_| preserves && alone) {
            out.push(Window {
                row,
                id,
                range,
                verb: "works",
            });
        }
    }
    out
}

/// The first row whose work depends on pH: a preservative, else an active or thickener with a narrow window.
fn first_that_cares<'a>(ctx: &'a Context) -> Option<(usize, Id, &'a Range)> {
    let narrow = ctx.kb.threshold("ph-window-narrow").value.0;
    let preserving = ctx.preservatives().iter().find_map(|p| {
        let range = p
            .entry
            .ph
            .works
            .as_deref()
            .or(p.entry.ph.bears.as_deref())?;
        let depends = p.kind == PreservativeKind::WeakAcid
            || range
                .high
                .is_some_and(|h| h <= ctx.kb.threshold("ph-cares-below").value);
        (depends && p.kind != PreservativeKind::Booster).then_some((p.row, p.id, range))
    });
    preserving.or_else(|| {
        ctx.formula.rows.iter().enumerate().find_map(|(row, r)| {
            let id = r.id()?;
            let entry = ctx.kb.get(id);
            let range = entry.ph.works.as_deref().or(entry.ph.bears.as_deref())?;
            let width = range.high?.0 - range.low?.0;
            let matters =
                entry
                    .roles
                    .has_any(&[Role::Active, Role::Vitamin, Role::Exfoliant, Role::Polymer]);
            (matters && width <= narrow).then_some((row, id, range))
        })
    })
}
