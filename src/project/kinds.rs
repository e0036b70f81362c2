//! What a file is, by its name.

use crate::syntax::FileKind;
use std::path::Path;

/// The name of the settings.
pub use crate::model::settings::FILE_NAME as SETTINGS;
/// The folder of the maker's own ingredients.
pub const OWN: &str = "ingredients";

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Text(FileKind),
    /// A file of own ingredients.
    Ingredient,
    /// `phasewright.toml`.
    Settings,
}

/// None: nothing that is judged.
pub fn kind(path: &Path) -> Option<Kind> {
    if path.file_name().is_some_and(|n| n == SETTINGS) {
        return Some(Kind::Settings);
    }
    if let Some(kind) = FileKind::of_path(path) {
        return Some(Kind::Text(kind));
    }
    let folder = path.parent().and_then(Path::file_name);
    let is_own = folder.is_some_and(|n| n == OWN) && path.extension().is_some_and(|e| e == "toml");
    is_own.then_some(Kind::Ingredient)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_name_tells_the_kind() {
        let of = |path: &str| kind(Path::new(path));
        assert_eq!(of("a.formula"), Some(Kind::Text(FileKind::Formula)));
        assert_eq!(of("x/a.batch"), Some(Kind::Text(FileKind::Batch)));
        assert_eq!(of("x/shelf.stock"), Some(Kind::Text(FileKind::Stock)));
        assert_eq!(of("x/phasewright.toml"), Some(Kind::Settings));
        assert_eq!(of("x/ingredients/rose.toml"), Some(Kind::Ingredient));
        assert_eq!(of("x/rose.toml"), None);
        assert_eq!(of("x/ingredients/notes.txt"), None);
    }
}
