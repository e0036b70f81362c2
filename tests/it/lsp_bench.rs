//! What a client is shown of batches and stock beside their diagnostics: hints, lenses, hovers, places, names.

use crate::support::lsp_client::*;
use phasewright::lsp::Options;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};

const FORMULA: &str = include_str!("../../examples/gardeners-hand-cream.formula");
const BATCH: &str = include_str!("../../examples/hand-cream-031.batch");
const SHELF: &str = include_str!("../../examples/shelf.stock");

fn bench(name: &str) -> PathBuf {
    let folder = folder(name);
    fs::create_dir_all(folder.join("ingredients")).expect("made");
    for (file, text) in [
        ("phasewright.toml", "markets = [\"EU\"]\n"),
        ("gardeners-hand-cream.formula", FORMULA),
        ("HC-031.batch", BATCH),
        ("shelf.stock", SHELF),
        (
            "ingredients/house-balm.toml",
            "id = \"house-balm\"\ninci = \"House Balm\"\nnames = [\"house balm\"]\nroles = [\"emollient\"]\nphase = [\"oil\"]\n",
        ),
    ] {
        fs::write(folder.join(file), text).expect("written");
    }
    folder
}

fn client(folder: &Path, changes: &[(&str, Value)]) -> Client {
    let mut all = vec![(
        "workspaceFolders",
        json!([{ "uri": uri(folder), "name": "bench" }]),
    )];
    all.extend(changes.iter().cloned());
    let mut c = Client::here(Options {
        today: || "2026-04-01".parse().expect("a day"),
        ..Options::default()
    });
    c.start(client_with(&all));
    c
}

fn at(text: &str, words: &str) -> Value {
    let line = text
        .lines()
        .position(|l| l.contains(words))
        .expect("it is there");
    let column = text
        .lines()
        .nth(line)
        .and_then(|l| l.find(words))
        .expect("it is there");
    json!({ "line": line, "character": column })
}

fn place(file: &str, position: Value) -> Value {
    json!({ "textDocument": { "uri": file }, "position": position })
}

fn hints(c: &mut Client, file: &str) -> Vec<String> {
    let whole =
        json!({ "start": { "line": 0, "character": 0 }, "end": { "line": 999, "character": 0 } });
    let all = c.request(
        "textDocument/inlayHint",
        json!({ "textDocument": { "uri": file }, "range": whole }),
    );
    let all = all.as_array().expect("a list");
    all.iter()
        .filter_map(|h| h["label"].as_str().map(str::to_owned))
        .collect()
}

#[test]
fn the_bench_speaks_in_hints_lens_and_hover() {
    let folder = bench("bench-speaks");
    let mut c = client(&folder, &[]);
    let file = uri(&folder.join("HC-031.batch"));
    c.open(&file, "batch", BATCH);
    let all = hints(&mut c, &file);
    assert!(
        all.contains(&"A 194.70 g of 194.78 g: as it began".to_owned()),
        "{all:?}"
    );
    let lenses = c.request(
        "textDocument/codeLens",
        json!({ "textDocument": { "uri": file } }),
    );
    assert_eq!(
        lenses[0]["command"]["title"],
        "All weighed: 247.54 g of 247.50 g."
    );
    let hover = c.request("textDocument/hover", place(&file, at(BATCH, "GLY-07")));
    let said = hover["contents"]["value"].as_str().expect("words");
    assert!(
        said.starts_with("glycerin, GLY-07, best before 2028-01-31, 987.49 g left, in 1 batch"),
        "{said}"
    );
    c.leave_unread();
}

#[test]
fn a_lot_is_found_from_the_row_and_its_rows_from_the_lot() {
    let folder = bench("bench-places");
    let mut c = client(&folder, &[]);
    let (file, shelf) = (
        uri(&folder.join("HC-031.batch")),
        uri(&folder.join("shelf.stock")),
    );
    c.open(&file, "batch", BATCH);
    let heading = c.request("textDocument/definition", place(&file, at(BATCH, "GLY-07")));
    assert_eq!(heading["uri"], shelf);
    assert_eq!(heading["range"]["start"], at(SHELF, "GLY-07"));
    c.open(&shelf, "stock", SHELF);
    let mut asked = place(&shelf, at(SHELF, "GLY-07"));
    asked["context"] = json!({ "includeDeclaration": false });
    let all = c.request("textDocument/references", asked);
    assert_eq!(all.as_array().map(Vec::len), Some(1), "{all}");
    assert_eq!(
        (&all[0]["uri"], &all[0]["range"]["start"]),
        (&json!(file), &at(BATCH, "GLY-07"))
    );
    c.leave_unread();
}

