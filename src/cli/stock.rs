//! `stock`: what is left of every lot, what goes past its date, what jars stand on the shelf.

mod import;
mod stickers;

use super::files::shown;
use super::out::{CliError, Terminal};
use super::paper::OutputArgs;
use super::shop::{self, OpenedShop};
use super::{Format, Status};
use crate::chem::date::Date;
use crate::model::shelf::Lot;
use crate::model::shop::{Held, Jars, Left, LotStatus};
use crate::papers::count::{CountList, Line};
use crate::papers::table::{self, Column};
use clap::Subcommand;
use rust_decimal::Decimal;
use serde::Serialize;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// What is left of every lot: bought or made, less what batches and the ledger took
#[derive(clap::Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "Examples:\n  phasewright stock --in examples/workshop\n  phasewright stock --soon 30 --on 2026-04-01 --in examples/workshop\n  phasewright stock --count > count.txt"
)]
pub struct Args {
    /// Only lots with something left whose date comes within so many days
    #[arg(long, value_name = "DAYS", num_args = 0..=1, default_missing_value = "30")]
    soon: Option<u16>,
    /// The jars on the shelf
    #[arg(long, conflicts_with_all = ["soon", "count"])]
    jars: bool,
    /// A list to count by, with empty boxes
    #[arg(long, conflicts_with = "soon")]
    count: bool,
    /// As it was at the end of this day [default: all that is written, seen from today]
    #[arg(long, value_name = "DATE", value_parser = super::cost::day)]
    on: Option<Date>,
    /// A folder of the workshop
    #[arg(long = "in", value_name = "FOLDER", default_value = ".")]
    folder: PathBuf,
    /// Write the list to count by to this file; the ending .html makes a page for the printer
    #[arg(short = 'o', long = "output", value_name = "FILE", requires = "count")]
    output: Option<PathBuf>,
    #[command(flatten)]
    format: Format,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Subcommand)]
enum Command {
    Import(import::Args),
    Stickers(stickers::Args),
}

#[derive(Serialize)]
struct Answer {
    version: u8,
    on: String,
    lots: Vec<LotOut>,
    jars: Vec<JarsOut>,
}

#[derive(Serialize)]
struct LotOut {
    code: String,
    material: String,
    /// Weight left, exact; absent where it is not known or the lot is counted in pieces.
    #[serde(skip_serializing_if = "Option::is_none")]
    left_g: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    left_pieces: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    best_before: Option<String>,
    /// The lot inside it that sets its date.
    #[serde(skip_serializing_if = "Option::is_none")]
    set_by: Option<String>,
    status: &'static str,
    /// A weight taken of it cannot be read, so less may be left.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    unsure: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    counted: Option<Counted>,
    path: String,
    line: u32,
}

#[derive(Serialize)]
struct Counted {
    on: String,
    /// What the count found above what should have been there; below zero where less.
    difference: String,
}

#[derive(Serialize)]
struct JarsOut {
    formula: String,
    pack: String,
    here: i64,
    kept: i64,
    batches: Vec<BatchJars>,
}

#[derive(Serialize)]
struct BatchJars {
    code: String,
    here: i64,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    match &args.command {
        Some(Command::Import(args)) => return import::run(args, out),
        Some(Command::Stickers(args)) => return stickers::run(args, out),
        None => {}
    }
    let opened = shop::open(&args.folder);
    let on = args.on.unwrap_or(opened.workspace.settings.today);
    let mut lots = lots(args, &opened, on);
    if let Some(days) = args.soon {
        let until = on.plus_days(days.into()).unwrap_or(on);
        lots.retain(|(lot, left, _)| {
            let has = left.amount.is_some_and(|a| a > Decimal::ZERO);
            let ends = opened.shop.keeps_until(lot);
            has && ends.is_some_and(|(date, _)| date >= on && date <= until)
        });
        lots.sort_by_key(|(lot, _, _)| (opened.shop.keeps_until(lot), lot.code.clone()));
    }
    if args.format.is_json() {
        out.json(&Answer {
            version: 1,
            on: on.to_string(),
            lots: lots.iter().map(|l| lot_out(l, &opened)).collect(),
            jars: jars(args, &opened),
        })?;
    } else {
        let text = if args.jars {
            jars_text(&jars(args, &opened), out.width)
        } else if args.count {
            let list = count_list(&lots, &jars(args, &opened), on);
            OutputArgs::to(args.output.clone()).deliver(&list, out)?;
            return Ok(status(&opened));
        } else {
            lots_text(&lots, &opened, args, on, out.width)
        };
        out.write(&text)?;
    }
    Ok(status(&opened))
}

