//! The guide (`docs/guide`) is true: its formulas are judged, its commands run, its links lead somewhere.

use crate::support::cli::Folder;
use std::collections::HashSet;
use std::path::{Path, PathBuf};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A fenced block: the words behind its backticks, and its text.
struct Block {
    info: String,
    text: String,
}

fn blocks(page: &str) -> Vec<Block> {
    let mut out: Vec<Block> = Vec::new();
    let mut open = false;
    for line in page.lines() {
        match line.trim_start().strip_prefix("```") {
            Some(_) if open => open = false,
            Some(info) => {
                open = true;
                out.push(Block {
                    info: info.to_owned(),
                    text: String::new(),
                });
            }
            None if open => {
                let block = out.last_mut().expect("a block is open");
                block.text.push_str(line);
                block.text.push('\n');
            }
            None => {}
        }
    }
    out
}

fn pages(folder: &str) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = std::fs::read_dir(root().join(folder))
        .expect("a folder")
        .flatten()
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|e| e == "md"))
        .collect();
    found.sort();
    found
}

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// The words of a line of shell, with quotes taken off. The guide uses no more of the shell than that.
fn words(line: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ' ' if !quoted => out.push(String::new()),
            c => out.last_mut().expect("a word").push(c),
        }
    }
    out.retain(|w| !w.is_empty());
    out
}

/// Each page in a folder of its own: its files are written there, its formulas are without fault (or with some, where the page
/// says so), and its commands run in their order.
#[test]
fn every_formula_is_judged_and_every_command_runs() {
    let (mut files, mut commands) = (0, 0);
    for path in pages("docs/guide") {
        let name = path
            .file_name()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        let f = Folder::new();
        let all = blocks(&text(&path));
        let mut judged = Vec::new();
        for block in &all {
            let parts: Vec<&str> = block.info.split(',').collect();
            if let (true, Some(file)) = (
                matches!(parts[0], "formula" | "batch" | "stock" | "toml"),
                parts.last().filter(|p| p.contains('.')),
            ) {
                f.write(file, &block.text);
                judged.push((*file, parts.contains(&"bad")));
                files += 1;
            } else {
                assert!(
                    matches!(parts[0], "sh" | "yaml" | "text" | "vim"),
                    "{name}: what is `{}`?",
                    block.info
                );
            }
        }
        for (file, bad) in &judged {
            let a = f.run(&["check", file, "--deny", "warning"]);
            assert_eq!(a.status, i32::from(*bad), "{name}: {file}: {a:?}");
        }
        // What is meant to be faulty would disturb the commands.
        for (file, _) in judged.iter().filter(|(_, bad)| *bad) {
            std::fs::remove_file(f.path().join(file)).expect("it was written");
        }
        for line in all
            .iter()
            .filter(|b| b.info == "sh")
            .flat_map(|b| b.text.lines())
        {
            let said = words(line);
            assert_eq!(said[0], "phasewright", "{name}: {line}");
            let args: Vec<&str> = said[1..].iter().map(String::as_str).collect();
            // The settings that the page shows are there already.
            if args == ["init"] && f.path().join("phasewright.toml").exists() {
                continue;
            }
            let a = f.run(&args);
            assert!(a.status < 2, "{name}: {line}: {a:?}");
            commands += 1;
        }
    }
    assert!(
        files >= 10 && commands >= 25,
        "{files} files, {commands} commands"
    );
}

/// The pages that `mdbook` is told of are there, and all pages are told of.
#[test]
fn the_summary_names_every_page() {
    let summary = text(&root().join("docs/SUMMARY.md"));
    let named: HashSet<&str> = summary
        .split("](")
        .skip(1)
        .filter_map(|p| p.split(')').next())
        .collect();
    for page in &named {
        assert!(root().join("docs").join(page).is_file(), "{page}");
    }
    for folder in ["docs/guide", "docs/rules", "docs"] {
        for page in pages(folder) {
            let short = page.strip_prefix(root().join("docs")).expect("in docs");
            let short = short.to_string_lossy().replace('\\', "/");
            assert!(
                named.contains(short.as_str()) || short == "SUMMARY.md",
                "{short} is not in SUMMARY.md"
            );
        }
    }
}

/// What a heading is called in a link.
fn anchor(heading: &str) -> String {
    let plain = heading.trim_matches(['#', ' ']).to_lowercase();
    plain
        .chars()
        .filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_'))
        .map(|c| if c == ' ' { '-' } else { c })
        .collect()
}

/// Links of a page outside code, without those to other machines.
fn links(page: &str) -> Vec<String> {
    let mut out = Vec::new();
    let mut code = false;
    for line in page.lines() {
        if line.trim_start().starts_with("```") {
            code = !code;
        }
        if code {
            continue;
        }
        // What stands in single backticks is code too.
        let plain: String = line.split('`').step_by(2).collect();
        out.extend(
            plain
                .split("](")
                .skip(1)
                .filter_map(|p| p.split(')').next())
                .filter(|l| !l.contains("://") && !l.is_empty())
                .map(str::to_owned),
        );
    }
    out
}

#[test]
fn every_link_leads_somewhere() {
    let mut all: Vec<PathBuf> = [
        "docs",
        "docs/guide",
        "docs/rules",
        "docs/schemas",
        "grammar",
        "kb",
    ]
    .iter()
    .flat_map(|f| pages(f))
    .collect();
    all.extend(["README.md", "DEVELOPERS.md", "CHANGELOG.md"].map(|p| root().join(p)));
    for editor in std::fs::read_dir(root().join("editors"))
        .expect("editors")
        .flatten()
    {
        all.extend(Some(editor.path().join("README.md")).filter(|p| p.is_file()));
    }
    let (mut dead, mut count) = (Vec::new(), 0);
    for page in all {
        let folder = page.parent().expect("a folder");
        let own = text(&page);
        for link in links(&own) {
            count += 1;
            let (file, part) = link.split_once('#').unwrap_or((&link, ""));
            let target = if file.is_empty() {
                page.clone()
            } else {
                folder.join(file)
            };
            let there = target.exists();
            let found = part.is_empty()
                || there
                    && text(&target)
                        .lines()
                        .any(|l| l.starts_with('#') && anchor(l) == part);
            if !there || !found {
                dead.push(format!(
                    "{}: {link}",
                    page.strip_prefix(root()).unwrap_or(&page).display()
                ));
            }
        }
    }
    assert!(dead.is_empty(), "{}", dead.join("\n"));
    assert!(count > 150, "{count} links");
}
