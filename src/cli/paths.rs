//! How the paths of files are shown.

use std::path::{Component, Path, PathBuf};

/// Relative to the current folder where the path lies in it; without `.` steps.
pub fn tidy(path: &Path) -> PathBuf {
    let relative = if path.is_absolute() {
        here()
            .and_then(|h| path.strip_prefix(h).ok())
            .unwrap_or(path)
    } else {
        path
    };
    let out: PathBuf = relative
        .components()
        .filter(|c| !matches!(c, Component::CurDir))
        .collect();
    if out.as_os_str().is_empty() {
        PathBuf::from(".")
    } else {
        out
    }
}

/// The current folder, asked for once.
pub fn here() -> Option<&'static Path> {
    static HERE: std::sync::OnceLock<Option<PathBuf>> = std::sync::OnceLock::new();
    HERE.get_or_init(|| std::env::current_dir().ok()).as_deref()
}

/// A path as it is shown: always with `/`.
pub fn shown(path: &Path) -> String {
    let text = path.to_string_lossy();
    if std::path::MAIN_SEPARATOR == '/' {
        text.into_owned()
    } else {
        text.replace(std::path::MAIN_SEPARATOR, "/")
    }
}
