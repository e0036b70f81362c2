//! Another amount in a row, with the whole kept at 100 %.

use crate::chem::units::Unit;
use crate::kb::role::Role;
use crate::model::{Basis, Row, Total, system};
use crate::rules::{Context, Edit, Fix, words};
use crate::syntax::tree::Amount;
use rust_decimal::{Decimal, RoundingStrategy};

/// Writes another percentage into a row. The `q.s.` row takes up the difference, else the largest row of water, else the row that is half of it or more.
pub(in crate::rules) fn set_percent(
    ctx: &Context,
    row: usize,
    percent: Decimal,
    verb: &str,
) -> Option<Fix> {
    let r = &ctx.formula.rows[row];
    // Whatever is lowered ends below all that is known.
    let percent = match ctx.ceiling(row).filter(|_| verb == "Lower to") {
        Some(most) => percent.min(down(most)),
        None => percent,
    };
    let old = in_percent(r).filter(|_| percent > Decimal::ZERO)?;
    let shown = words::percent(percent);
    let mut title = format!("{verb} {shown}");
    let mut edits = vec![Edit::replace(r.line, r.amount.span, shown)];
    if let Some((other, rest)) = taken_up(ctx, row, old - percent)? {
        title.push_str(&format!(", {} to {rest}", other.name.value));
        edits.push(Edit::replace(other.line, other.amount.span, rest));
    }
    Some(Fix::new(title, edits))
}

/// Turns a row into a remark. What protects, emulsifies or sets the pH has a part to play, and is not simply left out.
pub(in crate::rules) fn leave_out(ctx: &Context, row: usize) -> Option<Fix> {
    let r = &ctx.formula.rows[row];
    let entry = ctx.kb.get(r.id()?);
    let needed = [
        Role::Emulsifier,
        Role::CoEmulsifier,
        Role::Soap,
        Role::Base,
        Role::Buffer,
        Role::Surfactant,
    ];
    let plays = entry.preservative.is_some() || entry.roles.has_any(&needed);
    let alone = r.phase.is_none_or(|p| ctx.formula.phases[p].rows.len() < 2);
    if plays || alone {
        return None;
    }
    let start = (r.line, r.name.span.start);
    let mut edits = vec![Edit {
        start,
        end: start,
        text: "# ".into(),
    }];
    match ctx.formula.basis {
        Basis::Percent => {
            if let Some((other, rest)) = taken_up(ctx, row, in_percent(r)?)? {
                edits.push(Edit::replace(other.line, other.amount.span, rest));
            }
        }
        Basis::Weight | Basis::Parts if matches!(r.amount.value, Amount::Measured(_)) => {}
        _ => return None,
    }
    Some(Fix::new(
        format!("Leave {} out, and keep the row as a remark", r.name.value),
        edits,
    ))
}

/// To three significant digits and as many decimals as are shown, never up: the figure must hold the limit.
pub(in crate::rules) fn down(n: Decimal) -> Decimal {
    let toward_zero = RoundingStrategy::ToZero;
    let three = n.round_sf_with_strategy(3, toward_zero).unwrap_or(n);
    let shown = three.round_dp_with_strategy(4, toward_zero);
    let small = || n.round_sf_with_strategy(2, toward_zero).unwrap_or(n);
    if shown.is_zero() { small() } else { shown }.normalize()
}

fn in_percent(r: &Row) -> Option<Decimal> {
    match r.amount.value {
        Amount::Measured(m) if m.unit == Unit::Percent => Some(m.value),
        _ => None,
    }
}

/// Who takes up what a row gives away, and its new amount: nobody has to be written where a row fills up anyhow.
/// None where there is no room, or nobody to take it up.
fn taken_up<'a>(ctx: &'a Context, row: usize, freed: Decimal) -> Option<Option<(&'a Row, String)>> {
    let rows = || {
        ctx.formula
            .rows
            .iter()
            .enumerate()
            .filter(|(n, _)| *n != row)
            .map(|(_, r)| r)
    };
    let room = |left: Decimal| left + freed > Decimal::ZERO;
    let mut fills = rows().filter(|r| matches!(r.amount.value, Amount::Fill { .. }));
    if let Some(fill) = fills.next() {
        return room(fill.percent?).then_some(None);
    }
    // The sum is off or unknown as it is: it is for its own rule to mend.
    if ctx.formula.total != Total::Known(Decimal::ONE_HUNDRED) {
        return Some(None);
    }
    let is_water = |r: &Row| r.id().is_some_and(|id| system::is_water(ctx.kb.get(id)));
    let (left, other) = rows()
        .filter_map(|r| Some((in_percent(r)?, r)))
        .max_by_key(|(left, r)| (is_water(r), *left))?;
    let carries = is_water(other) || left * Decimal::TWO >= Decimal::ONE_HUNDRED;
    (carries && room(left)).then(|| Some((other, words::percent(left + freed))))
}
