//! # Fresh food in a product with water
//!
//! Milk, juice, fresh plant, tea or a home infusion stands in a product that holds water.
//!
//! ## Why
//! Fresh food brings its own microbes and feeds them. No preservative is dosed for that; such products go off within days, in the refrigerator too, often before it can be smelt.
//!
//! Dried kitchen goods (cocoa, oats, flour) are a hint. Products without water, and those with `keep: use at once`, are left in peace.
//!
//! ## What to do
//! Take a powder, an extract or a hydrosol made for the purpose; or make it for the day and write `keep: use at once`.
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
//!   cucumber juice                           10 %
//!   ^^^^^^^^^^^^^^ fresh food
//!   xanthan gum                              0.5 %
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
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
//!   cucumber water                           10 %
//!   xanthan gum                              0.5 %
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use crate::kb::role::Role;
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::Node;

pub static RULE: Rule = Rule {
    code: "kitchen-ingredient",
    title: "Fresh food in a product with water",
    group: Group::Microbes,
    loudest: Severity::Warning,
    file: include_str!("kitchen_ingredient.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let water = f.water_percent + super::watery_food_percent(ctx);
    if f.fields.use_at_once || water < ctx.kb.threshold("incidental-share-percent").value.0 {
        return;
    }
    for (n, row) in f.rows.iter().enumerate() {
        let Some(entry) = row.id().map(|id| ctx.kb.get(id)) else { continue };
        if !entry.roles.primary_is(Role::Kitchen) {
            continue;
        }
        let name = &row.name.value;
        let (level, message, help) = if super::is_watery_food(entry) {
            (
                Severity::Warning,
                format!("{name} is fresh food: in water it spoils within days, whatever preserves it"),
                "Take an extract or a powder, or write \"keep: use at once\"",
            )
        } else {
            (
                Severity::Hint,
                format!("{name} feeds microbes and brings spores: it is hard to preserve in water"),
                "Take an extract, or have the preservation tested",
            )
        };
        let for_the_day = (level == Severity::Warning && !said_to_keep(ctx))
            .then(|| Fix::new("Make it for the day: \"keep: use at once\"", vec![Edit::insert_before(f.heading_line + 1, "  keep: use at once\n")]));
        sink.say(Subject::Row(n), row.line, row.name.span, message).help(help).level(level).fixes(for_the_day);
    }
}

/// The file says already how it is kept.
fn said_to_keep(ctx: &Context) -> bool {
    ctx.tree.lines.iter().any(|at| matches!(&at.line.node, Node::Field(f) if f.key.value.eq_ignore_ascii_case("keep")))
}
