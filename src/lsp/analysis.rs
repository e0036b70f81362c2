//! From an open document to what is known of it.

use super::kinds::DocumentKind;
use super::loader::{Loader, Used};
use super::tasks;
use super::workshops::Workshop;
use crate::ide::Snapshot;
use crate::kb::Kb;
use crate::model::shop::Facts;
use crate::model::{FileLoader, Settings, settings};
use crate::project::{Project, ingredient_files, rule_codes};
use crate::rules::{Finding, judge_ingredients, judge_settings};
use crate::syntax::{FileKind, Tree};
use crate::text::{Document, read_file};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Resolves and judges a file; a test puts a faulty one in its place.
pub type Judge = fn(&Path, FileKind, Tree, &Kb, &Settings, &dyn FileLoader) -> Snapshot;

/// A longer text is judged in the background.
pub const LONG: usize = 64 * 1024;

/// One state of a document and what follows from it.
pub struct AnalyzedDocument {
    pub text: Document,
    pub version: i32,
    pub body: AnalysisResult,
    /// The settings and own ingredients that it was judged with.
    pub project: Arc<Project>,
    /// Other files that were read for it.
    pub used: Vec<Used>,
    /// Batches and stock that belong with it and cannot be read, and why.
    pub unreadable: Vec<(PathBuf, String)>,
    /// Of a batch or a stock file: its workshop, and what its own text says.
    pub record: Option<Record>,
}

pub enum AnalysisResult {
    Judged(Box<Snapshot>),
    /// Settings or ingredients.
    Findings(Vec<Finding>),
    TooLarge,
    /// The judgement failed, which is a fault of the program.
    Failed,
    Unsupported,
}

impl AnalyzedDocument {
    pub fn snapshot(&self) -> Option<&Snapshot> {
        match &self.body {
            AnalysisResult::Judged(s) => Some(s),
            _ => None,
        }
    }
}

/// All that a view is made from, taken at one moment.
pub struct AnalysisTask {
    pub path: PathBuf,
    pub kind: DocumentKind,
    pub version: i32,
    pub text: Document,
    pub tree: Arc<Tree>,
    pub too_large: bool,
    pub project: Arc<Project>,
    pub loader: Loader,
    pub judge: Judge,
    /// Of a batch or a stock file.
    pub record: Option<Record>,
    /// Without the rules: what is asked for at every key needs no more.
    pub with_rules: bool,
}

/// A record's workshop, and what its own text says.
#[derive(Clone)]
pub struct Record {
    pub workshop: Arc<Workshop>,
    pub facts: Arc<Facts>,
}

impl AnalysisTask {
    pub async fn run(self) -> Arc<AnalyzedDocument> {
        let failed = AnalyzedDocument {
            text: self.text.clone(),
            version: self.version,
            body: AnalysisResult::Failed,
            project: self.project.clone(),
            used: Vec::new(),
            unreadable: Vec::new(),
            record: self.record.clone(),
        };
        let workshop = self.record.as_ref().map(|r| r.workshop.clone());
        if let Some(workshop) = workshop
            && !workshop.ready().await
        {
            return Arc::new(failed);
        }
        if self.text.len() <= LONG {
            return Arc::new(self.work());
        }
        let worked = tasks::spawn_blocking(move || self.work()).await;
        Arc::new(worked.unwrap_or(failed))
    }

    /// Judges it on this thread. Of a record the workshop has to be ready.
    pub fn work(self) -> AnalyzedDocument {
        let body = catch_unwind(AssertUnwindSafe(|| self.body())).unwrap_or_else(|_| {
            eprintln!(
                "phasewright: {}: the judgement failed; this is a fault of the program",
                self.path.display()
            );
            AnalysisResult::Failed
        });
        AnalyzedDocument {
            used: self.loader.used(),
            unreadable: self
                .record
                .as_ref()
                .map_or_else(Vec::new, |r| r.workshop.unreadable()),
            record: self.record,
            text: self.text,
            version: self.version,
            body,
            project: self.project,
        }
    }

    fn body(&self) -> AnalysisResult {
        match self.kind {
            _ if self.too_large => AnalysisResult::TooLarge,
            DocumentKind::Text(kind) => {
                let tree = Tree::clone(&self.tree);
                let Project { kb, settings, .. } = &*self.project;
                let snapshot = match &self.record {
                    Some(Record { workshop, facts }) if self.with_rules => {
                        workshop.with_shop(|shop| {
                            Snapshot::in_workshop(
                                &self.path,
                                tree,
                                kb,
                                settings,
                                &self.loader,
                                shop,
                                facts,
                            )
                        })
                    }
                    _ => (self.judge)(&self.path, kind, tree, kb, settings, &self.loader),
                };
                AnalysisResult::Judged(Box::new(snapshot))
            }
            DocumentKind::Settings => {
                let (_, faults) = settings::parse(
                    &self.text.to_string(),
                    &rule_codes(),
                    self.project.settings.today,
                );
                AnalysisResult::Findings(judge_settings(&faults))
            }
            DocumentKind::Ingredient => AnalysisResult::Findings(self.ingredient()),
            DocumentKind::Unsupported => AnalysisResult::Unsupported,
        }
    }

    /// The file as it is in the editor, judged among the saved ones.
    fn ingredient(&self) -> Vec<Finding> {
        let text = self.text.to_string();
        let folder = self.path.parent().unwrap_or(Path::new(""));
        let others = ingredient_files(folder).unwrap_or_default();
        let mut all: Vec<(PathBuf, String)> = others
            .into_iter()
            .filter(|p| *p != self.path)
            .filter_map(|p| read_file(&p).ok().map(|t| (p, t)))
            .collect();
        all.push((self.path.clone(), text.clone()));
        all.sort();
        let (_, faults) = Kb::with_user_entries(&all);
        let mine: Vec<_> = faults.into_iter().filter(|f| f.file == self.path).collect();
        judge_ingredients(&text, &mine)
    }
}
