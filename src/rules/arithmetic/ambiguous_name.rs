//! # One name, several materials
//!
//! Several materials go by this everyday name.
//!
//! ## Why
//! They dissolve, dose and last differently: "vitamin E" is an oil that guards oils, or an ester that does not.
//!
//! ## What to do
//! Take the one you have; its label shows the INCI name.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   vitamin E      0.5 %
//!   ^^^^^^^^^ tocopherol
//!   sunflower oil  q.s.
//! ```
//!
//! ```formula,good
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   tocopherol     0.5 %
//!   sunflower oil  q.s.
//! ```

use crate::kb::{Id, Kb};
use crate::model::Material;
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "ambiguous-name",
    title: "One name, several materials",
    group: Group::Arithmetic,
    loudest: Severity::Warning,
    file: include_str!("ambiguous_name.rs"),
    check,
    ..Rule::DEFAULT
};

/// Names of so many characters in all are spelled out, at least one; the fixes name them all.
const SPELLED: usize = 60;

/// What makers have comes first.
fn common_first(kb: &Kb, ids: &[Id]) -> Vec<Id> {
    let mut ids = ids.to_vec();
    ids.sort_by_cached_key(|id| kb.commonness(*id));
    ids
}

fn check(ctx: &Context, sink: &mut Sink) {
    for (n, row) in ctx.formula.rows.iter().enumerate() {
        let Material::Ambiguous(ids) = &row.material else { continue };
        let written = row.name.value.as_str();
        let names: Vec<String> = common_first(ctx.kb, ids).iter().map(|id| ctx.kb.name_in_place_of(*id, written)).collect();
        let mut room = SPELLED;
        let mut shown: Vec<String> = Vec::new();
        for name in &names {
            let length = name.chars().count();
            if length > room && !shown.is_empty() {
                shown.push(format!("{} more", names.len() - shown.len()));
                break;
            }
            room = room.saturating_sub(length);
            shown.push(format!("\"{name}\""));
        }
        let message = format!("\"{}\" is the name of {} materials", row.name.value, names.len());
        let fixes = names.iter().map(|name| Fix::new(format!("Change to {name}"), vec![Edit::replace(row.line, row.name.span, name.clone())]));
        sink.say(Subject::Row(n), row.line, row.name.span, message).help(format!("Write the one you have: {}", words::list_or(&shown))).fixes(fixes);
    }
}
