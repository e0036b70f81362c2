//! The number by which an entry goes.

/// An entry of one base. Ids of two bases do not mix.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Id(pub(super) u16);
