//! The rules and the engine that runs them.
//!
//! One file a rule; each group's `mod.rs` lists its files in one macro. The engine, not the rule, handles severity settings,
//! caps by the kind of source, exceptions, which finding yields to which, sorting, and a rule that panics.

mod engine;
mod exceptions;
pub mod finding;
mod fixes;
mod levels;
pub mod page;
pub mod words;

pub use batch::Workshop;
pub use engine::{
    analyze, analyze_record, check, check_with, check_writing, judge_ingredients, judge_record,
    judge_settings,
};
pub use finding::{Edit, Evidence, Finding, Fix, Related, Severity, Sink, Subject};

use crate::analysis::Analysis;
use crate::analysis::law::LawAssessment;
use crate::analysis::skin::{self, SkinHit};
use crate::kb::{Id, Kb};
use crate::model::hlb::{self, EmulsifierPart};
use crate::model::pairs::IncompatiblePair;
use crate::model::preservation::{self, PhaseVolumes, SelfPreservation};
use crate::model::system::{self, PhAim, Preserving, System};
use crate::model::{Formula, Phase, Row, Settings};
use crate::syntax::tree::{Heading, Node, Tree};
use crate::text::Span;
use rust_decimal::Decimal;
use std::collections::HashMap;
use std::sync::OnceLock;
use words::Degrees;

/// A rule: what it says of itself, and its check.
#[derive(Clone, Copy)]
pub struct Rule {
    pub code: &'static str,
    /// One line for the table of rules.
    pub title: &'static str,
    pub group: Group,
    /// The loudest that a finding may be.
    pub loudest: Severity,
    /// A finding is dropped when one of these stands on the same subject.
    pub yields_to: &'static [&'static str],
    /// The law forbids it: an exception in the file lowers a finding to a warning and does not silence it.
    pub is_legal: bool,
    /// The settings can switch it off. What the law forbids and what cannot be read stays on.
    pub can_be_off: bool,
    /// An exception in the file can silence or lower it.
    pub can_be_excepted: bool,
    /// Runs in soap from fat and lye, whatever its group.
    pub in_soap: bool,
    /// Runs in batch and stock files, whatever its group.
    pub in_records: bool,
    /// The rule's own file; its `//!` lines are the page.
    pub file: &'static str,
    pub check: fn(&Context, &mut Sink),
}

impl Rule {
    /// What most rules are. A rule names what is its own and takes the rest from here: `..Rule::DEFAULT`.
    pub const DEFAULT: Rule = Rule {
        code: "",
        title: "",
        group: Group::Meta,
        loudest: Severity::Hint,
        yields_to: &[],
        is_legal: false,
        can_be_off: true,
        can_be_excepted: true,
        in_soap: false,
        in_records: false,
        file: "",
        check: |_, _| {},
    };

    /// Switched off by the settings.
    pub fn is_off(&self, settings: &Settings) -> bool {
        let level = settings.severity.get(self.code);
        self.can_be_off && level.is_some_and(|level| level == "off")
    }
    pub fn runs_in_soap(&self) -> bool {
        self.in_soap || self.group.runs_in_soap()
    }
    pub fn runs_in_records(&self) -> bool {
        self.in_records || self.group.runs_in_records()
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    Writing,
    Arithmetic,
    UseAndLaw,
    HeatAndPhase,
    Microbes,
    Ph,
    Emulsion,
    Pairs,
    Method,
    Cautions,
    Batch,
    Meta,
}

impl Group {
    pub fn title(self) -> &'static str {
        match self {
            Group::Writing => "Writing",
            Group::Arithmetic => "Arithmetic",
            Group::UseAndLaw => "Use level and law",
            Group::HeatAndPhase => "Heat and phase",
            Group::Microbes => "Keeping it safe from microbes",
            Group::Ph => "pH",
            Group::Emulsion => "Emulsion and thickeners",
            Group::Pairs => "Pairs and ageing",
            Group::Method => "Method",
            Group::Cautions => "Cautions",
            Group::Batch => "Batch and stock",
            Group::Meta => "Settings and exceptions",
        }
    }
    /// The writing of a file, or the program itself: this holds for every kind of file.
    pub fn is_about_writing(self) -> bool {
        matches!(self, Group::Writing | Group::Meta)
    }
    /// Soap from fat and lye is judged by its writing and its sum; the rest assumes that nothing reacts.
    fn runs_in_soap(self) -> bool {
        self.is_about_writing() || self == Group::Arithmetic
    }
    /// Batch and stock files hold no formula.
    fn runs_in_records(self) -> bool {
        self.is_about_writing() || self == Group::Batch
    }
}

