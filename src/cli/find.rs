//! `find WORDS`: search the knowledge base by name, role, phase and function; the best first.

use super::out::{CliError, Terminal, style};
use super::workspace;
use super::{Format, Status};
use crate::kb::Market;
use crate::kb::card::{Card, CardLimit};
use crate::kb::names::key;
use crate::kb::role::{Role, Roles};
use crate::kb::schema::{Charge, Ingredient, PhaseKind};
use crate::kb::{Id, Kb};
use crate::project::Project;
use serde::Serialize;
use smol_str::SmolStr;
use unicode_width::UnicodeWidthStr;

/// Find ingredients by name, role, phase or function
#[derive(clap::Args)]
#[command(
    after_help = "Examples:\n  phasewright find amphoteric surfactant\n  phasewright find --role humectant --phase water\n  phasewright find preservative --market EU"
)]
pub struct Args {
    /// Words to look for; all of them have to fit
    #[arg(value_name = "WORDS", required_unless_present_any = ["role", "phase"])]
    words: Vec<String>,
    /// Only what has this role, such as emulsifier or humectant
    #[arg(long)]
    role: Option<String>,
    /// Only what goes into this phase
    #[arg(long, value_enum)]
    phase: Option<Phase>,
    /// Leave out what this market bans, and show its limits
    #[arg(long, value_name = "MARKET", value_parser = super::a_market)]
    #[cfg_attr(feature = "shell", arg(add = crate::cli::complete::markets()))]
    market: Option<Market>,
    /// Show all that is found, not the best twenty alone
    #[arg(long)]
    all: bool,
    #[command(flatten)]
    format: Format,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum Phase {
    Water,
    Oil,
    CoolDown,
    Surfactant,
    Powder,
}

impl Phase {
    fn kind(self) -> PhaseKind {
        match self {
            Phase::Water => PhaseKind::Water,
            Phase::Oil => PhaseKind::Oil,
            Phase::CoolDown => PhaseKind::CoolDown,
            Phase::Surfactant => PhaseKind::Surfactant,
            Phase::Powder => PhaseKind::Powder,
        }
    }
}

const SHOWN: usize = 20;

#[derive(Serialize)]
struct Answer {
    version: u8,
    found: usize,
    results: Vec<Match>,
}

#[derive(Serialize)]
struct Match {
    id: String,
    name: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    inci: Option<String>,
    roles: Roles,
    phase: Vec<PhaseKind>,
    /// With --market: the limits that name it.
    #[serde(skip_serializing_if = "Option::is_none")]
    limits: Option<Vec<CardLimit>>,
}

pub fn run(args: &Args, out: &mut Terminal) -> Result<Status, CliError> {
    let Project { kb, .. } = &*workspace::here();
    let role = args.role.as_deref().map(known_role).transpose()?;
    let words: Vec<String> = args
        .words
        .iter()
        .flat_map(|w| key(w).split(' ').map(str::to_owned).collect::<Vec<_>>())
        .collect();
    let whole = key(&args.words.join(" "));
    let phase = args.phase.map(Phase::kind);
    let fits: Vec<Id> = kb
        .ids()
        .filter(|id| {
            let one = kb.get(*id);
            role.is_none_or(|r| one.roles.has(r))
                && phase
                    .is_none_or(|p| one.phase.contains(&p) || one.phase.contains(&PhaseKind::Any))
        })
        .collect();
    let mut hits = ranked(kb, &fits, &words, &whole, words.len());
    if hits.is_empty() && words.len() > 1 {
        hits = ranked(kb, &fits, &words, &whole, 1);
        if !hits.is_empty() {
            super::out::eprintln_error("nothing has all of these words; this has some of them");
        }
    }
    let mut results: Vec<Match> = hits
        .iter()
        .filter_map(|id| found(kb, *id, args.market))
        .collect();
    let count = results.len();
    if !args.all {
        results.truncate(SHOWN);
    }
    if args.format.is_json() {
        out.json(&Answer {
            version: 1,
            found: count,
            results,
        })?;
    } else if results.is_empty() {
        let near: Vec<String> = kb.nearest(&whole).into_iter().map(|(_, n)| n).collect();
        let hint = if near.is_empty() {
            "try fewer words, or a role".to_owned()
        } else {
            format!("is it {}?", near.join(", "))
        };
        super::out::eprintln_error(format!("nothing is found; {hint}"));
    } else {
        let text = table(&results, count, args.market, out);
        out.write(&text)?;
    }
    Ok(Status::Clean)
}

fn known_role(written: &str) -> Result<Role, CliError> {
    let wanted = written.trim().to_lowercase().replace(' ', "-");
    let one = wanted.strip_suffix('s').unwrap_or(&wanted);
    if let Some(role) = Role::of(&wanted).or_else(|| Role::of(one)) {
        return Ok(role);
    }
    let roles: Vec<&str> = Role::ALL.iter().map(|r| r.as_str()).collect();
    let near = roles
        .iter()
        .min_by_key(|r| strsim::osa_distance(r, &wanted))
        .filter(|r| strsim::osa_distance(r, &wanted) <= 3);
    let hint = near.map_or_else(
        || format!("the roles are {}", roles.join(", ")),
        |r| format!("did you mean \"{r}\"?"),
    );
    Err(CliError::said(format!(
        "no ingredient has the role \"{written}\"; {hint}"
    )))
}

/// What a maker may call a function, and the roles that have it.
const FUNCTIONS: [(&str, &[&str]); 12] = [
    ("moisturizer", &["humectant", "emollient"]),
    ("moisturiser", &["humectant", "emollient"]),
    ("thickening", &["thickener", "gum", "polymer"]),
    ("thickener", &["gum", "polymer"]),
    ("scent", &["fragrance", "aroma", "essential-oil"]),
    ("perfume", &["fragrance", "aroma", "essential-oil"]),
    ("color", &["colourant", "pigment", "dye", "pearl"]),
    ("sunscreen", &["uv-filter"]),
    ("cleanser", &["surfactant"]),
    ("detergent", &["surfactant"]),
    ("preserving", &["preservative", "booster"]),
    ("exfoliating", &["exfoliant", "abrasive"]),
];

/// What fits at least so many of the words, best first. Of two that fit as well, the one that more is known of:
/// it is the likelier to be in a workshop.
fn ranked(kb: &Kb, ids: &[Id], words: &[String], whole: &str, least: usize) -> Vec<Id> {
    let known = |one: &Ingredient| {
        one.names.len()
            + 2 * one.r#use.len()
            + one.roles.len()
            + one.pka.len()
            + usize::from(one.note.is_some())
    };
    let mut hits: Vec<(usize, u32, usize, Id)> = ids
        .iter()
        .map(|id| (score(kb.get(*id), words, whole), *id))
        .filter(|((fitting, _), _)| *fitting >= least)
        .map(|((fitting, points), id)| (fitting, points, known(kb.get(id)), id))
        .collect();
    hits.sort_by(|a, b| {
        (b.0, b.1, b.2).cmp(&(a.0, a.1, a.2)).then_with(|| {
            kb.name(a.3)
                .to_lowercase()
                .cmp(&kb.name(b.3).to_lowercase())
        })
    });
    hits.into_iter().map(|h| h.3).collect()
}

/// How many words find something in an entry, and how well.
fn score(one: &Ingredient, words: &[String], whole: &str) -> (usize, u32) {
    let names: Vec<String> = one
        .names
        .iter()
        .chain(&one.inci)
        .chain(&one.inci_us)
        .chain(&one.ambiguous_names)
        .chain(&one.ci)
        .chain([&one.id])
        .map(|n| key(n))
        .collect();
    let mut sum = 0;
    if names.iter().any(|n| n == whole) {
        sum += 200;
    } else if !whole.is_empty() && names.iter().any(|n| n.starts_with(whole)) {
        sum += 60;
    }
    let found: Vec<u32> = words
        .iter()
        .filter_map(|word| of_word(one, &names, word))
        .collect();
    (found.len(), sum + found.iter().sum::<u32>())
}

fn of_word(one: &Ingredient, names: &[String], word: &str) -> Option<u32> {
    let single = word.strip_suffix('s').unwrap_or(word);
    let mut best = 0;
    let mut take = |points: u32, fits: bool| best = if fits { best.max(points) } else { best };
    for n in names {
        take(40, n.split([' ', '/', ',']).any(|w| w == word));
        take(30, n.split([' ', '/', ',']).any(|w| w.starts_with(single)));
        take(10, n.contains(single));
    }
    // The first role is what a material is mostly used for.
    for (n, role) in one.roles.iter().enumerate() {
        let first = u32::from(n == 0) * 10;
        let role = role.as_str();
        take(35 + first, role == word || role == single);
        take(20 + first, role.split('-').any(|w| w == single));
        let function = FUNCTIONS
            .iter()
            .any(|(f, roles)| (*f == word || *f == single) && roles.contains(&role));
        take(22 + first, function);
    }
    take(
        15,
        key(&one.family)
            .split(' ')
            .any(|w| w == word || w.strip_suffix('s') == Some(single)),
    );
    take(30, one.charge.is_some_and(|c| charge_word(c) == word));
    take(12, one.phase.iter().any(|p| phase_word(*p) == word));
    take(25, one.cas.iter().any(|c| key(c) == key(word)));
    take(
        5,
        one.note.as_ref().is_some_and(|n| {
            key(n)
                .split(' ')
                .any(|w| w.trim_matches(|c: char| !c.is_alphanumeric()) == word)
        }),
    );
    (best > 0).then_some(best)
}

fn charge_word(c: Charge) -> &'static str {
    match c {
        Charge::Anionic => "anionic",
        Charge::Cationic => "cationic",
        Charge::Nonionic => "nonionic",
        Charge::Amphoteric => "amphoteric",
    }
}

