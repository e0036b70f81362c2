//! # Water, and nothing that protects it
//!
//! The product holds water and no preservative.
//!
//! ## Why
//! Bacteria, yeasts and moulds grow in water within days, often before they can be seen or smelt. Some infect eyes and broken skin.
//!
//! Where something else protects, a hint says so and no more: alcohol from 15 % at pH 5 or below, from 18 % otherwise; propylene glycol from 20 % of the water phase; pH 3 or below, or 10 or above; hydrogen peroxide from 3 %; a water activity of 0.75 or below, worked out from sugars, glycerin, glycols and urea. Glycerin at 30 %, an old rule, leaves a water activity of about 0.9 and is not enough: a warning; so is water bound more tightly than the method reaches. With `keep: use at once` it is only information. Boosters, vitamin E and essential oils alone protect nothing.
//!
//! A row that is not known keeps the rule quiet, unless its name says that it preserves nothing ("rose water", "mint flavour") and there is more water than of it.
//!
//! Bars, powders and bath bombs with up to 15 % water are judged by water activity: it cannot be worked out from what is not dissolved, so up to 5 % is a hint, from there a warning to have it measured.
//!
//! A product without water is left in peace (balm, oil, powder), unless wet hands carry water into its jar (a scrub): a warning. Bars, which dry between uses, are a hint.
//!
//! ## What to do
//! Add a broad-spectrum preservative at its level, or leave the water out, or make it fresh and keep nothing.
//!
//! ```formula,bad
//! formula "Hand gel"
//!          ^^^^^^^^ water
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
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
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use crate::chem::water_activity::Bound;
use crate::kb::schema::PreservativeKind;
use crate::model::fields::Type;
use crate::model::preservation::{self, SelfPreservation};
use crate::model::system;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "no-preservative",
    title: "Water, and nothing that protects it",
    group: Group::Microbes,
    loudest: Severity::Error,
    file: include_str!("no_preservative.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let some = ctx.kb.threshold("incidental-share-percent");
    let water = f.water_percent + super::watery_food_percent(ctx);
    if matches!(&f.fields.type_, Some(t) if matches!(t.value, Type::Soap))
        || f.has_unknown && !super::unknown_rows::preserve_nothing(ctx)
    {
        return;
    }
    let present = ctx.preservatives();
    if present.iter().any(|p| p.kind != PreservativeKind::Booster) {
        return;
    }
    let (line, span) = ctx.heading();
    if water < some.value.0 {
        wet_hands(ctx, sink);
        return;
    }
    if let Some(why) = ctx.protects() {
        let (words, threshold) = because(&why);
        sink.say(
            Subject::Formula,
            line,
            span,
            format!("no preservative is needed: {words}"),
        )
        .help("Keep it so, or add a preservative when you change it")
        .level(Severity::Hint)
        .rests_on(ctx.kb.threshold(threshold));
        return;
    }
    let boosters: Vec<&str> = present.iter().map(|p| ctx.called(p.id)).collect();
    let mistaken: Vec<(usize, &str)> = super::mistaken(ctx).collect();
    let mut why: Vec<String> = mistaken
        .iter()
        .map(|(row, what)| format!("{} {what}", f.rows[*row].name.value))
        .collect();
    if !boosters.is_empty() {
        why.insert(
            0,
            format!(
                "{} only {} a preservative",
                words::list(&boosters),
                words::by_count(boosters.len(), "helps", "help")
            ),
        );
    }
    let shown = words::percent(water.round_dp(1));
    let glycerin = ctx
        .kb
        .by_id("glycerin")
        .map_or(Decimal::ZERO, |id| f.percent_of(id));
    let old = ctx.kb.threshold("glycerin-old-rule-percent");
    let aw = preservation::water_activity(f, ctx.kb);
    let add = "Add a preservative".to_owned();
    let solid = ctx.kb.threshold("solid-water-percent");
    let dry = ctx.kb.threshold("solid-dry-water-percent");
    let (level, message, help) = if f.fields.use_at_once {
        (
            Severity::Information,
            format!("{shown} water, and nothing that protects it"),
            "Use it the day it is made, and keep nothing".to_owned(),
        )
    } else if system::is_solid(f) && water <= solid.value.0 {
        let wanted = ctx.kb.threshold("water-activity-protects").value;
        (
            if water <= dry.value.0 {
                Severity::Hint
            } else {
                Severity::Warning
            },
            format!(
                "{shown} water in a solid, and nothing that protects it: it keeps by itself at a water activity of {wanted} or below"
            ),
            "Let it dry hard and have the water activity measured, or add a preservative"
                .to_owned(),
        )
    } else if let Some((most, Bound::AtMost)) = aw {
        let wanted = ctx.kb.threshold("water-activity-protects").value;
        (
            Severity::Warning,
            format!(
                "{shown} water, tightly bound: water activity below {most:.2}, and it keeps by itself at {wanted}"
            ),
            format!("{add}, or have the water activity measured"),
        )
    } else if glycerin >= old.value.0 {
        let shown_aw = aw.map_or(String::new(), |(aw, _)| {
            format!(" (water activity about {aw:.2})")
        });
        (
            Severity::Warning,
            format!(
                "{} glycerin leaves {shown} water in which mould grows{shown_aw}",
                words::percent(glycerin.round_dp(1))
            ),
            format!("{add}: that much glycerin alone is an old rule"),
        )
    } else {
        (
            Severity::Error,
            format!("{shown} water, and nothing that protects it from bacteria, yeast and mould"),
            add,
        )
    };
    sink.say(Subject::Formula, line, span, message)
        .help(help)
        .why((!why.is_empty()).then(|| why.join("; ")))
        .level(level)
        .covers(mistaken.into_iter().map(|(row, _)| Subject::Row(row)));
}

