//! Where something stands in its file, found by the TOML reader's own spans.

use std::path::PathBuf;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A file that was read.
#[derive(Clone, Debug)]
pub struct SourceFile {
    pub path: PathBuf,
    pub text: String,
}

/// A file, by its number, and the way to a thing in it: keys and places in arrays, with dots between ("limit.3.substances.0").
#[derive(Clone, Debug)]
pub struct Origin {
    pub file: usize,
    pub path: String,
}

impl Origin {
    pub fn new(file: usize, path: String) -> Origin {
        Origin { file, path }
    }
}

/// The line (from 1) of what a path leads to. Where its end is not there, the line of the last step that is.
/// 0 where not even its first step is.
pub fn line_at(text: &str, path: &str) -> usize {
    let Ok(root) = DeTable::parse(text) else {
        return 0;
    };
    let mut steps = path.split('.').filter(|step| !step.is_empty());
    let Some((key, mut value)) = steps
        .next()
        .and_then(|step| root.get_ref().get_key_value(step))
    else {
        return 0;
    };
    let mut at = key.span().start;
    for step in steps {
        let Some((start, inner)) = within(value, step) else {
            break;
        };
        (at, value) = (start, inner);
    }
    1 + text[..at.min(text.len())].matches('\n').count()
}

/// One step into a table or an array: where the key or the element begins, and its value.
fn within<'a, 'i>(
    value: &'a Spanned<DeValue<'i>>,
    step: &str,
) -> Option<(usize, &'a Spanned<DeValue<'i>>)> {
    match value.get_ref() {
        DeValue::Table(table) => {
            let (key, inner) = table.get_key_value(step)?;
            Some((key.span().start, inner))
        }
        DeValue::Array(all) => {
            let inner = all.get(step.parse::<usize>().ok()?)?;
            Some((inner.span().start, inner))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::line_at;

    #[test]
    fn the_line_is_that_of_the_last_step_that_is_there() {
        let text = "id = \"x\"\nph.works = { low = 1 }\nuse = [\n  { high = 1 },\n  { high = 2 },\n]\n\n[[groups]]\npka = 1\n[[groups]]\npka = 2\n";
        for (path, line) in [
            ("id", 1),
            ("ph.works.low", 2),
            ("ph.bears", 2),
            ("use.1", 5),
            ("use.1.high", 5),
            ("use.7", 3),
            ("groups.1.pka", 11),
            ("groups.1", 10),
            ("nothing", 0),
            ("", 0),
        ] {
            assert_eq!(line_at(text, path), line, "{path}");
        }
        assert_eq!(line_at("id = ", "id"), 0);
    }
}
