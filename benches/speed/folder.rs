//! `check` over a folder of 10,000 formulas that differ, and whole runs over one file.

use super::client::most_memory_mb;
use super::made;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const MANY: usize = 10_000;
const CALLS: usize = 25;
const OURS: &str = env!("CARGO_BIN_EXE_phasewright");

pub fn print() {
    let folder = std::env::temp_dir().join(format!("folder-{}", std::process::id()));
    let names = made::names();
    for n in 0..MANY {
        let below = folder.join(format!("{:03}", n / 100));
        std::fs::create_dir_all(&below).expect("a folder for the formulas");
        let path = below.join(format!("{n:05}.formula"));
        std::fs::write(path, made::one_of_many(n, &names)).expect("a formula can be written");
    }
    let mut runs: Vec<(Duration, f64)> = (0..3).map(|_| check(&folder)).collect();
    runs.sort_by_key(|(took, _)| *took);
    let (took, memory) = runs[1];
    println!(
        "\n`check` over {MANY} formulas that differ: {:.2} s, {memory:.0} MB",
        took.as_secs_f64()
    );
    let _ = std::fs::remove_dir_all(&folder);

    let cream = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/gardeners-hand-cream.formula");
    let each = ["check", "sheet", "label", "cost", "card"].map(|command| {
        let began = Instant::now();
        for _ in 0..CALLS {
            let _ = Command::new(OURS)
                .arg(command)
                .arg(&cream)
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .status();
        }
        format!(
            "`{command}` {:.1} ms",
            began.elapsed().as_secs_f64() * 1e3 / CALLS as f64
        )
    });
    println!("\nOne file, whole process: {}", each.join(", "));
}

fn check(folder: &Path) -> (Duration, f64) {
    let began = Instant::now();
    let mut process = Command::new(OURS)
        .arg("check")
        .arg(folder)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("it starts");
    let mut memory: f64 = 0.0;
    while process.try_wait().expect("it can be waited for").is_none() {
        memory = memory.max(most_memory_mb(process.id()));
        std::thread::sleep(Duration::from_millis(2));
    }
    (began.elapsed(), memory)
}
