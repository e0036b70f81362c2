//! Text and positions. The only folder that names ropey.

mod breaks;
mod document;
mod file;
mod span;

pub use breaks::{first_break, with_breaks};
pub use document::{Change, Document, Encoding, Position};
pub use file::{MAX_FILE_BYTES, Unreadable, is_there, not_utf8, read_file, unreadable};
pub use span::{Place, Span, Spanned};
