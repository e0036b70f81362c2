//! The real program over stdio: how it ends, and what it bears.

use crate::support::lsp_client::*;
use serde_json::{Value, json};
use std::fs;
use std::process::{Command, Stdio};

const A: &str = "file:///w/a.formula";

fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_phasewright"));
    command.arg("serve").stderr(Stdio::null());
    command
}

fn begin(hello: Value) -> Client {
    let mut c = Client::process(&mut program());
    c.start(hello);
    c
}

#[test]
fn shutdown_then_exit_ends_with_0_though_the_input_stays_open() {
    let mut c = begin(full_client());
    c.open(A, "formula", GEL);
    assert_eq!(c.pushed(A).faults.len(), 1);
    c.leave();
}

#[test]
fn exit_without_shutdown_ends_with_1_though_the_input_stays_open() {
    let mut c = begin(full_client());
    c.send(&json!({ "jsonrpc": "2.0", "method": "exit" }));
    assert_eq!(c.rest(), Vec::<Value>::new());
    assert_eq!(c.status(), 1);
}

#[test]
fn exit_before_initialize_ends_too() {
    let mut c = Client::process(&mut program());
    c.send(&json!({ "jsonrpc": "2.0", "method": "exit" }));
    assert_eq!(c.status(), 1);
}

#[test]
fn a_closed_input_ends_it() {
    for shutdown in [false, true] {
        let mut c = begin(full_client());
        c.open(A, "formula", GEL);
        c.pushed(A);
        if shutdown {
            c.request("shutdown", Value::Null);
        }
        c.close_input();
        assert_eq!(c.status(), i32::from(!shutdown));
    }
}

#[test]
fn an_input_that_closes_within_a_message_ends_it() {
    let mut c = begin(full_client());
    c.raw(b"Content-Length: 5000\r\n\r\n{\"jsonrpc\":");
    c.close_input();
    assert_eq!(c.status(), 1);
}

fn framed(message: &Value) -> Vec<u8> {
    let body = message.to_string();
    format!("Content-Length: {}\r\n\r\n{body}", body.len()).into_bytes()
}

/// Where the next message begins is not known any more: it ends, says why, and the editor starts it again.
#[test]
fn a_wrong_length_ends_it_with_a_message_though_the_input_stays_open() {
    use std::io::Write;
    let hello =
        json!({ "jsonrpc": "2.0", "id": 1, "method": "initialize", "params": full_client() });
    for (wrong, words) in [
        ("Content-Length: 30\r\n\r\n", "is no header"),
        ("Content-Length: 1e3\r\n\r\n", "\"1e3\" cannot be right"),
        ("Content-Type: text/plain\r\n\r\n", "no Content-Length"),
    ] {
        let mut child = program()
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .expect("it starts");
        let mut input = child.stdin.take().expect("piped");
        let mut sent = framed(&hello);
        sent.extend(wrong.as_bytes());
        sent.extend(br#"{"jsonrpc":"2.0","id":2,"method":"textDocument/hover"}"#);
        sent.extend(framed(
            &json!({ "jsonrpc": "2.0", "id": 3, "method": "shutdown" }),
        ));
        input.write_all(&sent).expect("it reads");
        let output = child.wait_with_output().expect("it ends");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(1), "{wrong}: {said}");
        assert!(
            said.contains(words) && said.contains("start it again"),
            "{said}"
        );
        drop(input);
    }
}

/// Answers of megabytes that nobody takes hold the server back; that nobody ever will is seen all the same.
#[cfg(target_os = "linux")]
#[test]
fn a_client_that_never_reads_and_closes_leaves_no_process_behind() {
    use std::io::Write;
    let mut child = program()
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("it starts");
    let mut input = child.stdin.take().expect("piped");
    let text = format!("{GEL}{}", "  rapeseed oil  0.01 %\n".repeat(1000));
    let mut sent = framed(
        &json!({ "jsonrpc": "2.0", "id": 1, "method": "initialize", "params": full_client() }),
    );
    sent.extend(framed(&json!({ "jsonrpc": "2.0", "method": "textDocument/didOpen", "params": { "textDocument": { "uri": A, "languageId": "formula", "version": 1, "text": text } } })));
    for id in 2..80 {
        sent.extend(framed(&json!({ "jsonrpc": "2.0", "id": id, "method": "textDocument/documentSymbol", "params": { "textDocument": { "uri": A } } })));
    }
    input.write_all(&sent).expect("it reads the beginning");
    drop(input);
    // Its output stays open and unread.
    let output = child.stdout.take().expect("piped");
    assert_eq!(child.wait().expect("it ends").code(), Some(1));
    drop(output);
}

