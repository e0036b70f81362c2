//! What all papers share: which form is wanted, where it goes, and the formula that it is made from.

use super::Status;
use super::files::{self, FileError, Kind, shown};
use super::option_values::grams;
use super::out::{CliError, Terminal};
use super::whole_file;
use super::workspace::Workspaces;
use crate::analysis::Analysis;
use crate::kb::Market;
use crate::model::FileLoader;
use crate::model::file_loader::Disk;
use crate::papers::{CannotRender, FormulaContext, Paper};
use crate::project::Project;
use crate::rules::{Severity, analyze};
use crate::syntax::{self, FileKind};
use clap::ValueEnum;
use rust_decimal::Decimal;
use std::ops::Deref;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What is made: the formula, how much of it, on which scale.
#[derive(clap::Args)]
pub struct FormulaArgs {
    /// The formula's file (*.formula)
    #[arg(value_name = "FORMULA")]
    pub formula: PathBuf,
    /// The weight to make, where it is not what the file says: 500g, 1.5 kg, 3 oz
    #[arg(long, value_name = "WEIGHT", value_parser = grams)]
    pub batch: Option<Decimal>,
    /// What the scale reads: 0.01g, 1 g
    #[arg(long, value_name = "WEIGHT", value_parser = grams)]
    pub scale: Option<Decimal>,
}

/// The form of a paper, and where it goes.
#[derive(clap::Args)]
pub struct OutputArgs {
    /// Text for the terminal, HTML for the printer, CSV for its table, JSON for programs; the ending of -o decides where this is not said
    #[arg(long, value_enum, value_name = "FORMAT")]
    format: Option<Form>,
    /// Short for --format json
    #[arg(long, conflicts_with = "format")]
    json: bool,
    /// Write it to this file, in place of what may be there; - is the terminal
    #[arg(short = 'o', long = "output", value_name = "FILE")]
    output: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Form {
    Text,
    Html,
    Csv,
    Json,
}

/// Files on the terminal's width would be torn; they get this many columns.
const FILE_WIDTH: usize = 100;

impl OutputArgs {
    /// To a file, in the form that its ending asks for; without a file as text to the terminal.
    pub fn to(output: Option<PathBuf>) -> OutputArgs {
        OutputArgs {
            format: None,
            json: false,
            output,
        }
    }

    pub fn is_json(&self) -> bool {
        self.form() == Form::Json
    }

    fn form(&self) -> Form {
        let ending = self
            .output
            .as_ref()
            .and_then(|p| p.extension())
            .and_then(|e| e.to_str());
        match (self.json, self.format, ending) {
            (true, ..) => Form::Json,
            (_, Some(form), _) => form,
            (_, _, Some("html" | "htm")) => Form::Html,
            (_, _, Some("csv")) => Form::Csv,
            (_, _, Some("json")) => Form::Json,
            _ => Form::Text,
        }
    }

    /// Writes the paper where it is wanted.
    pub fn deliver(&self, paper: &dyn Paper, out: &mut Terminal) -> Result<(), CliError> {
        let file = self.output.as_ref().filter(|p| p.as_os_str() != "-");
        let width = if file.is_some() {
            FILE_WIDTH
        } else {
            out.width
        };
        let text = match self.form() {
            Form::Text => paper.text(width),
            Form::Html => paper.html(),
            Form::Csv => paper.csv().ok_or_else(|| {
                CliError::said(
                    "this paper has no table for CSV; the formats are text, html and json",
                )
            })?,
            Form::Json => paper.json(),
        };
        let Some(path) = file else {
            return out.write(&text);
        };
        if let Some(kind) = files::kind(path) {
            let what = match kind {
                Kind::Text(FileKind::Formula) => "a formula",
                Kind::Text(FileKind::Batch) => "a batch record",
                Kind::Text(FileKind::Stock) => "a shelf",
                Kind::Ingredient => "an own ingredient",
                Kind::Settings => "the settings",
            };
            return Err(CliError::said(format!(
                "{}: a paper is not written over {what}; name another file after -o",
                shown(path)
            )));
        }
        whole_file::put(path, text.as_bytes())
            .map_err(|what| CliError::said(format!("{}: {what}", shown(path))))
    }
}

/// A formula read from the disk.
pub struct OpenedFormula {
    pub analysis: Analysis,
    pub workspace: Arc<Project>,
}

impl Deref for OpenedFormula {
    type Target = Analysis;

    fn deref(&self) -> &Analysis {
        &self.analysis
    }
}

/// Opens a formula in its folder, with that folder's settings and own ingredients.
pub fn open(path: &Path) -> Result<OpenedFormula, CliError> {
    let path = files::tidy(path);
    let text = files::read(&path).map_err(|t| CliError::said(t.to_string()))?;
    open_text(&path, &text, &Disk)
}

/// The same by the law of these markets, whatever the file says; none: by those of the file.
pub fn open_for(path: &Path, markets: &[Market]) -> Result<OpenedFormula, CliError> {
    let mut opened = open(path)?;
    if !markets.is_empty() {
        opened.analysis = opened.analysis.for_markets(markets);
    }
    Ok(opened)
}

/// A text in the place of a formula's file, the files that it names taken from `loader`.
pub fn open_text(
    path: &Path,
    text: &str,
    loader: &dyn FileLoader,
) -> Result<OpenedFormula, CliError> {
    if files::kind(path) != Some(Kind::Text(FileKind::Formula)) {
        return Err(trouble(
            path,
            None,
            "this is not a formula file (*.formula); name one",
        ));
    }
    let workspace = Workspaces::default().of(path);
    let tree = syntax::parse(FileKind::Formula, text);
    let analysis = analyze(tree, path, &workspace.kb, &workspace.settings, loader);
    Ok(OpenedFormula {
        analysis,
        workspace,
    })
}

impl OpenedFormula {
    pub fn work(&self) -> FormulaContext<'_> {
        FormulaContext::of(&self.analysis)
    }

    /// A paper is made even of a formula with errors; the status tells.
    pub fn status(&self) -> Status {
        if self
            .findings()
            .iter()
            .any(|f| f.severity == Severity::Error)
        {
            Status::Found
        } else {
            Status::Clean
        }
    }

    pub fn hindered(&self, by: CannotRender) -> CliError {
        trouble(&self.path, by.line, by.what)
    }
}

fn trouble(path: &Path, line: Option<u32>, what: impl Into<String>) -> CliError {
    CliError::said(
        FileError {
            path: path.to_owned(),
            line: line.map(|l| l as usize + 1),
            what: what.into(),
        }
        .to_string(),
    )
}
