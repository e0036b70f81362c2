//! The words that describe a product, and whether a scope of the law fits them.

use super::fields::{Fields, Type};
use smol_str::SmolStr;

/// The scope words of one product.
#[derive(Clone, Debug, Default)]
pub struct Product {
    /// Words said, or following from the kind of product; sorted.
    words: Vec<SmolStr>,
}

/// Whether a scope fits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fit {
    Yes,
    No,
    /// The file does not say what decides it.
    Unsaid(Axis),
}

/// What a scope word is about. On some axes silence means "no" (nobody forgets to say that it is a sunscreen),
/// on others the answer has to be asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Axis {
    /// Leave-on or rinse-off.
    Stays,
    /// Where on the body.
    Place,
    /// Everything else.
    Other,
}

impl Axis {
    fn of(word: &str) -> Axis {
        match word {
            "leave-on" | "rinse-off" => Axis::Stays,
            "face" | "body" | "hand" | "foot" | "hair" | "scalp" | "lip" | "eye" | "eyelash"
            | "nail" | "underarm" | "intimate" | "mucous" | "mouth" | "oral" => Axis::Place,
            _ => Axis::Other,
        }
    }

    /// The field that settles it.
    pub fn field(self) -> &'static str {
        match self {
            Axis::Stays => "product",
            Axis::Place => "use",
            Axis::Other => "form",
        }
    }
}

impl Product {
    pub fn of(fields: &Fields) -> Product {
        let mut words = fields.words.clone();
        // What follows from what is said.
        for (said, also) in [
            ("pump-spray", "spray"),
            ("propellant-spray", "spray"),
            ("loose-powder", "powder"),
            ("mouth", "oral"),
        ] {
            if words.iter().any(|w| w == said) {
                words.push(also.into());
            }
        }
        if matches!(&fields.type_, Some(t) if t.value == Type::Powder) {
            words.push("powder".into());
        }
        if let Some(kind) = fields.product_kind {
            words.push(kind.name.clone());
        }
        words.sort();
        words.dedup();
        Product { words }
    }

    pub fn has(&self, word: &str) -> bool {
        self.words.iter().any(|w| w == word)
    }

    pub fn words(&self) -> &[SmolStr] {
        &self.words
    }

    /// Whether anything is said of the product at all.
    pub fn is_said(&self) -> bool {
        !self.words.is_empty()
    }

    pub fn leave_on(&self) -> Option<bool> {
        match (self.has("leave-on"), self.has("rinse-off")) {
            (true, _) => Some(true),
            (_, true) => Some(false),
            _ => None,
        }
    }

    fn knows(&self, axis: Axis) -> bool {
        axis == Axis::Other && self.is_said() || self.words.iter().any(|w| Axis::of(w) == axis)
    }

    /// Whether the product has every word of `scope` ("a|b": either) and none of `not_scope`.
    pub fn fits(&self, scope: &[SmolStr], not_scope: &[SmolStr]) -> Fit {
        let mut unsaid: Option<Axis> = None;
        let mut ask = |axis: Axis| unsaid = Some(unsaid.map_or(axis, |a| a.min(axis)));
        for w in scope {
            let either: Vec<&str> = w.split('|').collect();
            if either.iter().any(|w| self.has(w)) {
                continue;
            }
            match either.iter().map(|w| Axis::of(w)).find(|a| !self.knows(*a)) {
                Some(axis) => ask(axis),
                None => return Fit::No,
            }
        }
        for w in not_scope.iter().flat_map(|w| w.split('|')) {
            if self.has(w) {
                return Fit::No;
            }
            // An exclusion that nothing is said about does not apply.
        }
        unsaid.map_or(Fit::Yes, Fit::Unsaid)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn product(words: &[&str]) -> Product {
        Product::of(&Fields {
            words: scope(words),
            ..Fields::default()
        })
    }
    fn scope(words: &[&str]) -> Vec<SmolStr> {
        words.iter().map(SmolStr::new).collect()
    }

    #[test]
    fn a_scope_fits_when_all_of_it_does() {
        let cream = product(&["leave-on", "face", "cream"]);
        assert_eq!(cream.fits(&scope(&["leave-on"]), &[]), Fit::Yes);
        assert_eq!(
            cream.fits(&scope(&["leave-on", "face|hand"]), &[]),
            Fit::Yes
        );
        assert_eq!(cream.fits(&scope(&["rinse-off"]), &[]), Fit::No);
        assert_eq!(cream.fits(&scope(&["body"]), &[]), Fit::No);
        assert_eq!(cream.fits(&[], &scope(&["face"])), Fit::No);
        assert_eq!(cream.fits(&scope(&["propellant-spray"]), &[]), Fit::No);
    }

    #[test]
    fn silence_asks_for_the_field_that_decides() {
        assert_eq!(
            product(&[]).fits(&scope(&["leave-on"]), &[]),
            Fit::Unsaid(Axis::Stays)
        );
        assert_eq!(
            product(&["leave-on"]).fits(&scope(&["leave-on", "body"]), &[]),
            Fit::Unsaid(Axis::Place)
        );
        assert_eq!(
            product(&["leave-on"]).fits(&scope(&["rinse-off", "body"]), &[]),
            Fit::No
        );
        assert_eq!(product(&["leave-on"]).fits(&[], &[]), Fit::Yes);
    }

    #[test]
    fn a_spray_of_either_kind_is_a_spray() {
        let mist = product(&["leave-on", "face", "pump-spray"]);
        assert!(mist.has("spray"));
        assert_eq!(mist.fits(&[], &scope(&["spray"])), Fit::No);
    }
}
