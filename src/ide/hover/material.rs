//! On the name of a row: the card of its ingredient, with what becomes of it here.

use crate::ide::figures;
use crate::ide::{Snapshot, words::text};
use crate::kb::card::Card;
use crate::kb::{Id, Lookup};
use crate::model::product::Applies;
use crate::model::timeline::History;
use crate::model::{Formula, Material, Row, hlb};
use crate::rules::words;
use crate::syntax::tree::Amount;

/// Some editors show ten lines of a hover and no more: so many come before names, figures and sources.
const FIRST_LINES: usize = 9;

/// `found`: the findings on it, and what they rest on.
pub(super) fn row(s: &Snapshot, line: u32, found: &str) -> Option<String> {
    let n = s.row_on(line)?;
    let f = s.formula.as_ref()?;
    let row = &f.rows[n];
    Some(match &row.material {
        Material::Known { id, .. } => {
            let card = card(s, f, *id);
            let degrees = |c| s.degrees().show(c);
            let mut first = [
                here(s, f, n),
                super::law::verdicts(s, f, n, Some(&card)),
                card.first(&degrees),
            ]
            .concat();
            if first.lines().count() < FIRST_LINES {
                first.push_str(&emulsifies(s, f, n));
            }
            let gap = if found.is_empty() { "" } else { "\n" };
            [&first, gap, found, &card.further(&degrees)].concat()
        }
        Material::Nested(inner) => [
            &here(s, f, n),
            &super::law::verdicts(s, f, n, None),
            "\n",
            &nested(s, row, inner),
            found,
        ]
        .concat(),
        Material::Ambiguous(ids) => ambiguous(s, &row.name.value, ids) + found,
        Material::Unknown => unknown(s, &row.name.value) + found,
        Material::Unusable(why) => format!(
            "**{}** cannot be used: {}.",
            text(&row.name.value),
            text(why)
        ),
    })
}

/// A name outside a formula: only the card.
pub(super) fn named(s: &Snapshot, name: &str) -> Option<String> {
    match s.kb.lookup(name) {
        Lookup::Known { id, .. } => {
            Some(Card::of(&s.kb, id, s.markets()).markdown(&|c| s.degrees().show(c)))
        }
        Lookup::Ambiguous(ids) => Some(ambiguous(s, name, &ids)),
        Lookup::Unknown => (!name.trim().is_empty()).then(|| unknown(s, name)),
    }
}

/// The card, the use levels of this kind of product first, without the limits that are about other kinds.
fn card(s: &Snapshot, f: &Formula, id: Id) -> Card {
    let mut card = Card::of(&s.kb, id, s.markets());
    let all = card.limits.len();
    card.limits
        .retain(|l| f.product.fits(&l.scope, &l.not_scope) != Applies::No);
    card.limits_for_others = all - card.limits.len();
    card.r#use.sort_by_key(|u| {
        let word = std::slice::from_ref(&u.product);
        (
            f.product.fits(word, &[]) != Applies::Yes,
            u.product != "any",
        )
    });
    card
}

/// "Here: 3 % in phase B, 7.5 g; goes in at 20 °C, gets to 75 °C, held for 15 min".
fn here(s: &Snapshot, f: &Formula, n: usize) -> String {
    let row = &f.rows[n];
    let mut parts = Vec::new();
    let phase = f
        .phase_of(n)
        .filter(|p| !p.label.is_empty())
        .map_or(String::new(), |p| {
            format!(
                " in {} {}",
                if p.premix { "premix" } else { "phase" },
                text(&p.label)
            )
        });
    match row.percent {
        Some(p) if p.is_zero() && matches!(row.amount.value, Amount::Enough { .. }) => {
            parts.push(format!("as much as it takes{phase}"))
        }
        Some(p) => {
            let grams = figures::weights(s, f).rows[n]
                .map_or(String::new(), |g| format!(", {}", figures::grams_words(g)));
            parts.push(format!("{}{phase}{grams}", words::percent(p)));
        }
        None => parts.push(format!("amount not known{phase}")),
    }
    if let Material::Known {
        strength: Some(strength),
        ..
    } = &row.material
    {
        let of_it = row.percent.map_or(String::new(), |p| {
            format!(", so {} of it pure", words::percent(pure(f, n, p)))
        });
        parts.push(format!(
            "a strength of {}{of_it}",
            words::percent(strength.percent)
        ));
    }
    parts.extend(f.timeline.rows.get(n).and_then(|h| history(s, h)));
    format!("**Here:** {}\n", parts.join("; "))
}

