//! The list to count by: codes and names with empty boxes. What should be there is not printed, so that it is counted and not copied.

use super::{Paper, answer};
use crate::papers::page::Head;
use askama::Template;
use serde::Serialize;

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct CountList {
    pub on: String,
    pub lots: Vec<Line>,
    pub jars: Vec<Line>,
}

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Line {
    pub code: String,
    pub of: String,
    /// `g`, `pieces`, or the pack of jars: `x 50 g`.
    pub unit: String,
}

#[derive(Template)]
#[template(path = "count/count.html")]
struct CountPage<'a> {
    head: Head,
    list: &'a CountList,
}

impl Paper for CountList {
    fn text(&self, _: usize) -> String {
        let mut out = format!("Count of {}     by ____________\n\n", self.on);
        for l in self.lots.iter().chain(&self.jars) {
            out.push_str(&format!(
                "[ ] {:<12} {:<44} ____________ {}\n",
                l.code, l.of, l.unit
            ));
        }
        out.push_str(&format!(
            "\nEach line then goes under `ledger`, as in: {}  counted 430 g GLY-07\n",
            self.on
        ));
        out
    }
    fn html(&self) -> String {
        CountPage {
            head: Head {
                kind: "Count list",
                name: self.on.clone(),
                from: format!(
                    "{} lots, {} kinds of jars",
                    self.lots.len(),
                    self.jars.len()
                ),
            },
            list: self,
        }
        .render()
        .expect("a template that compiled writes into memory")
    }
    fn csv(&self) -> Option<String> {
        let rows = self
            .lots
            .iter()
            .chain(&self.jars)
            .map(|l| vec![l.code.clone(), l.of.clone(), String::new(), l.unit.clone()]);
        Some(super::table::csv(&["code", "of", "counted", "unit"], rows))
    }
    fn json(&self) -> String {
        answer(self)
    }
}
