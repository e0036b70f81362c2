//! The server in this process: what it says, and when.

use crate::support::lsp_client::*;
use phasewright::ide::Snapshot;
use phasewright::lsp::Options;
use serde_json::{Value, json};
use std::fs;

const A: &str = "file:///w/a.formula";

fn begin() -> Client {
    begin_as(full_client())
}

fn begin_as(hello: Value) -> Client {
    let mut c = Client::here(Options::default());
    c.start(hello);
    c
}

fn at(uri: &str, line: u64, character: u64) -> Value {
    json!({ "textDocument": { "uri": uri }, "position": { "line": line, "character": character } })
}

fn lines(uri: &str, first: u64, last: u64) -> Value {
    json!({ "textDocument": { "uri": uri }, "range": { "start": { "line": first, "character": 0 }, "end": { "line": last, "character": 0 } }, "context": { "diagnostics": [] } })
}

fn about(uri: &str) -> Value {
    json!({ "textDocument": { "uri": uri } })
}

fn replace(line: u64, from: u64, to: u64, text: &str) -> Value {
    json!({ "range": { "start": { "line": line, "character": from }, "end": { "line": line, "character": to } }, "text": text })
}

/// The amount of phenoxyethanol in [`GEL`], from its first digit to its last.
const AMOUNT: (u64, u64) = (43, 46);

#[test]
fn a_fault_is_pushed_with_its_version_and_goes_when_it_is_mended() {
    let mut c = begin();
    c.open(A, "formula", GEL);
    let first = c.pushed(A);
    assert_eq!(first.version, Some(1));
    assert_eq!(
        codes(&first.faults),
        [(GEL_FAULT, "above-legal-limit".to_owned())]
    );
    assert_eq!(first.faults[0]["severity"], 1);
    assert_eq!(
        first.faults[0]["range"]["start"],
        json!({ "line": GEL_FAULT, "character": AMOUNT.0 })
    );

    c.change(A, 2, json!([replace(GEL_FAULT, AMOUNT.0, AMOUNT.1, "0.9")]));
    let mended = c.pushed(A);
    assert_eq!((mended.version, mended.faults.len()), (Some(2), 0));

    c.close(A);
    let closed = c.pushed(A);
    assert_eq!((closed.version, closed.all.len()), (None, 0));
    c.leave();
}

#[test]
fn the_whole_text_may_be_sent_though_parts_are_asked_for() {
    let mut c = begin();
    c.open(A, "formula", "formula \"x\"\n");
    c.pushed(A);
    c.change(
        A,
        2,
        json!([{ "text": GEL }, replace(GEL_FAULT, AMOUNT.0, AMOUNT.1, "1.4")]),
    );
    let found = c.pushed_for(A, 2).faults;
    assert!(
        found[0]["message"]
            .as_str()
            .expect("words")
            .contains("1.4 %"),
        "{found:?}"
    );
    c.leave();
}

#[test]
fn what_is_sent_right_behind_initialize_is_not_lost() {
    let mut c = Client::here(Options::default());
    let hello = c.ask("initialize", full_client());
    c.notify("initialized", json!({}));
    c.open(A, "formula", GEL);
    let hover = c.ask("textDocument/hover", at(A, 8, 4));
    assert!(c.answer(hello)["result"]["capabilities"].is_object());
    assert!(c.answer(hover)["result"].is_object());
    assert_eq!(c.pushed(A).faults.len(), 1);
    c.leave();
}

#[test]
fn before_initialize_requests_are_refused_and_unsound_messages_cost_themselves() {
    let mut c = Client::here(Options::default());
    let early = c.ask("textDocument/hover", at(A, 0, 0));
    assert_eq!(c.answer(early)["error"]["code"], -32002);
    c.start(full_client());
    for unsound in [
        "{\"jsonrpc\":\"2.0\",\"method\":",
        "[1, 2]",
        "nonsense",
        "{\"jsonrpc\":\"1.0\",\"method\":\"x\"}",
        "{}",
        "",
    ] {
        c.raw(format!("Content-Length: {}\r\n\r\n{unsound}", unsound.len()).as_bytes());
    }
    c.raw(b"Content-Length: 4\r\n\r\n\xff\xfe\xff\xfe");
    c.raw(b"content-length: 44\r\nContent-Type: application/vscode-jsonrpc; charset=utf-8\r\n\r\n{\"jsonrpc\":\"2.0\",\"method\":\"$/neverHeardOf\"}\n");
    c.open(A, "formula", GEL);
    assert_eq!(c.pushed(A).faults.len(), 1);
    c.leave();
}

