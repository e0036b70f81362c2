//! `dose`: how much acid or base the product still needs.

use super::Status;
use super::files::{self, Kind};
use super::option_values::grams;
use super::out::{CliError, Terminal};
use super::paper::{self, OutputArgs};
use super::workspace::{self, Workspaces};
use crate::model::Formula;
use crate::model::bench::{self, Step, Titrant, titrant};
use crate::model::file_loader::resolve_relative;
use crate::model::system::ph_aim;
use crate::papers::dose::{Ask, dose};
use crate::project::Project;
use crate::syntax::tree::{Event, Node};
use crate::syntax::{self, FileKind, values};
use crate::text::{Span, Spanned};
use clap::{ArgMatches, FromArgMatches};
use rust_decimal::Decimal;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// How much acid or base to add for the pH: two thirds first, then measure again
#[derive(clap::Args)]
#[command(
    after_help = "The order of --reading and --added counts: --added is what went in since the reading before it. So it is with the sample.\n\nA sample tells more safely: take 20 to 50 g out of the vessel, and add to it what is suggested until it has passed the target. There that costs nothing, and its readings tell what the batch will do. Throw it away after that.\n\nExamples:\n  phasewright dose --mass 250g --target 5.2 --reading 6.4\n  phasewright dose --mass 250g --target \"5.0 to 5.5\" --reading 6.4 --added \"0.60 g lactic acid 10 %\" --reading 5.6\n  phasewright dose --mass 250g --target 5.2 --reading 6.4 --sample 30g --sample-added \"0.08 g lactic acid 10 %\" --sample-reading 5.9\n  phasewright dose hc-031.batch"
)]
pub struct Args {
    /// A batch record: its log holds the readings and additions, its formula the target
    #[arg(value_name = "BATCH")]
    batch: Option<PathBuf>,
    /// The weight of the product in the vessel, before a sample was taken: 250g, 1.5 kg
    #[arg(long, value_name = "WEIGHT", value_parser = grams)]
    mass: Option<Decimal>,
    /// The pH to reach: 5.2, or "5.0 to 5.5"
    #[arg(long, value_name = "PH", value_parser = a_target)]
    target: Option<(Decimal, Decimal)>,
    /// The formula, so that its own acids and bases count
    #[arg(long, value_name = "FORMULA")]
    formula: Option<PathBuf>,
    /// What to add, where it is not what went in last: "citric acid 50 %"
    #[arg(long, value_name = "NAME")]
    with: Vec<String>,
    /// What the scale reads: 0.01g, 1 g
    #[arg(long, value_name = "WEIGHT", value_parser = grams)]
    scale: Option<Decimal>,
    #[command(flatten)]
    steps: Steps,
    #[command(flatten)]
    print: OutputArgs,
}

/// `--reading`, `--added` and those of the sample in the order of the line.
#[derive(Debug, Default)]
struct Steps(Vec<Step>);

impl FromArgMatches for Steps {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        let mut steps = Steps::default();
        steps.update_from_arg_matches(matches)?;
        Ok(steps)
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        let mut all: Vec<(usize, Step)> = Vec::new();
        for name in [
            "reading",
            "added",
            "sample",
            "sample-reading",
            "sample-added",
        ] {
            let values = matches.get_many::<Step>(name).unwrap_or_default().cloned();
            all.extend(matches.indices_of(name).unwrap_or_default().zip(values));
        }
        all.sort_by_key(|(at, _)| *at);
        self.0 = all.into_iter().map(|(_, step)| step).collect();
        Ok(())
    }
}

