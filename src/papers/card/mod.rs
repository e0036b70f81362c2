//! The card: one page about a formula, what it is made of and how it stands, with its plots.

mod composition;
mod course;
mod html;
mod keeping;
mod law;
mod skin;
mod text;

use super::page::Head;
use super::plot::{Acid, Course, Does, Window};
use super::{CannotRender, FormulaContext, Paper, ReportDiagnostic, answer};
use crate::chem::float;
use crate::model::acidity::{self, Why};
use crate::model::{hlb, ph_needs, system};
use crate::rules::words::{self, Degrees};
use crate::rules::{Group, by_code};
pub use composition::{PhaseShare, Share};
pub use keeping::{Keeping, Preserving, Reach};
pub use law::{AsOf, Brought, LimitLine};
use rust_decimal::Decimal;
use serde::Serialize;
pub use skin::Skin;

#[derive(Clone, Debug, Serialize)]
pub struct Card {
    pub formula: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub formula_version: Option<String>,
    pub file: String,
    /// As the file says it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    pub system: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub batch_g: Option<Decimal>,
    /// Of all rows, in percent of the whole.
    pub total_percent: Decimal,
    pub water_percent: Decimal,
    pub oil_percent: Decimal,
    pub emulsifier_percent: Decimal,
    /// Rows of which nothing or only a part is known: they are in no figure below.
    pub unknown: Vec<String>,
    pub phases: Vec<PhaseShare>,
    pub kinds: Vec<Share>,
    pub largest: Vec<Share>,
    pub hlb: Hlb,
    pub ph: Ph,
    pub keeping: Keeping,
    pub histories: Vec<History>,
    pub limits: Vec<LimitLine>,
    /// So many more limits are touched, with less of them used.
    pub limits_left_out: usize,
    pub allergens: Vec<Brought>,
    pub skin: Skin,
    pub cautions: Vec<String>,
    pub objections: Vec<ReportDiagnostic>,
    pub law: Vec<AsOf>,
    #[serde(skip)]
    plots: Plots,
}

/// What is drawn.
#[derive(Clone, Debug)]
struct Plots {
    aim: Option<(f64, f64)>,
    acids: Vec<Acid>,
    windows: Vec<Window>,
    course: Option<Course>,
}

#[derive(Clone, Debug, Serialize)]
pub struct Hlb {
    /// What the oils ask for as oil in water.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub required: Option<f64>,
    /// What the nonionic emulsifiers have together.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub blend: Option<f64>,
    /// Oil without a figure, percent of the whole.
    pub oil_without_figure_percent: Decimal,
    /// Why the two say nothing about each other here.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub not_compared: Option<&'static str>,
}

#[derive(Clone, Debug, Serialize)]
pub struct Ph {
    /// From and to, as the file says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub aim: Option<[Decimal; 2]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub predicted: Option<Predicted>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub not_predicted: Option<String>,
    pub counted: Vec<String>,
    /// Known only between bounds; the range has room for what they may do.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub bounded: Vec<String>,
    pub left_out: Vec<LeftOut>,
    /// There is water enough to have a pH.
    #[serde(skip)]
    watery: bool,
}

#[derive(Clone, Debug, Serialize)]
pub struct Predicted {
    pub low: f64,
    pub middle: f64,
    pub high: f64,
    /// What is added to a pH has no amount yet and is not in it.
    pub before_adjusting: bool,
}

#[derive(Clone, Debug, Serialize)]
pub struct LeftOut {
    pub ingredient: String,
    pub why: &'static str,
}

/// What one ingredient goes through.
#[derive(Clone, Debug, Serialize)]
pub struct History {
    pub ingredient: String,
    /// Its phase's label; empty outside of every phase.
    pub phase: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub added_c: Option<Decimal>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub highest_c: Option<Decimal>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hot_minutes: Option<Decimal>,
    /// In the unit of the file.
    #[serde(skip)]
    shown: [String; 3],
}

