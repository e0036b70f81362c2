//! Do the names that makers type find their entry at the first try?

use phasewright::kb::{Kb, Lookup};

/// The rows "written => expected" of a list; "#" starts a comment.
fn rows(text: &'static str) -> Vec<(&'static str, &'static str)> {
    text.lines()
        .filter(|l| !l.trim().is_empty() && !l.starts_with('#'))
        .map(|l| {
            l.split_once("=>")
                .map(|(a, b)| (a.trim(), b.trim()))
                .unwrap_or_else(|| panic!("no => in {l}"))
        })
        .collect()
}

/// The id that a name finds, or what stood in the way.
fn found(kb: &Kb, written: &str) -> Result<String, String> {
    match kb.lookup(written) {
        Lookup::Known { id, .. } => Ok(kb.get(id).id.to_string()),
        Lookup::Ambiguous(ids) => Err(format!(
            "means any of {}",
            ids.iter()
                .map(|id| kb.get(*id).id.as_str())
                .collect::<Vec<_>>()
                .join(", ")
        )),
        Lookup::Unknown => Err("unknown".into()),
    }
}

/// Lists the rows that miss, and how many there are in all.
fn misses(text: &'static str) -> (Vec<String>, usize) {
    let kb = Kb::bundled();
    let all = rows(text);
    let mut missed = Vec::new();
    for (written, expected) in &all {
        match found(&kb, written) {
            Ok(id) if expected.split('|').any(|e| e.trim() == id) => {}
            Err(why) if why == "unknown" && expected.starts_with("unknown:") => {}
            Ok(id) => missed.push(format!("{written}: found {id}, expected {expected}")),
            Err(why) => missed.push(format!("{written}: {why}, expected {expected}")),
        }
    }
    (missed, all.len())
}

#[test]
fn ordinary_lines_resolve_at_the_first_try() {
    let (missed, all) = misses(include_str!("../kb/ordinary_lines.txt"));
    assert!(all >= 200, "only {all} lines");
    let share = 100.0 * (all - missed.len()) as f64 / all as f64;
    println!(
        "{} of {all} lines resolve: {share:.1} %",
        all - missed.len()
    );
    for m in &missed {
        println!("  {m}");
    }
    assert!(
        share >= 95.0,
        "{share:.1} % resolve, fewer than 95 %:\n{}",
        missed.join("\n")
    );
}

/// Each row of the formulas resolves as listed, or is listed as unknown with its reason.
#[test]
fn rows_of_published_formulas_resolve() {
    let text = include_str!("../kb/published_formulas.txt");
    let (missed, all) = misses(text);
    assert!(all >= 90, "only {all} rows");
    assert!(missed.is_empty(), "{}", missed.join("\n"));
    for (written, expected) in rows(text) {
        if let Some(why) = expected.strip_prefix("unknown:") {
            assert!(
                why.trim().len() > 10,
                "{written} is listed as unknown without a reason"
            );
        }
    }
}
