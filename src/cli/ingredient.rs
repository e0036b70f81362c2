//! `ingredient NAME`: all that is known of a material, with its sources.

use super::out::{CliError, Styling, Terminal, style};
use super::workspace;
use super::{Format, Status};
use crate::kb::Market;
use crate::kb::card::Card;
use crate::kb::card::show::celsius;
use crate::kb::{Id, Kb, Lookup};
use crate::project::Project;

/// Show all that is known of an ingredient, with sources
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright ingredient \"sodium benzoate\"\n  phasewright ingredient 532-32-1 --market EU\n  phasewright ingredient shea butter --json"
)]
pub struct Args {
    /// Any of its names: everyday, INCI, CAS number, CI number
    #[arg(required = true, value_name = "NAME")]
    #[cfg_attr(feature = "shell", arg(add = crate::cli::complete::materials()))]
    name: Vec<String>,
    /// Show the law of these markets: EU, UK, US, CA
    #[arg(long, value_name = "MARKETS", value_delimiter = ',', value_parser = super::a_market)]
    #[cfg_attr(feature = "shell", arg(add = crate::cli::complete::markets()))]
    market: Vec<Market>,
    #[command(flatten)]
    format: Format,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let name = args.name.join(" ");
    let Project { kb, settings, .. } = &*workspace::here();
    let id = known(kb, &name)?;
    let markets = if args.market.is_empty() {
        &settings.markets
    } else {
        &args.market
    };
    let card = Card::of(kb, id, markets);
    if args.format.is_json() {
        out.json(&card)?;
    } else {
        let text = painted(&card.text(&celsius, out.width), out.paint);
        out.write(&text)?;
    }
    Ok(Status::Clean)
}

/// The one material of a name; else what it may mean.
pub fn known(kb: &Kb, name: &str) -> Result<Id, CliError> {
    match kb.lookup(name) {
        Lookup::Known { id, .. } => Ok(id),
        Lookup::Ambiguous(ids) => {
            let all: Vec<&str> = ids.iter().map(|id| kb.name(*id)).collect();
            Err(CliError::said(format!(
                "\"{name}\" is a name of several materials; say which: {}",
                all.join(", ")
            )))
        }
        Lookup::Unknown => {
            let near: Vec<String> = kb
                .nearest(name)
                .into_iter()
                .map(|(_, n)| format!("\"{n}\""))
                .collect();
            let hint = match near.is_empty() {
                true => {
                    "`phasewright find WORDS` searches; your own go into ingredients/".to_owned()
                }
                false => format!("did you mean {}?", near.join(" or ")),
            };
            Err(CliError::said(format!("\"{name}\" is not known; {hint}")))
        }
    }
}

/// The name bold, the labels of the first column set apart.
fn painted(text: &str, paint: Styling) -> String {
    if !paint.on {
        return text.to_owned();
    }
    let mut out = String::new();
    // Parts are divided by blank lines: the name, the figures, a note, the sources.
    let mut part = 0;
    let mut labelled = false;
    for (n, line) in text.lines().enumerate() {
        if line.is_empty() {
            part += 1;
            labelled = part == 1;
        } else if n == 0 || line == "  Sources" {
            labelled = n > 0;
            out.push_str(&paint.with(style::BOLD, line));
            out.push('\n');
            continue;
        }
        match line.char_indices().nth(14).filter(|_| labelled) {
            Some((at, _)) => out.push_str(&format!(
                "{}{}\n",
                paint.with(style::CODE, &line[..at]),
                &line[at..]
            )),
            None => out.push_str(&format!("{line}\n")),
        }
    }
    out
}
