//! A batch or stock file in its workshop: what is shown and offered while it is written. One file a feature.

pub mod actions;
mod code;
pub mod complete;
mod dosing;
pub mod hints;
mod hover;
mod lens;
mod lot_words;
mod output;
pub mod references;
pub mod rename;
mod weighing;

pub use hover::hover;
pub use lens::lenses;

use super::Snapshot;
use crate::chem::date::Date;
use crate::kb::Kb;
use crate::model::FileLoader;
use crate::model::StockItem;
use crate::model::making::Making;
use crate::model::record::Record;
use crate::model::shop::{Facts, Plan, PlanResult, Plans, Shop, UsableLot};

/// One state of a record with the workshop around it.
pub struct RecordView<'a> {
    pub snapshot: &'a Snapshot,
    pub shop: &'a Shop,
    /// What the file itself says.
    pub facts: &'a Facts,
    /// The time of day, minutes after midnight; none where no clock is at hand.
    pub now: Option<u16>,
    /// Gives the texts of other files.
    loader: &'a dyn FileLoader,
    kept: Plans,
    /// Of each record of the file.
    plans: Vec<Option<PlanResult>>,
}

impl<'a> RecordView<'a> {
    pub fn new(
        snapshot: &'a Snapshot,
        shop: &'a Shop,
        facts: &'a Facts,
        loader: &'a dyn FileLoader,
    ) -> RecordView<'a> {
        let kept = Plans::default();
        let (kb, settings) = (&snapshot.kb, &snapshot.settings);
        let plan = |r: &Record| kept.of(r, kb, settings, loader);
        RecordView {
            snapshot,
            shop,
            facts,
            now: None,
            plans: facts.records.iter().map(plan).collect(),
            loader,
            kept,
        }
    }

    pub fn kb(&self) -> &'a Kb {
        &self.snapshot.kb
    }

    pub fn today(&self) -> Date {
        self.snapshot.settings.today
    }

    fn plan(&self, n: usize) -> Option<&Plan> {
        self.plans.get(n)?.as_ref()?.as_deref().ok()
    }

    /// The batches of the file, each with its lines and its formula.
    fn makings(&self) -> impl Iterator<Item = Making<'_>> {
        let records = self.facts.records.iter().enumerate();
        records.map(|(n, r)| Making::new(r, &self.snapshot.tree, self.plan(n)))
    }

    /// The batch that a line stands in.
    fn making_on(&self, line: u32) -> Option<Making<'_>> {
        self.makings().find(|m| m.lines.contains(&line))
    }

    /// Lots of a material that may be used on a day, solutions made here that are just that among them; the first to expire first.
    fn lots_for(&self, item: &StockItem, day: Date) -> Vec<UsableLot<'a>> {
        let (kb, settings) = (self.kb(), &self.snapshot.settings);
        let mut found = self.shop.usable_lots(item, day, kb);
        if let StockItem::Known { .. } = item {
            let made = self.shop.all_usable_lots(day, kb).into_iter().filter(|u| {
                matches!(&u.lot.item, StockItem::Made(file)
                    if self.kept.solution(file, kb, settings, self.loader).as_ref() == Some(item))
            });
            found.extend(made);
            found.sort_by_key(|u| (u.until.is_none(), u.until, u.lot.code.clone()));
        }
        found
    }

    /// The day that lots are chosen for: the day on which the batch is made.
    fn day_of(&self, record: &Record) -> Date {
        record.made.unwrap_or_else(|| self.today())
    }
}

/// The words of a hint, and those that are shown when it is pointed at.
struct HintWords {
    text: String,
    tooltip: String,
}

impl HintWords {
    fn new(text: impl Into<String>, tooltip: impl Into<String>) -> HintWords {
        HintWords {
            text: text.into(),
            tooltip: tooltip.into(),
        }
    }
}
