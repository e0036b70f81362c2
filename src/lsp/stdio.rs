//! The bytes between tower-lsp's loop and the client.
//!
//! The loop reads and writes through these two because of what its own reading does, measured with the tests of the process:
//! - Its codec ends the whole input at a body that is not JSON-RPC, and goes on behind a wrong length as if nothing had happened. Here a
//!   body that is no message costs itself, and a header that cannot be right ends the connection with a message on stderr, so that the editor
//!   starts the server again.
//! - While it waits until its answers are taken it reads nothing, and never sees the end of its input. Here a thread reads on, and ends the
//!   process of a client that has closed and takes nothing.

use serde_json::from_slice;
use std::collections::VecDeque;
use std::io::{self, Read, Write};
use std::pin::Pin;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::task::{Context, Poll, Waker, ready};
use std::thread::JoinHandle;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::sync::mpsc;
use tower_lsp::jsonrpc::{Request, Response};

/// A message larger than this, or a line of a header longer than the second, is taken for a wrong length.
const MAX_BODY: usize = 1 << 30;
const MAX_HEADER_LINE: usize = 8 * 1024;
/// Memory that is kept for the next message.
const PIECE: usize = 64 * 1024;
/// Bytes that may wait to be written before the loop has to wait.
const MAX_WAITING: usize = 4 << 20;

/// Sound messages, each with its header. A thread reads them.
pub struct Input {
    messages: mpsc::UnboundedReceiver<Vec<u8>>,
    current: Vec<u8>,
    taken: usize,
}

impl Input {
    /// Reads until the end, or until it is not known where the next message begins. Then `at_end` is called.
    pub fn new(input: impl Read + Send + 'static, at_end: impl FnOnce() + Send + 'static) -> Input {
        let (to, messages) = mpsc::unbounded_channel();
        std::thread::spawn(move || {
            if let Err(why) = read_messages(input, &to) {
                eprintln!("phasewright: {why}");
            }
            drop(to);
            at_end();
        });
        Input {
            messages,
            current: Vec::new(),
            taken: 0,
        }
    }
}

impl AsyncRead for Input {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        if self.taken == self.current.len() {
            // At the end nothing is put into the buffer, which says so.
            let Some(next) = ready!(self.messages.poll_recv(cx)) else {
                return Poll::Ready(Ok(()));
            };
            (self.current, self.taken) = (next, 0);
        }
        let rest = &self.current[self.taken..];
        let count = rest.len().min(buffer.remaining());
        buffer.put_slice(&rest[..count]);
        self.taken += count;
        Poll::Ready(Ok(()))
    }
}

fn read_messages(mut input: impl Read, to: &mpsc::UnboundedSender<Vec<u8>>) -> Result<(), String> {
    let lost = |what: String| {
        format!("{what}; the server cannot follow the input and ends, start it again")
    };
    let mut bytes: Vec<u8> = Vec::new();
    let mut piece = vec![0; PIECE];
    loop {
        while let Some((header, body)) = head(&bytes).map_err(lost)? {
            let end = header + body;
            if bytes.len() < end {
                bytes.reserve(end - bytes.len());
                break;
            }
            let text = &bytes[header..end];
            if is_message(text) {
                let message = [format!("Content-Length: {body}\r\n\r\n").as_bytes(), text].concat();
                if to.send(message).is_err() {
                    return Ok(());
                }
            } else {
                eprintln!("phasewright: a message that is not JSON-RPC was passed over");
            }
            bytes.drain(..end);
            if bytes.is_empty() {
                // A long message does not keep its memory.
                bytes.shrink_to(PIECE);
            }
        }
        match input.read(&mut piece) {
            Ok(0) => return Ok(()),
            Ok(n) => bytes.extend(&piece[..n]),
            Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
            Err(e) => return Err(format!("the input cannot be read: {e}")),
        }
    }
}

fn is_message(body: &[u8]) -> bool {
    let is_request = from_slice::<Request>(body).is_ok_and(|r| !r.method().is_empty());
    is_request || from_slice::<Response>(body).is_ok()
}

