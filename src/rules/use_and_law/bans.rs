//! Prohibitions: one message for each row, with all its markets.

use crate::analysis::law::{self, BanHit};
use crate::kb::Id;
use crate::kb::schema::{Ban, SourceKind};
use crate::model::product::Applies;
use crate::rules::fixes;
use crate::rules::{Context, Severity, Sink, Subject, words};
use std::collections::{BTreeMap, BTreeSet};

/// Says the bans that the rule picks.
pub(super) fn say(ctx: &Context, sink: &mut Sink, pick: impl Fn(&Ban) -> bool) {
    let mut causes: BTreeMap<(usize, Id), Vec<&BanHit>> = BTreeMap::new();
    for seen in ctx
        .law()
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
        let (now, later): (Vec<&BanHit>, Vec<&BanHit>) =
            all.into_iter().partition(|s| s.status.is_in_force());
        let (seen, future) = if now.is_empty() {
            (later, true)
        } else {
            (now, false)
        };
        let sure = |s: &&BanHit| {
            s.applies == Applies::Yes && !s.by_typical_content && s.ban.unless.is_none()
        };
        let certain: Vec<&BanHit> = seen.iter().copied().filter(sure).collect();
        let (seen, level) = if certain.is_empty() {
            (seen, Severity::Warning)
        } else {
            (certain, Severity::Error)
        };
        let Some(first) = seen
            .iter()
            .copied()
            .min_by_key(|s| s.ban.review == crate::kb::schema::ReviewStatus::NeedsReview)
        else {
            continue;
        };
        let r = &ctx.formula.rows[row];
        let markets = words::sorted(
            seen.iter()
                .filter(|s| s.ban.review == first.ban.review)
                .map(|s| s.market),
        );
        let doubtful = words::sorted(
            seen.iter()
                .map(|s| s.market)
                .filter(|m| !markets.contains(m)),
        );
        let plural = words::by_count(markets.len(), "s", "");
        let (name, who) = (ctx.called(id), words::markets(&markets));
        let from = match first.status.from() {
            Some(day) => format!("from {day} "),
            None => String::new(),
        };
        let mut why: Vec<String> = first
            .ban
            .conditions
            .iter()
            .map(ToString::to_string)
            .collect();
        let mut message = if !first.ban.in_scope.is_empty() {
            let said = format!("{from}{who} prohibit{plural} {name}");
            words::scoped(said, &first.ban.in_scope, &mut why)
        } else if !first.ban.only_scope.is_empty() {
            let scope = &first.ban.only_scope;
            let outside = match ctx.formula.product.fits(scope, &[]) {
                Applies::Yes => ctx.formula.product.places_outside(scope),
                _ => Vec::new(),
            };
            if !outside.is_empty() {
                let places = outside.join(", ");
                why.push(format!("this product goes on other places too ({places})"));
            }
            let said = format!("{from}{who} allow{plural} {name} only");
            words::scoped(said, scope, &mut why)
        } else {
            format!("{from}{who} prohibit{plural} {name} in cosmetics")
        };
        if r.id() != Some(id) {
            let brought = words::percent(first.member.percent);
            message.push_str(&format!(", and this brings {brought}"));
        }
        let level = if future { Severity::Information } else { level };
        let everywhere = first.ban.in_scope.is_empty() && first.ban.only_scope.is_empty();
        let mut help = if everywhere {
            "Leave it out".to_owned()
        } else {
            "Take another material".to_owned()
        };
        if let Some(proof) = &first.ban.unless {
            help.push_str(", or ask the supplier for the certificate that allows it");
            why.push(format!("prohibited unless {proof}"));
        }
        if let Applies::Unknown(axis) = first.applies {
            help.push_str(&super::limits::or_write(ctx, axis));
        }
        if !doubtful.is_empty() {
            why.push(format!(
                "perhaps {} too: that text is to be looked up again",
                words::markets(&doubtful)
            ));
        }
        let said = sink
            .say(Subject::Row(row), r.line, r.name.span, message)
            .help(help)
            .why((!why.is_empty()).then(|| why.join("; ")))
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
    let mut said: BTreeSet<(usize, Id)> = ctx
        .law()
        .bans()
        .in_force_or_announced()
        .iter()
        .filter(|s| s.applies == Applies::Yes && is_read(ctx, &s.ban.source))
        .map(|s| (s.member.row, s.member.id))
        .collect();
    // A limit that is exceeded in a market of the formula is the louder word.
    let limits = ctx.law().limits().in_force_or_announced().iter();
    let exceeded = limits.filter(|seen| seen.exceeded());
    said.extend(exceeded.flat_map(|seen| seen.members.iter().map(|m| (m.row, m.id))));
    for (seen, silent) in ctx.law().prohibited_abroad() {
        let (row, id) = (seen.member.row, seen.member.id);
        if !said.insert((row, id)) {
            continue;
        }
        let r = &ctx.formula.rows[row];
        let name = ctx.called(id);
        let mut message = match &seen.ban.conditions {
            Some(_) => format!("the EU lists {name} as prohibited"),
            None => format!("the EU prohibits {name} in every cosmetic product"),
        };
        if r.id() != Some(id) {
            let brought = words::percent(seen.member.percent);
            message.push_str(&format!(", and this brings {brought}"));
        }
        let mut why: Vec<String> = seen
            .ban
            .conditions
            .iter()
            .map(ToString::to_string)
            .collect();
        why.extend(
            seen.ban
                .unless
                .iter()
                .map(|proof| format!("prohibited unless {proof}")),
        );
        why.push(format!(
            "the law of {}, as far as it is known here, does not name it",
            words::markets(&silent)
        ));
        let said = sink
            .say(Subject::Row(row), r.line, r.name.span, message)
            .help("Leave it out")
            .why(why.join("; "))
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
        .is_some_and(|s| s.kind != SourceKind::Unsourced)
}
