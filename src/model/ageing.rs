//! Whose age a product takes on.
//!
//! The date on a bag of gum, salt, clay or pigment is that of the bag: until then it is sure to be dry and loose. Dissolved or
//! dispersed in a product it ages no further, so its date ends no product's life. Oils turn, actives fade, extracts and
//! preservatives lose strength: theirs does. What is not known to keep counts as ageing.

use crate::kb::role::Role;
use crate::kb::schema::Ingredient;

const KEEP: [Role; 13] = [
    Role::Gum,
    Role::Polymer,
    Role::Thickener,
    Role::FilmFormer,
    Role::Chelator,
    Role::Salt,
    Role::Clay,
    Role::Powder,
    Role::Abrasive,
    Role::Pigment,
    Role::Pearl,
    Role::Opacifier,
    Role::Starch,
];

/// Plants and food go stale in any form, and what works fades.
const FADE: [Role; 7] = [
    Role::Kitchen,
    Role::Extract,
    Role::Active,
    Role::Vitamin,
    Role::Enzyme,
    Role::Protein,
    Role::Preservative,
];

/// Whether the date of a material bears on how long a product with it keeps.
pub fn ages(one: &Ingredient) -> bool {
    !one.roles.primary_in(&KEEP) || one.roles.has_any(&FADE)
}
