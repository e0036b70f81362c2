//! Searching the names of all materials, at every keystroke: one walk over the index of names ([`CompletionIndex`]) and one list of
//! scores, one for each material.

use crate::kb::names::key;
use crate::kb::role::Role;
use crate::kb::schema::PhaseKind;
use crate::kb::{
    CompletionIndex, Id, Kb, MaterialRecord, NameRecord, UseRecord, bigram_mask, letter_mask,
};
use std::collections::HashSet;

/// What is offered at the most.
pub const MAX_ITEMS: usize = 100;

/// What the names are ranked for.
pub struct Asked<'a> {
    pub phase: Option<PhaseKind>,
    /// What the maker has on the shelf or puts into other formulas.
    pub at_hand: &'a HashSet<Id>,
    /// The product is for hair.
    pub hair: bool,
}

/// A material that is found, with the name that did it.
pub struct Found<'a> {
    pub id: Id,
    /// Its id as the base writes it.
    pub written_id: &'a str,
    /// The name as it is written in the base.
    pub written: &'a str,
    /// Several materials go by that name.
    pub loose: bool,
    /// The material's name to show.
    pub shown: &'a str,
    pub phase: Option<PhaseKind>,
    pub inci: &'a str,
    pub role: &'a str,
    pub water: bool,
    pub uses: Vec<Level<'a>>,
}

/// A usual level of use, as written; an end that is open is empty.
#[derive(Clone, Copy)]
pub struct Level<'a> {
    pub product: &'a str,
    pub low: &'a str,
    pub high: &'a str,
}

/// How many masks are compared at once.
const LANES: usize = 16;

/// A hit before the best are chosen: score, whether it is bundled, name.
type Scored = (u32, bool, u32);

fn found<'f>(kb: &Kb, index: &'f CompletionIndex, name: u32) -> Found<'f> {
    let n = &index.names[name as usize];
    let m = &index.materials[usize::from(n.material)];
    fn level<'f>(u: &'f UseRecord) -> Level<'f> {
        Level {
            product: &u.product,
            low: &u.low,
            high: &u.high,
        }
    }
    Found {
        id: kb.entry_id(m.entry),
        written_id: &m.id,
        written: &n.written,
        loose: n.ambiguous,
        shown: &m.shown,
        phase: m.first_phase(),
        inci: &m.inci,
        role: m.role.map_or("", Role::as_str),
        water: m.water,
        uses: m.uses.iter().map(level).collect(),
    }
}

fn search_in(
    kb: &Kb,
    index: &CompletionIndex,
    q: &Query,
    asked: &Asked,
    skip: &[u16],
    own: bool,
    hits: &mut Vec<Scored>,
) {
    let mut best: Vec<(u32, u32)> = vec![(u32::MAX, 0); index.materials.len()];
    for (block, masks) in index.bigram_masks.chunks(LANES).enumerate() {
        // Without a branch inside, so that several are compared at once.
        if !q.loosely
            && !masks
                .iter()
                .fold(false, |any, mask| any | q.may_hold(*mask))
        {
            continue;
        }
        for (n, mask) in masks
            .iter()
            .enumerate()
            .filter(|(_, mask)| q.loosely || q.may_hold(**mask))
        {
            let number = block * LANES + n;
            let n = &index.names[number];
            let Some(tier) = q.tier(&n.key, n.letters, *mask) else {
                continue;
            };
            let m = &index.materials[usize::from(n.material)];
            let at_hand = own || asked.at_hand.contains(&kb.entry_id(m.entry));
            let score = score(q, tier, m, n, asked, at_hand);
            let slot = &mut best[usize::from(n.material)];
            if score < slot.0 {
                *slot = (score, number as u32);
            }
        }
    }
    let found = best.into_iter().enumerate().filter(|(n, (score, _))| {
        *score != u32::MAX && (skip.is_empty() || !skip.contains(&index.materials[*n].entry))
    });
    hits.extend(found.map(|(_, (score, name))| (score, !own, name)));
}

/// A name beyond this place in its entry is seldom what a maker calls the material.
const USUAL_NAMES: u8 = 3;

/// Behind all that makers of other products use.
const SPECIAL: u32 = 8;

