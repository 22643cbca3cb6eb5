//! Options of the commands about one match.

use std::path::PathBuf;

use chrono::{NaiveDate, NaiveTime};
use clap::{Args, ValueEnum};

use crate::command::sky::{AirWord, SkyChoice, air_word};
use crate::command::words::{day, direct_share, instant, moment, stops, time_of_day, whole};
use crate::engine::DEFAULT_HOLD_STOPS;
use crate::jobs::check::options::{FieldOption, StateOption};
use crate::venue::Moment;

use super::reading::ReadingOptions;

/// Which venue, when, and where the files go. Shared by all commands about a match.
#[derive(Debug, Clone, Args)]
pub struct WhenOptions {
    /// Venue file (TOML)
    #[arg(value_name = "VENUE")]
    pub venue: PathBuf,

    #[command(flatten)]
    pub field: FieldOption,

    /// Day of the match
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    pub date: Option<NaiveDate>,

    /// Start of play
    #[arg(long, value_name = "HH:MM", value_parser = time_of_day)]
    pub start: Option<NaiveTime>,

    /// First minute to look at, on the day of the match
    /// [default: a while before the start]
    #[arg(long, value_name = "HH:MM", value_parser = time_of_day, verbatim_doc_comment)]
    pub from: Option<NaiveTime>,

    /// Last minute to look at; earlier than --from means the next day
    /// [default: a while after the end of play]
    #[arg(long, value_name = "HH:MM", value_parser = time_of_day, verbatim_doc_comment)]
    pub until: Option<NaiveTime>,

    /// A moment of play and its minute after the start, such as "drinks=30";
    /// several with commas between, the last minute is the end
    /// [default: those of the venue file, else of the sport]
    #[arg(long, value_name = "NAME=MINUTE,...", value_delimiter = ',', value_parser = moment)]
    #[arg(verbatim_doc_comment)]
    pub moment: Vec<Moment>,

    /// Which one is meant where clocks go back and a time comes twice
    #[arg(long, value_enum, value_name = "WHICH")]
    pub repeated: Option<RepeatedChoice>,

    #[command(flatten)]
    pub held: StateOption,

    /// Folder for the files [default: output/VENUE-YYYY-MM-DD-HHMM]
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
}

/// What to plan: the venue, the time, the sky. Shared by all commands that plan.
#[derive(Debug, Clone, Args)]
pub struct PlanOptions {
    #[command(flatten)]
    pub when: WhenOptions,

    /// Minutes from one instant to the next, 1 to 60 [default: 1; 2 for
    /// `positions`]
    #[arg(long, value_name = "MINUTES", verbatim_doc_comment)]
    #[arg(allow_negative_numbers = true)]
    #[arg(value_parser = whole::<u32>(1, 60))]
    pub step: Option<u32>,

    /// Sky to plan for
    #[arg(long, value_enum, default_value_t = SkyChoice::Clear)]
    pub sky: SkyChoice,

    /// Share of the direct light that thin cloud lets through, 0.02 to 1
    /// [default: 0.5]
    #[arg(long, value_name = "SHARE", value_parser = direct_share, verbatim_doc_comment)]
    pub direct_share: Option<f64>,

    /// What is in the air: a name (standard, washed, summer, city, haze, sea,
    /// dust, tropics, snow) and numbers in its place (aerosol_500nm,
    /// aerosol_exponent, water_cm, ozone_atm_cm, ground_albedo), such as
    /// "summer,water_cm=2.1" [default: that of the venue file, else
    /// typical of place and season]
    #[arg(long, value_name = "AIR,...", value_delimiter = ',', value_parser = air_word)]
    #[arg(verbatim_doc_comment)]
    pub air: Vec<AirWord>,
}

/// Options of `quarterstop match`.
#[derive(Debug, Clone, Args)]
#[command(after_help = "Examples:
  quarterstop match venues/football-demo.toml
  quarterstop match ground.toml --date 2026-10-25 --start 16:30 --pictures-at 16:45,17:20
  quarterstop match ground.toml --at 16:04:30 --data-only
  quarterstop match ground.toml --start 11:00 --moment kickoff=0 --moment full-time=70")]
pub struct MatchOptions {
    #[command(flatten)]
    pub plan: PlanOptions,

    #[command(flatten)]
    pub readings: ReadingOptions,

    /// Plan this one instant, to the second, on the day of the match
    #[arg(long, value_name = "HH:MM[:SS]", value_parser = instant)]
    #[arg(conflicts_with_all = ["from", "until", "step", "pictures_at"])]
    pub at: Option<NaiveTime>,

    /// Write tables and data, draw no pictures
    #[arg(long)]
    pub data_only: bool,

    /// Say how much floodlight would hold splits under this many stops
    #[arg(long, value_name = "STOPS", default_value_t = DEFAULT_HOLD_STOPS, value_parser = stops)]
    #[arg(allow_negative_numbers = true)]
    pub hold: f64,

    /// Mark of the field that light maps count stops from, such as
    /// "penalty spot ahead" [default: the centre of play]
    #[arg(long, value_name = "MARK", verbatim_doc_comment)]
    pub count_from: Option<String>,

    /// Times of the pictures and light maps of the field, with commas between
    /// [default: each milestone, and the widest split in shot]
    #[arg(long, value_name = "HH:MM,...", value_delimiter = ',', value_parser = time_of_day)]
    #[arg(verbatim_doc_comment)]
    pub pictures_at: Vec<NaiveTime>,
}

/// One of two equal readings of the clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum RepeatedChoice {
    /// The first, before the clocks go back
    Earlier,
    /// The second, after the clocks went back
    Later,
}
