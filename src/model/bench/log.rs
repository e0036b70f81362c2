//! The log of a batch record as steps for the dose: pH readings and what went in, in their order.
//!
//! An addition that cannot be named makes every reading after it worthless: the fit would credit the named
//! acid with what the other one did. So a line that may be an addition and is not understood is [`Lost`], and
//! no dose is worked out.

use super::super::acidity::Acid;
use super::super::formula::{Formula, Material};
use super::{NoTitrant, Step, grams, titrant};
use crate::chem::units::{Dimension, Unit};
use crate::kb::role::Role;
use crate::kb::{Id, Kb, Lookup};
use crate::syntax::tree::{Event, Field, FieldValue, Heading, Measure, Node, Tree};
use rust_decimal::Decimal;

/// What a batch record says for the dose.
#[derive(Clone, Debug, Default)]
pub struct Log {
    /// The weight to go by: what was weighed, where all of it was, else the target.
    pub mass_g: Option<Decimal>,
    pub steps: Vec<Step>,
    /// Lines that may have moved the pH and are not understood, in their order.
    pub lost: Vec<Lost>,
}

/// A line of the log that the readings after it cannot be trusted with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lost {
    /// From 0.
    pub line: u32,
    /// "what is wrong; what to do".
    pub words: String,
}

/// Code and formula file of a batch record, as written.
pub fn plan(tree: &Tree) -> (Option<String>, Option<String>) {
    let heading = tree.lines.iter().find_map(|at| match &at.line.node {
        Node::Heading(Heading::Batch { code, formula, .. }) => Some((code, formula)),
        _ => None,
    });
    heading.map_or((None, None), |(code, formula)| {
        let text = |s: &Option<crate::text::Spanned<String>>| s.as_ref().map(|s| s.value.clone());
        (text(code), text(formula))
    })
}

/// Reads a batch record: its weight, and of its log the pH readings and the acids and bases in their order.
/// The formula tells what a phase that went in holds.
pub fn log(tree: &Tree, kb: &Kb, formula: Option<&Formula>) -> Log {
    log_up_to(tree, kb, formula, u32::MAX)
}

/// The same without the events that stand below a line.
pub fn log_up_to(tree: &Tree, kb: &Kb, formula: Option<&Formula>, last_line: u32) -> Log {
    let mut out = Reader {
        kb,
        formula,
        log: Log::default(),
        line: 0,
        coarse: None,
    };
    let (mut target, mut sum, mut all_weighed, mut any) = (None, Decimal::ZERO, true, false);
    let mut batches = 0;
    for (n, at) in tree.lines.iter().enumerate() {
        out.line = n as u32;
        match &at.line.node {
            Node::Heading(Heading::Batch { .. }) => {
                batches += 1;
                if batches > 1 {
                    out.lose("a second batch begins here; keep one batch in a file".to_owned());
                    break;
                }
            }
            Node::Field(Field {
                key,
                read: FieldValue::Measure(m),
                ..
            }) if key.value == "target" => target = grams(*m),
            Node::Weighed(row) => {
                any = true;
                match row.actual.and_then(grams) {
                    Some(g) => sum = sum.saturating_add(g),
                    None => all_weighed = false,
                }
            }
            Node::Log(line) if out.line <= last_line => {
                if !at.line.errors.is_empty() && out.began() {
                    out.lose("this line cannot be read; correct it".to_owned());
                }
                for event in &line.events {
                    out.take(&event.value);
                }
            }
            _ => {}
        }
    }
    if let Some(line) = out.coarse {
        out.line = line;
        out.lose(
            "this reading has a width, too coarse for a dose; read the pH with a meter".to_owned(),
        );
    }
    out.log.mass_g = if any && all_weighed && !sum.is_zero() {
        Some(sum)
    } else {
        target
    };
    out.log
}

struct Reader<'a> {
    kb: &'a Kb,
    formula: Option<&'a Formula>,
    log: Log,
    line: u32,
    /// The last reading of pH, where it is one with a width.
    coarse: Option<u32>,
}

