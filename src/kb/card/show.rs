//! The card in words: one list of lines, set as Markdown for the editor and as plain text for the terminal.

use super::{Card, CardBan, CardColour, CardLimit, CardSource, CardUse, Span};
use crate::kb::number::Number;
use rust_decimal::Decimal;
use smol_str::SmolStr;

/// Shows degrees Celsius in the unit that the reader uses.
pub type Degrees<'a> = &'a dyn Fn(Decimal) -> String;

/// Degrees Celsius as they are.
pub fn celsius(c: Decimal) -> String {
    format!("{} °C", c.round_dp(1).normalize())
}

/// A line of the card: what it is about, and what there is to say.
struct Entry {
    label: &'static str,
    texts: Vec<String>,
}

/// Use levels that the first lines of a card name.
const MAX_USES_FIRST: usize = 2;

impl Card {
    /// Bold and short lists, for the editor: what a maker asks first, then names, the law, figures and sources.
    pub fn markdown(&self, degrees: Degrees) -> String {
        format!(
            "**{}**\n{}\n{}",
            plain(self.name()),
            self.first(degrees),
            self.rest(degrees)
        )
    }

    /// How much, how warm, at which pH, and what to be careful with: at most four lines.
    pub fn first(&self, degrees: Degrees) -> String {
        let mut uses: Vec<String> = self.r#use.iter().map(|u| self.use_words(u)).collect();
        if uses.len() > MAX_USES_FIRST {
            let more = uses.len() - MAX_USES_FIRST;
            uses.truncate(MAX_USES_FIRST);
            uses.push(format!("{more} more below"));
        }
        let cautions: Vec<String> = self.cautions.iter().map(|c| caution_words(c)).collect();
        let lines = [
            ("Use", uses.join("; ")),
            ("Heat", self.heat_words(degrees)),
            ("pH", self.ph_ranges().join("; ")),
            ("Careful", cautions.join("; ")),
        ];
        lines
            .iter()
            .filter(|(_, text)| !text.is_empty())
            .map(|(label, text)| format!("- **{label}:** {}\n", plain(text)))
            .collect()
    }

    /// The rest of the card under its name.
    pub fn further(&self, degrees: Degrees) -> String {
        format!("\n**{}**  \n{}", plain(self.name()), self.rest(degrees))
    }

    /// The other names, then the law and the figures, then the sources.
    fn rest(&self, degrees: Degrees) -> String {
        let names: Vec<String> = self.identity().iter().map(|line| plain(line)).collect();
        let mut out = names.join("  \n");
        out.push_str("\n\n");
        let mut say = |label: &str, texts: &[String]| match texts {
            [] => {}
            [one] => out.push_str(&format!("- **{label}:** {}\n", plain(one))),
            several => {
                out.push_str(&format!("- **{label}:**\n"));
                for t in several {
                    out.push_str(&format!("  - {}\n", plain(t)));
                }
            }
        };
        let entries = self.entries(degrees);
        for e in &entries {
            match e.label {
                "Heat" | "Cautions" | "Figures" => {}
                "Use" => {
                    let first = e.texts.len().min(MAX_USES_FIRST);
                    say("More use levels", &e.texts[first..]);
                }
                "pH" => say("Why that pH", self.ph_why().as_slice()),
                label => say(label, &e.texts),
            }
        }
        if let Some(note) = &self.note {
            out.push_str(&format!("\n{}\n", plain(note)));
        }
        for e in entries.iter().filter(|e| e.label == "Figures") {
            out.push_str(&format!("\n**Figures:** {}\n", plain(&e.texts.join("; "))));
        }
        if !self.sources.is_empty() {
            out.push_str("\n**Sources**\n");
            for s in &self.sources {
                out.push_str(&format!("- *{}:* {}\n", s.kind, plain(&source_words(s))));
            }
        }
        out
    }

