//! What a knowledge base must hold true before it is packed or used.
//!
//! The same checks run in the build, in `phasewright kb check` and on the maker's own ingredients.

use super::names::key;
use super::number::Number;
use super::read::{Base, Fault, line_of};
use super::role::Role;
use super::schema::*;
use rust_decimal::Decimal;
use smol_str::SmolStr;
use std::borrow::Cow;
use std::collections::{BTreeSet, HashMap, HashSet};
use std::path::PathBuf;

/// All faults of a base; empty when it is sound.
pub fn check(base: &Base) -> Vec<Fault> {
    let mut c = Checker::new(base);
    c.sources();
    for i in &base.ingredients {
        c.ingredient(i);
    }
    c.names();
    for law in &base.laws {
        c.law(law);
    }
    c.pairs();
    c.products();
    c.thresholds();
    c.common();
    c.out
}

/// Checks ingredients that are laid over a base (the maker's own): only their faults. `unread`: files beside them that cannot
/// be read.
pub fn check_own(
    base: &Base,
    own: &[(PathBuf, String, Ingredient)],
    unread: Vec<PathBuf>,
) -> Vec<Fault> {
    let mut all = base.clone();
    all.unread = unread;
    for (file, text, one) in own {
        all.ingredients.retain(|i| i.id != one.id);
        all.ingredients.push(one.clone());
        all.files.push((file.clone(), text.clone()));
    }
    let mine: HashSet<&PathBuf> = own.iter().map(|(f, _, _)| f).collect();
    let mut c = Checker::new(&all);
    for (_, _, one) in own {
        c.ingredient(one);
    }
    c.names();
    c.out.retain(|f| mine.contains(&f.file));
    c.out
}

/// Materials made of materials: a chain longer than this is not followed when a formula is read.
const DEEPEST: usize = 8;

struct Checker<'a> {
    base: &'a Base,
    ids: HashSet<Cow<'a, str>>,
    by_id: HashMap<&'a str, &'a Ingredient>,
    sources: HashSet<&'a str>,
    scope: HashSet<&'a str>,
    out: Vec<Fault>,
}

impl<'a> Checker<'a> {
    fn new(base: &'a Base) -> Self {
        Checker {
            base,
            ids: base
                .ingredients
                .iter()
                .map(|i| i.id.as_str().into())
                .chain(
                    base.unread
                        .iter()
                        .filter_map(|file| Some(file.file_stem()?.to_string_lossy())),
                )
                .collect(),
            by_id: base
                .ingredients
                .iter()
                .map(|i| (i.id.as_str(), i))
                .collect(),
            sources: base.sources.iter().map(|s| s.id.as_str()).collect(),
            scope: base.scope_words.iter().map(SmolStr::as_str).collect(),
            out: Vec::new(),
        }
    }

    /// Blames the line of the file named `file` (by its end) that holds `needle`.
    fn blame(&mut self, file: &str, needle: &str, what: String) {
        let mut files = self.base.files.iter().rev();
        let (path, line) = match files.find(|(p, _)| p.ends_with(file)) {
            Some((p, text)) => (p.clone(), line_of(text, needle)),
            None => self
                .listed_line(file)
                .unwrap_or_else(|| (PathBuf::from(file), 0)),
        };
        self.out.push(Fault {
            file: path,
            line,
            what,
        });
    }

    /// Where a substance of a long list stands, by the file that it would have.
    fn listed_line(&self, file: &str) -> Option<(PathBuf, usize)> {
        let needle = format!("id = \"{}\"", file.strip_suffix(".toml")?);
        let lists = self
            .base
            .files
            .iter()
            .filter(|(p, _)| p.parent().is_some_and(|d| d.ends_with(PROHIBITED)));
        lists
            .map(|(p, text)| (p.clone(), line_of(text, &needle)))
            .find(|(_, line)| *line > 0)
    }

    /// Whether a file of this name, or one in a folder of this name, cannot be read.
    fn is_unread(&self, name: &str) -> bool {
        let parts = |file: &PathBuf| file.iter().rev().take(2).any(|part| part == name);
        self.base.unread.iter().any(parts)
    }

    fn source(&mut self, file: &str, id: &str) {
        if self.is_unread("sources") {
            return;
        }
        if !self.sources.contains(id) {
            self.blame(
                file,
                &format!("\"{id}\""),
                format!("source \"{id}\" is in none of the files of sources/; add it there or name one that is"),
            );
        }
    }

