//! `--watch`: judges again when a file has changed. The files are looked at in turn, which works on every disk, a shared one too.

use crate::cli::files;
use crate::project::{Home, Stamp};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// A maker does not notice that long a wait after saving.
const BEAT: Duration = Duration::from_millis(250);

/// The state of all files that the answer depends on.
#[derive(PartialEq)]
pub struct Seen(BTreeMap<PathBuf, Option<Stamp>>);

impl Seen {
    /// Looks at the files under the paths, and at the settings and own ingredients of their folders.
    pub fn now(paths: &[PathBuf], settings: Option<&Path>) -> Seen {
        let (found, _) = files::find(paths, |_| true, "");
        let mut all: BTreeMap<PathBuf, Option<Stamp>> = BTreeMap::new();
        let mut last: Option<PathBuf> = None;
        for (path, _) in found {
            let folder = path.parent().map(Path::to_owned);
            if folder != last {
                let home = Home::of(&path);
                all.extend(home.files().into_iter().map(|p| (p.clone(), Stamp::of(&p))));
                last = folder;
            }
            let stamp = Stamp::of(&path);
            all.insert(path, stamp);
        }
        all.extend(settings.map(|p| (p.to_owned(), Stamp::of(p))));
        Seen(all)
    }

    /// Waits until something is no longer as it was.
    pub fn wait(&mut self, paths: &[PathBuf], settings: Option<&Path>) {
        loop {
            std::thread::sleep(BEAT);
            let now = Seen::now(paths, settings);
            if now != *self {
                *self = now;
                return;
            }
        }
    }
}