#[test]
fn a_code_is_renamed_in_all_files_until_a_batch_of_it_is_released() {
    let folder = bench("bench-rename");
    let mut c = client(&folder, &[]);
    let file = uri(&folder.join("HC-031.batch"));
    c.open(&file, "batch", BATCH);
    let asked = place(&file, at(BATCH, "GLY-07"));
    let prepared = c.request("textDocument/prepareRename", asked.clone());
    assert_eq!(prepared["placeholder"], "GLY-07");
    let mut rename = asked.clone();
    rename["newName"] = json!("GLY-70");
    let edit = c.request("textDocument/rename", rename.clone());
    let changes = edit["documentChanges"].as_array().expect("changes");
    let files: Vec<&Value> = changes.iter().map(|d| &d["textDocument"]["uri"]).collect();
    assert_eq!(
        files,
        [&json!(file), &json!(uri(&folder.join("shelf.stock")))]
    );
    // The file that is not open has no version.
    assert_eq!(changes[1]["textDocument"]["version"], Value::Null);
    let released = BATCH.replacen(
        "  room: 21 °C\n",
        "  room: 21 °C\n  released: 2026-03-20 by Ana\n",
        1,
    );
    c.change(&file, 2, json!([{ "text": released }]));
    let line = asked["position"]["line"].as_u64().expect("a line") + 1;
    rename["position"]["line"] = json!(line);
    let id = c.ask("textDocument/rename", rename);
    let refused = c.answer(id);
    assert_eq!(
        refused["error"]["message"],
        "GLY-07 is on 1 batch that is released; the code on paper stays. Write a new lot, or correct one line."
    );
    c.leave_unread();
}

#[test]
fn a_phase_label_is_renamed_and_written_in_step() {
    let folder = bench("bench-labels");
    let mut c = client(&folder, &[]);
    let file = uri(&folder.join("gardeners-hand-cream.formula"));
    c.open(&file, "formula", FORMULA);
    let asked = place(&file, at(FORMULA, "C \"cool-down\""));
    let linked = c.request("textDocument/linkedEditingRange", asked.clone());
    // Its heading, and `add C`.
    assert_eq!(
        linked["ranges"].as_array().map(Vec::len),
        Some(2),
        "{linked}"
    );
    let mut rename = asked.clone();
    rename["newName"] = json!("E");
    let edit = c.request("textDocument/rename", rename.clone());
    let edits = edit["documentChanges"][0]["edits"]
        .as_array()
        .expect("edits");
    assert!(
        edits.len() == 2 && edits.iter().all(|e| e["newText"] == "E"),
        "{edit}"
    );
    rename["newName"] = json!("D");
    let id = c.ask("textDocument/rename", rename);
    let refused = c.answer(id);
    assert_eq!(
        refused["error"]["message"],
        "Phase D is there already. Take a letter that is free."
    );
    c.leave_unread();
}

#[test]
fn an_ingredient_of_ones_own_is_renamed_in_all_formulas_and_keeps_its_old_name() {
    let folder = bench("bench-own");
    let own = "formula \"Balm\"\n\nphase A\n  house balm  5 %\n  jojoba oil  95 %\n";
    fs::write(folder.join("one.formula"), own).expect("written");
    fs::write(folder.join("two.formula"), own).expect("written");
    let mut c = client(&folder, &[]);
    let file = uri(&folder.join("one.formula"));
    c.open(&file, "formula", own);
    let mut asked = place(&file, at(own, "house balm"));
    asked["newName"] = json!("winter balm");
    let edit = c.request("textDocument/rename", asked);
    let changes = edit["documentChanges"].as_array().expect("changes");
    let said: Vec<(String, &str)> = changes
        .iter()
        .map(|d| {
            let path = d["textDocument"]["uri"].as_str().expect("a uri");
            let name = path.rsplit('/').next().expect("a name").to_owned();
            (name, d["edits"][0]["newText"].as_str().expect("a text"))
        })
        .collect();
    assert_eq!(
        said,
        [
            ("house-balm.toml".to_owned(), "\"winter balm\", "),
            ("one.formula".to_owned(), "winter balm"),
            ("two.formula".to_owned(), "winter balm"),
        ]
    );
    c.leave_unread();
}