/// No water, but the kind of product is used with wet hands. Oils run off; bars dry between uses.
fn wet_hands(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let wet = f.fields.product_kind.is_some_and(|k| k.wet_use);
    if !wet
        || f.rows.is_empty()
        || f.fields.use_at_once
        || ["oil", "balm", "powder"].iter().any(|w| f.product.has(w))
    {
        return;
    }
    let (line, span) = ctx.heading();
    let bar = f.product.has("bar") || matches!(&f.fields.type_, Some(t) if t.value == Type::Bar);
    let (level, message, help) = if bar {
        (
            Severity::Hint,
            "no water in it, and nothing that preserves it when it gets wet",
            "Let it dry between uses, and say so on the label",
        )
    } else {
        (
            Severity::Warning,
            "no water in it, but wet hands carry some in, and nothing protects it then",
            "Add a preservative, or keep it dry and say so on the label",
        )
    };
    sink.say(Subject::Formula, line, span, message)
        .help(help)
        .level(level)
        .covers(super::mistaken(ctx).map(|(row, _)| Subject::Row(row)));
}

/// Why it needs none, and the threshold that says so.
fn because(why: &SelfPreservation) -> (String, &'static str) {
    match why {
        SelfPreservation::Alcohol(percent) => (
            format!(
                "{} alcohol protects by itself",
                words::percent(percent.round_dp(1))
            ),
            "alcohol-protects-acid-percent",
        ),
        SelfPreservation::PropyleneGlycol(share) => (
            format!(
                "{} of the water phase is propylene glycol, which protects by itself",
                words::percent(share.round_dp(0))
            ),
            "propylene-glycol-protects-percent",
        ),
        SelfPreservation::Peroxide(percent) => (
            format!(
                "{} hydrogen peroxide protects by itself",
                words::percent(percent.round_dp(1))
            ),
            "peroxide-protects-percent",
        ),
        SelfPreservation::Ph(ph) => (
            format!("nothing that matters grows at pH {}", words::number(*ph, 1)),
            "ph-protects-below",
        ),
        SelfPreservation::WaterActivity {
            aw,
            bound: Bound::About,
        } => (
            format!("its water is bound (water activity about {aw:.2}, an estimate)"),
            "water-activity-protects",
        ),
        SelfPreservation::WaterActivity {
            aw,
            bound: Bound::AtMost,
        } => (
            format!("its water is bound (water activity {aw:.2} at most, an estimate)"),
            "water-activity-protects",
        ),
    }
}
