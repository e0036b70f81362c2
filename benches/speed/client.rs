//! A client of the protocol: one thread, one message at a time, so that nothing of its own is measured.

use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::path::PathBuf;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::time::Instant;

/// Line and byte of a place where a figure may be typed. The documents hold nothing but ASCII before it.
pub type Place = (usize, usize);

pub struct Client {
    process: Child,
    input: ChildStdin,
    output: BufReader<ChildStdout>,
    began: Instant,
    /// Answered where the server asks for settings.
    settings: Value,
    folder: PathBuf,
    uri: String,
    version: i64,
    asked: i64,
    /// It answers to pulls; else it pushes.
    pulls: bool,
    pub completes: bool,
}

fn ms(since: Instant) -> f64 {
    since.elapsed().as_secs_f64() * 1e3
}

impl Client {
    pub fn start(command: &[String], settings: Value) -> Client {
        let folder = std::env::temp_dir().join(format!("speed-{}", std::process::id()));
        std::fs::create_dir_all(&folder).expect("a folder for the documents");
        let began = Instant::now();
        let mut process = Command::new(&command[0])
            .args(&command[1..])
            .current_dir(&folder)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the server starts");
        let input = process.stdin.take().expect("it was piped");
        let output = BufReader::new(process.stdout.take().expect("it was piped"));
        let (uri, version, asked) = (String::new(), 0, 0);
        let (pulls, completes) = (false, false);
        Client {
            process,
            input,
            output,
            began,
            settings,
            folder,
            uri,
            version,
            asked,
            pulls,
            completes,
        }
    }

    /// Milliseconds from the start of the process to the answer.
    pub fn initialize(&mut self) -> f64 {
        let root = format!("file://{}", self.folder.display());
        let answer = self.request(
            "initialize",
            json!({
                "processId": std::process::id(),
                "rootUri": root,
                "workspaceFolders": [{ "uri": root, "name": "speed" }],
                "capabilities": {
                    "textDocument": {
                        "diagnostic": {},
                        "publishDiagnostics": { "versionSupport": true },
                        "completion": { "contextSupport": true },
                    },
                    "workspace": { "configuration": true, "diagnostics": { "refreshSupport": true } },
                },
            }),
        );
        let took = ms(self.began);
        let offers = &answer["capabilities"];
        self.pulls = offers["diagnosticProvider"].is_object();
        self.completes = offers["completionProvider"].is_object();
        self.notify("initialized", json!({}));
        let settings = self.settings.clone();
        self.notify(
            "workspace/didChangeConfiguration",
            json!({ "settings": settings }),
        );
        took
    }

    pub fn open(&mut self, language: &str, ending: &str, text: &str) {
        let path = self.folder.join(format!("document.{ending}"));
        std::fs::write(&path, text).expect("the document can be written");
        self.uri = format!("file://{}", path.display());
        self.version = 1;
        let document =
            json!({ "uri": self.uri, "languageId": language, "version": 1, "text": text });
        self.notify("textDocument/didOpen", json!({ "textDocument": document }));
    }

    /// Until the diagnostics of the newest version are there.
    pub fn diagnostics_ms(&mut self) -> f64 {
        let began = Instant::now();
        self.diagnostics();
        ms(began)
    }

    fn diagnostics(&mut self) {
        if self.pulls {
            let asked = json!({ "textDocument": { "uri": self.uri } });
            // A server may call off a pull by itself, and is asked again.
            while self
                .request("textDocument/diagnostic", asked.clone())
                .is_null()
            {}
            return;
        }
        loop {
            let message = self.receive();
            let params = &message["params"];
            if message["method"] == "textDocument/publishDiagnostics"
                && params["uri"] == self.uri
                && params["version"].as_i64().is_none_or(|v| v >= self.version)
            {
                return;
            }
        }
    }

    fn change(&mut self, (line, from): Place, to: usize, text: &str) {
        self.version += 1;
        let range = json!({ "start": { "line": line, "character": from }, "end": { "line": line, "character": to } });
        self.notify(
            "textDocument/didChange",
            json!({
                "textDocument": { "uri": self.uri, "version": self.version },
                "contentChanges": [{ "range": range, "text": text }],
            }),
        );
    }

