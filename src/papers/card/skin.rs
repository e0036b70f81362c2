//! How much of the product stays on the skin in a day.
//!
//! A margin of safety needs a published point of departure and how much of the substance is taken up; the base has neither
//! for any material, so none is given, and the card says so.

use super::keeping::digits;
use crate::chem::exposure;
use crate::papers::FormulaContext;
use crate::rules::finding::cite;
use serde::Serialize;

#[derive(Clone, Debug, Serialize)]
pub struct Skin {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub exposure: Option<Daily>,
    /// What is not given, and why.
    pub left_out: Vec<&'static str>,
}

#[derive(Clone, Debug, Serialize)]
pub struct Daily {
    /// Of the product that stays on, per kg of body weight and day.
    pub product_mg_per_kg: f64,
    /// Of an ingredient at 1 %, were all of it taken up.
    pub at_one_percent_mg_per_kg: f64,
    pub source: String,
}

pub(super) fn skin(work: &FormulaContext) -> Skin {
    let exposure = daily(work);
    let mut left_out = Vec::new();
    if exposure.is_none() {
        left_out.push("how much of such a product is used in a day is not known");
    }
    left_out.push("no published point of departure is known for anything in it, so no margin is given; that takes a qualified assessor");
    Skin { exposure, left_out }
}

fn daily(work: &FormulaContext) -> Option<Daily> {
    let about = work.formula.fields.product_kind?.exposure.as_ref()?;
    let stays = about.retention?.f64();
    // The tables' own figure by body weight; else grams over 60 kg.
    let product = match (about.mg_per_kg_day, about.g_per_day) {
        (Some(mg), _) => mg.f64() * stays,
        (None, Some(g)) => {
            exposure::product_mg_per_kg(g.f64(), stays, exposure::BODY_WEIGHT_KG).ok()?
        }
        (None, None) => return None,
    };
    Some(Daily {
        product_mg_per_kg: digits(product, 3),
        at_one_percent_mg_per_kg: digits(exposure::systemic_dose(product, 1.0, 100.0).ok()?, 2),
        source: cite(work.kb, &about.source, about.at.as_deref()),
    })
}

impl Skin {
    pub fn words(&self) -> Vec<String> {
        let mut out = Vec::new();
        if let Some(d) = &self.exposure {
            out.push(format!(
                "stays on the skin: {} mg of product per kg of body weight and day ({}); an ingredient at 1 %, were all of it taken up, comes to {} mg",
                d.product_mg_per_kg, d.source, d.at_one_percent_mg_per_kg
            ));
        }
        out.extend(self.left_out.iter().map(|w| (*w).to_owned()));
        out
    }
}
