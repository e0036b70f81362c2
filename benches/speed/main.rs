//! The table of docs/speed.md: `cargo bench --profile dist --bench speed`.
//!
//! Ours runs beside a floor, a server on the same protocol library that does nothing (`floor.rs`), and beside servers of
//! other languages on like documents. Those are installed by name into `target/peers`, by pip and npm; where that cannot be,
//! their columns stay empty. The servers take turns, so that what else the machine does hits all of them alike: compare
//! within one table only.

mod client;
mod floor;
mod folder;
#[path = "../made/mod.rs"]
mod made;
mod servers;

use client::Client;
use servers::Server;
use std::collections::BTreeMap;
use std::time::Instant;

/// Lines of the documents.
const LINES: [usize; 3] = [60, 1_000, 10_000];
/// Each server is started so often at each length.
const TURNS: usize = 3;
const EDITS: usize = 100;
const BURST: usize = 200;

/// What is measured, in the order of the table: milliseconds, and megabytes for the memory.
const ROWS: [&str; 8] = [
    "start",
    "open to diagnostics",
    "edit, median",
    "edit, 99th percentile",
    "completion after a key",
    "burst of 200 edits",
    "memory at the most, MB",
    "processor time for an edit",
];

/// By server, length and row: one figure a turn.
type Figures = BTreeMap<(usize, usize, usize), Vec<f64>>;

fn main() {
    if std::env::args().nth(1).as_deref() == Some("floor") {
        return floor::serve();
    }
    let servers = servers::all();
    let mut figures = Figures::new();
    for turn in 0..TURNS {
        for (l, lines) in LINES.into_iter().enumerate() {
            for (s, server) in servers.iter().enumerate() {
                eprintln!(
                    "turn {} of {TURNS}: {}, {lines} lines",
                    turn + 1,
                    server.name
                );
                for (r, figure) in run(server, lines).into_iter().enumerate() {
                    if let Some(figure) = figure {
                        figures.entry((s, l, r)).or_default().push(figure);
                    }
                }
            }
        }
    }
    print(&servers, &mut figures);
    folder::print();
}

/// One life of a server.
fn run(server: &Server, lines: usize) -> [Option<f64>; ROWS.len()] {
    let document = (server.document)(lines);
    let mut client = Client::start(&server.command, server.settings.clone());
    let mut out = [None; ROWS.len()];
    out[0] = Some(client.initialize());
    client.open(server.language, server.ending, &document.text);
    out[1] = Some(client.diagnostics_ms());
    // What servers do once after opening is no part of an edit.
    for at in document.edits.iter().cycle().take(6) {
        client.edit_there_and_back(*at);
    }
    let before = client.processor_ms();
    let mut edits = Vec::with_capacity(EDITS);
    // A slow server is not asked so often.
    let began = Instant::now();
    for at in document.edits.iter().cycle().take(EDITS / 2) {
        edits.extend(client.edit_there_and_back(*at));
        if began.elapsed().as_secs() >= 20 {
            break;
        }
    }
    out[7] = Some((client.processor_ms() - before) / edits.len() as f64);
    edits.sort_by(f64::total_cmp);
    out[2] = Some(percentile(&edits, 50));
    out[3] = Some(percentile(&edits, 99));
    if client.completes {
        let mut asked: Vec<f64> = document
            .edits
            .iter()
            .map(|at| client.completion_after_key(*at))
            .collect();
        asked.sort_by(f64::total_cmp);
        out[4] = Some(percentile(&asked, 50));
    }
    out[5] = Some(client.burst(&document.edits, BURST));
    out[6] = Some(client.most_memory_mb());
    client.stop();
    out
}

fn percentile(sorted: &[f64], percent: usize) -> f64 {
    sorted[(sorted.len() - 1) * percent / 100]
}

fn print(servers: &[Server], figures: &mut Figures) {
    let names: Vec<&str> = servers.iter().map(|s| s.name).collect();
    println!(
        "| {} lines | {} |",
        LINES.map(|l| l.to_string()).join(" / "),
        names.join(" | ")
    );
    println!("|---|{}", "---|".repeat(names.len()));
    for (r, row) in ROWS.iter().enumerate() {
        let mut cells = Vec::new();
        for s in 0..servers.len() {
            let each = (0..LINES.len()).map(|l| match figures.get_mut(&(s, l, r)) {
                Some(all) => {
                    all.sort_by(f64::total_cmp);
                    shown(percentile(all, 50))
                }
                None => "–".to_owned(),
            });
            let each: Vec<String> = each.collect();
            let none = each.iter().all(|one| one == "–");
            cells.push(if none {
                "–".to_owned()
            } else {
                each.join(" / ")
            });
        }
        println!("| {row} | {} |", cells.join(" | "));
    }
}

/// Two figures, or the whole number.
fn shown(n: f64) -> String {
    match n {
        n if n < 1.0 => format!("{n:.2}"),
        n if n < 10.0 => format!("{n:.1}"),
        n => format!("{n:.0}"),
    }
}
