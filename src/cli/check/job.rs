//! The files that one call of `check` is about, and the judgement of one of them.

use super::report::{Report, SourceText};
use crate::cli::files::{self, FileError, Kind};
use crate::cli::shop;
use crate::cli::workspace::Workspaces;
use crate::kb::Kb;
use crate::kb::Market;
use crate::model::Settings;
use crate::model::file_loader::Disk;
use crate::model::shop::{Facts, Plans, Shop};
use crate::project::Project;
use crate::rules::{Workshop, analyze, judge_record};
use crate::syntax::{Cache, FileKind, parse_cached};
use std::collections::HashMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;

pub enum Job {
    Judge {
        path: PathBuf,
        kind: FileKind,
        /// The text where it does not come from the disk.
        text: Option<String>,
        workspace: Arc<Project>,
        /// Of a record or a shelf: all records and shelves that belong with it.
        records: Option<Arc<Records>>,
    },
    /// A file of the workspace, judged when it was loaded: the workspace and its place there.
    Own(Arc<Project>, usize),
    FileError(FileError),
}

/// The records and shelves of one folder, and the plans of their formulas, each worked out once.
pub struct Records {
    shop: Shop,
    plans: Plans,
}

/// A text that stands in the place of a file, which need not be there.
pub fn of_text(path: &Path, kind: FileKind, text: String, settings: Option<&Path>) -> Job {
    let path = files::tidy(path);
    let workspace = Workspaces::with(settings).of(&path);
    Job::Judge {
        records: records_of(&path, kind, &workspace),
        path,
        kind,
        text: Some(text),
        workspace,
    }
}

/// Of a record or a shelf: all records and shelves that belong with it.
fn records_of(path: &Path, kind: FileKind, workspace: &Project) -> Option<Arc<Records>> {
    (kind != FileKind::Formula).then(|| {
        let folder = path.parent().unwrap_or(Path::new(""));
        let root = workspace.workshop_root(folder);
        Arc::new(Records {
            shop: shop::load(&root, workspace).0,
            plans: Plans::default(),
        })
    })
}

/// Finds the files, and the workspaces that they belong to. Settings named here stand for those of all files.
pub fn plan(paths: &[PathBuf], settings: Option<&Path>) -> Vec<Job> {
    let (found, troubles) = files::find(
        paths,
        |_| true,
        "a formula, batch, stock, own ingredient or settings file",
    );
    let mut jobs: Vec<Job> = troubles.into_iter().map(Job::FileError).collect();
    let mut workspaces = Workspaces::with(settings);
    let named: Vec<PathBuf> = paths.iter().map(|p| files::tidy(p)).collect();
    let mut by_root: HashMap<PathBuf, Arc<Records>> = HashMap::new();
    for (path, kind) in &found {
        let workspace = workspaces.of(path);
        // What is named itself is looked at all the same.
        if !named.contains(path) && workspaces.leaves_out(&workspace, path) {
            continue;
        }
        match kind {
            Kind::Text(kind) => {
                let records = (*kind != FileKind::Formula).then(|| {
                    let folder = path.parent().unwrap_or(Path::new(""));
                    let root = workspace.workshop_root(folder);
                    let load = || {
                        Arc::new(Records {
                            shop: shop::load(&root, &workspace).0,
                            plans: Plans::default(),
                        })
                    };
                    by_root.entry(root.clone()).or_insert_with(load).clone()
                });
                jobs.push(Job::Judge {
                    path: path.clone(),
                    kind: *kind,
                    text: None,
                    workspace,
                    records,
                });
            }
            Kind::Ingredient | Kind::Settings => {
                let at = workspace.own.iter().position(|o| o.path == *path);
                // Settings that came along with a folder speak only when something is wrong in them.
                jobs.extend(
                    at.filter(|at| {
                        *kind == Kind::Ingredient
                            || named.contains(path)
                            || workspace.own[*at].is_wrong()
                    })
                    .map(|at| Job::Own(workspace, at)),
                );
            }
        }
    }
    // What is wrong in the workspace's own files changes every judgement, so it is said even where they were not named.
    let told: Vec<PathBuf> = found.iter().map(|(path, _)| path.clone()).collect();
    let mut wrong: Vec<Job> = Vec::new();
    for workspace in workspaces.all() {
        let untold = workspace
            .own
            .iter()
            .enumerate()
            .filter(|(_, o)| o.is_wrong() && !told.contains(&o.path));
        wrong.extend(untold.map(|(at, _)| Job::Own(workspace.clone(), at)));
    }
    wrong.sort_by(|a, b| a.path().cmp(b.path()));
    wrong.extend(jobs);
    wrong
}

