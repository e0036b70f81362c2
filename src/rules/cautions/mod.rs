//! Cautions: what the maker, the shelf and the user should know. Each once in a formula.

use super::finding::Citation;
use super::{Context, Severity};
use crate::kb::schema::Ingredient;
use crate::model::component::ComponentKind;
use crate::syntax::tree::Node;
use rust_decimal::Decimal;
use std::collections::HashMap;

super::rules! {
    phototoxic,
    inhalation,
    flammable,
    gas_pressure,
    caution_sun,
    caution_pregnancy,
    caution_dust,
    caution_caustic,
    caution_hot,
    caution_nut,
    caution_eye,
    caution_child,
    allergen_label,
    before_you_sell,
}

/// A row that holds what is cautioned about, with its share of the whole.
#[derive(Clone, Copy)]
struct Meant<'a> {
    entry: &'a Ingredient,
    row: usize,
    percent: Decimal,
}

/// The substances and blends that the test picks, most first. Natural constituents are left to the law.
fn meant<'a>(ctx: &'a Context, pick: impl Fn(&Ingredient) -> bool) -> Vec<Meant<'a>> {
    let mut out: Vec<Meant> = Vec::new();
    // Where each row stands in `out`.
    let mut at: HashMap<usize, usize> = HashMap::new();
    for s in ctx
        .formula
        .components
        .iter()
        .filter(|s| s.kind != ComponentKind::Constituent && !s.typical.is_zero())
    {
        let entry = ctx.kb.get(s.id);
        if !pick(entry) {
            continue;
        }
        // A blend and its parts are one row and one cause: the larger share speaks.
        let one = Meant {
            entry,
            row: s.row,
            percent: s.typical,
        };
        match at.get(&s.row) {
            Some(n) if out[*n].percent >= s.typical => {}
            Some(n) => out[*n] = one,
            None => {
                at.insert(s.row, out.len());
                out.push(one);
            }
        }
    }
    out.sort_by(|a, b| b.percent.cmp(&a.percent).then(a.row.cmp(&b.row)));
    out
}

fn cautioned(one: &Ingredient, word: &str) -> bool {
    one.cautions.iter().any(|c| c == word)
}

/// The names of the rows as the file writes them, each once, at most `most` of them.
fn names<'a>(ctx: &'a Context, all: &[Meant], most: usize) -> Vec<&'a str> {
    let mut out: Vec<&str> = Vec::new();
    for m in all {
        if out.len() == most {
            break;
        }
        let name = ctx.formula.rows[m.row].name.value.as_str();
        if !out.contains(&name) {
            out.push(name);
        }
    }
    out
}

/// Whether a step of the method uses one of these words.
fn method_says(ctx: &Context, words: &[&str]) -> Option<u32> {
    ctx.tree.lines.iter().enumerate().find_map(|(n, at)| {
        let text = at.line.text.to_lowercase();
        let said = matches!(at.line.node, Node::Step(_))
            && text
                .split(|c: char| !c.is_alphanumeric())
                .any(|w| words.contains(&w));
        said.then_some(n as u32)
    })
}

/// The file shows that the product is to be sold: a market, and jars to fill for it.
fn for_sale(ctx: &Context) -> bool {
    let said = &ctx.formula.fields;
    said.sold_in.is_some() && said.fill.is_some()
}

/// What belongs on a label is worth a word aloud once there will be one.
fn label_level(ctx: &Context) -> Severity {
    if for_sale(ctx) {
        Severity::Information
    } else {
        Severity::Hint
    }
}

/// Cautions rest on what the trade commonly teaches.
fn usual_words() -> Citation<'static> {
    Citation {
        source: "practice",
        at: None,
        recheck: false,
    }
}
