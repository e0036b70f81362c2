//! On the pH line: what each ingredient needs, and whether one pH suits them all.

use crate::ide::{Snapshot, words::text};
use crate::model::acidity;
use crate::model::ph_needs::{self, Need};
use crate::model::{Formula, system};
use crate::rules::words;
use rust_decimal::Decimal;

pub(super) fn line(s: &Snapshot) -> Option<String> {
    let f = s.formula.as_ref()?;
    let aim = system::ph_aim(f);
    let mut out = match aim {
        Some(aim) => {
            format!(
                "**Aims at pH {}**{}\n\n",
                super::heading::aim_words(aim),
                if aim.exact {
                    ", as a q.s. row says"
                } else {
                    ""
                }
            )
        }
        None => "**pH of the product**\n\n".to_owned(),
    };
    out.push_str(&predicted(s, f));
    let needs = ph_needs::needs(f, &s.kb);
    if needs.is_empty() {
        out.push_str("No ingredient here is known to need a certain pH.\n");
        return Some(out);
    }
    for n in &needs {
        let outside = aim.filter(|a| {
            n.range.low.is_some_and(|l| a.low < l.0) || n.range.high.is_some_and(|h| a.high > h.0)
        });
        let mark = if outside.is_some() {
            "**outside:** "
        } else {
            ""
        };
        let why = n
            .range
            .why
            .as_ref()
            .map_or(String::new(), |w| format!(": {}", text(w)));
        out.push_str(&format!(
            "- {mark}{} {} {} ({}){why}\n",
            text(&n.name),
            n.does.verb(),
            words::range(n.range),
            super::heading::kind(s, &n.range.source)
        ));
    }
    out.push_str(&common(&needs));
    Some(out)
}

/// What the charge balance expects, and what it leaves out.
fn predicted(s: &Snapshot, f: &Formula) -> String {
    if f.rows.is_empty() || f.rows.iter().any(|r| r.percent.is_none()) {
        return String::new();
    }
    let acidity = acidity::of(f, &s.kb);
    let mut out = match acidity.prediction_or_reason() {
        Ok(p) => format!("**Estimate:** about pH {}", words::about(p.low, p.high, 1)),
        Err(why) => return format!("**No estimate:** {}\n\n", text(&why)),
    };
    let names = |ids: &[crate::kb::Id]| {
        words::list(
            &ids.iter()
                .map(|id| text(s.kb.name(*id)))
                .collect::<Vec<_>>(),
        )
    };
    out.push_str(
        &match (acidity.counted.is_empty(), acidity.bounded.is_empty()) {
            (true, true) => "; nothing in it is known as an acid or base\n".to_owned(),
            (true, false) => "\n".to_owned(),
            (false, _) => format!(" from {}\n", names(&acidity.counted)),
        },
    );
    if !acidity.bounded.is_empty() {
        out.push_str(&format!(
            "- known only between bounds, which the range takes in: {}\n",
            names(&acidity.bounded)
        ));
    }
    for m in acidity.missing.iter().take(MOST_LEFT_OUT) {
        out.push_str(&format!(
            "- left out: {}: {}\n",
            text(&m.name),
            m.why.text()
        ));
    }
    if let Some(more) = acidity
        .missing
        .len()
        .checked_sub(MOST_LEFT_OUT)
        .filter(|n| *n > 0)
    {
        out.push_str(&format!("- left out: {more} more\n"));
    }
    out.push('\n');
    out
}

const MOST_LEFT_OUT: usize = 6;

fn common(needs: &[Need]) -> String {
    let low: Option<Decimal> = needs.iter().filter_map(|n| n.range.low).map(|n| n.0).max();
    let high: Option<Decimal> = needs.iter().filter_map(|n| n.range.high).map(|n| n.0).min();
    match (low, high) {
        (Some(l), Some(h)) if l > h => "\n**No pH suits all of them.**\n".to_owned(),
        (Some(l), Some(h)) if l == h => format!("\n**Suits all:** pH {}\n", l.normalize()),
        (Some(l), Some(h)) => format!(
            "\n**Suits all:** pH {} to {}\n",
            l.normalize(),
            h.normalize()
        ),
        (Some(l), None) => format!("\n**Suits all:** pH {} or above\n", l.normalize()),
        (None, Some(h)) => format!("\n**Suits all:** pH {} or below\n", h.normalize()),
        (None, None) => String::new(),
    }
}
