//! The weigh sheet for the terminal.

use super::Sheet;
use crate::papers::page::{self, WHO_DECIDES};
use crate::papers::table::{self, Column};
use crate::rules::words;

const COLUMNS: [(&str, Column); 4] = [
    ("ingredient", Column::Words),
    ("%", Column::Number),
    ("grams", Column::Number),
    ("", Column::Words),
];

pub(super) fn text(sheet: &Sheet, width: usize) -> String {
    let mut out = page::heading(&sheet.head(), width);
    out.push_str(&page::lines(
        "",
        &sheet
            .objections
            .iter()
            .map(|o| o.words())
            .collect::<Vec<_>>(),
        width,
    ));
    out.push_str(&page::lines("", &sheet.size.words(), width));
    // One table, so that the columns stand under each other; the phases are rows across it.
    let mut rows = Vec::new();
    for part in &sheet.phases {
        rows.push(vec![
            part.title(),
            String::new(),
            part.grams.to_string(),
            String::new(),
        ]);
        for n in &part.rows {
            let r = &sheet.rows[*n];
            let note = r.note.clone().unwrap_or_default();
            rows.push(vec![
                format!("  {}", r.ingredient),
                words::readable(r.percent).to_string(),
                r.grams.to_string(),
                note,
            ]);
        }
    }
    rows.push(vec![
        "Together".into(),
        String::new(),
        sheet.total_g.to_string(),
        String::new(),
    ]);
    out.push('\n');
    out.push_str(&table::text(&COLUMNS, rows, width));
    let water: Vec<String> = sheet
        .evaporation
        .iter()
        .map(super::Evaporation::words)
        .collect();
    out.push_str(&page::lines("Water to put back", &water, width));
    if let Some([low, high]) = sheet.ph {
        let aim = if low == high {
            format!("{low}")
        } else {
            format!("{low} to {high}")
        };
        out.push_str(&page::lines("", &[format!("pH aimed at: {aim}")], width));
    }
    let method = if sheet.steps_written {
        "Method"
    } else {
        "Method, as the headings have it"
    };
    let steps: Vec<String> = sheet
        .steps
        .iter()
        .enumerate()
        .map(|(n, s)| format!("{}. {s}", n + 1))
        .collect();
    out.push_str(&page::lines(method, &steps, width));
    out.push_str(&page::lines("Take care", &sheet.cautions, width));
    out.push_str(&page::lines("", &[WHO_DECIDES.to_owned()], width));
    out
}
