//! On an amount: percent, weight in this batch and in each jar, how much of the legal limit it uses.

use crate::analysis::law::LimitHit;
use crate::chem::units::Dimension;
use crate::ide::figures;
use crate::ide::{Snapshot, words::text};
use crate::kb::schema::{ReviewStatus, SourceKind};
use crate::model::product::Applies;
use crate::model::weights::Weights;
use crate::model::{Basis, Formula, Row, Total};
use crate::rules::finding::cite;
use crate::rules::words;
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;

pub(super) fn row(s: &Snapshot, line: u32) -> Option<String> {
    let f = s.formula.as_ref()?;
    let n = s.row_on(line)?;
    let row = &f.rows[n];
    let mut out = vec![headline(s, f, row)];
    let weights = figures::weights(s, f);
    if let Some(percent) = row.percent {
        out.extend(weight_lines(f, &weights, n, percent));
        out.extend(limit_lines(s, f, n));
    }
    Some(out.join("\n"))
}

/// What the amount is, or why it is not known.
fn headline(s: &Snapshot, f: &Formula, row: &Row) -> String {
    let percent = row.percent.map(|p| words::percent(rounded(p)));
    match (row.amount.value, &percent) {
        (Amount::Fill { to }, Some(p)) => {
            let goal = to.map_or("100 %".to_owned(), figures::measure_words);
            if row.percent.is_some_and(|p| p.is_zero()) {
                return format!("**No room is left:** the other rows reach {goal} already.\n");
            }
            format!("**q.s.** fills up to {goal}: **{p}**\n")
        }
        (Amount::Fill { .. }, None) => format!(
            "**q.s.** fills up to the whole; what it comes to is not known.\n\n{}",
            why(s, f)
        ),
        (Amount::Enough { ph, about, at_most }, _) => {
            let goal = ph.map_or("**As much as it takes**".to_owned(), |p| {
                format!(
                    "**As much as it takes to reach pH {}**",
                    p.value.normalize()
                )
            });
            let counted = match (about, &percent) {
                (Some(_), Some(p)) => format!("{p} is counted in the sum, and less water goes in."),
                (Some(_), None) => format!("Its share is not known. {}", why(s, f)),
                (None, _) => {
                    "It counts as nothing in the sum until you write \"about\".".to_owned()
                }
            };
            let most = at_most.map_or(String::new(), |m| {
                format!(" Limits look at {}.", figures::measure_words(m))
            });
            format!("{goal}\n\n{counted}{most}\n")
        }
        (_, Some(p)) if f.basis == Basis::Percent => format!("**{p}** of the whole\n"),
        (_, Some(p)) => {
            let about = if row.estimated { "about " } else { "" };
            format!("**{about}{p}** of the whole by weight\n")
        }
        (Amount::Missing, None) if row.strength_only => {
            "**The amount is missing:** this is the strength that it is sold in.\n".to_owned()
        }
        (_, None) => format!("**The share is not known.**\n\n{}", why(s, f)),
    }
}

/// Why a sum or share is not known.
pub(super) fn why(s: &Snapshot, f: &Formula) -> String {
    match f.total {
        Total::Unknown { line } => {
            let written = s
                .text(line)
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ");
            let shown = if written.is_empty() {
                String::new()
            } else {
                format!(": {}", text(&written))
            };
            let fills = f
                .rows
                .iter()
                .enumerate()
                .filter(|(n, _)| figures::is_fill(f, *n))
                .count();
            if fills > 1
                && f.rows
                    .iter()
                    .any(|r| r.line == line && matches!(r.amount.value, Amount::Fill { .. }))
            {
                return format!(
                    "{fills} rows fill up to the whole; only one can. Give the others an amount.\n"
                );
            }
            format!("Line {} cannot be read{shown}\n", line + 1)
        }
        _ if f.basis == Basis::Mixed => {
            "Percent and weights are mixed: write all rows in one of them.\n".to_owned()
        }
        _ => "Line by line all can be read, yet the whole has no weight.\n".to_owned(),
    }
}

fn weight_lines(f: &Formula, w: &Weights, n: usize, percent: Decimal) -> Vec<String> {
    let mut out = Vec::new();
    if let (Some(batch), Some(g)) = (w.batch_g, w.rows[n]) {
        out.push(format!(
            "- **In this batch** of {}: {}",
            figures::grams_words(batch),
            figures::grams_words(g)
        ));
    }
    for pack in f.fields.fill.iter().flat_map(|p| &p.value) {
        let each = match pack.each.unit.dimension() {
            Dimension::Mass => pack
                .each
                .unit
                .grams()
                .and_then(|g| pack.each.value.checked_mul(g)),
            _ => None,
        };
        if let Some(g) = each
            .and_then(|e| e.checked_mul(percent))
            .map(|g| g / Decimal::ONE_HUNDRED)
        {
            out.push(format!(
                "- **In each** {}: {} g",
                figures::measure_words(pack.each),
                words::number(g, 3)
            ));
        }
    }
    out
}

