//! Lines that were read before, by kind of file, section and text. A line's node holds no place in the file, so it serves
//! wherever the line stands.

use super::line;
use super::tree::{FileKind, Line, SectionKind};
use std::borrow::Borrow;
use std::collections::{HashMap, HashSet};
use std::hash::{Hash, Hasher};
use std::sync::Arc;

/// Lines kept at the most; then the cache begins again.
const MAX_LINES: usize = 4_000;

#[derive(Default)]
pub struct Cache {
    lines: HashMap<(FileKind, SectionKind), HashSet<ByText>>,
    kept: usize,
}

impl Cache {
    pub fn new() -> Self {
        Cache::default()
    }

    /// The line `text` as it reads in section `before`.
    pub fn line(&mut self, kind: FileKind, before: SectionKind, text: &str) -> Arc<Line> {
        if self.kept >= MAX_LINES {
            self.lines.clear();
            self.kept = 0;
        }
        let set = self.lines.entry((kind, before)).or_default();
        if let Some(found) = set.get(text) {
            return found.0.clone();
        }
        let line = Arc::new(line::read(kind, before, text));
        set.insert(ByText(line.clone()));
        self.kept += 1;
        line
    }
}

/// A line that is found by its text.
struct ByText(Arc<Line>);

impl Borrow<str> for ByText {
    fn borrow(&self) -> &str {
        &self.0.text
    }
}

impl Hash for ByText {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.0.text.as_str().hash(state);
    }
}

impl PartialEq for ByText {
    fn eq(&self, other: &Self) -> bool {
        self.0.text == other.0.text
    }
}

impl Eq for ByText {}
