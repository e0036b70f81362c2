//! Checks the knowledge base and packs it. A fault in the data fails the build with its file and line.

mod kb {
    #[path = "../src/kb/check.rs"]
    #[allow(dead_code)]
    pub mod check;
    #[path = "../src/kb/names.rs"]
    pub mod names;
    #[path = "../src/kb/number.rs"]
    pub mod number;
    #[path = "../src/kb/pack.rs"]
    #[allow(dead_code)]
    pub mod pack;
    #[path = "../src/kb/read.rs"]
    pub mod read;
    #[path = "../src/kb/schema.rs"]
    pub mod schema;
}

use std::path::Path;

fn main() {
    println!("cargo:rerun-if-changed=kb");
    println!("cargo:rerun-if-changed=src/kb");
    let (base, mut faults) = kb::read::read(Path::new("kb"));
    faults.extend(kb::check::check(&base));
    if !faults.is_empty() {
        for fault in &faults {
            println!("cargo:error={fault}");
        }
        std::process::exit(1);
    }
    let (index, body) = kb::pack::pack(&base).expect("the knowledge base can be packed");
    let out = std::env::var("OUT_DIR").expect("cargo sets OUT_DIR");
    std::fs::write(Path::new(&out).join("kb.index"), index).expect("OUT_DIR can be written");
    std::fs::write(Path::new(&out).join("kb.body"), body).expect("OUT_DIR can be written");
}
