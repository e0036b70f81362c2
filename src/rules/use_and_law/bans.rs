//! Prohibitions: one message for each row, with all its markets.

use crate::kb::Id;
use crate::kb::schema::{Ban, SourceKind};
use crate::model::law::{self, BanSeen};
use crate::model::product::Fit;
use crate::rules::fixes;
use crate::rules::{Context, Severity, Sink, Subject, words};
use std::collections::{BTreeMap, BTreeSet};

/// Says the bans that the rule picks.
pub(super) fn say(ctx: &Context, sink: &mut Sink, pick: impl Fn(&Ban) -> bool) {
    let mut causes: BTreeMap<(usize, Id), Vec<&BanSeen>> = BTreeMap::new();
    for seen in ctx
        .bans()
        .in_force_or_announced()
        .iter()
        .filter(|s| pick(s.ban))
    {
        causes
            .entry((seen.member.row, seen.member.id))
            .or_default()
            .push(seen);
    }
    for ((row, id), all) in causes {
        let (now, later): (Vec<&BanSeen>, Vec<&BanSeen>) =
            all.into_iter().partition(|s| s.status.is_in_force());
        let (seen, future) = if now.is_empty() {
            (later, true)
        } else {
            (now, false)
        };
        let sure =
            |s: &&BanSeen| s.fit == Fit::Yes && !s.by_typical_content && s.ban.unless.is_none();
        let certain: Vec<&BanSeen> = seen.iter().copied().filter(sure).collect();
        let (seen, level) = if certain.is_empty() {
            (seen, Severity::Warning)
        } else {
            (certain, Severity::Error)
        };
        let Some(first) = seen
            .iter()
            .copied()
            .min_by_key(|s| s.ban.check == crate::kb::schema::Check::Recheck)
        else {
            continue;
        };
        let r = &ctx.formula.rows[row];
        let markets = words::sorted(
            seen.iter()
                .filter(|s| s.ban.check == first.ban.check)
                .map(|s| s.market),
        );
        let doubtful = words::sorted(
            seen.iter()
                .map(|s| s.market)
                .filter(|m| !markets.contains(m)),
        );
        let plural = words::by_count(markets.len(), "s", "");
        let (name, who) = (ctx.called(id), words::markets(&markets));
        let mut message = if !first.ban.in_scope.is_empty() {
            format!(
                "{who} prohibit{plural} {name} in {}",
                words::scope(&first.ban.in_scope)
            )
        } else if !first.ban.only_scope.is_empty() {
            let scope = &first.ban.only_scope;
            let outside = match ctx.formula.product.fits(scope, &[]) {
                Fit::Yes => ctx.formula.product.places_outside(scope),
                _ => Vec::new(),
            };
            let allowed = format!("{who} allow{plural} {name} in {} only", words::scope(scope));
            if outside.is_empty() {
                allowed
            } else {
                format!(
                    "{allowed}, and this product goes on other places too ({})",
                    outside.join(", ")
                )
            }
        } else {
            format!("{who} prohibit{plural} {name} in cosmetics")
        };
        if let Some(proof) = &first.ban.unless {
            message.push_str(&format!(
                " unless {proof}; ask the supplier for the certificate"
            ));
        }
        if r.id() != Some(id) {
            message.push_str(&format!(
                "; {} brings {} of it",
                r.name.value,
                words::percent(first.member.percent)
            ));
        }
        if let Fit::Unsaid(axis) = first.fit {
            let field = if ctx.formula.product.is_said() {
                axis.field()
            } else {
                "product"
            };
            message.push_str(&format!(
                "; the file does not say whether that is the case: write \"{field}:\""
            ));
        }
        if let Some(c) = &first.ban.conditions {
            message.push_str(&format!(" ({c})"));
        }
        if !doubtful.is_empty() {
            message.push_str(&format!(
                "; perhaps {} too, whose text is to be looked up again",
                words::markets(&doubtful)
            ));
        }
        let level = if future { Severity::Information } else { level };
        if let Some(day) = first.status.from() {
            message.push_str(&format!("; this applies from {day}"));
        }
        let everywhere = first.ban.in_scope.is_empty() && first.ban.only_scope.is_empty();
        message.push_str(if everywhere {
            "; leave it out"
        } else {
            "; take another material"
        });
        let said = sink
            .say(Subject::Row(row), r.line, r.name.span, message)
            .level(level)
            .law(first.law, first.ban)
            .fixes(fixes::leave_out(ctx, row));
        if let Some(c) = law::constituent(ctx.formula, ctx.kb, &first.member) {
            said.rests_on(c);
        }
    }
}

/// Says what the European Union prohibits and the law of the formula's markets does not name: a
/// market without a list of poisons allows none of them.
pub(super) fn say_prohibited_abroad(ctx: &Context, sink: &mut Sink) {
    let today = ctx.settings.day();
    let mut said: BTreeSet<(usize, Id)> = ctx
        .bans()
        .in_force_or_announced()
        .iter()
        .filter(|s| s.fit == Fit::Yes && is_read(ctx, &s.ban.source))
        .map(|s| (s.member.row, s.member.id))
        .collect();
    // A limit that is exceeded in a market of the formula is the louder word.
    let limits = ctx.limits().in_force_or_announced().iter();
    let exceeded = limits.filter(|seen| seen.exceeded());
    said.extend(exceeded.flat_map(|seen| seen.members.iter().map(|m| (m.row, m.id))));
    for (seen, silent) in law::prohibited_abroad(ctx.formula, ctx.kb, ctx.markets(), today) {
        let (row, id) = (seen.member.row, seen.member.id);
        if !said.insert((row, id)) {
            continue;
        }
        let r = &ctx.formula.rows[row];
        let name = ctx.called(id);
        let mut message = match &seen.ban.conditions {
            Some(words) => format!("the EU's list of what is prohibited names {name} ({words})"),
            None => format!("the EU prohibits {name} in every cosmetic product"),
        };
        if let Some(proof) = &seen.ban.unless {
            message.push_str(&format!(" unless {proof}"));
        }
        if r.id() != Some(id) {
            message.push_str(&format!(
                "; {} brings {} of it",
                r.name.value,
                words::percent(seen.member.percent)
            ));
        }
        message.push_str(&format!(
            "; the law of {}, as far as it is known here, does not name it, yet leave it out",
            words::markets(&silent)
        ));
        let said = sink
            .say(Subject::Row(row), r.line, r.name.span, message)
            .level(Severity::Warning)
            .law(seen.law, seen.ban)
            .fixes(fixes::leave_out(ctx, row));
        if let Some(c) = law::constituent(ctx.formula, ctx.kb, &seen.member) {
            said.rests_on(c);
        }
    }
}

/// Whether a source is more than a recollection.
fn is_read(ctx: &Context, source: &str) -> bool {
    ctx.kb
        .source(source)
        .is_some_and(|s| s.kind != SourceKind::Memory)
}
