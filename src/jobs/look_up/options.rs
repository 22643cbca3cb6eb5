//! Options of `quarterstop look-up`.

use std::path::PathBuf;

use chrono::{NaiveDate, NaiveTime};
use clap::Args;

use crate::command::point::{PlacePoint, place_point};
use crate::command::words::{day, eye, time_of_day};
use crate::engine::DEFAULT_EYE_M;
use crate::jobs::check::options::{FieldOption, StateOption};
use crate::jobs::match_plan::options::RepeatedChoice;

/// Options of `quarterstop look-up`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop look-up venues/football-demo.toml --place \"penalty spot ahead\"
  quarterstop look-up ground.toml --place \"1 main wide\" --at 10,-40,3 --date 2027-03-06")]
pub struct LookUpOptions {
    /// Venue file (TOML)
    #[arg(value_name = "VENUE")]
    pub venue: PathBuf,

    #[command(flatten)]
    pub field: FieldOption,

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
    #[arg(long, value_name = "METRES", default_value_t = DEFAULT_EYE_M, value_parser = eye)]
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

    #[command(flatten)]
    pub held: StateOption,

    /// Folder for the files [default: output/VENUE-YYYY-MM-DD-look-up]
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
}
