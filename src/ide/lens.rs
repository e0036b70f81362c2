//! One line above the formula: its total, its share of water and oil, its pH, its HLB.

use super::Snapshot;
use super::figures;
use crate::model::acidity::{self, Why};
use crate::model::{Formula, Total, hlb, system};
use crate::rules::words;
use rust_decimal::Decimal;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lens {
    pub line: u32,
    pub title: String,
}

/// The figures of a formula that has rows, in one line: lenses side by side push each other off the screen.
pub fn lens(s: &Snapshot) -> Option<Lens> {
    let f = s.formula.as_ref().filter(|f| !f.rows.is_empty())?;
    let mut parts = vec![total(f)];
    let is_known = f.rows.iter().all(|r| r.percent.is_some());
    if is_known {
        parts.push(shares(f));
    }
    parts.extend(aim(f));
    if is_known {
        parts.extend(estimate(s, f));
        parts.extend(balance(s, f));
    }
    Some(Lens {
        line: f.heading_line,
        title: parts.join(" · "),
    })
}

fn total(f: &Formula) -> String {
    let words = figures::total_words(f);
    match &f.fields.batch {
        Some(batch) if matches!(f.total, Total::Known(_)) => {
            format!("{words} of {}", figures::grams_words(batch.value))
        }
        _ => words,
    }
}

fn shares(f: &Formula) -> String {
    let short = |n: Decimal| words::percent(n.round_dp(1));
    let unknown = if f.has_unknown { ", not all known" } else { "" };
    format!(
        "water {}, oils {}{unknown}",
        short(f.water_percent),
        short(f.oil_percent)
    )
}

fn aim(f: &Formula) -> Option<String> {
    let aim = system::ph_aim(f)?;
    let (low, high) = (aim.low.normalize(), aim.high.normalize());
    Some(if low == high {
        format!("aim pH {low}")
    } else {
        format!("aim pH {low} to {high}")
    })
}

/// The pH that the charge balance gives; where it gives none the hover on the pH line tells why.
fn estimate(s: &Snapshot, f: &Formula) -> Option<String> {
    let acidity = acidity::of(f, &s.kb);
    let p = acidity.useful_prediction()?;
    let before = if acidity.missing.iter().any(|m| m.why == Why::NoAmount) {
        " before it is adjusted"
    } else {
        ""
    };
    Some(format!(
        "estimate pH {}{before}",
        words::about(p.low, p.high, 1)
    ))
}

fn balance(s: &Snapshot, f: &Formula) -> Option<String> {
    let hlb = hlb::balance(f, &s.kb).ok()?;
    let short = |n: Decimal| words::number(n, 1);
    Some(format!(
        "HLB {}, oils need {}",
        short(hlb.given.hlb),
        short(hlb.asked.hlb)
    ))
}
