//! Standard input without a thread of its own: the loop waits for it, takes what is there, and hands on whole messages.

use super::frames::{Frames, PIECE};
use super::guard::Lifecycle;
use super::incoming::Message;
use rustix::event::{PollFd, PollFlags, Timespec, poll};
use std::io;
use std::sync::Arc;
use std::task::{Context, Poll, ready};
use tokio::io::Interest;
use tokio::io::unix::AsyncFd;

pub struct Stdin {
    input: AsyncFd<io::Stdin>,
    frames: Frames,
    ended: bool,
    life: Arc<Lifecycle>,
}

impl Stdin {
    /// Refused where standard input cannot be waited for, as a plain file. Inside the runtime.
    pub fn new(life: Arc<Lifecycle>) -> io::Result<Stdin> {
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
            if self.ended {
                return Poll::Ready(None);
            }
            match self.frames.next() {
                Ok(Some(message)) => return Poll::Ready(Some(message)),
                Ok(None) => {}
                Err(lost) => {
                    eprintln!("phasewright: {lost}");
                    self.end();
                    continue;
                }
            }
            let mut guard = match ready!(self.input.poll_read_ready(cx)) {
                Ok(guard) => guard,
                Err(e) => {
                    self.cannot_be_read(&e);
                    continue;
                }
            };
            // The descriptor is shared with others and stays as it is: it is asked whether reading must wait, instead of being told not to.
            if !has_something(self.input.get_ref()) {
                guard.clear_ready();
                continue;
            }
            match take_in(&mut self.frames, self.input.get_ref()) {
                Ok(0) => self.end(),
                // All that was there. More bytes wake the loop again.
                Ok(n) if n < PIECE => guard.clear_ready(),
                Ok(_) => {}
                Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
                Err(e) => self.cannot_be_read(&e),
            }
        }
    }

    fn cannot_be_read(&mut self, e: &io::Error) {
        eprintln!("phasewright: the input cannot be read: {e}");
        self.end();
    }

    fn end(&mut self) {
        self.ended = true;
        self.life.request_exit();
    }
}

/// Bytes that were there; none at the end.
fn take_in(frames: &mut Frames, from: &io::Stdin) -> io::Result<usize> {
    frames.bytes.reserve(PIECE);
    Ok(rustix::io::read(
        from,
        rustix::buffer::spare_capacity(&mut frames.bytes),
    )?)
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
