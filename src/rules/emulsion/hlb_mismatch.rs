//! # The HLB of the emulsifiers and what the oils ask for
//!
//! The emulsifiers together have an HLB that lies well away from what these oils ask for.
//!
//! ## Why
//! For nonionic emulsifiers the balance of water-loving and oil-loving parts is a number, the HLB; oils ask for one, and the mean by weight of both sides should meet within 1 to 2. It is a guide for choosing, no law: self-emulsifying bases, charged emulsifiers, polymers, glyceryl stearate and emulsifying waxes of a fatty alcohol with its emulsifier do not follow it, so the rule speaks only where every emulsifier is nonionic with a known HLB, and nearly all of the oil has a known figure.
//!
//! ## What to do
//! Shift the shares of the emulsifiers, more of the high one to raise the mean, more of the low one to lower it.
//!
//! ```formula,bad
//! formula "Face lotion"
//!          ^^^^^^^^^^^ HLB
//!   product: face cream, leave-on
//!   type: oil-in-water
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A "water" at 75 °C
//!   water                                    q.s.
//!   glycerin                                 5 %
//!
//! phase B "oil" at 75 °C
//!   sunflower oil                            10 %
//!   polysorbate 60                           4 %
//!   tocopherol                               0.2 %
//!
//! phase C "cool-down" below 40 °C
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```
//!
//! ```formula,good
//! formula "Face lotion"
//!   product: face cream, leave-on
//!   type: oil-in-water
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A "water" at 75 °C
//!   water                                    q.s.
//!   glycerin                                 5 %
//!
//! phase B "oil" at 75 °C
//!   sunflower oil                            10 %
//!   polysorbate 60                           1.2 %
//!   sorbitan stearate                        2.8 %
//!   tocopherol                               0.2 %
//!
//! phase C "cool-down" below 40 °C
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use crate::chem::units::Unit;
use crate::kb::schema::Figure;
use crate::model::hlb::{self, Balance};
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject, words};
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "hlb-mismatch",
    title: "The HLB of the emulsifiers and what the oils ask for",
    group: Group::Emulsion,
    loudest: Severity::Information,
    yields_to: &["no-emulsifier"],
    file: include_str!("hlb_mismatch.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Ok(Balance { asked, given }) = hlb::balance(ctx.formula, ctx.kb) else { return };
    let (has, needs) = (given.hlb, asked.hlb);
    let apart = ctx.kb.threshold("hlb-apart");
    if (has - needs).abs() <= apart.value.0 {
        return;
    }
    let (line, span) = ctx.heading();
    let message = format!(
        "the emulsifiers have HLB {}, and these oils ask for about {}",
        words::number(has, 1),
        words::number(needs, 1)
    );
    let help = if has > needs {
        "Take less of the water-loving emulsifier, or add an oil-loving one"
    } else {
        "Take more of the water-loving emulsifier"
    };
    let rows: Vec<usize> = ctx.emulsifiers().iter().map(|p| p.row).collect();
    let mut said = sink.say(Subject::Formula, line, span, message).help(help).fixes(shift(ctx, &rows, &given.parts, needs));
    // A remembered figure weighs only where it moves the mean: the largest of each side speaks.
    for side in [&given, &asked] {
        if let Some((_, figure)) = side.parts.iter().max_by_key(|(w, _)| *w) {
            said = said.rests_on(*figure);
        }
    }
}

/// Two emulsifiers, one on each side of what is asked for: their shares for it, the sum kept.
fn shift(ctx: &Context, rows: &[usize], given: &[(Decimal, &Figure)], needs: Decimal) -> Option<Fix> {
    let (&[a, b], &[(wa, fa), (wb, fb)]) = (rows, given) else { return None };
    let (ha, hb) = (fa.value.0, fb.value.0);
    let part = (needs - hb).checked_div(ha - hb).filter(|p| *p > Decimal::ZERO && *p < Decimal::ONE)?;
    let first = ((wa + wb) * part).round_dp(2);
    let shares = [(a, wa, first), (b, wb, wa + wb - first)];
    let edits: Option<Vec<Edit>> = shares
        .iter()
        .map(|(row, was, percent)| {
            let r = &ctx.formula.rows[*row];
            let plain = matches!(r.amount.value, Amount::Measured(m) if m.unit == Unit::Percent && m.value == *was);
            (plain && *percent > Decimal::ZERO).then(|| Edit::replace(r.line, r.amount.span, words::percent(*percent)))
        })
        .collect();
    let title = shares.map(|(row, _, percent)| words::dosed(percent, &ctx.formula.rows[row].name.value)).join(" and ");
    Some(Fix::new(format!("Change to {title}"), edits?))
}
