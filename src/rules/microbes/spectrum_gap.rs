//! # Not all microbes are covered
//!
//! All that preserves here leaves out bacteria, yeast or mould.
//!
//! ## Why
//! Most preservatives are strong on some microbes and weak on others; what is left out grows. The system is judged as a whole: a blend by its own reach, single preservatives together. A chelator helps against Gram-negative bacteria, boosters (caprylyl glycol, ethylhexylglycerin and other glycols) help with all.
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

use crate::kb::schema::{PreservativeKind, Spectrum};
use crate::model::composition::ShareOf;
use crate::model::system::{self, Preserving};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "spectrum-gap",
    title: "Not all microbes are covered",
    group: Group::Microbes,
    loudest: Severity::Warning,
    yields_to: &["preservative-ph", "preservative-too-low", "preservative-inactivated"],
    file: include_str!("spectrum_gap.rs"),
    check,
};

const GRAM_NEGATIVE: &str = "Gram-negative bacteria such as Pseudomonas";

/// What the whole system reaches: 0 none, 1 weak, 2 fair, 3 strong.
pub(super) struct Reach<'a> {
    pub gram_positive: u8,
    pub gram_negative: u8,
    pub yeast: u8,
    pub mould: u8,
    /// Preservatives, boosters left out.
    pub members: Vec<Preserving<'a>>,
    pub figure: Option<&'a Spectrum>,
}

impl<'a> Reach<'a> {
    /// None where there is no preservative, or the reach of one is not known.
    pub fn of(ctx: &Context<'a>) -> Option<Reach<'a>> {
        let all = system::preservatives(ctx.formula, ctx.kb);
        let (boosters, members): (Vec<_>, Vec<_>) = all.into_iter().partition(|p| p.kind == PreservativeKind::Booster);
        if members.is_empty() {
            return None;
        }
        // Blends whose parts are counted have a reach of their own, which covers parts whose reach is not known.
        let blends: Vec<(usize, &Spectrum)> = ctx
            .formula
            .shares
            .iter()
            .filter(|s| s.what == ShareOf::Blend)
            .filter_map(|s| Some((s.row, ctx.kb.get(s.id).preservative.as_ref()?.spectrum.as_ref()?)))
            .collect();
        let mut spectra: Vec<&Spectrum> = blends.iter().map(|(_, s)| *s).collect();
        for p in &members {
            match p.entry.preservative.as_ref().and_then(|x| x.spectrum.as_ref()) {
                Some(s) => spectra.push(s),
                None if blends.iter().any(|(row, _)| *row == p.row) => {}
                None => return None,
            }
        }
        let helped = boosters.iter().any(super::is_booster);
        spectra.extend(boosters.iter().filter_map(|p| p.entry.preservative.as_ref()?.spectrum.as_ref()));
        let most = |of: fn(&Spectrum) -> u8| spectra.iter().map(|s| of(s)).max().unwrap_or(0);
        let one_more = |n: u8, help: bool| if help && n > 0 { (n + 1).min(3) } else { n };
        let chelated = system::any_with_role(ctx.formula, ctx.kb, "chelator");
        Some(Reach {
            gram_positive: one_more(most(|s| s.gram_positive), helped),
            gram_negative: one_more(one_more(most(|s| s.gram_negative), helped), chelated),
            yeast: one_more(most(|s| s.yeast), helped),
            mould: one_more(most(|s| s.mould), helped),
            figure: spectra.first().copied(),
            members,
        })
    }

    /// The groups reached just so far than this, in words of the bench.
    fn at(&self, level: u8) -> Vec<&'static str> {
        let bacteria: &[&str] = match (self.gram_positive == level, self.gram_negative == level) {
            (true, true) => &["bacteria"],
            (true, false) => &["Gram-positive bacteria"],
            (false, true) => &[GRAM_NEGATIVE],
            (false, false) => &[],
        };
        let mut out = bacteria.to_vec();
        out.extend((self.yeast == level).then_some("yeast"));
        out.extend((self.mould == level).then_some("mould"));
        out
    }
}

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    if f.has_unknown || f.fields.use_at_once || system::water_percent(f, ctx.kb) < ctx.kb.threshold("incidental-share-percent").value.0 {
        return;
    }
    let Some(reach) = Reach::of(ctx) else { return };
    if ctx.protects().is_some() {
        return;
    }
    let names: Vec<&str> = reach.members.iter().map(|p| ctx.called(p.id)).collect();
    let (reaches, covers) = if names.len() == 1 { ("alone does not reach", "covers") } else { ("do not reach", "cover") };
    let names = words::list(&names);
    let (none, mut weak) = (reach.at(0), reach.at(1));
    // A chelator would mend this one, and the rule about chelators says so.
    if !system::any_with_role(f, ctx.kb, "chelator") {
        weak.retain(|w| *w != GRAM_NEGATIVE);
    }
    let (level, message) = if !none.is_empty() {
        (Severity::Warning, format!("{names} {reaches} {}: not covered; add a partner that does", words::list(&none)))
    } else if !weak.is_empty() {
        (Severity::Hint, format!("{names} {covers} {} only weakly; a partner or a booster would help", words::list(&weak)))
    } else {
        return;
    };
    let Some(largest) = reach.members.iter().max_by_key(|p| p.percent) else { return };
    let r = &f.rows[largest.row];
    let said = sink.say(Subject::Row(largest.row), r.line, r.name.span, message).level(level);
    if let Some(figure) = reach.figure {
        said.rests_on(figure);
    }
}
