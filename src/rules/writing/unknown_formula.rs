//! # A formula file that cannot be used
//!
//! A quoted name is a formula made earlier, in a file next to this one. It is missing, cannot be read, or leads back here; or something in it is not known, which is a warning.
//!
//! ## Why
//! What is in it counts for the law, the label and the sum.
//!
//! ## What to do
//! Write the name of the file as it stands in the folder, with its ending.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax           20 %
//!   shea butter       30 %
//!   "no-such.formula"  50 %
//!    ^^^^^^^^^^^^^^^ no such file
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
//!   sunflower oil  50 %
//! ```

use crate::model::Material;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "unknown-formula",
    title: "A formula file that cannot be used",
    group: Group::Writing,
    loudest: Severity::Error,
    file: include_str!("unknown_formula.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    crate::rules::batch::unknown_formula::check(ctx, sink);
    for (n, row) in ctx.formula.rows.iter().enumerate() {
        if let Material::Unusable(why) = &row.material {
            let way_out = if why == "no such file" { "Write the name of a file in this folder, with its ending" } else { "Mend that file, or write out here what is in it" };
            sink.say(Subject::Row(n), row.line, row.name.span, format!("\"{}\" cannot be used: {why}", row.name.value)).help(way_out);
        }
        if let Material::Nested(inner) = &row.material
            && inner.has_unknown
        {
            let line = inner.first_unknown().map_or(String::new(), |line| format!(" (its line {})", line + 1));
            let message = format!("not all that is in \"{}\" is known{line}", words::brief(&row.name.value));
            sink.say(Subject::Row(n), row.line, row.name.span, message)
                .help("Open that file and mend it: what is missing there is not judged here")
                .level(Severity::Warning);
        }
    }
}
