//! Runs every example of docs/language.md: one marked `bad` gives just the errors written under its lines, any other none.

use phasewright::syntax::{FileKind, parse};

struct Example {
    /// Line of the page at which it begins.
    at: usize,
    kind: FileKind,
    bad: bool,
    text: String,
    /// Line of the text, the words pointed at, words of the message.
    wanted: Vec<(usize, String, String)>,
}

fn examples(page: &str) -> Vec<Example> {
    let mut out: Vec<Example> = Vec::new();
    let mut open = false;
    for (n, line) in page.lines().enumerate() {
        if let Some(info) = line.strip_prefix("```") {
            if open {
                open = false;
                continue;
            }
            let (word, mark) = info.split_once(',').unwrap_or((info, ""));
            let kind = FileKind::ALL
                .into_iter()
                .find(|k| k.extension() == word)
                .unwrap_or_else(|| panic!("line {}: what is `{info}`?", n + 1));
            assert!(
                matches!(mark, "" | "bad"),
                "line {}: what is `{mark}`?",
                n + 1
            );
            out.push(Example {
                at: n + 1,
                kind,
                bad: mark == "bad",
                text: String::new(),
                wanted: Vec::new(),
            });
            open = true;
        } else if open && let Some(example) = out.last_mut() {
            let marked = line.trim_start();
            if marked.starts_with('^') {
                let start = line.chars().take_while(|c| *c == ' ').count();
                let count = marked.chars().take_while(|c| *c == '^').count();
                let above = example.text.lines().count() - 1;
                let words = example
                    .text
                    .lines()
                    .last()
                    .expect("a line above the mark")
                    .chars()
                    .skip(start)
                    .take(count)
                    .collect();
                let message = marked.trim_start_matches('^').trim().to_string();
                assert!(
                    !message.is_empty(),
                    "line {}: the message is missing",
                    n + 1
                );
                example.wanted.push((above, words, message));
            } else {
                example.text.push_str(line);
                example.text.push('\n');
            }
        }
    }
    assert!(!open, "an example is not closed");
    out
}

#[test]
fn every_example_of_the_language_reference_says_what_it_says() {
    let page = include_str!("../../docs/language.md");
    let examples = examples(page);
    assert!(examples.len() > 30, "{} examples", examples.len());
    let mut faults = Vec::new();
    for example in &examples {
        let tree = parse(example.kind, &example.text);
        let mut found: Vec<(usize, String, String)> = tree
            .errors()
            .map(|(n, e)| {
                (
                    n as usize,
                    tree.lines[n as usize].line.text_of(e.span).to_string(),
                    e.whole(),
                )
            })
            .collect();
        for (line, words, message) in &example.wanted {
            match found
                .iter()
                .position(|(l, w, m)| l == line && w == words && m.contains(message.as_str()))
            {
                Some(at) => drop(found.remove(at)),
                None => faults.push(format!(
                    "example at line {}: no error at `{words}` with `{message}`",
                    example.at
                )),
            }
        }
        for (line, words, message) in found {
            faults.push(format!(
                "example at line {}: line {line} `{words}`: {message}",
                example.at
            ));
        }
        if example.bad == example.wanted.is_empty() {
            faults.push(format!("example at line {}: marked wrongly", example.at));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// The page names every keyword, field and verb that the language has.
#[test]
fn the_language_reference_leaves_nothing_out() {
    use phasewright::syntax::{VERBS, field_written, fields, wording};
    let page = include_str!("../../docs/language.md");
    for kind in FileKind::ALL {
        for (heading, section) in kind.headings() {
            assert!(page.contains(&format!("`{heading}`")), "{heading}");
            for key in fields(*section) {
                assert!(page.contains(&format!("`{}`", field_written(key))), "{key}");
            }
        }
    }
    for (_, verb) in VERBS {
        assert!(page.contains(wording(*verb)), "{}", wording(*verb));
    }
}
