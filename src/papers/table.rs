//! Tables: set in columns for the terminal, as CSV for the spreadsheet.

use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, presets};

#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Column {
    /// Left, breaking where the line is full.
    Words,
    /// Right, never broken.
    Number,
}

/// A table for the terminal, two blanks in and two between the columns; `width` columns wide at the most.
pub fn text(
    columns: &[(&str, Column)],
    rows: impl IntoIterator<Item = Vec<String>>,
    width: usize,
) -> String {
    let mut table = comfy_table::Table::new();
    table
        .load_preset(presets::NOTHING)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(width.min(u16::MAX.into()) as u16);
    if columns.iter().any(|(title, _)| !title.is_empty()) {
        table.set_header(columns.iter().map(|(title, _)| *title));
    }
    for row in rows {
        table.add_row(row);
    }
    for (n, (_, kind)) in columns.iter().enumerate() {
        if let Some(column) = table.column_mut(n) {
            column.set_padding((if n == 0 { 2 } else { 1 }, 1));
            if *kind == Column::Number {
                column.set_cell_alignment(CellAlignment::Right);
                column.set_constraint(ColumnConstraint::ContentWidth);
            }
        }
    }
    let mut out = String::new();
    for line in table.lines() {
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out
}

/// The same as CSV (RFC 4180, but only line feeds end the lines).
pub fn csv(columns: &[&str], rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let mut to = csv::WriterBuilder::new().from_writer(Vec::new());
    let mut write = |row: &mut dyn Iterator<Item = &str>| {
        to.write_record(row)
            .expect("rows are as long as the header, and memory takes them")
    };
    write(&mut columns.iter().copied());
    for row in rows {
        write(&mut row.iter().map(String::as_str));
    }
    String::from_utf8(to.into_inner().expect("memory takes it")).expect("it was text")
}
