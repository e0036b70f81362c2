//! `batch show BATCH`: the record at one look, or the paper for the drawer.

use crate::cli::Status;
use crate::cli::files::{self, shown};
use crate::cli::out::{CliError, Terminal};
use crate::cli::paper::OutputArgs;
use crate::cli::shop;
use crate::model::file_loader::Disk;
use crate::model::record::Record;
use crate::model::shop::{Facts, Plans};
use crate::papers::record::{BatchRecord, RecordContext, record};
use crate::rules::{Finding, Workshop, judge_record};
use crate::syntax::{self, FileKind, Tree};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The record at one look; as HTML the paper for the drawer, filled in or to be filled in by hand
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright batch show examples/workshop/HC-004.batch\n  phasewright batch show HC-009.batch -o record.html"
)]
pub struct Args {
    /// The record's file (*.batch)
    #[arg(value_name = "BATCH")]
    batch: PathBuf,
    /// Which batch, where the file holds several
    #[arg(long, value_name = "CODE")]
    code: Option<String>,
    #[command(flatten)]
    print: OutputArgs,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let opened = OpenedRecord::of(&args.batch)?;
    let chosen = opened.chosen(args.code.as_deref())?;
    let paper = opened.paper(chosen);
    args.print.deliver(&paper, out)?;
    Ok(if opened.shop.unread {
        Status::Failed
    } else {
        Status::Clean
    })
}

/// A record read from the disk in its workshop, judged.
pub struct OpenedRecord {
    pub path: PathBuf,
    pub text: String,
    pub tree: Tree,
    pub shop: shop::OpenedShop,
    pub facts: Arc<Facts>,
    pub findings: Vec<Finding>,
}

impl OpenedRecord {
    pub fn of(batch: &Path) -> Result<OpenedRecord, CliError> {
        let path = files::tidy(batch);
        if files::kind(&path) != Some(files::Kind::Text(FileKind::Batch)) {
            return Err(CliError::said(format!(
                "{}: this is not a batch record (*.batch); name one",
                shown(&path)
            )));
        }
        let text = files::read(&path).map_err(|t| CliError::said(t.to_string()))?;
        let tree = syntax::parse(FileKind::Batch, &text);
        let shop = shop::open(&path);
        let kb = &shop.workspace.kb;
        let facts = match shop.shop.facts(&path) {
            Some(facts) => facts.clone(),
            None => Arc::new(Facts::of(&tree, &path, kb)),
        };
        let settings = &shop.workspace.settings;
        let workshop = Workshop::new(
            &shop.shop,
            &facts,
            &path,
            kb,
            settings,
            &Disk,
            &Plans::default(),
        );
        let findings = judge_record(&tree, workshop, kb, settings);
        Ok(OpenedRecord {
            path,
            text,
            tree,
            shop,
            facts,
            findings,
        })
    }

    /// The record that is meant: the one of the code, else the only one.
    pub fn chosen(&self, code: Option<&str>) -> Result<&Record, CliError> {
        let all = &self.facts.records;
        let codes = || all.iter().map(Record::code).collect::<Vec<_>>().join(", ");
        let found = match code {
            Some(code) => all
                .iter()
                .find(|r| crate::model::shop::fold(r.code()) == crate::model::shop::fold(code)),
            None if all.len() > 1 => {
                return Err(CliError::said(format!(
                    "{}: it holds several batches ({}); say which with --code",
                    shown(&self.path),
                    codes()
                )));
            }
            None => all.first(),
        };
        found.ok_or_else(|| {
            CliError::said(match code {
                Some(code) => format!(
                    "{}: there is no batch {code} in it; it holds {}",
                    shown(&self.path),
                    codes()
                ),
                None => format!("{}: there is no batch in it", shown(&self.path)),
            })
        })
    }

    pub fn paper(&self, chosen: &Record) -> BatchRecord {
        let workspace = &self.shop.workspace;
        let plan = crate::model::shop::plan(chosen, &workspace.kb, &workspace.settings, &Disk);
        let plan = plan.and_then(Result::ok);
        record(&RecordContext {
            record: chosen,
            tree: &self.tree,
            shop: &self.shop.shop,
            formula: plan.as_ref().map(|p| &p.formula),
            findings: &self.findings,
            kb: &workspace.kb,
            settings: &workspace.settings,
        })
    }
}
