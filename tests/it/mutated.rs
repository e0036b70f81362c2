//! Mutated files through every command: bytes, tokens and lines of the project's own files taken out, doubled, exchanged. Nothing
//! may panic, hang, end with a status outside 0, 1 and 2, or leave a file behind that was not asked for.
//!
//! The seed is fixed, so a failure comes again; each message names the number of its file. Short as a rule (300 files, two
//! commands each in turn); `PHASEWRIGHT_MUTATED=5000 cargo test --test it mutated::` takes as many files through every command,
//! `PHASEWRIGHT_MUTATED=2000..4000` those with these numbers.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

/// Longer than any command takes on the slowest machine: what is still there then hangs.
const PATIENCE: Duration = Duration::from_secs(60);

/// A generator of its own: Knuth's MMIX constants.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % n.max(1)
    }

    fn one<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }
}

/// What a hand, a clipboard or a disk may put into a file.
const STRANGE: [&str; 30] = [
    "-",
    "0",
    "99999999999999999999",
    "0.0000000000000000000001",
    "1,000",
    "1e9",
    "½",
    "%",
    " % ",
    "q.s.",
    "q.s. to pH 5.2",
    "\"",
    "#",
    "# except banned: x",
    ":",
    ",",
    "\t",
    "\u{a0}",
    "\u{feff}",
    "\u{202e}",
    "🧴",
    "é",
    "\r\n",
    "\r",
    "\0",
    "formula \"x\"",
    "phase A at 999999 °C",
    "method",
    "batch X-1 of \"m.formula\" version 1",
    "lot G-1 of glycerin",
];

fn sources() -> Vec<(String, Vec<u8>)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut all: Vec<(String, Vec<u8>)> = Vec::new();
    for folder in ["examples", "tests/cases", "tests/published"] {
        for entry in std::fs::read_dir(root.join(folder)).expect("the folder is there") {
            let path = entry.expect("it can be listed").path();
            let ending = path
                .extension()
                .and_then(|e| e.to_str())
                .unwrap_or_default();
            if matches!(ending, "formula" | "batch" | "stock") {
                // Records and shelves are few: each counts as often as many formulas.
                let times = if ending == "formula" { 1 } else { 25 };
                let bytes = std::fs::read(&path).expect("it can be read");
                all.extend((0..times).map(|_| (ending.to_owned(), bytes.clone())));
            }
        }
    }
    all.sort();
    all
}

fn mutate(dice: &mut Dice, mut bytes: Vec<u8>, other: &[u8]) -> Vec<u8> {
    for _ in 0..=dice.below(4) {
        let at = dice.below(bytes.len());
        match dice.below(10) {
            0 if !bytes.is_empty() => {
                bytes.remove(at);
            }
            1 => bytes.insert(at.min(bytes.len()), dice.below(256) as u8),
            2 if !bytes.is_empty() => bytes[at] = dice.below(128) as u8,
            3 => bytes.truncate(at),
            4 => {
                let text = *dice.one(&STRANGE);
                bytes.splice(at..at, text.bytes());
            }
            // A number, or a word, by another.
            5 | 6 => {
                let is_number = |b: &u8| b.is_ascii_digit() || *b == b'.';
                let start = bytes[at..]
                    .iter()
                    .position(is_number)
                    .map_or(at, |n| at + n);
                let end = bytes[start..]
                    .iter()
                    .position(|b| !is_number(b))
                    .map_or(bytes.len(), |n| start + n);
                let text = *dice.one(&STRANGE);
                bytes.splice(start..end, text.bytes());
            }
            kind => {
                let lines = |bytes: &[u8]| -> Vec<Vec<u8>> {
                    bytes.split(|b| *b == b'\n').map(<[u8]>::to_vec).collect()
                };
                let mut all = lines(&bytes);
                let (a, b) = (dice.below(all.len()), dice.below(all.len()));
                match kind {
                    7 => all.swap(a, b),
                    8 => all.insert(a, dice.one(&lines(other)).clone()),
                    _ if dice.below(2) == 0 => {
                        all.remove(a);
                    }
                    _ => all.insert(b, all[a].clone()),
                }
                bytes = all.join(&b'\n');
            }
        }
    }
    bytes
}

/// Every command that reads a file, on the mutated one.
fn commands(file: &str) -> Vec<Vec<&str>> {
    vec![
        vec!["check", file],
        vec!["check", file, "--json"],
        vec!["format", "--stdout", file],
        vec!["sheet", file, "-o", "sheet.txt"],
        vec!["label", file],
        vec!["cost", file],
        vec!["cost", "cream.formula"],
        vec!["card", file],
        vec!["dose", file, "--target", "5.2"],
        vec![
            "dose",
            "--formula",
            file,
            "--mass",
            "250g",
            "--reading",
            "6.4",
            "--target",
            "5.2",
        ],
        vec!["compare", file, "cream.formula"],
    ]
}

