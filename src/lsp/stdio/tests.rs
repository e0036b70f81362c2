//! Bytes cut anywhere, wrong lengths, clients that do not read.

use super::*;
use tokio::io::{AsyncReadExt, AsyncWriteExt};

const HOVER: &str = r#"{"jsonrpc":"2.0","id":1,"method":"hover"}"#;

fn framed(body: &str) -> String {
    format!("Content-Length: {}\r\n\r\n{body}", body.len())
}

/// All messages of an input that comes in these pieces, and why it ended before its end.
fn all(pieces: &[&str]) -> (Vec<String>, Result<(), String>) {
    let (to, mut messages) = mpsc::unbounded_channel();
    let pieces = pieces.iter().map(|p| p.as_bytes());
    let empty: Box<dyn Read> = Box::new(io::empty());
    let input = pieces.fold(empty, |before, piece| Box::new(before.chain(piece)));
    let ended = read_messages(input, &to);
    let mut got = Vec::new();
    while let Ok(message) = messages.try_recv() {
        got.push(String::from_utf8(message).expect("text"));
    }
    (got, ended)
}

/// However the bytes are cut on their way, the same messages come out.
#[test]
fn messages_come_out_whole_wherever_they_are_cut() {
    let sent = format!("{}{}{}", framed(HOVER), framed("not json"), framed(HOVER));
    for cut in 0..sent.len() {
        let got = all(&[&sent[..cut], &sent[cut..]]);
        assert_eq!(
            got,
            (vec![framed(HOVER), framed(HOVER)], Ok(())),
            "cut at {cut}"
        );
    }
}

#[test]
fn other_headers_and_blank_lines_are_passed_over() {
    let sent = format!(
        "\r\n\r\nX-Other: 1\r\ncontent-length: {}\n\n{HOVER}",
        HOVER.len()
    );
    assert_eq!(all(&[&sent]), (vec![framed(HOVER)], Ok(())));
}

/// A length that is too small, too large or no number: what comes behind it cannot be told apart.
#[test]
fn a_wrong_length_is_noticed_at_the_next_message() {
    let with = |length: &str| format!("Content-Length: {length}\r\n\r\n{HOVER}{}", framed(HOVER));
    for (length, words) in [
        ("5", "is no header"),
        ("40", "is no header"),
        ("43", "names no Content-Length"),
        ("-1", "\"-1\" cannot be right"),
        ("a few", "\"a few\" cannot be right"),
        ("99999999999999999999", "cannot be right"),
    ] {
        let lost = all(&[&with(length)]).1.expect_err(length);
        assert!(lost.contains(words), "{length}: {lost}");
    }
    assert!(all(&["x".repeat(MAX_HEADER_LINE + 1).as_str()]).1.is_err());
    assert!(all(&["Content-Type: x\r\n\r\n{}"]).1.is_err());
}

#[test]
fn what_is_no_message_is_passed_over() {
    for none in [
        r#"{"method":"m"}"#,
        r#"{"jsonrpc":"1.0","method":"m"}"#,
        r#"{"jsonrpc":"2.0","id":1}"#,
        "[]",
        "{",
    ] {
        assert!(!is_message(none.as_bytes()), "{none}");
    }
    assert!(is_message(br#"{"jsonrpc":"2.0","id":1,"result":null}"#));
    assert!(is_message(
        br#"{"jsonrpc":"2.0","id":"x","error":{"code":-32601,"message":"no"}}"#
    ));
}

fn runtime() -> tokio::runtime::Runtime {
    tokio::runtime::Builder::new_current_thread()
        .build()
        .expect("a runtime")
}

#[test]
fn the_loop_reads_what_the_thread_has_read() {
    let sent = framed(HOVER).repeat(3);
    let mut input = Input::new(io::Cursor::new(sent.clone().into_bytes()), || {});
    let mut got = String::new();
    runtime()
        .block_on(input.read_to_string(&mut got))
        .expect("read");
    assert_eq!(got, sent);
}

/// A client that reads nothing for a while holds the loop back, and then gets every byte in order.
#[test]
fn nothing_is_lost_while_nobody_reads() {
    let (mut client, server) = io::pipe().expect("a pipe");
    let (mut output, writer) = Output::new(server);
    let long = |c: char| c.to_string().repeat(MAX_WAITING / 2 + 1);
    let texts = ['a', 'b', 'c', 'd'].map(long);
    let all = texts.concat();
    let reader = std::thread::spawn(move || {
        let mut got = String::new();
        client.read_to_string(&mut got).expect("read");
        got
    });
    runtime().block_on(async {
        for text in &texts {
            output.write_all(text.as_bytes()).await.expect("taken");
        }
    });
    output.close();
    writer.join().expect("the writer ends");
    assert!(reader.join().expect("all is read") == all);
    assert_eq!(output.stuck_at(), None);
}

/// Where the client is gone, what is left to say is dropped and nobody waits.
#[test]
fn nobody_waits_for_a_client_that_is_gone() {
    let (client, server) = io::pipe().expect("a pipe");
    drop(client);
    let (mut output, writer) = Output::new(server);
    let text = vec![b'x'; MAX_WAITING];
    runtime().block_on(async {
        for _ in 0..4 {
            output.write_all(&text).await.expect("taken");
        }
    });
    writer.join().expect("the writer has left");
}
