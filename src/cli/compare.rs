//! `compare`: two formulas, or one formula as two revisions of a git repository have it.

use super::Status;
use super::files;
use super::git::{self, Files};
use super::out::{CliError, Terminal};
use super::paper::{self, OpenedFormula, OutputArgs};
use crate::papers::compare::{Version, compare};
use std::path::{Path, PathBuf};

/// What changed between two formulas, or two revisions of one: by ingredient, phase and step
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright compare old-cream.formula new-cream.formula\n  phasewright compare cream.formula                   (the last commit against the file as it is)\n  phasewright compare cream.formula --from v1 --to v2"
)]
pub struct Args {
    #[arg(value_name = "FORMULA")]
    a: PathBuf,
    /// The other formula; without one, two revisions of the first are compared
    #[arg(value_name = "OTHER")]
    b: Option<PathBuf>,
    /// The git revision to begin from, where one formula is named; the last commit if none is said
    #[arg(long, value_name = "REVISION", conflicts_with = "b")]
    from: Option<String>,
    /// The git revision to end with; without it the file as it is
    #[arg(long, value_name = "REVISION", conflicts_with = "b")]
    to: Option<String>,
    #[command(flatten)]
    print: OutputArgs,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let (a, b) = match &args.b {
        Some(b) => ((paper::open(&args.a)?, None), (paper::open(b)?, None)),
        None => {
            let before = at(&args.a, args.from.as_deref().unwrap_or("HEAD"))?;
            let after = match &args.to {
                Some(revision) => at(&args.a, revision)?,
                None => (paper::open(&args.a)?, None),
            };
            (before, after)
        }
    };
    args.print
        .deliver(&compare(version(&a), version(&b)), out)?;
    Ok(b.0.status())
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
