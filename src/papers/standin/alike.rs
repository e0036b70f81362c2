//! How alike two materials are for the work that one does in a formula.

use crate::kb::Id;
use crate::kb::role::Role;
use crate::kb::schema::{Figure, Ingredient, Range};
use crate::model::system;
use crate::papers::FormulaContext;
use crate::rules::words;

pub(super) struct Candidate {
    pub id: Id,
    pub score: f64,
    pub reasons: Vec<String>,
}

/// Roles in which charge decides whether two materials bear each other.
const CHARGED_WORK: &[Role] = &[
    Role::Emulsifier,
    Role::Surfactant,
    Role::Thickener,
    Role::Conditioner,
];
/// Of so much difference each costs a point.
const HLB_STEP: f64 = 2.0;
const MELTING_STEP_C: f64 = 10.0;
const IODINE_STEP: f64 = 40.0;
/// Below this it is another kind of thing.
const ALIKE_FROM: f64 = 3.0;

/// Best first; the base's own list of stand-ins before all.
pub(super) fn candidates(work: &FormulaContext, id: Id, rows: &[usize]) -> Vec<Candidate> {
    let kb = work.kb;
    let one = kb.get(id);
    let there: Vec<Id> = work.formula.rows.iter().filter_map(|r| r.id()).collect();
    let listed: Vec<Id> = one.substitutes.iter().filter_map(|s| kb.by_id(s)).collect();
    let mut out: Vec<Candidate> = kb
        .ids()
        .filter(|other| *other != id && !there.contains(other))
        .filter_map(|other| {
            let place = listed.iter().position(|l| *l == other);
            let (score, mut reasons) = alike(one, kb.get(other))?;
            let bonus = place.map_or(0.0, |p| 6.0 - p.min(4) as f64);
            if place.is_some() {
                reasons.insert(0, "named in the base as one that can stand in".to_owned());
            }
            let score = score + bonus + level(work, other, rows);
            (score >= ALIKE_FROM).then_some(Candidate {
                id: other,
                score,
                reasons,
            })
        })
        .collect();
    out.sort_by(|a, b| {
        b.score
            .total_cmp(&a.score)
            .then_with(|| kb.name(a.id).cmp(kb.name(b.id)))
    });
    out
}

/// None where it cannot do the same work at all.
fn alike(a: &Ingredient, b: &Ingredient) -> Option<(f64, Vec<String>)> {
    let first = a.roles.primary()?;
    if !system::has_role(b, first) {
        return None;
    }
    // What is no water phase's is no oil phase's, whatever its role.
    if a.dissolves.is_some()
        && b.dissolves.is_some()
        && a.dissolves != b.dissolves
        && !both_ways(a, b)
    {
        return None;
    }
    let charged = a.roles.has_any(CHARGED_WORK);
    if charged && a.charge.is_some() && b.charge.is_some() && a.charge != b.charge {
        return None;
    }
    let mut score = 2.0;
    let mut reasons = Vec::new();
    let mut shared: Vec<&str> = a
        .roles
        .iter()
        .filter(|r| system::has_role(b, **r))
        .map(|r| r.as_str())
        .collect();
    score += shared.len().saturating_sub(1) as f64;
    // Its main work is the other's main work too.
    if b.roles.primary_is(first) {
        score += 1.5;
    }
    shared.truncate(3);
    reasons.push(format!("works as {}", words::list(&shared)));
    if a.family == b.family {
        score += 2.0;
        reasons.push(format!(
            "of the same family: {}",
            a.family.replace('-', " ")
        ));
    }
    if a.phase.first() == b.phase.first() {
        score += 1.0;
    }
    // A blend brings more than what is asked for; the plain material is the plainer answer.
    if a.composition.is_empty() != b.composition.is_empty() {
        score -= 1.5;
    }
    score -= steps(figure(&a.hlb), figure(&b.hlb), HLB_STEP);
    score -= steps(figure(&a.required_hlb), figure(&b.required_hlb), HLB_STEP);
    score -= melting(a, b)?;
    score -= steps(
        middle(a.iodine_value.as_deref()),
        middle(b.iodine_value.as_deref()),
        IODINE_STEP,
    );
    if a.preservative.is_some() != b.preservative.is_some() {
        return None;
    }
    Some((score, reasons))
}

fn both_ways(a: &Ingredient, b: &Ingredient) -> bool {
    use crate::kb::schema::Dissolves::{Both, Disperses, Water};
    let pair = (a.dissolves, b.dissolves);
    matches!(
        pair,
        (Some(Both), Some(_))
            | (Some(_), Some(Both))
            | (Some(Water), Some(Disperses))
            | (Some(Disperses), Some(Water))
    )
}

/// A wax for a liquid oil is no stand-in: points by the difference, none where one is solid and the other is not.
fn melting(a: &Ingredient, b: &Ingredient) -> Option<f64> {
    match (middle(a.melts_c.as_deref()), middle(b.melts_c.as_deref())) {
        (Some(a), Some(b)) => Some((a - b).abs() / MELTING_STEP_C),
        (None, None) => Some(0.0),
        // Liquids have no melting range in the base; what melts above the skin's warmth is solid.
        (Some(t), None) | (None, Some(t)) if t > 30.0 && has_oil_work(a) => None,
        _ => Some(0.5),
    }
}

fn has_oil_work(one: &Ingredient) -> bool {
    one.roles.has_any(&[
        Role::Oil,
        Role::Butter,
        Role::Wax,
        Role::Emollient,
        Role::FattyAlcohol,
    ])
}

/// Whether the share that is taken is usual for the other as well; two points off where it is not.
fn level(work: &FormulaContext, other: Id, rows: &[usize]) -> f64 {
    let Some(percent) = rows.iter().try_fold(rust_decimal::Decimal::ZERO, |s, n| {
        s.checked_add(work.formula.rows[*n].percent?)
    }) else {
        return 0.0;
    };
    let one = work.kb.get(other);
    let fits = |u: &crate::kb::schema::UseLevel| {
        (u.product == "any" || work.formula.product.has(&u.product))
            && u.low.is_none_or(|l| percent >= l.0)
            && u.high.is_none_or(|h| percent <= h.0)
    };
    if one.r#use.is_empty() || one.r#use.iter().any(fits) {
        0.0
    } else {
        -2.0
    }
}

fn figure(f: &Option<Box<Figure>>) -> Option<f64> {
    f.as_ref().map(|f| f.value.f64())
}

fn middle(r: Option<&Range>) -> Option<f64> {
    let r = r?;
    match (r.low, r.high) {
        (Some(l), Some(h)) => Some((l.f64() + h.f64()) / 2.0),
        (l, h) => l.or(h).map(|n| n.f64()),
    }
}

/// How many steps apart; nothing known of one side counts as one.
fn steps(a: Option<f64>, b: Option<f64>, step: f64) -> f64 {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() / step,
        (None, None) => 0.0,
        _ => 1.0,
    }
}
