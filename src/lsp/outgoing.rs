//! Bytes out. A thread writes, so that a client that does not read stops nobody; what can go out without waiting is written at once, which
//! spares waking that thread.

use serde::Serialize;
use std::collections::VecDeque;
use std::future::poll_fn;
use std::io::{self, Write};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::task::{Poll, Waker};
use std::thread::JoinHandle;
use tower_lsp::jsonrpc::Id;

/// Bytes that may wait to be written before the server holds back.
const MOST_WAITING: usize = 4 << 20;

/// Writes the beginning of something as far as that needs no waiting, and says how much it was.
pub(super) type TryWrite = fn(&[u8]) -> usize;

/// Where it is not known whether writing must wait.
pub(super) fn never_try_write(_: &[u8]) -> usize {
    0
}

/// Standard output. What says that it can be written to takes a page without waiting, be it a pipe or a socket.
#[cfg(target_os = "linux")]
pub(super) fn try_write_stdout(bytes: &[u8]) -> usize {
    use rustix::event::{PollFd, PollFlags, Timespec, poll};
    const PAGE: usize = 4096;
    let stdout = io::stdout();
    let has_room = || {
        let mut asked = [PollFd::new(&stdout, PollFlags::OUT)];
        poll(
            &mut asked,
            Some(&Timespec {
                tv_sec: 0,
                tv_nsec: 0,
            }),
        ) == Ok(1)
            && asked[0].revents() == PollFlags::OUT
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
pub(super) use never_try_write as try_write_stdout;

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
    held_back: Vec<Waker>,
}

impl Waiting {
    fn add(&mut self, bytes: &[u8], more: &Condvar) {
        if !bytes.is_empty() {
            self.bytes += bytes.len();
            self.chunks.push_back(bytes.to_vec());
            more.notify_one();
        }
    }
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
            waiting = self
                .more
                .wait(waiting)
                .unwrap_or_else(PoisonError::into_inner);
        }
    }

    fn written(&self, bytes: usize, ok: bool) {
        let mut waiting = self.lock();
        waiting.bytes -= bytes.min(waiting.bytes);
        waiting.broken |= !ok;
        waiting.held_back.drain(..).for_each(Waker::wake);
    }
}

fn write_all(queue: &Queue, mut output: impl Write) {
    while let Some(chunk) = queue.take() {
        let ok = output
            .write_all(&chunk)
            .and_then(|()| output.flush())
            .is_ok();
        queue.written(chunk.len(), ok);
        if !ok {
            return;
        }
    }
}

/// Where the server writes. Cheap to clone.
#[derive(Clone)]
pub(super) struct Outgoing {
    queue: Arc<Queue>,
    at_once: TryWrite,
}

impl Outgoing {
    /// Starts the thread that writes; it ends some time after [`Outgoing::close`].
    pub(super) fn to(
        output: impl Write + Send + 'static,
        at_once: TryWrite,
    ) -> (Outgoing, JoinHandle<()>) {
        let queue = Arc::new(Queue::default());
        let writer = std::thread::spawn({
            let queue = queue.clone();
            move || write_all(&queue, output)
        });
        (Outgoing { queue, at_once }, writer)
    }

    /// Bytes that nobody has taken yet.
    #[cfg(target_os = "linux")]
    pub(super) fn waiting(&self) -> usize {
        self.queue.lock().bytes
    }

    /// All that was taken still goes out.
    pub(super) fn close(&self) {
        self.queue.close();
    }

    /// Takes the answer to a request, its result written already.
    pub(super) async fn answer(&self, id: &Id, result: &[u8]) {
        if let Ok(id) = serde_json::to_vec(id) {
            self.take(&[
                b"{\"jsonrpc\":\"2.0\",\"result\":",
                result,
                b",\"id\":",
                &id,
                b"}",
            ])
            .await;
        }
    }

