//! A batch whose formula cannot be read. The rule `unknown-formula` says it, for formulas and for records.

use crate::rules::{Context, Sink, Subject};

pub fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for (record, why) in w.without_plan() {
        let Some(name) = &record.formula else {
            continue;
        };
        let message = format!("{} cannot be read: {why}", name.value);
        sink.say(Subject::Line(record.line), record.line, name.span, message)
            .help("Correct the name of the file");
    }
}
