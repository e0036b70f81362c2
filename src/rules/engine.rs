//! Runs every rule over a formula and settles what is said in the end.

use super::batch;
use super::exceptions;
use super::finding::{Finding, Severity, Sink, Subject};
use super::levels;
use super::{Context, Rule, Workshop, all, by_code, meta};
use crate::analysis::Analysis;
use crate::kb::Kb;
use crate::kb::KbError;
use crate::model::settings::SettingsFault;
use crate::model::{FileLoader, NoFiles, Settings, system};
use crate::syntax::tree::Tree;
use crate::text::{Place, Span};
use rustc_hash::FxHashMap;
use std::cmp::Reverse;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

/// Understands a formula file; it is judged by all rules when its findings are asked for.
pub fn analyze(
    tree: Tree,
    path: &Path,
    kb: &Kb,
    settings: &Settings,
    loader: &dyn FileLoader,
) -> Analysis {
    Analysis::new(tree, path, kb, settings, loader, check)
}

/// Runs all rules.
pub fn check(analysis: &Analysis) -> Vec<Finding> {
    check_with(all(), analysis)
}

/// Runs some rules, or rules that were changed: the tests of the engine come in here.
pub fn check_with<'r>(rules: impl Iterator<Item = &'r Rule>, analysis: &Analysis) -> Vec<Finding> {
    run(rules, &Context::of(analysis))
}

/// Of a file that is no formula: the rules about its writing.
pub fn check_writing(analysis: &Analysis) -> Vec<Finding> {
    let mut found = check(analysis);
    found.retain(|f| by_code(f.code).is_some_and(|r| r.group.is_about_writing()));
    found
}

/// Judges a batch record or a shelf file in its workshop. Rules about formulas have nothing to say there.
pub fn judge_record(
    tree: &Tree,
    workshop: Workshop<'_>,
    kb: &Kb,
    settings: &Settings,
) -> Vec<Finding> {
    analyze_record(tree.clone(), workshop, kb, settings)
        .findings()
        .to_vec()
}

/// The same with all that is known of the record.
pub fn analyze_record(
    tree: Tree,
    workshop: Workshop<'_>,
    kb: &Kb,
    settings: &Settings,
) -> Analysis {
    let analysis = analyze(tree, workshop.path, kb, settings, &NoFiles);
    let rules = all().filter(|r| r.runs_in_records());
    let found = run(rules, &Context::of(&analysis).in_workshop(workshop));
    analysis.with_findings(found)
}

fn run<'r>(rules: impl Iterator<Item = &'r Rule>, ctx: &Context) -> Vec<Finding> {
    let mut found = Vec::with_capacity(16);
    let mut yields: Vec<(&str, &[&str])> = Vec::new();
    let soap = ctx.workshop().is_none() && system::is_soap_from_lye(ctx.formula, ctx.kb);
    for rule in rules.filter(|r| !soap || r.runs_in_soap()) {
        if !rule.yields_to.is_empty() {
            yields.push((rule.code, rule.yields_to));
        }
        if !rule.is_off(ctx.settings) {
            run_one(rule, ctx, &mut found);
        }
    }
    for f in &mut found {
        resolve_severity(f, ctx.settings);
    }
    if by_code("released-open").is_some_and(|r| !r.is_off(ctx.settings)) {
        let before = found.len();
        batch::judge_releases(ctx, &mut found);
        for f in &mut found[before..] {
            resolve_severity(f, ctx.settings);
        }
    }
    exceptions::apply(ctx, &mut found);
    levels::settle(ctx, &mut found);
    apply_suppression(&yields, &mut found);
    found.sort_by_key(|f| (f.place, Reverse(f.severity), f.code));
    let fixes = found.iter_mut().flat_map(|f| &mut f.fixes);
    for edit in fixes.flat_map(|fix| &mut fix.edits) {
        edit.break_lines_as(ctx.tree.line_break);
    }
    found
}

