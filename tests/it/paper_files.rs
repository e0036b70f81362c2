//! Where `-o` writes: plain files alone; devices and pipes stay what they are.

use crate::support::cli::Folder;

const FORMULA: &str = "formula \"Oil\"\n  product: body oil, leave-on\n  batch: 100 g\n\nphase A\n  sunflower oil  99.5 %\n  tocopherol  0.5 %\n";

fn folder() -> Folder {
    let f = Folder::new();
    f.write("x.formula", FORMULA);
    f
}

#[test]
fn a_dash_is_the_terminal() {
    let f = folder();
    let to = f.run(&["sheet", "x.formula", "-o", "-"]);
    assert_eq!(to.out, f.run(&["sheet", "x.formula"]).out);
    assert!(!f.path().join("-").exists());
}

#[test]
fn a_plain_file_is_replaced_whole() {
    let f = folder();
    f.write("out.txt", "old");
    assert_eq!(f.run(&["sheet", "x.formula", "-o", "out.txt"]).status, 0);
    assert!(f.read("out.txt").starts_with("Weigh sheet"));
}

#[cfg(unix)]
#[test]
fn a_link_onto_a_formula_is_not_written_through() {
    let f = folder();
    for (link, to) in [
        ("a.txt", "x.formula"),
        ("b.txt", "old.txt"),
        ("c.txt", "nowhere"),
    ] {
        f.write("old.txt", "mine");
        std::os::unix::fs::symlink(f.path().join(to), f.path().join(link)).expect("a link");
        let a = f.run(&["sheet", "x.formula", "-o", link]);
        assert!(
            a.status == 2 && a.err.contains(&format!("{link}: this is a link")),
            "{a:?}"
        );
        assert!(f.path().join(link).is_symlink(), "the link stays");
        assert_eq!(
            (f.read("x.formula").as_str(), f.read("old.txt").as_str()),
            (FORMULA, "mine")
        );
    }
    assert!(!f.path().join("nowhere").exists());
}

#[cfg(unix)]
#[test]
fn a_device_and_a_pipe_are_written_to_and_stay() {
    use std::os::unix::fs::FileTypeExt;
    let f = folder();
    let a = f.run(&["sheet", "x.formula", "-o", "/dev/null"]);
    assert_eq!(a.status, 0, "{a:?}");
    let kind = std::fs::metadata("/dev/null")
        .expect("it is there")
        .file_type();
    assert!(kind.is_char_device());
    let pipe = f.path().join("pipe");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status();
    assert!(made.expect("mkfifo runs").success());
    let mut child = f
        .command(&["sheet", "x.formula", "-o", "pipe"])
        .spawn()
        .expect("it starts");
    let read = std::fs::read_to_string(&pipe).expect("the pipe is read");
    assert!(child.wait().expect("it ends").success());
    assert!(read.starts_with("Weigh sheet"), "{read}");
    let kind = std::fs::symlink_metadata(&pipe)
        .expect("it is there")
        .file_type();
    assert!(kind.is_fifo(), "the pipe stays one");
}

#[test]
fn a_folder_is_refused() {
    let f = folder();
    f.write("folder/inner.txt", "");
    let a = f.run(&["sheet", "x.formula", "-o", "folder"]);
    assert!(a.status == 2 && a.err.contains("this is a folder"), "{a:?}");
}
