//! `phasewright open` on a folder of a test, and plain HTTP to speak with it: a browser would not send what has to be refused.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use tempfile::TempDir;

pub struct PageServer {
    process: Child,
    outside: TempDir,
    pub port: u16,
    pub token: String,
}

pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Answer {
    pub fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().find_map(|line| {
            let (key, value) = line.split_once(':')?;
            key.eq_ignore_ascii_case(name).then(|| value.trim())
        })
    }
}

impl PageServer {
    /// Serves a folder with one formula in it. A page of one line stands in for the built one.
    pub fn start() -> PageServer {
        let outside = tempfile::tempdir().expect("a folder");
        let folder = outside.path().join("workshop");
        fs::create_dir_all(&folder).expect("a folder");
        fs::write(folder.join("gel.formula"), "formula \"Gel\"\n").expect("a file");
        fs::write(
            outside.path().join("secret.formula"),
            "formula \"Secret\"\n",
        )
        .expect("a file");
        let page = outside.path().join("page");
        fs::create_dir_all(&page).expect("a folder");
        let html =
            "<!doctype html><meta name=\"phasewright-home\" content=\"browser\"><title>x</title>";
        fs::write(page.join("index.html"), html).expect("a file");
        let mut process = Command::new(env!("CARGO_BIN_EXE_phasewright"))
            .arg("open")
            .arg(&folder)
            .args(["--no-browser", "--page"])
            .arg(&page)
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let said = BufReader::new(process.stdout.take().expect("it is piped"));
        let address = said
            .lines()
            .map_while(Result::ok)
            .find_map(|line| {
                line.trim()
                    .strip_prefix("http://127.0.0.1:")
                    .map(str::to_owned)
            })
            .expect("the address is said");
        let (port, token) = address.split_once('/').expect("port and token");
        PageServer {
            process,
            port: port.parse().expect("a port"),
            token: token.trim_end_matches('/').to_owned(),
            outside,
        }
    }

    pub fn folder(&self) -> PathBuf {
        self.outside.path().join("workshop")
    }

    pub fn outside(&self) -> PathBuf {
        self.outside.path().to_owned()
    }

    pub fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    pub fn connect(&self) -> TcpStream {
        TcpStream::connect(("127.0.0.1", self.port)).expect("it listens")
    }

    /// Sends a request as it is written; none: the server has closed without an answer.
    pub fn send(&self, request: &[u8]) -> Option<Answer> {
        let mut stream = self.connect();
        // It may refuse and close before all is sent.
        let _ = stream.write_all(request);
        let mut bytes = Vec::new();
        let _ = stream.read_to_end(&mut bytes);
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let (head, body) = text.split_once("\r\n\r\n")?;
        let status = head.split(' ').nth(1)?.parse().ok()?;
        Some(Answer {
            status,
            head: head.to_owned(),
            body: body.to_owned(),
        })
    }

    /// A request of the page itself, with more headers.
    pub fn ask(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &str) -> Answer {
        let (token, host) = (&self.token, self.host());
        let mut request = format!("{method} /{token}/{path} HTTP/1.1\r\nconnection: close\r\n");
        if !headers.iter().any(|(name, _)| *name == "host") {
            request += &format!("host: {host}\r\n");
        }
        for (name, value) in headers {
            request += &format!("{name}: {value}\r\n");
        }
        request += &format!("content-length: {}\r\n\r\n{body}", body.len());
        self.send(request.as_bytes()).expect("an answer")
    }
}

impl Drop for PageServer {
    fn drop(&mut self) {
        // It may have ended by itself; either way nothing is left to do.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}
