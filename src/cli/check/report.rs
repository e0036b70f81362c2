//! What was found in one file, and in all.

use crate::chem::date::Date;
use crate::cli::Status;
use crate::cli::files::{FileError, shown};
use crate::kb::{Kb, Market};
use crate::rules::{Finding, Severity};
use crate::syntax::Tree;
use std::collections::BTreeMap;
use std::path::PathBuf;

pub struct Report {
    pub path: PathBuf,
    /// The name that the formula gives itself.
    pub name: Option<String>,
    pub findings: Vec<Finding>,
    pub source: SourceText,
    pub trouble: Option<FileError>,
    /// The markets whose law was asked.
    pub markets: Vec<Market>,
}

impl Report {
    pub fn troubled(trouble: FileError) -> Report {
        Report {
            path: trouble.path.clone(),
            name: None,
            findings: Vec::new(),
            source: SourceText::None,
            trouble: Some(trouble),
            markets: Vec::new(),
        }
    }

    pub fn shown(&self) -> String {
        shown(&self.path)
    }

    pub fn tally(&self) -> Tally {
        let mut tally = Tally {
            files: 1,
            ..Tally::default()
        };
        for f in &self.findings {
            tally.by_level[f.severity as usize] += 1;
            *tally.by_code.entry(f.code).or_default() += 1;
        }
        for (n, market) in Market::ALL.iter().enumerate() {
            tally.markets[n] = self.markets.contains(market);
        }
        tally.troubles.extend(self.trouble.clone());
        tally
    }
}

/// The text that the findings point into.
pub enum SourceText {
    Tree(Tree),
    Lines(Vec<String>),
    None,
}

impl SourceText {
    /// A line (from 0).
    pub fn line(&self, n: u32) -> &str {
        match self {
            SourceText::Tree(tree) => tree
                .lines
                .get(n as usize)
                .map_or("", |at| at.line.text.as_str()),
            SourceText::Lines(lines) => lines.get(n as usize).map_or("", String::as_str),
            SourceText::None => "",
        }
    }

    pub fn count(&self) -> u32 {
        match self {
            SourceText::Tree(tree) => tree.lines.len() as u32,
            SourceText::Lines(lines) => lines.len() as u32,
            SourceText::None => 0,
        }
    }
}

/// Counts of one file or of several.
#[derive(Default)]
pub struct Tally {
    pub files: usize,
    /// By severity, quiet to loud.
    pub by_level: [usize; 4],
    pub by_code: BTreeMap<&'static str, usize>,
    pub markets: [bool; 4],
    pub troubles: Vec<FileError>,
}

/// Counts of all files.
#[derive(Default)]
pub struct Total {
    pub files: usize,
    pub by_level: [usize; 4],
    pub by_code: BTreeMap<&'static str, usize>,
    pub unreadable: usize,
    markets: [bool; 4],
}

impl Total {
    pub fn add(&mut self, tally: &Tally) {
        self.files += tally.files;
        self.unreadable += tally.troubles.len();
        for (code, count) in &tally.by_code {
            *self.by_code.entry(*code).or_default() += count;
        }
        for (n, count) in tally.by_level.iter().enumerate() {
            self.by_level[n] += count;
            self.markets[n] |= tally.markets[n];
        }
    }

    pub fn count(&self, severity: Severity) -> usize {
        self.by_level[severity as usize]
    }

    /// The markets whose law was asked, with the date of the text.
    pub fn law(&self) -> Vec<(Market, Date)> {
        let asked: Vec<Market> = Market::ALL
            .into_iter()
            .zip(self.markets)
            .filter(|(_, asked)| *asked)
            .map(|(market, _)| market)
            .collect();
        Kb::bundled()
            .laws_of(&asked)
            .map(|l| (l.market, l.as_of))
            .collect()
    }

    pub fn status(&self, deny: Severity) -> Status {
        if self.unreadable > 0 {
            Status::Failed
        } else if Severity::ALL
            .iter()
            .any(|s| *s >= deny && self.count(*s) > 0)
        {
            Status::Found
        } else {
            Status::Clean
        }
    }
}
