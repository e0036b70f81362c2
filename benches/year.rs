//! A year of a busy workshop: 5,000 batches, 2,000 lots, a ledger. `cargo bench --bench year`; `-- --batches 500 --lots 200` makes less.
//!
//! The real program is asked, over pipes: until when the first record is judged, how long an edit takes to its diagnostics, and how long
//! `check` and `trace` take for the whole folder. The goals stand beside the figures; the folder is made by a fixed rule.

use serde_json::{Value, json};
use std::collections::HashMap;
use std::fmt::Write as _;
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::time::{Duration, Instant};

/// Materials that the base knows, none of them water.
const MATERIALS: [&str; 20] = [
    "glycerin",
    "rapeseed oil",
    "shea butter",
    "cetearyl alcohol",
    "glyceryl stearate citrate",
    "xanthan gum",
    "sodium phytate",
    "panthenol",
    "sodium benzoate",
    "potassium sorbate",
    "lavender oil",
    "niacinamide",
    "tocopherol",
    "jojoba oil",
    "betaine",
    "urea",
    "allantoin",
    "squalane",
    "beeswax",
    "propanediol",
];
const FORMULAS: usize = 60;
const ROWS: usize = 10;
const EDITS: usize = 300;

fn main() {
    let size = |name: &str, default: usize| {
        let mut args = std::env::args().skip_while(|a| a != name);
        args.nth(1).and_then(|n| n.parse().ok()).unwrap_or(default)
    };
    let year = Year::write(size("--batches", 5_000), size("--lots", 2_000));
    println!(
        "{} batches, {} lots, {FORMULAS} formulas",
        year.batches, year.lots
    );
    year.commands();
    for (name, file) in [
        ("a batch", year.batch(year.batches / 2)),
        ("a month's stock", year.folder.join("stock/06.stock")),
        ("the whole year's ledger", year.folder.join("ledger.stock")),
    ] {
        year.edits(name, &file, 0);
    }
    year.edits("a batch, 20 others open", &year.batch(year.batches / 2), 20);
    let _ = fs::remove_dir_all(&year.folder);
}

struct Year {
    folder: PathBuf,
    batches: usize,
    lots: usize,
}

impl Year {
    fn write(batches: usize, lots: usize) -> Year {
        let folder = std::env::temp_dir().join(format!("phasewright-year-{}", std::process::id()));
        let year = Year {
            folder,
            batches,
            lots,
        };
        for sub in ["formulas", "stock"] {
            fs::create_dir_all(year.folder.join(sub)).expect("made");
        }
        for month in 1..=12 {
            fs::create_dir_all(year.folder.join(format!("batches/{month:02}"))).expect("made");
        }
        let write = |path: PathBuf, text: String| fs::write(path, text).expect("written");
        write(
            year.folder.join("phasewright.toml"),
            "markets = [\"EU\"]\n".to_owned(),
        );
        for n in 0..FORMULAS {
            write(
                year.folder.join(format!("formulas/cream-{n}.formula")),
                formula(n),
            );
        }
        let mut stock: HashMap<usize, String> = HashMap::new();
        for n in 0..lots {
            let month = 1 + n * 12 / lots;
            let text = stock.entry(month).or_default();
            let _ = write!(
                text,
                "lot L-{n:04} of {}\n  supplier: A\n  received: 2025-{month:02}-01\n  best before: 2028-01-31\n  bought: 20 kg for 90 EUR\n\n",
                MATERIALS[n % MATERIALS.len()]
            );
        }
        for (month, text) in stock {
            write(year.folder.join(format!("stock/{month:02}.stock")), text);
        }
        let mut ledger = String::from("ledger\n");
        for n in 0..batches {
            write(year.batch(n), year.record(n));
            let (month, day) = year.day(n);
            let _ = writeln!(
                ledger,
                "  2025-{month:02}-{day:02}  sold {} x 50 g B-{n:05} to Shop {}, invoice {n}",
                1 + n % 9,
                n % 30
            );
        }
        write(year.folder.join("ledger.stock"), ledger);
        year
    }

