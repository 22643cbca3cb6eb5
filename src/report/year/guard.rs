//! Panics of the library that reads columnar files, turned into an answer.
//!
//! In: a piece of reading. Out: its result, or nothing where it panicked. The library
//! states that it panics on some files that are damaged; what was found of that is asked
//! beforehand (`parquet::lies_within`), and this is for the rest. What it says on the way
//! is kept from the terminal: the caller tells of the file in its own words.

use std::cell::Cell;
use std::panic::{self, AssertUnwindSafe};
use std::sync::Once;

thread_local! {
    /// How many guards this thread is inside of.
    static INSIDE: Cell<u32> = const { Cell::new(0) };
}

/// Runs `read`; `None` where it panics, in silence. The hook that tells of panics is
/// put in place once, tells of all others as before, and stays.
///
/// What `read` shares with its caller must not be looked at after a panic: hand it what it
/// may drop.
pub(super) fn guarded<T>(read: impl FnOnce() -> T) -> Option<T> {
    static HOOK: Once = Once::new();
    HOOK.call_once(|| {
        let earlier = panic::take_hook();
        panic::set_hook(Box::new(move |panic| {
            // a thread that is going down has no such count any more
            if INSIDE.try_with(Cell::get).unwrap_or(0) == 0 {
                earlier(panic);
            }
        }));
    });
    let _guard = Guard::new();
    panic::catch_unwind(AssertUnwindSafe(read)).ok()
}

/// Counts itself out, also when a panic passes by.
struct Guard;

impl Guard {
    fn new() -> Self {
        INSIDE.with(|inside| inside.set(inside.get() + 1));
        Self
    }
}

impl Drop for Guard {
    fn drop(&mut self) {
        let _ = INSIDE.try_with(|inside| inside.set(inside.get().saturating_sub(1)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_is_no_answer_and_what_comes_after_is_as_before() {
        assert_eq!(guarded(|| 7), Some(7));
        assert_eq!(guarded(|| guarded(|| -> u8 { panic!("inner") })), Some(None));
        assert_eq!(guarded(|| -> u8 { panic!("outer") }), None);
        assert_eq!(INSIDE.with(Cell::get), 0);
        assert!(panic::catch_unwind(|| panic!("told")).is_err());
    }
}