/// How much of each market's limit the formula uses by what this row holds.
fn limit_lines(s: &Snapshot, f: &Formula, n: usize) -> Vec<String> {
    let markets = s.markets();
    let hits = s.law().limits();
    let of_row = |l: &&LimitHit| l.members.iter().any(|m| m.row == n);
    let seen: Vec<&LimitHit> = hits.in_force().filter(of_row).collect();
    let mut out = Vec::new();
    for market in markets {
        let mut here: Vec<&LimitHit> = seen
            .iter()
            .copied()
            .filter(|l| l.market == *market)
            .collect();
        // What applies for certain speaks before what the file leaves open; the tightest first.
        here.sort_by(|a, b| {
            (a.applies != Applies::Yes)
                .cmp(&(b.applies != Applies::Yes))
                .then(used(b).cmp(&used(a)))
        });
        let mut told: Vec<Vec<crate::kb::Id>> = Vec::new();
        for l in here {
            let mut ids: Vec<_> = l.members.iter().map(|m| m.id).collect();
            ids.sort();
            ids.dedup();
            if !told.contains(&ids) {
                out.push(limit_line(s, f, l, n));
                told.push(ids);
            }
        }
    }
    out.extend(
        hits.announced()
            .filter(of_row)
            .map(|l| limit_line(s, f, l, n)),
    );
    if out.is_empty() && !markets.is_empty() {
        let dates: Vec<String> = s
            .law()
            .laws()
            .map(|l| format!("{} as of {}", l.market, l.as_of))
            .collect();
        if f.rows[n].id().is_some() && !dates.is_empty() {
            out.push(format!(
                "- **Law:** no listed limit for it ({})",
                dates.join(", ")
            ));
        }
    }
    out.extend(allergen_line(s, n));
    out
}

fn used(l: &LimitHit) -> Decimal {
    l.percent.checked_div(l.max).unwrap_or(Decimal::MAX)
}

fn limit_line(s: &Snapshot, f: &Formula, l: &LimitHit, n: usize) -> String {
    let own: Decimal = l.members.iter().map(|m| m.percent).sum();
    let counted = match &l.limit.r#as {
        Some(a) if own != l.percent => {
            let name =
                s.kb.substance(a)
                    .map_or(a.as_str(), |(id, _)| s.kb.name(id));
            format!("{} as {}", words::percent(rounded(l.percent)), text(name))
        }
        _ => words::percent(rounded(l.percent)),
    };
    let own_name = l
        .members
        .iter()
        .find(|m| m.row == n)
        .filter(|m| f.rows[n].id() != Some(m.id))
        .map(|m| format!("{} ", text(s.kb.name(m.id))));
    let others: Vec<String> = l
        .members
        .iter()
        .filter(|m| m.row != n)
        .map(|m| text(&f.rows[m.row].name.value))
        .collect();
    let with = if others.is_empty() {
        String::new()
    } else {
        format!(", together with {}", words::list(&others))
    };
    let share = used(l)
        .checked_mul(Decimal::ONE_HUNDRED)
        .map_or("far more than all".to_owned(), |u| {
            format!("{} %", words::number(u, 0))
        });
    let over = if l.exceeded() {
        "**above the limit**, "
    } else {
        ""
    };
    let scope = crate::kb::card::show::scope_words(&l.limit.scope, &l.limit.not_scope);
    let open = match l.applies {
        Applies::Unknown(axis) => format!(
            "; whether it applies, the field \"{}\" would say",
            axis.field()
        ),
        _ => String::new(),
    };
    let kind = match s.kb.source(&l.limit.source).map(|x| x.kind) {
        Some(SourceKind::Law) => "law",
        Some(SourceKind::Published) => "published",
        Some(SourceKind::Practice) => "practice",
        _ => "memory",
    };
    let again = if l.limit.review == ReviewStatus::NeedsReview {
        ", to be looked up again"
    } else {
        ""
    };
    let from = l
        .status
        .from()
        .map_or(String::new(), |day| format!(", from {day} on"));
    format!(
        "- **{}{from}:** {over}{share} of the limit used: {}{counted}{with} of at most {}{scope}{open} ({kind}: {}{again})",
        l.market,
        own_name.unwrap_or_default(),
        words::percent(l.max),
        text(&cite(&s.kb, &l.limit.source, l.limit.at.as_deref()))
    )
}

/// The allergens that this row brings and the label names.
fn allergen_line(s: &Snapshot, n: usize) -> Option<String> {
    let hits = s.law().allergens();
    let mut names: Vec<&str> = Vec::new();
    for hit in hits.in_force().filter(|h| h.rows.contains(&n)) {
        if !names.contains(&hit.allergen.name.as_str()) {
            names.push(&hit.allergen.name);
        }
    }
    names.sort_unstable();
    (!names.is_empty()).then(|| {
        format!(
            "- **Allergens for the label:** {}",
            text(&words::list(&names))
        )
    })
}

/// Shares of weights seldom end.
fn rounded(percent: Decimal) -> Decimal {
    words::readable(percent)
}
