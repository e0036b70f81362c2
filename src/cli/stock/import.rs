//! `stock import FILE.csv`: lots from a spreadsheet. A line that is not taken is listed with its reason.

use crate::cli::files::{self, shown};
use crate::cli::out::{CliError, Terminal};
use crate::cli::shop;
use crate::cli::{Format, Status};
use crate::model::shop::fold;
use crate::syntax::{FileKind, parse};
use serde::Serialize;
use std::collections::HashSet;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Lots from a spreadsheet as a new stock file; every line that is not taken is listed
#[derive(clap::Args)]
#[command(
    after_help = "Example:\n  phasewright stock import shelf.csv --to shelf.stock\n\nThe first line names the columns: lot, material, supplier, supplier lot, received, opened, best before, retest,\nafter opening, bought, price, stored. Days are 2028-01-31; `bought` is an amount with its unit, `price` an amount with its money."
)]
pub struct Args {
    /// The table: cells parted by commas, semicolons or tabs
    #[arg(value_name = "FILE.csv")]
    table: PathBuf,
    /// The stock file to make [default: the table's name with the ending .stock]; never one that is there
    #[arg(long, value_name = "FILE.stock")]
    to: Option<PathBuf>,
    /// Say what would be taken, and write nothing
    #[arg(long)]
    dry_run: bool,
    #[command(flatten)]
    format: Format,
}

#[derive(Serialize)]
struct Answer {
    version: u8,
    /// The file that was written; absent where nothing was taken or asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    written: Option<String>,
    taken: Vec<Taken>,
    not_taken: Vec<NotTaken>,
    columns_not_taken: Vec<String>,
}

#[derive(Serialize)]
struct Taken {
    line: u64,
    code: String,
    material: String,
}

#[derive(Serialize)]
struct NotTaken {
    line: u64,
    why: String,
}

/// What a column says, by the names that people give it.
const COLUMNS: [(&str, &[&str]); 13] = [
    ("lot", &["lot", "code", "lot code", "our lot", "batch"]),
    (
        "material",
        &["material", "ingredient", "name", "of", "item"],
    ),
    ("supplier", &["supplier", "bought from", "vendor"]),
    (
        "supplier lot",
        &["supplier lot", "supplier's lot", "lot of supplier", "drum"],
    ),
    (
        "received",
        &["received", "arrived", "date received", "received on"],
    ),
    ("opened", &["opened", "opened on"]),
    (
        "best before",
        &[
            "best before",
            "expiry",
            "expires",
            "use by",
            "best before date",
        ],
    ),
    ("retest", &["retest", "retest date"]),
    ("after opening", &["after opening", "pao"]),
    ("bought", &["bought", "amount", "quantity", "size"]),
    ("unit", &["unit"]),
    ("price", &["price", "paid", "cost"]),
    ("stored", &["stored", "place", "where"]),
];

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let table = files::tidy(&args.table);
    let text = files::read(&table).map_err(|t| CliError::said(t.to_string()))?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
    let to = args
        .to
        .clone()
        .unwrap_or_else(|| table.with_extension("stock"));
    let to = files::tidy(&to);
    if files::kind(&to) != Some(files::Kind::Text(FileKind::Stock)) {
        return Err(CliError::said(format!(
            "{}: this is no stock file; name one that ends in .stock",
            shown(&to)
        )));
    }
    if !args.dry_run && to.exists() {
        return Err(CliError::said(format!(
            "{}: this file is there already; name another one after --to",
            shown(&to)
        )));
    }
    let opened = shop::open(&to);
    let mut codes: HashSet<String> = opened.shop.codes().map(fold).collect();
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter(text))
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let header = reader
        .headers()
        .map_err(|e| {
            CliError::said(format!(
                "{}: the first line cannot be read: {e}",
                shown(&table)
            ))
        })?
        .clone();
    let columns: Vec<Option<&str>> = header.iter().map(column).collect();
    if !columns.contains(&Some("lot")) || !columns.contains(&Some("material")) {
        return Err(CliError::said(format!(
            "{}:1: a column \"lot\" and a column \"material\" are needed; the first line names {}",
            shown(&table),
            header.iter().collect::<Vec<_>>().join(", ")
        )));
    }
    let mut answer = Answer {
        version: 1,
        written: None,
        taken: Vec::new(),
        not_taken: Vec::new(),
        columns_not_taken: header
            .iter()
            .zip(&columns)
            .filter(|(name, column)| column.is_none() && !name.is_empty())
            .map(|(name, _)| name.to_owned())
            .collect(),
    };
    let mut stock = String::new();
    for (n, row) in reader.records().enumerate() {
        let guess = n as u64 + 2;
        let row = match row {
            Ok(row) => row,
            Err(e) => {
                answer.not_taken.push(NotTaken {
                    line: guess,
                    why: format!("it cannot be read: {e}"),
                });
                continue;
            }
        };
        let line = row.position().map_or(guess, csv::Position::line);
        let cell = |wanted: &str| {
            let at = columns.iter().position(|c| *c == Some(wanted))?;
            row.get(at).map(str::trim).filter(|cell| !cell.is_empty())
        };
        if row.len() > columns.len() {
            let why = "it has more cells than the first line; put quotes around what holds a comma"
                .to_owned();
            answer.not_taken.push(NotTaken { line, why });
            continue;
        }
        match lot(&cell, &mut codes) {
            Ok((code, material, text)) => {
                if !stock.is_empty() {
                    stock.push('\n');
                }
                stock.push_str(&text);
                answer.taken.push(Taken {
                    line,
                    code,
                    material,
                });
            }
            Err(why) => answer.not_taken.push(NotTaken { line, why }),
        }
    }
    if !args.dry_run && !stock.is_empty() {
        write_new(&to, &stock)?;
        answer.written = Some(shown(&to));
    }
    let some_left = !answer.not_taken.is_empty();
    if args.format.is_json() {
        out.json(&answer)?;
    } else {
        out.write(&report(&answer, &table))?;
    }
    Ok(if some_left || opened.unread {
        Status::Found
    } else {
        Status::Clean
    })
}

