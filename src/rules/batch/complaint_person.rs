//! # A complaint names a person
//!
//! A complaint holds what looks like a name, an address or a telephone number.
//!
//! ## Why
//! Health and a name on one line is what the law on data guards most; the record goes from hand to hand, and a recall goes by the order.
//!
//! ## What to do
//! Name the order, and keep the name where orders are kept.
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
//!   2026-05-02  Mrs K., k@example.org, rash on both hands, not serious
//!               ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ Name the order
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
//!   2026-05-02  order 1043, 50 g, rash on both hands after two days, not serious
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};

pub static RULE: Rule = Rule {
    code: "complaint-person",
    title: "A complaint names a person",
    group: Group::Batch,
    loudest: Severity::Hint,
    file: include_str!("complaint_person.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for heard in w.records().flat_map(|r| &r.complaints) {
        if names_a_person(&heard.words.value) {
            sink.say(Subject::Line(heard.line), heard.line, heard.words.span, "this looks like the name, the address or the number of a person")
                .help("Name the order, and keep the name where orders are kept");
        }
    }
}

fn names_a_person(words: &str) -> bool {
    const TITLES: [&str; 8] = ["mr", "mrs", "ms", "miss", "dr", "herr", "frau", "customer"];
    let all: Vec<&str> = words.split_whitespace().collect();
    let is_title = |word: &str| TITLES.iter().any(|t| word.trim_end_matches('.').eq_ignore_ascii_case(t));
    let is_name = |word: &&str| word.starts_with(char::is_uppercase);
    let titled = all.windows(2).any(|pair| is_title(pair[0]) && is_name(&pair[1]));
    // A telephone number is longer than an order's.
    let digits = |word: &&str| word.chars().filter(char::is_ascii_digit).count() >= 9 || word.starts_with('+') && word.len() > 6;
    titled || words.contains('@') || all.iter().any(digits)
}
