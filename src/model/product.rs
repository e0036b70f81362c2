//! The words that describe a product, and whether a scope of the law fits them.

use super::fields::{Fields, PLACES, Type};
use smol_str::SmolStr;

/// The scope words of one product.
#[derive(Clone, Debug, Default)]
pub struct Product {
    /// Words said, or following from the kind of product; sorted.
    words: Vec<SmolStr>,
    /// The places among them follow only from the kind of product.
    places_assumed: bool,
}

/// Whether a row of law with a scope applies to the product.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Applies {
    Yes,
    No,
    /// The file does not say what decides it.
    Unknown(Axis),
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
            _ if PLACES.contains(&word) => Axis::Place,
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
            // Who is under six is under ten, and a product for children under six meets those under three.
            ("under-10", "under-6"),
            ("under-6", "under-3"),
            ("under-3", "under-6"),
            ("under-6", "under-10"),
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
        Product {
            words,
            places_assumed: fields.places_assumed,
        }
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

    /// Where on the body it goes.
    fn places(&self) -> impl Iterator<Item = &str> {
        self.words
            .iter()
            .map(SmolStr::as_str)
            .filter(|w| Axis::of(w) == Axis::Place)
    }

    /// The places of the product that lie outside a scope.
    pub fn places_outside(&self, scope: &[SmolStr]) -> Vec<&str> {
        scope
            .iter()
            .flat_map(|either| self.outside(either))
            .collect()
    }

    /// The places that none of `either` takes in; none where a word that is no place fits the product.
    fn outside(&self, either: &str) -> Vec<&str> {
        let fitting: Vec<&str> = either.split('|').filter(|w| self.has(w)).collect();
        if fitting.iter().any(|w| Axis::of(w) != Axis::Place) {
            return Vec::new();
        }
        self.places()
            .filter(|place| !fitting.iter().any(|w| takes_in(w, place)))
            .collect()
    }

    /// As [`Product::fits`] where nothing is allowed outside the scope: a product for the face and
    /// the body is no product for the face only.
    pub fn fits_only(&self, scope: &[SmolStr]) -> Applies {
        match self.fits(scope, &[]) {
            Applies::Yes if self.places_outside(scope).is_empty() => Applies::Yes,
            Applies::Yes if self.places_assumed => Applies::Unknown(Axis::Place),
            Applies::Yes => Applies::No,
            applies => applies,
        }
    }

    /// Whether the product has every word of `scope` ("a|b": either) and none of `not_scope`. A
    /// place of `not_scope` excludes the product only if it goes nowhere else.
    pub fn fits(&self, scope: &[SmolStr], not_scope: &[SmolStr]) -> Applies {
        let mut unsaid: Option<Axis> = None;
        let mut ask = |axis: Axis| unsaid = Some(unsaid.map_or(axis, |a| a.min(axis)));
        for w in scope {
            let either: Vec<&str> = w.split('|').collect();
            if either.iter().any(|w| self.has(w)) {
                continue;
            }
            match either.iter().map(|w| Axis::of(w)).find(|a| !self.knows(*a)) {
                Some(axis) => ask(axis),
                None => return Applies::No,
            }
        }
        let mut excluded = Vec::new();
        for w in not_scope.iter().flat_map(|w| w.split('|')) {
            // An exclusion that nothing is said about does not apply.
            if self.has(w) {
                if Axis::of(w) != Axis::Place {
                    return Applies::No;
                }
                excluded.push(w);
            }
        }
        let gone = |place| {
            excluded
                .iter()
                .any(|w| takes_in(w, place) || on_the_face(w, place))
        };
        if !excluded.is_empty() && self.places().all(gone) {
            return Applies::No;
        }
        unsaid.map_or(Applies::Yes, Applies::Unknown)
    }
}

/// Words for the same place, a narrow one with its wide one.
const SAME_PLACE: [&[&str]; 4] = [
    &["hair", "scalp"],
    &["eye", "eyelash"],
    &["oral", "mouth", "mucous"],
    &["intimate", "mucous"],
];

/// Whether what is allowed on `allowed` is allowed on `place`: the eyes lie in the face.
fn takes_in(allowed: &str, place: &str) -> bool {
    allowed == place
        || SAME_PLACE
            .iter()
            .any(|s| s.contains(&allowed) && s.contains(&place))
        || allowed == "face" && ["eye", "eyelash"].contains(&place)
}