#[test]
fn what_is_not_known_is_answered_with_null() {
    let mut c = begin();
    let unknown = "file:///w/never-opened.formula";
    for method in ["hover", "completion", "definition", "documentHighlight"] {
        assert_eq!(
            c.request(&format!("textDocument/{method}"), at(unknown, 3, 3)),
            Value::Null,
            "{method}"
        );
    }
    for method in [
        "documentSymbol",
        "foldingRange",
        "documentLink",
        "codeLens",
        "semanticTokens/full",
        "formatting",
    ] {
        let mut ask = about(unknown);
        ask["options"] = json!({ "tabSize": 2, "insertSpaces": true });
        assert_eq!(
            c.request(&format!("textDocument/{method}"), ask),
            Value::Null,
            "{method}"
        );
    }
    for method in [
        "codeAction",
        "inlayHint",
        "semanticTokens/range",
        "rangeFormatting",
    ] {
        let mut ask = lines(unknown, 0, 3);
        ask["options"] = json!({ "tabSize": 2, "insertSpaces": true });
        assert_eq!(
            c.request(&format!("textDocument/{method}"), ask),
            Value::Null,
            "{method}"
        );
    }
    for method in [
        "textDocument/prepareCallHierarchy",
        "workspace/willCreateFiles",
        "$/askedOfNobody",
    ] {
        assert_eq!(c.request(method, json!({})), Value::Null, "{method}");
    }
    c.change(unknown, 2, json!([{ "text": "x" }]));
    c.close(unknown);
    c.save(unknown);
    c.notify("$/cancelRequest", json!({ "id": 77 }));
    c.send(&json!({ "jsonrpc": "2.0", "id": 4711, "result": null }));
    // A document of another kind is kept and has no answers.
    c.open("file:///w/readme.md", "markdown", "# x\n");
    assert_eq!(c.pushed("file:///w/readme.md").faults.len(), 0);
    assert_eq!(
        c.request("textDocument/hover", at("file:///w/readme.md", 0, 0)),
        Value::Null
    );
    assert_eq!(c.pull(unknown), Value::Null);
    c.leave();
}

#[test]
fn every_uri_comes_back_as_it_was_spelled() {
    let mut c = begin();
    let plain = "formula";
    for uri in [
        "untitled:Untitled-1",
        "file:///w/a%20b.formula",
        "file:///w/a c.formula",
        "file:///w/[1]^{2}.formula",
        "file:///c%3A/w/d.formula",
        "file:///w/%C3%A9%F0%9F%A7%B4.formula",
        "vscode-vfs://github/w/e.formula",
        "inmemory://model/1",
        "no-uri-at-all",
    ] {
        c.open(uri, plain, GEL);
        let push = c.pushed(uri);
        assert_eq!(
            codes(&push.faults),
            [(GEL_FAULT, "above-legal-limit".to_owned())],
            "{uri}"
        );
        assert!(
            c.request("textDocument/hover", at(uri, 8, 4)).is_object(),
            "{uri}"
        );
        let actions = c.request("textDocument/codeAction", lines(uri, GEL_FAULT, GEL_FAULT));
        assert_eq!(
            actions[0]["edit"]["documentChanges"][0]["textDocument"]["uri"],
            uri
        );
        c.close(uri);
        assert_eq!(c.pushed(uri).faults.len(), 0, "{uri}");
    }
    // Two spellings are one document.
    c.open("file:///w/f%5B1%5D.formula", plain, GEL);
    c.pushed("file:///w/f%5B1%5D.formula");
    assert!(
        c.request("textDocument/hover", at("file:///w/f[1].formula", 8, 4))
            .is_object()
    );
    c.leave();
}

#[test]
fn positions_are_right_in_three_encodings_with_bom_crlf_and_emoji() {
    let text = format!(
        "\u{FEFF}{}",
        GEL.replace("Hand gel", "Gel 🧴 crème")
            .replace("  phenoxyethanol", "  2-phenoxyethanol, é🧴")
            .replace('\n', "\r\n")
    );
    let name = "2-phenoxyethanol, é🧴";
    for (encoding, width) in [("utf-8", name.len() as u64), ("utf-16", 21), ("utf-32", 20)] {
        let mut c = Client::here(Options::default());
        let hello = c.start(client_with(&[(
            "capabilities/general/positionEncodings",
            json!([encoding]),
        )]));
        assert_eq!(hello["capabilities"]["positionEncoding"], encoding);
        c.open(A, "formula", &text);
        let found = c.pushed(A).faults;
        let unknown = found
            .iter()
            .find(|d| d["code"] == "unknown-ingredient")
            .expect("the odd name is not known");
        assert_eq!(
            unknown["range"]["start"],
            json!({ "line": GEL_FAULT, "character": 2 }),
            "{encoding}"
        );
        assert_eq!(
            unknown["range"]["end"]["character"],
            2 + width,
            "{encoding}"
        );
        // An edit behind them lands where it should: the name becomes a known one.
        c.change(
            A,
            2,
            json!([replace(GEL_FAULT, 2, 2 + width, "phenoxyethanol")]),
        );
        assert_eq!(
            codes(&c.pushed_for(A, 2).faults),
            [(GEL_FAULT, "above-legal-limit".to_owned())],
            "{encoding}"
        );
        // On the first line the mark counts for the editor.
        let bom = [("utf-8", 3), ("utf-16", 1), ("utf-32", 1)]
            .iter()
            .find(|(e, _)| *e == encoding)
            .expect("listed")
            .1;
        let symbols = c.request("textDocument/documentSymbol", about(A));
        assert_eq!(
            symbols[0]["selectionRange"]["start"]["character"]
                .as_u64()
                .expect("a column")
                - bom,
            9,
            "{symbols}"
        );
        c.leave();
    }
}

