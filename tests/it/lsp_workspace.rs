//! What a client asks of more than one file, and what it asks for later: the whole workspace, moved files, tooltips, changed tokens.

use crate::support::lsp_client::*;
use phasewright::lsp::Options;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};

fn begin(folder: &Path, changes: &[(&str, Value)]) -> Client {
    let mut all = vec![(
        "workspaceFolders",
        json!([{ "uri": uri(folder), "name": "bench" }]),
    )];
    all.extend(changes.iter().cloned());
    let mut c = Client::here(Options {
        papers: Some(folder.join("cache")),
        ..Options::default()
    });
    c.start(client_with(&all));
    c
}

/// Some gels, every other one with too much phenoxyethanol.
fn gels(name: &str, count: usize) -> PathBuf {
    let folder = folder(name);
    fs::write(folder.join("phasewright.toml"), "markets = [\"EU\"]\n").expect("written");
    for n in 0..count {
        let text = if n % 2 == 0 {
            GEL.to_owned()
        } else {
            GEL.replace("1.2 %", "0.9 %")
        };
        fs::write(folder.join(format!("gel-{n:03}.formula")), text).expect("written");
    }
    folder
}

fn whole(c: &mut Client, known: &[(String, String)], token: Option<&str>) -> Vec<Value> {
    let known: Vec<Value> = known
        .iter()
        .map(|(uri, id)| json!({ "uri": uri, "value": id }))
        .collect();
    let mut asked = json!({ "previousResultIds": known });
    if let Some(token) = token {
        asked["workDoneToken"] = json!(token);
    }
    let report = c.request("workspace/diagnostic", asked);
    report["items"].as_array().expect("items").clone()
}

#[test]
fn all_files_of_a_folder_are_judged_without_being_opened() {
    let folder = gels("workspace-all", 130);
    let mut c = begin(&folder, &[]);
    let items = whole(&mut c, &[], Some("all"));
    assert_eq!(items.len(), 130);
    for (n, item) in items.iter().enumerate() {
        assert_eq!(
            item["uri"],
            uri(&folder.join(format!("gel-{n:03}.formula")))
        );
        let faults = item["items"]
            .as_array()
            .expect("a full report")
            .iter()
            .filter(|d| is_fault(d));
        assert_eq!(faults.count() > 0, n % 2 == 0, "{item}");
    }
    // It begins, tells how far it is, and ends.
    let mut kinds = Vec::new();
    while kinds.last().is_none_or(|k| k != "end") {
        let told = c.take(|m| m["method"] == "$/progress");
        assert_eq!(told["params"]["token"], "all");
        kinds.push(
            told["params"]["value"]["kind"]
                .as_str()
                .expect("a kind")
                .to_owned(),
        );
    }
    assert_eq!(kinds, ["begin", "report", "report", "end"]);
    c.leave();
}

#[test]
fn what_is_known_already_is_not_told_again() {
    let folder = gels("workspace-known", 3);
    let mut c = begin(&folder, &[]);
    let items = whole(&mut c, &[], None);
    let known: Vec<(String, String)> = items
        .iter()
        .map(|i| {
            let text = |key: &str| i[key].as_str().expect("text").to_owned();
            (text("uri"), text("resultId"))
        })
        .collect();
    fs::write(folder.join("gel-001.formula"), GEL).expect("written");
    fs::remove_file(folder.join("gel-002.formula")).expect("removed");
    let items = whole(&mut c, &known, None);
    let kinds: Vec<&str> = items.iter().filter_map(|i| i["kind"].as_str()).collect();
    assert_eq!(kinds, ["unchanged", "full", "full"], "{items:?}");
    assert!(
        items[1]["items"]
            .as_array()
            .is_some_and(|all| all.iter().any(is_fault))
    );
    // What is gone has nothing to say any more.
    assert_eq!(
        (&items[2]["uri"], &items[2]["items"]),
        (&json!(known[2].0), &json!([]))
    );
    c.leave();
}

