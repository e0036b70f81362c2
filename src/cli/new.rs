//! `new NAME`: a starter formula, sound as it stands, with a comment where a beginner would ask.

use super::Status;
use super::files::{self, shown};
use super::out::{CliError, Terminal, style};
use std::io::Write;
use std::path::{Path, PathBuf};

/// Begin a formula: write a starter with comments
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright new \"Day cream\"       writes day-cream.formula\n  phasewright new creams/night      writes creams/night.formula\n\nA file that is there already is never overwritten."
)]
pub struct Args {
    /// The name of the formula, or of its file
    name: String,
}

const STARTER: &str = include_str!("starter.formula");
const PLACEHOLDER: &str = "NAME";

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let (path, title) = place(&args.name).ok_or_else(|| {
        CliError::said(format!(
            "\"{}\" holds no letter to name a file by; give a name such as \"Day cream\"",
            args.name
        ))
    })?;
    let path = files::tidy(&path);
    let failed = |e: std::io::Error| {
        let what = match e.kind() {
            std::io::ErrorKind::AlreadyExists => {
                "this file is there already and is left as it is; choose another name".to_owned()
            }
            std::io::ErrorKind::NotFound => {
                "its folder does not exist; make the folder first".to_owned()
            }
            _ => format!("it cannot be written: {e}"),
        };
        CliError::said(format!("{}: {what}", shown(&path)))
    };
    let mut file = std::fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(&path)
        .map_err(failed)?;
    file.write_all(STARTER.replacen(PLACEHOLDER, &title, 1).as_bytes())
        .map_err(failed)?;
    let name = out.paint.with(style::FILE, shown(&path));
    out.write(&format!(
        "{name} is written. Open it in your editor, or judge it with\n  phasewright check {}\n",
        quoted(&shown(&path))
    ))?;
    Ok(Status::Clean)
}

/// The file and the title for a name: "Day cream" and "creams/day-cream.formula" both serve.
fn place(name: &str) -> Option<(PathBuf, String)> {
    let path = Path::new(name.trim());
    let last = path.file_name()?.to_str()?;
    let stem = last.strip_suffix(".formula").unwrap_or(last);
    let slug = slug(stem);
    if slug.is_empty() {
        return None;
    }
    let is_slug = slug == stem;
    let file = if last.ends_with(".formula") {
        last.to_owned()
    } else {
        format!("{slug}.formula")
    };
    let title = if is_slug {
        stem.replace('-', " ")
    } else {
        stem.replace('"', "'")
    };
    let mut letters = title.trim().chars();
    let title: String = letters
        .next()?
        .to_uppercase()
        .chain(letters)
        .filter(|c| !c.is_control())
        .collect();
    Some((path.with_file_name(file), title))
}

/// Lower case, hyphens between words.
fn slug(text: &str) -> String {
    let lower = text.to_lowercase().replace(['\'', '’'], "");
    let words: Vec<&str> = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .collect();
    words.join("-")
}

/// As a shell takes it.
fn quoted(path: &str) -> String {
    if path
        .chars()
        .all(|c| c.is_alphanumeric() || "-_./".contains(c))
    {
        path.to_owned()
    } else {
        format!("'{}'", path.replace('\'', "'\\''"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_formulas_and_of_files() {
        let of = |name: &str| place(name).map(|(path, title)| (shown(&path), title));
        let both = |path: &str, title: &str| Some((path.to_owned(), title.to_owned()));
        assert_eq!(of("Day cream"), both("day-cream.formula", "Day cream"));
        assert_eq!(of("day-cream"), both("day-cream.formula", "Day cream"));
        assert_eq!(
            of("creams/night.formula"),
            both("creams/night.formula", "Night")
        );
        assert_eq!(
            of("Gardener's \"best\""),
            both("gardeners-best.formula", "Gardener's 'best'")
        );
        assert_eq!(of("Crème été"), both("crème-été.formula", "Crème été"));
        assert_eq!(of("!!"), None);
        assert_eq!(of(""), None);
    }
}
