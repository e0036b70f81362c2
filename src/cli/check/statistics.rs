//! `--statistics`: how often each rule spoke, in place of what it said.

use super::Format;
use super::json::serialized;
use super::report::{Report, Total};
use crate::rules::by_code;
use serde::Serialize;

pub struct Statistics {
    pub json: bool,
}

#[derive(Serialize)]
struct Answer {
    version: u8,
    statistics: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    code: &'static str,
    title: &'static str,
    count: usize,
}

impl Format for Statistics {
    fn file(&self, _: &Report) -> String {
        String::new()
    }

    fn end(&self, total: &Total) -> String {
        let mut rows: Vec<Row> = total
            .by_code
            .iter()
            .map(|(code, count)| Row {
                code,
                title: by_code(code).map_or("", |r| r.title),
                count: *count,
            })
            .collect();
        rows.sort_by(|a, b| b.count.cmp(&a.count).then(a.code.cmp(b.code)));
        if self.json {
            let answer = Answer {
                version: 1,
                statistics: rows,
            };
            return serialized(&answer) + "\n";
        }
        let wide = rows.iter().map(|r| r.code.len()).max().unwrap_or(0);
        rows.iter()
            .map(|r| format!("{:>6}  {:wide$}  {}\n", r.count, r.code, r.title))
            .collect()
    }
}
