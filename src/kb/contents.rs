//! What an entry holds: itself, the parts of a blend, the constituents of a natural material, down to substances.
//!
//! This is the only walk through them. Cards read it as it is, formulas in the share of each row.

use super::{Id, Kb};
use kb_format::schema::{Constituent, Ingredient};
use rust_decimal::Decimal;
use smol_str::SmolStr;

/// Blends may hold blends; a chain longer than this is a fault of the data.
const MAX_NESTING: u8 = 8;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ComponentKind {
    /// The material itself, pure.
    Substance,
    /// A blend as a whole; its parts are components too.
    Blend,
    /// Inside a natural material: counted for law and label, never in a sum to 100.
    Constituent,
}

/// Something that an entry holds, with its share of the entry by weight, 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Content {
    pub id: Id,
    /// The least: of a constituent, nothing where no low share is published.
    pub min: Decimal,
    pub typical: Decimal,
    pub max: Decimal,
    pub kind: ComponentKind,
    /// What brings it: the natural material of a constituent, the blend with a name of its own, else itself.
    pub by: Id,
    /// It is no part of something that the label's list names in its place.
    pub open: bool,
    /// It stands in the label's list under its own name, not inside something that does.
    pub listed: bool,
    /// Its blend says that the label does not name it.
    pub hidden: bool,
    /// Of a constituent: only its highest share is known.
    pub top_only: bool,
    /// The entry itself.
    pub is_whole: bool,
}

#[derive(Debug, Default)]
pub struct Contents {
    /// The entry first, each blend before its parts.
    pub all: Vec<Content>,
    /// Parts that no entry describes, with their share, where the label would have to name them.
    pub unknown: Vec<(SmolStr, Decimal)>,
    /// A part is not known, or blends lie too deep in each other.
    pub is_partial: bool,
}

impl Kb {
    pub fn contents(&self, id: Id) -> Contents {
        let mut out = Contents::default();
        let whole = Step {
            share: Decimal::ONE,
            named: None,
            hidden: false,
            depth: 0,
        };
        out.add(self, id, whole);
        out
    }
}

/// How the walk came to an entry.
struct Step {
    share: Decimal,
    /// The blend that the label's list names instead of its parts.
    named: Option<Id>,
    hidden: bool,
    depth: u8,
}

impl Contents {
    fn add(&mut self, kb: &Kb, id: Id, at: Step) {
        let one = kb.get(id);
        let share = at.share;
        self.all.push(Content {
            id,
            min: share,
            typical: share,
            max: share,
            kind: match one.composition.is_empty() {
                true => ComponentKind::Substance,
                false => ComponentKind::Blend,
            },
            by: at.named.unwrap_or(id),
            open: at.named.is_none(),
            listed: at.named.is_none() && has_label_name(one),
            hidden: at.hidden,
            top_only: false,
            is_whole: at.depth == 0,
        });
        for c in &one.constituents {
            let Some(constituent) = kb.by_id(&c.of) else {
                continue;
            };
            let shares = Shares::of(c);
            self.all.push(Content {
                id: constituent,
                min: share * shares.min,
                typical: share * shares.typical,
                max: share * shares.max,
                kind: ComponentKind::Constituent,
                by: id,
                open: false,
                listed: false,
                hidden: false,
                top_only: shares.top_only,
                is_whole: false,
            });
        }
        if at.depth == MAX_NESTING {
            self.is_partial = true;
            return;
        }
        let named = at.named.or(has_label_name(one).then_some(id));
        for part in &one.composition {
            let share = share * (part.percent.0 / Decimal::ONE_HUNDRED);
            let Some(part_id) = kb.by_id(&part.of) else {
                self.is_partial = true;
                if named.is_none() {
                    self.unknown.push((part.of.clone(), share));
                }
                continue;
            };
            let hidden = part.hidden && named.is_none();
            let next = Step {
                share,
                named: if hidden { Some(id) } else { named },
                hidden,
                depth: at.depth + 1,
            };
            self.add(kb, part_id, next);
        }
    }
}

/// The shares of a constituent in its material, 0 to 1.
struct Shares {
    min: Decimal,
    /// The usual share, else the middle of low and high, else the end that is known.
    typical: Decimal,
    max: Decimal,
    top_only: bool,
}

impl Shares {
    fn of(c: &Constituent) -> Shares {
        let share = |percent: Decimal| percent / Decimal::ONE_HUNDRED;
        let max = c.high.or(c.usual).or(c.low).map_or(Decimal::ZERO, |n| n.0);
        let middle = || c.low.zip(c.high).map(|(l, h)| (l.0 + h.0) / Decimal::TWO);
        let typical = c.usual.map(|n| n.0).or_else(middle);
        Shares {
            min: share(c.low.map_or(Decimal::ZERO, |n| n.0)),
            typical: share(typical.unwrap_or(max)),
            max: share(max),
            top_only: typical.is_none(),
        }
    }
}

/// Whether the label's list has a name for it: a blend with one stands under that, one without is its parts.
fn has_label_name(one: &Ingredient) -> bool {
    one.inci.is_some() || one.inci_us.is_some() || one.ci.is_some()
}
