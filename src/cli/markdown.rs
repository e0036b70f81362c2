//! The little Markdown of our own pages, set for a terminal: headings, paragraphs, lists, `code`, and examples.

use super::out::{Styling, style};
use super::wrap::wrap;
use crate::rules::Severity;

pub fn terminal(page: &str, paint: Styling, width: usize) -> String {
    let mut out = String::new();
    let mut lines = page.lines().peekable();
    while let Some(line) = lines.next() {
        if let Some(kind) = line.strip_prefix("```") {
            let label = match kind.rsplit(',').next().unwrap_or_default() {
                "bad" => paint.with(style::severity(Severity::Error), "reported:"),
                "good" => paint.with(style::GOOD, "silent:"),
                "fixed" => paint.with(style::GOOD, "after the fix:"),
                _ => String::new(),
            };
            if !label.is_empty() {
                out.push_str(&format!("{label}\n\n"));
            }
            for line in lines.by_ref().take_while(|l| !l.starts_with("```")) {
                let marks = line.trim_start().starts_with('^');
                let shown = if marks {
                    paint.with(style::severity(Severity::Error), line)
                } else {
                    line.to_owned()
                };
                out.push_str(format!("    {shown}").trim_end());
                out.push('\n');
            }
        } else if line.trim().is_empty() {
            out.push('\n');
        } else if line.starts_with('#') {
            out.push_str(&paint.with(style::BOLD, line.trim_start_matches('#').trim()));
            out.push('\n');
        } else {
            let item = line.strip_prefix("- ");
            let (first, rest) = if item.is_some() {
                ("- ", "  ")
            } else {
                ("", "")
            };
            let mut text = item.unwrap_or(line).to_owned();
            // A paragraph may go on over several lines.
            while let Some(next) =
                lines.next_if(|l| !l.trim().is_empty() && !l.starts_with(['#', '-', '`']))
            {
                text.push(' ');
                text.push_str(next.trim());
            }
            let mut in_code = false;
            for line in wrap(&text, width, first, rest) {
                out.push_str(&styled(&line, paint, &mut in_code));
                out.push('\n');
            }
        }
    }
    out
}

/// `code` in its colour. Without colours the marks stay, for they carry meaning.
fn styled(line: &str, paint: Styling, in_code: &mut bool) -> String {
    if !paint.on {
        return line.to_owned();
    }
    let mut out = String::new();
    for (n, part) in line.split('`').enumerate() {
        if n > 0 {
            *in_code = !*in_code;
        }
        out.push_str(&if *in_code {
            paint.with(style::CODE, part)
        } else {
            part.to_owned()
        });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str =
        "# Title\n\nOne `code` word.\n\n```formula,bad\nwater 5 %\n      ^^^ five\n```\n";

    #[test]
    fn plain_and_painted() {
        let plain = terminal(PAGE, Styling { on: false }, 80);
        assert_eq!(
            plain,
            "Title\n\nOne `code` word.\n\nreported:\n\n    water 5 %\n          ^^^ five\n"
        );
        let painted = terminal(PAGE, Styling { on: true }, 80);
        assert!(painted.contains("\u{1b}[") && !painted.contains('`'));
    }
}
