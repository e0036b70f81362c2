//! `sheet FORMULA`: the weigh sheet and the method.

use super::Status;
use super::out::{Out, Stop};
use super::paper::{self, Make, Print};
use crate::chem::units::Amount;
use crate::papers::sheet::{Wish, sheet};
use crate::syntax::tree::Pack;
use crate::syntax::values;
use crate::text::{Span, Spanned};
use rust_decimal::Decimal;

/// Weigh sheet and method for the bench
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright sheet examples/gardeners-hand-cream.formula\n  phasewright sheet cream.formula --batch 500g -o sheet.html"
)]
pub struct Args {
    #[command(flatten)]
    make: Make,
    /// The containers to fill: "12 x 50 mL", "5 x 50 g"
    #[arg(long, value_name = "CONTAINERS", value_parser = packs)]
    fill: Option<Packs>,
    /// Density of the product in g/mL, where volumes are filled; else it is estimated from the ingredients
    #[arg(long, value_name = "DENSITY", value_parser = density)]
    density: Option<Decimal>,
    #[command(flatten)]
    print: Print,
}

/// Several kinds of container in one value; for clap a plain list would be several values.
#[derive(Clone)]
struct Packs(Vec<Pack>);

pub fn run(args: &Args, out: &mut Out) -> Result<Status, Stop> {
    let opened = paper::open(&args.make.formula)?;
    let wish = Wish {
        batch_g: args.make.batch,
        scale_g: args.make.scale,
        fill: args.fill.as_ref().map(|p| p.0.clone()),
        density_g_ml: args.density,
    };
    let sheet = sheet(&opened.work(), &wish).map_err(|h| opened.hindered(h))?;
    args.print.deliver(&sheet, out)?;
    Ok(opened.status())
}

/// A weight as the formula language writes it, in grams.
pub fn grams(text: &str) -> Result<Decimal, String> {
    let measure = values::measure(&whole(text)).map_err(|e| e.whole())?;
    let grams = Amount::new(measure.value, measure.unit).grams(None);
    grams
        .filter(|g| *g > Decimal::ZERO)
        .ok_or_else(|| "write a weight of more than nothing, such as 250 g".to_owned())
}

fn packs(text: &str) -> Result<Packs, String> {
    values::packs(&whole(text))
        .map(Packs)
        .map_err(|e| e.whole())
}

/// From the lightest powder to the heaviest paste.
fn density(text: &str) -> Result<Decimal, String> {
    let value: Decimal = text
        .trim()
        .parse()
        .map_err(|_| "write a number such as 0.98".to_owned())?;
    let sane = Decimal::new(5, 2)..=Decimal::TEN;
    if sane.contains(&value) {
        Ok(value)
    } else {
        Err("a density lies between 0.05 and 10 g/mL".to_owned())
    }
}

fn whole(text: &str) -> Spanned<String> {
    Spanned::new(text.to_owned(), Span::new(0, text.len()))
}
