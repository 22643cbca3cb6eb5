//! From options to a done command.
//!
//! In: [`Options`]. Out: text on stdout and files, or a [`Failure`].

use std::io::{self, IsTerminal, Write};

use std::path::Path;

use crate::base::target::Inputs;
use crate::fit;
use crate::plan;
use crate::plan::check::Questions;
use crate::render;
use crate::report::files::{FileName, FileSet};
use crate::report::summary::{self, Ink};
use crate::report::{
    ball, brief, check as check_report, fit as fit_report, inventory, json, look_up, positions,
    sensitivity, year,
};
use crate::venue::Venue;
use crate::{report, starts};

use super::ball_command;
use super::brief_command;
use super::changed_command;
use super::clouds_command;
use super::failure::Failure;
use super::fit_command;
use super::forecast_command;
use super::interrupt;
use super::look_up_command;
use super::match_command;
use super::odds_command;
use super::options::{CheckOptions, Command, FormatChoice, Import, Options, SchemaOptions};
use super::places_command;
use super::planning::warn;
use super::positions_command;
use super::progress::Progress;
use super::sensitivity_command;
use super::shell;
use super::stages;
use super::starts_command;
use super::year_command;
use super::{import_horizon, import_mesh, import_outlines};

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
        Command::Match(options) => match_command::run(options),
        Command::Brief(options) => brief_command::run(options),
        Command::Positions(options) => positions_command::run(options),
        Command::Year(options) => year_command::run(options),
        Command::Sensitivity(options) => sensitivity_command::run(options),
        Command::LookUp(options) => look_up_command::run(options),
        Command::Ball(options) => ball_command::run(options),
        Command::Fit(options) => fit_command::run(options),
        Command::Starts(options) => starts_command::run(options),
        Command::Changed(options) => changed_command::run(options),
        Command::Clouds(options) => clouds_command::run(options),
        Command::Forecast(options) => forecast_command::run(options),
        Command::Odds(options) => odds_command::run(options),
        #[cfg(feature = "serve")]
        Command::Live(options) => super::live_command::run(options),
        Command::Check(options) => check(options),
        Command::Places(options) => places_command::run(options),
        Command::Schema(options) => schema(options),
        Command::Completions(options) => shell::completions(options),
        Command::Manual(options) => shell::manual(options),
        Command::Import(Import::Outlines(options)) => import_outlines::run(options),
        Command::Import(Import::Horizon(options)) => import_horizon::run(options),
        Command::Import(Import::Mesh(options)) => import_mesh::run(options),
    }
}

fn check(options: &CheckOptions) -> Result<(), Failure> {
    let venue = stages::read_unwarned(&options.venue)?;
    let name = options.venue.display().to_string();
    warn(venue.plannable(&name).err().map(|error| error.to_string()));
    let progress = Progress::of("what looks suspicious");
    let findings = plan::check::check(&venue);
    let questions = plan::check::questions(&venue);
    drop(progress);
    let inputs = stages::inputs(&options.venue, &venue);
    let written = options.into.as_deref().map(|into| plan_of(&venue, &questions, into, &inputs));
    let written = written.transpose()?.unwrap_or_default();
    if options.json {
        return print(&check_report::write(&venue, &findings, &questions)?);
    }
    let verdict = "The file is sound.\n";
    let report = check_report::text(&venue, &findings, &questions);
    print(&(inventory::text(&venue) + verdict + &report + &written))
}

/// Writes the plan of the ground; which files there are then, in words.
fn plan_of(
    venue: &Venue,
    questions: &Questions,
    into: &Path,
    inputs: &Inputs,
) -> Result<String, Failure> {
    let lines = check_report::lines(venue, questions);
    let picture =
        render::ground_plan(venue, questions, &lines).map_err(|e| Failure::Picture(e.into()))?;
    let mut set = FileSet::open(into, inputs)?;
    set.stage(FileName::new("ground-plan", "svg"), picture.svg.as_bytes())?;
    set.stage(FileName::new("ground-plan", "png"), &picture.png)?;
    let names = set.commit()?;
    Ok(summary::files(into, &names, ink()))
}

fn schema(options: &SchemaOptions) -> Result<(), Failure> {
    let schema = match options.format {
        FormatChoice::Venue => stages::venue_schema(),
        FormatChoice::Match => json::schema(),
        FormatChoice::Brief => brief::data::schema(),
        FormatChoice::Sensitivity => sensitivity::data::schema(),
        FormatChoice::Positions => positions::data::schema(),
        FormatChoice::LookUp => look_up::schema(),
        FormatChoice::Places => report::places::schema(),
        FormatChoice::Ball => ball::schema(),
        FormatChoice::BallHours => ball::hours::schema(),
        FormatChoice::Year => year::schema(),
        FormatChoice::Check => check_report::schema(),
        FormatChoice::Seen => fit::seen::schema(),
        FormatChoice::Fit => fit_report::schema(),
        FormatChoice::Costs => starts::profile_schema(),
        FormatChoice::Clouds => report::clouds::data::schema(),
        FormatChoice::Forecast => report::forecast::data::schema(),
        FormatChoice::Starts => report::starts::data::schema(),
    };
    print(&(serde_json::to_string_pretty(&schema)? + "\n"))
}

/// Text on stdout. A reader that has seen enough and closed the pipe is no
/// error.
pub(super) fn print(text: &str) -> Result<(), Failure> {
    let mut stdout = io::stdout().lock();
    let written = stdout.write_all(text.as_bytes()).and_then(|()| stdout.flush());
    match written {
        Err(e) if e.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        written => written.map_err(Failure::Stdout),
    }
}

/// Bold headings for a terminal that wants them (no-color.org).
pub(super) fn ink() -> Ink {
    let refused = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty())
        || std::env::var_os("TERM").is_some_and(|v| v == "dumb");
    match io::stdout().is_terminal() && !refused {
        true => Ink::Bold,
        false => Ink::Plain,
    }
}
