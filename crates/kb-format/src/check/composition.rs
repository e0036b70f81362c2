//! What a material is made of and what it holds.

use super::{At, Checker, join};
use crate::number::Number;
use crate::schema::Ingredient;
use rust_decimal::Decimal;

/// Materials made of materials: a chain longer than this is not followed when a formula is read.
const MAX_NESTING: usize = 8;

impl<'a> Checker<'a> {
    pub(super) fn composition(&mut self, at: &At, i: &Ingredient) {
        if !i.composition.is_empty() {
            let sum: Decimal = i.composition.iter().map(|p| p.percent.0).sum();
            if sum != Decimal::ONE_HUNDRED {
                let sum = sum.normalize();
                let message = format!("the parts of the composition sum to {sum} %, not to 100 %");
                self.report_at(at, "composition", message);
            }
        }
        for (n, p) in i.composition.iter().enumerate() {
            let path = format!("composition.{n}");
            self.check_ingredient_id(at, &join(&path, "of"), &p.of);
            if p.percent.0 <= Decimal::ZERO {
                let message = format!("the part \"{}\" has no share above 0 %", p.of);
                self.report_at(at, &join(&path, "percent"), message);
            }
            if p.of == i.id {
                let message = format!("\"{}\" is a part of itself", i.id);
                self.report_at(at, &join(&path, "of"), message);
            }
        }
        if let Some(message) = self.endless(i) {
            self.report_at(at, "composition", message);
        }
        for (n, c) in i.constituents.iter().enumerate() {
            let path = format!("constituents.{n}");
            self.check_ingredient_id(at, &join(&path, "of"), &c.of);
            self.check_source(at, &join(&path, "source"), &c.source);
            let ends: Vec<Number> = [c.low, c.usual, c.high].into_iter().flatten().collect();
            let outside = |n: &Number| n.0.is_sign_negative() || n.0 > Decimal::ONE_HUNDRED;
            if ends.is_empty() {
                self.report_at(at, &path, format!("constituent \"{}\" has no share", c.of));
            }
            if !ends.is_sorted() {
                let of = &c.of;
                let message = format!("constituent \"{of}\": low, usual and high are out of order");
                self.report_at(at, &path, message);
            }
            if ends.iter().any(outside) {
                let message = format!("constituent \"{}\": a share lies outside 0 to 100 %", c.of);
                self.report_at(at, &path, message);
            }
        }
    }

    /// A material that is part of its own parts, or has parts of parts without end.
    fn endless(&self, one: &Ingredient) -> Option<String> {
        self.walk(&mut vec![*self.by_id.get(one.id.as_str())?])
    }

    fn walk(&self, path: &mut Vec<&'a Ingredient>) -> Option<String> {
        let (first, last) = (path[0], path[path.len() - 1]);
        for part in &last.composition {
            // One that is a part of itself at once has its own message, and a ring further down is another's.
            if part.of == first.id && path.len() > 1 {
                let by: Vec<String> = path[1..].iter().map(|i| format!("\"{}\"", i.id)).collect();
                return Some(format!(
                    "\"{}\" is made of {}, and that is made of \"{}\" again; a material cannot hold itself, so take a part out of one of them",
                    first.id,
                    by.join(", that of "),
                    first.id
                ));
            }
            let Some(next) = self.by_id.get(part.of.as_str()).copied() else {
                continue;
            };
            if path.iter().any(|i| i.id == next.id) {
                continue;
            }
            if path.len() == MAX_NESTING {
                return Some(format!(
                    "\"{}\" is made of parts that are made of parts, more than {MAX_NESTING} deep; write out what it is made of",
                    first.id
                ));
            }
            path.push(next);
            let found = self.walk(path);
            path.pop();
            if found.is_some() {
                return found;
            }
        }
        None
    }
}
