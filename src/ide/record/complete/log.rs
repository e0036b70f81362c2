//! In `log`: what the method asks for next, up to the figure that the maker reads; what goes in, with its lot.

use super::{Typing, lots};
use crate::ide::complete::{Completion, CompletionKind, escaped};
use crate::ide::record::RecordView;
use crate::ide::record::dosing::next_dose;
use crate::model::StockItem;
use crate::model::making::{Making, Mark};
use crate::syntax::tree::{Amount, Temperature};
use rust_decimal::Decimal;

/// What a log line may say: shown, written, and where a figure is left open.
struct Entry {
    label: String,
    insert: String,
    snippet: Option<String>,
    detail: String,
}

impl Entry {
    fn whole(text: impl Into<String>, detail: impl Into<String>) -> Entry {
        let text = text.into();
        Entry {
            label: text.clone(),
            insert: text,
            snippet: None,
            detail: detail.into(),
        }
    }

    /// With a gap for what is read off a thermometer, a scale or a meter.
    fn open(before: &str, after: &str, detail: impl Into<String>) -> Entry {
        let gap = if before.is_empty() { "" } else { " " };
        Entry {
            label: format!("{before}{gap}…{after}"),
            insert: format!("{before}{gap}"),
            snippet: (!after.is_empty()).then(|| format!("{}{gap}${{1:}}{after}", escaped(before))),
            detail: detail.into(),
        }
    }
}

pub(super) fn offer(view: &RecordView, typing: &Typing) -> Option<Vec<Completion>> {
    let making = view.making_on(typing.line)?;
    let (time, event) = parted(typing.before);
    if let Some((head, typed)) = typing.lot() {
        let item = added_item(view, &making, head)?;
        return Some(lots(view, typing, &item, typed));
    }
    if let Some(name) = behind_quantity(event) {
        return Some(materials(view, typing, &making, name));
    }
    if let Some(units) = units(typing, event) {
        return Some(units);
    }
    if event.is_empty() && !typing.invoked {
        return Some(Vec::new());
    }
    let entries = entries(view, &making, typing.line);
    let before = match (time, view.now) {
        (false, Some(now)) => format!("{:02}:{:02}  ", now / 60, now % 60),
        _ => String::new(),
    };
    Some(typing.list_here(event, &|list| {
        for entry in &entries {
            let label = format!("{before}{}", entry.label);
            let snippet = entry.snippet.as_ref().map(|s| format!("{before}{s}"));
            let insert = format!("{before}{}", entry.insert);
            list.add(
                &label,
                CompletionKind::Value,
                &entry.detail,
                &insert,
                snippet,
            );
        }
    }))
}

/// Whether a time is written, and what is typed of the event at the cursor.
fn parted(before: &str) -> (bool, &str) {
    let line = before.trim_start();
    let first = line.split([' ', '\t']).next().unwrap_or("");
    let is_time = first.len() >= 4
        && first.starts_with(|c: char| c.is_ascii_digit())
        && first.contains(':')
        && line.len() > first.len();
    let rest = if is_time { &line[first.len()..] } else { line };
    let event = rest.rsplit(',').next().unwrap_or(rest);
    (is_time || rest.contains(','), event.trim_start())
}

/// What follows `add 1.95 g `: as far as the name of a material is typed.
fn behind_quantity(event: &str) -> Option<&str> {
    let rest = event
        .get(..4)
        .filter(|w| w.eq_ignore_ascii_case("add "))
        .map(|_| &event[4..])?;
    let mut words = rest.splitn(3, ' ');
    let (figure, unit, name) = (words.next()?, words.next()?, words.next()?);
    let is_figure = figure.starts_with(|c: char| c.is_ascii_digit());
    (is_figure && crate::chem::units::Unit::parse(unit).is_some()).then_some(name)
}

/// Units behind a bare figure: what is written before it says which.
fn units(typing: &Typing, event: &str) -> Option<Vec<Completion>> {
    const DEGREES: [(&str, &str); 2] = [("°C", "degrees"), ("g", "on the scale")];
    const WEIGHT: [(&str, &str); 1] = [("g", "grams")];
    let (figure, unit) = typing.figure()?;
    let head = event
        .strip_suffix(unit)?
        .trim_end()
        .strip_suffix(figure)?
        .trim()
        .to_lowercase();
    match head.as_str() {
        "ph" | "sample ph" => Some(Vec::new()),
        "yield" | "add" | "sample" => typing.units(&WEIGHT),
        // A vessel, or the pot: a time of day has its colon already.
        head if !head.contains(' ') || head.ends_with(" at") => typing.units(&DEGREES),
        _ => None,
    }
}

