//! Bytes that have come, cut into messages. A body that is no message costs itself; a header that cannot be right costs the connection, for
//! where the next message begins is then not known.

use super::incoming::{Message, message};

/// A message larger than this, or a line of a header longer than the second, is taken for a wrong length.
const MAX_BODY: usize = 1 << 30;
const MAX_HEADER_LINE: usize = 8 * 1024;
/// Memory that is kept for the next message.
pub(super) const PIECE: usize = 64 * 1024;

/// The beginning of the next message is not known: what is wrong.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Lost(String);

impl std::fmt::Display for Lost {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{}; the server cannot follow the input and ends, start it again",
            self.0
        )
    }
}

#[derive(Default)]
pub(super) struct Frames {
    pub(super) bytes: Vec<u8>,
}

impl Frames {
    /// The next sound message; none where it has not come whole.
    pub(super) fn next(&mut self) -> Result<Option<Message>, Lost> {
        while let Some((header, body)) = head(&self.bytes)? {
            let end = header + body;
            if self.bytes.len() < end {
                self.bytes.reserve(end - self.bytes.len());
                return Ok(None);
            }
            let message = message(&self.bytes[header..end]);
            self.bytes.drain(..end);
            if self.bytes.is_empty() {
                // A long message does not keep its memory.
                self.bytes.shrink_to(PIECE);
            }
            if message.is_some() {
                return Ok(message);
            }
        }
        Ok(None)
    }
}

/// Bytes of the header with its blank line, and of the body; none where the header has not come whole.
fn head(bytes: &[u8]) -> Result<Option<(usize, usize)>, Lost> {
    let (mut at, mut length) = (0, None);
    loop {
        let Some(end) = bytes[at..].iter().position(|b| *b == b'\n') else {
            return if bytes.len() - at > MAX_HEADER_LINE {
                Err(Lost("a line of a header does not end".to_owned()))
            } else {
                Ok(None)
            };
        };
        let line = String::from_utf8_lossy(&bytes[at..at + end]);
        let line = line.trim();
        at += end + 1;
        if line.is_empty() {
            match length {
                Some(body) => return Ok(Some((at, body))),
                // Blank lines between two messages.
                None if at == 1 || bytes[..at].trim_ascii().is_empty() => continue,
                None => return Err(Lost("a header names no Content-Length".to_owned())),
            }
        }
        let (name, value) = line
            .split_once(':')
            .filter(|(name, _)| is_name(name))
            .ok_or_else(|| Lost(format!("\"{}\" is no header", shown(line))))?;
        if name.eq_ignore_ascii_case("content-length") {
            let value = value.trim();
            length = value.parse().ok().filter(|n| *n <= MAX_BODY);
            if length.is_none() {
                return Err(Lost(format!(
                    "a Content-Length of \"{}\" cannot be right",
                    shown(value)
                )));
            }
        }
    }
}

fn is_name(name: &str) -> bool {
    !name.is_empty() && name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
}

fn shown(text: &str) -> String {
    text.chars().take(40).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOVER: &str = r#"{"jsonrpc":"2.0","id":1,"method":"hover"}"#;

    fn hover() -> Message {
        message(HOVER.as_bytes()).expect("a message")
    }

    fn framed(body: &str) -> String {
        format!("Content-Length: {}\r\n\r\n{body}", body.len())
    }

    /// All messages of an input that comes in these pieces.
    fn all(pieces: &[&str]) -> Result<Vec<Message>, Lost> {
        let mut frames = Frames::default();
        let mut got = Vec::new();
        for piece in pieces {
            frames.bytes.extend(piece.as_bytes());
            while let Some(message) = frames.next()? {
                got.push(message);
            }
        }
        Ok(got)
    }

    /// However the bytes are cut on their way, the same messages come out.
    #[test]
    fn messages_come_out_whole_wherever_they_are_cut() {
        let sent = format!("{}{}{}", framed(HOVER), framed("not json"), framed(HOVER));
        for cut in 0..sent.len() {
            let got = all(&[&sent[..cut], &sent[cut..]]);
            assert_eq!(got, Ok(vec![hover(), hover()]), "cut at {cut}");
        }
    }

    #[test]
    fn other_headers_and_blank_lines_are_passed_over() {
        let sent = format!(
            "\r\n\r\nX-Other: 1\r\ncontent-length: {}\n\n{HOVER}",
            HOVER.len()
        );
        assert_eq!(all(&[&sent]), Ok(vec![hover()]));
    }

    /// A length that is too small, too large or no number: what comes behind it cannot be told apart.
    #[test]
    fn a_wrong_length_is_noticed_at_the_next_message() {
        let with =
            |length: &str| format!("Content-Length: {length}\r\n\r\n{HOVER}{}", framed(HOVER));
        for (length, words) in [
            ("5", "is no header"),
            ("40", "is no header"),
            ("43", "names no Content-Length"),
            ("-1", "\"-1\" cannot be right"),
            ("a few", "\"a few\" cannot be right"),
            ("99999999999999999999", "cannot be right"),
        ] {
            let lost = all(&[&with(length)]).expect_err(length);
            assert!(lost.0.contains(words), "{length}: {lost}");
        }
        assert!(all(&["x".repeat(MAX_HEADER_LINE + 1).as_str()]).is_err());
        assert!(all(&["Content-Type: x\r\n\r\n{}"]).is_err());
    }
}
