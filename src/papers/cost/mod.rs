//! The cost sheet: what a batch costs by the lots on the shelf, what a jar and 100 g of it cost, and how long its lots let it keep.
//!
//! No figure pretends to be whole: what has no price is named, and every sum says that it goes without it. Two kinds of money
//! are never added up.

mod allocation;
mod fill;
mod html;
mod keeps;
mod money;
mod text;

use super::page::Head;
use super::{CannotRender, FormulaContext, Paper, ReportDiagnostic, answer, table};
use crate::chem::date::Date;
use crate::model::StockItem;
use crate::model::shelf::Shelf;
use crate::model::weights::Weights;
use crate::syntax::tree::Amount;
pub use fill::Container;
pub use keeps::ShelfLife;
pub use money::Sum;
use rust_decimal::Decimal;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

#[derive(Clone, Debug, Serialize)]
pub struct Cost {
    pub formula: String,
    /// The maker's own count of versions.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub formula_version: Option<String>,
    pub file: String,
    /// The day for which lots are good or past their date, and from which the product keeps.
    pub day: String,
    /// What goes on the scale, the extra for losses with it.
    pub batch_g: Decimal,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub losses_percent: Option<Decimal>,
    pub filled_g: Decimal,
    pub rows: Vec<CostRow>,
    /// One for each kind of money; none where nothing has a price.
    #[serde(skip)]
    pub sums: Vec<Sum>,
    pub containers: Vec<Container>,
    pub missing: Vec<Missing>,
    /// Water without a lot, counted as nothing.
    pub free: Vec<String>,
    pub left_alone: Vec<LeftAlone>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shelf_life: Option<ShelfLife>,
    pub notes: Vec<String>,
    pub problems: Vec<Problem>,
    pub objections: Vec<ReportDiagnostic>,
}

#[derive(Clone, Debug, Serialize)]
pub struct CostRow {
    pub phase: String,
    pub ingredient: String,
    pub grams: Decimal,
    pub lots: Vec<Draw>,
    /// Of all of it; absent where a part has no price, or its lots were bought in different money.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<Decimal>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub currency: Option<String>,
    /// What the shelf does not have.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub short_g: Option<Decimal>,
}

/// So much from one lot.
#[derive(Clone, Debug, Serialize)]
pub struct Draw {
    pub lot: String,
    /// Off the lot: less than it makes where a stronger lot is thinned with water.
    pub grams: Decimal,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thinned_to_g: Option<Decimal>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub best_before: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<Decimal>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub currency: Option<String>,
}

/// What no sum holds, and why.
#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Missing {
    pub ingredient: String,
    /// Grams without a price; absent where even the amount is open.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grams: Option<Decimal>,
    pub why: String,
}

/// A lot past its date.
#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct LeftAlone {
    pub lot: String,
    pub ingredient: String,
    pub best_before: String,
    pub left_g: Decimal,
}

/// A line of the shelf or of a batch that is not understood.
#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Problem {
    pub path: String,
    /// From 1.
    pub line: u32,
    pub message: String,
}

/// What may be asked for otherwise than the file says.
#[derive(Clone, Debug, Default)]
pub struct CostOptions {
    /// What is wanted; the extra for losses comes on top.
    pub batch_g: Option<Decimal>,
    pub scale_g: Option<Decimal>,
    /// The day of the making; today where it is not said.
    pub on: Option<Date>,
    pub packaging: Option<Packaging>,
}

/// What the empty container costs, with its lid, label and box.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Packaging {
    pub each: Decimal,
    /// The money of the lots where it is not said.
    pub currency: Option<String>,
}

