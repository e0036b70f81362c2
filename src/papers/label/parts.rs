//! What is in the formula, name by name of the label: the same substance from several rows added up. What has no name or
//! no known share is kept as a gap, never dropped.

use crate::kb::{Id, Kb};
use crate::model::Formula;
use crate::model::component::{Component, ComponentKind, Unknown};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// A substance of the list.
#[derive(Clone, Debug, Default)]
pub struct LabelPart {
    /// Usual percent of the whole.
    pub percent: Decimal,
    /// From 0, each once.
    pub lines: Vec<u32>,
    /// At least one row is written as the colour of the product.
    pub colours: bool,
    /// Nothing but "as much as it takes" is known of it.
    pub unmeasured: bool,
}

/// A place in the list whose name is not known.
#[derive(Clone, Debug)]
pub struct Gap {
    pub name: String,
    /// From 0.
    pub line: u32,
    pub percent: Decimal,
    pub why: &'static str,
}

#[derive(Clone, Debug, Default)]
pub struct Parts {
    pub of: BTreeMap<Id, LabelPart>,
    pub gaps: Vec<Gap>,
    /// In the sum, not on the label: name and line.
    pub hidden: Vec<(Id, u32)>,
}

pub fn parts(f: &Formula, kb: &Kb) -> Parts {
    let mut out = Parts::default();
    let is_there = |s: &&Component| {
        s.kind != ComponentKind::Constituent && (!s.typical.is_zero() || s.unmeasured)
    };
    for s in f.components.iter().filter(is_there) {
        let line = f.rows[s.row].line;
        if s.hidden {
            out.hidden.push((s.id, line));
        } else if s.listed {
            let part = out.of.entry(s.id).or_default();
            part.unmeasured = s.unmeasured && (part.unmeasured || part.lines.is_empty());
            part.percent += s.typical;
            part.colours |= s.colours;
            if !part.lines.contains(&line) {
                part.lines.push(line);
            }
        } else if s.open && s.kind == ComponentKind::Substance {
            let name = kb.name(s.id);
            let why = if name.contains("(and)") {
                "the shares of its parts are not known; write them in as rows from the supplier's data sheet"
            } else {
                "no INCI name is known for it"
            };
            out.gap(name, line, s.typical, why);
        }
    }
    for g in f
        .gaps
        .iter()
        .filter(|g| !g.percent.is_zero() || g.unmeasured)
    {
        let why = match g.why {
            Unknown::Ambiguous => "several materials have this name",
            Unknown::Material => "the material is not known",
            Unknown::File => "the file of this formula cannot be used",
            Unknown::Carrier => "the supplier's data sheet says what it is made up with",
        };
        out.gap(&g.name, f.rows[g.row].line, g.percent, why);
    }
    out.hidden.sort_by_key(|(_, line)| *line);
    out
}

impl Parts {
    fn gap(&mut self, name: &str, line: u32, percent: Decimal, why: &'static str) {
        match self.gaps.iter_mut().find(|g| g.name == name) {
            Some(gap) => {
                gap.percent += percent;
                gap.line = gap.line.min(line);
            }
            None => self.gaps.push(Gap {
                name: name.to_owned(),
                line,
                percent,
                why,
            }),
        }
    }
}