/// A document that is open is asked for by itself.
#[test]
fn what_is_open_is_left_to_the_document() {
    let folder = gels("workspace-open", 2);
    let mut c = begin(
        &folder,
        &[
            ("capabilities/textDocument/diagnostic", json!({})),
            (
                "capabilities/workspace/diagnostics",
                json!({ "refreshSupport": true }),
            ),
        ],
    );
    let file = uri(&folder.join("gel-000.formula"));
    c.open(&file, "formula", GEL);
    let items = whole(&mut c, &[], None);
    assert_eq!(items.len(), 1);
    assert_eq!(items[0]["uri"], uri(&folder.join("gel-001.formula")));
    c.leave_unread();
}

#[test]
fn a_client_that_watches_is_answered_again_when_something_has_changed() {
    let folder = gels("workspace-held", 1);
    let mut c = begin(
        &folder,
        &[(
            "capabilities/workspace/didChangeWatchedFiles",
            json!({ "dynamicRegistration": true }),
        )],
    );
    let items = whole(&mut c, &[], None);
    let file = folder.join("gel-000.formula");
    let known = json!([{ "uri": uri(&file), "value": items[0]["resultId"] }]);
    let held = c.ask(
        "workspace/diagnostic",
        json!({ "previousResultIds": known }),
    );
    fs::write(&file, GEL.replace("1.2 %", "0.9 %")).expect("written");
    c.notify(
        "workspace/didChangeWatchedFiles",
        json!({ "changes": [{ "uri": uri(&file), "type": 2 }] }),
    );
    let answer = c.answer(held);
    assert_eq!(answer["result"]["items"][0]["kind"], "full", "{answer}");
    // One that waits can be cancelled.
    let id = &answer["result"]["items"][0]["resultId"];
    let held = c.ask(
        "workspace/diagnostic",
        json!({ "previousResultIds": [{ "uri": uri(&file), "value": id }] }),
    );
    c.notify("$/cancelRequest", json!({ "id": held }));
    assert_eq!(c.answer(held)["error"]["code"], -32800);
    c.leave_unread();
}

#[test]
fn what_names_a_formula_follows_when_its_file_is_called_otherwise() {
    let folder = folder("workspace-rename");
    fs::write(folder.join("phasewright.toml"), "").expect("written");
    fs::create_dir(folder.join("made")).expect("made");
    for (name, text) in [
        (
            "base.formula",
            "formula \"Base\"\n\nphase A\n  water  q.s.\n",
        ),
        (
            "cream.formula",
            "formula \"Cream\"\n\nphase A\n  \"base.formula\"  90 %\n  glycerin  10 %\n",
        ),
        (
            "made/B-1.batch",
            "batch B-1 of \"../base.formula\"\n  made: 2026-03-14\n",
        ),
        (
            "shelf.stock",
            "lot BAS-01 of \"base.formula\"\n  from: batch B-1\n\nlot LBL-1 of label\n  for: \"base.formula\" version 1\n",
        ),
        ("other.batch", "batch B-2 of \"cream.formula\"\n"),
    ] {
        fs::write(folder.join(name), text).expect("written");
    }
    let mut c = begin(&folder, &[]);
    let renamed = json!({ "files": [{ "oldUri": uri(&folder.join("base.formula")), "newUri": uri(&folder.join("bases/gel.formula")) }] });
    let edit = c.request("workspace/willRenameFiles", renamed);
    let mut said: Vec<(String, String)> = Vec::new();
    for change in edit["documentChanges"].as_array().expect("changes") {
        let file = change["textDocument"]["uri"]
            .as_str()
            .expect("a uri")
            .rsplit('/')
            .next()
            .expect("a name");
        for e in change["edits"].as_array().expect("edits") {
            said.push((
                file.to_owned(),
                e["newText"].as_str().expect("a text").to_owned(),
            ));
        }
    }
    said.sort();
    let pair = |file: &str, text: &str| (file.to_owned(), text.to_owned());
    assert_eq!(
        said,
        [
            pair("B-1.batch", "../bases/gel.formula"),
            pair("cream.formula", "bases/gel.formula"),
            pair("shelf.stock", "bases/gel.formula"),
            pair("shelf.stock", "bases/gel.formula"),
        ]
    );
    // A formula that nothing names changes nothing.
    let lone = json!({ "files": [{ "oldUri": uri(&folder.join("lone.formula")), "newUri": uri(&folder.join("l.formula")) }] });
    assert_eq!(c.request("workspace/willRenameFiles", lone), Value::Null);
    c.leave();
}

