//! Whom the words of a step name: phases by label, name or contents, rows by name, material or kind.

use super::heat::{goes_in_below, heats_to};
use super::simulation::{Keys, NamedRows, Simulation};
use crate::kb::Lookup;
use crate::kb::names::key;
use crate::kb::role::Role;
use crate::kb::schema::Ingredient;
use crate::model::formula::Phase;
use crate::model::system;
use crate::syntax::tree::{Clause, Verb};
use rust_decimal::Decimal;

/// What stands before the phase whose contents are meant.
const CONTENTS: [&str; 8] = [
    "all ingredients of ",
    "all ingredients in ",
    "ingredients of ",
    "ingredients in ",
    "contents of ",
    "everything in ",
    "everything from ",
    "all of ",
];

/// Words for how warm a phase is by now.
const HOW_WARM: [&str; 6] = ["hot ", "warm ", "warmed ", "heated ", "melted ", "cooled "];

const ALL: [&str; 4] = ["everything", "all", "all phases", "it all"];

/// Whatever has not gone in yet.
const REST: [&str; 10] = [
    "rest",
    "everything else",
    "everything else in",
    "ingredients",
    "others",
    "rest of ingredients",
    "rest of the ingredients",
    "remaining",
    "remaining ingredients",
    "remaining phases",
];

