//! `cost FORMULA`: what a batch, a jar and 100 g cost, by the lots on the shelf.

use super::Status;
use super::out::{CliError, Terminal};
use super::paper::{self, FormulaArgs, OutputArgs};
use super::shelf;
use crate::chem::date::Date;
use crate::papers::cost::{CostOptions, Packaging, cost};
use crate::syntax::values;
use crate::text::{Span, Spanned};
use rust_decimal::Decimal;

/// What a batch, a jar and 100 g cost: of a formula by what the shelf holds, of a batch by the lots that were used
///
/// Of a formula: from the lots of the shelf (*.stock) less what batches (*.batch) weighed of them
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright cost examples/gardeners-hand-cream.formula\n  phasewright cost cream.formula --batch 500g --packaging \"0.80 EUR\" -o cost.html"
)]
pub struct Args {
    #[command(flatten)]
    make: FormulaArgs,
    /// What an empty container costs with lid, label and box: "0.80 EUR", or 0.80 in the money of the lots
    #[arg(long, value_name = "PRICE", value_parser = packaging)]
    packaging: Option<Packaging>,
    /// The day it is made; lots past their date by then are left alone [default: today]
    #[arg(long, value_name = "DATE", value_parser = day)]
    on: Option<Date>,
    #[command(flatten)]
    print: OutputArgs,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let named = &args.make.formula;
    if named.extension().is_some_and(|e| e == "batch") {
        return super::cost_batch::run(named, args.print.is_json(), out);
    }
    let opened = paper::open(&args.make.formula)?;
    let found = shelf::of(&opened.path, &opened.workspace);
    let wish = CostOptions {
        batch_g: args.make.batch,
        scale_g: args.make.scale,
        on: args.on,
        packaging: args.packaging.clone(),
    };
    let cost = cost(&opened.work(), &found.shelf, &wish).map_err(|h| opened.hindered(h))?;
    args.print.deliver(&cost, out)?;
    Ok(if found.unread {
        Status::Failed
    } else {
        opened.status()
    })
}

fn packaging(text: &str) -> Result<Packaging, String> {
    let text = text.trim();
    if let Ok(each) = text.parse::<Decimal>()
        && (Decimal::ZERO..=Decimal::from(1_000_000_000)).contains(&each)
    {
        return Ok(Packaging {
            each,
            currency: None,
        });
    }
    let price = values::price(&Spanned::new(text.to_owned(), Span::new(0, text.len())))
        .map_err(|e| e.whole())?;
    Ok(Packaging {
        each: price.amount,
        currency: Some(price.currency),
    })
}

pub fn day(text: &str) -> Result<Date, String> {
    text.parse()
        .map_err(|e: crate::chem::ChemError| e.reason().to_owned())
}
