//! Errors that the reading of a line left behind, said under their codes.

use crate::rules::{Context, Edit, Fix, Sink, Subject};
use crate::syntax::tree::ErrorCode;

pub(super) fn errors(ctx: &Context, sink: &mut Sink, code: ErrorCode) {
    for (n, at) in ctx.tree.lines.iter().enumerate() {
        let line = n as u32;
        for e in at.line.errors.iter().filter(|e| e.code == code) {
            let fixes = e.fixes.iter().map(|f| Fix::new(f.title.clone(), vec![Edit::replace(line, f.span, f.text.clone())]));
            sink.say(Subject::Line(line), line, e.span, e.message.clone()).fixes(fixes);
        }
    }
}