/// What a rule looks at.
pub struct Context<'a> {
    pub analysis: &'a Analysis,
    pub kb: &'a Kb,
    pub settings: &'a Settings,
    pub tree: &'a Tree,
    pub formula: &'a Formula,
    /// Of a record or a shelf: what its rules look at.
    workshop: Option<Workshop<'a>>,
    facts: LazyFacts<'a>,
}

/// LazyFacts that several rules need, each worked out the first time it is asked for.
#[derive(Default)]
struct LazyFacts<'a> {
    skin_maxima: OnceLock<Vec<SkinHit<'a>>>,
    system: OnceLock<System>,
    protects: OnceLock<Option<SelfPreservation>>,
    ph_aim: OnceLock<Option<PhAim>>,
    preservatives: OnceLock<Vec<Preserving<'a>>>,
    liquids: OnceLock<PhaseVolumes>,
    held_otherwise: OnceLock<bool>,
    emulsifiers: OnceLock<Vec<EmulsifierPart<'a>>>,
    watery_food: OnceLock<Decimal>,
    degrees: OnceLock<Degrees>,
    pairs: OnceLock<Vec<IncompatiblePair>>,
    misread: OnceLock<Vec<u32>>,
    suitable_ph: OnceLock<Option<(Decimal, Decimal)>>,
    cool_phases: OnceLock<Vec<(usize, Decimal)>>,
    names: OnceLock<HashMap<Id, &'a str>>,
    largest_rows: OnceLock<HashMap<Id, usize>>,
    last_lines: OnceLock<Vec<Option<u32>>>,
}

impl<'a> Context<'a> {
    pub fn of(analysis: &'a Analysis) -> Self {
        Context {
            analysis,
            kb: &analysis.kb,
            settings: &analysis.settings,
            tree: &analysis.tree,
            formula: &analysis.formula,
            workshop: None,
            facts: LazyFacts::default(),
        }
    }

    /// The same, for a record or a shelf of a workshop.
    pub fn in_workshop(self, workshop: Workshop<'a>) -> Self {
        Context {
            workshop: Some(workshop),
            ..self
        }
    }

