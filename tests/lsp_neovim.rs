//! The plugin in `editors/neovim` and the real program in the real Neovim, driven key by key.
//!
//! `tests/editors/install.sh` installs the editor. Without one the test says that it was left out; where it must not be
//! (`CI` is set, as in the test command), it fails.

mod lsp_client;

use std::path::{Path, PathBuf};
use std::process::Command;

fn neovim() -> Option<PathBuf> {
    let runs = |path: &Path| Command::new(path).arg("--version").output().is_ok_and(|o| o.status.success());
    let installed = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/editors/bin/nvim");
    let named = std::env::var_os("PHASEWRIGHT_NVIM").map(PathBuf::from);
    named.into_iter().chain([installed, PathBuf::from("nvim")]).find(|p| runs(p))
}

#[cfg(unix)]
#[test]
fn a_maker_edits_a_formula_in_neovim() {
    let Some(nvim) = neovim() else {
        assert!(std::env::var_os("CI").is_none(), "there is no Neovim; run tests/editors/install.sh");
        eprintln!("left out: there is no Neovim; run tests/editors/install.sh");
        return;
    };
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = lsp_client::folder("neovim");
    let example = std::fs::read_to_string(here.join("examples/gardeners-hand-cream.formula")).expect("the example is there");
    std::fs::write(folder.join("hand-cream.formula"), example.replace("\"oil\"", "\"oil, crème 🧴\"")).expect("written");
    std::fs::create_dir(folder.join("ingredients")).expect("made");
    let own = "id = \"creme-mix\"\nnames = [\"crème 🧴 mix\"]\ncomposition = [{ of = \"phenoxyethanol\", percent = 100 }]\n";
    std::fs::write(folder.join("ingredients/creme-mix.toml"), own).expect("written");
    let output = Command::new(nvim)
        .args(["--clean", "--headless", "-l"])
        .arg(here.join("tests/editors/neovim.lua"))
        .env("PHASEWRIGHT", env!("CARGO_BIN_EXE_phasewright"))
        .env("PLUGIN", here.join("editors/neovim"))
        .env("FOLDER", &folder)
        .output()
        .expect("Neovim starts");
    let said = format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success() && said.contains("all well"), "{said}");
}
