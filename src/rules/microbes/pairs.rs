//! Rows of `pairs.toml` that a rule of its own reads: one message for each pair that is there.

use crate::rules::words;
use crate::rules::{Context, Sink, Subject};

/// Says the pairs that name this rule. The message stands on the first partner; the other is related.
pub(super) fn say(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    for met in ctx.pairs(sink.code()) {
        let (a, b) = (&f.rows[met.a], &f.rows[met.b]);
        let (message, why) = words::pair(&a.name.value, &b.name.value, &met.pair.why);
        sink.say(Subject::Row(met.a), a.line, a.name.span, message)
            .help(words::capital(&met.pair.instead))
            .why(why)
            .rests_on(met.pair)
            .related(b.line, b.name.span, "the other of the two");
    }
}
