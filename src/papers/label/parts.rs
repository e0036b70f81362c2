//! What is in the formula, name by name of the label: through blends, solutions and formulas made earlier, the same
//! substance from several rows added up. What has no name or no known share is kept as a gap, never dropped.

use crate::chem::allergens::Range;
use crate::kb::schema::Constituent;
use crate::kb::{Id, Kb, Strength};
use crate::model::composition::{has_label_name, strength_by_weight};
use crate::model::formula::{Formula, Material, Row};
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// Blends may hold blends; a chain longer than this is a fault of the data.
const DEEPEST: u8 = 8;

/// A substance of the list.
#[derive(Clone, Debug, Default)]
pub struct Part {
    /// Usual percent of the whole.
    pub percent: Decimal,
    /// From 0, each once.
    pub lines: Vec<u32>,
    /// At least one row is written as the colour of the product.
    pub colours: bool,
    /// Nothing but "as much as it takes" is known of it.
    pub unmeasured: bool,
}

/// A place in the list whose name is not known.
#[derive(Clone, Debug)]
pub struct Gap {
    pub name: String,
    /// From 0.
    pub line: u32,
    pub percent: Decimal,
    pub why: &'static str,
}

/// Something that a natural material brings along.
#[derive(Clone, Debug)]
pub struct Brought {
    pub of: Id,
    /// The material that brings it.
    pub by: Id,
    pub line: u32,
    /// Percent of the material in the whole, usual and most.
    pub usual: Decimal,
    pub most: Decimal,
    pub content: Range,
    /// Only the highest share is known.
    pub top_only: bool,
}

#[derive(Clone, Debug, Default)]
pub struct Parts {
    pub of: BTreeMap<Id, Part>,
    pub gaps: Vec<Gap>,
    pub brought: Vec<Brought>,
    /// In the sum, not on the label: name and line.
    pub hidden: Vec<(Id, u32)>,
}

/// What one row hands down to its parts.
#[derive(Clone, Copy)]
struct Dose {
    usual: Decimal,
    most: Decimal,
    line: u32,
    colours: bool,
    unmeasured: bool,
}

impl Dose {
    fn times(self, share: Decimal) -> Dose {
        Dose {
            usual: self.usual * share,
            most: self.most * share,
            ..self
        }
    }
}

pub fn parts(f: &Formula, kb: &Kb) -> Parts {
    let mut walk = Walk {
        kb,
        out: Parts::default(),
    };
    for row in &f.rows {
        walk.row(row, Decimal::ONE, None);
    }
    walk.out
}

struct Walk<'a> {
    kb: &'a Kb,
    out: Parts,
}

impl Walk<'_> {
    /// `line` is the row of the outermost formula.
    fn row(&mut self, row: &Row, of: Decimal, line: Option<u32>) {
        let usual = row.percent.unwrap_or_default() * of;
        let dose = Dose {
            usual,
            most: row.most.map_or(usual, |m| (m * of).max(usual)),
            line: line.unwrap_or(row.line),
            colours: row.purpose.as_ref().is_some_and(|p| p.value == "colourant"),
            unmeasured: usual.is_zero() && matches!(row.amount.value, Amount::Enough { .. }),
        };
        if usual.is_zero() && !dose.unmeasured {
            return;
        }
        match &row.material {
            Material::Known { id, strength } => self.material(*id, *strength, dose),
            Material::Nested(inner) => {
                for r in &inner.rows {
                    self.row(r, dose.usual / Decimal::ONE_HUNDRED, Some(dose.line));
                }
            }
            Material::Ambiguous(_) => {
                self.gap(&row.name.value, dose, "several materials have this name")
            }
            Material::Unknown => self.gap(&row.name.value, dose, "the material is not known"),
            Material::Unusable(_) => self.gap(
                &row.name.value,
                dose,
                "the file of this formula cannot be used",
            ),
        }
    }

    fn material(&mut self, id: Id, strength: Option<Strength>, dose: Dose) {
        let Some(strength) = strength else {
            return self.pure(id, dose, 0);
        };
        let (share, carrier) = strength_by_weight(self.kb, id, strength);
        self.pure(id, dose.times(share), 0);
        let rest = Decimal::ONE - share;
        match carrier {
            _ if rest.is_zero() => {}
            Some(carrier) => self.pure(carrier, dose.times(rest), 0),
            None => self.gap(
                &format!("what dilutes {}", self.kb.name(id)),
                dose.times(rest),
                "the supplier's data sheet says what it is made up with",
            ),
        }
    }

    fn pure(&mut self, id: Id, dose: Dose, depth: u8) {
        let one = self.kb.get(id);
        for c in &one.constituents {
            if let (Some((of, _)), Some((content, top_only))) =
                (self.kb.substance(&c.of), content(c))
            {
                let Dose {
                    usual, most, line, ..
                } = dose;
                self.out.brought.push(Brought {
                    of,
                    by: id,
                    line,
                    usual,
                    most,
                    content,
                    top_only,
                });
            }
        }
        // A blend with a name of its own stands under that name.
        if has_label_name(one) {
            let part = self.out.of.entry(id).or_default();
            part.unmeasured = dose.unmeasured && (part.unmeasured || part.lines.is_empty());
            part.percent += dose.usual;
            part.colours |= dose.colours;
            if !part.lines.contains(&dose.line) {
                part.lines.push(dose.line);
            }
            return;
        }
        if one.composition.is_empty() || depth == DEEPEST {
            let name = self.kb.name(id).to_owned();
            let why = if name.contains("(and)") {
                "the shares of its parts are not known; write them in as rows from the supplier's data sheet"
            } else {
                "no INCI name is known for it"
            };
            return self.gap(&name, dose, why);
        }
        for p in &one.composition {
            let dose = dose.times(p.percent.0 / Decimal::ONE_HUNDRED);
            match self.kb.by_id(&p.of) {
                Some(part) if p.hidden => self.out.hidden.push((part, dose.line)),
                Some(part) => self.pure(part, dose, depth + 1),
                None => self.gap(&p.of, dose, "the material is not known"),
            }
        }
    }

    fn gap(&mut self, name: &str, dose: Dose, why: &'static str) {
        match self.out.gaps.iter_mut().find(|g| g.name == name) {
            Some(gap) => gap.percent += dose.usual,
            None => self.out.gaps.push(Gap {
                name: name.to_owned(),
                line: dose.line,
                percent: dose.usual,
                why,
            }),
        }
    }
}

/// Lowest, usual and highest share; where only the highest is known, the others count as nothing.
fn content(c: &Constituent) -> Option<(Range, bool)> {
    let [low, usual, high] = [c.low, c.usual, c.high].map(|n| n.map(|n| n.0));
    let top = high.or(usual).or(low)?;
    let bottom = low.unwrap_or_default().min(top);
    let middle = usual.or_else(|| low.map(|l| (l + top) / Decimal::TWO));
    Some((
        Range {
            low: bottom,
            usual: middle.unwrap_or_default().clamp(bottom, top),
            high: top,
        },
        middle.is_none(),
    ))
}