/// A text of its own, edited as an editor would in UTF-16, so that the server's can be held against it.
struct Mirror(Vec<u16>);

impl Mirror {
    fn text(&self) -> String {
        String::from_utf16(&self.0).expect("edits do not part a character")
    }

    /// Line and character of a code unit.
    fn position(&self, at: usize) -> Value {
        let line = self.0[..at]
            .iter()
            .filter(|c| **c == u16::from(b'\n'))
            .count();
        let start = self.0[..at]
            .iter()
            .rposition(|c| *c == u16::from(b'\n'))
            .map_or(0, |p| p + 1);
        json!({ "line": line, "character": at - start })
    }

    /// Not within a surrogate pair, nor between CR and LF.
    fn whole(&self, at: usize) -> usize {
        let at = at.min(self.0.len());
        let parted = at > 0
            && at < self.0.len()
            && ((0xDC00..0xE000).contains(&self.0[at]) || (self.0[at - 1], self.0[at]) == (13, 10));
        if parted { at - 1 } else { at }
    }

    fn edit(&mut self, from: usize, to: usize, text: &str) -> Value {
        let (from, to) = (self.whole(from.min(to)), self.whole(from.max(to)));
        let change = json!({ "range": { "start": self.position(from), "end": self.position(to) }, "text": text });
        self.0.splice(from..to, text.encode_utf16());
        change
    }
}

/// Numbers that look random and are the same every time.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n.max(1)
    }
}

#[test]
fn after_a_burst_of_edits_the_server_has_the_text_that_the_editor_has() {
    let bits = [
        "",
        "é",
        "🧴",
        "\n",
        "\r\n",
        "phase B \"oil\" at 75 °C\n",
        "method\n  heat A to 75 °C\n",
        "  glycerin  5 %\n",
        "1",
        "%",
        "# ",
        "notes\n",
        "\"",
        ":",
        "  water  q.s.\n",
    ];
    let mut dice = Dice(20_260_314);
    for round in 0..6 {
        let start = if round % 2 == 0 {
            GEL.to_owned()
        } else {
            format!(
                "\u{FEFF}{}",
                GEL.replace('\n', "\r\n").replace("Hand", "🧴é")
            )
        };
        let mut c = begin();
        let mut mirror = Mirror(start.encode_utf16().collect());
        c.open(A, "formula", &start);
        for version in 2..=201 {
            let changes: Vec<Value> = (0..=dice.below(3))
                .map(|_| {
                    if dice.below(60) == 0 {
                        mirror = Mirror(start.encode_utf16().collect());
                        return json!({ "text": start });
                    }
                    let from = dice.below(mirror.0.len() + 1);
                    let to = from
                        + if dice.below(3) == 0 {
                            dice.below(12)
                        } else {
                            0
                        };
                    let bit = bits[dice.below(bits.len())];
                    mirror.edit(from, to, bit)
                })
                .collect();
            c.change(A, version, json!(changes));
            // Requests between the edits must not hold them up or change their order.
            if version % 20 == 0 {
                let id = c.ask("textDocument/completion", at(A, 3, 2));
                c.notify("$/cancelRequest", json!({ "id": id }));
                c.answer(id);
            }
        }
        // The last edit writes a fault that only the newest text has.
        let end = mirror.0.len();
        let change = mirror.edit(end, end, "\nphase Z\n  quartz of the burst  3 %\n");
        c.change(A, 202, json!([change]));
        let after = c.pushed_for(A, 202).all;
        assert!(
            after.iter().any(|d| d["message"]
                .as_str()
                .is_some_and(|m| m.contains("quartz of the burst"))),
            "{after:?}"
        );

        let again = "file:///w/again.formula";
        c.open(again, "formula", &mirror.text());
        // Related places name the document that they stand in.
        let opened = json!(c.pushed(again).all).to_string().replace(again, A);
        assert_eq!(json!(after).to_string(), opened, "round {round}");
        for method in ["documentSymbol", "semanticTokens/full", "foldingRange"] {
            let (edited, opened) = (
                c.request(&format!("textDocument/{method}"), about(A)),
                c.request(&format!("textDocument/{method}"), about(again)),
            );
            assert_eq!(edited, opened, "{method}, round {round}");
        }
        c.forget_pushes(A);
        c.leave();
    }
}

