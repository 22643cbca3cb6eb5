//! One line on stderr that says how far a run is.
//!
//! In: what is being done and how much of it is done. Out: a line that rewrites
//! itself on a terminal; nothing at all in a pipe or a file. An interrupted run says the
//! same in one line, with what it keeps.

use std::io;
use std::io::{IsTerminal, Write};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Where the run is, for whoever interrupts it.
static WHERE: Mutex<Where> =
    Mutex::new(Where { task: None, done: 0, all: 0, at: None, keeps: None });

#[derive(Debug)]
struct Where {
    task: Option<&'static str>,
    done: usize,
    all: usize,
    /// The date, or what else is being worked on.
    at: Option<String>,
    /// What stays when the run is interrupted, and how to go on.
    keeps: Option<String>,
}

/// Changes where the run is; a lock that a panic left is none that anybody waits for.
fn now(change: impl FnOnce(&mut Where)) {
    if let Ok(mut state) = WHERE.lock() {
        change(&mut state);
    }
}

/// From now on an interrupted run keeps this: a sentence without an end.
pub(crate) fn keeps(what: String) {
    now(|state| state.keeps = Some(what));
}

/// Where the run is, what it keeps and how it goes on, in one line.
pub(crate) fn interrupted() -> String {
    let nothing = "no output file was touched; run the command again";
    let Ok(state) = WHERE.lock() else { return format!("interrupted: {nothing}") };
    let at = state.at.as_ref().map_or_else(String::new, |at| format!(", at {at}"));
    let place = match (state.task, state.all) {
        (None, _) => String::new(),
        (Some(task), 0 | 1) => format!(" during {task}{at}"),
        (Some(task), all) => format!(" during {task}, {} of {all} done{at}", state.done),
    };
    format!("interrupted{place}: {}", state.keeps.as_deref().unwrap_or(nothing))
}

/// Has progress written as lines of their own, for a program that reads them.
const LINES: &str = "QUARTERSTOP_PROGRESS";
/// Per cent from one such line to the next.
const LINE_EVERY: usize = 5;

/// What is shown of the progress.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shows {
    /// One line of a terminal, written over.
    Terminal,
    Lines,
    Nothing,
}

impl Shows {
    fn here() -> Self {
        if std::env::var_os(LINES).is_some_and(|value| value == "lines") {
            return Self::Lines;
        }
        if io::stderr().is_terminal() { Self::Terminal } else { Self::Nothing }
    }
}

/// A line of progress, taken away when dropped.
#[derive(Debug)]
pub(crate) struct Progress {
    shows: Shows,
    task: &'static str,
    /// Last shown per cent, so that the terminal is not flooded.
    shown: AtomicUsize,
}

impl Progress {
    /// Begins a task; shows nothing unless stderr is a terminal.
    pub fn of(task: &'static str) -> Self {
        now(|state| {
            (state.task, state.done, state.all, state.at) = (Some(task), 0, 0, None);
        });
        Self { shows: Shows::here(), task, shown: AtomicUsize::new(usize::MAX) }
    }

    /// `done` of `all` are done. May be called from several threads.
    pub fn report(&self, done: usize, all: usize) {
        now(|state| (state.done, state.all) = (state.done.max(done), all));
        let per_cent = (100 * done).checked_div(all).unwrap_or(100);
        // a terminal that went away is no reason to stop the run
        match self.shows {
            Shows::Nothing => {}
            Shows::Terminal => {
                if self.shown.swap(per_cent, Ordering::Relaxed) != per_cent {
                    let _ = write!(io::stderr(), "\r{} {per_cent:>3} %", self.task);
                }
            }
            Shows::Lines => {
                let step = per_cent - per_cent % LINE_EVERY;
                if self.shown.swap(step, Ordering::Relaxed) != step {
                    let _ = writeln!(io::stderr(), "{} {step} %", self.task);
                }
            }
        }
    }
}

impl Progress {
    /// Works on this now, such as a date.
    #[cfg(feature = "parquet")]
    pub fn at(&self, what: String) {
        now(|state| state.at = Some(what));
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        now(|state| (state.task, state.at) = (None, None));
        if self.shows == Shows::Terminal && self.shown.load(Ordering::Relaxed) != usize::MAX {
            let blank = " ".repeat(self.task.chars().count() + 6);
            let _ = write!(io::stderr(), "\r{blank}\r");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_interrupted_run_says_where_it_was() {
        let progress = Progress::of("days of the year");
        progress.report(3, 365);
        progress.at("2027-01-04".to_owned());
        let told = interrupted();
        assert!(
            told.starts_with("interrupted during days of the year, 3 of 365 done, at 2027-01-04: ")
        );
        assert!(told.ends_with("run the command again"), "{told}");
        keeps("3 days are kept".to_owned());
        assert!(interrupted().ends_with(": 3 days are kept"));
        drop(progress);
        assert_eq!(interrupted(), "interrupted: 3 days are kept");
        now(|state| state.keeps = None);
    }
}
