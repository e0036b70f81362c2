//! The comparison for the printer.

use super::Comparison;
use crate::papers::page::Head;
use crate::rules::words;
use askama::Template;

#[derive(Template)]
#[template(path = "compare/compare.html")]
struct ComparePage<'a> {
    head: Head,
    c: &'a Comparison,
}

pub(super) fn html(c: &Comparison) -> String {
    ComparePage { head: c.head(), c }
        .render()
        .expect("a template that compiled writes into memory")
}

fn number(n: &Option<rust_decimal::Decimal>) -> String {
    n.map_or(String::new(), |n| words::number(n, 4))
}
