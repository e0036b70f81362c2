//! The frame of every printed page: title, style, the name of what was printed and from which file.

/// Style of all papers: black on white, large enough for the bench, tables that break between rows.
pub const STYLE: &str = include_str!("page.css");

/// A text between the quotes of a style: whatever is no letter, digit, hyphen or point is written by its number.
pub fn css_text(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_ascii_alphanumeric() || matches!(c, '-' | '.' | ' ') {
            out.push(c);
        } else {
            out.push_str(&format!("\\{:x} ", u32::from(c)));
        }
    }
    out
}

/// What stands on every page.
pub struct Head {
    /// "Weigh sheet".
    pub kind: &'static str,
    /// Name of the formula.
    pub name: String,
    /// "Version 4, gardeners-hand-cream.formula".
    pub from: String,
}

impl Head {
    pub fn of(kind: &'static str, name: &str, version: Option<&str>, file: &str) -> Head {
        let version = version.map_or(String::new(), |v| format!("Version {v}, "));
        Head {
            kind,
            name: name.to_owned(),
            from: format!("{version}{file}"),
        }
    }
}

/// The head of a paper in a terminal.
pub fn heading(head: &Head, width: usize) -> String {
    let options = textwrap::Options::new(width.max(20)).subsequent_indent("  ");
    format!(
        "{}\n{}\n",
        textwrap::fill(&format!("{}: {}", head.kind, head.name), &options),
        textwrap::fill(&head.from, &options)
    )
}

/// A blank line, a heading, and lines under it, each broken at the width and hanging by two; nothing where there are none.
pub fn lines(title: &str, lines: &[String], width: usize) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let mut out = if title.is_empty() {
        "\n".to_owned()
    } else {
        format!("\n{title}\n")
    };
    let options = textwrap::Options::new(width.max(20))
        .initial_indent("  ")
        .subsequent_indent("    ");
    for line in lines {
        out.push_str(&textwrap::fill(line, &options));
        out.push('\n');
    }
    out
}

/// Last words of every paper that a decision may rest on.
pub const WHO_DECIDES: &str = "Worked out from the file as written. Local codes and licensed practice decide; the maker answers for the product.";
