//! Many pieces of work on all cores, their results one after the other.
//!
//! Of the standard library's threads: each holds open files of its own, which no thread can hand to another, and what
//! comes of them is wanted in the order of the work.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;
use std::thread;

/// Stack of a worker: as much as the main thread of most systems has, which is what vetting was built on.
const STACK_BYTES: usize = 8 << 20;

/// Does pieces `0..count`, each by the `tool` of the core that takes it, and hands the results on in their order. `told`
/// hears how many are done whenever that changes.
///
/// # Panics
/// When a piece does, or the system has no thread left.
pub fn in_order<Tool, Result: Send>(
    count: usize,
    tool: impl Fn() -> Tool + Sync,
    work: impl Fn(&mut Tool, usize) -> Result + Sync,
    mut told: impl FnMut(usize),
    mut hand_on: impl FnMut(usize, Result),
) {
    let cores = thread::available_parallelism().map_or(1, usize::from).min(count);
    let next = AtomicUsize::new(0);
    let (sender, results) = mpsc::channel();
    thread::scope(|scope| {
        for _ in 0..cores {
            let (sender, next, tool, work) = (sender.clone(), &next, &tool, &work);
            let worker = move || {
                let mut own = tool();
                loop {
                    let piece = next.fetch_add(1, Ordering::Relaxed);
                    // Nobody listens any more when handing on failed.
                    if piece >= count || sender.send((piece, work(&mut own, piece))).is_err() {
                        break;
                    }
                }
            };
            let started = thread::Builder::new().stack_size(STACK_BYTES).spawn_scoped(scope, worker);
            assert!(started.is_ok(), "the system has no thread left for a worker");
        }
        drop(sender);
        // What is done before its turn waits here.
        let mut early = BTreeMap::new();
        let mut turn = 0;
        for (done, (piece, result)) in (1..).zip(results) {
            told(done);
            early.insert(piece, result);
            while let Some(result) = early.remove(&turn) {
                hand_on(turn, result);
                turn += 1;
            }
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_piece_is_done_once_and_handed_on_in_order() {
        for count in [0, 1, 2, 100] {
            let (mut told, mut handed) = (Vec::new(), Vec::new());
            in_order(
                count,
                || 0_usize,
                |done, piece| {
                    *done += 1;
                    // The first is the slowest.
                    thread::sleep(std::time::Duration::from_millis(if piece == 0 { 20 } else { 0 }));
                    piece * 10
                },
                |done| told.push(done),
                |piece, result| handed.push((piece, result)),
            );
            assert_eq!(handed, (0..count).map(|piece| (piece, piece * 10)).collect::<Vec<_>>());
            assert_eq!(told, (1..=count).collect::<Vec<_>>());
        }
    }
}
