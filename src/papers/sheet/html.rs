//! The weigh sheet for the printer: large figures, boxes to tick, room to write.

use super::Sheet;
use crate::papers::page::Head;
use askama::Template;

#[derive(Template)]
#[template(path = "sheet/sheet.html")]
struct SheetPage<'a> {
    head: Head,
    sheet: &'a Sheet,
}

pub(super) fn html(sheet: &Sheet) -> String {
    SheetPage {
        head: sheet.head(),
        sheet,
    }
    .render()
    .expect("a template that compiled writes into memory")
}
