//! From options to a done command.
//!
//! In: [`Options`]. Out: text on stdout and files, or a [`Failure`].

use crate::cli::fields::each;
use crate::cli::options::{Command, Import, Options, SchemaOptions};
use crate::cli::{formats, shell};
use crate::command::failure::Failure;
use crate::command::interrupt;
use crate::command::print::print;
use crate::jobs;
use crate::jobs::check::command::check;

/// Does what the options ask for.
///
/// # Errors
/// [`Failure`], with advice in its text and an exit code.
pub fn run(options: &Options) -> Result<(), Failure> {
    // the page ends cleanly by itself
    #[cfg(feature = "serve")]
    if let Command::Live(options) = &options.command {
        return super::live_command::run(options);
    }
    interrupt::listen();
    match &options.command {
        Command::Match(options) => each(options, jobs::match_plan::command::run),
        Command::Brief(options) => each(options, jobs::brief::command::run),
        Command::OnAir(options) => jobs::on_air::command::run(options),
        Command::Agreement(options) => jobs::agreement::command::run(options),
        Command::Order(options) => jobs::order::command::run(options),
        Command::Matching(options) => jobs::matching::command::run(options),
        Command::States(options) => jobs::states::command::run(options),
        Command::Positions(options) => jobs::positions::command::run(options),
        #[cfg(feature = "parquet")]
        Command::Year(options) => each(options, jobs::year::command::run),
        Command::Sensitivity(options) => jobs::sensitivity::command::run(options),
        Command::LookUp(options) => jobs::look_up::command::run(options),
        Command::Ball(options) => jobs::ball::command::run(options),
        Command::Fit(options) => jobs::fit::command::run(options),
        Command::Starts(options) => each(options, jobs::starts::command::run),
        #[cfg(feature = "parquet")]
        Command::League(options) => jobs::league::command::run(options),
        Command::Changed(options) => jobs::changed::command::run(options),
        Command::Clouds(options) => jobs::clouds::command::run(options),
        Command::Forecast(options) => jobs::forecast::command::run(options),
        Command::Odds(options) => jobs::odds::command::run(options),
        #[cfg(feature = "serve")]
        Command::Live(options) => super::live_command::run(options),
        Command::Check(options) => each(options, check),
        Command::Places(options) => jobs::places::command::run(options),
        Command::Schema(options) => schema(options),
        Command::Completions(options) => shell::completions(options),
        Command::Manual(options) => shell::manual(options),
        Command::Import(Import::Outlines(options)) => jobs::import::outlines::run(options),
        Command::Import(Import::Horizon(options)) => jobs::import::horizon::run(options),
        Command::Import(Import::Mesh(options)) => jobs::import::mesh::run(options),
    }
}

fn schema(options: &SchemaOptions) -> Result<(), Failure> {
    let schema = formats::format(options.format).json();
    print(&(serde_json::to_string_pretty(&schema)? + "\n"))
}