fn report(answer: &Answer, table: &Path) -> String {
    let mut out = match &answer.written {
        Some(path) => format!("{} lots are written to {path}\n", answer.taken.len()),
        None => format!(
            "{} lots would be taken, and nothing is written\n",
            answer.taken.len()
        ),
    };
    for column in &answer.columns_not_taken {
        out.push_str(&format!("  the column \"{column}\" is not taken\n"));
    }
    if !answer.not_taken.is_empty() {
        out.push_str(&format!("{} lines are not taken\n", answer.not_taken.len()));
    }
    for line in &answer.not_taken {
        out.push_str(&format!("  {}:{}: {}\n", shown(table), line.line, line.why));
    }
    out
}

/// What parts the cells: whichever stands most often in the first line.
fn delimiter(text: &str) -> u8 {
    let first = text.lines().next().unwrap_or_default();
    let count = |mark: &u8| first.bytes().filter(|b| b == mark).count();
    // Of equals the last is taken, so that a comma wins where none stands.
    [b'\t', b';', b',']
        .into_iter()
        .max_by_key(count)
        .unwrap_or(b',')
}

fn column(name: &str) -> Option<&'static str> {
    let name = name.trim().to_lowercase().replace(['_', '-'], " ");
    let known = COLUMNS
        .iter()
        .find(|(_, names)| names.contains(&name.as_str()));
    known.map(|(column, _)| *column)
}

/// A row as a lot: its code, its material, and the text. The error says what is wrong.
fn lot<'r>(
    cell: &dyn Fn(&str) -> Option<&'r str>,
    codes: &mut HashSet<String>,
) -> Result<(String, String, String), String> {
    let code = cell("lot").ok_or("it has no lot code; give it one")?;
    let material = cell("material").ok_or("it does not say of what the lot is")?;
    if code.contains(char::is_whitespace) {
        return Err(format!(
            "the code \"{code}\" holds a blank; write it in one piece, with hyphens"
        ));
    }
    if codes.contains(&fold(code)) {
        return Err(format!(
            "the code {code} is used already; give this lot another one"
        ));
    }
    let mut text = format!("lot {code} of {material}\n");
    for field in [
        "supplier",
        "supplier lot",
        "received",
        "opened",
        "best before",
        "retest",
        "after opening",
        "stored",
    ] {
        if let Some(value) = cell(field) {
            text.push_str(&format!("  {field}: {value}\n"));
        }
    }
    if let Some(amount) = cell("bought") {
        let unit = cell("unit").map_or(String::new(), |unit| format!(" {unit}"));
        let price = cell("price").map_or(String::new(), |price| format!(" for {price}"));
        text.push_str(&format!("  bought: {amount}{unit}{price}\n"));
    } else if cell("price").is_some() {
        return Err("it has a price and no amount; say how much was bought".to_owned());
    }
    if text.lines().any(|l| l.contains('#')) || text.contains('\r') {
        return Err(
            "a cell holds \"#\" or a line break, which end a line here; take it out".to_owned(),
        );
    }
    // The language itself judges what a row became.
    let tree = parse(FileKind::Stock, &text);
    if let Some((line, error)) = tree.errors().next() {
        let field = tree.line(line as usize).map_or("", |l| l.text.trim());
        return Err(format!("\"{field}\": {}", error.whole()));
    }
    let one_heading = tree.sections.iter().filter(|s| s.heading.is_some()).count() == 1;
    if !one_heading {
        return Err("a cell holds a line break; take it out".to_owned());
    }
    codes.insert(fold(code));
    Ok((code.to_owned(), material.to_owned(), text))
}

fn write_new(path: &Path, text: &str) -> Result<(), CliError> {
    let failed =
        |e: std::io::Error| CliError::said(format!("{}: it cannot be written: {e}", shown(path)));
    let mut file = std::fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(path)
        .map_err(failed)?;
    file.write_all(text.as_bytes()).map_err(failed)
}
