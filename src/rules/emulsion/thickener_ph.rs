//! # A thickener outside its pH
//!
//! At the pH of the product this thickener does not thicken.
//!
//! ## Why
//! Carbomers and their kin swell only once they are neutralized; some gums lose their grip in acid or alkali. In strong lye a gum thins slowly, over months: a hint to try it.
//!
//! ## What to do
//! Move the pH into the window, or take a thickener that works at this one, such as xanthan or hydroxyethylcellulose.
//!
//! ```formula,bad
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 4.4
//!   sold in: EU
//!
//! phase A
//!   water                                            q.s.
//!   glycerin                                         5 %
//!   acrylates/C10-30 alkyl acrylate crosspolymer     0.5 %
//!   ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ pH 5 to 10
//!   phenoxyethanol (and) ethylhexylglycerin          0.9 %
//! ```
//!
//! ```formula,bad
//! formula "Face gel"
//!   product: face gel, leave-on
//!   type: gel
//!   pH: 4.0 to 4.3
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   carbomer                                 0.5 %
//!   ^^^^^^^^ thickens at pH 5
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```
//!
//! ```formula,good
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.5
//!   sold in: EU
//!
//! phase A
//!   water                                            q.s.
//!   glycerin                                         5 %
//!   acrylates/C10-30 alkyl acrylate crosspolymer     0.5 %
//!   phenoxyethanol (and) ethylhexylglycerin          0.9 %
//! ```

use crate::kb::role::Role;
use crate::model::system::has_role;
use crate::rules::fixes;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "thickener-ph",
    title: "A thickener outside its pH",
    group: Group::Emulsion,
    loudest: Severity::Warning,
    yields_to: &["ph-conflict"],
    file: include_str!("thickener_ph.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let Some(aim) = ctx.ph_aim() else { return };
    let near = ctx.kb.threshold("ph-near").value.0;
    let past = ctx.kb.threshold("gum-past-ph").value.0;
    for (n, row) in f.rows.iter().enumerate() {
        let Some(entry) = row.id().map(|id| ctx.kb.get(id)) else { continue };
        if !(has_role(entry, Role::Thickener) || has_role(entry, Role::Gum)) || entry.preservative.is_some() {
            continue;
        }
        let Some(works) = entry.ph.works.as_deref() else { continue };
        let below = works.low.is_some_and(|l| aim.high + near < l.0);
        let above = works.high.is_some_and(|h| aim.low - near > h.0);
        if !below && !above {
            continue;
        }
        let slowly = above && has_role(entry, Role::Gum) && works.high.is_some_and(|h| aim.low - h.0 <= past);
        let asked = if aim.low == aim.high {
            words::number(aim.low, 2)
        } else {
            format!("{} to {}", words::number(aim.low, 2), words::number(aim.high, 2))
        };
        let message = format!(
            "{} thickens at pH {}, and the product is at pH {asked}",
            row.name.value,
            words::range(works)
        );
        sink.say(Subject::Row(n), row.line, row.name.span, message)
            .help(format!("{} the pH, or take another thickener", if below { "Raise" } else { "Lower" }))
            .level(if slowly { Severity::Hint } else { Severity::Warning })
            .why(works.why.as_ref().map(ToString::to_string))
            .rests_on(works)
            .related(aim.line, ctx.text_span(aim.line), "the pH that the file asks for")
            .fixes(fixes::aim_at(ctx));
    }
}
