//! `batch`: records of making. `new` begins one with everything in it but the weights; `show`, `close` and `list` are files of their own.

mod close;
mod list;
mod show;

use super::Status;
use super::files::{self, shown};
use super::option_values::Packs;
use super::out::{CliError, Terminal, style};
use super::paper;
use super::shop;
use crate::chem::date::Date;
use crate::model::Formula;
use crate::model::StockItem;
use crate::model::shelf::Lot;
use crate::model::shop::{LotStatus, Shop, fold};
use crate::model::weights::Weights;
use crate::papers::sheet::{SheetOptions, sheet};
use crate::syntax::tree::Amount;
use clap::Subcommand;
use rust_decimal::Decimal;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Records of making: begin one, show it, seal it, list those of a year
#[derive(clap::Args)]
pub struct Args {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Write a record with plan, lots that expire first, and a `?` for each weight
    #[command(
        after_help = "Examples:\n  phasewright batch new gardeners-hand-cream.formula --make 2500g\n  phasewright batch new gardeners-hand-cream.formula --fill \"48 x 50 g\"\n\nA file that is there already is never overwritten."
    )]
    New {
        /// The formula's file (*.formula)
        #[arg(value_name = "FORMULA")]
        formula: PathBuf,
        /// The weight to make, where it is not what the file says: 500g, 1.5 kg
        #[arg(long, value_name = "WEIGHT", value_parser = super::option_values::grams)]
        make: Option<Decimal>,
        /// The containers to fill: "48 x 50 g", with the losses that the formula says
        #[arg(long, value_name = "CONTAINERS", value_parser = super::option_values::packs, conflicts_with = "make")]
        fill: Option<Packs>,
        /// The day it is made [default: today]
        #[arg(long, value_name = "DATE", value_parser = super::cost::day)]
        on: Option<Date>,
    },
    Show(show::Args),
    Close(close::Args),
    List(list::Args),
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    match &args.command {
        Command::New {
            formula,
            make,
            fill,
            on,
        } => begin(formula, *make, fill.as_ref(), *on, out),
        Command::Show(args) => show::run(args, out),
        Command::Close(args) => close::run(args, out),
        Command::List(args) => list::run(args, out),
    }
}

/// A row of the record to come: the material, how much of it, and its lot.
struct BatchRow {
    name: String,
    grams: Decimal,
    lot: Option<String>,
}

fn begin(
    formula: &Path,
    make: Option<Decimal>,
    fill: Option<&Packs>,
    on: Option<Date>,
    out: &mut Terminal,
) -> Result<Status, CliError> {
    let opened = paper::open(formula)?;
    let f = &opened.formula;
    let kb = &opened.workspace.kb;
    let settings = &opened.workspace.settings;
    let work = opened.work();
    work.amounts_known().map_err(|h| opened.hindered(h))?;
    let day = on.unwrap_or(settings.today);
    let filled = match fill {
        Some(packs) => {
            let wish = SheetOptions {
                fill: Some(packs.0.clone()),
                ..SheetOptions::default()
            };
            let sheet = sheet(&work, &wish).map_err(|h| opened.hindered(h))?;
            Some(sheet.batch_g)
        }
        None => None,
    };
    let target = make.or(filled).or(f.batch_g()).ok_or_else(|| {
        CliError::said(format!(
            "{}: how much is to be made is not known; write `batch: 250 g` in it, or --make 250g",
            shown(&opened.path)
        ))
    })?;
    let weights = Weights::of(f, Some(target), settings.scale_g(kb));
    let workshop = shop::open(&opened.path);
    let (mut rows, mut notes) = (Vec::new(), Vec::new());
    for (row, grams) in f.rows.iter().zip(&weights.rows) {
        // What goes in up to a pH or a look is written in the log.
        if matches!(row.amount.value, Amount::Enough { .. }) {
            continue;
        }
        let grams = grams.ok_or_else(|| {
            CliError::said("this is more than can be worked out exactly; name a smaller batch")
        })?;
        let name = match row.file {
            true => format!("\"{}\"", row.name.value),
            false => row.name.value.to_string(),
        };
        let item = StockItem::of_row(row, &opened.path);
        if item.is_water(kb) {
            rows.push(BatchRow {
                name,
                grams,
                lot: None,
            });
            continue;
        }
        let lots = in_date(&workshop, &item, day);
        allot(&name, grams, &lots, &mut rows, &mut notes);
    }
    let pattern = settings.batch_code.as_deref();
    let code = next_code(f, &opened.path, &workshop.shop, pattern, day);
    let path = opened
        .path
        .parent()
        .unwrap_or(Path::new(""))
        .join(format!("{code}.batch"));
    let text = record(&code, &opened.path, f, target, day, &rows);
    write_new(&path, &text)?;
    keep_both(&path)?;
    let name = out.paint.with(style::FILE, shown(&path));
    let version = f
        .fields
        .version
        .as_ref()
        .map_or(String::new(), |v| format!(", version {}", v.value));
    let title = f.name.as_ref().map_or("the formula", |n| &n.value);
    out.write(&format!(
        "{name} is written: {} g of {title}{version}.\n",
        target.normalize()
    ))?;
    for note in notes {
        out.write(&format!("  {note}\n"))?;
    }
    Ok(opened.status())
}

