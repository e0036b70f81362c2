//! Words of the file inside Markdown.

/// A piece of the file's own text: no mark in it is taken for Markdown, nothing begins a table.
pub fn text(written: &str) -> String {
    let mut out = String::with_capacity(written.len());
    for c in written.chars() {
        match c {
            '*' | '_' | '`' | '<' | '[' | ']' | '\\' | '#' => {
                out.push('\\');
                out.push(c);
            }
            '|' | '\n' | '\r' => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// "1 row", "3 rows".
pub fn count(n: usize, one: &str) -> String {
    if n == 1 {
        format!("1 {one}")
    } else {
        format!("{n} {one}s")
    }
}