    fn day(&self, n: usize) -> (usize, usize) {
        let day = n * 336 / self.batches;
        (1 + day / 28, 1 + day % 28)
    }

    fn batch(&self, n: usize) -> PathBuf {
        self.folder
            .join(format!("batches/{:02}/B-{n:05}.batch", self.day(n).0))
    }

    fn record(&self, n: usize) -> String {
        let (month, day) = self.day(n);
        let f = n % FORMULAS;
        let mut out = format!(
            "batch B-{n:05} of \"../../formulas/cream-{f}.formula\" version 1\n  made: 2025-{month:02}-{day:02}\n  target: 1000 g\n\nweighed\n  water  600.0 g of 600.0 g\n"
        );
        for row in 0..ROWS {
            let material = (f + row) % MATERIALS.len();
            // The newest lot of the material that has come by then.
            let newest = (self.lots * month / 12).max(MATERIALS.len()) - 1;
            let lot = newest - (newest + MATERIALS.len() - material) % MATERIALS.len();
            let _ = writeln!(
                out,
                "  {}  40.0 g of 40.0 g  lot L-{lot:04}",
                MATERIALS[material]
            );
        }
        let _ = write!(
            out,
            "\nlog\n  09:40  A 76 °C\n  10:31  B 75 °C\n  11:00  38 °C\n  11:40  25 °C, pH 5.2\n  12:10  yield 960.0 g\n\npacked\n  18 x 50 g, 1 kept\n"
        );
        out
    }

    fn commands(&self) {
        for (name, args, goal) in [
            ("check", vec!["check"], 1.0),
            ("trace of a lot", vec!["trace", "L-0200"], 1.0),
            ("stock", vec!["stock"], 1.0),
        ] {
            let mut took = Vec::new();
            for _ in 0..3 {
                let begun = Instant::now();
                let ended = Command::new(env!("CARGO_BIN_EXE_phasewright"))
                    .args(&args)
                    .current_dir(&self.folder)
                    .stdout(Stdio::null())
                    .status()
                    .expect("the program starts");
                took.push(begun.elapsed());
                assert!(ended.code().is_some_and(|c| c <= 1), "{name}: {ended}");
            }
            took.sort();
            println!("{name:32} {:8.0} ms   goal below {goal} s", ms(took[1]));
        }
    }

    /// Digits of a weight, a date or a number are changed, one at a time.
    fn edits(&self, name: &str, file: &Path, others: usize) {
        let begun = Instant::now();
        let mut editor = Editor::start();
        let uri = |path: &Path| format!("file://{}", path.display());
        let text = fs::read_to_string(file).expect("it was written");
        editor.open(&uri(file), file, &text);
        editor.pull(&uri(file));
        let ready = begun.elapsed();
        for n in 0..others {
            let other = self.batch(self.batches / 2 + 1 + n);
            let text = fs::read_to_string(&other).expect("it was written");
            editor.open(&uri(&other), &other, &text);
            editor.pull(&uri(&other));
        }
        let (line, column) = place(&text);
        let mut took = Vec::new();
        for n in 0..EDITS {
            let at = |character| json!({ "line": line, "character": character });
            let change = json!({ "range": { "start": at(column), "end": at(column + 1) }, "text": (1 + n % 9).to_string() });
            let begun = Instant::now();
            editor.notify(
                "textDocument/didChange",
                json!({ "textDocument": { "uri": uri(file), "version": n + 2 }, "contentChanges": [change] }),
            );
            editor.pull(&uri(file));
            took.push(begun.elapsed());
        }
        took.sort();
        println!(
            "{name:32} ready {:6.0} ms (goal 1000)   edit p50 {:6.2} ms, p99 {:6.2} ms (goal 10)   {:5.1} MB",
            ms(ready),
            ms(took[EDITS / 2]),
            ms(took[EDITS * 99 / 100]),
            editor.resident_mb()
        );
        editor.leave();
    }
}

