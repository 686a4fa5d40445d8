//! The same work for every file, on all cores where there is enough of it.

use std::panic::resume_unwind;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use crate::knowledge::build::SourceFile;

/// Bytes of text that are worth a thread of their own.
///
/// judgement: reading them takes some milliseconds, against some tens of microseconds for starting a thread.
const WORTH_A_THREAD: usize = 256 * 1024;

/// How many threads are worth while for so many files.
pub fn threads(files: &[&SourceFile]) -> usize {
    let bytes: usize = files.iter().map(|file| file.text.len()).sum();
    let worth = (1 + bytes / WORTH_A_THREAD).min(files.len());
    if worth < 2 {
        return 1;
    }
    thread::available_parallelism().map_or(1, |cores| worth.min(cores.get()))
}

/// What comes of each of so many pieces of work, in their order.
pub fn each<T: Send>(count: usize, threads: usize, work: impl Fn(usize) -> T + Sync) -> Vec<T> {
    if threads < 2 {
        return (0..count).map(work).collect();
    }
    let next = AtomicUsize::new(0);
    let take = || {
        let mut done = Vec::new();
        loop {
            let number = next.fetch_add(1, Ordering::Relaxed);
            if number >= count {
                return done;
            }
            done.push((number, work(number)));
        }
    };
    let mut done = thread::scope(|scope| {
        let others: Vec<_> = (1..threads).map(|_| scope.spawn(take)).collect();
        let mut done = take();
        for other in others {
            done.extend(other.join().unwrap_or_else(|fault| resume_unwind(fault)));
        }
        done
    });
    done.sort_by_key(|(number, _)| *number);
    done.into_iter().map(|(_, one)| one).collect()
}

#[cfg(test)]
mod tests {
    use super::each;

    #[test]
    fn what_comes_of_the_work_keeps_the_order_of_the_work() {
        let squares: Vec<usize> = (0..1000).map(|number| number * number).collect();
        for threads in [1, 2, 5] {
            assert_eq!(each(1000, threads, |number| number * number), squares);
        }
        assert!(each(0, 3, |number| number).is_empty());
    }
}