impl clap::Args for Steps {
    fn augment_args(command: clap::Command) -> clap::Command {
        let reading = clap::Arg::new("reading")
            .long("reading")
            .value_name("PH")
            .action(clap::ArgAction::Append)
            .value_parser(a_reading)
            .help("A pH as read; again after each addition");
        let added = clap::Arg::new("added")
            .long("added")
            .value_name("WHAT")
            .action(clap::ArgAction::Append)
            .value_parser(an_addition)
            .help("What went in since the reading before: \"0.60 g lactic acid 10 %\"");
        let sample = clap::Arg::new("sample")
            .long("sample")
            .value_name("WEIGHT")
            .action(clap::ArgAction::Append)
            .value_parser(a_sample)
            .help("The weight of a sample that was taken out to be tried on: 30g; again for a second one");
        let sample_reading = clap::Arg::new("sample-reading")
            .long("sample-reading")
            .value_name("PH")
            .action(clap::ArgAction::Append)
            .value_parser(|text: &str| a_reading(text).map(of_the_sample))
            .help("A pH of the sample");
        let sample_added = clap::Arg::new("sample-added")
            .long("sample-added")
            .value_name("WHAT")
            .action(clap::ArgAction::Append)
            .value_parser(|text: &str| an_addition(text).map(of_the_sample))
            .help(
                "What went into the sample since its reading before: \"0.08 g lactic acid 10 %\"",
            );
        command
            .arg(reading)
            .arg(added)
            .arg(sample)
            .arg(sample_reading)
            .arg(sample_added)
    }

    fn augment_args_for_update(command: clap::Command) -> clap::Command {
        Self::augment_args(command)
    }
}

fn spanned(text: &str) -> Spanned<String> {
    Spanned::new(text.to_owned(), Span::new(0, text.len()))
}

fn a_target(text: &str) -> Result<(Decimal, Decimal), String> {
    let (low, high) = values::ph(&spanned(without_ph(text))).map_err(|e| e.whole())?;
    match low > Decimal::ZERO && high < Decimal::from(14) && low <= high {
        true => Ok((low, high)),
        false => Err("a pH lies between 0 and 14; write 5.2, or a range such as 5.0 to 5.5".into()),
    }
}

fn a_reading(text: &str) -> Result<Step, String> {
    match a_target(text)? {
        (low, high) if low == high => Ok(Step::Read(low)),
        _ => Err("a reading is one number, such as 6.4".into()),
    }
}

fn a_sample(text: &str) -> Result<Step, String> {
    grams(text).map(|grams| Step::Sample { grams })
}

/// The same, of the sample.
fn of_the_sample(step: Step) -> Step {
    match step {
        Step::Read(ph) => Step::SampleRead(ph),
        Step::Added { grams, what } => Step::SampleAdded { grams, what },
        other => other,
    }
}

/// "0.60 g lactic acid 10 %", read as the log of a batch reads it.
fn an_addition(text: &str) -> Result<Step, String> {
    let how = || {
        format!(
            "write the weight and what it was, such as \"0.60 g lactic acid 10 %\"; \"{text}\" is not that"
        )
    };
    if text.contains(['\n', '\r', '#']) {
        return Err(how());
    }
    let words = text.trim();
    let tree = syntax::parse(
        FileKind::Batch,
        &format!(
            "log\n  add {}\n",
            words.strip_prefix("add ").unwrap_or(words)
        ),
    );
    let Some(Node::Log(line)) = tree.lines.get(1).map(|l| &l.line.node) else {
        return Err(how());
    };
    match &line.events[..] {
        [
            Spanned {
                value:
                    Event::Add {
                        amount: Some(amount),
                        what,
                        into: None,
                        ..
                    },
                ..
            },
        ] if !what.is_empty() => match bench::grams(*amount) {
            Some(grams) => Ok(Step::Added {
                grams,
                what: what.clone(),
            }),
            None => Err(format!(
                "\"{text}\" is no weight; what goes in is weighed, such as 0.60 g"
            )),
        },
        _ => Err(how()),
    }
}