fn status(opened: &OpenedShop) -> Status {
    if opened.unread {
        Status::Failed
    } else {
        Status::Clean
    }
}

type Row<'a> = (&'a Lot, Left, LotStatus);

fn lots<'a>(args: &Args, opened: &'a OpenedShop, on: Date) -> Vec<Row<'a>> {
    let shop = &opened.shop;
    let here = |lot: &&Lot| {
        let came = lot.received.or_else(|| {
            let batch = lot.from.as_deref().and_then(|code| shop.batch(code))?;
            batch.made
        });
        args.on.is_none_or(|on| came.is_none_or(|day| day <= on))
    };
    shop.all_lots()
        .filter(here)
        .map(|lot| {
            let left = shop.left(lot, args.on, &opened.workspace.kb);
            let status = shop.status(lot, &left, on);
            (lot, left, status)
        })
        .collect()
}

fn lot_out((lot, left, status): &Row, opened: &OpenedShop) -> LotOut {
    let keeps = opened.shop.keeps_until(lot);
    let amount = left.amount.map(|a| a.normalize().to_string());
    let in_pieces = matches!(left.held, Held::Pieces(_));
    LotOut {
        code: lot.code.clone(),
        material: lot.name.clone(),
        left_g: amount.clone().filter(|_| !in_pieces),
        left_pieces: amount.filter(|_| in_pieces),
        best_before: keeps.as_ref().map(|(d, _)| d.to_string()),
        set_by: keeps.map(|(_, by)| by).filter(|by| *by != lot.code),
        status: status.words(),
        unsure: left.unsure,
        counted: left.counted.map(|(day, difference)| Counted {
            on: day.to_string(),
            difference: difference.normalize().to_string(),
        }),
        path: shown(&lot.path),
        line: lot.line + 1,
    }
}

fn jars(args: &Args, opened: &OpenedShop) -> Vec<JarsOut> {
    let mut all: BTreeMap<(String, String), JarsOut> = BTreeMap::new();
    for batch in opened.shop.all_batches() {
        let formula = batch.formula.as_ref().map_or("", |f| &f.value);
        let mut packs: Vec<&crate::model::record::Filled> = Vec::new();
        for f in &batch.packs {
            if !packs.iter().any(|p| p.pack == f.pack) {
                packs.push(f);
            }
        }
        for f in packs {
            let Jars { here, kept, .. } = opened.shop.jars_of(batch, &f.each, args.on);
            let key = (formula.to_owned(), f.pack.clone());
            let one = all.entry(key).or_insert_with(|| JarsOut {
                formula: formula.to_owned(),
                pack: f.pack.clone(),
                here: 0,
                kept: 0,
                batches: Vec::new(),
            });
            one.here += here;
            one.kept += kept;
            if here != 0 {
                one.batches.push(BatchJars {
                    code: batch.code().to_owned(),
                    here,
                });
            }
        }
    }
    all.into_values().collect()
}

fn amount(left: &Left) -> String {
    match (left.amount, left.held) {
        (None, _) => "not known".to_owned(),
        (Some(a), Held::Pieces(_)) => format!("{} pieces", a.normalize()),
        (Some(a), _) => format!("{} g", a.normalize()),
    }
}

