//! The ends of the process that are not the loop's: an editor that is gone, one that takes nothing any more, work that does not stop.

use super::layers::Lifecycle;
use super::stdio::Output;
use std::sync::Arc;
use std::time::Duration;

/// How long a server that should end may still finish what it does.
const GRACE: Duration = Duration::from_secs(3);

/// A client that has closed its end and takes nothing for this many tenths of a second takes nothing any more.
const TAKES_NOTHING: u32 = 15;

/// Once the end has come, the process ends, whatever still runs.
pub fn exit_when_requested(life: Arc<Lifecycle>) {
    std::thread::spawn(move || {
        while !life.wait_for_exit(Duration::from_secs(3600)) {}
        std::thread::sleep(GRACE);
        std::process::exit(life.status());
    });
}

/// Ends the process of a client that has closed its end and takes no answers.
pub fn exit_when_stuck(output: &Output, life: &Lifecycle) {
    let (mut before, mut unmoved) = (output.stuck_at(), 0);
    while unmoved < TAKES_NOTHING {
        std::thread::sleep(Duration::from_millis(100));
        let now = output.stuck_at();
        unmoved = if now.is_some() && now == before {
            unmoved + 1
        } else {
            0
        };
        before = now;
    }
    eprintln!("phasewright: the editor has closed and takes no answers");
    std::process::exit(life.status());
}

/// Ends the process when the editor's is gone: some editors are killed with their pipes kept open by a child. A process that cannot be seen
/// from the start (it may live in another container) is not watched.
pub fn watch_parent_process(editor: u32) {
    if !is_alive(editor) {
        return;
    }
    std::thread::spawn(move || {
        while is_alive(editor) {
            std::thread::sleep(Duration::from_secs(1));
        }
        eprintln!("phasewright: the editor is gone");
        std::process::exit(1);
    });
}

#[cfg(target_os = "linux")]
fn is_alive(process: u32) -> bool {
    // The state stands behind the name in brackets; a dead process that nobody has asked after is a zombie.
    std::fs::read_to_string(format!("/proc/{process}/stat")).is_ok_and(|stat| {
        stat.rsplit_once(')')
            .is_some_and(|(_, rest)| !matches!(rest.trim_start().chars().next(), Some('Z' | 'X')))
    })
}

#[cfg(all(unix, not(target_os = "linux")))]
fn is_alive(process: u32) -> bool {
    let asked = std::process::Command::new("kill")
        .args(["-0", &process.to_string()])
        .stderr(std::process::Stdio::null())
        .status();
    asked.is_ok_and(|s| s.success())
}

#[cfg(not(unix))]
fn is_alive(_: u32) -> bool {
    // Closed pipes tell it there.
    false
}
