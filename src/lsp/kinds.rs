//! What an open document is: by its language first, then by its name.

use super::convert;
use crate::project::{self, Kind};
use crate::syntax::FileKind;
use std::path::{Path, PathBuf};

pub use crate::project::SETTINGS;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DocumentKind {
    Text(FileKind),
    Settings,
    Ingredient,
    /// Nothing that we judge; its text is kept all the same.
    Unsupported,
}

pub fn kind(language: &str, path: &Path) -> DocumentKind {
    match language {
        "formula" => return DocumentKind::Text(FileKind::Formula),
        "batch" => return DocumentKind::Text(FileKind::Batch),
        "stock" => return DocumentKind::Text(FileKind::Stock),
        _ => {}
    }
    match project::kind(path) {
        Some(Kind::Text(kind)) => DocumentKind::Text(kind),
        Some(Kind::Settings) => DocumentKind::Settings,
        Some(Kind::Ingredient) => DocumentKind::Ingredient,
        None => DocumentKind::Unsupported,
    }
}

/// Where a document lies. One that was never saved lies in the first folder of the workspace.
pub fn path(uri: &str, folders: &[PathBuf]) -> PathBuf {
    convert::path_of(uri).unwrap_or_else(|| {
        let name = uri.rsplit(['/', ':', '\\']).next().unwrap_or_default();
        folders
            .first()
            .map_or_else(|| PathBuf::from(name), |f| f.join(name))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_language_decides_before_the_name() {
        assert_eq!(
            kind("formula", Path::new("Untitled-1")),
            DocumentKind::Text(FileKind::Formula)
        );
        assert_eq!(
            kind("plaintext", Path::new("a.batch")),
            DocumentKind::Text(FileKind::Batch)
        );
        assert_eq!(
            kind("toml", Path::new("x/phasewright.toml")),
            DocumentKind::Settings
        );
        assert_eq!(
            kind("toml", Path::new("x/ingredients/own.toml")),
            DocumentKind::Ingredient
        );
        assert_eq!(
            kind("toml", Path::new("x/other.toml")),
            DocumentKind::Unsupported
        );
        assert_eq!(
            path("untitled:Untitled-1", &[PathBuf::from("/w")]),
            Path::new("/w/Untitled-1")
        );
    }
}