#[test]
fn the_tooltip_of_a_hint_may_be_asked_for_later() {
    let folder = gels("workspace-tooltips", 1);
    let mut c = begin(
        &folder,
        &[(
            "capabilities/textDocument/inlayHint",
            json!({ "resolveSupport": { "properties": ["tooltip"] } }),
        )],
    );
    let file = uri(&folder.join("gel-000.formula"));
    c.open(&file, "formula", GEL);
    let whole =
        json!({ "start": { "line": 0, "character": 0 }, "end": { "line": 99, "character": 0 } });
    let hints = c.request(
        "textDocument/inlayHint",
        json!({ "textDocument": { "uri": file }, "range": whole }),
    );
    let first = &hints[0];
    assert!(
        first.get("tooltip").is_none() && first.get("data").is_some(),
        "{first}"
    );
    let resolved = c.request("inlayHint/resolve", first.clone());
    assert!(
        resolved["tooltip"].as_str().is_some_and(|t| !t.is_empty()),
        "{resolved}"
    );
    assert_eq!(resolved["label"], first["label"]);
    c.leave_unread();
}

/// The five numbers of each token, as a client keeps them.
fn applied(mut data: Vec<Value>, edits: &Value) -> Vec<Value> {
    for e in edits.as_array().expect("edits") {
        let start = e["start"].as_u64().expect("a number") as usize;
        let gone = e["deleteCount"].as_u64().expect("a number") as usize;
        let new = e["data"].as_array().cloned().unwrap_or_default();
        data.splice(start..start + gone, new);
    }
    data
}

#[test]
fn of_the_tokens_only_what_has_changed_is_told() {
    let folder = gels("workspace-tokens", 1);
    let mut c = begin(&folder, &[]);
    let file = uri(&folder.join("gel-000.formula"));
    c.open(&file, "formula", GEL);
    let asked = json!({ "textDocument": { "uri": file } });
    let full = c.request("textDocument/semanticTokens/full", asked.clone());
    let mut data = full["data"].as_array().expect("numbers").clone();
    let mut id = full["resultId"].clone();
    let texts = [
        GEL.replace(
            "glycerin                                 5 %",
            "glycerin  5 %\n  panthenol  1 %",
        ),
        GEL.replace("  xanthan gum                              0.5 %\n", ""),
        String::new(),
        GEL.to_owned(),
    ];
    for (n, text) in texts.iter().enumerate() {
        c.change(&file, n as i64 + 2, json!([{ "text": text }]));
        let mut since = asked.clone();
        since["previousResultId"] = id.clone();
        let delta = c.request("textDocument/semanticTokens/full/delta", since);
        data = applied(data, &delta["edits"]);
        id = delta["resultId"].clone();
        let now = c.request("textDocument/semanticTokens/full", asked.clone());
        assert_eq!(json!(data), now["data"], "after edit {n}");
        id = match now["resultId"].is_string() {
            true => now["resultId"].clone(),
            false => id,
        };
    }
    // An answer that nobody knows any more: all of it.
    let mut since = asked.clone();
    since["previousResultId"] = json!("long ago");
    let delta = c.request("textDocument/semanticTokens/full/delta", since);
    assert!(
        delta["data"].is_array() && delta.get("edits").is_none(),
        "{delta}"
    );
    c.leave_unread();
}

#[test]
fn a_bundled_ingredient_leads_to_its_card_which_cannot_be_written() {
    let folder = gels("workspace-card", 1);
    let mut c = begin(&folder, &[]);
    let file = uri(&folder.join("gel-000.formula"));
    c.open(&file, "formula", GEL);
    let line = GEL
        .lines()
        .position(|l| l.contains("glycerin"))
        .expect("a row");
    let asked =
        json!({ "textDocument": { "uri": file }, "position": { "line": line, "character": 4 } });
    for _ in 0..2 {
        let found = c.request("textDocument/definition", asked.clone());
        let path = found["uri"]
            .as_str()
            .and_then(|u| u.strip_prefix("file://"))
            .expect("a file");
        assert!(path.ends_with("ingredients/glycerin.md"), "{path}");
        assert!(
            fs::read_to_string(path)
                .expect("it is there")
                .contains("56-81-5")
        );
        assert!(
            fs::metadata(path)
                .expect("it is there")
                .permissions()
                .readonly()
        );
    }
    c.leave_unread();
}
