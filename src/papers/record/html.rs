//! The record of a batch for the printer: the batch's code and the number of the page on every page, room for what is written by hand.

use super::BatchRecord;
use crate::papers::page::{Head, css_text};
use askama::Template;

#[derive(Template)]
#[template(path = "record/record.html")]
struct RecordPage<'a> {
    head: Head,
    r: &'a BatchRecord,
    /// As text of the style.
    code: String,
}

impl RecordPage<'_> {
    fn look(&self) -> String {
        self.seen(&["look", "colour", "color", "white", "clear"])
    }
    fn smell(&self) -> String {
        self.seen(&["smell", "odour", "odor"])
    }
    fn thickness(&self) -> String {
        self.seen(&["visc"])
    }

    /// What was seen of look, smell and thickness, where a word for it stands in the log or among the observations.
    fn seen(&self, words: &[&str]) -> String {
        let all = self.r.log.iter().chain(&self.r.observations);
        let said = all.flat_map(|e| e.words.split(',')).find(|part| {
            let part = part.trim().to_lowercase();
            words.iter().any(|w| part.starts_with(w))
        });
        said.map_or(String::new(), |s| s.trim().to_owned())
    }
}

pub(super) fn html(r: &BatchRecord) -> String {
    RecordPage {
        head: r.head(),
        r,
        code: css_text(&r.code),
    }
    .render()
    .expect("a template that compiled writes into memory")
}
