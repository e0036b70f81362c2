//! The law of one market in use: its rows are found by the substances that they name, and each is decoded when it is first asked for.

use super::decode::DecodedRows;
use super::id::Id;
use super::market::Market;
use crate::chem::date::Date;
use kb_format::number::Number;
use kb_format::pack::{PackedLaw, PackedTable};
use kb_format::schema::{Allergen, Ban, Colour, Duty, LawFile, Limit, Medicine, Warning};
use serde::de::DeserializeOwned;
use smol_str::SmolStr;
use std::fmt;

/// Why a market and a date of the packed base can be read.
const CHECKED: &str = "the build checks every market and every date of the base";

pub struct Law {
    pub market: Market,
    pub title: SmolStr,
    /// Date of the text that is followed.
    pub as_of: Date,
    /// Ingredients at this share (percent) or below may stand in any order at the end of the label's list.
    pub free_order_percent: Number,
    /// `true`: exactly at the share counts as below.
    pub free_order_inclusive: bool,
    /// Acts and annexes whose rows are all here, and what is not here or not whole.
    pub covers: Vec<SmolStr>,
    pub not_covered: Vec<SmolStr>,
    pub limit: Table<Limit>,
    pub ban: Table<Ban>,
    pub allergen: Table<Allergen>,
    pub colour: Table<Colour>,
    pub warning: Table<Warning>,
    pub medicine: Table<Medicine>,
    pub duty: Table<Duty>,
}

/// Names the law; its rows would be decoded to be shown.
impl fmt::Debug for Law {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Law")
            .field("market", &self.market)
            .field("as_of", &self.as_of)
            .finish_non_exhaustive()
    }
}

impl Law {
    pub(super) fn of(head: PackedLaw<'static>) -> Law {
        Law {
            market: Market::from_code(&head.market).expect(CHECKED),
            title: head.title,
            as_of: head.as_of.parse().expect(CHECKED),
            free_order_percent: head.free_order_percent,
            free_order_inclusive: head.free_order_inclusive,
            covers: head.covers,
            not_covered: head.not_covered,
            limit: Table::of(head.limit),
            ban: Table::of(head.ban),
            allergen: Table::of(head.allergen),
            colour: Table::of(head.colour),
            warning: Table::of(head.warning),
            medicine: Table::of(head.medicine),
            duty: Table::of(head.duty),
        }
    }

    /// As it was before packing.
    pub(super) fn whole(&self) -> LawFile {
        LawFile {
            market: self.market.code().into(),
            title: self.title.clone(),
            as_of: self.as_of.to_string().into(),
            free_order_percent: self.free_order_percent,
            free_order_inclusive: self.free_order_inclusive,
            covers: self.covers.clone(),
            not_covered: self.not_covered.clone(),
            limit: self.limit.iter().cloned().collect(),
            ban: self.ban.iter().cloned().collect(),
            allergen: self.allergen.iter().cloned().collect(),
            colour: self.colour.iter().cloned().collect(),
            warning: self.warning.iter().cloned().collect(),
            medicine: self.medicine.iter().cloned().collect(),
            duty: self.duty.iter().cloned().collect(),
        }
    }
}

/// What stands in a table of a law.
pub trait LawRow: DeserializeOwned + Sized + 'static {
    /// The table of a law that holds such rows.
    fn table(law: &Law) -> &Table<Self>;
    /// First day on which a new product must follow it; none where it always did.
    fn begins(&self) -> Option<Date> {
        None
    }
    /// Last day of sale for products that were there before.
    fn sold_through(&self) -> Option<Date> {
        None
    }
}

/// A day of the base. The build checks that each can be read.
fn day(text: Option<&str>) -> Option<Date> {
    text.map(|d| d.parse().expect(CHECKED))
}

macro_rules! dated {
    ($($table:ident: $row:ty),*) => {$(
        impl LawRow for $row {
            fn table(law: &Law) -> &Table<Self> {
                &law.$table
            }
            fn begins(&self) -> Option<Date> {
                day(self.from.as_deref())
            }
            fn sold_through(&self) -> Option<Date> {
                day(self.sell_through.as_deref())
            }
        }
    )*};
}

dated!(limit: Limit, ban: Ban, allergen: Allergen, warning: Warning);

impl LawRow for Colour {
    fn table(law: &Law) -> &Table<Self> {
        &law.colour
    }
}
impl LawRow for Medicine {
    fn table(law: &Law) -> &Table<Self> {
        &law.medicine
    }
}
impl LawRow for Duty {
    fn table(law: &Law) -> &Table<Self> {
        &law.duty
    }
    fn begins(&self) -> Option<Date> {
        day(self.from.as_deref())
    }
}

/// Whether a row of law is followed on a day. Everything that shows law asks here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    InForce,
    /// In force for new products; those that were there before may be sold until this day.
    SellThrough(Date),
    /// Announced: new products follow it from this day on.
    From(Date),
}

impl Status {
    /// Of a row on a day.
    pub fn of(row: &impl LawRow, today: Date) -> Status {
        match (row.begins(), row.sold_through()) {
            (Some(from), _) if from > today => Status::From(from),
            (_, Some(until)) if until >= today => Status::SellThrough(until),
            _ => Status::InForce,
        }
    }

    /// New products must follow it.
    pub fn is_in_force(self) -> bool {
        !matches!(self, Status::From(_))
    }

