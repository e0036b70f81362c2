//! The built page: the one inside the program, or one in a folder.

use rust_embed::RustEmbed;
use std::borrow::Cow;
use std::path::{Component, Path, PathBuf};

#[derive(RustEmbed)]
#[folder = "editors/page/dist"]
#[allow_missing = true]
struct Inside;

/// What the page is told, so that it works on the files of the program.
const ALONE: &str = "name=\"phasewright-home\" content=\"browser\"";
const SERVED: &str = "name=\"phasewright-home\" content=\"served\"";

pub enum BuiltPage {
    Inside,
    Folder(PathBuf),
}

impl BuiltPage {
    pub fn find(folder: Option<&Path>) -> Result<BuiltPage, String> {
        let page = match folder {
            Some(folder) => BuiltPage::Folder(folder.to_owned()),
            None => BuiltPage::Inside,
        };
        match (page.file("index.html"), folder) {
            (Some(_), _) => Ok(page),
            (None, Some(folder)) => Err(format!(
                "{}: there is no built page; build it with: bash editors/page/build",
                folder.display()
            )),
            (None, None) => Err(
                "this program was built without the page; with Node installed, run: bash editors/page/build, then build the program again"
                    .to_owned(),
            ),
        }
    }

    /// A file of the page, and its kind.
    pub fn file(&self, path: &str) -> Option<(Cow<'static, [u8]>, &'static str)> {
        let path = if path.is_empty() { "index.html" } else { path };
        let kind = kind(path)?;
        let bytes = match self {
            BuiltPage::Inside => Inside::get(path)?.data,
            BuiltPage::Folder(folder) => {
                let is_plain = |c: Component| matches!(c, Component::Normal(_));
                let inside = Path::new(path).components().all(is_plain);
                Cow::Owned(std::fs::read(folder.join(path)).ok().filter(|_| inside)?)
            }
        };
        if path == "index.html" {
            let text = String::from_utf8_lossy(&bytes).replace(ALONE, SERVED);
            return Some((text.into_bytes().into(), kind));
        }
        Some((bytes, kind))
    }
}

/// Nothing of another kind belongs to the page.
fn kind(path: &str) -> Option<&'static str> {
    let kind = match path.rsplit('.').next()? {
        "html" => "text/html; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "xz" => "application/x-xz",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "webmanifest" => "application/manifest+json",
        _ => return None,
    };
    Some(kind)
}