#[test]
fn fixes_come_from_the_range_in_the_shape_that_was_declared() {
    let mut c = begin_as(client_with(&[(
        "capabilities/workspace/workspaceEdit",
        json!({}),
    )]));
    c.open(A, "formula", &GEL.replace('\n', "\r\n"));
    let diagnostic = c.pushed(A).faults[0].clone();
    let actions = c.request("textDocument/codeAction", lines(A, GEL_FAULT, GEL_FAULT));
    let fix = actions
        .as_array()
        .expect("a list")
        .iter()
        .find(|a| a["title"] == "Lower to 1 %")
        .expect("a fix")
        .clone();
    assert_eq!(
        fix["edit"],
        json!({ "changes": { A: [{ "newText": "1 %", "range": { "start": { "line": 10, "character": 43 }, "end": { "line": 10, "character": 48 } } }] } })
    );
    assert_eq!(
        (&fix["isPreferred"], fix.get("diagnostics")),
        (&json!(true), None)
    );

    // With the diagnostic sent along it comes back, so that the editor can tie them together.
    let mut asked = lines(A, GEL_FAULT, GEL_FAULT);
    asked["context"] = json!({ "diagnostics": [diagnostic], "only": ["quickfix"] });
    let asked_for = c.request("textDocument/codeAction", asked.clone());
    let tied = asked_for
        .as_array()
        .expect("a list")
        .iter()
        .find(|a| a["title"] == "Lower to 1 %")
        .expect("a fix");
    assert_eq!(tied["diagnostics"], json!([diagnostic]));
    asked["context"]["only"] = json!(["refactor.extract"]);
    assert_eq!(c.request("textDocument/codeAction", asked), json!([]));
    assert_eq!(
        c.request("textDocument/codeAction", lines(A, 2, 2))
            .as_array()
            .map(|a| a.iter().filter(|x| x["kind"] == "quickfix").count()),
        Some(0)
    );
    c.leave();
}

#[test]
fn hover_and_cards_are_plain_text_where_markdown_is_not_declared() {
    let mut c = begin_as(client_with(&[
        ("capabilities/textDocument/hover", json!({})),
        ("capabilities/textDocument/completion", json!({})),
    ]));
    c.open(A, "formula", &GEL.replace("1.2 %", "1 %"));
    c.pushed(A);
    let hover = c.request("textDocument/hover", at(A, 8, 4));
    assert_eq!(hover["contents"]["kind"], "plaintext");
    let words = hover["contents"]["value"].as_str().expect("words");
    assert!(
        words.contains("Glycerin") && !words.contains("**") && !words.contains('`'),
        "{words}"
    );
    assert_eq!(
        hover["range"],
        json!({ "start": { "line": 8, "character": 2 }, "end": { "line": 8, "character": 10 } })
    );
    c.leave();
}

#[test]
fn hints_are_counted_for_an_editor_that_hides_them() {
    // 0.1 g on a scale of 0.01 g: a hint that the scale is too coarse.
    let text = GEL
        .replace("  sold in: EU", "  sold in: EU\n  batch: 10 g")
        .replace("1.2 %", "1 %")
        .replace(
            "xanthan gum                              0.5 %",
            "xanthan gum                              1.5 %",
        );
    let hints = |hello: Value| {
        let mut c = begin_as(hello);
        c.open(A, "formula", &text);
        let found = c.pushed(A).all;
        c.leave();
        let hints = found.iter().filter(|d| d["severity"] == 4).count();
        let counted: Vec<Value> = found.into_iter().filter(|d| d["code"].is_null()).collect();
        (hints, counted)
    };
    let (there, counted) = hints(full_client());
    assert!(there > 0 && counted.is_empty(), "{there} {counted:?}");
    let (there, counted) = hints(client_with(&[(
        "clientInfo/name",
        json!("Visual Studio Code"),
    )]));
    assert_eq!(counted.len(), 1);
    assert_eq!(
        (
            &counted[0]["severity"],
            &counted[0]["range"]["start"]["line"]
        ),
        (&json!(3), &json!(0))
    );
    assert!(
        counted[0]["message"]
            .as_str()
            .expect("words")
            .starts_with(&format!("{there} hint")),
        "{counted:?}"
    );
}

#[test]
fn settings_and_ingredients_take_effect_as_saved() {
    let folder = folder("settings");
    let (settings, own) = (folder.join("phasewright.toml"), folder.join("ingredients"));
    let file = folder.join("deep/er/a.formula");
    let a = uri(&file);
    let mut c = begin_as(client_with(&[(
        "workspaceFolders",
        json!([{ "uri": uri(&folder), "name": "w" }]),
    )]));
    let text = GEL
        .replace("  sold in: EU\n", "")
        .replace("  glycerin  ", "  bog glyc  ");
    c.open(&a, "formula", &text);
    let found = c.pushed(&a).faults;
    assert!(
        codes(&found).contains(&(7, "unknown-ingredient".to_owned())),
        "{found:?}"
    );

    fs::create_dir_all(&own).expect("made");
    fs::write(own.join("bog-glyc.toml"), "id = \"bog-glyc\"\nnames = [\"bog glyc\"]\ncomposition = [{ of = \"water\", percent = 100 }]\n")
        .expect("written");
    c.save(&a);
    let found = c.pushed(&a).faults;
    assert!(
        !codes(&found)
            .iter()
            .any(|(_, code)| code == "unknown-ingredient"),
        "{found:?}"
    );
    assert!(
        codes(&found)
            .iter()
            .any(|(_, code)| code == "above-legal-limit"),
        "{found:?}"
    );

    // The United States set no limit for it; the client tells of the new file.
    fs::write(&settings, "markets = [\"US\"]\n").expect("written");
    c.notify(
        "workspace/didChangeWatchedFiles",
        json!({ "changes": [{ "uri": uri(&settings), "type": 1 }] }),
    );
    let found = c.pushed(&a).faults;
    assert!(
        !codes(&found)
            .iter()
            .any(|(_, code)| code == "above-legal-limit"),
        "{found:?}"
    );

    // A slip in the settings is shown where it stands, though the file is not open; mended, it goes.
    fs::write(&settings, "markets = [\"US\", \"Mars\"]\n").expect("written");
    c.save(&a);
    let wrong = c.pushed(&uri(&settings));
    assert_eq!(
        (wrong.version, codes(&wrong.faults)),
        (None, vec![(0, "settings".to_owned())])
    );
    assert!(codes(&c.pushed(&a).faults).contains(&(0, "settings".to_owned())));
    fs::write(&settings, "markets = [\"EU\"]\n").expect("written");
    c.save(&a);
    assert_eq!(c.pushed(&uri(&settings)).faults.len(), 0);
    let found = c.pushed(&a).faults;
    assert!(
        codes(&found)
            .iter()
            .any(|(_, code)| code == "above-legal-limit"),
        "{found:?}"
    );
    c.leave();
}