/// A product for the eyes or the lips that says "face" too is one for the eyes or the lips.
fn on_the_face(narrow: &str, place: &str) -> bool {
    place == "face" && ["eye", "eyelash", "lip"].contains(&narrow)
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
        assert_eq!(cream.fits(&scope(&["leave-on"]), &[]), Applies::Yes);
        assert_eq!(
            cream.fits(&scope(&["leave-on", "face|hand"]), &[]),
            Applies::Yes
        );
        assert_eq!(cream.fits(&scope(&["rinse-off"]), &[]), Applies::No);
        assert_eq!(cream.fits(&scope(&["body"]), &[]), Applies::No);
        assert_eq!(cream.fits(&[], &scope(&["face"])), Applies::No);
        assert_eq!(cream.fits(&scope(&["propellant-spray"]), &[]), Applies::No);
    }

    #[test]
    fn only_means_that_no_place_lies_outside() {
        let only = |words: &[&str], allowed: &[&str]| product(words).fits_only(&scope(allowed));
        assert_eq!(only(&["leave-on", "face"], &["face"]), Applies::Yes);
        assert_eq!(only(&["leave-on", "face", "body"], &["face"]), Applies::No);
        assert_eq!(
            only(&["leave-on", "face", "hand"], &["face|hand"]),
            Applies::Yes
        );
        assert_eq!(only(&["leave-on", "body"], &["face"]), Applies::No);
        assert_eq!(
            only(&["leave-on"], &["face"]),
            Applies::Unknown(Axis::Place)
        );
        assert_eq!(
            only(&["rinse-off", "hair", "scalp"], &["hair"]),
            Applies::Yes
        );
        assert_eq!(only(&["rinse-off", "hair", "body"], &["hair"]), Applies::No);
        assert_eq!(
            only(&["leave-on", "eye", "eyelash"], &["eyelash"]),
            Applies::Yes
        );
        assert_eq!(only(&["leave-on", "face", "eye"], &["face"]), Applies::Yes);
        assert_eq!(only(&["leave-on", "face", "eye"], &["eye"]), Applies::No);
        // A word that is no place allows the product wherever it goes.
        assert_eq!(
            only(&["rinse-off", "body", "hand", "soap"], &["hair|soap"]),
            Applies::Yes
        );
        assert_eq!(
            only(&["leave-on", "body", "face"], &["leave-on", "face|body"]),
            Applies::Yes
        );
    }

    #[test]
    fn a_place_is_excluded_only_if_the_product_goes_nowhere_else() {
        let fits = |words: &[&str], not: &[&str]| product(words).fits(&[], &scope(not));
        assert_eq!(fits(&["leave-on", "face"], &["face"]), Applies::No);
        assert_eq!(fits(&["leave-on", "face", "body"], &["face"]), Applies::Yes);
        assert_eq!(
            fits(&["rinse-off", "oral", "mouth", "mucous"], &["oral"]),
            Applies::No
        );
        assert_eq!(
            fits(&["rinse-off", "hair", "scalp"], &["hair"]),
            Applies::No
        );
        assert_eq!(
            fits(&["rinse-off", "hair", "body"], &["hair"]),
            Applies::Yes
        );
        // An eye cream is one for the eyes, though they lie in the face.
        assert_eq!(
            fits(&["leave-on", "face", "eye"], &["lip", "eye"]),
            Applies::No
        );
        assert_eq!(
            fits(&["leave-on", "face", "body", "makeup"], &["makeup"]),
            Applies::No
        );
    }

    #[test]
    fn silence_asks_for_the_field_that_decides() {
        assert_eq!(
            product(&[]).fits(&scope(&["leave-on"]), &[]),
            Applies::Unknown(Axis::Stays)
        );
        assert_eq!(
            product(&["leave-on"]).fits(&scope(&["leave-on", "body"]), &[]),
            Applies::Unknown(Axis::Place)
        );
        assert_eq!(
            product(&["leave-on"]).fits(&scope(&["rinse-off", "body"]), &[]),
            Applies::No
        );
        assert_eq!(product(&["leave-on"]).fits(&[], &[]), Applies::Yes);
    }

    #[test]
    fn a_spray_of_either_kind_is_a_spray() {
        let mist = product(&["leave-on", "face", "pump-spray"]);
        assert!(mist.has("spray"));
        assert_eq!(mist.fits(&[], &scope(&["spray"])), Applies::No);
    }
}
