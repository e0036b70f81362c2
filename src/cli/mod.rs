//! The command line. One file a command: its arguments, and what it does with them.

mod apply;
mod batch;
mod card;
mod check;
mod compare;
#[cfg(feature = "shell")]
mod complete;
#[cfg(feature = "shell")]
mod completions;
mod cost;
mod cost_batch;
mod dose;
mod explain;
mod files;
mod find;
mod format;
mod git;
mod ingredient;
mod init;
#[cfg(feature = "shell")]
mod kb;
mod label;
#[cfg(feature = "shell")]
mod manual;
mod markdown;
mod new;
mod open;
mod option_values;
mod out;
mod paper;
mod paths;
mod rewrite;
mod serve;
mod sheet;
mod shelf;
mod shop;
mod standin;
mod stock;
mod trace;
mod walk;
mod whole_file;
mod workspace;
mod wrap;

use crate::kb::Market;
use anstream::ColorChoice;
#[cfg(feature = "shell")]
use clap::CommandFactory;
use clap::{Parser, Subcommand, ValueEnum};
pub use open::PageServer;
use out::{CliError, Terminal};
pub use serve::Server;
use std::ffi::OsString;
use std::process::ExitCode;

/// How a command ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// Nothing at the level that matters.
    Clean,
    /// Findings.
    Found,
    /// Wrong usage, or a file that cannot be read or written.
    Failed,
}

/// Formulas for skin and hair care as plain text: checked, formatted, explained.
#[derive(Parser)]
#[command(name = "phasewright", version, after_help = AFTER, max_term_width = 100, disable_help_subcommand = true)]
pub struct Cli {
    #[command(subcommand)]
    command: Command,
    /// Colours in the answer: on a terminal, always, or never
    #[arg(long, global = true, value_enum, default_value_t = Color::Auto, value_name = "WHEN", hide_possible_values = false)]
    color: Color,
}

const AFTER: &str = "Exit status: 0 nothing to object to, 1 findings, 2 wrong usage or a file that cannot be read or written.";

#[derive(Clone, Copy, ValueEnum)]
enum Color {
    Auto,
    Always,
    Never,
}

#[derive(Subcommand)]
enum Command {
    Check(check::Args),
    Format(format::Args),
    Dose(dose::Args),
    Explain(explain::Args),
    Ingredient(ingredient::Args),
    Find(find::Args),
    Sheet(sheet::Args),
    Label(label::Args),
    Card(card::Args),
    Cost(cost::Args),
    Batch(batch::Args),
    Stock(stock::Args),
    Trace(trace::Args),
    Compare(compare::Args),
    #[command(visible_alias = "substitute")]
    Standin(standin::Args),
    Init(init::Args),
    New(new::Args),
    Rewrite(rewrite::Args),
    #[cfg(feature = "shell")]
    Kb(kb::Args),
    Open(open::Args),
    Serve(serve::Args),
    #[cfg(feature = "shell")]
    Completions(completions::Args),
    #[cfg(feature = "shell")]
    Manual(manual::Args),
}

