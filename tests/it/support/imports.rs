//! The imports of the project, file by file, read from the source.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// The path of a module, `["lsp", "requests", "hover"]`.
pub type Module = Vec<String>;

/// Each module with those of its folder that it imports. What a file and the files below it import of each other is left out: a folder's
/// own file lists what is in it.
pub fn imports(root: &Path) -> BTreeMap<Module, BTreeSet<Module>> {
    let mut all = all_imports(root);
    for (module, found) in &mut all {
        found.retain(|other| {
            other.first() == module.first()
                && !other.starts_with(module)
                && !module.starts_with(other)
        });
    }
    all
}

/// Each module with all that it imports of the project.
pub fn all_imports(root: &Path) -> BTreeMap<Module, BTreeSet<Module>> {
    let mut files = BTreeMap::new();
    collect(root, &mut Vec::new(), &mut files);
    let known: BTreeSet<Module> = files.keys().cloned().collect();
    let of_file = |(module, file): (&Module, &PathBuf)| {
        let text = std::fs::read_to_string(file).expect("it was listed");
        let all = paths(&text).into_iter();
        let found = all.filter_map(|path| longest(&known, absolute(module, path)?));
        (module.clone(), found.collect())
    };
    files.iter().map(of_file).collect()
}

fn collect(folder: &Path, module: &mut Module, out: &mut BTreeMap<Module, PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder can be listed") {
        let path = entry.expect("a folder can be listed").path();
        let stem = path.file_stem().and_then(|s| s.to_str()).expect("a name");
        module.push(stem.to_owned());
        if path.is_dir() {
            collect(&path, module, out);
        } else if path.extension().is_some_and(|e| e == "rs") {
            let own = match stem {
                "mod" => module[..module.len() - 1].to_vec(),
                _ => module.clone(),
            };
            // The roots of the library and the program hang everything up.
            if module.len() > 1 {
                out.insert(own, path.clone());
            }
        }
        module.pop();
    }
}

/// Every path that begins with `crate`, `super` or `self`, those of `use` with their branches written out.
fn paths(text: &str) -> Vec<Module> {
    let code: String = text
        .lines()
        .take_while(|l| !l.starts_with("#[cfg(test)]") && !l.starts_with("#[cfg(all(test"))
        .map(|l| format!("{}\n", l.split("//").next().unwrap_or_default()))
        .collect();
    let mut out = Vec::new();
    let mut rest = code.as_str();
    while let Some((at, root)) = ["crate::", "super::", "self::"]
        .into_iter()
        .filter_map(|root| Some((rest.find(root)?, root)))
        .min()
    {
        let begins = !rest[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == ':');
        if begins {
            branches(&rest[at..], &mut Vec::new(), &mut out);
        }
        rest = &rest[at + root.len()..];
    }
    out
}

/// Reads `a::b::{c, d::e}` at the beginning of a text. Gives what stands behind it.
fn branches<'a>(text: &'a str, before: &mut Module, out: &mut Vec<Module>) -> &'a str {
    let text = text.trim_start();
    if let Some(mut rest) = text.strip_prefix('{') {
        loop {
            rest = branches(rest, &mut before.clone(), out).trim_start();
            match rest.strip_prefix(',') {
                Some(more) if !more.trim_start().starts_with('}') => rest = more,
                Some(more) => return more.trim_start().strip_prefix('}').unwrap_or(more),
                None => return rest.strip_prefix('}').unwrap_or(rest),
            }
        }
    }
    let end = text.find(|c: char| !c.is_alphanumeric() && c != '_');
    let (word, rest) = text.split_at(end.unwrap_or(text.len()));
    before.push(word.to_owned());
    match rest.strip_prefix("::") {
        Some(more) => branches(more, before, out),
        None => {
            out.push(before.clone());
            rest.strip_prefix(" as ").map_or(rest, |r| {
                r.trim_start_matches(|c: char| c.is_alphanumeric() || c == '_')
            })
        }
    }
}

/// A path from the root of the crate.
fn absolute(module: &Module, path: Module) -> Option<Module> {
    let mut base = match path.first()?.as_str() {
        "crate" => Vec::new(),
        _ => module.clone(),
    };
    for word in &path {
        match word.as_str() {
            "crate" | "self" => {}
            "super" => drop(base.pop()),
            word => base.push(word.to_owned()),
        }
    }
    Some(base)
}

/// The module that a path lies in.
fn longest(known: &BTreeSet<Module>, mut path: Module) -> Option<Module> {
    while !path.is_empty() {
        if known.contains(&path) {
            return Some(path);
        }
        path.pop();
    }
    None
}

/// Modules that import each other, directly or through others: those that can be reached and reach back.
pub fn circles(imports: &BTreeMap<Module, BTreeSet<Module>>) -> BTreeSet<BTreeSet<Module>> {
    let reach = |from: &Module| {
        let mut seen: BTreeSet<Module> = BTreeSet::new();
        let mut next: Vec<&Module> = imports.get(from).into_iter().flatten().collect();
        while let Some(module) = next.pop() {
            if seen.insert(module.clone()) {
                next.extend(imports.get(module).into_iter().flatten());
            }
        }
        seen
    };
    let reached: BTreeMap<&Module, BTreeSet<Module>> =
        imports.keys().map(|m| (m, reach(m))).collect();
    let circle = |(module, seen): (&&Module, &BTreeSet<Module>)| {
        let back = seen.iter().filter(|other| {
            let from_there = reached.get(other);
            from_there.is_some_and(|there| there.contains(*module))
        });
        back.cloned().collect::<BTreeSet<Module>>()
    };
    let all = reached.iter().map(circle);
    all.filter(|c| c.len() > 1).collect()
}
