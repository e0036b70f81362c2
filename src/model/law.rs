//! What the law of each market sees: which rows of law touch the formula, and by how much.

mod allergens;
mod hits;

pub use allergens::{AllergenHit, allergens};
pub use hits::{Hit, Hits};

use super::composition::ShareOf;
use super::formula::Formula;
use super::product::Fit;
use crate::chem::date::Date;
use crate::kb::law::{Law, LawRow, Status, Table};
use crate::kb::schema::{Ban, Check, Colour, Constituent, Ingredient, Limit, Medicine, SourceKind};
use crate::kb::{Id, Kb};
use rust_decimal::Decimal;

macro_rules! hit {
    ($($seen:ty),*) => {$(
        impl Hit for $seen {
            fn status(&self) -> Status {
                self.status
            }
        }
    )*};
}

hit!(LimitSeen, BanSeen, PhLimitSeen);

/// A limit that touches the formula.
#[derive(Clone, Debug)]
pub struct LimitSeen {
    pub market: &'static str,
    pub law: &'static Law,
    pub limit: &'static Limit,
    pub status: Status,
    pub fit: Fit,
    /// What is in the formula, as the law counts it.
    pub percent: Decimal,
    /// What the law allows, in percent.
    pub max: Decimal,
    /// Each substance of the limit that is there: row, its own percent, the same as counted.
    pub members: Vec<Member>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Member {
    pub id: Id,
    pub row: usize,
    pub percent: Decimal,
    pub counted: Decimal,
    /// The least and the most that the published contents of its natural material bring, as counted.
    pub lowest: Decimal,
    pub highest: Decimal,
}

impl LimitSeen {
    /// The published contents of the materials can bring more than is allowed.
    pub fn exceeded(&self) -> bool {
        self.highest() > self.max
    }
    /// Even the lowest published contents bring more than is allowed.
    pub fn surely_exceeded(&self) -> bool {
        self.members.iter().map(|m| m.lowest).sum::<Decimal>() > self.max
    }
    pub fn highest(&self) -> Decimal {
        self.members.iter().map(|m| m.highest).sum()
    }
    /// Different substances in the sum.
    pub fn is_family(&self) -> bool {
        self.members.iter().any(|m| m.id != self.members[0].id)
    }
    /// The member with the largest counted share; its row carries the message.
    pub fn largest(&self) -> Member {
        *self
            .members
            .iter()
            .max_by(|a, b| a.counted.cmp(&b.counted).then(b.row.cmp(&a.row)))
            .expect("a limit is seen because a member is there")
    }
    pub fn recheck(&self) -> bool {
        self.limit.check == Check::Recheck
    }
}

/// A ban that touches the formula.
#[derive(Clone, Debug)]
pub struct BanSeen {
    pub market: &'static str,
    pub law: &'static Law,
    pub ban: &'static Ban,
    pub status: Status,
    /// Yes: banned for this product; unsaid: depends on a field.
    pub fit: Fit,
    /// It is there by typical contents of a natural material, not by the lowest published.
    pub by_typical_content: bool,
    pub member: Member,
}

/// A limit of pH that touches the formula.
#[derive(Clone, Debug)]
pub struct PhLimitSeen {
    pub market: &'static str,
    pub law: &'static Law,
    pub limit: &'static Limit,
    pub status: Status,
    pub fit: Fit,
    /// The one with most in it.
    pub member: Member,
}

/// A colourant whose area of use is stated.
#[derive(Clone, Debug)]
pub struct ColourSeen {
    pub market: &'static str,
    pub law: &'static Law,
    pub colour: &'static Colour,
    pub member: Member,
}

#[derive(Clone, Debug)]
pub struct MedicineSeen {
    pub market: &'static str,
    pub law: &'static Law,
    pub medicine: &'static Medicine,
    pub member: Member,
}

/// The markets that the formula is judged for: `sold in`, else those of the settings.
pub fn markets<'a>(f: &'a Formula, settings: &'a super::Settings) -> &'a [String] {
    f.fields
        .sold_in
        .as_ref()
        .map_or(&settings.markets, |s| &s.value)
}

/// Each row of the markets' limits that names something in the formula, once, in the order of the law.
fn limits_naming(
    f: &Formula,
    kb: &Kb,
    markets: &[String],
) -> impl Iterator<Item = (&'static Law, &'static Limit)> {
    kb.laws_of(markets).flat_map(|law| {
        law.limit
            .naming_any(f.substances())
            .map(move |limit| (law, limit))
    })
}

/// All limits of the markets that name something in the formula.
pub fn limits(f: &Formula, kb: &Kb, markets: &[String], today: Date) -> Hits<LimitSeen> {
    let all = limits_naming(f, kb, markets)
        .filter_map(|(law, limit)| {
            // A row that limits the pH alone has no share.
            let max = limit.max_percent?.0;
            let fit = f.product.fits(&limit.scope, &limit.not_scope);
            if fit == Fit::No {
                return None;
            }
            let members: Vec<Member> = limit
                .substances
                .iter()
                .filter_map(|s| kb.by_id(s))
                .flat_map(|id| members(f, kb, id, limit.purpose.as_deref(), limit.r#as.as_deref()))
                .collect();
            if members.is_empty() {
                return None;
            }
            let percent = members.iter().map(|m| m.counted).sum();
            Some(LimitSeen {
                market: &law.market,
                law,
                limit,
                status: Status::of(limit, today),
                fit,
                percent,
                max,
                members,
            })
        })
        .collect();
    Hits(all)
}

/// All limits of pH of the markets, with or without a limit of the share, that name something in the formula.
pub fn ph_limits(f: &Formula, kb: &Kb, markets: &[String], today: Date) -> Hits<PhLimitSeen> {
    let all = limits_naming(f, kb, markets)
        .filter_map(|(law, limit)| {
            if limit.ph_min.is_none() && limit.ph_max.is_none() {
                return None;
            }
            let fit = f.product.fits(&limit.scope, &limit.not_scope);
            // Rows that ask for a field are for other products until it is said; the percent rows ask for it already.
            if fit == Fit::No {
                return None;
            }
            let all = limit.substances.iter().filter_map(|s| kb.by_id(s));
            // The alkali that sets the pH has no share of its own; its row is enough.
            let member = all
                .flat_map(|id| members_or_enough(f, kb, id, limit.purpose.as_deref()))
                .max_by(|a, b| a.percent.cmp(&b.percent).then(b.row.cmp(&a.row)))?;
            Some(PhLimitSeen {
                market: &law.market,
                law,
                limit,
                status: Status::of(limit, today),
                fit,
                member,
            })
        })
        .collect();
    Hits(all)
}

/// As `members`, and rows that are there in whatever amount it takes.
fn members_or_enough(f: &Formula, kb: &Kb, id: Id, purpose: Option<&str>) -> Vec<Member> {
    let entry = kb.get(id);
    f.shares_of(id)
        .iter()
        .filter(|s| {
            s.what != ShareOf::Constituent
                && purpose.is_none_or(|p| serves(f, kb, s.row, s.what, entry, p))
        })
        .map(|s| Member {
            id,
            row: s.row,
            percent: s.high,
            counted: s.high,
            lowest: s.high,
            highest: s.high,
        })
        .collect()
}

/// All bans of the markets that name something in the formula.
pub fn bans(f: &Formula, kb: &Kb, markets: &[String], today: Date) -> Hits<BanSeen> {
    let mut out = Vec::new();
    let laws: Vec<&Law> = kb.laws_of(markets).collect();
    for id in f.substances() {
        let same = kb.same_as(id);
        let meant = || std::iter::once(id).chain(same.iter().copied());
        for (law, ban) in laws
            .iter()
            .flat_map(|law| law.ban.naming_any(meant()).map(move |ban| (*law, ban)))
        {
            let fit = match (ban.in_scope.is_empty(), ban.only_scope.is_empty()) {
                (true, true) => Fit::Yes,
                (false, _) => f.product.fits(&ban.in_scope, &[]),
                (true, false) => match f.product.fits_only(&ban.only_scope) {
                    Fit::Yes => Fit::No,
                    Fit::No => Fit::Yes,
                    unsaid => unsaid,
                },
            };
            if fit == Fit::No {
                continue;
            }
            let all = members(f, kb, id, ban.purpose.as_deref(), None);
            let sum: Decimal = all.iter().map(|m| m.percent).sum();
            if sum.is_zero() || ban.trace_percent.is_some_and(|t| sum <= t.0) {
                continue;
            }
            // Inside a natural material, traces that nobody can avoid are let pass: those of the law, else of custom.
            let natural = f
                .shares_of(id)
                .iter()
                .all(|s| s.what == ShareOf::Constituent);
            let trace = ban
                .trace_percent
                .map_or_else(|| kb.threshold("natural-trace-percent").value.0, |t| t.0);
            if natural && sum <= trace {
                continue;
            }
            let lowest: Decimal = all.iter().map(|m| m.lowest).sum();
            let by_typical_content = natural && lowest <= trace;
            if let Some(member) = all
                .into_iter()
                .max_by(|a, b| a.percent.cmp(&b.percent).then(b.row.cmp(&a.row)))
            {
                out.push(BanSeen {
                    market: &law.market,
                    law,
                    ban,
                    status: Status::of(ban, today),
                    fit,
                    by_typical_content,
                    member,
                });
            }
        }
    }
    Hits(out)
}

/// What the European Union prohibits in every cosmetic product and the other markets' own law says
/// nothing of, with those markets.
pub fn prohibited_abroad<'m>(
    f: &Formula,
    kb: &Kb,
    markets: &'m [String],
    today: Date,
) -> Vec<(BanSeen, Vec<&'m str>)> {
    const STRICTEST: &str = "EU";
    if markets.iter().all(|m| m == STRICTEST) {
        return Vec::new();
    }
    let Hits(strict) = bans(f, kb, &[STRICTEST.to_owned()], today);
    let strict = strict.into_iter().filter(|seen| {
        let everywhere = seen.ban.in_scope.is_empty() && seen.ban.only_scope.is_empty();
        everywhere && seen.status.is_in_force()
    });
    // A market's law speaks of a substance where it prohibits it or says where it may be. What is
    // only remembered of a law does not speak for it.
    let read = |source: &str| {
        kb.source(source)
            .is_some_and(|s| s.kind != SourceKind::Memory)
    };
    let speaks = |law: &Law, id: Id| {
        law.ban
            .naming(id)
            .any(|row| row.in_scope.is_empty() && read(&row.source))
            || law.limit.naming(id).any(|row| read(&row.source))
            || law.colour.naming(id).any(|row| read(&row.source))
    };
    let silent = |seen: &BanSeen, market: &str| {
        kb.laws_of(&[market.to_owned()])
            .all(|law| !speaks(law, seen.member.id))
    };
    strict
        .filter_map(|seen| {
            let others = markets
                .iter()
                .map(String::as_str)
                .filter(|m| *m != STRICTEST);
            let silent: Vec<&str> = others.filter(|m| silent(&seen, m)).collect();
            (!silent.is_empty()).then_some((seen, silent))
        })
        .collect()
}

/// Colourants of the formula whose area of use the markets state.
pub fn colours(f: &Formula, kb: &Kb, markets: &[String]) -> Vec<ColourSeen> {
    rows_of(
        f,
        kb,
        markets,
        Some("colourant"),
        |law| &law.colour,
        |law, colour, member| ColourSeen {
            market: &law.market,
            law,
            colour,
            member,
        },
    )
}

/// Substances of the formula that make a medicine of it.
pub fn medicines(f: &Formula, kb: &Kb, markets: &[String]) -> Vec<MedicineSeen> {
    rows_of(
        f,
        kb,
        markets,
        None,
        |law| &law.medicine,
        |law, medicine, member| MedicineSeen {
            market: &law.market,
            law,
            medicine,
            member,
        },
    )
}

fn rows_of<T: LawRow, S>(
    f: &Formula,
    kb: &Kb,
    markets: &[String],
    purpose: Option<&str>,
    table: impl Fn(&'static Law) -> &'static Table<T>,
    make: impl Fn(&'static Law, &'static T, Member) -> S,
) -> Vec<S> {
    let mut out = Vec::new();
    let laws: Vec<(&Law, &Table<T>)> = kb.laws_of(markets).map(|law| (law, table(law))).collect();
    for id in f.substances() {
        for (law, row) in laws
            .iter()
            .flat_map(|(law, table)| table.naming(id).map(move |row| (*law, row)))
        {
            if let Some(member) = members(f, kb, id, purpose, None)
                .into_iter()
                .max_by_key(|m| m.percent)
            {
                out.push(make(law, row, member));
            }
        }
    }
    out
}

/// The rows that hold a substance for a purpose, counted as the law counts.
fn members(f: &Formula, kb: &Kb, id: Id, purpose: Option<&str>, r#as: Option<&str>) -> Vec<Member> {
    let entry = kb.get(id);
    let Some(factor) = factor(kb, entry, r#as) else {
        return Vec::new();
    };
    f.shares_of(id)
        .iter()
        .filter(|s| purpose.is_none_or(|p| serves(f, kb, s.row, s.what, entry, p)))
        .map(|s| {
            // A natural constituent by its usual share; what the maker doses by the most that may go in.
            let (low, percent) = if s.what == ShareOf::Constituent {
                (s.low, s.usual)
            } else {
                (s.high, s.high)
            };
            Member {
                id,
                row: s.row,
                percent,
                counted: percent * factor,
                lowest: low * factor,
                highest: s.high * factor,
            }
        })
        .filter(|m| !m.percent.is_zero())
        .collect()
}

/// The record that says how much of a member is in the natural material of its row.
pub fn constituent<'a>(f: &Formula, kb: &'a Kb, member: &Member) -> Option<&'a Constituent> {
    let of = &kb.get(member.id).id;
    kb.get(f.rows[member.row].id()?)
        .constituents
        .iter()
        .find(|c| &c.of == of)
}

/// What one gram counts for, by molar mass; none where it cannot be counted so.
pub fn factor(kb: &Kb, entry: &Ingredient, r#as: Option<&str>) -> Option<Decimal> {
    let Some(target) = r#as.filter(|t| *t != entry.id) else {
        return Some(Decimal::ONE);
    };
    let moles = entry.yields.iter().find(|y| y.of == target)?.moles.0;
    let own = entry.molar_mass.as_deref()?.value.0;
    let other = kb.substance(target)?.1.molar_mass.as_deref()?.value.0;
    (moles * other).checked_div(own)
}

