//! What becomes different when one material takes the place of another.

use crate::kb::schema::{Charge, Figure, Range};
use crate::kb::{Id, Kb};
use crate::rules::words;
use serde::Serialize;
use smol_str::SmolStr;

/// One thing that differs; absent where the base does not know it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Difference {
    pub what: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub before: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after: Option<String>,
}

impl Difference {
    /// "HLB: 5.5 before, 3.8 after".
    pub fn words(&self) -> String {
        let said = |s: &Option<String>| s.clone().unwrap_or_else(|| "not known".to_owned());
        format!(
            "{}: {} before, {} after",
            self.what,
            said(&self.before),
            said(&self.after)
        )
    }
}

pub(super) fn changes(kb: &Kb, from: Id, to: Id) -> Vec<Difference> {
    let (a, b) = (kb.get(from), kb.get(to));
    let figure =
        |f: &Option<Box<Figure>>, unit: &str| f.as_ref().map(|f| format!("{}{unit}", f.value));
    let range = |r: &Option<Box<Range>>, unit: &str| {
        r.as_ref().map(|r| format!("{}{unit}", words::range(r)))
    };
    let charge = |c: Option<Charge>| {
        c.map(|c| {
            match c {
                Charge::Anionic => "negative",
                Charge::Cationic => "positive",
                Charge::Nonionic => "none",
                Charge::Amphoteric => "both",
            }
            .to_owned()
        })
    };
    let label = |one: &crate::kb::schema::Ingredient| {
        one.inci
            .as_ref()
            .map(SmolStr::to_string)
            .or_else(|| (!one.composition.is_empty()).then(|| "the names of its parts".to_owned()))
    };
    let all = [
        ("name on the label", label(a), label(b)),
        ("HLB", figure(&a.hlb, ""), figure(&b.hlb, "")),
        (
            "HLB that it asks for",
            figure(&a.required_hlb, ""),
            figure(&b.required_hlb, ""),
        ),
        ("melts", range(&a.melts_c, " °C"), range(&b.melts_c, " °C")),
        ("charge", charge(a.charge), charge(b.charge)),
        (
            "pH in which it lasts",
            range(&a.ph.bears, ""),
            range(&b.ph.bears, ""),
        ),
        (
            "pH in which it works",
            range(&a.ph.works, ""),
            range(&b.ph.works, ""),
        ),
        (
            "added below",
            figure(&a.add_below_c, " °C"),
            figure(&b.add_below_c, " °C"),
        ),
        (
            "iodine value (the higher, the sooner it turns)",
            range(&a.iodine_value, ""),
            range(&b.iodine_value, ""),
        ),
        (
            "keeps",
            figure(&a.shelf_life_months, " months"),
            figure(&b.shelf_life_months, " months"),
        ),
    ];
    all.into_iter()
        .filter(|(_, a, b)| a != b)
        .map(|(what, before, after)| Difference {
            what,
            before,
            after,
        })
        .collect()
}
