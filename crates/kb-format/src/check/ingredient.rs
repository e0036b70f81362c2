//! One ingredient.

use super::registry::{cas_valid, ec_valid};
use super::{At, Checker, join};
use crate::schema::*;
use rust_decimal::Decimal;
use smol_str::SmolStr;

/// The single figures of an ingredient, by key.
fn figures(i: &Ingredient) -> [(&'static str, Option<&Figure>); 11] {
    [
        ("molar_mass", i.molar_mass.as_deref()),
        ("add_below_c", i.add_below_c.as_deref()),
        ("density_g_ml", i.density_g_ml.as_deref()),
        ("bulk_density_g_ml", i.bulk_density_g_ml.as_deref()),
        ("hlb", i.hlb.as_deref()),
        ("required_hlb", i.required_hlb.as_deref()),
        ("active_percent", i.active_percent.as_deref()),
        ("bears_salt_percent", i.bears_salt_percent.as_deref()),
        ("norrish_k", i.norrish_k.as_deref()),
        ("shelf_life_months", i.shelf_life_months.as_deref()),
        (
            "phototoxic_max_percent",
            i.phototoxic_max_percent.as_deref(),
        ),
    ]
}

impl Checker<'_> {
    pub(super) fn ingredient(&mut self, n: usize, i: &Ingredient) {
        let at = self.at_ingredient(n);
        self.identity(&at, i);
        self.composition(&at, i);
        self.references(&at, i);
        self.chemistry(&at, i);
        self.heat(&at, i);
        self.ph(&at, i);
        self.amounts(&at, i);
        if let Some(p) = &i.preservative {
            self.preservative(&at, i, p);
        }
    }

    fn identity(&mut self, at: &At, i: &Ingredient) {
        if i.names.is_empty() && i.inci.is_none() {
            let message = "neither a name nor an INCI name; give it one".into();
            self.report_at(at, "id", message);
        }
        // The names of a list of the law are the law's.
        if i.family != PROHIBITED {
            self.trade_names(at, "names", &i.names);
            self.trade_names(at, "loose_names", &i.ambiguous_names);
            for (path, name) in [("inci", &i.inci), ("inci_us", &i.inci_us)] {
                if let Some(name) = name {
                    self.trade_name(at, path, name);
                }
            }
        }
        for (n, cas) in i.cas.iter().enumerate() {
            if !cas_valid(cas) {
                let message = format!("CAS number {cas} has a wrong check digit or shape");
                self.report_at(at, &format!("cas.{n}"), message);
            }
        }
        for (n, ec) in i.ec.iter().enumerate() {
            if !ec_valid(ec) {
                let message = format!("EC number {ec} has a wrong check digit or shape");
                self.report_at(at, &format!("ec.{n}"), message);
            }
        }
        if self.is_unread("vocabulary.toml") {
            return;
        }
        let known = &self.base.vocabulary.cautions;
        for (n, word) in i.cautions.iter().enumerate() {
            if !known.contains(word) {
                let near = super::did_you_mean(word, known.iter().map(SmolStr::as_str));
                let message = format!("caution \"{word}\" is not in vocabulary.toml{near}");
                self.report_at(at, &format!("cautions.{n}"), message);
            }
        }
    }

    fn trade_names(&mut self, at: &At, path: &str, names: &[SmolStr]) {
        for (n, name) in names.iter().enumerate() {
            self.trade_name(at, &format!("{path}.{n}"), name);
        }
    }

    fn trade_name(&mut self, at: &At, path: &str, name: &str) {
        if looks_like_a_trade_name(name) {
            let message = format!(
                "\"{name}\" looks like a trade name; write the INCI, pharmacopoeia or everyday name"
            );
            self.report_at(at, path, message);
        }
    }

    /// Other materials and sources that it names.
    fn references(&mut self, at: &At, i: &Ingredient) {
        for (n, id) in i.substitutes.iter().enumerate() {
            self.check_ingredient_id(at, &format!("standin.{n}"), id);
        }
        if let Some(id) = &i.carrier {
            self.check_ingredient_id(at, "carrier", id);
        }
        for (n, y) in i.counts_as.iter().enumerate() {
            let path = format!("yields.{n}");
            self.check_ingredient_id(at, &join(&path, "of"), &y.of);
            if y.moles.0 <= Decimal::ZERO {
                let message = format!("counted as \"{}\" by no moles at all", y.of);
                self.report_at(at, &join(&path, "moles"), message);
            }
            let other = self.by_id.get(y.of.as_str());
            if i.molar_mass.is_none() || other.is_some_and(|o| o.molar_mass.is_none()) {
                let message = format!("to be counted as \"{}\" both need a molar_mass", y.of);
                self.report_at(at, &path, message);
            }
        }
        for (n, s) in i.solubility.iter().enumerate() {
            let path = format!("solubility.{n}");
            self.check_source(at, &join(&path, "source"), &s.source);
            if s.r#in != "oil" {
                self.check_ingredient_id(at, &join(&path, "in"), &s.r#in);
            }
        }
        for (key, figure) in figures(i) {
            if let Some(figure) = figure {
                self.check_source(at, &join(key, "source"), &figure.source);
            }
        }
        for (n, figure) in i.pka.iter().enumerate() {
            self.check_source(at, &format!("pka.{n}.source"), &figure.source);
        }
    }

    fn chemistry(&mut self, at: &At, i: &Ingredient) {
        if let Some(s) = &i.strength
            && !["w/w", "w/v", "v/v"].contains(&s.as_str())
        {
            let message = format!("strength \"{s}\" is none of w/w, w/v, v/v");
            self.report_at(at, "strength", message);
        }
        if let Some(m) = &i.molar_mass
            && m.value.0 <= Decimal::ZERO
        {
            let message = format!("a molar mass of {} is not believable", m.value);
            self.report_at(at, "molar_mass", message);
        }
        for (n, k) in i.pka.iter().enumerate() {
            if !(-5.0..=20.0).contains(&k.value.f64()) {
                let message = format!("a pKa of {} is not believable", k.value);
                self.report_at(at, &format!("pka.{n}"), message);
            }
        }
        if let Some(a) = &i.acid_base
            && i.molar_mass.is_none()
            && (a.protonated_charge != 0 || a.strong_charge != 0 || !i.pka.is_empty())
        {
            let message = "an acid, base or salt needs its molar_mass to be counted".into();
            self.report_at(at, "acid_base", message);
        }
        if i.acid_base.is_some() && !i.groups.is_empty() {
            let message = "groups are for what has no acid_base: keep one of the two".into();
            self.report_at(at, "groups.0", message);
        }
        for (n, g) in i.groups.iter().enumerate() {
            self.groups(at, &format!("groups.{n}"), g);
        }
        for (key, figure, believable) in [
            ("bulk_density_g_ml", &i.bulk_density_g_ml, 0.02..3.0),
            ("density_g_ml", &i.density_g_ml, 0.3..5.0),
        ] {
            if let Some(d) = figure
                && !believable.contains(&d.value.f64())
            {
                let what = match key {
                    "density_g_ml" => "density",
                    _ => "bulk density",
                };
                let message = format!("a {what} of {} g/mL is not believable", d.value);
                self.report_at(at, key, message);
            }
        }
    }

    /// Both ends of each range are there and can be true: no gram holds more than 50 mmol of groups (acrylic acid has 14, magnesia 50).
    fn groups(&mut self, at: &At, path: &str, g: &AcidGroups) {
        for (key, r, low, high) in [
            ("mmol_g", &g.mmol_g, 0.0, 50.0),
            ("pka", &g.pka, -5.0, 14.0),
            ("neutralised", &g.neutralised, 0.0, 1.0),
        ] {
            let path = join(path, key);
            self.check_range(at, &path, key, Some(r));
            match (r.low, r.high) {
                (Some(l), Some(h)) if l.f64() < low || h.f64() > high => {
                    let message = format!("{key} of a group lies outside {low} to {high}");
                    self.report_at(at, &path, message);
                }
                (Some(_), Some(_)) | (None, None) => {}
                _ => {
                    let message = format!("{key} of a group needs low and high");
                    self.report_at(at, &path, message);
                }
            }
        }
    }

    fn heat(&mut self, at: &At, i: &Ingredient) {
        if let (Some(a), Some(b)) = (&i.add_below_c, &i.bears_c)
            && a.value > b.value
        {
            let message = format!(
                "to be added below {} °C, yet it bears no more than {} °C",
                a.value, b.value
            );
            self.report_at(at, "add_below_c", message);
        }
        if let Some(b) = &i.bears_c {
            self.check_source(at, "bears_c.source", &b.source);
        }
        for (key, r) in [
            ("melts_c", &i.melts_c),
            ("iodine_value", &i.iodine_value),
            ("saponification_value", &i.saponification_value),
            ("polyunsaturated_percent", &i.polyunsaturated_percent),
        ] {
            self.check_range(at, key, key, r.as_deref());
        }
    }

    fn ph(&mut self, at: &At, i: &Ingredient) {
        for (path, r) in [
            ("ph.gives", &i.ph.gives),
            ("ph.bears", &i.ph.bears),
            ("ph.works", &i.ph.works),
        ] {
            self.check_range(at, path, path, r.as_deref());
            let Some(r) = r else { continue };
            let outside = |n: crate::number::Number| n.0 > 14.into() || n.0.is_sign_negative();
            if [r.low, r.high].into_iter().flatten().any(outside) {
                self.report_at(at, path, format!("{path} lies outside 0 to 14"));
            }
        }
    }

    /// How much is used.
    fn amounts(&mut self, at: &At, i: &Ingredient) {
        let outside =
            |n: crate::number::Number| n.0.is_sign_negative() || n.0 > Decimal::ONE_HUNDRED;
        for (n, u) in i.r#use.iter().enumerate() {
            let path = format!("use.{n}");
            self.check_source(at, &join(&path, "source"), &u.source);
            if u.product != "any" {
                self.check_scope_word(at, &join(&path, "product"), &u.product);
            }
            match (u.low, u.high) {
                (None, None) => self.report_at(at, &path, "a use level without a figure".into()),
                (Some(l), Some(h)) if l > h => {
                    let message = format!("use level: low {l} is above high {h}");
                    self.report_at(at, &path, message);
                }
                _ => {}
            }
            if [u.low, u.high].into_iter().flatten().any(outside) {
                self.report_at(at, &path, "a use level lies outside 0 to 100 %".into());
            }
        }
        for (n, m) in i.skin_max.iter().enumerate() {
            let path = format!("skin_max.{n}");
            self.check_source(at, &join(&path, "source"), &m.source);
            self.check_scope_words(at, &join(&path, "scope"), &m.scope);
            self.check_scope_words(at, &join(&path, "not_scope"), &m.not_scope);
            if outside(m.percent) {
                let message = "a skin maximum lies outside 0 to 100 %".into();
                self.report_at(at, &join(&path, "percent"), message);
            }
        }
    }

    fn preservative(&mut self, at: &At, i: &Ingredient, p: &Preservative) {
        if p.kind == PreservativeKind::WeakAcid && i.pka.is_empty() {
            let message = "a preservative that works by its active form needs a pka".into();
            self.report_at(at, "preservative.kind", message);
        }
        if let Some(s) = &p.spectrum {
            self.check_source(at, "preservative.spectrum.source", &s.source);
            let reach = [s.gram_positive, s.gram_negative, s.yeast, s.mould];
            if reach.iter().any(|n| *n > 3) {
                let message = "spectrum runs from 0 (none) to 3 (strong)".into();
                self.report_at(at, "preservative.spectrum", message);
            }
        }
        for (n, e) in p.effective.iter().enumerate() {
            let path = format!("preservative.effective.{n}.source");
            self.check_source(at, &path, &e.source);
            for id in &e.with {
                self.check_ingredient_id(at, &format!("preservative.effective.{n}.with"), id);
            }
            for group in &e.against {
                if !["gram-positive", "gram-negative", "yeast", "mould"].contains(&group.as_str()) {
                    let message = format!("\"{group}\" is no group of microbes");
                    self.report_at(at, &format!("preservative.effective.{n}.against"), message);
                }
            }
        }
        for (n, k) in p.partition.iter().enumerate() {
            let path = format!("preservative.partition.{n}");
            self.check_source(at, &join(&path, "source"), &k.source);
            if k.oil != "mineral" && k.oil != "vegetable" {
                self.check_ingredient_id(at, &join(&path, "oil"), &k.oil);
            }
        }
        for (n, b) in p.binding.iter().enumerate() {
            let path = format!("preservative.binding.{n}");
            self.check_source(at, &join(&path, "source"), &b.source);
            if b.by != "nonionic" {
                self.check_ingredient_id(at, &join(&path, "by"), &b.by);
            }
        }
        for (n, id) in p.inactivated_by.iter().enumerate() {
            self.check_pair_side(at, &format!("preservative.inactivated_by.{n}"), id);
        }
    }

    /// `called`: what the message calls the range.
    pub(super) fn check_range(&mut self, at: &At, path: &str, called: &str, r: Option<&Range>) {
        let Some(r) = r else { return };
        self.check_source(at, &join(path, "source"), &r.source);
        match (r.low, r.high) {
            (None, None) => {
                self.report_at(at, path, format!("{called} has neither low nor high"));
            }
            (Some(l), Some(h)) if l > h => {
                self.report_at(at, path, format!("{called}: low {l} is above high {h}"));
            }
            _ => {}
        }
    }
}

/// A mark of registration, or a capital inside a word as in made-up names. Formulas ("NaOH") and units are too short to be meant.
fn looks_like_a_trade_name(name: &str) -> bool {
    let lower = name.to_lowercase();
    let marked =
        name.contains(['®', '™', '©']) || ["(r)", "(tm)"].iter().any(|m| lower.ends_with(m));
    let made_up = |word: &str| {
        let letters: Vec<char> = word.chars().collect();
        letters.len() > 6
            && letters.iter().all(|c| c.is_alphabetic())
            && letters
                .windows(3)
                .any(|w| w[0].is_lowercase() && w[1].is_uppercase() && w[2].is_lowercase())
    };
    let parts = |c: char| c.is_whitespace() || "-/(),".contains(c);
    marked || name.split(parts).any(made_up)
}
