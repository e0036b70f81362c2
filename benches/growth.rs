//! How the work grows with the file. `cargo bench --bench growth`, or with a part of a name behind it, and then a number of
//! lines to do it once at that length, for whoever counts instructions.
//!
//! Each shape of text is judged at 5,000 and at 20,000 lines: neither lies in the processor's own memory, so that its size does
//! not count as growth. What grows with the lines takes four times as long there, what grows with the square sixteen times: the
//! limit lies between the two, at eight. The shortest of several runs counts, for other programs disturb the others. A shape that grows faster is named at the
//! end, and the status is then 1.

mod made;

use made::{distinct, repeated};
use phasewright::ide::{Snapshot, actions};
use phasewright::kb::Kb;
use phasewright::model::{NoFiles, Settings};
use phasewright::rules::analyze;
use phasewright::syntax::{FileKind, parse};
use std::path::Path;
use std::time::{Duration, Instant};

const LINES: [usize; 2] = [5_000, 20_000];
/// The middle, by ratio, of four times (the lines) and sixteen times (their square).
const MOST: f64 = 8.0;
/// Each shape and size is run for so long, and three times at least.
const SPAN: Duration = Duration::from_millis(300);

/// A name, a text of so many lines, and what is done with it.
struct Shape {
    name: &'static str,
    text: fn(usize) -> String,
    run: fn(&str) -> usize,
}

const SHAPES: [Shape; 24] = [
    judged("repeated materials", repeated),
    judged("distinct materials", distinct),
    judged("line breaks", |n| "\n".repeat(n)),
    judged("phases", |n| headed(n, |n| format!("phase P{n}\n"))),
    judged("chained premixes", |n| {
        headed(n, |n| format!("premix P{n}, into P{}\n", n + 1))
    }),
    judged("exceptions that do nothing", excepted),
    judged("unreadable lines", |n| {
        headed(n, |_| "  glycerin  1-2 %\n".into())
    }),
    judged("unknown materials", |n| {
        headed(n, |n| format!("  glycerol {n}x  0.001 %\n"))
    }),
    judged("one material in one phase", |n| {
        headed(n, |_| "  glycerin  0.001 %\n".into())
    }),
    judged("headings of formulas", |n| {
        headed(n, |n| {
            format!("formula \"F{n}\"\n  pH: 5\nphase P{n}\n  glycerin  0.001 %\n")
        })
    }),
    judged("phases that melt nothing", |n| {
        headed(n, |n| {
            format!("phase P{n} at 30 °C\n  cetearyl alcohol  0.001 %\n")
        })
    }),
    judged("one phase that melts nothing", |n| {
        format!(
            "phase A at 30 °C\n{}",
            "  cetearyl alcohol  0.001 %\n".repeat(n)
        )
    }),
    judged("rows too high", too_high),
    judged("steps that name phases", |n| {
        method(n, 1, |n| format!("  add P{n}\n"))
    }),
    judged("steps that combine", |n| {
        method(n, 12, |n| {
            format!("  heat P{n} to 75 °C\n  pour P{n} into P0\n")
        })
    }),
    judged("steps that heat", |n| {
        method(n, 12, |n| format!("  heat P{n} to 75 °C, hold 2 min\n"))
    }),
    judged("steps that name materials", |n| {
        method(n, 12, |_| "  add glycerin, add panthenol\n".into())
    }),
    judged("steps that mix everything", |n| {
        method(n, 12, |_| "  mix everything\n  add the rest\n".into())
    }),
    judged("steps that name no phase", |n| {
        method(n, 1, |n| format!("  add phase Q{n}\n"))
    }),
    judged("steps that are not understood", |n| {
        method(n, 1, |_| "  quarrel about the weather\n".into())
    }),
    judged("phases that no step adds", |n| {
        method(n, 2, |_| "  stir\n".into())
    }),
    judged("phases added twice", |n| {
        method(n, 1, |n| format!("  add P{n}\n  add P{n}\n"))
    }),
    Shape {
        name: "actions of everything",
        text: excepted,
        run: all_actions,
    },
    Shape {
        name: "reading",
        text: repeated,
        run: |text| parse(FileKind::Formula, text).lines.len(),
    },
];

const fn judged(name: &'static str, text: fn(usize) -> String) -> Shape {
    Shape {
        name,
        text,
        run: findings,
    }
}

fn findings(text: &str) -> usize {
    let (kb, settings) = (
        Kb::bundled(),
        Settings::on("2026-11-25".parse().expect("a day")),
    );
    let tree = parse(FileKind::Formula, text);
    let path = Path::new("made.formula");
    analyze(tree, path, &kb, &settings, &NoFiles)
        .findings()
        .len()
}