/// The lower the better. How surely the name was found; whether the maker has the material, how common it is; whether it fits the phase;
/// how exactly the name is what is typed.
fn score(
    q: &Query,
    tier: Tier,
    m: &MaterialRecord,
    n: &NameRecord,
    asked: &Asked,
    at_hand: bool,
) -> u32 {
    let fit = match asked.phase {
        None => 0,
        Some(w) if m.goes_first_into(w) => 0,
        Some(w) if m.goes_into(w) || w == PhaseKind::CoolDown && m.cool_down => 1,
        Some(_) => 2,
    };
    let sureness = match tier {
        Tier::Exact if n.order == 0 => 0,
        Tier::Exact | Tier::Begins | Tier::Word | Tier::Words => 1,
        Tier::Inside => 2,
        Tier::Slip | Tier::Letters => 3,
    };
    // By another name than its own it comes a step later, by a far-fetched one two.
    let far_fetched = match q.words.is_empty() || n.ambiguous {
        true => 0,
        false => u32::from(n.order > 0) + u32::from(n.order > USUAL_NAMES),
    };
    let in_the_middle = u32::from(matches!(tier, Tier::Word | Tier::Words));
    let rank = match (m.hair_only && !asked.hair, at_hand) {
        (true, _) => SPECIAL,
        (false, true) => 0,
        (false, false) => 1 + m.common as u32 + far_fetched + in_the_middle,
    };
    let (order, length) = (u32::from(n.order), n.key.len().min(255) as u32);
    // With nothing typed the phase is all that is known of what is meant.
    let (before, behind) = match q.words.is_empty() {
        true => (fit, rank),
        false => (rank, fit),
    };
    u32::from(m.demoted) << 30
        | sureness << 28
        | before << 24
        | behind << 20
        | (tier as u32) << 16
        | order << 8
        | length
}

/// How a name was found, the surest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Tier {
    Exact,
    Begins,
    /// A word of it begins so.
    Word,
    /// Each word typed begins a word of it.
    Words,
    Inside,
    /// But for a slip of the finger.
    Slip,
    /// The letters come in this order.
    Letters,
}

struct Query {
    key: String,
    /// Where its words stand in the key.
    words: Vec<(usize, usize)>,
    letters: u32,
    bigrams: u64,
    /// Names that only resemble it are looked at too.
    loosely: bool,
}

impl Query {
    fn of(typed: &str, loosely: bool) -> Query {
        let key = key(typed);
        let mut words = Vec::new();
        let mut at = 0;
        for word in key.split(' ').filter(|w| !w.is_empty()) {
            let start = at + key[at..].find(word).unwrap_or(0);
            at = start + word.len();
            words.push((start, at));
        }
        let (letters, bigrams) = (letter_mask(&key), bigram_mask(&key));
        Query {
            key,
            words,
            letters,
            bigrams,
            loosely,
        }
    }

    /// Whether a name can hold all that is typed: a quick look that most names do not pass.
    #[inline]
    fn may_hold(&self, name_bigrams: u64) -> bool {
        self.bigrams & !name_bigrams == 0
    }

    fn tier(&self, name: &str, name_letters: u32, name_bigrams: u64) -> Option<Tier> {
        if self.words.is_empty() {
            return Some(Tier::Begins);
        }
        let missing = (self.letters & !name_letters).count_ones() as usize;
        if missing == 0
            && self.may_hold(name_bigrams)
            && let Some(tier) = self.surely(name)
        {
            return Some(tier);
        }
        if !self.loosely || missing > self.slips() {
            return None;
        }
        if self.slipped(name) {
            return Some(Tier::Slip);
        }
        (missing == 0 && self.initials() && in_order(&self.key, name)).then_some(Tier::Letters)
    }

    fn surely(&self, name: &str) -> Option<Tier> {
        let (n, q) = (name.as_bytes(), self.key.as_bytes());
        if n.starts_with(q) {
            return Some(if n.len() == q.len() {
                Tier::Exact
            } else {
                Tier::Begins
            });
        }
        let mut inside = false;
        for at in 1..n.len().saturating_sub(q.len() - 1) {
            if n[at] == q[0] && n[at..].starts_with(q) {
                if !n[at - 1].is_ascii_alphanumeric() {
                    return Some(Tier::Word);
                }
                inside = true;
            }
        }
        if self.words.len() > 1
            && self
                .words
                .iter()
                .all(|(a, b)| word_begins(name, &self.key[*a..*b]))
        {
            return Some(Tier::Words);
        }
        (inside && q.len() >= 3).then_some(Tier::Inside)
    }

    /// So short that it may stand for a longer name ("mct"). A longer one is a name of its own.
    fn initials(&self) -> bool {
        self.words.len() == 1 && (3..=5).contains(&self.key.len())
    }

    /// How many slips a word of this length may hold.
    fn slips(&self) -> usize {
        match self.key.len() {
            0..=3 => 0,
            4..=8 => 1,
            _ => 2,
        }
    }