#[test]
fn settings_and_ingredients_are_judged_as_they_are_typed() {
    let folder = folder("typed");
    fs::create_dir_all(folder.join("ingredients")).expect("made");
    let mut c = begin();
    let settings = uri(&folder.join("phasewright.toml"));
    c.open(&settings, "toml", "# é🧴\nmarkets = [\"Mars\"]\n");
    let found = c.pushed(&settings).faults;
    assert_eq!(codes(&found), [(1, "settings".to_owned())]);
    c.change(&settings, 2, json!([{ "text": "markets = [\"EU\"]\n" }]));
    assert_eq!(c.pushed(&settings).faults.len(), 0);

    let own = uri(&folder.join("ingredients/own.toml"));
    c.open(
        &own,
        "toml",
        "id = \"own\"\nnames = [\"own\"]\ncas = [\"1-2-3\"]\n",
    );
    assert_eq!(
        codes(&c.pushed(&own).faults),
        [(2, "ingredient-file".to_owned())]
    );
    c.change(&own, 2, json!([{ "range": { "start": { "line": 2, "character": 0 }, "end": { "line": 3, "character": 0 } }, "text": "" }]));
    assert_eq!(c.pushed(&own).faults.len(), 0);
    assert_eq!(c.request("textDocument/hover", at(&own, 0, 1)), Value::Null);
    c.leave();
}

#[test]
fn every_folder_of_the_workspace_has_its_own_settings() {
    let (one, two) = (folder("roots/one"), folder("roots/two"));
    fs::write(one.join("phasewright.toml"), "markets = [\"US\"]\n").expect("written");
    fs::write(two.join("phasewright.toml"), "markets = [\"EU\"]\n").expect("written");
    let mut c = begin_as(client_with(&[(
        "workspaceFolders",
        json!([{ "uri": uri(&one), "name": "1" }, { "uri": uri(&two), "name": "2" }]),
    )]));
    let text = GEL.replace("  sold in: EU\n", "");
    for (folder, faults) in [(&one, 0), (&two, 1)] {
        let a = uri(&folder.join("a.formula"));
        c.open(&a, "formula", &text);
        let found = c.pushed(&a).faults;
        assert_eq!(
            codes(&found)
                .iter()
                .filter(|(_, code)| code == "above-legal-limit")
                .count(),
            faults,
            "{found:?}"
        );
    }
    c.notify(
        "workspace/didChangeWorkspaceFolders",
        json!({ "event": { "added": [], "removed": [{ "uri": uri(&two), "name": "2" }] } }),
    );
    c.leave();
}

#[test]
fn a_formula_taken_as_an_ingredient_is_read_from_the_editor_first() {
    let folder = folder("nested");
    let (user, base) = (
        uri(&folder.join("user.formula")),
        uri(&folder.join("base.formula")),
    );
    let of = |acid: &str| {
        format!(
            "formula \"Base\"\n  product: hand cream, leave-on\n  type: solution\n\nphase A\n  water  q.s.\n  phenoxyethanol  {acid} %\n"
        )
    };
    fs::write(folder.join("base.formula"), of("0.5")).expect("written");
    let text = "formula \"User\"\n  product: hand cream, leave-on\n  type: solution\n  sold in: EU\n\nphase A\n  water  q.s.\n  \"base.formula\"  50 %\n";
    let over = |found: &[Value]| {
        codes(found)
            .iter()
            .any(|(_, code)| code == "above-legal-limit")
    };
    let mut c = begin();
    c.open(&user, "formula", text);
    assert!(!over(&c.pushed(&user).faults));
    c.open(&base, "formula", &of("3"));
    c.pushed(&base);
    assert!(over(&c.pushed(&user).faults));
    // Closed without saving, the file on the disk counts again.
    c.close(&base);
    c.pushed(&base);
    assert!(!over(&c.pushed(&user).faults));
    let links = c.request("textDocument/documentLink", about(&user));
    assert_eq!(links[0]["target"], base);
    c.leave();
}

