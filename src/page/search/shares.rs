//! Work on all processors at once, with the same outcome as on one.

use rayon::prelude::*;

/// Shares for each processor: more than one, because some shares are harder than others, and what belongs to a small one stays
/// near the processor.
const SHARES: usize = 8;

/// Cuts the items into runs and does the work on each, told the position of its first item; the results stand in the
/// order of the runs. How many runs there are depends on the machine: what is made of the results must not.
pub(super) fn in_shares<T: Sync, R: Send>(items: &[T], act: impl Fn(usize, &[T]) -> R + Sync) -> Vec<R> {
    let size = items.len().div_ceil(rayon::current_num_threads() * SHARES).max(1);
    items.par_chunks(size).enumerate().map(|(at, run)| act(at * size, run)).collect()
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
