//! One row, one level: whatever several findings ask of one amount, all name the strictest, and their fixes write it.

use super::finding::{Finding, Fix, Level, Target};
use super::{Context, fixes, words};
use rust_decimal::Decimal;

/// Writes what to do about amounts into the findings that ask for a level.
pub(super) fn settle(ctx: &Context, found: &mut [Finding]) {
    for n in 0..found.len() {
        let Some(target) = found[n].target.clone() else {
            continue;
        };
        let strictest = strictest(found, &target);
        let (verb, lowers) = match target.level {
            Level::AtMost(_) => ("Lower", true),
            Level::AtLeast(_) => ("Raise", false),
        };
        let mut level = strictest.level.percent();
        let mut as_what = strictest.as_what;
        let ceiling = ctx.ceiling(target.row).map(fixes::down);
        if let Some(most) = ceiling.filter(|most| *most < level) {
            (level, as_what) = (most, "the strictest limit known");
        }
        let fix = fix(ctx, &target, level, verb)
            .filter(|_| lowers || ceiling.is_none_or(|most| level < most));
        let f = &mut found[n];
        let mut help = if level.is_zero() && lowers {
            format!("Leave {} out", target.what)
        } else {
            format!("{verb} {} to {}", target.what, words::percent(level))
        };
        if level != target.level.percent() {
            help.push_str(", ");
            help.push_str(as_what);
        }
        if !f.help.is_empty() {
            help.push_str(", or ");
            help.push_str(&f.help);
        }
        f.help = help;
        if let Some(fix) = fix {
            f.fixes.insert(0, fix);
        }
    }
}

/// The lowest of the highest levels that are asked of a row, or the highest of the lowest.
fn strictest(found: &[Finding], target: &Target) -> Target {
    let same = |t: &&Target| {
        t.row == target.row
            && matches!(t.level, Level::AtMost(_)) == matches!(target.level, Level::AtMost(_))
    };
    let all = found.iter().filter_map(|f| f.target.as_ref()).filter(same);
    let one = match target.level {
        Level::AtMost(_) => all.min_by_key(|t| t.level.percent()),
        Level::AtLeast(_) => all.max_by_key(|t| t.level.percent()),
    };
    one.unwrap_or(target).clone()
}

fn fix(ctx: &Context, target: &Target, level: Decimal, verb: &str) -> Option<Fix> {
    let fix = fixes::set_percent(ctx, target.row, level, &format!("{verb} to"))?;
    (target.others_too || fix.edits.len() == 1).then_some(fix)
}
