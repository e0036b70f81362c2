//! Papers asked for in the editor: made from the text as it stands there, shown in the browser where the editor can do that.

use crate::support::lsp_client::*;
use phasewright::lsp::Options;
use serde_json::{Value, json};
use std::path::PathBuf;

const A: &str = "file:///w/hand-gel.formula";

fn papers(name: &str) -> PathBuf {
    folder(&format!("papers-{name}"))
}

/// An editor that shows documents or does not declare that it does.
fn begin(name: &str, shows: bool) -> Client {
    begin_as(
        name,
        client_with(&[(
            "capabilities/window",
            json!({ "showDocument": { "support": shows } }),
        )]),
    )
}

fn begin_as(name: &str, hello: Value) -> Client {
    let mut c = Client::here(Options {
        papers: Some(papers(name)),
        ..Options::default()
    });
    c.reply = json!({ "success": true });
    c.start(hello);
    c.open(
        A,
        "formula",
        &GEL.replace("  sold in: EU", "  sold in: EU\n  batch: 250 g"),
    );
    c.pushed(A);
    c
}

/// What the maker is told.
fn told(c: &mut Client) -> String {
    let message = c.take(|m| m["method"] == "window/showMessage");
    let words = message["params"]["message"].as_str();
    words.expect("words").to_owned()
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
    let mut c = begin("lens", true);
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
    assert!(runs.iter().any(|r| r["title"] == "weigh sheet"), "{lens}");
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
        // Some editors say that they show it and show nothing.
        let path = answer["result"]["path"].as_str().expect("a path");
        assert!(told(&mut c).ends_with(path));
    }
    c.leave();
}

#[test]
fn it_is_the_text_in_the_editor_that_is_printed() {
    let mut c = begin("text", true);
    c.change(A, 2, json!([{ "range": { "start": { "line": 5, "character": 9 }, "end": { "line": 5, "character": 12 } }, "text": "400" }]));
    let answer = command(&mut c, "phasewright.sheet");
    let html = page(&answer);
    // 5 % glycerin of 400 g, not of the 250 g that were opened.
    assert!(html.contains("20.00") && html.contains("400.00"), "{html}");
    c.leave_unread();
}

/// It does not declare it, or declares it and fails, or answers what is no answer.
#[test]
fn an_editor_that_cannot_show_it_says_so_and_where_it_lies() {
    for (name, shows, reply) in [
        ("silent", false, Value::Null),
        ("fails", true, json!({ "success": false })),
        ("odd", true, Value::Null),
    ] {
        let mut c = begin(name, shows);
        c.reply = reply;
        let answer = command(&mut c, "phasewright.sheet");
        let path = answer["result"]["path"].as_str().expect("a path");
        assert_eq!(
            told(&mut c),
            format!("This editor cannot show the weigh sheet. Open it in a browser: {path}")
        );
        c.leave_unread();
    }
}

#[test]
fn an_editor_that_shows_pages_itself_gets_the_page_and_nothing_else() {
    let mut hello = client_with(&[(
        "capabilities/window",
        json!({ "showDocument": { "support": true } }),
    )]);
    hello["initializationOptions"] = json!({ "showsPapers": true });
    let mut c = begin_as("itself", hello);
    let answer = command(&mut c, "phasewright.sheet");
    assert_eq!(answer["result"]["html"], page(&answer));
    // Nothing else came, or leaving would find it unread.
    c.leave();
}

#[test]
fn papers_lie_in_one_folder_and_the_same_paper_in_one_file() {
    let mut c = begin("folder", true);
    let mut paths = Vec::new();
    for name in ["sheet", "label", "sheet", "sheet"] {
        let answer = command(&mut c, &format!("phasewright.{name}"));
        paths.push(PathBuf::from(
            answer["result"]["path"].as_str().expect("a path"),
        ));
    }
    assert_eq!((&paths[0], &paths[0]), (&paths[2], &paths[3]));
    let folder = paths[0].parent().expect("it lies in a folder");
    let lying = std::fs::read_dir(folder).expect("it is there").count();
    assert_eq!(lying, 2, "the sheet and the label in {}", folder.display());
    c.leave_unread();
}

#[test]
fn what_hinders_is_said() {
    let mut c = begin("hindered", true);
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