fn lots_text(lots: &[Row], opened: &OpenedShop, args: &Args, on: Date, width: usize) -> String {
    let mut out = match args.soon {
        Some(days) => {
            format!("Lots with something left whose date comes within {days} days of {on}\n")
        }
        None => format!("On the shelf, {on}\n"),
    };
    let rows = lots
        .iter()
        .filter(|(_, _, status)| args.soon.is_some() || !matches!(status, LotStatus::Empty))
        .map(|(lot, left, status)| {
            let keeps = opened.shop.keeps_until(lot);
            let by = keeps
                .as_ref()
                .filter(|(_, by)| *by != lot.code)
                .map_or(String::new(), |(_, by)| format!(" (by {by})"));
            vec![
                lot.code.clone(),
                lot.name.clone(),
                amount(left),
                keeps.map_or(String::new(), |(d, _)| format!("{d}{by}")),
                match status {
                    LotStatus::Good => String::new(),
                    s => s.words().to_owned(),
                },
            ]
        });
    out.push_str(&table::text(
        &[
            ("lot", Column::Words),
            ("of", Column::Words),
            ("left", Column::Number),
            ("best before", Column::Words),
            ("", Column::Words),
        ],
        rows,
        width,
    ));
    let past: Vec<String> = lots
        .iter()
        .filter(|(_, left, status)| {
            *status == LotStatus::PastDate && left.amount.is_some_and(|a| a > Decimal::ZERO)
        })
        .map(|(lot, left, _)| format!("threw away {} {}, past its date", amount(left), lot.code))
        .collect();
    if !past.is_empty() && args.soon.is_none() {
        out.push_str("\nPast their date: when they are gone, write under `ledger`\n");
        for line in past {
            out.push_str(&format!("  {on}  {line}\n"));
        }
    }
    let overdrawn: Vec<&Row> = lots
        .iter()
        .filter(|(_, _, status)| *status == LotStatus::Overdrawn)
        .collect();
    if !overdrawn.is_empty() {
        out.push_str("\nMore was taken than there was: a weight or a code is wrong\n");
        for (lot, left, _) in overdrawn {
            out.push_str(&format!("  {}  {}", lot.code, amount(left)));
            if let Some((record, one)) = opened.shop.largest_use(lot, &opened.workspace.kb) {
                out.push_str(&format!(
                    "; the largest weight is in {} line {}",
                    record.code(),
                    one.line + 1
                ));
            }
            out.push('\n');
        }
    }
    out
}

fn jars_text(jars: &[JarsOut], width: usize) -> String {
    let rows = jars.iter().map(|j| {
        let batches: Vec<String> = j
            .batches
            .iter()
            .map(|b| format!("{} {}", b.code, b.here))
            .collect();
        vec![
            j.formula.trim_end_matches(".formula").to_owned(),
            j.pack.clone(),
            j.here.to_string(),
            j.kept.to_string(),
            batches.join(", "),
        ]
    });
    table::text(
        &[
            ("product", Column::Words),
            ("pack", Column::Words),
            ("here", Column::Number),
            ("kept", Column::Number),
            ("batches", Column::Words),
        ],
        rows,
        width,
    )
}

/// A list to be filled by hand.
fn count_list(lots: &[Row], jars: &[JarsOut], on: Date) -> CountList {
    let lots = lots.iter().filter(|(_, _, s)| *s != LotStatus::Empty);
    let lots = lots.map(|(lot, left, _)| Line {
        code: lot.code.clone(),
        of: lot.name.clone(),
        unit: match left.held {
            Held::Pieces(_) => "pieces".to_owned(),
            _ => "g".to_owned(),
        },
    });
    let jars = jars.iter().filter(|j| j.here != 0).flat_map(|j| {
        j.batches.iter().map(|b| Line {
            code: b.code.clone(),
            of: j.formula.trim_end_matches(".formula").to_owned(),
            unit: format!("x {}", j.pack),
        })
    });
    CountList {
        on: on.to_string(),
        lots: lots.collect(),
        jars: jars.collect(),
    }
}
