//! `quarterstop places`: names that other keys and options take.
//!
//! In: a venue file or a sport. Out: a table, CSV or JSON on stdout.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use crate::command::failure::Failure;
use crate::command::print::print;
use crate::jobs;
use crate::jobs::check::options::FieldOption;
use crate::venue::Sport;

/// Options of `quarterstop places`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  quarterstop places venues/football-demo.toml\n  \
                        quarterstop places --sport rugby_union --csv")]
pub struct PlacesOptions {
    /// Venue file (TOML)
    #[arg(value_name = "VENUE", required_unless_present = "sport", conflicts_with = "sport")]
    pub venue: Option<PathBuf>,

    #[command(flatten)]
    pub field: FieldOption,

    /// What a sport brings at its usual size, instead of a venue
    #[arg(long, value_enum)]
    pub sport: Option<PlacesSport>,

    /// Print CSV
    #[arg(long, conflicts_with = "json")]
    pub csv: bool,

    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// A sport, as the venue file writes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[value(rename_all = "snake_case")]
pub enum PlacesSport {
    Football,
    RugbyUnion,
    Tennis,
    Hockey,
    Cricket,
    Golf,
    Free,
}

impl From<PlacesSport> for Sport {
    fn from(choice: PlacesSport) -> Self {
        match choice {
            PlacesSport::Football => Self::Football,
            PlacesSport::RugbyUnion => Self::RugbyUnion,
            PlacesSport::Tennis => Self::Tennis,
            PlacesSport::Hockey => Self::Hockey,
            PlacesSport::Cricket => Self::Cricket,
            PlacesSport::Golf => Self::Golf,
            PlacesSport::Free => Self::Free,
        }
    }
}

/// Runs the command.
///
/// # Errors
/// [`Failure`] where the venue file can't be read.
pub fn run(options: &PlacesOptions) -> Result<(), Failure> {
    let places = match (&options.venue, options.sport) {
        (Some(path), _) => {
            super::report::of_venue(&jobs::check::command::read_venue(path, &options.field)?)
        }
        (None, sport) => super::report::of_sport(sport.map_or(Sport::Free, Sport::from)),
    };
    if options.csv {
        return print(&super::report::csv(&places)?);
    }
    if options.json {
        return print(&super::report::json(&places)?);
    }
    print(&super::report::text(&places))
}
