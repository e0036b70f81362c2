//! One row, one level: whatever several findings ask of one amount, all name the strictest, and their fixes write it.

use super::finding::{Finding, Fix, Level, Target};
use super::{Context, fixes, words};
use rust_decimal::Decimal;
use std::collections::HashMap;

/// Writes what to do about amounts into the findings that ask for a level.
pub(super) fn settle(ctx: &Context, found: &mut [Finding]) {
    let strictest = strictest(found);
    for f in found {
        let Some(target) = f.target.clone() else {
            continue;
        };
        let strictest = &strictest[&key(&target)];
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

/// A row, and whether the most or the least of it is asked for.
fn key(target: &Target) -> (usize, bool) {
    (target.row, matches!(target.level, Level::AtMost(_)))
}

/// Of each row the lowest of the highest levels that are asked for, and the highest of the lowest. The first of equal highest
/// levels speaks, and the last of equal lowest ones.
fn strictest(found: &[Finding]) -> HashMap<(usize, bool), Target> {
    let mut out: HashMap<(usize, bool), Target> = HashMap::new();
    for target in found.iter().filter_map(|f| f.target.as_ref()) {
        let before = out.get(&key(target)).map(|t| t.level.percent());
        let level = target.level.percent();
        let stricter = before.is_none_or(|before| match target.level {
            Level::AtMost(_) => level < before,
            Level::AtLeast(_) => level >= before,
        });
        if stricter {
            out.insert(key(target), target.clone());
        }
    }
    out
}

fn fix(ctx: &Context, target: &Target, level: Decimal, verb: &str) -> Option<Fix> {
    let fix = fixes::set_percent(ctx, target.row, level, &format!("{verb} to"))?;
    (target.others_too || fix.edits.len() == 1).then_some(fix)
}