/// A digit of a weight in the middle of the text.
fn place(text: &str) -> (usize, usize) {
    let lines: Vec<&str> = text.lines().collect();
    let middle = lines.len() / 2;
    let found = lines
        .iter()
        .enumerate()
        .skip(middle / 2)
        .find_map(|(n, l)| {
            let at = l
                .find("40.0 g")
                .or(l.find("20 kg"))
                .or(l.find(" x 50").map(|x| x - 1))?;
            Some((n, at))
        });
    found.expect("a weight")
}

fn formula(n: usize) -> String {
    let mut out = format!(
        "formula \"Cream {n}\"\n  version: 1\n  product: face cream, leave-on\n  pH: 5.0 to 5.4\n\nphase A \"all\" at 75 °C\n  water  q.s.\n"
    );
    for row in 0..ROWS {
        let _ = writeln!(out, "  {}  4 %", MATERIALS[(n + row) % MATERIALS.len()]);
    }
    out
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1000.0
}

/// An editor that pulls diagnostics.
struct Editor {
    server: Child,
    to: ChildStdin,
    from: BufReader<ChildStdout>,
    next: i64,
}

impl Editor {
    fn start() -> Editor {
        let mut server = Command::new(env!("CARGO_BIN_EXE_phasewright"))
            .arg("serve")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let to = server.stdin.take().expect("piped");
        let from = BufReader::new(server.stdout.take().expect("piped"));
        let mut editor = Editor {
            server,
            to,
            from,
            next: 0,
        };
        editor.request(
            "initialize",
            json!({ "processId": null, "capabilities": { "textDocument": { "diagnostic": {} }, "workspace": { "diagnostics": { "refreshSupport": true } } } }),
        );
        editor.notify("initialized", json!({}));
        editor
    }

    fn send(&mut self, message: &Value) {
        let body = message.to_string();
        write!(self.to, "Content-Length: {}\r\n\r\n{body}", body.len()).expect("the server reads");
        self.to.flush().expect("the server reads");
    }

    fn notify(&mut self, method: &str, params: Value) {
        self.send(&json!({ "jsonrpc": "2.0", "method": method, "params": params }));
    }

    fn request(&mut self, method: &str, params: Value) -> Value {
        self.next += 1;
        let id = self.next;
        self.send(&json!({ "jsonrpc": "2.0", "id": id, "method": method, "params": params }));
        loop {
            let message = self.read();
            if message.get("method").is_none() && message["id"] == id {
                return message["result"].clone();
            }
            // What the server asks is answered.
            if message.get("method").is_some() && message.get("id").is_some() {
                self.send(&json!({ "jsonrpc": "2.0", "id": message["id"], "result": null }));
            }
        }
    }

    fn read(&mut self) -> Value {
        let mut length = 0;
        loop {
            let mut line = String::new();
            self.from.read_line(&mut line).expect("the server writes");
            match line.trim().strip_prefix("Content-Length: ") {
                Some(n) => length = n.parse().expect("a length"),
                None if line.trim().is_empty() => break,
                None => {}
            }
        }
        let mut body = vec![0; length];
        self.from.read_exact(&mut body).expect("the server writes");
        serde_json::from_slice(&body).expect("JSON")
    }

    fn open(&mut self, uri: &str, path: &Path, text: &str) {
        let language = path.extension().and_then(|e| e.to_str()).unwrap_or("batch");
        self.notify("textDocument/didOpen", json!({ "textDocument": { "uri": uri, "languageId": language, "version": 1, "text": text } }));
    }

    fn pull(&mut self, uri: &str) -> Value {
        self.request(
            "textDocument/diagnostic",
            json!({ "textDocument": { "uri": uri } }),
        )
    }

    fn resident_mb(&self) -> f64 {
        let status =
            fs::read_to_string(format!("/proc/{}/status", self.server.id())).unwrap_or_default();
        let line = status.lines().find_map(|l| l.strip_prefix("VmRSS:"));
        let kb = line.and_then(|l| l.trim().trim_end_matches(" kB").parse::<f64>().ok());
        kb.unwrap_or_default() / 1024.0
    }

    fn leave(mut self) {
        self.request("shutdown", Value::Null);
        self.send(&json!({ "jsonrpc": "2.0", "method": "exit" }));
        self.server.wait().expect("it ends");
    }
}
