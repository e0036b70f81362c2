//! The page of a rule: the `//!` lines of its own file. `explain`, the docs and the tests all read it from here.

use super::Rule;
use crate::syntax::FileKind;

/// The page as Markdown, without the marks of the comment.
pub fn markdown(rule: &Rule) -> String {
    let mut out = String::new();
    for line in rule.file.lines() {
        let Some(rest) = line.strip_prefix("//!") else {
            break;
        };
        out.push_str(rest.strip_prefix(' ').unwrap_or(rest));
        out.push('\n');
    }
    out
}

/// An example of a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Example {
    /// "bad", "good" or "fixed".
    pub kind: String,
    /// What kind of file it is.
    pub file: FileKind,
    /// The text without the lines that point.
    pub text: String,
    pub expected: Vec<Expected>,
}

/// What must be said: line of the text (from 0), bytes in it, words that the message holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Expected {
    pub line: u32,
    pub start: u32,
    pub end: u32,
    pub words: String,
}

/// The examples of a page: fences opened by three backticks and `formula,bad` and so on.
/// Under a line, `^^^ words` points at what is found there.
pub fn examples(page: &str) -> Vec<Example> {
    let mut out = Vec::new();
    let mut lines = page.lines();
    while let Some(line) = lines.next() {
        let found = FileKind::ALL.into_iter().find_map(|file| {
            let rest = line.strip_prefix("```")?.strip_prefix(file.extension())?;
            Some((file, rest.strip_prefix(',')?))
        });
        let Some((file, kind)) = found else {
            continue;
        };
        let body: Vec<&str> = lines
            .by_ref()
            .take_while(|l| !l.starts_with("```"))
            .collect();
        out.push(Example {
            file,
            ..example(kind.trim(), body)
        });
    }
    out
}

/// The files that lie next to the examples of a page: fences opened by three backticks and only `stock` or `formula`.
pub fn companions(page: &str) -> Vec<(FileKind, String)> {
    let mut out = Vec::new();
    let mut lines = page.lines();
    while let Some(line) = lines.next() {
        let kind = FileKind::ALL
            .into_iter()
            .find(|k| line.strip_prefix("```") == Some(k.extension()));
        if let Some(kind) = kind {
            let body = lines.by_ref().take_while(|l| !l.starts_with("```"));
            let text: Vec<&str> = body.collect();
            out.push((kind, text.join("\n") + "\n"));
        }
    }
    out
}

/// A text with pointing lines in it.
pub fn example<'a>(kind: &str, lines: impl IntoIterator<Item = &'a str>) -> Example {
    let mut one = Example {
        kind: kind.to_owned(),
        file: FileKind::Formula,
        text: String::new(),
        expected: Vec::new(),
    };
    let mut count = 0u32;
    for line in lines {
        match pointed(line) {
            Some((start, end, words)) if count > 0 => one.expected.push(Expected {
                line: count - 1,
                start,
                end,
                words,
            }),
            _ => {
                one.text.push_str(line);
                one.text.push('\n');
                count += 1;
            }
        }
    }
    one
}

/// `      ^^^^ words`: the bytes pointed at in the line above, and the words.
fn pointed(line: &str) -> Option<(u32, u32, String)> {
    let trimmed = line.trim_start();
    let marks = trimmed.len() - trimmed.trim_start_matches('^').len();
    let start = line.len() - trimmed.len();
    (marks > 0).then(|| {
        (
            start as u32,
            (start + marks) as u32,
            trimmed[marks..].trim().to_owned(),
        )
    })
}
