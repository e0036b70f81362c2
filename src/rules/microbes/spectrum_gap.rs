//! # Not all microbes are covered
//!
//! All that preserves here leaves out bacteria, yeast or mould.
//!
//! ## Why
//! Most preservatives are strong on some microbes and weak on others; what is left out grows. The system is judged as a whole: a blend by its own reach, single preservatives together. A partner counts only at a level that is customary or that was shown to work; a trace of it covers nothing. A chelator helps against Gram-negative bacteria, boosters (caprylyl glycol, ethylhexylglycerin and other glycols) help with all.
//!
//! A group that nothing reaches is a warning; one that is reached only weakly is a hint.
//!
//! ## What to do
//! Add a partner that covers the gap: sorbate or dehydroacetate for yeast and mould, phenoxyethanol or benzyl alcohol for bacteria.
//!
//! ```formula,bad
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
//!   iodopropynyl butylcarbamate              0.01 %
//!   ^^^^^^^^^^^^^^^^^^^^^^^^^^^ bacteria
//! ```
//!
//! ```formula,good
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
//!   disodium EDTA                            0.1 %
//!   iodopropynyl butylcarbamate              0.01 %
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```

use crate::kb::role::Role;
use crate::model::reach::Reach;
use crate::model::system;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "spectrum-gap",
    title: "Not all microbes are covered",
    group: Group::Microbes,
    loudest: Severity::Warning,
    yields_to: &[
        "preservative-ph",
        "preservative-too-low",
        "preservative-inactivated",
    ],
    file: include_str!("spectrum_gap.rs"),
    check,
    ..Rule::DEFAULT
};

const GRAM_NEGATIVE: &str = "Gram-negative bacteria such as Pseudomonas";

/// The groups reached just so far than this, in words of the bench.
fn at(reach: &Reach, level: u8) -> Vec<&'static str> {
    let bacteria: &[&str] = match (reach.gram_positive == level, reach.gram_negative == level) {
        (true, true) => &["bacteria"],
        (true, false) => &["Gram-positive bacteria"],
        (false, true) => &[GRAM_NEGATIVE],
        (false, false) => &[],
    };
    let mut out = bacteria.to_vec();
    out.extend((reach.yeast == level).then_some("yeast"));
    out.extend((reach.mould == level).then_some("mould"));
    out
}

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    if f.has_unknown
        || f.fields.use_at_once
        || f.water_percent < ctx.kb.threshold("incidental-share-percent").value.0
    {
        return;
    }
    let Some(reach) = Reach::of(f, ctx.kb) else {
        return;
    };
    if ctx.protects().is_some() {
        return;
    }
    let names: Vec<&str> = reach.members.iter().map(|p| ctx.called(p.id)).collect();
    let (alone, covers) = (
        words::by_count(names.len(), "alone", "together"),
        words::by_count(names.len(), "covers", "cover"),
    );
    let names = words::several(&names);
    let (none, mut weak) = (at(&reach, 0), at(&reach, 1));
    // A chelator would mend this one, and the rule about chelators says so.
    if !system::any_with_role(f, ctx.kb, Role::Chelator) {
        weak.retain(|w| *w != GRAM_NEGATIVE);
    }
    let (level, message, help) = if !none.is_empty() {
        {
            let one = matches!(none.as_slice(), ["yeast" | "mould"]);
            let (are, them) = if one { ("is", "it") } else { ("are", "them") };
            (
                Severity::Warning,
                format!(
                    "with {names} {alone}, {} {are} not covered",
                    words::list(&none)
                ),
                format!("Add a partner that covers {them}"),
            )
        }
    } else if !weak.is_empty() {
        (
            Severity::Hint,
            format!("{names} {covers} {} only weakly", words::list(&weak)),
            "Add a partner or a booster".to_owned(),
        )
    } else {
        return;
    };
    let Some(largest) = reach.members.iter().max_by_key(|p| p.percent) else {
        return;
    };
    let r = &f.rows[largest.row];
    let mut said = sink
        .say(Subject::Row(largest.row), r.line, r.name.span, message)
        .help(help)
        .level(level);
    for p in &reach.too_little {
        let other = &f.rows[p.row];
        said = said.related(
            other.line,
            other.amount.span,
            format!(
                "{} is too little to count",
                words::dosed(p.percent, ctx.called(p.id))
            ),
        );
    }
    if let Some(figure) = reach.figure {
        said.rests_on(figure);
    }
}
