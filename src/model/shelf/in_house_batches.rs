//! Lots that were made here: what the batch yielded, what went into it, how long that keeps.

use super::{Lot, LotPack, LotPrice, NoPrice, Problem, Shelf};
use crate::chem::date::Date;
use crate::kb::Kb;
use crate::model::record::{Actual, Record};
use rust_decimal::Decimal;

/// Fills size, price and date of every lot that names its batch, those inside others first.
pub fn fill(shelf: &mut Shelf, kb: &Kb) {
    let mut state = vec![State::Open; shelf.lots.len()];
    for n in 0..shelf.lots.len() {
        visit(shelf, kb, n, &mut state);
    }
}

#[derive(Clone, Copy, PartialEq)]
enum State {
    Open,
    Visiting,
    Done,
}

fn visit(shelf: &mut Shelf, kb: &Kb, n: usize, state: &mut [State]) {
    if state[n] != State::Open {
        return;
    }
    state[n] = State::Visiting;
    if let Some(code) = shelf.lots[n].from.clone() {
        match record(shelf, &code) {
            Some(at) => {
                let inside: Vec<usize> = lots_in(shelf, &shelf.records[at]);
                for inner in &inside {
                    visit(shelf, kb, *inner, state);
                }
                let looped = inside.iter().any(|inner| state[*inner] == State::Visiting);
                complete(shelf, kb, n, at, looped);
            }
            None => {
                let lot = &mut shelf.lots[n];
                if lot.price == Err(NoPrice::NotWritten) {
                    lot.price = Err(NoPrice::Made(format!(
                        "there is no file of batch {code} here"
                    )));
                }
                let message = format!(
                    "there is no file of batch {code} here, so what {} holds and cost is not known from it",
                    lot.code
                );
                let problem = Problem {
                    path: lot.path.clone(),
                    line: lot.line,
                    message,
                    lot: Some(lot.code.clone()),
                };
                shelf.problems.push(problem);
            }
        }
    }
    state[n] = State::Done;
}

fn record(shelf: &Shelf, code: &str) -> Option<usize> {
    shelf
        .records
        .iter()
        .position(|r| r.code.as_ref().is_some_and(|c| c.value == code))
}

fn lots_in(shelf: &Shelf, record: &Record) -> Vec<usize> {
    record
        .weighed
        .iter()
        .filter_map(|w| shelf.position(&w.lot.as_ref()?.value))
        .collect()
}

/// What the lot's own lines say is kept; the batch tells the rest.
fn complete(shelf: &mut Shelf, kb: &Kb, n: usize, at: usize, looped: bool) {
    let record = &shelf.records[at];
    let size = record
        .yield_g
        .or_else(|| record.put_in_g())
        .filter(|g| *g > Decimal::ZERO);
    let price = match looped {
        true => Err("it was made of itself".to_owned()),
        false => cost(shelf, record, kb),
    };
    let date = (!looped).then(|| earliest(shelf, record)).flatten();
    let lot = &mut shelf.lots[n];
    if looped {
        let message = format!(
            "{} was made of itself, as its batch has it: is a lot's code wrong?",
            lot.code
        );
        shelf.problems.push(Problem {
            path: lot.path.clone(),
            line: lot.line,
            message,
            lot: Some(lot.code.clone()),
        });
    }
    if lot.pack.is_none() && lot.price != Err(NoPrice::Unreadable) {
        lot.pack = size.map(|grams| LotPack {
            grams,
            estimated: false,
        });
        if lot.price == Err(NoPrice::NotWritten) {
            lot.price = price.map_err(NoPrice::Made);
        }
    }
    if let (None, Some((date, of))) = (lot.best_before, date) {
        lot.best_before = Some(date);
        lot.limited_by = Some(of);
    }
}

/// What went into a batch cost, where all of it is known and in one money.
fn cost(shelf: &Shelf, record: &Record, kb: &Kb) -> Result<LotPrice, String> {
    let mut sum: Option<LotPrice> = None;
    for row in record.taken() {
        let grams = match row.actual {
            Actual::Grams(g) => g,
            Actual::Pieces(_) => continue,
            Actual::NotYet | Actual::Unreadable => {
                return Err(format!(
                    "the weight of {} in its batch is not known",
                    row.name
                ));
            }
        };
        let Some(code) = row.lot else {
            if row.item.is_water(kb) {
                continue;
            }
            if row.from_log {
                return Err(format!("{} was added to its batch from no lot", row.name));
            }
            return Err(format!("{} in its batch has no lot", row.name));
        };
        let lot = shelf
            .lot(code)
            .ok_or_else(|| format!("lot {code} in its batch is on no shelf"))?;
        let grams = grams.saturating_mul(row.item.share_of(&lot.item, kb).unwrap_or(Decimal::ONE));
        let part = of_lot(lot, grams)
            .ok_or_else(|| format!("lot {} in its batch has no price", lot.code))?;
        match &mut sum {
            None => sum = Some(part),
            Some(s) if s.currency != part.currency => {
                return Err("its materials were bought in different money".to_owned());
            }
            Some(s) => {
                s.amount = s
                    .amount
                    .checked_add(part.amount)
                    .ok_or("the figures have more digits than can be kept exactly")?
            }
        }
    }
    sum.ok_or_else(|| "its batch names no lot".to_owned())
}

/// The price of some grams of a lot.
fn of_lot(lot: &Lot, grams: Decimal) -> Option<LotPrice> {
    let (price, pack) = (lot.price.as_ref().ok()?, lot.pack?);
    let amount = grams.checked_mul(price.amount)?.checked_div(pack.grams)?;
    Some(LotPrice {
        amount,
        currency: price.currency.clone(),
    })
}

fn earliest(shelf: &Shelf, record: &Record) -> Option<(Date, String)> {
    let lots = record.taken().filter_map(|t| shelf.lot(t.lot?));
    lots.filter_map(|l| {
        Some((
            l.best_before?,
            l.limited_by.clone().unwrap_or_else(|| l.code.clone()),
        ))
    })
    .min()
}
