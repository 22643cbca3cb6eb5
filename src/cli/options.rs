//! What can be asked for.
//!
//! In: command-line words. Out: typed options; clap refuses what has the wrong
//! form, everything that needs the venue is checked later.

use std::path::PathBuf;

use chrono::{NaiveDate, NaiveTime};
use clap::{Args, Parser, Subcommand, ValueEnum};

use super::ball_command::BallOptions;
use super::changed_command::ChangedOptions;
use super::import_horizon::HorizonOptions;
use super::import_mesh::MeshOptions;
use super::import_outlines::OutlineOptions;
use super::odds_command::OddsOptions;
use super::shell::{CompletionsOptions, ManualOptions};
use super::sky::{AirWord, SkyChoice, air_word};
use super::starts_command::StartsOptions;
use crate::plan::USUAL_HOLD_STOPS;
use crate::plan::look_up::{FARTHEST_M, USUAL_EYE_M};
use crate::plan::positions::Part;
use crate::report::year::Shard;
use crate::venue::{self, Moment, Play};

/// Where sun and shade lie on the field of play, and how many stops apart they
/// are, camera by camera.
#[derive(Debug, Parser)]
#[command(name = "quarterstop", version, arg_required_else_help = true)]
#[command(after_help = "Example:\n  quarterstop match venues/football-demo.toml")]
pub struct Options {
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Timeline, pictures, tables and a summary for one match
    ///
    /// Date and start come from the `[fixture]` of the venue file where the
    /// options leave them open. Times are the venue's own wall clock.
    Match(MatchOptions),
    /// The crew's brief for one match: what to set, who rides what, when to act
    ///
    /// Pages for paper and tablet, cues as a calendar and a table, the same choices of
    /// date, start and sky as `match`.
    Brief(BriefOptions),
    /// Compare the places of `[[candidate]]` tables: where a camera should stand
    ///
    /// One match, or the same start on many days. The split that each place would
    /// see, back light, sun in the lens, how well it matches the cameras that are
    /// fixed, and the best set of positions.
    Positions(PositionsOptions),
    /// A year at a venue: every few minutes of every day, as a table and as pictures
    ///
    /// Shares of field and zones, splits, the sun and each lens, by date and time of day.
    /// Goes on where an earlier run stopped; --shard spreads it over machines.
    Year(YearOptions),
    /// What to measure first: what each number of the venue file does to the times
    ///
    /// Times at which sun or shade reaches marks of the field and lenses, and how far
    /// each length and angle moves them; a list for the recce, in that order.
    Sensitivity(SensitivityOptions),
    /// Look up from a place: roofline, paths of the sun, when it is lit
    ///
    /// A picture for each camera, mark or point of the field, with the skyline as a
    /// table and everything as JSON.
    LookUp(LookUpOptions),
    /// The high ball: what stands behind it, and the ride of the iris
    ///
    /// A flight from a place to a place, followed by a camera: pan and tilt, what is behind
    /// the ball and how bright, when to close, how far, when to be back.
    Ball(Box<BallOptions>),
    /// Fit numbers of a venue file to what was seen on a recce
    ///
    /// Shadow edges met with a tape and a watch, shadows of poles, angles and bearings tell
    /// heights, reaches and bearings, each with its error, and what to look at next.
    Fit(FitOptions),
    /// Rank start times: which time on which date keeps sun and shade out of the way
    ///
    /// One venue or many, a range of times on some dates or a list of fixtures. What
    /// each start costs and why, the best and worst days, what a shift buys; with
    /// weather files what is to be expected. A page and a calendar to send on.
    Starts(StartsOptions),
    /// What changed for a fixture: between two venue files, or two dates
    Changed(ChangedOptions),
    /// How likely sun is, month by month and hour by hour, from weather files (EPW)
    Odds(OddsOptions),
    /// Read and check a venue file, say what it holds and what looks suspicious
    ///
    /// What is wrong leaves with exit code 2; what is only suspicious does not.
    Check(CheckOptions),
    /// Print the JSON Schema of a file format
    Schema(SchemaOptions),
    /// Print completions for a shell
    Completions(CompletionsOptions),
    /// Write pages for `man`, one for each command
    Manual(ManualOptions),
    /// Bring data of others into a venue file
    #[command(subcommand)]
    Import(Import),
}

/// What can be brought in.
#[derive(Debug, Subcommand)]
pub enum Import {
    /// Outlines with heights from a map (GeoJSON)
    Outlines(OutlineOptions),
    /// The skyline of the land around, from a list (CSV) or from terrain (SRTM, GeoTIFF)
    Horizon(HorizonOptions),
    /// A model of a stand (OBJ, glTF)
    Mesh(MeshOptions),
}

