//! What a card says of the law.

use super::{Card, CardBan, CardColour, CardLimit};
use smol_str::SmolStr;

impl Card {
    pub(super) fn law_words(&self) -> Vec<String> {
        let mut out: Vec<String> = self.bans.iter().map(ban_words).collect();
        out.extend(self.limits.iter().map(limit_words));
        out.extend(self.colours.iter().map(colour_words));
        out.extend(self.medicines.iter().map(|m| {
            format!(
                "{}: {}{}",
                m.market,
                m.text,
                entry(m.at.as_deref(), m.recheck)
            )
        }));
        match self.limits_for_others {
            0 => {}
            1 => out.push("one more limit, for other kinds of product".to_owned()),
            n => out.push(format!("{n} more limits, for other kinds of product")),
        }
        let dates: Vec<String> = self
            .law
            .iter()
            .map(|l| format!("{} as of {}", l.market, l.as_of))
            .collect();
        if out.is_empty() && !dates.is_empty() {
            return vec![format!(
                "no listed limit or ban for it; {}",
                dates.join(", ")
            )];
        }
        if !dates.is_empty() {
            out.push(format!("texts: {}", dates.join(", ")));
        }
        out
    }

    pub(super) fn label_words(&self) -> Vec<String> {
        let mut out = Vec::new();
        if !self.allergens.is_empty() {
            let all: Vec<String> = self
                .allergens
                .iter()
                .map(|a| {
                    if a.percent < 100.0 {
                        format!("{} about {} %", a.name, short(a.percent))
                    } else {
                        a.name.to_string()
                    }
                })
                .collect();
            let mut markets: Vec<&str> = self
                .allergens
                .iter()
                .flat_map(|a| a.markets.iter().map(|m| m.code()))
                .collect();
            markets.sort_unstable();
            markets.dedup();
            out.push(format!(
                "allergens to name in {}: {}",
                markets.join(", "),
                all.join(", ")
            ));
        }
        for w in &self.warnings {
            let above = w
                .above_percent
                .as_ref()
                .map_or(String::new(), |p| format!(" above {p} %"));
            let when = w
                .conditions
                .as_ref()
                .map_or(String::new(), |c| format!(" ({c})"));
            out.push(format!(
                "{}{above}{}: \"{}\"{when}",
                w.market,
                scope_words(&w.scope, &[]),
                w.text
            ));
        }
        out
    }
}

fn short(percent: f64) -> String {
    let text = if percent >= 0.01 {
        format!("{percent:.2}")
    } else {
        format!("{percent:.4}")
    };
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn entry(at: Option<&str>, recheck: bool) -> String {
    let again = if recheck { "to be looked up again" } else { "" };
    let parts: Vec<&str> = [at.unwrap_or(""), again]
        .into_iter()
        .filter(|p| !p.is_empty())
        .collect();
    if parts.is_empty() {
        String::new()
    } else {
        format!(" ({})", parts.join(", "))
    }
}

/// " in leave-on, face", " in spray or loose powder", " outside oral".
pub(crate) fn scope_words(scope: &[SmolStr], not_scope: &[SmolStr]) -> String {
    let readable = |words: &[SmolStr]| {
        words
            .iter()
            .map(|w| w.replace('|', " or "))
            .collect::<Vec<_>>()
            .join(", ")
    };
    let mut out = String::new();
    if !scope.is_empty() {
        out.push_str(&format!(" in {} products", readable(scope)));
    }
    if !not_scope.is_empty() {
        out.push_str(&format!(" outside {}", readable(not_scope)));
    }
    out
}

fn limit_words(l: &CardLimit) -> String {
    let mut out = format!("{}: ", l.market);
    out.extend(l.substance_name.as_ref().map(|s| format!("{s} ")));
    match &l.max_percent {
        Some(max) => out.push_str(&format!("at most {max} %")),
        None => out.push_str("limited by pH"),
    }
    out.extend(l.as_name.as_ref().map(|a| format!(" as {a}")));
    out.extend(
        l.of_this_percent
            .as_ref()
            .map(|p| format!(", {p} % of this")),
    );
    match (&l.ph_min, &l.ph_max) {
        (Some(a), Some(b)) => out.push_str(&format!(", pH {a} to {b}")),
        (Some(a), None) => out.push_str(&format!(", pH {a} or above")),
        (None, Some(b)) => out.push_str(&format!(", pH {b} or below")),
        (None, None) => {}
    }
    out.push_str(&scope_words(&l.scope, &l.not_scope));
    out.extend(
        l.purpose
            .as_ref()
            .map(|p| format!(" as {}", p.replace('-', " "))),
    );
    out.extend(l.conditions.as_ref().map(|c| format!("; {c}")));
    out.extend(l.from.as_ref().map(|f| format!("; new products from {f}")));
    out.push_str(&entry(l.at.as_deref(), l.recheck));
    out
}

fn ban_words(b: &CardBan) -> String {
    let mut out = format!("{}: ", b.market);
    out.extend(b.substance_name.as_ref().map(|s| format!("{s} ")));
    if b.in_scope.is_empty() && b.only_scope.is_empty() {
        out.push_str("banned");
    } else if b.only_scope.is_empty() {
        out.push_str(&format!("banned{}", scope_words(&b.in_scope, &[])));
    } else {
        out.push_str(&format!("allowed{} alone", scope_words(&b.only_scope, &[])));
    }
    out.extend(
        b.purpose
            .as_ref()
            .map(|p| format!(" as {}", p.replace('-', " "))),
    );
    out.extend(
        b.trace_percent
            .as_ref()
            .map(|t| format!(", traces up to {t} % aside")),
    );
    out.extend(b.conditions.as_ref().map(|c| format!("; {c}")));
    out.extend(b.from.as_ref().map(|f| format!("; from {f}")));
    out.push_str(&entry(b.at.as_deref(), b.recheck));
    out
}

fn colour_words(c: &CardColour) -> String {
    let mut allowed = Vec::new();
    let mut barred = Vec::new();
    for (area, said) in [
        ("near the eye", c.eye),
        ("on the lips", c.lip),
        ("on the skin", c.external),
    ] {
        match said {
            Some(true) => allowed.push(area),
            Some(false) => barred.push(area),
            None => {}
        }
    }
    let mut parts = Vec::new();
    if !allowed.is_empty() {
        parts.push(format!("as a colour {}", allowed.join(", ")));
    }
    if !barred.is_empty() {
        parts.push(format!("not {}", barred.join(", ")));
    }
    if c.rinse_off_only {
        parts.push("rinse-off alone".into());
    }
    if c.certified {
        parts.push("from certified batches".into());
    }
    parts.extend(c.max_percent.as_ref().map(|m| format!("at most {m} %")));
    parts.extend(c.conditions.as_ref().map(SmolStr::to_string));
    if parts.is_empty() {
        parts.push("listed as a colour".into());
    }
    format!(
        "{}: {}{}",
        c.market,
        parts.join("; "),
        entry(c.at.as_deref(), c.recheck)
    )
}
