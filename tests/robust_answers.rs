//! Whatever one slip breaks, an editor that points at another line is still answered: it has its hover and its place in the outline.

use phasewright::ide::Snapshot;
use phasewright::ide::hover::hover;
use phasewright::ide::symbols::{Symbol, symbols};
use phasewright::kb::Kb;
use phasewright::model::Settings;
use phasewright::model::library::Disk;
use phasewright::syntax::{FileKind, parse};
use std::collections::HashMap;
use std::path::{Path, PathBuf};

fn examples() -> Vec<(PathBuf, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let files = std::fs::read_dir(folder).expect("examples are there").map(|e| e.expect("listed").path());
    files
        .filter(|p| p.extension().is_some_and(|e| e == "formula"))
        .map(|p| (p.clone(), std::fs::read_to_string(p).expect("listed")))
        .collect()
}

fn look(path: &Path, text: &str) -> Snapshot {
    Snapshot::new(path, FileKind::Formula, parse(FileKind::Formula, text), &Kb::bundled(), &Settings::default(), &Disk)
}

/// What can be asked about each line, in the words of the line: whether its first word has a hover, and how often the outline lists it.
fn answers<'t>(path: &Path, text: &'t str) -> HashMap<&'t str, (bool, usize)> {
    fn count(all: &[Symbol], listed: &mut [usize]) {
        for s in all {
            listed[s.select.line as usize] += 1;
            count(&s.children, listed);
        }
    }
    let s = look(path, text);
    let mut listed = vec![0; text.lines().count() + 1];
    count(&symbols(&s), &mut listed);
    let mut out = HashMap::new();
    for (n, line) in text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty()) {
        let start = line.len() - line.trim_start().len();
        let answered = hover(&s, n as u32, start as u32).is_some();
        // A line that stands twice is answered as well as the worse of the two.
        let known = out.entry(line).or_insert((answered, listed[n]));
        *known = (known.0 && answered, known.1.min(listed[n]));
    }
    out
}

#[test]
fn other_lines_are_answered_whichever_is_missing_or_doubled() {
    let mut lost = Vec::new();
    for (path, text) in examples() {
        let before = answers(&path, &text);
        assert!(before.values().filter(|(hovered, listed)| *hovered && *listed > 0).count() > 8, "{}", path.display());
        let lines: Vec<&str> = text.lines().collect();
        for n in (0..lines.len()).filter(|n| !lines[*n].trim().is_empty()) {
            let mut gone = lines.clone();
            gone.remove(n);
            let mut twice = lines.clone();
            twice.insert(n, lines[n]);
            for (what, changed) in [("without", gone.join("\n")), ("twice", twice.join("\n"))] {
                let after = answers(&path, &changed);
                for line in lines.iter().filter(|l| **l != lines[n] && !l.trim().is_empty()) {
                    let (hovered, listed) = before[line];
                    let (hovers, lists) = after[line];
                    if hovered && !hovers || listed > lists {
                        lost.push(format!("{} {what} \"{}\": \"{line}\" {hovers} {lists}", path.display(), lines[n]));
                    }
                }
            }
        }
    }
    assert!(lost.is_empty(), "{} lost\n{}", lost.len(), lost.join("\n"));
}

#[test]
fn lines_before_the_end_of_a_prefix_are_answered() {
    for (path, text) in examples() {
        let before = answers(&path, &text);
        for at in (0..text.len()).step_by(11).filter(|at| text.is_char_boundary(*at)) {
            let prefix = &text[..at];
            let after = answers(&path, prefix);
            let whole: Vec<&str> = prefix.lines().collect();
            for line in whole.iter().take(whole.len().saturating_sub(1)).filter(|l| !l.trim().is_empty()) {
                let ((hovered, listed), (hovers, lists)) = (before[line], after[line]);
                assert!((!hovered || hovers) && listed <= lists, "{} up to byte {at}: \"{line}\"", path.display());
            }
        }
    }
}
