//! `check`: judges files and folders, and says what was found in one of six formats.

mod excerpt;
mod fix;
mod github;
mod job;
mod json;
mod junit;
mod place;
mod progress;
mod report;
mod run;
mod sarif;
mod statistics;
mod text;
mod watch;

use super::Status;
use super::files::{self, FileError, Kind};
use super::out::{self, CliError, Terminal};
use crate::kb::Market;
use crate::rules::{self, Severity};
use clap::ValueEnum;
use report::{Report, Total};
use std::path::PathBuf;
use watch::Seen;

/// Judge formulas, with reasons and sources
///
/// Looks at formulas, batches, shelf files and own ingredients. Settings come from the nearest phasewright.toml upward.
/// What .gitignore or the settings leave out is looked at only where it is named.
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright check\n  phasewright check creams/ --market EU,UK\n  phasewright check day-cream.formula --format json --deny warning\n  phasewright check --fix \"creams/*.formula\"\n  phasewright check - --stdin-filename creams/new.formula < draft.txt"
)]
pub struct Args {
    /// Files, folders and patterns such as "creams/*.formula"; the current folder if none is named; - reads standard input
    #[arg(value_name = "PATH", value_hint = clap::ValueHint::AnyPath)]
    paths: Vec<PathBuf>,
    /// How to say it
    #[arg(long, value_enum, default_value_t = FormatName::Text, value_name = "FORMAT")]
    format: FormatName,
    /// Short for --format json
    #[arg(long, conflicts_with = "format")]
    json: bool,
    /// Judge by the law of these markets, whatever the files say: EU, UK, US, CA
    #[arg(long, value_name = "MARKETS", value_delimiter = ',', value_parser = super::a_market)]
    #[cfg_attr(feature = "shell", arg(add = crate::cli::complete::markets()))]
    market: Vec<Market>,
    /// End with status 1 when there is a finding at this level or a louder one
    #[arg(long, value_enum, default_value_t = Level::Error, value_name = "LEVEL")]
    deny: Level,
    /// Repair in the files what is safe to repair, then judge them
    #[arg(long, conflicts_with = "diff")]
    fix: bool,
    /// Show what --fix would change, as a difference, and change nothing; status 1 if it would change something
    #[arg(long, conflicts_with = "watch")]
    diff: bool,
    /// Judge again whenever a file changes, until Ctrl+C
    #[arg(long)]
    watch: bool,
    /// Say nothing but what was found
    #[arg(short, long)]
    quiet: bool,
    /// Count how often each rule spoke, in place of what it said
    #[arg(long)]
    statistics: bool,
    /// Hear these rules alone
    #[arg(long, value_name = "CODES", value_delimiter = ',', value_parser = a_code)]
    #[cfg_attr(feature = "shell", arg(add = crate::cli::complete::codes()))]
    select: Vec<&'static str>,
    /// Leave these rules out
    #[arg(long, value_name = "CODES", value_delimiter = ',', value_parser = a_code)]
    #[cfg_attr(feature = "shell", arg(add = crate::cli::complete::codes()))]
    ignore: Vec<&'static str>,
    /// Take the settings from this file, for all files
    #[arg(long, value_name = "FILE", value_hint = clap::ValueHint::FilePath)]
    config: Option<PathBuf>,
    /// The name that the text on standard input has, for its kind, its settings and the files that it names
    #[arg(long, value_name = "PATH", value_hint = clap::ValueHint::FilePath)]
    stdin_filename: Option<PathBuf>,
}