/// Lots of a material that may be used on a day, the first to expire first, each with what of the material it can give.
fn in_date<'a>(
    workshop: &'a shop::OpenedShop,
    item: &StockItem,
    day: Date,
) -> Vec<(&'a Lot, Decimal)> {
    let (shop, kb) = (&workshop.shop, &workshop.workspace.kb);
    let mut all: Vec<(&Lot, Decimal)> = shop
        .all_lots()
        .filter(|lot| lot.received.is_none_or(|came| came <= day))
        .filter_map(|lot| {
            let share = item.share_of(&lot.item, kb)?;
            let left = shop.left(lot, None, kb);
            let good = shop.status(lot, &left, day) == LotStatus::Good;
            let gives = left.amount?.checked_div(share)?;
            good.then_some((lot, gives))
        })
        .collect();
    let last = Date::new(9999, 12, 31);
    all.sort_by_key(|(lot, _)| {
        let until = shop.keeps_until(lot).map(|(date, _)| date).or(last);
        (until, lot.code.clone())
    });
    all
}

/// Takes what is needed from the lots in their order; a row for each, and a word where they do not suffice.
fn allot(
    name: &str,
    grams: Decimal,
    lots: &[(&Lot, Decimal)],
    rows: &mut Vec<BatchRow>,
    notes: &mut Vec<String>,
) {
    let mut rest = grams;
    let before = rows.len();
    for (lot, gives) in lots {
        if rest <= Decimal::ZERO {
            break;
        }
        let take = rest.min(*gives);
        if take <= Decimal::ZERO {
            continue;
        }
        rows.push(BatchRow {
            name: name.to_owned(),
            grams: take,
            lot: Some(lot.code.clone()),
        });
        rest -= take;
    }
    if rest > Decimal::ZERO {
        notes.push(format!(
            "{name}: {} g are on no lot in date; write the lot when you have one",
            rest.normalize()
        ));
        rows.push(BatchRow {
            name: name.to_owned(),
            grams: rest,
            lot: None,
        });
    } else if rows.len() > before + 1 {
        let codes: Vec<&str> = rows[before..]
            .iter()
            .filter_map(|r| r.lot.as_deref())
            .collect();
        notes.push(format!("{name} is split between {}", codes.join(" and ")));
    }
}

