//! Text on stdout, warnings on stderr.

use std::io;
use std::io::{IsTerminal, Write};

use crate::command::failure::Failure;
use crate::output::text::Ink;

/// Text on stdout. A reader that has seen enough and closed the pipe is no
/// error.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut stdout = io::stdout().lock();
    let written = stdout.write_all(text.as_bytes()).and_then(|()| stdout.flush());
    match written {
        Err(e) if e.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        written => written.map_err(Failure::Stdout),
    }
}

/// Bold headings for a terminal that wants them (no-color.org).
pub(crate) fn ink() -> Ink {
    let refused = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty())
        || std::env::var_os("TERM").is_some_and(|v| v == "dumb");
    match io::stdout().is_terminal() && !refused {
        true => Ink::Bold,
        false => Ink::Plain,
    }
}

/// A warning on stderr.
pub(crate) fn warn(warning: Option<String>) {
    if let Some(warning) = warning {
        // eprintln! would panic where stderr is closed
        let _ = writeln!(io::stderr(), "warning: {warning}");
    }
}