/// Text for people, JSON for programs.
#[derive(clap::Args)]
pub struct Format {
    /// Text for people or JSON for programs
    #[arg(long, value_enum, default_value_t = TextOrJson::Text, value_name = "FORMAT")]
    format: TextOrJson,
    /// Short for --format json
    #[arg(long, conflicts_with = "format")]
    json: bool,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum TextOrJson {
    Text,
    Json,
}

impl Format {
    pub fn is_json(&self) -> bool {
        self.json || self.format == TextOrJson::Json
    }
}

pub fn main(server: Option<Server>, page: Option<PageServer>) -> ExitCode {
    if let Some(status) = server
        .filter(|_| serve::is_asked_alone())
        .map(serve::on_stdio)
    {
        return ExitCode::from(status);
    }
    #[cfg(feature = "shell")]
    if complete::answered() {
        return ExitCode::SUCCESS;
    }
    ExitCode::from(conclude(Cli::parse(), server, page))
}

/// Does what the arguments say, the first of which is the program's name, and gives the status. It never ends the process: a page runs on.
pub fn answer(args: impl IntoIterator<Item = OsString>) -> u8 {
    match Cli::try_parse_from(args) {
        Ok(cli) => conclude(cli, None, None),
        Err(e) => {
            // If nobody listens, there is nothing left to do.
            let _ = e.print();
            u8::try_from(e.exit_code()).unwrap_or(Status::Failed as u8)
        }
    }
}

fn conclude(cli: Cli, server: Option<Server>, page: Option<PageServer>) -> u8 {
    let color = match cli.color {
        Color::Auto => ColorChoice::Auto,
        Color::Always => ColorChoice::Always,
        Color::Never => ColorChoice::Never,
    };
    match run(cli.command, server, page, &mut Terminal::new(color)) {
        Ok(status) => status,
        Err(CliError::PipeClosed) => Status::Clean as u8,
        Err(CliError::Message(message)) => {
            out::eprintln_error(message);
            Status::Failed as u8
        }
    }
}

fn run(
    command: Command,
    server: Option<Server>,
    page: Option<PageServer>,
    out: &mut Terminal,
) -> Result<u8, CliError> {
    if !matches!(command, Command::Serve(_)) {
        one_line_for_a_panic();
    }
    let status = match command {
        Command::Check(args) => check::run(&args, out),
        Command::Format(args) => format::run(&args, out),
        Command::Dose(args) => dose::run(&args, out),
        Command::Explain(args) => explain::run(&args, out),
        Command::Ingredient(args) => ingredient::run(&args, out),
        Command::Find(args) => find::run(&args, out),
        Command::Sheet(args) => sheet::run(&args, out),
        Command::Label(args) => label::run(&args, out),
        Command::Card(args) => card::run(&args, out),
        Command::Cost(args) => cost::run(&args, out),
        Command::Batch(args) => batch::run(&args, out),
        Command::Stock(args) => stock::run(&args, out),
        Command::Trace(args) => trace::run(&args, out),
        Command::Compare(args) => compare::run(&args, out),
        Command::Standin(args) => standin::run(&args, out),
        Command::Init(args) => init::run(&args, out),
        Command::New(args) => new::run(&args, out),
        Command::Rewrite(args) => rewrite::run(&args, out),
        #[cfg(feature = "shell")]
        Command::Kb(args) => kb::run(&args, out),
        Command::Open(args) => open::run(&args, page, out),
        Command::Serve(args) => return serve::run(&args, server),
        #[cfg(feature = "shell")]
        Command::Completions(args) => completions::run(&args, out),
        #[cfg(feature = "shell")]
        Command::Manual(args) => manual::run(&args, out),
    }?;
    out.end()?;
    Ok(status as u8)
}

/// A rule that fails is told among the findings; the hook adds where, in one line. The server has its own way.
fn one_line_for_a_panic() {
    std::panic::set_hook(Box::new(|info| {
        // Only the name of the source file: its folder is that of the machine that built the program.
        let place = info.location().map_or(String::new(), |l| {
            let name = l.file().rsplit(['/', '\\']).next().unwrap_or_default();
            format!("{name}:{}: ", l.line())
        });
        out::eprintln_error(format!(
            "{place}a fault of the program, not of the formula; please report it"
        ));
    }));
}

/// A market, as an option names it.
fn a_market(word: &str) -> Result<Market, String> {
    Market::named(word).ok_or_else(|| format!("the markets are {}", Market::CODES.join(", ")))
}

/// The whole command line, for what describes it.
#[cfg(feature = "shell")]
fn command() -> clap::Command {
    Cli::command()
}

#[cfg(all(test, feature = "shell"))]
mod tests {
    /// Every command, argument and option says what it is for.
    fn without_help(of: &clap::Command, path: &str, found: &mut Vec<String>) {
        for argument in of.get_arguments() {
            if argument.get_help().is_none() && !argument.is_hide_set() {
                found.push(format!("{path} {}", argument.get_id()));
            }
        }
        for sub in of.get_subcommands() {
            let path = format!("{path} {}", sub.get_name());
            if sub.get_about().is_none() {
                found.push(path.clone());
            }
            without_help(sub, &path, found);
        }
    }

    #[test]
    fn every_argument_says_what_it_is_for() {
        let mut found = Vec::new();
        without_help(&super::command(), "phasewright", &mut found);
        assert!(found.is_empty(), "{}", found.join("\n"));
    }
}