pub fn cost(
    work: &FormulaContext,
    shelf: &Shelf,
    wish: &CostOptions,
) -> Result<Cost, CannotRender> {
    work.amounts_known()?;
    let f = work.formula;
    let scale_g = wish
        .scale_g
        .unwrap_or_else(|| work.settings.scale_g(work.kb));
    let day = wish.on.unwrap_or(work.settings.today);
    let batch = fill::batch(f, wish)?;
    if shelf.lots.is_empty() {
        return Err(CannotRender::new(
            "no lot was found on a shelf; write a file such as shelf.stock next to it, with `lot GLY-07 of glycerin` and `bought: 1 kg for 9.40 EUR`",
        ));
    }
    let weights = Weights::of(f, Some(batch.made_g), scale_g);
    if weights.rows.iter().any(Option::is_none) {
        return Err(CannotRender::on(
            f.heading_line,
            "these amounts are too large to be calculated exactly; name a smaller batch",
        ));
    }
    let mut taking = allocation::Taking::new(shelf, work.kb, day);
    let mut keeps = keeps::Keeps::new(work.kb, day);
    let mut out = Cost {
        formula: work.name(),
        formula_version: f.fields.version.as_ref().map(|v| v.value.clone()),
        file: work.shown_path(),
        day: day.to_string(),
        batch_g: Decimal::ZERO,
        losses_percent: f
            .fields
            .losses_percent
            .as_ref()
            .map(|l| l.value.normalize()),
        filled_g: batch.net_g.normalize(),
        rows: Vec::new(),
        sums: Vec::new(),
        containers: Vec::new(),
        missing: Vec::new(),
        free: Vec::new(),
        left_alone: Vec::new(),
        shelf_life: None,
        notes: Vec::new(),
        problems: Vec::new(),
        objections: work.objections(),
    };
    let mut materials: BTreeMap<String, Decimal> = BTreeMap::new();
    for (row, grams) in f.rows.iter().zip(&weights.rows) {
        let grams = grams.unwrap_or_default();
        let item = StockItem::of_row(row, work.path);
        let ingredient = row.name.value.to_string();
        let taken = taking
            .take(&item, grams)
            .map_err(|r| CannotRender::on(row.line, r.reason().to_owned()))?;
        let free = taken.no_lot && item.is_water(work.kb);
        let open = matches!(row.amount.value, Amount::Enough { about: None, .. });
        let missing = match (free, open) {
            (true, _) => None,
            (_, true) => Some(Missing {
                ingredient: ingredient.clone(),
                grams: None,
                why: "how much it takes is open; write it with `about 1 %`".into(),
            }),
            _ => taking.missing(&item, &ingredient, &taken),
        };
        for draw in &taken.draws {
            if let Some((cost, currency)) = &draw.cost {
                let sum = materials.entry(currency.clone()).or_default();
                *sum = sum.checked_add(*cost).ok_or_else(|| {
                    CannotRender::on(row.line, "the sum has more digits than can be kept exactly")
                })?;
            }
        }
        keeps.row(row, &item, &taken, shelf, free);
        if free && !out.free.contains(&ingredient) {
            out.free.push(ingredient.clone());
        }
        let whole = missing.is_none();
        out.missing.extend(missing);
        out.rows.push(CostRow::of(
            row.phase
                .map_or_else(String::new, |p| f.phases[p].label.to_string()),
            ingredient,
            grams,
            &taken,
            shelf,
            whole,
        ));
    }
    out.batch_g = out.rows.iter().map(|r| r.grams).sum();
    out.left_alone = taking.left_alone();
    let by_volume = taking.by_volume();
    if !by_volume.is_empty() {
        let were = if by_volume.len() == 1 { "was" } else { "were" };
        out.notes.push(format!(
            "{} {were} bought by volume; the weight is estimated from the density of the material.",
            by_volume.join(", ")
        ));
    }
    fill::containers(f, &batch, &mut out);
    money::sums(materials, wish.packaging.as_ref(), &mut out)?;
    if f.fields.use_at_once {
        out.notes
            .push("It is made to be used at once, so no date is worked out.".to_owned());
    } else {
        out.shelf_life = keeps.end();
    }
    out.problems = problems(work, shelf);
    Ok(out)
}

impl CostRow {
    fn of(
        phase: String,
        ingredient: String,
        grams: Decimal,
        taken: &allocation::Taken,
        shelf: &Shelf,
        whole: bool,
    ) -> CostRow {
        let lots: Vec<Draw> = taken
            .draws
            .iter()
            .map(|d| Draw {
                lot: shelf.lots[d.lot].code.clone(),
                grams: d.lot_g.normalize(),
                thinned_to_g: (d.lot_g != d.made_g).then(|| d.made_g.normalize()),
                best_before: shelf.lots[d.lot].best_before.map(|b| b.to_string()),
                cost: d.cost.as_ref().map(|(cost, _)| cost.normalize()),
                currency: d.cost.as_ref().map(|(_, currency)| currency.clone()),
            })
            .collect();
        let monies: BTreeSet<&String> = lots.iter().filter_map(|d| d.currency.as_ref()).collect();
        let currency = (monies.len() == 1)
            .then(|| monies.first().map(|c| (*c).clone()))
            .flatten();
        let cost = (whole && monies.len() < 2).then(|| {
            lots.iter()
                .filter_map(|d| d.cost)
                .sum::<Decimal>()
                .normalize()
        });
        let short_g = (taken.short_g > Decimal::ZERO && !(taken.no_lot && whole))
            .then(|| taken.short_g.normalize());
        CostRow {
            phase,
            ingredient,
            grams,
            lots,
            cost,
            currency,
            short_g,
        }
    }
}