/// Which venue, when, and where the files go. Shared by all commands about a match.
#[derive(Debug, Args)]
pub struct WhenOptions {
    /// Venue file (TOML)
    #[arg(value_name = "VENUE")]
    pub venue: PathBuf,

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
    /// may come several times, the last minute is the end
    /// [default: those of the venue file, else of the sport]
    #[arg(long, value_name = "NAME=MINUTE", value_parser = moment, verbatim_doc_comment)]
    pub moment: Vec<Moment>,

    /// Which one is meant where clocks go back and a time comes twice
    #[arg(long, value_enum, value_name = "WHICH")]
    pub repeated: Option<RepeatedChoice>,

    /// Folder for the files [default: output/VENUE-YYYY-MM-DD-HHMM]
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
}

/// What to plan: the venue, the time, the sky. Shared by all commands that plan.
#[derive(Debug, Args)]
pub struct PlanOptions {
    #[command(flatten)]
    pub when: WhenOptions,

    /// Minutes from one instant to the next, 1 to 60 [default: 1; 2 for
    /// `positions`]
    #[arg(long, value_name = "MINUTES", verbatim_doc_comment)]
    #[arg(allow_negative_numbers = true)]
    #[arg(value_parser = clap::value_parser!(u32).range(1..=60))]
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
    /// "summer,water_cm=2.1" [default: that of the venue file, else standard]
    #[arg(long, value_name = "AIR,...", value_delimiter = ',', value_parser = air_word)]
    #[arg(verbatim_doc_comment)]
    pub air: Vec<AirWord>,
}

/// Options of `quarterstop match`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop match venues/football-demo.toml
  quarterstop match ground.toml --date 2026-10-25 --start 16:30 --pictures-at 16:45,17:20
  quarterstop match ground.toml --start 11:00 --moment kickoff=0 --moment full-time=70")]
pub struct MatchOptions {
    #[command(flatten)]
    pub plan: PlanOptions,

    /// Say how much floodlight would hold splits under this many stops
    #[arg(long, value_name = "STOPS", default_value_t = USUAL_HOLD_STOPS, value_parser = stops)]
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

/// Options of `quarterstop brief`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop brief venues/football-demo.toml
  quarterstop brief ground.toml --sky thin --operators 4 --tell-splits 1.5,3")]
pub struct BriefOptions {
    #[command(flatten)]
    pub plan: PlanOptions,

    /// Operators to share the cameras between, where the venue file names none
    /// [default: one for three cameras]
    #[arg(long, value_name = "COUNT", verbatim_doc_comment)]
    #[arg(value_parser = clap::value_parser!(u32).range(1..=64))]
    pub operators: Option<u32>,

    /// Times of pictures through each camera, with commas between
    /// [default: none beside the strip of each camera]
    #[arg(long, value_name = "HH:MM,...", value_delimiter = ',', value_parser = time_of_day)]
    #[arg(verbatim_doc_comment)]
    pub through_at: Vec<NaiveTime>,

    /// Splits that get a cue when they are passed, stops, with commas between
    #[arg(long, value_name = "STOPS,...", value_delimiter = ',', value_parser = stops)]
    #[arg(default_values_t = [2.0, 3.0])]
    pub tell_splits: Vec<f64>,
}

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
    #[arg(value_parser = clap::value_parser!(u32).range(1..=366))]
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
    #[arg(value_parser = clap::value_parser!(u32).range(1..=10))]
    pub set: Option<u32>,

    /// Positions of a set are at least so far apart, metres
    #[arg(long, value_name = "METRES", default_value_t = 3.0, value_parser = apart)]
    pub apart_m: f64,
}

/// Options of `quarterstop year`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop year venues/football-demo.toml --year 2027
  quarterstop year ground.toml --show field --show \"split=1 main wide\" --show zone=net
  quarterstop year ground.toml --year 2028 --shard 2/4 --into season")]
pub struct YearOptions {
    /// Venue file (TOML)
    #[arg(value_name = "VENUE")]
    pub venue: PathBuf,

    /// Calendar year [default: the fixture's]
    #[arg(long, value_name = "YYYY", value_parser = clap::value_parser!(i32).range(1900..=2200))]
    pub year: Option<i32>,

    /// First day [default: 1 January of the year]
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    pub first_date: Option<NaiveDate>,

    /// Last day [default: 31 December of the year]
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    pub last_date: Option<NaiveDate>,

    /// Minutes from one instant to the next, 1 to 60
    #[arg(long, value_name = "MINUTES", default_value_t = 5)]
    #[arg(value_parser = clap::value_parser!(u32).range(1..=60))]
    pub step: u32,

    /// Sky that the table holds for
    #[arg(long, value_enum, default_value_t = SkyChoice::Clear)]
    pub sky: SkyChoice,

    /// Share of the direct light that thin cloud lets through, 0.02 to 1
    /// [default: 0.5]
    #[arg(long, value_name = "SHARE", value_parser = direct_share, verbatim_doc_comment)]
    pub direct_share: Option<f64>,

