//! What a law says of a formula, parted into what is in force and what is announced.

use crate::kb::law::Status;

/// A row of law that touches the formula.
pub trait Hit {
    fn status(&self) -> Status;
}

/// Hits of one kind. Those in force and those announced are asked for apart, so that none is taken for the other.
#[derive(Clone, Debug)]
pub struct Hits<T>(pub(super) Vec<T>);

impl<T: Hit> Hits<T> {
    /// What new products must follow today.
    pub fn in_force(&self) -> impl Iterator<Item = &T> {
        self.0.iter().filter(|h| h.status().is_in_force())
    }

    /// What they must follow from a later day.
    pub fn announced(&self) -> impl Iterator<Item = &T> {
        self.0.iter().filter(|h| !h.status().is_in_force())
    }

    /// Both, in the order of the law.
    pub fn in_force_or_announced(&self) -> &[T] {
        &self.0
    }
}
