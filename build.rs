//! Checks the knowledge base and packs it. A fault in the data fails the build with its file and line.

mod kb {
    #[path = "../src/kb/check.rs"]
    #[allow(dead_code)]
    pub mod check;
    #[path = "../src/kb/hash.rs"]
    pub mod hash;
    #[path = "../src/kb/lengths.rs"]
    #[allow(dead_code)]
    pub mod lengths;
    #[path = "../src/kb/names.rs"]
    pub mod names;
    #[path = "../src/kb/number.rs"]
    pub mod number;
    #[path = "../src/kb/pack.rs"]
    #[allow(dead_code)]
    pub mod pack;
    #[path = "../src/kb/packed.rs"]
    #[allow(dead_code)]
    pub mod packed;
    #[path = "../src/kb/prohibited.rs"]
    pub mod prohibited;
    #[path = "../src/kb/read.rs"]
    pub mod read;
    #[path = "../src/kb/role.rs"]
    #[allow(dead_code)]
    pub mod role;
    #[path = "../src/kb/schema.rs"]
    pub mod schema;
    #[path = "../src/kb/typed.rs"]
    #[allow(dead_code)]
    pub mod typed;
    #[path = "../src/kb/variants.rs"]
    #[allow(dead_code)]
    pub mod variants;
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
    let packed = kb::pack::pack(&base).expect("the knowledge base can be packed");
    let out = std::env::var("OUT_DIR").expect("cargo sets OUT_DIR");
    for (name, bytes) in [
        ("kb.index", packed.index),
        ("kb.body", packed.body),
        ("kb.typed", packed.typed),
    ] {
        std::fs::write(Path::new(&out).join(name), bytes).expect("OUT_DIR can be written");
    }
}
