//! `card FORMULA`: one page about the formula, with its plots.

use super::Status;
use super::out::{CliError, Terminal};
use super::paper::{self, OutputArgs};
use crate::papers::card::card;
use std::path::PathBuf;

/// One page about a formula: what it is made of, how it stands, and its plots (in HTML)
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright card examples/gardeners-hand-cream.formula\n  phasewright card cream.formula -o card.html"
)]
pub struct Args {
    /// The formula's file (*.formula)
    #[arg(value_name = "FORMULA")]
    formula: PathBuf,
    #[command(flatten)]
    print: OutputArgs,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let opened = paper::open(&args.formula)?;
    let card = card(&opened.work()).map_err(|h| opened.hindered(h))?;
    args.print.deliver(&card, out)?;
    Ok(opened.status())
}
