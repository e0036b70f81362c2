//! What is wrong in the data, where, and in which words.

use std::fmt;
use std::path::PathBuf;

/// Something wrong in the data: where and what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KbError {
    pub file: PathBuf,
    /// From 1. 0 where no line is at fault.
    pub line: usize,
    pub message: String,
}

impl fmt::Display for KbError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (file, line) = (self.file.display(), self.line.max(1));
        write!(f, "{file}:{line}: {}", self.message)
    }
}

/// What the TOML reader says, for people: of a key or word that is not known the nearest that is.
pub(crate) fn in_words(message: &str) -> String {
    let mut named = message.split('`').skip(1).step_by(2);
    let found = named.next().unwrap_or_default();
    if message.starts_with("missing field") {
        return format!("the key \"{found}\" is missing; add it");
    }
    let (what, all) = if message.starts_with("unknown field") {
        ("no key here", "the keys are")
    } else if message.starts_with("unknown variant") {
        ("none of the words that may stand here", "the words are")
    } else {
        return message.replace('\n', " ");
    };
    let known: Vec<&str> = named.collect();
    match nearest(found, known.iter().copied()) {
        Some(near) => format!("\"{found}\" is {what}; did you mean \"{near}\"?"),
        None if known.len() > 12 => format!("\"{found}\" is {what}; take it out"),
        None => format!("\"{found}\" is {what}; {all} {}", known.join(", ")),
    }
}

/// The known word that was meant: at most two slips away.
pub(crate) fn nearest<'a>(word: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let near = known
        .filter(|k| k.len().abs_diff(word.len()) <= 2)
        .map(|k| (strsim::osa_distance(word, k), k))
        .filter(|(d, k)| *d <= 2 && *d < k.len().min(word.len()));
    near.min().map(|(_, k)| k)
}

/// A question to add to a message, where a known word is near.
pub(crate) fn did_you_mean<'a>(word: &str, known: impl Iterator<Item = &'a str>) -> String {
    nearest(word, known).map_or_else(String::new, |near| format!("; did you mean \"{near}\"?"))
}
