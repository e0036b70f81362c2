//! Comments behind the lines of a section.

use super::body::Body;
use super::columns::{GAP, column_of, width};
use crate::syntax::tree::*;
use std::ops::Range;

/// Comments behind the lines of a section stand in one column: theirs, if they agree on one that has room, else two blanks
/// behind the longest.
pub(super) fn comments(tree: &Tree, lines: Range<usize>, bodies: &mut [Body]) {
    let mut needed = 0;
    let mut agreed: Option<Option<usize>> = None;
    for n in lines.clone() {
        let line = &tree.lines[n].line;
        if let Body::New {
            text,
            comment: Some((span, _)),
        } = &bodies[n]
            && line.node != Node::Comment
        {
            needed = needed.max(width(text) + GAP);
            let at = column_of(line, span.start);
            agreed = Some(match agreed {
                None => at,
                Some(before) if before == at => at,
                Some(_) => None,
            });
        }
    }
    let column = match agreed.flatten() {
        Some(column) if column >= needed => column,
        _ => needed,
    };
    for n in lines {
        if tree.lines[n].line.node != Node::Comment
            && let Body::New {
                comment: Some((_, at)),
                ..
            } = &mut bodies[n]
        {
            *at = column;
        }
    }
}
