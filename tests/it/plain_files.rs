//! Only plain files of a sensible size are read, by the command line as by the editor.

use crate::support::cli::Folder;
use phasewright::text::{MAX_FILE_BYTES, Unreadable, read_file};

#[test]
fn a_file_is_read_up_to_the_one_limit() {
    let f = Folder::new();
    let limit = MAX_FILE_BYTES as usize;
    f.write("most.formula", vec![b'\n'; limit]);
    f.write("more.formula", vec![b'\n'; limit + 1]);
    assert_eq!(
        read_file(&f.path().join("most.formula"))
            .map(|t| t.len())
            .ok(),
        Some(limit)
    );
    assert!(matches!(
        read_file(&f.path().join("more.formula")),
        Err(Unreadable::TooLarge(n)) if n == MAX_FILE_BYTES + 1
    ));
}

/// `/proc/self/maps` says that it holds nothing, and does.
#[cfg(target_os = "linux")]
#[test]
fn what_is_read_is_counted_and_not_what_a_file_says() {
    let text = read_file(std::path::Path::new("/proc/self/maps")).expect("a plain file");
    assert!(!text.is_empty());
}

#[cfg(unix)]
#[test]
fn commands_refuse_pipes_and_devices_and_go_on() {
    let f = Folder::new();
    f.write("a.formula", "formula \"x\"\nphase A\n  water  100 %\n");
    let made = std::process::Command::new("mkfifo")
        .arg(f.path().join("pipe.formula"))
        .status();
    assert!(made.is_ok_and(|s| s.success()), "mkfifo runs");
    std::os::unix::fs::symlink("/dev/zero", f.path().join("zero.formula")).expect("linked");
    let a = f.run(&["check", "a.formula", "pipe.formula", "zero.formula"]);
    assert_eq!(a.status, 2);
    for name in ["pipe", "zero"] {
        let words = format!("phasewright: {name}.formula: this is not a plain file");
        assert!(a.err.contains(&words), "{}", a.err);
    }
    assert!(
        a.out.contains("a.formula") || a.out.contains("1 file"),
        "{}",
        a.out
    );

    // As settings and as own ingredients they are named too, and nothing waits for them.
    std::os::unix::fs::symlink("/dev/zero", f.path().join("phasewright.toml")).expect("linked");
    std::fs::create_dir(f.path().join("ingredients")).expect("made");
    std::fs::rename(
        f.path().join("pipe.formula"),
        f.path().join("ingredients/own.toml"),
    )
    .expect("moved");
    let a = f.run(&["check", "a.formula"]);
    assert_eq!(a.status, 2, "{}", a.err);
    for name in ["phasewright.toml", "ingredients/own.toml"] {
        let words = format!("phasewright: {name}: this is not a plain file");
        assert!(a.err.contains(&words), "{}", a.err);
    }
}

#[cfg(unix)]
#[test]
fn a_base_that_is_checked_is_read_as_safely() {
    let f = Folder::new();
    f.write("kb/sources/own.toml", "");
    std::fs::create_dir(f.path().join("kb/ingredients")).expect("made");
    std::os::unix::fs::symlink("/dev/zero", f.path().join("kb/ingredients/zero.toml"))
        .expect("linked");
    let a = f.run(&["kb", "check", "kb"]);
    assert_ne!(a.status, 0);
    let said = format!("{}{}", a.out, a.err);
    assert!(
        said.contains("zero.toml") && said.contains("not a plain file"),
        "{said}"
    );
}