    /// What is in the air, as for `match`
    /// [default: that of the venue file, else standard]
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

    /// Print what looks suspicious as JSON and nothing else
    #[arg(long)]
    pub json: bool,
}

/// Options of `quarterstop schema`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  quarterstop schema venue > venue.schema.json")]
pub struct SchemaOptions {
    /// The format
    #[arg(value_enum, value_name = "FORMAT")]
    pub format: FormatChoice,
}

/// A format with a schema.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FormatChoice {
    /// The venue file that you write
    Venue,
    /// The JSON that `quarterstop match` writes
    Match,
    /// The JSON that `quarterstop brief` writes
    Brief,
    /// The JSON that `quarterstop positions` writes
    Positions,
    /// The JSON that `quarterstop sensitivity` writes
    Sensitivity,
    /// The JSON that `quarterstop look-up` writes
    LookUp,
    /// The JSON that `quarterstop ball` writes
    Ball,
    /// The JSON that `quarterstop ball --hours` and `--towers` write
    BallHours,
    /// The columns of the tables that `quarterstop year` writes
    Year,
    /// The JSON that `quarterstop check --json` prints
    Check,
    /// The file of observations that you write for `quarterstop fit`
    Seen,
    /// The JSON that `quarterstop fit` writes
    Fit,
    /// The file of weights that you write for `quarterstop starts`
    Costs,
    /// The JSON that `quarterstop starts` writes
    Starts,
}

/// One of two equal readings of the clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum RepeatedChoice {
    /// The first, before the clocks go back
    Earlier,
    /// The second, after the clocks went back
    Later,
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

pub(super) fn time_of_day(text: &str) -> Result<NaiveTime, String> {
    NaiveTime::parse_from_str(text.trim(), "%H:%M")
        .map_err(|_| "a time of day is HH:MM, from 00:00 to 23:59".to_owned())
}

pub(super) fn direct_share(text: &str) -> Result<f64, String> {
    within(text, 0.02, 1.0, "a share is a number")
}

pub(super) fn stops(text: &str) -> Result<f64, String> {
    within(text, 0.1, 8.0, "a number of stops is")
}

pub(super) fn within(text: &str, low: f64, high: f64, what: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(value) if (low..=high).contains(&value) => Ok(value),
        _ => Err(format!("{what} from {low} to {high}")),
    }
}

fn apart(text: &str) -> Result<f64, String> {
    within(text, 0.0, 500.0, "a distance in metres is")
}

fn weight(text: &str) -> Result<(Part, f64), String> {
    let (word, weight) = text.split_once('=').unwrap_or((text, ""));
    let part = Part::of_word(word.trim()).ok_or_else(|| {
        let words: Vec<&str> = Part::ALL.iter().map(|p| p.word()).collect();
        format!("a part is one of {}", words.join(", "))
    })?;
    Ok((part, within(weight, 0.0, 100.0, "a weight is PART=NUMBER, a number")?))
}

fn eye(text: &str) -> Result<f64, String> {
    within(text, 0.0, 100.0, "a height is a number of metres")
}

pub(super) fn place_point(text: &str) -> Result<PlacePoint, String> {
    let asked = || {
        format!(
            "a point is ALONG,ACROSS or ALONG,ACROSS,UP in metres, at most {FARTHEST_M} from \
             the centre of play"
        )
    };
    let number = |word: &str| word.trim().parse::<f64>().ok().filter(|m| m.abs() <= FARTHEST_M);
    let numbers: Option<Vec<f64>> = text.split(',').map(number).collect();
    match numbers.as_deref() {
        Some(&[along_m, across_m]) => Ok(PlacePoint { along_m, across_m, up_m: None }),
        Some(&[along_m, across_m, up]) => Ok(PlacePoint { along_m, across_m, up_m: Some(up) }),
        _ => Err(asked()),
    }
}

fn moment(text: &str) -> Result<Moment, String> {
    let asked = || {
        "a moment is NAME=MINUTE: 1 to 40 letters on one line, a minute from 0 to 1440".to_owned()
    };
    let (name, minute) = text.rsplit_once('=').ok_or_else(asked)?;
    let name = name.trim();
    let sound = (1..=40).contains(&name.chars().count()) && !name.chars().any(char::is_control);
    match minute.trim().parse() {
        Ok(after_min @ 0..=1440) if sound => {
            Ok(Moment { name: name.to_owned(), after_min, play: Play::GoesOn })
        }
        _ => Err(asked()),
    }
}

pub(super) fn day(text: &str) -> Result<NaiveDate, String> {
    let allowed = "a day is YYYY-MM-DD and has to be in the calendar, from 1900 to 2200";
    venue::day_of(text).ok_or_else(|| allowed.to_owned())
}
