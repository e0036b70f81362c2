use super::super::handlers::Server;
use super::super::protocol::{About, At, TextEdit, Within};
use crate::ide::Snapshot;
use crate::rules::Edit;
use std::ops::RangeInclusive;
use tower_lsp::jsonrpc::Result;

pub async fn document(server: &Server, p: About) -> Result<Option<Vec<TextEdit>>> {
    super::of(server, &p.text_document.uri, |s, to, _| Some(to.edits(&edits(s)?))).await
}

pub async fn range(server: &Server, p: Within) -> Result<Option<Vec<TextEdit>>> {
    super::of(server, &p.text_document.uri, |s, to, _| {
        let (first, (last, byte)) = (to.place(p.range.start).0, to.place(p.range.end));
        // A selection of whole lines ends at the beginning of the next.
        let last = if byte == 0 && last > first { last - 1 } else { last };
        Some(to.edits(&within(edits(s)?, first..=last)))
    })
    .await
}

/// After a line break: the line that was left.
pub async fn on_type(server: &Server, p: At) -> Result<Option<Vec<TextEdit>>> {
    super::of(server, &p.text_document.uri, |s, to, _| {
        let left = to.place(p.position).0.checked_sub(1)?;
        Some(to.edits(&within(edits(s)?, left..=left)))
    })
    .await
}

fn within(edits: Vec<Edit>, lines: RangeInclusive<u32>) -> Vec<Edit> {
    edits.into_iter().filter(|e| e.start.0 == e.end.0 && lines.contains(&e.start.0)).collect()
}

fn edits(s: &Snapshot) -> Option<Vec<Edit>> {
    let old: Vec<&str> = s.tree.lines.iter().map(|at| at.line.text.as_str()).collect();
    let formatted = formatted(s)?;
    let new: Vec<&str> = formatted.split('\n').collect();
    Some(difference(&old, &new))
}

fn formatted(_: &Snapshot) -> Option<String> {
    None
}

/// The edits from old lines to new ones, as small as they can be told simply: the formatter keeps every line that holds anything, so these
/// are paired off, and the blank ones between them compared.
fn difference(old: &[&str], new: &[&str]) -> Vec<Edit> {
    let held = |lines: &[&str]| -> Vec<usize> { lines.iter().enumerate().filter(|(_, l)| !l.trim().is_empty()).map(|(n, _)| n).collect() };
    let (a, b) = (held(old), held(new));
    let end = (old.len() as u32, u32::MAX);
    if a.len() != b.len() || a.is_empty() {
        return if old == new { Vec::new() } else { vec![Edit { start: (0, 0), end, text: new.join("\n") }] };
    }
    let mut out = Vec::new();
    let (mut old_at, mut new_at) = (0, 0);
    for (&o, &n) in a.iter().zip(&b) {
        if old[old_at..o] != new[new_at..n] {
            let text = new[new_at..n].iter().map(|l| format!("{l}\n")).collect();
            out.push(Edit { start: (old_at as u32, 0), end: (o as u32, 0), text });
        }
        if old[o] != new[n] {
            out.push(Edit { start: (o as u32, 0), end: (o as u32, old[o].len() as u32), text: new[n].to_owned() });
        }
        (old_at, new_at) = (o + 1, n + 1);
    }
    if old[old_at..] != new[new_at..] {
        let last = old_at - 1;
        let text = new[new_at..].iter().map(|l| format!("\n{l}")).collect();
        out.push(Edit { start: (last as u32, old[last].len() as u32), end, text });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn apply(old: &str, edits: &[Edit]) -> String {
        let lines: Vec<&str> = old.split('\n').collect();
        let offset = |(line, byte): (u32, u32)| {
            let Some(text) = lines.get(line as usize) else { return old.len() };
            lines[..line as usize].iter().map(|l| l.len() + 1).sum::<usize>() + text.len().min(byte as usize)
        };
        let mut out = old.to_owned();
        for e in edits.iter().rev() {
            out.replace_range(offset(e.start)..offset(e.end), &e.text);
        }
        out
    }

    #[test]
    fn the_edits_make_the_new_text() {
        for (old, new, count) in [
            ("a\nb\n", "a\nb\n", 0),
            ("a\n b\nc\n", "a\n  b\nc\n", 1),
            ("a\nb", "a\n\nb\n", 2),
            ("\n\na\n   \nb\n\n\n", "a\n\nb\n", 3),
            ("", "a\n", 1),
            ("a\nb\n", "a\n", 1),
            ("   \n", "", 1),
        ] {
            let (o, n): (Vec<&str>, Vec<&str>) = (old.split('\n').collect(), new.split('\n').collect());
            let edits = difference(&o, &n);
            assert_eq!(apply(old, &edits), new, "{old:?}");
            assert_eq!(edits.len(), count, "{old:?}: {edits:?}");
        }
    }
}
