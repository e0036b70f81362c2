//! The projects of the files that a command is about.

use super::files;
use crate::project::{self, Project, Projects};
use std::path::Path;
use std::sync::Arc;

/// Projects by folder, each read once, with paths shown as files are.
pub struct Workspaces(Projects);

impl Default for Workspaces {
    fn default() -> Workspaces {
        Workspaces(Projects::on(project::today()).shown_by(files::tidy))
    }
}

impl Workspaces {
    /// The project of a file, today.
    pub fn of(&mut self, file: &Path) -> Arc<Project> {
        self.0.of(file)
    }

    /// Every project that was asked for.
    pub fn all(&self) -> impl Iterator<Item = &Arc<Project>> {
        self.0.all()
    }
}

/// The project of the current folder.
pub fn here() -> Arc<Project> {
    Workspaces::default().of(Path::new("any"))
}
