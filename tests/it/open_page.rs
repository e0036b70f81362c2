//! `phasewright open`: what is served, and to whom it is refused.

use crate::support::page_server::PageServer;
use std::fs;
use std::io::{Read, Write};
use std::process::Command;
use std::time::Duration;

/// The mark of a text, as an answer gives it.
fn tag(server: &PageServer, path: &str) -> String {
    let read = server.ask("GET", &format!("api/file?path={path}"), &[], "");
    assert_eq!(read.status, 200, "{path}: {}", read.body);
    read.header("etag").expect("a mark").to_owned()
}

#[test]
fn without_a_built_page_it_says_how_to_build_one() {
    let empty = tempfile::tempdir().expect("a folder");
    let page = empty.path().to_str().expect("a plain path");
    let output = Command::new(env!("CARGO_BIN_EXE_phasewright"))
        .args(["open", page, "--no-browser", "--page", page])
        .output()
        .expect("the program starts");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("bash editors/page/build"), "{said}");
    let nowhere = empty.path().join("nowhere");
    let output = Command::new(env!("CARGO_BIN_EXE_phasewright"))
        .arg("open")
        .arg(&nowhere)
        .arg("--no-browser")
        .output()
        .expect("the program starts");
    assert_eq!(output.status.code(), Some(2));
}

#[test]
fn the_page_is_served_with_its_policy() {
    let server = PageServer::start();
    let page = server.ask("GET", "", &[], "");
    assert_eq!(page.status, 200);
    assert!(page.body.contains("content=\"served\""), "{}", page.body);
    let policy = page.header("content-security-policy").expect("a policy");
    assert!(policy.starts_with("default-src 'none'"), "{policy}");
    for open in ["http:", "https:", "*", "unsafe-eval'; ", "data: blob:"] {
        let scripts = policy.split("; ").find(|p| p.starts_with("script-src"));
        assert!(
            !scripts.expect("scripts are named").contains(open),
            "{policy}"
        );
    }
    assert_eq!(page.header("x-content-type-options"), Some("nosniff"));
    assert_eq!(page.header("referrer-policy"), Some("no-referrer"));
}

#[test]
fn files_are_listed_read_and_written_whole() {
    let server = PageServer::start();
    let listed = server.ask("GET", "api/files", &[], "");
    assert!(listed.body.contains("gel.formula"), "{}", listed.body);
    assert!(!listed.body.contains("secret"), "{}", listed.body);
    let known = tag(&server, "gel.formula");
    let new = "formula \"Gel\"\n  version: 2\n";
    let path = "api/file?path=gel.formula";
    let put = server.ask("PUT", path, &[("if-match", &known)], new);
    assert_eq!(put.status, 204, "{}", put.body);
    let gel = server.folder().join("gel.formula");
    assert_eq!(fs::read_to_string(&gel).expect("it is there"), new);
    let made = server.ask(
        "PUT",
        "api/file?path=tests/one.batch",
        &[("if-none-match", "*")],
        "",
    );
    assert_eq!(made.status, 204, "{}", made.body);
    assert!(server.folder().join("tests/one.batch").is_file());
    let left: Vec<_> = fs::read_dir(server.folder())
        .expect("a folder")
        .map(|e| e.expect("an entry").file_name())
        .collect();
    assert_eq!(left.len(), 2, "no half-written file stays: {left:?}");
}

/// Another program writes between the page's look and its write.
#[test]
fn a_file_that_was_changed_elsewhere_is_not_overwritten() {
    let server = PageServer::start();
    let known = tag(&server, "gel.formula");
    let gel = server.folder().join("gel.formula");
    fs::write(&gel, "formula \"Gel of another program\"\n").expect("it can be written");
    let path = "api/file?path=gel.formula";
    for (method, body) in [("PUT", "formula \"Mine\"\n"), ("DELETE", "")] {
        let refused = server.ask(method, path, &[("if-match", &known)], body);
        assert_eq!(refused.status, 412, "{method}: {}", refused.body);
    }
    let new = server.ask("PUT", path, &[("if-none-match", "*")], "x");
    assert_eq!(new.status, 412, "a new file does not take the place of one");
    let without = server.ask("PUT", path, &[], "x");
    assert_eq!(without.status, 422, "{}", without.body);
    let text = fs::read_to_string(&gel).expect("it is there");
    assert_eq!(text, "formula \"Gel of another program\"\n");
}

#[test]
fn a_change_of_another_program_is_told() {
    let server = PageServer::start();
    let state = |since: &str| {
        let answer = server.ask("GET", &format!("api/changes?since={since}"), &[], "");
        assert_eq!(answer.status, 200, "{}", answer.body);
        answer.body
    };
    let before = state("");
    let known = before.split('"').nth(3).expect("a state").to_owned();
    fs::write(server.folder().join("new.formula"), "formula \"New\"\n").expect("it can be written");
    assert_ne!(state(&known), before);
}

