//! Judges many files on several threads; the answer keeps their order.

use super::Format;
use super::job::Job;
use super::progress::Progress;
use super::report::Tally;
use crate::cli::out::Stop;
use crate::syntax::Cache;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc;

/// Files are handed out in packets of this many.
const PACKET: usize = 16;
const MOST_THREADS: usize = 8;

/// Judges every job and hands the pieces of the answer over, in order.
pub fn all(
    jobs: &[Job],
    markets: &[String],
    format: &dyn Format,
    mut say: impl FnMut(String, &Tally) -> Result<(), Stop>,
) -> Result<(), Stop> {
    let packets: Vec<&[Job]> = jobs.chunks(PACKET).collect();
    let threads = std::thread::available_parallelism()
        .map_or(1, usize::from)
        .min(packets.len())
        .min(MOST_THREADS);
    let one = |job: &Job, cache: &mut Cache| {
        let report = job.report(markets, cache);
        (format.file(&report), report.tally())
    };
    if threads <= 1 {
        let mut cache = Cache::new();
        return jobs
            .iter()
            .map(|job| one(job, &mut cache))
            .try_for_each(|(piece, tally)| say(piece, &tally));
    }

    let next = AtomicUsize::new(0);
    let enough = AtomicBool::new(false);
    let (send, receive) = mpsc::channel();
    let mut progress = Progress::new(jobs.len());
    std::thread::scope(|scope| {
        for _ in 0..threads {
            let (send, next, enough, packets, one) = (send.clone(), &next, &enough, &packets, &one);
            scope.spawn(move || {
                let mut cache = Cache::new();
                while !enough.load(Ordering::Relaxed) {
                    let n = next.fetch_add(1, Ordering::Relaxed);
                    let Some(packet) = packets.get(n) else { break };
                    let done: Vec<_> = packet.iter().map(|job| one(job, &mut cache)).collect();
                    if send.send((n, done)).is_err() {
                        break;
                    }
                }
            });
        }
        drop(send);
        // Packets come as they are ready; the early ones wait for those before them.
        let mut waiting = BTreeMap::new();
        let mut due = 0;
        for (n, done) in receive {
            waiting.insert(n, done);
            while let Some(done) = waiting.remove(&due) {
                due += 1;
                for (piece, tally) in done {
                    progress.step();
                    if !piece.is_empty() || !tally.troubles.is_empty() {
                        progress.clear();
                    }
                    if let Err(stop) = say(piece, &tally) {
                        enough.store(true, Ordering::Relaxed);
                        return Err(stop);
                    }
                }
            }
        }
        progress.clear();
        Ok(())
    })
}
