//! `rewrite`: all amounts of a formula in another way, as the editor's rewrites do it.

use super::Status;
use super::apply::{apply, diff};
use super::files::{self, shown};
use super::out::{CliError, Terminal};
use super::paper;
use super::whole_file;
use crate::ide::actions::{Rewrite, rewritten};
use std::path::PathBuf;

/// Write all amounts of a formula in another way
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright rewrite cream.formula --to-100\n  phasewright rewrite cream.formula --grams --diff"
)]
pub struct Args {
    /// The formula's file (*.formula)
    #[arg(value_name = "FORMULA")]
    formula: PathBuf,
    #[command(flatten)]
    way: Way,
    /// Show the change as a difference and leave the file as it is
    #[arg(long, conflicts_with = "stdout")]
    diff: bool,
    /// Write the result to stdout and leave the file as it is
    #[arg(long)]
    stdout: bool,
}

#[derive(clap::Args)]
#[group(required = true, multiple = false)]
struct Way {
    /// Bring all rows to 100 %, by one factor
    #[arg(long = "to-100")]
    to_100: bool,
    /// From weights to percent
    #[arg(long)]
    percent: bool,
    /// From percent to the grams of the batch
    #[arg(long)]
    grams: bool,
}

impl Way {
    /// The rewrite, and why it may not be possible.
    fn rewrite(&self) -> (Rewrite, &'static str) {
        if self.to_100 {
            (
                Rewrite::ToHundred,
                "only amounts in percent that come to another sum than 100 % can be brought to it, without a q.s. that fills up",
            )
        } else if self.percent {
            (
                Rewrite::Percent,
                "only weights can be written in percent, where each comes out exact",
            )
        } else {
            (
                Rewrite::Grams,
                "only amounts in percent that come to 100 % can be written in grams, where each comes out exact; the formula needs its `batch`, as in `batch: 250 g`",
            )
        }
    }
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let opened = paper::open(&args.formula)?;
    let path = files::tidy(&args.formula);
    let old = files::read(&path).map_err(|t| CliError::said(t.to_string()))?;
    let (way, why_not) = args.way.rewrite();
    let edits = rewritten(&opened.formula, way).ok_or_else(|| {
        CliError::said(format!("{}: nothing is changed: {why_not}", shown(&path)))
    })?;
    let new = apply(&opened.tree, &old, &edits);
    if args.diff {
        out.write(&diff(&shown(&path), &old, &new))?;
    } else if args.stdout {
        out.write(&new)?;
    } else {
        whole_file::replace(&path, new.as_bytes()).map_err(|e| {
            CliError::said(format!("{}: {}", shown(&path), whole_file::unwritable(&e)))
        })?;
        out.write(&format!("{} is rewritten\n", shown(&path)))?;
    }
    Ok(Status::Clean)
}
