//! # No pH is aimed at
//!
//! Something in the product cares about pH and the file names none.
//!
//! ## Why
//! Whether the preservative works, the gel thickens or the active lasts depends on it. Water-free products and water-in-oil creams are not asked.
//!
//! ## What to do
//! Write `pH: 5.0 to 5.5` under the formula, or let an acid or base bring it there: `lactic acid 10 %  q.s. to pH 5.2, about 1 %`.
//!
//! ```formula,bad
//! formula "Hand gel"
//!          ^^^^^^^^ pH
//!   product: hand cream, leave-on
//!   type: gel
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   sodium benzoate                          0.5 %
//! ```
//!
//! ```formula,fixed
//! formula "Hand gel"
//!   pH: 4.5 to 5
//!   product: hand cream, leave-on
//!   type: gel
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   sodium benzoate                          0.5 %
//! ```

use crate::model::system::{Continuous, System};
use crate::rules::fixes;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "ph-missing",
    title: "No pH is aimed at",
    group: Group::Ph,
    loudest: Severity::Warning,
    file: include_str!("ph_missing.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    if ctx.ph_aim().is_some()
        || matches!(
            ctx.system(),
            System::Anhydrous | System::Emulsion(Continuous::Oil) | System::Other | System::Unknown
        )
    {
        return;
    }
    if f.water_percent < ctx.kb.threshold("incidental-share-percent").value.0 {
        return;
    }
    let Some((row, id, range)) = super::first_that_cares(ctx) else {
        return;
    };
    let (line, span) = ctx.heading();
    let r = &f.rows[row];
    let message = format!(
        "no \"pH:\" is given, and {} works at pH {}",
        ctx.called(id),
        words::range(range)
    );
    sink.say(Subject::Formula, line, span, message)
        .help("Write \"pH:\" under the heading")
        .rests_on(range)
        .related(r.line, r.name.span, "this depends on pH")
        .fixes(fixes::aim_at(ctx));
}
