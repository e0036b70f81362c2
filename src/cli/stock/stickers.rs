//! `stock stickers CODE...`: stickers for jars and lots.

use crate::chem::date::Date;
use crate::cli::Status;
use crate::cli::out::{CliError, Terminal};
use crate::cli::paper::OutputArgs;
use crate::cli::shop;
use crate::papers::stickers::{Stickers, of_batch, of_lot};
use std::path::PathBuf;

/// Stickers for the jars of batches and for lots: code, date, released or on hold
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright stock stickers HC-007 GLY-07 --in examples/workshop -o stickers.html"
)]
pub struct Args {
    /// Codes of batches and lots
    #[arg(value_name = "CODE", required = true)]
    codes: Vec<String>,
    /// So many of each [default: one for each jar, one for a lot]
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u32).range(1..=1000))]
    copies: Option<u32>,
    /// Released or on hold as it was on this day [default: today]
    #[arg(long, value_name = "DATE", value_parser = crate::cli::cost::day)]
    on: Option<Date>,
    /// A folder of the workshop
    #[arg(long = "in", value_name = "FOLDER", default_value = ".")]
    folder: PathBuf,
    #[command(flatten)]
    print: OutputArgs,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let opened = shop::open(&args.folder);
    let shop = &opened.shop;
    let on = args.on.unwrap_or(opened.workspace.settings.today);
    let mut stickers = Vec::new();
    for code in &args.codes {
        if let Some(batch) = shop.batch(code) {
            stickers.extend(of_batch(shop, batch, on, args.copies));
        } else if let Some(lot) = shop.lot(code) {
            stickers.push(of_lot(shop, lot, on, args.copies));
        } else {
            let codes: Vec<&str> = shop.codes().collect();
            let near = crate::syntax::nearest(&codes, code)
                .map_or(String::new(), |near| format!("; did you mean {near}?"));
            return Err(CliError::said(format!(
                "no lot and no batch has the code {code} in this folder{near}"
            )));
        }
    }
    args.print.deliver(&Stickers { stickers }, out)?;
    Ok(if opened.unread {
        Status::Failed
    } else {
        Status::Clean
    })
}
