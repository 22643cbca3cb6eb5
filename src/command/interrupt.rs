//! What a run says that is interrupted (Ctrl-C).
//!
//! In: the signal, or the end of who started the run and waits for it; where the run is
//! ([`super::progress`]). Out: one line on stderr, and the
//! exit status that shells give to a command that the signal ended. Files are whole or
//! absent: a set that is being put in place is put in place first, and what waits for it
//! goes away.

use std::io::Write;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;
use std::{io, thread};

use signal_hook::consts::SIGINT;
use signal_hook::flag;

use crate::base::staging;
use crate::command::progress;

/// 128 and the number of the signal, 2 (POSIX.1-2017, shell command language, 2.8.2).
const STATUS: i32 = 130;

/// Says that who started the run holds its stdin open for as long as it is wanted: a pipe
/// closes with the program at its other end however that ends.
pub const ENDS_WITH_STDIN: &str = "QUARTERSTOP_ENDS_WITH_STDIN";

/// How often the signal is looked for: nobody notices so short a wait.
const LOOK_EVERY: Duration = Duration::from_millis(50);

/// Listens from now on. Where the system gives no such signal, nothing changes.
pub(crate) fn listen() {
    if std::env::var_os(ENDS_WITH_STDIN).is_some() {
        thread::spawn(|| {
            // all that comes is passed over; an error is an end as well
            let _ = io::copy(&mut io::stdin().lock(), &mut io::sink());
            end();
        });
    }
    let asked = Arc::new(AtomicBool::new(false));
    if flag::register(SIGINT, Arc::clone(&asked)).is_err() {
        return;
    }
    thread::spawn(move || {
        while !asked.load(Ordering::Relaxed) {
            thread::sleep(LOOK_EVERY);
        }
        end();
    });
}

/// Ends the run between files.
fn end() {
    let _whole = staging::stop();
    // eprintln! would panic where stderr is closed
    let _ = writeln!(io::stderr(), "{}", progress::interrupted());
    std::process::exit(STATUS);
}