/// Whether a row serves a purpose: what the file says (`as preservative`), else the material's first role.
fn serves(
    f: &Formula,
    kb: &Kb,
    row: usize,
    what: ShareOf,
    entry: &Ingredient,
    purpose: &str,
) -> bool {
    if let Some(said) = &f.rows[row].purpose {
        return said.value == purpose;
    }
    if what == ShareOf::Constituent {
        return purpose == "fragrance";
    }
    // In a blend sold for one purpose every part serves it.
    let by_role = |i: &Ingredient| i.roles.first().is_some_and(|r| purpose_of(r) == purpose);
    let row_entry = f.rows[row].id().map(|id| kb.get(id));
    by_role(entry)
        || row_entry.is_some_and(|r| {
            !r.composition.is_empty()
                && by_role(r)
                && entry.roles.iter().any(|r| purpose_of(r) == purpose)
        })
}

/// The purpose that a role stands for in law.
pub fn purpose_of(role: &str) -> &str {
    match role {
        "pigment" | "dye" | "pearl" => "colourant",
        "aroma" | "essential-oil" => "fragrance",
        "acid" | "base" | "buffer" => "ph-adjuster",
        "conditioner" => "conditioning",
        other => other,
    }
}

/// What a row of law rests on: its source kind, and whether the text has to be seen again.
pub fn strength(kb: &Kb, source: &str, check: Check) -> (SourceKind, bool) {
    (
        kb.source(source).map_or(SourceKind::Memory, |s| s.kind),
        check == Check::Recheck,
    )
}