#[test]
fn another_origin_host_or_token_is_refused() {
    let server = PageServer::start();
    let own = server.host();
    for headers in [
        vec![("origin", "http://example.org")],
        vec![("origin", "https://127.0.0.1")],
        vec![("origin", "null")],
        vec![("sec-fetch-site", "cross-site")],
        vec![("sec-fetch-site", "same-site")],
        // A name of another site that leads to this machine.
        vec![("host", "example.org")],
        vec![("host", "127.0.0.1:1")],
        vec![("host", "127.0.0.1")],
        vec![("host", &own), ("host", "example.org")],
    ] {
        for path in ["", "api/files", "api/file?path=gel.formula"] {
            let answer = server.ask("GET", path, &headers, "");
            assert_eq!(answer.status, 403, "{headers:?} {path}: {}", answer.body);
            assert!(!answer.body.contains("Gel"), "{}", answer.body);
        }
    }
    let own_origin = format!("http://{own}");
    let fine = server.ask("GET", "api/files", &[("origin", &own_origin)], "");
    assert_eq!(fine.status, 200);
    for path in [
        "/",
        "/api/files",
        "/0123456789abcdef0123456789abcdef/api/files",
        "//api/files",
    ] {
        let request = format!("GET {path} HTTP/1.1\r\nhost: {own}\r\nconnection: close\r\n\r\n");
        let answer = server.send(request.as_bytes()).expect("an answer");
        assert_eq!(answer.status, 403, "{path}: {}", answer.body);
    }
    let no_host = format!("GET /{}/ HTTP/1.0\r\n\r\n", server.token);
    let answer = server.send(no_host.as_bytes());
    assert!(answer.is_none_or(|a| a.status == 403 || a.status == 400));
}

#[test]
fn no_path_leads_out_of_the_folder() {
    let server = PageServer::start();
    fs::write(server.folder().join("notes.txt"), "private").expect("a file");
    fs::write(server.folder().join(".hidden.formula"), "private").expect("a file");
    let secret = server.outside().join("secret.formula");
    let absolute = secret.to_string_lossy().into_owned();
    for path in [
        "../../etc/passwd",
        "../secret.formula",
        "x/../../secret.formula",
        "./../secret.formula",
        "..%2fsecret.formula",
        "%2e%2e/secret.formula",
        "..%5csecret.formula",
        "/etc/passwd",
        &absolute,
        "notes.txt",
        ".hidden.formula",
        "gel.formula%00",
        "",
    ] {
        let file = format!("api/file?path={path}");
        let read = server.ask("GET", &file, &[], "");
        assert!(
            [403, 404].contains(&read.status),
            "{path}: {} {}",
            read.status,
            read.body
        );
        let put = server.ask("PUT", &file, &[("if-none-match", "*")], "taken over");
        assert!(
            [403, 404].contains(&put.status),
            "{path}: {} {}",
            put.status,
            put.body
        );
        let page = server.ask("GET", path, &[], "");
        assert!(
            !page.body.contains("Secret") && !page.body.contains("root:"),
            "{path}: {}",
            page.body
        );
    }
    let text = fs::read_to_string(&secret).expect("it is there");
    assert_eq!(text, "formula \"Secret\"\n");
}

#[cfg(unix)]
#[test]
fn no_link_is_followed_out_of_the_folder() {
    use std::os::unix::fs::symlink;
    let server = PageServer::start();
    let folder = server.folder();
    symlink(
        server.outside().join("secret.formula"),
        folder.join("link.formula"),
    )
    .expect("a link");
    symlink(server.outside(), folder.join("way-out")).expect("a link");
    let listed = server.ask("GET", "api/files", &[], "");
    assert!(!listed.body.contains("Secret"), "{}", listed.body);
    for path in ["link.formula", "way-out/secret.formula"] {
        let file = format!("api/file?path={path}");
        let read = server.ask("GET", &file, &[], "");
        assert_ne!(read.status, 200, "{path}: {}", read.body);
        for condition in [("if-none-match", "*"), ("if-match", "\"0\"")] {
            let put = server.ask("PUT", &file, &[condition], "taken over");
            assert!(put.status >= 400, "{path}: {}", put.status);
        }
    }
    let secret = fs::read_to_string(server.outside().join("secret.formula")).expect("it is there");
    assert_eq!(secret, "formula \"Secret\"\n");
}

#[test]
fn a_body_of_fifty_megabytes_is_refused() {
    let server = PageServer::start();
    let known = tag(&server, "gel.formula");
    let body = "x".repeat(50_000_000);
    let path = "api/file?path=gel.formula";
    let (token, host) = (&server.token, server.host());
    let request = format!(
        "PUT /{token}/{path} HTTP/1.1\r\nhost: {host}\r\nif-match: {known}\r\nconnection: close\r\ncontent-length: {}\r\n\r\n{body}",
        body.len()
    );
    // The server may close while the body is still on its way.
    let answer = server.send(request.as_bytes());
    assert!(answer.is_none_or(|a| a.status == 413));
    let gel = fs::read_to_string(server.folder().join("gel.formula")).expect("it is there");
    assert_eq!(gel, "formula \"Gel\"\n");
    // It serves on.
    assert_eq!(server.ask("GET", "api/files", &[], "").status, 200);
}

/// Clients that send the head of a request letter by letter are let go, and hold up nobody meanwhile.
#[test]
fn a_slow_client_is_let_go() {
    let server = PageServer::start();
    let mut slow: Vec<_> = (0..20)
        .map(|_| {
            let mut stream = server.connect();
            stream
                .write_all(b"GET / HTTP/1.1\r\nx: ")
                .expect("it listens");
            stream
        })
        .collect();
    assert_eq!(server.ask("GET", "api/files", &[], "").status, 200);
    for stream in &mut slow {
        stream
            .set_read_timeout(Some(Duration::from_secs(60)))
            .expect("a timeout");
        let mut answer = Vec::new();
        // Closed, with an answer or without one: an error would be the end of the wait.
        let ended = stream.read_to_end(&mut answer);
        let timed_out = ended.as_ref().is_err_and(|e| {
            matches!(
                e.kind(),
                std::io::ErrorKind::WouldBlock | std::io::ErrorKind::TimedOut
            )
        });
        assert!(!timed_out, "the server holds on to a slow client");
    }
}
