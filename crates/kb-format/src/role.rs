//! What a material does in a formula. An entry lists its roles, the primary one first.

use serde::{Deserialize, Serialize};
use std::fmt;
use std::ops::Deref;

macro_rules! roles {
    ($($role:ident = $word:literal,)*) => {
        #[cfg_attr(test, derive(schemars::JsonSchema))]
        #[derive(Serialize, Deserialize, Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Role {
            $(#[serde(rename = $word)] $role,)*
        }

        impl Role {
            pub const ALL: &[Role] = &[$(Role::$role,)*];

            /// The word that the files use.
            pub const fn as_str(self) -> &'static str {
                match self {
                    $(Role::$role => $word,)*
                }
            }
        }
    };
}

roles! {
    Water = "water",
    Hydrosol = "hydrosol",
    Solvent = "solvent",
    Humectant = "humectant",
    Emollient = "emollient",
    Oil = "oil",
    Butter = "butter",
    Ester = "ester",
    Hydrocarbon = "hydrocarbon",
    Silicone = "silicone",
    Wax = "wax",
    FattyAlcohol = "fatty-alcohol",
    FattyAcid = "fatty-acid",
    Emulsifier = "emulsifier",
    CoEmulsifier = "co-emulsifier",
    Solubilizer = "solubilizer",
    Surfactant = "surfactant",
    FoamBooster = "foam-booster",
    Thickener = "thickener",
    Gum = "gum",
    Polymer = "polymer",
    FilmFormer = "film-former",
    Stabilizer = "stabilizer",
    Preservative = "preservative",
    Booster = "booster",
    Antioxidant = "antioxidant",
    Chelator = "chelator",
    Acid = "acid",
    Base = "base",
    Buffer = "buffer",
    Salt = "salt",
    Vitamin = "vitamin",
    Active = "active",
    Exfoliant = "exfoliant",
    Brightener = "brightener",
    Protein = "protein",
    AminoAcid = "amino-acid",
    Peptide = "peptide",
    Enzyme = "enzyme",
    Extract = "extract",
    Ferment = "ferment",
    Honey = "honey",
    Kitchen = "kitchen",
    Conditioner = "conditioner",
    EssentialOil = "essential-oil",
    Aroma = "aroma",
    Fragrance = "fragrance",
    Flavour = "flavour",
    Sweetener = "sweetener",
    Clay = "clay",
    Powder = "powder",
    Abrasive = "abrasive",
    Pigment = "pigment",
    Dye = "dye",
    Colourant = "colourant",
    Pearl = "pearl",
    Opacifier = "opacifier",
    UvFilter = "uv-filter",
    Soothing = "soothing",
    Astringent = "astringent",
    Cooling = "cooling",
    Warming = "warming",
    SelfTanner = "self-tanner",
    AntiDandruff = "anti-dandruff",
    Antiperspirant = "antiperspirant",
    Deodorant = "deodorant",
    Repellent = "repellent",
    Anaesthetic = "anaesthetic",
    Hormone = "hormone",
    Antibiotic = "antibiotic",
    Propellant = "propellant",
    Effervescent = "effervescent",
    Oxidizer = "oxidizer",
    Reducer = "reducer",
    Soap = "soap",
    Starch = "starch",
    Sugar = "sugar",
    Constituent = "constituent",
    Element = "element",
    Medicine = "medicine",
    Toxic = "toxic",
}

impl Role {
    /// The role of this word.
    pub fn of(word: &str) -> Option<Role> {
        Role::ALL.iter().copied().find(|role| role.as_str() == word)
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// The roles of an entry, the primary one first.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, Default, PartialEq, Eq)]
#[serde(transparent)]
pub struct Roles(Vec<Role>);

impl Roles {
    pub fn has(&self, role: Role) -> bool {
        self.0.contains(&role)
    }

    pub fn has_any(&self, roles: &[Role]) -> bool {
        self.0.iter().any(|role| roles.contains(role))
    }

    pub fn primary(&self) -> Option<Role> {
        self.0.first().copied()
    }

    pub fn primary_is(&self, role: Role) -> bool {
        self.primary() == Some(role)
    }

    pub fn primary_in(&self, roles: &[Role]) -> bool {
        self.primary()
            .is_some_and(|primary| roles.contains(&primary))
    }
}

impl From<Vec<Role>> for Roles {
    fn from(roles: Vec<Role>) -> Roles {
        Roles(roles)
    }
}

impl Deref for Roles {
    type Target = [Role];
    fn deref(&self) -> &[Role] {
        &self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_word_is_one_role() {
        for role in Role::ALL {
            assert_eq!(Role::of(role.as_str()), Some(*role));
        }
        assert_eq!(Role::of("magic"), None);
    }
}
