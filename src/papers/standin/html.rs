//! Stand-ins for the printer.

use super::StandIns;
use super::text::CAUTION;
use crate::papers::page::Head;
use askama::Template;

#[derive(Template)]
#[template(path = "standin/standin.html")]
struct StandInsPage<'a> {
    head: Head,
    s: &'a StandIns,
    caution: &'static str,
}

pub(super) fn html(s: &StandIns) -> String {
    StandInsPage {
        head: s.head(),
        s,
        caution: CAUTION,
    }
    .render()
    .expect("a template that compiled writes into memory")
}
