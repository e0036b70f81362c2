//! One line: what it is, from its left edge and the section it stands in; then its parts.

use super::grammar::LONGEST;
use super::heading::{self, Found};
use super::measure::syntax;
use super::scan::{self, Part, is_blank, same};
use super::tree::{Exception, FileKind, Heading, Line, LineFix, Node, SectionKind, SyntaxError};
use super::{amount, correction, field, ledger, log, packed, row, step, verbs, weighed, words};
use crate::text::{Span, Spanned};

/// Reads a line that stands in section `before`. A pure function of its arguments.
pub fn read(kind: FileKind, before: SectionKind, text: &str) -> Line {
    let mut line = Line {
        text: text.to_string(),
        section: before,
        node: Node::Blank,
        comment: None,
        exception: None,
        corrections: Vec::new(),
        errors: Vec::new(),
    };
    let indented = text.starts_with(is_blank);
    // Notes are free text: only the left edge is looked at.
    if before == SectionKind::Notes && indented {
        line.node = if text.chars().all(is_blank) {
            Node::Blank
        } else {
            Node::Note
        };
        return line;
    }
    let all = Part::new(text, 0);
    let comment = scan::comment_start(text);
    if let Some(at) = comment
        && before != SectionKind::Notes
    {
        line.comment = Some(all.from(at).span());
        line.exception = exception(all.from(at));
    }
    let body = all.to(comment.unwrap_or(text.len())).trim();
    if body.is_empty() {
        line.node = match (before, comment) {
            (_, None) => Node::Blank,
            (SectionKind::Notes, Some(_)) => Node::Note,
            _ => Node::Comment,
        };
        return line;
    }
    if body.text.len() > LONGEST {
        let message = format!(
            "the line is longer than {LONGEST} bytes and is not read\nPart it into shorter lines"
        );
        line.errors.push(*syntax(
            body.to(body.first_word().len()).span(),
            message,
            vec![],
        ));
        line.node = if before == SectionKind::Notes {
            Node::Note
        } else {
            Node::Broken
        };
        return line;
    }
    if !indented && let Some(node) = exact_heading(kind, before, body, &mut line) {
        line.node = node;
        return line;
    }
    if before == SectionKind::Notes {
        line.node = Node::Note;
        return line;
    }
    if !indented
        && let Some((node, section)) = borrowed_heading(kind, before, body, &mut line.errors)
    {
        line.node = node;
        line.section = section;
        return line;
    }
    let errors = &mut line.errors;
    line.node = if indented || stands_at_the_edge(kind, before, body) {
        let (without, corrections) = correction::cut_out(before, body);
        line.corrections = corrections;
        let body = without
            .as_deref()
            .map_or(body, |text| Part::new(text, body.at).trim_end());
        inside(kind, before, body, errors)
    } else {
        let node = broken_heading(kind, before, body, &mut line.section, errors);
        if let Node::Heading(_) = node
            && line.section == SectionKind::Unknown
        {
            line.comment = None;
            line.exception = None;
        }
        node
    };
    line
}

/// A heading with its keyword spelt out.
fn exact_heading(
    kind: FileKind,
    before: SectionKind,
    body: Part<'_>,
    line: &mut Line,
) -> Option<Node> {
    let found = Found::exact(kind, body)?;
    let mut errors = Vec::new();
    let node = found.read(&mut errors);
    // In free text a sentence may begin with `Phase` or `Method`.
    if before == SectionKind::Notes && !errors.is_empty() && !looks_meant(found.rest()) {
        return None;
    }
    line.section = found.section;
    line.errors = errors;
    Some(node)
}

/// A heading in the words of other recipes, where a heading may stand and the line can hardly be anything else.
fn borrowed_heading(
    kind: FileKind,
    before: SectionKind,
    body: Part<'_>,
    errors: &mut Vec<SyntaxError>,
) -> Option<(Node, SectionKind)> {
    use SectionKind::{Formula, Method, Phase, Premix, Top, Unknown};
    if kind != FileKind::Formula
        || !matches!(before, Top | Formula | Phase | Premix | Method | Unknown)
        || amount::ends_in_amount(body)
    {
        return None;
    }
    // "Heat phase A" and "cool the oil phase" are steps; "cool down phase" is a name.
    let name = [
        "cool down phase",
        "cool-down phase",
        "cooldown phase",
        "cooling phase",
    ];
    let named = name
        .iter()
        .any(|n| scan::strip_prefix(body.text, n).is_some());
    let step = verbs::begins(body) && !named;
    if !step && let Some(node) = heading::named_first(body, errors) {
        return Some((node, Phase));
    }
    if let Some(node) = heading::by_another_word(body, errors) {
        return Some((node, SectionKind::Phase));
    }
    heading::of_recipes(body, errors)
}

