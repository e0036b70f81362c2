//! To whom diagnostics are pushed, who asks for them, and when.

use crate::support::lsp_client::*;
use phasewright::lsp::Options;
use serde_json::{Value, json};
use std::fs;

const A: &str = "file:///w/a.formula";
/// The amount of phenoxyethanol in [`GEL`], from its first digit to its last.
const AMOUNT: (u64, u64) = (43, 46);

fn begin_as(hello: Value) -> Client {
    let mut c = Client::here(Options::default());
    c.start(hello);
    c
}

/// A client that pulls and can be told to ask again.
fn pulling() -> Value {
    client_with(&[
        ("capabilities/textDocument/diagnostic", json!({})),
        (
            "capabilities/workspace/diagnostics",
            json!({ "refreshSupport": true }),
        ),
    ])
}

fn amount(text: &str) -> Value {
    let place = |character| json!({ "line": GEL_FAULT, "character": character });
    json!([{ "range": { "start": place(AMOUNT.0), "end": place(AMOUNT.1) }, "text": text }])
}

fn pull_after(c: &mut Client, uri: &str, previous: &Value) -> Value {
    c.request(
        "textDocument/diagnostic",
        json!({ "textDocument": { "uri": uri }, "previousResultId": previous }),
    )
}

fn faults(report: &Value) -> Vec<(u64, String)> {
    let all = report["items"].as_array().expect("a full report");
    codes(
        &all.iter()
            .filter(|d| is_fault(d))
            .cloned()
            .collect::<Vec<_>>(),
    )
}

#[test]
fn every_version_that_was_judged_is_pushed_though_it_says_the_same() {
    let mut c = begin_as(full_client());
    c.open(A, "formula", GEL);
    let first = c.pushed(A);
    for version in 2..=4 {
        c.change(A, version, json!([{ "text": GEL }]));
        let next = c.pushed(A);
        assert_eq!(next.version, Some(version));
        assert_eq!(next.all, first.all);
    }
    // One version is pushed once, or leaving would find another unread.
    c.save(A);
    c.request("textDocument/foldingRange", about(A));
    c.leave();
}

/// The code of a finding leads to the page of its rule, where the client takes that.
#[test]
fn a_code_leads_to_the_page_of_its_rule() {
    for takes in [true, false] {
        let papers = folder(&format!("rule-pages-{takes}"));
        let mut c = Client::here(Options {
            papers: Some(papers.clone()),
            ..Options::default()
        });
        c.start(client_with(&[(
            "capabilities/textDocument/publishDiagnostics/codeDescriptionSupport",
            json!(takes),
        )]));
        c.open(A, "formula", GEL);
        let told = c.pushed(A);
        assert!(!told.all.is_empty());
        for d in &told.all {
            let href = d["codeDescription"]["href"].as_str();
            let Some(code) = d["code"].as_str().filter(|_| takes) else {
                assert_eq!(href, None, "{d}");
                continue;
            };
            let href = href.unwrap_or_else(|| panic!("no page: {d}"));
            assert!(href.ends_with(&format!("/{code}.md")), "{href}");
            let path = href.strip_prefix("file://").expect("a file");
            let page = fs::read_to_string(path).expect("the page is there");
            assert!(page.starts_with("# ") && page.contains("## Why"), "{page}");
        }
        assert_eq!(papers.join("rules").exists(), takes);
        c.leave();
    }
}

#[test]
fn each_real_client_is_told_in_its_own_way() {
    let pulls = ["fresh", "nvim-0.11.4", "vscode"];
    for (name, _) in REAL_CLIENTS {
        let mut c = begin_as(real_client(name));
        c.open(A, "formula", GEL);
        if pulls.contains(&name) {
            // Two round trips: a push would have come by then, and leaving would find it unread.
            c.request("textDocument/foldingRange", about(A));
            assert_eq!(faults(&c.pull(A)).len(), 1, "{name}");
            c.change(A, 2, amount("0.9"));
            assert_eq!(faults(&c.pull(A)).len(), 0, "{name}");
        } else {
            assert_eq!(c.pushed(A).faults.len(), 1, "{name}");
            c.change(A, 2, amount("0.9"));
            assert_eq!(c.pushed_for(A, 2).faults.len(), 0, "{name}");
        }
        c.forget_requests();
        c.leave();
    }
}

fn about(uri: &str) -> Value {
    json!({ "textDocument": { "uri": uri } })
}