#[test]
fn formulas_own_materials_lots_and_batches_are_found_by_name() {
    let folder = bench("bench-symbols");
    let mut c = client(&folder, &[]);
    let mut named = |query: &str| -> Vec<(String, String)> {
        let all = c.request("workspace/symbol", json!({ "query": query }));
        let all = all.as_array().expect("a list");
        all.iter()
            .map(|s| {
                let file = s["location"]["uri"].as_str().expect("a uri");
                let file = file.rsplit('/').next().expect("a name");
                (
                    s["name"].as_str().expect("a name").to_owned(),
                    file.to_owned(),
                )
            })
            .collect()
    };
    let pair = |name: &str, file: &str| (name.to_owned(), file.to_owned());
    assert_eq!(named("gly-07"), [pair("GLY-07", "shelf.stock")]);
    assert_eq!(named("hc-031"), [pair("HC-031", "HC-031.batch")]);
    assert_eq!(
        named("lot panthenol"),
        [pair("PAN-05", "shelf.stock"), pair("PAN-06", "shelf.stock")]
    );
    assert!(named("gardener").contains(&pair(
        "Gardener's hand cream",
        "gardeners-hand-cream.formula"
    )));
    assert_eq!(named("house"), [pair("house balm", "house-balm.toml")]);
    // A folder that is opened later has its own, and is gone with it.
    let more = bench("bench-symbols-more");
    fs::write(more.join("shelf.stock"), "lot ZZZ-1 of glycerin\n").expect("written");
    let folder = json!({ "uri": uri(&more), "name": "more" });
    c.notify(
        "workspace/didChangeWorkspaceFolders",
        json!({ "event": { "added": [folder], "removed": [] } }),
    );
    let all = c.request("workspace/symbol", json!({ "query": "zzz-1" }));
    assert_eq!(all.as_array().map(Vec::len), Some(1), "{all}");
    c.notify(
        "workspace/didChangeWorkspaceFolders",
        json!({ "event": { "added": [], "removed": [folder] } }),
    );
    let all = c.request("workspace/symbol", json!({ "query": "zzz-1" }));
    assert_eq!(all.as_array().map(Vec::len), Some(0), "{all}");
    c.leave_unread();
}

/// Another batch takes of the lot: what is left for this one is another figure.
#[test]
fn hints_are_asked_for_again_when_another_batch_takes_of_the_lot() {
    let folder = bench("bench-refresh");
    let mut c = client(
        &folder,
        &[(
            "capabilities/workspace/inlayHint",
            json!({ "refreshSupport": true }),
        )],
    );
    let file = uri(&folder.join("HC-031.batch"));
    let row = "2.50 g of 2.50 g     lot PAN-05";
    let text = BATCH.replacen(row, "? of 2.50 g     lot PAN-05", 1);
    c.open(&file, "batch", &text);
    let said = |all: &[String]| all.iter().find(|h| h.contains("PAN-05")).cloned();
    assert_eq!(said(&hints(&mut c, &file)), None, "4 g suffice");
    let other = "batch HC-032 of \"gardeners-hand-cream.formula\" version 4\n  made: 2026-03-15\n\nweighed\n  panthenol  2.50 g of 2.50 g  lot PAN-05\n";
    c.open(&uri(&folder.join("HC-032.batch")), "batch", other);
    c.take(|m| m["method"] == "workspace/inlayHint/refresh");
    assert_eq!(
        said(&hints(&mut c, &file)).as_deref(),
        Some("1.50 g left in PAN-05: take the rest from PAN-06")
    );
    c.leave_unread();
}
