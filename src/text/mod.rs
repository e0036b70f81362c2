//! Text and positions. The only folder that names ropey.

mod span;

pub use span::{Place, Span, Spanned};
