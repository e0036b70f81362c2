//! Text and positions. The only folder that names ropey.

mod document;
mod span;

pub use document::{Change, Document, Encoding, Position};
pub use span::{Place, Span, Spanned};
