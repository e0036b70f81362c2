//! # Alcohol near heat
//!
//! A solvent that burns is heated, added to something hot, or worked near a flame.
//!
//! ## Why
//! Ethanol gives off vapour that a spark lights in an ordinary room, and the warmer it is, the more of it hangs over the beaker. What evaporates is also missing in the product.
//!
//! ## What to do
//! Add it cold, below 40 °C, away from flames and hot plates, with the window open.
//!
//! ```formula,bad
//! formula "Herb extract"
//!   product: body lotion, leave-on
//!   type: anhydrous
//!   sold in: US
//!
//! phase A at 70 °C
//!   glycerin                                 60 %
//!   n-propanol                               40 %
//!   ^^^^^^^^^^ 70 °C
//! ```
//!
//! ```formula,good
//! formula "Herb extract"
//!   product: body lotion, leave-on
//!   type: anhydrous
//!   sold in: US
//!
//! phase A at room temperature
//!   glycerin                                 60 %
//!   n-propanol                               40 %
//! ```

use crate::kb::role::Role;
use super::{cautioned, meant, method_says};
use crate::rules::fixes;
use crate::rules::words::{self};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};

pub static RULE: Rule = Rule {
    code: "flammable",
    title: "Alcohol near heat",
    group: Group::Cautions,
    loudest: Severity::Warning,
    file: include_str!("flammable.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let least = ctx.kb.threshold("flammable-from-percent").value.0;
    let limit = ctx.kb.threshold("flammable-below-c");
    let tolerance = ctx.kb.threshold("heat-tolerance-c").value.0;
    let solvents = meant(ctx, |one| cautioned(one, "flammable") && one.roles.primary_is(Role::Solvent));
    let degrees = ctx.degrees();
    let hottest = solvents
        .iter()
        .filter(|m| m.percent >= least)
        .filter_map(|m| Some((m, f.timeline.rows[m.row].highest_c?)))
        .filter(|(_, c)| *c > limit.value.0 + tolerance)
        .max_by(|(a, x), (b, y)| x.cmp(y).then(b.row.cmp(&a.row)));
    if let Some((m, c)) = hottest {
        let r = &f.rows[m.row];
        let message = format!(
            "{} gets to {}, and its vapour can catch fire",
            words::dosed(m.percent, &r.name.value),
            degrees.show(c)
        );
        let help = format!("Add it below {}, away from flames and hot plates", degrees.show(limit.value.0));
        let said = sink.say(Subject::Row(m.row), r.line, r.name.span, message).help(help).rests_on(limit).fixes(fixes::cooler(ctx, m.row, limit.value.0));
        if let Some(line) = f.timeline.rows[m.row].line {
            said.related(line, ctx.text_span(line), "here it gets hot");
        }
        return;
    }
    let Some(first) = solvents.first().filter(|m| m.percent >= least) else { return };
    if let Some(line) = method_says(ctx, &["flame", "flames", "burner", "candle"]) {
        let name = &f.rows[first.row].name.value;
        let message = format!("this step uses a flame, and the vapour of {} can catch fire", words::dosed(first.percent, name));
        sink.say(Subject::Line(line), line, ctx.text_span(line), message).help("Keep flames away from it").rests_on(limit);
    }
}
