//! The card in words: one list of lines, set as Markdown for the editor and as plain text for the terminal.

use super::words::caution_words;
use super::{Card, CardSource};
use rust_decimal::Decimal;

pub(crate) use super::law_words::scope_words;
pub use super::words::Degrees;
pub(crate) use super::words::between;

/// Degrees Celsius as they are.
pub fn celsius(c: Decimal) -> String {
    format!("{} °C", c.round_dp(1).normalize())
}

/// A line of the card: what it is about, and what there is to say.
struct Entry {
    label: &'static str,
    texts: Vec<String>,
}

/// Use levels that the first lines of a card name.
const MAX_USES_FIRST: usize = 2;

impl Card {
    /// Bold and short lists, for the editor: what a maker asks first, then names, the law, figures and sources.
    pub fn markdown(&self, degrees: Degrees) -> String {
        format!(
            "**{}**\n{}\n{}",
            plain(self.name()),
            self.first(degrees),
            self.rest(degrees)
        )
    }

    /// How much, how warm, at which pH, and what to be careful with: at most four lines.
    pub fn first(&self, degrees: Degrees) -> String {
        let mut uses: Vec<String> = self.r#use.iter().map(|u| self.use_words(u)).collect();
        if uses.len() > MAX_USES_FIRST {
            let more = uses.len() - MAX_USES_FIRST;
            uses.truncate(MAX_USES_FIRST);
            uses.push(format!("{more} more below"));
        }
        let cautions: Vec<String> = self.cautions.iter().map(|c| caution_words(c)).collect();
        let lines = [
            ("Use", uses.join("; ")),
            ("Heat", self.heat_words(degrees)),
            ("pH", self.ph_ranges().join("; ")),
            ("Careful", cautions.join("; ")),
        ];
        lines
            .iter()
            .filter(|(_, text)| !text.is_empty())
            .map(|(label, text)| format!("- **{label}:** {}\n", plain(text)))
            .collect()
    }

    /// The rest of the card under its name.
    pub fn further(&self, degrees: Degrees) -> String {
        format!("\n**{}**  \n{}", plain(self.name()), self.rest(degrees))
    }

    /// The other names, then the law and the figures, then the sources.
    fn rest(&self, degrees: Degrees) -> String {
        let names: Vec<String> = self.identity().iter().map(|line| plain(line)).collect();
        let mut out = names.join("  \n");
        out.push_str("\n\n");
        let mut say = |label: &str, texts: &[String]| match texts {
            [] => {}
            [one] => out.push_str(&format!("- **{label}:** {}\n", plain(one))),
            several => {
                out.push_str(&format!("- **{label}:**\n"));
                for t in several {
                    out.push_str(&format!("  - {}\n", plain(t)));
                }
            }
        };
        let entries = self.entries(degrees);
        for e in &entries {
            match e.label {
                "Heat" | "Cautions" | "Figures" => {}
                "Use" => {
                    let first = e.texts.len().min(MAX_USES_FIRST);
                    say("More use levels", &e.texts[first..]);
                }
                "pH" => say("Why that pH", self.ph_why().as_slice()),
                label => say(label, &e.texts),
            }
        }
        if let Some(note) = &self.note {
            out.push_str(&format!("\n{}\n", plain(note)));
        }
        for e in entries.iter().filter(|e| e.label == "Figures") {
            out.push_str(&format!("\n**Figures:** {}\n", plain(&e.texts.join("; "))));
        }
        if !self.sources.is_empty() {
            out.push_str("\n**Sources**\n");
            for s in &self.sources {
                out.push_str(&format!("- *{}:* {}\n", s.kind, plain(&source_words(s))));
            }
        }
        out
    }

