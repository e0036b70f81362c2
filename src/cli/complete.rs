//! What a shell offers behind an option: codes of rules, markets, materials. The shell asks the program itself, so that what it
//! offers is what the program knows.

use crate::kb::{Kb, Market};
use crate::rules;
use clap_complete::CompleteEnv;
use clap_complete::engine::{ArgValueCompleter, CompletionCandidate};
use std::collections::BTreeSet;
use std::ffi::OsStr;

/// The variable by which a shell asks.
pub const VARIABLE: &str = "PHASEWRIGHT_COMPLETE";

/// More than these are not read through.
const MAX_MATERIALS: usize = 100;

/// Answers a shell that asks. True if one did.
pub fn answered() -> bool {
    if std::env::var_os(VARIABLE).is_none() {
        return false;
    }
    let here = std::env::current_dir().ok();
    CompleteEnv::with_factory(super::command)
        .var(VARIABLE)
        .try_complete(std::env::args_os(), here.as_deref())
        .unwrap_or_else(|e| e.exit())
}

/// Codes of rules, each with its title.
pub fn codes() -> ArgValueCompleter {
    ArgValueCompleter::new(|typed: &OsStr| {
        listed(typed, rules::all().map(|r| (r.code, r.title.to_owned())))
    })
}

pub fn markets() -> ArgValueCompleter {
    ArgValueCompleter::new(|typed: &OsStr| {
        listed(
            typed,
            Market::CODES.iter().map(|code| (*code, String::new())),
        )
    })
}

/// Names of materials that begin with what is typed.
pub fn materials() -> ArgValueCompleter {
    ArgValueCompleter::new(|typed: &OsStr| {
        let kb = Kb::bundled();
        let typed = typed.to_string_lossy().to_lowercase();
        let names: BTreeSet<&str> = kb
            .typed_names()
            .map(|(name, _)| name)
            .filter(|name| name.to_lowercase().starts_with(&typed))
            .collect();
        let names = names.into_iter().take(MAX_MATERIALS);
        names.map(CompletionCandidate::new).collect()
    })
}

/// The last of several values parted by commas.
fn listed<'a>(
    typed: &OsStr,
    all: impl Iterator<Item = (&'a str, String)>,
) -> Vec<CompletionCandidate> {
    let typed = typed.to_string_lossy();
    let (before, last) = typed
        .rfind(',')
        .map_or(("", &*typed), |comma| typed.split_at(comma + 1));
    let last = last.to_lowercase();
    all.filter(|(value, _)| value.to_lowercase().starts_with(&last))
        .map(|(value, help)| {
            CompletionCandidate::new(format!("{before}{value}"))
                .help((!help.is_empty()).then(|| help.into()))
        })
        .collect()
}
