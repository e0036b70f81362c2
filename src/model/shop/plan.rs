//! What a batch was to be: its formula as the file has it now, and the weights that follow from the target.

use crate::kb::Kb;
use crate::model::StockItem;
use crate::model::file_loader::{FileLoader, resolve_relative};
use crate::model::record::Record;
use crate::model::{Formula, Settings, resolve};
use crate::syntax::parse;
use crate::syntax::tree::{Amount, FileKind, Tree};
use rust_decimal::Decimal;
use std::path::{Path, PathBuf};

pub struct Plan {
    pub path: PathBuf,
    pub tree: Tree,
    pub formula: Formula,
    /// What has to be weighed, each material once, in the order of the formula. What is added up to a pH or a look is none of it.
    pub rows: Vec<PlannedRow>,
    /// Percent that goes in later, up to a pH or a look, as the formula foresees it.
    pub later_percent: Decimal,
}

pub struct PlannedRow {
    pub name: String,
    pub item: StockItem,
    pub percent: Option<Decimal>,
    /// Line of the formula, from 0.
    pub line: u32,
}

/// The plan of a record; the error says why there is none.
pub fn plan(
    record: &Record,
    kb: &Kb,
    settings: &Settings,
    loader: &dyn FileLoader,
) -> Option<Result<Plan, String>> {
    let name = record.formula.as_ref()?;
    let path = resolve_relative(&record.path, &name.value);
    Some(plan_of(&path, kb, settings, loader))
}

/// The plan of a formula's file.
pub(super) fn plan_of(
    path: &Path,
    kb: &Kb,
    settings: &Settings,
    loader: &dyn FileLoader,
) -> Result<Plan, String> {
    let tree = parse(FileKind::Formula, &loader.read(path)?);
    let formula = resolve(&tree, path, kb, settings, loader);
    let mut rows: Vec<PlannedRow> = Vec::new();
    let mut later = Decimal::ZERO;
    for row in &formula.rows {
        if matches!(row.amount.value, Amount::Enough { .. }) {
            later += row.percent.unwrap_or_default();
            continue;
        }
        let item = StockItem::of_row(row, path);
        match rows.iter_mut().find(|r| r.item == item) {
            Some(same) => {
                same.percent = same.percent.zip(row.percent).map(|(a, b)| a + b);
            }
            None => rows.push(PlannedRow {
                name: row.name.value.to_string(),
                item,
                percent: row.percent,
                line: row.line,
            }),
        }
    }
    Ok(Plan {
        path: path.to_owned(),
        tree,
        formula,
        rows,
        later_percent: later,
    })
}

impl Plan {
    /// Grams of a row in a batch of this weight.
    pub fn grams(&self, row: &PlannedRow, target_g: Decimal) -> Option<Decimal> {
        row.percent?
            .checked_mul(target_g)?
            .checked_div(Decimal::ONE_HUNDRED)
    }

    /// The row of a material.
    pub fn row(&self, item: &StockItem) -> Option<&PlannedRow> {
        self.rows.iter().find(|r| r.item == *item)
    }

    /// The phases that a material stands in, row by row; none of a row without a phase.
    pub fn phases_of<'a>(
        &'a self,
        item: &'a StockItem,
    ) -> impl Iterator<Item = Option<usize>> + 'a {
        let rows = self.formula.rows.iter();
        rows.filter(|r| StockItem::of_row(r, &self.path) == *item)
            .map(|r| r.phase)
    }

    /// Whether the formula holds the material at all, also as something added later.
    pub fn holds(&self, item: &StockItem) -> bool {
        self.formula
            .rows
            .iter()
            .any(|r| StockItem::of_row(r, &self.path) == *item)
    }
}

/// What a solution made here is, where its formula is one material and its carrier and nothing else: the material with its strength.
pub fn solution(
    file: &Path,
    kb: &Kb,
    settings: &Settings,
    loader: &dyn FileLoader,
) -> Option<StockItem> {
    let tree = parse(FileKind::Formula, &loader.read(file).ok()?);
    let formula = resolve(&tree, file, kb, settings, loader);
    let [a, b] = formula.rows.as_slice() else {
        return None;
    };
    let is_water = |item: &StockItem| item.is_water(kb);
    let (one, two) = (StockItem::of_row(a, file), StockItem::of_row(b, file));
    let (item, row) = match (is_water(&one), is_water(&two)) {
        (true, false) => (two, b),
        (false, true) => (one, a),
        _ => return None,
    };
    let percent = row.percent?.normalize();
    // The strength is read as it would be behind the name.
    let name = kb.name(item.id()?);
    match StockItem::of(&format!("{name} {percent} %"), false, file, kb) {
        found @ StockItem::Known { .. } => Some(found),
        _ => None,
    }
}