    /// For the terminal: labels in one column, at most `width` characters a line. The first line is the name.
    pub fn text(&self, degrees: Degrees, width: usize) -> String {
        let mut out = format!("{}\n", self.name());
        for line in self.identity() {
            wrap(&mut out, "  ", "  ", &line, width);
        }
        out.push('\n');
        for e in self.entries(degrees) {
            for (n, t) in e.texts.iter().enumerate() {
                let label = if n == 0 { e.label } else { "" };
                wrap(
                    &mut out,
                    &format!("  {label:<12}"),
                    &" ".repeat(14),
                    t,
                    width,
                );
            }
        }
        if let Some(note) = &self.note {
            out.push('\n');
            wrap(&mut out, "  ", "  ", note, width);
        }
        if !self.sources.is_empty() {
            out.push_str("\n  Sources\n");
            for s in &self.sources {
                wrap(
                    &mut out,
                    &format!("  {:<12}", s.kind),
                    &" ".repeat(14),
                    &source_words(s),
                    width,
                );
            }
        }
        out
    }

    /// What it is, in two lines or three.
    fn identity(&self) -> Vec<String> {
        let mut names: Vec<String> = Vec::new();
        names.extend(self.inci.as_ref().map(|i| format!("INCI {i}")));
        names.extend(self.inci_us.as_ref().map(|i| format!("in the US {i}")));
        names.extend(self.ci.as_ref().map(|c| c.to_string()));
        if !self.cas.is_empty() {
            names.push(format!("CAS {}", self.cas.join(", ")));
        }
        let mut out = vec![names.join("; ")];
        if self.names.len() > 1 {
            out.push(format!("also {}", self.names[1..].join(", ")));
        }
        let roles: Vec<String> = self
            .roles
            .iter()
            .map(|r| {
                let word = r.as_str();
                if word.starts_with("co-") {
                    word.to_owned()
                } else {
                    word.replace('-', " ")
                }
            })
            .collect();
        out.push(roles.join(", "));
        out.extend(
            self.own_file
                .as_ref()
                .map(|f| format!("your own, from {f}")),
        );
        out.retain(|l| !l.is_empty());
        out
    }

