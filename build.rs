//! Checks the knowledge base and packs it. An error in the data fails the build with its file and line.

use std::path::Path;

fn main() {
    println!("cargo:rerun-if-changed=kb");
    let (base, mut errors) = kb_format::read::read(Path::new("kb"));
    errors.extend(kb_format::check::check(&base));
    if !errors.is_empty() {
        for error in &errors {
            println!("cargo:error={error}");
        }
        std::process::exit(1);
    }
    let packed = kb_format::pack::pack(&base).expect("the knowledge base can be packed");
    let out = std::env::var("OUT_DIR").expect("cargo sets OUT_DIR");
    std::fs::write(Path::new(&out).join("kb.bin"), packed).expect("OUT_DIR can be written");
}
