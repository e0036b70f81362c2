//! The nearest names to one that is not known: near in its letters, in its sound, or in its meaning. A wrong guess is worse than none, so
//! each word is held against its counterpart, and "vanilla extract" is not "amla extract".

use super::base::Kb;
use super::bundle::BUNDLE;
use super::id::Id;
use super::length_index::{LengthIndex, letters, may_be_near};
use super::lookup::Lookup;
use super::near::Pattern;
use super::strength::split_strength;
use kb_format::names::key;
use std::collections::HashSet;

/// How many are offered.
const MAX_OFFERED: usize = 3;

/// Slips looked for at the most, in a name as it is written; its sound may have fewer.
const MAX_SLIPS: usize = 4;

impl Kb {
    /// The nearest names to one that is not known, best first, at most three.
    pub fn nearest(&self, written: &str) -> Vec<(Id, String)> {
        self.overlay
            .nearest_cache
            .get_or_insert_with(written, || find(self, written))
    }
}

/// The nearest names, best first, as the base writes them. A name of several materials comes with one of them.
fn find(kb: &Kb, written: &str) -> Vec<(Id, String)> {
    let k = key(written.trim_end_matches([',', ':', ';', '.', ' ']));
    if k.is_empty() {
        return Vec::new();
    }
    let mut found = otherwise_said(kb, &k);
    if found.is_empty() {
        found = misspelt(kb, &k);
    }
    if found.is_empty() {
        found = longer(kb, &k);
    }
    if found.is_empty() {
        found = with_its_strength(kb, &k);
    }
    let mut seen = HashSet::new();
    found.retain(|(_, name)| seen.insert(key(name)));
    found.truncate(MAX_OFFERED);
    found
}

/// "lactic acd 80 %": the names near to it without its strength, which they keep.
fn with_its_strength(kb: &Kb, k: &str) -> Vec<(Id, String)> {
    let Some((name, (percent, _))) = split_strength(k) else {
        return Vec::new();
    };
    find(kb, &name)
        .into_iter()
        .map(|(id, near)| (id, format!("{near} {} %", percent.normalize())))
        .collect()
}

/// Other words for the same: an essential oil is called an oil in most of its names.
fn otherwise_said(kb: &Kb, k: &str) -> Vec<(Id, String)> {
    let other = k.replace("essential oil", "oil");
    if other == k {
        return Vec::new();
    }
    match kb.lookup(&other) {
        Lookup::Known { id, .. } => vec![(id, kb.written_name(id, &other))],
        Lookup::Ambiguous(ids) => ids
            .into_iter()
            .map(|id| (id, kb.name(id).to_owned()))
            .collect(),
        Lookup::Unknown => Vec::new(),
    }
}

/// Names but for slips of the pen and for letters that sound alike.
fn misspelt(kb: &Kb, k: &str) -> Vec<(Id, String)> {
    let (set, sound) = (letters(k), sound(k));
    let pattern = Pattern::of(k);
    let allowed = slips(k.len()) + 1;
    let bundled = LengthIndex::bundled().within_letter_bound(k.len(), set, MAX_SLIPS);
    let several = kb.ambiguous_names();
    let own = kb.own_names();
    let near = bundled.chain(several.chain(own).filter(|(name, _)| {
        name.len().abs_diff(k.len()) <= MAX_SLIPS && may_be_near(letters(name), set, MAX_SLIPS)
    }));
    let mut best: Vec<(usize, usize, &str, u16)> = near
        .filter_map(|(name, n)| {
            let distance = pattern.distance(name);
            if distance > allowed + 2 {
                return None;
            }
            let heard = far_in_sound(&sound, &self::sound(name))?;
            (distance <= allowed || heard == 0).then_some((heard + distance, name.len(), name, n))
        })
        .collect();
    best.sort_unstable();
    // Where one is a slip away, what is further off only distracts.
    if let Some((least, ..)) = best.first().copied() {
        best.retain(|(d, ..)| *d <= least + least / 2);
    }
    best.into_iter()
        .map(|(_, _, name, n)| (Id(n), kb.written_name(Id(n), name)))
        .collect()
}

/// Words that many names hold and that name no material.
const GENERAL: [&str; 22] = [
    "oil",
    "butter",
    "extract",
    "powder",
    "acid",
    "water",
    "gum",
    "wax",
    "salt",
    "alcohol",
    "essential",
    "seed",
    "leaf",
    "root",
    "flower",
    "fruit",
    "sodium",
    "potassium",
    "base",
    "blend",
    "cream",
    "and",
];

/// Names that hold every word that is typed, one of them the name of something.
fn longer(kb: &Kb, k: &str) -> Vec<(Id, String)> {
    let words: Vec<&str> = k.split(' ').filter(|w| !w.is_empty()).collect();
    if !words.iter().any(|w| w.len() > 3 && !GENERAL.contains(w)) {
        return Vec::new();
    }
    let packed = &BUNDLE.packed;
    // What only the long lists of prohibited substances name is nobody's guess.
    let bundled = packed.names.iter().filter(|(_, n)| *n < packed.listed);
    let all = bundled.chain(kb.ambiguous_names()).chain(kb.own_names());
    let mut found: Vec<(usize, &str, u16)> = all
        .filter(|(name, _)| {
            words
                .iter()
                .all(|word| name.split([' ', '(', ')', ',']).any(|w| w == *word))
        })
        .map(|(name, n)| (name.split(' ').count(), name, n))
        .collect();
    found.sort_unstable();
    found
        .into_iter()
        .map(|(_, name, n)| (Id(n), kb.written_name(Id(n), name)))
        .collect()
}