    fn known(&mut self, file: &str, id: &str) {
        // A list that cannot be read may hold it.
        if !self.is_unread("prohibited") && !self.ids.contains(id) {
            self.blame(
                file,
                &format!("\"{id}\""),
                format!("no ingredient has the id \"{id}\""),
            );
        }
    }

    fn words(&mut self, file: &str, words: &[SmolStr]) {
        if self.is_unread("products.toml") {
            return;
        }
        for w in words.iter().flat_map(|w| w.split('|')) {
            if !self.scope.contains(w) && !self.base.products.iter().any(|p| p.name == w) {
                self.blame(
                    file,
                    &format!("\"{w}\""),
                    format!("\"{w}\" is neither a scope word nor a product of products.toml"),
                );
            }
        }
    }

    fn sources(&mut self) {
        let mut seen = HashSet::new();
        for s in &self.base.sources {
            if !seen.insert(&s.id) {
                let needle = format!("id = \"{}\"", s.id);
                let file = self.base.files.iter().rev().find(|(p, text)| {
                    p.parent().is_some_and(|d| d.ends_with("sources")) && text.contains(&needle)
                });
                let name = file
                    .map(|(p, _)| p.display().to_string())
                    .unwrap_or_default();
                self.blame(&name, &needle, format!("source \"{}\" stands twice", s.id));
            }
        }
    }

