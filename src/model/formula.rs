//! What a formula is once its lines are understood together.

use super::component::{Component, Gap};
use super::fields::{Fields, Problem};
use super::product::Product;
use super::timeline::Timeline;
use crate::kb::{Id, Strength};
use crate::syntax::tree::{Amount, Heat};
use crate::text::{Span, Spanned};
use rust_decimal::Decimal;
use smol_str::SmolStr;
use std::collections::HashMap;
use std::sync::Arc;

#[derive(Clone, Debug)]
pub struct Formula {
    pub name: Option<Spanned<String>>,
    /// Line of the `formula` heading; 0 where there is none.
    pub heading_line: u32,
    pub fields: Fields,
    pub problems: Vec<Problem>,
    pub phases: Vec<Phase>,
    /// The phase of each label, in lower case.
    pub(super) labels: HashMap<SmolStr, usize>,
    pub rows: Vec<Row>,
    pub basis: Basis,
    pub total: Total,
    /// Every substance with its share, row by row, sorted by substance.
    pub components: Vec<Component>,
    /// What is not known of it, in the order of the rows.
    pub gaps: Vec<Gap>,
    /// Percent of water, and of what makes up an oil phase, over all substances.
    pub water_percent: Decimal,
    pub oil_percent: Decimal,
    /// Some row is not known, or only in part: what is absent may be in it.
    pub has_unknown: bool,
    pub product: Product,
    pub timeline: Timeline,
}

/// How the amounts are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    Percent,
    /// Weights and volumes.
    Weight,
    Parts,
    /// Percent together with weights, volumes or parts.
    Mixed,
    /// No row has an amount.
    Nothing,
}

/// The sum of all rows, in the unit of the basis (percent, grams, parts).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Total {
    Known(Decimal),
    /// This line cannot be read, so no sum is true.
    Unknown {
        line: u32,
    },
}

#[derive(Clone, Debug)]
pub struct Phase {
    pub label: SmolStr,
    pub name: Option<SmolStr>,
    pub premix: bool,
    pub heat: Option<Spanned<Heat>>,
    pub dry: bool,
    pub hold_minutes: Option<Decimal>,
    /// Of a premix: the phase that takes it.
    pub into: Option<usize>,
    /// The label of `into` as written, where no phase has it.
    pub into_unknown: Option<Spanned<SmolStr>>,
    /// Its headings; a label that comes again continues the phase.
    pub lines: Vec<u32>,
    pub label_span: Span,
    pub rows: Vec<usize>,
}

#[derive(Clone, Debug)]
pub struct Row {
    pub line: u32,
    pub phase: Option<usize>,
    pub name: Spanned<SmolStr>,
    pub file: bool,
    pub material: Material,
    pub amount: Spanned<Amount>,
    pub purpose: Option<Spanned<String>>,
    /// Percent of the whole by weight, as it counts in the total; none where it cannot be known.
    pub percent: Option<Decimal>,
    /// The most that may go in ('at most'), which limits look at.
    pub most: Option<Decimal>,
    /// A volume went through a density, or through none.
    pub estimated: bool,
    /// The only quantity is a strength in which the material is sold, so the amount is missing.
    pub strength_only: bool,
}

#[derive(Clone, Debug)]
pub enum Material {
    Known {
        id: Id,
        strength: Option<Strength>,
    },
    /// A formula made earlier.
    Nested(Arc<Formula>),
    Ambiguous(Vec<Id>),
    Unknown,
    /// A file that is missing, cannot be read, or leads back to this one.
    Unusable(String),
}

impl Row {
    pub fn id(&self) -> Option<Id> {
        match self.material {
            Material::Known { id, .. } => Some(id),
            _ => None,
        }
    }
}

/// A label as it is looked up.
pub(super) fn lower(label: &str) -> SmolStr {
    label.chars().map(|c| c.to_ascii_lowercase()).collect()
}

impl Formula {
    /// The first line of which it is not known what is in it; none where all is known.
    pub fn first_unknown(&self) -> Option<u32> {
        let unknown = |r: &&Row| match &r.material {
            Material::Known { .. } => r.percent.is_none(),
            Material::Nested(inner) => r.percent.is_none() || inner.has_unknown,
            Material::Ambiguous(_) | Material::Unknown | Material::Unusable(_) => true,
        };
        let row = self.rows.iter().find(unknown).map(|r| r.line);
        match self.total {
            Total::Unknown { line } => Some(row.map_or(line, |r| r.min(line))),
            Total::Known(_) => row,
        }
    }

    /// The rows of a phase.
    pub fn rows_of(&self, phase: usize) -> impl Iterator<Item = (usize, &Row)> {
        self.phases[phase].rows.iter().map(|r| (*r, &self.rows[*r]))
    }

    /// The row that stands on a line; rows stand in the order of their lines.
    pub fn row_on(&self, line: u32) -> Option<usize> {
        self.rows.binary_search_by_key(&line, |r| r.line).ok()
    }

    /// The phase whose label the words are, the case aside.
    pub fn labelled(&self, words: &str) -> Option<usize> {
        self.labels.get(&lower(words)).copied()
    }

    pub fn phase_of(&self, row: usize) -> Option<&Phase> {
        self.rows[row].phase.map(|p| &self.phases[p])
    }

    /// Percent of a substance in the whole, from all rows.
    pub fn percent_of(&self, id: Id) -> Decimal {
        match self.components_of(id) {
            [one] => one.typical,
            all => all.iter().map(|s| s.typical).sum(),
        }
    }

    /// One substance, row by row.
    pub fn components_of(&self, id: Id) -> &[Component] {
        let from = self.components.partition_point(|s| s.id < id);
        let many = self.components[from..]
            .iter()
            .take_while(|s| s.id == id)
            .count();
        &self.components[from..from + many]
    }

    /// Every substance that is there, once.
    pub fn substances(&self) -> impl Iterator<Item = Id> + '_ {
        self.components
            .chunk_by(|a, b| a.id == b.id)
            .map(|c| c[0].id)
    }

    /// The row with the largest share of what `of` picks.
    pub fn largest_row<'a>(
        &self,
        components: impl Iterator<Item = &'a Component>,
    ) -> Option<usize> {
        components
            .max_by(|a, b| a.typical.cmp(&b.typical).then(b.row.cmp(&a.row)))
            .map(|s| s.row)
    }

    /// The batch in grams that `batch:` or the weights of the rows give.
    pub fn batch_g(&self) -> Option<Decimal> {
        if let Some(b) = &self.fields.batch {
            return Some(b.value);
        }
        match (self.basis, self.total) {
            (Basis::Weight, Total::Known(sum)) => Some(sum),
            _ => None,
        }
    }
}