#[cfg(unix)]
#[test]
fn it_leaves_when_the_editors_process_is_gone_though_the_input_stays_open() {
    let mut editor = Command::new("sleep")
        .arg("600")
        .spawn()
        .expect("sleep starts");
    let mut c = begin(client_with(&[("processId", json!(editor.id()))]));
    c.open(A, "formula", GEL);
    assert_eq!(c.pushed(A).faults.len(), 1);
    // Killed, and not yet asked after: what is left is a zombie, as under a shell that sleeps.
    editor.kill().expect("it can be killed");
    assert_eq!(c.status(), 1);
    editor.wait().expect("it was ours");
}

#[test]
fn an_editor_that_cannot_be_seen_is_no_reason_to_leave() {
    let mut c = begin(client_with(&[("processId", json!(4_000_000_000_u32))]));
    c.open(A, "formula", GEL);
    assert_eq!(c.pushed(A).faults.len(), 1);
    c.leave();
}

/// Builds for use do not look at the variable that plants the fault.
#[cfg(debug_assertions)]
#[test]
fn a_panic_in_a_rule_costs_that_rule_one_message() {
    let mut c = Client::process(program().env("PHASEWRIGHT_PLANTED_FAULT", "above-usual-use"));
    c.start(full_client());
    c.open(A, "formula", GEL);
    let found = codes(&c.pushed(A).faults);
    assert!(
        found.contains(&(0, "internal".to_owned()))
            && found.contains(&(GEL_FAULT, "above-legal-limit".to_owned())),
        "{found:?}"
    );
    c.change(A, 2, json!([{ "text": GEL.replace("1.2 %", "0.9 %") }]));
    assert_eq!(
        codes(&c.pushed_for(A, 2).faults),
        [(0, "internal".to_owned())]
    );
    c.leave();
}

#[test]
fn a_text_of_50_megabytes_is_kept_and_said_to_be_too_large() {
    let mut c = begin(full_client());
    let line = "  rapeseed oil é🧴                          0.01 %\n";
    let large = format!("{GEL}{}", line.repeat(50_000_000 / line.len() + 1));
    c.open(A, "formula", &large);
    let said = c.pushed(A).all;
    assert_eq!(
        (said.len(), &said[0]["severity"]),
        (1, &json!(3)),
        "{said:?}"
    );
    // Others are served meanwhile and after, and the text itself is judged once it is short again.
    let b = "file:///w/b.formula";
    c.open(b, "formula", GEL);
    assert_eq!(c.pushed(b).faults.len(), 1);
    c.change(
        A,
        2,
        json!([{ "range": { "start": { "line": 11, "character": 0 }, "end": { "line": 9_999_999, "character": 0 } }, "text": "" }]),
    );
    assert_eq!(
        codes(&c.pushed_for(A, 2).faults),
        [(GEL_FAULT, "above-legal-limit".to_owned())]
    );
    c.leave();
}

#[test]
fn files_that_are_not_utf8_are_named_and_stop_nothing() {
    let folder = folder("not-utf8");
    fs::write(
        folder.join("phasewright.toml"),
        b"markets = [\"EU\"] # \xff\xfe\n",
    )
    .expect("written");
    fs::create_dir(folder.join("ingredients")).expect("made");
    fs::write(folder.join("ingredients/own.toml"), b"id = \"\xff\"\n").expect("written");
    fs::write(folder.join("base.formula"), b"formula \"\xe9t\xe9\"\n").expect("written");
    let a = uri(&folder.join("a.formula"));
    let mut c = begin(full_client());
    c.open(
        &a,
        "formula",
        &GEL.replace(
            "  glycerin                                 5 %",
            "  \"base.formula\"  5 %",
        ),
    );
    let found = c.pushed(&a).faults;
    let nested = found
        .iter()
        .find(|d| d["code"] == "unknown-formula")
        .expect("the nested file is named");
    assert!(
        nested["message"]
            .as_str()
            .is_some_and(|m| m.contains("UTF-8")),
        "{nested}"
    );
    assert!(
        codes(&found).contains(&(GEL_FAULT, "above-legal-limit".to_owned())),
        "{found:?}"
    );
    c.leave();
}