    /// Whether the name, or a word of it, begins like what is typed but for a slip or two.
    fn slipped(&self, name: &str) -> bool {
        let allowed = self.slips();
        if allowed == 0 {
            return false;
        }
        let (q, n) = (self.key.as_bytes(), name.as_bytes());
        let starts =
            (0..n.len()).filter(|at| n.get(*at) == q.first() && (*at == 0 || n[at - 1] == b' '));
        starts
            .into_iter()
            .any(|at| begins_nearly(q, &n[at..], allowed))
    }
}

/// What is compared for slips at the most.
const LONGEST: usize = 48;

/// Whether the name begins like what is typed but for so many letters left out, put in, mistaken or swapped.
/// One table of distances answers for every beginning of the name; it is left as soon as no cell can still do.
fn begins_nearly(q: &[u8], name: &[u8], allowed: usize) -> bool {
    let width = (q.len() + allowed).min(name.len());
    if q.len() > LONGEST || width > LONGEST + 2 {
        return false;
    }
    let mut rows = [[0u8; LONGEST + 3]; 3];
    for (j, cell) in rows[0].iter_mut().enumerate().take(width + 1) {
        *cell = j as u8;
    }
    for i in 1..=q.len() {
        let (now, up, upper) = (i % 3, (i + 2) % 3, (i + 1) % 3);
        rows[now][0] = i as u8;
        let mut least = rows[now][0];
        for j in 1..=width {
            let same = q[i - 1] == name[j - 1];
            let mut d = (rows[up][j - 1] + u8::from(!same))
                .min(rows[up][j] + 1)
                .min(rows[now][j - 1] + 1);
            if i > 1 && j > 1 && q[i - 1] == name[j - 2] && q[i - 2] == name[j - 1] {
                d = d.min(rows[upper][j - 2] + 1);
            }
            rows[now][j] = d;
            least = least.min(d);
        }
        // A swap may still save one step of the row above.
        if usize::from(least) > allowed + 1 {
            return false;
        }
    }
    rows[q.len() % 3][..=width]
        .iter()
        .any(|d| usize::from(*d) <= allowed)
}

fn word_begins(name: &str, word: &str) -> bool {
    name.starts_with(word)
        || name
            .match_indices(word)
            .any(|(at, _)| at > 0 && !name.as_bytes()[at - 1].is_ascii_alphanumeric())
}

/// The letters typed, blanks aside, stand in the name in their order, the first at the beginning of a word.
fn in_order(typed: &str, name: &str) -> bool {
    let n = name.as_bytes();
    let mut wanted = typed.bytes().filter(|b| *b != b' ');
    let Some(first) = wanted.next() else {
        return false;
    };
    // The earliest beginning leaves the most to follow.
    let Some(start) = (0..n.len()).find(|at| n[*at] == first && (*at == 0 || n[at - 1] == b' '))
    else {
        return false;
    };
    let mut rest = n[start + 1..].iter();
    wanted.all(|b| rest.any(|c| *c == b))
}

/// The materials whose names fit what is typed, best first, each handed to `make`; nothing typed: all that fit the phase.
pub fn search<T>(
    kb: &Kb,
    typed: &str,
    asked: &Asked,
    mut make: impl FnMut(usize, Found) -> T,
) -> Vec<T> {
    let (bundled, own) = (Kb::completion_index(), kb.user_completion_index());
    let laid_over: Vec<u16> = own
        .iter()
        .flat_map(|index| index.materials.iter().map(|m| m.entry))
        .collect();
    let mut hits: Vec<Scored> = Vec::new();
    for loosely in [false, true] {
        let q = Query::of(typed, loosely);
        search_in(kb, bundled, &q, asked, &laid_over, false, &mut hits);
        if let Some(index) = &own {
            search_in(kb, index, &q, asked, &[], true, &mut hits);
        }
        // Only where nothing is found do names count that merely resemble it.
        if !hits.is_empty() || q.key.len() < 3 {
            break;
        }
    }
    if hits.len() > MAX_ITEMS {
        hits.select_nth_unstable(MAX_ITEMS);
        hits.truncate(MAX_ITEMS);
    }
    hits.sort_unstable();
    let chosen = hits.into_iter().enumerate();
    let found = chosen.map(|(n, (_, is_bundled, name))| {
        let index = own.as_ref().filter(|_| !is_bundled).unwrap_or(bundled);
        make(n, found(kb, index, name))
    });
    found.collect()
}
