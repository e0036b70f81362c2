//! How long it keeps is decided by tests, not by the formula. What the formula does tell is a hint: the shortest life among
//! its materials, which no product outlives.

use crate::chem::date::Date;
use crate::chem::shelf_life::{self, ShelfLifeLimit};
use crate::kb::Market;
use crate::kb::schema::SourceKind;
use crate::kb::{Id, Kb};
use crate::model::Formula;
use crate::model::ageing::ages;
use rust_decimal::prelude::ToPrimitive;

/// The material that ends it first, of those that age.
struct Shortest {
    name: String,
    months: u32,
    kind: Option<SourceKind>,
    until: Date,
    known: usize,
    of: usize,
}

pub fn durability(market: Market, f: &Formula, kb: &Kb, made: Option<Date>, today: Date) -> String {
    if f.fields.use_at_once {
        return "made fresh and used the same day; nothing is printed for it to keep".into();
    }
    let asked = match market {
        Market::EuropeanUnion | Market::UnitedKingdom => {
            "\"Best used before the end of\" or the hourglass with month and year, where it keeps 30 months or less; above that the open jar with the months after opening (Article 19(1)(c)). Which, the maker decides on a test of stability and preservation"
        }
        _ => {
            "the tables for this market ask for no date; one that is printed rests on the maker's test"
        }
    };
    let Some(shortest) = shortest(f, kb, made.unwrap_or(today)) else {
        return format!("{asked}. No shelf life is known for any of the materials");
    };
    let Shortest {
        name,
        months,
        kind,
        until,
        known,
        of,
    } = shortest;
    let kind = kind.map_or("not looked up", |k| match k {
        SourceKind::Law => "law",
        SourceKind::Published => "published",
        SourceKind::Practice => "usual practice",
        SourceKind::Unsourced => "from memory",
    });
    let date = match made {
        Some(day) => format!(
            "; made on {day}, that is {:02}/{}",
            until.month(),
            until.year()
        ),
        None => String::new(),
    };
    format!(
        "{asked}. A hint, no promise: {name} keeps about {months} months when fresh ({kind}), the shortest of the {known} lives known among {of} materials{date}; the dates on your lots go before it"
    )
}

fn shortest(f: &Formula, kb: &Kb, day: Date) -> Option<Shortest> {
    let bought = f.components.iter().filter(|s| s.bought).map(|s| s.id);
    let mut ids: Vec<Id> = bought.filter(|id| ages(kb.get(*id))).collect();
    ids.sort();
    ids.dedup();
    let known: Vec<(Id, u32)> = ids
        .iter()
        .filter_map(|id| {
            Some((
                *id,
                kb.get(*id).shelf_life_months.as_ref()?.value.0.to_u32()?,
            ))
        })
        .collect();
    let limits: Vec<ShelfLifeLimit> = known
        .iter()
        .map(|(_, months)| ShelfLifeLimit::Months(*months))
        .collect();
    let life = shelf_life::earliest(day, &limits).ok()?;
    let (id, months) = known[life.limiting];
    let kind = kb
        .get(id)
        .shelf_life_months
        .as_ref()
        .and_then(|s| kb.source(&s.source))
        .map(|s| s.kind);
    Some(Shortest {
        name: kb.name(id).to_owned(),
        months,
        kind,
        until: life.until,
        known: known.len(),
        of: ids.len(),
    })
}
