//! The page of a rule as a file, so that the code of a finding can lead to it. Written once by each process.

use super::convert;
use super::papers_folder::{of_this_user, write_as};
use crate::rules::{by_code, page};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::{LazyLock, Mutex, PoisonError};
use tower_lsp::gen_lsp_types::Uri;

type Written = HashMap<(PathBuf, &'static str), Option<Uri>>;

static WRITTEN: LazyLock<Mutex<Written>> = LazyLock::new(Mutex::default);

/// The folder of the pages, inside that of the papers.
pub fn folder(papers: Option<PathBuf>) -> PathBuf {
    papers.unwrap_or_else(of_this_user).join("rules")
}

/// The address of the page in this folder; none where there is no page or it cannot be written.
pub fn uri(folder: &Path, code: &'static str) -> Option<Uri> {
    let mut written = WRITTEN.lock().unwrap_or_else(PoisonError::into_inner);
    let key = (folder.to_owned(), code);
    written
        .entry(key)
        .or_insert_with(|| write(folder, code))
        .clone()
}

fn write(folder: &Path, code: &str) -> Option<Uri> {
    let page = page::markdown(by_code(code)?);
    let name = format!("{code}.md");
    let path = folder.join(&name);
    // The version before may have left the same page.
    if std::fs::read_to_string(&path).is_ok_and(|there| there == page) {
        return convert::uri_of(&path);
    }
    convert::uri_of(&write_as(folder, &name, &page).ok()?)
}
