//! `sheet FORMULA`: the weigh sheet and the method.

use super::Status;
use super::option_values::{Packs, density, packs};
use super::out::{CliError, Terminal};
use super::paper::{self, FormulaArgs, OutputArgs};
use crate::papers::sheet::{SheetOptions, sheet};
use rust_decimal::Decimal;

/// Weigh sheet and method for the bench
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright sheet examples/gardeners-hand-cream.formula\n  phasewright sheet cream.formula --batch 500g -o sheet.html"
)]
pub struct Args {
    #[command(flatten)]
    make: FormulaArgs,
    /// The containers to fill: "12 x 50 mL", "5 x 50 g"
    #[arg(long, value_name = "CONTAINERS", value_parser = packs)]
    fill: Option<Packs>,
    /// Density of the product in g/mL, where volumes are filled; else it is estimated from the ingredients
    #[arg(long, value_name = "DENSITY", value_parser = density)]
    density: Option<Decimal>,
    #[command(flatten)]
    print: OutputArgs,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let opened = paper::open(&args.make.formula)?;
    let wish = SheetOptions {
        batch_g: args.make.batch,
        scale_g: args.make.scale,
        fill: args.fill.as_ref().map(|p| p.0.clone()),
        density_g_ml: args.density,
    };
    let sheet = sheet(&opened.work(), &wish).map_err(|h| opened.hindered(h))?;
    args.print.deliver(&sheet, out)?;
    Ok(opened.status())
}
