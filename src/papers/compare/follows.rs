//! What follows from the changes: how much of each legal limit is used, which findings appear and which vanish.

use crate::kb::Market;
use crate::papers::FormulaContext;
use crate::rules::{self, Subject, words};
use rust_decimal::Decimal;
use serde::Serialize;

/// A limit whose use changed.
#[derive(Clone, Debug, Serialize)]
pub struct LimitChange {
    pub market: Market,
    /// What is limited, as the formula writes it.
    pub substance: String,
    pub max_percent: Decimal,
    /// The first day of a limit that is only announced.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// As the law counts it; absent where nothing of it is there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub before_percent: Option<Decimal>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after_percent: Option<Decimal>,
}

#[derive(Clone, Debug, Serialize)]
pub struct Finding {
    pub severity: &'static str,
    pub code: &'static str,
    /// From 1, in its own version.
    pub line: u32,
    pub message: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct Findings {
    pub appeared: Vec<Finding>,
    pub vanished: Vec<Finding>,
}

struct Used {
    key: (Market, String),
    substance: String,
    max: Decimal,
    from: Option<String>,
    percent: Decimal,
}

fn used(work: &FormulaContext) -> Vec<Used> {
    work.law()
        .limits()
        .in_force_or_announced()
        .iter()
        .filter(|l| l.applies != crate::model::product::Applies::No)
        .map(|l| {
            let row = &work.formula.rows[l.largest().row];
            Used {
                key: (l.market, l.limit.id.to_string()),
                substance: row.name.value.to_string(),
                max: l.max.normalize(),
                from: l.status.from().map(|d| d.to_string()),
                percent: l.percent.round_dp(4).normalize(),
            }
        })
        .collect()
}

pub(super) fn limits(a: &FormulaContext, b: &FormulaContext) -> Vec<LimitChange> {
    let (before, after) = (used(a), used(b));
    let limit = |u: &Used, old: Option<Decimal>, new: Option<Decimal>| LimitChange {
        market: u.key.0,
        substance: u.substance.clone(),
        max_percent: u.max,
        from: u.from.clone(),
        before_percent: old,
        after_percent: new,
    };
    let mut out = Vec::new();
    for new in &after {
        let old = before.iter().find(|o| o.key == new.key).map(|o| o.percent);
        if old != Some(new.percent) {
            out.push(limit(new, old, Some(new.percent)));
        }
    }
    out.extend(
        before
            .iter()
            .filter(|o| !after.iter().any(|n| n.key == o.key))
            .map(|o| limit(o, Some(o.percent), None)),
    );
    out
}

/// The same finding in two versions stands on the same thing, on whatever line.
fn subject(work: &FormulaContext, f: &rules::Finding) -> (&'static str, String) {
    let on = match f.subject {
        Subject::Formula => String::new(),
        Subject::Row(n) => work
            .formula
            .rows
            .get(n)
            .map_or_else(String::new, |r| r.name.value.to_lowercase()),
        Subject::Phase(n) => work
            .formula
            .phases
            .get(n)
            .map_or_else(String::new, |p| format!("phase {}", p.label.to_lowercase())),
        Subject::Line(n) => work
            .tree
            .lines
            .get(n as usize)
            .map_or_else(String::new, |at| at.line.text.trim().to_lowercase()),
    };
    (f.code, on)
}

pub(super) fn findings(a: &FormulaContext, b: &FormulaContext) -> Findings {
    let only = |of: &FormulaContext, without: &FormulaContext| -> Vec<Finding> {
        let known: Vec<_> = without
            .findings
            .iter()
            .map(|f| (subject(without, f), f.severity))
            .collect();
        let new = of
            .findings
            .iter()
            .filter(|f| !known.contains(&(subject(of, f), f.severity)));
        new.map(|f| Finding {
            severity: f.severity.name(),
            code: f.code,
            line: f.place.line + 1,
            message: f.whole(),
        })
        .collect()
    };
    Findings {
        appeared: only(b, a),
        vanished: only(a, b),
    }
}

impl Finding {
    pub fn words(&self) -> String {
        format!("{}: {} ({})", self.severity, self.message, self.code)
    }
}

impl LimitChange {
    /// "EU, phenoxyethanol: 0.9 % to 1 % of at most 1 %".
    pub fn words(&self) -> String {
        let percent =
            |p: Option<Decimal>| p.map_or_else(|| "none".to_owned(), words::readable_percent);
        let (market, substance) = (&self.market, &self.substance);
        let from = self
            .from
            .as_ref()
            .map_or(String::new(), |day| format!(" from {day} on"));
        format!(
            "{market}, {substance}: {} before, {} after, at most {}{from}",
            percent(self.before_percent),
            percent(self.after_percent),
            words::percent(self.max_percent)
        )
    }
}
