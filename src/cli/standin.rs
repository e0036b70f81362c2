//! `standin INGREDIENT --in FORMULA`: what could replace it there.

use super::Status;
use super::out::{CliError, Terminal};
use super::paper::{self, OutputArgs};
use crate::model::file_loader::Disk;
use crate::papers::standin::standins;
use std::path::PathBuf;

/// What could replace an ingredient in a formula, and what that would change
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright standin \"shea butter\" --in examples/gardeners-hand-cream.formula\n  phasewright standin glycerin --in toner.formula --json"
)]
pub struct Args {
    /// As the formula writes it, or any other of its names
    #[arg(required = true, value_name = "INGREDIENT")]
    #[cfg_attr(feature = "shell", arg(add = crate::cli::complete::materials()))]
    name: Vec<String>,
    /// The formula that it stands in (*.formula)
    #[arg(long = "in", value_name = "FORMULA")]
    formula: PathBuf,
    #[command(flatten)]
    print: OutputArgs,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let opened = paper::open(&args.formula)?;
    let found =
        standins(&opened.work(), &args.name.join(" "), &Disk).map_err(|h| opened.hindered(h))?;
    args.print.deliver(&found, out)?;
    Ok(Status::Clean)
}
