//! `--format sarif`: SARIF 2.1.0, for code hosts and review tools.

use super::Format;
use super::json::serialized;
use super::place::{self, Region, edited, region};
use super::report::{Report, Total};
use crate::rules::{Finding, Severity, all, page};
use serde_json::{Value, json};

pub struct Sarif;

/// Stands where a file could not be judged; no rule has this code.
const UNREADABLE: &str = "unreadable-file";

const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

impl Format for Sarif {
    fn begin(&self) -> String {
        let rules: Vec<Value> = all()
            .map(|r| {
                json!({
                    "id": r.code,
                    "shortDescription": { "text": r.title },
                    "fullDescription": { "text": r.title },
                    "help": { "text": page::markdown(r), "markdown": page::markdown(r) },
                    "defaultConfiguration": { "level": level(r.loudest) },
                    "properties": { "group": r.group.title() },
                })
            })
            .collect();
        let mut rules = rules;
        rules.push(json!({
            "id": UNREADABLE,
            "shortDescription": { "text": "A file that cannot be read" },
            "help": { "text": "The file was not judged. The message says what is wrong with it and what to do." },
            "defaultConfiguration": { "level": "error" },
        }));
        let driver = json!({ "name": "phasewright", "version": env!("CARGO_PKG_VERSION"), "semanticVersion": env!("CARGO_PKG_VERSION"), "rules": rules });
        format!(
            "{{\"$schema\":\"{SCHEMA}\",\"version\":\"2.1.0\",\"runs\":[{{\"columnKind\":\"unicodeCodePoints\",\"tool\":{{\"driver\":{driver}}},\n\"results\":[\n"
        )
    }

    fn between(&self) -> &'static str {
        ",\n"
    }

    fn file(&self, report: &Report) -> String {
        let uri = uri(&report.shown());
        if let Some(t) = &report.trouble {
            // Not about a rule, but it has to be seen where only results are looked at.
            let region = json!({ "startLine": t.line.unwrap_or(1) });
            let result = json!({
                "ruleId": UNREADABLE,
                "message": { "text": format!("cannot be read: {}", t.what) },
                "kind": "fail",
                "level": "error",
                "locations": [{ "physicalLocation": { "artifactLocation": { "uri": uri }, "region": region } }],
            });
            return result.to_string();
        }
        let results: Vec<String> = report
            .findings
            .iter()
            .map(|f| serialized(&result(report, &uri, f)))
            .collect();
        results.join(",\n")
    }

    fn end(&self, total: &Total) -> String {
        let law: Vec<Value> = total
            .law()
            .into_iter()
            .map(|(market, as_of)| json!({ "market": market, "as_of": as_of }))
            .collect();
        let invocation = json!({ "executionSuccessful": total.unreadable == 0 });
        format!(
            "\n],\"invocations\":[{invocation}],\"properties\":{}}}]}}\n",
            json!({ "law": law })
        )
    }
}

fn result(report: &Report, uri: &str, f: &Finding) -> Value {
    let mut out = json!({
        "ruleId": f.code,
        "level": level(f.severity),
        "message": { "text": f.whole() },
        "locations": [location(uri, region(&report.source, f.place))],
        "properties": { "severity": f.severity.name() },
    });
    if let Some(n) = all().position(|r| r.code == f.code) {
        out["ruleIndex"] = json!(n);
    }
    if let Some(why) = &f.why {
        out["properties"]["why"] = json!(why);
    }
    if let Some(b) = &f.basis {
        out["properties"]["basis"] = json!({ "kind": b.kind, "source": b.source });
    }
    if let Some(reason) = &f.suppression_reason {
        out["properties"]["excepted"] = json!(reason);
        out["suppressions"] = json!([{ "kind": "inSource", "justification": reason }]);
    }
    if !f.related.is_empty() {
        let related = f.related.iter().map(|r| {
            let (path, line, column) = place::related(report, r);
            json!({
                "message": { "text": r.message },
                "physicalLocation": { "artifactLocation": { "uri": self::uri(&path) }, "region": { "startLine": line, "startColumn": column } },
            })
        });
        out["relatedLocations"] = related.collect();
    }
    if !f.fixes.is_empty() {
        let fixes = f.fixes.iter().map(|fix| {
            let replacements: Vec<Value> =
                fix.edits.iter().map(|e| json!({ "deletedRegion": shape(edited(&report.source, e)), "insertedContent": { "text": e.text } })).collect();
            json!({ "description": { "text": fix.title }, "artifactChanges": [{ "artifactLocation": { "uri": uri }, "replacements": replacements }] })
        });
        out["fixes"] = fixes.collect();
    }
    out
}

fn location(uri: &str, at: Region) -> Value {
    json!({ "physicalLocation": { "artifactLocation": { "uri": uri }, "region": shape(at) } })
}

fn shape(at: Region) -> Value {
    json!({ "startLine": at.line, "startColumn": at.column, "endLine": at.end_line, "endColumn": at.end_column })
}

fn level(s: Severity) -> &'static str {
    match s {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Information | Severity::Hint => "note",
    }
}

/// A path as a relative or file URI.
fn uri(path: &str) -> String {
    let mut out = String::new();
    // A drive letter or a leading slash: the path is absolute.
    if path.starts_with('/') {
        out.push_str("file://");
    } else if path.as_bytes().get(1) == Some(&b':') {
        out.push_str("file:///");
    }
    for byte in path.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => {
                out.push(byte as char)
            }
            _ => out.push_str(&format!("%{byte:02X}")),
        }
    }
    out
}
