//! A batch while it is made: what stands in each vessel, when it has cooled, what the method asks for next.

mod cooling;
mod steps;
mod vessels;

pub use cooling::{CoolEnough, clock};
pub use steps::{Mark, NextStep};
pub use vessels::VesselWeight;

use super::record::{Actual, Record, Weighed};
use super::shop::Plan;
use crate::syntax::tree::{Heading, LogLine, Node, Tree};
use rust_decimal::Decimal;
use std::ops::Range;

/// A record with its lines and its formula.
#[derive(Clone)]
pub struct Making<'a> {
    pub record: &'a Record,
    pub tree: &'a Tree,
    /// From its heading to the heading of the next batch.
    pub lines: Range<u32>,
    /// None: the heading names no formula, or its file cannot be read.
    pub plan: Option<&'a Plan>,
}

impl<'a> Making<'a> {
    pub fn new(record: &'a Record, tree: &'a Tree, plan: Option<&'a Plan>) -> Making<'a> {
        let below = tree.lines.iter().enumerate().skip(record.line as usize + 1);
        let next = below
            .filter(|(_, at)| matches!(at.line.node, Node::Heading(Heading::Batch { .. })))
            .map(|(n, _)| n as u32)
            .next();
        Making {
            record,
            tree,
            lines: record.line..next.unwrap_or(tree.lines.len() as u32),
            plan,
        }
    }

    /// The lines of its log, in their order.
    pub fn log(&self) -> impl Iterator<Item = (u32, &'a LogLine)> {
        let tree = self.tree;
        self.lines.clone().filter_map(move |n| {
            let at = tree.lines.get(n as usize)?;
            match &at.line.node {
                Node::Log(log) => Some((n, log)),
                _ => None,
            }
        })
    }

    /// The rows that are weighed: jars and labels are counted.
    pub fn rows(&self) -> impl Iterator<Item = &'a Weighed> {
        let by_weight = |w: &&Weighed| !matches!(w.actual, Actual::Pieces(_));
        self.record.weighed.iter().filter(by_weight)
    }

    /// What a row was to weigh: as it is written, else as the formula and the target have it.
    pub fn planned_g(&self, row: &Weighed) -> Option<Decimal> {
        row.planned_g.or_else(|| {
            let plan = self.plan?;
            let planned = plan.row(&row.item)?;
            Some(plan.grams(planned, self.record.target_g?)?.normalize())
        })
    }
}

/// A label as a step or an event names it: "phase C" is C.
pub(super) fn label(words: &str) -> &str {
    let words = words.trim();
    ["phase ", "premix "]
        .into_iter()
        .find_map(|word| {
            let start = words.get(..word.len())?;
            start
                .eq_ignore_ascii_case(word)
                .then(|| words[word.len()..].trim())
        })
        .unwrap_or(words)
}