pub fn card(work: &FormulaContext) -> Result<Card, CannotRender> {
    work.amounts_known()?;
    let f = work.formula;
    let too_large = || {
        CannotRender::on(
            f.heading_line,
            "the amounts are too large to be calculated exactly; write smaller ones",
        )
    };
    let total = f
        .rows
        .iter()
        .try_fold(Decimal::ZERO, |sum, r| sum.checked_add(r.percent?))
        .ok_or_else(too_large)?;
    let aim = system::ph_aim(f);
    let emulsifier: Decimal = hlb::emulsifiers(f, work.kb).iter().map(|p| p.percent).sum();
    let (limits, limits_left_out) = law::limits(work);
    let short = |n: Decimal| n.round_dp(4).normalize();
    let plain_aim = aim.map(|a| (float(a.low), float(a.high)));
    Ok(Card {
        formula: work.name(),
        formula_version: f.fields.version.as_ref().map(|v| v.value.clone()),
        file: work.shown_path(),
        product: f.fields.product.as_ref().map(|p| p.value.clone()),
        system: composition::system_words(system::system(f, work.kb)),
        batch_g: f.batch_g().map(|b| b.normalize()),
        total_percent: short(total),
        water_percent: short(f.water_percent),
        oil_percent: short(f.oil_percent),
        emulsifier_percent: short(emulsifier),
        unknown: composition::unknown(work),
        phases: composition::phases(work),
        kinds: composition::kinds(work, total),
        largest: composition::largest(work),
        hlb: hlb_of(work),
        ph: ph_of(work, aim),
        keeping: keeping::keeping(work, aim.as_ref()),
        histories: histories(work),
        limits,
        limits_left_out,
        allergens: law::allergens(work),
        skin: skin::skin(work),
        cautions: cautions(work),
        objections: work.objections(),
        law: law::dates(work),
        plots: Plots {
            aim: plain_aim,
            acids: keeping::acids(work),
            windows: windows(work),
            course: course::course(work),
        },
    })
}

fn hlb_of(work: &FormulaContext) -> Hlb {
    let (f, kb) = (work.formula, work.kb);
    let asked = hlb::asked(f, kb, |_| true);
    let one = |n: Decimal| float(n.round_dp(1));
    Hlb {
        required: asked.as_ref().map(|s| one(s.hlb)),
        blend: hlb::given(f, kb, |_| true).map(|s| one(s.hlb)),
        oil_without_figure_percent: asked
            .map_or(Decimal::ZERO, |s| s.unknown.round_dp(4).normalize()),
        not_compared: hlb::balance(f, kb).err().map(hlb::Silent::text),
    }
}

fn ph_of(work: &FormulaContext, aim: Option<system::PhAim>) -> Ph {
    let acidity = acidity::of(work.formula, work.kb);
    let tenth = |n: f64| (n * 10.0).round() / 10.0;
    let names = |ids: &[crate::kb::Id]| {
        ids.iter()
            .map(|id| work.kb.name(*id).to_owned())
            .collect::<Vec<_>>()
    };
    let (predicted, not_predicted) = match acidity.prediction_or_reason() {
        Ok(p) => {
            let before_adjusting = acidity.missing.iter().any(|m| m.why == Why::NoAmount);
            (
                Some(Predicted {
                    low: tenth(p.low),
                    middle: tenth(p.middle),
                    high: tenth(p.high),
                    before_adjusting,
                }),
                None,
            )
        }
        Err(why) => (None, Some(why)),
    };
    Ph {
        watery: acidity.water_percent >= acidity::LEAST_WATER_PERCENT,
        aim: aim.map(|a| [a.low.normalize(), a.high.normalize()]),
        predicted,
        not_predicted,
        counted: names(&acidity.counted),
        bounded: names(&acidity.bounded),
        left_out: acidity
            .missing
            .into_iter()
            .map(|m| LeftOut {
                ingredient: m.name,
                why: m.why.text(),
            })
            .collect(),
    }
}

