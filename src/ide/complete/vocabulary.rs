//! The words of the language: headings, fields and their values, verbs, labels, codes, files.

use super::list::List;
use super::{CompletionKind, ingredients};
use crate::ide::Snapshot;
use crate::kb::names::key;
use crate::model::fields::{FIELDS, FieldSpec};
use crate::rules;
use crate::syntax::tree::{FileKind, Heading, Heat, Node, SectionKind, Verb};
use crate::syntax::{VERBS, field_written, wording};

/// The keywords of all kinds of file.
const KEYWORDS: [&str; 9] = [
    "formula",
    "phase",
    "premix",
    "method",
    "notes",
    "batch",
    "weighed",
    "log",
    "observations",
];

pub fn is_keyword(typed: &str) -> bool {
    KEYWORDS
        .iter()
        .any(|k| k.eq_ignore_ascii_case(typed.trim()))
}

pub fn keywords(s: &Snapshot, list: &mut List) {
    let line = list.place.line;
    let has = |kind: SectionKind| {
        s.tree
            .sections
            .iter()
            .any(|x| x.kind == kind && x.heading.is_some_and(|h| h != line))
    };
    let once = |kind: SectionKind| !has(kind);
    let label = next_label(s);
    let heading = CompletionKind::Heading;
    match s.kind {
        FileKind::Formula => {
            if once(SectionKind::Formula) {
                list.add(
                    "formula",
                    heading,
                    "names the formula; its fields follow",
                    "formula ",
                    Some("formula ${1:\"name\"}".into()),
                );
            }
            list.add(
                "phase",
                heading,
                "what is weighed and heated together",
                "phase ",
                Some(format!("phase ${{1:{label}}}")),
            );
            list.add(
                "premix",
                heading,
                "made in a vessel of its own, then into a phase",
                "premix ",
                Some(format!("premix ${{1:{label}1, into A}}")),
            );
            if once(SectionKind::Method) {
                list.add("method", heading, "the steps, one a line", "method", None);
            }
            if once(SectionKind::Notes) {
                list.add("notes", heading, "free text", "notes", None);
            }
        }
        FileKind::Batch => {
            if once(SectionKind::Batch) {
                list.add(
                    "batch",
                    heading,
                    "its code and the formula",
                    "batch ",
                    Some("batch ${1:code}".into()),
                );
            }
            for (word, kind, help) in [
                (
                    "weighed",
                    SectionKind::Weighed,
                    "what was weighed, and from which lot",
                ),
                ("log", SectionKind::Log, "times, temperatures, readings"),
                (
                    "packed",
                    SectionKind::Packed,
                    "jars filled, kept back, spoilt",
                ),
                ("observations", SectionKind::Observations, "how it keeps"),
                (
                    "complaints",
                    SectionKind::Complaints,
                    "what was heard of it",
                ),
                ("notes", SectionKind::Notes, "free text"),
            ] {
                if once(kind) {
                    list.add(word, heading, help, word, None);
                }
            }
        }
        FileKind::Stock => {
            list.add(
                "lot",
                heading,
                "a material on the shelf",
                "lot ",
                Some("lot ${1:code of material}".into()),
            );
            if once(SectionKind::Ledger) {
                list.add(
                    "ledger",
                    heading,
                    "what was sold, used, counted",
                    "ledger",
                    None,
                );
            }
            if once(SectionKind::Notes) {
                list.add("notes", heading, "free text", "notes", None);
            }
        }
    }
}

/// The first capital letter that no phase has.
pub fn next_label(s: &Snapshot) -> char {
    let taken = |c: char| {
        s.formula.as_ref().is_some_and(|f| {
            f.phases
                .iter()
                .any(|p| p.label.len() == 1 && p.label.eq_ignore_ascii_case(&c.to_string()))
        })
    };
    ('A'..='Z').find(|c| !taken(*c)).unwrap_or('Z')
}