impl Simulation<'_> {
    /// The phases that a clause acts on; those of the clause before where it names none ("slurry A1, stir into A").
    pub(super) fn phases_in(&self, clause: &Clause, last: &[usize]) -> Vec<usize> {
        let mut out = Vec::new();
        let verb = clause.verb.as_ref().map(|v| v.value);
        let warms = matches!(
            verb,
            Some(Verb::Heat | Verb::Melt | Verb::Dissolve | Verb::Hydrate | Verb::Hold)
        );
        // "melt everything in B": what is in it, and nothing is poured.
        if let (true, Some(into), [all]) = (warms, &clause.into, clause.objects.as_slice())
            && ALL.contains(&key(&all.value).as_str())
            && let Some(p) = self.target(&into.value)
        {
            return vec![p];
        }
        let puts = matches!(
            verb,
            Some(Verb::Add | Verb::Pour | Verb::Stir | Verb::Blend | Verb::Homogenize)
        );
        for o in &clause.objects {
            let k = key(&o.value);
            if puts && REST.contains(&k.as_str()) {
                let left = |p: &usize| {
                    self.vessel_of[*p] != self.main && self.out.phases[*p].added_line.is_none()
                };
                out.extend((0..self.f.phases.len()).filter(left));
                continue;
            }
            if puts && ALL.contains(&k.as_str()) {
                out.extend((0..self.f.phases.len()).filter(|p| !self.too_hot_for(*p)));
                continue;
            }
            match self.f.labelled(&o.value) {
                Some(p) if out.contains(&p) => {}
                Some(p) => out.push(p),
                None => self.phase_named(&o.value).into_iter().for_each(|p| {
                    if !out.contains(&p) {
                        out.push(p);
                    }
                }),
            }
        }
        // "slurry A1, stir into A"; "put both in a water bath and heat", "heat A and B, hold 20 min".
        let goes_on = clause.into.is_some()
            || clause
                .verb
                .as_ref()
                .is_some_and(|v| matches!(v.value, Verb::Heat | Verb::Melt | Verb::Hold));
        if out.is_empty() && clause.objects.is_empty() && goes_on {
            out.extend(last);
        }
        out
    }

    /// The phases that words name: a label, "phase C", "oil phase" by the phase's own name, "both phases", "all", "the rest".
    pub(super) fn phase_named(&self, words: &str) -> Vec<usize> {
        let k = key(words);
        let k = k.strip_prefix("the ").unwrap_or(&k);
        let k = CONTENTS
            .iter()
            .find_map(|of| k.strip_prefix(of))
            .unwrap_or(k);
        let k = k.strip_suffix(" ingredients").unwrap_or(k);
        let bare = k
            .strip_prefix("phases ")
            .or(k.strip_prefix("phase "))
            .or(k.strip_prefix("premix "))
            .unwrap_or(k)
            .trim();
        let bare_end = bare
            .strip_suffix(" phases")
            .or(bare.strip_suffix(" phase"))
            .unwrap_or(bare);
        let keys = self.keys.get_or_init(|| self.keys());
        let first = |found: [Option<&usize>; 3]| found.into_iter().flatten().min().copied();
        let by_label = first([keys.labels.get(bare), keys.labels.get(bare_end), None]);
        let by_name = || {
            first([
                keys.names.get(bare),
                keys.names.get(bare_end),
                keys.kinds.get(bare_end),
            ])
        };
        // "the oil" of a phase called "oils", "the oils" of one called "oil".
        let other_number = || {
            let other = match bare_end.strip_suffix('s') {
                Some(one) => one.to_owned(),
                None => format!("{bare_end}s"),
            };
            keys.names.get(&other).or(keys.labels.get(&other)).copied()
        };
        if let Some(p) = by_label.or_else(by_name).or_else(other_number) {
            return vec![p];
        }
        if matches!(bare_end, "cool down" | "cooldown" | "cooling") {
            let cool = |p: &usize| {
                let heat = self.f.phases[*p].heat.as_ref();
                heat.is_some_and(|h| goes_in_below(h.value).is_some())
                    && self.out.phases[*p].added_line.is_none()
            };
            return (0..self.f.phases.len()).filter(cool).collect();
        }
        let what = match bare {
            "oil" | "oils" | "fats" if self.row_named(bare).is_none() => "oil",
            _ if bare_end != bare => bare_end,
            _ => "",
        };
        if let Some(p) = self.by_contents(what) {
            return vec![p];
        }
        match bare {
            "both" | "both phases" | "two phases" | "both of them" | "both beakers"
            | "both pots" | "both vessels" | "both jugs" | "both bowls" | "all" | "all phases"
            | "everything" | "hot phases" => {
                let heated: Vec<usize> = (0..self.f.phases.len())
                    .filter(|p| {
                        self.f.phases[*p]
                            .heat
                            .as_ref()
                            .is_some_and(|h| heats_to(h.value).is_some())
                    })
                    .collect();
                match (
                    bare.starts_with("both") || bare.starts_with("two"),
                    heated.len(),
                ) {
                    (true, 2) => heated,
                    (true, _) => (0..self.f.phases.len())
                        .filter(|p| !self.f.phases[*p].premix)
                        .take(2)
                        .collect(),
                    (false, _) if bare.starts_with("hot") => heated,
                    // "heat all": what goes in cool by its heading waits.
                    (false, _) => (0..self.f.phases.len())
                        .filter(|p| {
                            let heat = self.f.phases[*p].heat.as_ref();
                            heat.is_none_or(|h| goes_in_below(h.value).is_none())
                        })
                        .collect(),
                }
            }
            "rest" | "remaining phases" => (0..self.f.phases.len())
                .filter(|p| self.out.phases[*p].added_line.is_none())
                .collect(),
            // "hot oils" of a phase called "oils".
            _ => match HOW_WARM.iter().find_map(|warm| bare.strip_prefix(warm)) {
                Some(what) if !what.is_empty() => self.phase_named(what),
                _ => Vec::new(),
            },
        }
    }

    /// "combine oil phase ingredients", "mix everything in B": what is in one phase, and nothing is poured over.
    pub(super) fn within_one(&self, clause: &Clause) -> bool {
        let [one] = clause.objects.as_slice() else {
            return false;
        };
        let k = key(&one.value);
        clause.into.is_none()
            && (k.ends_with(" ingredients") || CONTENTS.iter().any(|of| k.starts_with(of)))
    }

    fn keys(&self) -> Keys {
        let mut keys = Keys::default();
        for (p, phase) in self.f.phases.iter().enumerate() {
            if !phase.label.is_empty() {
                keys.labels.entry(key(&phase.label)).or_insert(p);
            }
            let Some(name) = phase.name.as_deref().map(key) else {
                continue;
            };
            if let Some(kind) = name.strip_suffix(" phase") {
                keys.kinds.entry(kind.to_owned()).or_insert(p);
            }
            keys.names.entry(name).or_insert(p);
        }
        keys
    }

    /// "oil phase", "water phase" where no phase is called so: the one with most oil or water of its own.
    fn by_contents(&self, what: &str) -> Option<usize> {
        let (found, is): (_, fn(&Ingredient) -> bool) = match what {
            "oil" | "fat" => (&self.oily_phase, system::is_oily),
            "water" | "aqueous" => (&self.watery_phase, system::is_water),
            _ => return None,
        };
        let share = |p: &Phase| {
            p.rows
                .iter()
                .map(|r| &self.f.rows[*r])
                .filter(|r| r.id().is_some_and(|id| is(self.kb.get(id))))
                .filter_map(|r| r.percent)
                .sum::<Decimal>()
        };
        *found.get_or_init(|| {
            let shares = self.f.phases.iter().map(share).enumerate();
            shares
                .filter(|(_, share)| *share > Decimal::ZERO)
                .max_by_key(|(p, share)| (*share, std::cmp::Reverse(*p)))
                .map(|(p, _)| p)
        })
    }

    /// Rows that words name: a material, or all of one kind ("the preservative", "essential oils").
    pub(super) fn rows_named(&self, words: &str) -> Vec<usize> {
        if let Some(row) = self.row_named(words) {
            return vec![row];
        }
        let k = key(words);
        let k = k.strip_prefix("the ").unwrap_or(&k);
        let role = k.strip_suffix('s').unwrap_or(k).replace(' ', "-");
        const KINDS: [Role; 7] = [
            Role::Preservative,
            Role::Fragrance,
            Role::EssentialOil,
            Role::Extract,
            Role::Vitamin,
            Role::Antioxidant,
            Role::Chelator,
        ];
        let Some(role) = KINDS.into_iter().find(|kind| kind.as_str() == role) else {
            return Vec::new();
        };
        let of_kind = |r: &usize| {
            self.f.rows[*r]
                .id()
                .is_some_and(|id| system::has_role(self.kb.get(id), role))
        };
        (0..self.f.rows.len()).filter(of_kind).collect()
    }

    pub(super) fn row_named(&self, words: &str) -> Option<usize> {
        let k = key(words);
        if k.is_empty() {
            return None;
        }
        let rows = self.named_rows.get_or_init(|| self.rows_by_name());
        let found = rows.names.get(&k).or_else(|| match self.kb.lookup(words) {
            Lookup::Known { id, .. } => rows.materials.get(&id),
            _ => None,
        });
        found.copied()
    }

    fn rows_by_name(&self) -> NamedRows {
        let mut out = NamedRows::default();
        for (n, row) in self.f.rows.iter().enumerate() {
            out.names.entry(key(&row.name.value)).or_insert(n);
            if let Some(id) = row.id() {
                out.materials.entry(id).or_insert(n);
            }
        }
        out
    }
}
