//! Work on all processors at once, with the same outcome as on one.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

/// Shares for each processor: more than one, because some shares are harder than others.
const SHARES: usize = 4;

/// Cuts the items into runs and does the work on each, told the position of its first item; the results stand in the
/// order of the runs. How many runs there are depends on the machine: what is made of the results must not.
pub(super) fn in_shares<T: Sync, R: Send>(items: &[T], act: impl Fn(usize, &[T]) -> R + Sync) -> Vec<R> {
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    let size = items.len().div_ceil(workers * SHARES).max(1);
    let runs: Vec<&[T]> = items.chunks(size).collect();
    let next = AtomicUsize::new(0);
    let done = Mutex::new(Vec::with_capacity(runs.len()));
    let work = || {
        while let Some((at, run)) = take(&runs, &next) {
            let result = act(at * size, run);
            done.lock().unwrap_or_else(PoisonError::into_inner).push((at, result));
        }
    };
    std::thread::scope(|scope| {
        for _ in 1..workers.min(runs.len()) {
            scope.spawn(work);
        }
        work();
    });
    let mut done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    done.sort_by_key(|(at, _)| *at);
    done.into_iter().map(|(_, result)| result).collect()
}

fn take<'w, T>(runs: &[&'w [T]], next: &AtomicUsize) -> Option<(usize, &'w [T])> {
    let at = next.fetch_add(1, Ordering::Relaxed);
    runs.get(at).map(|run| (at, *run))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_stand_in_the_order_of_the_items() {
        for count in [0, 1, 2, 7, 1000] {
            let items: Vec<usize> = (0..count).collect();
            let shares = in_shares(&items, |first, run| (first, run.to_vec()));
            assert!(shares.iter().all(|(first, run)| run.first() == Some(first)));
            assert_eq!(shares.into_iter().flat_map(|(_, run)| run).collect::<Vec<_>>(), items);
        }
    }
}
