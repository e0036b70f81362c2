//! The plain values of a batch record, from the file, the workshop and what the rules say.

use super::{
    BatchRecord, Corrected, Cost, Deviation, Entry, Packs, Pieces, RecordContext, Row, plain,
};
use crate::chem::units::Amount;
use crate::kb::role::Role;
use crate::model::record::{Actual, Record, What};
use crate::rules::{Severity, words::Degrees};
use crate::syntax::tree::{LogTime, Node};
use rust_decimal::Decimal;
use std::ops::Range;

/// The record of one batch.
pub fn record(source: &RecordContext) -> BatchRecord {
    let (r, shop) = (source.record, source.shop);
    let lines = lines(source);
    let rows: Vec<Row> = r.weighed.iter().filter_map(|w| row(source, w)).collect();
    let sum = |of: &dyn Fn(&Row) -> &Option<String>| {
        let all: Option<Vec<Decimal>> = rows
            .iter()
            .map(|row| of(row).as_ref()?.parse().ok())
            .collect();
        all.filter(|all| !all.is_empty())
            .map(|all| all.into_iter().sum::<Decimal>())
    };
    let (weighed_sum, planned_sum) = (sum(&|r| &r.weighed_g), sum(&|r| &r.planned_g));
    let put_in = r.put_in_g().filter(|g| *g > Decimal::ZERO);
    let percent = r.yield_g.zip(put_in).and_then(|(out, put_in)| {
        let share = out.checked_mul(Decimal::ONE_HUNDRED)?.checked_div(put_in)?;
        Some(share.round_dp(1))
    });
    let formula = source
        .formula
        .and_then(|f| f.name.as_ref())
        .map(|n| n.value.clone());
    let file = r.formula.as_ref().map(|f| f.value.clone());
    BatchRecord {
        code: r.code().to_owned(),
        formula: formula.or(file).unwrap_or_default(),
        formula_version: r.version.as_ref().map(|v| v.value.clone()),
        made: r.made.map(|d| d.to_string()),
        by: r.by.clone(),
        checked: r.checked.clone(),
        target_g: r.target_g.map(plain),
        room: field(source, &lines, "room"),
        scale_g: plain(source.settings.scale_g(source.kb)),
        equipment: r
            .equipment
            .iter()
            .flat_map(|e| e.split(','))
            .map(|e| e.trim().to_owned())
            .filter(|e| !e.is_empty())
            .collect(),
        weighed: [
            rows.iter().filter(|r| r.weighed_g.is_some()).count(),
            rows.len(),
        ],
        weighed_g: weighed_sum.map(|g| g.to_string()),
        planned_g: planned_sum.map(|g| g.to_string()),
        rows,
        heat: heat(source),
        log: entries(source, &lines, false),
        cleaned: r
            .cleaned
            .iter()
            .map(|c| format!("{} with {}, lot {}", c.what, c.name, c.lot.value))
            .collect(),
        ph: ph(r),
        ph_range: source
            .formula
            .and_then(|f| f.fields.ph.as_ref())
            .map(|p| [p.value.0.to_string(), p.value.1.to_string()]),
        yield_g: r.yield_g.map(|g| g.to_string()),
        put_in_g: put_in.map(|g| g.to_string()),
        yield_percent: percent.map(plain),
        packs: r
            .packs
            .iter()
            .map(|p| Packs {
                pack: p.pack.clone(),
                count: p.count,
                kept: p.kept,
                spoilt: p.spoilt,
                for_sale: p.count.saturating_sub(p.kept).saturating_sub(p.spoilt),
            })
            .collect(),
        left_over_g: left_over(r).map(plain),
        packaging: r.packaging.iter().map(pieces).collect(),
        best_before: r.best_before.map(|d| d.to_string()),
        after_opening: r.after_opening.clone(),
        cost: shop.cost(r, source.kb).ok().map(|c| {
            let per = r.size_g().and_then(|g| {
                let all = c.materials.amount.checked_mul(Decimal::ONE_HUNDRED)?;
                all.checked_div(g)
            });
            Cost {
                materials: format!("{:.2}", c.materials.amount.round_dp(2)),
                currency: c.materials.currency,
                per_100g: per.map(|p| format!("{:.2}", p.round_dp(2))),
            }
        }),
        not_as_planned: deviations(source, &lines),
        corrections: corrections(source, &lines),
        observations: entries(source, &lines, true),
        complaints: r
            .complaints
            .iter()
            .map(|c| format!("{}  {}", c.date, c.words.value))
            .collect(),
        decisions: r
            .decisions
            .iter()
            .map(|d| {
                let by = Some(&d.decision.by).filter(|by| !by.is_empty());
                let by = by.map_or(String::new(), |by| format!(" by {by}"));
                let why = Some(&d.decision.reason).filter(|why| !why.is_empty());
                let why = why.map_or(String::new(), |why| format!(", {why}"));
                format!("{} {}{by}{why}", d.kind.words(), d.decision.date)
            })
            .collect(),
        sealed: r.sealed.as_ref().map(|(_, s)| s.value.clone()),
    }
}

