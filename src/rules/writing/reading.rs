//! Errors that the reading of a line left behind, said under their codes.

use crate::model::Total;
use crate::rules::{Context, Edit, Fix, Sink, Subject};
use crate::syntax::tree::ErrorCode;

pub(super) fn errors(ctx: &Context, sink: &mut Sink, code: ErrorCode) {
    let first_unreadable = match ctx.formula.total {
        Total::Unknown { line } => Some(line),
        Total::Known(_) => None,
    };
    for (n, at) in ctx.tree.lines.iter().enumerate() {
        let line = n as u32;
        for e in at.line.errors.iter().filter(|e| e.code == code) {
            let subject = ctx.formula.rows.iter().position(|r| r.line == line).map_or(Subject::Line(line), Subject::Row);
            let fixes = e.fixes.iter().map(|f| Fix::new(f.title.clone(), vec![Edit::replace(line, f.span, f.text.clone())]));
            let mut message = in_our_voice(&e.message);
            if first_unreadable == Some(line) {
                message.push_str("; until then the sum is unknown");
            }
            sink.say(subject, line, e.span, message).fixes(fixes);
        }
    }
}

/// What the reading of a line says, as all rules say it: begun in lower case, without the last full stop.
fn in_our_voice(message: &str) -> String {
    let mut chars = message.trim_end_matches('.').chars();
    let first = chars.next().map(|c| c.to_lowercase().to_string()).unwrap_or_default();
    let rest = chars.as_str();
    // "CAS", "A 5": what begins with two capitals keeps them.
    if rest.starts_with(char::is_uppercase) { message.trim_end_matches('.').to_owned() } else { first + rest }
}
