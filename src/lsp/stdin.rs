//! Standard input without a thread of its own: the loop waits for it, takes what is there, and hands on whole messages.

use super::guard::Life;
use super::incoming::{LARGEST_MESSAGE, Message, message};
use rustix::event::{PollFd, PollFlags, Timespec, poll};
use std::io;
use std::sync::Arc;
use std::task::{Context, Poll, ready};
use tokio::io::Interest;
use tokio::io::unix::AsyncFd;

/// What is taken at once.
const PIECE: usize = 64 * 1024;
/// A line of a header longer than this is none.
const LONGEST_LINE: usize = 64 * 1024;

pub struct Stdin {
    input: AsyncFd<io::Stdin>,
    frames: Frames,
    ended: bool,
    life: Arc<Life>,
}

impl Stdin {
    /// Refused where standard input cannot be waited for, as a plain file. Inside the runtime.
    pub fn new(life: Arc<Life>) -> io::Result<Stdin> {
        // What it is to be replaced by is not safe by type, and needs a descriptor that stays open: standard input does.
        #[expect(deprecated)]
        let input = AsyncFd::with_interest(io::stdin(), Interest::READABLE)?;
        Ok(Stdin {
            input,
            frames: Frames::default(),
            ended: false,
            life,
        })
    }

    /// The next sound message; none at the end.
    pub fn poll_next(&mut self, cx: &mut Context<'_>) -> Poll<Option<Message>> {
        loop {
            if let Some(message) = self.frames.next() {
                return Poll::Ready(Some(message));
            }
            if self.ended {
                return Poll::Ready(None);
            }
            let mut guard = match ready!(self.input.poll_read_ready(cx)) {
                Ok(guard) => guard,
                Err(e) => {
                    self.end(Some(e));
                    continue;
                }
            };
            // The descriptor is shared with others and stays as it is: it is asked whether reading must wait, instead of being told not to.
            if !has_something(self.input.get_ref()) {
                guard.clear_ready();
                continue;
            }
            match self.frames.take_in(self.input.get_ref()) {
                Ok(0) => self.end(None),
                // All that was there: whatever comes now is told of anew.
                Ok(n) if n < PIECE => guard.clear_ready(),
                Ok(_) => {}
                Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
                Err(e) => self.end(Some(e)),
            }
        }
    }

    fn end(&mut self, why: Option<io::Error>) {
        if let Some(e) = why {
            eprintln!("phasewright: the input cannot be read: {e}");
        }
        self.ended = true;
        self.life.ending();
    }
}

/// Something can be read, or the end is reached.
fn has_something(stdin: &io::Stdin) -> bool {
    let mut asked = [PollFd::new(stdin, PollFlags::IN)];
    poll(
        &mut asked,
        Some(&Timespec {
            tv_sec: 0,
            tv_nsec: 0,
        }),
    ) == Ok(1)
}

/// Bytes that have come, cut into messages.
#[derive(Default)]
struct Frames {
    bytes: Vec<u8>,
    /// What is left of a message that is too large to be taken.
    skip: usize,
}

impl Frames {
    fn take_in(&mut self, from: &io::Stdin) -> io::Result<usize> {
        self.bytes.reserve(PIECE);
        Ok(rustix::io::read(
            from,
            rustix::buffer::spare_capacity(&mut self.bytes),
        )?)
    }

    /// The next sound message that is there whole.
    fn next(&mut self) -> Option<Message> {
        loop {
            if self.skip > 0 {
                let gone = self.skip.min(self.bytes.len());
                self.bytes.drain(..gone);
                self.skip -= gone;
            }
            match head(&self.bytes) {
                Head::Unfinished => return None,
                Head::NoHeader(length) => {
                    eprintln!("phasewright: a line of the input is no header and was passed over");
                    self.bytes.drain(..length);
                }
                Head::Of { header, body } if body > LARGEST_MESSAGE => {
                    eprintln!("phasewright: a message of {body} bytes was passed over");
                    self.bytes.drain(..header);
                    self.skip = body;
                }
                Head::Of { header, body } if self.bytes.len() < header + body => return None,
                Head::Of { header, body } => {
                    let message = message(&self.bytes[header..header + body]);
                    self.bytes.drain(..header + body);
                    if self.bytes.is_empty() {
                        // A long message does not keep its memory.
                        self.bytes.shrink_to(PIECE);
                    }
                    if message.is_some() {
                        return message;
                    }
                }
            }
        }
    }
}

/// What stands at the beginning of the bytes.
#[derive(Debug, PartialEq, Eq)]
enum Head {
    Unfinished,
    /// So many bytes without a line break.
    NoHeader(usize),
    /// Bytes up to the body, and of the body.
    Of {
        header: usize,
        body: usize,
    },
}

/// Finds the blank line behind a length.
fn head(bytes: &[u8]) -> Head {
    let (mut at, mut length) = (0, None);
    loop {
        let Some(end) = bytes[at..].iter().position(|b| *b == b'\n') else {
            return if bytes.len() - at > LONGEST_LINE {
                Head::NoHeader(bytes.len())
            } else {
                Head::Unfinished
            };
        };
        let line = String::from_utf8_lossy(&bytes[at..at + end]);
        at += end + 1;
        match line.trim().split_once(':') {
            None if line.trim().is_empty() && length.is_some() => {
                return Head::Of {
                    header: at,
                    body: length.unwrap_or(0),
                };
            }
            Some((name, value)) if name.trim().eq_ignore_ascii_case("content-length") => {
                length = Some(value.trim().parse().unwrap_or(0))
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOVER: &str = r#"{"jsonrpc":"2.0","id":1,"method":"hover"}"#;

    fn hover() -> Option<Message> {
        message(HOVER.as_bytes())
    }

    fn framed(body: &str) -> String {
        format!("Content-Length: {}\r\n\r\n{body}", body.len())
    }

    /// However the bytes are cut on their way, the same messages come out.
    #[test]
    fn messages_come_out_whole_wherever_they_are_cut() {
        let sent = format!("{}{}{}", framed(HOVER), framed("not json"), framed(HOVER));
        for cut in 0..sent.len() {
            let mut frames = Frames::default();
            let mut got = Vec::new();
            for piece in [&sent[..cut], &sent[cut..]] {
                frames.bytes.extend(piece.as_bytes());
                got.extend(std::iter::from_fn(|| frames.next()));
            }
            assert_eq!(
                got,
                [hover(), hover()].map(|m| m.expect("a message")),
                "cut at {cut}"
            );
        }
    }

    #[test]
    fn what_is_no_header_and_what_is_too_large_is_passed_over() {
        let mut frames = Frames::default();
        frames.bytes.extend(b"X-Other: 1\r\nnonsense\r\n\r\n");
        frames.bytes.extend(framed(HOVER).as_bytes());
        assert_eq!(frames.next(), hover());
        frames.bytes.extend(vec![b'x'; LONGEST_LINE + 1]);
        assert_eq!(frames.next(), None);
        assert!(frames.bytes.is_empty());
        frames
            .bytes
            .extend(format!("Content-Length: {}\r\n\r\n", LARGEST_MESSAGE + 3).as_bytes());
        assert_eq!((frames.next(), frames.skip), (None, LARGEST_MESSAGE + 3));
        frames.skip = 3;
        frames.bytes.extend(b"xyz");
        frames.bytes.extend(framed(HOVER).as_bytes());
        assert_eq!(frames.next(), hover());
    }
}
