//! `compare`: two formulas, or one formula as two revisions of a git repository have it.

use super::Status;
use super::files;
use super::git::{self, Files};
use super::out::{CliError, Terminal};
use super::paper::{self, OpenedFormula, OutputArgs};
use crate::model::file_loader::Disk;
use crate::papers::compare::{Version, compare};
use std::path::{Path, PathBuf};

/// What changed between two formulas, or two revisions of one: by ingredient, phase and step
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright compare old-cream.formula new-cream.formula\n  phasewright compare cream.formula                   (the last commit against the file as it is)\n  phasewright compare cream.formula --from v1 --to v2"
)]
pub struct Args {
    /// The formula, or the first of two
    #[arg(value_name = "FORMULA", required_unless_present = "git_diff")]
    a: Option<PathBuf>,
    /// The other formula; without one, two revisions of the first are compared
    #[arg(value_name = "OTHER")]
    b: Option<PathBuf>,
    /// The git revision to begin from, where one formula is named; the last commit if none is said
    #[arg(long, value_name = "REVISION", conflicts_with = "b")]
    from: Option<String>,
    /// The git revision to end with; without it the file as it is
    #[arg(long, value_name = "REVISION", conflicts_with = "b")]
    to: Option<String>,
    /// What git hands to a diff driver: path, old file, its hash and mode, new file, its hash and mode
    #[arg(long, num_args = 7..=9, value_name = "ARGUMENT", conflicts_with_all = ["a", "b", "from", "to"])]
    git_diff: Vec<String>,
    #[command(flatten)]
    print: OutputArgs,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    if let [path, old, _, _, new, ..] = &args.git_diff[..] {
        return driven_by_git(args, Path::new(path), old, new, out);
    }
    let Some(a) = &args.a else {
        return Err(CliError::said("name the formula to compare"));
    };
    let (a, b) = match &args.b {
        Some(b) => ((paper::open(a)?, None), (paper::open(b)?, None)),
        None => {
            let before = at(a, args.from.as_deref().unwrap_or("HEAD"))?;
            let after = match &args.to {
                Some(revision) => at(a, revision)?,
                None => (paper::open(a)?, None),
            };
            (before, after)
        }
    };
    args.print
        .deliver(&compare(version(&a), version(&b)), out)?;
    Ok(b.0.status())
}

/// As a diff driver of git: the old and the new text lie in files of their own, and mean the formula at `path`. A formula that
/// was added or taken away, or that cannot be read, is said in a line: `git log -p` goes on.
fn driven_by_git(
    args: &Args,
    path: &Path,
    old: &str,
    new: &str,
    out: &mut Terminal,
) -> Result<Status, CliError> {
    out.write(&format!("phasewright compare {}\n\n", files::shown(path)))?;
    let read = |file: &str| -> Result<Option<(OpenedFormula, Option<String>)>, CliError> {
        // Git names the null device where there is no file, on every system.
        if file == "/dev/null" {
            return Ok(None);
        }
        let text = files::read(Path::new(file)).map_err(|t| CliError::said(t.to_string()))?;
        Ok(Some((paper::open_text(path, &text, &Disk)?, None)))
    };
    match (read(old)?, read(new)?) {
        (Some(a), Some(b)) => args
            .print
            .deliver(&compare(version(&a), version(&b)), out)?,
        (None, _) => out.write("The formula is new.\n\n")?,
        (_, None) => out.write("The formula is taken away.\n\n")?,
    }
    Ok(Status::Clean)
}

fn version((opened, revision): &(OpenedFormula, Option<String>)) -> Version<'_> {
    Version {
        work: opened.work(),
        revision: revision.as_deref(),
    }
}

/// A formula as a revision has it, with the revision's own other files; settings and own ingredients are those of the folder now.
fn at(path: &Path, revision: &str) -> Result<(OpenedFormula, Option<String>), CliError> {
    let path = files::tidy(path);
    let said = |what: String| CliError::said(format!("{}: {what}", files::shown(&path)));
    let files = Files::at(&path, revision).map_err(said)?;
    let text = files.text(&path).map_err(said)?;
    let shown = git::shown(revision, files.commit());
    Ok((paper::open_text(&path, &text, &files)?, Some(shown)))
}
