//! What a line means, wherever its words stand: two lines mean the same if their nodes differ in spans alone.

use super::tree::*;
use crate::text::{Span, Spanned};

impl Line {
    /// True if both lines say the same, whatever blanks and alignment they have.
    pub fn means_the_same(&self, other: &Line) -> bool {
        self.says_as(other)
            && self
                .errors
                .iter()
                .map(|e| (e.code, &e.message))
                .eq(other.errors.iter().map(|e| (e.code, &e.message)))
    }

    /// The same but for what is wrong with them.
    pub fn says_as(&self, other: &Line) -> bool {
        self.section == other.section
            && self.exception.as_ref().map(said) == other.exception.as_ref().map(said)
            && self.comment.map(|c| self.text_of(c)) == other.comment.map(|c| other.text_of(c))
            && self
                .corrections
                .iter()
                .map(|c| (&c.old.value, &c.reason.value))
                .eq(other
                    .corrections
                    .iter()
                    .map(|c| (&c.old.value, &c.reason.value)))
            && same_node(self, other)
    }
}

fn said(exception: &Exception) -> (&str, &str) {
    (&exception.code.value, &exception.reason.value)
}

fn same_node(a: &Line, b: &Line) -> bool {
    match (&a.node, &b.node) {
        // These hold their words in the line alone.
        (Node::Note | Node::Kept | Node::Broken, _) => {
            a.node == b.node && a.text_of(a.body_span()) == b.text_of(b.body_span())
        }
        (a, b) => bare(a) == bare(b),
    }
}

/// The node with all spans taken out.
pub fn bare(node: &Node) -> Node {
    match node {
        Node::Heading(h) => Node::Heading(heading(h)),
        Node::Field(f) => Node::Field(Field {
            key: text(&f.key),
            value: text(&f.value),
            read: FieldValue::Words,
        }),
        Node::Row(r) => Node::Row(Row {
            name: text(&r.name),
            file: r.file,
            amount: at(amount(&r.amount.value)),
            purpose: r.purpose.as_ref().map(text),
        }),
        Node::Step(s) => Node::Step(Step {
            clauses: s.clauses.iter().map(clause).collect(),
        }),
        Node::Weighed(w) => Node::Weighed(weighed(w)),
        Node::Packs(p) => Node::Packs(Packs {
            count: text(&p.count),
            each: measure(p.each),
            pack_span: Span::default(),
            kept: p.kept,
            spoilt: p.spoilt,
        }),
        Node::Packaging(p) => Node::Packaging(Packaging {
            row: weighed(&p.row),
            spoilt: p.spoilt,
        }),
        Node::Ledger(l) => Node::Ledger(LedgerLine {
            date: text(&l.date),
            verb: text(&l.verb),
            amount: match l.amount {
                LedgerAmount::Packs { count, each } => LedgerAmount::Packs {
                    count,
                    each: measure(each),
                },
                LedgerAmount::Measure(m) => LedgerAmount::Measure(measure(m)),
            },
            code: text(&l.code),
            place: l.place.as_ref().map(|(way, whom)| (*way, text(whom))),
            note: copy(&l.note),
        }),
        Node::Complaint(c) => Node::Complaint(Complaint {
            date: text(&c.date),
            words: text(&c.words),
            serious: c.serious,
        }),
        Node::Log(l) => Node::Log(LogLine {
            time: time(&l.time),
            events: events(&l.events),
        }),
        Node::Observation(o) => Node::Observation(Observation {
            time: time(&o.time),
            events: events(&o.events),
        }),
        Node::Blank | Node::Comment | Node::Note | Node::Broken | Node::Kept => node.clone(),
    }
}

fn weighed(w: &Weighed) -> Weighed {
    Weighed {
        name: text(&w.name),
        file: w.file,
        actual: w.actual.map(measure),
        actual_span: Span::default(),
        planned: w.planned.map(measure),
        lot: w.lot.as_ref().map(text),
    }
}

