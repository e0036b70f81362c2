//! `kb check` and `kb report`: whether a knowledge base is sound, and what it knows.

use super::files::{self, shown};
use super::out::{CliError, Terminal, style};
use super::{Format, Status};
use crate::kb::check::check;
use crate::kb::read;
use crate::kb::report::{Report, report};
use crate::kb::schema::PROHIBITED;
use crate::kb::{Kb, KbError, KbSource};
use crate::project::ingredient_files;
use crate::text::read_file;
use serde::Serialize;
use std::path::{Path, PathBuf};

/// Look after the knowledge base: check it, count what it knows
#[derive(clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(clap::Subcommand)]
enum What {
    /// Check the bundled knowledge base, or one in a folder, or the own ingredients in a folder
    Check {
        /// A folder laid out like kb/, or one of own ingredients
        folder: Option<PathBuf>,
        #[command(flatten)]
        format: Format,
    },
    /// Count what is known, by field and kind of source, and what is missing
    Report {
        /// A folder laid out like kb/
        folder: Option<PathBuf>,
        #[command(flatten)]
        format: Format,
    },
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    match &args.what {
        What::Check { folder, format } => run_check(folder.as_deref(), format, out),
        What::Report { folder, format } => run_report(folder.as_deref(), format, out),
    }
}

#[derive(Serialize)]
struct Answer {
    version: u8,
    ingredients: usize,
    laws: usize,
    sources: usize,
    faults: Vec<ShownFault>,
}

#[derive(Serialize)]
struct ShownFault {
    path: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    line: Option<usize>,
    message: String,
}

fn run_check(
    folder: Option<&Path>,
    format: &Format,
    out: &mut Terminal,
) -> Result<Status, CliError> {
    let (base, mut faults) = match folder {
        None => {
            let base = Kb::bundled().whole();
            let faults = check(&base);
            (base, faults)
        }
        Some(folder) => in_folder(folder)?,
    };
    let ingredients = base
        .ingredients
        .iter()
        .filter(|i| i.family != PROHIBITED)
        .count();
    faults.sort_by(|a, b| (&a.file, a.line).cmp(&(&b.file, b.line)));
    if format.is_json() {
        let said = |f: &KbError| ShownFault {
            path: shown(&f.file),
            line: (f.line > 0).then_some(f.line),
            message: f.message.clone(),
        };
        let (laws, sources) = (base.laws.len(), base.sources.len());
        out.json(&Answer {
            version: 1,
            ingredients,
            laws,
            sources,
            faults: faults.iter().map(said).collect(),
        })?;
    } else {
        for f in &faults {
            out.write(&format!(
                "{}:{}: {}\n",
                shown(&f.file),
                f.line.max(1),
                f.message
            ))?;
        }
        let verdict = match faults.len() {
            0 => out.paint.with(style::GOOD, "sound"),
            1 => "1 fault".to_owned(),
            n => format!("{n} faults"),
        };
        out.write(&format!(
            "{verdict}: {ingredients} ingredients, {} markets' law, {} sources\n",
            base.laws.len(),
            base.sources.len()
        ))?;
    }
    Ok(if faults.is_empty() {
        Status::Clean
    } else {
        Status::Found
    })
}

#[derive(Serialize)]
struct Counted {
    version: u8,
    #[serde(flatten)]
    report: Report,
}

fn run_report(
    folder: Option<&Path>,
    format: &Format,
    out: &mut Terminal,
) -> Result<Status, CliError> {
    let base = match folder {
        None => Kb::bundled().whole(),
        Some(folder) => in_folder(folder)?.0,
    };
    let report = report(&base);
    if format.is_json() {
        out.json(&Counted { version: 1, report })?;
    } else {
        out.write(&report.to_string())?;
    }
    Ok(Status::Clean)
}

/// A whole base where there are sources; else own ingredients, which lean on the bundled base.
fn in_folder(folder: &Path) -> Result<(KbSource, Vec<KbError>), CliError> {
    let folder = files::tidy(folder);
    std::fs::read_dir(&folder)
        .map_err(|e| CliError::said(format!("{}: {}", shown(&folder), files::unreadable(&e))))?;
    if folder.join("sources").is_dir() {
        let (base, mut faults) =
            read::read_with(&folder, |file| read_file(file).map_err(|e| e.to_string()));
        faults.extend(check(&base));
        return Ok((base, faults));
    }
    let inner = folder.join(crate::project::OWN);
    let own = if inner.is_dir() { inner } else { folder };
    let (mut texts, mut faults) = (Vec::new(), Vec::new());
    let listed = ingredient_files(&own).unwrap_or_default();
    for path in listed.iter().map(|path| files::tidy(path)) {
        match files::read(&path) {
            Ok(text) => texts.push((path, text)),
            Err(t) => faults.push(KbError {
                file: t.path,
                line: t.line.unwrap_or(0),
                message: t.what,
            }),
        }
    }
    if texts.is_empty() && faults.is_empty() {
        return Err(CliError::said(format!(
            "{}: no ingredient file here; name a folder that holds some *.toml",
            shown(&own)
        )));
    }
    let (kb, found) = Kb::with_user_entries(&texts);
    faults.extend(found);
    Ok((kb.whole(), faults))
}
