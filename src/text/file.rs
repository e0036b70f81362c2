//! The one way in which a file on the disk becomes text: a formula, a batch, a stock file, settings, an ingredient.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// A file larger than this is no formula, settings or ingredient; reading on would only fill the memory.
pub const MAX_FILE_BYTES: u64 = 4 << 20;

/// Why a file cannot be used as text. Shown, it says what is wrong and what to do.
#[derive(Debug)]
pub enum Unreadable {
    Io(io::Error),
    /// A folder, a pipe, a socket or a device, also behind a link.
    NotPlain,
    /// More bytes than [`MAX_FILE_BYTES`]; how many, where the file says it.
    TooLarge(u64),
    /// The first line (from 1) that is not UTF-8.
    NotUtf8 {
        line: usize,
        utf16: bool,
    },
}

impl Unreadable {
    /// The line (from 1) that is at fault, where it is known.
    pub fn line(&self) -> Option<usize> {
        match self {
            Unreadable::NotUtf8 { line, .. } => Some(*line),
            _ => None,
        }
    }
}

impl std::fmt::Display for Unreadable {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Unreadable::Io(e) => f.write_str(&unreadable(e)),
            Unreadable::NotPlain => f.write_str("this is not a plain file; name a file of text"),
            Unreadable::TooLarge(bytes) => write!(
                f,
                "{} MB are too much for a formula, at most {} MB are read; is it the right file?",
                bytes.div_ceil(1_000_000),
                MAX_FILE_BYTES / 1_000_000
            ),
            Unreadable::NotUtf8 { utf16, .. } => {
                let what = if *utf16 {
                    "this is UTF-16 text, not UTF-8"
                } else {
                    "this is not UTF-8 text"
                };
                write!(f, "{what}; save the file as UTF-8 in your editor")
            }
        }
    }
}

/// The usual words for a file or folder that the system does not give.
pub fn unreadable(e: &io::Error) -> String {
    match e.kind() {
        io::ErrorKind::NotFound => "there is no such file or folder; check the path".into(),
        io::ErrorKind::PermissionDenied => "it may not be read; change its permissions".into(),
        _ => format!("it cannot be read: {e}"),
    }
}

/// The text of a plain file of at most [`MAX_FILE_BYTES`]. Links are followed; a pipe or a device is never opened, for that could
/// wait or go on for ever.
pub fn read_file(path: &Path) -> Result<String, Unreadable> {
    let meta = std::fs::metadata(path).map_err(Unreadable::Io)?;
    if !meta.is_file() {
        return Err(Unreadable::NotPlain);
    }
    if meta.len() > MAX_FILE_BYTES {
        return Err(Unreadable::TooLarge(meta.len()));
    }
    let mut bytes = Vec::with_capacity(meta.len() as usize);
    // Some files hold more than they say.
    File::open(path)
        .and_then(|file| file.take(MAX_FILE_BYTES + 1).read_to_end(&mut bytes))
        .map_err(Unreadable::Io)?;
    if bytes.len() as u64 > MAX_FILE_BYTES {
        return Err(Unreadable::TooLarge(bytes.len() as u64));
    }
    String::from_utf8(bytes).map_err(|e| not_utf8(e.as_bytes(), e.utf8_error().valid_up_to()))
}

/// Whether something is there that a maker means as a file of text, readable or not.
pub fn is_there(path: &Path) -> bool {
    std::fs::metadata(path).is_ok_and(|m| !m.is_dir())
}

/// Bytes that stop being UTF-8 at a place.
pub fn not_utf8(bytes: &[u8], at: usize) -> Unreadable {
    Unreadable::NotUtf8 {
        line: 1 + bytes[..at].iter().filter(|b| **b == b'\n').count(),
        utf16: bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]),
    }
}