#[test]
fn files_are_watched_where_the_client_can_and_silence_or_refusal_stops_nothing() {
    for answers in [true, false] {
        let mut c = Client::here(Options::default());
        c.answers = answers;
        c.start(client_with(&[(
            "capabilities/workspace/didChangeWatchedFiles/dynamicRegistration",
            json!(true),
        )]));
        let asked = c.take(|m| m["method"] == "client/registerCapability");
        let globs = &asked["params"]["registrations"][0]["registerOptions"]["watchers"];
        assert!(
            globs
                .as_array()
                .is_some_and(|g| g.iter().any(|w| w["globPattern"] == "**/phasewright.toml")),
            "{asked}"
        );
        if !answers {
            c.send(&json!({ "jsonrpc": "2.0", "id": asked["id"], "error": { "code": -32601, "message": "no" } }));
        }
        c.open(A, "formula", GEL);
        assert_eq!(c.pushed(A).faults.len(), 1);
        c.leave();
    }
}

/// Judges as always, but fails on a text that says so.
fn faulty(
    path: &std::path::Path,
    kind: phasewright::syntax::FileKind,
    tree: phasewright::syntax::Tree,
    kb: &phasewright::kb::Kb,
    settings: &phasewright::model::Settings,
    loader: &dyn phasewright::model::FileLoader,
) -> Snapshot {
    assert!(
        !tree
            .lines
            .iter()
            .any(|at| at.line.text.contains("planted fault")),
        "planted"
    );
    Snapshot::new(path, kind, tree, kb, settings, loader)
}

#[test]
fn a_judgement_that_panics_costs_its_own_text() {
    let mut c = Client::here(Options {
        judge: faulty,
        ..Options::default()
    });
    c.start(full_client());
    c.open(A, "formula", &format!("{GEL}# planted fault\n"));
    let said = c.pushed(A).faults;
    assert_eq!(said.len(), 1);
    assert!(
        said[0]["message"]
            .as_str()
            .expect("words")
            .contains("fault of the program"),
        "{said:?}"
    );
    assert_eq!(c.request("textDocument/hover", at(A, 8, 4)), Value::Null);
    let b = "file:///w/b.formula";
    c.open(b, "formula", GEL);
    assert_eq!(c.pushed(b).faults.len(), 1);
    c.change(A, 2, json!([{ "text": GEL }]));
    assert_eq!(c.pushed_for(A, 2).faults.len(), 1);
    assert!(c.request("textDocument/hover", at(A, 8, 4)).is_object());
    c.leave();
}

#[test]
fn completion_sends_snippets_and_cards_as_declared() {
    let text = GEL.replace("  glycerin                                 5 %", "  glyc");
    let range =
        json!({ "start": { "line": 8, "character": 2 }, "end": { "line": 8, "character": 6 } });
    for full in [true, false] {
        let hello = if full {
            full_client()
        } else {
            client_with(&[("capabilities/textDocument/completion", json!({}))])
        };
        let mut c = begin_as(hello);
        c.open(A, "formula", &text);
        c.pushed(A);
        let list = c.request("textDocument/completion", at(A, 8, 6));
        assert!(list.get("itemDefaults").is_none(), "{list}");
        let items = list["items"].as_array().expect("a list");
        let item = items
            .iter()
            .find(|i| i["label"] == "glycerin")
            .expect("glycerin is offered")
            .clone();
        assert_eq!(item["textEdit"]["range"], range);
        let new_text = item["textEdit"]["newText"].as_str().expect("text");
        if full {
            assert!(
                items.iter().any(|i| i["insertTextFormat"] == 2),
                "{items:?}"
            );
            assert!(item.get("documentation").is_none());
            let resolved = c.request("completionItem/resolve", item.clone());
            assert_eq!(resolved["documentation"]["kind"], "markdown");
            assert_eq!(resolved["label"], item["label"]);
        } else {
            assert!(
                !new_text.contains("${") && item.get("insertTextFormat").is_none(),
                "{item}"
            );
            assert_eq!(item["documentation"]["kind"], "plaintext");
        }
        c.leave();
    }
}

/// What every client needs so that nothing is written that was not meant: the blank asks again, what is typed is what is filtered by, and
/// behind a name in full there is nothing to take.
#[test]
fn completion_cannot_write_what_was_not_typed() {
    let mut c = Client::here(Options::default());
    let hello = c.start(full_client());
    let triggers = &hello["capabilities"]["completionProvider"]["triggerCharacters"];
    assert_eq!(*triggers, json!(["\"", " "]));
    let row = |row: &str| GEL.replace("  glycerin                                 5 %", row);
    c.open(A, "formula", &row("  glyc"));
    c.pushed(A);
    let list = c.request("textDocument/completion", at(A, 8, 6));
    assert_eq!(list["isIncomplete"], true);
    let items = list["items"].as_array().expect("a list");
    assert_eq!(items[0]["label"], "glycerin");
    assert_eq!(
        items[0]["kind"], 12,
        "printed as \"Value\" where kinds are words"
    );
    assert!(items.iter().all(|i| i["filterText"] == "glyc"), "{list}");
    let mut version = 2;
    let mut ask = |c: &mut Client, text: &str, at_byte: u64, context: Value| {
        c.change(A, version, json!([{ "text": row(text) }]));
        c.pushed_for(A, version);
        version += 1;
        let mut params = at(A, 8, at_byte);
        params["context"] = context;
        c.request("textDocument/completion", params)["items"]
            .as_array()
            .expect("a list")
            .len()
    };
    let blank = json!({ "triggerKind": 2, "triggerCharacter": " " });
    let asked = json!({ "triggerKind": 1 });
    assert_eq!(ask(&mut c, "  glycerin", 10, asked.clone()), 0);
    assert_eq!(ask(&mut c, "  glycerin ", 11, blank.clone()), 0);
    assert!(ask(&mut c, "  glycerin ", 11, asked.clone()) > 0);
    assert_eq!(ask(&mut c, "  jojoba ", 9, blank), 0);
    assert!(ask(&mut c, "  jojoba o", 10, asked) > 0);
    c.leave();
}

