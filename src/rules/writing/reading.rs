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
            let mut message = in_our_voice(&e.message);
            if first_unreadable == Some(line) {
                message.push_str("; until then the sum is unknown");
            }
            sink.say(subject, line, e.span, message).fixes(fixes);
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

/// What the reading of a line says, as all rules say it: its sentences joined by semicolons, in lower case, without the last full stop.
fn in_our_voice(message: &str) -> String {
    let whole = if message.ends_with("q.s.") {
        message
    } else {
        message.trim_end_matches('.')
    };
    let mut out = String::new();
    let mut rest = whole;
    while let Some(at) = end_of_sentence(rest) {
        out.push_str(&lower(&rest[..at]));
        out.push_str("; ");
        rest = rest[at + 1..].trim_start();
    }
    out + &lower(rest)
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
