//! `format` as a process: what is changed, what is left, and how it ends.

use crate::support::cli::Folder;

const LOOSE: &str = "formula \"Salve\"\n product: balm, leave-on\nphase A at 70 °C\n sunflower oil 80 %\n beeswax 20 %\n";

#[test]
fn in_place_then_nothing_more_to_do() {
    let f = Folder::new();
    f.write("a.formula", LOOSE);
    f.write("sub/b.formula", LOOSE);
    let before = f.run(&["format", "--check"]);
    assert_eq!(before.status, 1);
    assert_eq!(
        before.out,
        "a.formula\nsub/b.formula\n2 files: 2 would change\n"
    );
    assert_eq!(f.read("a.formula"), LOOSE, "--check changes nothing");
    let first = f.run(&["format"]);
    assert_eq!(
        (first.status, first.out.as_str()),
        (0, "2 files: 2 changed\n"),
        "{first:?}"
    );
    assert_ne!(f.read("a.formula"), LOOSE);
    assert_eq!(f.read("a.formula"), f.read("sub/b.formula"));
    let again = f.run(&["format", "--check"]);
    assert_eq!(
        (again.status, again.out.as_str()),
        (0, "2 files: all set as they should be\n")
    );
    let left: Vec<_> = std::fs::read_dir(f.path())
        .expect("the folder")
        .flatten()
        .map(|e| e.file_name())
        .collect();
    assert_eq!(left.len(), 2, "nothing is left behind: {left:?}");
}

#[test]
fn stdin_and_stdout_agree_with_in_place() {
    let f = Folder::new();
    f.write("a.formula", LOOSE);
    let piped = f.run_with_input(&["format", "-"], LOOSE.as_bytes());
    let shown = f.run(&["format", "--stdout", "a.formula"]);
    assert_eq!((piped.status, shown.status), (0, 0));
    assert_eq!(piped.out, shown.out);
    assert_eq!(f.read("a.formula"), LOOSE);
    f.run(&["format", "a.formula"]);
    assert_eq!(f.read("a.formula"), piped.out);
    assert_eq!(
        f.run_with_input(&["format", "--check", "-"], LOOSE.as_bytes())
            .status,
        1
    );
    assert_eq!(
        f.run_with_input(&["format", "--check", "-"], piped.out.as_bytes())
            .status,
        0
    );
    let latin = f.run_with_input(&["format", "-"], b"formula \"x\"\n\xe9\n");
    assert_eq!((latin.status, latin.out.as_str()), (2, ""));
    assert!(
        latin
            .err
            .starts_with("phasewright: stdin:2: this is not UTF-8"),
        "{}",
        latin.err
    );
    assert_eq!(f.run(&["format", "-", "a.formula"]).status, 2);
}

#[test]
fn a_batch_from_stdin_is_read_as_one() {
    let f = Folder::new();
    let batch = "batch HC-1 of \"x.formula\" version 1\n\nweighed\n glycerin 12.51 g of 12.50 g lot GLY-07\n";
    let a = f.run_with_input(&["format", "-"], batch.as_bytes());
    f.write("b.batch", batch);
    assert_eq!(a.out, f.run(&["format", "--stdout", "b.batch"]).out);
    assert!(
        a.out
            .contains("  glycerin  12.51 g of 12.50 g   lot GLY-07"),
        "{}",
        a.out
    );
}

#[cfg(unix)]
#[test]
fn permissions_stay_and_links_are_followed() {
    use std::os::unix::fs::PermissionsExt;
    let f = Folder::new();
    let path = f.write("real/a.formula", LOOSE);
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o640)).expect("permissions");
    std::os::unix::fs::symlink(&path, f.path().join("link.formula")).expect("a link");
    let a = f.run(&["format", "link.formula"]);
    assert_eq!(a.status, 0, "{a:?}");
    assert!(f.path().join("link.formula").is_symlink());
    assert_ne!(f.read("real/a.formula"), LOOSE);
    assert_eq!(
        std::fs::metadata(&path)
            .expect("it is there")
            .permissions()
            .mode()
            & 0o777,
        0o640
    );
}

#[test]
fn what_is_write_protected_stays_and_the_others_are_set() {
    let f = Folder::new();
    let shut = f.write("a.formula", LOOSE);
    f.write("b.formula", LOOSE);
    let mut permissions = std::fs::metadata(&shut).expect("it is there").permissions();
    permissions.set_readonly(true);
    std::fs::set_permissions(&shut, permissions).expect("permissions");
    let a = f.run(&["format"]);
    assert_eq!(a.status, 2, "{a:?}");
    assert!(
        a.err
            .contains("phasewright: a.formula: it may not be written"),
        "{}",
        a.err
    );
    assert_eq!(f.read("a.formula"), LOOSE);
    assert_ne!(f.read("b.formula"), LOOSE);
}
