//! Judges many files on all cores; the answer keeps their order.

use super::Format;
use super::job::Job;
use super::progress::Progress;
use super::report::Tally;
use crate::cli::out::CliError;
use crate::kb::Market;
use crate::syntax::Cache;
use rayon::prelude::*;
use std::cell::RefCell;

/// So many files are judged, then said: enough to keep all cores busy, few enough to keep little of the answer in memory.
const BLOCK: usize = 512;

thread_local! {
    /// Lines that this thread has read.
    static LINES: RefCell<Cache> = RefCell::default();
}

/// What is asked for: by whose law, and which rules.
pub struct Wanted<'a> {
    pub markets: &'a [Market],
    /// None named: all of them.
    pub select: &'a [&'static str],
    pub ignore: &'a [&'static str],
}

impl Wanted<'_> {
    fn hears(&self, code: &str) -> bool {
        (self.select.is_empty() || self.select.contains(&code)) && !self.ignore.contains(&code)
    }
}

/// Judges every job and hands the pieces of the answer over, in order.
pub fn all(
    jobs: &[Job],
    wanted: &Wanted<'_>,
    format: &dyn Format,
    mut say: impl FnMut(String, &Tally) -> Result<(), CliError>,
) -> Result<(), CliError> {
    let one = |job: &Job| {
        let mut report = LINES.with_borrow_mut(|lines| job.report(wanted.markets, lines));
        report.findings.retain(|f| wanted.hears(f.code));
        (format.file(&report), report.tally())
    };
    let mut progress = Progress::new(jobs.len());
    for block in jobs.chunks(BLOCK) {
        let done: Vec<(String, Tally)> = match block {
            // Not worth starting threads for.
            [job] => vec![one(job)],
            _ => block.par_iter().map(one).collect(),
        };
        for (piece, tally) in done {
            progress.step();
            if !piece.is_empty() || !tally.troubles.is_empty() {
                progress.clear();
            }
            say(piece, &tally)?;
        }
    }
    progress.clear();
    Ok(())
}