    /// A figure typed and taken out again, each up to the diagnostics.
    pub fn edit_there_and_back(&mut self, at: Place) -> [f64; 2] {
        [(at.1, "9"), (at.1 + 1, "")].map(|(to, text)| {
            let began = Instant::now();
            self.change(at, to, text);
            self.diagnostics();
            ms(began)
        })
    }

    /// A letter is typed and completion asked for at once, as editors do.
    pub fn completion_after_key(&mut self, at: Place) -> f64 {
        let began = Instant::now();
        self.change(at, at.1, "a");
        let place = json!({ "line": at.0, "character": at.1 + 1 });
        self.request(
            "textDocument/completion",
            json!({ "textDocument": { "uri": self.uri }, "position": place, "context": { "triggerKind": 1 } }),
        );
        let took = ms(began);
        self.change(at, at.1 + 1, "");
        self.diagnostics();
        took
    }

    /// Edits without waiting, up to the diagnostics of the last.
    pub fn burst(&mut self, places: &[Place], edits: usize) -> f64 {
        let began = Instant::now();
        for at in places.iter().cycle().take(edits / 2) {
            self.change(*at, at.1, "9");
            self.change(*at, at.1 + 1, "");
        }
        self.diagnostics();
        ms(began)
    }

    pub fn most_memory_mb(&self) -> f64 {
        most_memory_mb(self.process.id())
    }

    /// Processor time of its threads so far.
    pub fn processor_ms(&self) -> f64 {
        let tasks = std::fs::read_dir(format!("/proc/{}/task", self.process.id()));
        let nanoseconds = |task: std::fs::DirEntry| {
            let text = std::fs::read_to_string(task.path().join("schedstat")).ok()?;
            text.split(' ').next()?.parse::<f64>().ok()
        };
        tasks
            .into_iter()
            .flatten()
            .flatten()
            .filter_map(nanoseconds)
            .sum::<f64>()
            / 1e6
    }

    pub fn stop(mut self) {
        self.request("shutdown", Value::Null);
        self.notify("exit", Value::Null);
        let _ = self.process.wait();
        let _ = std::fs::remove_dir_all(&self.folder);
    }

    fn notify(&mut self, method: &str, params: Value) {
        self.send(&json!({ "jsonrpc": "2.0", "method": method, "params": params }));
    }

    /// The result; nothing where the server answers with an error.
    fn request(&mut self, method: &str, params: Value) -> Value {
        self.asked += 1;
        let id = self.asked;
        self.send(&json!({ "jsonrpc": "2.0", "id": id, "method": method, "params": params }));
        loop {
            let mut message = self.receive();
            if message["id"] == id && message.get("method").is_none() {
                return message["result"].take();
            }
        }
    }

    fn send(&mut self, message: &Value) {
        let body = message.to_string();
        let whole = format!("Content-Length: {}\r\n\r\n{body}", body.len());
        self.input
            .write_all(whole.as_bytes())
            .expect("the server reads");
    }

    /// The next message; what the server asks is answered on the way.
    fn receive(&mut self) -> Value {
        let mut length = 0;
        loop {
            let mut header = String::new();
            let read = self
                .output
                .read_line(&mut header)
                .expect("the server writes");
            assert!(read > 0, "the server has ended");
            match header.trim_end().split_once(": ") {
                Some((name, value)) if name.eq_ignore_ascii_case("content-length") => {
                    length = value.parse().expect("a length");
                }
                Some(_) => {}
                None => break,
            }
        }
        let mut body = vec![0; length];
        self.output.read_exact(&mut body).expect("a whole message");
        let message: Value = serde_json::from_slice(&body).expect("a message is JSON");
        if let (Some(id), Some(method)) = (message.get("id"), message.get("method")) {
            let result = match method.as_str() {
                Some("workspace/configuration") => {
                    let items = message["params"]["items"].as_array().map_or(0, Vec::len);
                    json!(vec![self.settings.clone(); items])
                }
                _ => Value::Null,
            };
            self.send(&json!({ "jsonrpc": "2.0", "id": id, "result": result }));
        }
        message
    }
}

/// The most memory that a process has had resident; nothing where the system does not tell.
pub fn most_memory_mb(process: u32) -> f64 {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    let kb = line.and_then(|l| l.trim().trim_end_matches(" kB").parse::<f64>().ok());
    kb.unwrap_or_default() / 1024.0
}
