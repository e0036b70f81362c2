//! The one entry to the pest grammar. A part of a line goes in, its pairs come out; nothing here builds an error text.

use super::scan::Part;
use pest::Parser;
use pest::iterators::{Pair, Pairs};
use std::num::NonZeroUsize;
use std::sync::Once;

#[derive(pest_derive::Parser)]
#[grammar = "../grammar/formula.pest"]
pub struct Grammar;

/// Far above what a line of a thousand bytes takes; a line that needs more is not a maker's.
const CALLS: usize = 2_000_000;
/// Longer parts are not given to the grammar.
pub const LONGEST: usize = 4_096;

static LIMIT: Once = Once::new();

/// The pairs of `part` under `rule`; none where the rule does not match.
pub fn pairs(rule: Rule, part: Part<'_>) -> Option<Pairs<'_, Rule>> {
    if part.text.len() > LONGEST {
        return None;
    }
    LIMIT.call_once(|| pest::set_call_limit(NonZeroUsize::new(CALLS)));
    Grammar::parse(rule, part.text).ok()
}

/// The one pair of `part` under `rule`, none where the grammar answered `other`.
pub fn pair(rule: Rule, part: Part<'_>) -> Option<Pair<'_, Rule>> {
    pairs(rule, part)?
        .next()
        .filter(|p| p.as_rule() != Rule::other)
}

/// Where a pair stands in the line.
pub fn part_of<'a>(pair: &Pair<'a, Rule>, whole: Part<'a>) -> Part<'a> {
    Part::new(pair.as_str(), whole.at + pair.as_span().start())
}
