//! # The pH is read too early, or set too roughly
//!
//! Something that shifts the pH goes in after the last reading; or the only reading comes after thickening; or undiluted acid is poured on benzoate or sorbate.
//!
//! ## Why
//! A reading holds only for what is in the beaker. In a stiff gel the probe reads slowly and wrong. Undiluted acid makes a sour spot in which benzoic or sorbic acid falls out as crystals, and these dissolve slowly if at all.
//!
//! ## What to do
//! Read (again) when all is in, before it is thick, on a thinned sample. Set the pH with a 10 to 20 % solution of the acid, drop by drop, stirring.
//!
//! ```formula,bad
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 4.5 to 4.8
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   disodium EDTA                            0.1 %
//!
//! phase B
//!   sodium benzoate                          0.5 %
//!   potassium sorbate                        0.2 %
//!
//! method
//!   stir A for 20 min
//!   measure pH
//!   ^^^^^^^^^^ sodium benzoate
//!   add B
//! ```
//!
//! ```formula,fixed
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 4.5 to 4.8
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   disodium EDTA                            0.1 %
//!
//! phase B
//!   sodium benzoate                          0.5 %
//!   potassium sorbate                        0.2 %
//!
//! method
//!   stir A for 20 min
//!   measure pH
//!   add B
//!   measure pH
//! ```
//!
//! ```formula,good
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 4.5 to 4.8
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   disodium EDTA                            0.1 %
//!
//! phase B
//!   sodium benzoate                          0.5 %
//!   potassium sorbate                        0.2 %
//!
//! method
//!   stir A for 20 min
//!   add B
//!   measure pH
//! ```

use crate::kb::role::Role;
use crate::kb::{Id, Lookup};
use crate::kb::schema::{Ingredient, PreservativeKind};
use crate::model::{Material, Row};
use crate::rules::fixes;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use crate::syntax::tree::{Clause, Node, Verb};
use std::collections::HashSet;

pub static RULE: Rule = Rule {
    code: "ph-order",
    title: "The pH is read too early, or set too roughly",
    group: Group::Ph,
    loudest: Severity::Hint,
    file: include_str!("ph_order.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let t = &ctx.formula.timeline;
    if !t.from_method {
        return;
    }
    if let Some(last) = t.ph_steps.iter().max() {
        let late = shifters_after(ctx, *last);
        if late.is_empty() {
            after_thickening(ctx, sink, *last);
        } else {
            let verb = if late.len() == 1 { "shifts" } else { "shift" };
            let goes = if late.len() == 1 { "goes" } else { "go" };
            let message =
                format!("the pH is read here, and later {} {goes} in and {verb} it", words::list(&late));
            sink.say(Subject::Line(*last), *last, ctx.text_span(*last), message).help("Read it again at the end").fixes(fixes::last_step(ctx, "measure pH"));
        }
    }
    acid_on_salts(ctx, sink);
}

/// What moves the pH of a product: acids, bases, buffers, and the salts of acid preservatives.
fn shifts(one: &Ingredient) -> bool {
    let sets = one.roles.primary_in(&[Role::Acid, Role::Base, Role::Buffer]);
    sets || one.acid_base.is_some() && one.preservative.as_ref().is_some_and(|p| p.kind == PreservativeKind::WeakAcid)
}

/// Names of the rows that go in after a line.
fn shifters_after<'a>(ctx: &Context<'a>, line: u32) -> Vec<&'a str> {
    let f = ctx.formula;
    let later = |n: usize| {
        let own = f.timeline.rows[n].line.filter(|l| steps_at(ctx, *l).next().is_some() && names_row(ctx, *l, n));
        own.or_else(|| f.rows[n].phase.and_then(|p| f.timeline.phases[p].added_line)).is_some_and(|l| l > line)
    };
    (0..f.rows.len())
        .filter(|n| f.rows[*n].id().is_some_and(|id| shifts(ctx.kb.get(id))) && later(*n))
        .map(|n| f.rows[n].name.value.as_str())
        .collect()
}

/// A step that puts this very material in.
fn names_row(ctx: &Context, line: u32, row: usize) -> bool {
    let id = ctx.formula.rows[row].id();
    steps_at(ctx, line)
        .flat_map(|c| &c.objects)
        .any(|o| matches!(ctx.kb.lookup(&o.value), Lookup::Known { id: named, .. } if Some(named) == id))
}

fn steps_at<'a>(ctx: &Context<'a>, line: u32) -> impl Iterator<Item = &'a Clause> {
    let node = ctx.tree.lines.get(line as usize).map(|at| &at.line.node);
    match node {
        Some(Node::Step(s)) => s.clauses.as_slice(),
        _ => &[],
    }
    .iter()
}

/// The only readings come after a step that thickens.
fn after_thickening(ctx: &Context, sink: &mut Sink, last: u32) {
    let first = ctx.formula.timeline.ph_steps.iter().min().copied().unwrap_or(last);
    let thick = (0..first).find(|l| steps_at(ctx, *l).any(|c| c.verb.as_ref().is_some_and(|v| v.value == Verb::Thicken)));
    if let Some(thick) = thick {
        sink.say(Subject::Line(first), first, ctx.text_span(first), "the pH is first read when the batch is thick, where a probe reads slowly")
            .help("Read it before thickening, or on a sample thinned with distilled water")
            .related(thick, ctx.text_span(thick), "thickened here");
    }
}

/// Acid as it comes from the jar, poured on the salt of an acid preservative.
fn acid_on_salts(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let salt = f.rows.iter().find(|r| {
        r.id().map(|id| ctx.kb.get(id)).is_some_and(|e| {
            e.acid_base.as_ref().is_some_and(|a| a.strong_charge > 0)
                && e.preservative.as_ref().is_some_and(|p| p.kind == PreservativeKind::WeakAcid)
        })
    });
    let Some(salt) = salt else { return };
    let made_up = made_up(ctx);
    for line in 0..ctx.tree.lines.len() as u32 {
        let named = steps_at(ctx, line)
            .filter(|c| c.verb.as_ref().is_some_and(|v| matches!(v.value, Verb::AdjustPh | Verb::Add | Verb::Pour)))
            .flat_map(|c| c.with.iter().chain(&c.objects));
        let neat = named
            .filter(|w| !["solution", "dilut", "dissolved", "in water"].iter().any(|d| w.value.to_lowercase().contains(d)))
            .find(|w| match ctx.kb.lookup(&w.value) {
                Lookup::Known { id, strength: None } => ctx.kb.get(id).roles.primary_is(Role::Acid) && !made_up.contains(&id),
                _ => false,
            });
        if let Some(acid) = neat {
            let message = format!(
                "{} added undiluted makes crystals fall out of {}",
                acid.value, salt.name.value
            );
            sink.say(Subject::Line(line), line, ctx.text_span(line), message).help("Dissolve it to 10 to 20 % first, and add it drop by drop").related(salt.line, salt.name.span, "what falls out");
            return;
        }
    }
}

/// Materials of which some row is a solution already.
fn made_up(ctx: &Context) -> HashSet<Id> {
    let solution = |r: &Row| match r.material {
        Material::Known { id, strength: Some(_) } => Some(id),
        _ => None,
    };
    ctx.formula.rows.iter().filter_map(solution).collect()
}