/// The code of a rule, as an option names it.
fn a_code(word: &str) -> Result<&'static str, String> {
    if let Some(rule) = rules::by_code(word) {
        return Ok(rule.code);
    }
    let codes: Vec<&str> = rules::all().map(|r| r.code).collect();
    let near = crate::syntax::nearest(&codes, word)
        .map_or(String::new(), |near| format!("did you mean {near}? "));
    Err(format!(
        "no rule has this code; {near}`phasewright explain` lists them"
    ))
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum FormatName {
    Text,
    Json,
    /// One JSON object for each finding, each on a line of its own
    Jsonl,
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
    let here = [PathBuf::from(".")];
    let paths = if args.paths.is_empty() {
        &here[..]
    } else {
        &args.paths
    };
    if let Some(config) = &args.config {
        files::read(config).map_err(|t| CliError::said(t.to_string()))?;
    }
    if paths.iter().any(|p| p.as_os_str() == "-") {
        if paths.len() > 1 || args.watch {
            return Err(CliError::said(
                "- stands for standard input and goes with no other path, and not with --watch",
            ));
        }
        return stdin(args, out);
    }
    if args.stdin_filename.is_some() {
        return Err(CliError::said(
            "--stdin-filename goes with -, which stands for standard input",
        ));
    }
    if !args.watch {
        return once(args, paths, out);
    }
    let mut seen = Seen::now(paths, args.config.as_deref());
    loop {
        once(args, paths, out)?;
        out.end()?;
        seen.wait(paths, args.config.as_deref());
        out.write("\n")?;
    }
}

/// Repairs if that is wanted, judges and says what was found.
fn once(args: &Args, paths: &[PathBuf], out: &mut Terminal) -> Result<Status, CliError> {
    let config = args.config.as_deref();
    let mut jobs = job::plan(paths, config);
    if args.diff {
        let any = fix::as_diff(&jobs, &args.market, out)?;
        return Ok(if any { Status::Found } else { Status::Clean });
    }
    let mut failed = false;
    if args.fix {
        let done = fix::in_place(&jobs, &args.market);
        failed = done.failed;
        if done.places > 0 && !args.quiet {
            out::eprintln_error(format!(
                "{} repaired in {}",
                counted(done.places, "place"),
                counted(done.files, "file")
            ));
        }
        // Records may be judged by what other files hold: all of them are read again.
        jobs = job::plan(paths, config);
    }
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
    let status = say(args, &jobs, out)?;
    Ok(if failed { Status::Failed } else { status })
}

/// `check -`: the text on standard input, as if it were saved under a name. With --fix the repaired text is the answer.
fn stdin(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let text = super::format::read_stdin()?;
    let kind = match &args.stdin_filename {
        Some(path) => match files::kind(path) {
            Some(Kind::Text(kind)) => kind,
            _ => {
                let what = "this is not the name of a formula, batch or stock file; name one after --stdin-filename";
                return Err(CliError::said(format!("{}: {what}", files::shown(path))));
            }
        },
        None => super::format::kind_of(&text),
    };
    let unnamed = PathBuf::from(format!("stdin.{}", kind.extension()));
    let path = args.stdin_filename.as_ref().unwrap_or(&unnamed);
    let job = job::of_text(path, kind, text, args.config.as_deref());
    if args.diff {
        let any = fix::as_diff(&[job], &args.market, out)?;
        return Ok(if any { Status::Found } else { Status::Clean });
    }
    if args.fix {
        out.write(&fix::of_stdin(&job, &args.market).unwrap_or_default())?;
        return Ok(Status::Clean);
    }
    say(args, &[job], out)
}

fn say(args: &Args, jobs: &[job::Job], out: &mut Terminal) -> Result<Status, CliError> {
    let name = if args.json {
        FormatName::Json
    } else {
        args.format
    };
    let format: Box<dyn Format> = match name {
        FormatName::Text | FormatName::Json if args.statistics => {
            Box::new(statistics::Statistics {
                json: name == FormatName::Json,
            })
        }
        _ if args.statistics => {
            return Err(CliError::said(
                "--statistics goes with the formats text and json",
            ));
        }
        FormatName::Text => Box::new(text::Text {
            paint: out.paint,
            width: out.width,
            quiet: args.quiet,
        }),
        FormatName::Json => Box::new(json::Json),
        FormatName::Jsonl => Box::new(json::JsonLines),
        FormatName::Sarif => Box::new(sarif::Sarif),
        FormatName::Github => Box::new(github::Github),
        FormatName::Junit => Box::new(junit::Junit {
            deny: args.deny.severity(),
        }),
    };
    let wanted = run::Wanted {
        markets: &args.market,
        select: &args.select,
        ignore: &args.ignore,
    };
    out.write(&format.begin())?;
    let mut total = Total::default();
    let mut first = true;
    let said = run::all(jobs, &wanted, &*format, |piece, tally| {
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

fn counted(n: usize, what: &str) -> String {
    format!("{n} {what}{}", if n == 1 { "" } else { "s" })
}
