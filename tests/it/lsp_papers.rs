//! Papers asked for in the editor: made from the text as it stands there, shown in the browser where the editor can do that.

use crate::support::lsp_client::*;
use phasewright::lsp::Options;
use serde_json::{Value, json};

const A: &str = "file:///w/hand-gel.formula";

fn begin(shows: bool) -> Client {
    let mut c = Client::here(Options::default());
    c.start(client_with(&[(
        "capabilities/window",
        json!({ "showDocument": { "support": shows } }),
    )]));
    c.open(
        A,
        "formula",
        &GEL.replace("  sold in: EU", "  sold in: EU\n  batch: 250 g"),
    );
    c.forget_pushes(A);
    c
}

fn command(c: &mut Client, name: &str) -> Value {
    let id = c.ask(
        "workspace/executeCommand",
        json!({ "command": name, "arguments": [A] }),
    );
    c.answer(id)
}

fn page(answer: &Value) -> String {
    let uri = answer["result"]["uri"]
        .as_str()
        .unwrap_or_else(|| panic!("{answer}"));
    std::fs::read_to_string(uri.strip_prefix("file://").expect("a file"))
        .expect("the page is there")
}

#[test]
fn the_lens_above_the_formula_opens_its_papers() {
    let mut c = begin(true);
    c.pushed(A);
    let lens = c.request(
        "textDocument/codeLens",
        json!({ "textDocument": { "uri": A } }),
    );
    let runs: Vec<&Value> = lens
        .as_array()
        .expect("a list")
        .iter()
        .map(|l| &l["command"])
        .filter(|l| l["command"] != "")
        .collect();
    assert!(
        runs.iter().any(|r| r["title"] == "open the weigh sheet"),
        "{lens}"
    );
    for run in runs {
        let name = run["command"].as_str().expect("a name");
        assert_eq!(run["arguments"], json!([A]));
        let answer = command(&mut c, name);
        assert!(page(&answer).starts_with("<!DOCTYPE html>"), "{name}");
        let show = c.take(|m| m["method"] == "window/showDocument");
        assert_eq!(
            (&show["params"]["uri"], &show["params"]["external"]),
            (&answer["result"]["uri"], &json!(true))
        );
    }
    c.leave();
}

#[test]
fn it_is_the_text_in_the_editor_that_is_printed() {
    let mut c = begin(true);
    c.pushed(A);
    c.change(A, 2, json!([{ "range": { "start": { "line": 5, "character": 9 }, "end": { "line": 5, "character": 12 } }, "text": "400" }]));
    let answer = command(&mut c, "phasewright.sheet");
    let html = page(&answer);
    // 5 % glycerin of 400 g, not of the 250 g that were opened.
    assert!(html.contains("20.00") && html.contains("400.00"), "{html}");
    c.take(|m| m["method"] == "window/showDocument");
    c.forget_pushes(A);
    c.leave();
}

#[test]
fn an_editor_that_cannot_open_it_says_where_it_lies() {
    let mut c = begin(false);
    c.pushed(A);
    let answer = command(&mut c, "phasewright.sheet");
    let told = c.take(|m| m["method"] == "window/showMessage");
    let path = answer["result"]["uri"]
        .as_str()
        .and_then(|u| u.strip_prefix("file://"))
        .expect("a file")
        .to_owned();
    assert_eq!(
        told["params"]["message"],
        json!(format!("The weigh sheet is in {path}"))
    );
    c.leave();
}

#[test]
fn what_hinders_is_said() {
    let mut c = begin(true);
    c.pushed(A);
    for (name, arguments, words) in [
        (
            "phasewright.sheet",
            json!(["file:///w/none.formula"]),
            "not open in the editor",
        ),
        ("phasewright.sheet", json!([]), "first argument"),
        (
            "phasewright.bake",
            json!([A]),
            "there are phasewright.sheet",
        ),
    ] {
        let id = c.ask(
            "workspace/executeCommand",
            json!({ "command": name, "arguments": arguments }),
        );
        let answer = c.answer(id);
        assert!(
            answer["error"]["message"]
                .as_str()
                .is_some_and(|m| m.contains(words)),
            "{answer}"
        );
    }
    c.change(A, 2, json!([{ "text": GEL.replace("0.5 %", "1,000 %") }]));
    let answer = command(&mut c, "phasewright.sheet");
    let message = answer["error"]["message"]
        .as_str()
        .expect("a refusal")
        .to_owned();
    assert!(
        message.contains("line 10: this amount cannot be read"),
        "{message}"
    );
    assert!(!c.pushed_for(A, 2).faults.is_empty());
    c.leave();
}
