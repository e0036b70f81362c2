//! Stickers for jars and for lots: code, date, released or on hold.

use super::{Paper, answer};
use crate::chem::date::Date;
use crate::model::record::{Decided, DecisionKind, Record, decided};
use crate::model::shelf::Lot;
use crate::model::shop::Shop;
use crate::papers::page::Head;
use askama::Template;
use serde::Serialize;

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Stickers {
    pub stickers: Vec<Sticker>,
}

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Sticker {
    pub code: String,
    /// What is in it: the material, or the formula and the pack.
    pub of: String,
    /// "made 2026-03-14", "received 2026-01-10".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub since: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub best_before: Option<String>,
    /// "released 2026-03-20 by Ana", "on hold", "not released".
    pub status: String,
    /// It must not be used or sold.
    pub held: bool,
    pub copies: u32,
}

/// The sticker of a batch, as many as jars were filled, or as many as are asked for.
pub fn of_batch(shop: &Shop, batch: &Record, on: Date, copies: Option<u32>) -> Vec<Sticker> {
    let formula = batch.formula.as_ref().map_or("", |f| f.value.as_str());
    let name = formula.trim_end_matches(".formula");
    let (status, held) = status(&batch.decisions, on);
    let until = shop
        .batch_keeps_until(batch)
        .map(|(date, _)| date.to_string());
    let one = |of: String, jars: u32| Sticker {
        code: batch.code().to_owned(),
        of,
        since: batch.made.map(|d| format!("made {d}")),
        best_before: until.clone(),
        status: status.clone(),
        held,
        copies: copies.unwrap_or(jars),
    };
    if batch.packs.is_empty() {
        return vec![one(name.to_owned(), 1)];
    }
    let packs = batch.packs.iter();
    packs
        .map(|p| one(format!("{name}, {}", p.pack), p.count))
        .collect()
}

/// The sticker of a lot.
pub fn of_lot(shop: &Shop, lot: &Lot, on: Date, copies: Option<u32>) -> Sticker {
    let (status, held) = status(&lot.decisions, on);
    Sticker {
        code: lot.code.clone(),
        of: lot.name.trim_end_matches(".formula").to_owned(),
        since: lot.received.map(|d| format!("received {d}")),
        best_before: shop.keeps_until(lot).map(|(date, _)| date.to_string()),
        status,
        held,
        copies: copies.unwrap_or(1),
    }
}

fn status(decisions: &[Decided], on: Date) -> (String, bool) {
    match decided(decisions, Some(on)) {
        None => ("not released".to_owned(), true),
        Some(d) => {
            let by = Some(&d.decision.by).filter(|by| !by.is_empty());
            let by = by.map_or(String::new(), |by| format!(" by {by}"));
            let held = d.kind != DecisionKind::Released;
            (format!("{} {}{by}", d.kind.words(), d.decision.date), held)
        }
    }
}

#[derive(Template)]
#[template(path = "stickers/stickers.html")]
struct StickersPage<'a> {
    head: Head,
    stickers: Vec<&'a Sticker>,
}

impl Stickers {
    /// Each as often as it is wanted.
    fn all(&self) -> Vec<&Sticker> {
        let repeat = |s| std::iter::repeat_n(s, copies(s));
        self.stickers.iter().flat_map(repeat).collect()
    }
}

fn copies(sticker: &Sticker) -> usize {
    sticker.copies as usize
}

impl Paper for Stickers {
    fn text(&self, _: usize) -> String {
        let words = |s: &Sticker| {
            let or = |v: &Option<String>| v.as_ref().map_or(String::new(), |v| format!("  {v}"));
            let until = s.best_before.as_ref();
            let until = until.map_or(String::new(), |d| format!("  best before {d}"));
            let times = if s.copies == 1 {
                String::new()
            } else {
                format!("  ({} times)", s.copies)
            };
            format!(
                "{}  {}{}{until}  {}{times}\n",
                s.code,
                s.of,
                or(&s.since),
                s.status.to_uppercase()
            )
        };
        self.stickers.iter().map(words).collect()
    }
    fn html(&self) -> String {
        StickersPage {
            head: Head {
                kind: "Stickers",
                name: format!("{} to cut out", self.all().len()),
                from: "What is on hold or not released must not be used or sold".to_owned(),
            },
            stickers: self.all(),
        }
        .render()
        .expect("a template that compiled writes into memory")
    }
    fn csv(&self) -> Option<String> {
        let columns = ["code", "of", "since", "best_before", "status", "copies"];
        let rows = self.stickers.iter().map(|s| {
            let or = |v: &Option<String>| v.clone().unwrap_or_default();
            vec![
                s.code.clone(),
                s.of.clone(),
                or(&s.since),
                or(&s.best_before),
                s.status.clone(),
                s.copies.to_string(),
            ]
        });
        Some(super::table::csv(&columns, rows))
    }
    fn json(&self) -> String {
        answer(self)
    }
}
