//! The labels for the printer: a panel for each market with what is printed, and below it what the maker has to know.

use super::{Label, WHO_ANSWERS};
use crate::papers::page::Head;
use askama::Template;

#[derive(Template)]
#[template(path = "label/label.html")]
struct LabelPage<'a> {
    head: Head,
    label: &'a Label,
}

pub(super) fn html(label: &Label) -> String {
    LabelPage {
        head: label.head(),
        label,
    }
    .render()
    .expect("a template that compiled writes into memory")
}
