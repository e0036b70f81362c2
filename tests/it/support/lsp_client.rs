//! A small language client. It keeps every message that nobody has asked for, and fails at the end if one is left.

use phasewright::lsp::{Options, serve_on};
use serde_json::{Value, json};
use std::collections::VecDeque;
use std::io::{BufRead, BufReader, Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::thread::JoinHandle;
use std::time::Duration;

/// No answer is ever this late, unless the server hangs.
const HANG: Duration = Duration::from_secs(60);

pub struct Client {
    to: Option<Box<dyn Write + Send>>,
    from: Receiver<Value>,
    kept: VecDeque<Value>,
    next: i64,
    server: Server,
    /// Whether requests of the server are answered.
    pub answers: bool,
    forgot_requests: bool,
    /// What they are answered with.
    pub reply: Value,
}

enum Server {
    Thread(Option<JoinHandle<i32>>),
    Process(Child),
}

impl Client {
    /// A server in this process.
    pub fn here(options: Options) -> Client {
        let (server_in, to) = std::io::pipe().expect("a pipe");
        let (from, server_out) = std::io::pipe().expect("a pipe");
        let thread = std::thread::spawn(move || serve_on(server_in, server_out, options));
        Client::new(Box::new(to), from, Server::Thread(Some(thread)))
    }

    /// The real program.
    pub fn process(command: &mut Command) -> Client {
        let mut child = command
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let (to, from): (ChildStdin, _) = (
            child.stdin.take().expect("piped"),
            child.stdout.take().expect("piped"),
        );
        Client::new(Box::new(to), from, Server::Process(child))
    }

    fn new(to: Box<dyn Write + Send>, from: impl Read + Send + 'static, server: Server) -> Client {
        let (tx, rx) = channel();
        std::thread::spawn(move || {
            let mut from = BufReader::new(from);
            while let Some(message) = read(&mut from) {
                if tx.send(message).is_err() {
                    return;
                }
            }
        });
        Client {
            to: Some(to),
            from: rx,
            kept: VecDeque::new(),
            next: 0,
            server,
            answers: true,
            forgot_requests: false,
            reply: Value::Null,
        }
    }

    pub fn raw(&mut self, bytes: &[u8]) {
        let to = self.to.as_mut().expect("the input is open");
        to.write_all(bytes)
            .and_then(|()| to.flush())
            .expect("the server reads");
    }

    pub fn send(&mut self, message: &Value) {
        let body = message.to_string();
        self.raw(format!("Content-Length: {}\r\n\r\n{body}", body.len()).as_bytes());
    }

    pub fn notify(&mut self, method: &str, params: Value) {
        self.send(&json!({ "jsonrpc": "2.0", "method": method, "params": params }));
    }

    /// Sends a request and gives its number.
    pub fn ask(&mut self, method: &str, params: Value) -> i64 {
        self.next += 1;
        self.send(
            &json!({ "jsonrpc": "2.0", "id": self.next, "method": method, "params": params }),
        );
        self.next
    }

    /// The whole answer to a request.
    pub fn answer(&mut self, id: i64) -> Value {
        self.take(|m| m.get("method").is_none() && m["id"] == id)
    }

    /// The result of a request, which must be no error.
    pub fn request(&mut self, method: &str, params: Value) -> Value {
        let id = self.ask(method, params);
        let answer = self.answer(id);
        assert!(answer.get("error").is_none(), "{method}: {answer}");
        answer["result"].clone()
    }

    /// The first message kept or yet to come that is wanted.
    pub fn take(&mut self, wanted: impl Fn(&Value) -> bool) -> Value {
        if let Some(at) = self.kept.iter().position(&wanted) {
            return self.kept.remove(at).expect("just found");
        }
        loop {
            let message = match self.from.recv_timeout(HANG) {
                Ok(message) => message,
                Err(RecvTimeoutError::Timeout) => panic!("the server hangs; kept: {:?}", self.kept),
                Err(RecvTimeoutError::Disconnected) => {
                    panic!("the server is gone; kept: {:?}", self.kept)
                }
            };
            if message.get("method").is_some() && message.get("id").is_some() && self.answers {
                let reply = json!({ "jsonrpc": "2.0", "id": message["id"], "result": self.reply });
                self.send(&reply);
            }
            if wanted(&message) {
                return message;
            }
            self.kept.push_back(message);
        }
    }

    /// The next push for a document.
    pub fn pushed(&mut self, uri: &str) -> Push {
        let message = self.take(|m| {
            m["method"] == "textDocument/publishDiagnostics" && m["params"]["uri"] == uri
        });
        let params = &message["params"];
        let all = params["diagnostics"].as_array().expect("an array").clone();
        Push {
            version: params["version"].as_i64(),
            faults: all.iter().filter(|d| is_fault(d)).cloned().collect(),
            all,
        }
    }

    /// Pushes up to that of a version; the ones before are for older texts.
    pub fn pushed_for(&mut self, uri: &str, version: i64) -> Push {
        loop {
            let push = self.pushed(uri);
            match push.version {
                Some(v) if v == version => return push,
                Some(v) => assert!(v < version, "diagnostics of a text that was never sent"),
                None => panic!("an open document's diagnostics name their version"),
            }
        }
    }

    /// Drops what was pushed for this document and not looked at.
    pub fn forget_pushes(&mut self, uri: &str) {
        self.kept.retain(|m| {
            m["method"] != "textDocument/publishDiagnostics" || m["params"]["uri"] != uri
        });
    }

    pub fn start(&mut self, hello: Value) -> Value {
        let answer = self.request("initialize", hello);
        self.notify("initialized", json!({}));
        answer
    }

    pub fn open(&mut self, uri: &str, language: &str, text: &str) {
        self.notify("textDocument/didOpen", json!({ "textDocument": { "uri": uri, "languageId": language, "version": 1, "text": text } }));
    }

    pub fn change(&mut self, uri: &str, version: i64, changes: Value) {
        self.notify("textDocument/didChange", json!({ "textDocument": { "uri": uri, "version": version }, "contentChanges": changes }));
    }

    pub fn close(&mut self, uri: &str) {
        self.notify(
            "textDocument/didClose",
            json!({ "textDocument": { "uri": uri } }),
        );
    }

    pub fn save(&mut self, uri: &str) {
        self.notify(
            "textDocument/didSave",
            json!({ "textDocument": { "uri": uri } }),
        );
    }

    pub fn pull(&mut self, uri: &str) -> Value {
        self.request(
            "textDocument/diagnostic",
            json!({ "textDocument": { "uri": uri } }),
        )
    }

    /// Drops the requests of the server that were not looked at.
    pub fn forget_requests(&mut self) {
        self.kept.retain(|m| m.get("id").is_none());
        self.forgot_requests = true;
    }

    /// Leaves by the book, whatever was left unread.
    pub fn leave_unread(mut self) {
        self.request("shutdown", Value::Null);
        self.send(&json!({ "jsonrpc": "2.0", "method": "exit" }));
        self.rest();
        assert_eq!(self.status(), 0);
    }

    /// Leaves by the book; fails if a message was left unread or the status is not 0.
    pub fn leave(mut self) {
        assert_eq!(self.request("shutdown", Value::Null), Value::Null);
        self.send(&json!({ "jsonrpc": "2.0", "method": "exit" }));
        // The server asks to have files watched when it likes; who has forgotten its requests may meet that one late.
        let mut left = self.rest();
        left.retain(|m| m["method"] != "client/registerCapability" || !self.forgot_requests);
        assert!(left.is_empty(), "left unread: {left:?}");
        assert_eq!(self.status(), 0);
    }

    /// Everything that still comes, until the server closes its output.
    pub fn rest(&mut self) -> Vec<Value> {
        let mut left: Vec<Value> = self.kept.drain(..).collect();
        loop {
            match self.from.recv_timeout(HANG) {
                Ok(message) => left.push(message),
                Err(RecvTimeoutError::Disconnected) => return left,
                Err(RecvTimeoutError::Timeout) => panic!("the server does not leave"),
            }
        }
    }

    pub fn close_input(&mut self) {
        self.to = None;
    }

    /// The status of the server, once its output is closed.
    pub fn status(&mut self) -> i32 {
        match &mut self.server {
            Server::Thread(thread) => thread
                .take()
                .expect("asked once")
                .join()
                .expect("the server does not panic"),
            Server::Process(child) => child
                .wait()
                .expect("the process can be waited for")
                .code()
                .expect("it ends by itself"),
        }
    }
}

pub struct Push {
    pub version: Option<i64>,
    /// Errors and warnings; hints come and go with what the rules know, and most tests are about faults.
    pub faults: Vec<Value>,
    pub all: Vec<Value>,
}

pub fn is_fault(diagnostic: &Value) -> bool {
    diagnostic["severity"].as_u64().is_some_and(|s| s <= 2)
}

fn read(from: &mut impl BufRead) -> Option<Value> {
    let mut length = 0;
    loop {
        let mut line = String::new();
        if from.read_line(&mut line).ok()? == 0 {
            return None;
        }
        let line = line.trim();
        if line.is_empty() {
            break;
        }
        if let Some(n) = line.strip_prefix("Content-Length: ") {
            length = n.parse().expect("a length");
        }
    }
    let mut body = vec![0; length];
    from.read_exact(&mut body).ok()?;
    Some(serde_json::from_slice(&body).expect("the server writes JSON"))
}

/// What a full client declares.
pub fn full_client() -> Value {
    json!({
        "processId": null,
        "clientInfo": { "name": "tests" },
        "capabilities": {
            "general": { "positionEncodings": ["utf-16"] },
            "workspace": {
                "workspaceEdit": { "documentChanges": true },
                "didChangeWatchedFiles": { "dynamicRegistration": false },
            },
            "textDocument": {
                "publishDiagnostics": { "relatedInformation": true, "versionSupport": true, "tagSupport": { "valueSet": [1, 2] } },
                "hover": { "contentFormat": ["markdown", "plaintext"] },
                "completion": { "completionItem": { "snippetSupport": true, "documentationFormat": ["markdown"], "resolveSupport": { "properties": ["documentation"] } } },
                "documentSymbol": { "hierarchicalDocumentSymbolSupport": true },
            },
        },
    })
}

/// The same with some keys in another way.
pub fn client_with(changes: &[(&str, Value)]) -> Value {
    let mut hello = full_client();
    for (path, value) in changes {
        let mut at = &mut hello;
        for part in path.split('/') {
            at = &mut at[part];
        }
        *at = value.clone();
    }
    hello
}

/// What a real client sent as `initialize`, by its name.
pub const REAL_CLIENTS: [(&str, &str); 10] = [
    ("ale", include_str!("clients/ale.json")),
    ("codemirror", include_str!("clients/codemirror.json")),
    ("eglot", include_str!("clients/eglot.json")),
    ("fresh", include_str!("clients/fresh.json")),
    ("kak", include_str!("clients/kak.json")),
    ("kate", include_str!("clients/kate.json")),
    ("lspmode", include_str!("clients/lspmode.json")),
    ("nvim-0.11.4", include_str!("clients/nvim-0.11.4.json")),
    ("nvim-0.7.2", include_str!("clients/nvim-0.7.2.json")),
    ("vscode", include_str!("clients/vscode.json")),
];

pub fn real_client(name: &str) -> Value {
    let found = REAL_CLIENTS.iter().find(|(n, _)| *n == name);
    serde_json::from_str(found.expect("a client that was recorded").1).expect("JSON")
}

/// A folder of this test, emptied.
pub fn folder(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"))
        .join("lsp")
        .join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("the folder can be made");
    folder
}

pub fn uri(path: &Path) -> String {
    format!("file://{}", path.display())
}

/// The codes of diagnostics with their lines.
pub fn codes(diagnostics: &[Value]) -> Vec<(u64, String)> {
    diagnostics
        .iter()
        .map(|d| {
            (
                d["range"]["start"]["line"].as_u64().expect("a line"),
                d["code"].as_str().unwrap_or("").to_owned(),
            )
        })
        .collect()
}

/// A sound hand gel, but for more phenoxyethanol than the EU allows on line 9. An é and an emoji stand left of it.
pub const GEL: &str = "\
formula \"Hand gel\"
  product: hand cream, leave-on
  type: gel
  pH: 5.0 to 5.4
  sold in: EU

phase A
  water                                    q.s.
  glycerin                                 5 %
  xanthan gum                              0.5 %
  phenoxyethanol                           1.2 %
";
pub const GEL_FAULT: u64 = 10;
