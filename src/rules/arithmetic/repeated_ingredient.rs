//! # One material twice in a phase
//!
//! The same material stands twice in one phase.
//!
//! ## Why
//! At the bench it is weighed once and forgotten once, or weighed twice. In different phases it is ordinary.
//!
//! ## What to do
//! Join the two rows.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  40 %
//!   sunflower oil  10 %
//!   ^^^^^^^^^^^^^ line 8
//! ```
//!
//! ```formula,fixed
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  50 %
//! ```

use crate::kb::{Id, Strength};
use crate::model::{Material, Row};
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::Amount;
use std::collections::HashMap;
use std::collections::hash_map::Entry;

pub static RULE: Rule = Rule {
    code: "repeated-ingredient",
    title: "One material twice in a phase",
    group: Group::Arithmetic,
    loudest: Severity::Warning,
    yields_to: &["given-twice"],
    file: include_str!("repeated_ingredient.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    for phase in &ctx.formula.phases {
        let mut seen: HashMap<Identity, &Row> = HashMap::with_capacity(phase.rows.len());
        for n in &phase.rows {
            let row = &ctx.formula.rows[*n];
            let Some(what) = identity(row) else { continue };
            let first = match seen.entry(what) {
                Entry::Occupied(first) => *first.get(),
                Entry::Vacant(free) => {
                    free.insert(row);
                    continue;
                }
            };
            let message = format!("{} stands in this phase already (line {})", row.name.value, first.line + 1);
            sink.say(Subject::Row(*n), row.line, row.name.span, message)
                .help("Join the two rows")
                .related(first.line, first.name.span, "the first time")
                .fixes(join(first, row));
        }
    }
}

#[derive(PartialEq, Eq, Hash)]
enum Identity<'a> {
    Material(Id, Option<Strength>),
    File(&'a str),
}

fn identity(row: &Row) -> Option<Identity<'_>> {
    match &row.material {
        Material::Known { id, strength } => Some(Identity::Material(*id, *strength)),
        Material::Nested(_) => Some(Identity::File(&row.name.value)),
        _ => None,
    }
}

fn join(first: &Row, second: &Row) -> Option<Fix> {
    // The row that fills up takes the other in.
    match (first.amount.value, second.amount.value) {
        (Amount::Fill { .. }, Amount::Measured(_)) => return Some(Fix::new("Join the two rows", vec![Edit::delete_line(second.line)])),
        (Amount::Measured(_), Amount::Fill { .. }) => return Some(Fix::new("Join the two rows", vec![Edit::delete_line(first.line)])),
        _ => {}
    }
    let (Amount::Measured(a), Amount::Measured(b)) = (first.amount.value, second.amount.value) else { return None };
    let sum = a.value.checked_add(b.value).filter(|_| a.unit == b.unit)?;
    let edits = vec![Edit::replace(first.line, first.amount.span, format!("{} {}", sum.normalize(), a.unit)), Edit::delete_line(second.line)];
    Some(Fix::new("Join the two rows", edits))
}