#[cfg(unix)]
#[test]
fn folders_that_may_not_be_read_stop_nothing() {
    use std::os::unix::fs::PermissionsExt;
    let folder = folder("locked");
    let (own, deep) = (folder.join("ingredients"), folder.join("deep"));
    fs::create_dir(&own).expect("made");
    fs::create_dir(&deep).expect("made");
    fs::write(folder.join("phasewright.toml"), "markets = [\"EU\"]\n").expect("written");
    let lock = |mode| {
        [&own, &deep]
            .iter()
            .for_each(|f| fs::set_permissions(f, fs::Permissions::from_mode(mode)).expect("ours"))
    };
    lock(0o000);
    let a = uri(&deep.join("a.formula"));
    let mut c = begin(full_client());
    c.open(&a, "formula", GEL);
    // Who may read everything, as root does, is not told of them.
    let of_the_formula = |found: &[Value]| {
        let mut all = codes(found);
        all.retain(|(_, code)| code != "ingredient-file");
        all
    };
    assert_eq!(
        of_the_formula(&c.pushed(&a).faults),
        [(GEL_FAULT, "above-legal-limit".to_owned())]
    );
    c.save(&a);
    c.change(&a, 2, json!([{ "text": GEL.replace("1.2 %", "1 %") }]));
    assert_eq!(of_the_formula(&c.pushed_for(&a, 2).faults), []);
    c.leave();
    lock(0o755);
}

#[test]
fn the_output_holds_the_protocol_alone_and_the_log_goes_to_stderr() {
    let folder = folder("logs");
    fs::write(folder.join("phasewright.toml"), b"\xff").expect("written");
    let output = {
        let mut child = program()
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("it starts");
        let mut input = child.stdin.take().expect("piped");
        for message in [
            json!({ "jsonrpc": "2.0", "id": 1, "method": "initialize", "params": full_client() }),
            json!({ "jsonrpc": "2.0", "method": "textDocument/didOpen", "params": { "textDocument": { "uri": uri(&folder.join("a.formula")), "languageId": "formula", "version": 1, "text": GEL } } }),
            json!({ "jsonrpc": "2.0", "id": 2, "method": "textDocument/hover", "params": { "textDocument": { "uri": uri(&folder.join("a.formula")) }, "position": { "line": 8, "character": 4 } } }),
            json!({ "jsonrpc": "2.0", "id": 3, "method": "shutdown" }),
        ] {
            let body = message.to_string();
            std::io::Write::write_all(
                &mut input,
                format!("Content-Length: {}\r\n\r\n{body}", body.len()).as_bytes(),
            )
            .expect("it reads");
        }
        // `exit` would cut off what is still being answered; a closed input lets it be answered.
        drop(input);
        child.wait_with_output().expect("it ends")
    };
    assert_eq!(output.status.code(), Some(0));
    assert!(
        String::from_utf8_lossy(&output.stderr).contains("not UTF-8"),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let mut rest = String::from_utf8(output.stdout).expect("UTF-8");
    let mut answered = Vec::new();
    while let Some(body) = rest.strip_prefix("Content-Length: ") {
        let (length, body) = body.split_once("\r\n\r\n").expect("a header");
        let length: usize = length.parse().expect("a length");
        let message: Value = serde_json::from_str(&body[..length]).expect("JSON");
        answered.extend(message["id"].as_i64());
        rest = body[length..].to_owned();
    }
    assert_eq!((rest.as_str(), answered), ("", vec![1, 2, 3]));
}
