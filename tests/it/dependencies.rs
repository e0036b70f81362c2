//! What we depend on: licences that we may ship, one origin, a reason for each, and nothing that is known as unsafe or unmaintained.
//!
//! The advisories are carried in from the RustSec advisory database (as of 2026-11), since the tests ask no server;
//! `cargo audit` asks the live one.

use serde_json::Value;
use std::path::Path;
use std::process::Command;

/// Any one of these in a licence expression is enough.
const LICENCES: [&str; 9] = [
    "MIT",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "Zlib",
    "Unlicense",
    "Unicode-3.0",
    "MIT-0",
];

/// Given up by their makers.
const UNMAINTAINED: [(&str, &str); 15] = [
    ("ansi_term", "RUSTSEC-2021-0139"),
    ("atty", "RUSTSEC-2024-0375"),
    ("backoff", "RUSTSEC-2025-0012"),
    ("bincode", "RUSTSEC-2025-0141"),
    ("derivative", "RUSTSEC-2024-0388"),
    ("failure", "RUSTSEC-2020-0036"),
    ("fxhash", "RUSTSEC-2025-0057"),
    ("instant", "RUSTSEC-2024-0384"),
    ("net2", "RUSTSEC-2020-0016"),
    ("number_prefix", "RUSTSEC-2025-0119"),
    ("paste", "RUSTSEC-2024-0436"),
    ("proc-macro-error", "RUSTSEC-2024-0370"),
    ("serde_cbor", "RUSTSEC-2021-0127"),
    ("term_size", "RUSTSEC-2020-0163"),
    ("yaml-rust", "RUSTSEC-2024-0320"),
];

/// Unsound or unsafe below this version.
const MENDED_IN: [(&str, (u64, u64, u64), &str); 8] = [
    ("tokio", (1, 44, 2), "RUSTSEC-2025-0023"),
    ("idna", (1, 0, 0), "RUSTSEC-2024-0421"),
    ("smallvec", (1, 6, 1), "RUSTSEC-2021-0003"),
    ("crossbeam-utils", (0, 8, 7), "RUSTSEC-2022-0041"),
    ("lock_api", (0, 4, 2), "RUSTSEC-2020-0070"),
    ("slab", (0, 4, 11), "RUSTSEC-2025-0047"),
    ("bytes", (1, 11, 1), "RUSTSEC-2026-0007"),
    ("futures-util", (0, 3, 7), "RUSTSEC-2020-0059"),
];

fn metadata() -> Value {
    let out = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo can be run");
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    serde_json::from_slice(&out.stdout).expect("cargo metadata is JSON")
}

fn packages(all: &Value) -> Vec<(&str, &Value)> {
    let list = all["packages"].as_array().expect("packages");
    list.iter()
        .map(|p| (p["name"].as_str().expect("a name"), p))
        .filter(|(name, _)| !["phasewright", "kb-format", "page-core"].contains(name))
        .collect()
}

#[test]
fn licences_and_origin() {
    let all = metadata();
    let packages = packages(&all);
    assert!(packages.len() > 50, "{} packages", packages.len());
    let mut wrong = Vec::new();
    for (name, p) in packages {
        let licence = p["license"].as_str().unwrap_or("none");
        // In "A OR B" one is enough, in "A AND B" all.
        let fits = licence
            .split(" OR ")
            .flat_map(|l| l.split('/'))
            .any(|either| {
                either.split(" AND ").all(|l| {
                    LICENCES.contains(
                        &l.trim_matches(|c: char| c == '(' || c == ')' || c.is_whitespace())
                            .split(" WITH ")
                            .next()
                            .unwrap_or_default(),
                    )
                })
            });
        if !fits {
            wrong.push(format!("{name}: licence {licence}"));
        }
        if !p["source"]
            .as_str()
            .is_some_and(|s| s.starts_with("registry+"))
        {
            wrong.push(format!("{name}: comes from {}", p["source"]));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn each_direct_one_has_its_why() {
    let all = metadata();
    let ours = all["packages"]
        .as_array()
        .expect("packages")
        .iter()
        .find(|p| p["name"] == "phasewright")
        .expect("ourselves");
    let developers =
        std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md"))
            .expect("DEVELOPERS.md");
    let reasons = developers
        .split("## Dependencies")
        .nth(1)
        .expect("its chapter");
    for d in ours["dependencies"].as_array().expect("dependencies") {
        let name = d["name"].as_str().expect("a name");
        assert!(
            reasons.contains(name),
            "DEVELOPERS.md says nothing of {name}"
        );
    }
}

#[test]
fn nothing_known_as_unsafe_or_unmaintained() {
    let all = metadata();
    let mut wrong = Vec::new();
    for (name, p) in packages(&all) {
        if let Some((_, advisory)) = UNMAINTAINED.iter().find(|(n, _)| *n == name) {
            wrong.push(format!("{name} is unmaintained ({advisory})"));
        }
        let version: Vec<u64> = p["version"]
            .as_str()
            .expect("a version")
            .split(['.', '-', '+'])
            .take(3)
            .map(|n| n.parse().unwrap_or(0))
            .collect();
        if let Some((_, (a, b, c), advisory)) = MENDED_IN.iter().find(|(n, _, _)| *n == name)
            && version < vec![*a, *b, *c]
        {
            wrong.push(format!(
                "{name} {} is below {a}.{b}.{c} ({advisory})",
                p["version"]
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
