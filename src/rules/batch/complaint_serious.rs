//! # A serious effect was reported
//!
//! A complaint says `serious`, or names what the law counts as serious (a hospital, an emergency, breath, sight, a burn) and does not say `not serious`.
//!
//! ## Why
//! The law asks whoever sells to tell the authority: in the EU without delay, in Great Britain without delay, in the US within 15 business days. Serious is what makes somebody unable to work or to do what they always do, brings them to a hospital, disables them, or puts a life at risk; in the US also an infection or a lasting disfigurement.
//!
//! ## What to do
//! Put the batch on hold, keep the jar, tell the authority of each market where it was sold, and ask who has jars of it: `phasewright trace CODE`. Where it is not serious, write `not serious`.
//!
//! ```stock
//! lot GLY-07 of glycerin
//!   received: 2026-01-10
//!   best before: 2028-01-31
//!   bought: 1 kg for 9.40 EUR
//!
//! lot PAN-05 of panthenol
//!   received: 2026-01-10
//!   best before: 2026-12-31
//!   bought: 100 g for 12 EUR
//! ```
//! ```formula
//! formula "Hand gel"
//!   version: 4
//!   product: hand gel, leave-on
//!   pH: 5.0 to 5.5
//!
//! phase A "gel" at 75 °C
//!   water     q.s.
//!   glycerin  5 %
//!
//! phase B "cool-down" below 40 °C
//!   panthenol  1 %
//!
//! phase C "pH" below 40 °C
//!   lactic acid 10 %  q.s. to pH 5.2, about 1 %
//! ```
//! ```batch,bad
//! batch HG-001 of "hand-gel.formula" version 4
//!   made: 2026-03-14
//!   target: 250 g
//!
//! weighed
//!   water     232.50 g of 232.50 g
//!   glycerin   12.50 g of 12.50 g   lot GLY-07
//!   panthenol   2.50 g of 2.50 g   lot PAN-05
//!
//! log
//!   10:05  A 76 °C
//!   11:08  38 °C, add B
//!   11:40  25 °C, pH 5.3
//!   12:10  yield 243.1 g
//!
//! packed
//!   4 x 50 g, 1 kept
//!
//! complaints
//!   2026-05-02  order 1043, 50 g, swollen eyes, two days off work, serious, jar taken back
//!               ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ US by 2026-05-22
//! ```
//!
//! ```batch,good
//! batch HG-001 of "hand-gel.formula" version 4
//!   made: 2026-03-14
//!   target: 250 g
//!
//! weighed
//!   water     232.50 g of 232.50 g
//!   glycerin   12.50 g of 12.50 g   lot GLY-07
//!   panthenol   2.50 g of 2.50 g   lot PAN-05
//!
//! log
//!   10:05  A 76 °C
//!   11:08  38 °C, add B
//!   11:40  25 °C, pH 5.3
//!   12:10  yield 243.1 g
//!
//! packed
//!   4 x 50 g, 1 kept
//!
//! complaints
//!   2026-05-02  order 1043, 50 g, rash on both hands after two days, not serious, jar taken back
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::chem::date::Date;
use crate::kb::law::Status;
use crate::kb::schema::Duty;
use crate::model::record::Heard;
use crate::rules::finding::cite;

pub static RULE: Rule = Rule {
    code: "complaint-serious",
    title: "A serious effect was reported",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("complaint_serious.rs"),
    check,
    ..Rule::DEFAULT
};

/// Words of what the law counts as serious.
const SERIOUS: [&str; 12] = [
    "hospital", "emergency", "ambulance", "anaphyla", "unconscious", "breath", "blind", "sight", "eyesight", "burn", "surgery", "died",
];

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for (n, record) in w.records().enumerate() {
        let sold = w.plan(n).and_then(|p| p.formula.fields.sold_in.as_ref());
        let markets = sold.map_or(&ctx.settings.markets, |s| &s.value);
        for heard in record.complaints.iter().filter(|c| is_serious(c)) {
            let mut told = Vec::new();
            let mut why = Vec::new();
            let mut first = None;
            for law in ctx.kb.laws_of(markets) {
                let duties: Vec<&Duty> = law
                    .duty
                    .general()
                    .filter(|d| d.kind == "reporting" && Status::of(*d, heard.date).is_in_force())
                    .collect();
                let Some(duty) = duties.first() else {
                    continue;
                };
                let days = duties.iter().filter_map(|d| last_day(heard.date, d.within_days?, d.working_days));
                let by = days.min().map_or(String::new(), |day| format!(" by {day}"));
                told.push(format!("{}{by}", law.market));
                why.extend(duties.iter().map(|d| format!("{}: {} ({})", law.market, d.text, cite(ctx.kb, &d.source, d.at.as_deref()))));
                first.get_or_insert((law, *duty));
            }
            let whom = if told.is_empty() { String::new() } else { format!("; to be told: {}", told.join(", ")) };
            let said = sink
                .say(Subject::Line(heard.line), heard.line, heard.words.span, format!("a serious effect{whom}"))
                .help(format!("Tell the authority, put the batch on hold, and ask who has jars of it: phasewright trace {}", record.code()))
                .why(Some(why.join(" ")).filter(|w| !w.is_empty()));
            if let Some((law, duty)) = first {
                said.law(law, duty).level(Severity::Warning);
            }
        }
    }
}

fn is_serious(heard: &Heard) -> bool {
    let words = heard.words.value.to_lowercase();
    heard.serious.unwrap_or_else(|| SERIOUS.iter().any(|s| words.contains(s)))
}

/// The last day of a time that begins on the day after; Saturdays and Sundays are no working days, holidays are taken as such, so that
/// the day is never too late.
fn last_day(from: Date, days: u16, working: bool) -> Option<Date> {
    if !working {
        return from.plus_days(i64::from(days));
    }
    let (mut day, mut left) = (from, days);
    while left > 0 {
        day = day.plus_days(1)?;
        // 1970-01-01 was a Thursday.
        let weekday = (day.days() + 3).rem_euclid(7);
        if weekday < 5 {
            left -= 1;
        }
    }
    Some(day)
}
