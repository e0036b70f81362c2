//! The weigh sheet for the terminal.

use super::Sheet;
use crate::papers::table::{self, Column};

pub(super) fn text(sheet: &Sheet, width: usize) -> String {
    let head = sheet.head();
    let mut out = format!("{}: {}\n{}\n\n", head.kind, head.name, head.from);
    let rows = sheet.rows.iter().map(|r| vec![r.phase.clone(), r.ingredient.clone(), r.percent.to_string(), r.grams.to_string()]);
    let rows = rows.chain([vec![String::new(), "together".into(), String::new(), sheet.total_g.to_string()]]);
    out.push_str(&table::text(
        &[("phase", Column::Words), ("ingredient", Column::Words), ("%", Column::Number), ("grams", Column::Number)],
        rows,
        width,
    ));
    if !sheet.steps.is_empty() {
        out.push_str("\nMethod\n");
        for (n, step) in sheet.steps.iter().enumerate() {
            out.push_str(&format!("  {}. {step}\n", n + 1));
        }
    }
    out
}
