//! Panics of the library that reads columnar files, turned into an answer.
//!
//! In: a piece of reading. Out: its result, or nothing where it panicked. The library
//! states that it panics on some files that are damaged; what was found of that is asked
//! beforehand (`parquet::lies_within`), and this is for the rest. The program keeps what is
//! printed on the way from the terminal: the caller reports the file itself.

use std::cell::Cell;
use std::panic;
use std::panic::AssertUnwindSafe;

thread_local! {
    /// How many guards this thread is inside of.
    static INSIDE: Cell<u32> = const { Cell::new(0) };
}

/// Runs `read`; `None` where it panics. A program that wants no word of it asks
/// [`is_guarded`] in a panic hook of its own.
///
/// What `read` shares with its caller must not be looked at after a panic: hand it what it
/// may drop.
pub(crate) fn guarded<T>(read: impl FnOnce() -> T) -> Option<T> {
    let _guard = Guard::new();
    panic::catch_unwind(AssertUnwindSafe(read)).ok()
}

/// Whether the thread that asks is inside of such a piece of reading.
pub fn is_guarded() -> bool {
    // a thread that is going down has no such count any more
    INSIDE.try_with(Cell::get).unwrap_or(0) > 0
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
