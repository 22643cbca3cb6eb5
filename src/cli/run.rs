//! From options to a done command.
//!
//! In: [`Options`]. Out: text on stdout and files, or a [`Failure`].

use crate::cli::options::{Command, FormatChoice, Import, Options, SchemaOptions};
use crate::cli::shell;
use crate::command::failure::Failure;
use crate::command::interrupt;
use crate::command::print::print;
use crate::jobs::check::command::check;
use crate::jobs::match_plan::report::json;
use crate::jobs::{fit, starts};
use crate::{jobs, venue};

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
        Command::Match(options) => jobs::match_plan::command::run(options),
        Command::Brief(options) => jobs::brief::command::run(options),
        Command::Positions(options) => jobs::positions::command::run(options),
        Command::Year(options) => jobs::year::command::run(options),
        Command::Sensitivity(options) => jobs::sensitivity::command::run(options),
        Command::LookUp(options) => jobs::look_up::command::run(options),
        Command::Ball(options) => jobs::ball::command::run(options),
        Command::Fit(options) => jobs::fit::command::run(options),
        Command::Starts(options) => jobs::starts::command::run(options),
        Command::Changed(options) => jobs::changed::command::run(options),
        Command::Clouds(options) => jobs::clouds::command::run(options),
        Command::Forecast(options) => jobs::forecast::command::run(options),
        Command::Odds(options) => jobs::odds::command::run(options),
        #[cfg(feature = "serve")]
        Command::Live(options) => super::live_command::run(options),
        Command::Check(options) => check(options),
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
    let schema = match options.format {
        FormatChoice::Venue => venue_schema(),
        FormatChoice::Match => json::schema(),
        FormatChoice::Brief => jobs::brief::report::data::schema(),
        FormatChoice::Sensitivity => jobs::sensitivity::report::data::schema(),
        FormatChoice::Positions => jobs::positions::report::data::schema(),
        FormatChoice::LookUp => jobs::look_up::report::schema(),
        FormatChoice::Places => jobs::places::report::schema(),
        FormatChoice::Ball => jobs::ball::report::schema(),
        FormatChoice::BallHours => jobs::ball::report::hours::schema(),
        FormatChoice::Year => jobs::year::report::schema(),
        FormatChoice::Check => jobs::check::report::schema(),
        FormatChoice::Seen => fit::seen::schema(),
        FormatChoice::Fit => jobs::fit::report::schema(),
        FormatChoice::Costs => starts::profile_schema(),
        FormatChoice::Clouds => jobs::clouds::report::data::schema(),
        FormatChoice::Forecast => jobs::forecast::report::data::schema(),
        FormatChoice::Starts => jobs::starts::report::data::schema(),
    };
    print(&(serde_json::to_string_pretty(&schema)? + "\n"))
}

pub(crate) fn venue_schema() -> serde_json::Value {
    venue::schema()
}
