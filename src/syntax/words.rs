//! The words of the language: headings of each kind of file, fields of each heading, nearest words.

use super::scan::same;
use super::tree::{FileKind, SectionKind};

/// The headings that a kind of file may have, with the section that each opens.
pub fn headings(kind: FileKind) -> &'static [(&'static str, SectionKind)] {
    match kind {
        FileKind::Formula => &[
            ("formula", SectionKind::Formula),
            ("phase", SectionKind::Phase),
            ("premix", SectionKind::Premix),
            ("method", SectionKind::Method),
            ("notes", SectionKind::Notes),
        ],
        FileKind::Batch => &[
            ("batch", SectionKind::Batch),
            ("weighed", SectionKind::Weighed),
            ("log", SectionKind::Log),
            ("packed", SectionKind::Packed),
            ("observations", SectionKind::Observations),
            ("complaints", SectionKind::Complaints),
            ("notes", SectionKind::Notes),
        ],
        FileKind::Stock => &[
            ("lot", SectionKind::Lot),
            ("ledger", SectionKind::Ledger),
            ("notes", SectionKind::Notes),
        ],
    }
}

/// The headings as a message lists them.
pub fn headings_listed(kind: FileKind) -> &'static str {
    match kind {
        FileKind::Formula => "formula, phase, premix, method and notes",
        FileKind::Batch => "batch, weighed, log, packed, observations, complaints and notes",
        FileKind::Stock => "lot, ledger and notes",
    }
}

/// The fields that a section may have; lower case, as the tree keeps keys.
pub fn fields(section: SectionKind) -> &'static [&'static str] {
    match section {
        SectionKind::Formula | SectionKind::Top => &[
            "version",
            "product",
            "type",
            "form",
            "use",
            "for",
            "batch",
            "ph",
            "sold in",
            "claims",
            "fill",
            "extra for losses",
            "keep",
            "code",
        ],
        SectionKind::Batch => &[
            "made",
            "target",
            "room",
            "by",
            "checked",
            "equipment",
            "best before",
            "after opening",
            "released",
            "rejected",
            "on hold",
            "sealed",
            "void",
        ],
        SectionKind::Lot => &[
            "supplier",
            "supplier lot",
            "received",
            "best before",
            "retest",
            "after opening",
            "bought",
            "opened",
            "from",
            "certificate",
            "released",
            "rejected",
            "on hold",
            "for",
            "stored",
        ],
        _ => &[],
    }
}

/// A field's key as it is written.
pub fn field_written(key: &str) -> &str {
    match key {
        "ph" => "pH",
        key => key,
    }
}

/// The section that a keyword of this kind of file opens.
pub fn keyword(kind: FileKind, word: &str) -> Option<(&'static str, SectionKind)> {
    headings(kind).iter().copied().find(|(k, _)| same(k, word))
}

/// The keyword that a misspelt one is nearest to.
pub fn nearest_heading(kind: FileKind, word: &str) -> Option<(&'static str, SectionKind)> {
    let word = word.to_ascii_lowercase();
    headings(kind)
        .iter()
        .copied()
        .map(|(k, s)| (strsim::osa_distance(&word, k), k, s))
        .filter(|&(d, k, _)| d <= allowance(k))
        .min_by_key(|&(d, _, _)| d)
        .map(|(_, k, s)| (k, s))
}

/// The word of `list` that a misspelt one is nearest to.
pub fn nearest<'a>(list: &[&'a str], word: &str) -> Option<&'a str> {
    list.iter()
        .map(|k| (strsim::osa_distance(word, k), *k))
        .filter(|&(d, k)| d <= allowance(k))
        .min_by_key(|&(d, _)| d)
        .map(|(_, k)| k)
}

/// How many slips of the finger still make it the same word.
fn allowance(word: &str) -> usize {
    match word.len() {
        0..=2 => 0,
        3..=4 => 1,
        _ => 2,
    }
}
