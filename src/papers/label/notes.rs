//! What the maker has to know in addition to the label: what is missing in it, what was assumed, what comes later.

use super::order::{Listed, Place};
use super::parts::Parts;
use super::{allergens, at, net, warnings};
use crate::analysis::law::purpose_of;
use crate::kb::Market;
use crate::kb::law::Law;
use crate::kb::role::Role;
use crate::kb::schema::{Dissolves, Ingredient};
use crate::papers::FormulaContext;
use crate::rules::words;
use crate::syntax::tree::Amount;

pub(super) struct Notes<'a> {
    pub work: &'a FormulaContext<'a>,
    pub law: &'a Law,
    pub parts: &'a Parts,
    pub list: &'a [Listed],
    pub allergens: &'a allergens::AllergensFound,
    pub warnings: &'a warnings::WarningsFound,
    pub net: &'a net::Net,
}

impl Notes<'_> {
    pub fn all(&self) -> Vec<String> {
        let mut out = Vec::new();
        self.gaps(&mut out);
        self.order(&mut out);
        self.amounts(&mut out);
        self.colourants(&mut out);
        self.fragrance(&mut out);
        self.conditions(&mut out);
        out.extend(self.warnings.notes.iter().cloned());
        out.extend(self.net.notes.iter().cloned());
        out
    }

    fn gaps(&self, out: &mut Vec<String>) {
        for l in self.list.iter().filter(|l| l.missing) {
            let why = self
                .parts
                .gaps
                .iter()
                .find(|g| l.name.starts_with(&format!("[{}:", g.name)))
                .map(|g| g.why);
            let why = why.unwrap_or("this market's name for it is not known");
            out.push(format!(
                "the list is not complete: {}, {}: {why}",
                lines(&l.lines),
                l.name
            ));
        }
        for (id, line) in &self.parts.hidden {
            out.push(format!(
                "line {}: {} counts in the sum and is not named by itself",
                line + 1,
                self.work.kb.name(*id)
            ));
        }
    }

    fn order(&self, out: &mut Vec<String>) {
        if self
            .list
            .iter()
            .filter(|l| l.place == Place::AnyOrder)
            .count()
            > 1
        {
            let reach = if self.law.free_order_inclusive {
                "at or below"
            } else {
                "below"
            };
            out.push(format!(
                "what is {reach} {} % may stand in any order after the rest ({}); here it stays in descending order",
                self.law.free_order_percent,
                self.duty("label-order")
            ));
        }
        for l in self
            .list
            .iter()
            .filter(|l| l.percent.is_none() && l.place == Place::AnyOrder)
        {
            out.push(format!(
                "{}: how much of {} it takes is not known, so it stands among the smallest; write \"about\" behind it or weigh it, and it finds its place",
                lines(&l.lines),
                l.name
            ));
        }
    }

    fn amounts(&self, out: &mut Vec<String>) {
        let rows = &self.work.formula.rows;
        let estimated: Vec<u32> = rows
            .iter()
            .filter(|r| r.estimated)
            .map(|r| r.line + 1)
            .collect();
        if !estimated.is_empty() {
            out.push(format!(
                "{}: a volume counts by its density, so the place in the list is an estimate",
                lines(&estimated)
            ));
        }
        let sets_ph: Vec<u32> = rows
            .iter()
            .filter(|r| matches!(r.amount.value, Amount::Enough { ph: Some(_), .. }))
            .map(|r| r.line + 1)
            .collect();
        if !sets_ph.is_empty() {
            out.push(format!(
                "{}: what sets the pH stands in the list as it is put in; whether the salt that it becomes is to be named instead, the assessor decides",
                lines(&sets_ph)
            ));
        }
    }

    fn colourants(&self, out: &mut Vec<String>) {
        let european = matches!(
            self.law.market,
            Market::EuropeanUnion | Market::UnitedKingdom
        );
        let there = |pick: &dyn Fn(&Ingredient) -> bool| -> Vec<&str> {
            let kb = self.work.kb;
            self.parts
                .of
                .iter()
                .filter(|(id, _)| pick(kb.get(**id)))
                .map(|(id, _)| kb.name(*id))
                .collect()
        };
        if european {
            let either = there(&|one| {
                one.ci.is_some() && one.inci.as_deref().is_some_and(|n| !n.starts_with("CI "))
            });
            let either: Vec<&str> = either
                .into_iter()
                .filter(|n| {
                    !self.list.iter().any(|l| {
                        l.place == Place::Colourant
                            && l.lines.iter().any(|line| self.row_is(*line, n))
                    })
                })
                .collect();
            if !either.is_empty() {
                out.push(format!(
                    "{}: if it is there for its colour, write \"as colourant\" behind it, and it stands at the end by its Colour Index number",
                    words::list(&either)
                ));
            }
            let solid = there(&|one| {
                one.dissolves == Some(Dissolves::Insoluble)
                    && one.roles.has_any(&[Role::UvFilter, Role::Pigment])
            });
            if !solid.is_empty() {
                out.push(format!(
                    "{}: where the supplier declares a nanomaterial, \"(nano)\" follows the name ({})",
                    words::list(&solid),
                    self.duty("label-nano")
                ));
            }
        }
        if self
            .list
            .iter()
            .filter(|l| l.place == Place::Colourant)
            .count()
            > 1
        {
            out.push("colourants may stand in any order among themselves".into());
        }
    }

    fn row_is(&self, line: u32, name: &str) -> bool {
        let rows = &self.work.formula.rows;
        rows.iter()
            .any(|r| r.line + 1 == line && r.id().is_some_and(|id| self.work.kb.name(id) == name))
    }

    fn fragrance(&self, out: &mut Vec<String>) {
        if self.law.allergen.is_empty() {
            return;
        }
        let kb = self.work.kb;
        for (id, part) in &self.parts.of {
            let one = kb.get(*id);
            let smells = one.family == "essential-oils"
                || one.roles.iter().any(|r| purpose_of(*r) == "fragrance");
            let itself = self.law.allergen.naming(*id).next().is_some();
            if smells && one.constituents.is_empty() && !itself {
                let at: Vec<u32> = part.lines.iter().map(|l| l + 1).collect();
                out.push(format!(
                    "{}: which allergens {} brings is not known here; add the names from the supplier's allergen statement",
                    lines(&at),
                    kb.name(*id)
                ));
            }
        }
        let found = self.allergens;
        if found.now.is_empty() && found.later.is_empty() {
            return;
        }
        if self.work.formula.product.leave_on().is_none() {
            out.push("allergens are counted as for a leave-on product, which is stricter, as the file does not say; write \"product: leave-on\" or \"rinse-off\"".into());
        }
        if found.now.iter().any(|d| !d.listed || d.from.len() > 1) {
            out.push("how much of an allergen an oil holds differs from lot to lot: the supplier's analysis of your lot decides. \"Likely\" counts the usual share, \"possible\" the highest that is known".into());
        }
        for (theirs, its) in &found.renamed {
            out.push(format!(
                "{theirs} stands in the list under its own name, and as \"{its}\", the name that the allergen rule asks for; whether the second is enough, the assessor decides"
            ));
        }
        if let Some(day) = &found.sell_through {
            out.push(format!(
                "some of these names are asked for only since lately; products on the market before may be sold without them until {day}"
            ));
        }
        let mut days: Vec<&str> = found.later.iter().map(|(day, _)| day.as_str()).collect();
        days.sort_unstable();
        days.dedup();
        for day in days {
            let names: Vec<&str> = found
                .later
                .iter()
                .filter(|(d, _)| d == day)
                .map(|(_, n)| n.as_str())
                .collect();
            out.push(format!(
                "from {day} the list also names {}",
                words::list(&names)
            ));
        }
    }

    fn conditions(&self, out: &mut Vec<String>) {
        for w in &self.warnings.now {
            if let Some(conditions) = &w.conditions {
                out.push(format!(
                    "\"{}\": {conditions} ({})",
                    beginning(&w.text),
                    w.at
                ));
            }
        }
    }

    /// Where a duty of the market is written.
    fn duty(&self, id: &str) -> String {
        let duty = self.law.duty.iter().find(|d| d.id == id);
        duty.map_or_else(
            || self.law.title.to_string(),
            |d| at(self.work.kb, &d.source, d.at.as_deref()),
        )
    }
}

/// "line 4", "lines 4 and 7".
fn lines(all: &[u32]) -> String {
    let all: Vec<String> = all.iter().map(u32::to_string).collect();
    format!(
        "line{} {}",
        if all.len() == 1 { "" } else { "s" },
        words::list(&all)
    )
}

/// Enough of the words to know which are meant.
fn beginning(words: &str) -> String {
    match words.match_indices(' ').map(|(at, _)| at).nth(6) {
        Some(at) => format!("{} ...", &words[..at]),
        None => words.to_owned(),
    }
}
