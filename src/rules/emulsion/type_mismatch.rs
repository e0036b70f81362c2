//! # The emulsifier makes the other kind of emulsion
//!
//! The file declares one kind of emulsion, and every emulsifier in it makes the other.
//!
//! ## Why
//! What the emulsifier dissolves in becomes the outer phase. An emulsifier for water-in-oil turns a lotion over or lets it part, and the reverse.
//!
//! ## What to do
//! Take an emulsifier for the kind that is declared, or correct `type:`.
//!
//! ```formula,bad
//! formula "Hand cream"
//!   product: hand cream, leave-on
//!   type: oil-in-water
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A "water" at 75 °C
//!   water                                    q.s.
//!   glycerin                                 5 %
//!
//! phase B "oil" at 75 °C
//!   sunflower oil                            10 %
//!   cetearyl alcohol                         3 %
//!   polyglyceryl-2 dipolyhydroxystearate     3 %
//!   ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ water-in-oil
//!
//! phase C "cool-down" below 40 °C
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```
//!
//! ```formula,good
//! formula "Hand cream"
//!   product: hand cream, leave-on
//!   type: oil-in-water
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A "water" at 75 °C
//!   water                                    q.s.
//!   glycerin                                 5 %
//!
//! phase B "oil" at 75 °C
//!   sunflower oil                            10 %
//!   cetearyl alcohol                         3 %
//!   glyceryl stearate citrate                3 %
//!
//! phase C "cool-down" below 40 °C
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use crate::kb::schema::EmulsionKind;
use crate::model::system::{Continuous, System};
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject};

pub static RULE: Rule = Rule {
    code: "type-mismatch",
    title: "The emulsifier makes the other kind of emulsion",
    group: Group::Emulsion,
    loudest: Severity::Warning,
    file: include_str!("type_mismatch.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let (wrong, declared, made) = match ctx.system() {
        System::Emulsion(Continuous::Water) => (EmulsionKind::WaterInOil, "oil-in-water", "water-in-oil"),
        System::Emulsion(Continuous::Oil) => (EmulsionKind::OilInWater, "water-in-oil", "oil-in-water"),
        _ => return,
    };
    if f.has_unknown || ctx.held_otherwise() {
        return;
    }
    let all = ctx.emulsifiers();
    if all.iter().any(|p| p.entry.emulsion != Some(wrong)) {
        return;
    }
    let Some(p) = all.iter().max_by(|a, b| a.percent.cmp(&b.percent).then(b.row.cmp(&a.row))) else { return };
    let row = &f.rows[p.row];
    let message =
        format!("the type is {declared}, and {} makes {made} emulsions", row.name.value);
    let mut said = sink.say(Subject::Row(p.row), row.line, row.name.span, message).help(format!("Take an emulsifier for {declared}, or correct the type"));
    if let Some(t) = &f.fields.type_ {
        let fix = Fix::new(format!("Correct to \"type: {made}\""), vec![Edit::replace(t.line, t.span, made)]);
        said = said.related(t.line, t.span, "the type that the file says").fix(fix);
    }
    for other in all.iter().filter(|o| o.row != p.row) {
        let r = &f.rows[other.row];
        said = said.related(r.line, r.name.span, format!("makes {made} emulsions too"));
    }
}