/// The lines of the record.
fn lines(source: &RecordContext) -> Range<u32> {
    let start = source.record.line;
    let next = source.shop.facts(&source.record.path).and_then(|facts| {
        let later = facts.records.iter().map(|r| r.line).filter(|l| *l > start);
        later.min()
    });
    start..next.unwrap_or(source.tree.lines.len() as u32)
}

fn field(source: &RecordContext, lines: &Range<u32>, key: &str) -> Option<String> {
    lines
        .clone()
        .find_map(|n| match &source.tree.line(n as usize)?.node {
            Node::Field(f) if f.key.value == key => Some(f.value.value.clone()),
            _ => None,
        })
        .filter(|v| !v.is_empty())
}

fn row(source: &RecordContext, w: &crate::model::record::Weighed) -> Option<Row> {
    let weighed = match w.actual {
        Actual::Grams(g) => Some(g),
        Actual::Pieces(_) => return None,
        Actual::NotYet | Actual::Unreadable => None,
    };
    let off = weighed.zip(w.planned_g).and_then(|(now, plan)| {
        let share = (now - plan).checked_mul(Decimal::ONE_HUNDRED)?;
        Some(share.checked_div(plan)?.round_dp(1))
    });
    let lot = w.lot.as_ref().and_then(|l| source.shop.lot(&l.value));
    let until = lot.and_then(|l| source.shop.keeps_until(l));
    let is_preservative = |id| source.kb.get(id).roles.has(Role::Preservative);
    Some(Row {
        line: w.line + 1,
        name: w.name.value.clone(),
        planned_g: w.planned_g.map(|g| g.to_string()),
        weighed_g: weighed.map(|g| g.to_string()),
        off_percent: off.map(plain),
        lot: w.lot.as_ref().map(|l| l.value.clone()),
        lot_best_before: until.map(|(date, _)| date.to_string()),
        water: w.item.is_water(source.kb),
        preservative: w.item.id().is_some_and(is_preservative),
    })
}

fn pieces(p: &crate::model::record::Packaging) -> Pieces {
    let used = match p.pieces {
        Actual::Pieces(n) => Some(n),
        _ => None,
    };
    Pieces {
        name: p.name.value.clone(),
        lot: p.lot.as_ref().map(|l| l.value.clone()),
        used: used.map(plain),
        planned: p.planned.map(plain),
        spoilt: p.spoilt,
        good: used.map(|n| plain(n - Decimal::from(p.spoilt))),
    }
}

/// What came out less what was filled; none where a pack is no weight.
fn left_over(r: &Record) -> Option<Decimal> {
    let filled = r.packs.iter().try_fold(Decimal::ZERO, |sum, p| {
        let each = Amount::new(p.each.value, p.each.unit).grams(None)?;
        sum.checked_add(each.checked_mul(p.count.into())?)
    })?;
    let left = r.yield_g?.checked_sub(filled)?;
    (!r.packs.is_empty() && left > Decimal::ZERO).then_some(left)
}

/// The hottest reading of each vessel, and at what the phases met.
fn heat(source: &RecordContext) -> Vec<String> {
    let degrees = Degrees::of(source.tree);
    let mut out: Vec<(String, Decimal)> = Vec::new();
    for event in &source.record.log {
        let What::Temperature {
            vessel,
            at,
            combined,
        } = &event.what
        else {
            continue;
        };
        let name = match (combined, vessel) {
            (true, _) => "combined",
            (false, Some(vessel)) => vessel,
            (false, None) => continue,
        };
        match out.iter_mut().find(|(known, _)| known == name) {
            Some((_, highest)) => *highest = at.celsius.max(*highest),
            None => out.push((name.to_owned(), at.celsius)),
        }
    }
    out.into_iter()
        .map(|(name, c)| format!("{name} {}", degrees.show(c)))
        .collect()
}