    /// For the terminal: labels in one column, at most `width` characters a line. The first line is the name.
    pub fn text(&self, degrees: Degrees, width: usize) -> String {
        let mut out = format!("{}\n", self.name());
        for line in self.identity() {
            wrap(&mut out, "  ", "  ", &line, width);
        }
        out.push('\n');
        for e in self.entries(degrees) {
            for (n, t) in e.texts.iter().enumerate() {
                let label = if n == 0 { e.label } else { "" };
                wrap(
                    &mut out,
                    &format!("  {label:<12}"),
                    &" ".repeat(14),
                    t,
                    width,
                );
            }
        }
        if let Some(note) = &self.note {
            out.push('\n');
            wrap(&mut out, "  ", "  ", note, width);
        }
        if !self.sources.is_empty() {
            out.push_str("\n  Sources\n");
            for s in &self.sources {
                wrap(
                    &mut out,
                    &format!("  {:<12}", s.kind),
                    &" ".repeat(14),
                    &source_words(s),
                    width,
                );
            }
        }
        out
    }

    /// What it is, in two lines or three.
    fn identity(&self) -> Vec<String> {
        let mut names: Vec<String> = Vec::new();
        names.extend(self.inci.as_ref().map(|i| format!("INCI {i}")));
        names.extend(self.inci_us.as_ref().map(|i| format!("in the US {i}")));
        names.extend(self.ci.as_ref().map(|c| c.to_string()));
        if !self.cas.is_empty() {
            names.push(format!("CAS {}", self.cas.join(", ")));
        }
        let mut out = vec![names.join("; ")];
        if self.names.len() > 1 {
            out.push(format!("also {}", self.names[1..].join(", ")));
        }
        let roles: Vec<String> = self
            .roles
            .iter()
            .map(|r| {
                let word = r.as_str();
                if word.starts_with("co-") {
                    word.to_owned()
                } else {
                    word.replace('-', " ")
                }
            })
            .collect();
        out.push(roles.join(", "));
        out.extend(
            self.own_file
                .as_ref()
                .map(|f| format!("your own, from {f}")),
        );
        out.retain(|l| !l.is_empty());
        out
    }

    fn entries(&self, degrees: Degrees) -> Vec<Entry> {
        let mut out = Vec::new();
        let mut say = |label: &'static str, texts: Vec<String>| {
            if !texts.is_empty() {
                out.push(Entry { label, texts });
            }
        };
        say(
            "Made of",
            self.composition
                .iter()
                .map(|p| format!("{} % {}", p.percent, p.inci))
                .collect(),
        );
        say("Goes into", one(self.place_words(degrees)));
        say("Heat", one(self.heat_words(degrees)));
        say(
            "Use",
            self.r#use.iter().map(|u| self.use_words(u)).collect(),
        );
        say("pH", self.ph_words());
        say("Protects", one(self.preservative_words()));
        say("Emulsion", one(self.emulsion_words()));
        say("Figures", one(self.figures_words()));
        say("Law", self.law_words());
        say("Label", self.label_words());
        say("Holds", one(self.constituent_words()));
        say(
            "Cautions",
            self.cautions.iter().map(|c| caution_words(c)).collect(),
        );
        say("Stand-ins", one(self.standin.join(", ")));
        out
    }
}

fn one(text: String) -> Vec<String> {
    if text.is_empty() {
        Vec::new()
    } else {
        vec![text]
    }
}

fn source_words(s: &CardSource) -> String {
    let mut out = s.title.to_string();
    out.extend(s.r#where.as_ref().map(|w| format!("; {w}")));
    if !s.at.is_empty() {
        out.push_str(&format!("; {}", s.at.join("; ")));
    }
    out
}

/// No mark of the text may be taken for Markdown, and no line begins a table.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '*' | '_' | '`' | '<' | '[' | ']' | '\\' => {
                out.push('\\');
                out.push(c);
            }
            '|' => out.push_str(" or "),
            '\n' => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

fn wrap(out: &mut String, first: &str, rest: &str, text: &str, width: usize) {
    let mut line = first.to_owned();
    let mut used = 0;
    for word in text.split_whitespace() {
        let long = line.chars().count() + 1 + word.chars().count() > width;
        if used > 0 && long {
            out.push_str(line.trim_end());
            out.push('\n');
            line = rest.to_owned();
            used = 0;
        }
        if used > 0 {
            line.push(' ');
        }
        line.push_str(word);
        used += 1;
    }
    out.push_str(line.trim_end());
    out.push('\n');
}
