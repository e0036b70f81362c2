//! The lots of one stock file, as far as they can be read.

use super::{Lot, LotPack, NoPrice, Problem};
use crate::chem::date::Date;
use crate::chem::units::{Amount, Dimension, Unit};
use crate::kb::Kb;
use crate::model::StockItem;
use crate::model::record::{Decided, DecisionKind};
use crate::syntax::tree::{Heading, Node, Tree};
use crate::syntax::values::{self, Bought};
use crate::text::Spanned;
use rust_decimal::Decimal;
use std::path::Path;

/// Reads the lots, and what of them is not understood. A lot keeps what can be read of it.
pub fn read(tree: &Tree, path: &Path, kb: &Kb, lots: &mut Vec<Lot>, problems: &mut Vec<Problem>) {
    let before = lots.len();
    let mut open = false;
    for (n, at) in tree.lines.iter().enumerate() {
        let line = n as u32;
        match &at.line.node {
            Node::Heading(Heading::Lot {
                code: Some(code),
                of: Some(of),
                of_file,
            }) => {
                lots.push(Lot {
                    code: code.value.clone(),
                    name: of.value.clone(),
                    item: StockItem::of(&of.value, *of_file, path, kb),
                    path: path.to_owned(),
                    line,
                    supplier: None,
                    supplier_lot: None,
                    received: None,
                    opened: None,
                    after_opening_months: None,
                    retest: None,
                    decisions: Vec::new(),
                    label_for: None,
                    pieces: None,
                    best_before: None,
                    limited_by: None,
                    from: None,
                    pack: None,
                    price: Err(NoPrice::NotWritten),
                    used_g: Decimal::ZERO,
                    used_unsure: false,
                });
                open = true;
            }
            // The fields below a heading that cannot be read belong to no lot.
            Node::Heading(_) => open = false,
            Node::Field(field) => {
                if let (true, Some(lot)) = (open, lots.last_mut())
                    && let Err(message) = lot.field(&field.key.value, &field.value, line, kb)
                {
                    problems.push(Problem {
                        path: path.to_owned(),
                        line,
                        message,
                        lot: Some(lot.code.clone()),
                    });
                }
            }
            _ => {}
        }
    }
    for (line, error) in tree.errors() {
        let lot = lots[before..].iter().rev().find(|l| l.line <= line);
        // Below a heading that is broken the lot above has nothing to do with it.
        let lot = lot.filter(|l| {
            tree.section_of(line as usize)
                .is_none_or(|s| s.heading == Some(l.line))
        });
        let message = error.whole();
        problems.push(Problem {
            path: path.to_owned(),
            line,
            message,
            lot: lot.map(|l| l.code.clone()),
        });
    }
}

impl Lot {
    /// Takes a field; what the language itself refuses is told by the line's own error.
    fn field(
        &mut self,
        key: &str,
        value: &Spanned<String>,
        line: u32,
        kb: &Kb,
    ) -> Result<(), String> {
        let text = value.value.trim();
        if text.is_empty() {
            return Ok(());
        }
        let date = || text.parse::<Date>().ok();
        match key {
            "supplier" => self.supplier = Some(text.to_owned()),
            "received" => self.received = date().or(self.received),
            "opened" => self.opened = date().or(self.opened),
            "supplier lot" => self.supplier_lot = Some(text.to_owned()),
            "best before" => self.best_before = values::last_day(value).ok().or(self.best_before),
            "retest" => self.retest = values::last_day(value).ok().or(self.retest),
            "after opening" => self.after_opening_months = values::months(value).ok(),
            "for" => self.label_for = Some(text.to_owned()),
            "from" => self.from = Some(batch_code(text).to_owned()),
            "bought" => match values::bought(value) {
                Ok(bought) => return self.bought(bought, kb),
                Err(_) => self.price = Err(NoPrice::Unreadable),
            },
            key => {
                if let (Some(kind), Ok(decision)) = (DecisionKind::of(key), values::decision(value))
                {
                    self.decisions.push(Decided {
                        line,
                        kind,
                        decision,
                    });
                }
            }
        }
        Ok(())
    }

    /// The last day of its time after opening.
    pub fn open_until(&self) -> Option<Date> {
        let (opened, months) = self.opened.zip(self.after_opening_months)?;
        opened.plus_months(months as i32)
    }

    fn bought(&mut self, bought: Bought, kb: &Kb) -> Result<(), String> {
        let each = bought.pack.each;
        self.price = bought.price.map(Into::into).ok_or(NoPrice::NotWritten);
        if each.unit == Unit::Piece {
            self.pieces = each.value.checked_mul(bought.pack.count.into());
            return Ok(());
        }
        let estimated = each.unit.dimension() == Dimension::Volume;
        let one = Amount::new(each.value, each.unit).grams(self.item.density(kb));
        match one.and_then(|g| g.checked_mul(bought.pack.count.into())) {
            Some(grams) => {
                self.pack = Some(LotPack { grams, estimated });
                Ok(())
            }
            None if estimated => Err(format!(
                "what 1 {} of \"{}\" weighs is not known, so write what was bought by weight",
                each.unit.symbol(),
                self.name
            )),
            None => Err("what was bought has more digits than can be kept exactly".to_owned()),
        }
    }
}

/// `batch CS-002`, or the code alone.
fn batch_code(text: &str) -> &str {
    match text.split_once(char::is_whitespace) {
        Some((word, code)) if word.eq_ignore_ascii_case("batch") => code.trim(),
        _ => text,
    }
}
