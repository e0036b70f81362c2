//! The rows of one market's law by the substances that they name.

use super::base::{Id, Kb};
use super::hash::Plain;
use super::schema::Law;
use std::collections::HashMap;

/// Numbers of rows in a table of the law, in their order.
#[derive(Default)]
pub struct Rows(HashMap<Id, Vec<u16>, Plain>);

impl Rows {
    fn of<'r>(kb: &Kb, substances: impl Iterator<Item = &'r Vec<String>>) -> Rows {
        let mut out = Rows::default();
        for (n, named) in substances.enumerate() {
            for id in named.iter().filter_map(|s| kb.by_id(s)) {
                out.0.entry(id).or_default().push(n as u16);
            }
        }
        out
    }

    /// The rows that name a substance.
    pub fn naming(&self, id: Id) -> impl Iterator<Item = usize> + '_ {
        self.0.get(&id).into_iter().flatten().map(|n| usize::from(*n))
    }
}

#[derive(Default)]
pub struct BySubstance {
    pub limits: Rows,
    pub bans: Rows,
    pub colours: Rows,
    pub allergens: Rows,
    pub warnings: Rows,
    pub medicines: Rows,
}

impl BySubstance {
    pub(super) fn of(kb: &Kb, law: &Law) -> BySubstance {
        BySubstance {
            limits: Rows::of(kb, law.limit.iter().map(|x| &x.substances)),
            bans: Rows::of(kb, law.ban.iter().map(|x| &x.substances)),
            colours: Rows::of(kb, law.colour.iter().map(|x| &x.substances)),
            allergens: Rows::of(kb, law.allergen.iter().map(|x| &x.substances)),
            warnings: Rows::of(kb, law.warning.iter().map(|x| &x.substances)),
            medicines: Rows::of(kb, law.medicine.iter().map(|x| &x.substances)),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::kb::Kb;

    /// Every row is found by every substance that it names, and by no other.
    #[test]
    fn rows_are_found_by_what_they_name() {
        let kb = Kb::bundled();
        let (mut named, mut found) = (0, 0);
        for law in kb.laws() {
            let by = kb.rows_of(law);
            named +=
                law.limit.iter().map(|l| l.substances.len()).sum::<usize>() + law.ban.iter().map(|b| b.substances.len()).sum::<usize>();
            for id in kb.ids() {
                let one = &kb.get(id).id;
                for n in by.limits.naming(id) {
                    assert!(law.limit[n].substances.contains(one), "{}: {one}", law.market);
                    found += 1;
                }
                for n in by.bans.naming(id) {
                    assert!(law.ban[n].substances.contains(one), "{}: {one}", law.market);
                    found += 1;
                }
            }
        }
        assert!(named > 0);
        assert_eq!(found, named);
    }
}
