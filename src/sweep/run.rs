//! Builds rows on all cores and stores them in order.
//!
//! Each worker builds whole variants in its own pool of one thread, so that no worker waits for another's loops. Rows
//! are stored in the order of their numbers whichever is finished first; workers run ahead of the store by at most a
//! fixed number, so that memory is bounded.

use std::collections::BTreeMap;
use std::ops::Range;
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Condvar, Mutex, PoisonError};

use super::plan::Plan;
use super::row::SweepRow;
use super::store::{Store, StoreError};
use super::variant::{Maker, Variant};

/// Rows that each worker may be ahead of the store.
const AHEAD: u64 = 8;

/// What to run.
pub struct Job<'a> {
    /// The sweep.
    pub plan: &'a Plan,
    /// Where it is kept.
    pub folder: &'a Path,
    /// Which of its rows.
    pub range: Range<u64>,
    /// Whether the folder may hold some of them.
    pub resume: bool,
    /// Workers.
    pub threads: usize,
    /// Set from outside to end the run early.
    pub stop: &'a AtomicBool,
    /// Called with each part before its row is stored.
    pub look: &'a (dyn Fn(&SweepRow, &Variant) + Sync),
}

/// The progress of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Rows stored in all.
    pub stored: u64,
    /// Rows made by this run.
    pub made: u64,
    /// Rows wanted.
    pub wanted: u64,
}

/// Part of a range that a shard makes: `number` of `of`, from 1.
pub fn shard(rows: u64, number: u64, of: u64) -> Range<u64> {
    let edge = |k: u64| (u128::from(rows) * u128::from(k) / u128::from(of)) as u64;
    edge(number - 1)..edge(number)
}

/// Starts or resumes a sweep; returns whether all rows are there.
///
/// # Errors
/// If the folder cannot be used.
pub fn run(job: &Job, tell: &mut dyn FnMut(Progress)) -> Result<bool, StoreError> {
    let mut store = Store::open(job.folder, job.plan, job.range.clone(), job.resume)?;
    let first = store.next();
    let gate = Gate { stored: Mutex::new(first), moved: Condvar::new() };
    let next = AtomicU64::new(first);
    let threads = job.threads.max(1).min(usize::try_from(job.range.end - first).unwrap_or(usize::MAX).max(1));
    let ahead = AHEAD * threads as u64;
    let outcome = std::thread::scope(|scope| {
        let (send, receive) = channel();
        for _ in 0..threads {
            let (send, gate, next) = (send.clone(), &gate, &next);
            scope.spawn(move || alone(|| work(job, next, gate, ahead, &send)));
        }
        drop(send);
        let stored = take(job, first, &receive, &gate, &mut store, tell);
        // However the run ended, workers must not wait for rows that are no longer stored.
        job.stop.fetch_or(stored.is_err(), Ordering::Relaxed);
        gate.open(u64::MAX);
        stored
    });
    outcome?;
    store.finish()?;
    Ok(store.next() >= job.range.end)
}

/// Stores rows in order as they arrive; early rows wait.
fn take(
    job: &Job,
    first: u64,
    receive: &Receiver<SweepRow>,
    gate: &Gate,
    store: &mut Store,
    tell: &mut dyn FnMut(Progress),
) -> Result<(), StoreError> {
    let mut early: BTreeMap<u64, SweepRow> = BTreeMap::new();
    let wanted = job.range.end - job.range.start;
    let progress = |next: u64| Progress { stored: next - job.range.start, made: next - first, wanted };
    tell(progress(first));
    for row in receive {
        early.insert(row.index, row);
        while let Some(row) = early.remove(&store.next()) {
            store.push(row)?;
            gate.open(store.next());
            tell(progress(store.next()));
        }
    }
    Ok(())
}

/// Runs work in a pool of one thread: its inner loops stay on that thread.
pub(super) fn alone(work: impl FnOnce() + Send) {
    match rayon::ThreadPoolBuilder::new().num_threads(1).build() {
        Ok(pool) => pool.install(work),
        Err(_) => work(),
    }
}

fn work(job: &Job, next: &AtomicU64, gate: &Gate, ahead: u64, send: &Sender<SweepRow>) {
    let mut maker = Maker::default();
    while !job.stop.load(Ordering::Relaxed) {
        let index = next.fetch_add(1, Ordering::Relaxed);
        if index >= job.range.end {
            return;
        }
        gate.wait_for(index.saturating_sub(ahead));
        if job.stop.load(Ordering::Relaxed) {
            return;
        }
        let row = maker.row(job.plan, index, &mut |row, made| (job.look)(row, made));
        if send.send(row).is_err() {
            return;
        }
    }
}

/// The number of stored rows, for workers that are far ahead.
struct Gate {
    stored: Mutex<u64>,
    moved: Condvar,
}

impl Gate {
    fn open(&self, stored: u64) {
        *self.stored.lock().unwrap_or_else(PoisonError::into_inner) = stored;
        self.moved.notify_all();
    }

    fn wait_for(&self, row: u64) {
        let stored = self.stored.lock().unwrap_or_else(PoisonError::into_inner);
        let _there = self.moved.wait_while(stored, |s| *s < row).unwrap_or_else(PoisonError::into_inner);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shards_are_all_rows_once() {
        for (rows, of) in [(10, 3), (7, 7), (3, 5), (1_000, 1), (0, 2)] {
            let all: Vec<u64> = (1..=of).flat_map(|k| shard(rows, k, of)).collect();
            assert_eq!(all, (0..rows).collect::<Vec<_>>(), "{rows} rows in {of} shards");
        }
    }
}
