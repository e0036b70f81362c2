//! `batch list`: the batches of a year with release and best before.

use crate::cli::Status;
use crate::cli::out::{CliError, Terminal};
use crate::cli::paper::OutputArgs;
use crate::cli::shop;
use crate::papers::year::year;
use std::path::PathBuf;

/// The batches of a year with what they gave, release and best before
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright batch list --year 2025 --in examples/workshop\n  phasewright batch list --year 2025 -o 2025.html"
)]
pub struct Args {
    /// The year in which they were made [default: all years]
    #[arg(long, value_name = "YEAR")]
    year: Option<i32>,
    /// A folder of the workshop
    #[arg(long = "in", value_name = "FOLDER", default_value = ".")]
    folder: PathBuf,
    #[command(flatten)]
    print: OutputArgs,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let opened = shop::open(&args.folder);
    let list = year(&opened.shop, args.year);
    args.print.deliver(&list, out)?;
    Ok(if opened.unread {
        Status::Failed
    } else {
        Status::Clean
    })
}
