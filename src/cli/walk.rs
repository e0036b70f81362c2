//! The files of a folder, without what is hidden, what .gitignore names and what the settings leave out. In the page, which has no
//! git and whose size counts, nothing but what is hidden is passed over.

use std::path::PathBuf;

/// A path, or the path that could not be read and why.
pub type Walked = Result<PathBuf, (Option<PathBuf>, String)>;

#[cfg(feature = "shell")]
pub use obeying::{LeftOut, files, matching};
#[cfg(not(feature = "shell"))]
pub use plain::{LeftOut, files, matching};

#[cfg(feature = "shell")]
mod obeying {
    use super::Walked;
    use crate::cli::paths::shown;
    use crate::text::unreadable;
    use globset::GlobBuilder;
    use ignore::gitignore::{Gitignore, GitignoreBuilder};
    use ignore::{Walk, WalkBuilder};
    use std::path::{Path, PathBuf};

    /// Files and folders under a folder, by name.
    pub fn files(folder: &Path) -> impl Iterator<Item = Walked> {
        walk(folder).map(|entry| match entry {
            Ok(e) => Ok(e.into_path()),
            Err(e) => {
                let what = e.io_error().map_or_else(|| e.to_string(), unreadable);
                Err((path_of(&e).map(Path::to_owned), what))
            }
        })
    }

    fn walk(folder: &Path) -> Walk {
        WalkBuilder::new(folder)
            .ignore(false)
            .sort_by_file_name(|a, b| a.cmp(b))
            .build()
    }

    fn path_of(e: &ignore::Error) -> Option<&Path> {
        match e {
            ignore::Error::WithPath { path, .. } => Some(path),
            ignore::Error::WithDepth { err, .. } | ignore::Error::WithLineNumber { err, .. } => {
                path_of(err)
            }
            _ => None,
        }
    }

    /// What a pattern such as `creams/*.formula` fits, where the shell has left it as it is; none: it is no pattern.
    pub fn matching(pattern: &Path) -> Option<Vec<PathBuf>> {
        let text = shown(pattern);
        let at = text.find(['*', '?', '[', '{'])?;
        let folder = match text[..at].rfind('/') {
            Some(0) => "/",
            Some(slash) => &text[..slash],
            None => ".",
        };
        let glob = GlobBuilder::new(&text)
            .literal_separator(true)
            .build()
            .ok()?
            .compile_matcher();
        let all = walk(Path::new(folder)).flatten();
        let fit = all
            .map(|e| crate::cli::paths::tidy(e.path()))
            .filter(|p| glob.is_match(shown(p)));
        Some(fit.collect())
    }

    /// What the settings of a folder leave out.
    pub struct LeftOut(Gitignore);

    impl LeftOut {
        pub fn of(patterns: &[String]) -> LeftOut {
            let mut builder = GitignoreBuilder::new("");
            for pattern in patterns {
                // A pattern that cannot be read leaves nothing out.
                let _ = builder.add_line(None, pattern);
            }
            LeftOut(builder.build().unwrap_or_else(|_| Gitignore::empty()))
        }

        /// A path from the folder of the settings on.
        pub fn holds(&self, path: &Path) -> bool {
            self.0.matched_path_or_any_parents(path, false).is_ignore()
        }
    }
}

#[cfg(not(feature = "shell"))]
mod plain {
    use super::Walked;
    use crate::text::unreadable;
    use std::path::{Path, PathBuf};

    pub fn files(folder: &Path) -> impl Iterator<Item = Walked> {
        let hidden = |e: &walkdir::DirEntry| {
            e.depth() > 0 && e.file_name().as_encoded_bytes().starts_with(b".")
        };
        walkdir::WalkDir::new(folder)
            .sort_by_file_name()
            .into_iter()
            .filter_entry(move |e| !hidden(e))
            .map(|entry| match entry {
                Ok(e) => Ok(e.into_path()),
                Err(e) => {
                    let what = e.io_error().map_or_else(|| e.to_string(), unreadable);
                    Err((e.path().map(Path::to_owned), what))
                }
            })
    }

    pub fn matching(_: &Path) -> Option<Vec<PathBuf>> {
        None
    }

    pub struct LeftOut;

    impl LeftOut {
        pub fn of(_: &[String]) -> LeftOut {
            LeftOut
        }

        pub fn holds(&self, _: &Path) -> bool {
            false
        }
    }
}