fn looks_meant(rest: Part<'_>) -> bool {
    let label = rest.first_word();
    let short = label.chars().count() <= 3
        && label
            .chars()
            .any(|c| c.is_ascii_uppercase() || c.is_ascii_digit());
    rest.is_empty() || short || label.starts_with(scan::is_quote)
}

/// True if a line at the left edge is no heading, but a line of its section that is not indented.
fn stands_at_the_edge(kind: FileKind, section: SectionKind, body: Part<'_>) -> bool {
    match section {
        SectionKind::Top | SectionKind::Formula => {
            field::colon(body).is_some()
                || kind == FileKind::Formula && amount::ends_in_amount(body)
        }
        SectionKind::Batch | SectionKind::Lot => field::colon(body).is_some(),
        SectionKind::Phase | SectionKind::Premix => {
            amount::ends_in_amount(row_without_purpose(body))
                || verbs::begins_plainly(body)
                || scan::quoted(body).is_some()
        }
        SectionKind::Method => {
            verbs::begins(body) || body.text.starts_with(|c: char| c.is_ascii_digit())
        }
        SectionKind::Weighed => {
            let mut errors = Vec::new();
            weighed::material(body, &mut errors);
            errors.is_empty()
        }
        SectionKind::Log
        | SectionKind::Observations
        | SectionKind::Packed
        | SectionKind::Ledger
        | SectionKind::Complaints => body
            .text
            .starts_with(|c: char| c.is_ascii_digit() || c == '+'),
        SectionKind::Notes => true,
        SectionKind::Unknown => false,
    }
}

/// True of a line at the left edge that can only be a row: after a heading that is not known, it takes up the phase again.
pub fn is_row_at_the_edge(text: &str) -> bool {
    if text.starts_with(is_blank) {
        return false;
    }
    let body = Part::new(text, 0)
        .to(scan::comment_start(text).unwrap_or(text.len()))
        .trim();
    !body.is_empty()
        && body.text.len() <= LONGEST
        && amount::ends_in_amount(row_without_purpose(body))
}

impl Line {
    /// True of a line that is kept unread and may be a row: it ends in an amount.
    pub fn may_hold_an_amount(&self) -> bool {
        let span = self.body_span();
        let body = Part::new(self.text_of(span), span.start as usize);
        body.text.len() <= LONGEST
            && !body.is_empty()
            && amount::ends_in_amount(row_without_purpose(body))
    }
}

fn row_without_purpose(body: Part<'_>) -> Part<'_> {
    match body
        .words()
        .filter(|(at, w)| *at > 0 && same(w, "as"))
        .last()
    {
        Some((at, _)) if amount::ends_in_amount(body.to(at)) => body.to(at).trim_end(),
        _ => body,
    }
}

/// A line of its section.
fn inside(
    kind: FileKind,
    section: SectionKind,
    body: Part<'_>,
    errors: &mut Vec<SyntaxError>,
) -> Node {
    if let Some(node) = indented_heading(kind, section, body, errors) {
        return node;
    }
    match section {
        SectionKind::Top | SectionKind::Formula | SectionKind::Batch | SectionKind::Lot => {
            head(kind, section, body, errors)
        }
        SectionKind::Phase | SectionKind::Premix => {
            if verbs::begins_plainly(body) && !amount::ends_in_amount(row_without_purpose(body)) {
                return Node::Step(step::read(body, errors));
            }
            row::read(body, errors)
        }
        SectionKind::Method => Node::Step(step::read(body, errors)),
        SectionKind::Notes => Node::Note,
        SectionKind::Weighed => weighed::material(body, errors),
        SectionKind::Log => log::log(body, errors),
        SectionKind::Observations => log::observation(body, errors),
        SectionKind::Packed => packed::read(body, errors),
        SectionKind::Ledger => ledger::read(body, errors),
        SectionKind::Complaints => ledger::complaint(body, errors),
        SectionKind::Unknown => Node::Kept,
    }
}

/// Under `formula`, `batch`, `lot`, and before the first heading: fields alone.
fn head(
    kind: FileKind,
    section: SectionKind,
    body: Part<'_>,
    errors: &mut Vec<SyntaxError>,
) -> Node {
    let (owner, owner_section) = match kind {
        FileKind::Formula => ("formula", SectionKind::Formula),
        FileKind::Batch => ("batch", SectionKind::Batch),
        FileKind::Stock => ("lot", SectionKind::Lot),
    };
    if let Some(colon) = field::colon(body) {
        return field::read(owner_section, body, colon, errors);
    }
    if kind == FileKind::Formula && amount::ends_in_amount(row_without_purpose(body)) {
        return row::read(body, errors);
    }
    let message = match section {
        SectionKind::Top => format!(
            "\"{}\" stands before the first heading\nBegin a file of this kind with \"{owner}\"",
            body.text
        ),
        _ => format!(
            "\"{}\" is not understood\nUnder \"{owner}\" write fields, such as \"{}\"",
            body.text,
            such(kind)
        ),
    };
    errors.push(*syntax(body.span(), message, vec![]));
    Node::Broken
}

fn such(kind: FileKind) -> &'static str {
    match kind {
        FileKind::Formula => "product: hand cream",
        FileKind::Batch => "target: 250 g",
        FileKind::Stock => "best before: 2028-01-31",
    }
}

