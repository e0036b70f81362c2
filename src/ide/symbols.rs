//! The outline of a file: sections with their rows, steps, lots.

use super::Snapshot;
use super::figures;
use super::folding::last_written;
use crate::model::weights::Weights;
use crate::rules::words;
use crate::syntax::tree::{Heading, Node, PhaseHeading, Section, SectionKind};
use crate::text::{Place, Span, Spanned};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SymbolKind {
    Formula,
    Phase,
    Premix,
    Row,
    Method,
    Step,
    Notes,
    Batch,
    Weighed,
    Log,
    Observations,
    Lot,
    /// A heading that is not known.
    Unknown,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Symbol {
    pub name: String,
    pub detail: String,
    pub kind: SymbolKind,
    pub first_line: u32,
    /// The last line, included.
    pub end_line: u32,
    /// What is selected when it is chosen.
    pub select: Place,
    pub children: Vec<Symbol>,
}

pub fn symbols(s: &Snapshot) -> Vec<Symbol> {
    let weights = s.formula.as_ref().map(|f| figures::weights(s, f));
    s.tree
        .sections
        .iter()
        .filter_map(|section| of_section(s, section, weights.as_ref()))
        .collect()
}

fn of_section(s: &Snapshot, section: &Section, weights: Option<&Weights>) -> Option<Symbol> {
    let children: Vec<Symbol> = (section.first..section.end)
        .filter_map(|n| of_line(s, n, weights))
        .collect();
    let head = section.heading.unwrap_or(section.first);
    let line = s.line(head)?;
    // Lines before the first heading, blank or commented, are no section.
    if section.heading.is_none() && children.is_empty() {
        return None;
    }
    let (name, detail, span) = match &line.node {
        Node::Heading(h) => heading(s, h, head),
        _ => (
            String::from("before the first heading"),
            String::new(),
            s.whole_line(head).span,
        ),
    };
    Some(Symbol {
        name,
        detail,
        kind: kind(section.kind),
        first_line: section.first,
        end_line: last_written(s, section.first, section.end),
        select: Place {
            line: section.first,
            span: if head == section.first {
                span
            } else {
                s.whole_line(section.first).span
            },
        },
        children,
    })
}

fn heading(s: &Snapshot, h: &Heading, line: u32) -> (String, String, Span) {
    let whole = s.whole_line(line).span;
    let named = |word: &str, name: &Option<Spanned<String>>| match name {
        Some(n) => (n.value.clone(), n.span),
        None => (word.to_owned(), whole),
    };
    match h {
        Heading::Formula { name } => {
            let (name, span) = named("formula", name);
            (
                name,
                s.formula
                    .as_deref()
                    .map(figures::total_words)
                    .unwrap_or_default(),
                span,
            )
        }
        Heading::Phase(p) => phase(s, "phase", p, line, whole),
        Heading::Premix(p) => phase(s, "premix", p, line, whole),
        Heading::Batch { code, .. } => {
            let (name, span) = named("batch", code);
            (format!("batch {name}"), String::new(), span)
        }
        Heading::Lot { code, of, .. } => {
            let (name, span) = named("lot", code);
            (
                format!("lot {name}"),
                of.as_ref()
                    .map_or(String::new(), |o| format!("of {}", o.value)),
                span,
            )
        }
        Heading::Method => ("method".into(), String::new(), whole),
        Heading::Notes => ("notes".into(), String::new(), whole),
        Heading::Weighed => ("weighed".into(), String::new(), whole),
        Heading::Log => ("log".into(), String::new(), whole),
        Heading::Observations => ("observations".into(), String::new(), whole),
        Heading::Packed => ("packed".into(), String::new(), whole),
        Heading::Complaints => ("complaints".into(), String::new(), whole),
        Heading::Ledger => ("ledger".into(), String::new(), whole),
        Heading::Broken => (
            s.text(line).trim().to_owned(),
            "heading not known".into(),
            whole,
        ),
    }
}

fn phase(
    s: &Snapshot,
    word: &str,
    p: &PhaseHeading,
    line: u32,
    whole: Span,
) -> (String, String, Span) {
    let mut name = word.to_owned();
    if let Some(label) = &p.label {
        name.push_str(&format!(" {}", label.value));
    }
    if let Some(n) = &p.name {
        name.push_str(&format!(" \"{}\"", n.value));
    }
    let share = s
        .formula
        .as_ref()
        .zip(s.phase_on(line))
        .and_then(|(f, n)| figures::percent_sum(f, &f.phases[n].rows));
    (
        name,
        share.map_or(String::new(), words::percent),
        p.label.as_ref().map_or(whole, |l| l.span),
    )
}

fn of_line(s: &Snapshot, line: u32, weights: Option<&Weights>) -> Option<Symbol> {
    let node = &s.line(line)?.node;
    let whole = s.whole_line(line);
    let one = |name: String, detail: String, kind, span| Symbol {
        name,
        detail,
        kind,
        first_line: line,
        end_line: line,
        select: Place { line, span },
        children: Vec::new(),
    };
    match node {
        Node::Row(r) => {
            let row = s.row_on(line);
            let percent = row
                .and_then(|n| s.formula.as_ref()?.rows[n].percent)
                .map(words::percent);
            let grams = row
                .and_then(|n| *weights?.rows.get(n)?)
                .map(figures::grams_words);
            let detail = [percent, grams]
                .into_iter()
                .flatten()
                .collect::<Vec<_>>()
                .join(", ");
            Some(one(
                r.name.value.to_string(),
                detail,
                SymbolKind::Row,
                r.name.span,
            ))
        }
        Node::Step(_) => Some(one(
            s.text(line)[whole.span.range()].to_owned(),
            String::new(),
            SymbolKind::Step,
            whole.span,
        )),
        Node::Weighed(w) => Some(one(
            w.name.value.clone(),
            w.actual
                .map_or("not weighed yet".into(), figures::measure_words),
            SymbolKind::Row,
            w.name.span,
        )),
        _ => None,
    }
}

fn kind(section: SectionKind) -> SymbolKind {
    match section {
        SectionKind::Top | SectionKind::Formula => SymbolKind::Formula,
        SectionKind::Phase => SymbolKind::Phase,
        SectionKind::Premix => SymbolKind::Premix,
        SectionKind::Method => SymbolKind::Method,
        SectionKind::Notes => SymbolKind::Notes,
        SectionKind::Batch => SymbolKind::Batch,
        SectionKind::Weighed => SymbolKind::Weighed,
        SectionKind::Log => SymbolKind::Log,
        SectionKind::Observations | SectionKind::Complaints => SymbolKind::Observations,
        SectionKind::Packed | SectionKind::Ledger => SymbolKind::Log,
        SectionKind::Lot => SymbolKind::Lot,
        SectionKind::Unknown => SymbolKind::Unknown,
    }
}
