//! The card for the terminal.

use super::{Card, Share};
use crate::papers::page::{self, WHO_DECIDES};
use crate::papers::table::{self, Column};
use crate::rules::words;

pub(super) fn text(card: &Card, width: usize) -> String {
    let mut out = page::heading(&card.head(), width);
    out.push_str(&page::lines(
        "",
        &card
            .objections
            .iter()
            .map(|o| o.words())
            .collect::<Vec<_>>(),
        width,
    ));
    out.push_str(&page::lines("", &card.totals(), width));
    let phases = card
        .phases
        .iter()
        .map(|p| vec![p.title(), words::readable_percent(p.percent)])
        .collect();
    out.push_str(&shares("Phases", phases, width));
    let rows = |all: &[Share]| {
        all.iter()
            .map(|s| vec![s.name.clone(), words::readable_percent(s.percent)])
            .collect::<Vec<_>>()
    };
    out.push_str(&shares("By kind", rows(&card.kinds), width));
    out.push_str(&shares("The largest", rows(&card.largest), width));
    out.push_str(&page::lines("HLB", &card.hlb.words(), width));
    out.push_str(&page::lines("pH", &card.ph.words(), width));
    out.push_str(&page::lines("Keeping", &card.keeping.words(), width));
    if !card.histories.is_empty() {
        out.push_str("\nWhat each goes through\n");
        let columns = [
            ("", Column::Words),
            ("phase", Column::Words),
            ("goes in at", Column::Number),
            ("highest", Column::Number),
            ("hot for", Column::Number),
        ];
        let rows = card.histories.iter().map(|h| {
            let [added, highest, hot] = h.shown.clone();
            vec![h.ingredient.clone(), h.phase.clone(), added, highest, hot]
        });
        out.push_str(&table::text(&columns, rows, width));
    }
    out.push_str(&page::lines(
        "Limits of the law",
        &card.limit_words(),
        width,
    ));
    out.push_str(&page::lines(
        "Allergens above their threshold",
        &card.allergens.iter().map(|a| a.words()).collect::<Vec<_>>(),
        width,
    ));
    out.push_str(&page::lines("On the skin", &card.skin.words(), width));
    out.push_str(&page::lines("Take care", &card.cautions, width));
    out.push_str(&page::lines("", &[WHO_DECIDES.to_owned()], width));
    out
}

fn shares(title: &str, rows: Vec<Vec<String>>, width: usize) -> String {
    if rows.is_empty() {
        return String::new();
    }
    format!(
        "\n{title}\n{}",
        table::text(&[("", Column::Words), ("", Column::Number)], rows, width)
    )
}

impl Card {
    /// What it is, in a few lines.
    pub fn totals(&self) -> Vec<String> {
        let mut out = Vec::new();
        out.extend(self.product.clone());
        out.push(self.system.to_owned());
        let batch = self.batch_g.map_or(String::new(), |b| {
            format!("; batch of {} g", words::readable(b))
        });
        out.push(format!(
            "together {}{batch}",
            words::readable_percent(self.total_percent)
        ));
        out.push(format!(
            "water {}, oils {}, emulsifiers {}",
            words::readable_percent(self.water_percent),
            words::readable_percent(self.oil_percent),
            words::readable_percent(self.emulsifier_percent)
        ));
        if !self.unknown.is_empty() {
            out.push(format!(
                "not known, so counted by weight alone: {}",
                words::list(&self.unknown)
            ));
        }
        out
    }

    pub fn limit_words(&self) -> Vec<String> {
        let mut out: Vec<String> = self.limits.iter().map(|l| l.words()).collect();
        if self.limits_left_out > 0 {
            out.push(format!(
                "and {} more, of which less is used",
                self.limits_left_out
            ));
        }
        let dates: Vec<String> = self
            .law
            .iter()
            .map(|l| format!("{} as of {}", l.market, l.as_of))
            .collect();
        if !dates.is_empty() {
            let so_far = if self.unknown.is_empty() {
                ""
            } else {
                ", as far as its materials are known"
            };
            let none = if self.limits.is_empty() {
                format!("no listed limit for anything in it{so_far}; ")
            } else {
                String::new()
            };
            out.push(format!("{none}law of {}", words::list(&dates)));
        }
        out
    }
}

impl super::PhaseShare {
    pub fn title(&self) -> String {
        match (&self.name, self.label.is_empty()) {
            (Some(name), false) => format!("{}, {name}", self.label),
            (None, false) => self.label.clone(),
            (Some(name), true) => name.clone(),
            (None, true) => "outside of every phase".to_owned(),
        }
    }
}
