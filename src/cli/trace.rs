//! `trace CODE`: a recall. Where a lot went, through lots made here, and whom to call; or back, what went into a batch.

mod answer;
mod text;

use super::Status;
use super::files::shown;
use super::out::{CliError, Terminal};
use super::paper::OutputArgs;
use super::shop::{self, OpenedShop};
use crate::model::record::Record;
use crate::model::shop::{BackStep, Jars, Trace, UseKind};
use crate::papers::table;
use crate::syntax::tree::{LedgerAmount, LedgerVerb, LedgerWay};
use answer::{Answer, BackAnswer, BackOut, BatchOut, Customer, Totals, UncertainOut};
use std::collections::BTreeMap;
use std::path::PathBuf;
use text::{back_text, csv, letters, text};

/// Batches, jars and customers that a lot went to, through lots made here; a batch's own lots with --back
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright trace CIA-01 --in examples/workshop\n  phasewright trace AG-002 --back --in examples/workshop\n  phasewright trace CIA-01 --csv > recall.csv"
)]
pub struct Args {
    /// The code of a lot or of a batch
    #[arg(value_name = "CODE")]
    code: String,
    /// What went into this batch, lots made here looked into
    #[arg(long)]
    back: bool,
    /// One letter per customer that bought jars, to be signed and sent
    #[arg(long, conflicts_with_all = ["back", "csv", "json"])]
    letter: bool,
    /// Write the letters to this file; the ending .html makes pages for the printer
    #[arg(short = 'o', long = "output", value_name = "FILE", requires = "letter")]
    output: Option<PathBuf>,
    /// The batches as rows for a spreadsheet
    #[arg(long, conflicts_with_all = ["json"])]
    csv: bool,
    /// For programs
    #[arg(long)]
    json: bool,
    /// A folder of the workshop
    #[arg(long = "in", value_name = "FOLDER", default_value = ".")]
    folder: PathBuf,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let opened = shop::open(&args.folder);
    if args.back {
        return back(args, &opened, out);
    }
    let Some(trace) = opened.shop.trace(&args.code) else {
        return Err(unknown(&args.code, &opened));
    };
    let answer = answer(args, &opened, &trace);
    if args.json {
        out.json(&answer)?;
    } else if args.csv {
        out.write(&csv(&answer))?;
    } else if args.letter {
        OutputArgs::to(args.output.clone()).deliver(&letters(&answer), out)?;
    } else {
        let text = text(&answer, out.width);
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

fn unknown(code: &str, opened: &OpenedShop) -> CliError {
    let codes: Vec<&str> = opened.shop.codes().collect();
    let near = crate::syntax::nearest(&codes, code)
        .map_or(String::new(), |near| format!("; did you mean {near}?"));
    CliError::said(format!(
        "no lot and no batch has the code {code} in this folder{near}"
    ))
}

fn answer(args: &Args, opened: &OpenedShop, trace: &Trace) -> Answer {
    let shop = &opened.shop;
    let mut totals = Totals::default();
    let batches: Vec<BatchOut> = trace
        .batches
        .iter()
        .map(|t| {
            let jars = shop.jars(t.record, None);
            totals.batches += 1;
            totals.jars += jars.filled;
            totals.sold += jars.sold;
            totals.kept += jars.kept;
            totals.spoilt += jars.spoilt;
            totals.here += jars.here;
            batch(opened, t.record, t.path.clone(), how(t.how), jars)
        })
        .collect();
    Answer {
        version: 1,
        code: args.code.clone(),
        batches,
        lots: trace.lots.iter().map(|l| l.code.clone()).collect(),
        uncertain: trace
            .uncertain
            .iter()
            .map(|u| UncertainOut {
                path: shown(&u.path),
                line: u.line + 1,
                message: u.message.clone(),
            })
            .collect(),
        totals,
    }
}

fn batch(
    opened: &OpenedShop,
    record: &Record,
    path: Vec<String>,
    how: &'static str,
    jars: Jars,
) -> BatchOut {
    BatchOut {
        code: record.code().to_owned(),
        formula: record
            .formula
            .as_ref()
            .map_or(String::new(), |f| f.value.clone()),
        made: record.made.map(|d| d.to_string()),
        path,
        how,
        packs: record
            .packs
            .iter()
            .map(|p| format!("{} x {}", p.count, p.pack))
            .collect(),
        jars: jars.filled,
        sold: jars.sold,
        kept: jars.kept,
        spoilt: jars.spoilt,
        here: jars.here,
        customers: customers(opened, record),
    }
}

/// Who has jars of a batch: sold or given to them, less what they sent back.
fn customers(opened: &OpenedShop, record: &Record) -> Vec<Customer> {
    let mut all: BTreeMap<String, Customer> = BTreeMap::new();
    for entry in opened.shop.entries(record.code()) {
        let LedgerAmount::Packs { count, .. } = entry.line.amount else {
            continue;
        };
        let sign = match entry.line.verb.value {
            LedgerVerb::Sold | LedgerVerb::Gave => 1,
            LedgerVerb::Back => -1,
            _ => continue,
        };
        let name = match &entry.line.place {
            Some((LedgerWay::At, place)) => format!("at {}", place.value),
            Some((_, whom)) => whom.value.clone(),
            None => "not said to whom".to_owned(),
        };
        let one = all.entry(name.clone()).or_insert(Customer {
            name,
            jars: 0,
            notes: Vec::new(),
        });
        one.jars += sign * i64::from(count);
        one.notes
            .extend(entry.line.note.as_ref().map(|n| n.value.clone()));
    }
    all.into_values().collect()
}

fn how(kind: UseKind) -> &'static str {
    match kind {
        UseKind::Weighed => "weighed",
        UseKind::Added => "added",
        UseKind::Cleaning => "cleaning",
        UseKind::Packaging => "packaging",
    }
}

/// Customers over all batches, those with most jars first.
fn all_customers(batches: &[BatchOut]) -> Vec<(Customer, usize)> {
    let mut all: BTreeMap<&str, (Customer, usize)> = BTreeMap::new();
    for c in batches.iter().flat_map(|b| &b.customers) {
        let one = all.entry(&c.name).or_insert((
            Customer {
                name: c.name.clone(),
                jars: 0,
                notes: Vec::new(),
            },
            0,
        ));
        one.0.jars += c.jars;
        one.1 += 1;
    }
    let mut all: Vec<_> = all.into_values().collect();
    all.sort_by_key(|(c, _)| (-c.jars, c.name.clone()));
    all
}

fn back(args: &Args, opened: &OpenedShop, out: &mut Terminal) -> Result<Status, CliError> {
    let shop = &opened.shop;
    let batch = shop.batch(&args.code).or_else(|| {
        let lot = shop.lot(&args.code)?;
        shop.batch(lot.from.as_deref()?)
    });
    let Some(batch) = batch else {
        return Err(unknown(&args.code, opened));
    };
    let steps = shop.back(batch);
    let answer = BackAnswer {
        version: 1,
        code: batch.code().to_owned(),
        formula: batch
            .formula
            .as_ref()
            .map_or(String::new(), |f| f.value.clone()),
        lots: steps.iter().map(back_out).collect(),
        customers: customers(opened, batch),
    };
    if args.json {
        out.json(&answer)?;
    } else if args.csv {
        let rows = answer.lots.iter().map(|l| {
            vec![
                l.depth.to_string(),
                l.lot.clone(),
                l.of.clone(),
                l.how.to_owned(),
                l.made_in.clone().unwrap_or_default(),
            ]
        });
        let columns = ["depth", "lot", "of", "how", "made_in"];
        out.write(&table::csv(&columns, rows))?;
    } else {
        let text = back_text(&answer, batch);
        out.write(&text)?;
    }
    Ok(status(opened))
}

fn back_out(s: &BackStep) -> BackOut {
    BackOut {
        depth: s.depth,
        lot: s.lot.to_owned(),
        of: s.name.clone(),
        how: how(s.how),
        made_in: s.made_in.map(str::to_owned),
        on_a_shelf: !s.unknown,
    }
}
