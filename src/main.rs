//! Parse, run, map errors to an exit status; everything else is in the library.

use std::io::Write;
use std::process::ExitCode;

use clap::Parser;
use quarterstop::cli::{self, Options};

fn main() -> ExitCode {
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
