//! Options of `quarterstop league`.

use std::path::PathBuf;

use chrono::{NaiveDate, NaiveTime};
use clap::Args;

use crate::command::words::{day, time_of_day, whole};
use crate::jobs::check::options::{FieldOption, StateOption};

/// Options of `quarterstop league`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop league grounds/*.toml --year 2027
  quarterstop league --grounds grounds.csv --year 2027 --into league
  quarterstop league grounds/*.toml --year 2027 --into league --parts > parts.txt
  parallel quarterstop league grounds/*.toml --year 2027 --into league --part {} :::: parts.txt")]
pub struct LeagueOptions {
    /// Venue files (TOML)
    #[arg(value_name = "VENUE", required_unless_present = "grounds")]
    #[arg(conflicts_with = "grounds")]
    pub venues: Vec<PathBuf>,

    #[command(flatten)]
    pub field: FieldOption,

    #[command(flatten)]
    pub held: StateOption,

    /// List of grounds (CSV with a header): venue (a file, from the list's folder) and,
    /// where wanted, weather (an EPW file, or a folder of them for one place)
    #[arg(long, value_name = "FILE", verbatim_doc_comment)]
    pub grounds: Option<PathBuf>,

    /// Weather file (EPW), or a folder of such files for one place; may come several
    /// times, each ground without weather in the list takes the nearest place
    /// [default: a clear sky]
    #[arg(long, value_name = "EPW", verbatim_doc_comment)]
    pub odds: Vec<PathBuf>,

    /// Calendar year
    #[arg(long, value_name = "YYYY", value_parser = whole::<i32>(1900, 2200))]
    #[arg(required_unless_present = "first_month", conflicts_with_all = ["first_month", "last_month"])]
    pub year: Option<i32>,

    /// First month, with --last-month in place of --year
    #[arg(long, value_name = "YYYY-MM", value_parser = month, requires = "last_month")]
    pub first_month: Option<NaiveDate>,

    /// Last month
    #[arg(long, value_name = "YYYY-MM", value_parser = month, requires = "first_month")]
    pub last_month: Option<NaiveDate>,

    /// Earliest start, on each venue's clocks
    #[arg(long, value_name = "HH:MM", default_value = "12:00", value_parser = time_of_day)]
    pub from_time: NaiveTime,

    /// Latest start
    #[arg(long, value_name = "HH:MM", default_value = "20:00", value_parser = time_of_day)]
    pub to_time: NaiveTime,

    /// Minutes from one start to the next, 1 to 240
    #[arg(long, value_name = "MINUTES", default_value_t = 60)]
    #[arg(value_parser = whole::<u32>(1, 240))]
    pub every_min: u32,

    /// Minutes from one counted instant to the next, 1 to 60
    #[arg(long, value_name = "MINUTES", default_value_t = 10)]
    #[arg(value_parser = whole::<u32>(1, 60))]
    pub step: u32,

    /// Minutes of play, as one run
    /// [default: the course of play of the venue file or its sport]
    #[arg(long, value_name = "MINUTES", verbatim_doc_comment)]
    #[arg(value_parser = whole::<u32>(5, 720))]
    pub duration_min: Option<u32>,

    /// What counts how much (TOML; `quarterstop schema costs`)
    #[arg(long, value_name = "FILE")]
    pub costs: Option<PathBuf>,

    /// List the parts that are not there yet, a line each, and do nothing else
    #[arg(long, conflicts_with = "part")]
    pub parts: bool,

    /// Work out this part only, as --parts lists it, where it is not there; may come
    /// several times
    #[arg(long, value_name = "venue=NAME/month=YYYY-MM", verbatim_doc_comment)]
    pub part: Vec<String>,

    /// Folder for the files; what is there already is not worked out again
    #[arg(long, value_name = "FOLDER", default_value = "output/league")]
    pub into: PathBuf,
}

/// The first day of a month.
fn month(text: &str) -> Result<NaiveDate, String> {
    day(&format!("{text}-01")).map_err(|_| "a month is YYYY-MM, such as 2027-04".to_owned())
}
