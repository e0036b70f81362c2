//! Words by their meaning, for colouring.

use super::Snapshot;
use crate::kb::schema::ReviewStatus;
use crate::model::Material;
use crate::syntax::tree::{Amount, Heading, LedgerAmount, Line, Measure, Node};
use crate::text::{Place, Span};

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TokenKind {
    Keyword,
    Phase,
    Field,
    Value,
    Ingredient,
    File,
    Amount,
    Unit,
    Step,
    Temperature,
    Lot,
    Comment,
}

impl TokenKind {
    pub const ALL: [TokenKind; 12] = [
        TokenKind::Keyword,
        TokenKind::Phase,
        TokenKind::Field,
        TokenKind::Value,
        TokenKind::Ingredient,
        TokenKind::File,
        TokenKind::Amount,
        TokenKind::Unit,
        TokenKind::Step,
        TokenKind::Temperature,
        TokenKind::Lot,
        TokenKind::Comment,
    ];

    pub fn name(self) -> &'static str {
        match self {
            TokenKind::Keyword => "keyword",
            TokenKind::Phase => "phase",
            TokenKind::Field => "field",
            TokenKind::Value => "value",
            TokenKind::Ingredient => "ingredient",
            TokenKind::File => "file",
            TokenKind::Amount => "amount",
            TokenKind::Unit => "unit",
            TokenKind::Step => "step",
            TokenKind::Temperature => "temperature",
            TokenKind::Lot => "lot",
            TokenKind::Comment => "comment",
        }
    }
}

/// What is special about a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Modifiers {
    /// An ingredient of the maker's own.
    pub own: bool,
    pub unknown: bool,
    /// Banned in one of the markets.
    pub banned: bool,
}

impl Modifiers {
    /// The order of [`Modifiers::flags`].
    pub const NAMES: [&str; 3] = ["own", "unknown", "banned"];

