//! What a line says, as one short text, so that expectations read like the trade.

use phasewright::syntax::{
    Amount, Clause, ErrorCode, FileKind, Heading, Heat, Line, Measure, Node, Row, Tree, parse,
};
use rust_decimal::Decimal;

pub fn formula(text: &str) -> Tree {
    parse(FileKind::Formula, text)
}

/// A line under `phase A`.
pub fn in_phase(text: &str) -> Line {
    formula(&format!("phase A\n{text}")).lines[1]
        .line
        .as_ref()
        .clone()
}

/// A line under `method`.
pub fn in_method(text: &str) -> Line {
    formula(&format!("method\n  {text}")).lines[1]
        .line
        .as_ref()
        .clone()
}

pub fn row(text: &str) -> Row {
    match in_phase(&format!("  {text}")).node {
        Node::Row(row) => row,
        other => panic!("`{text}` is no row but {other:?}"),
    }
}

/// `name | amount`, and ` as ...` where a purpose is given.
pub fn row_said(text: &str) -> String {
    let row = row(text);
    let purpose = row
        .purpose
        .map_or(String::new(), |p| format!(" as {}", p.value));
    format!(
        "{} | {}{purpose}",
        row.name.value,
        amount(&row.amount.value)
    )
}

pub fn measure(m: &Measure) -> String {
    format!("{} {}", m.value, m.unit.symbol())
}

pub fn amount(amount: &Amount) -> String {
    match amount {
        Amount::Measured(m) => measure(m),
        Amount::Fill { to: None } => "fill".into(),
        Amount::Fill { to: Some(m) } => format!("fill to {}", measure(m)),
        Amount::Enough { ph, about, at_most } => {
            let mut out = "enough".to_string();
            if let Some(ph) = ph {
                out += &format!(" to pH {}", ph.value);
            }
            if let Some(m) = about {
                out += &format!(", about {}", measure(m));
            }
            if let Some(m) = at_most {
                out += &format!(", at most {}", measure(m));
            }
            out
        }
        Amount::Missing => "missing".into(),
        Amount::Unreadable => "unreadable".into(),
    }
}

/// `code at "words": message` of each error of a line.
pub fn errors(line: &Line) -> Vec<String> {
    line.errors
        .iter()
        .map(|e| {
            format!(
                "{} at `{}`: {}",
                code(e.code),
                &line.text[e.span.range()],
                e.whole()
            )
        })
        .collect()
}

pub fn code(code: ErrorCode) -> &'static str {
    match code {
        ErrorCode::Syntax => "syntax",
        ErrorCode::MissingAmount => "missing-amount",
        ErrorCode::AmbiguousNumber => "ambiguous-number",
        ErrorCode::UnknownUnit => "unknown-unit",
        ErrorCode::UnknownField => "unknown-field",
    }
}

/// `code at words` of the one error of a row under a phase.
pub fn fault(text: &str) -> String {
    let line = in_phase(&format!("  {text}"));
    fault_of(&line)
}

pub fn fault_of(line: &Line) -> String {
    match line.errors.as_slice() {
        [] => "none".into(),
        [e] => format!("{} at `{}`", code(e.code), &line.text[e.span.range()]),
        more => format!("{} errors: {more:?}", more.len()),
    }
}

/// The line after its first, second ... fix.
pub fn fixed(line: &Line) -> Vec<String> {
    line.errors
        .iter()
        .flat_map(|e| &e.fixes)
        .map(|f| apply(&line.text, f.span.range(), &f.text))
        .collect()
}

pub fn row_fixed(text: &str) -> Vec<String> {
    fixed(&in_phase(&format!("  {text}")))
        .into_iter()
        .map(|s| s.trim_start().to_string())
        .collect()
}

fn apply(text: &str, range: std::ops::Range<usize>, with: &str) -> String {
    format!("{}{with}{}", &text[..range.start], &text[range.end..])
}

pub fn heat(heat: &Heat) -> String {
    let t = |t: &phasewright::syntax::Temperature| {
        format!(
            "{}{}",
            t.celsius.normalize(),
            if t.fahrenheit { " (F)" } else { "" }
        )
    };
    match heat {
        Heat::At(a) => t(a),
        Heat::Below(a) => format!("below {}", t(a)),
        Heat::Above(a) => format!("above {}", t(a)),
        Heat::Between(a, b) => format!("{} to {}", t(a), t(b)),
        Heat::Room => "room".into(),
    }
}

/// A heading of a phase or premix: `A "water" 75 hold 20 into B dry`.
pub fn phase_said(text: &str) -> String {
    let tree = formula(text);
    let (h, kind) = match &tree.lines[0].line.node {
        Node::Heading(Heading::Phase(h)) => (h.clone(), "phase"),
        Node::Heading(Heading::Premix(h)) => (h.clone(), "premix"),
        other => panic!("`{text}` is no phase but {other:?}"),
    };
    let mut out = kind.to_string();
    if let Some(l) = h.label {
        out += &format!(" {}", l.value);
    }
    if let Some(n) = h.name {
        out += &format!(" \"{}\"", n.value);
    }
    if let Some(t) = h.heat {
        out += &format!(" {}", heat(&t.value));
    }
    if h.dry {
        out += " dry";
    }
    if let Some(m) = h.hold_minutes {
        out += &format!(" hold {}", m.value);
    }
    if let Some(i) = h.into {
        out += &format!(" into {}", i.value);
    }
    out
}

fn low_high(pair: &(Decimal, Decimal)) -> String {
    let (low, high) = (pair.0.normalize(), pair.1.normalize());
    if low == high {
        low.to_string()
    } else {
        format!("{low} to {high}")
    }
}

fn clause_said(c: &Clause) -> String {
    let mut out = c
        .verb
        .as_ref()
        .map_or("-".to_string(), |v| format!("{:?}", v.value));
    if let Some(m) = &c.amount {
        out += &format!(" {}", measure(m));
    }
    if !c.objects.is_empty() {
        let names: Vec<&str> = c.objects.iter().map(|o| o.value.as_str()).collect();
        out += &format!(" [{}]", names.join(" | "));
    }
    if let Some(i) = &c.into {
        out += &format!(" into [{}]", i.value);
    }
    if let Some(w) = &c.with {
        out += &format!(" with [{}]", w.value);
    }
    if let Some(h) = &c.heat {
        out += &format!(" {} °C", heat(&h.value));
    }
    if let Some(m) = &c.minutes {
        out += &format!(" {} min", low_high(&m.value));
    }
    if let Some(p) = &c.ph {
        out += &format!(" pH {}", low_high(&p.value));
    }
    out
}

/// The clauses of a step, parted by ` ; `.
pub fn step_said(text: &str) -> String {
    let line = in_method(text);
    assert!(line.errors.is_empty(), "`{text}`: {:?}", errors(&line));
    match &line.node {
        Node::Step(step) => step
            .clauses
            .iter()
            .map(clause_said)
            .collect::<Vec<_>>()
            .join(" ; "),
        other => panic!("`{text}` is no step but {other:?}"),
    }
}
