//! The long lists of prohibited substances (`prohibited/`): each line becomes a small entry of the base, and a ban of each market of its group.

use crate::role::Role;
use crate::schema::{
    Ban, Ingredient, LawFile, PROHIBITED, ProhibitedFile, ProhibitedGroup, ProhibitedIn,
    ProhibitedSubstance, ReviewStatus,
};
use smol_str::{SmolStr, format_smolstr};
use std::collections::BTreeMap;

/// The entries of a list, and its bans put into the laws of their markets.
pub fn expand(file: &ProhibitedFile, laws: &mut [LawFile]) -> Vec<Ingredient> {
    let mut out = Vec::new();
    for group in &file.group {
        let mut by_entry: BTreeMap<&SmolStr, Vec<SmolStr>> = BTreeMap::new();
        for one in &group.substances {
            by_entry.entry(&one.entry).or_default().push(one.id.clone());
        }
        for place in &group.r#in {
            let Some(law) = laws.iter_mut().find(|l| l.market == place.market) else {
                continue;
            };
            for (entry, ids) in &by_entry {
                let first = &ids[0];
                law.ban.push(ban(
                    group,
                    place,
                    entry,
                    format_smolstr!("prohibited-{first}"),
                    ids,
                ));
                if let Some(words) = &group.elsewhere {
                    let one = ban(
                        group,
                        place,
                        entry,
                        format_smolstr!("prohibited-{first}-elsewhere"),
                        ids,
                    );
                    law.ban.push(Ban {
                        in_scope: Vec::new(),
                        conditions: Some(words.clone()),
                        review: ReviewStatus::NeedsReview,
                        ..one
                    });
                }
            }
        }
        let purpose = group.purpose.as_deref();
        out.extend(group.substances.iter().map(|one| entry_of(one, purpose)));
    }
    out
}

fn ban(
    group: &ProhibitedGroup,
    place: &ProhibitedIn,
    entry: &str,
    id: SmolStr,
    substances: &[SmolStr],
) -> Ban {
    let numbered = entry.starts_with(|c: char| c.is_ascii_digit());
    let at = if numbered {
        format_smolstr!("{}, entry {entry}", place.at)
    } else {
        format_smolstr!("{}, {entry}", place.at)
    };
    Ban {
        id,
        substances: substances.to_vec(),
        purpose: group.purpose.clone(),
        in_scope: group.in_scope.clone(),
        only_scope: Vec::new(),
        unless: group.unless.clone(),
        trace_percent: None,
        conditions: None,
        from: group.from.clone(),
        sell_through: group.sell_through.clone(),
        superseded: None,
        review: place.review,
        source: place.source.clone(),
        at: Some(at),
    }
}

fn entry_of(one: &ProhibitedSubstance, purpose: Option<&str>) -> Ingredient {
    // What is prohibited as a perfume is one.
    let role = if purpose == Some("fragrance") {
        Role::Aroma
    } else {
        Role::Toxic
    };
    Ingredient {
        id: one.id.clone(),
        family: PROHIBITED.into(),
        names: one.names.clone(),
        cas: one.cas.clone(),
        roles: vec![role].into(),
        ..Ingredient::default()
    }
}