fn section_of(kind: FileKind) -> SectionKind {
    match kind {
        FileKind::Formula => SectionKind::Formula,
        FileKind::Batch => SectionKind::Batch,
        FileKind::Stock => SectionKind::Lot,
    }
}

fn specs(kind: FileKind) -> impl Iterator<Item = &'static FieldSpec> {
    FIELDS.iter().filter(move |f| f.section == section_of(kind))
}

pub fn field_keys(s: &Snapshot, list: &mut List) {
    let line = list.place.line;
    let end = list.place.span.end as usize;
    let colon_follows = s.text(line)[end..].starts_with(':');
    let section = s
        .tree
        .sections
        .iter()
        .find(|x| (x.first..x.end).contains(&line));
    let lines = section.map_or(0..0, |x| x.first..x.end);
    let given = |key: &str| {
        lines.clone().any(|n| {
            n != line
                && matches!(s.line(n).map(|l| &l.node), Some(Node::Field(f)) if f.key.value == key)
        })
    };
    for spec in specs(s.kind).filter(|f| !given(f.key)) {
        let written = field_written(spec.key);
        let colon = if colon_follows { "" } else { ": " };
        list.add(
            written,
            CompletionKind::Field,
            spec.help,
            &format!("{written}{colon}"),
            Some(format!(
                "{written}: ${{1:{}}}",
                ingredients::escaped(spec.example)
            )),
        );
    }
}

/// The values that a field may have; an example only where the maker asks for it.
pub fn field_values(s: &Snapshot, field: &str, invoked: bool, list: &mut List) {
    let value = CompletionKind::Value;
    if field == "product" && s.kind == FileKind::Formula {
        for stays in ["leave-on", "rinse-off"] {
            list.add(stays, value, "whether it stays on", stays, None);
        }
        for kind in s.kb.products() {
            list.add(&kind.name, value, &kind.scope.join(", "), &kind.name, None);
        }
        // By another of its names it is a product all the same.
        list.full |= s.kb.product(&list.typed).is_some();
        list.out.truncate(super::index::MAX_ITEMS);
        return;
    }
    let Some(spec) = specs(s.kind).find(|f| f.key == field) else {
        return;
    };
    let before = &s.text(list.place.line)[..list.place.span.start as usize];
    let given = |v: &str| {
        before
            .split([':', ',', ';'])
            .any(|g| key(g.trim()) == key(v))
    };
    for v in spec.values.iter().filter(|v| !given(v)) {
        let about =
            s.kb.laws()
                .find(|l| l.market.code() == *v)
                .map_or(String::new(), |l| format!("{}, as of {}", l.title, l.as_of));
        list.add(v, value, &about, v, None);
    }
    if spec.values.is_empty() && list.typed.is_empty() && invoked {
        list.add(spec.example, value, "for example", spec.example, None);
    }
}

/// The verbs that begin with what is typed: of each the wording that we write; once something is typed the other wordings too.
pub fn verbs(s: &Snapshot, list: &mut List) {
    for (word, verb) in VERBS.iter().filter(|(word, verb)| *word == wording(*verb)) {
        let (detail, snippet) = verb_help(s, *verb, word);
        list.add(word, CompletionKind::Verb, detail, word, snippet);
    }
    if !list.typed.is_empty() {
        for (word, verb) in VERBS {
            let detail = format!("read as \"{}\"", wording(*verb));
            list.add(word, CompletionKind::Verb, &detail, word, None);
        }
    }
}

