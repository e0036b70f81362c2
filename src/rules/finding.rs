//! How a rule says what it finds, and what its findings rest on.

pub use crate::analysis::finding::*;

use super::Rule;
use crate::kb::Kb;
use crate::kb::schema::{self, ReviewStatus, SourceKind};
use crate::text::{Place, Span};

/// A figure that a finding rests on: the id of its source, the page, whether the text has to be seen again.
#[derive(Clone, Copy, Debug)]
pub struct Citation<'a> {
    pub source: &'a str,
    pub at: Option<&'a str>,
    pub recheck: bool,
}

/// Anything in the knowledge base that names its source.
pub trait Cited {
    fn rests_on(&self) -> Citation<'_>;
}

impl Cited for Citation<'_> {
    fn rests_on(&self) -> Citation<'_> {
        *self
    }
}

macro_rules! sourced {
    ($($t:ident),* $(,)?) => { $(impl Cited for schema::$t {
        fn rests_on(&self) -> Citation<'_> {
            Citation { source: &self.source, at: self.at.as_deref(), recheck: false }
        }
    })* };
}
sourced!(
    Figure,
    Range,
    MaxTemperature,
    UseLevel,
    Constituent,
    Solubility,
    Spectrum,
    Partition,
    Binding,
    Effective,
    Threshold,
    Pair,
    Exposure,
    SkinMaximum
);

macro_rules! sourced_law {
    ($($t:ident),* $(,)?) => { $(impl Cited for schema::$t {
        fn rests_on(&self) -> Citation<'_> {
            Citation { source: &self.source, at: self.at.as_deref(), recheck: self.review == ReviewStatus::NeedsReview }
        }
    })* };
}
sourced_law!(Limit, Ban, Allergen, Colour, Warning, Medicine, Duty);

/// The title of a source with the place in it, as messages and cards show it.
pub fn cite(kb: &Kb, source: &str, at: Option<&str>) -> String {
    let title = kb.source(source).map_or(source, |s| s.title.as_str());
    match at {
        Some(at) => [title, ", ", at].concat(),
        None => title.to_owned(),
    }
}

/// Collects the findings of one rule.
pub struct Sink<'a> {
    code: &'static str,
    loudest: Severity,
    kb: &'a Kb,
    out: &'a mut Vec<Finding>,
    /// Where in the list its own begin.
    from: usize,
}

impl<'a> Sink<'a> {
    /// Adds to a list.
    pub(super) fn new(rule: &Rule, kb: &'a Kb, out: &'a mut Vec<Finding>) -> Self {
        let from = out.len();
        Sink {
            code: rule.code,
            loudest: rule.loudest,
            kb,
            out,
            from,
        }
    }

    /// What the rule has said so far.
    pub fn all(&mut self) -> &mut [Finding] {
        &mut self.out[self.from..]
    }

    /// The code of the rule that speaks.
    pub fn code(&self) -> &'static str {
        self.code
    }

    /// A finding at the rule's loudest, by its fact; what to do comes next, then what narrows it.
    pub fn say(
        &mut self,
        subject: Subject,
        line: u32,
        span: Span,
        message: impl Into<String>,
    ) -> Fact<'_> {
        self.out.push(Finding::new(
            self.code,
            self.loudest,
            subject,
            Place { line, span },
            message.into(),
        ));
        let last = self.out.len() - 1;
        Fact(FindingBuilder {
            kb: self.kb,
            finding: &mut self.out[last],
        })
    }
}

/// A fact that does not say yet what to do.
#[must_use = "a finding says what to do: call `help`"]
pub struct Fact<'a>(FindingBuilder<'a>);

impl<'a> Fact<'a> {
    /// What to do, as a sentence without a full stop. With `ask`, another way out in lower case, or nothing.
    pub fn help(self, help: impl Into<String>) -> FindingBuilder<'a> {
        self.0.finding.help = help.into();
        self.0
    }
}

/// A finding being put together.
pub struct FindingBuilder<'a> {
    kb: &'a Kb,
    finding: &'a mut Finding,
}

impl FindingBuilder<'_> {
    pub fn level(self, severity: Severity) -> Self {
        self.finding.severity = severity;
        self
    }

    /// Asks for a level. What to do is written by the engine; `help` then holds another way out, in lower case.
    pub(super) fn ask(self, target: Option<Target>) -> Self {
        self.finding.target = target;
        self
    }

    /// What stands behind the fact.
    pub fn why(self, why: impl Into<Option<String>>) -> Self {
        self.finding.why = why.into();
        self
    }

    /// A figure that it rests on. The weakest one is shown and caps the severity.
    pub fn rests_on(self, what: &impl Cited) -> Self {
        let r = what.rests_on();
        let kind = self
            .kb
            .source(r.source)
            .map_or(SourceKind::Unsourced, |s| s.kind);
        let cap = match kind {
            SourceKind::Unsourced => Severity::Hint,
            SourceKind::Law | SourceKind::Published if !r.recheck => Severity::Error,
            _ => Severity::Warning,
        };
        if self.finding.basis.is_none() || cap < self.finding.severity_cap {
            let mut source = cite(self.kb, r.source, r.at);
            if r.recheck {
                source.push_str("; to be looked up again");
            }
            self.finding.basis = Some(Evidence { kind, source });
        }
        self.finding.severity_cap = self.finding.severity_cap.min(cap);
        self
    }

    /// A row of law: shown with the date of its text, lowered to no less than a warning.
    pub fn law(self, law: &crate::kb::law::Law, row: &impl Cited) -> Self {
        let s = self.rests_on(row);
        if let Some(b) = &mut s.finding.basis {
            b.source = format!("{}; {} text as of {}", b.source, law.market, law.as_of);
        }
        s.finding.is_legal = true;
        s
    }

    pub fn related(self, line: u32, span: Span, message: impl Into<String>) -> Self {
        self.finding.related.push(Related {
            path: None,
            place: Place { line, span },
            message: message.into(),
        });
        self
    }

    pub fn fix(self, fix: Fix) -> Self {
        self.finding.fixes.push(fix);
        self
    }

    pub fn fixes(self, fixes: impl IntoIterator<Item = Fix>) -> Self {
        self.finding.fixes.extend(fixes);
        self
    }

    pub fn covers(self, subjects: impl IntoIterator<Item = Subject>) -> Self {
        self.finding.covers.extend(subjects);
        self
    }

    pub fn unnecessary(self) -> Self {
        self.finding.unnecessary = true;
        self
    }
}
