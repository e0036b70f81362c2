//! Bytes in and out. Messages are taken whole, so that a malformed one costs itself and not the connection. A thread reads them, or, from
//! standard input on Linux, the loop itself (`stdin`); another thread writes, so that a client that does not read stops
//! nobody. What can go out without waiting is written at once, which spares waking that thread.

use super::guard::{Guard, Life};
use super::handlers;
use super::state::Options;
use serde::Deserialize;
use serde::de::IgnoredAny;
use std::collections::VecDeque;
use std::io::{self, BufRead, BufReader, Read, Write};
use std::pin::Pin;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::task::{Context, Poll, Waker};
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::sync::mpsc;

/// A message larger than this is skipped.
pub(super) const LARGEST_MESSAGE: usize = 1 << 30;
/// Bytes that may wait to be written before the server holds back.
const MOST_WAITING: usize = 4 << 20;

/// Speaks with one client until it leaves. Gives the exit status: 0 after `shutdown`, else 1.
pub fn serve_on(input: impl Read + Send + 'static, output: impl Write + Send + 'static, options: Options) -> i32 {
    serve_with(From::reader(input), output, no_room, options, Arc::new(Life::default()))
}

/// Where the messages come from.
pub(super) enum From {
    /// Standard input, waited for by the loop itself where the system can: one thread less to wake for every message.
    Stdin,
    Reader(Box<dyn Read + Send>),
}

impl From {
    pub(super) fn stdin() -> From {
        if cfg!(target_os = "linux") { From::Stdin } else { From::Reader(Box::new(io::stdin())) }
    }

    pub(super) fn reader(input: impl Read + Send + 'static) -> From {
        From::Reader(Box::new(input))
    }
}

/// Writes the beginning of something as far as that needs no waiting, and says how much it was.
type AtOnce = fn(&[u8]) -> usize;

/// Where it is not known whether writing must wait.
pub(super) fn no_room(_: &[u8]) -> usize {
    0
}

/// Standard output. What says that it can be written to takes a page without waiting, be it a pipe or a socket.
#[cfg(target_os = "linux")]
pub(super) fn room_in_stdout(bytes: &[u8]) -> usize {
    use rustix::event::{PollFd, PollFlags, Timespec, poll};
    const PAGE: usize = 4096;
    let stdout = io::stdout();
    let has_room = || {
        let mut asked = [PollFd::new(&stdout, PollFlags::OUT)];
        poll(&mut asked, Some(&Timespec { tv_sec: 0, tv_nsec: 0 })) == Ok(1) && asked[0].revents() == PollFlags::OUT
    };
    let mut done = 0;
    while done < bytes.len() && has_room() {
        match rustix::io::write(&stdout, &bytes[done..bytes.len().min(done + PAGE)]) {
            Ok(written) if written > 0 => done += written,
            // The writing thread meets the same trouble and tells of it.
            _ => break,
        }
    }
    done
}

#[cfg(not(target_os = "linux"))]
pub(super) use no_room as room_in_stdout;

pub(super) fn serve_with(input: From, output: impl Write + Send + 'static, at_once: AtOnce, options: Options, life: Arc<Life>) -> i32 {
    let runtime = match tokio::runtime::Builder::new_current_thread().enable_io().enable_time().max_blocking_threads(4).build() {
        Ok(runtime) => runtime,
        Err(e) => {
            eprintln!("phasewright: the server cannot start: {e}");
            return 2;
        }
    };
    let queue = Arc::new(Queue::default());
    let writer = std::thread::spawn({
        let queue = queue.clone();
        move || write_all(&queue, output)
    });
    runtime.block_on(async {
        let (service, socket) = handlers::service(options, life.clone());
        tower_lsp::Server::new(
            Incoming { messages: Messages::of(input, &life), rest: Vec::new(), at: 0 },
            Outgoing { queue: queue.clone(), at_once },
            socket,
        )
        .concurrency_level(64)
        .serve(Guard::new(service, life.clone()))
        .await;
    });
    life.ending();
    queue.close();
    // All that was said before the end still goes out.
    if writer.join().is_err() {
        eprintln!("phasewright: the writing thread failed");
    }
    runtime.shutdown_background();
    life.status()
}

/// What a message must be for the service to take it.
#[derive(Deserialize)]
struct Probe<'a> {
    jsonrpc: &'a str,
    #[serde(default)]
    method: Option<IgnoredAny>,
    #[serde(default)]
    id: Option<IgnoredAny>,
}

/// Reads message after message until the input ends. Each is handed on with a fresh header.
fn read_messages(mut input: impl BufRead, to: &mpsc::Sender<Vec<u8>>) {
    loop {
        match read_message(&mut input) {
            Ok(Some(message)) => {
                if to.blocking_send(message).is_err() {
                    return;
                }
            }
            Ok(None) => {}
            Err(e) => {
                if e.kind() != io::ErrorKind::UnexpectedEof {
                    eprintln!("phasewright: the input cannot be read: {e}");
                }
                return;
            }
        }
    }
}

