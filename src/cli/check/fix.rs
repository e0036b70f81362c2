//! `--fix` and `--diff`: what is safe to repair, repaired in the files or shown as a difference.

use super::job::Job;
use super::report::SourceText;
use crate::cli::apply::{apply, diff};
use crate::cli::files::{self, FileError, shown};
use crate::cli::out::{self, CliError, Terminal};
use crate::cli::whole_file;
use crate::ide::actions::safe_edits;
use crate::kb::Market;
use crate::syntax::Cache;
use std::path::Path;

/// One repair may uncover the next; a file that is not at rest after so many rounds stays as it is then.
const MAX_ROUNDS: usize = 8;

/// What repairing came to.
#[derive(Default)]
pub struct Repaired {
    pub places: usize,
    pub files: usize,
    /// A file could not be written.
    pub failed: bool,
}

/// Repairs the files of the jobs where they lie.
pub fn in_place(jobs: &[Job], markets: &[Market]) -> Repaired {
    let mut done = Repaired::default();
    for job in jobs {
        let Some((path, old)) = named_file(job) else {
            continue;
        };
        let (new, places) = repaired(job, &old, markets);
        if new == old {
            continue;
        }
        match whole_file::replace(path, new.as_bytes()) {
            Ok(()) => {
                done.places += places;
                done.files += 1;
            }
            Err(e) => {
                done.failed = true;
                out::eprintln_error(FileError {
                    path: path.to_owned(),
                    line: None,
                    what: whole_file::unwritable(&e),
                });
            }
        }
    }
    done
}

/// Writes what `--fix` would change, and changes nothing. True if it would change something.
pub fn as_diff(jobs: &[Job], markets: &[Market], out: &mut Terminal) -> Result<bool, CliError> {
    let mut any = false;
    for job in jobs {
        let Some((path, old)) = text_of(job) else {
            continue;
        };
        let (new, _) = repaired(job, &old, markets);
        any |= new != old;
        out.write(&diff(&shown(path), &old, &new))?;
    }
    Ok(any)
}

/// The text from standard input, repaired.
pub fn of_stdin(job: &Job, markets: &[Market]) -> Option<String> {
    let (_, old) = text_of(job)?;
    Some(repaired(job, &old, markets).0)
}

/// A file on the disk that edits can go into, with its text.
fn named_file(job: &Job) -> Option<(&Path, String)> {
    match job {
        Job::Judge {
            path, text: None, ..
        } => Some((path.as_path(), files::read(path).ok()?)),
        _ => None,
    }
}

fn text_of(job: &Job) -> Option<(&Path, String)> {
    match job {
        Job::Judge {
            path,
            text: Some(text),
            ..
        } => Some((path.as_path(), text.clone())),
        _ => named_file(job),
    }
}

/// The text with all that is safe repaired, and how many places that were.
fn repaired(job: &Job, old: &str, markets: &[Market]) -> (String, usize) {
    let mut cache = Cache::default();
    let (mut text, mut places) = (old.to_owned(), 0);
    for _ in 0..MAX_ROUNDS {
        let report = job.with_text(text.clone()).report(markets, &mut cache);
        let SourceText::Tree(tree) = &report.source else {
            break;
        };
        let (mended, edits) = safe_edits(tree, &report.findings);
        if mended == 0 {
            break;
        }
        let next = apply(tree, &text, &edits);
        if next == text {
            break;
        }
        places += mended;
        text = next;
    }
    (text, places)
}