    fn ingredient(&mut self, i: &Ingredient) {
        let file = format!("{}.toml", i.id);
        let f = file.as_str();
        if i.names.is_empty() && i.inci.is_none() {
            self.blame(
                f,
                "id",
                "neither a name nor an INCI name; give it one".into(),
            );
        }
        for name in i
            .names
            .iter()
            .chain(&i.loose_names)
            .chain(&i.inci)
            .chain(&i.inci_us)
        {
            // The names of a list of the law are the law's.
            if i.family != PROHIBITED && looks_like_a_trade_name(name) {
                let what = format!(
                    "\"{name}\" looks like a trade name; write the INCI, pharmacopoeia or everyday name"
                );
                self.blame(f, &format!("\"{name}\""), what);
            }
        }
        for cas in &i.cas {
            if !cas_valid(cas) {
                self.blame(
                    f,
                    cas,
                    format!("CAS number {cas} has a wrong check digit or shape"),
                );
            }
        }
        for ec in &i.ec {
            if !ec_valid(ec) {
                self.blame(
                    f,
                    ec,
                    format!("EC number {ec} has a wrong check digit or shape"),
                );
            }
        }
        let vocabulary = !self.is_unread("vocabulary.toml");
        for w in i.cautions.iter().filter(|_| vocabulary) {
            if !self.base.vocabulary.cautions.contains(w) {
                self.blame(
                    f,
                    &format!("\"{w}\""),
                    format!("caution \"{w}\" is not in vocabulary.toml"),
                );
            }
        }
        if !i.composition.is_empty() {
            let sum: Decimal = i.composition.iter().map(|p| p.percent.0).sum();
            if sum != Decimal::ONE_HUNDRED {
                self.blame(
                    f,
                    "composition",
                    format!(
                        "the parts of the composition sum to {} %, not to 100 %",
                        sum.normalize()
                    ),
                );
            }
        }
        for p in &i.composition {
            self.known(f, &p.of);
            if p.percent.0 <= Decimal::ZERO {
                self.blame(
                    f,
                    &format!("\"{}\"", p.of),
                    format!("the part \"{}\" has no share above 0 %", p.of),
                );
            }
            if p.of == i.id {
                self.blame(
                    f,
                    "composition",
                    format!("\"{}\" is a part of itself", i.id),
                );
            }
        }
        if let Some(what) = self.endless(i) {
            self.blame(f, "composition", what);
        }
        for c in &i.constituents {
            self.known(f, &c.of);
            self.source(f, &c.source);
            let ends: Vec<Number> = [c.low, c.usual, c.high].into_iter().flatten().collect();
            if ends.is_empty() {
                self.blame(f, &c.of, format!("constituent \"{}\" has no share", c.of));
            }
            if !ends.is_sorted() {
                self.blame(
                    f,
                    &c.of,
                    format!(
                        "constituent \"{}\": low, usual and high are out of order",
                        c.of
                    ),
                );
            }
            if ends
                .iter()
                .any(|n| n.0.is_sign_negative() || n.0 > Decimal::ONE_HUNDRED)
            {
                self.blame(
                    f,
                    &c.of,
                    format!("constituent \"{}\": a share lies outside 0 to 100 %", c.of),
                );
            }
        }
        for id in i
            .standin
            .iter()
            .chain(&i.carrier)
            .chain(i.yields.iter().map(|y| &y.of))
        {
            self.known(f, id);
        }
        for y in &i.yields {
            if y.moles.0 <= Decimal::ZERO {
                self.blame(
                    f,
                    "yields",
                    format!("counted as \"{}\" by no moles at all", y.of),
                );
            }
            let other = self.base.ingredients.iter().find(|o| o.id == y.of);
            if i.molar_mass.is_none() || other.is_some_and(|o| o.molar_mass.is_none()) {
                self.blame(
                    f,
                    "yields",
                    format!("to be counted as \"{}\" both need a molar_mass", y.of),
                );
            }
        }
        if let Some(s) = &i.strength
            && !["w/w", "w/v", "v/v"].contains(&s.as_str())
        {
            self.blame(
                f,
                "strength",
                format!("strength \"{s}\" is none of w/w, w/v, v/v"),
            );
        }
        for s in &i.solubility {
            self.source(f, &s.source);
            if s.r#in != "oil" {
                self.known(f, &s.r#in);
            }
        }
        for x in i.pka.iter().chain(
            [
                &i.molar_mass,
                &i.add_below_c,
                &i.density_g_ml,
                &i.bulk_density_g_ml,
                &i.hlb,
                &i.required_hlb,
                &i.active_percent,
                &i.bears_salt_percent,
                &i.norrish_k,
                &i.shelf_life_months,
                &i.phototoxic_max_percent,
            ]
            .into_iter()
            .filter_map(|x| x.as_deref()),
        ) {
            self.source(f, &x.source);
        }
        if let Some(m) = &i.molar_mass
            && m.value.0 <= Decimal::ZERO
        {
            self.blame(
                f,
                "molar_mass",
                format!("a molar mass of {} is not believable", m.value),
            );
        }
        if let Some(k) = i
            .pka
            .iter()
            .find(|k| !(-5.0..=20.0).contains(&k.value.f64()))
        {
            self.blame(f, "pka", format!("a pKa of {} is not believable", k.value));
        }
        if let Some(a) = &i.acid_base
            && i.molar_mass.is_none()
            && (a.protonated_charge != 0 || a.strong_charge != 0 || !i.pka.is_empty())
        {
            self.blame(
                f,
                "acid_base",
                "an acid, base or salt needs its molar_mass to be counted".into(),
            );
        }
        if i.acid_base.is_some() && !i.groups.is_empty() {
            self.blame(
                f,
                "[[groups]]",
                "groups are for what has no acid_base: keep one of the two".into(),
            );
        }
        for g in &i.groups {
            self.groups(f, g);
        }
        if let (Some(a), Some(b)) = (&i.add_below_c, &i.bears_c)
            && a.value > b.value
        {
            self.blame(
                f,
                "add_below_c",
                format!(
                    "to be added below {} °C, yet it bears no more than {} °C",
                    a.value, b.value
                ),
            );
        }
        if let Some(b) = &i.bears_c {
            self.source(f, &b.source);
        }
        for (what, r) in [
            ("melts_c", &i.melts_c),
            ("iodine_value", &i.iodine_value),
            ("saponification_value", &i.saponification_value),
            ("polyunsaturated_percent", &i.polyunsaturated_percent),
        ] {
            self.range(f, what, r.as_deref());
        }
        for (what, r) in [
            ("ph.gives", &i.ph.gives),
            ("ph.bears", &i.ph.bears),
            ("ph.works", &i.ph.works),
        ] {
            self.range(f, what, r.as_deref());
            if let Some(r) = r
                && [r.low, r.high]
                    .into_iter()
                    .flatten()
                    .any(|n| n.0 > 14.into() || n.0.is_sign_negative())
            {
                self.blame(f, what, format!("{what} lies outside 0 to 14"));
            }
        }
        for u in &i.r#use {
            self.source(f, &u.source);
            if u.product != "any" {
                self.words(f, std::slice::from_ref(&u.product));
            }
            match (u.low, u.high) {
                (None, None) => self.blame(f, "use", "a use level without a figure".into()),
                (Some(l), Some(h)) if l > h => {
                    self.blame(f, "use", format!("use level: low {l} is above high {h}"))
                }
                _ => {}
            }
            if [u.low, u.high]
                .into_iter()
                .flatten()
                .any(|n| n.0.is_sign_negative() || n.0 > Decimal::ONE_HUNDRED)
            {
                self.blame(f, "use", "a use level lies outside 0 to 100 %".into());
            }
        }
        for m in &i.skin_max {
            self.source(f, &m.source);
            self.words(f, &m.scope);
            self.words(f, &m.not_scope);
            if m.percent.0.is_sign_negative() || m.percent.0 > Decimal::ONE_HUNDRED {
                self.blame(
                    f,
                    "skin_max",
                    "a skin maximum lies outside 0 to 100 %".into(),
                );
            }
        }
        if let Some(p) = &i.preservative {
            self.preservative(f, i, p);
        }
        if let Some(d) = &i.bulk_density_g_ml
            && !(0.02..3.0).contains(&d.value.f64())
        {
            let what = format!("a bulk density of {} g/mL is not believable", d.value);
            self.blame(f, "bulk_density_g_ml", what);
        }
        if let Some(d) = &i.density_g_ml
            && !(0.3..5.0).contains(&d.value.f64())
        {
            self.blame(
                f,
                "density_g_ml",
                format!("a density of {} g/mL is not believable", d.value),
            );
        }
    }

    fn preservative(&mut self, f: &str, i: &Ingredient, p: &Preservative) {
        if p.kind == PreservativeKind::WeakAcid && i.pka.is_empty() {
            self.blame(
                f,
                "weak-acid",
                "a preservative that works by its active form needs a pka".into(),
            );
        }
        if let Some(s) = &p.spectrum {
            self.source(f, &s.source);
            if [s.gram_positive, s.gram_negative, s.yeast, s.mould]
                .iter()
                .any(|n| *n > 3)
            {
                self.blame(
                    f,
                    "spectrum",
                    "spectrum runs from 0 (none) to 3 (strong)".into(),
                );
            }
        }
        for e in &p.effective {
            self.source(f, &e.source);
        }
        for k in &p.partition {
            self.source(f, &k.source);
            if k.oil != "mineral" && k.oil != "vegetable" {
                self.known(f, &k.oil);
            }
        }
        for b in &p.binding {
            self.source(f, &b.source);
            if b.by != "nonionic" {
                self.known(f, &b.by);
            }
        }
        for id in &p.inactivated_by {
            self.side(f, id);
        }
    }

    fn range(&mut self, f: &str, what: &str, r: Option<&Range>) {
        let Some(r) = r else { return };
        self.source(f, &r.source);
        match (r.low, r.high) {
            (None, None) => self.blame(f, what, format!("{what} has neither low nor high")),
            (Some(l), Some(h)) if l > h => {
                self.blame(f, what, format!("{what}: low {l} is above high {h}"))
            }
            _ => {}
        }
    }

    /// Both ends of each range are there and can be true: no gram holds more than 50 mmol of groups (acrylic acid has 14, magnesia 50).
    fn groups(&mut self, f: &str, g: &Groups) {
        for (what, r, low, high) in [
            ("mmol_g", &g.mmol_g, 0.0, 50.0),
            ("pka", &g.pka, -5.0, 14.0),
            ("neutralised", &g.neutralised, 0.0, 1.0),
        ] {
            self.range(f, what, Some(r));
            match (r.low, r.high) {
                (Some(l), Some(h)) if l.f64() < low || h.f64() > high => {
                    self.blame(
                        f,
                        what,
                        format!("{what} of a group lies outside {low} to {high}"),
                    );
                }
                (Some(_), Some(_)) => {}
                _ => self.blame(f, what, format!("{what} of a group needs low and high")),
            }
        }
    }

    /// Each name and INCI name belongs to one material; a loose name is nobody's own.
    fn names(&mut self) {
        let mut owner: HashMap<String, &str> = HashMap::new();
        for i in &self.base.ingredients {
            let asked: HashSet<String> = i.loose_names.iter().map(|n| key(n)).collect();
            let mut mine: BTreeSet<(String, SmolStr)> =
                i.names.iter().map(|n| (key(n), n.clone())).collect();
            // An INCI name that everyday speech gives to others too ("BHA") is asked about.
            let formal = i.inci.iter().chain(&i.inci_us).chain(&i.ci);
            mine.extend(
                formal
                    .map(|n| (key(n), n.clone()))
                    .filter(|(k, _)| !asked.contains(k)),
            );
            let mut keys_done = HashSet::new();
            for (k, written) in mine {
                if !keys_done.insert(k.clone()) {
                    continue;
                }
                if let Some(first) = owner.get(&k) {
                    let what = format!(
                        "the name \"{written}\" belongs to {first} already; a name that several share goes into loose_names of each"
                    );
                    self.blame(&format!("{}.toml", i.id), &format!("\"{written}\""), what);
                } else {
                    owner.insert(k, &i.id);
                }
            }
        }
        for i in &self.base.ingredients {
            for n in &i.loose_names {
                if let Some(first) = owner.get(&key(n)) {
                    let what = format!(
                        "the loose name \"{n}\" is the own name of {first}; a name is either owned or loose"
                    );
                    self.blame(&format!("{}.toml", i.id), &format!("\"{n}\""), what);
                }
            }
        }
        let mut seen = HashSet::new();
        for i in &self.base.ingredients {
            if !seen.insert(&i.id) {
                self.blame(
                    &format!("{}.toml", i.id),
                    "id",
                    format!("the id \"{}\" stands twice", i.id),
                );
            }
        }
    }

    fn law(&mut self, law: &LawFile) {
        let file = format!("law/{}.toml", law.market);
        let f = file.as_str();
        if !self.base.vocabulary.markets.contains(&law.market) {
            self.blame(
                f,
                "market",
                format!("market \"{}\" is not in vocabulary.toml", law.market),
            );
        }
        let mut ids = HashSet::new();
        let heads = law
            .limit
            .iter()
            .map(|x| (&x.id, &x.substances, &x.source))
            .chain(
                law.ban
                    .iter()
                    .map(|x| (&x.id, &x.substances, &x.source))
                    .chain(
                        law.allergen
                            .iter()
                            .map(|x| (&x.id, &x.substances, &x.source))
                            .chain(
                                law.colour
                                    .iter()
                                    .map(|x| (&x.id, &x.substances, &x.source))
                                    .chain(
                                        law.warning
                                            .iter()
                                            .map(|x| (&x.id, &x.substances, &x.source))
                                            .chain(
                                                law.medicine
                                                    .iter()
                                                    .map(|x| (&x.id, &x.substances, &x.source))
                                                    .chain(law.duty.iter().map(|x| {
                                                        (&x.id, &x.substances, &x.source)
                                                    })),
                                            ),
                                    ),
                            ),
                    ),
            );
        for (id, substances, source) in heads {
            if !ids.insert(id) {
                self.blame(
                    f,
                    &format!("\"{id}\""),
                    format!("the row \"{id}\" stands twice"),
                );
            }
            self.source(f, source);
            for s in substances {
                self.known(f, s);
            }
        }
        self.day(f, &law.as_of);
        let days = (law
            .limit
            .iter()
            .flat_map(|x| x.from.iter().chain(&x.sell_through)))
        .chain(
            law.ban
                .iter()
                .flat_map(|x| x.from.iter().chain(&x.sell_through)),
        )
        .chain(
            law.allergen
                .iter()
                .flat_map(|x| x.from.iter().chain(&x.sell_through)),
        )
        .chain(
            law.warning
                .iter()
                .flat_map(|x| x.from.iter().chain(&x.sell_through)),
        )
        .chain(law.duty.iter().flat_map(|x| &x.from));
        for day in days {
            self.day(f, day);
        }
        let spans = (law.limit.iter().map(|x| (&x.id, &x.from, &x.sell_through)))
            .chain(law.ban.iter().map(|x| (&x.id, &x.from, &x.sell_through)))
            .chain(
                law.allergen
                    .iter()
                    .map(|x| (&x.id, &x.from, &x.sell_through)),
            )
            .chain(
                law.warning
                    .iter()
                    .map(|x| (&x.id, &x.from, &x.sell_through)),
            );
        for (id, from, last) in spans {
            if let (Some(from), Some(last)) = (from, last)
                && last < from
            {
                self.blame(
                    f,
                    &format!("\"{id}\""),
                    format!("the row \"{id}\": sale of old stock ends on {last}, before the rule starts on {from}"),
                );
            }
        }
        let shares = (law.limit.iter().map(|x| (&x.id, x.max_percent)))
            .chain(law.ban.iter().map(|x| (&x.id, x.trace_percent)))
            .chain(law.allergen.iter().flat_map(|x| {
                [
                    (&x.id, Some(x.leave_on_percent)),
                    (&x.id, Some(x.rinse_off_percent)),
                ]
            }))
            .chain(law.colour.iter().map(|x| (&x.id, x.max_percent)))
            .chain(law.warning.iter().map(|x| (&x.id, x.above_percent)))
            .chain(
                law.medicine
                    .iter()
                    .flat_map(|x| [(&x.id, x.low_percent), (&x.id, x.high_percent)]),
            );
        for (id, share) in shares {
            if share.is_some_and(|n| n.0.is_sign_negative() || n.0 > Decimal::ONE_HUNDRED) {
                self.blame(
                    f,
                    &format!("\"{id}\""),
                    format!("the row \"{id}\": a share lies outside 0 to 100 %"),
                );
            }
        }
        for d in &law.duty {
            if !DUTY_KINDS.contains(&d.kind.as_str()) {
                self.blame(
                    f,
                    &format!("\"{}\"", d.id),
                    format!(
                        "duty \"{}\": the kind \"{}\" is none of {}",
                        d.id,
                        d.kind,
                        DUTY_KINDS.join(", ")
                    ),
                );
            }
        }
        for x in &law.limit {
            self.words(f, &x.scope);
            self.words(f, &x.not_scope);
            self.purpose(f, &x.purpose);
            if x.substances.is_empty() {
                self.blame(
                    f,
                    &format!("\"{}\"", x.id),
                    format!("the limit \"{}\" names no substance", x.id),
                );
            }
            if [x.ph_min, x.ph_max]
                .into_iter()
                .flatten()
                .any(|n| n.0.is_sign_negative() || n.0 > 14.into())
            {
                self.blame(
                    f,
                    &format!("\"{}\"", x.id),
                    format!("the limit \"{}\": its pH lies outside 0 to 14", x.id),
                );
            }
            if let (Some(l), Some(h)) = (x.ph_min, x.ph_max)
                && l > h
            {
                self.blame(
                    f,
                    &format!("\"{}\"", x.id),
                    format!("the limit \"{}\": pH {l} to {h} is inside out", x.id),
                );
            }
            if x.max_percent.is_none() && x.ph_min.is_none() && x.ph_max.is_none() {
                self.blame(
                    f,
                    &format!("\"{}\"", x.id),
                    format!("the limit \"{}\" limits nothing: no share and no pH", x.id),
                );
            }
            if let Some(r#as) = &x.r#as {
                self.known(f, r#as);
                for s in &x.substances {
                    self.countable(f, &x.id, s, r#as);
                }
            }
        }
        for x in &law.ban {
            self.words(f, &x.in_scope);
            self.words(f, &x.only_scope);
            self.purpose(f, &x.purpose);
            if x.substances.is_empty() {
                self.blame(
                    f,
                    &format!("\"{}\"", x.id),
                    format!("the ban \"{}\" names no substance", x.id),
                );
            }
        }
        for x in &law.warning {
            self.words(f, &x.scope);
            self.words(f, &x.not_scope);
            if let Some(r#as) = &x.r#as {
                self.known(f, r#as);
                for s in &x.substances {
                    self.countable(f, &x.id, s, r#as);
                }
            }
        }
        for x in &law.medicine {
            if let (Some(l), Some(h)) = (x.low_percent, x.high_percent)
                && l > h
            {
                self.blame(
                    f,
                    &format!("\"{}\"", x.id),
                    format!("the medicine \"{}\": low {l} is above high {h}", x.id),
                );
            }
            if x.substances.is_empty() && x.claims.is_empty() {
                self.blame(
                    f,
                    &format!("\"{}\"", x.id),
                    format!(
                        "the medicine \"{}\" names neither substance nor claim",
                        x.id
                    ),
                );
            }
        }
        for x in &law.colour {
            if x.eye.is_none() && x.lip.is_none() && x.external.is_none() {
                self.blame(
                    f,
                    &format!("\"{}\"", x.id),
                    format!("the colour \"{}\" states no area", x.id),
                );
            }
        }
    }

    /// A material that is part of its own parts, or has parts of parts without end.
    fn endless(&self, one: &Ingredient) -> Option<String> {
        self.walk(&mut vec![*self.by_id.get(one.id.as_str())?])
    }

    fn walk(&self, path: &mut Vec<&'a Ingredient>) -> Option<String> {
        let (first, last) = (path[0], path[path.len() - 1]);
        for part in &last.composition {
            // One that is a part of itself at once has its own message, and a ring further down is another's.
            if part.of == first.id && path.len() > 1 {
                let by: Vec<String> = path[1..].iter().map(|i| format!("\"{}\"", i.id)).collect();
                return Some(format!(
                    "\"{}\" is made of {}, and that is made of \"{}\" again; a material cannot hold itself, so take a part out of one of them",
                    first.id,
                    by.join(", that of "),
                    first.id
                ));
            }
            let Some(next) = self.by_id.get(part.of.as_str()).copied() else {
                continue;
            };
            if path.iter().any(|i| i.id == next.id) {
                continue;
            }
            if path.len() == DEEPEST {
                return Some(format!(
                    "\"{}\" is made of parts that are made of parts, more than {DEEPEST} deep; write out what it is made of",
                    first.id
                ));
            }
            path.push(next);
            let found = self.walk(path);
            path.pop();
            if found.is_some() {
                return found;
            }
        }
        None
    }

    fn purpose(&mut self, f: &str, purpose: &Option<SmolStr>) {
        if let Some(p) = purpose
            && !self.is_unread("vocabulary.toml")
            && !self.base.vocabulary.purposes.iter().any(|known| known == p)
        {
            self.blame(
                f,
                &format!("\"{p}\""),
                format!("purpose \"{p}\" is not in vocabulary.toml"),
            );
        }
    }

    fn day(&mut self, f: &str, day: &str) {
        let ok = is_day(day);
        if !ok {
            self.blame(f, day, format!("\"{day}\" is no date; write YYYY-MM-DD"));
        }
    }

    /// A limit 'as acid' needs a way to count each of its substances as that acid.
    fn countable(&mut self, f: &str, limit: &str, substance: &str, r#as: &str) {
        if substance == r#as {
            return;
        }
        let one = self.base.ingredients.iter().find(|i| i.id == substance);
        if one.is_some_and(|i| !i.yields.iter().any(|y| y.of == r#as)) {
            let what = format!(
                "the row \"{limit}\" counts \"{substance}\" as \"{as}\", but {substance}.toml has no yields for it",
                r#as = r#as
            );
            self.blame(f, &format!("\"{limit}\""), what);
        }
    }

    fn side(&mut self, f: &str, side: &str) {
        match side.split_once(':') {
            Some(("role", r)) if Role::of(r).is_some() => {}
            Some(("charge", "anionic" | "cationic" | "nonionic" | "amphoteric")) => {}
            Some(("family", fam)) if self.base.ingredients.iter().any(|i| i.family == fam) => {}
            Some(_) => self.blame(
                f,
                side,
                format!("\"{side}\": no such role, charge or family"),
            ),
            None => self.known(f, side),
        }
    }

    fn pairs(&mut self) {
        let f = "pairs.toml";
        let mut seen = HashSet::new();
        for p in &self.base.pairs {
            self.source(f, &p.source);
            if !seen.insert(&p.id) {
                self.blame(
                    f,
                    &format!("\"{}\"", p.id),
                    format!("the pair \"{}\" stands twice", p.id),
                );
            }
            if p.a.is_empty() || p.b.is_empty() {
                self.blame(
                    f,
                    &format!("\"{}\"", p.id),
                    format!("the pair \"{}\" has an empty side", p.id),
                );
            }
            for side in p.a.iter().chain(&p.b).chain(&p.except) {
                self.side(f, side);
            }
        }
    }

    fn products(&mut self) {
        let f = "products.toml";
        let mut seen = HashSet::new();
        for p in &self.base.products {
            for n in std::iter::once(&p.name).chain(&p.names) {
                if !seen.insert(key(n)) {
                    self.blame(
                        f,
                        &format!("\"{n}\""),
                        format!("the product \"{n}\" stands twice"),
                    );
                }
            }
            self.words(f, &p.scope);
            self.range(f, "usual_ph", p.usual_ph.as_ref());
            if let Some(e) = &p.exposure {
                self.source(f, &e.source);
            }
        }
    }

    fn thresholds(&mut self) {
        let mut seen = HashSet::new();
        for t in &self.base.thresholds {
            self.source("thresholds.toml", &t.source);
            if !seen.insert(&t.id) {
                self.blame(
                    "thresholds.toml",
                    &format!("\"{}\"", t.id),
                    format!("the threshold \"{}\" stands twice", t.id),
                );
            }
        }
    }

    fn common(&mut self) {
        let mut seen = HashSet::new();
        let all = &self.base.common;
        for id in all.staple.iter().chain(&all.everyday).chain(&all.common) {
            let quoted = format!("\"{id}\"");
            if !self.ids.contains(id.as_str()) {
                self.blame("common.toml", &quoted, format!("{quoted} is no ingredient"));
            } else if !seen.insert(id) {
                self.blame("common.toml", &quoted, format!("{quoted} stands twice"));
            }
        }
    }
}

/// Sources that no figure names: harmless in a base that is being written, idle in one that is finished.
pub fn idle_sources(base: &Base) -> Vec<Fault> {
    let is_source = |p: &PathBuf| p.parent().is_some_and(|d| d.ends_with("sources"));
    let used = |id: &str| {
        let quoted = format!("\"{id}\"");
        base.files
            .iter()
            .any(|(p, text)| !is_source(p) && text.contains(&quoted))
    };
    let mut out = Vec::new();
    for s in base.sources.iter().filter(|s| !used(&s.id)) {
        let needle = format!("id = \"{}\"", s.id);
        let file = base
            .files
            .iter()
            .find(|(p, text)| is_source(p) && text.contains(&needle));
        let (file, line) = file.map_or((PathBuf::from("sources"), 0), |(p, text)| {
            (p.clone(), line_of(text, &needle))
        });
        out.push(Fault {
            file,
            line,
            what: format!("no figure names the source \"{}\"", s.id),
        });
    }
    out
}

/// A mark of registration, or a capital inside a word as in made-up names. Formulas ("NaOH") and units are too short to be meant.
fn looks_like_a_trade_name(name: &str) -> bool {
    let marked = name.contains(['®', '™', '©'])
        || ["(r)", "(tm)"]
            .iter()
            .any(|m| name.to_lowercase().ends_with(m));
    let made_up = |word: &str| {
        let letters: Vec<char> = word.chars().collect();
        letters.len() > 6
            && letters.iter().all(|c| c.is_alphabetic())
            && letters
                .windows(3)
                .any(|w| w[0].is_lowercase() && w[1].is_uppercase() && w[2].is_lowercase())
    };
    marked
        || name
            .split(|c: char| c.is_whitespace() || "-/(),".contains(c))
            .any(made_up)
}

/// A day of the calendar, written YYYY-MM-DD.
fn is_day(day: &str) -> bool {
    let shaped = day.len() == 10
        && day.bytes().enumerate().all(|(n, b)| {
            if n == 4 || n == 7 {
                b == b'-'
            } else {
                b.is_ascii_digit()
            }
        });
    let number = |range: std::ops::Range<usize>| {
        day.get(range)
            .and_then(|t| t.parse::<u32>().ok())
            .unwrap_or(0)
    };
    if !shaped {
        return false;
    }
    let (year, month, day) = (number(0..4), number(5..7), number(8..10));
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let last = match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        _ => 0,
    };
    (1..=last).contains(&day)
}

/// The last digit of a CAS number is the weighted sum of the others, from the right, modulo 10 (CAS registry rule).
pub fn cas_valid(cas: &str) -> bool {
    let parts: Vec<&str> = cas.split('-').collect();
    let [a, b, c] = parts[..] else { return false };
    if !(2..=7).contains(&a.len())
        || b.len() != 2
        || c.len() != 1
        || !cas.bytes().all(|x| x == b'-' || x.is_ascii_digit())
    {
        return false;
    }
    let sum: u32 = a
        .bytes()
        .chain(b.bytes())
        .rev()
        .enumerate()
        .map(|(n, d)| (n as u32 + 1) * u32::from(d - b'0'))
        .sum();
    sum % 10 == u32::from(c.as_bytes()[0] - b'0')
}

/// EC numbers: six digits weighted 1 to 6, modulo 11, is the seventh (a remainder of 10 is never issued).
pub fn ec_valid(ec: &str) -> bool {
    let digits: Vec<u32> = ec
        .bytes()
        .filter(|b| *b != b'-')
        .map(|b| u32::from(b.wrapping_sub(b'0')))
        .collect();
    let shape: Vec<usize> = ec.split('-').map(str::len).collect();
    shape == [3, 3, 1]
        && digits.iter().all(|d| *d < 10)
        && digits[..6].iter().zip(1..).map(|(d, w)| d * w).sum::<u32>() % 11 == digits[6]
}

#[cfg(test)]
mod tests {
    use super::{cas_valid, ec_valid};

    /// Water, phenoxyethanol and sodium benzoate, as in any chemical catalogue; then one digit off.
    #[test]
    fn registry_numbers() {
        for good in ["7732-18-5", "122-99-6", "532-32-1"] {
            assert!(cas_valid(good), "{good}");
        }
        for bad in ["7732-18-4", "122-99-7", "1-99-6", "122996", "12a-99-6", ""] {
            assert!(!cas_valid(bad), "{bad}");
        }
        assert!(ec_valid("231-791-2"));
        assert!(!ec_valid("231-791-3"));
        assert!(!ec_valid("231-79-12"));
    }
}