fn verb_help(s: &Snapshot, verb: Verb, word: &str) -> (&'static str, Option<String>) {
    let labels: Vec<&str> = s
        .formula
        .iter()
        .flat_map(|f| {
            f.phases
                .iter()
                .filter(|p| !p.premix && !p.label.is_empty())
                .map(|p| p.label.as_str())
        })
        .collect();
    let nth = |n: usize, or: &'static str| labels.get(n).copied().unwrap_or(or).to_owned();
    let hot =
        s.formula
            .iter()
            .flat_map(|f| &f.phases)
            .filter_map(|p| match p.heat.as_ref()?.value {
                Heat::At(t) => Some(t.celsius),
                _ => None,
            });
    let hot = hot
        .max()
        .map_or("75 °C".to_owned(), |c| s.degrees().show(c));
    match verb {
        Verb::Heat => (
            "brings a phase to a temperature",
            Some(format!("{word} ${{1:{} to {hot}}}", nth(0, "A"))),
        ),
        Verb::Hold => (
            "keeps it there",
            Some(format!("{word} ${{1:{} 20 min}}", nth(0, "A"))),
        ),
        Verb::Add => (
            "puts a phase or a material in",
            Some(format!("{word} ${{1:{}}}", nth(2, "C"))),
        ),
        Verb::Pour => (
            "brings two phases together",
            Some(format!(
                "{word} ${{1:{} into {}}}",
                nth(0, "A"),
                nth(1, "B")
            )),
        ),
        Verb::Cool => ("lets it cool", Some(format!("{word} to ${{1:40 °C}}"))),
        Verb::Rest => ("leaves it alone", Some(format!("{word} ${{1:24 h}}"))),
        Verb::Blend => ("high shear", Some(format!("{word} ${{1:3 min}}"))),
        Verb::TopUp => (
            "puts back the water that has gone",
            Some(format!(
                "{word} ${{1:{} with hot water to its starting weight}}",
                nth(0, "A")
            )),
        ),
        Verb::Tidy => ("tools and jars: nothing happens to what is made", None),
        Verb::MeasurePh => ("reads the pH", None),
        Verb::AdjustPh => ("brings the pH to its aim", None),
        Verb::Slurry => ("wets a powder", None),
        Verb::Hydrate => ("lets a gum swell", None),
        Verb::Melt => ("until all is clear", None),
        Verb::Fill => ("into its containers", None),
        Verb::Mould => ("into moulds", None),
        _ => ("", None),
    }
}

/// The labels of phases; of a premix's `into` without the premix itself.
pub fn labels(s: &Snapshot, except_line: Option<u32>, list: &mut List) {
    let Some(f) = &s.formula else { return };
    for p in f
        .phases
        .iter()
        .filter(|p| !p.label.is_empty() && !except_line.is_some_and(|l| p.lines.contains(&l)))
    {
        let detail = match &p.name {
            Some(name) => format!("{} \"{name}\"", if p.premix { "premix" } else { "phase" }),
            None => if p.premix { "premix" } else { "phase" }.to_owned(),
        };
        list.add(&p.label, CompletionKind::Phase, &detail, &p.label, None);
    }
}

pub fn new_label(s: &Snapshot, list: &mut List) {
    let label = next_label(s).to_string();
    list.add(
        &label,
        CompletionKind::Phase,
        "the next free letter",
        &label,
        None,
    );
}

pub fn phase_tail(s: &Snapshot, premix: bool, list: &mut List) {
    let heading = s.line(list.place.line).map(|l| &l.node);
    let has_heat = matches!(heading, Some(Node::Heading(Heading::Phase(h) | Heading::Premix(h))) if h.heat.is_some());
    let heats = [
        ("at 75 °C", "heated to this", Some("at ${1:75 °C}")),
        (
            "below 40 °C",
            "goes in once it is cooler",
            Some("below ${1:40 °C}"),
        ),
        (
            "between 70 and 75 °C",
            "heated to a range",
            Some("between ${1:70 and 75 °C}"),
        ),
        ("at room temperature", "cold process", None),
    ];
    let rest = [
        (
            "hold 20 min",
            "how long it stays hot",
            Some("hold ${1:20 min}"),
        ),
        ("dry", "powders, without water", None),
    ];
    let into = ("into A", "the phase that takes it", Some("into ${1:A}"));
    let heats = heats.into_iter().filter(|_| !has_heat);
    let all = heats.chain(rest).chain(premix.then_some(into));
    for (label, detail, snippet) in all {
        list.add_beginning(
            label,
            CompletionKind::Value,
            detail,
            snippet.map(str::to_owned),
        );
    }
}

