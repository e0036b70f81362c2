//! The plugin in `editors/neovim` and the real program in the real Neovim, driven key by key.
//!
//! `tests/editors/install.sh` installs the editors. Without one the test says that it was left out; where it must not be
//! (`CI` is set, as in the test command), it fails.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn neovim() -> Option<PathBuf> {
    let runs = |path: &Path| {
        Command::new(path)
            .arg("--version")
            .output()
            .is_ok_and(|o| o.status.success() && !o.stdout.starts_with(b"NVIM v0.7"))
    };
    let installed = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/editors/bin/nvim");
    let named = std::env::var_os("PHASEWRIGHT_NVIM").map(PathBuf::from);
    named
        .into_iter()
        .chain([installed, PathBuf::from("nvim")])
        .find(|p| runs(p))
}

/// A workspace with a formula and an ingredient of its own, with an é and an emoji to the left of what is typed.
fn workspace(name: &str) -> PathBuf {
    let folder = crate::support::lsp_client::folder(name);
    let example =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/gardeners-hand-cream.formula");
    let example = std::fs::read_to_string(example).expect("the example is there");
    std::fs::write(
        folder.join("hand-cream.formula"),
        example.replace("\"oil\"", "\"oil, crème 🧴\""),
    )
    .expect("written");
    std::fs::create_dir(folder.join("ingredients")).expect("made");
    let own = "id = \"creme-mix\"\nnames = [\"crème 🧴 mix\"]\ncomposition = [{ of = \"phenoxyethanol\", percent = 100 }]\n";
    std::fs::write(folder.join("ingredients/creme-mix.toml"), own).expect("written");
    folder
}

fn left_out() {
    assert!(
        std::env::var_os("CI").is_none(),
        "there is no Neovim; run tests/editors/install.sh"
    );
    eprintln!("left out: there is no Neovim; run tests/editors/install.sh");
}

fn all_well(output: Output) {
    let said = format!(
        "{}{}",
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    );
    assert!(
        output.status.success() && said.contains("all well"),
        "{said}"
    );
}

#[cfg(unix)]
#[test]
fn a_maker_edits_a_formula_in_neovim() {
    let Some(nvim) = neovim() else {
        return left_out();
    };
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let output = Command::new(nvim)
        .args(["--clean", "--headless", "-l"])
        .arg(here.join("tests/editors/neovim.lua"))
        .env("PHASEWRIGHT", env!("CARGO_BIN_EXE_phasewright"))
        .env("PLUGIN", here.join("editors/neovim"))
        .env("FOLDER", workspace("neovim"))
        .output();
    all_well(output.expect("Neovim starts"));
}

/// The system's own Neovim where it is older than 0.11 and starts the server in another way.
#[cfg(unix)]
#[test]
fn a_maker_edits_a_formula_in_an_older_neovim() {
    let Ok(version) = Command::new("nvim").arg("--version").output() else {
        return left_out();
    };
    let version = String::from_utf8_lossy(&version.stdout).into_owned();
    let minor = version
        .strip_prefix("NVIM v0.")
        .and_then(|v| v.split('.').next())
        .and_then(|m| m.parse::<u32>().ok());
    if minor.is_none_or(|m| m >= 11) {
        return eprintln!("left out: the system's Neovim is not an older one");
    }
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let output = Command::new("nvim")
        .args(["-n", "--clean", "--headless", "--cmd"])
        .arg(format!(
            "set runtimepath+={}",
            here.join("editors/neovim").display()
        ))
        .args([
            "-c",
            &format!(
                "luafile {}",
                here.join("tests/editors/neovim_old.lua").display()
            ),
            "-c",
            "cq!",
        ])
        .env("PHASEWRIGHT", env!("CARGO_BIN_EXE_phasewright"))
        .env("FOLDER", workspace("older-neovim"))
        .output();
    all_well(output.expect("Neovim starts"));
}
