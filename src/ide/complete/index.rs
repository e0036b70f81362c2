//! All names of all materials, filed for searching at every keystroke.
//!
//! The keys stand in one string, each name with a mask of its letters; a search walks them once and allocates one
//! list of scores, one for each material.

use crate::kb::names::key;
use crate::kb::number::Number;
use crate::kb::schema::{Base, Ingredient, PhaseKind};
use crate::kb::{Id, Kb};
use crate::model::system;
use std::sync::LazyLock;

/// What is offered at the most.
pub const MOST: usize = 100;

static BUNDLED: LazyLock<Index> = LazyLock::new(|| {
    let kb = Kb::bundled();
    let ids: Vec<Id> = kb.ids().collect();
    Index::of(&kb, &ids)
});

/// Files the names of the bundled base ahead of the first search.
pub fn prepare() {
    LazyLock::force(&BUNDLED);
}

struct Index {
    /// What is searched: the keys of all names.
    keys: String,
    /// What is shown: names as they are written, roles, figures.
    words: String,
    names: Vec<Name>,
    materials: Vec<Material>,
    uses: Vec<Use>,
}

/// A piece of [`Index::words`].
#[derive(Clone, Copy, Default)]
struct Text {
    start: u32,
    len: u16,
}

struct Name {
    start: u32,
    len: u16,
    material: u16,
    letters: u32,
    neighbours: u64,
    written: Text,
    /// The everyday names first, as the entry lists them.
    order: u8,
    /// Several materials go by it.
    loose: bool,
}

struct Material {
    id: Id,
    phases: Vec<PhaseKind>,
    cool: bool,
    names: u8,
    /// Nothing that a maker puts into a row of his own accord.
    odd: bool,
    water: bool,
    written_id: Text,
    shown: Text,
    inci: Text,
    role: Text,
    /// Its levels of use, of the formula as a whole.
    uses: std::ops::Range<u32>,
}

struct Use {
    product: Text,
    low: Text,
    high: Text,
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

/// A hit before the best are chosen: score, own or bundled, name.
type Scored = (u32, bool, u32);

impl Index {
    fn of(kb: &Kb, ids: &[Id]) -> Index {
        let mut out = Index {
            keys: String::new(),
            words: String::new(),
            names: Vec::new(),
            materials: Vec::with_capacity(ids.len()),
            uses: Vec::new(),
        };
        for id in ids {
            let (one, shown) = kb.glance_named(*id);
            let role = one.roles.first().map(String::as_str);
            // Elements and constituents are there for the law's sake.
            if matches!(role, Some("element" | "constituent")) || one.names.is_empty() && one.inci.is_none() {
                continue;
            }
            out.add(*id, &one, &shown);
        }
        out.keys.shrink_to_fit();
        out.words.shrink_to_fit();
        out.names.shrink_to_fit();
        out.uses.shrink_to_fit();
        out
    }

    fn add(&mut self, id: Id, one: &Ingredient, shown: &str) {
        let role = one.roles.first().map_or("", String::as_str);
        let material = self.materials.len() as u16;
        let sure = one.names.iter().chain(&one.inci).chain(&one.inci_us).map(|n| (n, false));
        for (order, (name, loose)) in sure.chain(one.loose_names.iter().map(|n| (n, true))).enumerate() {
            let k = key(name);
            let written = self.keep(name);
            self.names.push(Name {
                start: self.keys.len() as u32,
                len: k.len() as u16,
                material,
                letters: letters(&k),
                neighbours: neighbours(&k),
                written,
                order: order.min(15) as u8,
                loose,
            });
            self.keys.push_str(&k);
        }
        let first_use = self.uses.len() as u32;
        for u in one.r#use.iter().filter(|u| u.of == Base::Formula) {
            let figure = |n: Option<Number>| n.map_or_else(String::new, |n| n.to_string());
            let use_ = Use { product: self.keep(&u.product), low: self.keep(&figure(u.low)), high: self.keep(&figure(u.high)) };
            self.uses.push(use_);
        }
        let m = Material {
            id,
            phases: one.phase.clone(),
            cool: one.add_below_c.is_some(),
            names: one.names.len().min(15) as u8,
            odd: one.family == "banned" || matches!(role, "toxic" | "medicine" | "hormone" | "antibiotic"),
            water: system::is_water(one),
            written_id: self.keep(&one.id),
            shown: self.keep(shown),
            inci: self.keep(one.inci.as_deref().unwrap_or("")),
            role: self.keep(role),
            uses: first_use..self.uses.len() as u32,
        };
        self.materials.push(m);
    }