    /// Takes what is said without being asked.
    pub(super) async fn notify(&self, method: &'static str, params: &impl Serialize) {
        #[derive(Serialize)]
        struct Notification<'a, P> {
            jsonrpc: &'static str,
            method: &'static str,
            params: &'a P,
        }
        self.send(&Notification {
            jsonrpc: "2.0",
            method,
            params,
        })
        .await;
    }

    /// Takes a message.
    pub(super) async fn send(&self, message: &impl Serialize) {
        match serde_json::to_vec(message) {
            Ok(text) => self.take(&[&text]).await,
            Err(e) => eprintln!("phasewright: a message could not be written: {e}"),
        }
    }

    /// Waits while too much waits already. What nobody reads any more is dropped.
    async fn take(&self, body: &[&[u8]]) {
        let mut message = format!(
            "Content-Length: {}\r\n\r\n",
            body.iter().map(|part| part.len()).sum::<usize>()
        )
        .into_bytes();
        body.iter().for_each(|part| message.extend(*part));
        poll_fn(|cx| {
            let mut waiting = self.queue.lock();
            if waiting.bytes > MOST_WAITING && !waiting.broken {
                waiting.held_back.push(cx.waker().clone());
                return Poll::Pending;
            }
            if !waiting.broken {
                let written = if waiting.bytes == 0 {
                    (self.at_once)(&message)
                } else {
                    0
                };
                waiting.add(&message[written..], &self.queue.more);
            }
            Poll::Ready(())
        })
        .await;
    }
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;
    use std::io::Read;
    use std::os::unix::net::UnixStream;
    use std::pin::pin;
    use std::task::Context;

    /// As many bytes as the messages with their headers.
    fn read_bodies(from: &mut impl Read, lengths: &[usize]) -> Vec<Vec<u8>> {
        let mut take = |n: usize| {
            let mut bytes = vec![0; n];
            from.read_exact(&mut bytes).expect("more to read");
            bytes
        };
        let body = |length: &usize| {
            let header = format!("Content-Length: {length}\r\n\r\n");
            assert_eq!(take(header.len()), header.into_bytes());
            take(*length)
        };
        lengths.iter().map(body).collect()
    }

    /// A client that reads nothing for a while holds the server back, and then gets every message whole and in order.
    #[test]
    fn nothing_is_lost_while_nobody_reads() {
        let (mut client, server) = UnixStream::pair().expect("a pair of sockets");
        let (outgoing, writer) = Outgoing::to(server, never_try_write);
        let runtime = tokio::runtime::Builder::new_current_thread()
            .build()
            .expect("a runtime");
        let long = |c: char| c.to_string().repeat(MOST_WAITING / 2 - 100);
        let texts = ['a', 'b', 'c', 'd'].map(long);
        for text in &texts[..3] {
            runtime.block_on(outgoing.send(text));
        }
        let mut last = pin!(outgoing.send(&texts[3]));
        assert!(
            last.as_mut()
                .poll(&mut Context::from_waker(Waker::noop()))
                .is_pending()
        );
        let lengths = texts.each_ref().map(|text| text.len() + 2);
        let reader = std::thread::spawn(move || read_bodies(&mut client, &lengths));
        runtime.block_on(last);
        outgoing.close();
        let read = reader.join().expect("all is read");
        assert!(
            read.iter()
                .zip(&texts)
                .all(|(body, text)| *body == format!("\"{text}\"").as_bytes())
        );
        writer.join().expect("the writer ends");
    }

    /// Where the client is gone, what is left to say is dropped and nobody waits.
    #[test]
    fn nobody_waits_for_a_client_that_is_gone() {
        let (client, server) = UnixStream::pair().expect("a pair of sockets");
        drop(client);
        let (outgoing, writer) = Outgoing::to(server, never_try_write);
        let runtime = tokio::runtime::Builder::new_current_thread()
            .build()
            .expect("a runtime");
        for _ in 0..4 {
            runtime.block_on(outgoing.send(&"x".repeat(MOST_WAITING)));
        }
        writer.join().expect("the writer has left");
    }

    #[test]
    fn an_answer_is_framed_as_the_protocol_wants() {
        let (mut client, server) = UnixStream::pair().expect("a pair of sockets");
        let (outgoing, _) = Outgoing::to(server, never_try_write);
        let runtime = tokio::runtime::Builder::new_current_thread()
            .build()
            .expect("a runtime");
        let expected = [
            r#"{"jsonrpc":"2.0","result":[1],"id":"x"}"#,
            r#"{"jsonrpc":"2.0","method":"m","params":null}"#,
        ];
        runtime.block_on(async {
            outgoing.answer(&Id::String("x".to_owned()), b"[1]").await;
            outgoing.notify("m", &()).await;
        });
        let read = read_bodies(&mut client, &expected.map(str::len));
        assert_eq!(read, expected.map(|text| text.as_bytes().to_vec()));
    }
}
