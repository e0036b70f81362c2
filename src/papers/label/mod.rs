//! The label by market: the list of ingredients in the order and spelling of the law, the allergens in it, the words the
//! law asks for, net content, durability, batch code, and what else has to stand there.

pub mod allergens;
mod durability;
mod duties;
mod html;
mod law_summary;
mod net;
mod notes;
pub mod order;
mod parts;
mod schedule;
mod spelling;
mod text;
pub mod warnings;

use super::page::Head;
use super::{CannotRender, FormulaContext, Paper, ReportDiagnostic, answer, table};
use crate::chem::date::Date;
use crate::kb::Kb;
use crate::kb::Market;
use crate::kb::law::Law;
use crate::model::fields::Type;
use allergens::Declaration;
use duties::Also;
use order::Listed;
use serde::Serialize;
use warnings::WarningWords;

/// Who answers; on every label paper.
pub const WHO_ANSWERS: &str = "The maker answers for the label and the product, and a qualified assessor has to approve both. This is worked out from the file as written and from the law texts as dated; local law decides.";

#[derive(Clone, Debug, Serialize)]
pub struct Label {
    pub formula: String,
    /// The maker's own count of versions.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub formula_version: Option<String>,
    pub file: String,
    /// The day that the law is asked for.
    pub today: Date,
    pub labels: Vec<MarketLabel>,
    pub objections: Vec<ReportDiagnostic>,
    pub who_answers: &'static str,
}

/// What stands on the label in one market.
#[derive(Clone, Debug, Serialize)]
pub struct MarketLabel {
    pub market: Market,
    /// The law that is followed.
    pub law: String,
    pub law_as_of: String,
    pub verdict: String,
    pub law_findings: Vec<ReportDiagnostic>,
    /// What it is, in the maker's word of `product:`; none where that says nothing of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub function: Option<String>,
    /// In order.
    pub ingredients: Vec<String>,
    pub ingredient_details: Vec<Listed>,
    pub allergens: Vec<Declaration>,
    pub warnings: Vec<String>,
    pub warning_details: Vec<WarningWords>,
    pub net: Vec<String>,
    pub durability: String,
    pub batch: String,
    /// What stands on the label and no formula knows.
    pub to_fill_in: Vec<String>,
    /// To be ticked off.
    pub also_on_the_label: Vec<Also>,
    pub notes: Vec<String>,
}

/// What may be asked for that the file does not say. (Other markets: the formula is opened for them.)
#[derive(Clone, Debug, Default)]
pub struct LabelOptions {
    pub batch_code: Option<String>,
    pub made: Option<Date>,
}

pub fn label(work: &FormulaContext, wish: &LabelOptions) -> Result<Label, CannotRender> {
    work.amounts_known()?;
    let f = work.formula;
    if let Some(said) = f.fields.type_.as_ref().filter(|t| t.value == Type::Soap) {
        return Err(CannotRender::on(
            said.line,
            "soap from lye becomes something else in the pot, and its label is not worked out here; ask an assessor",
        ));
    }
    let parts = parts::parts(f, work.kb);
    let markets = work.analysis.markets();
    let labels: Vec<MarketLabel> = markets
        .iter()
        .filter_map(|m| work.kb.laws().find(|l| l.market == *m))
        .map(|law| one(work, wish, law, &parts))
        .collect();
    Ok(Label {
        formula: work.name(),
        formula_version: f.fields.version.as_ref().map(|v| v.value.clone()),
        file: work.path.to_string_lossy().into_owned(),
        today: work.settings.today,
        labels,
        objections: work.objections(),
        who_answers: WHO_ANSWERS,
    })
}

fn one(work: &FormulaContext, wish: &LabelOptions, law: &Law, parts: &parts::Parts) -> MarketLabel {
    let (f, kb, today) = (work.formula, work.kb, work.settings.today);
    let mut list = order::list(law, parts, kb);
    let found = allergens::find(law, work.law().allergens(), &list, kb);
    list.extend(allergens::names(&found.now));
    order::sort(&mut list);
    let words = warnings::find(law, work.law().warnings(), f, kb);
    let net = net::net(law.market, f);
    let law_findings = law_summary::objections(work, law.market);
    let notes = notes::Notes {
        work,
        law,
        parts,
        list: &list,
        allergens: &found,
        warnings: &words,
        net: &net,
    }
    .all();
    let mut warnings: Vec<String> = Vec::new();
    for w in &words.now {
        let texts = std::iter::once(&w.text).chain(w.in_languages.iter().map(|i| &i.text));
        for text in texts {
            if !warnings.contains(text) {
                warnings.push(text.clone());
            }
        }
    }
    MarketLabel {
        market: law.market,
        law: law.title.to_string(),
        law_as_of: law.as_of.to_string(),
        verdict: law_summary::line(law, &law_findings, f.has_unknown),
        law_findings,
        function: f.fields.product_word.clone(),
        ingredients: list.iter().map(|l| l.name.clone()).collect(),
        ingredient_details: list,
        allergens: found.now,
        warnings,
        warning_details: words.now,
        net: net.lines,
        durability: durability::durability(law.market, f, kb, wish.made, today),
        batch: wish
            .batch_code
            .clone()
            .unwrap_or_else(|| "[batch code]".to_owned()),
        to_fill_in: duties::to_fill_in(law.market, f),
        also_on_the_label: duties::list(law, parts, kb, today),
        notes,
    }
}

/// The place in the act, which stands in the heading; the act where no place is given.
fn at(kb: &Kb, id: &str, at: Option<&str>) -> String {
    at.map_or_else(|| source(kb, id, None), str::to_owned)
}

/// The act and the place in it.
fn source(kb: &Kb, id: &str, at: Option<&str>) -> String {
    let title = kb.source(id).map_or(id, |s| s.title.as_str());
    match at {
        Some(at) => format!("{title}, {at}"),
        None => title.to_owned(),
    }
}

impl Label {
    fn head(&self) -> Head {
        let version = self
            .formula_version
            .as_ref()
            .map_or(String::new(), |v| format!("Version {v}, "));
        Head {
            kind: "Label",
            name: self.formula.clone(),
            from: format!("{version}{}, as of {}", self.file, self.today),
        }
    }
}

impl Paper for Label {
    fn text(&self, width: usize) -> String {
        text::text(self, width)
    }
    fn html(&self) -> String {
        html::html(self)
    }
    fn csv(&self) -> Option<String> {
        let rows = self.labels.iter().flat_map(|l| {
            l.ingredient_details.iter().enumerate().map(|(n, i)| {
                let percent = i
                    .percent
                    .map_or_else(String::new, |p| p.round_dp(4).normalize().to_string());
                vec![
                    l.market.to_string(),
                    (n + 1).to_string(),
                    i.name.clone(),
                    percent,
                    i.place.name().to_owned(),
                ]
            })
        });
        Some(table::csv(
            &["market", "number", "ingredient", "percent", "place"],
            rows,
        ))
    }
    fn json(&self) -> String {
        answer(self)
    }
}