#[test]
fn completion_says_role_and_amount_beside_the_label_where_it_may() {
    let text = GEL.replace("  glycerin                                 5 %", "  glyc");
    for beside in [true, false] {
        let mut c = begin_as(client_with(&[(
            "capabilities/textDocument/completion/completionItem",
            json!({ "labelDetailsSupport": beside }),
        )]));
        c.open(A, "formula", &text);
        c.pushed(A);
        let list = c.request("textDocument/completion", at(A, 8, 6));
        let item = &list["items"][0];
        let detail = item["detail"].as_str().expect("a detail");
        assert!(
            detail.starts_with("humectant, water phase, usually "),
            "{detail}"
        );
        let said = item["labelDetails"]["description"].as_str();
        assert_eq!(
            said.is_some_and(|d| d.starts_with("humectant, ")),
            beside,
            "{item}"
        );
        c.leave();
    }
}

/// For a client that creates files, the file of an unknown material is begun and opened.
#[test]
fn an_unknown_material_can_be_described() {
    let text = GEL.replace(
        "  glycerin                                 5 %",
        "  Moringa Peregrina Seed Extract  5 %",
    );
    for creates in [true, false] {
        let operations = if creates {
            json!(["create"])
        } else {
            json!([])
        };
        let mut c = begin_as(client_with(&[
            (
                "capabilities/workspace/workspaceEdit",
                json!({ "documentChanges": true, "resourceOperations": operations }),
            ),
            (
                "capabilities/window",
                json!({ "showDocument": { "support": true } }),
            ),
        ]));
        c.open(A, "formula", &text);
        c.pushed(A);
        let range =
            json!({ "start": { "line": 8, "character": 4 }, "end": { "line": 8, "character": 4 } });
        let params = json!({ "textDocument": { "uri": A }, "range": range, "context": { "diagnostics": [] } });
        let all = c.request("textDocument/codeAction", params);
        let action = all.as_array().expect("actions").iter().find(|a| {
            a["title"]
                .as_str()
                .is_some_and(|t| t.starts_with("Describe"))
        });
        assert_eq!(action.is_some(), creates, "{all}");
        if let Some(action) = action {
            let steps = &action["edit"]["documentChanges"];
            let uri = steps[0]["uri"].as_str().expect("an address");
            assert!(
                uri.ends_with("/ingredients/moringa-peregrina-seed-extract.toml"),
                "{uri}"
            );
            assert_eq!(steps[0]["kind"], "create");
            assert_eq!(steps[1]["textDocument"]["version"], json!(null));
            let begun = steps[1]["edits"][0]["newText"].as_str().expect("text");
            assert!(
                begun.contains("inci = \"Moringa Peregrina Seed Extract\"")
                    && begun.contains("roles = [\"extract\"]"),
                "{begun}"
            );
            assert_eq!(action["command"]["command"], "phasewright.open");
            assert_eq!(action["command"]["arguments"], json!([uri]));
        }
        c.leave();
    }
}

/// The same items for a client that takes the range once for all, and without the text where it is the label.
#[test]
fn completion_says_the_range_once_where_it_may() {
    let text = GEL.replace("  glycerin                                 5 %", "  glyc");
    let lists = [
        json!({}),
        json!({ "itemDefaults": ["commitCharacters", "editRange"] }),
    ]
    .map(|list| {
        let mut c = begin_as(client_with(&[(
            "capabilities/textDocument/completion/completionList",
            list,
        )]));
        c.open(A, "formula", &text);
        c.pushed(A);
        let list = c.request("textDocument/completion", at(A, 8, 6));
        c.leave();
        list
    });
    let [each, shared] = lists
        .each_ref()
        .map(|l| l["items"].as_array().expect("a list"));
    assert_eq!(each.len(), shared.len());
    assert!(!each.is_empty());
    for (each, shared) in each.iter().zip(shared) {
        assert_eq!(
            each["textEdit"]["range"],
            lists[1]["itemDefaults"]["editRange"]
        );
        assert_eq!(
            &each["textEdit"]["newText"],
            shared.get("textEditText").unwrap_or(&shared["label"])
        );
        assert!(
            shared.get("textEdit").is_none() && each.get("textEditText").is_none(),
            "{shared}"
        );
        assert_eq!(
            (&each["label"], &each["data"]),
            (&shared["label"], &shared["data"])
        );
    }
}