pub fn purposes(s: &Snapshot, list: &mut List) {
    for p in &s.kb.vocabulary().purposes {
        list.add(
            p,
            CompletionKind::Value,
            "what it is for, where the law asks",
            p,
            None,
        );
    }
}

/// Codes of rules; those that have found something on this line or the next come first.
pub fn codes(s: &Snapshot, list: &mut List) {
    let line = list.place.line;
    let rest = s.text(line)[list.place.span.end as usize..]
        .trim_start()
        .starts_with(':');
    let colon = if rest { "" } else { ": " };
    let mut near: Vec<&'static str> = s
        .findings()
        .iter()
        .filter(|f| (line..=line + 1).contains(&f.place.line))
        .map(|f| f.code)
        .collect();
    near.dedup();
    let all = near
        .into_iter()
        .filter_map(rules::by_code)
        .chain(rules::all());
    for rule in all.filter(|r| r.can_be_excepted) {
        if let Some(c) = list.add(
            rule.code,
            CompletionKind::Code,
            rule.title,
            &format!("{}{colon}", rule.code),
            None,
        ) {
            c.id = Some(rule.code.to_owned());
        }
    }
}

/// An exception; on a record, where the finding stays and is explained, by the words for that.
pub fn except(s: &Snapshot, list: &mut List) {
    let (label, help) = match s.kind {
        FileKind::Formula => ("except", "keeps one rule quiet on this line, with a reason"),
        FileKind::Batch | FileKind::Stock => (
            "write why",
            "the reason of a deviation; the finding stays, explained",
        ),
    };
    let begins = "except".starts_with(&list.typed);
    let kind = CompletionKind::Code;
    if label == "except" || !begins {
        list.add(label, kind, help, "except ", None);
    } else {
        list.offer(label, kind, help, "except ");
    }
}

/// Formulas that lie in the same folder or in one below it.
pub fn files(s: &Snapshot, list: &mut List) {
    let Some(folder) = s.path.parent() else {
        return;
    };
    let own = s.path.file_name();
    let mut found: Vec<String> = Vec::new();
    let mut take = |folder: &std::path::Path, before: &str| {
        let mut below = Vec::new();
        for entry in std::fs::read_dir(folder)
            .into_iter()
            .flatten()
            .flatten()
            .take(MAX_FILES)
        {
            let name = entry.file_name().to_string_lossy().into_owned();
            let path = entry.path();
            if path.extension().is_some_and(|e| e == "formula")
                && (!before.is_empty() || Some(entry.file_name().as_os_str()) != own)
            {
                found.push(format!("{before}{name}"));
            } else if before.is_empty() && !name.starts_with('.') && path.is_dir() {
                below.push((path, format!("{name}/")));
            }
        }
        below
    };
    for (path, name) in take(folder, "") {
        take(&path, &name);
    }
    found.sort();
    let closed =
        s.text(list.place.line)[list.place.span.end as usize..].starts_with(['"', '\u{201D}']);
    for name in found.iter().take(super::index::MAX_ITEMS) {
        list.add(
            name,
            CompletionKind::File,
            "a formula made earlier",
            &if closed {
                name.clone()
            } else {
                format!("{name}\"")
            },
            None,
        );
    }
}

/// A folder is looked through once at each request, so not without end.
const MAX_FILES: usize = 2_000;

/// Lots that the batch file itself names.
pub fn lots(s: &Snapshot, list: &mut List) {
    for at in &s.tree.lines {
        if let Node::Weighed(w) = &at.line.node
            && let Some(lot) = &w.lot
        {
            list.add(
                &lot.value,
                CompletionKind::Value,
                &format!("lot of {}", w.name.value),
                &lot.value,
                None,
            );
        }
    }
}
