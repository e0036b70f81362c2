//! # Hot wax and oil
//!
//! Something is heated above 90 °C.
//!
//! ## Why
//! Oil and wax at that heat burn deep, because they stick; a drop of water in them spatters. Few cosmetic materials need it.
//!
//! ## What to do
//! Use a water bath, which cannot pass 100 °C, never an open flame; long sleeves, and no wet tool in hot oil.
//!
//! ```formula,bad
//! formula "Hard balm"
//!   product: balm, leave-on
//!   type: anhydrous
//!   sold in: US
//!
//! phase A at 95 °C
//! ^^^^^^^^^^^^^^^^^ 95 °C
//!   carnauba wax                             15 %
//!   caprylic/capric triglyceride             85 %
//! ```
//!
//! ```formula,good
//! formula "Hard balm"
//!   product: balm, leave-on
//!   type: anhydrous
//!   sold in: US
//!
//! phase A at 85 °C
//!   carnauba wax                             15 %
//!   caprylic/capric triglyceride             85 %
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};

pub static RULE: Rule = Rule {
    code: "caution-hot",
    title: "Hot wax and oil",
    group: Group::Cautions,
    loudest: Severity::Information,
    file: include_str!("caution_hot.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let limit = ctx.kb.threshold("burns-above-c");
    let hottest =
        ctx.formula.timeline.rows.iter().filter_map(|h| Some((h.highest_c?, h.line?))).max_by(|(a, x), (b, y)| a.cmp(b).then(y.cmp(x)));
    let Some((c, line)) = hottest.filter(|(c, _)| *c > limit.value.0) else { return };
    let degrees = ctx.degrees();
    let message = format!(
        "it gets to {} here: above {} oil and wax stick and burn deep",
        degrees.show(c),
        degrees.show(limit.value.0)
    );
    sink.say(Subject::Line(line), line, ctx.text_span(line), message)
        .help("Use a water bath, no flame, and no wet tool")
        .rests_on(limit);
}
