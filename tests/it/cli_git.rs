//! Where the program works with git: as a diff driver, as a hook, as an action.

use crate::support::cli::{Folder, answer};
use std::path::Path;
use std::process::Command;

const CREAM: &str = "formula \"Salve\"\n  product: balm, leave-on\n  type: anhydrous\n  sold in: EU\n\nphase A at 70 °C\n  jojoba oil        80 %\n  beeswax           20 %\n";

/// The PATH with the program of this build on it.
fn path() -> String {
    let program = Path::new(env!("CARGO_BIN_EXE_phasewright"));
    let folder = program.parent().expect("a folder").display();
    format!("{folder}:{}", std::env::var("PATH").expect("a path"))
}

fn run(f: &Folder, program: &str, args: &[&str]) -> crate::support::cli::Answer {
    let mut command = Command::new(program);
    command.current_dir(f.path()).env("PATH", path()).args(args);
    answer(command.output().expect("it starts"))
}

#[cfg(unix)]
#[test]
fn git_diff_speaks_of_the_formula_and_not_of_its_lines() {
    let f = Folder::new();
    let git = |args: &[&str]| {
        let a = run(&f, "git", args);
        assert_eq!(a.status, 0, "{args:?}: {a:?}");
        a.out
    };
    git(&["init", "-q"]);
    git(&["config", "user.name", "Ana"]);
    git(&["config", "user.email", "ana@example.org"]);
    // As the guide says.
    git(&[
        "config",
        "diff.formula.command",
        "phasewright compare --git-diff",
    ]);
    f.write(".gitattributes", "*.formula diff=formula\n");
    f.write("ingredients/own-wax.toml", "id = \"own-wax\"\nnames = [\"own wax\"]\ncomposition = [{ of = \"beeswax\", percent = 100 }]\n");
    f.write("salve.formula", CREAM);
    git(&["add", "."]);
    git(&["commit", "-q", "-m", "First"]);
    f.write(
        "salve.formula",
        CREAM.replace("80 %", "75 %").replace(
            "beeswax           20 %",
            "beeswax           20 %\n  own wax           5 %",
        ),
    );
    f.write("new.formula", CREAM);
    git(&["add", "-N", "new.formula"]);
    let said = git(&["--no-pager", "diff"]);
    assert!(said.contains("phasewright compare salve.formula"), "{said}");
    assert!(
        said.contains("own wax") && said.contains("jojoba oil"),
        "{said}"
    );
    assert!(said.contains("The formula is new."), "{said}");
    assert!(
        !said.contains("\"own wax\" is not known"),
        "own ingredients are those of the formula's folder: {said}"
    );
}

/// The value of a key in the simple YAML of the hook and the action.
fn values<'a>(text: &'a str, key: &str) -> Vec<&'a str> {
    text.lines()
        .filter_map(|l| {
            l.trim_start_matches(['-', ' '])
                .strip_prefix(key)?
                .strip_prefix(": ")
        })
        .collect()
}

/// What a hook runner does: the entry with the names of the changed files behind it.
#[test]
fn the_hooks_take_the_files_that_are_committed() {
    let hooks = include_str!("../../.pre-commit-hooks.yaml");
    let entries = values(hooks, "entry");
    assert_eq!(
        values(hooks, "id"),
        ["phasewright-check", "phasewright-format"]
    );
    assert!(
        values(hooks, "files")
            .iter()
            .all(|f| *f == r"\.(formula|batch|stock)$")
    );
    let f = Folder::new();
    f.write("good.formula", CREAM);
    f.write("bad.formula", CREAM.replace("beeswax ", "hydroquinone "));
    let hook = |entry: &str, files: &[&str]| {
        let words: Vec<&str> = entry.split(' ').chain(files.iter().copied()).collect();
        run(&f, words[0], &words[1..])
    };
    assert_eq!(hook(entries[0], &["good.formula"]).status, 0);
    assert_eq!(hook(entries[0], &["good.formula", "bad.formula"]).status, 1);
    f.write(
        "good.formula",
        CREAM.replace("  beeswax  ", "      beeswax  "),
    );
    assert_eq!(hook(entries[1], &["good.formula"]).status, 0);
    assert!(f.read("good.formula").contains("\n  beeswax     20 %\n"));
}

/// The last step of the action, run as the runner runs it.
#[cfg(unix)]
#[test]
fn the_action_fails_where_something_is_an_error() {
    let action = include_str!("../../action.yml");
    let steps = values(action, "run");
    let f = Folder::new();
    f.write("bad.formula", CREAM.replace("beeswax ", "hydroquinone "));
    let step = |script: &str, paths: &str| {
        let mut bash = Command::new("bash");
        bash.current_dir(f.path())
            .env("PATH", path())
            .env("PATHS", paths)
            .env("DENY", "error")
            .args(["-e", "-c", script]);
        answer(bash.output().expect("bash runs"))
    };
    // The program is there, so nothing is installed.
    assert_eq!(step(steps[0], ".").status, 0);
    let said = step(steps[1], ".");
    assert_eq!(said.status, 1, "{said:?}");
    assert!(
        said.out.contains("::error file=bad.formula,line=8"),
        "{said:?}"
    );
}
