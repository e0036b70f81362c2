//! Errors that the reading of a line left behind, said under their codes.

use crate::chem::units::Unit;
use crate::model::Total;
use crate::rules::{Context, Edit, Fix, Sink, Subject};
use crate::syntax::tree::{Amount, ErrorCode};

pub(super) fn errors(ctx: &Context, sink: &mut Sink, code: ErrorCode) {
    let first_unreadable = match ctx.formula.total {
        Total::Unknown { line } => Some(line),
        Total::Known(_) => None,
    };
    let weighed = weighed(ctx);
    for &line in ctx.misread() {
        for e in ctx.tree.lines[line as usize]
            .line
            .errors
            .iter()
            .filter(|e| e.code == code)
        {
            let subject = ctx
                .formula
                .row_on(line)
                .map_or(Subject::Line(line), Subject::Row);
            // A percentage would not go with rows that are weighed.
            let fits =
                |text: &str| code != ErrorCode::UnknownUnit || !text.contains('%') || !weighed;
            let fixes = e.fixes.iter().filter(|f| fits(&f.text)).map(|f| Fix {
                title: f.title.clone(),
                safe: ctx.tree.fix_keeps_meaning(line as usize, f),
                edits: vec![Edit::replace(line, f.span, f.text.clone())],
            });
            let (message, mut help) = fact_and_help(&e.message);
            if first_unreadable == Some(line) {
                let before = if help.is_empty() {
                    "Mend the line: u"
                } else {
                    ". U"
                };
                help.push_str(before);
                help.push_str("ntil then the sum is unknown");
            }
            sink.say(subject, line, e.span, message)
                .help(help)
                .fixes(fixes);
        }
    }
}

/// Some row is by weight or volume.
fn weighed(ctx: &Context) -> bool {
    ctx.formula
        .rows
        .iter()
        .any(|r| matches!(r.amount.value, Amount::Measured(m) if m.unit != Unit::Percent))
}

/// What the reading of a line says, as all rules say it: its first sentence is the fact, the others say what to do.
fn fact_and_help(message: &str) -> (String, String) {
    let whole = if message.ends_with("q.s.") {
        message
    } else {
        message.trim_end_matches('.')
    };
    match end_of_sentence(whole) {
        Some(at) => (lower(&whole[..at]), whole[at + 1..].trim_start().to_owned()),
        None => (lower(whole), String::new()),
    }
}

/// The full stop between two sentences: a blank and a capital follow, and it is none of "q.s.".
fn end_of_sentence(text: &str) -> Option<usize> {
    text.match_indices(". ").map(|(at, _)| at).find(|at| {
        text[at + 2..].starts_with(char::is_uppercase)
            && !text[..*at].ends_with("q.s")
            && text[..*at].matches('"').count().is_multiple_of(2)
    })
}

fn lower(sentence: &str) -> String {
    let mut chars = sentence.chars();
    let first = chars
        .next()
        .map(|c| c.to_lowercase().to_string())
        .unwrap_or_default();
    let rest = chars.as_str();
    // "CAS", "A 5": what begins with two capitals keeps them.
    if rest.starts_with(char::is_uppercase) {
        sentence.to_owned()
    } else {
        first + rest
    }
}
