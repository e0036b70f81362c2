//! Messages in. A thread reads them, or, from standard input on Linux, the loop itself (`stdin`).

use super::frames::{Frames, PIECE};
use super::guard::Lifecycle;
use serde::{Deserialize, Deserializer};
use serde_json::Value;
use std::io::{self, Read};
use std::sync::Arc;
use std::task::{Context, Poll};
use tokio::sync::mpsc;
use tower_lsp::jsonrpc::{Id, Request, Response};

#[derive(Debug, PartialEq)]
pub(super) enum Message {
    /// With or without an answer.
    Request(Request),
    /// The client's answer.
    Response(Response),
}

#[derive(Deserialize)]
struct RawRequest {
    jsonrpc: String,
    #[serde(default)]
    method: Option<String>,
    #[serde(default, deserialize_with = "given")]
    id: Option<Id>,
    #[serde(default, deserialize_with = "given")]
    params: Option<Value>,
}

/// Null is something that is given.
fn given<'de, T: Deserialize<'de>, D: Deserializer<'de>>(from: D) -> Result<Option<T>, D::Error> {
    T::deserialize(from).map(Some)
}

/// Reads the body of a message. A malformed one is logged to stderr and skipped.
pub(super) fn message(body: &[u8]) -> Option<Message> {
    let read = serde_json::from_slice::<RawRequest>(body)
        .ok()
        .filter(|asked| asked.jsonrpc == "2.0")
        .and_then(|asked| match asked.method {
            Some(method) => {
                let request = Request::build(method);
                let request = asked
                    .params
                    .into_iter()
                    .fold(request, |r, params| r.params(params));
                Some(Message::Request(
                    asked
                        .id
                        .into_iter()
                        .fold(request, |r, id| r.id(id))
                        .finish(),
                ))
            }
            None => serde_json::from_slice(body).ok().map(Message::Response),
        });
    if read.is_none() {
        eprintln!("phasewright: a message that is not JSON-RPC was passed over");
    }
    read
}

/// Where the messages come from.
pub(super) enum Input {
    /// Standard input, waited for by the loop itself where the system can: one thread less to wake for every message.
    Stdin,
    Reader(Box<dyn Read + Send>),
}

impl Input {
    pub(super) fn stdin() -> Input {
        if cfg!(target_os = "linux") {
            Input::Stdin
        } else {
            Input::Reader(Box::new(io::stdin()))
        }
    }

    pub(super) fn reader(input: impl Read + Send + 'static) -> Input {
        Input::Reader(Box::new(input))
    }
}

/// The messages as they come.
pub(super) enum Messages {
    #[cfg(target_os = "linux")]
    Direct(super::stdin::Stdin),
    FromThread(mpsc::Receiver<Message>),
}

impl Messages {
    /// Inside the runtime.
    pub(super) fn of(input: Input, life: &Arc<Lifecycle>) -> Messages {
        let input: Box<dyn Read + Send> = match input {
            #[cfg(target_os = "linux")]
            Input::Stdin => match super::stdin::Stdin::new(life.clone()) {
                Ok(stdin) => return Messages::Direct(stdin),
                // A plain file cannot be waited for.
                Err(_) => Box::new(io::stdin()),
            },
            #[cfg(not(target_os = "linux"))]
            Input::Stdin => Box::new(io::stdin()),
            Input::Reader(input) => input,
        };
        let (to, messages) = mpsc::channel(256);
        let life = life.clone();
        std::thread::spawn(move || {
            read_messages(input, &to);
            life.request_exit();
        });
        Messages::FromThread(messages)
    }

    pub(super) fn poll_next(&mut self, cx: &mut Context<'_>) -> Poll<Option<Message>> {
        match self {
            #[cfg(target_os = "linux")]
            Messages::Direct(stdin) => stdin.poll_next(cx),
            Messages::FromThread(messages) => messages.poll_recv(cx),
        }
    }
}

/// Reads message after message until the input ends.
fn read_messages(mut input: impl Read, to: &mpsc::Sender<Message>) {
    let mut frames = Frames::default();
    let mut piece = vec![0; PIECE];
    loop {
        match frames.next() {
            Ok(Some(message)) => {
                if to.blocking_send(message).is_err() {
                    return;
                }
                continue;
            }
            Ok(None) => {}
            Err(lost) => return eprintln!("phasewright: {lost}"),
        }
        match input.read(&mut piece) {
            Ok(0) => return,
            Ok(n) => frames.bytes.extend(&piece[..n]),
            Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
            Err(e) => return eprintln!("phasewright: the input cannot be read: {e}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn read(value: &Value) -> Option<Message> {
        message(value.to_string().as_bytes())
    }

    #[test]
    fn requests_and_notifications_keep_what_is_given() {
        for (id, params) in [
            (Some(json!(7)), Some(json!({ "a": [1] }))),
            (Some(json!("x")), None),
            (None, Some(Value::Null)),
        ] {
            let mut sent = json!({ "jsonrpc": "2.0", "method": "m" });
            sent.as_object_mut().expect("an object").extend(
                [("id", &id), ("params", &params)]
                    .into_iter()
                    .filter_map(|(key, value)| Some((key.to_owned(), value.clone()?))),
            );
            let Some(Message::Request(got)) = read(&sent) else {
                panic!("{sent} is a request")
            };
            assert_eq!(serde_json::to_value(&got).expect("written"), sent);
        }
    }

    #[test]
    fn answers_of_the_client_are_told_from_requests() {
        assert!(matches!(
            read(&json!({ "jsonrpc": "2.0", "id": 1, "result": null })),
            Some(Message::Response(_))
        ));
        let refused =
            json!({ "jsonrpc": "2.0", "id": 1, "error": { "code": -32601, "message": "no" } });
        assert!(matches!(read(&refused), Some(Message::Response(r)) if r.is_error()));
    }

    #[test]
    fn what_is_no_message_is_passed_over() {
        for none in [
            json!({ "method": "m" }),
            json!({ "jsonrpc": "1.0", "method": "m" }),
            json!({ "jsonrpc": "2.0", "id": 1 }),
            json!([]),
        ] {
            assert_eq!(read(&none), None, "{none}");
        }
        assert_eq!(message(b"{"), None);
    }
}
