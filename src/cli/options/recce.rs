//! Options of the commands for a recce.

use std::path::PathBuf;

use chrono::{NaiveDate, NaiveTime};
use clap::Args;

use super::words::{apart, day, eye, place_point, stops, time_of_day, weight, whole};
use super::{PlanOptions, RepeatedChoice, WhenOptions};
use crate::plan::look_up::USUAL_EYE_M;
use crate::plan::positions::Part;

/// Options of `quarterstop positions`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop positions venues/football-demo.toml
  quarterstop positions ground.toml --last-date 2028-05-20 --every-days 14 --step 5
  quarterstop positions ground.toml --weigh back_lit=2,own_sun=0 --over 1.5,3 --set 2")]
pub struct PositionsOptions {
    #[command(flatten)]
    pub plan: PlanOptions,

    /// Also the days from --date up to this one, --every-days apart
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    pub last_date: Option<NaiveDate>,

    /// Days between those of --last-date
    #[arg(long, value_name = "DAYS", default_value_t = 7)]
    #[arg(value_parser = whole::<u32>(1, 366))]
    pub every_days: u32,

    /// Also these days, with commas between
    #[arg(long, value_name = "YYYY-MM-DD,...", value_delimiter = ',', value_parser = day)]
    pub also_on: Vec<NaiveDate>,

    /// Splits to count the minutes over, stops, with commas between; the first
    /// counts as trouble
    #[arg(long, value_name = "STOPS,...", value_delimiter = ',', value_parser = stops)]
    #[arg(default_values_t = [2.0, 3.0], verbatim_doc_comment)]
    pub over: Vec<f64>,

    /// Weights of parts of trouble other than the usual: split, mismatch, back_lit,
    /// sun_in_frame, sun_on_lens, hidden, own_sun; such as "split=2,own_sun=0"
    #[arg(long, value_name = "PART=WEIGHT,...", value_delimiter = ',', value_parser = weight)]
    #[arg(verbatim_doc_comment)]
    pub weigh: Vec<(Part, f64)>,

    /// Positions of the best set [default: one of each candidate, if there are several]
    #[arg(long, value_name = "COUNT")]
    #[arg(value_parser = whole::<u32>(1, 10))]
    pub set: Option<u32>,

    /// Positions of a set are at least so far apart, metres
    #[arg(long, value_name = "METRES", default_value_t = 3.0, value_parser = apart)]
    pub apart_m: f64,
}

/// Options of `quarterstop sensitivity`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop sensitivity venues/football-demo.toml
  quarterstop sensitivity ground.toml --date 2027-05-01 --from 12:00 --until 20:00")]
pub struct SensitivityOptions {
    #[command(flatten)]
    pub when: WhenOptions,
}

/// Options of `quarterstop look-up`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop look-up venues/football-demo.toml --place \"penalty spot ahead\"
  quarterstop look-up ground.toml --place \"1 main wide\" --at 10,-40,3 --date 2027-03-06")]
pub struct LookUpOptions {
    /// Venue file (TOML)
    #[arg(value_name = "VENUE")]
    pub venue: PathBuf,

    /// Name of a camera or of a mark of the field to look up from; may come several
    /// times [default: the centre of play]
    #[arg(long, value_name = "NAME", verbatim_doc_comment)]
    pub place: Vec<String>,

    /// A point to look up from, metres from the centre of play: along the field's
    /// bearing, across to the left of it, up; may come several times
    #[arg(long, value_name = "ALONG,ACROSS[,UP]", value_parser = place_point)]
    #[arg(allow_hyphen_values = true, verbatim_doc_comment)]
    pub at: Vec<PlacePoint>,

    /// Height of the eye over the turf at marks and points, metres
    #[arg(long, value_name = "METRES", default_value_t = USUAL_EYE_M, value_parser = eye)]
    #[arg(allow_negative_numbers = true)]
    pub eye_m: f64,

    /// Day to look at; solstices and equinoxes are those of its year
    /// [default: the fixture's]
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day, verbatim_doc_comment)]
    pub date: Option<NaiveDate>,

    /// Start of play, which decides the window that is marked
    /// [default: the fixture's]
    #[arg(long, value_name = "HH:MM", value_parser = time_of_day, verbatim_doc_comment)]
    pub start: Option<NaiveTime>,

    /// Which one is meant where clocks go back and the start comes twice
    #[arg(long, value_enum, value_name = "WHICH")]
    pub repeated: Option<RepeatedChoice>,

    /// Folder for the files [default: output/VENUE-YYYY-MM-DD-look-up]
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
}

/// A point in the field's axes as an option states it, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlacePoint {
    pub along_m: f64,
    pub across_m: f64,
    /// Height of the eye where open.
    pub up_m: Option<f64>,
}

/// Options of `quarterstop fit`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop fit venues/football-demo.toml --seen venues/football-demo-seen.toml
  quarterstop fit ground.toml --seen recce.toml --into ground-fitted.toml --json fit.json")]
pub struct FitOptions {
    /// Venue file (TOML)
    #[arg(value_name = "VENUE")]
    pub venue: PathBuf,

    /// What was seen (TOML; `quarterstop schema seen`)
    #[arg(long, value_name = "SEEN")]
    pub seen: PathBuf,

    /// Write the venue file with the numbers found and where they come from
    #[arg(long, value_name = "FILE")]
    pub into: Option<PathBuf>,

    /// Let --into be the venue file itself
    #[arg(long, requires = "into")]
    pub over_venue: bool,

    /// Write over files that are there
    #[arg(long)]
    pub replace: bool,

    /// Let --into write numbers in doubt: observations disagree (chance of their
    /// chi-square under 1 %), the search did not converge, or a number is not plausible
    #[arg(long, requires = "into", verbatim_doc_comment)]
    pub despite_doubts: bool,

    /// Write everything found as JSON
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
}

/// Options of `quarterstop check`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  quarterstop check venues/football-demo.toml")]
pub struct CheckOptions {
    /// Venue file (TOML)
    #[arg(value_name = "VENUE")]
    pub venue: PathBuf,

    /// Folder for a plan of the ground to confirm: names, cameras, north, shadow at the start
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,

    /// Print what looks suspicious as JSON and nothing else
    #[arg(long)]
    pub json: bool,
}