    pub fn workshop(&self) -> Option<&Workshop<'a>> {
        self.workshop.as_ref()
    }
    /// What the law of the markets says.
    pub fn law(&self) -> LawAssessment<'a> {
        self.analysis.law()
    }
    pub fn skin_maxima(&self) -> &[SkinHit<'a>] {
        self.facts
            .skin_maxima
            .get_or_init(|| skin::maxima(self.formula, self.kb))
    }
    /// The highest share of a row that all known figures allow: no fix points above it.
    pub fn ceiling(&self, row: usize) -> Option<Decimal> {
        skin::ceiling(
            self.formula,
            self.kb,
            row,
            self.law().limits().in_force_or_announced(),
            self.skin_maxima(),
        )
    }
    /// The pH that suits all that is in, low and high; none where there is none.
    fn suitable_ph(&self) -> Option<(Decimal, Decimal)> {
        *self
            .facts
            .suitable_ph
            .get_or_init(|| fixes::suitable_ph(self))
    }
    /// The phases that go in cool, in file order, each with the highest temperature at which it goes in.
    fn cool_phases(&self) -> &[(usize, Decimal)] {
        self.facts
            .cool_phases
            .get_or_init(|| fixes::cool_phases(self))
    }
    /// The row with the largest share of a substance.
    fn largest_row_of(&self, id: Id) -> Option<usize> {
        let rows = self.facts.largest_rows.get_or_init(|| {
            let by_substance = self.formula.components.chunk_by(|a, b| a.id == b.id);
            by_substance
                .filter_map(|c| Some((c[0].id, self.formula.largest_row(c.iter())?)))
                .collect()
        });
        rows.get(&id).copied()
    }
    /// The lines of which the reading has something to say.
    pub fn misread(&self) -> &[u32] {
        self.facts.misread.get_or_init(|| {
            let lines = self.tree.lines.iter().enumerate();
            lines
                .filter(|(_, at)| !at.line.errors.is_empty())
                .map(|(n, _)| n as u32)
                .collect()
        })
    }
    /// Where a finding about the whole formula stands: its name in the heading.
    pub fn heading(&self) -> (u32, Span) {
        let line = self.formula.heading_line;
        let span = self
            .tree
            .lines
            .get(line as usize)
            .map_or(Span::default(), |at| match &at.line.node {
                Node::Heading(Heading::Formula { name: Some(name) }) => name.span,
                _ => Span::new(0, at.line.text.trim_end().len()),
            });
        (line, span)
    }
    /// The name of a material as this formula writes it, else as the base does.
    pub fn called(&self, id: Id) -> &str {
        let names = self.facts.names.get_or_init(|| {
            let mut names = HashMap::with_capacity(self.formula.rows.len());
            for r in &self.formula.rows {
                if let Some(id) = r.id() {
                    names.entry(id).or_insert(r.name.value.as_str());
                }
            }
            names
        });
        names.get(&id).copied().unwrap_or_else(|| self.kb.name(id))
    }
    /// Moves a row to the end of another phase.
    pub fn moved(&self, row: &Row, to: usize) -> Option<Fix> {
        let phase = self
            .formula
            .phases
            .get(to)
            .filter(|_| row.phase != Some(to))?;
        let last_lines = self.facts.last_lines.get_or_init(|| {
            let last = |p: &Phase| p.rows.iter().map(|r| self.formula.rows[*r].line).max();
            self.formula.phases.iter().map(last).collect()
        });
        let last = last_lines[to].or(phase.lines.last().copied())?;
        let text = &self.tree.lines.get(row.line as usize)?.line.text;
        let end = self.tree.lines.get(last as usize)?.line.text.len() as u32;
        let edits = vec![
            Edit {
                start: (last, end),
                end: (last, end),
                text: format!("\n{text}"),
            },
            Edit::delete_line(row.line),
        ];
        Some(Fix::new(format!("Move to phase {}", phase.label), edits))
    }

    /// All of a line's text, without the blanks around it.
    pub fn text_span(&self, line: u32) -> Span {
        let text = self
            .tree
            .lines
            .get(line as usize)
            .map_or("", |at| at.line.text.as_str());
        Span::new(
            text.len() - text.trim_start().len(),
            text.trim_end()
                .len()
                .max(text.len() - text.trim_start().len()),
        )
    }
    /// What protects the product without a preservative.
    pub fn protects(&self) -> Option<SelfPreservation> {
        *self
            .facts
            .protects
            .get_or_init(|| preservation::protects_itself(self.formula, self.kb))
    }
    /// The pH that the file asks for.
    pub fn ph_aim(&self) -> Option<PhAim> {
        *self
            .facts
            .ph_aim
            .get_or_init(|| system::ph_aim(self.formula))
    }
    /// The whole range of pH that the file allows.
    pub fn ph_allowed(&self) -> Option<PhAim> {
        system::ph_allowed(self.formula)
    }
    /// All that is there to preserve.
    pub fn preservatives(&self) -> &[Preserving<'a>] {
        self.facts
            .preservatives
            .get_or_init(|| system::preservatives(self.formula, self.kb))
    }
    /// The liquids that a preservative shares itself out between.
    pub fn liquids(&self) -> &PhaseVolumes {
        self.facts
            .liquids
            .get_or_init(|| PhaseVolumes::of(self.formula, self.kb))
    }
    /// Something else than an emulsifier with a level of its own holds the emulsion.
    pub fn held_otherwise(&self) -> bool {
        *self
            .facts
            .held_otherwise
            .get_or_init(|| hlb::held_otherwise(self.formula, self.kb))
    }
    /// What holds the emulsion, row by row.
    pub fn emulsifiers(&self) -> &[EmulsifierPart<'a>] {
        self.facts
            .emulsifiers
            .get_or_init(|| hlb::emulsifiers(self.formula, self.kb))
    }
    /// Temperatures in the unit that the file uses.
    pub fn degrees(&self) -> Degrees {
        *self.facts.degrees.get_or_init(|| Degrees::of(self.tree))
    }
    /// The pairs of the base that are there and name a rule.
    pub fn pairs(&self, rule: &'static str) -> impl Iterator<Item = &IncompatiblePair> {
        self.facts
            .pairs
            .get_or_init(|| crate::model::pairs::met(self.formula, self.kb))
            .iter()
            .filter(move |m| m.pair.rule == rule)
    }
    pub fn system(&self) -> System {
        *self
            .facts
            .system
            .get_or_init(|| system::system(self.formula, self.kb))
    }
}

/// Declares the files of a group and collects their rules.
macro_rules! rules {
    ($($name:ident),* $(,)?) => {
        $(pub(in crate::rules) mod $name;)*
        pub(crate) static RULES: &[&crate::rules::Rule] = &[$(&$name::RULE),*];
    };
}
use rules;

mod arithmetic;
mod batch;
mod cautions;
mod emulsion;
mod heat;
mod meta;
mod method;
mod microbes;
mod pairs;
mod ph;
mod use_and_law;
mod writing;

/// Every rule, in the order of the pages.
pub fn all() -> impl Iterator<Item = &'static Rule> {
    [
        writing::RULES,
        arithmetic::RULES,
        use_and_law::RULES,
        heat::RULES,
        microbes::RULES,
        ph::RULES,
        emulsion::RULES,
        pairs::RULES,
        method::RULES,
        cautions::RULES,
        batch::RULES,
        meta::RULES,
    ]
    .into_iter()
    .flatten()
    .copied()
}

/// The rule of a code.
pub fn by_code(code: &str) -> Option<&'static Rule> {
    all().find(|r| r.code == code)
}
