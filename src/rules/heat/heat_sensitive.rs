//! # Hotter than it should get
//!
//! From the moment it goes into any vessel, this material gets hotter than it bears, or than it is customarily added at.
//!
//! ## Why
//! Two numbers count. What a material bears: above it, it breaks down or boils off. Below what it is customarily added: usually out of caution, in the cool-down. Up to 5 °C is let pass everywhere. Oil-soluble antioxidants in the hot oil are good practice. A stick or balm must be poured before its wax sets: what is volatile goes in just above that, a hint up to 70 °C.
//!
//! ## What to do
//! Move it to a phase that goes in when the batch has cooled.
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
//!   cucumber extract                         1 %
//!   ^^^^^^^^^^^^^^^^ 75 °C
//!
//! phase B "oil" at 75 °C
//!   sunflower oil                            10 %
//!   cetearyl alcohol                         3 %
//!   glyceryl stearate citrate                3 %
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
//!   panthenol                                1 %
//! ```

use crate::kb::role::Role;
use crate::kb::schema::{MaxTemperature, Dissolves, Figure, Ingredient, SourceKind};
use crate::model::system::{self, System};
use crate::rules::words::Degrees;
use crate::rules::fixes;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};

pub static RULE: Rule = Rule {
    code: "heat-sensitive",
    title: "Hotter than it should get",
    group: Group::HeatAndPhase,
    loudest: Severity::Error,
    yields_to: &["added-hot", "flammable"],
    file: include_str!("heat_sensitive.rs"),
    check,
    ..Rule::DEFAULT
};

/// Roles that heat usually harms, for the one hint where no figure is known.
const DELICATE: &[Role] = &[Role::Extract, Role::Enzyme, Role::Peptide, Role::Ferment];

fn check(ctx: &Context, sink: &mut Sink) {
    let tolerance = ctx.kb.threshold("heat-tolerance-c").value.0;
    let far = ctx.kb.threshold("heat-far-c").value.0;
    let degrees = ctx.degrees();
    let (poured, pour) = (is_poured(ctx), ctx.kb.threshold("poured-below-c").value.0);
    let mut hinted = false;
    for (n, row) in ctx.formula.rows.iter().enumerate() {
        let history = ctx.formula.timeline.rows[n];
        let (Some(id), Some(c)) = (row.id(), history.highest_c) else { continue };
        let entry = ctx.kb.get(id);
        if guards_hot_oil(entry) {
            continue;
        }
        let heat = tightest(ctx, entry);
        let subject = Subject::Row(n);
        let shown = || degrees.show(c);
        let said = match (heat.bears, heat.add_below) {
            (Some(b), _) if c > b.value.0 + tolerance => {
                let published = matches!(ctx.kb.source(&b.source).map(|s| s.kind), Some(SourceKind::Law | SourceKind::Published));
                let message = format!("{} gets to {}, and it bears {} at most", row.name.value, shown(), degrees.show(b.value.0));
                Some(sink.say(subject, row.line, row.name.span, message).help(advice(ctx, n, &heat, degrees)).level(if published { Severity::Error } else { Severity::Warning }).rests_on(b))
            }
            (Some(b), Some(a)) if c > a.value.0 + tolerance => {
                let message = format!("{} gets to {}, and it is usually added below {}", row.name.value, shown(), degrees.show(a.value.0));
                let help = format!("{}, if you can: it bears {}", advice(ctx, n, &heat, degrees), degrees.show(b.value.0));
                Some(sink.say(subject, row.line, row.name.span, message).help(help).level(Severity::Hint).rests_on(a))
            }
            (None, Some(a)) if c > a.value.0 + tolerance => {
                let level = if c > a.value.0 + far && !(poured && volatile(entry) && c <= pour) { Severity::Warning } else { Severity::Hint };
                let message = format!("{} gets to {}, and it is usually added below {}", row.name.value, shown(), degrees.show(a.value.0));
                Some(sink.say(subject, row.line, row.name.span, message).help(advice(ctx, n, &heat, degrees)).level(level).rests_on(a))
            }
            (None, None) if !hinted && c > ctx.kb.threshold("hot-phase-c").value.0 && entry.roles.has_any(DELICATE) => {
                hinted = true;
                let message = format!("{} gets to {}, and how much heat it bears is not known", row.name.value, shown());
                Some(sink.say(subject, row.line, row.name.span, message).help("Add it to the cooled batch, as is usual for materials of its kind").level(Severity::Hint))
            }
            _ => None,
        };
        if let Some(said) = said {
            let said = match history.line {
                Some(line) if line != row.line => said.related(line, ctx.text_span(line), format!("here it gets to {}", shown())),
                _ => said,
            };
            let below = heat.add_below.map(|a| a.value.0).or(heat.bears.map(|b| b.value.0));
            said.fixes(below.and_then(|b| fixes::cooler(ctx, n, b)));
        }
    }
}

/// So much wax in a product without water that it is poured while hot.
fn is_poured(ctx: &Context) -> bool {
    let wax = || system::percent_where(ctx.formula, ctx.kb, |one| one.roles.primary_is(Role::Wax));
    ctx.system() == System::Anhydrous && wax() >= ctx.kb.threshold("wax-sets-percent").value.0
}

fn volatile(entry: &Ingredient) -> bool {
    entry.roles.primary_in(&[Role::EssentialOil, Role::Aroma, Role::Fragrance, Role::Flavour])
}

struct Heat<'a> {
    bears: Option<&'a MaxTemperature>,
    add_below: Option<&'a Figure>,
}

/// The material's own figures; for a blend without any, the tightest of its parts.
fn tightest<'a>(ctx: &'a Context, entry: &'a Ingredient) -> Heat<'a> {
    if entry.bears_c.is_some() || entry.add_below_c.is_some() {
        return Heat { bears: entry.bears_c.as_deref(), add_below: entry.add_below_c.as_deref() };
    }
    let parts = || entry.composition.iter().filter_map(|p| ctx.kb.substance(&p.of)).map(|(_, e)| e);
    Heat { bears: parts().filter_map(|e| e.bears_c.as_deref()).min_by_key(|b| b.value), add_below: parts().filter_map(|e| e.add_below_c.as_deref()).min_by_key(|a| a.value) }
}

fn guards_hot_oil(entry: &Ingredient) -> bool {
    system::has_role(entry, Role::Antioxidant) && matches!(entry.dissolves, Some(Dissolves::Oil | Dissolves::Both))
}

fn advice(ctx: &Context, row: usize, heat: &Heat, degrees: Degrees) -> String {
    let below = heat.add_below.map(|a| a.value.0).or(heat.bears.map(|b| b.value.0));
    match (below.and_then(|b| fixes::cool_phase(ctx, b)).map(|p| &ctx.formula.phases[p]), below) {
        (Some(p), _) if ctx.formula.phase_of(row).is_some_and(|own| std::ptr::eq(own, p)) => "Cool the batch before it goes in".to_owned(),
        (Some(p), _) => format!("Move it to phase {}", p.label),
        (None, Some(b)) => format!("Give it a phase of its own that goes in below {}", degrees.show(b)),
        (None, None) => "Add it to the cooled batch".to_owned(),
    }
}