    fn entries(&self, degrees: Degrees) -> Vec<Entry> {
        let mut out = Vec::new();
        let mut say = |label: &'static str, texts: Vec<String>| {
            if !texts.is_empty() {
                out.push(Entry { label, texts });
            }
        };
        say(
            "Made of",
            self.composition
                .iter()
                .map(|p| format!("{} % {}", p.percent, p.inci))
                .collect(),
        );
        say("Goes into", one(self.place_words(degrees)));
        say("Heat", one(self.heat_words(degrees)));
        say(
            "Use",
            self.r#use.iter().map(|u| self.use_words(u)).collect(),
        );
        say("pH", self.ph_words());
        say("Protects", one(self.preservative_words()));
        say("Emulsion", one(self.emulsion_words()));
        say("Figures", one(self.figures_words()));
        say("Law", self.law_words());
        say("Label", self.label_words());
        say("Holds", one(self.constituent_words()));
        say(
            "Cautions",
            self.cautions.iter().map(|c| caution_words(c)).collect(),
        );
        say("Stand-ins", one(self.standin.join(", ")));
        out
    }

    fn kind(&self, key: &str) -> String {
        self.basis
            .get(key)
            .map_or_else(String::new, |s| format!(" ({})", self.kind_of(s)))
    }

    fn place_words(&self, degrees: Degrees) -> String {
        let places: Vec<&str> = self
            .phase
            .iter()
            .map(|p| match *p {
                "water" => "the water phase",
                "oil" => "the oil phase",
                "cool-down" => "the cool-down",
                "surfactant" => "the surfactants",
                "powder" => "the powders",
                _ => "any phase",
            })
            .collect();
        let mut parts = vec![places.join(", or ")];
        parts.extend(self.dissolves.map(|d| {
            match d {
                "both" => "dissolves in water and in oil",
                "disperses" => "swells or disperses",
                "insoluble" => "does not dissolve",
                "water" => "dissolves in water",
                "oil" => "dissolves in oil",
                _ => "dissolves in alcohol",
            }
            .to_owned()
        }));
        parts.extend(self.solubility.iter().map(|s| {
            let at = s
                .at_c
                .map_or(String::new(), |c| format!(" at {}", degrees(c.0)));
            format!(
                "{} g in 100 g of {}{at} ({})",
                s.g_per_100g,
                s.r#in,
                self.kind_of(&s.source)
            )
        }));
        parts.retain(|p| !p.is_empty());
        parts.join("; ")
    }

    fn heat_words(&self, degrees: Degrees) -> String {
        let mut parts = Vec::new();
        parts.extend(
            self.add_below_c
                .map(|c| format!("added below {}{}", degrees(c.0), self.kind("add_below_c"))),
        );
        parts.extend(self.bears_c.map(|c| {
            let long = self
                .bears_minutes
                .map_or(String::new(), |m| format!(" for {m} min"));
            format!("bears {}{long}{}", degrees(c.0), self.kind("bears_c"))
        }));
        parts.extend(self.melts_c.map(|m| {
            let span = match m {
                [Some(l), Some(h)] if l != h => {
                    format!("at {}", between(&degrees(l.0), &degrees(h.0)))
                }
                [Some(l), Some(_)] => format!("at {}", degrees(l.0)),
                [Some(l), None] => format!("from {}", degrees(l.0)),
                [None, Some(h)] => format!("by {}", degrees(h.0)),
                [None, None] => "at a temperature not known".to_owned(),
            };
            format!("melts {span}{}", self.kind("melts_c"))
        }));
        parts.join("; ")
    }

    fn use_words(&self, u: &CardUse) -> String {
        let product = if u.product == "any" {
            String::new()
        } else {
            format!("{}: ", u.product)
        };
        let of = match u.of {
            "oil-phase" => " of the oil phase",
            "water-phase" => " of the water phase",
            _ => "",
        };
        let most = if u.safety { ", a safety maximum" } else { "" };
        format!(
            "{product}{} %{of}{most} ({})",
            span([u.low, u.high]),
            self.kind_of(&u.source)
        )
    }

    fn ph_words(&self) -> Vec<String> {
        let mut out = self.ph_ranges();
        // The reason stands behind the range that it is about.
        let about = match &self.ph {
            Some(ph) if ph.works.is_some() => "works",
            Some(ph) if ph.bears.is_some() => "lasts",
            _ => "gives",
        };
        if let Some(why) = self.ph_why()
            && let Some(range) = out.iter_mut().find(|r| r.starts_with(about))
        {
            range.push_str(&format!(": {why}"));
        }
        out
    }

    /// The ranges of pH, each with the kind of its source.
    fn ph_ranges(&self) -> Vec<String> {
        let ph = self.ph.as_ref();
        let works = ph.and_then(|ph| ph.works);
        let bears = ph.and_then(|ph| ph.bears).filter(|b| works != Some(*b));
        let ranges = [
            ("ph.works", "works at pH", works),
            ("ph.bears", "lasts at pH", bears),
            ("ph.gives", "gives pH", ph.and_then(|ph| ph.gives)),
        ];
        let mut out: Vec<String> = ranges
            .into_iter()
            .filter_map(|(field, verb, range)| {
                Some(format!("{verb} {}{}", ph_span(range?), self.kind(field)))
            })
            .collect();
        out.extend(self.pka_words());
        out
    }

    fn ph_why(&self) -> Option<String> {
        self.ph.as_ref()?.why.as_ref().map(SmolStr::to_string)
    }

    fn pka_words(&self) -> Option<String> {
        let all: Vec<String> = self.pka.iter().map(Number::to_string).collect();
        (!all.is_empty()).then(|| format!("pKa {}{}", all.join(", "), self.kind("pka")))
    }

    fn preservative_words(&self) -> String {
        let Some(p) = &self.preservative else {
            return String::new();
        };
        let mut parts = Vec::new();
        if p.kind == "booster" {
            parts.push("helps another preservative, protects nothing alone".to_owned());
        }
        if let Some(s) = &p.spectrum {
            let reach = |key: &str| s.get(key).copied().unwrap_or("none");
            parts.push(format!(
                "{} against Gram-positive and {} against Gram-negative bacteria, {} against yeast, {} against mould{}",
                reach("gram_positive"),
                reach("gram_negative"),
                reach("yeast"),
                reach("mould"),
                self.kind("spectrum")
            ));
        }
        parts.extend(p.needs.as_ref().map(|n| format!("needs {n}")));
        parts.join("; ")
    }

    fn emulsion_words(&self) -> String {
        let mut parts = Vec::new();
        parts.extend(self.emulsion.map(|e| match e {
            "o/w" => "makes oil in water".to_owned(),
            "w/o" => "makes water in oil".to_owned(),
            _ => "makes oil in water or water in oil".to_owned(),
        }));
        parts.extend(self.hlb.map(|h| format!("HLB {h}{}", self.kind("hlb"))));
        parts.extend(
            self.required_hlb
                .map(|h| format!("needs HLB {h} in water{}", self.kind("required_hlb"))),
        );
        parts.extend(self.charge.map(|c| match c {
            "anionic" => "negative charge (anionic)".to_owned(),
            "cationic" => "positive charge (cationic)".to_owned(),
            "amphoteric" => "both charges (amphoteric)".to_owned(),
            _ => "no charge (nonionic)".to_owned(),
        }));
        parts.join("; ")
    }

    fn figures_words(&self) -> String {
        let mut parts = Vec::new();
        let mut figure = |n: Option<Number>, key: &str, before: &str, after: &str| {
            parts.extend(n.map(|n| format!("{before}{n}{after}{}", self.kind(key))))
        };
        figure(self.density_g_ml, "density_g_ml", "density ", " g/mL");
        figure(self.molar_mass, "molar_mass", "molar mass ", " g/mol");
        figure(
            self.active_percent,
            "active_percent",
            "active matter ",
            " %",
        );
        figure(
            self.shelf_life_months,
            "shelf_life_months",
            "keeps ",
            " months",
        );
        parts.extend(
            self.iodine_value
                .map(|v| format!("iodine value {}{}", span(v), self.kind("iodine_value"))),
        );
        if !self.sold_as_percent.is_empty() {
            let all: Vec<String> = self
                .sold_as_percent
                .iter()
                .map(|n| format!("{n} %"))
                .collect();
            parts.push(format!("sold as {}", all.join(", ")));
        }
        parts.join("; ")
    }

    fn law_words(&self) -> Vec<String> {
        let mut out: Vec<String> = self.bans.iter().map(ban_words).collect();
        out.extend(self.limits.iter().map(limit_words));
        out.extend(self.colours.iter().map(colour_words));
        out.extend(self.medicines.iter().map(|m| {
            format!(
                "{}: {}{}",
                m.market,
                m.text,
                entry(m.at.as_deref(), m.recheck)
            )
        }));
        match self.limits_for_others {
            0 => {}
            1 => out.push("one more limit, for other kinds of product".to_owned()),
            n => out.push(format!("{n} more limits, for other kinds of product")),
        }
        let dates: Vec<String> = self
            .law
            .iter()
            .map(|l| format!("{} as of {}", l.market, l.as_of))
            .collect();
        if out.is_empty() && !dates.is_empty() {
            return vec![format!(
                "no listed limit or ban for it; {}",
                dates.join(", ")
            )];
        }
        if !dates.is_empty() {
            out.push(format!("texts: {}", dates.join(", ")));
        }
        out
    }

    fn label_words(&self) -> Vec<String> {
        let mut out = Vec::new();
        if !self.allergens.is_empty() {
            let all: Vec<String> = self
                .allergens
                .iter()
                .map(|a| {
                    if a.percent < 100.0 {
                        format!("{} about {} %", a.name, short(a.percent))
                    } else {
                        a.name.to_string()
                    }
                })
                .collect();
            let mut markets: Vec<&str> = self
                .allergens
                .iter()
                .flat_map(|a| a.markets.iter().map(|m| m.code()))
                .collect();
            markets.sort_unstable();
            markets.dedup();
            out.push(format!(
                "allergens to name in {}: {}",
                markets.join(", "),
                all.join(", ")
            ));
        }
        for w in &self.warnings {
            let above = w
                .above_percent
                .as_ref()
                .map_or(String::new(), |p| format!(" above {p} %"));
            let when = w
                .conditions
                .as_ref()
                .map_or(String::new(), |c| format!(" ({c})"));
            out.push(format!(
                "{}{above}{}: \"{}\"{when}",
                w.market,
                scope_words(&w.scope, &[]),
                w.text
            ));
        }
        out
    }

    fn constituent_words(&self) -> String {
        let all: Vec<String> = self
            .constituents
            .iter()
            .filter_map(|c| {
                let share = match (c.usual, c.low, c.high) {
                    (Some(u), ..) => format!("about {u}"),
                    (None, low, high) if low.is_some() || high.is_some() => span([low, high]),
                    _ => return None,
                };
                Some(format!(
                    "{} {share} % ({})",
                    c.name,
                    self.kind_of(&c.source)
                ))
            })
            .collect();
        all.join(", ")
    }
}

