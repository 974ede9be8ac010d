//! Work spread over all cores.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Does `deed` with each; what it gives comes in their order. `done` is told how many are done.
pub fn each<T: Sync, R: Send>(
    all: &[T],
    deed: impl Fn(&T) -> R + Sync,
    done: impl Fn(usize) + Sync,
) -> Vec<R> {
    let (next, count) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let results = Mutex::new(Vec::with_capacity(all.len()));
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        for _ in 0..cores {
            scope.spawn(|| {
                loop {
                    let n = next.fetch_add(1, Ordering::Relaxed);
                    let Some(one) = all.get(n) else { break };
                    let result = deed(one);
                    results.lock().expect("nobody fails while holding it").push((n, result));
                    done(count.fetch_add(1, Ordering::Relaxed) + 1);
                }
            });
        }
    });
    let mut results = results.into_inner().expect("nobody fails while holding it");
    results.sort_by_key(|(n, _)| *n);
    results.into_iter().map(|(_, result)| result).collect()
}
