//! Somebody who types in an editor with a language server, and counts the keys.

use super::lsp_client::Client;
use serde_json::{Value, json};

/// One file in the editor, the cursor in it, and the keys that were pressed so far.
pub struct Typist<'a> {
    client: &'a mut Client,
    uri: String,
    version: i64,
    pub text: String,
    /// A byte of the text.
    cursor: usize,
    pub keys: usize,
}

impl<'a> Typist<'a> {
    pub fn open(client: &'a mut Client, uri: &str, language: &str, text: &str) -> Typist<'a> {
        client.open(uri, language, text);
        Typist {
            client,
            uri: uri.to_owned(),
            version: 1,
            text: text.to_owned(),
            cursor: 0,
            keys: 0,
        }
    }

    /// Puts a text in place of some bytes, the cursor behind it. Presses no key.
    fn put(&mut self, range: std::ops::Range<usize>, new: &str) {
        self.text.replace_range(range.clone(), new);
        self.cursor = range.start + new.len();
        self.version += 1;
        let text = self.text.clone();
        self.client
            .change(&self.uri, self.version, json!([{ "text": text }]));
    }

    /// Types letters, each a key.
    pub fn types(&mut self, letters: &str) -> &mut Self {
        self.keys += letters.chars().count();
        self.put(self.cursor..self.cursor, letters);
        self
    }

    /// The key that finds the next `?` and selects it; what is typed then takes its place.
    pub fn next_open_weight(&mut self) -> &mut Self {
        self.keys += 1;
        let from = self.text[self.cursor..]
            .find("? of")
            .expect("a weight is open")
            + self.cursor;
        self.put(from..from + 1, "");
        self
    }

    /// The key that goes to the end of the text.
    pub fn end_of_file(&mut self) -> &mut Self {
        self.keys += 1;
        self.cursor = self.text.len();
        self
    }

    /// The key that goes to the end of the line.
    pub fn end_of_line(&mut self) -> &mut Self {
        self.keys += 1;
        let rest = self.text[self.cursor..].find('\n');
        self.cursor = rest.map_or(self.text.len(), |n| self.cursor + n);
        self
    }

    /// A new line with the indentation of the one above, as editors begin it.
    pub fn enter(&mut self) -> &mut Self {
        self.keys += 1;
        let line = self.text[..self.cursor].rsplit('\n').next().unwrap_or("");
        let indent: String = line.chars().take_while(|c| *c == ' ').collect();
        self.put(self.cursor..self.cursor, &format!("\n{indent}"));
        self
    }

    /// Takes the two blanks of an indentation away: one key in an editor that indents.
    pub fn dedent(&mut self) -> &mut Self {
        self.keys += 1;
        assert!(
            self.text[..self.cursor].ends_with("  "),
            "the line is indented"
        );
        self.put(self.cursor - 2..self.cursor, "");
        self
    }

    fn position(&self) -> Value {
        let before = &self.text[..self.cursor];
        let line = before.matches('\n').count();
        let column = before
            .rsplit('\n')
            .next()
            .unwrap_or("")
            .encode_utf16()
            .count();
        json!({ "line": line, "character": column })
    }

    fn offset(&self, at: &Value) -> usize {
        let line = at["line"].as_u64().expect("a line") as usize;
        let column = at["character"].as_u64().expect("a column") as usize;
        let start: usize = self
            .text
            .split_inclusive('\n')
            .take(line)
            .map(str::len)
            .sum();
        let mut units = 0;
        let rest = &self.text[start..];
        let byte = rest.char_indices().find(|(_, c)| {
            let found = units >= column;
            units += c.len_utf16();
            found
        });
        start + byte.map_or(rest.len(), |(n, _)| n)
    }

    /// Asks for completion and takes the offer that begins so: the keys to ask, to go down to it, and to take it.
    pub fn takes(&mut self, label: &str) -> &mut Self {
        let list = self.client.request(
            "textDocument/completion",
            json!({ "textDocument": { "uri": self.uri }, "position": self.position(), "context": { "triggerKind": 1 } }),
        );
        let items = list["items"].as_array().expect("a list");
        let labels: Vec<&str> = items.iter().filter_map(|i| i["label"].as_str()).collect();
        let found = labels.iter().position(|l| l.contains(label));
        let at = found.unwrap_or_else(|| panic!("no \"{label}\" among {labels:?}\n{}", self.text));
        self.keys += 2 + at;
        let edit = &items[at]["textEdit"];
        let range = self.offset(&edit["range"]["start"])..self.offset(&edit["range"]["end"]);
        let new = edit["newText"].as_str().expect("a text");
        let (text, stop) = match new.split_once("${1:") {
            Some((before, rest)) => {
                let (inside, after) = rest.split_once('}').expect("it is closed");
                (format!("{before}{after}"), before.len() + inside.len())
            }
            None => (new.to_owned(), new.len()),
        };
        let start = range.start;
        self.put(range, &text);
        self.cursor = start + stop;
        self
    }
}
