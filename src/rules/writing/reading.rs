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
            let mut help = e.help.clone();
            if first_unreadable == Some(line) {
                let stop = if help.ends_with('.') { "" } else { "." };
                help.push_str(stop);
                help.push_str(" Until then the sum is unknown");
            }
            sink.say(subject, line, e.span, e.message.clone())
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