/// A rule that panics costs its own messages, never the others'.
fn run_one(rule: &Rule, ctx: &Context, found: &mut Vec<Finding>) {
    let before = found.len();
    let caught = catch_unwind(AssertUnwindSafe(|| {
        let mut sink = Sink::new(rule, ctx.kb, found);
        #[cfg(debug_assertions)]
        assert!(!is_planted(rule.code), "planted");
        (rule.check)(ctx, &mut sink);
    }));
    if caught.is_err() {
        found.truncate(before);
        let message = format!(
            "the rule \"{}\" failed, so what it looks at is not judged",
            rule.code
        );
        Sink::new(&meta::internal::RULE, ctx.kb, found).say(
            Subject::Formula,
            ctx.formula.heading_line,
            Span::default(),
            message,
        )
        .help("The other rules stand. This is a fault of the program: please report it with the formula");
    }
}

/// The tests of the whole program plant a fault in a rule by this variable; builds for use do not look at it.
#[cfg(debug_assertions)]
fn is_planted(code: &str) -> bool {
    static RULE: std::sync::OnceLock<Option<String>> = std::sync::OnceLock::new();
    RULE.get_or_init(|| std::env::var("PHASEWRIGHT_PLANTED_FAULT").ok())
        .as_deref()
        == Some(code)
}

/// The cap of the weakest figure, then the maker's setting: lower as wished, higher up to the cap; law no lower than a warning.
fn resolve_severity(f: &mut Finding, settings: &Settings) {
    let own = f.severity.min(f.severity_cap);
    f.severity = match settings
        .severity
        .get(f.code)
        .and_then(|s| Severity::parse(s))
    {
        Some(wished) => wished.min(f.severity_cap),
        None => own,
    };
    if f.is_legal && own >= Severity::Warning {
        f.severity = f.severity.max(Severity::Warning);
    }
}

/// One cause, one message: a finding goes when one that its rule yields to stands on the same subject, at least as loud.
fn apply_suppression(yields: &[(&str, &[&str])], found: &mut Vec<Finding>) {
    let mut standing: FxHashMap<(&str, Subject), Severity> = FxHashMap::default();
    for f in found.iter() {
        for subject in f.covers.iter().chain([&f.subject]) {
            let loudest = standing.entry((f.code, *subject)).or_insert(f.severity);
            *loudest = f.severity.max(*loudest);
        }
    }
    found.retain(|f| {
        let to = yields
            .iter()
            .find(|(code, _)| *code == f.code)
            .map_or(&[][..], |(_, to)| to);
        !to.iter().any(|code| {
            standing
                .get(&(*code, f.subject))
                .is_some_and(|s| *s >= f.severity)
        })
    });
}

/// What is wrong in `phasewright.toml`.
pub fn judge_settings(faults: &[SettingsFault]) -> Vec<Finding> {
    let rule = &meta::settings::RULE;
    faults
        .iter()
        .map(|f| {
            let place = Place {
                line: f.line,
                span: Span {
                    start: f.start,
                    end: f.end,
                },
            };
            Finding::new(
                rule.code,
                rule.loudest,
                Subject::Line(f.line),
                place,
                f.message.clone(),
            )
        })
        .collect()
}

/// What is wrong in a file of the maker's own ingredients: the whole line is marked.
pub fn judge_ingredients(text: &str, faults: &[KbError]) -> Vec<Finding> {
    let rule = &meta::ingredient_file::RULE;
    faults
        .iter()
        .map(|f| {
            let line = f.line.max(1) - 1;
            let written = text.lines().nth(line).unwrap_or_default();
            let start = written.len() - written.trim_start().len();
            let span = Span::new(start, written.trim_end().len().max(start));
            let place = Place {
                line: line as u32,
                span,
            };
            Finding::new(
                rule.code,
                rule.loudest,
                Subject::Line(place.line),
                place,
                f.message.clone(),
            )
        })
        .collect()
}