fn at<T>(value: T) -> Spanned<T> {
    Spanned::new(value, Span::default())
}

fn text<T: Clone>(t: &Spanned<T>) -> Spanned<T> {
    at(t.value.clone())
}

fn texts<T: Clone>(t: &[Spanned<T>]) -> Vec<Spanned<T>> {
    t.iter().map(text).collect()
}

fn copy<T: Clone>(t: &Option<Spanned<T>>) -> Option<Spanned<T>> {
    t.as_ref().map(|t| at(t.value.clone()))
}

fn measure(m: Measure) -> Measure {
    Measure {
        value_span: Span::default(),
        unit_span: Span::default(),
        ..m
    }
}

fn amount(a: &Amount) -> Amount {
    match *a {
        Amount::Measured(m) => Amount::Measured(measure(m)),
        Amount::Fill { to } => Amount::Fill {
            to: to.map(measure),
        },
        Amount::Enough { ph, about, at_most } => Amount::Enough {
            ph: ph.map(|p| PhTarget {
                value: p.value,
                span: Span::default(),
            }),
            about: about.map(measure),
            at_most: at_most.map(measure),
        },
        Amount::Missing | Amount::Unreadable => *a,
    }
}

fn heading(h: &Heading) -> Heading {
    match h {
        Heading::Formula { name } => Heading::Formula { name: copy(name) },
        Heading::Phase(p) => Heading::Phase(phase(p)),
        Heading::Premix(p) => Heading::Premix(phase(p)),
        Heading::Batch {
            code,
            formula,
            version,
        } => Heading::Batch {
            code: copy(code),
            formula: copy(formula),
            version: copy(version),
        },
        Heading::Lot { code, of, of_file } => Heading::Lot {
            code: copy(code),
            of: copy(of),
            of_file: *of_file,
        },
        Heading::Method
        | Heading::Notes
        | Heading::Weighed
        | Heading::Log
        | Heading::Observations
        | Heading::Packed
        | Heading::Complaints
        | Heading::Ledger
        | Heading::Broken => h.clone(),
    }
}

fn phase(p: &PhaseHeading) -> PhaseHeading {
    PhaseHeading {
        label: copy(&p.label),
        name: copy(&p.name),
        heat: copy(&p.heat),
        dry: p.dry,
        hold_minutes: copy(&p.hold_minutes),
        into: copy(&p.into),
    }
}

fn clause(c: &Clause) -> Clause {
    Clause {
        span: Span::default(),
        verb: copy(&c.verb),
        objects: texts(&c.objects),
        into: copy(&c.into),
        heat: copy(&c.heat),
        minutes: copy(&c.minutes),
        ph: copy(&c.ph),
        amount: c.amount.map(measure),
        with: copy(&c.with),
    }
}

fn time(t: &Option<Spanned<LogTime>>) -> Option<Spanned<LogTime>> {
    copy(t)
}

fn events(events: &[Spanned<Event>]) -> Vec<Spanned<Event>> {
    events
        .iter()
        .map(|e| {
            at(match &e.value {
                Event::Weight {
                    vessel,
                    weight,
                    reading,
                } => Event::Weight {
                    vessel: vessel.clone(),
                    weight: measure(*weight),
                    reading: *reading,
                },
                Event::Add {
                    amount,
                    what,
                    into,
                    lot,
                } => Event::Add {
                    amount: amount.map(measure),
                    what: what.clone(),
                    into: into.clone(),
                    lot: copy(lot),
                },
                Event::Clean { what, with, lot } => Event::Clean {
                    what: what.clone(),
                    with: with.clone(),
                    lot: text(lot),
                },
                Event::Yield(m) => Event::Yield(measure(*m)),
                Event::Sample(m) => Event::Sample(measure(*m)),
                other => other.clone(),
            })
        })
        .collect()
}
