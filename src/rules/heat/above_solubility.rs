//! # More than dissolves
//!
//! There is more of it than this much water, or oil, dissolves in the cold.
//!
//! ## Why
//! What dissolved hot falls out on standing as crystals: gritty, uneven, partly lost. Solvents whose share is known are added up; where another solvent may help and by how much is not known, or where the pH decides and is not said, the rule is silent. For an acid the part that the pH turns into ions counts as dissolved.
//!
//! ## What to do
//! Use less, more solvent, or a salt or derivative that dissolves better. A suspension on purpose: declare `type: suspension`.
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
//!   xanthan gum                              0.5 %
//!   disodium EDTA                            12 %
//!                                            ^^^^ dissolves
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```
//!
//! ```formula,good
//! formula "Face gel"
//!   product: face gel, leave-on
//!   type: gel
//!   pH: 6.0 to 6.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   xanthan gum                              0.5 %
//!   disodium EDTA                            0.1 %
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```

use crate::kb::role::Role;
use crate::kb::number::Number;
use crate::kb::schema::{Dissolves, Ingredient, Solubility};
use crate::model::component::ComponentKind;
use crate::model::system::{self, System};
use crate::rules::finding::{Level, Target};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::{Decimal, RoundingStrategy};

pub static RULE: Rule = Rule {
    code: "above-solubility",
    title: "More than dissolves",
    group: Group::HeatAndPhase,
    loudest: Severity::Warning,
    yields_to: &["banned", "above-legal-limit", "family-above-limit"],
    file: include_str!("above_solubility.rs"),
    check,
    ..Rule::DEFAULT
};

/// Solutions are kept at room temperature; figures up to here say what stays dissolved.
const WARMEST_STORE: Decimal = Decimal::from_parts(30, 0, 0, false, 0);

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    if f.has_unknown || !matches!(ctx.system(), System::Watery | System::Surfactant | System::Emulsion(_)) || f.product.has("scrub") {
        return;
    }
    let tolerance = ctx.kb.threshold("solubility-tolerance").value.0;
    let around = Around::of(ctx);
    for (n, row) in f.rows.iter().enumerate() {
        let Some(id) = row.id() else { continue };
        let entry = ctx.kb.get(id);
        // Judged once, on the largest row.
        if entry.solubility.is_empty() || ctx.largest_row_of(id) != Some(n) {
            continue;
        }
        let percent = f.percent_of(id);
        let Some((most, figure)) = capacity(ctx, &around, entry) else { continue };
        if percent <= most * (Decimal::ONE + tolerance) {
            continue;
        }
        let alone = row.id() == Some(id) && f.components_of(id).len() == 1;
        let target = alone.then(|| Target {
            row: n,
            level: Level::AtMost(down(row.percent.unwrap_or(percent) * most / percent)),
            what: "it".to_owned(),
            as_what: "the most that dissolves here",
            others_too: true,
        });
        let warm = figure.at_c.map_or(String::new(), |c| format!(" (at {c} °C)"));
        let message = format!(
            "of {} only about {} dissolves here{warm}",
            words::dosed(percent, &row.name.value),
            words::share(most)
        );
        let rest = if is_oily_liquid(entry) { "clouds it or floats" } else { "falls out as crystals" };
        sink.say(Subject::Row(n), row.line, row.amount.span, message)
            .help(if target.is_some() { "add more of what dissolves it" } else { "Use less, or add more of what dissolves it" })
            .why(format!("the rest {rest}"))
            .rests_on(figure)
            .ask(target);
    }
}

/// What dissolves in oil and melts at nothing that is known: drops, not crystals.
fn is_oily_liquid(entry: &Ingredient) -> bool {
    entry.dissolves == Some(Dissolves::Oil) && entry.melts_c.is_none()
}

/// To two significant digits, never up.
fn down(n: Decimal) -> Decimal {
    n.round_sf_with_strategy(2, RoundingStrategy::ToZero).unwrap_or(n).normalize()
}

/// What may dissolve more than water or oil alone would.
struct Around<'a> {
    /// Solvents other than water, with their percent.
    solvents: Vec<(&'a str, Decimal)>,
    micelles: Decimal,
}

impl<'a> Around<'a> {
    fn of(ctx: &Context<'a>) -> Around<'a> {
        let mut out = Around { solvents: Vec::new(), micelles: Decimal::ZERO };
        for s in ctx.formula.components.iter().filter(|s| s.kind == ComponentKind::Substance) {
            let one = ctx.kb.get(s.id);
            if one.roles.has(Role::Solvent) && !system::is_water(one) && one.dissolves != Some(Dissolves::Oil) {
                out.solvents.push((&one.id, s.typical));
            }
            if one.roles.has_any(&[Role::Solubilizer, Role::Surfactant]) {
                out.micelles += s.typical;
            }
        }
        out
    }

    /// Percent of the solvents other than water that no figure tells of.
    fn cosolvents(&self, figures: &[&Solubility]) -> Decimal {
        self.solvents.iter().filter(|(id, _)| !figures.iter().any(|s| s.r#in == *id)).map(|(_, percent)| *percent).sum()
    }
}

/// Percent of the formula that dissolves; none where that cannot be known.
fn capacity<'a>(ctx: &Context, around: &Around, entry: &'a Ingredient) -> Option<(Decimal, &'a Solubility)> {
    let f = ctx.formula;
    let cold = |s: &&Solubility| s.at_c.is_none_or(|c| c.0 <= WARMEST_STORE);
    let figures: Vec<&Solubility> = entry.solubility.iter().filter(cold).collect();
    if unknown_solvent(ctx, around, entry, &figures) {
        return None;
    }
    let mut whole = Decimal::ZERO;
    let mut main: Option<(&Solubility, Decimal)> = None;
    for s in &figures {
        let solvent = match s.r#in.as_str() {
            // A little of another solvent is taken to dissolve as much as water does.
            "water" => f.water_percent + around.cosolvents(&figures),
            "oil" => f.oil_percent,
            id => ctx.kb.by_id(id).map_or(Decimal::ZERO, |id| f.percent_of(id)),
        };
        let part = s.g_per_100g.0 * (solvent / Decimal::ONE_HUNDRED);
        // Of two figures for one solvent the larger is given the benefit.
        let better = figures.iter().any(|o| o.r#in == s.r#in && o.g_per_100g > s.g_per_100g);
        if better {
            continue;
        }
        whole += part;
        if main.is_none_or(|(_, most)| part > most) {
            main = Some((s, part));
        }
    }
    let factor = ions(ctx, entry)?;
    main.filter(|_| !whole.is_zero()).map(|(s, _)| (whole * factor, s))
}

/// How many times more dissolves because part of an acid is ions at this pH: 1 for what is no acid; none where the pH is not said.
fn ions(ctx: &Context, entry: &Ingredient) -> Option<Decimal> {
    let acid = entry
        .acid_base
        .as_ref()
        .map_or(!entry.pka.is_empty(), |a| a.protonated_charge == 0 && a.strong_charge == 0 && !entry.pka.is_empty());
    if !acid {
        // A base, or a salt that another pH turns into its acid: the figure is for its own solution.
        let own = entry.acid_base.as_ref().is_none_or(|a| a.protonated_charge == 0) || entry.pka.is_empty();
        return own.then_some(Decimal::ONE);
    }
    let aim = ctx.ph_aim()?;
    let undissociated = system::active_share(entry.pka[0].value.f64(), Number(aim.high).f64());
    Decimal::try_from((1.0 / undissociated).min(1e6)).ok()
}

/// A solvent that may take up some, and nobody says how much.
fn unknown_solvent(ctx: &Context, around: &Around, entry: &Ingredient, figures: &[&Solubility]) -> bool {
    let f = ctx.formula;
    let known = |id: &str| figures.iter().any(|s| s.r#in == id);
    if !known("water") && !known("oil") || system::has_role(entry, Role::Solvent) {
        return true;
    }
    // What is at home in water alone is helped little by others, and by neither oil nor micelles.
    let enough = ctx.kb.threshold(if is_watery(entry) { "cosolvent-watery-percent" } else { "cosolvent-percent" }).value.0;
    let oils = f.oil_percent;
    around.cosolvents(figures) >= enough || !is_watery(entry) && (!known("oil") && oils >= enough || around.micelles >= Decimal::ONE)
}

fn is_watery(entry: &Ingredient) -> bool {
    entry.dissolves == Some(Dissolves::Water) && entry.preservative.as_ref().is_none_or(|p| p.partition.is_empty())
}
