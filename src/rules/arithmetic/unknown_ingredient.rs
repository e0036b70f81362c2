//! # A material that is not known
//!
//! No name, INCI name or CAS number of the knowledge base is written like this. Of a material of your own that is made of such a one it is said as a warning.
//!
//! ## Why
//! Unknown is not allowed and not forbidden: nothing can be said about it, and what depends on it is left unsaid.
//!
//! ## What to do
//! Take a near name, or describe the material in `ingredients/NAME.toml` next to your formulas: its names, its composition, your supplier's limits.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea buttr     30 %
//!   ^^^^^^^^^^ shea butter
//!   sunflower oil  50 %
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

use crate::kb::Id;
use crate::model::Material;
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "unknown-ingredient",
    title: "A material that is not known",
    group: Group::Arithmetic,
    loudest: Severity::Error,
    yields_to: &["missing-amount", "syntax"],
    file: include_str!("unknown_ingredient.rs"),
    check,
    in_records: true,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    crate::rules::batch::unknown_ingredient::check(ctx, sink);
    for (n, row) in ctx.formula.rows.iter().enumerate() {
        if let Some(part) = row.id().and_then(|id| unknown_part(ctx, id)) {
            let message = format!("{} is made of \"{part}\", which is not known", words::brief(&row.name.value));
            sink.say(Subject::Row(n), row.line, row.name.span, message)
                .help("Mend its file in your ingredients folder: until then it is not judged")
                .level(Severity::Warning);
        }
        if !matches!(row.material, Material::Unknown) {
            continue;
        }
        let near: Vec<String> = ctx.kb.nearest(&row.name.value).into_iter().map(|(_, name)| name).collect();
        let asked = match near.as_slice() {
            [] => "Check the spelling, or describe it in your own ingredients folder".to_owned(),
            near => format!("Did you mean {}?", near.iter().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(" or ")),
        };
        let fixes = near.iter().map(|name| Fix::new(format!("Change to \"{name}\""), vec![Edit::replace(row.line, row.name.span, name.clone())]));
        sink.say(Subject::Row(n), row.line, row.name.span, format!("\"{}\" is not known", row.name.value)).help(asked).fixes(fixes);
    }
}

/// A part of an own material, or of its parts, of which there is no entry. The bundled ones have none: the build checks them.
fn unknown_part(ctx: &Context, id: Id) -> Option<String> {
    ctx.kb.user_file(id)?;
    ctx.kb.get(id).composition.iter().find_map(|part| match ctx.kb.by_id(&part.of) {
        Some(of) => unknown_part(ctx, of),
        None => Some(part.of.to_string()),
    })
}