/// An unknown client is pushed to until it asks: then what was pushed is taken back, in every document.
#[test]
fn a_client_that_begins_to_pull_is_not_told_twice() {
    let b = "file:///w/b.formula";
    let mut c = begin_as(full_client());
    c.open(A, "formula", GEL);
    c.open(b, "formula", GEL);
    let pushed = c.pushed(A);
    c.pushed(b);
    let full = c.pull(A);
    assert_eq!(full["items"].as_array(), Some(&pushed.all));
    for uri in [A, b] {
        assert_eq!(c.pushed(uri).all.len(), 0, "withdrawn from {uri}");
    }
    c.change(b, 2, amount("1.3"));
    let unchanged = pull_after(&mut c, A, &full["resultId"]);
    assert_eq!(
        unchanged,
        json!({ "kind": "unchanged", "resultId": full["resultId"] })
    );
    c.change(A, 2, amount("1.3"));
    let changed = pull_after(&mut c, A, &full["resultId"]);
    assert_eq!(changed["kind"], "full");
    assert_ne!(changed["resultId"], full["resultId"]);
    // Nothing was pushed in the meantime, or leaving would find it unread.
    c.leave();
}

/// Silence would be a claim: a client that seems to pull and never does is pushed to after all.
#[test]
fn a_client_that_should_pull_and_never_does_is_not_left_in_the_dark() {
    let mut c = begin_as(pulling());
    c.open(A, "formula", GEL);
    for version in 2..=4 {
        c.change(A, version, json!([{ "text": GEL }]));
    }
    assert_eq!(c.pushed_for(A, 4).faults.len(), 1);
    c.leave();
}

#[test]
fn a_formula_opened_again_is_never_said_to_be_unchanged() {
    let mut c = begin_as(pulling());
    c.open(A, "formula", &GEL.replace("1.2 %", "0.9 %"));
    let sound = c.pull(A);
    assert_eq!(faults(&sound).len(), 0);
    c.close(A);
    c.open(
        A,
        "formula",
        &GEL.replace("phenoxyethanol  ", "hydroquinone    "),
    );
    let again = pull_after(&mut c, A, &sound["resultId"]);
    assert_eq!(again["kind"], "full", "{again}");
    assert!(
        faults(&again).contains(&(GEL_FAULT, "banned".to_owned())),
        "{again}"
    );
    assert_ne!(again["resultId"], sound["resultId"]);
    c.leave();
}

/// A formula that takes another in, and that other with more phenoxyethanol or less.
const USER: &str = "formula \"User\"\n  product: hand cream, leave-on\n  type: solution\n  sold in: EU\n\nphase A\n  water  q.s.\n  \"base.formula\"  50 %\n";

fn base(acid: &str) -> String {
    format!(
        "formula \"Base\"\n  product: hand cream, leave-on\n  type: solution\n\nphase A\n  water  q.s.\n  phenoxyethanol  {acid} %\n"
    )
}

#[test]
fn a_client_that_pulls_is_asked_to_ask_again_when_a_used_formula_changes() {
    let folder = folder("refresh-nested");
    let (user, other) = (
        uri(&folder.join("user.formula")),
        uri(&folder.join("base.formula")),
    );
    fs::write(folder.join("base.formula"), base("0.5")).expect("written");
    let mut c = begin_as(pulling());
    c.open(&user, "formula", USER);
    let sound = c.pull(&user);
    assert!(!over(&faults(&sound)));

    // In the editor.
    c.open(&other, "formula", &base("3"));
    refreshed(&mut c);
    let report = pull_after(&mut c, &user, &sound["resultId"]);
    assert!(over(&faults(&report)), "{report}");
    // A change that changes nothing for the one that uses it asks nobody.
    c.change(&other, 2, json!([{ "text": base("3.0") }]));
    c.pull(&other);
    assert_eq!(
        pull_after(&mut c, &user, &report["resultId"])["kind"],
        "unchanged"
    );
    // Closed without saving: the disk counts again.
    c.close(&other);
    refreshed(&mut c);
    assert!(!over(&faults(&c.pull(&user))));

    // On the disk, by a client that watches.
    fs::write(folder.join("base.formula"), base("33")).expect("written");
    c.notify(
        "workspace/didChangeWatchedFiles",
        json!({ "changes": [{ "uri": other, "type": 2 }] }),
    );
    refreshed(&mut c);
    assert!(over(&faults(&c.pull(&user))));
    c.leave();
}

/// Nobody watches: the next question about any document looks at the disk.
#[test]
fn a_change_on_the_disk_that_nobody_watches_is_seen_at_the_next_question() {
    let folder = folder("refresh-unwatched");
    let (user, plain) = (
        uri(&folder.join("user.formula")),
        uri(&folder.join("plain.formula")),
    );
    fs::write(folder.join("base.formula"), base("0.5")).expect("written");
    let mut c = begin_as(pulling());
    c.open(&user, "formula", USER);
    c.open(&plain, "formula", &GEL.replace("  sold in: EU\n", ""));
    assert!(!over(&faults(&c.pull(&user))));
    assert!(over(&faults(&c.pull(&plain))));

    fs::write(folder.join("base.formula"), base("33")).expect("written");
    assert!(over(&faults(&c.pull(&user))));

    // Settings that come to be: the formula that is asked about is right at once, and for the other the client is asked to ask again.
    fs::write(folder.join("phasewright.toml"), "markets = [\"US\"]\n").expect("written");
    c.pull(&user);
    refreshed(&mut c);
    assert!(!over(&faults(&c.pull(&plain))));
    c.leave();
}

