//! The cost sheet for the printer.

use super::Cost;
use super::text::{SumLine, lead, lines, money_title, said, sums};
use crate::papers::page::Head;
use askama::Template;

#[derive(Template)]
#[template(path = "cost/cost.html")]
struct CostPage {
    head: Head,
    lead: String,
    money: String,
    lines: Vec<[String; 6]>,
    sums: Vec<SumLine>,
    said: Vec<(&'static str, Vec<String>)>,
}

pub(super) fn html(cost: &Cost) -> String {
    let page = CostPage {
        head: cost.head(),
        lead: lead(cost),
        money: money_title(cost),
        lines: lines(cost),
        sums: sums(cost),
        said: said(cost),
    };
    page.render()
        .expect("a template that compiled writes into memory")
}