impl Job {
    fn path(&self) -> &Path {
        match self {
            Job::Judge { path, .. } => path,
            Job::Own(workspace, at) => &workspace.own[*at].path,
            Job::FileError(trouble) => &trouble.path,
        }
    }

    /// The same file with another text. Only of formulas, batches and stock lists.
    pub fn with_text(&self, text: String) -> Job {
        match self {
            Job::Judge {
                path,
                kind,
                workspace,
                records,
                ..
            } => Job::Judge {
                path: path.clone(),
                kind: *kind,
                text: Some(text),
                workspace: workspace.clone(),
                records: records.clone(),
            },
            Job::Own(workspace, at) => Job::Own(workspace.clone(), *at),
            Job::FileError(trouble) => Job::FileError(trouble.clone()),
        }
    }

    /// Judges the file. A fault of the program costs this file, never the others.
    pub fn report(&self, markets: &[Market], cache: &mut Cache) -> Report {
        match self {
            Job::Judge {
                path,
                kind,
                text,
                workspace,
                records,
            } => {
                let judged = catch_unwind(AssertUnwindSafe(|| {
                    let text = match text {
                        Some(text) => Ok(text.clone()),
                        None => files::read(path),
                    };
                    match text {
                        Ok(text) => judged(
                            path,
                            &text,
                            *kind,
                            workspace,
                            records.as_deref(),
                            markets,
                            cache,
                        ),
                        Err(trouble) => Report::troubled(trouble),
                    }
                }));
                judged.unwrap_or_else(|_| {
                    Report::troubled(FileError {
                        path: path.clone(),
                        line: None,
                        what: "the program failed on this file; please report it".into(),
                    })
                })
            }
            Job::Own(workspace, at) => {
                let own = &workspace.own[*at];
                match &own.text {
                    Ok(text) => Report {
                        path: own.path.clone(),
                        name: None,
                        findings: own.findings.clone(),
                        source: SourceText::Lines(text.lines().map(str::to_owned).collect()),
                        trouble: None,
                        markets: Vec::new(),
                    },
                    Err(unread) => Report::troubled(FileError {
                        path: own.path.clone(),
                        line: unread.line,
                        what: unread.what.clone(),
                    }),
                }
            }
            Job::FileError(trouble) => Report::troubled(trouble.clone()),
        }
    }
}

fn judged(
    path: &Path,
    text: &str,
    kind: FileKind,
    workspace: &Project,
    records: Option<&Records>,
    markets: &[Market],
    cache: &mut Cache,
) -> Report {
    let tree = parse_cached(kind, text, cache);
    let own;
    let settings = if markets.is_empty() {
        &workspace.settings
    } else {
        own = Settings {
            markets: markets.to_vec(),
            ..workspace.settings.clone()
        };
        &own
    };
    let kb: &Kb = &workspace.kb;
    if let Some(Records { shop, plans }) = records {
        let fresh;
        let facts = match shop.facts(path) {
            Some(facts) => &**facts,
            None => {
                fresh = Facts::of(&tree, path, kb);
                &fresh
            }
        };
        let workshop = Workshop::new(shop, facts, path, kb, settings, &Disk, plans);
        return Report {
            path: path.to_owned(),
            name: None,
            findings: judge_record(&tree, workshop, kb, settings),
            source: SourceText::Tree(tree),
            trouble: None,
            markets: Vec::new(),
        };
    }
    let mut analysis = analyze(tree, path, kb, settings, &Disk);
    if !markets.is_empty() {
        analysis = analysis.for_markets(markets);
    }
    let name = analysis.formula.name.as_ref().map(|n| n.value.clone());
    Report {
        path: path.to_owned(),
        name,
        findings: analysis.findings().to_vec(),
        markets: analysis.markets().to_vec(),
        source: SourceText::Tree(analysis.tree),
        trouble: None,
    }
}
