//! Collects completions, only those that go with what is typed.

use super::{Completion, CompletionKind};
use crate::kb::names::key;
use crate::text::{Place, Span};

/// Collects completions in the order in which they are shown.
pub struct List {
    pub place: Place,
    pub typed: String,
    /// What is typed is one of them already: nothing more need be typed.
    pub full: bool,
    pub out: Vec<Completion>,
}

/// What `fill` adds; nothing where one of it is typed in full.
pub fn listed(line: u32, span: Span, typed: &str, fill: &dyn Fn(&mut List)) -> Vec<Completion> {
    let mut list = List::new(line, span, typed);
    fill(&mut list);
    if list.full {
        return Vec::new();
    }
    list.out
}

impl List {
    pub fn new(line: u32, span: Span, typed: &str) -> List {
        List {
            place: Place { line, span },
            typed: key(typed),
            full: false,
            out: Vec::new(),
        }
    }

    /// Adds what begins, or holds a word that begins, with what is typed.
    pub fn add(
        &mut self,
        label: &str,
        kind: CompletionKind,
        detail: &str,
        insert: &str,
        snippet: Option<String>,
    ) -> Option<&mut Completion> {
        let k = key(label);
        let begins = k.starts_with(&self.typed) || k.split(' ').any(|w| w.starts_with(&self.typed));
        if !begins {
            return None;
        }
        self.push(&k, label, kind, detail, insert, snippet)
    }

    /// Adds something whatever is typed.
    pub fn offer(&mut self, label: &str, kind: CompletionKind, detail: &str, insert: &str) {
        self.push(&key(label), label, kind, detail, insert, None);
    }

    /// Adds what begins with what is typed.
    pub fn add_beginning(
        &mut self,
        label: &str,
        kind: CompletionKind,
        detail: &str,
        snippet: Option<String>,
    ) {
        let k = key(label);
        if k.starts_with(&self.typed) {
            self.push(&k, label, kind, detail, label, snippet);
        }
    }

    fn push(
        &mut self,
        key: &str,
        label: &str,
        kind: CompletionKind,
        detail: &str,
        insert: &str,
        snippet: Option<String>,
    ) -> Option<&mut Completion> {
        self.full |= key == self.typed && !key.is_empty();
        if self.out.iter().any(|c| c.label == label) {
            return None;
        }
        self.out.push(Completion {
            label: label.to_owned(),
            kind,
            aside: String::new(),
            brief: detail.to_owned(),
            detail: detail.to_owned(),
            replace: self.place,
            insert: insert.to_owned(),
            snippet,
            sort: format!("{:04}", self.out.len()),
            filter: String::new(),
            id: None,
        });
        self.out.last_mut()
    }
}