#[test]
fn outline_hints_folds_lens_and_tokens_are_there() {
    let mut c = begin_as(client_with(&[(
        "capabilities/textDocument/documentSymbol",
        json!({}),
    )]));
    c.open(
        A,
        "formula",
        &GEL.replace("  sold in: EU", "  sold in: EU\n  batch: 250 g"),
    );
    c.pushed(A);
    let flat = c.request("textDocument/documentSymbol", about(A));
    let names: Vec<&str> = flat
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|s| s["name"].as_str())
        .collect();
    assert!(
        names.contains(&"Hand gel")
            && names.contains(&"glycerin")
            && flat[0].get("location").is_some(),
        "{flat}"
    );
    let hints = c.request("textDocument/inlayHint", lines(A, 0, 20));
    assert!(
        hints
            .as_array()
            .expect("a list")
            .iter()
            .any(|h| h["label"].as_str().is_some_and(|l| l.contains("12.5 g"))),
        "{hints}"
    );
    let folds = c.request("textDocument/foldingRange", about(A));
    assert_eq!(
        (&folds[0]["startLine"], &folds[0]["endLine"]),
        (&json!(0), &json!(5))
    );
    let lens = c.request("textDocument/codeLens", about(A));
    assert!(
        lens[0]["command"]["title"]
            .as_str()
            .is_some_and(|t| t.contains("100")),
        "{lens}"
    );
    let tokens = c.request("textDocument/semanticTokens/full", about(A));
    assert_eq!(tokens["data"].as_array().map(|d| d.len() % 5), Some(0));
    assert!(tokens["data"].as_array().is_some_and(|d| d.len() > 50));
    let grown = c.request(
        "textDocument/selectionRange",
        json!({ "textDocument": { "uri": A }, "positions": [{ "line": 9, "character": 4 }] }),
    );
    assert!(grown[0]["parent"]["parent"].is_object(), "{grown}");
    let same = c.request("textDocument/documentHighlight", at(A, 9, 4));
    assert_eq!(same.as_array().map(Vec::len), Some(1), "{same}");
    c.leave();
}

/// The text after edits that do not overlap; ASCII, so that columns are bytes.
fn applied(text: &str, edits: &Value) -> String {
    let offset = |p: &Value| {
        let line = p["line"].as_u64().expect("a line") as usize;
        text.split('\n')
            .take(line)
            .map(|l| l.len() + 1)
            .sum::<usize>()
            + p["character"].as_u64().expect("a column") as usize
    };
    let mut out = text.to_owned();
    let mut edits: Vec<&Value> = edits.as_array().expect("a list").iter().collect();
    edits.sort_by_key(|e| offset(&e["range"]["start"]));
    for e in edits.into_iter().rev() {
        out.replace_range(
            offset(&e["range"]["start"])..offset(&e["range"]["end"]),
            e["newText"].as_str().expect("text"),
        );
    }
    out
}

#[test]
fn formatting_sets_the_document_a_range_or_the_line_just_left() {
    let ragged = GEL
        .replace(
            "  glycerin                                 5 %",
            "glycerin 5 %",
        )
        .replace(
            "  xanthan gum                              0.5 %",
            " xanthan gum   0.5 %",
        );
    let formatted = |text: &str| {
        phasewright::syntax::format(&phasewright::syntax::parse(
            phasewright::syntax::FileKind::Formula,
            text,
        ))
    };
    let (whole, options) = (
        formatted(&ragged),
        json!({ "tabSize": 4, "insertSpaces": false }),
    );
    // Which column the amounts stand in is the formatter's business; that a line is laid out is seen by its indentation.
    let laid_out = |text: &str, n: usize| {
        text.lines()
            .nth(n)
            .is_some_and(|l| l.starts_with("  ") && !l.starts_with("   "))
    };
    assert!(
        !laid_out(&ragged, 8)
            && !laid_out(&ragged, 9)
            && laid_out(&whole, 8)
            && laid_out(&whole, 9)
    );
    let mut c = begin();
    c.open(A, "formula", &ragged);
    c.pushed(A);
    let mut ask = about(A);
    ask["options"] = options.clone();
    assert_eq!(
        applied(&ragged, &c.request("textDocument/formatting", ask)),
        whole
    );
    let mut ask = lines(A, 8, 9);
    ask["options"] = options.clone();
    let one = applied(&ragged, &c.request("textDocument/rangeFormatting", ask));
    assert!(laid_out(&one, 8), "{one}");
    assert_eq!(one.lines().nth(9), ragged.lines().nth(9));
    let mut ask = at(A, 10, 0);
    (ask["ch"], ask["options"]) = (json!("\n"), options);
    let typed = applied(&ragged, &c.request("textDocument/onTypeFormatting", ask));
    assert!(laid_out(&typed, 9), "{typed}");
    assert_eq!(typed.lines().nth(8), ragged.lines().nth(8));
    c.leave();
}