/// Bytes of the header with its blank line, and of the body; none where the header has not come whole. The error says what cannot be right.
fn head(bytes: &[u8]) -> Result<Option<(usize, usize)>, String> {
    let (mut at, mut length) = (0, None);
    loop {
        let Some(end) = bytes[at..].iter().position(|b| *b == b'\n') else {
            return match bytes.len() - at > MAX_HEADER_LINE {
                true => Err("a line of a header does not end".to_owned()),
                false => Ok(None),
            };
        };
        let line = String::from_utf8_lossy(&bytes[at..at + end]);
        let line = line.trim();
        at += end + 1;
        if line.is_empty() {
            match length {
                Some(body) => return Ok(Some((at, body))),
                // Blank lines between two messages.
                None if bytes[..at].trim_ascii().is_empty() => continue,
                None => return Err("a header names no Content-Length".to_owned()),
            }
        }
        let (name, value) = line
            .split_once(':')
            .filter(|(name, _)| is_name(name))
            .ok_or_else(|| format!("\"{}\" is no header", shown(line)))?;
        if name.eq_ignore_ascii_case("content-length") {
            let value = value.trim();
            length = value.parse().ok().filter(|n| *n <= MAX_BODY);
            if length.is_none() {
                return Err(format!(
                    "a Content-Length of \"{}\" cannot be right",
                    shown(value)
                ));
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

/// Where the loop writes. A thread passes it on, so that a client that does not read stops nobody else.
#[derive(Clone, Default)]
pub struct Output {
    queue: Arc<Queue>,
}

#[derive(Default)]
struct Queue {
    waiting: Mutex<Waiting>,
    more: Condvar,
}

#[derive(Default)]
struct Waiting {
    chunks: VecDeque<Vec<u8>>,
    bytes: usize,
    /// Chunks that the client has taken.
    taken: u64,
    closed: bool,
    broken: bool,
    loop_waits: Option<Waker>,
}

impl Queue {
    fn lock(&self) -> MutexGuard<'_, Waiting> {
        self.waiting.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The next chunk to write; none at the end.
    fn next(&self) -> Option<Vec<u8>> {
        let waiting = self.lock();
        let idle = |w: &mut Waiting| w.chunks.is_empty() && !w.closed && !w.broken;
        let woken = self.more.wait_while(waiting, idle);
        woken
            .unwrap_or_else(PoisonError::into_inner)
            .chunks
            .pop_front()
    }

    fn written(&self, bytes: usize, ok: bool) {
        let mut waiting = self.lock();
        waiting.bytes -= bytes;
        waiting.taken += 1;
        waiting.broken |= !ok;
        if let Some(waker) = waiting.loop_waits.take() {
            waker.wake();
        }
    }
}

impl Output {
    /// Starts the thread that writes; it ends some time after [`Output::close`].
    pub fn new(mut output: impl Write + Send + 'static) -> (Output, JoinHandle<()>) {
        let this = Output::default();
        let queue = this.queue.clone();
        let writer = std::thread::spawn(move || {
            while let Some(chunk) = queue.next() {
                let written = output.write_all(&chunk).and_then(|()| output.flush());
                queue.written(chunk.len(), written.is_ok());
                if written.is_err() {
                    return;
                }
            }
        });
        (this, writer)
    }

    /// All that was taken still goes out.
    pub fn close(&self) {
        self.queue.lock().closed = true;
        self.queue.more.notify_one();
    }

    /// Chunks that the client has taken so far, where others wait for it; none where nothing waits.
    pub fn stuck_at(&self) -> Option<u64> {
        let waiting = self.queue.lock();
        (waiting.bytes > 0 && !waiting.broken).then_some(waiting.taken)
    }
}

impl AsyncWrite for Output {
    /// What nobody reads any more is dropped.
    fn poll_write(
        self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let mut waiting = self.queue.lock();
        if waiting.broken {
            return Poll::Ready(Ok(bytes.len()));
        }
        if waiting.bytes > MAX_WAITING {
            waiting.loop_waits = Some(cx.waker().clone());
            return Poll::Pending;
        }
        waiting.bytes += bytes.len();
        waiting.chunks.push_back(bytes.to_vec());
        self.queue.more.notify_one();
        Poll::Ready(Ok(bytes.len()))
    }

    fn poll_flush(self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<io::Result<()>> {
        Poll::Ready(Ok(()))
    }

    fn poll_shutdown(self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<io::Result<()>> {
        Poll::Ready(Ok(()))
    }
}

#[cfg(test)]
mod tests;