    fn keep(&mut self, text: &str) -> Text {
        let start = self.words.len() as u32;
        self.words.push_str(text);
        Text { start, len: text.len() as u16 }
    }

    fn text(&self, t: Text) -> &str {
        &self.words[t.start as usize..t.start as usize + usize::from(t.len)]
    }

    fn found(&self, name: u32) -> Found<'_> {
        let n = &self.names[name as usize];
        let m = &self.materials[usize::from(n.material)];
        let uses = &self.uses[m.uses.start as usize..m.uses.end as usize];
        Found {
            id: m.id,
            written_id: self.text(m.written_id),
            written: self.text(n.written),
            loose: n.loose,
            shown: self.text(m.shown),
            inci: self.text(m.inci),
            role: self.text(m.role),
            water: m.water,
            uses: uses.iter().map(|u| Level { product: self.text(u.product), low: self.text(u.low), high: self.text(u.high) }).collect(),
        }
    }

    fn search(&self, q: &Query, wanted: Option<PhaseKind>, skip: &[Id], own: bool, hits: &mut Vec<Scored>) {
        let mut best: Vec<(u32, u32)> = vec![(u32::MAX, 0); self.materials.len()];
        for (number, n) in self.names.iter().enumerate() {
            let k = &self.keys[n.start as usize..n.start as usize + usize::from(n.len)];
            let Some(tier) = q.tier(k, n.letters, n.neighbours) else { continue };
            let m = &self.materials[usize::from(n.material)];
            let score = score(q, tier, m, n, wanted);
            let slot = &mut best[usize::from(n.material)];
            if score < slot.0 {
                *slot = (score, number as u32);
            }
        }
        let found = best.into_iter().enumerate().filter(|(n, (score, _))| *score != u32::MAX && !skip.contains(&self.materials[*n].id));
        hits.extend(found.map(|(_, (score, name))| (score, own, name)));
    }
}

