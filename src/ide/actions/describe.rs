//! Beginning the file of a material that the base does not know, with what its name tells.

use crate::ide::Snapshot;
use crate::kb::names::key;
use crate::model::Material;
use crate::text::Place;
use std::path::{Path, PathBuf};

/// A file to create and to open, for the finding `unknown-ingredient`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewFile {
    pub title: String,
    /// Where the finding stands.
    pub mends: Place,
    pub path: PathBuf,
    pub text: String,
}

/// Of the unknown materials on some lines, both ends included.
pub fn new_files(s: &Snapshot, first_line: u32, last_line: u32) -> Vec<NewFile> {
    let rows = s.formula.iter().flat_map(|f| &f.rows);
    let unknown = rows.filter(|r| {
        (first_line..=last_line).contains(&r.line) && matches!(r.material, Material::Unknown)
    });
    let begun = unknown.filter_map(|r| {
        let place = Place {
            line: r.line,
            span: r.name.span,
        };
        begin(s, &r.name.value, place)
    });
    begun.collect()
}

fn begin(s: &Snapshot, name: &str, mends: Place) -> Option<NewFile> {
    let id = id(name)?;
    let path = folder(s)?.join(format!("{id}.toml"));
    if path.exists() || s.kb.by_id(&id).is_some() {
        return None;
    }
    Some(NewFile {
        title: format!("Describe \"{name}\" in ingredients/{id}.toml"),
        mends,
        text: text(name, &id),
        path,
    })
}

/// Small letters, digits and hyphens; none of a name that has no letter of these.
fn id(name: &str) -> Option<String> {
    let mut id = String::new();
    for c in key(name).chars() {
        if c.is_ascii_alphanumeric() {
            id.push(c);
        } else if !id.ends_with('-') {
            id.push('-');
        }
    }
    let id = id.trim_matches('-').to_owned();
    (id.len() <= 80 && id.contains(|c: char| c.is_ascii_lowercase())).then_some(id)
}

/// Where the maker's own ingredients lie, or should: next to the settings, else next to the formula.
fn folder(s: &Snapshot) -> Option<PathBuf> {
    let here = s.path.parent().filter(|f| f.is_absolute())?;
    let own = s.kb.user_folder().map(Path::to_owned);
    own.or_else(|| {
        let settings = here
            .ancestors()
            .find(|f| f.join("phasewright.toml").is_file());
        Some(settings.unwrap_or(here).join("ingredients"))
    })
}

/// What the last word of a name says of the material: its role and the phases that it goes into.
const KINDS: [(&str, &str, &[&str]); 12] = [
    ("essential oil", "essential-oil", &["cool-down", "oil"]),
    ("absolute", "essential-oil", &["cool-down", "oil"]),
    ("extract", "extract", &["cool-down", "water"]),
    ("hydrosol", "hydrosol", &["water", "cool-down"]),
    ("hydrolate", "hydrosol", &["water", "cool-down"]),
    ("oil", "oil", &["oil"]),
    ("butter", "butter", &["oil"]),
    ("wax", "wax", &["oil"]),
    ("clay", "clay", &["powder", "water"]),
    ("starch", "starch", &["powder", "oil"]),
    ("powder", "powder", &["powder"]),
    ("gum", "gum", &["water"]),
];

fn text(name: &str, id: &str) -> String {
    let quoted = |s: &str| toml::Value::String(s.to_owned()).to_string();
    let mut out = format!(
        "# {name}: what you know of it. Your supplier's data sheet says most; leave out what you do not know.\n\
         id = {}\n",
        quoted(id)
    );
    if looks_like_inci(name) {
        out.push_str(&format!("inci = {}\n", quoted(name)));
    } else {
        out.push_str("# inci = \"its name on a label\"\n");
    }
    out.push_str(&format!("names = [{}]\n", quoted(name)));
    let known = format!(" {}", key(name));
    match KINDS
        .iter()
        .find(|(word, ..)| known.ends_with(&format!(" {word}")))
    {
        Some((_, role, phases)) => {
            let phases: Vec<String> = phases.iter().map(|p| quoted(p)).collect();
            out.push_str(&format!(
                "roles = [{}]\nphase = [{}]\n",
                quoted(role),
                phases.join(", ")
            ));
        }
        None => out.push_str("# roles = [\"humectant\"]\n# phase = [\"water\"]\n"),
    }
    out.push_str(
        "# use = [{ product = \"leave-on\", low = 1, high = 5, source = \"practice\" }]\n\
         # composition = [{ of = \"glycerin\", percent = 80 }, { of = \"water\", percent = 20 }]\n",
    );
    out
}

/// INCI names of plants and of substances are written with capitals throughout.
fn looks_like_inci(name: &str) -> bool {
    let words: Vec<&str> = name.split(' ').filter(|w| !w.is_empty()).collect();
    let capital = |w: &&str| {
        w.starts_with(|c: char| c.is_uppercase() || c.is_ascii_digit() || c == '(')
            && w.chars().any(char::is_alphabetic)
    };
    words.len() > 1 && words.iter().all(capital)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kb::Kb;

    /// What is begun is a file that is understood as it stands.
    #[test]
    fn what_is_begun_is_sound() {
        for (name, holds) in [
            ("prickly pear extract", "roles = [\"extract\"]"),
            ("moringa peregrina oil", "phase = [\"oil\"]"),
            (
                "Sclerocarya Caffra Nut Oil",
                "inci = \"Sclerocarya Caffra Nut Oil\"",
            ),
            ("gel base no. 4 \"soft\"", "id = \"gel-base-no-4-soft\""),
            ("mystery powder", "roles = [\"powder\"]"),
        ] {
            let id = id(name).expect("letters");
            let text = text(name, &id);
            assert!(text.contains(holds), "{text}");
            let file = PathBuf::from(format!("ingredients/{id}.toml"));
            let (kb, faults) = Kb::with_user_entries(&[(file, text.clone())]);
            assert!(faults.is_empty(), "{faults:?}\n{text}");
            assert!(kb.by_id(&id).is_some());
        }
    }

    #[test]
    fn names_without_letters_begin_no_file() {
        assert_eq!(id("水"), None);
        assert_eq!(id("..."), None);
        assert_eq!(id("../../etc/passwd").as_deref(), Some("etc-passwd"));
    }
}
