//! # More hydroxy acid than skin bears
//!
//! Glycolic, lactic, mandelic and the other fruit acids, with their salts, are summed as acid. What stays on the skin holds no more than 10 % of them, at pH 3.5 or above.
//!
//! ## Why
//! A published panel found glycolic and lactic acid safe for consumers up to 10 % at a final pH of 3.5 or above, with advice on the sun; up to 30 % at pH 3.0 or above where a trained hand applies it briefly and rinses it off. From 20 % it is a peel, whatever the label says. Canada limits them by law, and the law of markets limits salicylic acid: those are judged under their own codes.
//!
//! ## What to do
//! Use less, raise the pH with sodium hydroxide or arginine, or write `for: professional` where that is meant.
//!
//! ```formula,bad
//! formula "Face gel"
//!   product: face gel, leave-on
//!   type: gel
//!   pH: 3.6 to 3.9
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   xanthan gum                              0.5 %
//!   glycolic acid                            8 %
//!   ^^^^^^^^^^^^^ 14 %
//!   lactic acid                              6 %
//!   sodium benzoate                          0.5 %
//!   potassium sorbate                        0.2 %
//!   sodium hydroxide                         q.s. to pH 3.8
//! ```
//!
//! ```formula,good
//! formula "Face gel"
//!   product: face gel, leave-on
//!   type: gel
//!   pH: 3.6 to 3.9
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   xanthan gum                              0.5 %
//!   glycolic acid                            4 %
//!   lactic acid                              4 %
//!   sodium benzoate                          0.5 %
//!   potassium sorbate                        0.2 %
//!   sodium hydroxide                         q.s. to pH 3.8
//! ```

use crate::kb::schema::Threshold;
use crate::model::composition::ShareOf;
use crate::rules::fixes;
use crate::rules::finding::{Level, Target};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;
use std::collections::HashMap;

pub static RULE: Rule = Rule {
    code: "acid-too-strong",
    title: "More hydroxy acid than skin bears",
    group: Group::Ph,
    loudest: Severity::Warning,
    yields_to: &["banned", "restricted-use", "above-legal-limit", "family-above-limit"],
    file: include_str!("acid_too_strong.rs"),
    check,
};

/// The alpha-hydroxy acids; salts count by what they yield.
const ACIDS: [&str; 6] = ["glycolic-acid", "lactic-acid", "malic-acid", "mandelic-acid", "tartaric-acid", "citric-acid"];

