//! The seal of a record: eight signs that tell afterwards whether a line changed, and which.
//!
//! Each line of the record is a number. The signs hold their sum, and their sum with each number taken as often as its line counts,
//! both modulo a prime: where one line changed, was added or was taken out, the two differences give its place.
//!
//! Sealed are heading, fields, `weighed`, `log` and `packed`. Comments, observations, complaints, notes and decisions come later and
//! are free. A line that keeps its old value (`, was OLD`) counts as it was.

use crate::syntax::tree::{Correction, Heading, Line, Node, SectionKind, Tree};

/// The largest prime below two to the power of 20, so that two sums fill eight signs of five bits.
const PRIME: u64 = 1_048_573;
const BITS: u32 = 20;
/// Digits and letters without those that a hand takes for another.
const SIGNS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
const COUNT: usize = 8;

/// What became of a sealed record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    Whole,
    /// This line changed; from 0.
    Changed(u32),
    /// This line came after the seal.
    Added(u32),
    /// A line below this one is gone.
    Gone(u32),
    /// More than one line changed.
    Several,
    /// What stands there are no eight signs.
    NoSigns,
}

/// The signs of the record whose heading stands on a line.
pub fn signs(tree: &Tree, heading: u32) -> String {
    let lines = sealed(tree, heading);
    let (sum, weighed) = sums(&lines);
    let mut bits = (sum << BITS) | weighed;
    let mut out = [0u8; COUNT];
    for sign in out.iter_mut().rev() {
        *sign = SIGNS[(bits & 31) as usize];
        bits >>= 5;
    }
    out.iter().map(|b| char::from(*b)).collect()
}

/// Holds a record against its signs.
pub fn verify(tree: &Tree, heading: u32, written: &str) -> Verdict {
    let Some((sum, weighed)) = read(written) else {
        return Verdict::NoSigns;
    };
    let lines = sealed(tree, heading);
    let (now, now_weighed) = sums(&lines);
    let less = |a: u64, b: u64| (a + PRIME - b % PRIME) % PRIME;
    let (gap, weighed_gap) = (less(sum, now), less(weighed, now_weighed));
    if gap == 0 && weighed_gap == 0 {
        return Verdict::Whole;
    }
    // The sum of the numbers from a place on.
    let mut rest = vec![0; lines.len() + 1];
    for n in (0..lines.len()).rev() {
        rest[n] = (rest[n + 1] + lines[n].1) % PRIME;
    }
    for (n, (line, number)) in lines.iter().enumerate() {
        let moved = ((n as u64 + 1) * number + rest[n + 1]) % PRIME;
        if gap == less(0, *number) && weighed_gap == less(0, moved) {
            return Verdict::Added(*line);
        }
    }
    if gap != 0 {
        let place = weighed_gap * inverse(gap) % PRIME;
        if let Some((line, _)) = (place as usize).checked_sub(1).and_then(|n| lines.get(n)) {
            return Verdict::Changed(*line);
        }
        for (n, after) in rest.iter().enumerate() {
            if weighed_gap == ((n as u64 + 1) * gap + after) % PRIME {
                let above = n.checked_sub(1).and_then(|n| lines.get(n));
                return Verdict::Gone(above.map_or(heading, |(line, _)| *line));
            }
        }
    }
    Verdict::Several
}

fn sums(lines: &[(u32, u64)]) -> (u64, u64) {
    let numbers = lines.iter().enumerate();
    numbers.fold((0, 0), |(sum, weighed), (n, (_, number))| {
        let place = n as u64 + 1;
        ((sum + number) % PRIME, (weighed + place * number) % PRIME)
    })
}

fn read(written: &str) -> Option<(u64, u64)> {
    if written.len() != COUNT {
        return None;
    }
    let bits = written.bytes().try_fold(0u64, |bits, sign| {
        let value = SIGNS.iter().position(|s| *s == sign.to_ascii_uppercase())?;
        Some((bits << 5) | value as u64)
    })?;
    let (sum, weighed) = (bits >> BITS, bits & ((1 << BITS) - 1));
    (sum < PRIME && weighed < PRIME).then_some((sum, weighed))
}

/// By Fermat: a number to the power of the prime less two.
fn inverse(number: u64) -> u64 {
    let (mut out, mut base, mut power) = (1, number % PRIME, PRIME - 2);
    while power > 0 {
        if power & 1 == 1 {
            out = out * base % PRIME;
        }
        base = base * base % PRIME;
        power >>= 1;
    }
    out
}

/// The sealed lines of a record with their numbers.
fn sealed(tree: &Tree, heading: u32) -> Vec<(u32, u64)> {
    let mut out = Vec::new();
    for (n, at) in tree.lines.iter().enumerate().skip(heading as usize) {
        let line = &*at.line;
        if n > heading as usize && matches!(line.node, Node::Heading(Heading::Batch { .. })) {
            break;
        }
        if is_sealed(line) {
            out.push((n as u32, number(&as_sealed(line))));
        }
    }
    out
}

fn is_sealed(line: &Line) -> bool {
    let free = match &line.node {
        Node::Blank | Node::Comment => true,
        Node::Field(field) => matches!(
            field.key.value.as_str(),
            "released" | "rejected" | "on hold" | "sealed" | "void"
        ),
        _ => false,
    };
    !free
        && matches!(
            line.section,
            SectionKind::Batch | SectionKind::Weighed | SectionKind::Log | SectionKind::Packed
        )
}

/// A line without its comment, old values back in their places, one blank between words.
fn as_sealed(line: &Line) -> String {
    let end = line.comment.map_or(line.text.len(), |c| c.start as usize);
    let mut text = line.text[..end].to_owned();
    for correction in line.corrections.iter().rev() {
        text = with_old(&text, correction);
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The old value has as many words as the new one, so that `126.0 g, was 125.0 g` was `125.0 g`.
fn with_old(text: &str, correction: &Correction) -> String {
    let (start, end) = (correction.span.start as usize, correction.span.end as usize);
    let (Some(before), Some(after)) = (text.get(..start), text.get(end..)) else {
        return text.to_owned();
    };
    let words = correction.old.value.split_whitespace().count();
    let mut before = before.trim_end();
    for _ in 0..words {
        before = before
            .trim_end()
            .trim_end_matches(|c: char| !c.is_whitespace());
    }
    format!("{before} {} {after}", correction.old.value)
}

/// FNV-1a of 64 bits, brought below the prime and above zero.
fn number(text: &str) -> u64 {
    let hash = text.bytes().fold(0xcbf2_9ce4_8422_2325u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    hash % (PRIME - 1) + 1
}
