//! `quarterstop odds`: how likely sun is, month by month and hour by hour.
//!
//! In: weather files and options. Out: tables on stdout, as CSV where asked.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::base::files::{may_write, write_one};
use crate::base::target::Inputs;
use crate::command::failure::Failure;
use crate::command::print::{ink, print, warn};
use crate::command::progress::Progress;
use crate::command::words::existing;
use crate::jobs::check::options::FieldOption;
use crate::venue::Venue;
use crate::weather::{Odds, station};
use crate::{jobs, weather};

/// Options of `quarterstop odds`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop odds weather.epw --venue ground.toml --csv odds.csv
  quarterstop odds --minutes pay0615.dat,pay0616.dat --csv changes.csv")]
pub struct OddsOptions {
    /// Weather file (EPW), or a folder of such files for one place
    #[arg(value_name = "EPW", required_unless_present = "minutes")]
    pub weather: Option<PathBuf>,

    /// Minutes that a radiation station measured, as published (BSRN months, SURFRAD
    /// days), with commas between, or a folder of them (.dat): changes between sun and
    /// shade by month and hour
    #[arg(long, value_name = "FILE,...", value_delimiter = ',', verbatim_doc_comment)]
    #[arg(conflicts_with = "weather")]
    pub minutes: Vec<PathBuf>,

    /// Venue file, to say how far off the weather's place is
    #[arg(long, value_name = "VENUE")]
    pub venue: Option<PathBuf>,

    #[command(flatten)]
    pub field: FieldOption,

    /// Write the odds of each month and hour as CSV
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
pub(crate) fn run(options: &OddsOptions) -> Result<(), Failure> {
    let inputs = options.venue.iter().chain(&options.weather).chain(&options.minutes);
    let inputs = Inputs::of(inputs);
    if let Some(path) = &options.csv {
        may_write(path, &inputs, existing(options.replace))?;
    }
    let venue = options.venue.as_deref();
    let venue = venue.map(|path| jobs::check::command::read_venue(path, &options.field));
    let venue = venue.transpose()?;
    let Some(weather) = &options.weather else {
        return minutes(options, venue.as_ref(), &inputs);
    };
    let odds = odds(weather)?;
    let farthest = venue.as_ref().map(|v| odds.km_from(&v.place));
    super::report::warnings(&odds, farthest).into_iter().for_each(|w| warn(Some(w)));
    if let Some(path) = &options.csv {
        write_one(path, &super::report::csv(&odds)?, &inputs, existing(options.replace))?;
    }
    print(&super::report::text(&odds, ink()))
}

/// Changes at a station.
fn minutes(options: &OddsOptions, venue: Option<&Venue>, inputs: &Inputs) -> Result<(), Failure> {
    let progress = Progress::of("minutes of the station");
    let odds = station::read(&options.minutes).map_err(Failure::input)?;
    drop(progress);
    warn(venue.and_then(|v| super::report::far_warning(odds.km_from(&v.place))));
    if let Some(path) = &options.csv {
        write_one(path, &super::report::station::csv(&odds)?, inputs, existing(options.replace))?;
    }
    print(&super::report::station::text(&odds, ink()))
}

/// What is doubtful about odds for a venue that they are taken for.
pub(crate) fn warnings_for(odds: &Odds, venue: &Venue) -> Option<String> {
    let far = super::report::far_warning(odds.km_from(&venue.place));
    far.map(|warning| format!("{}: {warning}", venue.title))
}

/// Reads odds.
///
/// # Errors
/// [`Failure::Input`].
pub(crate) fn odds(path: &Path) -> Result<Odds, Failure> {
    weather::read(path).map_err(Failure::input)
}
