mod lsp_client;
use lsp_client::*;
use phasewright::lsp::Options;
use serde_json::{Value, json};

#[test]
fn smoke() {
    let mut c = Client::here(Options::default());
    println!("{}", c.start(full_client()));
    let u = "file:///w/a.formula";
    c.open(u, "formula", GEL);
    println!("{:#?}", c.pushed(u).diagnostics);
    println!("{:#?}", c.request("textDocument/hover", json!({ "textDocument": { "uri": u }, "position": { "line": 8, "character": 4 } })));
    println!("{:#?}", c.request("textDocument/codeAction", json!({ "textDocument": { "uri": u }, "range": { "start": {"line": 10, "character": 0}, "end": {"line": 10, "character": 0} }, "context": {"diagnostics": []} })));
    c.leave();
}
