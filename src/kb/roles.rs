//! The roles of a material, with a sieve in front of them: most questions are about a role that it does not have, and those are answered
//! without a look at the words.

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use smol_str::SmolStr;
use std::ops::Deref;

/// Roles by name, the chief one first.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Roles {
    names: Vec<SmolStr>,
    sieve: Sieve,
    /// Of the chief one alone.
    chief: Sieve,
}

/// A set of words that may hold more than was put in, never less.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Sieve(u64);

impl Sieve {
    #[inline(always)]
    const fn of(word: &str) -> Sieve {
        let bytes = word.as_bytes();
        if bytes.is_empty() {
            return Sieve(1);
        }
        // Length, ends and middle part all the roles of the vocabulary well; the factors spread them over the 64 places.
        let mixed = bytes.len() * 12
            + bytes[0] as usize * 40
            + bytes[bytes.len() / 2] as usize * 13
            + bytes[bytes.len() - 1] as usize * 5;
        Sieve(1 << (mixed % 64))
    }

    #[inline]
    fn meets(self, other: Sieve) -> bool {
        self.0 & other.0 != 0
    }
}

/// Several roles with their sieve, made by the compiler.
pub struct AnyOf {
    roles: &'static [&'static str],
    sieve: Sieve,
}

/// Wants to be a constant: `const { any_of(&["oil", "wax"]) }`.
pub const fn any_of(roles: &'static [&'static str]) -> AnyOf {
    let (mut sieve, mut n) = (0, 0);
    while n < roles.len() {
        sieve |= Sieve::of(roles[n]).0;
        n += 1;
    }
    AnyOf {
        roles,
        sieve: Sieve(sieve),
    }
}

impl Roles {
    // Always in place, so that the sieve of a role is made by the compiler; what the sieve lets through is looked at apart.
    #[inline(always)]
    pub fn has(&self, role: &str) -> bool {
        self.sieve.meets(Sieve::of(role)) && self.holds(role)
    }

    #[inline(never)]
    fn holds(&self, role: &str) -> bool {
        self.names.iter().any(|r| r == role)
    }

    #[inline]
    pub fn has_any(&self, any: &AnyOf) -> bool {
        self.sieve.meets(any.sieve) && any.roles.iter().any(|r| self.has(r))
    }

    /// Whether this is the chief role.
    #[inline(always)]
    pub fn chiefly(&self, role: &str) -> bool {
        self.chief.meets(Sieve::of(role)) && self.names.first().is_some_and(|r| r == role)
    }

    #[inline]
    pub fn chiefly_any(&self, any: &AnyOf) -> bool {
        self.chief.meets(any.sieve) && any.roles.iter().any(|r| self.chiefly(r))
    }
}

impl From<Vec<SmolStr>> for Roles {
    fn from(names: Vec<SmolStr>) -> Roles {
        let sieve = Sieve(names.iter().fold(0, |all, r| all | Sieve::of(r).0));
        let chief = names.first().map_or(Sieve::default(), |r| Sieve::of(r));
        Roles {
            names,
            sieve,
            chief,
        }
    }
}

impl Deref for Roles {
    type Target = [SmolStr];
    fn deref(&self) -> &[SmolStr] {
        &self.names
    }
}

impl Serialize for Roles {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        self.names.serialize(s)
    }
}

impl<'de> Deserialize<'de> for Roles {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Roles, D::Error> {
        Vec::deserialize(d).map(Roles::from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The sieve changes no answer: every role of the vocabulary asked of every other and of itself.
    #[test]
    fn the_sieve_loses_nothing() {
        let all = &crate::kb::Kb::bundled().vocabulary().roles;
        for role in all {
            let one = Roles::from(vec!["water".into(), role.as_str().into()]);
            for other in all {
                assert_eq!(
                    one.has(other),
                    other == role || other == "water",
                    "{role}, {other}"
                );
                assert_eq!(one.chiefly(other), other == "water", "{role}, {other}");
            }
        }
        let oil = Roles::from(vec!["oil".into(), "emollient".into()]);
        let (both, chief) = (any_of(&["wax", "emollient"]), any_of(&["wax", "oil"]));
        assert!(oil.has_any(&both) && !oil.chiefly_any(&both) && oil.chiefly_any(&chief));
        assert!(!Roles::default().has("") && !Roles::default().chiefly("water"));
    }
}