    pub fn flags(self) -> [bool; 3] {
        [self.own, self.unknown, self.banned]
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Token {
    pub place: Place,
    pub kind: TokenKind,
    pub modifiers: Modifiers,
}

/// The tokens of some lines (both ends included), in order, none overlapping another.
pub fn tokens(s: &Snapshot, first_line: u32, last_line: u32) -> Vec<Token> {
    let banned = banned_rows(s);
    let last = last_line.min((s.tree.lines.len() as u32).saturating_sub(1));
    let mut out = Vec::new();
    for n in first_line..=last {
        let Some(line) = s.line(n) else { continue };
        let mut found: Vec<(Span, TokenKind, Modifiers)> = Vec::new();
        of_line(s, n, line, &banned, &mut found);
        if let Some(c) = line.comment {
            found.push((c, TokenKind::Comment, Modifiers::default()));
        }
        found.sort_by_key(|(span, ..)| *span);
        let mut upto = 0;
        for (span, kind, modifiers) in found {
            if span.start >= upto && span.end > span.start {
                upto = span.end;
                out.push(Token {
                    place: Place { line: n, span },
                    kind,
                    modifiers,
                });
            }
        }
    }
    out
}

fn banned_rows(s: &Snapshot) -> Vec<usize> {
    if s.formula.is_none() {
        return Vec::new();
    }
    // A draft, or a text that has to be seen again, is the check's to say; the colour is for what is certain.
    s.law()
        .bans()
        .in_force()
        .filter(|b| b.ban.review != ReviewStatus::NeedsReview)
        .map(|b| b.member.row)
        .collect()
}

type Found = Vec<(Span, TokenKind, Modifiers)>;

fn of_line(s: &Snapshot, n: u32, line: &Line, banned: &[usize], out: &mut Found) {
    let plain = Modifiers::default();
    match &line.node {
        Node::Heading(h) => heading(line, h, out),
        Node::Field(f) => {
            out.push((f.key.span, TokenKind::Field, plain));
            out.push((f.value.span, TokenKind::Value, plain));
        }
        Node::Row(r) => {
            let kind = if r.file {
                TokenKind::File
            } else {
                TokenKind::Ingredient
            };
            out.push((r.name.span, kind, modifiers(s, n, banned)));
            match r.amount.value {
                Amount::Measured(m) => measure(&m, out),
                _ => out.push((r.amount.span, TokenKind::Amount, plain)),
            }
            out.extend(
                r.purpose
                    .as_ref()
                    .map(|p| (p.span, TokenKind::Value, plain)),
            );
        }
        Node::Step(step) => {
            for c in &step.clauses {
                out.extend(c.verb.as_ref().map(|v| (v.span, TokenKind::Step, plain)));
                let phases = c
                    .objects
                    .iter()
                    .chain(&c.into)
                    .filter(|o| is_phase(s, &o.value));
                out.extend(phases.map(|o| (o.span, TokenKind::Phase, plain)));
                out.extend(
                    c.heat
                        .as_ref()
                        .map(|h| (h.span, TokenKind::Temperature, plain)),
                );
                out.extend(
                    c.minutes
                        .as_ref()
                        .map(|m| (m.span, TokenKind::Amount, plain)),
                );
                out.extend(c.ph.as_ref().map(|p| (p.span, TokenKind::Amount, plain)));
                if let Some(m) = &c.amount {
                    measure(m, out);
                }
            }
        }
        Node::Weighed(w) => {
            out.push((
                w.name.span,
                if w.file {
                    TokenKind::File
                } else {
                    TokenKind::Ingredient
                },
                plain,
            ));
            out.push((w.actual_span, TokenKind::Amount, plain));
            if let Some(m) = &w.planned {
                measure(m, out);
            }
            out.extend(w.lot.as_ref().map(|l| (l.span, TokenKind::Lot, plain)));
        }
        Node::Packs(p) => {
            out.push((p.count.span, TokenKind::Amount, plain));
            measure(&p.each, out);
        }
        Node::Packaging(p) => {
            out.push((p.row.name.span, TokenKind::Value, plain));
            out.push((p.row.actual_span, TokenKind::Amount, plain));
            out.extend(p.row.lot.as_ref().map(|l| (l.span, TokenKind::Lot, plain)));
        }
        Node::Ledger(l) => {
            out.push((l.date.span, TokenKind::Amount, plain));
            out.push((l.verb.span, TokenKind::Keyword, plain));
            match &l.amount {
                LedgerAmount::Packs { each: m, .. } | LedgerAmount::Measure(m) => measure(m, out),
            }
            out.push((l.code.span, TokenKind::Lot, plain));
        }
        Node::Complaint(c) => out.push((c.date.span, TokenKind::Amount, plain)),
        Node::Log(l) => out.extend(l.time.as_ref().map(|t| (t.span, TokenKind::Amount, plain))),
        Node::Observation(o) => {
            out.extend(o.time.as_ref().map(|t| (t.span, TokenKind::Amount, plain)))
        }
        Node::Blank | Node::Comment | Node::Note | Node::Broken | Node::Kept => {}
    }
}

fn measure(m: &Measure, out: &mut Found) {
    out.push((m.value_span, TokenKind::Amount, Modifiers::default()));
    out.push((m.unit_span, TokenKind::Unit, Modifiers::default()));
}

fn heading(line: &Line, h: &Heading, out: &mut Found) {
    let plain = Modifiers::default();
    if matches!(h, Heading::Broken) {
        return;
    }
    let start = line.text.len() - line.text.trim_start().len();
    let word = line.text[start..]
        .split(|c: char| !c.is_alphabetic())
        .next()
        .unwrap_or("")
        .len();
    out.push((Span::new(start, start + word), TokenKind::Keyword, plain));
    match h {
        Heading::Formula { name } => {
            out.extend(name.as_ref().map(|n| (n.span, TokenKind::Value, plain)))
        }
        Heading::Phase(p) | Heading::Premix(p) => {
            out.extend(p.label.as_ref().map(|l| (l.span, TokenKind::Phase, plain)));
            out.extend(p.name.as_ref().map(|n| (n.span, TokenKind::Value, plain)));
            out.extend(
                p.heat
                    .as_ref()
                    .map(|h| (h.span, TokenKind::Temperature, plain)),
            );
            out.extend(p.into.as_ref().map(|l| (l.span, TokenKind::Phase, plain)));
        }
        Heading::Batch {
            code,
            formula,
            version,
        } => {
            out.extend(code.as_ref().map(|c| (c.span, TokenKind::Lot, plain)));
            out.extend(formula.as_ref().map(|f| (f.span, TokenKind::File, plain)));
            out.extend(version.as_ref().map(|v| (v.span, TokenKind::Amount, plain)));
        }
        Heading::Lot { code, of, of_file } => {
            out.extend(code.as_ref().map(|c| (c.span, TokenKind::Lot, plain)));
            out.extend(of.as_ref().map(|o| {
                (
                    o.span,
                    if *of_file {
                        TokenKind::File
                    } else {
                        TokenKind::Ingredient
                    },
                    plain,
                )
            }));
        }
        _ => {}
    }
}

fn modifiers(s: &Snapshot, line: u32, banned: &[usize]) -> Modifiers {
    let Some((f, n)) = s.formula.as_ref().zip(s.row_on(line)) else {
        return Modifiers::default();
    };
    let row = &f.rows[n];
    Modifiers {
        own: row.id().is_some_and(|id| s.kb.user_file(id).is_some()),
        unknown: matches!(row.material, Material::Unknown | Material::Unusable(_)),
        banned: banned.contains(&n),
    }
}

/// Whether a step's word names a phase of the formula.
pub(super) fn is_phase(s: &Snapshot, word: &str) -> bool {
    let label = word.trim().strip_prefix("phase ").unwrap_or(word.trim());
    s.formula.as_ref().is_some_and(|f| {
        f.phases
            .iter()
            .any(|p| !p.label.is_empty() && p.label.eq_ignore_ascii_case(label))
    })
}
