//! Files as a revision of a git repository has them, by git's plumbing commands.

use crate::model::FileLoader;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The files of one commit.
pub struct Files {
    commit: String,
}

impl Files {
    /// The commit that a revision names, in the repository that holds the file.
    pub fn at(path: &Path, revision: &str) -> Result<Files, String> {
        let name = format!("{revision}^{{commit}}");
        let out = git(
            &folder(path),
            &[
                "rev-parse",
                "--verify",
                "--quiet",
                "--end-of-options",
                &name,
            ],
        )?;
        match out.status.success() {
            true => Ok(Files {
                commit: String::from_utf8_lossy(&out.stdout).trim().to_owned(),
            }),
            false => {
                let inside = git(&folder(path), &["rev-parse", "--is-inside-work-tree"])?
                    .status
                    .success();
                Err(match inside {
                    true => format!(
                        "git knows no revision \"{revision}\" here; `git log --oneline` names them"
                    ),
                    false => {
                        "this file lies in no git repository; name two files to compare instead"
                            .to_owned()
                    }
                })
            }
        }
    }

    pub fn commit(&self) -> &str {
        &self.commit
    }

    /// The text of a file in this commit.
    pub fn text(&self, path: &Path) -> Result<String, String> {
        let name = path
            .file_name()
            .map(|n| n.to_string_lossy().into_owned())
            .unwrap_or_default();
        // `./` makes the path one from the folder that git runs in.
        let out = git(
            &folder(path),
            &["cat-file", "blob", &format!("{}:./{name}", self.commit)],
        )?;
        if !out.status.success() {
            return Err(format!(
                "it is not in revision {}; `git log -- {name}` names those that have it",
                short(&self.commit)
            ));
        }
        String::from_utf8(out.stdout)
            .map_err(|_| format!("in revision {} it is not UTF-8 text", short(&self.commit)))
    }
}

impl FileLoader for Files {
    fn read(&self, path: &Path) -> Result<String, String> {
        self.text(path)
    }
}

/// "v1 (3f2a91c)"; a commit named by itself once.
pub fn shown(revision: &str, commit: &str) -> String {
    if commit.starts_with(revision) {
        short(commit).to_owned()
    } else {
        format!("{revision} ({})", short(commit))
    }
}

fn short(commit: &str) -> &str {
    commit.get(..7).unwrap_or(commit)
}

fn folder(path: &Path) -> PathBuf {
    path.parent()
        .filter(|p| !p.as_os_str().is_empty())
        .map_or_else(|| PathBuf::from("."), Path::to_owned)
}

fn git(folder: &Path, args: &[&str]) -> Result<Output, String> {
    Command::new("git")
        .arg("-C")
        .arg(folder)
        .args(args)
        .output()
        .map_err(|e| match e.kind() {
            std::io::ErrorKind::NotFound => {
                "git is not installed; install it, or name two files to compare".to_owned()
            }
            _ => format!("git cannot be run: {e}"),
        })
}
