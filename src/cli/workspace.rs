//! The projects of the files that a command is about.

use super::files;
use super::walk::LeftOut;
use crate::project::{self, Project, Projects};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Projects by folder, each read once, with paths shown as files are.
pub struct Workspaces {
    projects: Projects,
    /// What the settings of each folder leave out.
    left_out: HashMap<PathBuf, LeftOut>,
}

impl Default for Workspaces {
    fn default() -> Workspaces {
        Workspaces::with(None)
    }
}

impl Workspaces {
    /// With settings that stand for those of all files.
    pub fn with(settings: Option<&Path>) -> Workspaces {
        let mut projects = Projects::on(project::today()).shown_by(files::tidy);
        if let Some(path) = settings {
            projects = projects.with_settings(path, Path::new("."));
        }
        Workspaces {
            projects,
            left_out: HashMap::new(),
        }
    }

    /// The project of a file, today.
    pub fn of(&mut self, file: &Path) -> Arc<Project> {
        self.projects.of(file)
    }

    /// Every project that was asked for.
    pub fn all(&self) -> impl Iterator<Item = &Arc<Project>> {
        self.projects.all()
    }

    /// True of a file that its settings leave out (`exclude`).
    pub fn leaves_out(&mut self, project: &Project, file: &Path) -> bool {
        let Some(root) = &project.root else {
            return false;
        };
        let patterns = &project.settings.exclude;
        let Ok(inside) = whole(file).strip_prefix(whole(root)).map(Path::to_owned) else {
            return false;
        };
        let left_out = self
            .left_out
            .entry(root.clone())
            .or_insert_with(|| LeftOut::of(patterns));
        left_out.holds(&inside)
    }
}

/// A path from the root of the disk on.
fn whole(path: &Path) -> PathBuf {
    std::path::absolute(path).unwrap_or_else(|_| path.to_owned())
}

/// The project of the current folder.
pub fn here() -> Arc<Project> {
    Workspaces::default().of(Path::new("any"))
}
