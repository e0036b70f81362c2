//! What a formula holds, down to substances: the shapes.

pub use crate::kb::ComponentKind;

use crate::kb::Id;
use rust_decimal::Decimal;
use smol_str::SmolStr;

/// A substance in a row, in percent of the whole formula.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Component {
    pub id: Id,
    pub row: usize,
    /// The least: the low share of a natural constituent, nothing where none is published; else as `typical`.
    pub min: Decimal,
    pub typical: Decimal,
    /// The most: with the row's 'at most', and the high share of a natural constituent.
    pub max: Decimal,
    pub kind: ComponentKind,
    /// What brings it: the natural material of a constituent, the blend with a name of its own, else itself.
    pub by: Id,
    /// It is no part of something that the label's list names in its place.
    pub open: bool,
    /// It stands in the label's list under its own name, not inside something that does.
    pub listed: bool,
    /// Its blend says that the label does not name it.
    pub hidden: bool,
    /// It is the material of a row as it is bought, here or in a formula made earlier.
    pub bought: bool,
    /// Its row says that it is there for its colour.
    pub colours: bool,
    /// Its row takes as much of it as is needed, and nothing more is known.
    pub unmeasured: bool,
    /// Of a constituent: only its highest share is known.
    pub top_only: bool,
}

/// A part of a formula of which it is not known what it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gap {
    pub name: SmolStr,
    pub row: usize,
    /// Percent of the whole formula.
    pub percent: Decimal,
    pub why: Unknown,
    /// Its row takes as much of it as is needed, and nothing more is known.
    pub unmeasured: bool,
}

/// Why it is not known what something is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unknown {
    /// Several materials have the name.
    Ambiguous,
    Material,
    /// The file of a formula made earlier.
    File,
    /// What a solution is made up with.
    Carrier,
}