/// Of an emulsifier: how all of them stand to the oils.
fn emulsifies(s: &Snapshot, f: &Formula, n: usize) -> String {
    let known = f.rows.iter().all(|r| r.percent.is_some());
    if !known
        || hlb::asked(f, &s.kb, |_| true).is_none()
        || !hlb::emulsifiers(f, &s.kb).iter().any(|p| p.row == n)
    {
        return String::new();
    }
    format!(
        "- **HLB of the whole:** {}\n",
        super::heading::balance_words(s, f)
    )
}

/// What it goes through: how warm it is when it goes in, the highest from then on, how long it is held there.
fn history(s: &Snapshot, h: &History) -> Option<String> {
    let shown = |c| s.degrees().show(c);
    let highest = h.highest_c?;
    let held = h
        .minutes
        .filter(|m| !m.is_zero())
        .map_or(String::new(), |m| {
            format!(", held for {} min", words::number(m, 1))
        });
    Some(match h.added_c {
        Some(added) if added == highest => {
            format!("goes in at {} and gets no warmer{held}", shown(added))
        }
        Some(added) => format!(
            "goes in at {}, gets to {}{held}",
            shown(added),
            shown(highest)
        ),
        None => format!("gets to {}{held}", shown(highest)),
    })
}

/// What the row holds of the material itself, as the composition was worked out.
fn pure(f: &Formula, n: usize, percent: rust_decimal::Decimal) -> rust_decimal::Decimal {
    f.rows[n].id().map_or(percent, |id| {
        f.components_of(id)
            .iter()
            .filter(|x| x.row == n)
            .map(|x| x.typical)
            .sum()
    })
}

fn nested(s: &Snapshot, row: &Row, inner: &Formula) -> String {
    let name = inner
        .name
        .as_ref()
        .map_or(row.name.value.as_str(), |n| n.value.as_str());
    let mut out = format!("**{}**, made earlier\n\n", text(name));
    out.push_str(&format!(
        "- **Its sum:** {}\n- **Made of:**\n",
        figures::total_words(inner)
    ));
    for r in inner.rows.iter().take(LONGEST_LIST) {
        let share = match (r.percent, row.percent) {
            (Some(own), Some(outer)) => {
                format!(
                    "{}, here {}",
                    words::percent(own),
                    words::percent((own * outer / rust_decimal::Decimal::ONE_HUNDRED).round_dp(4))
                )
            }
            (Some(own), None) => words::percent(own),
            _ => "amount not known".to_owned(),
        };
        out.push_str(&format!("  - {}: {share}\n", text(&r.name.value)));
    }
    if inner.rows.len() > LONGEST_LIST {
        out.push_str(&format!(
            "  - and {} more\n",
            inner.rows.len() - LONGEST_LIST
        ));
    }
    let aim = crate::model::system::ph_aim(inner);
    if let Some(aim) = aim {
        let range = if aim.low == aim.high {
            aim.low.normalize().to_string()
        } else {
            format!("{} to {}", aim.low.normalize(), aim.high.normalize())
        };
        out.push_str(&format!("- **Its pH:** {range}\n"));
    }
    out.push_str(&format!(
        "- **File:** {}\n",
        text(
            &crate::model::file_loader::resolve_relative(&s.path, &row.name.value)
                .display()
                .to_string()
        )
    ));
    out
}

const LONGEST_LIST: usize = 20;

fn ambiguous(s: &Snapshot, name: &str, ids: &[Id]) -> String {
    let mut out = format!(
        "**{}** is the name of several materials. Write the one you have:\n\n",
        text(name)
    );
    let mut ids = ids.to_vec();
    ids.sort_by_cached_key(|id| s.kb.commonness(*id));
    for id in &ids {
        let one = s.kb.get(*id);
        let role = one.roles.primary().map_or(String::new(), |r| {
            format!(": {}", r.as_str().replace('-', " "))
        });
        out.push_str(&format!("- {}{role}\n", text(s.kb.name(*id))));
    }
    out
}

fn unknown(s: &Snapshot, name: &str) -> String {
    let near = s.kb.nearest(name);
    let mut out = format!("**{}** is not known.\n", text(name));
    if near.is_empty() {
        out.push_str("\nCheck the spelling, or describe it in your own ingredients folder.\n");
    } else {
        out.push_str("\nNear to it:\n");
        for (_, n) in near {
            out.push_str(&format!("- {}\n", text(&n)));
        }
    }
    out
}
