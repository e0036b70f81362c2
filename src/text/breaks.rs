//! Line breaks: LF, CR LF or CR, as LSP knows them.

use std::borrow::Cow;

/// The first break of a text; LF where it has none.
pub fn first_break(text: &str) -> &'static str {
    let bytes = text.as_bytes();
    match bytes.iter().position(|b| matches!(b, b'\n' | b'\r')) {
        Some(at) if bytes[at] == b'\r' => match bytes.get(at + 1) {
            Some(b'\n') => "\r\n",
            _ => "\r",
        },
        _ => "\n",
    }
}

/// The text with all of its breaks (LF or CR LF) written as `line_break`.
pub fn with_breaks<'a>(text: &'a str, line_break: &str) -> Cow<'a, str> {
    if !text.contains('\n') || line_break == "\n" && !text.contains('\r') {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.replace("\r\n", "\n").replace('\n', line_break))
}
