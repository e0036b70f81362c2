//! `check`: judges files and folders, and says what was found in one of five formats.

mod excerpt;
mod github;
mod job;
mod json;
mod junit;
mod place;
mod progress;
mod report;
mod run;
mod sarif;
mod text;

use super::Status;
use super::files::{self, FileError};
use super::out::{self, CliError, Terminal};
use crate::kb::Market;
use crate::rules::Severity;
use clap::ValueEnum;
use report::{Report, Total};
use std::path::PathBuf;

/// Judge formulas, with reasons and sources
///
/// Looks at formulas, batches, shelf files and own ingredients. Settings come from the nearest phasewright.toml upward.
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright check\n  phasewright check creams/ --market EU,UK\n  phasewright check day-cream.formula --format json --deny warning"
)]
pub struct Args {
    /// Files and folders; the current folder if none is named
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,
    /// How to say it
    #[arg(long, value_enum, default_value_t = FormatName::Text, value_name = "FORMAT")]
    format: FormatName,
    /// Short for --format json
    #[arg(long, conflicts_with = "format")]
    json: bool,
    /// Judge by the law of these markets, whatever the files say: EU, UK, US, CA
    #[arg(long, value_name = "MARKETS", value_delimiter = ',', value_parser = super::a_market)]
    market: Vec<Market>,
    /// End with status 1 when there is a finding at this level or a louder one
    #[arg(long, value_enum, default_value_t = Level::Error, value_name = "LEVEL")]
    deny: Level,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum FormatName {
    Text,
    Json,
    Sarif,
    Github,
    Junit,
}

#[derive(Clone, Copy, ValueEnum)]
enum Level {
    Error,
    Warning,
    Information,
    Hint,
}

impl Level {
    fn severity(self) -> Severity {
        match self {
            Level::Error => Severity::Error,
            Level::Warning => Severity::Warning,
            Level::Information => Severity::Information,
            Level::Hint => Severity::Hint,
        }
    }
}

/// What an answer is made of: a beginning, a piece for each file, an end.
trait Format: Sync {
    fn begin(&self) -> String {
        String::new()
    }
    /// What stands between two pieces that are not empty.
    fn between(&self) -> &'static str {
        ""
    }
    fn file(&self, report: &Report) -> String;
    fn end(&self, total: &Total) -> String;
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let name = if args.json {
        FormatName::Json
    } else {
        args.format
    };
    let format: Box<dyn Format> = match name {
        FormatName::Text => Box::new(text::Text {
            paint: out.paint,
            width: out.width,
        }),
        FormatName::Json => Box::new(json::Json),
        FormatName::Sarif => Box::new(sarif::Sarif),
        FormatName::Github => Box::new(github::Github),
        FormatName::Junit => Box::new(junit::Junit {
            deny: args.deny.severity(),
        }),
    };
    let here = [PathBuf::from(".")];
    let paths = if args.paths.is_empty() {
        &here[..]
    } else {
        &args.paths
    };
    let jobs = job::plan(paths);
    if jobs.is_empty() {
        let what =
            "there is nothing here to check; name a file, or begin one with `phasewright new NAME`"
                .to_owned();
        out::eprintln_error(FileError {
            path: files::tidy(&paths[0]),
            line: None,
            what,
        });
    }

    out.write(&format.begin())?;
    let mut total = Total::default();
    let mut first = true;
    let said = run::all(&jobs, &args.market, &*format, |piece, tally| {
        for trouble in &tally.troubles {
            out::eprintln_error(trouble);
        }
        total.add(tally);
        if piece.is_empty() {
            return Ok(());
        }
        if !std::mem::take(&mut first) {
            out.write(format.between())?;
        }
        out.write(&piece)
    });
    let said = said
        .and_then(|()| out.write(&format.end(&total)))
        .and_then(|()| out.end());
    match said {
        // The reader of the pipe has seen enough; the status is that of what was judged so far.
        Ok(()) | Err(CliError::PipeClosed) => Ok(total.status(args.deny.severity())),
        Err(stop) => Err(stop),
    }
}
