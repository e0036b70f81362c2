//! Sets text to a width. A number and its unit stay together, a code keeps its hyphens.

use textwrap::{Options, WordSplitter};

/// Lines of at most `width` columns; all but the first begin with `under`.
pub fn wrap(text: &str, width: usize, first: &str, under: &str) -> Vec<String> {
    let glued = glue(text);
    let options = Options::new(width)
        .initial_indent(first)
        .subsequent_indent(under)
        .break_words(false)
        .word_splitter(WordSplitter::NoHyphenation);
    textwrap::wrap(&glued, options)
        .iter()
        .map(|l| l.replace(GLUE, " "))
        .collect()
}

/// The no-break space: as wide as a blank, and none to break at.
const GLUE: char = '\u{a0}';
const UNITS: [&str; 11] = [
    "%", "°C", "°F", "g", "kg", "mg", "mL", "L", "min", "h", "months",
];

/// "0.02 %", "line 12", "pH 5.2": the blank in them is none to break at.
fn glue(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut last = "";
    for word in text.split(' ') {
        let bare = word.trim_end_matches([',', '.', ';', ':', ')']);
        let number = |w: &str| {
            w.trim_start_matches('(')
                .starts_with(|c: char| c.is_ascii_digit())
        };
        let together = number(last) && UNITS.contains(&bare)
            || matches!(last, "pH" | "line" | "(pH" | "(line") && number(bare);
        if !out.is_empty() {
            out.push(if together { GLUE } else { ' ' });
        }
        out.push_str(word);
        last = word;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::wrap;

    #[test]
    fn a_number_keeps_its_unit_and_a_code_its_hyphens() {
        assert_eq!(
            wrap("lasts at most 0.02 %, so", 17, "", "  "),
            ["lasts at most", "  0.02 %, so"]
        );
        assert_eq!(
            wrap("see [heat-sensitive]", 12, "", ""),
            ["see", "[heat-sensitive]"]
        );
        assert_eq!(
            wrap("goes in at pH 5.2 only", 13, "", ""),
            ["goes in at", "pH 5.2 only"]
        );
    }
}
