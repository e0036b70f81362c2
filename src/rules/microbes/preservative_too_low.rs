//! # Too little preservative
//!
//! All that preserves is below the level at which it is used.
//!
//! ## Why
//! A preservative below its level protects for a while and then fails, and what survives has learnt. The whole system is judged: a blend against the blend's own level, single preservatives only when every one of them is below its own. A booster with them makes it a hint.
//!
//! ## What to do
//! Raise it to the level in the message.
//!
//! ```formula,bad
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   benzyl alcohol (and) dehydroacetic acid  0.1 %
//!                                            ^^^^^ 0.1 %
//! ```
//!
//! ```formula,good
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use crate::kb::Id;
use crate::kb::schema::PreservativeKind;
use crate::rules::finding::Citation;
use crate::rules::finding::{Level, Target};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "preservative-too-low",
    title: "Too little preservative",
    group: Group::Microbes,
    loudest: Severity::Warning,
    yields_to: &["preservative-ph", "preservative-inactivated"],
    file: include_str!("preservative_too_low.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let dry = f.water_percent < ctx.kb.threshold("incidental-share-percent").value.0;
    if f.has_unknown || dry || ctx.protects().is_some() {
        return;
    }
    let mut low: Vec<(usize, Id, Decimal, Decimal, Citation)> = Vec::new();
    let mut boosted = false;
    let mut rows_done = Vec::new();
    for p in ctx.preservatives() {
        if p.kind == PreservativeKind::Booster {
            boosted |= super::is_booster(p) && super::at_level(ctx, p);
            continue;
        }
        // A part of a blend is judged with its blend.
        let (id, percent) = match f.rows[p.row].id() {
            Some(whole) if whole != p.id && ctx.kb.get(whole).preservative.is_some() => {
                (whole, f.percent_of(whole))
            }
            _ => (p.id, p.percent),
        };
        if rows_done.contains(&(p.row, id)) {
            continue;
        }
        rows_done.push((p.row, id));
        match super::lowest(ctx, ctx.kb.get(id)) {
            Some((level, figure)) if percent < level => {
                low.push((p.row, id, percent, level, figure))
            }
            // One at its level, or one whose level is not known, carries the system.
            _ => return,
        }
    }
    let rows: Vec<Subject> = low.iter().map(|(row, ..)| Subject::Row(*row)).collect();
    let Some((row, id, percent, level, figure)) = low
        .into_iter()
        .max_by_key(|(_, _, percent, level, _)| *percent / *level)
    else {
        return;
    };
    let r = &f.rows[row];
    let severity = if boosted {
        Severity::Hint
    } else {
        Severity::Warning
    };
    let message = format!(
        "{} is too little: it is used from {}",
        words::dosed(percent, ctx.called(id)),
        words::share(level)
    );
    let alone = r.id() == Some(id) && f.components_of(id).len() == 1;
    let target = alone.then(|| Target {
        row,
        level: Level::AtLeast(level),
        what: "it".to_owned(),
        as_what: "the least that it is used at",
        others_too: true,
    });
    let said = sink
        .say(Subject::Row(row), r.line, r.amount.span, message)
        .help(if alone { "" } else { "Raise it" });
    let said = said
        .level(severity)
        .rests_on(&figure)
        .covers(rows)
        .ask(target);
    if boosted {
        said.why("the booster next to it helps".to_owned());
    }
}
