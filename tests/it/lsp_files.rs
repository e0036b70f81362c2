//! Settings and own ingredients that cannot be read: the maker is told where the eyes are, on the formula.

use crate::support::lsp_client::*;
use phasewright::lsp::Options;
use serde_json::{Value, json};
use std::fs;
use std::path::Path;

/// What is said of other files on the heading of a formula in this folder.
fn on_the_heading(folder: &Path) -> Vec<Value> {
    let mut c = Client::here(Options::default());
    c.start(full_client());
    let a = uri(&folder.join("a.formula"));
    c.open(&a, "formula", GEL);
    let push = c.pushed(&a);
    assert!(
        codes(&push.faults).contains(&(GEL_FAULT, "above-legal-limit".to_owned())),
        "the rest is judged"
    );
    c.leave_unread();
    let own = |d: &&Value| d["code"] == "settings" || d["code"] == "ingredient-file";
    push.all.iter().filter(own).cloned().collect()
}

fn words(diagnostic: &Value) -> &str {
    diagnostic["message"].as_str().expect("words")
}

#[test]
fn settings_that_cannot_be_read_are_said_on_the_formula() {
    let folder = folder("unreadable-settings");
    fs::write(folder.join("phasewright.toml"), b"# \n# \xff\n").expect("written");
    let said = on_the_heading(&folder);
    assert_eq!(said.len(), 1, "{said:?}");
    assert_eq!(
        words(&said[0]),
        "phasewright.toml does not count: line 2: this is not UTF-8 text; save the file as UTF-8 in your editor"
    );
    assert_eq!(
        (&said[0]["severity"], &said[0]["range"]["start"]["line"]),
        (&json!(2), &json!(0))
    );
    assert_eq!(
        said[0]["relatedInformation"][0]["location"]["uri"],
        uri(&folder.join("phasewright.toml"))
    );
}

#[test]
fn a_slip_in_the_settings_is_said_on_the_formula() {
    let folder = folder("wrong-settings");
    fs::write(
        folder.join("phasewright.toml"),
        "scale = \"0.01 g\"\nmarkets = [\"Mars\", \"Venus\"]\n",
    )
    .expect("written");
    let said = on_the_heading(&folder);
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(
        words(&said[0]).starts_with("phasewright.toml, line 2: \"Mars\" is no market"),
        "{said:?}"
    );
    assert!(
        words(&said[0]).ends_with("; 1 more in this file"),
        "{said:?}"
    );
}

#[test]
fn own_ingredients_that_cannot_be_read_are_said_on_the_formula() {
    let folder = folder("unreadable-ingredients");
    fs::create_dir(folder.join("ingredients")).expect("made");
    fs::write(folder.join("ingredients/latin.toml"), b"id = \"\xe9\"\n").expect("written");
    fs::write(
        folder.join("ingredients/slip.toml"),
        "id = \"slip\"\nnmaes = [\"slip\"]\n",
    )
    .expect("written");
    let said = on_the_heading(&folder);
    let all: Vec<&str> = said.iter().map(words).collect();
    assert!(
        all.iter()
            .any(|w| w
                .starts_with("ingredients/latin.toml does not count: line 1: this is not UTF-8")),
        "{all:?}"
    );
    assert!(
        all.iter()
            .any(|w| w.starts_with("ingredients/slip.toml, line ")),
        "{all:?}"
    );
}

/// A pipe would be waited for, a device read for ever.
#[cfg(unix)]
#[test]
fn pipes_and_devices_are_no_settings_ingredients_or_formulas() {
    let folder = folder("pipes");
    fs::create_dir(folder.join("ingredients")).expect("made");
    pipe(&folder.join("ingredients/pipe.toml"));
    pipe(&folder.join("phasewright.toml"));
    std::os::unix::fs::symlink("/dev/zero", folder.join("base.formula")).expect("linked");
    let said = on_the_heading(&folder);
    let all: Vec<&str> = said.iter().map(words).collect();
    assert_eq!(
        all,
        [
            "phasewright.toml does not count: this is not a plain file; name a file of text",
            "ingredients/pipe.toml does not count: this is not a plain file; name a file of text",
        ]
    );
    let mut c = Client::here(Options::default());
    c.start(full_client());
    let a = uri(&folder.join("a.formula"));
    let text = GEL.replace("  xanthan gum  ", "  \"base.formula\"  ");
    c.open(&a, "formula", &text);
    let found = c.pushed(&a).faults;
    let base = found.iter().find(|d| d["code"] == "unknown-formula");
    assert!(
        words(base.expect("the formula is named")).contains("not a plain file"),
        "{found:?}"
    );
    c.leave_unread();
}

#[cfg(unix)]
fn pipe(path: &Path) {
    let made = std::process::Command::new("mkfifo").arg(path).status();
    assert!(made.is_ok_and(|s| s.success()), "mkfifo runs");
}

/// When they can be read again nothing more is said, without a restart.
#[test]
fn what_is_mended_is_no_longer_said() {
    let folder = folder("mended");
    fs::write(folder.join("phasewright.toml"), b"\xff").expect("written");
    let a = uri(&folder.join("a.formula"));
    let mut c = Client::here(Options::default());
    c.start(full_client());
    c.open(&a, "formula", GEL);
    assert_eq!(c.pushed(&a).faults.len(), 2);
    fs::write(folder.join("phasewright.toml"), "markets = [\"US\"]\n").expect("written");
    c.save(&a);
    assert_eq!(
        codes(&c.pushed(&a).faults),
        [(GEL_FAULT, "above-legal-limit".to_owned())]
    );
    c.leave_unread();
}
