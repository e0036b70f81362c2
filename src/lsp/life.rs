//! The life of the process: it ends with `exit`, with its input, or with the editor.

use super::guard::Lifecycle;
use super::incoming::Input;
use super::outgoing::{Outgoing, never_try_write, try_write_stdout};
use super::state::Options;
use super::transport::serve_with;
use crate::ide::Snapshot;
use crate::kb::Kb;
use crate::model::{NoFiles, Settings};
use crate::syntax::{FileKind, parse};
use std::io;
use std::net::TcpListener;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

/// How long a server that should end may still finish what it does.
const GRACE: Duration = Duration::from_secs(3);

/// A client that has closed its end and takes nothing for this many tenths of a second takes nothing any more.
#[cfg(target_os = "linux")]
const TAKES_NOTHING: u32 = 15;

/// The language server on stdio. Gives the status to exit with.
pub fn serve() -> i32 {
    let life = Arc::new(Lifecycle::default());
    exit_when_requested(life.clone());
    let (outgoing, writer) = Outgoing::to(io::stdout(), try_write_stdout);
    end_when_hung_up(io::stdin(), outgoing.clone(), life.clone());
    serve_with(Input::stdin(), outgoing, writer, as_process(), life)
}

/// The same for one client on a loopback socket, as `127.0.0.1:PORT`. Port 0 takes a free one; which, is said on stderr.
pub fn serve_listen(address: &str) -> io::Result<i32> {
    let listener = TcpListener::bind(address)?;
    let local = listener.local_addr()?;
    if !local.ip().is_loopback() {
        return Err(io::Error::new(
            io::ErrorKind::InvalidInput,
            "only a loopback address is served; use 127.0.0.1:PORT",
        ));
    }
    eprintln!("phasewright: listening on {local}");
    let (stream, _) = listener.accept()?;
    stream.set_nodelay(true)?;
    let life = Arc::new(Lifecycle::default());
    exit_when_requested(life.clone());
    let (outgoing, writer) = Outgoing::to(stream.try_clone()?, never_try_write);
    end_when_hung_up(stream.try_clone()?, outgoing.clone(), life.clone());
    Ok(serve_with(
        Input::reader(stream),
        outgoing,
        writer,
        as_process(),
        life,
    ))
}

/// What makers commonly have on the shelf (practice, no source), a method, and a few things to find.
const WARM: &str = "\
formula \"x\"
  product: hand cream, leave-on
  type: oil-in-water emulsion
  pH: 5.0 to 5.4
  sold in: EU
  batch: 250 g
  fill: 5 x 50 g

phase A \"water\" at 75 °C, hold 20 min
  water  q.s.
  glycerin  4 %
  propanediol  1 %
  betaine  1 %
  urea  5 %
  allantoin  0.2 %
  sodium phytate  0.1 %
  xanthan gum  0.3 %

phase B \"oil\" at 75 °C
  sunflower oil  4 %
  almond oil  2 %
  rapeseed oil  1 %
  jojoba oil  1 %
  coconut oil  1 %
  squalane  1 %
  caprylic/capric triglyceride  2 %
  shea butter  3 %
  cocoa butter  1 %
  beeswax  1 %
  stearic acid  1 %
  cetyl alcohol  1 %
  cetearyl alcohol  2 %
  glyceryl stearate  1 %
  glyceryl stearate citrate  3 %
  tocopherol  0.5 %
  sunflower oil  1 %

phase C \"cool-down\" below 40 °C
  panthenol  1 %
  niacinamide  2 %
  sodium benzoate  0.3 %
  potassium sorbate  0.2 %
  benzyl alcohol (and) dehydroacetic acid  0.8 %
  phenoxyethanol  1.2 %
  lavender oil  0.1 %
  lactic acid  q.s. to pH 5.2, about 0.3 %
  citric acid  0.1 %

method
  heat A and B to 75 °C, hold A 20 min
  top up A with hot water to its starting weight
  pour A into B, blend 3 min
  cool to 38 °C, stirring
  add C
  measure pH
  fill
";

/// Bytes that the first formula may take beyond what the small one leaves.
const ROOM: usize = 64 * 1024;

/// Judges a small formula when the editor has been greeted: what is decoded once is then at hand for the first real one, and so is the
/// memory that it takes, for this is the thread that will judge it.
pub fn warm() {
    let tree = parse(FileKind::Formula, WARM);
    let warmed = std::panic::catch_unwind(|| {
        Snapshot::new(
            Path::new("x.formula"),
            FileKind::Formula,
            tree,
            &Kb::bundled(),
            &Settings::default(),
            &NoFiles,
        )
    });
    if warmed.is_err() {
        eprintln!(
            "phasewright: the first judgement failed; this is a fault of the program, the server goes on"
        );
    }
    // What a longer text will take beyond that is fetched from the system now, and not while its maker waits.
    drop(std::hint::black_box(vec![1u8; ROOM]));
}

fn as_process() -> Options {
    Options {
        own_process: true,
        ..Options::default()
    }
}

/// Once the end has come, the process ends, whatever still runs.
fn exit_when_requested(life: Arc<Lifecycle>) {
    std::thread::spawn(move || {
        while !life.wait_for_exit(Duration::from_secs(3600)) {}
        std::thread::sleep(GRACE);
        std::process::exit(life.status());
    });
}

/// Ends the process of a client that has closed its end and takes no answers: a server that waits until they are taken reads nothing, and
/// would not see the end of its input.
#[cfg(target_os = "linux")]
fn end_when_hung_up(
    input: impl std::os::fd::AsFd + Send + 'static,
    outgoing: Outgoing,
    life: Arc<Lifecycle>,
) {
    use rustix::event::{PollFd, PollFlags, poll};
    std::thread::spawn(move || {
        // A pipe hangs up unasked, a socket when it is asked, a plain file never.
        if poll(&mut [PollFd::new(&input, PollFlags::RDHUP)], None) != Ok(1) {
            return;
        }
        let (mut waiting, mut unmoved) = (outgoing.waiting(), 0);
        while unmoved < TAKES_NOTHING {
            std::thread::sleep(Duration::from_millis(100));
            let now = outgoing.waiting();
            unmoved = if now > 0 && now == waiting {
                unmoved + 1
            } else {
                0
            };
            waiting = now;
        }
        eprintln!("phasewright: the editor has closed and takes no answers");
        std::process::exit(life.status());
    });
}

#[cfg(not(target_os = "linux"))]
fn end_when_hung_up<T>(_: T, _: Outgoing, _: Arc<Lifecycle>) {}

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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_warm_up_meets_known_materials_alone() {
        let snapshot = Snapshot::new(
            Path::new("x.formula"),
            FileKind::Formula,
            parse(FileKind::Formula, WARM),
            &Kb::bundled(),
            &Settings::default(),
            &NoFiles,
        );
        let codes: Vec<&str> = snapshot.findings.iter().map(|f| f.code).collect();
        assert!(codes.contains(&"above-legal-limit"), "{codes:?}");
        for unread in [
            "syntax",
            "unknown-ingredient",
            "ambiguous-name",
            "unknown-phase",
            "internal",
        ] {
            assert!(!codes.contains(&unread), "{codes:?}");
        }
    }
}
