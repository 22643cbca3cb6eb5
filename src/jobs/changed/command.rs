//! `quarterstop changed`: the differences that matter.
//!
//! In: two venue files, or one and two dates. Out: text on stdout, CSV where asked.

use std::path::PathBuf;

use chrono::{DateTime, NaiveDate, NaiveTime};
use chrono_tz::Tz;
use clap::Args;

use crate::base::files::{may_write, write_one};
use crate::base::target::Inputs;
use crate::command::failure::Failure;
use crate::command::print::{ink, print};
use crate::command::progress::Progress;
use crate::command::words::{day, existing, time_of_day};
use crate::jobs;
use crate::jobs::check::options::FieldOption;
use crate::jobs::match_plan::options::RepeatedChoice;
use crate::jobs::match_plan::planning;
use crate::venue::Venue;

use super::{ComparedMatch, changed};

/// Options of `quarterstop changed`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop changed ground-as-drawn.toml ground-as-built.toml
  quarterstop changed ground.toml ground.toml --date 2027-05-03 --new-date 2027-09-18")]
pub struct ChangedOptions {
    /// Venue file as it was (TOML)
    #[arg(value_name = "OLD")]
    pub old: PathBuf,

    /// Venue file as it is (TOML); the same one to compare two dates
    #[arg(value_name = "NEW")]
    pub new: PathBuf,

    #[command(flatten)]
    pub field: FieldOption,

    /// Day of the match [default: the fixture's of OLD]
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    pub date: Option<NaiveDate>,

    /// Start of play [default: the fixture's of OLD]
    #[arg(long, value_name = "HH:MM", value_parser = time_of_day)]
    pub start: Option<NaiveTime>,

    /// Day of the match at NEW [default: the same]
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    pub new_date: Option<NaiveDate>,

    /// Start of play at NEW [default: the same]
    #[arg(long, value_name = "HH:MM", value_parser = time_of_day)]
    pub new_start: Option<NaiveTime>,

    /// Which one is meant where clocks go back and a start comes twice
    #[arg(long, value_enum, value_name = "WHICH")]
    pub repeated: Option<RepeatedChoice>,

    /// Write the differences as CSV
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,

    /// Write over a file that is there
    #[arg(long, requires = "csv")]
    pub replace: bool,
}

/// Runs the command.
///
/// # Errors
/// [`Failure`].
pub(crate) fn run(options: &ChangedOptions) -> Result<(), Failure> {
    let inputs = Inputs::of([&options.old, &options.new]);
    if let Some(path) = &options.csv {
        may_write(path, &inputs, existing(options.replace))?;
    }
    let old = jobs::check::command::read_venue(&options.old, &options.field)?;
    let new = jobs::check::command::read_venue(&options.new, &options.field)?;
    let own = old.fixture;
    let date = options.date.or(own.map(|f| f.date));
    let date = date.ok_or(Failure::NoFixture { what: "date" })?;
    let start = options.start.or(own.map(|f| f.start));
    let start = start.ok_or(Failure::NoFixture { what: "start" })?;
    let at = |venue: &Venue, date, time| {
        planning::resolve(venue.place.zone, date, time, options.repeated)
    };
    let first = occasion(&old, at(&old, date, start)?);
    let (date, start) = (options.new_date.unwrap_or(date), options.new_start.unwrap_or(start));
    let second = occasion(&new, at(&new, date, start)?);
    let progress = Progress::of("what changed");
    progress.report(0, 1);
    let found = changed(&first, &second);
    drop(progress);
    if let Some(path) = &options.csv {
        write_one(path, &super::report::csv(&second, &found)?, &inputs, existing(options.replace))?;
    }
    print(&super::report::text(&first, &second, &found, ink()))
}

fn occasion(venue: &Venue, start: DateTime<Tz>) -> ComparedMatch<'_> {
    let within = planning::programme(venue, &[]).window_from(start);
    ComparedMatch { venue, start, within }
}
