//! The label for the terminal: what is printed first, what the maker has to know after it.

use super::{Label, MarketLabel};
use crate::papers::table::{self, Column};

/// Lines longer than this are hard to read.
const MAX_WIDTH: usize = 110;

pub(super) fn text(label: &Label, width: usize) -> String {
    let width = width.clamp(30, MAX_WIDTH);
    let head = label.head();
    let mut out = format!("{}: {}\n{}\n", head.kind, head.name, head.from);
    for l in &label.labels {
        out.push('\n');
        market(l, width, &mut out);
    }
    out.push('\n');
    paragraph(label.who_answers, "", width, &mut out);
    out
}

fn market(l: &MarketLabel, width: usize, out: &mut String) {
    let title = format!("{}: {}, as of {}", l.market, l.law, l.law_as_of);
    paragraph(&title, "", width, out);
    out.push_str(&"=".repeat(title.chars().count().min(width)));
    out.push('\n');
    if let Some(function) = &l.function {
        paragraph(&capital(function), "", width, out);
    }
    paragraph(
        &format!("Ingredients: {}", l.ingredients.join(", ")),
        "",
        width,
        out,
    );
    for net in &l.net {
        paragraph(net, "", width, out);
    }
    for words in &l.warnings {
        paragraph(words, "", width, out);
    }
    paragraph(&format!("Batch: {}", l.batch), "", width, out);
    for part in &l.to_fill_in {
        paragraph(part, "", width, out);
    }

    heading("For the maker, not for the label", out);
    item(&l.verdict, width, out);
    for o in &l.law_findings {
        item(
            &format!("line {}: {} [{}]", o.line, o.message, o.code),
            width,
            out,
        );
    }
    if !l.allergens.is_empty() {
        heading("Fragrance allergens", out);
        let rows = l.allergens.iter().map(|a| {
            let range = format!("{} to {}", a.low_percent, a.high_percent);
            let named = if a.listed {
                "as an ingredient"
            } else {
                a.declared.name()
            };
            vec![
                a.name.clone(),
                a.percent.to_string(),
                range,
                named.to_owned(),
                a.from.join(", "),
            ]
        });
        let columns = [
            ("name", Column::Words),
            ("%", Column::Number),
            ("low to high", Column::Words),
            ("declared", Column::Words),
            ("from", Column::Words),
        ];
        out.push_str(&table::text(&columns, rows, width));
    }
    if !l.warning_details.is_empty() {
        heading("Why these words", out);
        for w in &l.warning_details {
            let why = if w.because_of.is_empty() {
                String::new()
            } else {
                format!(" for {}", w.because_of.join(", "))
            };
            item(
                &format!("\"{}\"{why}: {}{}", w.text, w.at, again(w.recheck)),
                width,
                out,
            );
        }
    }
    heading("Durability", out);
    item(&l.durability, width, out);
    if !l.notes.is_empty() {
        heading("Notes", out);
        for note in &l.notes {
            item(note, width, out);
        }
    }
    heading("Also asked of the label", out);
    for also in &l.also_on_the_label {
        item(
            &format!("[ ] {} ({}{})", also.text, also.at, again(also.recheck)),
            width,
            out,
        );
    }
}

fn again(recheck: bool) -> &'static str {
    if recheck {
        "; look the text up again"
    } else {
        ""
    }
}

fn heading(words: &str, out: &mut String) {
    out.push_str(&format!("\n{words}\n"));
}

fn item(words: &str, width: usize, out: &mut String) {
    let words = capital(words);
    let options = textwrap::Options::new(width)
        .initial_indent("  ")
        .subsequent_indent("    ");
    out.push_str(&textwrap::fill(&words, options));
    out.push('\n');
}

fn paragraph(words: &str, indent: &str, width: usize, out: &mut String) {
    out.push_str(&textwrap::fill(
        words,
        textwrap::Options::new(width)
            .initial_indent(indent)
            .subsequent_indent(indent),
    ));
    out.push('\n');
}

/// A sentence begins with a capital.
pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
