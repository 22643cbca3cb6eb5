//! One line on stderr that says how far a run is.
//!
//! In: what is being done and how much of it is done. Out: a line that rewrites
//! itself on a terminal; nothing at all in a pipe or a file.

use std::io::{self, IsTerminal, Write};
use std::sync::atomic::{AtomicUsize, Ordering};

/// A line of progress, taken away when dropped.
#[derive(Debug)]
pub(super) struct Progress {
    live: bool,
    task: &'static str,
    /// Last shown per cent, so that the terminal is not flooded.
    shown: AtomicUsize,
}

impl Progress {
    /// Begins a task; shows nothing unless stderr is a terminal.
    pub fn of(task: &'static str) -> Self {
        Self { live: io::stderr().is_terminal(), task, shown: AtomicUsize::new(usize::MAX) }
    }

    /// `done` of `all` are done. May be called from several threads.
    pub fn tell(&self, done: usize, all: usize) {
        if !self.live {
            return;
        }
        let per_cent = (100 * done).checked_div(all).unwrap_or(100);
        if self.shown.swap(per_cent, Ordering::Relaxed) != per_cent {
            // a terminal that went away is no reason to stop the run
            let _ = write!(io::stderr(), "\r{} {per_cent:>3} %", self.task);
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if self.live && self.shown.load(Ordering::Relaxed) != usize::MAX {
            let blank = " ".repeat(self.task.chars().count() + 6);
            let _ = write!(io::stderr(), "\r{blank}\r");
        }
    }
}
