//! What the rules of records ask: the file's own facts, the index of the whole workshop, and the formula of each batch.

use crate::chem::date::Date;
use crate::kb::Kb;
use crate::kb::role::Role;
use crate::model::StockItem;
use crate::model::record::{Actual, Added, Record, Weighed, What};
use crate::model::shelf::Lot;
use crate::model::shop::{Facts, Plan, PlanResult, PlannedRow, Plans, Shop, Use, UseKind};
use crate::model::{FileLoader, Settings};
use crate::rules::Context;
use crate::syntax::tree::{Heading, Heat, Node, Temperature};
use crate::text::Span;
use rust_decimal::Decimal;
use std::ops::Range;
use std::path::{Path, PathBuf};

pub struct Workshop<'a> {
    pub shop: &'a Shop,
    /// The facts of the file that is judged.
    pub facts: &'a Facts,
    pub path: &'a Path,
    pub today: Option<Date>,
    /// The formula of each record; none where the heading names none.
    plans: Vec<Option<PlanResult>>,
    /// Lots that are solutions made here, with what they hold: read once.
    solutions: Vec<(PathBuf, Option<StockItem>)>,
}

impl<'a> Workshop<'a> {
    pub fn new(
        shop: &'a Shop,
        facts: &'a Facts,
        path: &'a Path,
        kb: &Kb,
        settings: &Settings,
        loader: &dyn FileLoader,
        kept: &Plans,
    ) -> Workshop<'a> {
        let plans = facts
            .records
            .iter()
            .map(|r| kept.of(r, kb, settings, loader))
            .collect();
        let mut solutions: Vec<(PathBuf, Option<StockItem>)> = Vec::new();
        for lot in facts.uses.iter().filter_map(|u| shop.lot(&u.lot.value)) {
            if let StockItem::Made(file) = &lot.item
                && !solutions.iter().any(|(known, _)| known == file)
            {
                solutions.push((file.clone(), kept.solution(file, kb, settings, loader)));
            }
        }
        Workshop {
            shop,
            facts,
            path,
            today: Some(settings.today),
            plans,
            solutions,
        }
    }

    pub fn records(&self) -> impl Iterator<Item = &'a Record> {
        self.facts.records.iter()
    }

    /// Rows of `weighed` with their record.
    pub fn rows(&self) -> impl Iterator<Item = (&'a Record, &'a Weighed)> {
        self.records()
            .flat_map(|r| r.weighed.iter().map(move |w| (r, w)))
    }

    /// What was taken of lots, packaging aside, with its record.
    pub fn uses(&self) -> impl Iterator<Item = (&'a Record, &'a Use)> {
        let facts = self.facts;
        facts
            .uses
            .iter()
            .filter(|u| u.kind != UseKind::Packaging)
            .filter_map(move |u| Some((facts.records.get(u.record)?, u)))
    }

    /// The formula of the record of this number, where it could be read.
    pub fn plan(&self, record: usize) -> Option<&Plan> {
        self.plans.get(record)?.as_ref()?.as_deref().ok()
    }

    /// Records whose formula could be read.
    pub fn plans(&self) -> impl Iterator<Item = (&'a Record, &Plan)> {
        let all = self.facts.records.iter().zip(&self.plans);
        all.filter_map(|(r, p)| Some((r, p.as_ref()?.as_deref().ok()?)))
    }

    /// Records whose formula cannot be read, and why.
    pub fn without_plan(&self) -> impl Iterator<Item = (&'a Record, &str)> {
        let all = self.facts.records.iter().zip(&self.plans);
        all.filter_map(|(r, p)| Some((r, p.as_ref()?.as_ref().err()?.as_str())))
    }

    /// Records with what came out and what went in, in grams.
    pub fn yields(&self) -> impl Iterator<Item = (&'a Record, Decimal, Decimal)> {
        self.records().filter_map(|r| {
            let put_in = r.put_in_g().filter(|g| *g > Decimal::ZERO)?;
            Some((r, r.yield_g?, put_in))
        })
    }

    pub fn scale_step(&self, ctx: &Context) -> Decimal {
        ctx.settings
            .scale_g
            .unwrap_or_else(|| ctx.kb.threshold("scale-readability-g").value.0)
    }

    pub fn is_preservative(&self, ctx: &Context, item: &StockItem) -> bool {
        item.id()
            .is_some_and(|id| ctx.kb.get(id).roles.has(Role::Preservative))
    }

    /// The size of batch, in whole grams, in which what went in too much is on plan. None where less went in.
    pub fn batch_that_fits(
        &self,
        record: &Record,
        actual: Decimal,
        planned: Decimal,
    ) -> Option<Decimal> {
        let target = record.target_g?;
        (actual > planned)
            .then(|| target.checked_mul(actual)?.checked_div(planned))?
            .map(|g| g.round())
    }

    /// Whether a lot is of what a row names: the same material at a strength that serves, or a solution made here that is just that.
    pub fn serves(&self, ctx: &Context, one: &Use, lot: &Lot) -> bool {
        if one.item.share_of(&lot.item, ctx.kb).is_some() {
            return true;
        }
        match (&one.item, &lot.item) {
            // One of the two names is not known, or stands for several: nobody can say that they differ.
            (StockItem::Named(_), _) | (_, StockItem::Named(_)) => true,
            (StockItem::Known { id, .. }, StockItem::Known { id: other, .. }) => id == other,
            (StockItem::Known { .. }, StockItem::Made(file)) => {
                let held = self.solutions.iter().find(|(known, _)| known == file);
                held.is_some_and(|(_, item)| item.as_ref() == Some(&one.item))
            }
            (StockItem::Made(_), _) => false,
        }
    }

    /// A lot that could have been used instead, with what is left of it.
    pub fn another_lot(&self, ctx: &Context, one: &Use, on: Date) -> Option<String> {
        let mut fits: Vec<(Date, &Lot, Decimal)> = self
            .shop
            .all_lots()
            .filter(|lot| one.item.share_of(&lot.item, ctx.kb).is_some())
            .filter(|lot| lot.received.is_none_or(|came| came <= on))
            .filter_map(|lot| {
                let left = self.shop.left(lot, None, ctx.kb).amount?;
                let (until, _) = self.shop.keeps_until(lot)?;
                (until >= on && left > Decimal::ZERO).then_some((until, lot, left))
            })
            .collect();
        fits.sort_by_key(|(until, lot, _)| (*until, lot.code.clone()));
        let (_, lot, left) = fits.first()?;
        Some(format!("{}: {} g are left", lot.code, left.normalize()))
    }

    /// The sum of the planned weights, where with what the formula adds later it is further from the target than the threshold.
    pub fn plan_is_off(&self, ctx: &Context, record: &Record, plan: &Plan) -> Option<Decimal> {
        let target = record.target_g?;
        let sum = record
            .weighed
            .iter()
            .try_fold(Decimal::ZERO, |sum, r| match r.actual {
                Actual::Pieces(_) => Some(sum),
                _ => Some(sum + r.planned_g?),
            })?;
        let later = target * plan.later_percent / Decimal::ONE_HUNDRED;
        let allowed = ctx.kb.threshold("plan-off-target-percent").value.0;
        let off = (sum + later - target).abs();
        (!sum.is_zero() && off > target * allowed / Decimal::ONE_HUNDRED).then_some(sum)
    }

    /// Grams or pieces that were taken of a lot above what it held.
    pub fn short(&self, ctx: &Context, lot: &Lot) -> Option<Decimal> {
        let left = self.shop.left(lot, None, ctx.kb).amount?;
        (left < Decimal::ZERO).then_some(-left)
    }

    /// Whether an addition of an unknown name came from a lot that is called the same.
    pub fn lot_is_of(&self, added: &Added) -> bool {
        let lot = added.lot.as_ref().and_then(|l| self.shop.lot(&l.value));
        lot.is_some_and(|lot| lot.item == added.item)
    }

    /// Whether somebody else than who made it looked the batch over.
    pub fn is_checked(&self, record: &Record) -> bool {
        let Some(checked) = &record.checked else {
            return false;
        };
        let makers: Vec<&str> = record
            .by
            .iter()
            .flat_map(|by| by.split(','))
            .map(str::trim)
            .collect();
        let mut others = checked
            .split(',')
            .map(str::trim)
            .filter(|name| !name.is_empty());
        others.any(|name| !makers.iter().any(|maker| maker.eq_ignore_ascii_case(name)))
    }

    /// Whether an observation names a test of the product that was passed.
    pub fn was_tested(&self, record: &Record) -> bool {
        record.observations.iter().any(|e| match &e.what {
            What::Words(words) => {
                let words = words.to_lowercase();
                words.contains("test") && words.contains("passed")
            }
            _ => false,
        })
    }

    /// Whether the log holds something that begins as an event of ours and is not read as one.
    pub fn lost_words(&self, ctx: &Context, record: &Record, begins: &[&str]) -> bool {
        let is_ours = |text: &str| {
            let text = text.trim_start().to_lowercase();
            begins.iter().any(|b| text.starts_with(b))
        };
        let unread = record
            .unread
            .iter()
            .filter_map(|n| ctx.tree.line(*n as usize));
        record
            .log
            .iter()
            .any(|e| matches!(&e.what, What::Words(words) if is_ours(words)))
            || unread
                .into_iter()
                .any(|l| l.text.split([',', ' ']).any(is_ours))
    }

    /// Whether the law of a market where the product is sold limits a material, whatever it is there for.
    pub fn is_limited(&self, ctx: &Context, plan: Option<&Plan>, item: &StockItem) -> bool {
        let sold = plan.and_then(|p| p.formula.fields.sold_in.as_ref());
        let markets = sold.map_or(&ctx.settings.markets, |s| &s.value);
        item.id().is_some_and(|id| {
            ctx.kb
                .laws_of(markets)
                .flat_map(|law| law.limit.naming(id))
                .any(|limit| limit.max_percent.is_some() && limit.purpose.is_none())
        })
    }

    /// The lines of a record, from its heading to the next.
    pub fn lines(&self, ctx: &Context, record: &Record) -> Range<u32> {
        let next = self
            .records()
            .map(|r| r.line)
            .filter(|line| *line > record.line)
            .min();
        record.line..next.unwrap_or(ctx.tree.lines.len() as u32)
    }

    /// Whether a row of a record is the formula's row, also where its name is misspelt.
    pub fn names(&self, ctx: &Context, row: &Weighed, planned: &PlannedRow) -> bool {
        if row.item == planned.item {
            return true;
        }
        let same_material = row.item.id().is_some() && row.item.id() == planned.item.id();
        let near = || {
            let nearest = ctx.kb.nearest(&row.name.value);
            nearest.iter().any(|(id, _)| planned.item.id() == Some(*id))
        };
        same_material || matches!(row.item, StockItem::Named(_)) && near()
    }

    /// The phase that an addition of the log names, and the temperature that its heading asks it to be below.
    pub fn cool_phase(&self, plan: &Plan, what: &str) -> Option<(String, Temperature)> {
        let word = what.trim();
        let word = word
            .get(..6)
            .filter(|w| w.eq_ignore_ascii_case("phase "))
            .map_or(word, |_| word[6..].trim());
        let phase = plan
            .formula
            .phases
            .iter()
            .find(|p| p.label.eq_ignore_ascii_case(word))?;
        match phase.heat.as_ref()?.value {
            Heat::Below(t) => Some((phase.label.to_string(), t)),
            _ => None,
        }
    }

    /// The heading of a record.
    pub fn heading(&self, ctx: &Context, record: &Record) -> (u32, Span) {
        (record.line, ctx.text_span(record.line))
    }

    pub fn weighed_heading(&self, ctx: &Context, record: &Record) -> (u32, Span) {
        self.section(ctx, record, |h| matches!(h, Heading::Weighed))
    }

    pub fn log_heading(&self, ctx: &Context, record: &Record) -> (u32, Span) {
        self.section(ctx, record, |h| matches!(h, Heading::Log))
    }

    /// The heading of a part of a record; of one that is not there, the record's own.
    fn section(
        &self,
        ctx: &Context,
        record: &Record,
        is: impl Fn(&Heading) -> bool,
    ) -> (u32, Span) {
        let lines = ctx
            .tree
            .lines
            .iter()
            .enumerate()
            .skip(record.line as usize + 1);
        for (n, at) in lines {
            match &at.line.node {
                Node::Heading(Heading::Batch { .. }) => break,
                Node::Heading(h) if is(h) => return (n as u32, ctx.text_span(n as u32)),
                _ => {}
            }
        }
        self.heading(ctx, record)
    }

    /// The value of the field on a line.
    pub fn value_span(&self, ctx: &Context, line: u32) -> Span {
        match ctx.tree.line(line as usize).map(|l| &l.node) {
            Some(Node::Field(field)) => field.value.span,
            _ => ctx.text_span(line),
        }
    }
}