/// The lines that bear on this formula: about its lots, about the lots inside them, or about no lot that can be named.
fn problems(work: &FormulaContext, shelf: &Shelf) -> Vec<Problem> {
    let wanted: Vec<StockItem> = work
        .formula
        .rows
        .iter()
        .map(|r| StockItem::of_row(r, work.path))
        .collect();
    let same = |a: &StockItem, b: &StockItem| a == b || a.id().is_some() && a.id() == b.id();
    let mut codes: Vec<&str> = shelf
        .lots
        .iter()
        .filter(|l| wanted.iter().any(|w| same(w, &l.item)))
        .map(|l| l.code.as_str())
        .collect();
    let mut at = 0;
    while at < codes.len() {
        let from = shelf.lot(codes[at]).and_then(|l| l.from.as_ref());
        let records = shelf
            .records
            .iter()
            .filter(|r| r.code.as_ref().map(|c| &c.value) == from && from.is_some());
        for lot in records
            .flat_map(|r| &r.weighed)
            .filter_map(|w| w.lot.as_ref())
        {
            if !codes.contains(&lot.value.as_str()) {
                codes.push(&lot.value);
            }
        }
        at += 1;
    }
    let bears = |p: &&crate::model::shelf::Problem| {
        p.lot.as_ref().is_none_or(|l| codes.contains(&l.as_str()))
    };
    let all = shelf.problems.iter().filter(bears);
    all.map(|p| Problem {
        path: shown(&p.path),
        line: p.line + 1,
        message: p.message.clone(),
    })
    .collect()
}

/// A path as it is shown: always with `/`.
fn shown(path: &Path) -> String {
    path.to_string_lossy()
        .replace(std::path::MAIN_SEPARATOR, "/")
}

impl Cost {
    fn head(&self) -> Head {
        Head::of(
            "Cost sheet",
            &self.formula,
            self.formula_version.as_deref(),
            &self.file,
        )
    }

    /// Materials that no sum holds, each once.
    pub fn without(&self) -> usize {
        self.missing
            .iter()
            .map(|m| &m.ingredient)
            .collect::<BTreeSet<_>>()
            .len()
    }
}

impl Paper for Cost {
    fn text(&self, width: usize) -> String {
        text::text(self, width)
    }
    fn html(&self) -> String {
        html::html(self)
    }
    fn csv(&self) -> Option<String> {
        let mut rows = Vec::new();
        for row in &self.rows {
            let start = [
                row.phase.clone(),
                row.ingredient.clone(),
                row.grams.to_string(),
            ];
            let mut line =
                |lot: &str, grams: String, best_before: &str, cost: String, currency: &str| {
                    let rest = [
                        lot.to_owned(),
                        grams,
                        best_before.to_owned(),
                        cost,
                        currency.to_owned(),
                    ];
                    rows.push(start.iter().cloned().chain(rest).collect::<Vec<String>>());
                };
            // A quotient seldom ends; a hundredth of a cent is more than a price is good for.
            let text = |d: Option<Decimal>| {
                d.map_or(String::new(), |d| d.round_dp(4).normalize().to_string())
            };
            for d in &row.lots {
                let (date, money) = (
                    d.best_before.as_deref().unwrap_or_default(),
                    d.currency.as_deref().unwrap_or_default(),
                );
                line(&d.lot, d.grams.to_string(), date, text(d.cost), money);
            }
            // What no lot gives has a line of its own.
            if row.lots.is_empty() || row.short_g.is_some() {
                line(
                    "",
                    text(row.short_g),
                    "",
                    if row.lots.is_empty() {
                        text(row.cost)
                    } else {
                        String::new()
                    },
                    "",
                );
            }
        }
        Some(table::csv(
            &[
                "phase",
                "ingredient",
                "grams",
                "lot",
                "from_lot_g",
                "best_before",
                "cost",
                "currency",
            ],
            rows,
        ))
    }
    fn json(&self) -> String {
        #[derive(Serialize)]
        struct Whole<'a> {
            #[serde(flatten)]
            cost: &'a Cost,
            /// With one kind of money its figures stand at the top, with several in a list.
            #[serde(flatten)]
            one: Option<&'a Sum>,
            #[serde(skip_serializing_if = "Option::is_none")]
            sums: Option<&'a [Sum]>,
        }
        let (one, sums) = match &self.sums[..] {
            [one] => (Some(one), None),
            [] => (None, None),
            several => (None, Some(several)),
        };
        answer(&Whole {
            cost: self,
            one,
            sums,
        })
    }
}