fn phase_word(p: PhaseKind) -> &'static str {
    match p {
        PhaseKind::Water => "water",
        PhaseKind::Oil => "oil",
        PhaseKind::CoolDown => "cool-down",
        PhaseKind::Surfactant => "surfactant",
        PhaseKind::Powder => "powder",
        PhaseKind::Any => "any",
    }
}

fn found(kb: &Kb, id: Id, market: Option<Market>) -> Option<Match> {
    let one = kb.get(id);
    let card = market.map(|m| Card::of(kb, id, &[m]));
    if card.as_ref().is_some_and(|c| !c.banned_in.is_empty()) {
        return None;
    }
    Some(Match {
        id: one.id.to_string(),
        name: kb.name(id).to_owned(),
        inci: one.inci.as_ref().map(SmolStr::to_string),
        roles: one.roles.clone(),
        phase: one.phase.clone(),
        limits: card.map(|c| c.limits),
    })
}

fn table(results: &[Match], count: usize, market: Option<Market>, out: &Terminal) -> String {
    let p = out.paint;
    let widest = out.width * 2 / 5;
    let name_wide = results
        .iter()
        .map(|r| r.name.width())
        .filter(|w| *w <= widest)
        .max()
        .unwrap_or(0);
    let mut text = String::new();
    for r in results {
        let phases: Vec<&str> = r
            .phase
            .iter()
            .map(|p| phase_word(*p))
            .filter(|p| *p != "any")
            .collect();
        let mut what = r
            .roles
            .iter()
            .map(|r| r.as_str().replace('-', " "))
            .collect::<Vec<_>>()
            .join(", ");
        if !phases.is_empty() {
            what.push_str(&format!("; into {}", phases.join(" or ")));
        }
        if let (Some(limits), Some(market)) = (&r.limits, market)
            && !limits.is_empty()
        {
            what.push_str(&format!("; limited in {market}"));
        }
        let name = p.with(style::BOLD, &r.name);
        let mut pad = name_wide.saturating_sub(r.name.width());
        text.push_str(&name);
        // A long name has a line of its own.
        if r.name.width() > name_wide {
            text.push('\n');
            pad = name_wide;
        }
        let room = out.width.saturating_sub(name_wide + 2).max(20);
        for line in super::wrap::wrap(&what, room, "", "") {
            text.push_str(&format!("{}  {line}\n", " ".repeat(pad)));
            pad = name_wide;
        }
    }
    if count > results.len() {
        text.push_str(&p.with(
            style::DIM,
            format!("and {} more; --all shows them\n", count - results.len()),
        ));
    }
    text.push_str(&p.with(
        style::DIM,
        "`phasewright ingredient NAME` shows all that is known of one\n",
    ));
    text
}