/// Runs the program; a text says what is wrong with how it ended.
fn run(folder: &Path, args: &[&str]) -> Result<(), String> {
    let (out, err) = (folder.join("stdout"), folder.join("stderr"));
    let to = |path: &Path| std::fs::File::create(path).expect("a file for the answer");
    let mut child = Command::new(env!("CARGO_BIN_EXE_phasewright"))
        .args(args)
        .current_dir(folder.join("work"))
        .stdin(Stdio::null())
        .stdout(to(&out))
        .stderr(to(&err))
        .spawn()
        .expect("the program starts");
    let began = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().expect("it can be waited for") {
            break status;
        }
        if began.elapsed() > PATIENCE {
            let _ = child.kill();
            let _ = child.wait();
            return Err(format!("still running after {} s", PATIENCE.as_secs()));
        }
        std::thread::sleep(Duration::from_millis(1));
    };
    let read = |path: &Path| {
        String::from_utf8(std::fs::read(path).expect("it was made"))
            .map_err(|_| "an answer that is no UTF-8".to_owned())
    };
    let (out, err) = (read(&out)?, read(&err)?);
    for bad in [
        "fault of the program",
        "panicked at",
        "\"internal\"",
        "[internal]",
        "/registry/",
        ".rs:",
    ] {
        if out.contains(bad) || err.contains(bad) {
            return Err(format!("\"{bad}\" in the answer: {err}"));
        }
    }
    match status.code() {
        Some(0 | 1) => Ok(()),
        Some(2) if err.is_empty() => Err("status 2 without a message".to_owned()),
        Some(2) => Ok(()),
        other => Err(format!("status {other:?}: {err}")),
    }
}

fn names(folder: &Path) -> BTreeSet<PathBuf> {
    std::fs::read_dir(folder)
        .expect("it is there")
        .map(|e| e.expect("listed").path())
        .collect()
}

/// One mutated file; what went wrong.
fn one(n: usize, sources: &[(String, Vec<u8>)], folder: &Path, whole: bool) -> Vec<String> {
    let mut dice = Dice(20_261_201 + 7_919 * n as u64);
    let (ending, bytes) = dice.one(sources).clone();
    let other = dice.one(sources).1.clone();
    let bytes = mutate(&mut dice, bytes, &other);
    let work = folder.join("work");
    let file = format!("m.{ending}");
    let path = work.join(&file);
    std::fs::write(&path, &bytes).expect("it can be written");
    let before = names(&work);
    let all = commands(&file);
    let mut wrong = Vec::new();
    for (at, args) in all.iter().enumerate() {
        if !whole && at != n % all.len() && at != (n / all.len()) % all.len() {
            continue;
        }
        let sheet = work.join("sheet.txt");
        if let Err(what) = run(folder, args) {
            wrong.push(format!("file {n}, {args:?}: {what}"));
        }
        if let Ok(text) = std::fs::read_to_string(&sheet) {
            if !(text.starts_with("Weigh sheet") && text.ends_with("product.\n")) {
                wrong.push(format!("file {n}, {args:?}: half a sheet: {text}"));
            }
            std::fs::remove_file(&sheet).expect("it can be taken away");
        }
        if names(&work) != before || std::fs::read(&path).ok().as_ref() != Some(&bytes) {
            wrong.push(format!("file {n}, {args:?}: the folder is not as it was"));
        }
    }
    std::fs::remove_file(&path).expect("it can be taken away");
    if !wrong.is_empty()
        && let Some(keep) = std::env::var_os("PHASEWRIGHT_MUTATED_KEEP")
    {
        let _ = std::fs::write(Path::new(&keep).join(format!("{n}.{ending}")), &bytes);
    }
    wrong
}

#[test]
fn no_mutated_file_makes_a_command_panic_hang_or_write_half() {
    let asked = std::env::var("PHASEWRIGHT_MUTATED").ok();
    let whole = asked.is_some();
    let asked = asked.unwrap_or_else(|| "300".to_owned());
    let (from, many) = asked.split_once("..").unwrap_or(("0", &asked));
    let number = |text: &str| text.parse::<usize>().expect("a number of files");
    let (from, many) = (number(from), number(many));
    let sources = sources();
    let next = AtomicUsize::new(from);
    let threads = std::thread::available_parallelism()
        .map_or(1, usize::from)
        .min(4);
    let wrong: Vec<String> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|_| {
                scope.spawn(|| {
                    let folder = tempfile::tempdir().expect("a folder");
                    let work = folder.path().join("work");
                    std::fs::create_dir(&work).expect("a folder");
                    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
                    for (from, to) in [
                        ("gardeners-hand-cream.formula", "cream.formula"),
                        (
                            "gardeners-hand-cream.formula",
                            "gardeners-hand-cream.formula",
                        ),
                        ("hand-cream-031.batch", "made.batch"),
                        ("shelf.stock", "shelf.stock"),
                    ] {
                        std::fs::copy(examples.join(from), work.join(to))
                            .expect("it can be copied");
                    }
                    let mut wrong = Vec::new();
                    loop {
                        let n = next.fetch_add(1, Ordering::Relaxed);
                        if n >= many {
                            return wrong;
                        }
                        wrong.extend(one(n, &sources, folder.path(), whole));
                    }
                })
            })
            .collect();
        workers
            .into_iter()
            .flat_map(|w| w.join().expect("no worker panics"))
            .collect()
    });
    assert!(
        wrong.is_empty(),
        "{} wrong of {many} files:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}