struct Part {
    row: usize,
    /// As the acid.
    percent: Decimal,
}

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    // Dry and water-free ones meet the skin thinned, or not at all; baths thin them a thousandfold.
    if f.product.has("bath") || f.water_percent < ctx.kb.threshold("incidental-share-percent").value.0 {
        return;
    }
    let parts = parts(ctx);
    let sum: Decimal = parts.iter().map(|p| p.percent).sum();
    let Some(largest) = parts.iter().max_by_key(|p| p.percent).map(|p| p.row) else { return };
    let threshold = |id: &str| ctx.kb.threshold(id);
    let leaves = f.product.leave_on();
    let professional = f.product.has("professional");
    // What is rinsed off within minutes is a peel or a wash.
    let (most, lowest) = match (professional, leaves) {
        (true, _) => (threshold("hydroxy-acid-salon-max-percent"), threshold("hydroxy-acid-salon-min-ph")),
        (false, Some(false)) => (threshold("hydroxy-acid-peel-percent"), threshold("hydroxy-acid-salon-min-ph")),
        (false, _) => (threshold("hydroxy-acid-max-percent"), threshold("hydroxy-acid-min-ph")),
    };
    let shown = words::percent(sum.round_dp(1));
    let together = if parts.len() > 1 { " in all (as acid)" } else { "" };
    let mut clash: Option<(String, &'static str, &Threshold)> = None;
    let peel = threshold("hydroxy-acid-peel-percent");
    let too_much = if !professional && leaves == Some(false) { sum >= most.value.0 } else { sum > most.value.0 };
    if too_much {
        let what = if !professional && sum >= peel.value.0 {
            format!("{shown} hydroxy acid{together} is a peel: from {} it takes a trained hand", words::percent(peel.value.0))
        } else {
            format!("{shown} hydroxy acid{together}: published as safe here is {} at most", words::percent(most.value.0))
        };
        clash = Some((what, "Use less", most));
    } else if let Some(aim) = ctx.ph_aim()
        && aim.low < lowest.value.0
        && sum >= threshold("hydroxy-acid-counts-percent").value.0
    {
        clash = Some((
            format!(
                "{shown} hydroxy acid{together} at pH {}: pH {} or above is published as safe",
                words::number(aim.low, 2),
                lowest.value
            ),
            "Raise the pH with a little sodium hydroxide or arginine",
            lowest,
        ));
    }
    let Some((message, way_out, figure)) = clash else { return };
    let r = &f.rows[largest];
    let target = (too_much && leaves != Some(false)).then(|| lower(ctx, largest, &parts, sum - most.value.0)).flatten();
    let fix = if too_much { None } else { fixes::aim_at(ctx) };
    let unsaid = leaves.is_none() && !professional;
    let help = match (target.is_some(), unsaid) {
        (true, true) => "write \"product:\" if it is rinsed off".to_owned(),
        (true, false) => String::new(),
        (false, true) => format!("{way_out}, or write \"product:\" if it is rinsed off"),
        (false, false) => way_out.to_owned(),
    };
    let said = sink.say(Subject::Row(largest), r.line, r.name.span, message).help(help).rests_on(figure);
    let mut said = said.covers([Subject::Formula]).fixes(fix).ask(target);
    for p in parts.iter().filter(|p| p.row != largest) {
        let other = &f.rows[p.row];
        said = said.related(other.line, other.name.span, format!("counts too: {} as acid", words::percent(p.percent.round_dp(2))));
    }
}

/// The largest row less what is too much, where that leaves something of it.
fn lower(ctx: &Context, largest: usize, parts: &[Part], over: Decimal) -> Option<Target> {
    let part = parts.iter().find(|p| p.row == largest)?;
    let dosed = ctx.formula.rows[largest].percent?;
    let left = dosed.checked_mul(part.percent - over)?.checked_div(part.percent)?;
    (left > Decimal::ZERO).then(|| Target {
        row: largest,
        level: Level::AtMost(fixes::down(left)),
        what: ctx.formula.rows[largest].name.value.to_string(),
        as_what: "the most that is published as safe here",
        others_too: true,
    })
}

/// The rows with hydroxy acid in them, as acid.
fn parts(ctx: &Context) -> Vec<Part> {
    let mut out: Vec<Part> = Vec::new();
    let mut at: HashMap<usize, usize> = HashMap::new();
    for s in ctx.formula.shares.iter().filter(|s| s.what == ShareOf::Substance && !s.high.is_zero()) {
        let entry = ctx.kb.get(s.id);
        let factor = if ACIDS.contains(&entry.id.as_str()) { Some(Decimal::ONE) } else { as_acid(ctx, s.id) };
        let Some(factor) = factor else { continue };
        match at.get(&s.row) {
            Some(n) => out[*n].percent += s.high * factor,
            None => {
                at.insert(s.row, out.len());
                out.push(Part { row: s.row, percent: s.high * factor });
            }
        }
    }
    out
}

/// Grams of hydroxy acid from a gram of its salt or hydrate.
fn as_acid(ctx: &Context, id: crate::kb::Id) -> Option<Decimal> {
    let entry = ctx.kb.get(id);
    let y = entry.yields.iter().find(|y| ACIDS.contains(&y.of.as_str()))?;
    let acid = ctx.kb.substance(&y.of)?.1.molar_mass.as_deref()?.value.0;
    (y.moles.0 * acid).checked_div(entry.molar_mass.as_deref()?.value.0)
}