fn without_ph(text: &str) -> &str {
    let text = text.trim();
    text.get(..2)
        .filter(|p| p.eq_ignore_ascii_case("ph"))
        .map_or(text, |_| text[2..].trim())
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let mut case = Case::told(args);
    match &args.batch {
        Some(path) => case.read(path, args)?,
        None => {
            if let Some(path) = &args.formula {
                case.open(path)?;
            }
        }
    }
    let workspace = case.workspace.clone().unwrap_or_else(workspace::here);
    let kb = &workspace.kb;
    let aim = case.formula.as_deref().and_then(ph_aim);
    let field = case
        .formula
        .as_ref()
        .and_then(|f| f.fields.ph.as_ref())
        .map(|p| p.value);
    // What is told stands above the formula; a range around the formula's own aim is what counts as there.
    let target = args.target.or_else(|| match (aim, field) {
        (Some(a), Some((low, high))) if (low..=high).contains(&a.low) => Some((low, high)),
        (Some(a), _) => Some((a.low, a.high)),
        (None, _) => None,
    });
    let target = target.ok_or_else(|| {
        case.stop(
            "no pH to reach is known; say --target 5.2, or write `pH: 5.0 to 5.5` in the formula",
        )
    })?;
    let mass_g = args
        .mass
        .or(case.mass_g)
        .ok_or_else(|| case.stop("the weight of the product is not known; say --mass 250g"))?;
    let with: Vec<Titrant> = args
        .with
        .iter()
        .map(|name| titrant(kb, name).map_err(|e| CliError::said(e.words(name))))
        .collect::<Result<_, _>>()?;
    let titration = bench::titration(kb, &case.steps).map_err(|e| case.stop(e))?;
    let ask = Ask {
        kb,
        name: case.name.clone(),
        file: case.file.clone(),
        mass_g,
        target,
        aim: aim
            .filter(|a| args.target.is_none() && a.exact)
            .map(|a| a.low),
        titration,
        with,
        formula: case.formula.as_deref(),
        scale_g: args.scale.unwrap_or_else(|| workspace.settings.scale_g(kb)),
    };
    let paper = dose(ask).map_err(|h| case.stop(h.what))?;
    args.print.deliver(&paper, out)?;
    Ok(Status::Clean)
}

/// What is known of the product before anything is worked out.
#[derive(Default)]
struct Case {
    name: String,
    file: String,
    mass_g: Option<Decimal>,
    steps: Vec<Step>,
    formula: Option<Arc<Formula>>,
    workspace: Option<Arc<Project>>,
}

impl Case {
    fn told(args: &Args) -> Case {
        Case {
            steps: args.steps.0.clone(),
            ..Case::default()
        }
    }

    fn open(&mut self, path: &Path) -> Result<(), CliError> {
        let opened = paper::open(path)?;
        if self.name.is_empty() {
            self.name = opened.work().name();
            self.file = opened.work().shown_path();
        }
        self.workspace.get_or_insert(opened.workspace);
        self.formula = Some(opened.analysis.formula);
        Ok(())
    }

    fn read(&mut self, path: &Path, args: &Args) -> Result<(), CliError> {
        let path = files::tidy(path);
        self.file = files::shown(&path).to_string();
        if files::kind(&path) != Some(Kind::Text(FileKind::Batch)) {
            return Err(
                self.stop("this is not a batch record (*.batch); a formula goes behind --formula")
            );
        }
        let text = files::read(&path).map_err(|t| CliError::said(t.to_string()))?;
        let tree = syntax::parse(FileKind::Batch, &text);
        let workspace = self
            .workspace
            .insert(Workspaces::default().of(&path))
            .clone();
        let (code, formula) = bench::plan(&tree);
        self.name = code.unwrap_or_else(|| "batch".to_owned());
        match (&args.formula, formula) {
            (Some(formula), _) => self.open(formula)?,
            (None, Some(name)) => self.open(&resolve_relative(&path, &name))?,
            (None, None) => {}
        }
        let log = bench::log(&tree, &workspace.kb, self.formula.as_deref());
        if let Some(lost) = log.lost.first() {
            return Err(CliError::said(format!(
                "{}:{}: no dose can be worked out from the readings after this line: {}",
                self.file,
                lost.line + 1,
                lost.words
            )));
        }
        self.mass_g = log.mass_g;
        // Readings on the command line come after those of the record.
        self.steps = log
            .steps
            .into_iter()
            .chain(std::mem::take(&mut self.steps))
            .collect();
        Ok(())
    }

    /// What is wrong, with the file where there is one.
    fn stop(&self, what: impl std::fmt::Display) -> CliError {
        if self.file.is_empty() {
            CliError::said(what.to_string())
        } else {
            CliError::said(format!("{}: {what}", self.file))
        }
    }
}