fn histories(work: &FormulaContext) -> Vec<History> {
    let f = work.formula;
    let degrees = Degrees::of(work.tree);
    let show = |c: Option<Decimal>| c.map_or(String::new(), |c| degrees.show(c));
    f.rows
        .iter()
        .zip(&f.timeline.rows)
        .filter(|(_, h)| h.added_c.is_some() || h.highest_c.is_some())
        .map(|(row, h)| History {
            ingredient: row.name.value.to_string(),
            phase: row
                .phase
                .map_or_else(String::new, |p| f.phases[p].label.to_string()),
            added_c: h.added_c.map(|c| c.normalize()),
            highest_c: h.highest_c.map(|c| c.normalize()),
            hot_minutes: h.minutes.map(|m| m.normalize()),
            shown: [
                show(h.added_c),
                show(h.highest_c),
                h.minutes
                    .map_or(String::new(), |m| format!("{} min", words::number(m, 1))),
            ],
        })
        .collect()
}

fn windows(work: &FormulaContext) -> Vec<Window> {
    let plain = |n: Option<crate::kb::number::Number>| n.map(|n| n.f64());
    ph_needs::needs(work.formula, work.kb)
        .into_iter()
        .map(|n| Window {
            name: n.name,
            does: if n.does == ph_needs::Does::Works {
                Does::Works
            } else {
                Does::Lasts
            },
            low: plain(n.range.low),
            high: plain(n.range.high),
        })
        .collect()
}

/// What the rules say about handling and skin, each once.
fn cautions(work: &FormulaContext) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for f in work
        .findings
        .iter()
        .filter(|f| by_code(f.code).is_some_and(|r| r.group == Group::Cautions))
    {
        let said = f.whole();
        if !out.contains(&said) {
            out.push(said);
        }
    }
    out
}

impl Card {
    fn head(&self) -> Head {
        Head::of(
            "Formula card",
            &self.formula,
            self.formula_version.as_deref(),
            &self.file,
        )
    }
}

impl Hlb {
    /// Empty where neither side is known.
    pub fn words(&self) -> Vec<String> {
        let mut out = Vec::new();
        let without = match self.oil_without_figure_percent {
            p if p.is_zero() => String::new(),
            p => format!(", {} of oil without a figure left out", words::percent(p)),
        };
        match (self.required, self.blend) {
            (Some(r), Some(b)) => out.push(format!(
                "the oils ask for about {r:.1}{without}; the nonionic emulsifiers have {b:.1}"
            )),
            (Some(r), None) => out.push(format!(
                "the oils ask for about {r:.1}{without}; what the emulsifiers have is not known"
            )),
            (None, Some(b)) => out.push(format!(
                "the nonionic emulsifiers have {b:.1}; what the oils ask for is not known"
            )),
            (None, None) => return out,
        }
        out.extend(
            self.not_compared
                .map(|why| format!("the two are not compared: {why}")),
        );
        out
    }
}

impl Ph {
    pub fn words(&self) -> Vec<String> {
        let mut out = Vec::new();
        match &self.aim {
            Some([low, high]) if low == high => out.push(format!("aimed at: {low}")),
            Some([low, high]) => out.push(format!("aimed at: {low} to {high}")),
            None => out.push("the file does not say at which pH it aims".to_owned()),
        }
        if let Some(p) = &self.predicted {
            let before = if p.before_adjusting {
                " before it is adjusted"
            } else {
                ""
            };
            let from = match (self.counted.is_empty(), self.bounded.is_empty()) {
                (true, true) => "; nothing in it is known as an acid or base".to_owned(),
                (true, false) => String::new(),
                (false, _) => format!(", from {}", words::list(&self.counted)),
            };
            out.push(format!(
                "as calculated: about {}{before}, an estimate{from}",
                words::about(p.low, p.high, 1)
            ));
            if !self.bounded.is_empty() {
                out.push(format!(
                    "known only between bounds, which the range has room for: {}",
                    words::list(&self.bounded)
                ));
            }
        }
        out.extend(
            self.not_predicted
                .as_ref()
                .map(|why| format!("not calculated: {why}")),
        );
        if self.watery {
            for l in &self.left_out {
                out.push(format!("left out: {}, for {}", l.ingredient, l.why));
            }
        }
        out
    }
}

impl Paper for Card {
    fn text(&self, width: usize) -> String {
        text::text(self, width)
    }
    fn html(&self) -> String {
        html::html(self)
    }
    fn csv(&self) -> Option<String> {
        None
    }
    fn json(&self) -> String {
        answer(self)
    }
}
