//! The recall letter: one page for each customer with a name.

use super::{Paper, answer};
use crate::papers::page::Head;
use askama::Template;
use serde::Serialize;

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Letters {
    /// The code that is recalled.
    pub code: String,
    pub letters: Vec<Letter>,
}

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Letter {
    pub to: String,
    pub jars: i64,
    pub batches: Vec<Batch>,
}

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Batch {
    pub product: String,
    pub code: String,
    pub jars: i64,
    /// Days and invoices.
    pub notes: Vec<String>,
}

#[derive(Template)]
#[template(path = "letter/letter.html")]
struct LettersPage<'a> {
    head: Head,
    letters: &'a [Letter],
}

fn jars(n: i64) -> String {
    format!("{n} {}", if n == 1 { "jar" } else { "jars" })
}

impl Batch {
    pub fn words(&self) -> String {
        format!(
            "{}  batch {}  {} ({})",
            self.product,
            self.code,
            jars(self.jars),
            self.notes.join("; ")
        )
    }
}

impl Letter {
    pub fn count(&self) -> String {
        jars(self.jars)
    }
}

impl Paper for Letters {
    /// A form feed stands between the pages.
    fn text(&self, _: usize) -> String {
        if self.letters.is_empty() {
            return "No customer with a name bought any of it.\n".to_owned();
        }
        let page = |l: &Letter| {
            let lines: String = l
                .batches
                .iter()
                .map(|b| format!("  {}\n", b.words()))
                .collect();
            format!(
                "To {}\n\nPlease take these jars off the shelf today and keep them apart:\n\n{lines}\n{} in all. Do not use, sell or give them away.\n\
                 Tell us how many you still have, and how many were sold on.\nWe come for them or pay for sending them back.\n\n\
                 Why: ______________________________________________\n\nDate ____________  Signature ____________  Telephone ____________\n",
                l.to,
                jars(l.jars),
            )
        };
        self.letters
            .iter()
            .map(page)
            .collect::<Vec<_>>()
            .join("\u{c}")
    }
    fn html(&self) -> String {
        LettersPage {
            head: Head {
                kind: "Recall",
                name: self.code.clone(),
                from: format!("{} letters, one on each page", self.letters.len()),
            },
            letters: &self.letters,
        }
        .render()
        .expect("a template that compiled writes into memory")
    }
    fn csv(&self) -> Option<String> {
        let columns = ["to", "product", "batch", "jars", "notes"];
        let rows = self.letters.iter().flat_map(|l| {
            l.batches.iter().map(|b| {
                vec![
                    l.to.clone(),
                    b.product.clone(),
                    b.code.clone(),
                    b.jars.to_string(),
                    b.notes.join("; "),
                ]
            })
        });
        Some(super::table::csv(&columns, rows))
    }
    fn json(&self) -> String {
        answer(self)
    }
}
