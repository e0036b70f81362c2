//! What the law of the markets sees: limits with the share of each that is used, allergens above their threshold, the dates of the texts.

use crate::analysis::law::LimitHit;
use crate::kb::Market;
use crate::model::product::Applies;
use crate::papers::FormulaContext;
use crate::rules::finding::cite;
use crate::rules::words;
use rust_decimal::Decimal;
use serde::Serialize;

#[derive(Clone, Debug, Serialize)]
pub struct LimitLine {
    pub market: Market,
    pub ingredients: Vec<String>,
    /// What it is counted as, where that is another substance.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub counted_as: Option<String>,
    pub percent: Decimal,
    pub max_percent: Decimal,
    /// Of the limit, in percent.
    pub used_percent: Decimal,
    pub scope: String,
    /// The field of the file that would say whether it applies.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub depends_on: Option<&'static str>,
    /// The first day of a limit that is only announced.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// The text has to be looked up again.
    pub recheck: bool,
    pub source: String,
}

/// An allergen that natural materials bring, or that is in the list by itself.
#[derive(Clone, Debug, Serialize)]
pub struct Brought {
    pub name: String,
    pub usual_percent: Decimal,
    pub high_percent: Decimal,
    pub threshold_percent: Decimal,
    pub markets: Vec<Market>,
}

#[derive(Clone, Debug, Serialize)]
pub struct AsOf {
    pub market: Market,
    pub as_of: String,
}

const MAX_ITEMS: usize = 8;

/// Those of which most is used, and how many are left out.
pub(super) fn limits(work: &FormulaContext) -> (Vec<LimitLine>, usize) {
    let f = work.formula;
    // What is announced stands behind what is in force, with its day.
    let mut seen: Vec<&LimitHit> = work
        .law()
        .limits()
        .in_force_or_announced()
        .iter()
        .filter(|l| !l.percent.is_zero())
        .collect();
    let used = |l: &LimitHit| l.percent.checked_div(l.max).unwrap_or(Decimal::MAX);
    seen.sort_by(|a, b| {
        (a.status.from())
            .cmp(&b.status.from())
            .then((a.applies != Applies::Yes).cmp(&(b.applies != Applies::Yes)))
            .then(used(b).cmp(&used(a)))
    });
    let left_out = seen.len().saturating_sub(MAX_ITEMS);
    seen.truncate(MAX_ITEMS);
    let shown = seen.iter().map(|l| {
        let mut ingredients: Vec<String> = Vec::new();
        for m in &l.members {
            let name = &f.rows[m.row].name.value;
            if !ingredients.iter().any(|i| i == name) {
                ingredients.push(name.to_string());
            }
        }
        let counted_as = l
            .limit
            .r#as
            .as_deref()
            .and_then(|a| work.kb.substance(a))
            .map(|(id, _)| work.kb.name(id).to_owned());
        LimitLine {
            market: l.market,
            ingredients,
            counted_as,
            percent: l.percent.round_dp(6).normalize(),
            max_percent: l.max.normalize(),
            used_percent: used(l)
                .checked_mul(Decimal::ONE_HUNDRED)
                .unwrap_or(Decimal::MAX)
                .round_dp(1)
                .normalize(),
            scope: crate::kb::card::show::scope_words(&l.limit.scope, &l.limit.not_scope)
                .trim_start_matches([',', ' '])
                .to_owned(),
            depends_on: match l.applies {
                Applies::Unknown(axis) => Some(axis.field()),
                Applies::Yes | Applies::No => None,
            },
            from: l.status.from().map(|d| d.to_string()),
            recheck: l.recheck(),
            source: cite(work.kb, &l.limit.source, l.limit.at.as_deref()),
        }
    });
    (shown.collect(), left_out)
}

/// Above the threshold at the highest known share.
pub(super) fn allergens(work: &FormulaContext) -> Vec<Brought> {
    let mut out: Vec<Brought> = Vec::new();
    for hit in work.law().allergens().in_force() {
        let name = hit.allergen.name.as_str();
        match out.iter_mut().find(|b| b.name == name) {
            Some(b) => b.markets.push(hit.market),
            None => out.push(Brought {
                name: name.to_owned(),
                usual_percent: short(if hit.top_only {
                    hit.total.high
                } else {
                    hit.total.usual
                }),
                high_percent: short(hit.total.high),
                threshold_percent: hit.threshold.normalize(),
                markets: vec![hit.market],
            }),
        }
    }
    out.sort_by(|a, b| {
        b.high_percent
            .cmp(&a.high_percent)
            .then_with(|| a.name.cmp(&b.name))
    });
    out
}

fn short(percent: Decimal) -> Decimal {
    percent.round_dp(6).normalize()
}

pub(super) fn dates(work: &FormulaContext) -> Vec<AsOf> {
    let laws = work.law().laws();
    laws.map(|l| AsOf {
        market: l.market,
        as_of: l.as_of.to_string(),
    })
    .collect()
}

impl LimitLine {
    pub fn words(&self) -> String {
        let counted = self
            .counted_as
            .as_ref()
            .map_or(String::new(), |a| format!(" as {a}"));
        let scope = if self.scope.is_empty() {
            String::new()
        } else {
            format!(", {}", self.scope)
        };
        let open = self.depends_on.map_or(String::new(), |f| {
            format!("; whether it applies, the field \"{f}\" would say")
        });
        let again = if self.recheck {
            ", to be looked up again"
        } else {
            ""
        };
        let from = self
            .from
            .as_ref()
            .map_or(String::new(), |day| format!(" from {day} on"));
        format!(
            "{}{from}: {} % of the limit used: {} {}{counted} of at most {}{scope}{open} ({}{again})",
            self.market,
            self.used_percent,
            words::list(&self.ingredients),
            words::readable_percent(self.percent),
            words::percent(self.max_percent),
            self.source
        )
    }
}

impl Brought {
    pub fn words(&self) -> String {
        let range = if self.usual_percent == self.high_percent {
            words::readable_percent(self.high_percent)
        } else {
            format!(
                "usually {}, at most {}",
                words::readable_percent(self.usual_percent),
                words::readable_percent(self.high_percent)
            )
        };
        format!(
            "{}: {range}; named on the label above {} ({})",
            self.name,
            words::percent(self.threshold_percent),
            words::list(
                &self
                    .markets
                    .iter()
                    .map(Market::to_string)
                    .collect::<Vec<_>>()
            )
        )
    }
}
