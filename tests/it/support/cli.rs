//! Runs the real binary in a folder of its own.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

pub struct Folder {
    dir: tempfile::TempDir,
}

#[derive(Debug)]
pub struct Answer {
    pub status: i32,
    pub out: String,
    pub err: String,
}

impl Folder {
    pub fn new() -> Folder {
        Folder {
            dir: tempfile::tempdir().expect("a folder for the test"),
        }
    }

    pub fn path(&self) -> &Path {
        self.dir.path()
    }

    pub fn write(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        let path = self.dir.path().join(name);
        std::fs::create_dir_all(path.parent().expect("inside the folder"))
            .expect("a folder for the file");
        std::fs::write(&path, text).expect("the test's file can be written");
        path
    }

    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.dir.path().join(name)).expect("the file is there")
    }

    /// The program, ready to run here, without what the surroundings may say of colours and width.
    pub fn command(&self, args: &[&str]) -> Command {
        let mut c = Command::new(env!("CARGO_BIN_EXE_phasewright"));
        c.args(args).current_dir(self.dir.path());
        for name in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "COLUMNS"] {
            c.env_remove(name);
        }
        c
    }

    pub fn run(&self, args: &[&str]) -> Answer {
        answer(self.command(args).output().expect("the program starts"))
    }

    pub fn run_with_input(&self, args: &[&str], input: &[u8]) -> Answer {
        let mut child = self
            .command(args)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        child
            .stdin
            .take()
            .expect("a pipe")
            .write_all(input)
            .expect("the input is read");
        answer(child.wait_with_output().expect("the program ends"))
    }
}

pub fn answer(o: Output) -> Answer {
    Answer {
        status: o.status.code().expect("it ended by itself"),
        out: String::from_utf8(o.stdout).expect("stdout is UTF-8"),
        err: String::from_utf8(o.stderr).expect("stderr is UTF-8"),
    }
}

pub fn json(a: &Answer) -> serde_json::Value {
    serde_json::from_str(&a.out).unwrap_or_else(|e| panic!("{e}: {}", a.out))
}
