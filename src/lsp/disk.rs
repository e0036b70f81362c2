//! Looks at the disk, whether the client watches files or not. None of it happens under the lock of the state.

use super::loader::UsedFrom;
use super::state::GlobalState;
use super::tasks;
use crate::project::Stamp;
use std::path::PathBuf;

impl GlobalState {
    /// Looks at settings, own ingredients and the other files that open documents were judged with: at the date of each. The look at batches
    /// and stock begins in the background.
    pub fn look_at_disk(&self) {
        let (known, used) = {
            let mut state = self.lock();
            (state.projects.known(), state.used_files())
        };
        let news = known.look((self.options.today)());
        let stamps: Vec<(PathBuf, Option<Stamp>)> = used
            .into_iter()
            .map(|path| {
                let stamp = Stamp::of(&path);
                (path, stamp)
            })
            .collect();
        let mut state = self.lock();
        let mut changed = state.projects.take(news) && state.forget_where(|_| true);
        for (path, now) in stamps {
            changed |= state.forget_users(&path, |_, open| {
                open.used.iter().any(|u| match u.from {
                    UsedFrom::Disk(before) => u.path == path && now != before,
                    UsedFrom::Editor => false,
                })
            });
        }
        drop(state);
        if changed {
            self.check.notify_one();
        }
        self.look.notify_one();
    }

    /// Looks at the dates of all batches and stock. There may be thousands, so it is done in the background.
    pub async fn look_at_workshops(&self) {
        let workshops = self.lock().workshops.all();
        if workshops.is_empty() {
            return;
        }
        let look = move || -> Vec<PathBuf> {
            let changed = workshops.iter().filter(|w| w.look_at_disk());
            changed.map(|w| w.root.clone()).collect()
        };
        match tasks::spawn_blocking(look).await {
            Some(changed) if changed.is_empty() => {}
            Some(changed) => {
                self.forget_records(|path| changed.iter().any(|root| path.starts_with(root)));
            }
            None => eprintln!(
                "phasewright: the look at batches and lots failed; this is a fault of the program"
            ),
        }
    }
}