/// How many slips a word or name of this length may hold and still be meant.
fn slips(length: usize) -> usize {
    match length {
        0..=3 => 0,
        4..=8 => 1,
        9..=13 => 2,
        _ => 3,
    }
}

/// The slips between two names as they sound, word by word; none where any word is another word.
fn far_in_sound(a: &str, b: &str) -> Option<usize> {
    let count = |s: &str| s.split(' ').count();
    if count(a) != count(b) {
        // Written apart, or as one word.
        let joined = |s: &str| s.replace(' ', "");
        let (a, b) = (joined(a), joined(b));
        let near = a.len().min(b.len()) >= 5 && alike(&a, &b)? <= slips(a.len().min(b.len())) / 2;
        return near.then_some(1);
    }
    a.split(' ').zip(b.split(' ')).try_fold(0, |sum, (a, b)| {
        let distance = alike(a, b)?;
        (distance <= slips(a.len().min(b.len()))).then_some(sum + distance)
    })
}

/// The slips between two words; none where they begin apart or a number in them differs.
fn alike(a: &str, b: &str) -> Option<usize> {
    if a == b {
        return Some(0);
    }
    let number = |s: &str| -> String { s.chars().filter(char::is_ascii_digit).collect() };
    let begins = a
        .as_bytes()
        .iter()
        .take(2)
        .any(|x| b.as_bytes().first() == Some(x))
        || b.as_bytes()
            .iter()
            .take(2)
            .any(|x| a.as_bytes().first() == Some(x));
    (begins && number(a) == number(b)).then(|| Pattern::of(a).distance(b))
}

/// A name as it sounds: letters that stand for one sound are one letter, doubled ones are single, a silent e falls away.
/// A word of one letter is a name and stays ("vitamin c").
fn sound(k: &str) -> String {
    let words = k.split(' ').map(|word| {
        if word.len() < 3 {
            return word.to_owned();
        }
        let mut bare = word
            .replace("ph", "f")
            .replace("th", "t")
            .replace("ch", "k")
            .replace("ae", "e")
            .replace("oe", "e")
            .replace("qu", "k")
            .replace("ck", "k")
            .replace('y', "i")
            .replace('z', "s");
        if bare.len() > 3 && bare.ends_with('e') {
            bare.pop();
        }
        let mut out = String::with_capacity(bare.len());
        let mut letters = bare.chars().peekable();
        while let Some(c) = letters.next() {
            let heard = match c {
                'c' if letters.peek().is_some_and(|n| matches!(n, 'e' | 'i')) => 's',
                'c' => 'k',
                c => c,
            };
            if !out.ends_with(heard) || heard.is_ascii_digit() {
                out.push(heard);
            }
        }
        out
    });
    words.collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(written: &str) -> Vec<String> {
        find(&Kb::bundled(), written)
            .into_iter()
            .map(|(_, name)| name)
            .collect()
    }

    /// What is typed, and what has to be the first guess.
    #[test]
    fn a_slip_or_a_like_sound_is_near() {
        for (typed, first) in [
            ("watr", "water"),
            ("watr,", "water"),
            ("vitamine c", "vitamin C"),
            ("sodium benzoat", "sodium benzoate"),
            ("glicerine", "glycerin"),
            ("xantan gum", "xanthan gum"),
            ("phenoxyetanol", "phenoxyethanol"),
            ("fenoxyethanol", "phenoxyethanol"),
            ("tocoferol", "tocopherol"),
            ("sheabutter", "shea butter"),
            ("shea buttr", "shea butter"),
            ("lavendar oil", "lavender oil"),
            ("lime essential oil", "lime oil"),
            ("jojobba oil", "jojoba oil"),
            ("candelila wax", "candelilla wax"),
        ] {
            let found = near(typed);
            assert_eq!(
                found.first().map(|n| n.to_lowercase()),
                Some(first.to_lowercase()),
                "{typed}: {found:?}"
            );
        }
    }

    /// A wrong guess is worse than none.
    #[test]
    fn what_is_another_word_is_not_near() {
        for (typed, never) in [
            ("watr", "distilled water"),
            ("vitamine c", "biotin"),
            ("vanilla extract", "amla"),
            ("cinnamon", "cinnamal"),
            ("lime essential oil", "anise"),
            ("quartz watch", ""),
            ("unicorn tears", ""),
            ("moon dust", ""),
            ("peg-9", "peg-8"),
        ] {
            let found = near(typed);
            let wrong = |n: &String| {
                never.is_empty() || n.to_lowercase().split(' ').any(|w| w == never) || n == never
            };
            assert!(!found.iter().any(wrong), "{typed}: {found:?}");
        }
    }

    #[test]
    fn a_word_of_a_name_leads_to_it() {
        for (typed, holds) in [("cinnamon", "cinnamon"), ("vanilla extract", "vanilla")] {
            let found = near(typed);
            assert!(!found.is_empty(), "{typed}");
            assert!(
                found.iter().all(|n| n.to_lowercase().contains(holds)),
                "{typed}: {found:?}"
            );
        }
    }
}
