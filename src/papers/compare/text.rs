//! The comparison for the terminal.

use super::Comparison;
use crate::papers::page;
use crate::papers::table::{self, Column};
use crate::rules::words;

const COLUMNS: [(&str, Column); 5] = [
    ("", Column::Words),
    ("ingredient", Column::Words),
    ("before %", Column::Number),
    ("after %", Column::Number),
    ("", Column::Words),
];

pub(super) fn text(c: &Comparison, width: usize) -> String {
    let mut out = page::heading(&c.head(), width);
    if c.same {
        out.push_str(&page::lines(
            "",
            &[
                "Nothing differs that counts: ingredients, phases, fields and steps are the same."
                    .to_owned(),
            ],
            width,
        ));
    }
    if !c.ingredients.is_empty() {
        out.push_str("\nIngredients\n");
        let number = |n: Option<rust_decimal::Decimal>| {
            n.map_or(String::new(), |n| words::readable(n).to_string())
        };
        let rows = c.ingredients.iter().map(|i| {
            let said = [i.difference(), i.moved()]
                .into_iter()
                .flatten()
                .collect::<Vec<_>>()
                .join(", ");
            vec![
                i.change.word().to_owned(),
                i.name.clone(),
                number(i.before_percent),
                number(i.after_percent),
                said,
            ]
        });
        out.push_str(&table::text(&COLUMNS, rows, width));
    }
    out.push_str(&page::lines("Phases", &c.phase_lines(), width));
    out.push_str(&page::lines("Fields", &c.field_lines(), width));
    out.push_str(&page::lines("Method", &c.step_lines(), width));
    if c.a.total != c.b.total {
        out.push_str(&page::lines(
            "Sum",
            &[format!("{} before, {} after", c.a.total, c.b.total)],
            width,
        ));
    }
    let limits: Vec<String> = c.limits.iter().map(super::LimitChange::words).collect();
    out.push_str(&page::lines(
        "Legal limits, how much of each is used",
        &limits,
        width,
    ));
    let found = |list: &[super::Finding]| {
        list.iter()
            .map(|f| format!("line {}, {}", f.line, f.words()))
            .collect::<Vec<_>>()
    };
    out.push_str(&page::lines(
        "New findings",
        &found(&c.findings.appeared),
        width,
    ));
    out.push_str(&page::lines(
        "Findings that are gone",
        &found(&c.findings.vanished),
        width,
    ));
    out
}

impl Comparison {
    pub fn phase_lines(&self) -> Vec<String> {
        let said = |s: &Option<String>| s.clone().unwrap_or_else(|| "nothing said".to_owned());
        let line = |p: &super::Phase| match p.change {
            super::Change::Changed => format!(
                "{}: {} before, {} after",
                p.label,
                said(&p.before),
                said(&p.after)
            ),
            super::Change::Added => format!("{} is new: {}", p.label, said(&p.after)),
            super::Change::Removed => format!("{} is gone: {}", p.label, said(&p.before)),
        };
        self.phases.iter().map(line).collect()
    }

    pub fn field_lines(&self) -> Vec<String> {
        let line = |f: &super::Field| match (&f.before, &f.after) {
            (Some(a), Some(b)) => format!("{}: {a} before, {b} after", f.field),
            (None, Some(b)) => format!("{} is new: {b}", f.field),
            (Some(a), None) => format!("{} is gone: {a}", f.field),
            (None, None) => f.field.clone(),
        };
        self.fields.iter().map(line).collect()
    }

    pub fn step_lines(&self) -> Vec<String> {
        let line = |s: &super::OutlineStep| match (s.before, s.after) {
            (Some(n), _) => format!("gone, step {n} before: {}", s.step),
            (_, Some(n)) => format!("new, step {n}: {}", s.step),
            (None, None) => s.step.clone(),
        };
        self.steps.iter().map(line).collect()
    }
}