impl Reader<'_> {
    /// A pH was read: what goes in from here on counts between two readings.
    fn began(&self) -> bool {
        let read = |s: &Step| matches!(s, Step::Read(_) | Step::SampleRead(_));
        self.log.steps.iter().any(read)
    }

    fn lose(&mut self, words: String) {
        let line = self.line;
        self.log.lost.push(Lost { line, words });
    }

    /// Loses a line that stands after the first reading; what went in before it is part of the product.
    fn lose_after_reading(&mut self, words: String) {
        if self.began() {
            self.lose(words);
        }
    }

    fn take(&mut self, event: &Event) {
        match event {
            // A reading with a width says too little for a dose; an exact one after it makes up for it.
            Event::Ph { upper: Some(_), .. } => self.coarse = Some(self.line),
            Event::Ph { value, sample, .. } => {
                self.coarse = None;
                self.log.steps.push(match sample {
                    true => Step::SampleRead(*value),
                    false => Step::Read(*value),
                });
            }
            Event::Sample(weight) => self
                .log
                .steps
                .extend(grams(*weight).map(|grams| Step::Sample { grams })),
            Event::Add {
                amount: Some(amount),
                what,
                ..
            } => self.weighed(*amount, what, event.is_of_sample()),
            Event::Add { what, .. } => self.unweighed(what),
            Event::Weight {
                vessel: Some(vessel),
                ..
            } if self.names_acid(vessel) => self.lose_after_reading(not_an_addition(vessel)),
            Event::Text(text) if self.may_be_addition(text) => {
                self.lose_after_reading(not_an_addition(text));
            }
            _ => {}
        }
    }

    /// `add 1.50 g lactic acid 10 %`, `add D 25.0 g`.
    fn weighed(&mut self, amount: Measure, what: &str, of_sample: bool) {
        let only = self.only_material(what);
        let what = only.as_deref().unwrap_or(what);
        match titrant(self.kb, what) {
            Ok(_) => match grams(amount) {
                Some(grams) => {
                    let what = what.to_owned();
                    self.log.steps.push(match of_sample {
                        true => Step::SampleAdded { grams, what },
                        false => Step::Added { grams, what },
                    });
                }
                None => self.lose(format!(
                    "how much {what} went in is not by weight; write it in grams"
                )),
            },
            Err(no) if self.moves_ph(what, &no) => self.lose_after_reading(no.words(what)),
            Err(_) => {}
        }
    }

    /// `add C`, `add lactic acid 10 %`.
    fn unweighed(&mut self, what: &str) {
        let moves = match titrant(self.kb, what) {
            Ok(_) => true,
            Err(no) => self.moves_ph(what, &no),
        };
        if moves {
            self.lose_after_reading(format!(
                "\"add {}\" does not say how much went in, or of what; write it as `add 1.50 g lactic acid 10 %`",
                what.trim()
            ));
        }
    }

    /// Whether something that is no titrant may move the pH all the same.
    fn moves_ph(&self, what: &str, no: &NoTitrant) -> bool {
        match no {
            NoTitrant::Neutral(_) => false,
            NoTitrant::NoFigures(_) => self.names_acid(what),
            NoTitrant::Unknown(_) | NoTitrant::Several(_) | NoTitrant::ByVolume => self
                .rows_of(what)
                .is_none_or(|rows| self.any_moves_ph(&rows)),
        }
    }

    /// Rows of a phase, those of its premixes included. None where no phase has the label.
    fn rows_of(&self, what: &str) -> Option<Vec<usize>> {
        let formula = self.formula?;
        let what = what.trim();
        let after = |word: &str| {
            what.get(..word.len())
                .filter(|start| start.eq_ignore_ascii_case(word))
                .map(|start| what[start.len()..].trim())
        };
        let label = ["phase ", "premix "]
            .into_iter()
            .find_map(after)
            .unwrap_or(what);
        let at = formula
            .phases
            .iter()
            .position(|p| p.label.eq_ignore_ascii_case(label))?;
        let of = |n: &usize| *n == at || formula.phases[*n].into == Some(at);
        let phases = (0..formula.phases.len()).filter(of);
        Some(
            phases
                .flat_map(|n| formula.phases[n].rows.clone())
                .collect(),
        )
    }

    /// The name of the one material of a phase: `add D 25.0 g` is an addition of it.
    fn only_material(&self, what: &str) -> Option<String> {
        match self.rows_of(what)?[..] {
            [row] => Some(self.formula?.rows[row].name.value.to_string()),
            _ => None,
        }
    }

    fn any_moves_ph(&self, rows: &[usize]) -> bool {
        let Some(formula) = self.formula else {
            return true;
        };
        rows.iter().any(|n| match &formula.rows[*n].material {
            Material::Known { .. } => false,
            Material::Nested(inner) => inner.has_unknown,
            Material::Ambiguous(_) | Material::Unknown | Material::Unusable(_) => true,
        }) || formula
            .components
            .iter()
            .any(|s| rows.contains(&s.row) && moves_ph(self.kb, s.id))
    }

    fn names_acid(&self, text: &str) -> bool {
        match self.kb.lookup(text) {
            Lookup::Known { id, .. } => moves_ph(self.kb, id),
            _ => false,
        }
    }

    /// Free text that begins as a reading of pH does, holds a weight or a volume, or names an acid or base.
    fn may_be_addition(&self, text: &str) -> bool {
        let words: Vec<&str> = text.split_whitespace().collect();
        let Some(first) = words.first() else {
            return false;
        };
        let begins_as_ph = first.get(..2).is_some_and(|p| p.eq_ignore_ascii_case("ph"));
        let nothing_goes_in = NOTHING_GOES_IN
            .iter()
            .any(|word| first.eq_ignore_ascii_case(word));
        begins_as_ph || !nothing_goes_in && (holds_amount(&words) || self.holds_acid(&words))
    }

    fn holds_acid(&self, words: &[&str]) -> bool {
        const LONGEST_NAME: usize = 4;
        (0..words.len()).any(|from| {
            (from + 1..=words.len().min(from + LONGEST_NAME))
                .any(|to| self.names_acid(&words[from..to].join(" ")))
        })
    }
}

