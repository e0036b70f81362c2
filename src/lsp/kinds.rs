//! What an open document is: by its language first, then by its name.

use super::convert;
use crate::syntax::FileKind;
use std::path::{Path, PathBuf};

pub use crate::model::settings::FILE_NAME as SETTINGS;
pub const OWN: &str = "ingredients";

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Text(FileKind),
    Settings,
    Ingredient,
    /// Nothing that we judge; its text is kept all the same.
    Other,
}

pub fn kind(language: &str, path: &Path) -> Kind {
    match language {
        "formula" => return Kind::Text(FileKind::Formula),
        "batch" => return Kind::Text(FileKind::Batch),
        "stock" => return Kind::Text(FileKind::Stock),
        _ => {}
    }
    if let Some(kind) = FileKind::of_path(path) {
        return Kind::Text(kind);
    }
    if path.file_name().is_some_and(|n| n == SETTINGS) {
        return Kind::Settings;
    }
    let own = path
        .parent()
        .and_then(Path::file_name)
        .is_some_and(|n| n == OWN);
    if own && path.extension().is_some_and(|e| e == "toml") {
        Kind::Ingredient
    } else {
        Kind::Other
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
            Kind::Text(FileKind::Formula)
        );
        assert_eq!(
            kind("plaintext", Path::new("a.batch")),
            Kind::Text(FileKind::Batch)
        );
        assert_eq!(
            kind("toml", Path::new("x/phasewright.toml")),
            Kind::Settings
        );
        assert_eq!(
            kind("toml", Path::new("x/ingredients/own.toml")),
            Kind::Ingredient
        );
        assert_eq!(kind("toml", Path::new("x/other.toml")), Kind::Other);
        assert_eq!(
            path("untitled:Untitled-1", &[PathBuf::from("/w")]),
            Path::new("/w/Untitled-1")
        );
    }
}