/// One message; none where it is not sound.
pub(super) fn read_message(input: &mut impl BufRead) -> io::Result<Option<Vec<u8>>> {
    let mut length = None;
    let mut line = Vec::new();
    loop {
        line.clear();
        if input.by_ref().take(64 * 1024).read_until(b'\n', &mut line)? == 0 {
            return Err(io::ErrorKind::UnexpectedEof.into());
        }
        let text = String::from_utf8_lossy(&line);
        let text = text.trim();
        if text.is_empty() {
            if length.is_some() {
                break;
            }
            continue;
        }
        match text.split_once(':') {
            Some((name, value)) if name.trim().eq_ignore_ascii_case("content-length") => length = value.trim().parse::<usize>().ok(),
            Some(_) => {}
            None => eprintln!("phasewright: a line of the input is no header and was passed over"),
        }
    }
    let length = length.unwrap_or(0);
    if length > LARGEST_MESSAGE {
        eprintln!("phasewright: a message of {length} bytes was passed over");
        io::copy(&mut input.by_ref().take(length as u64), &mut io::sink())?;
        return Ok(None);
    }
    let mut message = format!("Content-Length: {length}\r\n\r\n").into_bytes();
    let head = message.len();
    let got = input.by_ref().take(length as u64).read_to_end(&mut message)?;
    if got < length {
        return Err(io::ErrorKind::UnexpectedEof.into());
    }
    let sound =
        serde_json::from_slice::<Probe>(&message[head..]).is_ok_and(|p| p.jsonrpc == "2.0" && (p.method.is_some() || p.id.is_some()));
    if !sound {
        eprintln!("phasewright: a message that is not JSON-RPC was passed over");
        return Ok(None);
    }
    Ok(Some(message))
}

/// The messages as they come, each with a fresh header.
enum Messages {
    #[cfg(target_os = "linux")]
    Direct(super::stdin::Stdin),
    FromThread(mpsc::Receiver<Vec<u8>>),
}

impl Messages {
    /// Inside the runtime.
    fn of(input: From, life: &Arc<Life>) -> Messages {
        let input: Box<dyn Read + Send> = match input {
            #[cfg(target_os = "linux")]
            From::Stdin => match super::stdin::Stdin::new(life.clone()) {
                Ok(stdin) => return Messages::Direct(stdin),
                // A plain file cannot be waited for.
                Err(_) => Box::new(io::stdin()),
            },
            #[cfg(not(target_os = "linux"))]
            From::Stdin => Box::new(io::stdin()),
            From::Reader(input) => input,
        };
        let (to, messages) = mpsc::channel(256);
        let life = life.clone();
        std::thread::spawn(move || {
            read_messages(BufReader::new(input), &to);
            life.ending();
        });
        Messages::FromThread(messages)
    }

    fn poll_next(&mut self, cx: &mut Context<'_>) -> Poll<Option<Vec<u8>>> {
        match self {
            #[cfg(target_os = "linux")]
            Messages::Direct(stdin) => stdin.poll_next(cx),
            Messages::FromThread(messages) => messages.poll_recv(cx),
        }
    }
}

struct Incoming {
    messages: Messages,
    rest: Vec<u8>,
    at: usize,
}

impl AsyncRead for Incoming {
    fn poll_read(mut self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        if self.at == self.rest.len() {
            match self.messages.poll_next(cx) {
                Poll::Ready(Some(message)) => (self.rest, self.at) = (message, 0),
                Poll::Ready(None) => return Poll::Ready(Ok(())),
                Poll::Pending => return Poll::Pending,
            }
        }
        let n = buf.remaining().min(self.rest.len() - self.at);
        let at = self.at;
        buf.put_slice(&self.rest[at..at + n]);
        self.at += n;
        if self.at == self.rest.len() {
            // A long message does not keep its memory.
            (self.rest, self.at) = (Vec::new(), 0);
        }
        Poll::Ready(Ok(()))
    }
}

/// What waits to be written.
#[derive(Default)]
struct Queue {
    inner: Mutex<Waiting>,
    more: Condvar,
}

#[derive(Default)]
struct Waiting {
    chunks: VecDeque<Vec<u8>>,
    bytes: usize,
    closed: bool,
    broken: bool,
    held_back: Option<Waker>,
}

impl Queue {
    fn lock(&self) -> MutexGuard<'_, Waiting> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn close(&self) {
        self.lock().closed = true;
        self.more.notify_one();
    }

    /// The next chunk to write; none at the end.
    fn take(&self) -> Option<Vec<u8>> {
        let mut waiting = self.lock();
        loop {
            if let Some(chunk) = waiting.chunks.pop_front() {
                return Some(chunk);
            }
            if waiting.closed || waiting.broken {
                return None;
            }
            waiting = self.more.wait(waiting).unwrap_or_else(PoisonError::into_inner);
        }
    }

    fn written(&self, bytes: usize, ok: bool) {
        let mut waiting = self.lock();
        waiting.bytes -= bytes.min(waiting.bytes);
        waiting.broken |= !ok;
        if let Some(waker) = waiting.held_back.take() {
            waker.wake();
        }
    }
}

fn write_all(queue: &Queue, mut output: impl Write) {
    while let Some(chunk) = queue.take() {
        let ok = output.write_all(&chunk).and_then(|()| output.flush()).is_ok();
        queue.written(chunk.len(), ok);
        if !ok {
            return;
        }
    }
}

struct Outgoing {
    queue: Arc<Queue>,
    at_once: AtOnce,
}

impl AsyncWrite for Outgoing {
    fn poll_write(self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &[u8]) -> Poll<io::Result<usize>> {
        let mut waiting = self.queue.lock();
        if waiting.broken {
            return Poll::Ready(Err(io::ErrorKind::BrokenPipe.into()));
        }
        let written = if waiting.bytes == 0 { (self.at_once)(buf) } else { 0 };
        if written > 0 {
            return Poll::Ready(Ok(written));
        }
        if waiting.bytes > MOST_WAITING {
            waiting.held_back = Some(cx.waker().clone());
            return Poll::Pending;
        }
        waiting.bytes += buf.len();
        waiting.chunks.push_back(buf.to_vec());
        self.queue.more.notify_one();
        Poll::Ready(Ok(buf.len()))
    }

    fn poll_flush(self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<io::Result<()>> {
        Poll::Ready(Ok(()))
    }

    fn poll_shutdown(self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<io::Result<()>> {
        Poll::Ready(Ok(()))
    }
}
