//! # Oils that turn rancid, and no antioxidant
//!
//! A good share of polyunsaturated oil stands there without an antioxidant.
//!
//! ## Why
//! Linoleic and linolenic acid take up oxygen: the oil smells of paint or old nuts, and what forms can irritate. A hint, and a warning where the claims promise more months than such an oil keeps when fresh. Mixed tocopherols at 0.05 to 0.5 % of the product, or rosemary extract, slow it down.
//!
//! ## What to do
//! Add an antioxidant to the oil phase, or take an oil rich in oleic acid; fill the jars to the top and keep them cool and dark.
//!
//! ```formula,bad
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   sold in: EU
//!
//! phase A
//!   grapeseed oil                            40 %
//!   ^^^^^^^^^^^^^ polyunsaturated
//!   caprylic/capric triglyceride             60 %
//! ```
//!
//! ```formula,good
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   sold in: EU
//!
//! phase A
//!   grapeseed oil                            40 %
//!   tocopherol                               0.3 %
//!   caprylic/capric triglyceride             59.7 %
//! ```
//!
//! ```formula,good
//! formula "Body lotion"
//!   product: body lotion, leave-on
//!   type: oil-in-water
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A "water" at 75 °C
//!   water                                    q.s.
//!   glycerin                                 4 %
//!   sodium phytate                           0.1 %
//!
//! phase B "oil" at 75 °C
//!   high oleic sunflower oil                 11 %
//!   cetearyl alcohol (and) ceteareth-20      6 %
//!
//! phase C "cool-down" below 40 °C
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use crate::kb::role::Role;
use crate::kb::schema::{Dissolves, Figure, Ingredient, Range};
use crate::model::component::ComponentKind;
use crate::model::system::{self, has_role};
use crate::rules::finding::Citation;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "oil-oxidizes",
    title: "Oils that turn rancid, and no antioxidant",
    group: Group::Pairs,
    loudest: Severity::Warning,
    file: include_str!("oil_oxidizes.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    if f.has_unknown || f.fields.use_at_once {
        return;
    }
    let protects = |one: &Ingredient| has_role(one, Role::Antioxidant) && !matches!(one.dissolves, Some(Dissolves::Water));
    if f.components.iter().any(|s| s.kind != ComponentKind::Constituent && protects(ctx.kb.get(s.id))) {
        return;
    }
    let mut sum = Decimal::ZERO;
    let mut largest: Option<(usize, Decimal, &Range)> = None;
    for s in f.components.iter().filter(|s| s.kind != ComponentKind::Constituent) {
        let one = ctx.kb.get(s.id);
        // A breed of an oil (high oleic sunflower) has its own figure; the oil that it is made of is not counted as well.
        if f.rows[s.row].id().is_some_and(|own| own != s.id && ctx.kb.get(own).polyunsaturated_percent.is_some()) {
            continue;
        }
        let Some(range) = one.polyunsaturated_percent.as_deref().filter(|_| system::is_oily(one)) else { continue };
        let Some(middle) = middle(range) else { continue };
        let part = s.typical * middle / Decimal::ONE_HUNDRED;
        sum += part;
        if largest.is_none_or(|(_, most, _)| part > most) {
            largest = Some((s.row, part, range));
        }
    }
    let from = ctx.kb.threshold("polyunsaturated-from-percent").value.0;
    let Some((row, _, range)) = largest.filter(|_| sum >= from) else { return };
    let r = &f.rows[row];
    let message = format!(
        "about {} polyunsaturated fat and no antioxidant",
        words::percent(sum.round_dp(1))
    );
    if let Some((oil, months, figure)) = outlived(ctx) {
        let message = format!("{message}, and the claims promise {months} months: {oil} keeps about {} when fresh", figure.value);
        sink.say(Subject::Row(row), r.line, r.name.span, message)
            .help("Add tocopherol to the oil phase, and promise no more than the oils keep")
            .why(format!("most of it comes from {}", r.name.value))
            .rests_on(figure);
        return;
    }
    let said = sink.say(Subject::Row(row), r.line, r.name.span, message).help("Add tocopherol to the oil phase: it slows rancidity").level(Severity::Hint);
    said.why(format!("most of it comes from {}", r.name.value)).rests_on(&Citation {
        source: &range.source,
        at: range.at.as_deref(),
        recheck: false,
    });
}

/// The shortest-lived of the polyunsaturated oils, where the claims promise more months than it keeps.
fn outlived<'a>(ctx: &'a Context) -> Option<(&'a str, Decimal, &'a Figure)> {
    let promised = promised_months(&ctx.formula.fields.claims.as_ref()?.value)?;
    let rows = ctx.formula.rows.iter().filter_map(|r| Some((r, ctx.kb.get(r.id()?))));
    let oils = rows.filter(|(r, one)| one.polyunsaturated_percent.is_some() && r.percent.is_some_and(|p| p >= ctx.kb.threshold("polyunsaturated-from-percent").value.0));
    let lives = oils.filter_map(|(r, one)| Some((r.name.value.as_str(), one.shelf_life_months.as_deref()?)));
    let (oil, figure) = lives.min_by_key(|(_, f)| f.value)?;
    (promised > figure.value.0).then_some((oil, promised, figure))
}

/// "keeps 24 months", "lasts 2 years".
fn promised_months(claims: &str) -> Option<Decimal> {
    let words: Vec<&str> = claims.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    words.windows(2).find_map(|pair| {
        let n: u32 = pair[0].parse().ok()?;
        match pair[1].to_lowercase().as_str() {
            "month" | "months" => Some(Decimal::from(n)),
            "year" | "years" => Some(Decimal::from(n.checked_mul(12)?)),
            _ => None,
        }
    })
}

fn middle(r: &Range) -> Option<Decimal> {
    match (r.low, r.high) {
        (Some(l), Some(h)) => Some((l.0 + h.0) / Decimal::TWO),
        (one, other) => one.or(other).map(|n| n.0),
    }
}