/// What fits the phase comes first; a name that only resembles what is typed comes last.
fn score(q: &Query, tier: Tier, m: &Material, n: &Name, wanted: Option<PhaseKind>) -> u32 {
    let fit = match wanted {
        None => 0,
        Some(w) => match m.phases.iter().position(|p| *p == w || *p == PhaseKind::Any) {
            Some(0) => 0,
            Some(_) => 1,
            None if w == PhaseKind::CoolDown && m.cool => 1,
            None => 2,
        },
    };
    let weak = match tier {
        Tier::Exact | Tier::Begins | Tier::Word | Tier::Words => 0,
        Tier::Inside => 1,
        Tier::Slip | Tier::Letters => 2,
    };
    // Spelled out in full, it is what is meant.
    let fit = if tier == Tier::Exact { 0 } else { fit };
    let length = if q.words.is_empty() { 255 - 16 * u32::from(m.names) } else { u32::from(n.len).min(255) };
    u32::from(m.odd) << 28 | weak << 26 | fit << 24 | (tier as u32) << 20 | u32::from(n.order) << 8 | length
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
    neighbours: u64,
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
        let (letters, neighbours) = (letters(&key), neighbours(&key));
        Query { key, words, letters, neighbours, loosely }
    }

    fn tier(&self, name: &str, name_letters: u32, name_neighbours: u64) -> Option<Tier> {
        if self.words.is_empty() {
            return Some(Tier::Begins);
        }
        let missing = (self.letters & !name_letters).count_ones() as usize;
        if missing == 0
            && self.neighbours & !name_neighbours == 0
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
        (missing == 0 && self.key.len() >= 3 && in_order(&self.key, name)).then_some(Tier::Letters)
    }

    fn surely(&self, name: &str) -> Option<Tier> {
        let (n, q) = (name.as_bytes(), self.key.as_bytes());
        if n.starts_with(q) {
            return Some(if n.len() == q.len() { Tier::Exact } else { Tier::Begins });
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
        if self.words.len() > 1 && self.words.iter().all(|(a, b)| word_begins(name, &self.key[*a..*b])) {
            return Some(Tier::Words);
        }
        (inside && q.len() >= 3).then_some(Tier::Inside)
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
        let starts = (0..n.len()).filter(|at| n.get(*at) == q.first() && (*at == 0 || n[at - 1] == b' '));
        starts.into_iter().any(|at| begins_nearly(q, &n[at..], allowed))
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
            let mut d = (rows[up][j - 1] + u8::from(!same)).min(rows[up][j] + 1).min(rows[now][j - 1] + 1);
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
    rows[q.len() % 3][..=width].iter().any(|d| usize::from(*d) <= allowed)
}

fn word_begins(name: &str, word: &str) -> bool {
    name.starts_with(word) || name.match_indices(word).any(|(at, _)| at > 0 && !name.as_bytes()[at - 1].is_ascii_alphanumeric())
}

/// The letters typed, blanks aside, stand in the name in their order, the first at the beginning of a word.
fn in_order(typed: &str, name: &str) -> bool {
    let n = name.as_bytes();
    let mut wanted = typed.bytes().filter(|b| *b != b' ');
    let Some(first) = wanted.next() else { return false };
    // The earliest beginning leaves the most to follow.
    let Some(start) = (0..n.len()).find(|at| n[*at] == first && (*at == 0 || n[at - 1] == b' ')) else { return false };
    let mut rest = n[start + 1..].iter();
    wanted.all(|b| rest.any(|c| *c == b))
}

/// Which letters occur, as bits.
fn letters(k: &str) -> u32 {
    k.bytes().fold(0, |m, b| {
        m | match b {
            b'a'..=b'z' => 1 << (b - b'a'),
            b'0'..=b'9' => 1 << 26,
            b' ' => 0,
            _ => 1 << 27,
        }
    })
}

/// Which letters stand side by side in a word, as bits. A name that holds the words typed has all of theirs.
fn neighbours(k: &str) -> u64 {
    let pairs = k.as_bytes().windows(2).filter(|pair| !pair.contains(&b' '));
    pairs.fold(0, |m, pair| m | 1 << ((u32::from(pair[0]) * 31 + u32::from(pair[1])) % 64))
}

/// The materials whose names fit what is typed, best first, each handed to `make`; nothing typed: all that fit the phase.
pub fn search<T>(kb: &Kb, typed: &str, wanted: Option<PhaseKind>, mut make: impl FnMut(usize, Found) -> T) -> Vec<T> {
    // The maker's own, new or laid over bundled ones, are filed anew: they are few.
    let own: Vec<Id> = kb.ids().filter(|id| kb.own_file(*id).is_some()).collect();
    let own_index = (!own.is_empty()).then(|| Index::of(kb, &own));
    let mut hits: Vec<Scored> = Vec::new();
    for loosely in [false, true] {
        let q = Query::of(typed, loosely);
        BUNDLED.search(&q, wanted, &own, false, &mut hits);
        if let Some(index) = &own_index {
            index.search(&q, wanted, &[], true, &mut hits);
        }
        // Only where nothing is found do names count that merely resemble it.
        if !hits.is_empty() || q.key.len() < 3 {
            break;
        }
    }
    if hits.len() > MOST {
        hits.select_nth_unstable(MOST);
        hits.truncate(MOST);
    }
    hits.sort_unstable();
    let chosen = hits.into_iter().enumerate();
    let found = chosen.map(|(n, (_, is_own, name))| match &own_index {
        Some(index) if is_own => make(n, index.found(name)),
        _ => make(n, BUNDLED.found(name)),
    });
    found.collect()
}