/// First words of a remark that holds a weight and adds nothing.
const NOTHING_GOES_IN: [&str; 12] = [
    "cleaned", "fill", "filled", "kept", "label", "labels", "lost", "packed", "retain", "retained",
    "scale", "spilled",
];

fn holds_amount(words: &[&str]) -> bool {
    (0..words.len()).any(|n| {
        let word = words[n].trim_start_matches(['+', '(']);
        if !word.starts_with(|c: char| c.is_ascii_digit()) {
            return false;
        }
        let unit = word.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | ','));
        let unit = match unit {
            "" => words.get(n + 1).copied().unwrap_or_default(),
            unit => unit,
        };
        Unit::parse(unit.trim_end_matches([')', '.', ',', ';']))
            .is_some_and(|u| matches!(u.dimension(), Dimension::Mass | Dimension::Volume))
    })
}

fn not_an_addition(text: &str) -> String {
    format!(
        "it is not clear whether something went in here: \"{}\"; write an addition as `add 1.50 g lactic acid 10 %`, a reading as `pH 5.4`, and put a remark behind #",
        text.trim()
    )
}

/// An acid, a base or a buffer, with figures or without.
fn moves_ph(kb: &Kb, id: Id) -> bool {
    let one = kb.get(id);
    match Acid::of(one) {
        Some(acid) => !acid.is_neutral(),
        None => {
            let named = [Role::Acid, Role::Base, Role::Buffer];
            !one.groups.is_empty() || one.roles.has_any(&named)
        }
    }
}
