//! # Salt thins the thickener
//!
//! More salt is in than the thickener bears.
//!
//! ## Why
//! Carbomers and their kin stand by the charges along their chains pushing each other away. Salt hides the charges: the gel runs. Sodium PCA and sodium lactate are salts too. In a shampoo it is the other way round, salt thickens it, until a peak at 2 to 3 %, and beyond it thins again.
//!
//! ## What to do
//! Leave the salt out, or thicken with xanthan, hydroxyethylcellulose or sclerotium gum.
//!
//! ```formula,bad
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 6.0 to 6.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   carbomer                                 0.5 %
//!   ^^^^^^^^ salt
//!   sodium hydroxide                         0.2 %
//!   sodium chloride                          1 %
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```
//!
//! ```formula,bad
//! formula "Face gel"
//!   product: face gel, leave-on
//!   type: gel
//!   pH: 6.0 to 6.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   carbomer                                 0.4 %
//!   ^^^^^^^^ salt
//!   sodium PCA 50 %                          3 %
//!   disodium EDTA                            0.05 %
//!   sodium hydroxide                         0.15 %
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```
//!
//! ```formula,good
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 6.0 to 6.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   carbomer                                 0.5 %
//!   sodium hydroxide                         0.2 %
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```

use crate::kb::role::Role;
use crate::kb::schema::{Charge, Ingredient};
use crate::model::component::{Component, ComponentKind};
use crate::model::system::{self, System, has_role};
use crate::rules::fixes;
use crate::rules::finding::{Level, Target};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "salt-thins",
    title: "Salt thins the thickener",
    group: Group::Emulsion,
    loudest: Severity::Warning,
    yields_to: &["incompatible"],
    file: include_str!("salt_thins.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    if ctx.system() == System::Surfactant {
        past_the_peak(ctx, sink);
        return;
    }
    let Some((salt, sum)) = salts(ctx, is_salt) else { return };
    for (n, row) in f.rows.iter().enumerate() {
        let Some(bears) = row.id().and_then(|id| ctx.kb.get(id).bears_salt_percent.as_deref()) else { continue };
        if sum <= bears.value.0 {
            continue;
        }
        let message = format!(
            "{} bears about {} salt, and with {} the gel thins",
            row.name.value,
            words::percent(bears.value.0),
            words::percent(sum)
        );
        let s = &f.rows[salt];
        sink.say(Subject::Row(n), row.line, row.name.span, message)
            .help("Leave the salt out, or thicken with xanthan or hydroxyethylcellulose")
            .rests_on(bears)
            .related(s.line, s.name.span, "the salt")
            .fixes(fixes::leave_out(ctx, salt));
    }
}

/// Common salts thicken a shampoo up to a peak. So much that it cannot dissolve is a scrub.
fn past_the_peak(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let Some((salt, sum)) = salts(ctx, is_common_salt) else { return };
    let peak = ctx.kb.threshold("salt-peak-percent");
    let anionic = f.components.iter().any(|s| {
        let one = ctx.kb.get(s.id);
        s.kind != ComponentKind::Constituent && one.charge == Some(Charge::Anionic) && has_role(one, Role::Surfactant)
    });
    if !anionic
        || sum <= peak.value.0
        || sum > ctx.kb.threshold("salt-scrub-percent").value.0
        || system::any_with_role(f, ctx.kb, Role::Abrasive) && !thickens(ctx, salt)
    {
        return;
    }
    let row = &f.rows[salt];
    let target = to_the_peak(ctx, salt, sum, peak.value.0);
    let message = format!(
        "{} salt is past the peak: it thickens most at about {}",
        words::percent(sum),
        words::percent(peak.value.0)
    );
    sink.say(Subject::Row(salt), row.line, row.amount.span, message)
        .help(if target.is_some() { "" } else { "Use less salt" })
        .level(Severity::Hint)
        .rests_on(peak)
        .ask(target);
}

/// The row with most salt, less what is beyond the peak.
fn to_the_peak(ctx: &Context, salt: usize, sum: Decimal, peak: Decimal) -> Option<Target> {
    let dosed = ctx.formula.rows[salt].percent?;
    let left = fixes::down(dosed - (sum - peak));
    (left > Decimal::ZERO).then(|| Target {
        row: salt,
        level: Level::AtMost(left),
        what: "it".to_owned(),
        as_what: "where salt thickens most",
        others_too: true,
    })
}

fn thickens(ctx: &Context, row: usize) -> bool {
    ctx.formula.rows[row].id().is_some_and(|id| has_role(ctx.kb.get(id), Role::Thickener))
}

/// The row with most of these salts, and their sum.
fn salts(ctx: &Context, which: fn(&Ingredient) -> bool) -> Option<(usize, Decimal)> {
    let f = ctx.formula;
    let all: Vec<&Component> = f.components.iter().filter(|s| s.kind == ComponentKind::Substance && !s.typical.is_zero() && which(ctx.kb.get(s.id))).collect();
    Some((f.largest_row(all.iter().copied())?, all.iter().map(|s| s.typical).sum()))
}

fn is_common_salt(one: &Ingredient) -> bool {
    one.roles.primary_is(Role::Salt)
}

/// What is a salt before all else, or a salt that keeps moist (sodium PCA, sodium lactate): acids, buffers and preservatives are
/// judged by their own rules.
fn is_salt(one: &Ingredient) -> bool {
    one.roles.primary_in(&[Role::Salt, Role::Humectant]) && has_role(one, Role::Salt)
}