/// The next code by the pattern of the settings: the number after the highest that the workshop has under it. `{formula}` is the
/// `code` of the formula, else the first letters of its file's words.
fn next_code(f: &Formula, path: &Path, shop: &Shop, pattern: Option<&str>, day: Date) -> String {
    let letters = f.fields.code.clone().unwrap_or_else(|| {
        let stem = path.file_stem().and_then(|s| s.to_str()).unwrap_or("B");
        let words = stem.split(|c: char| !c.is_alphanumeric());
        let initials: String = words.filter_map(|w| w.chars().next()).take(3).collect();
        initials.to_uppercase()
    });
    let filled = pattern
        .unwrap_or(USUAL_CODE)
        .replace("{formula}", &letters)
        .replace("{year}", &day.year().to_string())
        .replace("{month}", &format!("{:02}", day.month()));
    let (before, after) = filled.split_once("{n}").unwrap_or((&filled, ""));
    let (prefix, suffix) = (fold(before), fold(after));
    let number = |code: &str| {
        let code = fold(code);
        let digits = code.strip_prefix(&prefix)?.strip_suffix(&suffix)?;
        digits.parse::<u32>().ok()
    };
    let highest = shop.codes().filter_map(number).max().unwrap_or(0);
    format!("{before}{:03}{after}", highest + 1)
}

/// The pattern where the settings name none.
const USUAL_CODE: &str = "{formula}-{n}";

fn record(
    code: &str,
    formula: &Path,
    f: &Formula,
    target: Decimal,
    day: Date,
    rows: &[BatchRow],
) -> String {
    let file = formula.file_name().and_then(|n| n.to_str()).unwrap_or("");
    let version = f
        .fields
        .version
        .as_ref()
        .map_or(String::new(), |v| format!(" version {}", v.value));
    let mut out = format!(
        "batch {code} of \"{file}\"{version}\n  made: {day}\n  target: {} g\n\nweighed\n",
        target.normalize()
    );
    let widest = rows
        .iter()
        .map(|r| r.name.chars().count())
        .max()
        .unwrap_or(0);
    for row in rows {
        let lot = row
            .lot
            .as_ref()
            .map_or(String::new(), |l| format!("   lot {l}"));
        let name = &row.name;
        out.push_str(&format!("  {name:<widest$}  ? of {} g{lot}\n", row.grams));
    }
    out.push_str("\nlog\n");
    out
}

/// Where the folder is under git, two people may add to one stock file and keep both: `*.stock merge=union`.
fn keep_both(record: &Path) -> Result<(), CliError> {
    const LINE: &str = "*.stock merge=union";
    let whole = std::path::absolute(record).unwrap_or_else(|_| record.to_owned());
    let Some(root) = whole.ancestors().skip(1).find(|f| f.join(".git").exists()) else {
        return Ok(());
    };
    let path = root.join(".gitattributes");
    let before = match std::fs::read_to_string(&path) {
        Ok(text) => text,
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => String::new(),
        // What cannot be read is left as it is.
        Err(_) => return Ok(()),
    };
    if before
        .lines()
        .any(|l| l.trim_start().starts_with("*.stock"))
    {
        return Ok(());
    }
    let end = if before.is_empty() || before.ends_with('\n') {
        ""
    } else {
        "\n"
    };
    let text = format!("{before}{end}{LINE}\n");
    super::whole_file::put(&path, text.as_bytes())
        .map_err(|what| CliError::said(format!("{}: {what}", shown(&path))))
}

fn write_new(path: &Path, text: &str) -> Result<(), CliError> {
    let path = files::tidy(path);
    let failed = |e: std::io::Error| {
        let what = match e.kind() {
            std::io::ErrorKind::AlreadyExists => {
                "this file is there already and is left as it is; its code does not fit its name"
                    .to_owned()
            }
            _ => format!("it cannot be written: {e}"),
        };
        CliError::said(format!("{}: {what}", shown(&path)))
    };
    let mut file = std::fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(&path)
        .map_err(failed)?;
    file.write_all(text.as_bytes()).map_err(failed)
}