fn one(text: String) -> Vec<String> {
    if text.is_empty() {
        Vec::new()
    } else {
        vec![text]
    }
}

/// "4 to 6", "up to 6", "from 4".
fn span([low, high]: Span) -> String {
    match (low, high) {
        (Some(l), Some(h)) if l == h => l.to_string(),
        (Some(l), Some(h)) => format!("{l} to {h}"),
        (None, Some(h)) => format!("up to {h}"),
        (Some(l), None) => format!("from {l}"),
        (None, None) => "not known".to_owned(),
    }
}

/// "4 to 6", "6 or below", "4 or above".
fn ph_span(range: Span) -> String {
    match range {
        [None, Some(h)] => format!("{h} or below"),
        [Some(l), None] => format!("{l} or above"),
        both => span(both),
    }
}

/// "48 °C", "55 °C": "48 to 55 °C".
pub(crate) fn between(low: &str, high: &str) -> String {
    let unit = high.find(" °").map_or("", |at| &high[at..]);
    format!("{} to {high}", low.strip_suffix(unit).unwrap_or(low))
}

fn short(percent: f64) -> String {
    let text = if percent >= 0.01 {
        format!("{percent:.2}")
    } else {
        format!("{percent:.4}")
    };
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn entry(at: Option<&str>, recheck: bool) -> String {
    let again = if recheck { "to be looked up again" } else { "" };
    let parts: Vec<&str> = [at.unwrap_or(""), again]
        .into_iter()
        .filter(|p| !p.is_empty())
        .collect();
    if parts.is_empty() {
        String::new()
    } else {
        format!(" ({})", parts.join(", "))
    }
}

/// " in leave-on, face", " in spray or loose powder", " outside oral".
pub(crate) fn scope_words(scope: &[SmolStr], not_scope: &[SmolStr]) -> String {
    let readable = |words: &[SmolStr]| {
        words
            .iter()
            .map(|w| w.replace('|', " or "))
            .collect::<Vec<_>>()
            .join(", ")
    };
    let mut out = String::new();
    if !scope.is_empty() {
        out.push_str(&format!(" in {} products", readable(scope)));
    }
    if !not_scope.is_empty() {
        out.push_str(&format!(" outside {}", readable(not_scope)));
    }
    out
}

fn limit_words(l: &CardLimit) -> String {
    let mut out = format!("{}: ", l.market);
    out.extend(l.substance_name.as_ref().map(|s| format!("{s} ")));
    match &l.max_percent {
        Some(max) => out.push_str(&format!("at most {max} %")),
        None => out.push_str("limited by pH"),
    }
    out.extend(l.as_name.as_ref().map(|a| format!(" as {a}")));
    out.extend(
        l.of_this_percent
            .as_ref()
            .map(|p| format!(", {p} % of this")),
    );
    match (&l.ph_min, &l.ph_max) {
        (Some(a), Some(b)) => out.push_str(&format!(", pH {a} to {b}")),
        (Some(a), None) => out.push_str(&format!(", pH {a} or above")),
        (None, Some(b)) => out.push_str(&format!(", pH {b} or below")),
        (None, None) => {}
    }
    out.push_str(&scope_words(&l.scope, &l.not_scope));
    out.extend(
        l.purpose
            .as_ref()
            .map(|p| format!(" as {}", p.replace('-', " "))),
    );
    out.extend(l.conditions.as_ref().map(|c| format!("; {c}")));
    out.extend(l.from.as_ref().map(|f| format!("; new products from {f}")));
    out.push_str(&entry(l.at.as_deref(), l.recheck));
    out
}

fn ban_words(b: &CardBan) -> String {
    let mut out = format!("{}: ", b.market);
    out.extend(b.substance_name.as_ref().map(|s| format!("{s} ")));
    if b.in_scope.is_empty() && b.only_scope.is_empty() {
        out.push_str("banned");
    } else if b.only_scope.is_empty() {
        out.push_str(&format!("banned{}", scope_words(&b.in_scope, &[])));
    } else {
        out.push_str(&format!("allowed{} alone", scope_words(&b.only_scope, &[])));
    }
    out.extend(
        b.purpose
            .as_ref()
            .map(|p| format!(" as {}", p.replace('-', " "))),
    );
    out.extend(
        b.trace_percent
            .as_ref()
            .map(|t| format!(", traces up to {t} % aside")),
    );
    out.extend(b.conditions.as_ref().map(|c| format!("; {c}")));
    out.extend(b.from.as_ref().map(|f| format!("; from {f}")));
    out.push_str(&entry(b.at.as_deref(), b.recheck));
    out
}

fn colour_words(c: &CardColour) -> String {
    let mut allowed = Vec::new();
    let mut barred = Vec::new();
    for (area, said) in [
        ("near the eye", c.eye),
        ("on the lips", c.lip),
        ("on the skin", c.external),
    ] {
        match said {
            Some(true) => allowed.push(area),
            Some(false) => barred.push(area),
            None => {}
        }
    }
    let mut parts = Vec::new();
    if !allowed.is_empty() {
        parts.push(format!("as a colour {}", allowed.join(", ")));
    }
    if !barred.is_empty() {
        parts.push(format!("not {}", barred.join(", ")));
    }
    if c.rinse_off_only {
        parts.push("rinse-off alone".into());
    }
    if c.certified {
        parts.push("from certified batches".into());
    }
    parts.extend(c.max_percent.as_ref().map(|m| format!("at most {m} %")));
    parts.extend(c.conditions.as_ref().map(SmolStr::to_string));
    if parts.is_empty() {
        parts.push("listed as a colour".into());
    }
    format!(
        "{}: {}{}",
        c.market,
        parts.join("; "),
        entry(c.at.as_deref(), c.recheck)
    )
}

fn source_words(s: &CardSource) -> String {
    let mut out = s.title.to_string();
    out.extend(s.r#where.as_ref().map(|w| format!("; {w}")));
    if !s.at.is_empty() {
        out.push_str(&format!("; {}", s.at.join("; ")));
    }
    out
}

/// The usual words of a caution.
pub(crate) fn caution_words(word: &str) -> String {
    match word {
        "sun" => "makes skin more sensitive to the sun: sun protection by day",
        "phototoxic" => "can burn the skin in sunlight: keep the leave-on level low",
        "pregnancy" => {
            "often left out in pregnancy and while nursing: a doctor or pharmacist decides"
        }
        "dust" => "do not breathe the dust: weigh it gently, wear a mask",
        "inhalation" => "not for sprays and loose powders that are breathed in",
        "caustic" => "caustic as bought: gloves and goggles",
        "hot" => "gets hot when it meets water: add it to the water, little by little",
        "nut" => "from a nut: name it for those who are allergic",
        "eye" => "irritates the eyes",
        "child" => "not for small children",
        "flammable" => "flammable: no open flame, no hot plate",
        "gas" => "gives off gas: leave room for it, never seal it wet",
        "stains" => "stains skin, cloth and tools",
        "sensitizer" => "can sensitize: some skins react to it",
        other => other,
    }
    .to_owned()
}

/// No mark of the text may be taken for Markdown, and no line begins a table.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '*' | '_' | '`' | '<' | '[' | ']' | '\\' => {
                out.push('\\');
                out.push(c);
            }
            '|' => out.push_str(" or "),
            '\n' => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

fn wrap(out: &mut String, first: &str, rest: &str, text: &str, width: usize) {
    let mut line = first.to_owned();
    let mut used = 0;
    for word in text.split_whitespace() {
        let long = line.chars().count() + 1 + word.chars().count() > width;
        if used > 0 && long {
            out.push_str(line.trim_end());
            out.push('\n');
            line = rest.to_owned();
            used = 0;
        }
        if used > 0 {
            line.push(' ');
        }
        line.push_str(word);
        used += 1;
    }
    out.push_str(line.trim_end());
    out.push('\n');
}
