//! Where papers lie for the browser: one folder of this user's, always the same. A paper of the same formula replaces the one before.

use std::borrow::Cow;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io;
#[cfg(not(target_family = "wasm"))]
use std::io::Write;
use std::path::{Path, PathBuf};

/// Writes a paper about the formula in a file, whole or not at all. Gives its path.
pub fn write(
    folder: Option<PathBuf>,
    formula: &Path,
    ending: &str,
    html: &str,
) -> io::Result<PathBuf> {
    let folder = folder.unwrap_or_else(of_this_user);
    write_as(&folder, &name(formula, ending), html)
}

/// In a page no browser could open a written file: the page shows the paper itself. Gives the path that it would have.
#[cfg(target_family = "wasm")]
pub fn write_as(folder: &Path, name: &str, _: &str) -> io::Result<PathBuf> {
    Ok(folder.join(name))
}

/// Writes a file into the folder, whole or not at all. Gives its path.
#[cfg(not(target_family = "wasm"))]
pub fn write_as(folder: &Path, name: &str, text: &str) -> io::Result<PathBuf> {
    make(folder)?;
    let path = folder.join(name);
    let mut file = tempfile::NamedTempFile::new_in(folder)?;
    file.write_all(text.as_bytes())?;
    file.persist(&path)?;
    Ok(path)
}

/// `hand-gel-1f2e3d4c.sheet.html`: two formulas of one name in two folders have papers of their own.
fn name(formula: &Path, ending: &str) -> String {
    let mut hasher = DefaultHasher::new();
    formula.hash(&mut hasher);
    let stem = formula
        .file_stem()
        .map_or(Cow::Borrowed("formula"), |s| s.to_string_lossy());
    format!("{stem}-{:08x}.{ending}", hasher.finish() as u32)
}

/// The cache folder of the user, where the system has one; else the one for temporary files.
pub fn of_this_user() -> PathBuf {
    let set = |name: &str| {
        std::env::var_os(name)
            .map(PathBuf::from)
            .filter(|p| p.is_absolute())
    };
    let cache = if cfg!(windows) {
        set("LOCALAPPDATA")
    } else if cfg!(target_os = "macos") {
        set("HOME").map(|h| h.join("Library/Caches"))
    } else {
        set("XDG_CACHE_HOME").or_else(|| set("HOME").map(|h| h.join(".cache")))
    };
    match cache {
        // A page has no such folder, and to ask for one fails there.
        None if cfg!(target_family = "wasm") => PathBuf::from("/phasewright-papers"),
        Some(cache) => cache.join("phasewright").join("papers"),
        None => std::env::temp_dir().join("phasewright-papers"),
    }
}

/// Only this user may look into it.
#[cfg(not(target_family = "wasm"))]
fn make(folder: &Path) -> io::Result<()> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_of_one_name_have_papers_of_their_own() {
        let one = name(Path::new("/a/gel.formula"), "sheet.html");
        assert_ne!(one, name(Path::new("/b/gel.formula"), "sheet.html"));
        assert_eq!(one, name(Path::new("/a/gel.formula"), "sheet.html"));
        assert!(one.starts_with("gel-") && one.ends_with(".sheet.html"));
    }
}
