//! A row of a record that names something not known. The rule `unknown-ingredient` says it, for formulas and for records.

use crate::model::StockItem;
use crate::model::record::Actual;
use crate::rules::{Context, Severity, Sink, Subject};
use crate::rules::{Edit, Fix};
pub fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for (_, row) in w.rows() {
        let StockItem::Named(_) = row.item else {
            continue;
        };
        if matches!(row.actual, Actual::Pieces(_))
            || row
                .lot
                .as_ref()
                .is_some_and(|l| w.shop.lot(&l.value).is_some_and(|lot| lot.item == row.item))
        {
            continue;
        }
        let near = ctx
            .kb
            .nearest(&row.name.value)
            .into_iter()
            .next()
            .map(|(_, n)| n);
        let message = format!("{} is not known", row.name.value);
        let help = near.as_ref().map_or(
            "Correct the name, or write it into `ingredients/`".to_owned(),
            |n| format!("Did you mean {n}?"),
        );
        let said = sink
            .say(Subject::Line(row.line), row.line, row.name.span, message)
            .help(help)
            .level(Severity::Warning);
        if let Some(near) = near {
            said.fix(Fix::new(
                format!("Change to {near}"),
                vec![Edit::replace(row.line, row.name.span, near)],
            ));
        }
    }
}
