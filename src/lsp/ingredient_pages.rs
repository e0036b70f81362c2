//! The card of a bundled ingredient as a file that can be read and not written, so that its name leads somewhere.

use super::convert;
use super::papers_folder::{of_this_user, write_as};
use std::path::PathBuf;
use tower_lsp::gen_lsp_types::Uri;

/// The address of the card's page, which is written again where it says something else. None where it cannot be written.
pub fn uri(papers: Option<PathBuf>, id: &str, card: &str) -> Option<Uri> {
    let folder = papers.unwrap_or_else(of_this_user).join("ingredients");
    let name = format!("{id}.md");
    let path = folder.join(&name);
    if std::fs::read_to_string(&path).is_ok_and(|there| there == card) {
        return convert::uri_of(&path);
    }
    // Where it is there, it is read-only.
    let _ = std::fs::remove_file(&path);
    let written = write_as(&folder, &name, card).ok()?;
    if let Ok(about) = std::fs::metadata(&written) {
        let mut permissions = about.permissions();
        permissions.set_readonly(true);
        let _ = std::fs::set_permissions(&written, permissions);
    }
    convert::uri_of(&written)
}