fn all_actions(text: &str) -> usize {
    let (kb, settings) = (
        Kb::bundled(),
        Settings::on("2026-11-25".parse().expect("a day")),
    );
    let tree = parse(FileKind::Formula, text);
    let path = Path::new("made.formula");
    let s = Snapshot::new(path, FileKind::Formula, tree, &kb, &settings, &NoFiles);
    actions::actions(&s, 0, u32::MAX).len()
}

fn excepted(lines: usize) -> String {
    headed(lines, |_| {
        "  glycerin  0.001 %  # except banned: old note\n".into()
    })
}

/// Rows of which each is told to be lowered.
fn too_high(lines: usize) -> String {
    let names = made::names();
    let mut row = 0;
    headed(lines, |_| {
        row += 1;
        format!("  {}  {} %\n", names[row % names.len()], 30 + row % 7)
    })
}

/// So many lines behind one phase of water.
fn headed(lines: usize, mut one: impl FnMut(usize) -> String) -> String {
    let mut out = String::from("formula \"Grown\"\n\nphase A\n  water  q.s.\n");
    (0..lines).for_each(|n| out.push_str(&one(n)));
    out
}

/// Phases of so many rows, then a step for each; the two together are so many lines.
fn method(lines: usize, rows: usize, step: impl Fn(usize) -> String) -> String {
    let phases = (lines / (2 + rows)).max(1);
    let mut text = made::HEAD.to_owned();
    for p in 0..phases {
        text.push_str(&format!("phase P{p} at 70 °C\n"));
        (0..rows).for_each(|r| {
            text.push_str(&format!(
                "  {}  0.001 %\n",
                made::ROWS[(p + r) % made::ROWS.len()]
            ))
        });
    }
    text.push_str("method\n");
    (0..phases).for_each(|p| text.push_str(&step(p)));
    text
}

/// The shortest run.
fn shortest(shape: &Shape, text: &str) -> Duration {
    let began = Instant::now();
    let mut best = Duration::MAX;
    let mut runs = 0;
    while runs < 3 || began.elapsed() < SPAN {
        let now = Instant::now();
        std::hint::black_box((shape.run)(std::hint::black_box(text)));
        best = best.min(now.elapsed());
        runs += 1;
    }
    best
}

/// Settings of the C library that keep freed memory in the process. Without them each run of a long text asks the system for
/// its pages again, which takes longer than the work.
const KEEP_MEMORY: [(&str, &str); 2] = [
    ("MALLOC_TRIM_THRESHOLD_", "4000000000"),
    ("MALLOC_MMAP_THRESHOLD_", "4000000000"),
];

/// Starts this benchmark again with `KEEP_MEMORY`, which are read at the start of a process alone. Returns its status.
fn again_with_memory_kept() -> std::io::Result<Option<i32>> {
    if std::env::var_os(KEEP_MEMORY[0].0).is_some() {
        return Ok(None);
    }
    let status = std::process::Command::new(std::env::current_exe()?)
        .args(std::env::args_os().skip(1))
        .envs(KEEP_MEMORY)
        .status()?;
    Ok(Some(status.code().unwrap_or(1)))
}

fn main() {
    if let Some(status) = again_with_memory_kept().expect("this program starts again") {
        std::process::exit(status);
    }
    // What the knowledge base decodes once stands outside the measurement.
    findings(&distinct(10_000));
    let mut asked = std::env::args().skip(1).filter(|a| !a.starts_with('-'));
    let (asked, lines) = (asked.next(), asked.next().and_then(|n| n.parse().ok()));
    let mut steep = Vec::new();
    println!("{:32} {:>10} {:>10} {:>7}", "", "5,000", "20,000", "times");
    for shape in &SHAPES {
        if asked
            .as_ref()
            .is_some_and(|part| !shape.name.contains(part.as_str()))
        {
            continue;
        }
        if let Some(lines) = lines {
            println!("{:32} {}", shape.name, (shape.run)(&(shape.text)(lines)));
            continue;
        }
        let [small, large] = LINES.map(|lines| shortest(shape, &(shape.text)(lines)));
        let times = large.as_secs_f64() / small.as_secs_f64();
        println!(
            "{:32} {:>7.2} ms {:>7.1} ms {times:>7.1}",
            shape.name,
            small.as_secs_f64() * 1e3,
            large.as_secs_f64() * 1e3,
        );
        if times > MOST {
            steep.push(shape.name);
        }
    }
    if !steep.is_empty() {
        println!("grow faster than the lines: {}", steep.join(", "));
        std::process::exit(1);
    }
}
