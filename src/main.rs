//! Parse, run, map errors to an exit status; everything else is in the library.

use std::io::Write;
use std::process::ExitCode;

use clap::Parser;
#[cfg(feature = "parquet")]
use quarterstop::base::guard;
use quarterstop::cli::{self, Options};

fn main() -> ExitCode {
    #[cfg(feature = "parquet")]
    keep_guarded_panics_quiet();
    // clap prints help and usage errors itself and leaves with 0 or 2
    let options = Options::parse();
    match cli::run(&options) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            // eprintln! would panic where stderr is closed
            let _ = writeln!(std::io::stderr(), "error: {failure}");
            ExitCode::from(failure.exit_code())
        }
    }
}

#[cfg(feature = "parquet")]
/// A reader that panics on a damaged file is answered by its caller: nothing is printed.
fn keep_guarded_panics_quiet() {
    let earlier = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        if !guard::is_guarded() {
            earlier(panic);
        }
    }));
}
