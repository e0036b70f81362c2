//! # More than skin bears
//!
//! An essential oil, or what several oils bring of one substance, is above the highest share that is published for skin.
//!
//! ## Why
//! Some oils make people allergic for life, some burn, some poison through the skin. The fragrance industry's standards and the books on the safety of essential oils give the highest share for each kind of product. What counts is the sum: cinnamal from cinnamon and cassia, eugenol from clove, bay and cinnamon leaf. Contents of natural oils vary; the message says whether the lowest, the typical or only the highest known content is too much. Some oils are not for skin at all.
//!
//! ## What to do
//! Use less, or leave it out. A supplier's certificate with lower contents can go into your own entry of the oil.
//!
//! ```formula,bad
//! formula "Baby balm"
//!   product: baby balm, leave-on
//!   type: anhydrous
//!   sold in: US
//!
//! phase A
//!   shea butter                              95 %
//!   cinnamon bark oil                        5 %
//!                                            ^^^ 0.07 %
//! ```
//!
//! ```formula,good
//! formula "Body balm"
//!   product: skin balm, leave-on
//!   type: anhydrous
//!   sold in: US
//!
//! phase A
//!   shea butter                              99.8 %
//!   lavender essential oil                   0.2 %
//! ```

use crate::model::component::ComponentKind;
use crate::model::product::Applies;
use crate::analysis::skin::SkinHit;
use crate::rules::fixes::{self, down};
use crate::rules::finding::{Level, Target};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

pub static RULE: Rule = Rule {
    code: "above-skin-maximum",
    title: "More than skin bears",
    group: Group::UseAndLaw,
    loudest: Severity::Warning,
    yields_to: &["banned", "restricted-use", "above-legal-limit", "family-above-limit"],
    file: include_str!("above_skin_maximum.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    // One message a row: what is exceeded furthest speaks.
    let mut rows: BTreeMap<usize, Vec<&SkinHit>> = BTreeMap::new();
    for seen in ctx.skin_maxima().iter().filter(|s| s.highest() > s.max()) {
        rows.entry(seen.row()).or_default().push(seen);
    }
    for (row, mut all) in rows {
        all.sort_by_key(|seen| std::cmp::Reverse(rank(ctx, seen)));
        if let Some(first) = all.first() {
            say(ctx, sink, row, first);
        }
    }
}

/// Published figures before recalled ones, what is not for skin first, then how far above.
fn rank(ctx: &Context, seen: &SkinHit) -> (bool, bool, Decimal) {
    let kind = ctx.kb.source(&seen.maximum.source).map(|s| s.kind);
    let recalled = kind.is_none_or(|k| k == crate::kb::schema::SourceKind::Unsourced);
    let times = seen.typical().checked_div(seen.max()).unwrap_or(Decimal::MAX);
    (!recalled, seen.max().is_zero(), times)
}

fn say(ctx: &Context, sink: &mut Sink, row: usize, seen: &SkinHit) {
    let r = &ctx.formula.rows[row];
    let name = ctx.called(seen.id);
    let whole = r.id() == Some(seen.id) || r.id().is_none();
    let one_row = seen.components.iter().all(|s| s.row == row);
    let most = ctx.ceiling(row).filter(|_| one_row).map(down);
    let message = if seen.max().is_zero() {
        format!("{} is not for skin", words::brief(name))
    } else {
        let (share, at_most) = if seen.typical() <= seen.max() {
            (seen.highest(), "up to ")
        } else if seen.lowest() <= seen.max() {
            (seen.typical(), "typically ")
        } else {
            (seen.typical(), "")
        };
        let at_most = if whole { "" } else { at_most };
        format!("{at_most}{}: skin bears {} at most here", words::dosed(share, name), words::percent(seen.max()))
    };
    let target = most.filter(|most| !most.is_zero()).map(|most| Target {
        row,
        level: Level::AtMost(most),
        what: if whole { "it".to_owned() } else { r.name.value.to_string() },
        as_what: "the most that skin bears",
        others_too: true,
    });
    let help = match (&target, one_row) {
        (Some(_), _) => "leave it out",
        (None, true) => "Leave it out",
        (None, false) => "Use less of the oils that bring it, or leave them out",
    };
    let mut why: Vec<String> = seen.maximum.why.iter().map(|why| format!("it {why}")).collect();
    if seen.applies != Applies::Yes {
        why.push("the file does not say what the product is: judged as one that stays on".to_owned());
    }
    let level = if seen.typical() > seen.max() { Severity::Warning } else { Severity::Hint };
    let mut said = sink
        .say(Subject::Row(row), r.line, r.amount.span, message)
        .help(help)
        .level(level)
        .why((!why.is_empty()).then(|| why.join("; ")))
        .rests_on(seen.maximum)
        .ask(target)
        .fixes(fixes::leave_out(ctx, row));
    let of = &ctx.kb.get(seen.id).id;
    for share in seen.components.iter().filter(|s| s.kind == ComponentKind::Constituent) {
        let natural = ctx.formula.rows[share.row].id().map(|id| ctx.kb.get(id));
        if let Some(content) = natural.and_then(|n| n.constituents.iter().find(|c| &c.of == of)) {
            said = said.rests_on(content);
        }
    }
    for other in seen.components.iter().filter(|s| s.row != row) {
        let o = &ctx.formula.rows[other.row];
        let counts = format!("counts too: {} of {name}", words::percent(other.typical));
        said = said.related(o.line, o.name.span, counts);
    }
}