/// The readings of pH, each with what went in since the one before.
fn ph(r: &Record) -> Vec<String> {
    let mut out = Vec::new();
    let mut from = 0;
    for event in &r.log {
        let What::Ph { value, upper, .. } = &event.what else {
            continue;
        };
        let added: Vec<String> = r
            .added
            .iter()
            .filter(|a| !a.to_sample && a.line >= from && a.line < event.line)
            .filter(|_| !out.is_empty())
            .map(|a| {
                let grams = a.grams.map_or("?".to_owned(), plain);
                let lot = a.lot.as_ref();
                let lot = lot.map_or(String::new(), |l| format!(" from {}", l.value));
                format!("{grams} g {}{lot}", a.name)
            })
            .collect();
        let to = upper.map_or(String::new(), |u| format!(" to {}", plain(u)));
        let reading = format!("{}{to}", plain(*value));
        out.push(match added.is_empty() {
            true => reading,
            false => format!("after {}: {reading}", added.join(" and ")),
        });
        from = event.line;
    }
    out
}

/// The lines of the log, or the observations, as they are written.
fn entries(source: &RecordContext, lines: &Range<u32>, observed: bool) -> Vec<Entry> {
    let mut out = Vec::new();
    for n in lines.clone() {
        let Some(line) = source.tree.line(n as usize) else {
            continue;
        };
        let time = match &line.node {
            Node::Log(l) if !observed => l.time.as_ref(),
            Node::Observation(o) if observed => o.time.as_ref(),
            _ => continue,
        };
        let body = line.body_span();
        let words = match time {
            Some(t) => line.text.get(t.span.end as usize..body.end as usize),
            None => Some(line.text_of(body)),
        };
        let words = words.unwrap_or_default().trim();
        let due = time.and_then(|t| due(source.record, &t.value));
        let shown = time.map_or("", |t| line.text_of(t.span));
        out.push(Entry {
            time: due.map_or(shown.to_owned(), |due| format!("{shown} ({due})")),
            words: words.trim_start_matches(',').trim().to_owned(),
        });
    }
    out
}

/// The date of `+28 d`.
fn due(record: &Record, time: &LogTime) -> Option<String> {
    match time {
        LogTime::Day(days) => record
            .made?
            .plus_days(i64::from(*days))
            .map(|d| d.to_string()),
        _ => None,
    }
}

/// What the rules found and what the maker wrote as a deviation, with the reason where there is one.
fn deviations(source: &RecordContext, lines: &Range<u32>) -> Vec<Deviation> {
    let mut out: Vec<Deviation> = source
        .findings
        .iter()
        .filter(|f| lines.contains(&f.place.line) && f.code != "released-open")
        .filter(|f| f.severity >= Severity::Warning || f.suppression_reason.is_some())
        .map(|f| Deviation {
            line: f.place.line + 1,
            code: f.code.to_owned(),
            message: f.message.clone(),
            reason: f.suppression_reason.clone(),
        })
        .collect();
    for event in &source.record.log {
        if let What::Words(words) = &event.what
            && let Some(said) = after(words, "deviation:")
        {
            out.push(Deviation {
                line: event.line + 1,
                code: "deviation".to_owned(),
                message: said.to_owned(),
                reason: Some("as written".to_owned()),
            });
        }
    }
    out.sort_by_key(|d| d.line);
    out
}

fn after<'t>(words: &'t str, start: &str) -> Option<&'t str> {
    let head = words.get(..start.len())?;
    head.eq_ignore_ascii_case(start)
        .then(|| words[start.len()..].trim())
}

fn corrections(source: &RecordContext, lines: &Range<u32>) -> Vec<Corrected> {
    let mut out = Vec::new();
    for n in lines.clone() {
        let Some(line) = source.tree.line(n as usize) else {
            continue;
        };
        out.extend(line.corrections.iter().map(|c| Corrected {
            line: n + 1,
            now: line.text_of(line.body_span()).to_owned(),
            was: c.old.value.clone(),
            reason: c.reason.value.clone(),
        }));
    }
    out
}