    /// The first day of what is only announced.
    pub fn from(self) -> Option<Date> {
        match self {
            Status::From(day) => Some(day),
            Status::InForce | Status::SellThrough(_) => None,
        }
    }

    /// The last day of sale of older products.
    pub fn sell_through(self) -> Option<Date> {
        match self {
            Status::SellThrough(day) => Some(day),
            Status::InForce | Status::From(_) => None,
        }
    }
}

/// One table of a law. A row is decoded when it is first asked for.
pub struct Table<T> {
    packed: PackedTable<'static>,
    decoded: DecodedRows<T>,
}

impl<T: LawRow> Table<T> {
    fn of(packed: PackedTable<'static>) -> Table<T> {
        Table {
            decoded: DecodedRows::new(packed.rows.len()),
            packed,
        }
    }

    pub fn is_empty(&self) -> bool {
        self.packed.rows.is_empty()
    }

    fn row(&self, n: usize) -> &T {
        self.decoded.get(n, &self.packed.rows)
    }

    /// Every row, in the order of the law.
    pub fn iter(&self) -> impl Iterator<Item = &T> {
        (0..self.packed.rows.len()).map(|n| self.row(n))
    }

    /// The rows that name a substance, in the order of the law.
    pub fn naming(&self, id: Id) -> impl Iterator<Item = &T> {
        self.packed.naming(id.0).map(|n| self.row(n))
    }

    /// The rows that name any of them, each once, in the order of the law.
    pub fn naming_any(&self, ids: impl Iterator<Item = Id>) -> impl Iterator<Item = &T> {
        let mut rows: Vec<usize> = ids.flat_map(|id| self.packed.naming(id.0)).collect();
        rows.sort_unstable();
        rows.dedup();
        rows.into_iter().map(|n| self.row(n))
    }

    /// The rows that name any of them, and those that name no substance at all, in the order of the law.
    pub fn naming_any_or_none(&self, ids: impl Iterator<Item = Id>) -> impl Iterator<Item = &T> {
        let general = self.packed.general.iter().map(|n| usize::from(*n));
        let naming = ids.flat_map(|id| self.packed.naming(id.0));
        let mut rows: Vec<usize> = general.chain(naming).collect();
        rows.sort_unstable();
        rows.dedup();
        rows.into_iter().map(|n| self.row(n))
    }

    /// The rows that name no substance at all.
    pub fn general(&self) -> impl Iterator<Item = &T> {
        let rows = self.packed.general.iter();
        rows.map(|n| self.row(usize::from(*n)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kb::Kb;
    use std::collections::BTreeMap;

    /// What each substance finds, against a reading of every row.
    fn found_as_named<T: LawRow>(table: &Table<T>, substances: impl Fn(&T) -> &[SmolStr]) -> usize {
        let kb = Kb::bundled();
        let mut named: BTreeMap<&str, Vec<*const T>> = BTreeMap::new();
        for row in table.iter() {
            for s in substances(row) {
                named.entry(s).or_default().push(row);
            }
        }
        for id in kb.all_ids() {
            let found: Vec<*const T> = table.naming(id).map(std::ptr::from_ref).collect();
            assert_eq!(
                found,
                named
                    .get(kb.get(id).id.as_str())
                    .cloned()
                    .unwrap_or_default(),
                "{}",
                kb.get(id).id
            );
        }
        let general: Vec<*const T> = table.general().map(std::ptr::from_ref).collect();
        let unnamed: Vec<*const T> = table
            .iter()
            .filter(|row| substances(row).is_empty())
            .map(std::ptr::from_ref)
            .collect();
        assert_eq!(general, unnamed);
        named.len() + general.len()
    }

    /// Every row is found by every substance that it names, and by no other; those that name none are the general ones.
    #[test]
    fn rows_are_found_by_what_they_name() {
        let kb = Kb::bundled();
        let mut seen = [0; 7];
        for law in kb.laws() {
            seen[0] += found_as_named(&law.limit, |r| &r.substances);
            seen[1] += found_as_named(&law.ban, |r| &r.substances);
            seen[2] += found_as_named(&law.allergen, |r| &r.substances);
            seen[3] += found_as_named(&law.colour, |r| &r.substances);
            seen[4] += found_as_named(&law.warning, |r| &r.substances);
            seen[5] += found_as_named(&law.medicine, |r| &r.substances);
            seen[6] += found_as_named(&law.duty, |r| &r.substances);
        }
        assert!(seen.iter().all(|n| *n > 0), "{seen:?}");
    }

    /// What was packed is what was read from the files.
    #[test]
    fn the_law_comes_out_as_it_went_in() {
        let (base, faults) = crate::kb::read::read(std::path::Path::new("kb"));
        assert!(faults.is_empty());
        let whole = Kb::bundled().whole();
        assert_eq!(whole.laws, base.laws);
    }

    #[test]
    fn rows_of_several_substances_come_once() {
        let kb = Kb::bundled();
        let law = kb
            .laws()
            .find(|l| l.market == Market::EuropeanUnion)
            .expect("the EU has a law");
        let parabens = || {
            ["methylparaben", "ethylparaben"]
                .into_iter()
                .filter_map(|s| kb.by_id(s))
        };
        let each: usize = parabens().map(|id| law.limit.naming(id).count()).sum();
        let once = law.limit.naming_any(parabens()).count();
        assert!(once > 0 && once < each, "{once} of {each}");
    }
}
