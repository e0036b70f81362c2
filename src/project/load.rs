//! Reads the settings and the own ingredients of a project, and says what is wrong in them.

use super::Project;
use super::home::{Home, ingredient_files};
use crate::analysis::finding::Finding;
use crate::chem::date::Date;
use crate::kb::Kb;
use crate::model::{Settings, settings};
use crate::rules::{self, judge_ingredients, judge_settings};
use crate::text::{Unreadable, read_file, unreadable};
use std::fmt;
use std::path::PathBuf;

/// `phasewright.toml`, a file of `ingredients/`, or that folder where it cannot be listed.
#[derive(Clone, Debug)]
pub struct OwnFile {
    pub path: PathBuf,
    pub text: Result<String, Unread>,
    pub findings: Vec<Finding>,
}

/// Why a file does not count.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unread {
    /// From 1.
    pub line: Option<usize>,
    pub what: String,
}

impl fmt::Display for Unread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(f, "line {line}: ")?;
        }
        f.write_str(&self.what)
    }
}

impl From<Unreadable> for Unread {
    fn from(e: Unreadable) -> Unread {
        Unread {
            line: e.line(),
            what: e.to_string(),
        }
    }
}

impl OwnFile {
    /// It cannot be read, or something is wrong in it.
    pub fn is_wrong(&self) -> bool {
        self.text.is_err() || !self.findings.is_empty()
    }
}

/// The codes that settings may name.
pub fn rule_codes() -> Vec<&'static str> {
    rules::all().map(|r| r.code).collect()
}

pub(super) fn load(home: &Home, today: Date) -> Project {
    let mut own = Vec::new();
    let mut settings = Settings::on(today);
    let read = |path: PathBuf| OwnFile {
        text: read_file(&path).map_err(Unread::from),
        path,
        findings: Vec::new(),
    };
    if let Some(path) = &home.settings {
        let mut file = read(path.clone());
        if let Ok(text) = &file.text {
            let (read, faults) = settings::parse(text, &rule_codes(), today);
            settings = read;
            file.findings = judge_settings(&faults);
        }
        own.push(file);
    }
    let before = own.len();
    if let Some(folder) = &home.ingredients {
        match ingredient_files(folder) {
            Ok(paths) => own.extend(paths.into_iter().map(read)),
            Err(e) => own.push(OwnFile {
                path: folder.clone(),
                text: Err(Unread {
                    line: None,
                    what: unreadable(&e),
                }),
                findings: Vec::new(),
            }),
        }
    }
    let texts: Vec<(PathBuf, String)> = own[before..]
        .iter()
        .filter_map(|f| Some((f.path.clone(), f.text.as_ref().ok()?.clone())))
        .collect();
    let (kb, faults) = Kb::with_user_entries(&texts);
    for file in &mut own[before..] {
        if let Ok(text) = &file.text {
            let mine: Vec<_> = faults
                .iter()
                .filter(|f| f.file == file.path)
                .cloned()
                .collect();
            file.findings = judge_ingredients(text, &mine);
        }
    }
    Project {
        root: home
            .settings
            .as_deref()
            .and_then(|s| Some(s.parent()?.to_owned())),
        settings,
        kb,
        own,
    }
}
