//! The answer as text, as a table, and as letters to customers.

use super::all_customers;
use super::answer::{Answer, BackAnswer, Customer};
use crate::model::record::Record;
use crate::papers::letter::{self, Letter, Letters};
use crate::papers::table;

pub(super) fn text(a: &Answer, width: usize) -> String {
    let t = &a.totals;
    let mut out = format!(
        "{}, {}: {} sold, {} spoilt, {} kept, {} still here.\n",
        counted(t.batches as i64, "batch", "batches"),
        counted(t.jars, "jar", "jars"),
        t.sold,
        t.spoilt,
        t.kept,
        t.here
    );
    if a.lots.len() > 1 {
        out.push_str(&format!("It is inside {}.\n", a.lots[1..].join(", ")));
    }
    if !a.batches.is_empty() {
        let rows = a.batches.iter().map(|b| {
            vec![
                b.code.clone(),
                b.made.clone().unwrap_or_default(),
                b.formula.clone(),
                b.path.join(" > "),
                b.jars.to_string(),
                b.sold.to_string(),
                b.here.to_string(),
            ]
        });
        use table::Column::{Number, Words};
        out.push('\n');
        out.push_str(&table::text(
            &[
                ("batch", Words),
                ("made", Words),
                ("formula", Words),
                ("through", Words),
                ("jars", Number),
                ("sold", Number),
                ("here", Number),
            ],
            rows,
            width,
        ));
    }
    let here: Vec<String> = a
        .batches
        .iter()
        .filter(|b| b.here > 0)
        .map(|b| format!("{} {}", b.code, b.here))
        .collect();
    if !here.is_empty() {
        out.push_str(&format!(
            "\nStill here: put aside {}: {}.\n",
            counted(t.here, "jar", "jars"),
            here.join(", ")
        ));
    }
    let customers = all_customers(&a.batches);
    if !customers.is_empty() {
        out.push_str("\nWent to\n");
        for (c, batches) in &customers {
            out.push_str(&format!(
                "  {}: {} of {}\n",
                c.name,
                counted(c.jars, "jar", "jars"),
                counted(*batches as i64, "batch", "batches")
            ));
        }
        out.push_str("Where no name stands, put up a notice.\n");
    }
    if !a.uncertain.is_empty() {
        out.push_str("\nNot certain, for these lines may hide a batch of it\n");
        for u in &a.uncertain {
            out.push_str(&format!("  {}:{}: {}\n", u.path, u.line, u.message));
        }
    }
    out
}

fn counted(n: i64, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

pub(super) fn csv(a: &Answer) -> String {
    let columns = [
        "batch",
        "made",
        "formula",
        "through",
        "how",
        "packs",
        "jars",
        "sold",
        "kept",
        "spoilt",
        "here",
        "customers",
    ];
    let rows = a.batches.iter().map(|b| {
        let customers: Vec<String> = b
            .customers
            .iter()
            .map(|c| format!("{} {}", c.name, c.jars))
            .collect();
        vec![
            b.code.clone(),
            b.made.clone().unwrap_or_default(),
            b.formula.clone(),
            b.path.join(" > "),
            b.how.to_owned(),
            b.packs.join(", "),
            b.jars.to_string(),
            b.sold.to_string(),
            b.kept.to_string(),
            b.spoilt.to_string(),
            b.here.to_string(),
            customers.join(", "),
        ]
    });
    table::csv(&columns, rows)
}

/// One letter per customer with a name.
pub(super) fn letters(a: &Answer) -> Letters {
    let named = all_customers(&a.batches)
        .into_iter()
        .filter(|(c, _)| c.jars > 0 && !c.name.starts_with("at ") && c.name != "not said to whom");
    let letter = |(c, _): (Customer, usize)| Letter {
        batches: a
            .batches
            .iter()
            .filter_map(|b| {
                let part = b
                    .customers
                    .iter()
                    .find(|x| x.name == c.name && x.jars > 0)?;
                Some(letter::Batch {
                    product: b.formula.trim_end_matches(".formula").to_owned(),
                    code: b.code.clone(),
                    jars: part.jars,
                    notes: part.notes.clone(),
                })
            })
            .collect(),
        to: c.name,
        jars: c.jars,
    };
    Letters {
        code: a.code.clone(),
        letters: named.map(letter).collect(),
    }
}

pub(super) fn back_text(a: &BackAnswer, batch: &Record) -> String {
    let made = batch.made.map_or(String::new(), |d| format!(", made {d}"));
    let mut out = format!("{} of {}{made}\n", a.code, a.formula);
    for l in &a.lots {
        let from = l
            .made_in
            .as_ref()
            .map_or(String::new(), |b| format!("  from batch {b}"));
        let shelf = if l.on_a_shelf { "" } else { "  on no shelf" };
        let log = if l.how == "added" { " (log)" } else { "" };
        out.push_str(&format!(
            "{}{}{log}  {}{from}{shelf}\n",
            "  ".repeat(l.depth + 1),
            l.of,
            l.lot
        ));
    }
    if a.lots.is_empty() {
        out.push_str("  no lot is written\n");
    }
    let went: Vec<String> = a
        .customers
        .iter()
        .map(|c| format!("{} {}", c.name, c.jars))
        .collect();
    if !went.is_empty() {
        out.push_str(&format!("Went to: {}\n", went.join(", ")));
    }
    out
}
