//! `label FORMULA`: what stands on the label, market by market.

use super::Status;
use super::out::{CliError, Terminal};
use super::paper::{self, OutputArgs};
use crate::chem::date::Date;
use crate::kb::Market;
use crate::papers::label::{LabelOptions, label};
use std::path::PathBuf;

/// Label text per market: ingredients in order, allergens, warnings, net content
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright label examples/gardeners-hand-cream.formula\n  phasewright label cream.formula --market EU,US --batch-code CS-004 -o label.html"
)]
pub struct Args {
    /// The formula's file (*.formula)
    #[arg(value_name = "FORMULA")]
    formula: PathBuf,
    /// For these markets, whatever the file says: EU, UK, US, CA
    #[arg(long, value_name = "MARKETS", value_delimiter = ',', value_parser = super::a_market)]
    #[cfg_attr(feature = "shell", arg(add = crate::cli::complete::markets()))]
    market: Vec<Market>,
    /// The code of the batch that the label is for
    #[arg(long, value_name = "CODE")]
    batch_code: Option<String>,
    /// The day it was made, as 2026-03-14: the hint on how long it keeps counts from there
    #[arg(long, value_name = "DATE", value_parser = day)]
    made: Option<Date>,
    #[command(flatten)]
    print: OutputArgs,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let opened = paper::open_for(&args.formula, &args.market)?;
    let wish = LabelOptions {
        batch_code: args.batch_code.clone(),
        made: args.made,
    };
    let label = label(&opened.work(), &wish).map_err(|h| opened.hindered(h))?;
    args.print.deliver(&label, out)?;
    Ok(opened.status())
}

fn day(text: &str) -> Result<Date, String> {
    text.parse::<Date>().map_err(|e| e.to_string())
}
