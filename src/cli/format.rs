//! `format`: sets formulas, batches and shelf files in their usual layout. A file is replaced whole or not at all.

use super::Status;
use super::files::{self, FileError, Kind, shown};
use super::out::{self, CliError, Terminal, style};
use super::whole_file;
use super::workspace::Workspaces;
use crate::syntax::{self, FileKind};
use crate::text::not_utf8;
use std::io::Read;
use std::path::PathBuf;

/// Set files in their usual layout; the meaning never changes
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright format\n  phasewright format --check creams/\n  phasewright format - < draft.formula"
)]
pub struct Args {
    /// Files and folders; the current folder if none is named; - reads stdin and writes stdout
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,
    /// Change nothing; name the files that would change and end with status 1 if there are any
    #[arg(long)]
    check: bool,
    /// Write the result to stdout and leave the files as they are
    #[arg(long, conflicts_with = "check")]
    stdout: bool,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    if args.paths.iter().any(|p| p.as_os_str() == "-") {
        if args.paths.len() > 1 {
            return Err(CliError::said(
                "- stands for stdin and cannot be named together with files; name one or the other",
            ));
        }
        return stdin(args.check, out);
    }
    let here = [PathBuf::from(".")];
    let paths = if args.paths.is_empty() {
        &here[..]
    } else {
        &args.paths
    };
    let (found, troubles) = files::find(
        paths,
        |k| matches!(k, Kind::Text(_)),
        "a formula, batch or stock file",
    );
    let mut status = Status::Clean;
    let mut eprintln_error = |trouble: FileError| {
        out::eprintln_error(trouble);
        status = Status::Failed;
    };
    troubles.into_iter().for_each(&mut eprintln_error);
    let (mut changed, mut same) = (0, 0);
    let mut workspaces = Workspaces::default();
    let named: Vec<PathBuf> = paths.iter().map(|p| files::tidy(p)).collect();
    for (path, kind) in &found {
        let Kind::Text(kind) = kind else { continue };
        if !named.contains(path) {
            let workspace = workspaces.of(path);
            if workspaces.leaves_out(&workspace, path) {
                continue;
            }
        }
        let text = match files::read(path) {
            Ok(text) => text,
            Err(trouble) => {
                eprintln_error(trouble);
                continue;
            }
        };
        let set = formatted(*kind, &text);
        if args.stdout {
            out.write(&set)?;
            continue;
        }
        if set == text {
            same += 1;
            continue;
        }
        if args.check {
            changed += 1;
            out.write(&format!("{}\n", shown(path)))?;
        } else if let Err(e) = whole_file::replace(path, set.as_bytes()) {
            eprintln_error(FileError {
                path: path.clone(),
                line: None,
                what: whole_file::unwritable(&e),
            });
        } else {
            changed += 1;
        }
    }
    if args.check && changed > 0 {
        status = status.max(Status::Found);
    }
    if !args.stdout {
        let said = match (args.check, changed) {
            (_, 0) if same > 0 => out.paint.with(style::GOOD, "all set as they should be"),
            (_, 0) => return Ok(status),
            (true, n) => format!("{n} would change"),
            (false, n) => format!("{n} changed"),
        };
        out.write(&format!(
            "{}: {said}\n",
            if changed + same == 1 {
                "1 file".into()
            } else {
                format!("{} files", changed + same)
            }
        ))?;
    }
    Ok(status)
}

fn formatted(kind: FileKind, text: &str) -> String {
    syntax::format(&syntax::parse(kind, text))
}

/// The text on standard input.
pub(super) fn read_stdin() -> Result<String, CliError> {
    let mut bytes = Vec::new();
    std::io::stdin()
        .lock()
        .read_to_end(&mut bytes)
        .map_err(|e| CliError::said(format!("stdin cannot be read: {e}")))?;
    String::from_utf8(bytes).map_err(|e| {
        let what = not_utf8(e.as_bytes(), e.utf8_error().valid_up_to());
        CliError::said(format!("stdin:{}: {what}", what.line().unwrap_or(1)))
    })
}

fn stdin(check: bool, out: &mut Terminal) -> Result<Status, CliError> {
    let text = read_stdin()?;
    let set = formatted(kind_of(&text), &text);
    if check {
        return Ok(if set == text {
            Status::Clean
        } else {
            Status::Found
        });
    }
    out.write(&set)?;
    Ok(Status::Clean)
}

/// Without a file's name, its first heading tells what it is.
pub(super) fn kind_of(text: &str) -> FileKind {
    let headings = text
        .trim_start_matches('\u{feff}')
        .lines()
        .filter(|l| !l.starts_with([' ', '\t', '#']));
    let first = headings.filter_map(|l| l.split_whitespace().next()).next();
    match first {
        Some("batch") => FileKind::Batch,
        Some("lot") => FileKind::Stock,
        _ => FileKind::Formula,
    }
}
