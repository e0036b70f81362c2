//! The folders that are open: their workshops, their files, and when any of these has changed.

use super::state::{GlobalState, workshop_root};
use super::workshops::Workshop;
use crate::model::shop::folder;
use std::path::{Path, PathBuf};
use std::sync::Arc;

impl GlobalState {
    /// Files were opened, closed or saved, or have changed on the disk.
    pub fn workspace_changed(&self) {
        self.revision.send_modify(|n| *n += 1);
    }

    pub fn revision(&self) -> u64 {
        *self.revision.borrow()
    }

    /// Waits until there is a newer revision.
    pub async fn changed_since(&self, revision: u64) {
        let mut changes = self.revision.subscribe();
        // The sender lives as long as the state.
        let _ = changes.wait_for(|now| *now > revision).await;
    }

    /// The version of a file that is open.
    pub fn version_of(&self, path: &Path) -> Option<i32> {
        let state = self.lock();
        let open = state.documents.get(&*path.to_string_lossy());
        open.map(|o| o.version)
    }

    /// The formulas of the folder that a file belongs to.
    pub fn formulas_around(&self, path: &Path) -> Vec<PathBuf> {
        folder::formulas(&self.root_of(path))
    }

    /// The formulas, batches and stock files of the folder that a file belongs to.
    pub fn files_around(&self, path: &Path) -> Vec<PathBuf> {
        let root = self.root_of(path);
        let records = folder::find(&root).files.into_iter().map(|(path, _)| path);
        records.chain(folder::formulas(&root)).collect()
    }

    /// The workshops of all that is open: documents and folders. Each is read when it is first asked for.
    pub async fn open_workshops(self: &Arc<Self>) -> Vec<Arc<Workshop>> {
        let mut all: Vec<Arc<Workshop>> = Vec::new();
        {
            let mut state = self.lock();
            let state = &mut *state;
            let folders = state.folders.iter();
            // A folder is asked for by a file in it.
            let mut files: Vec<PathBuf> = folders.map(|f| f.join("any.batch")).collect();
            files.extend(state.documents.values().map(|o| o.path.clone()));
            for file in files.iter().filter(|f| f.is_absolute()) {
                let project = state.projects.of(file);
                let root = workshop_root(file, &project);
                let (workshop, is_new) = state.workshops.of(root, &project);
                if is_new {
                    state.tell_of_open_records();
                }
                if !all.iter().any(|w| Arc::ptr_eq(w, &workshop)) {
                    all.push(workshop);
                }
            }
        }
        self.update_workshops();
        let mut ready = Vec::new();
        for workshop in all {
            if workshop.ready().await {
                ready.push(workshop);
            }
        }
        ready
    }

    fn root_of(&self, path: &Path) -> PathBuf {
        let project = self.lock().projects.of(path);
        workshop_root(path, &project)
    }
}