/// What comes next in the method, the nearest first, then what may always be written.
fn entries(view: &RecordView, making: &Making, line: u32) -> Vec<Entry> {
    let shown = |t: Temperature| view.snapshot.degrees().show(t.celsius);
    let mut out: Vec<Entry> = put_back(making, line).into_iter().collect();
    for step in making.next_steps(line) {
        let asks = step.words.clone();
        match step.mark {
            Mark::Heated(vessels, t) => {
                for vessel in vessels {
                    let to = t.map_or(asks.clone(), |t| format!("to {}", shown(t)));
                    out.push(Entry::open(&vessel, " °C", to));
                }
            }
            Mark::ToppedUp(vessel) => out.push(Entry::open(&vessel, " g", asks)),
            Mark::Combined => out.push(Entry::open("combined at", " °C", asks)),
            Mark::Cooled(t) => {
                let detail = format!("to {}", shown(t));
                out.push(Entry::open("", " °C", detail));
            }
            Mark::Added(what) => out.push(addition(view, making, line, &what, asks)),
            Mark::Ph => out.push(Entry::open("pH", "", asks)),
            Mark::Filled => out.push(Entry::open("yield", " g", asks)),
        }
    }
    for (word, after, detail) in [
        ("pH", "", "a reading of the batch"),
        ("sample", " g", "taken out to be tried on"),
        ("sample pH", "", "a reading of the sample"),
        ("yield", " g", "what came out"),
    ] {
        out.push(Entry::open(word, after, detail));
    }
    out
}

/// The water that a vessel has lost, where it was on the scale last.
fn put_back(making: &Making, line: u32) -> Option<Entry> {
    let lines = making.log().map(|(n, _)| n).take_while(|n| *n <= line);
    let last = lines.filter_map(|n| making.vessel_on(n)).last()?;
    let gone = last.began_g.checked_sub(last.now_g)?;
    let label = &last.label;
    (last.is_reading && gone > Decimal::ZERO).then(|| Entry {
        label: format!("add … g water to {label}"),
        insert: "add ".to_owned(),
        snippet: Some(format!("add ${{1:}} g water to {}", escaped(label))),
        detail: format!("{gone} g has gone"),
    })
}

/// `add C`; of a phase that adjusts the pH the dose with its material and lot.
fn addition(view: &RecordView, making: &Making, line: u32, what: &str, asks: String) -> Entry {
    let dosed = || {
        let plan = making.plan?;
        let phase = plan.formula.labelled(what)?;
        let by_ph = plan
            .formula
            .rows_of(phase)
            .any(|(_, r)| matches!(r.amount.value, Amount::Enough { ph: Some(_), .. }));
        if !by_ph {
            return None;
        }
        let dose = next_dose(view, making, line)?;
        let (grams, with) = (dose.first_g?, dose.with?);
        // Watered down it is no longer what the lot holds.
        let lot = match dose.dilution {
            None => lot_of(view, making, &with),
            Some(_) => String::new(),
        };
        Some(Entry::whole(
            format!("add {grams} g {with}{lot}"),
            asks.clone(),
        ))
    };
    dosed().unwrap_or_else(|| Entry::whole(format!("add {what}"), asks.clone()))
}

fn lot_of(view: &RecordView, making: &Making, name: &str) -> String {
    let item = StockItem::of(name, false, &view.snapshot.path, view.kb());
    let lots = view.lots_for(&item, view.day_of(making.record));
    let first = lots.first().filter(|_| !item.is_water(view.kb()));
    first.map_or(String::new(), |u| format!(" lot {}", u.lot.code))
}

/// What goes in up to a pH first, then the other rows of the formula; each with its lot.
fn materials(view: &RecordView, typing: &Typing, making: &Making, typed: &str) -> Vec<Completion> {
    let Some(plan) = making.plan else {
        return Vec::new();
    };
    let rows = plan.formula.rows.iter();
    let (first, then): (Vec<_>, Vec<_>) =
        rows.partition(|r| matches!(r.amount.value, Amount::Enough { .. }));
    let water = first.is_empty();
    typing.list_here(typed, &|list| {
        for r in first.iter().chain(&then) {
            let name = r.name.value.as_str();
            let lot = lot_of(view, making, name);
            let insert = format!("{name}{lot}");
            list.add(name, CompletionKind::Ingredient, lot.trim(), &insert, None);
        }
        if water {
            list.add("water", CompletionKind::Ingredient, "", "water", None);
        }
    })
}

/// What an addition is of: the words between the quantity and `lot`; a phase stands for its one material.
fn added_item(view: &RecordView, making: &Making, head: &str) -> Option<StockItem> {
    let event = parted(head).1;
    let of = |name: &str| StockItem::of(name, false, &view.snapshot.path, view.kb());
    if let Some(name) = behind_quantity(event) {
        return Some(of(name.trim()));
    }
    let label = event.split_whitespace().nth(1)?;
    let plan = making.plan?;
    let phase = plan.formula.labelled(label)?;
    let mut rows = plan.formula.rows_of(phase);
    match (rows.next(), rows.next()) {
        (Some((_, row)), None) => Some(StockItem::of_row(row, &plan.path)),
        _ => None,
    }
}
