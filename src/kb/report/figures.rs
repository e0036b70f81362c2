//! Every figure with the source that it names.

use crate::kb::schema::*;

/// Each figure of an ingredient: its field and the id of its source.
pub fn figures(i: &Ingredient) -> Vec<(&'static str, &str)> {
    let mut out: Vec<(&'static str, &str)> = Vec::new();
    let single = [
        ("molar_mass", &i.molar_mass),
        ("add_below_c", &i.add_below_c),
        ("density_g_ml", &i.density_g_ml),
        ("hlb", &i.hlb),
        ("required_hlb", &i.required_hlb),
        ("active_percent", &i.active_percent),
        ("bears_salt_percent", &i.bears_salt_percent),
        ("norrish_k", &i.norrish_k),
        ("shelf_life_months", &i.shelf_life_months),
        ("bulk_density_g_ml", &i.bulk_density_g_ml),
        ("phototoxic_max_percent", &i.phototoxic_max_percent),
    ];
    out.extend(i.skin_max.iter().map(|m| ("skin_max", m.source.as_str())));
    out.extend(
        single
            .into_iter()
            .filter_map(|(name, f)| f.as_ref().map(|f| (name, f.source.as_str()))),
    );
    let ranges = [
        ("melts_c", &i.melts_c),
        ("iodine_value", &i.iodine_value),
        ("saponification_value", &i.saponification_value),
        ("polyunsaturated_percent", &i.polyunsaturated_percent),
        ("ph.gives", &i.ph.gives),
        ("ph.bears", &i.ph.bears),
        ("ph.works", &i.ph.works),
    ];
    out.extend(
        ranges
            .into_iter()
            .filter_map(|(name, r)| r.as_ref().map(|r| (name, r.source.as_str()))),
    );
    out.extend(i.bears_c.iter().map(|b| ("bears_c", b.source.as_str())));
    out.extend(i.pka.iter().map(|f| ("pka", f.source.as_str())));
    out.extend(
        i.groups
            .iter()
            .flat_map(|g| [&g.mmol_g, &g.pka, &g.neutralised])
            .map(|r| ("groups", r.source.as_str())),
    );
    out.extend(
        i.solubility
            .iter()
            .map(|s| ("solubility", s.source.as_str())),
    );
    out.extend(
        i.constituents
            .iter()
            .map(|c| ("constituents", c.source.as_str())),
    );
    out.extend(i.r#use.iter().map(|u| ("use", u.source.as_str())));
    if let Some(p) = &i.preservative {
        out.extend(
            p.spectrum
                .iter()
                .map(|s| ("preservative.spectrum", s.source.as_str())),
        );
        out.extend(
            p.effective
                .iter()
                .map(|e| ("preservative.effective", e.source.as_str())),
        );
        out.extend(
            p.partition
                .iter()
                .map(|k| ("preservative.partition", k.source.as_str())),
        );
        out.extend(
            p.binding
                .iter()
                .map(|b| ("preservative.binding", b.source.as_str())),
        );
    }
    out
}

/// Each row of a law: its field and its source.
pub(super) fn law_rows(law: &LawFile) -> Vec<(&'static str, &str)> {
    let mut out: Vec<(&'static str, &str)> = Vec::new();
    out.extend(law.limit.iter().map(|r| ("law.limit", r.source.as_str())));
    out.extend(law.ban.iter().map(|r| ("law.ban", r.source.as_str())));
    out.extend(
        law.allergen
            .iter()
            .map(|r| ("law.allergen", r.source.as_str())),
    );
    out.extend(law.colour.iter().map(|r| ("law.colour", r.source.as_str())));
    out.extend(
        law.warning
            .iter()
            .map(|r| ("law.warning", r.source.as_str())),
    );
    out.extend(
        law.medicine
            .iter()
            .map(|r| ("law.medicine", r.source.as_str())),
    );
    out.extend(law.duty.iter().map(|r| ("law.duty", r.source.as_str())));
    out
}