/// `  phase B "oil" at 75 °C`: a heading that was indented by mistake.
fn indented_heading(
    kind: FileKind,
    section: SectionKind,
    body: Part<'_>,
    errors: &mut Vec<SyntaxError>,
) -> Option<Node> {
    if body.at == 0
        || matches!(
            section,
            SectionKind::Notes
                | SectionKind::Unknown
                | SectionKind::Observations
                | SectionKind::Log
                | SectionKind::Packed
                | SectionKind::Ledger
                | SectionKind::Complaints
        )
    {
        return None;
    }
    let found = Found::exact(kind, body)?;
    let mut faults = Vec::new();
    found.read(&mut faults);
    if !faults.is_empty() || found.section == SectionKind::Formula && section == SectionKind::Method
    {
        return None;
    }
    let bare = matches!(found.section, SectionKind::Phase | SectionKind::Premix)
        && amount::ends_in_amount(body);
    if bare {
        return None;
    }
    errors.push(*syntax(
        body.span(),
        format!(
            "the heading \"{}\" is indented\nBegin it at the left edge",
            body.text
        ),
        vec![LineFix {
            title: "Move it to the left edge".to_string(),
            span: Span::new(0, body.at),
            text: String::new(),
        }],
    ));
    Some(Node::Broken)
}

/// At the left edge, neither keyword nor row nor field.
fn broken_heading(
    kind: FileKind,
    before: SectionKind,
    body: Part<'_>,
    section: &mut SectionKind,
    errors: &mut Vec<SyntaxError>,
) -> Node {
    if let Some(found) = Found::near(kind, body) {
        *section = found.section;
        return found.read(errors);
    }
    if let Some(colon) = field::colon(body) {
        let owner = match kind {
            FileKind::Formula => "formula",
            FileKind::Batch => "batch",
            FileKind::Stock => "lot",
        };
        errors.push(field::misplaced(body, colon, owner));
        return Node::Broken;
    }
    *section = SectionKind::Unknown;
    let takes_rows = matches!(before, SectionKind::Phase | SectionKind::Premix);
    let way = if takes_rows {
        ". A row ends in its amount"
    } else {
        ""
    };
    let said = format!(
        "\"{}\" is not a heading\nHeadings are {}{way}",
        body.text,
        words::headings_listed(kind)
    );
    errors.push(*syntax(body.span(), said, vec![]));
    Node::Heading(Heading::Broken)
}

/// `# except CODE: reason`.
fn exception(comment: Part<'_>) -> Option<Exception> {
    let text = comment.from(1).trim();
    let rest = scan::strip_prefix(text.text, "except").filter(|r| r.starts_with(is_blank))?;
    let rest = text.from(text.text.len() - rest.len()).trim();
    let end = rest
        .text
        .find(|c: char| !(c.is_ascii_alphanumeric() || c == '-'))
        .unwrap_or(rest.text.len());
    if end == 0 {
        return None;
    }
    let code = rest.to(end);
    let after = rest.from(end).trim();
    let reason = match after.text.strip_prefix(':') {
        Some(_) => after.from(1).trim(),
        None => after,
    };
    Some(Exception {
        code: Spanned::new(code.text.to_ascii_lowercase(), code.span()),
        reason: Spanned::new(reason.text.to_string(), reason.span()),
        span: Span::new(comment.at, rest.at + rest.text.len()),
    })
}
