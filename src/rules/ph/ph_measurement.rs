//! # A pH is asked for and never read
//!
//! The file aims at a pH, and no step of the method reads it.
//!
//! ## Why
//! What a formula says of its pH and what the jar holds are two things: water, lots and weighing shift it by a whole unit. Only a reading tells.
//!
//! ## What to do
//! Add a step at the end, cold: `measure pH`, on a small sample (thick ones thinned with distilled water), or `adjust pH to 5.0-5.4 with citric acid 20 %`.
//!
//! ```formula,bad
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!       ^^^^^^^^^^ no step
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!
//! phase B
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//!
//! method
//!   stir A for 20 min
//!   add B
//! ```
//!
//! ```formula,fixed
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!
//! phase B
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//!
//! method
//!   stir A for 20 min
//!   add B
//!   measure pH
//! ```

use crate::model::system::System;
use crate::rules::fixes;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};

pub static RULE: Rule = Rule {
    code: "ph-measurement",
    title: "A pH is asked for and never read",
    group: Group::Ph,
    loudest: Severity::Hint,
    file: include_str!("ph_measurement.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let Some(aim) = ctx.ph_aim() else { return };
    // Steps that are not understood may be the reading.
    let t = &f.timeline;
    if !t.from_method
        || !t.ph_steps.is_empty()
        || !t.not_understood.is_empty()
        || ctx.system() == System::Anhydrous
    {
        return;
    }
    let (line, span) = f
        .fields
        .ph
        .as_ref()
        .map_or_else(|| (aim.line, ctx.text_span(aim.line)), |p| (p.line, p.span));
    let message = format!(
        "pH {} is asked for, and no step measures it",
        super::asked(aim.low, aim.high)
    );
    sink.say(Subject::Formula, line, span, message)
        .help("End the method with \"measure pH\"")
        .fixes(fixes::last_step(ctx, "measure pH"));
}
