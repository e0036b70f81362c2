//! A line on the terminal that counts, when there is long to wait.

use std::io::{self, IsTerminal, Write};
use std::time::{Duration, Instant};

/// Shorter runs are over before anybody wonders.
const PATIENCE: Duration = Duration::from_millis(400);
const BEAT: Duration = Duration::from_millis(100);

pub struct Progress {
    of: usize,
    done: usize,
    next: Option<Instant>,
    shown: bool,
}

impl Progress {
    pub fn new(of: usize) -> Progress {
        Progress {
            of,
            done: 0,
            next: io::stderr()
                .is_terminal()
                .then(|| Instant::now() + PATIENCE),
            shown: false,
        }
    }

    pub fn step(&mut self) {
        self.done += 1;
        let Some(next) = self.next else { return };
        let now = Instant::now();
        if now >= next {
            self.next = Some(now + BEAT);
            self.shown = true;
            let _ = write!(
                io::stderr().lock(),
                "\r\x1b[Kchecked {} of {} files",
                self.done,
                self.of
            );
        }
    }

    /// Takes the line away, so that something else can be written there.
    pub fn clear(&mut self) {
        if std::mem::take(&mut self.shown) {
            let _ = write!(io::stderr().lock(), "\r\x1b[K");
        }
    }
}
