//! # Two materials that do not bear each other
//!
//! A pair that is known to fall out, fade, use each other up or take each other's work.
//!
//! ## Why
//! Each pair has its own reason, and the message gives it. Some pairs clash only below or above a pH, or from a certain level on; where the file says no pH, such a pair is said all the same.
//!
//! ## What to do
//! Take one of the two out, or do what the message offers.
//!
//! ```formula,bad
//! formula "Tinted gel"
//!   product: face cream, leave-on
//!   type: gel
//!   pH: 6.0 to 6.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   guar gum                                 0.5 %
//!   ^^^^^^^^ tannins
//!   witch hazel extract                      2 %
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```
//!
//! ```formula,good
//! formula "Tinted gel"
//!   product: face cream, leave-on
//!   type: gel
//!   pH: 6.0 to 6.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   witch hazel extract                      2 %
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "incompatible",
    title: "Two materials that do not bear each other",
    group: Group::Pairs,
    loudest: Severity::Warning,
    yields_to: &["banned", "restricted-use"],
    file: include_str!("incompatible.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let mut said: Vec<(usize, usize)> = Vec::new();
    for met in ctx.pairs(sink.code()) {
        // Two rows of the base may name the same two rows of the formula; the first speaks.
        let key = (met.a.min(met.b), met.a.max(met.b));
        if said.contains(&key) {
            continue;
        }
        said.push(key);
        let (a, b) = (&f.rows[met.a], &f.rows[met.b]);
        let (message, why) = words::pair(&a.name.value, &b.name.value, &met.pair.why);
        sink.say(Subject::Row(met.a), a.line, a.name.span, message).help(words::capital(&met.pair.instead)).why(why).rests_on(met.pair).related(b.line, b.name.span, "the other of the two");
    }
}
