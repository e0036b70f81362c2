//! Words that the law of the markets asks for on the label, by what is in the product and what kind of product it is.

use super::{Hit, Hits, factor};
use crate::chem::date::Date;
use crate::kb::law::{Law, Status};
use crate::kb::role::Role;
use crate::kb::schema::{SourceKind, Warning};
use crate::kb::{Id, Kb, Market};
use crate::model::Formula;
use crate::model::component::{Component, ComponentKind};
use crate::model::product::Applies;
use rust_decimal::Decimal;

/// Words that a row of law asks for.
#[derive(Clone, Debug)]
pub struct WarningHit {
    pub market: Market,
    pub law: &'static Law,
    pub warning: &'static Warning,
    pub status: Status,
    pub applies: Applies,
    /// The substances that ask for them. None: the kind of product does.
    pub because_of: Vec<Id>,
}

impl Hit for WarningHit {
    fn status(&self) -> Status {
        self.status
    }
}

/// All warnings that apply or may apply, in the order of the law.
pub(super) fn warnings(f: &Formula, kb: &Kb, markets: &[Market], today: Date) -> Hits<WarningHit> {
    let mut out = Vec::new();
    for law in kb.laws_of(markets) {
        for warning in law.warning.naming_any_or_none(f.substances()) {
            let applies = f.product.fits(&warning.scope, &warning.not_scope);
            let because_of = held(warning, f, kb);
            if applies == Applies::No || because_of.is_empty() && !warning.substances.is_empty() {
                continue;
            }
            out.push(WarningHit {
                market: law.market,
                law,
                warning,
                status: Status::of(warning, today),
                applies,
                because_of,
            });
        }
    }
    Hits(out)
}

/// The substances that ask for the words, where together they are above the row's share. Traces inside natural materials
/// count only where the law states a share.
fn held(one: &Warning, f: &Formula, kb: &Kb) -> Vec<Id> {
    let mut sum = Decimal::ZERO;
    let mut out = Vec::new();
    for id in one.substances.iter().filter_map(|s| kb.by_id(s)) {
        let (brought, own): (Vec<&Component>, Vec<&Component>) = f
            .components_of(id)
            .iter()
            .partition(|s| s.kind == ComponentKind::Constituent);
        let is_there = own.iter().any(|s| !s.typical.is_zero() || s.unmeasured);
        let brought: Decimal = match one.above_percent {
            Some(_) => brought.iter().map(|s| s.max).sum(),
            None => Decimal::ZERO,
        };
        if is_there || !brought.is_zero() {
            let counts = factor(kb, kb.get(id), one.r#as.as_deref()).unwrap_or(Decimal::ONE);
            let own: Decimal = own.iter().map(|s| s.typical).sum();
            sum += (own + brought) * counts;
            out.push(id);
        }
    }
    // What no law asks for is advice on acids that work, not on the drop that sets the pH.
    let advice = kb
        .source(&one.source)
        .is_none_or(|s| s.kind != SourceKind::Law);
    let acids = out.iter().all(|id| {
        kb.get(*id)
            .roles
            .primary_in(&[Role::Acid, Role::Exfoliant, Role::Buffer])
    });
    match one.above_percent {
        Some(limit) if sum <= limit.0 => Vec::new(),
        None if advice && acids && sum < kb.threshold("hydroxy-acid-counts-percent").value.0 => {
            Vec::new()
        }
        _ => out,
    }
}