/// The same for a client that is pushed to: the next change of any document looks at the disk.
#[test]
fn a_client_that_is_pushed_to_hears_of_unwatched_files_too() {
    let folder = folder("push-unwatched");
    let user = uri(&folder.join("user.formula"));
    fs::write(folder.join("base.formula"), base("0.5")).expect("written");
    let mut c = begin_as(full_client());
    c.open(&user, "formula", USER);
    assert!(!over(&codes(&c.pushed(&user).faults)));
    fs::write(folder.join("base.formula"), base("33")).expect("written");
    c.open(A, "formula", GEL);
    assert!(over(&codes(&c.pushed(&user).faults)));
    c.pushed(A);
    c.leave();
}

#[test]
fn nobody_is_asked_to_ask_again_who_did_not_declare_it() {
    let folder = folder("no-refresh");
    let (user, other) = (
        uri(&folder.join("user.formula")),
        uri(&folder.join("base.formula")),
    );
    fs::write(folder.join("base.formula"), base("0.5")).expect("written");
    let mut c = begin_as(client_with(&[
        ("clientInfo/name", json!("Neovim")),
        ("capabilities/textDocument/diagnostic", json!({})),
    ]));
    c.open(&user, "formula", USER);
    c.pull(&user);
    c.open(&other, "formula", &base("3"));
    c.pull(&other);
    assert!(over(&faults(&c.pull(&user))));
    c.leave();
}

/// What is wrong in settings is pushed while they are closed, for nobody can ask about a closed file; open, they are asked about.
#[test]
fn settings_that_are_opened_are_not_told_of_twice() {
    let folder = folder("settings-pulled");
    fs::write(folder.join("phasewright.toml"), "markets = [\"Mars\"]\n").expect("written");
    let (a, settings) = (
        uri(&folder.join("a.formula")),
        uri(&folder.join("phasewright.toml")),
    );
    let mut c = begin_as(pulling());
    c.open(&a, "formula", GEL);
    let said = c.pull(&a);
    assert!(
        faults(&said).contains(&(0, "settings".to_owned())),
        "{said}"
    );
    assert_eq!(c.pushed(&settings).faults.len(), 1);
    c.open(&settings, "toml", "markets = [\"Mars\"]\n");
    assert_eq!(c.pushed(&settings).all.len(), 0, "withdrawn");
    assert_eq!(faults(&c.pull(&settings)), [(0, "settings".to_owned())]);
    // Saved in the editor, they count: the client is asked to ask about the formula again.
    c.change(&settings, 2, json!([{ "text": "markets = [\"EU\"]\n" }]));
    assert_eq!(faults(&c.pull(&settings)), []);
    fs::write(folder.join("phasewright.toml"), "markets = [\"EU\"]\n").expect("written");
    c.save(&settings);
    refreshed(&mut c);
    assert!(!faults(&c.pull(&a)).contains(&(0, "settings".to_owned())));
    c.leave();
}

/// Of a document that nobody has looked at for long no more than its text is kept: what is said of it stays right.
#[test]
fn documents_that_nobody_looks_at_are_told_rightly() {
    let folder = folder("out-of-sight");
    let file = |n: usize| uri(&folder.join(format!("{n}.formula")));
    fs::write(folder.join("base.formula"), base("0.5")).expect("written");
    let mut c = begin_as(pulling());
    let text = |n: usize| match n {
        0 => USER.to_owned(),
        _ => GEL.to_owned(),
    };
    let mut known = Vec::new();
    for n in 0..150 {
        c.open(&file(n), "formula", &text(n));
        known.push(c.pull(&file(n)));
        assert_eq!(over(&faults(&known[n])), n > 0);
    }
    // Nothing has changed, and nothing is said to have.
    for n in [0, 1, 100] {
        let again = pull_after(&mut c, &file(n), &known[n]["resultId"]);
        assert_eq!(again["kind"], "unchanged", "{n}");
    }
    // One is edited, another uses a file that changes.
    c.change(&file(1), 2, amount("0.9"));
    assert!(!over(&faults(&c.pull(&file(1)))));
    c.open(&uri(&folder.join("base.formula")), "formula", &base("3"));
    refreshed(&mut c);
    let report = pull_after(&mut c, &file(0), &known[0]["resultId"]);
    assert!(over(&faults(&report)), "{report}");
    c.leave();
}

/// Whether a limit is exceeded by what a report or a push says.
fn over(faults: &[(u64, String)]) -> bool {
    faults.iter().any(|(_, code)| code == "above-legal-limit")
}

/// The server asks for a refresh of diagnostics.
fn refreshed(c: &mut Client) {
    c.take(|m| m["method"] == "workspace/diagnostic/refresh");
}
