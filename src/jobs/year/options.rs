//! Options of `quarterstop year`.

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::Args;

use crate::command::sky::{AirWord, SkyChoice, air_word};
use crate::command::words::{day, direct_share, whole};
use crate::jobs::check::options::{FieldOption, StateOption};

use super::report::Shard;

/// Options of `quarterstop year`.
#[derive(Debug, Clone, Args)]
#[command(after_help = "Examples:
  quarterstop year venues/football-demo.toml --year 2027
  quarterstop year ground.toml --show field --show \"split=1 main wide\" --show zone=net
  quarterstop year ground.toml --year 2028 --shard 2/4 --into season")]
pub struct YearOptions {
    /// Venue file (TOML)
    #[arg(value_name = "VENUE")]
    pub venue: PathBuf,

    #[command(flatten)]
    pub field: FieldOption,

    #[command(flatten)]
    pub held: StateOption,

    /// Calendar year [default: the fixture's]
    #[arg(long, value_name = "YYYY", value_parser = whole::<i32>(1900, 2200))]
    pub year: Option<i32>,

    /// First day [default: 1 January of the year]
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    pub first_date: Option<NaiveDate>,

    /// Last day [default: 31 December of the year]
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    pub last_date: Option<NaiveDate>,

    /// Minutes from one instant to the next, 1 to 60
    #[arg(long, value_name = "MINUTES", default_value_t = 5)]
    #[arg(value_parser = whole::<u32>(1, 60))]
    pub step: u32,

    /// Sky that the table holds for
    #[arg(long, value_enum, default_value_t = SkyChoice::Clear)]
    pub sky: SkyChoice,

    /// Share of the direct light that thin cloud lets through, 0.02 to 1
    /// [default: 0.5]
    #[arg(long, value_name = "SHARE", value_parser = direct_share, verbatim_doc_comment)]
    pub direct_share: Option<f64>,

    /// What is in the air, as for `match`
    /// [default: that of the venue file, else typical of the place]
    #[arg(long, value_name = "AIR,...", value_delimiter = ',', value_parser = air_word)]
    #[arg(verbatim_doc_comment)]
    pub air: Vec<AirWord>,

    /// A picture to draw: field, mixed, zone=NAME, split=CAMERA, subject=CAMERA,
    /// lens=CAMERA; may come several times
    /// [default: field, mixed, split and lens of the first camera]
    #[arg(long, value_name = "FIGURE", value_parser = show_word, verbatim_doc_comment)]
    pub show: Vec<ShowWord>,

    /// Work out only a part of the days: day k, counted from 0 at the first, belongs
    /// to shard (k mod N) + 1
    #[arg(long, value_name = "I/N", value_parser = shard, verbatim_doc_comment)]
    pub shard: Option<Shard>,

    /// Folder for the files [default: output/VENUE-year-YYYY]
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
}

/// A picture of a year as an option names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ShowWord {
    Field,
    Mixed,
    Zone(String),
    Turf(String),
    Subject(String),
    Lens(String),
}

fn show_word(text: &str) -> Result<ShowWord, String> {
    let asked = || {
        "a picture is field, mixed, zone=NAME, split=CAMERA, subject=CAMERA or lens=CAMERA"
            .to_owned()
    };
    let name = |name: Option<&str>| {
        name.map(|name| name.trim().to_owned()).filter(|name| !name.is_empty()).ok_or_else(asked)
    };
    let (word, of) = text.split_once('=').map_or((text, None), |(word, of)| (word, Some(of)));
    match (word.trim(), of) {
        ("field", None) => Ok(ShowWord::Field),
        ("mixed", None) => Ok(ShowWord::Mixed),
        ("zone", of) => Ok(ShowWord::Zone(name(of)?)),
        ("split", of) => Ok(ShowWord::Turf(name(of)?)),
        ("subject", of) => Ok(ShowWord::Subject(name(of)?)),
        ("lens", of) => Ok(ShowWord::Lens(name(of)?)),
        _ => Err(asked()),
    }
}

fn shard(text: &str) -> Result<Shard, String> {
    let asked = || "a shard is I/N with I from 1 to N and N from 1 to 1000".to_owned();
    let (number, of) = text.split_once('/').ok_or_else(asked)?;
    match (number.trim().parse::<u32>(), of.trim().parse::<u32>()) {
        (Ok(number), Ok(of)) if (1..=of).contains(&number) && of <= 1000 => {
            Ok(Shard { number, of })
        }
        _ => Err(asked()),
    }
}
