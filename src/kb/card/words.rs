//! What a card says of the material itself, field by field.

use super::{Card, CardUse, Span};
use crate::kb::number::Number;
use rust_decimal::Decimal;
use smol_str::SmolStr;

/// Shows degrees Celsius in the unit that the reader uses.
pub type Degrees<'a> = &'a dyn Fn(Decimal) -> String;

impl Card {
    pub(super) fn kind(&self, key: &str) -> String {
        self.basis
            .get(key)
            .map_or_else(String::new, |s| format!(" ({})", self.kind_of(s)))
    }

    pub(super) fn place_words(&self, degrees: Degrees) -> String {
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

    pub(super) fn heat_words(&self, degrees: Degrees) -> String {
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

    pub(super) fn use_words(&self, u: &CardUse) -> String {
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

    pub(super) fn ph_words(&self) -> Vec<String> {
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
    pub(super) fn ph_ranges(&self) -> Vec<String> {
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

    pub(super) fn ph_why(&self) -> Option<String> {
        self.ph.as_ref()?.why.as_ref().map(SmolStr::to_string)
    }

    pub(super) fn pka_words(&self) -> Option<String> {
        let all: Vec<String> = self.pka.iter().map(Number::to_string).collect();
        (!all.is_empty()).then(|| format!("pKa {}{}", all.join(", "), self.kind("pka")))
    }

    pub(super) fn preservative_words(&self) -> String {
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

    pub(super) fn emulsion_words(&self) -> String {
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

    pub(super) fn figures_words(&self) -> String {
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

    pub(super) fn constituent_words(&self) -> String {
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
