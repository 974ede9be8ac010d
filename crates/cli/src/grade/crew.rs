//! Work spread over threads, its results in the order in which it came, with a bound on what is under way.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError, mpsc};
use std::thread;

/// What is under way at once, for each thread: enough that one that takes long keeps nobody waiting at first, and little memory
/// where each is as large as it may be.
const UNDER_WAY: usize = 8;

/// Bytes of a worker's stack: what a main thread has, as the depth of what is read is bounded with that in view.
const STACK_BYTES: usize = 8 << 20;

/// Takes `items` from a thread of their own, has each worked on by one of `threads`, which makes itself a workplace with `workplace`,
/// and hands the results to `take` in the order of the items. With the result comes whether the next one is not there yet, so that
/// what was written may be flushed. An error of `take` ends it; the thread that waits for items is then left to the end of the process.
pub fn in_order<T, P, R>(
    threads: usize,
    items: impl Iterator<Item = T> + Send + 'static,
    workplace: impl Fn() -> P + Sync,
    work: impl Fn(&mut P, T) -> R + Sync,
    mut take: impl FnMut(R, bool) -> Result<(), String>,
) -> Result<(), String>
where
    T: Send + 'static,
    R: Send,
{
    let (permit, permits) = mpsc::channel::<()>();
    for _ in 0..threads * UNDER_WAY {
        let _ = permit.send(());
    }
    let (queue, queued) = mpsc::channel::<(usize, T)>();
    thread::spawn(move || {
        for item in items.enumerate() {
            // No permit comes any more once the results are not wanted.
            if permits.recv().is_err() || queue.send(item).is_err() {
                break;
            }
        }
    });
    let queued = &Mutex::new(queued);
    let (workplace, work) = (&workplace, &work);
    let (done, results) = mpsc::channel::<(usize, R)>();
    // What gives permits goes with the closure, so that after an error nobody waits for one any more.
    thread::scope(move |scope| {
        for _ in 0..threads {
            let done = done.clone();
            let run = move || {
                let mut place = workplace();
                loop {
                    // Only one waits for the next item, and the others for it.
                    let next = queued.lock().unwrap_or_else(PoisonError::into_inner).recv();
                    let Ok((number, item)) = next else { break };
                    if done.send((number, work(&mut place, item))).is_err() {
                        break;
                    }
                }
            };
            thread::Builder::new()
                .stack_size(STACK_BYTES)
                .spawn_scoped(scope, run)
                .map_err(|e| format!("no thread can be started: {e}"))?;
        }
        drop(done);
        let (mut early, mut next) = (BTreeMap::new(), 0);
        for (number, result) in &results {
            early.insert(number, result);
            while let Some(result) = early.remove(&next) {
                next += 1;
                take(result, !early.contains_key(&next))?;
                let _ = permit.send(());
            }
        }
        Ok(())
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    /// Items that take the longer the earlier they come are given in their order all the same, and never more than the bound are
    /// between being taken and being given.
    #[test]
    fn in_the_order_of_the_items_and_within_the_bound() {
        for threads in [1, 2, 5] {
            static TAKEN: AtomicUsize = AtomicUsize::new(0);
            TAKEN.store(0, Ordering::SeqCst);
            let items = (0..200usize).inspect(|_| {
                TAKEN.fetch_add(1, Ordering::SeqCst);
            });
            let mut given = Vec::new();
            let work = |_: &mut (), n: usize| {
                (0..(200 - n) * 50).for_each(|k| {
                    std::hint::black_box(k);
                });
                n
            };
            in_order(
                threads,
                items,
                || (),
                work,
                |n, _| {
                    // One may have been taken from the items that still waits for its permit.
                    assert!(TAKEN.load(Ordering::SeqCst) <= given.len() + threads * UNDER_WAY + 1);
                    given.push(n);
                    Ok(())
                },
            )
            .unwrap();
            assert_eq!(given, (0..200).collect::<Vec<_>>());
        }
    }

    /// An endless source is left when the results are not wanted any more.
    #[test]
    fn an_error_ends_it() {
        let ended =
            in_order(2, 0.., || (), |_, n: u64| n, |n, _| if n < 9 { Ok(()) } else { Err("full".into()) });
        assert_eq!(ended, Err("full".to_string()));
    }
}
