//! What keeps microbes away: what is active, how much of it is left free in the water, what it reaches.

use crate::chem::water_activity::Bound;
use crate::kb::schema::PreservativeKind;
use crate::model::preservation::{self, SelfPreservation};
use crate::model::reach;
use crate::model::system::{self, PhAim};
use crate::papers::FormulaContext;
use crate::papers::plot::Acid;
use crate::rules::finding::cite;
use crate::rules::words;
use rust_decimal::Decimal;
use serde::Serialize;

#[derive(Clone, Debug, Serialize)]
pub struct Keeping {
    pub preservatives: Vec<Preserving>,
    /// Of all together; absent where that of one is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reach: Option<Reach>,
    /// Why it needs no preservative.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub protects_itself: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water_activity: Option<WaterActivity>,
}

#[derive(Clone, Debug, Serialize)]
pub struct Preserving {
    pub name: String,
    pub percent: Decimal,
    /// Of an acid: its undissociated share at the highest and the lowest pH aimed at, in percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub active_percent: Option<[f64; 2]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub free: Option<FreeShare>,
}

/// What is left free in the water against the lowest level that protects.
#[derive(Clone, Debug, Serialize)]
pub struct FreeShare {
    /// Percent (w/v) of the water.
    pub percent: f64,
    pub needed_percent: f64,
    /// Both count only the active form.
    pub active_form: bool,
    pub source: String,
}

/// 0 none, 1 weak, 2 fair, 3 strong.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Reach {
    pub gram_positive: u8,
    pub gram_negative: u8,
    pub yeast: u8,
    pub mould: u8,
}

#[derive(Clone, Copy, Debug, Serialize)]
pub struct WaterActivity {
    pub aw: f64,
    /// The solution is beyond the method: the true value is lower.
    pub at_most: bool,
}

pub(super) fn keeping(work: &FormulaContext, aim: Option<&PhAim>) -> Keeping {
    let (f, kb) = (work.formula, work.kb);
    let liquids = preservation::PhaseVolumes::of(f, kb);
    let preservatives = system::preservatives(f, kb)
        .iter()
        .map(|p| {
            let pka = p
                .entry
                .pka
                .first()
                .filter(|_| p.kind == PreservativeKind::WeakAcid)
                .map(|k| k.value.f64());
            let share = |pka: f64, ph: Decimal| {
                digits(system::active_share(pka, crate::chem::float(ph)) * 100.0, 2)
            };
            Preserving {
                name: kb.name(p.id).to_owned(),
                percent: p.percent.round_dp(4).normalize(),
                active_percent: pka
                    .zip(aim)
                    .map(|(k, a)| [share(k, a.high), share(k, a.low)]),
                free: preservation::free(&liquids, kb, p, aim, true).map(|x| FreeShare {
                    percent: digits(x.percent, 2),
                    needed_percent: x.needed,
                    active_form: x.active,
                    source: cite(kb, &x.needs.source, x.needs.at.as_deref()),
                }),
            }
        })
        .collect();
    Keeping {
        preservatives,
        reach: reach::Reach::of(f, kb).map(|r| Reach {
            gram_positive: r.gram_positive,
            gram_negative: r.gram_negative,
            yeast: r.yeast,
            mould: r.mould,
        }),
        protects_itself: preservation::protects_itself(f, kb).map(|p| match p {
            SelfPreservation::Alcohol(n) => format!("{} of alcohol", words::percent(n.round_dp(2))),
            SelfPreservation::PropyleneGlycol(n) => format!(
                "{} propylene glycol in its water",
                words::percent(n.round_dp(1))
            ),
            SelfPreservation::Peroxide(n) => {
                format!("{} of hydrogen peroxide", words::percent(n.round_dp(2)))
            }
            SelfPreservation::Ph(n) => format!("its pH of {}", n.normalize()),
            SelfPreservation::WaterActivity { aw, .. } => {
                format!("its water activity of about {aw:.2}")
            }
        }),
        water_activity: preservation::water_activity(f, kb).map(|(aw, bound)| WaterActivity {
            aw: (aw * 100.0).round() / 100.0,
            at_most: bound == Bound::AtMost,
        }),
    }
}

/// The acids whose active share is drawn, each pKa once.
pub(super) fn acids(work: &FormulaContext) -> Vec<Acid> {
    let mut out: Vec<Acid> = Vec::new();
    for p in system::preservatives(work.formula, work.kb)
        .iter()
        .filter(|p| p.kind == PreservativeKind::WeakAcid)
    {
        let pka: Vec<f64> = p
            .entry
            .pka
            .first()
            .map(|k| k.value.f64())
            .into_iter()
            .collect();
        let name = work.kb.name(p.id).to_owned();
        if !pka.is_empty() && !out.iter().any(|a| a.name == name) {
            out.push(Acid { name, pka });
        }
    }
    out
}

/// To so many figures that count.
pub(super) fn digits(n: f64, figures: i32) -> f64 {
    if n == 0.0 || !n.is_finite() {
        return 0.0;
    }
    let places = figures - 1 - n.abs().log10().floor() as i32;
    let by = 10f64.powi(places.clamp(-300, 300));
    (n * by).round() / by
}

impl Preserving {
    pub fn words(&self) -> String {
        let mut out = format!("{} {}", self.name, words::readable_percent(self.percent));
        match self.active_percent {
            Some([a, b]) if a == b => {
                out.push_str(&format!("; {a} % of it active at the pH aimed at"))
            }
            Some([a, b]) => {
                out.push_str(&format!("; {a} to {b} % of it active at the pH aimed at"))
            }
            None => {}
        }
        if let Some(x) = &self.free {
            let form = if x.active_form { " in active form" } else { "" };
            out.push_str(&format!(
                "; free in the water about {} %{form}, needed from {} % ({})",
                x.percent, x.needed_percent, x.source
            ));
        }
        out
    }
}

impl Keeping {
    pub fn words(&self) -> Vec<String> {
        let mut out: Vec<String> = self.preservatives.iter().map(Preserving::words).collect();
        if out.is_empty() {
            out.push("no preservative is in it".to_owned());
        }
        out.extend(
            self.protects_itself
                .as_ref()
                .map(|why| format!("protected by {why}")),
        );
        if let Some(r) = self.reach {
            let level = |n: u8| ["none", "weak", "fair", "strong"][usize::from(n.min(3))];
            out.push(format!(
                "reach: Gram-positive bacteria {}, Gram-negative {}, yeast {}, mould {}",
                level(r.gram_positive),
                level(r.gram_negative),
                level(r.yeast),
                level(r.mould)
            ));
        }
        if let Some(w) = self.water_activity {
            let about = if w.at_most { "at most" } else { "about" };
            out.push(format!("water activity {about} {:.2}, an estimate from what is dissolved and has a known constant", w.aw));
        }
        if self.preservatives.iter().any(|p| p.free.is_some()) {
            out.push(
                "free levels are estimates, good to a factor of two: clay, gums and plastics are not in them; only a challenge test proves"
                    .to_owned(),
            );
        }
        out
    }
}
